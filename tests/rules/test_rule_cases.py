"""Just inside and just outside of every published figure, each with its source.

'found' are the grades of what was judged; what was not judged is looked at by its `gap`.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from building import TODAY, Pile, box, gaps, grades, of, row, shop, zone

from shopbins.ledger.model import InGroup, InZone
from shopbins.placing.judging import judge
from shopbins.rules import hazards
from shopbins.rules.auditing import audit
from shopbins.rules.coverage import coverage
from shopbins.rules.electrical import depth_limit
from shopbins.shop.model import (
    Door,
    Equipment,
    Fixture,
    KeepClear,
    Level,
    Limits,
    Mounted,
    Opening,
    Room,
    Shop,
    Slope,
    Walkway,
)

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
BIG = Room("hall", "the hall", box(0, 0, 60_000, 60_000), headroom_mm=3000)


def out(width: float = 1000, **more: Any) -> Door:
    """An exit in the left wall of the hall."""
    jambs = ((0.0, 3000.0), (0.0, 3000.0 + width))
    fields = {"height_mm": 2100.0, "opens": "open", "passage": box(-200, 3000, 1, 3000 + width), "exit": True}
    return Door("out", "the way out", "hall", "outside", jambs, width, **{**fields, **more})


def route(width: float = 1200) -> Walkway:
    return Walkway("r", "the route", ((-100, 3500), (9000, 3500)), width, exit_route=True, rooms=("hall",))


# --- ways out ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width", "found"), [(711.2, []), (710.0, ["stop"])])
def test_c1_exit_route_28_in(width: float, found: list[str]) -> None:
    # 29 CFR 1910.36(g)(2): 28 in (71.1 cm)
    there = shop(rules="us", walkways=[replace(route(), width_mm=width)])
    assert grades(there, "exit-width") == found
    assert [f.limit for f in of(there, "exit-width") if f.judged] == [711.2] * len(found)


@pytest.mark.parametrize(
    ("width", "found", "wide"), [(1200, [], []), (1199, ["correct"], []), (720, ["correct"], [])]
)
def test_c2_an_exit_no_narrower_than_its_only_access(width: float, found: list[str], wide: list[str]) -> None:
    # 29 CFR 1910.36(g)(2), second sentence
    there = shop(rules="us", doors=[out(width)], walkways=[route()])
    assert grades(there, "exit-narrower") == found
    assert [(f.measured, f.limit) for f in of(there, "exit-narrower")] == [(width, 1200)] * len(found)
    assert grades(there, "exit-width") == wide


@pytest.mark.parametrize(("ceiling", "lamp", "found"), [(2286, 2032, 0), (2285, 2032, 1), (2286, 2031, 1)])
def test_c4_ceiling_and_lamp_over_an_exit_route(ceiling: float, lamp: float, found: int) -> None:
    # 29 CFR 1910.36(g)(1): 7 ft 6 in, projections 6 ft 8 in
    hung = Fixture("lamp", "the lamp", "hall", box(4900, 3400, 5100, 3600), base_mm=lamp, top_mm=2280)
    there = shop(rules="us", rooms=[replace(HALL, headroom_mm=ceiling)], walkways=[route()], fixtures=[hung])
    assert grades(there, "exit-height") == ["correct"] * found


@pytest.mark.parametrize(("base", "found"), [(2100.0, False), (2099.0, True)])
def test_what_hangs_as_high_as_a_door_narrows_nothing_in_front_of_it(base: float, found: bool) -> None:
    door = out(1000, height_mm=2100)
    (x, y), _ = door.jambs
    hung = Fixture("duct", "the duct", "hall", box(x - 300, y - 2000, x + 300, y + 2000), base_mm=base)
    there = shop(rules="us", doors=[door], fixtures=[hung])
    assert bool(grades(there, "exit-width")) is found


@pytest.mark.parametrize(("height", "found"), [(2032, []), (2031, ["correct"])])
def test_c5_exit_door_height(height: float, found: list[str]) -> None:
    # 29 CFR 1910.36(g)(1); OSHA letter of 8 December 1975: 6 ft 8 in
    assert grades(shop(rules="us", doors=[out(height_mm=height)]), "exit-height") == found


@pytest.mark.parametrize(
    ("people", "width", "limit"),
    [(60, 750, 0), (110, 850, 0), (220, 1050, 0), (221, 1105, 0), (240, 1200, 0),
     (61, 849, 850), (111, 1049, 1050), (221, 1104, 1105), (240, 1199, 1200)],
)  # fmt: skip
def test_c7_uk_widths_by_people(people: int, width: float, limit: float) -> None:
    # Approved Document B volume 2, Table 2.3 and 5 mm a person above 220
    there = shop(rules="uk", doors=[out(width)], limits=Limits(people=people))
    found = [f for f in of(there, "exit-width") if f.judged]
    assert [(f.grade, f.limit) for f in found] == ([("stop", limit)] if limit else [])


@pytest.mark.parametrize(
    ("people", "hazard", "into", "found"),
    [(50, None, "hall", 0), (51, None, "outside", 0), (51, None, "hall", 1), (3, "high", "hall", 1)],
)
def test_c8_us_doors_swing_out(people: int, hazard: str | None, into: str, found: int) -> None:
    # 29 CFR 1910.36(e)(2): more than 50 people or high hazard
    room = replace(HALL, people=people, fire_hazard=hazard)  # type: ignore[arg-type]
    door = out(opens="hinged", hand="left", swings_into=into)
    assert grades(shop(rules="us", rooms=[room], doors=[door]), "exit-door") == ["correct"] * found


@pytest.mark.parametrize(("opens", "found"), [("hinged", 0), ("open", 0), ("sliding", 1), ("up-and-over", 1)])
def test_c10_us_side_hinged(opens: str, found: int) -> None:
    # 29 CFR 1910.36(e)(1)
    door = out(opens=opens, hand="left" if opens == "hinged" else None, swings_into="outside")
    assert grades(shop(rules="us", doors=[door]), "exit-door") == ["correct"] * found


@pytest.mark.parametrize(
    ("opens", "into", "found"), [("hinged", "outside", 0), ("hinged", "hall", 1), ("sliding", None, 1)]
)
def test_c11_eu_doors_open_outwards(opens: str, into: str | None, found: int) -> None:
    # 89/654/EEC Annex I 4.4; sliding Annex II. People are not asked for.
    door = out(opens=opens, hand="left" if opens == "hinged" else None, swings_into=into)
    there = shop(rules="eu", doors=[door])
    assert (grades(there, "exit-door"), gaps(there, "exit-door")) == (["correct"] * found, [])


def test_c13_eu_without_a_country_gives_advice_only() -> None:
    there = shop(rules="eu", doors=[out(400)])
    (found,) = of(there, "exit-width")
    assert (found.judged, found.grade, found.gap, found.limit, found.source) == (
        False,
        "note",
        "breaks",
        None,
        "",
    )
    assert found.id == "not-judged/exit-width/door:out"
    for words in ("no figure for eu", "us 711 mm", "short by 311 mm", "uk 750 mm", "short by 350 mm",
                  "de 800 mm for up to 5 people", "short by 400 mm"):  # fmt: skip
        assert words in found.text, found.text
    assert "none needed" not in " ".join(f.text + f.remedy for f in audit(Pile().scene(there), TODAY))


def hall_of(length: float) -> tuple[Room, Door]:
    """A room whose farthest corner is `length` from its only exit, a slit in the left wall's corner."""
    room = Room("hall", "the hall", box(0, 0, length, 10), headroom_mm=3000)
    door = Door(
        "out", "out", "hall", "outside", ((0, 1), (0, 9)), 8, 2100, "open", box(-200, 1, 1, 9), exit=True
    )
    return room, door


