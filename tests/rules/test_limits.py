"""Every geometric rule 1 mm inside and 1 mm outside its limit, on shops turned and shifted as a whole.

Each case puts a thing `over` mm beyond the limit: at -1 and 0 (touching) the rule is silent, at +1 it
speaks, with the same figures however the shop lies. Judging and auditing must agree.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from building import HERE, Pile, box, elsewhere, shop, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.shapes import Pose
from shopbins.ledger.model import InZone
from shopbins.placing.judging import judge
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding
from shopbins.scene.scene import build
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Limits, Room, Shop, Walkway

TODAY = date(2026, 3, 1)
Case = Callable[[Pile, float], Shop]
WAY = Walkway("long", "the long way", ((0, 4000), (10_000, 4000)), 1000, least_mm=700, rooms=("hall",))
DOOR = Door(
    key="yard door",
    name="the yard door",
    room="hall",
    to="outside",
    jambs=((10_000, 3000), (10_000, 3900)),
    clear_width_mm=900,
    height_mm=2000,
    opens="hinged",
    passage=box(9999, 3000, 10_201, 3900),
    swing=box(9100, 3000, 10_000, 3900),
    exit=True,
)
ROOM = Room(
    "hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000, floor_load_kn_m2=5, point_load_kn=4.5
)


def overlap(pile: Pile, over: float) -> Shop:
    pile.add("other", pile.at(2000, 2000), size=(400, 300, 200))
    pile.add("crate", pile.at(2400 - over, 2000), size=(400, 300, 200))
    return shop()


def overlap_fixture(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(3000, 1000 + over, 90), size=(400, 300, 200))
    return shop(fixtures=[Fixture("saw", "saw", "hall", box(2000, 1200, 4000, 1500), top_mm=900)])


def overlap_heights(pile: Pile, over: float) -> Shop:
    """Under a bench: its underside is 850 mm up."""
    pile.add("crate", pile.at(1000, 400), size=(400, 300, 850 + over))
    return shop(zones=[zone("bench", (0, 0), (2000, 700), kind="bench", levels=[Level("", 900)])])


def out_of_room(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(9800 + over, 2000), size=(400, 300, 200))
    return shop()


def out_of_inner_corner(pile: Pile, over: float) -> Shop:
    """An L-shaped room: the inner corner at (6000, 4000) cuts the crate's edge, not its corners."""
    pile.add("crate", pile.at(6000, 3800 + over), size=(3000, 400, 200))
    outline = (
        (0, 0),
        (10_000, 0),
        (10_000, 4000),
        (6500, 4000),
        (6500, 4500),
        (5500, 4500),
        (5500, 4000),
        (0, 4000),
    )
    return shop(rooms=[Room("hall", "hall", outline, headroom_mm=3000)])


def out_of_zone(pile: Pile, over: float) -> Shop:
    pile.add("crate", InZone("spot", "", 1300 + over, 500, 0, measured=True), size=(400, 300, 200))
    return shop(zones=[zone("spot", (2000, 1000), (1500, 1000), turn=20)])


def over_bench_edge(pile: Pile, over: float) -> Shop:
    pile.add("crate", InZone("bench", "", 300, 550 + over, 0, measured=True), size=(400, 300, 200))
    return shop(zones=[zone("bench", (2000, 1000), (1500, 700), kind="bench", turn=20)])


def over_level_headroom(pile: Pile, over: float) -> Shop:
    pile.add("crate", InZone("rack", "1"), size=(400, 300, 450 + over))
    levels = [Level("1", 100, headroom_mm=450), Level("2", 600)]
    return shop(zones=[zone("rack", (0, 0), (1500, 500), kind="shelf", levels=levels)])


def over_next_level(pile: Pile, over: float) -> Shop:
    pile.add("crate", InZone("rack", "1"), size=(400, 300, 500 + over))
    levels = [Level("2", 600), Level("1", 100)]
    return shop(zones=[zone("rack", (0, 0), (1500, 500), kind="shelf", levels=levels)])


