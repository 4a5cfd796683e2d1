"""Lifting rules as a thing is laid down, and choosing between levels; figures by the formula, by hand."""

from __future__ import annotations

import pytest
from building import Pile, shop, zone

from shopbins.ledger.model import InZone
from shopbins.placing.judging import judge
from shopbins.rules.finding import Finding
from shopbins.rules.hoisting import HOOK_OVER_MM, Lifted, lifted_onto
from shopbins.rules.lifting import choose_level
from shopbins.rules.niosh import Hands
from shopbins.shop.model import Gear, Level, Limits, Room

RACK = zone(
    "rack",
    (0, 0),
    (1800, 500),
    kind="shelf",
    levels=[Level("low", 120), Level("mid", 750), Level("high", 1600), Level("top", 1800)],
)


def found(
    kg: float | None, level: str, *, container: str = "box", size=(400, 300, 200), who: str = "anyone", **more
) -> list[Finding]:
    pile = Pile()
    pile.add("pump", size=size, kg=kg, container=container)
    whole = shop(zones=[RACK], limits=Limits(who_lifts=who), **more)  # type: ignore[arg-type]
    return [f for f in judge(pile.scene(whole), "pump", InZone("rack", level)) if f.rule == "lift"]


# Depth 300: hands 200 + 150 = 350 mm out (400 below 250 mm up). HM .714, at 750: 23 x .714 = 16.43 kg.
# At 1600: VM 1 - .003 x 85 = .745, D 85 cm: DM .82 + 4.5/85 = .8729; 16.43 x .745 x .8729 = 10.68 kg.
@pytest.mark.parametrize(
    ("kg", "level", "limit"),
    [(16.4, "mid", None), (16.5, "mid", 16.4286), (10.6, "high", None), (10.7, "high", 10.684)],
)
def test_a_box_on_a_level(kg: float, level: str, limit: float | None) -> None:
    got = found(kg, level)
    assert len(got) == (limit is not None)
    if limit is not None:
        assert got[0].grade == "note"
        assert got[0].limit == pytest.approx(limit, abs=0.001)
        assert (got[0].measured, got[0].unit) == (kg, "kg")
        assert "NIOSH" in got[0].source and "assumed: hands under it" in got[0].text
        assert "(lifting index 1; start " in got[0].text and " kg (HM 0.71 VM 1.00 DM " in got[0].text
        assert f"end {limit:.1f} kg (HM 0.71 VM " in got[0].text


def test_the_grip_follows_the_container() -> None:
    # Poor .90 everywhere: 14.79 kg at 750 mm.
    assert found(15.0, "mid", container="bare")[0].limit == pytest.approx(14.786, abs=0.001)
    assert found(15.0, "mid", container="box") == []


def test_too_high_for_the_method_there_is_no_index() -> None:
    (got,) = found(5.0, "top")
    assert got.limit == 0.0
    assert "undefined" in got.text and "a hoist" in got.text
    assert found(2.9, "top") == []  # less than 3 kg is not looked at


def test_what_it_does_not_look_at() -> None:
    assert found(None, "high") == []
    assert found(80, "high", container="own wheels") == []
    assert found(80, "high", container="pallet") == []


@pytest.mark.parametrize(("kg", "grade"), [(20, "note"), (60, "correct")])
def test_under_us_rules_a_high_index_is_to_be_corrected(kg: float, grade: str) -> None:
    # 51 lb set: H 8 in + 150 mm = 353.2 mm: HM 254/353.2; 60 kg / (23.13 x .719) = 3.6.
    (got,) = found(kg, "mid", rules="us")
    assert got.grade == grade
    hm, vm = 254 / (8 * 25.4 + 150), 1 - 0.0075 * abs(750 / 25.4 - 30)
    cm = 0.95  # 750 mm are 29.5 in: below 30
    assert got.limit == pytest.approx(51 * 0.45359237 * hm * vm * cm, abs=0.001)