@pytest.mark.parametrize(
    ("rules", "people", "judged", "missing"),
    [("uk", 60, [], 0), ("us", 3, ["note"], 0), ("uk", 61, ["note"], 0), ("uk", None, [], 1)],
)
def test_c14_one_exit(rules: str, people: int | None, judged: list[str], missing: int) -> None:
    # Approved Document B, number of exits (from memory); 29 CFR 1910.36(b)(3)
    room, door = hall_of(17_000)
    there = shop(rules=rules, rooms=[room], doors=[door], limits=Limits(people=people))
    assert grades(there, "two-exits") == judged
    assert gaps(there, "two-exits") == ["missing"] * missing
    assert "17" in "".join(f.text for f in of(there, "two-exits")) or rules == "uk"


@pytest.mark.parametrize(
    ("rules", "length", "found", "gap"),
    [("uk", 17_900, [], []), ("uk", 18_100, ["correct"], []),
     ("us", 17_900, [], ["keeps"]), ("us", 18_100, [], ["breaks"])],
)  # fmt: skip
def test_c16_how_far_to_the_only_exit(rules: str, length: float, found: list[str], gap: list[str]) -> None:
    # Guide for factories and warehouses: one way, normal hazard 18 m; 29 CFR 1910 has no figure
    room, door = hall_of(length)
    there = shop(rules=rules, rooms=[room], doors=[door])
    assert (grades(there, "way-length"), gaps(there, "way-length")) == (found, gap)
    if gap == ["breaks"]:
        assert "uk 18 m" in of(there, "way-length")[0].text


@pytest.mark.parametrize(
    ("hazard", "straight", "found"),
    [("normal", 35_000, 0), ("normal", 35_100, 1), ("high", 25_000, 0), ("high", 25_100, 1)],
)
def test_c17_de_straight_distance(hazard: str, straight: float, found: int) -> None:
    # ASR A2.3: 35 m, 25 m with raised fire hazard
    room, door = hall_of(straight)
    there = shop(rules="eu", country="de", rooms=[replace(room, fire_hazard=hazard)], doors=[door])  # type: ignore[arg-type]
    assert grades(there, "way-length") == ["correct"] * found


@pytest.mark.parametrize(("tall", "found"), [(25_900, 0), (26_600, 1)])
def test_c17_de_walked_distance_is_at_most_half_as_long_again(tall: float, found: int) -> None:
    # ASR A2.3: the walk at most 1.5 x 35 m = 52.5 m. A screen from the lower wall up to `tall`: over its top
    # from the far lower corner, 2 x tall and 400 across.
    room = Room("hall", "the hall", box(0, 0, 500, 30_000), headroom_mm=3000)
    door = Door(
        "out",
        "out",
        "hall",
        "outside",
        ((0, 0.5), (0, 1.5)),
        1,
        2100,
        "open",
        box(-200, 0.5, 1, 1.5),
        exit=True,
    )
    screen = Fixture("screen", "the screen", "hall", box(50, 0, 450, tall), top_mm=2500)
    there = shop(
        rules="eu", country="de", rooms=[room], doors=[replace(door, clear_width_mm=1.0)], fixtures=[screen]
    )
    assert grades(there, "way-length") == ["correct"] * found


# --- switchgear -------------------------------------------------------------------------------------------


def board(depth: float = 1300, width: float = 2500, height: float = 2500, **more: Any) -> Shop:
    fields = {
        "volts": 120.0, "opposite": "nothing", "installed": date(2015, 1, 1),
        "equipment": Equipment(500, 1500),
    } | more  # fmt: skip
    clear = KeepClear(
        "b", "the board", "hall", box(3000, 0, 3000 + width, depth), "switchgear", height_mm=height, **fields
    )
    return shop(rules="us", keep_clear=[clear])


def electrical(there: Shop) -> list[tuple[str, str]]:
    found = [f for f in audit(Pile().scene(there), TODAY) if f.rule.startswith("electrical")]
    return [(f.rule.removeprefix("electrical-"), f.grade if f.judged else f.gap) for f in found]


@pytest.mark.parametrize(
    ("depth", "width", "height", "found"),
    [(914.4, 762, 1981.2, []), (913.4, 762, 1981.2, [("depth", "correct")]),
     (914.4, 761, 1981.2, [("width", "correct")]), (914.4, 762, 1980, [("height", "correct")])],
)  # fmt: skip
def test_c19_working_space_at_120_v(
    depth: float, width: float, height: float, found: list[tuple[str, str]]
) -> None:
    # 29 CFR 1910.303(g)(1)(i), Table S-1; height (vi) from memory
    assert electrical(board(depth, width, height)) == found


@pytest.mark.parametrize(("volts", "between"), [
    (120, False), (208, True), (230, False), (277, False), (400, True), (415, True), (480, True),
])  # fmt: skip
def test_volts_of_a_whole_network_are_asked_about(volts: float, between: bool) -> None:
    # IEC 60038: 230/400 V; ANSI C84.1: 120/208 and 277/480 V; 240/415 V before (from memory)
    (found,) = of(board(900, volts=volts), "electrical-depth")
    assert ("between phases" in found.text) is between


