"""Lifting: durations, both ends of a lift, the filter and teams, just inside and just outside."""

from __future__ import annotations

import pytest
from building import Pile, shop, zone

from shopbins.ledger.model import InZone
from shopbins.placing.judging import judge
from shopbins.rules.handling import filter_kg, mac_band, passing_kg, team_kg
from shopbins.rules.niosh import Hands, lift, reach_mm
from shopbins.rules.niosh_tables import METRIC, US
from shopbins.shop.model import Level, Limits

LB, IN = 0.45359237, 25.4


def test_the_lower_of_both_ends_by_the_chosen_constants() -> None:
    # 44 lb, 16 in deep, bare, from the floor to 36 in: start 17.193 lb, end 23.835 lb, index 2.559
    def ends(system: str, constants: object) -> object:
        deep = 16 * IN
        start = Hands(reach_mm(constants, deep, 0.0), 0.0)  # type: ignore[arg-type]
        end = Hands(reach_mm(constants, deep, 36 * IN), 36 * IN)  # type: ignore[arg-type]
        return lift(44 * LB, start, end, coupling="poor", system=system)  # type: ignore[arg-type]

    us, metric = ends("us", US), ends("metric", METRIC)
    assert us.origin.rwl_kg / LB == pytest.approx(17.193, abs=0.001)  # type: ignore[attr-defined]
    assert us.destination.rwl_kg / LB == pytest.approx(23.835, abs=0.001)  # type: ignore[attr-defined]
    assert us.index == pytest.approx(2.559, abs=0.001)  # type: ignore[attr-defined]
    assert us.rwl_kg == pytest.approx(7.799, abs=0.001)  # type: ignore[attr-defined]
    assert metric.rwl_kg == pytest.approx(7.692, abs=0.001)  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("who", "kg", "grade"),
    [("anyone", 7.0, None), ("anyone", 7.1, "note"), ("anyone", 14.1, "correct"),
     ("men", 10.0, None), ("men", 10.1, "note"), ("men", 20.1, "correct")],
)  # fmt: skip
def test_from_the_floor_to_900_by_the_filter(who: str, kg: float, grade: str | None) -> None:
    # HSE INDG143: the smallest box the hands pass through, men 10, women 7 (from memory)
    pile = Pile()
    pile.add("box", pile.at(5000, 5000), size=(400, 300, 200), kg=kg, container="box")
    bench = zone("bench", (0, 0), (2000, 700), kind="bench", levels=[Level("", 900)])
    there = shop(zones=[bench], rules="uk", limits=Limits(who_lifts=who))  # type: ignore[arg-type]
    found = [f for f in judge(pile.scene(there), "box", InZone("bench")) if f.rule == "lift"]
    assert [f.grade for f in found] == ([] if grade is None else [grade])
    if found:
        assert "men 10 kg, women 7 kg" in found[0].text and "from memory" in found[0].text


def test_teams() -> None:
    # HSE L23: two thirds of the sum for two, half for three; HSE MAC: above 85 kg purple for two
    men, women = filter_kg(900), filter_kg(900, who="women")
    assert men is not None and women is not None
    assert team_kg([men.kg] * 2) == pytest.approx(33.33, abs=0.01)
    assert team_kg([women.kg] * 2) == pytest.approx(21.33, abs=0.01)
    assert (team_kg([men.kg] * 3), team_kg([women.kg] * 3)) == (37.5, 24.0)
    assert team_kg([men.kg] * 4) is None
    assert (mac_band(85.1, 2), mac_band(85.0, 2)) == ("purple", "red")


@pytest.mark.parametrize(
    ("low", "high", "kg"), [(0, 900, 10), (800, 1000, 25), (500, 900, 20), (900, 1500, 10)]
)
def test_the_smallest_zone_passed_counts(low: float, high: float, kg: float) -> None:
    for a, b in ((low, high), (high, low)):
        found = passing_kg(a, b)
        assert found is not None and found.kg == kg
    assert passing_kg(0, 2100) is None


def test_the_start_is_where_the_ledger_has_it() -> None:
    # From a shelf at 750 to one at 900 nothing low is passed: 16 kg is within the women's figure.
    pile = Pile()
    pile.add("box", InZone("rack", "mid"), size=(400, 300, 200), kg=16, container="box")
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("mid", 750), Level("up", 900)])
    there = shop(zones=[rack], rules="uk")
    assert [f for f in judge(pile.scene(there), "box", InZone("rack", "up")) if f.rule == "lift"] == []