@pytest.mark.parametrize(
    ("who", "kg", "grade"),
    [("men", 25, None), ("men", 26, "note"), ("men", 51, "correct"),
     ("anyone", 16, None), ("anyone", 17, "note"), ("anyone", 33, "correct")],
)  # fmt: skip
def test_under_uk_rules_the_filter_is_used(who: str, kg: float, grade: str | None) -> None:
    got = found(kg, "mid", rules="uk", who=who)
    assert [f.grade for f in got] == ([] if grade is None else [grade])
    if got:
        assert got[0].limit == (25.0 if who == "men" else 16.0) and "INDG143" in got[0].source
    if (who, kg) == ("men", 26):
        assert "a team of 2 by HSE L23, guidance on team handling (33.3 kg)" in got[0].text
        assert "men 25 kg, women 16 kg" in got[0].text


def test_under_eu_rules_lifting_is_advice_only() -> None:
    (got,) = found(40, "high", rules="eu")
    assert (got.grade, got.judged, got.limit, got.source) == ("note", False, None, "")
    assert "90/269/EEC" in got.text and "94-110" in got.text
    assert found(5, "mid", rules="eu") == []


def test_what_is_hoisted_anyway_is_said_shortly() -> None:
    assert "lifting index" in found(75, "mid")[0].text
    for rules in ("own", "us", "uk"):
        (got,) = found(76, "mid", rules=rules)
        assert (got.grade, got.remedy, got.source) == ("note", "a hoist", "own figure")
        assert got.text == "pump, 76 kg, goes by hoist: too heavy for one person and for a team"
    assert "MAC" in found(85.1, "mid")[0].source and "MAC" not in found(85, "mid")[0].source


def test_a_mass_in_it_that_is_not_weighed_is_said() -> None:
    pile = Pile()
    pile.add("tub", size=(400, 300, 200), kg=30, container="tub")
    from shopbins.ledger.model import InGroup

    pile.add("bolts", InGroup("tub"), kg=None)
    (got,) = [
        f for f in judge(pile.scene(shop(zones=[RACK])), "tub", InZone("rack", "mid")) if f.rule == "lift"
    ]
    assert "at least 30 kg, 1 not weighed" in got.text


def test_the_shops_own_figure_stays_beside_it() -> None:
    pile = Pile()
    pile.add("pump", size=(400, 300, 200), kg=22)
    whole = shop(zones=[RACK], limits=Limits(one_person_kg=20))
    assert {"one-person", "lift"} <= {f.rule for f in judge(pile.scene(whole), "pump", InZone("rack", "mid"))}


# --- choosing between levels --------------------------------------------------------------------------------


def test_each_level_in_words() -> None:
    got = choose_level(16.0, [("mid", 750), ("high", 1600)], depth_mm=300)
    assert [each.within for each in got] == [True, False]
    assert [each.text(16.0) for each in got] == [
        "at 750 mm within the limit for one person (16.4 kg)",
        "at 1600 mm not (10.7 kg for one person): a hoist",
    ]
    (high,) = choose_level(14.0, [("high", 1600)], depth_mm=300)
    assert (
        "a hoist, or a team of 3 by HSE L23, guidance on team handling (15 kg, single figure from memory)"
        in high.text(14.0)
    )


def test_a_team_comes_from_its_own_guide() -> None:
    (got,) = choose_level(30.0, [("mid", 750)], depth_mm=300)
    assert got.text(30.0).endswith("a hoist, or a team of 2 by HSE L23, guidance on team handling (33.3 kg)")
    (got,) = choose_level(35.0, [("mid", 750)], depth_mm=300)
    assert got.text(35.0).endswith("a hoist, or a team of 3 by HSE L23, guidance on team handling (37.5 kg)")
    (got,) = choose_level(38.0, [("mid", 750)], depth_mm=300)
    assert got.text(38.0).endswith(": a hoist")


def test_what_is_not_known_is_assumed_openly_or_not_judged() -> None:
    (got,) = choose_level(None, [("mid", 750)])
    assert got.within is None and "not weighed" in got.text(None)
    assert set(got.assumed) >= {"400 mm deep", "held at 750 mm before", "a fair grip"}
    (got,) = choose_level(10.0, [("mid", 750)], depth_mm=300, coupling="good", origin=Hands(350, 900))
    assert not {"400 mm deep", "held at 750 mm before", "a fair grip"} & set(got.assumed)


def test_the_lower_of_both_ends_counts() -> None:
    # From the floor (V 0, hands 400 out: .625 x .775) to a bench at 900: the origin is the lower.
    (got,) = choose_level(10.0, [("bench", 900)], depth_mm=300, coupling="good", origin=Hands(400, 0))
    dm = 0.82 + 4.5 / 90
    assert got.limit_kg == pytest.approx(23 * 0.625 * 0.775 * dm)