@pytest.mark.parametrize(("opposite", "depth"), [("nothing", 914.4), ("grounded", 1066.8), ("live", 1219.2)])
def test_c20_working_space_at_277_v(opposite: str, depth: float) -> None:
    # 29 CFR 1910.303, Table S-1
    assert electrical(board(depth, volts=277.0, opposite=opposite)) == []
    assert electrical(board(depth - 1, volts=277.0, opposite=opposite)) == [("depth", "correct")]


@pytest.mark.parametrize("opposite", ["nothing", "grounded", "live"])
@pytest.mark.parametrize("volts", [150.0, 150.5])
def test_the_first_row_of_table_s_1_goes_to_150_v(opposite: str, volts: float) -> None:
    # 29 CFR 1910.303, Table S-1: 0-150 V to ground 3 ft; 151-600 V 3, 3 1/2 and 4 ft by what is opposite
    feet = 3.0 if volts <= 150 else {"nothing": 3.0, "grounded": 3.5, "live": 4.0}[opposite]
    for less, found in ((0, []), (1, [("depth", "correct")])):
        assert electrical(board(feet * 304.8 - less, volts=volts, opposite=opposite)) == found
    old = depth_limit(volts, opposite, date(1980, 1, 1))
    thirty_inches = opposite == "nothing" or (opposite == "grounded" and volts <= 150)  # note 1
    assert old is not None and (old.figure == 762.0) is thirty_inches


@pytest.mark.parametrize(
    ("installed", "height", "found"),
    [("2005-06-01", 1905, []), ("2007-08-12", 1905, []), ("2007-08-13", 1981.2, []),
     ("2005-06-01", 1904, [("height", "correct")]), ("2007-08-12", 1904, [("height", "correct")]),
     ("2007-08-13", 1980, [("height", "correct")]),
     (None, 1950, [("height", "missing")]), (None, 1900, [("height", "correct")])],
)  # fmt: skip
def test_c22_headroom_by_year(installed: str | None, height: float, found: list[tuple[str, str]]) -> None:
    # 29 CFR 1910.303(g)(1)(vi), from memory: 6.25 ft before 13 Aug 2007, 6.5 ft since
    day = None if installed is None else date.fromisoformat(installed)
    there = board(height=height, installed=day)
    assert electrical(there) == found
    if found == [("height", "correct")]:
        assert "from memory" in of(there, "electrical-height")[0].text


@pytest.mark.parametrize(
    ("installed", "opposite", "depth", "found"),
    [("1979-01-01", "nothing", 762, 0), ("1979-01-01", "grounded", 762, 0), ("1979-01-01", "nothing", 761, 1),
     ("1981-04-16", "nothing", 762, 1), ("1979-01-01", "live", 762, 1)],
)  # fmt: skip
def test_c23_old_installations(installed: str, opposite: str, depth: float, found: int) -> None:
    # 29 CFR 1910.303, Table S-1 note 1 (state copy WAC 296-24-95703): 2 ft 6 in before 16 April 1981
    there = board(depth, opposite=opposite, installed=date.fromisoformat(installed))
    assert electrical(there) == [("depth", "correct")] * found


@pytest.mark.parametrize(("leaf", "found"), [(914, []), (1000, [("depth", "correct")])])
def test_c25_the_depth_takes_the_door_leaf(leaf: float, found: list[tuple[str, str]]) -> None:
    # 29 CFR 1910.303(g)(1)(i)(B): doors open at least 90 degrees
    there = board(914.4, equipment=Equipment(500, 1500, leaf))
    assert electrical(there) == found
    assert [f.limit for f in of(there, "electrical-depth")] == [1000] * len(found)


@pytest.mark.parametrize(
    ("amps", "width", "found"), [(1199, 2000, []), (1200, 1828.8, []), (1200, 1829, [("way-in", "note")])]
)
def test_c26_an_entrance_at_each_end(amps: float, width: float, found: list[tuple[str, str]]) -> None:
    # 29 CFR 1910.303(g)(1)(iv), from memory: 1200 A and more than 6 ft
    assert electrical(board(equipment=Equipment(width, 1500, None, amps), entrances=1)) == found


@pytest.mark.parametrize(("volts", "found"), [(600, []), (601, [("depth", "missing")])])
def test_c28_above_600_v(volts: float, found: list[tuple[str, str]]) -> None:
    there = board(volts=volts)
    assert [each for each in electrical(there) if each[0] == "depth"] == found
    assert row(there, "electrical-depth").state == ("not judged" if found else "judged")


def test_no_figure_for_uk_is_said_with_advice() -> None:
    # Electricity at Work Regulations 1989, reg. 15 gives none
    there = replace(board(200), rules="uk")
    (found,) = of(there, "electrical-depth")
    assert not found.judged and found.gap == "breaks" and found.grade == "note"
    for words in (
        "no figure for uk",
        "Electricity at Work Regulations 1989 reg. 15",
        "us 914 mm",
        "short by 714 mm",
    ):
        assert words in found.text
    assert row(there, "electrical-depth").state == "not judged"


# --- extinguishers ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mass", "top", "bottom", "wheeled", "found"),
    [(18.14, 1524, 101.6, False, 0), (18.15, 1066.8, 101.6, False, 0), (18.14, 1525, 101.6, False, 1),
     (18.15, 1067.8, 101.6, False, 1), (18.14, 1524, 100.6, False, 1), (30, 1900, 0, True, 0)],
)  # fmt: skip
def test_c29_how_high_it_hangs(mass: float, top: float, bottom: float, wheeled: bool, found: int) -> None:
    # NFPA 10, 6.1.3.8.1-.3
    hung = Mounted(top, bottom, mass, wheeled=wheeled)
    clear = KeepClear("e", "the ext", "hall", box(0, 0, 600, 600), "extinguisher", mounted=hung)
    assert grades(shop(rules="us", keep_clear=[clear]), "extinguisher") == ["correct"] * found


def ext(classes: tuple[str, ...], at: float = 0.0) -> KeepClear:
    """An extinguisher whose area is a point's breadth about (at, 500)."""
    return KeepClear("e", "the ext", "hall", box(at, 499, at + 2, 501), "extinguisher", for_classes=classes)


@pytest.mark.parametrize(("metres", "found"), [(15.24, 0), (15.30, 1)])
def test_c31_class_b_from_a_petrol_can(metres: float, found: int) -> None:
    # 29 CFR 1910.157(d)(4): 50 ft
    pile = Pile()
    pile.add("can", pile.at(1 + metres * 1000, 500), size=(200, 200, 300), cautions=["petrol"])
    there = shop(rules="us", rooms=[BIG], keep_clear=[ext(("B",))])
    assert grades(there, "extinguisher-travel", pile) == ["correct"] * found


