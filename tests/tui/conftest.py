"""A small shop made by hand, with things in it, and the way frames are taken and compared."""

from __future__ import annotations

from types import MappingProxyType

import pytest

from shopbins.layout.scene import Scene, build
from shopbins.parts.docs import group_doc
from shopbins.parts.model import InZone, Mass, Size
from shopbins.parts.state import State
from shopbins.shop.model import Door, Fixture, Frame, KeepClear, Level, Room, Shop, Walkway, Zone


def box(x, y, w, h):
    return ((x, y), (x + w, y), (x + w, y + h), (x, y + h))


def keyed(*things):
    return MappingProxyType({thing.key: thing for thing in things})


def small_shop() -> Shop:
    """Two rooms with a wall of 200 mm between, a bench, a rack, a floor spot, a walkway, three doors."""
    bench = Zone(
        "bench 1", "long bench", "hall", "bench", box(200, 5200, 2400, 700), (Level("", 900.0),),
        Frame(200, 5200), (2400, 700), load_kg=300,
    )  # fmt: skip
    rack = Zone(
        "rack a", "rack a", "hall", "shelf", box(5200, 5300, 2000, 600),
        (Level("1", 200, 500, 200), Level("2", 800, 500, 150)), Frame(5200, 5300), (2000, 600),
    )  # fmt: skip
    spot = Zone("bay", "bay", "store", "floor", box(9000, 400, 1500, 1500), (Level("", 0.0),), Frame(9000, 400))
    return Shop(
        "Quay Works",
        "Q",
        keyed(
            Room("hall", "hall", box(0, 0, 8000, 6000), headroom_mm=3200),
            Room("store", "store", ((8200, 0), (12200, 0), (12200, 3000), (10200, 5000), (8200, 5000)), 2600),
        ),
        doors=keyed(
            Door("gate", "gate", "hall", "outside", ((2000, 0), (5000, 0)), 3000, 2800, "sliding",
                 box(2000, -250, 3000, 251), exit=True),
            Door("inner", "inner door", "hall", "store", ((8000, 2000), (8000, 3000)), 950, 2000, "hinged",
                 box(7999, 2000, 202, 1000), swing=((8000, 2000), (8000, 3000), (7620, 2920), (7300, 2710), (7080, 2380), (7000, 2000)),
                 hand="left", swings_into="hall"),
        ),
        walkways=keyed(Walkway("main way", "main way", ((3500, 0), (3500, 2500), (8000, 2500)), 900, rooms=("hall",))),
        keep_clear=keyed(KeepClear("board", "switchboard", "hall", box(0, 2500, 900, 1000), "switchgear")),
        fixtures=keyed(
            Fixture("stove", "stove", "hall", box(200, 4000, 800, 800), top_mm=1200),
            Fixture("drill", "pillar drill", "store", box(8400, 4200, 600, 600), top_mm=1700, movable=True),
        ),
        zones=keyed(bench, rack, spot),
    )  # fmt: skip


def group(code, name, size=None, where=None, kg=None, container="bare"):
    return group_doc(
        {
            "code": code,
            "name": name,
            "size": None if size is None else Size(*size),
            "where": where,
            "mass": None if kg is None else Mass(kg),
            "container": container,
        }
    )


def small_state() -> State:
    """A block turned on the hall's floor, a pallet in the bay, bags on the rack, one thing unplaced."""
    state = State(prefix="Q")
    groups = {
        "block": group("ZQ1", "engine block", (1600, 900, 1000), InZone("hall", "", 4600, 3900, 25.0), 640),
        "pallet": group("ZQ2", "pallet of castings", None, InZone("bay", "", 750, 750, 0.0), 310, "pallet"),
        "bag": group("ZQ3", "inlet valves", None, InZone("rack a", "2"), 2.5, "bag"),
        "tub": group("ZQ4", "tub of studs", None, InZone("rack a", "1", 400, 300), None, "tub"),
        "head": group("ZQ5", "cylinder head 1", (560, 380, 190), InZone("bench 1", "", 500, 350, 0), 61),
        "pump": group("ZQ6", "sea water pump", (240, 180, 200)),
    }  # fmt: skip
    state.apply({f"group:{key}": doc for key, doc in groups.items()}, 1)
    return state


@pytest.fixture
def small_scene() -> Scene:
    return build(small_shop(), small_state())
