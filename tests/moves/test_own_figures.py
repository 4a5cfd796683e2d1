"""No figure of our own forbids a move by itself: as strict or as kind as can be, it adds no 'does not go' and
takes none away, but where it only softens what others forbid.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from types import SimpleNamespace
from typing import Any

import pytest
from building import box, shop, zone

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Outline, Pose
from shopbins.ledger.docs import group_doc
from shopbins.ledger.model import Group, InZone, Mass, Size
from shopbins.ledger.state import State
from shopbins.moves.attempt import Attempt
from shopbins.moves.body import body
from shopbins.moves.criteria import CRITERIA, Criterion
from shopbins.moves.finding import row_of
from shopbins.moves.force import roller_share
from shopbins.moves.gear import judge_gear
from shopbins.moves.heights import leans_mm, passed_under
from shopbins.moves.legs import legs_of
from shopbins.moves.lifting import shifts
from shopbins.moves.overedges import sills
from shopbins.moves.pressing import ratings, stood
from shopbins.moves.pushing import _pulled_low
from shopbins.moves.ramps import meeting
from shopbins.moves.room import _on_the_level, room_to_lift
from shopbins.moves.route import Route, ground
from shopbins.moves.running import runs_away
from shopbins.moves.shiftlist import By, Shifted, ShiftList
from shopbins.moves.situation import Situation
from shopbins.moves.standing import delicate_on
from shopbins.moves.tolerance import Found
from shopbins.records.moving import FIELD, At, Moving, moving_doc
from shopbins.scene.scene import build
from shopbins.shop.figures import FIGURES
from shopbins.shop.figures import Moving as Own
from shopbins.shop.model import Door, Fixture, Gear, Opening, Room, Slope

SOFTENS = {
    "handle aside": "who steers is never below the load (makers' handbooks): below is within 90 deg",
    "turn on slope": "gear that is not for slopes is not turned there (makers' handbooks): at all",
    "pushers": "a load that runs away is held by a brake or a line (derived): by hand where it is little",
    "open room": "nobody is shut in by the load (derived from the plan): where there is room to keep off it",
    "person": "ISO 13854: 500 mm for the body; the shop may ask for more",
}
"""Figures that only say from where on something forbidden by others is let off, each with what forbids it."""

Forbidden = tuple[str, tuple[str, ...]]
"""A rule and what it is about."""

GEAR = (
    Gear(
        "t", "the truck", "pallet truck", 2300.0, 70.0, wheels=4, over_forks_mm=400.0,
        between_forks_mm=120.0, fork_width_mm=140.0, fork_length_mm=1150.0, lowered_mm=85.0,
        raised_mm=200.0, wheel_mm=74.0, body_mm=400.0, steepest=0.1, clearance_mm=30.0,
    ),
    Gear("s", "the skates", "skates", 800.0, count=4, height_mm=110.0, wheel_mm=85.0, steering="axis"),
    Gear(
        "d", "the dolly", "trolley", 2000.0, 60.0, size_mm=(1000.0, 700.0), height_mm=120.0, wheel_mm=100.0,
        wheel_rating_kg=420.0,
    ),
    Gear(
        "c", "the crane", "engine crane", 2000.0, 88.0, size_mm=(1550.0, 1000.0), body_mm=250.0,
        height_mm=1550.0, inside_mm=1100.0, legs_mm=160.0, hook_mm=2150.0, reach=((900.0, 2000.0),),
    ),
)  # fmt: skip


def situations() -> Iterator[Situation]:
    """A press on each gear through a door with a sill or none, over covers, on slopes and on the level."""
    told = Moving(
        opening_mm=420, under_mm=110, cg_mm=(30.0, 20.0), cg_height_mm=800, sling_height_mm=1600,
        feet=tuple(At(x, y) for x in (-450, 450) for y in (-280, 280)),
        slinging=(At(-400, 0), At(400, 0)),
    )  # fmt: skip
    for gear in GEAR:
        low = replace(gear, raised_mm=95.0)
        yield _one(told, Slope(0.0, 0.0), 18.0, gear)
        yield _one(told, Slope(1 / 40, 0.0), 0.0, low)
        yield _one(told, Slope(1 / 15, 180.0), 18.0, low)
    yield on_ramps(_one(_told(), Slope(0.0, 0.0), 42.0, GEAR[1]))


def on_ramps(it: Situation) -> Situation:
    """Return a situation with ramps at the sill, 1 in 15, each strong enough, and 4 m of floor beyond."""
    (edge,) = it.edges
    run = (15 * edge.height_mm, 500.0)
    ramp = Gear("w", "wedge", "ramp", capacity_kg=3000.0, rise_mm=edge.height_mm, size_mm=run)
    rooms = {**it.scene.shop.rooms, "b": replace(it.scene.shop.rooms["b"], outline=box(4200, 0, 8200, 3000))}
    told = replace(it.scene.shop, rooms=rooms, gear={**it.scene.shop.gear, ramp.key: ramp})
    it = replace(it, scene=build(told, it.scene.state))
    return replace(it, ramps=(meeting(it, edge)[0],))


def _one(told: Moving, slope: Slope, threshold: float, used: Gear, kg: float = 1200) -> Situation:
    doc = moving_doc(told)
    host = Group("host", "THOST", "the press", size=Size(1000, 700, 1700), mass=Mass(kg),
                 where=InZone("bay", "", 1000, 1000, 0, True), extra={FIELD: doc} if doc else {})  # fmt: skip
    names = ("code", "name", "size", "mass", "where")
    load = {"floor_load_kn_m2": 20.0, "point_load_kn": 6.5, "slope": slope}
    rooms = [Room("a", "a", box(0, 0, 4000, 3000), headroom_mm=1900, **load),
             Room("b", "b", box(4200, 0, 4000, 3000), headroom_mm=1800, **load)]  # fmt: skip
    door = Door("mid", "mid", "a", "b", ((4000.0, 900.0), (4000.0, 2100.0)), opens="open", height_mm=2000.0,
                threshold_mm=threshold, clear_width_mm=1200.0,
                passage=((4000.0, 900.0), (4200.0, 900.0), (4200.0, 2100.0), (4000.0, 2100.0)))  # fmt: skip
    covers = [Fixture(f"lid{k}", f"lid {k}", "b", box(x, y, 200, 300), top_mm=1.0, **more)
              for k, (x, y, more) in enumerate(
                  [(4600, 1300, {"load_kg": 350.0}), (5200, 1660, {"load_class": "A15"}),
                   (5800, 1200, {"load_class": "B125"}), (6300, 1170, {"load_kg": 100.0})])]  # fmt: skip
    zones = [
        zone("bay", (500, 500), (2000, 2000), room="a"),
        zone("far", (6000, 500), (2000, 2000), room="b"),
    ]
    whole = shop(rooms=rooms, doors=[door], fixtures=covers, zones=zones)
    whole = replace(whole, gear={used.key: used})
    kept = {**group_doc({n: getattr(host, n) for n in names}), **host.extra}
    scene = build(whole, State({"group": {"host": kept}}))
    it = body(scene, "host")
    answer = judge_gear(used, it.load)
    route = Route(("a", "b"), ("mid",), 5000.0)
    here, there = Pose(1500, 1500, 0), Pose(7000, 1500, 0)
    path = (here, Pose(1500, 1500, 12), here, there, Pose(7000, 1500, 90))
    floor = ground(scene, route, "group:host", 1800.0)
    found = Found("goes", 0.0, path, 15.0, path[0])
    attempt = Attempt(Verdict.YES, it, answer, route, floor, found=found, start=path[0], goal=path[-1])
    legs = legs_of(scene, path, route.rooms)
    return Situation(scene, it, answer, whole.zones["far"], "", route, attempt, legs)


@pytest.mark.parametrize(("sill", "verdict"), [(42.0, Verdict.ASKED), (90.0, Verdict.NO)])
def test_what_a_sill_lets_loose_comes_to_rest_on_the_level_floor_ahead(sill: float, verdict: Verdict) -> None:
    """Let go at 2 % (HSE L23) it rolls 50 times the sill's height: 2100 and 4500 mm. From the doorway, 4200,
    to the wall of b, 8200, are 4000 mm, less the ramp (15 times the sill), and the press from its rear skates
    to its front.
    """
    held = _ahead(on_ramps(_one(_told(), Slope(0.0, 0.0), sill, GEAR[1])), fixtures={})
    assert held.verdict is verdict
    assert verdict is Verdict.NO or held.text.endswith("hold it down wedge, nobody within 2100 mm ahead")


@pytest.mark.parametrize(("kg", "apart", "words"), [
    (300, False, "held by hand down wedge (105 N)"), (300, True, "line holds it down wedge (105 N)"),
    (150, True, "one on a long line down wedge: 52.7 N"),
    (1200, False, "line or 5 men hold it down wedge, nobody within 2100 mm ahead"),
    (1200, True, "line holds it down wedge, nobody within 2100 mm ahead"),
])  # fmt: skip
def test_nobody_holds_by_hand_down_a_ramp_what_has_little_tilt_left(
    kg: float, apart: bool, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On 1 in 15 W sin t is 0.653 N for each kg of its heavier end (the ramp is shorter than it is long):
    (450 + 30 + 5) / 900 of it. A man keeps 100 N (HSE INDG143); two hold it by hand, with little tilt left
    (5 deg) one alone, off it (own figures).
    """
    monkeypatch.setattr("shopbins.moves.overedges.delicate_on", lambda *_asked: apart)
    held = _ahead(on_ramps(_one(_told(), Slope(0.0, 0.0), 42.0, GEAR[1], kg)), fixtures={}, gear={})
    assert (held.verdict, held.text) == (Verdict.ASKED, words)