@pytest.mark.parametrize(("metres", "found"), [(22.86, 0), (22.90, 1)])
def test_c31_class_a_from_the_farthest_spot(metres: float, found: int) -> None:
    # 29 CFR 1910.157(d)(2): 75 ft
    room = Room("hall", "the hall", box(0, 499, 1 + metres * 1000, 501), headroom_mm=3000)
    there = shop(rules="us", rooms=[room], keep_clear=[ext(("A",))])
    assert grades(there, "extinguisher-travel") == ["correct"] * found


def test_c32_a_rack_makes_the_walk_longer_and_is_named() -> None:
    # Half the way 7.0 m, the rack sticks out 3.2078 m on both sides of it: 2 x hypot(7, 3.2078) = 15.40 m.
    clear = replace(ext(("B",)), outline=box(0, 29_999, 2, 30_001))
    there = shop(rules="us", rooms=[BIG], keep_clear=[clear])
    pile = Pile()
    pile.add("can", pile.at(14_001, 30_000), size=(200, 200, 300), cautions=["petrol"])
    assert grades(there, "extinguisher-travel", pile) == []
    rack = Fixture(
        "rack", "the rack", "hall", box(7000.5, 30_000 - 3207.8, 7001.5, 30_000 + 3207.8), top_mm=2200
    )
    (found,) = of(replace(there, fixtures={"rack": rack}), "extinguisher-travel", pile)
    assert found.measured == pytest.approx(15_400, abs=20) and "the rack" in found.text


def test_c34_and_c86_one_without_a_class() -> None:
    two = [ext(("A", "B")), replace(ext(()), key="e2", name="ext 2")]
    there = shop(rules="us", keep_clear=two)
    (found,) = [f for f in of(there, "extinguisher-travel") if not f.judged]
    assert found.id == "not-judged/extinguisher-travel/keep clear:e2" and "for: [A, B]" in found.remedy
    partly = row(there, "extinguisher-travel")
    assert (partly.state, partly.things, partly.judged) == ("partly", 2, 1)
    pile = Pile()
    doc = {"kind": "note", "by": "ann", "why": "scrapped soon", "since": "2026-02-12"}
    pile.more = {"accepted": {found.id: doc}}
    after = row(there, "extinguisher-travel", pile)
    assert (after.state, after.judged) == ("partly", 1)
    assert "dismissed by ann" in after.why and "scrapped soon" in after.why


# --- hot work ---------------------------------------------------------------------------------------------

FORGE = Fixture("forge", "the forge", "hall", box(0, 0, 1000, 1000), top_mm=900, hot=True)


def by_the_forge(far: float, caution: str, **more: Any) -> tuple[Shop, Pile]:
    pile = Pile()
    pile.add("thing", pile.at(1000 + far + 200, 500), size=(400, 300, 200), cautions=[caution])
    return shop(rules="us", rooms=[BIG], fixtures=[FORGE], **more), pile


@pytest.mark.parametrize(("far", "found"), [(10_668, []), (10_667, ["correct"])])
def test_c35_petrol_35_ft_from_the_forge(far: float, found: list[str]) -> None:
    # 29 CFR 1910.252(a)(2)(vii)
    there, pile = by_the_forge(far, "petrol")
    assert grades(there, "hot-work", pile) == found
    assert [f.limit for f in of(there, "hot-work", pile) if f.judged] == [10_668] * len(found)


def two_rooms(**door: Any) -> Shop:
    hall = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
    store = Room("store", "the store", box(10_200, 0, 20_000, 8000), headroom_mm=3000)
    jambs = ((10_000.0, 100.0), (10_000.0, 1100.0))
    way = Door(
        "d", "the doorway", "hall", "store", jambs, 1000, 2100, "open", box(9999, 100, 10_201, 1100), **door
    )
    forge = replace(FORGE, outline=box(5900, 100, 6900, 1100))  # 3100 from the doorway
    return shop(rules="us", rooms=[hall, store], doors=[way], fixtures=[forge])


@pytest.mark.parametrize(
    ("y", "shut", "found"), [(7500, None, ["note"]), (600, None, ["correct"]), (600, True, [])]
)
def test_c37_through_a_doorway(y: float, shut: bool | None, found: list[str]) -> None:
    # 29 CFR 1910.252(a)(2)(i); hidden behind the wall no straight line leads to it
    pile = Pile()
    pile.add("can", pile.at(11_000, y, room="store"), size=(300, 300, 300), cautions=["petrol"])
    there = two_rooms(kept_shut=shut)
    assert grades(there, "hot-opening", pile) == found
    if found:
        assert "3100 mm" in of(there, "hot-opening", pile)[0].text


@pytest.mark.parametrize(("covered", "found", "gap"), [(True, 0, 0), (False, 1, 0), (None, 0, 1)])
def test_c38_an_open_hatch(covered: bool | None, found: int, gap: int) -> None:
    # 29 CFR 1910.252(a)(2)(i)
    cellar = Room("cellar", "the cellar", box(20_000, 0, 30_000, 8000), headroom_mm=2000)
    hatch = Opening("h", "the hatch", "hall", "hatch", box(4000, 0, 5000, 1000), to="cellar", covered=covered)
    pile = Pile()
    pile.add("rags", pile.at(20_500, 500, room="cellar"), size=(300, 300, 300), cautions=["oily rags"])
    there = shop(rules="us", rooms=[HALL, cellar], fixtures=[replace(FORGE, outline=box(0, 0, 1000, 1000))])
    there = replace(there, openings={"h": hatch})
    if found:
        far = replace(cellar, outline=box(10_100, 0, 20_000, 8000))
        pile = Pile()
        pile.add("rags", pile.at(10_500, 500, room="cellar"), size=(300, 300, 300), cautions=["oily rags"])
        there = replace(there, rooms={"hall": HALL, "cellar": far})
    assert grades(there, "hot-opening", pile) == ["correct"] * found
    assert gaps(there, "hot-opening", pile) == ["missing"] * gap
    if found:
        text = of(there, "hot-opening", pile)[0].text
        assert "the hatch" in text and "rags" in text


NOT_BURNING = ["argon", "CO2", "battery acid", "left-hand thread", "oxygen",
               "non-flammable", "not flammable", "solvent-free", "flame retardant", "burns skin "
               "(corrosive)"]  # fmt: skip