@pytest.mark.parametrize(("kg", "hook_mm", "said"), [
    (500.0, None, "how high its hook goes is not told"), (500.5, 9000.0, "it holds 500 kg"),
    (500.0, 900.0 + 200.0 + HOOK_OVER_MM, ""), (500.0, 899.0 + 200.0 + HOOK_OVER_MM, "is needed"),
])  # fmt: skip
def test_a_gantry_lifts_what_it_holds_as_high_as_its_hook_goes(
    kg: float, hook_mm: float | None, said: str
) -> None:
    bench = zone("bench", (0, 0), (2000, 700), kind="bench", levels=[Level("", 900.0)])
    gantry = Gear("gantry", "the gantry", "gantry crane", capacity_kg=500.0, hook_mm=hook_mm)
    up = lifted_onto(shop(zones=[bench], gear={"gantry": gantry}), bench, bench.levels[0], kg, 300.0, 200.0)
    assert (up.gear is gantry) is (not said) and said in up.said
    none = lifted_onto(shop(zones=[bench]), bench, bench.levels[0], kg, 300.0, 200.0)
    assert none.gear is None and none.said == "the shop file has no hoist"


def _bench_at(gap_mm: float, gear: Gear, kg: float, *, above: bool = False) -> Lifted:
    """How a thing of 600 on its shorter side is lifted onto a bench of 2000 x 800, so far before the wall."""
    levels = [Level("low", 300.0, 2000.0), *([Level("mid", 1200.0)] if above else [])]
    bench = zone("bench", (5000, 5000 - gap_mm - 800), (2000, 800), kind="bench", levels=levels)
    room = Room("hall", "hall", ((0, 0), (12000, 0), (12000, 5000), (0, 5000)))
    there = shop(rooms=[room], zones=[bench], gear={gear.key: gear})
    return lifted_onto(there, bench, bench.levels[0], kg, 600.0, 300.0)


GANTRY = Gear(
    "g", "the gantry", "gantry crane", capacity_kg=2000.0, hook_mm=2900.0, size_mm=(1500.0, 2600.0),
    inside_mm=2300.0,
)  # fmt: skip


@pytest.mark.parametrize(("gap", "above", "said"), [
    (152.0, False, ""), (147.0, False, "find no room"), (0.0, False, "find no room"),
    (1000.0, True, "bench/mid is over it"),
])  # fmt: skip
def test_a_gantry_stands_astride_of_what_it_lifts_onto(gap: float, above: bool, said: str) -> None:
    """By hand: its hook comes within 300 of a leg (half the thing), each (2600 - 2300) / 2 = 150 wide: with
    one behind the bench the thing lies at its back edge, so 150 are wanted there. With the beam along the
    bench its legs are 1500 deep, 750 behind the hook, that at most 500 from the back edge: 250.
    """
    up = _bench_at(gap, GANTRY, 1500.0, above=above)
    assert (up.gear is GANTRY) is (not said) and said in up.said


@pytest.mark.parametrize(("gap", "kg", "said"), [
    (0.0, 900.0, "find no room"), (148.0, 900.0, "find no room"), (152.0, 900.0, "1 t at 900 mm"),
    (0.0, 750.0, "750 kg at 1050 mm"), (0.0, 751.0, "find no room"),
])  # fmt: skip
def test_legs_beyond_the_hook_stop_at_the_wall_behind_a_bench(gap: float, kg: float, said: str) -> None:
    """By hand: legs of 1550, the hook 900 out: 650 beyond it; the thing's middle is 500 from the back edge at
    the most (800 - 300): 150 are wanted behind the bench. At 1050 out they are 500 beyond it, and none is.
    From its end it finds none either: over both legs it is 1600, 800 beside the hook.
    """
    crane = Gear(
        "c", "the crane", "engine crane", hook_mm=2300.0, legs_mm=160.0, size_mm=(1550.0, 1600.0),
        body_mm=250.0, reach=((900.0, 1000.0), (1050.0, 750.0)),
    )  # fmt: skip
    up = _bench_at(gap, crane, kg)
    assert said in up.said and (up.gear is crane) is ("at" in said.split())
