"""What is loose, unplaced, overdue, gone, in circles, or let through for now; and what unknown values do."""

from __future__ import annotations

from datetime import date

import pytest
from building import Pile, box, shop, zone

from shopbins.ledger.model import Away, InGroup, InZone
from shopbins.placing.judging import judge
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding, worst_first
from shopbins.shop.model import Fixture, Level, Room, Shop, Walkway

TODAY = date(2026, 3, 1)
RACK = zone(
    "rack a",
    (3000, 100),
    (1800, 500),
    kind="shelf",
    levels=[Level("1", 150, load_kg=100), Level("2", 700, load_kg=80)],
)


def by_rule(pile: Pile, there: Shop, key: str) -> list[Finding]:
    return [f for f in audit(pile.scene(there), TODAY) if f.rule == key]


def whole(pile: Pile, name: str, where: InZone | InGroup, **more: object) -> None:
    """Add a group of which nothing is missing."""
    known = {"origin": ("engine", "pump"), "disposition": "refit", "tagged": True, **more}
    pile.add(name, where, **known)  # type: ignore[arg-type]


def test_one_counted_line_a_zone_names_three_to_weigh_first() -> None:
    """Two on the level nearest its load, largest first, then the largest of the other level."""
    pile = Pile()
    whole(pile, "iron", InZone("rack a", "2"), kg=75)
    for name, side in (("small", 100.0), ("large", 300.0)):
        whole(pile, name, InZone("rack a", "2"), kg=None, size=(side, side, side))
    for name, side in (("huge", 400.0), ("tiny", 50.0)):
        whole(pile, name, InZone("rack a", "1"), kg=None, size=(side, side, side))
    whole(pile, "plain", InZone("rack a", "1"))
    for i in range(14):
        pile.add(f"u{i:02}", InZone("rack a", "1"), size=(10, 10, 10), kg=1, tagged=True, disposition="refit")
        pile.groups[f"u{i:02}"].pop("name")
    (found,) = by_rule(pile, shop(zones=[RACK]), "loose")
    assert found.grade == "correct"
    assert found.text.startswith("rack a: 14 unnamed, 4 not weighed, 14 origin not known")
    assert found.text.endswith("weigh these 3 first: large (LARGE), small (SMALL) and huge (HUGE)")
    assert found.subjects == ("zone:rack a", "group:LARGE", "group:SMALL", "group:HUGE")


def test_what_is_in_a_tub_counts_where_the_tub_lies_and_nothing_missing_is_silent() -> None:
    pile = Pile()
    whole(pile, "tub", InZone("rack a", "1"))
    there = shop(zones=[RACK])
    assert by_rule(pile, there, "loose") == []
    whole(pile, "bag", InGroup("tub"), kg=None)
    (found,) = by_rule(pile, there, "loose")
    assert found.text == "rack a: 1 not weighed; weigh this first: bag (BAG)"


def test_unplaced_is_one_line_with_the_full_number() -> None:
    pile = Pile()
    for i in range(20):
        pile.add(f"p{i:02}")
    (found,) = by_rule(pile, shop(), "unplaced")
    assert (found.measured, len(found.subjects)) == (20, 12)
    assert "20 parts" in found.text


@pytest.mark.parametrize(("until", "days"), [("2026-03-01", None), ("2026-02-28", 1), ("2025-03-01", 365)])
def test_away_is_overdue_from_the_day_after(until: str, days: int | None) -> None:
    pile = Pile()
    pile.add("pump", Away("the grinder", until))
    found = by_rule(pile, shop(), "away-overdue")
    assert [f.measured for f in found] == ([] if days is None else [days])


def test_away_without_a_date_is_a_note() -> None:
    pile = Pile()
    pile.add("pump", Away("the grinder"))
    (found,) = by_rule(pile, shop(), "away-overdue")
    assert found.grade == "note"


def test_a_place_the_file_no_longer_has_is_counted() -> None:
    pile = Pile()
    pile.add("a", InZone("old shelf"))
    pile.add("b", InZone("old shelf"))
    pile.add("c", InZone("rack a", "7"))
    pile.add("d", InZone("rack a", "1"))
    found = by_rule(pile, shop(zones=[RACK]), "gone-place")
    assert {f.subjects[0]: f.measured for f in found} == {"zone:old shelf": 2, "zone:rack a/7": 1}


def test_groups_in_themselves_or_in_a_circle_or_in_nothing_are_found_and_nothing_hangs() -> None:
    pile = Pile()
    pile.add("a", InGroup("b"))
    pile.add("b", InGroup("c"))
    pile.add("c", InGroup("a"))
    pile.add("d", InGroup("d"))
    pile.add("e", InGroup("nobody"))
    pile.add("f", InGroup("a"))
    found = by_rule(pile, shop(), "in-circle")
    assert {f.subjects for f in found} == {("group:A", "group:B", "group:C"), ("group:D",), ("group:E",)}


def test_an_overload_is_a_stop_even_while_some_is_not_weighed() -> None:
    pile = Pile()
    pile.add("iron", InZone("rack a", "2"), kg=81)
    pile.add("odd", InZone("rack a", "2"), kg=None)
    (found,) = by_rule(pile, shop(zones=[RACK]), "level-load")
    assert found.grade == "stop"
    assert "at least 81 kg, 1 not weighed" in found.text
    assert found.remedy == "take off iron (81 kg)"