BURNING = ["highly inflammable", "LPG", "acetylene", "oily rags, self-heating",
           "white spirit", "thinners", "H225",
           "cardboard", "diesel", "meths", "flammable, non-toxic"]  # fmt: skip


@pytest.mark.parametrize("caution", NOT_BURNING)
def test_c40_c41_what_does_not_burn(caution: str) -> None:
    there, pile = by_the_forge(1000, caution)
    assert grades(there, "hot-work", pile) == []


@pytest.mark.parametrize("caution", BURNING)
def test_c40_c41_what_burns(caution: str) -> None:
    there, pile = by_the_forge(1000, caution)
    assert grades(there, "hot-work", pile) == ["correct"]


def test_c43_unknown_words_are_asked_about_once() -> None:
    there, pile = by_the_forge(1000, "spicy")
    pile.add("second", pile.at(20_000, 20_000), cautions=["Spicy"])
    pile.add("third", pile.at(22_000, 20_000), cautions=["sharp"])
    (found,) = of(there, "hazard-words", pile)
    assert not found.judged and "'spicy' (2 parts)" in found.text and "sharp" not in found.text
    assert row(there, "hot-work", pile).state in ("partly", "not judged")
    assert grades(there, "hot-work", pile) == []


@pytest.mark.parametrize(("far", "found"), [(10_668, 0), (5000, 1)])
def test_c44_ordinary_combustibles(far: float, found: int) -> None:
    there, pile = by_the_forge(far, "cardboard")
    assert grades(there, "hot-work", pile) == ["correct"] * found


def test_a_zone_with_cautions_counts_when_empty() -> None:
    shelf = zone("s", (1500, 0), (1000, 400), kind="shelf", levels=[Level("1", 900)], cautions=("flammable",))
    there = shop(rules="us", rooms=[BIG], fixtures=[FORGE], zones=[shelf])
    assert grades(there, "hot-work") == ["correct"]


# --- flammables -------------------------------------------------------------------------------------------


def cans(pairs: list[tuple[str, dict[str, Any]]], zone_key: str = "hall", **more: Any) -> Pile:
    pile = Pile()
    for n, (caution, details) in enumerate(pairs):
        where = pile.at(1000 + 700 * n, 1000, room=zone_key)
        pile.add(f"can{n}", where, size=(300, 300, 300), cautions=[caution], details=details, **more)
    return pile


@pytest.mark.parametrize(
    ("liquids", "limit"),
    [([("petrol", 94.6)], 0), ([("petrol", 94.7)], 94.635295), ([("thinners", 454.2)], 0),
     ([("thinners", 454.3)], 454.249414), ([("thinners", 230.0), ("thinners", 230.0)], 454.249414)],
)  # fmt: skip
def test_c46_c47_outside_cabinets(liquids: list[tuple[str, float]], limit: float) -> None:
    # 29 CFR 1910.106(e)(2)(ii)(b): 25 gal of category 1, 120 gal of 2 to 4
    pile = cans([(word, {"volume": litres}) for word, litres in liquids])
    found = [f for f in of(shop(rules="us"), "liquids-open", pile) if f.judged]
    assert [(f.grade, f.limit) for f in found] == ([("correct", pytest.approx(limit))] if limit else [])


@pytest.mark.parametrize(
    ("caution", "details", "found"),
    [("petrol", {"volume": 50.0}, []), ("petrol", {"volume": 50.1}, ["note"]),
     ("white spirit", {"volume": 250.0, "flash point": 40.0}, []),
     ("white spirit", {"volume": 250.1, "flash point": 40.0}, ["note"]),
     ("acetone", {"volume": 50.1}, ["note"]), ("white spirit", {"volume": 50.1}, []),
     ("white spirit", {"volume": 50.1, "flash point": 20.9}, ["note"]),
     ("white spirit", {"volume": 50.1, "flash point": 21.0}, []),
     ("pool chlorine", {}, ["correct"]), ("battery acid", {}, ["correct"])],
)  # fmt: skip
def test_c49_in_a_cabinet(caution: str, details: dict[str, Any], found: list[str]) -> None:
    # DSEAR L138: 50 L and 250 L recommended; no oxidisers or corrosives with them
    from shopbins.ledger.model import InZone

    pile = Pile()
    pile.add("can", InZone("c", "1"), cautions=[caution], details=details)
    there = shop(
        rules="uk",
        zones=[zone("c", (0, 0), (1000, 500), kind="shelf", levels=[Level("1", 300)], cabinet=True)],
    )
    assert grades(there, "liquids-cabinet", pile) == found


@pytest.mark.parametrize(
    ("liquids", "found"),
    [([("H224", 5.0), ("H225", 15.0)], 0), ([("H224", 5.0), ("H225", 15.1)], 1), ([("H224", 10.0)], 0),
     ([("H224", 10.1)], 1), ([("H226", 100.0)], 0), ([("H226", 100.1)], 1)],
)  # fmt: skip
def test_c50_de_in_workrooms(liquids: list[tuple[str, float]], found: int) -> None:
    # TRGS 510 table 1: 20 kg of category 1 and 2, of it 10 kg of 1; 100 kg of 3
    pile = Pile()
    for n, (word, kg) in enumerate(liquids):
        pile.add(f"can{n}", pile.at(1000 + 700 * n, 1000), size=(300, 300, 300), kg=kg, cautions=[word])
    assert grades(shop(rules="eu", country="de"), "liquids-open", pile) == ["correct"] * found


@pytest.mark.parametrize(
    ("caution", "stuff", "litres", "approved", "found"),
    [("petrol", "metal", 3.78, None, 0), ("thinners", "metal", 18.9, None, 0),
     ("thinners", "plastic", 0.94, None, 0),
     ("thinners", "metal", 20.0, None, 1), ("thinners", "plastic", 1.0, None, 1),
     ("petrol", "glass", 0.5, None, 1),
     ("thinners", "plastic", 18.9, True, 0)],
)  # fmt: skip
def test_c52_containers(caution: str, stuff: str, litres: float, approved: bool | None, found: int) -> None:
    # 29 CFR 1910.106 Table H-12; OSHA letter of 22 December 1997
    details = {"volume": litres, "kept in": stuff} | ({} if approved is None else {"approved": approved})
    assert grades(shop(rules="us"), "liquids-container", cans([(caution, details)])) == ["correct"] * found


