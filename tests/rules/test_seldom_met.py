"""Sills, slopes, low beams, what leans, signs, metal walls, vapours and emergency doors: at their figures.

The source stands beside each; 'from memory' where the figure was not looked up again.
"""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

import pytest
from building import Pile, box, gaps, grades, of, row, shop, zone

from shopbins import rules as package
from shopbins.ledger.model import InZone
from shopbins.rules import limits
from shopbins.rules.say import mm_pair
from shopbins.shop.model import (
    Door,
    Fixture,
    KeepClear,
    Level,
    Limits,
    Mounted,
    Room,
    Shop,
    Slope,
    Walkway,
    Wall,
)

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
FORGE = Fixture("forge", "the forge", "hall", box(7000, 3000, 8000, 4000), top_mm=900, hot=True)


def gate(width: float = 1000, **more: Any) -> Door:
    jambs = ((0.0, 3000.0), (0.0, 3000.0 + width))
    fields = {"height_mm": 2100.0, "opens": "open", "passage": box(-200, 3000, 1, 3000 + width)}
    return Door("gate", "the gate", "hall", "outside", jambs, width, **{**fields, **more})


# --- floors and heads -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("rules", "high", "limit"), [
    ("us", 5, None), ("us", 6, 6), ("us", 13, 6), ("us", 14, 13),
    ("uk", 15, 6), ("uk", 16, 15), ("eu", 16, 6), ("own", 16, 6),
])  # fmt: skip
def test_a_sill(rules: str, high: float, limit: float | None) -> None:
    # ADA Standards 404.2.5: thresholds 1/2 in (13 mm) high at most; 15 mm Approved Document M; both from
    # memory. 6 mm: own figure
    found = of(shop(rules=rules, doors=[gate(threshold_mm=high)]), "step")
    assert [(f.grade, f.limit) for f in found] == ([] if limit is None else [("note", limit)])
    assert all(("at most" in f.text) is (limit != 6) for f in found)


@pytest.mark.parametrize(("rules", "fall", "gap"), [
    ("own", 1 / 12, ["keeps"]), ("own", 0.084, ["breaks"]), ("eu", 0.084, ["breaks"]), ("us", 1 / 12, []),
    ("uk", 1 / 12, []),
])  # fmt: skip
def test_a_slope_without_a_figure_is_told_with_advice(rules: str, fall: float, gap: list[str]) -> None:
    # ADA Standards 405.2: ramps not steeper than 1:12
    there = shop(rules=rules, rooms=[replace(HALL, slope=Slope(fall, 90))])
    assert (grades(there, "ramp"), gaps(there, "ramp")) == ([], gap)
    assert all("1 in 12" in f.text for f in of(there, "ramp"))


@pytest.mark.parametrize(("own", "base", "found"), [
    (None, 1950, []), (None, 1949, [("note", 1950)]), (2000, 2000, []), (2000, 1999, [("correct", 2000)]),
])  # fmt: skip
@pytest.mark.parametrize("y", [2000, 6000])
def test_a_beam_over_a_walkway(own: float | None, base: float, found: list[Any], y: float) -> None:
    # 1950 mm: own figure
    beam = Fixture("beam", "the beam", "hall", box(4000, y - 100, 5000, y + 100), base_mm=base, top_mm=2500)
    way = Walkway("w", "the way", ((0, 2000), (9000, 2000)), 800, rooms=("hall",))
    there = shop(fixtures=[beam], walkways=[way], limits=Limits(headroom_mm=own))
    told = of(there, "low-head")
    assert [(f.grade, f.limit) for f in told] == (found if y == 2000 else [])
    assert all(
        (("your own least" in f.text), ("pad and mark" in f.text)) == (own is not None, own is None)
        for f in told
    )


# --- what stands and leans --------------------------------------------------------------------------------


@pytest.mark.parametrize(("size", "kg", "details", "found", "gap"), [
    ((1500, 50, 20), 25.0, {}, [], []), ((1501, 50, 20), 1.0, {}, [1500], []),
    ((50, 20, 1501), 1.0, {}, [1500], []), ((50, 1501, 20), None, {}, [1500], []),
    ((900, 50, 20), 25.1, {}, [25], []), ((1501, 50, 20), 30.0, {"tied": True}, [], []),
    ((900, 50, 20), None, {}, [], ["missing"]), (None, 5.0, {}, [], ["missing"]), (None, 25.1, {}, [25], []),
])  # fmt: skip
def test_long_stock_that_leans(
    size: Any, kg: float | None, details: dict[str, Any], found: list[float], gap: list[str]
) -> None:
    # 1500 mm and 25 kg: own figures
    pile = Pile()
    pile.add("bar", pile.at(3000, 3000), size=size, kg=kg, details={"stands": "leaning", **details})
    assert [f.limit for f in of(shop(), "leaning", pile) if f.judged] == found
    assert gaps(shop(), "leaning", pile) == gap
    pile.groups["bar"]["details"] = {"stands": "upright"}
    assert of(shop(), "leaning", pile) == []