def test_the_lightest_that_suffices_is_to_be_taken_off() -> None:
    pile = Pile()
    pile.add("head", InZone("rack a", "2"), kg=60)
    pile.add("governor", InZone("rack a", "2"), kg=14)
    pile.add("cap", InZone("rack a", "2"), kg=7)
    (found,) = by_rule(pile, shop(zones=[RACK]), "level-load")
    over = found.measured - found.limit
    assert found.limit == 80 or over > 0
    lightest = min(kg for kg in (60, 14, 7) if kg >= over)
    assert found.remedy == f"take off {({60: 'head', 14: 'governor', 7: 'cap'})[lightest]} ({lightest} kg)"


def test_within_the_load_but_not_weighed_is_not_judged_never_a_pass() -> None:
    pile = Pile()
    pile.add("iron", InZone("rack a", "2"), kg=41)
    for i in range(3):
        pile.add(f"odd {i}", InZone("rack a", "2"), kg=None)
    (found,) = [
        f
        for f in judge(pile.scene(shop(zones=[RACK])), "iron", InZone("rack a", "2"))
        if f.rule == "level-load"
    ]
    assert found.grade == "note"
    assert found.text == "load of rack a/2 not checked: at least 41 kg, 3 not weighed, 80 kg allowed"


def test_an_unmeasured_height_under_a_bench_is_not_judged() -> None:
    bench = zone("bench", (0, 0), (2000, 700), kind="bench")
    pile = Pile()
    pile.add("odd", pile.at(1000, 350), size=None, outline=((0, 0), (400, 0), (400, 300), (0, 300)))
    found = by_rule(pile, shop(zones=[bench]), "overlap")
    assert [f.grade for f in found] == ["note"]
    assert "not checked" in found[0].text


def test_an_answer_within_the_measuring_uncertainty_says_what_to_measure_again() -> None:
    way = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 1000, least_mm=700, rooms=("hall",))
    for left, unsure in ((696, True), (694, False)):
        pile = Pile()
        pile.add("crate", pile.at(5000, 4500 - (1000 - left) + 300), size=(800, 600, 500))
        there = shop(walkways=[way], measured_mm=5.0)
        (found,) = by_rule(pile, there, "walkway")
        assert found.grade == "stop"
        assert ("measured to 5 mm only" in found.text) is unsure
        assert ("measure between crate and the way again" in found.text) is unsure


def test_the_wording_of_a_narrowed_walkway() -> None:
    way = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 700, least_mm=700, rooms=("hall",))
    pile = Pile()
    pile.add("crate", pile.at(5000, 4190 + 300), size=(800, 600, 500))
    (found,) = by_rule(pile, shop(walkways=[way]), "walkway")
    assert found.text == "crate narrows the long way to 540 mm (700 mm needed)"
    assert found.remedy == "shift crate out of it"


def test_a_fixture_in_a_walkway_is_a_matter_for_the_file() -> None:
    way = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 1000, least_mm=700, rooms=("hall",))
    stove = Fixture("stove", "the stove", "hall", box(4000, 4100, 4600, 4900), top_mm=1200)
    (found,) = by_rule(Pile(), shop(walkways=[way], fixtures=[stove]), "walkway")
    assert found.subjects == ("walkway:long", "fixture:stove")
    assert "shop file" in found.remedy


def test_a_shut_way_is_a_stop_even_without_a_least_width() -> None:
    way = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 1000, rooms=("hall",))
    pile = Pile()
    pile.add("beam", pile.at(5000, 4000), size=(200, 1200, 500))
    (found,) = by_rule(pile, shop(walkways=[way]), "walkway")
    assert (found.grade, found.measured) == ("stop", 0)
    assert "to nothing" in found.text


@pytest.mark.parametrize(("kg", "grade"), [(450, []), (470, ["note"]), (1830, ["note"]), (1840, ["stop"])])
def test_one_point_of_four_bears_a_quarter_at_least(kg: float, grade: list[str]) -> None:
    """4.5 kN is 458.9 kg at standard gravity; four times that 1835.5 kg."""
    room = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000, point_load_kn=4.5)
    pile = Pile()
    pile.add("block", pile.at(2000, 2000), size=(1200, 800, 700), kg=kg)
    assert [f.grade for f in by_rule(pile, shop(rooms=[room]), "point-load")] == grade


def test_findings_come_worst_first_and_ids_are_rule_and_subjects() -> None:
    pile = Pile()
    pile.add("a", pile.at(2000, 2000))
    pile.add("b", pile.at(2100, 2000), kg=None)
    pile.add("c")
    found = audit(pile.scene(shop()), TODAY)
    assert found == worst_first(found)
    assert found[0].id == "overlap/group:A+group:B"
    assert found[0].grade == "stop"
    assert len({f.id for f in found}) == len(found)


@pytest.mark.parametrize(("within", "unsure"), [(None, False), (12.0, True), (2.0, False)])
def test_a_length_with_its_own_uncertainty_counts_with_that(within: float | None, unsure: bool) -> None:
    """500 mm of headroom, a thing 510 mm high: 10 mm are more than the shop's 5, less than +- 12."""
    levels = [Level("1", 100, headroom_mm=500), Level("2", 700)]
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=levels)
    said = {} if within is None else {"zones/rack/levels/1/headroom": within}
    pile = Pile()
    pile.add("pump", InZone("rack", "1"), size=(300, 300, 510))
    (found,) = by_rule(pile, shop(zones=[rack], measured_at=said), "headroom")
    assert ("measured to" in found.text) is unsure