@pytest.mark.parametrize(("can", "found", "gap"), [(True, 0, 0), (False, 1, 0), (None, 0, 1)])
def test_c53_rags(can: bool | None, found: int, gap: int) -> None:
    # 29 CFR 1910.106(e)(9)(iii), from memory
    pile = cans([("oily rags", {} if can is None else {"metal lidded can": can})])
    there = shop(rules="us")
    assert (grades(there, "rags", pile), gaps(there, "rags", pile)) == (
        ["correct"] * found,
        ["missing"] * gap,
    )
    if found:
        assert "from memory" in of(there, "rags", pile)[0].text


# --- keeping apart ----------------------------------------------------------------------------------------


def gases(far: float, *, in_use: bool = False, barrier: float | None = None) -> tuple[Shop, Pile]:
    pile, details = Pile(), {"in use": True} if in_use else {}
    pile.add("oxy", pile.at(1000, 1000), size=(200, 200, 1500), cautions=["oxygen"], details=details)
    pile.add("acy", pile.at(1200 + far, 1000), size=(200, 200, 1500), cautions=["acetylene"], details=details)
    screen = [] if barrier is None else [
        Fixture("w", "the wall", "hall", box(1900, 500, 2000, 1500), top_mm=barrier, fire_barrier=True)
    ]  # fmt: skip
    return shop(rules="us", rooms=[BIG], fixtures=screen), pile


@pytest.mark.parametrize(
    ("far", "in_use", "barrier", "found"),
    [(6096, False, None, 0), (2000, False, 1524, 0), (2000, True, None, 0), (6095, False, None, 1),
     (2000, False, 1523, 1)],
)  # fmt: skip
def test_c55_oxygen_and_acetylene(far: float, in_use: bool, barrier: float | None, found: int) -> None:
    # 29 CFR 1910.253(b)(4)(iii): 20 ft, or a barrier 5 ft high; OSHA letter of 8 July 1999 (in use)
    there, pile = gases(far, in_use=in_use, barrier=barrier)
    assert grades(there, "oxygen", pile) == ["correct"] * found


@pytest.mark.parametrize(("place", "found"), [("store", 0), ("hall", 1), ("cabinet", 0)])
def test_c56_oxidiser_and_petrol(place: str, found: int) -> None:
    # UN/IMDG general segregation table 7.2.4: 2
    from shopbins.ledger.model import InZone

    store = Room("store", "the store", box(10_200, 0, 20_000, 8000), headroom_mm=3000)
    cabinet = zone("c", (5000, 0), (1000, 500), kind="shelf", levels=[Level("1", 300)], cabinet=True)
    pile = Pile()
    pile.add("chlorine", pile.at(1000, 1000), cautions=["pool chlorine"])
    where = {
        "store": pile.at(11_000, 1000, room="store"),
        "hall": pile.at(8000, 7000),
        "cabinet": InZone("c", "1"),
    }
    pile.add("can", where[place], cautions=["petrol"])
    for rules in ("us", "uk", "eu", "own"):
        there = shop(rules=rules, rooms=[HALL, store], zones=[cabinet])
        assert grades(there, "apart", pile) == ["correct"] * found


@pytest.mark.parametrize(
    ("details", "found", "gap"),
    [({"upright": True, "chained": True, "cap": True}, 0, 0),
     ({"upright": False, "chained": True, "cap": True}, 1, 0),
     ({"upright": True, "chained": False, "cap": True}, 1, 0), ({"upright": True, "chained": True}, 0, 1)],
)  # fmt: skip
def test_c58_an_acetylene_cylinder(details: dict[str, bool], found: int, gap: int) -> None:
    # 29 CFR 1910.253(b)(2)(iv), (b)(3)(ii)
    pile = cans([("acetylene", details)])
    there = shop(rules="us")
    assert (grades(there, "cylinder", pile), gaps(there, "cylinder", pile)) == (
        ["correct"] * found,
        ["missing"] * gap,
    )


@pytest.mark.parametrize(("first", "second", "far", "found"), [
    ("oily rags", "petrol", 5000, ["correct"]), ("LPG", "battery acid", 3000, []),
    ("LPG", "battery acid", 2999, ["note"]),
])  # fmt: skip
def test_c59_by_the_table(first: str, second: str, far: float, found: list[str]) -> None:
    # UN/IMDG 7.2.4: self-heating with liquid 2; flammable gas with corrosive 1 (3 m: own figure)
    from shopbins.ledger.model import InZone

    spot = zone("spot", (0, 0), (1000, 1000))
    pile = Pile()
    pile.add("a", InZone("spot", "", 800, 500, 0, measured=True), size=(400, 300, 200), cautions=[first])
    pile.add("b", pile.at(1000 + far + 200, 500), size=(400, 300, 200), cautions=[second])
    assert grades(shop(zones=[spot]), "apart", pile) == found


# --- loads, heights, floors -------------------------------------------------------------------------------


@pytest.mark.parametrize(("kg", "found"), [(1835, "note"), (1836, "stop")])
def test_c61_point_load_on_four_supports(kg: float, found: str) -> None:
    # g = 9.80665: a quarter of 1835 kg is 4.4988 kN, of 1836 kg 4.5013
    pile = Pile()
    pile.add("lump", pile.at(5000, 4000), size=(1000, 800, 700), kg=kg)
    (seen,) = of(shop(rooms=[replace(HALL, point_load_kn=4.5)]), "point-load", pile)
    assert seen.grade == found
    if found == "stop":
        assert seen.measured == pytest.approx(4.5013, abs=0.0005)


@pytest.mark.parametrize(
    ("high", "floor", "back", "found"),
    [(1599, False, False, []), (1601, False, False, ["correct"]), (1601, None, None, ["note"]),
     (2401, True, False, ["correct"]), (2400, True, False, []), (2401, True, True, []),
     (2401, True, None, ["note"]), (1601, False, None, ["correct"])],
)  # fmt: skip
def test_c62_shelving_by_its_depth(
    high: float, floor: bool | None, back: bool | None, found: list[str]
) -> None:
    # SEMA low-rise code, section 9: above 4 times bolted down, above 6 tied
    levels = [Level("1", 100), Level("2", 1500)]
    rack = zone("r", (0, 0), (1000, 400), kind="shelf", levels=levels, total_height_mm=high,
                fixed_floor=floor,
                fixed_back=back)  # fmt: skip
    told = of(shop(rules="uk", zones=[rack]), "slender")
    assert [f.grade for f in told if f.judged] == found
    assert all(("it is not said" in f.text) is (f.grade == "note") for f in told), "unknown is not no"