@pytest.mark.parametrize(("sill", "words"), [
    (6.0, "thin-ended ramps for rollers over sill of mid: no edge over 1 mm"),
    (1.1, "thin-ended ramps for rollers over sill of mid: no edge over 1 mm"), (1.0, "winch for "),
])  # fmt: skip
def test_loose_rollers_go_over_what_they_grip(sill: float, words: str) -> None:
    """48 mm over 6: moments about the edge, F x 42 = W sqrt(6 x 42): 0.378 W, and as much grip at both; steel
    on steel has 0.15 (from memory, own figure): 48 x 0.15^2 / (1 + 0.15^2) = 1.06 mm.
    """
    assert roller_share(48.0, 6.0) == pytest.approx(math.sqrt(6 * 42) / 42)
    assert roller_share(48.0, 1.0563) == pytest.approx(0.15, rel=1e-3)
    rollers = Gear("r", "rollers", "rollers and bar", 3000.0, height_mm=48.0, count=6, steering="axis")
    it = _one(replace(_told(), runners_mm=560.0), Slope(0.0, 0.0), sill, rollers)
    (asked,) = (p for p in sills(it) if p.verdict is Verdict.ASKED)
    assert asked.text.startswith(words)


@pytest.mark.parametrize(("deg", "little"), [(4.99, True), (5.0, False)])
def test_how_it_leans_on_ramps_counts_for_who_stays_off_it(
    deg: float, little: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less than 5 deg is little (own figure), though it has more on the floor."""
    it: Any = SimpleNamespace(own={"tip reserve": 5.0})
    monkeypatch.setattr("shopbins.moves.standing.delicate", lambda _it: False)
    monkeypatch.setattr(
        "shopbins.moves.standing.left_on_ramp", lambda *_asked: (SimpleNamespace(deg=deg), deg, 0.1)
    )
    assert delicate_on(it, it) is little


def _ahead(it: Situation, **more: object) -> Part:
    """What holds a press down 1 in 15 off a sill where something else of the shop is so."""
    scene = build(replace(it.scene.shop, **more), it.scene.state)  # type: ignore[arg-type]
    (held,) = (p for p in sills(replace(it, scene=scene)) if row_of(p).finding.rule == "runs-downhill")
    return held


@pytest.mark.parametrize(("gap", "verdict"), [(-20.0, Verdict.NO), (20.0, Verdict.ASKED)])
@pytest.mark.parametrize("what", ["pit", "cover", "slope"])
def test_what_runs_out_of_a_sill_comes_to_rest_before_a_pit_a_weak_cover_or_a_slope(
    what: str, gap: float, verdict: Verdict
) -> None:
    """Off 30 mm it rolls 1500 mm on from the ramp's foot (4200 + 450), with its front skates 900 mm ahead of
    the rear ones, which leave it last: to 7050. Within 2 m (own figure) too, that has to be floor.
    """
    it = on_ramps(_one(_told(), Slope(0.0, 0.0), 30.0, GEAR[1]))
    at, shop_ = 7050.0 + gap, it.scene.shop
    none: dict[str, object] = {"fixtures": {}}
    if what == "pit":
        hole = Opening("pit", "pit", "b", "pit", box(at, 1200, at + 300, 1700), depth_mm=2000.0)
        none |= {"openings": {"pit": hole}}
    elif what == "cover":
        none = {
            "fixtures": {
                "lid": Fixture("lid", "lid", "b", box(at, 1200, at + 300, 1700), top_mm=1.0, load_kg=100.0)
            }
        }
    else:
        way = Room("c", "c", box(at, 0, at + 1000, 3000), slope=Slope(1 / 10, 0.0))
        none |= {"rooms": {**shop_.rooms, "c": way}}
    held = _ahead(it, **none)
    assert held.verdict is verdict, row_of(held).finding.text
    assert verdict is Verdict.ASKED or what.replace("cover", "lid") in row_of(held).finding.text


@pytest.mark.parametrize(
    ("told", "verdict"),
    [
        ({}, Verdict.OPEN),  # nobody told: asked
        ({"load_class": "A15"}, Verdict.NO),  # for people on foot and cycles (EN 124-1:2015)
        ({"load_class": "B125"}, Verdict.ASKED),  # 0.33 of 125 kN (own figure) is more than it weighs
        ({"load_kg": 1200.0}, Verdict.ASKED),
    ],
)
def test_what_a_cover_ahead_takes_is_asked_or_read_off_its_class(
    told: dict[str, object], verdict: Verdict
) -> None:
    """The press runs 1500 mm on, to 7050, over a lid at 6900; the lid ends nothing at 7100."""
    it = on_ramps(_one(_told(), Slope(0.0, 0.0), 30.0, GEAR[1]))
    for at, comes in ((6900.0, verdict), (7100.0, Verdict.ASKED)):
        lid = Fixture("lid", "lid", "b", box(at, 1200, at + 300, 1700), top_mm=1.0, **told)  # type: ignore[arg-type]
        held = _ahead(it, fixtures={"lid": lid})
        assert held.verdict is comes, row_of(held).finding.text
        assert comes is not Verdict.OPEN or held.text == "what does lid take?"


@pytest.mark.parametrize(
    ("steering", "low", "verdict"),
    [
        ("axis", 1270.0, Verdict.ASKED),  # a wheel at y 1220, 40 to each side (own figure), 5 of measuring
        ("axis", 1260.0, Verdict.NO),
        ("on the spot", 1270.0, Verdict.NO),  # it may swing
    ],
)
def test_what_is_between_the_tracks_of_straight_gear_does_not_end_what_it_runs_out_on(
    steering: Any, low: float, verdict: Verdict
) -> None:
    it = on_ramps(_one(_told(), Slope(0.0, 0.0), 30.0, replace(GEAR[1], steering=steering)))
    lid = Fixture("lid", "lid", "b", box(6000, low, 6300, 1700), top_mm=1.0, load_class="A15")
    held = _ahead(it, fixtures={"lid": lid})
    assert held.verdict is verdict, row_of(held).finding.text


def test_a_cover_it_has_come_over_is_behind_it() -> None:
    """As under plates over a duct: it runs away from there."""
    lid = Fixture("lid", "lid", "b", box(4050, 1300, 4150, 1700), top_mm=1.0, load_kg=100.0)
    held = _ahead(on_ramps(_one(_told(), Slope(0.0, 0.0), 30.0, GEAR[1])), fixtures={"lid": lid})
    assert held.verdict is Verdict.ASKED, row_of(held).finding.text


JACK = Gear("j", "the jack", "toe jack", 5000.0, toe_kg=4000.0, size_mm=(350.0, 250.0), count=2)


@pytest.mark.parametrize(
    ("lid", "load_kg", "sides", "verdict"),
    [
        (2300.0, 200.0, False, Verdict.ASKED),  # a jack 350 long from 2000 on, or at the long sides
        (2300.0, 200.0, True, Verdict.OPEN),  # round the corners, too
        (2360.0, 200.0, False, None),  # beyond it
        (2300.0, 2000.0, True, None),  # a cover that takes it
    ],
)
def test_no_jack_stands_on_a_cover_that_does_not_take_it(
    lid: float, load_kg: float, sides: bool, verdict: Verdict | None
) -> None:
    """The press ends at x 2000; one end carries half of 1200 kg and more, each of two jacks over 300 kg."""
    it = _one(_told(), Slope(0.0, 0.0), 0.0, GEAR[1])
    lids = [box(lid, 0, lid + 200, 3000)] + ([box(800, 1950, lid, 2100)] if sides else [])
    covers = {
        f"l{n}": Fixture(f"l{n}", "duct", "a", o, top_mm=1.0, load_kg=load_kg) for n, o in enumerate(lids)
    }
    shop_ = replace(it.scene.shop, fixtures=covers, gear={**it.scene.shop.gear, "j": JACK})
    it = replace(it, scene=build(shop_, it.scene.state))
    found = [p for p in room_to_lift(it) if "firm" in p.subjects and "where it stands" in p.subjects]
    assert [p.verdict for p in found] == ([] if verdict is None else [verdict])
    assert all("the cover of duct" in row_of(p).finding.text for p in found)


@pytest.mark.parametrize(
    ("under", "takes_kg", "verdict"),
    [
        (box(1960, 1300, 1990, 1340), 200.0, Verdict.ASKED),  # from the end on it, not from the side
        (box(1960, 1200, 1990, 1240), 200.0, Verdict.OPEN),  # from either
        (box(1960, 1200, 1990, 1240), 0.0, Verdict.OPEN),  # an open pit
        (box(1960, 1200, 1990, 1240), None, Verdict.OPEN),  # nobody told
        (box(1960, 1200, 1990, 1240), 2000.0, None),  # it takes the jack
        (box(1900, 1400, 1990, 1600), 200.0, None),  # under the press between two jacks 250 wide
    ],
)
def test_a_jack_stands_with_its_base_under_its_toe_on_firm_floor(
    under: Outline, takes_kg: float | None, verdict: Verdict | None
) -> None:
    """The toe is under a foot at 1950,1220 or 1950,1780; the press goes on to x 2000 and y 1150."""
    it = _one(_told(), Slope(0.0, 0.0), 0.0, GEAR[1])
    lid = Fixture("lid", "duct", "a", under, top_mm=1.0, load_kg=takes_kg)
    pit = Opening("pit", "duct", "a", "pit", under, depth_mm=900.0)
    gear, is_pit = {**it.scene.shop.gear, "j": JACK}, takes_kg == 0.0
    there: dict[str, Any] = {
        "openings": {"pit": pit} if is_pit else {},
        "fixtures": {} if is_pit else {"l": lid},
    }
    it = replace(it, scene=build(replace(it.scene.shop, gear=gear, **there), it.scene.state))
    found = [p for p in room_to_lift(it) if "firm" in p.subjects and "where it stands" in p.subjects]
    assert [p.verdict for p in found] == ([] if verdict is None else [verdict])


def test_a_jack_on_a_slope_where_it_stands_is_packed_level_and_forbids_nothing() -> None:
    """1 in 30 under the whole room: level packing under each jack (common practice, no source)."""
    told = Moving(opening_mm=420, under_mm=110, cg_mm=(30.0, 20.0), cg_height_mm=800,
                  feet=tuple(At(x, y) for x in (-450, 450) for y in (-280, 280)))  # fmt: skip
    it = _one(told, Slope(1 / 30, 0.0), 0.0, GEAR[1])
    shop_ = replace(it.scene.shop, gear={**it.scene.shop.gear, "j": JACK})
    it = replace(it, scene=build(shop_, it.scene.state))
    (held,) = (p for p in room_to_lift(it) if {"start", "level"} <= set(p.subjects))
    assert (held.verdict, held.text) == (Verdict.ASKED, "jacks on level packing where it stands")


@pytest.mark.parametrize(("right", "verdict"), [(8200.0, Verdict.ASKED), (7900.0, Verdict.OPEN)])
def test_where_all_of_the_goal_slopes_it_is_set_down_packed_level_too(right: float, verdict: Verdict) -> None:
    """The goal reaches to x 8000: where the floor that falls ends at 7900 another spot may be off it."""
    it = _one(_told(), Slope(1 / 30, 0.0), 0.0, GEAR[1])
    falls = replace(it.scene.shop.rooms["b"], outline=box(4200, 0, right, 3000))
    shop_ = replace(it.scene.shop, rooms={**it.scene.shop.rooms, "b": falls})
    it = replace(it, scene=build(shop_, it.scene.state))
    assert _on_the_level(it, "goal", "in far", 0.0, 350.0, True).verdict is verdict


def test_no_jack_stands_on_a_ramp_laid_before_it_is_jacked() -> None:
    """Ramps from x 2100 on, the press ends at 2000, a jack is 350 long."""
    it = on_ramps(_one(_told(), Slope(0.0, 0.0), 42.0, GEAR[1]))
    shop_ = replace(it.scene.shop, fixtures={}, gear={**it.scene.shop.gear, "j": JACK})
    at = box(2100, 1000, 2700, 2000)
    piece = replace(it.ramps[0].pieces[0], outline=at)
    it = replace(it, scene=build(shop_, it.scene.state), ramps=(replace(it.ramps[0], pieces=(piece,)),))
    (held,) = (p for p in room_to_lift(it) if "firm" in p.subjects and "where it stands" in p.subjects)
    assert held.text == "no jack on 4 of wedge at mid where it stands"


def _told() -> Moving:
    return Moving(opening_mm=420, under_mm=110, cg_mm=(30.0, 20.0), cg_height_mm=800,
                  feet=tuple(At(x, y) for x in (-450, 450) for y in (-280, 280)))  # fmt: skip


@pytest.mark.parametrize(
    ("sill", "said"), [(120.0, ["assessed on the spot: carried over the sill of mid, 120 mm"]), (0.0, [])]
)
def test_what_a_team_carries_over_a_sill_is_looked_at(sill: float, said: list[str]) -> None:
    """HSE L23 has a figure for teams that stand, none for a step up with a load."""
    it = _one(_told(), Slope(0.0, 0.0), sill, Gear("h", "us", "by hand", people=2))
    assert [p.text for p in sills(it) if p.verdict is Verdict.ASKED] == said


def test_each_team_that_shifts_things_has_a_condition_of_its_own() -> None:
    it = _one(_told(), Slope(0.0, 0.0), 0.0, GEAR[1])
    assert it.attempt is not None
    things = [
        Shifted(f"group:{kg}", f"T{kg}", f"P{kg}", "rack", "", None, kg, 0, by=By("team", people))
        for kg, people in ((45.0, 2), (85.0, 3))
    ]
    it = replace(it, attempt=replace(it.attempt, shift=ShiftList(tuple(things), ())))
    found = list(shifts(it))
    assert [p.text for p in found] == [
        "2 people shift P45.0, amber by MAC: looked at first",
        "3 people shift P85.0, red by MAC: looked at first",
    ]
    assert len({row_of(p).finding.id for p in found}) == 2


@pytest.mark.parametrize(
    ("from_x", "to_x", "beyond"),
    [
        (4000.0, 4200.0, 200.0),  # the lintel, as deep as the wall
        (4200.0, 8200.0, 300.0),  # the ceiling beyond it
        (4220.0, 4250.0, 250.0),  # a beam within its reach
        (4510.0, 4600.0, -310.0),  # one beyond its reach: under it the rear wheels are the last on the sill
        (4620.0, 4700.0, None),  # and then none is
    ],
)
def test_the_top_comes_up_more_than_the_sill_where_it_leans(
    from_x: float, to_x: float, beyond: float | None
) -> None:
    """One end up h, the other a wheelbase b behind on the floor: o beyond the wheels up there the top is
    h (1 + o / b) higher (derived). Wheels at 200 to both sides, ends at 500; the sill from 4000 to 4200.
    """
    feet = tuple(At(x, y) for x in (-200, 200) for y in (-280, 280))
    it = _one(replace(_told(), feet=feet), Slope(0.0, 0.0), 40.0, GEAR[1])
    lost = leans_mm(it, it.edges[0], box(from_x, 0, to_x, 3000))
    assert lost == pytest.approx(0.0 if beyond is None else 40 * (1 + beyond / 400), abs=0.1)
    rooms = {over.name: over.sill_mm for over in passed_under(it)}
    assert rooms["mid"] == pytest.approx(40 * (1 + 200 / 400), abs=0.1)


@pytest.mark.parametrize("weighed", [{"mass_kg": None}, {"mass_kg": 5.0, "not_weighed": 1}])
def test_a_mass_nobody_told_runs_with_no_figure(weighed: dict[str, Any]) -> None:
    """Nor does one of which only what lies on it was weighed: 5 kg run with 3 N down 1 in 15, m g sin(t)."""
    it = on_ramps(_one(_told(), Slope(1 / 60, 0.0), 30.0, GEAR[1]))
    it = replace(it, body=replace(it.body, load=replace(it.load, **weighed)))
    parts = [p for p in sills(it) if row_of(p).finding.rule == "runs-downhill"]
    assert [(p.text, p.verdict) for p in parts] == [
        ("what does the press weigh?", Verdict.OPEN), ("nobody ahead down wedge", Verdict.ASKED)
    ]  # fmt: skip
    slopes = list(runs_away(it))
    assert [(p.text, p.verdict) for p in slopes] == [("what does the press weigh?", Verdict.OPEN)] * 2
    every = (*sills(it), *slopes)
    assert not any(re.search(r"[0-9] k?N", f"{p.text} {row_of(p).finding.text}") for p in every)


@pytest.mark.parametrize(("rated", "cg_told", "text"), [
    (643.0, True, "one wheel of the crane may carry 644 kg, it is rated for 643 kg"),
    (643.0, False, "where is the centre of gravity of the press? (weigh under each support)"),
    (644.0, True, ""),
])  # fmt: skip
def test_more_than_a_wheel_is_rated_for_asks_for_nothing_already_told(
    rated: float, cg_told: bool, text: str
) -> None:
    """On four wheels two may bear all: (1200 + 88) / 2."""
    told = _told() if cg_told else replace(_told(), cg_mm=None)
    it = _one(told, Slope(0.0, 0.0), 0.0, replace(GEAR[3], wheel_rating_kg=rated))
    found = list(ratings(it))
    assert [(p.text, p.verdict) for p in found] == ([(text, Verdict.OPEN)] if text else [])
    assert all(row_of(p).ends == ("gear with wheels rated for 644 kg",) for p in found)


@pytest.mark.parametrize(("wheels", "rated", "verdict"), [
    (16, 324.0, None), (16, 323.0, Verdict.OPEN), (16, 74.0, Verdict.NO), (None, 647.0, None),
    (None, 300.0, Verdict.OPEN), (4, 300.0, Verdict.OPEN),
])  # fmt: skip
def test_a_wheel_of_a_skate_bears_half_of_it_at_the_most(
    wheels: int | None, rated: float, verdict: Verdict | None
) -> None:
    """1200 kg, 30 + 5 mm off the middle of feet at +-450: one skate 485 / 900 of it, 647; at the kindest
    no less than a quarter, 300. On four wheels of its own 300 / 4 = 75, and two of them 647 / 2 = 323.4.
    How many it has is asked where that matters, also where those of one skate were told.
    """
    skates = replace(GEAR[1], mass_kg=None, wheel_rating_kg=rated, wheels=wheels)
    found = list(ratings(_one(_told(), Slope(0.0, 0.0), 0.0, skates)))
    assert [p.verdict for p in found] == ([] if verdict is None else [verdict])
    asked = [ask.set for p in found if (ask := row_of(p).ask) is not None]
    assert asked == (["gear: s: {count: 4, wheels: 16}"] if found and wheels != 16 else [])


class Noted(dict[str, float]):
    """Figures of a shop file that note which of them are asked for."""

    def __init__(self, figures: Mapping[str, float]) -> None:
        super().__init__(figures)
        self.asked: set[str] = set()

    def get(self, name: str, other: float) -> float:  # type: ignore[override]
        self.asked.add(name)
        return super().get(name, other)


@dataclass(frozen=True)
class Judged:
    """One criterion on one situation: what it forbids by the figures as they are, and which it asked for."""

    it: Situation
    criterion: Criterion
    forbids: frozenset[Forbidden]
    asked: frozenset[str]


@lru_cache(maxsize=1)
def every() -> tuple[Judged, ...]:
    """Each situation by each criterion but the audit's own rules."""
    criteria = [c for c in CRITERIA if c.checks[0].key not in ("move-at-goal", "move-exit-shut")]
    return tuple(_judged(it, c) for it in situations() for c in criteria)


def _judged(it: Situation, criterion: Criterion) -> Judged:
    noted = Noted({})
    forbids = forbidden(under(it, noted), criterion)
    return Judged(it, criterion, forbids, frozenset(noted.asked))


def under(it: Situation, noted: Noted) -> Situation:
    """Return a situation judged by such figures, its gear as well."""
    figures = Own(noted)
    limits = replace(it.scene.shop.limits, moving=figures)
    scene = build(replace(it.scene.shop, limits=limits), it.scene.state)
    answer = judge_gear(it.gear.gear, it.load, own=figures)
    now = replace(it, scene=scene, gear=answer)
    assert now.attempt is not None
    return replace(now, attempt=replace(now.attempt, gear=answer))


def forbidden(now: Situation, criterion: Criterion) -> frozenset[Forbidden]:
    parts = (row_of(part).finding for part in criterion.judge(now) if part.verdict is Verdict.NO)
    return frozenset((found.rule, found.subjects) for found in parts)


def test_the_situations_forbid_much_that_own_figures_could_change() -> None:
    rules = {rule for each in every() for rule, _ in each.forbids}
    assert {"move-cover", "door-sill", "runs-downhill", "move-gear-on-slope", "move-height"} <= rules, rules
    asked = {name for each in every() for name in each.asked}
    assert {"tip reserve", "person", "pushers", "truck on roller"} <= asked <= set(FIGURES), asked


@pytest.mark.parametrize("name", sorted(FIGURES))
def test_no_figure_of_our_own_forbids_by_itself(name: str) -> None:
    """Of a criterion that does not ask for a figure no value of it changes anything."""
    value = FIGURES[name].value
    flips = set()
    asking = [each for each in every() if name in each.asked]
    for _, alike in groupby(asking, key=lambda each: id(each.it)):
        judged = list(alike)
        for times in (0.0, 3.0):
            now = under(judged[0].it, Noted({name: times * value if value else times}))
            for each in judged:
                flips |= each.forbids ^ forbidden(now, each.criterion)
    assert not flips or name in SOFTENS, flips


def test_how_high_a_line_may_pull_is_by_the_pull_that_leaves_least() -> None:
    """W d >= F z: 1200 kg whose centre is 260 mm inside its skates at y 280, and 4 kN over a sill: 765 mm; by
    2 kN on the level alone 1530 mm.
    """
    it = _one(_told(), Slope(0.0, 0.0), 0.0, GEAR[1])
    (part,) = _pulled_low(it, [(2000.0, 0.0, "line"), (0.0, 0.0, "line"), (4000.0, 0.0, "line")])
    least = min(280.0 - abs(c.y_mm) for c in it.load.centres())
    assert row_of(part).finding.measured == pytest.approx(1200 * 9.81 * least / 4000, rel=0.01)
    assert "4 kN" in row_of(part).finding.text


@pytest.mark.parametrize(
    ("cg_mm", "limit_kn", "verdict"),
    [
        (None, 6.5, Verdict.OPEN),  # anywhere: one foot may bear all, 11.8 kN
        (None, 2.9, Verdict.NO),  # even shared alike 2.94
        ((0.0, 0.0), 6.5, None),  # of four, two across may carry all: 5.89
        ((0.0, 0.0), 5.0, Verdict.ASKED),
    ],
)
def test_what_a_foot_bears_at_the_kindest_forbids_and_what_it_may_is_asked(
    cg_mm: tuple[float, float] | None, limit_kn: float, verdict: Verdict | None
) -> None:
    """1200 kg on four feet: moments about them, 9.81 m/s2."""
    it = _one(replace(_told(), cg_mm=cg_mm), Slope(0.0, 0.0), 0.0, GEAR[1])
    rooms = {key: replace(room, point_load_kn=limit_kn) for key, room in it.scene.shop.rooms.items()}
    it = replace(it, scene=build(replace(it.scene.shop, rooms=rooms), it.scene.state))
    found = [p for p in stood(it) if row_of(p).finding.rule == "move-point-load"]
    assert [p.verdict for p in found] == ([] if verdict is None else [verdict])