def over_ceiling(pile: Pile, over: float) -> Shop:
    pile.add("mast", pile.at(2000, 2000), size=(400, 300, 3000 + over))
    return shop()


def under_hanging_leaf(pile: Pile, over: float) -> Shop:
    pile.add("mast", pile.at(8900, 3450), size=(400, 300, 1900 + over))
    door = Door(**{**_fields(DOOR), "opens": "up-and-over", "swing": (), "hang_mm": 1900.0, "exit": False})
    return shop(doors=[door])


def level_load(pile: Pile, over: float) -> Shop:
    pile.add("crate", InZone("rack", "1"), kg=80 + over)
    levels = [Level("1", 100, load_kg=80), Level("2", 600)]
    return shop(zones=[zone("rack", (0, 0), (1500, 500), kind="shelf", levels=levels)])


def zone_load(pile: Pile, over: float) -> Shop:
    pile.add("other", InZone("rack", "1"), kg=100)
    pile.add("crate", InZone("rack", "2"), kg=50 + over)
    levels = [Level("1", 100, load_kg=200), Level("2", 600)]
    return shop(zones=[zone("rack", (0, 0), (1500, 500), kind="shelf", levels=levels, load_kg=150)])


def way_least(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(5000, 4500 + 300 - 300 - over), size=(800, 600, 500))
    return shop(walkways=[WAY])


def way_wish(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(5000, 3200 + over), size=(800, 600, 500))
    return shop(walkways=[WAY])


def way_of_two(pile: Pile, over: float) -> Shop:
    pile.add("other", pile.at(5000, 4650), size=(800, 600, 500))
    pile.add("crate", pile.at(5000, 3350 + over), size=(800, 600, 500))
    return shop(walkways=[WAY])


def way_by_shop_limit(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(5000, 4400 - over), size=(800, 600, 500))
    way = Walkway("long", "the long way", WAY.line, 1000, rooms=("hall",))
    return shop(walkways=[way], limits=Limits(walkway_mm=600))


def passage(pile: Pile, over: float) -> Shop:
    pile.add("bar", pile.at(9899 + over, 3450), size=(200, 100, 500))
    return shop(doors=[Door(**{**_fields(DOOR), "swing": ()})])


def swing(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(8800 + over, 3450), size=(600, 500, 500))
    return shop(doors=[DOOR])


def front(pile: Pile, over: float) -> Shop:
    """Beside the opening, 300 mm of its 900 may be lost before less than 600 is left."""
    pile.add("crate", pile.at(9600, 3000 + 300 - 250 + over), size=(600, 500, 500))
    return shop(doors=[Door(**{**_fields(DOOR), "swing": ()})], limits=Limits(exit_mm=600))


def front_wish(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(9600, 2750 + over), size=(600, 500, 500))
    return shop(doors=[Door(**{**_fields(DOOR), "swing": ()})], limits=Limits(exit_mm=600))


def switchgear(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(1000, 2300 - over), size=(400, 600, 500))
    clear = KeepClear("board", "the switchboard", "hall", box(500, 1000, 1500, 2000), "switchgear")
    return shop(keep_clear=[clear])


def working_room(pile: Pile, over: float) -> Shop:
    pile.add("crate", pile.at(1000, 2300 - over), size=(400, 600, 500))
    clear = KeepClear("drill", "the drill's front", "hall", box(500, 1000, 1500, 2000), "working room")
    return shop(keep_clear=[clear])


def keep_clear_height(pile: Pile, over: float) -> Shop:
    """A shelf thing over a keep-clear of 2000 mm: from 2000 up it is not in it."""
    pile.add("crate", InZone("high", "1", 500, 250, 0, measured=True), size=(400, 300, 200))
    levels = [Level("1", 2000 - over)]
    clear = KeepClear("board", "the switchboard", "hall", box(0, 0, 1500, 2000), "switchgear", height_mm=2000)
    return shop(zones=[zone("high", (0, 0), (1500, 500), kind="shelf", levels=levels)], keep_clear=[clear])