@pytest.mark.parametrize(
    ("top", "floor", "back", "found"),
    [(2000, False, False, []), (2001, False, False, ["correct"]), (2001, True, False, ["note"]),
     (2001, False, None, ["note"]), (2001, False, True, [])],
)  # fmt: skip
def test_shelving_in_germany_by_its_top_level(
    top: float, floor: bool | None, back: bool | None, found: list[str]
) -> None:
    # DGUV Information 208-061 (was Regel 108-007, 4.2.1): the top level 5 times as high as it is deep
    rack = zone("r", (0, 0), (1000, 400), kind="shelf", levels=[Level("1", 100), Level("2", top)],
                total_height_mm=9000, fixed_floor=floor, fixed_back=back)  # fmt: skip
    assert grades(shop(rules="eu", country="de", zones=[rack]), "slender") == found


@pytest.mark.parametrize(("floor", "found"), [(True, []), (False, ["correct"]), (None, ["missing"])])
def test_shelving_served_by_a_truck_is_bolted_down(floor: bool | None, found: list[str]) -> None:
    # SEMA low-rise code, section 9
    rack = zone("r", (0, 0), (1000, 400), kind="shelf", levels=[Level("1", 100), Level("2", 700)],
                total_height_mm=900, fixed_floor=floor, for_truck=True)  # fmt: skip
    told = of(shop(rules="uk", zones=[rack]), "slender")
    assert [f.grade if f.judged else f.gap for f in told] == found


@pytest.mark.parametrize(
    ("country", "height", "found"),
    [
        ("", 1200, []),
        ("", 1201, ["note"]),
        ("", 2401, ["note"]),
        ("de", 1200, []),
        ("de", 2400, ["note"]),
        ("de", 2401, ["correct"]),
    ],
)
def test_c64_a_stack_on_400_by_600(country: str, height: float, found: list[str]) -> None:
    # 3:1 common practice, no source; DGUV Information 208-048, 2.2: 6:1
    pile = Pile()
    pile.add("base", pile.at(5000, 4000), size=(600, 400, 200))
    pile.add("top", InGroup("base", "on"), size=(600, 400, height - 200))
    sets = ("us", "uk", "own", "eu") if not country else ("eu",)
    for rules in sets:
        assert grades(shop(rules=rules, country=country), "tall-stack", pile) == found
    alone = Pile()
    alone.add("mast", alone.at(5000, 4000), size=(600, 400, height))
    assert grades(shop(rules=sets[-1], country=country), "tall-stack", alone) == [], "one thing is no stack"


@pytest.mark.parametrize(("percent", "found"), [(8.33, []), (8.34, ["note"])])
def test_c65_a_floor_steeper_than_a_ramp(percent: float, found: list[str]) -> None:
    # ADA 405.2: 1 in 12
    room = replace(HALL, slope=Slope(percent / 100, 90))
    assert grades(shop(rules="us", rooms=[room]), "ramp") == found


@pytest.mark.parametrize(
    ("covered", "at", "found", "gap"),
    [(True, 3000, [], 0), (False, 3000, ["stop"], 0), (False, 6500, ["correct"], 0), (None, 3000, [], 1)],
)
def test_c67_a_pit(covered: bool | None, at: float, found: list[str], gap: int) -> None:
    # 29 CFR 1910.28(b)(3), from memory
    pit = Opening("p", "the pit", "hall", "pit", box(4000, at, 5000, at + 900), covered=covered)
    there = replace(shop(walkways=[route()]), openings={"p": pit})
    assert (grades(there, "pit"), gaps(there, "pit")) == (found, ["missing"] * gap)


@pytest.mark.parametrize(
    ("rules", "clear", "found", "gap"),
    [("us", 457.2, [], []), ("us", 456.2, ["correct"], []), ("uk", 457.2, [], ["keeps"]),
     ("uk", 456.2, [], ["breaks"])],
)  # fmt: skip
@pytest.mark.parametrize("at", ["floor", "rack"])
def test_sprinklers(rules: str, clear: float, found: list[str], gap: list[str], at: str) -> None:
    # 29 CFR 1910.159(c)(10), from memory: 18 in
    hall = replace(HALL, sprinklers_mm=2400)
    rack = zone("rack", (0, 0), (1500, 500), kind="shelf", levels=[Level("1", 900), Level("2", 1400)])
    there, pile = shop(rules=rules, rooms=[hall], zones=[rack]), Pile()
    high = 2400 - clear
    where = pile.at(5000, 4000) if at == "floor" else InZone("rack", "2")
    pile.add("crate", where, size=(400, 300, high if at == "floor" else high - 1400))
    assert (grades(there, "sprinkler", pile), gaps(there, "sprinkler", pile)) == (found, gap)
    laid = [f for f in judge(pile.scene(there), "crate", where) if f.rule == "sprinkler" and f.judged]
    assert [f.grade for f in laid] == found
    assert of(shop(rules=rules, zones=[rack]), "sprinkler", pile) == []
    pile.add("odd", where, size=None)
    assert row(there, "sprinkler", pile).state == "not judged"


@pytest.mark.parametrize("rules", ["us", "uk", "eu", "own"])
def test_no_set_gives_a_width_for_an_aisle(rules: str) -> None:
    # 29 CFR 1910.176(a) and the duties of uk and eu give none: never a finding, always a row
    aisle = replace(route(), key="a", exit_route=False)
    there = shop(rules=rules, walkways=[aisle, route()])
    (found,) = of(there, "aisle")
    assert (found.subjects, found.judged, found.grade, found.gap) == (("walkway:a",), False, "note", "keeps")
    seen = row(there, "aisle")
    assert (seen.state, seen.things, seen.no_figure) == ("not judged", 1, True)
    assert row(shop(rules=rules, walkways=[route()]), "aisle").state == "not applicable"


# --- coverage ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rules", "gap"), [("us", "missing"), ("uk", "missing"), ("eu", "keeps"), ("own", "keeps")]
)
def test_no_extinguisher_drawn_is_not_told(rules: str, gap: str) -> None:
    there = shop(rules=rules)
    (found,) = of(there, "extinguisher-travel")
    assert (found.judged, found.grade, found.gap, found.source) == (False, "note", gap, "")
    seen = row(there, "extinguisher-travel")
    assert (seen.state, seen.things, seen.judged, seen.why) == ("not judged", 0, 0, found.text)
    for check in ("extinguisher", "extinguisher-seen"):
        assert (row(there, check).state, row(there, check).why) == (
            "not applicable",
            "no extinguisher in the shop file",
        )