@pytest.mark.parametrize(("rules", "loads", "bay", "sign", "found", "gap"), [
    ("uk", (50, 50), None, False, ["note"], []), ("uk", (50, 50), None, None, [], ["missing"]),
    ("uk", (50, 50), None, True, [], []),
    ("eu", (200, 200), 1000, False, [], []), ("eu", (200, 201), 1000, False, ["note"], []),
    ("eu", (200, 200), 1001, False, ["note"], []), ("eu", (201, 100), None, None, [], ["missing"]),
    ("eu", (200,) * 5, None, False, [], []), ("eu", (200,) * 6, None, False, ["note"], []),
])  # fmt: skip
def test_a_sign_of_what_shelving_carries(
    rules: str, loads: tuple[float, ...], bay: float | None, sign: bool | None, found: list[str], gap: Any
) -> None:
    # SEMA and EN 15635: a load notice; DGUV Regel 108-007: from 200 kg a shelf, 1000 kg a bay; from memory
    levels = [Level(str(n), 100.0 + 300 * n, load_kg=kg) for n, kg in enumerate(loads)]
    rack = zone("r", (0, 0), (1500, 500), kind="shelf", levels=levels, load_kg=bay, load_sign=sign)
    there = shop(rules=rules, country="de" if rules == "eu" else "", zones=[rack])
    assert (grades(there, "load-sign"), gaps(there, "load-sign")) == (found, gap)


# --- hot work ---------------------------------------------------------------------------------------------


def beside(far: float, caution: str, of_what: str = "metal") -> tuple[Shop, Pile]:
    """The forge's hall, and a store whose thing stands so far from the hall."""
    store = Room("store", "the store", box(10_000, 0, 20_000, 8000), headroom_mm=3000)
    wall = Wall("partition", ("store", "hall"), of_what)  # type: ignore[arg-type]
    there = shop(rules="us", rooms=[HALL, store], fixtures=[FORGE], walls=MappingProxyType({"w": wall}))
    pile = Pile()
    pile.add("thing", pile.at(10_200 + far, 4000, room="store"), cautions=[caution])
    return there, pile


@pytest.mark.parametrize(("far", "caution", "wall", "found"), [
    (999, "cardboard", "metal", ["note"]), (1000, "cardboard", "metal", []), (999, "sharp", "metal", []),
    (999, "cardboard", "masonry", []),
])  # fmt: skip
def test_what_burns_behind_a_metal_wall(far: float, caution: str, wall: str, found: list[str]) -> None:
    # 29 CFR 1910.252(a)(2)(iii)(A)(4), from memory: precautions on the other side of a metal partition; the
    # metre is an own figure
    there, pile = beside(far, caution, wall)
    assert grades(there, "hot-through", pile) == found
    assert [f.measured for f in of(there, "hot-through", pile)] == [far] * len(found)
    if found:
        own = replace(there, rules="own")
        assert grades(own, "hot-through", pile) == [] and len(of(own, "hot-through", pile)) == 1


@pytest.mark.parametrize("rules", ["us", "uk", "eu", "own"])
@pytest.mark.parametrize(("caution", "room", "found"), [
    ("perchloroethylene", "hall", ["correct"]), ("tri", "hall", ["correct"]), ("tri", "store", []),
    ("acetone", "hall", []),
])  # fmt: skip
def test_degreasing_solvent_in_a_room_with_a_flame(
    rules: str, caution: str, room: str, found: list[str]
) -> None:
    # 29 CFR 1910.252(c)(11), from memory: chlorinated solvents are kept from where there is welding
    there, pile = beside(4000, "sharp")
    where = pile.at(2000, 2000) if room == "hall" else pile.at(15_000, 2000, room="store")
    pile.add("drum", where, cautions=[caution])
    assert grades(replace(there, rules=rules), "hot-vapour", pile) == found  # type: ignore[arg-type]


# --- ways out ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("rules", "kind", "enough"), [
    ("uk", "door", 1050), ("uk", "route", 1050), ("eu", "door", 1050), ("eu", "route", 1200),
])  # fmt: skip
@pytest.mark.parametrize("less", [0, 1])
def test_people_are_asked_for_where_they_may_decide(rules: str, kind: str, enough: float, less: int) -> None:
    # Approved Document B Table 2.3: 1050 mm for up to 220; ASR A2.3: doors 1050, routes 1200 for up to 200
    width = enough - less
    door = gate(width if kind == "door" else 2000, exit=True)
    way = Walkway("r", "the route", ((0, 3500), (9000, 3500)), width, exit_route=True, rooms=("hall",))
    there = shop(rules=rules, country="de" if rules == "eu" else "", rooms=[HALL], doors=[door],
                 walkways=[way] if kind == "route" else [])  # fmt: skip
    assert gaps(there, "exit-width") == ["missing"] * less