def _fields(door: Door) -> dict[str, object]:
    return {name: getattr(door, name) for name in door.__dataclass_fields__}


# name: (case, rule, grade at +1, what is measured at +1, the limit)
CASES: dict[str, tuple[Case, str, str, float, float]] = {
    "two things": (overlap, "overlap", "stop", 1, 0),
    "a fixture": (overlap_fixture, "overlap", "stop", 1, 0),
    "under a bench": (overlap_heights, "overlap", "stop", 450, 0),
    "the room's wall": (out_of_room, "outside", "stop", 1, 0),
    "an inner corner": (out_of_inner_corner, "outside", "stop", 1, 0),
    "a turned floor spot": (out_of_zone, "outside", "stop", 1, 0),
    "a turned bench's edge": (over_bench_edge, "outside", "stop", 1, 0),
    "a level's headroom": (over_level_headroom, "headroom", "stop", 451, 450),
    "the next level": (over_next_level, "headroom", "stop", 501, 500),
    "the ceiling": (over_ceiling, "headroom", "stop", 3001, 3000),
    "a hanging leaf": (under_hanging_leaf, "headroom", "stop", 1901, 1900),
    "a level's load": (level_load, "level-load", "stop", 81, 80),
    "a rack's load": (zone_load, "zone-load", "stop", 151, 150),
    "least of a way": (way_least, "walkway", "stop", 699, 700),
    "wish of a way": (way_wish, "walkway", "correct", 999, 1000),
    "two in a way": (way_of_two, "walkway", "stop", 699, 700),
    "least of the shop": (way_by_shop_limit, "walkway", "stop", 599, 600),
    "a door's passage": (passage, "door-passage", "stop", 1, 0),
    "a door's swing": (swing, "door-swing", "stop", 1, 0),
    "least before a door": (front, "door-front", "stop", 599, 600),
    "wish before a door": (front_wish, "door-front", "correct", 899, 900),
    "switchgear": (switchgear, "keep-clear", "stop", 1, 0),
    "working room": (working_room, "keep-clear", "correct", 1, 0),
    "under a keep-clear's height": (keep_clear_height, "keep-clear", "stop", 400, 0),
}

poses = st.builds(
    Pose,
    st.floats(-30_000, 30_000, allow_nan=False),
    st.floats(-30_000, 30_000, allow_nan=False),
    st.floats(0, 360, allow_nan=False),
)


def found(name: str, over: float, pose: Pose) -> tuple[list[Finding], list[Finding]]:
    """Return what judging the crate finds by the case's rule, and what the audit finds."""
    case, rule, grade, _, _ = CASES[name]
    pile = Pile(pose)
    there = elsewhere(case(pile, over), pose)
    scene = build(there, pile.state())
    who = next(g for g in ("crate", "mast", "bar") if g in pile.groups)
    where = scene.group(who).where
    assert isinstance(where, InZone)
    judged = [f for f in judge(scene, who, where) if f.rule == rule and f.grade == grade]
    audited = [f for f in audit(scene, TODAY) if f.rule == rule and f.grade == grade]
    audited = [f for f in audited if f.subjects[-1] != "zone:high"]  # the shelf's own board is lower still
    return judged, audited


@pytest.mark.parametrize("name", CASES)
@settings(max_examples=8, deadline=None)
@given(pose=poses)
def test_a_rule_speaks_1_mm_over_and_is_silent_up_to_its_limit(name: str, pose: Pose) -> None:
    _, _, _, measured, limit = CASES[name]
    for here in (HERE, pose):
        assert found(name, -1.0, here) == ([], []), "1 mm inside"
        assert found(name, 0.0, here) == ([], []), "touching"
        judged, audited = found(name, 1.0, here)
        assert [f.id for f in judged] == [f.id for f in audited] != []
        for each in (*judged, *audited):
            assert each.measured == pytest.approx(measured, abs=0.001)
            assert each.limit == pytest.approx(limit, abs=0.001)
            assert each.text and each.remedy and each.source