def test_c85_an_empty_shop_is_judged_in_nothing() -> None:
    for rules in ("us", "uk", "eu", "own"):
        there = shop(rules=rules)
        scene = Pile().scene(there)
        rows = coverage(scene, audit(scene, TODAY))
        assert {each.state for each in rows} <= {"not applicable", "not judged"}, rows
        assert len({each.check for each in rows}) == len(rows)


def test_a_name_is_asked_about_and_never_judged() -> None:
    there, pile = by_the_forge(1000, "sharp")
    pile.add("switch, mercury", pile.at(30_000, 500))
    pile.add("petrol tank", pile.at(3000, 3000))
    assert grades(there, "hot-work", pile) == []
    (asked,) = of(there, "hazard-words", pile)
    assert "petrol tank" in asked.text and not asked.judged


def test_every_class_of_the_list_reads_its_own_words() -> None:
    for kind, words in hazards.WORDS.items():
        for word in words:
            assert kind in {h.kind for h in hazards.read(word).hazards}, (kind, word)


def test_what_is_not_measured_or_told_is_not_said_to_be_checked() -> None:
    rack = zone("rack", (0, 0), (1500, 500), kind="shelf", levels=[Level("1", 100), Level("2", 900)])
    there, pile = shop(zones=[rack]), Pile()
    pile.add("pump", InZone("rack", "1"), size=None, kg=None)
    pile.add("head", InZone("rack", "2"))
    pile.add("odd", pile.at(5000, 4000), size=None)
    pile.add("box", pile.at(6000, 6000))
    pile.add("lost", InZone("hall"))
    looked = {each: row(there, each, pile) for each in (
        "headroom", "overlap", "outside", "too-large", "full", "level-load", "zone-load")}  # fmt: skip
    told = {key: (each.state, each.judged, each.things) for key, each in looked.items()}
    assert told == {
        "headroom": ("partly", 3, 5), "overlap": ("partly", 1, 3), "outside": ("partly", 1, 3),
        "too-large": ("partly", 1, 2), "full": ("partly", 1, 2), "level-load": ("not judged", 0, 2),
        "zone-load": ("not judged", 0, 1),
    }  # fmt: skip
    assert all(not each.no_figure and each.set == "own" for each in looked.values())
    plate = replace(rack, levels=(Level("1", 100, load_kg=100), Level("2", 900, load_kg=100)), load_kg=200)
    assert row(shop(zones=[plate]), "level-load", pile).judged == 1  # the pump is not weighed
    roof = shop(zones=[rack], rooms=[replace(HALL, headroom_mm=None)])
    assert row(roof, "headroom", pile).state == "not judged"  # nor is anything over the upper level


@pytest.mark.parametrize(("kg", "gap"), [(99.0, "keeps"), (100.0, "missing")])
def test_the_load_of_a_level_is_asked_for_where_it_matters(kg: float, gap: str) -> None:
    # 100 kg: own figure
    rack = zone("rack", (0, 0), (1500, 500), kind="shelf", levels=[Level("1", 100), Level("2", 900)])
    pile = Pile()
    pile.add("iron", InZone("rack", "1"), kg=kg)
    assert gaps(shop(zones=[rack]), "level-load", pile) == [gap]


def test_unknown_is_never_nought() -> None:
    rack = zone("rack", (0, 0), (1500, 500), kind="shelf", levels=[Level("1", 100, load_kg=50)], cabinet=True)
    pile = Pile()
    pile.add("odd", pile.at(5000, 4000), kg=None, size=None)
    for n, (caution, where) in enumerate(
        itertools.product(("petrol", "lpg", "acetylene"), (pile.at(3000, 3000), InZone("rack", "1")))
    ):
        pile.add(f"can{n}", where, kg=None, size=None, cautions=[caution])
    for rules in ("us", "uk", "eu", "own"):
        for each in audit(pile.scene(shop(rules=rules, zones=[rack], premises="home")), TODAY):
            assert not re.search(r"\b0 (kg|mm|kN|L|m3)\b", each.text), each.text


@pytest.mark.parametrize(
    ("caution", "far", "exits", "found"),
    [("petrol", 3000, 1, 0), ("petrol", 2999, 1, 1), ("oxygen", 2999, 1, 1), ("petrol", 2999, 2, 0),
     ("cardboard", 100, 1, 0), ("sharp", 100, 1, 0)],
)  # fmt: skip
@pytest.mark.parametrize("rules", ["us", "uk", "eu", "own"])
def test_what_burns_beside_the_only_way_out(
    rules: str, caution: str, far: float, exits: int, found: int
) -> None:
    # 3 m: own figure, in every set
    back = replace(
        out(), key="back", jambs=((10_000, 3000), (10_000, 4000)), passage=box(9999, 3000, 10_200, 4000)
    )
    there, pile = shop(rules=rules, doors=[out(), back][:exits]), Pile()
    pile.add("can", pile.at(1 + far + 200, 3500), size=(400, 300, 200), cautions=[caution])
    told = of(there, "exit-free", pile)
    assert [(f.grade, f.at_mm) for f in told] == [("note", (201 + far, 3500))] * found
    assert row(there, "exit-free", pile).state == "judged"


@pytest.mark.parametrize(
    ("rules", "caution", "far", "use", "found"),
    [("us", "oily rags", 6096, False, 0), ("us", "oily rags", 6095, False, 1),
     ("us", "excelsior", 6095, False, 1), ("us", "cardboard", 100, False, 0),
     ("us", "oily rags", 100, True, 0), ("uk", "oily rags", 100, False, 0)],
)  # fmt: skip
def test_a_cylinder_from_oil_and_excelsior(
    rules: str, caution: str, far: float, use: bool, found: int
) -> None:
    # 29 CFR 1910.253(b)(2)(ii): 20 ft from highly combustible materials such as oil or excelsior
    details = {"upright": True, "chained": True, "cap": True, "in use": use}
    pile = Pile()
    pile.add("acy", pile.at(1000, 1000), size=(200, 200, 1500), cautions=["acetylene"], details=details)
    pile.add("bin", pile.at(1200 + far, 1000), size=(200, 200, 300), cautions=[caution])
    assert grades(shop(rules=rules, rooms=[BIG]), "cylinder", pile) == ["correct"] * found