@pytest.mark.parametrize(("rules", "opens", "into", "emergency", "found"), [
    ("uk", "hinged", "outside", True, []), ("uk", "hinged", "hall", True, ["correct"]),
    ("uk", "sliding", None, True, ["correct"]), ("uk", "sliding", None, False, []),
    ("eu", "hinged", "outside", False, []), ("eu", "hinged", "hall", False, ["correct"]),
    ("eu", "sliding", None, False, ["correct"]),
])  # fmt: skip
def test_an_emergency_door(
    rules: str, opens: Any, into: str | None, emergency: bool, found: list[str]
) -> None:
    # Regulatory Reform (Fire Safety) Order 2005 art. 14(2)(d), (e); 89/654/EEC Annex I 4.4: emergency doors
    # open outwards and do not slide
    door = gate(opens=opens, swings_into=into, exit=True, emergency=emergency)
    assert grades(shop(rules=rules, doors=[door], limits=Limits(people=10)), "exit-door") == found


# --- what lacks a figure ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("litres", "gap"), [(20, ["missing"]), (None, ["keeps"])])
def test_an_own_limit_for_liquids_asks_how_much_there_is(litres: float | None, gap: list[str]) -> None:
    pile = Pile()
    pile.add("can", pile.at(3000, 3000), cautions=["petrol"])
    assert gaps(shop(rules="own", limits=Limits(liquids_l=litres)), "liquids-open", pile) == gap


@pytest.mark.parametrize(("rules", "says"), [("us", "top"), ("uk", "handle")])
def test_an_extinguisher_is_asked_for_the_height_its_set_speaks_of(rules: str, says: str) -> None:
    # NFPA 10, 6.1.3.8: its top and its bottom; BS 5306-8: its handle, by its mass; both from memory
    clear = KeepClear("e", "the ext", "hall", box(0, 0, 600, 600), "extinguisher")
    (found,) = of(shop(rules=rules, keep_clear=[clear]), "extinguisher")
    assert found.gap == "missing" and f"{{{says}:" in found.remedy


def test_each_level_in_use_is_a_place_looked_for_in_the_shop_file() -> None:
    rack = zone("r", (0, 0), (1500, 500), kind="shelf", levels=[Level("1", 100.0), Level("2", 900.0)])
    pile = Pile()
    for name, where in (("a", InZone("r", "1")), ("b", InZone("r", "2")), ("c", InZone("hall"))):
        pile.add(name, where)
    there = row(shop(zones=[rack]), "gone-place", pile)
    assert (there.things, there.judged) == (3, 3)


def test_lengths_are_told_apart_to_a_thousandth() -> None:
    assert mm_pair(699.9999, 700) == ("700 mm", "700 mm") and mm_pair(699.99, 700)[0] == "699.99 mm"


def test_every_figure_the_rules_ask_for_by_name_is_in_the_table() -> None:
    asked = []
    for path in Path(package.__path__[0]).glob("*.py"):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and ast.unparse(call.func) in (
                "limits.limit",
                "limits.known",
                "limits.figure",
            ):
                named = [each.value if isinstance(each, ast.Constant) else None for each in call.args]
                asked.append([*named, ""][:3])
    assert len(asked) > 100
    for each in asked:
        assert any(
            all(
                want in (None, have)
                for want, have in zip(each, (figure.check, figure.set, figure.of), strict=True)
            )
            and figure.given is not None
            for figure in limits.TABLE
        ), each


@pytest.mark.parametrize(("details", "gap"), [({}, 1), ({"upright": True, "chained": True, "cap": True}, 0)])
def test_what_lacks_a_word_is_not_said_to_have_unknown_ones(details: dict[str, Any], gap: int) -> None:
    pile = Pile()
    pile.add("acy", pile.at(1000, 1000), size=(200, 200, 1500), cautions=["acetylene"], details=details)
    found = of(shop(rules="us", rooms=[HALL]), "cylinder", pile)
    assert len(found) == gap and not any("not known as hazards" in f.text for f in found)


@pytest.mark.parametrize(("top", "mounted", "hidden"), [
    (1500.0, None, False), (1501.0, None, True), (1100.0, 1100.0, False), (1101.0, 1100.0, True),
])  # fmt: skip
def test_an_extinguisher_is_hidden_by_what_stands_higher_before_it(
    top: float, mounted: float | None, hidden: bool
) -> None:
    # of one whose height nobody told 1500 mm is taken: own figure
    hung = None if mounted is None else Mounted(mounted)
    clear = KeepClear("ext", "the ext", "hall", box(0, 3700, 600, 4300), "extinguisher", mounted=hung)
    cupboard = Fixture("c", "the cupboard", "hall", box(2000, 3500, 2400, 4500), top_mm=top)
    told = of(shop(rules="us", keep_clear=[clear], fixtures=[cupboard]), "extinguisher-seen")
    assert ["hidden" in f.text for f in told if f.judged] == [True] * hidden
