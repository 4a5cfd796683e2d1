"""Every sentence the rules say of one overfull shop, in each set, held to texts read through by a person.

SHOPBINS_KEPT=write keeps them anew; then read the difference: each line must be true of the shop below.
"""

from __future__ import annotations

import os
from pathlib import Path
from types import MappingProxyType

import pytest
from building import TODAY, Pile, box, zone

from shopbins.ledger.model import Away, InGroup, InZone
from shopbins.placing.judging import judge
from shopbins.rules.auditing import audit
from shopbins.rules.coverage import coverage
from shopbins.rules.finding import Finding
from shopbins.shop.model import (
    Door,
    Equipment,
    Fixture,
    Gear,
    KeepClear,
    Level,
    Limits,
    Mounted,
    Opening,
    Room,
    Shop,
    Slope,
    Walkway,
    Wall,
)

KEPT = Path(__file__).with_name("kept")
ONE = {"upright": False, "chained": False, "cap": False}


def overfull(rules: str) -> Shop:
    """A hall, a store behind a metal wall, a cellar: hardly anything as it should be."""
    rooms = [
        Room("hall", "the hall", box(0, 0, 12_000, 8000), headroom_mm=3000, sprinklers_mm=2600, people=60,
             floor_load_kn_m2=5, point_load_kn=4.5, slope=Slope(0.09, 90), hot_work=True, fire_hazard="high",
             built=1962),
        Room("store", "the store", box(12_000, 0, 18_000, 8000), headroom_mm=2600, floor_load_kn_m2=2),
        Room("cellar", "the cellar", box(0, -6000, 12_000, 0), headroom_mm=1900, below_ground=True),
        Room("yard", "the yard", box(0, 8000, 18_000, 12_000), outdoor=True),
    ]  # fmt: skip
    doors = [
        Door("front", "the front door", "hall", "outside", ((0.0, 3000.0), (0.0, 3700.0)), 700, 1950,
             "hinged", box(-200, 3000, 1, 3700), swing=box(0, 3000, 700, 3700), hand="left",
             swings_into="hall", exit=True, threshold_mm=20),
        Door("roll", "the roller door", "hall", "outside", ((5000.0, 8000.0), (8000.0, 8000.0)), 3000,
             2200, "up-and-over", box(5000, 7999, 8000, 8200), exit=True, emergency=True, kept_shut=True),
        Door("inner", "the inner door", "hall", "store", ((12_000.0, 3000.0), (12_000.0, 3900.0)), 900, 2000,
             "sliding", box(11_999, 3000, 12_001, 3900)),
        Door("down", "the cellar door", "hall", "cellar", ((2000.0, 0.0), (2800.0, 0.0)), 800, 1900,
             "hinged", box(2000, -1, 2800, 1), swing=box(2000, -800, 2800, 0), hand="right",
             swings_into="cellar"),
    ]  # fmt: skip
    ways = [
        Walkway("main", "the main way", ((0, 3350), (12_000, 3350)), 900, least_mm=700, exit_route=True,
                rooms=("hall",)),
        Walkway("aisle", "the aisle", ((6500, 3350), (6500, 7900)), 600, rooms=("hall",)),
    ]  # fmt: skip
    clears = [
        KeepClear("board", "the board", "hall", box(9000, 0, 9700, 800), "switchgear", height_mm=1800,
                  volts=230, opposite="grounded", equipment=Equipment(1900, 2100, 900, 1200),
                  worked_on_live=True),
        KeepClear("ext", "the extinguisher", "hall", box(11_000, 7400, 11_600, 8000), "extinguisher",
                  mounted=Mounted(1600, 50, 20, 1700), for_classes=("A",), sign=False),
        KeepClear("valve", "the valve", "store", box(17_000, 0, 18_000, 1000), "gas valve"),
    ]  # fmt: skip
    fixtures = [
        Fixture("forge", "the forge", "hall", box(10_500, 5000, 11_500, 6000), top_mm=900, hot=True),
        Fixture("beam", "the beam", "hall", box(3000, 3000, 3200, 3700), base_mm=1900, top_mm=2500),
        Fixture("stove", "the stove", "hall", box(8000, 3500, 8600, 4100), top_mm=1200),
    ]
    openings = [
        Opening("pit", "the pit", "hall", "pit", box(4000, 3200, 4600, 3800), covered=False),
        Opening("hatch", "the hatch", "hall", "hatch", box(9000, 6500, 9800, 7300), to="cellar"),
        Opening("window", "the window", "hall", "window", jambs=((12_000, 5000), (12_000, 6000)), to="store"),
    ]
    levels = [Level("1", 100, 600, 100), Level("2", 900, 500, 60), Level("3", 1700, None, None)]
    zones = [
        zone("bench", (0, 7300), (2000, 700), kind="bench", work="precision", load_kg=100),
        zone("rack", (15_000, 100), (1800, 300), kind="shelf", room="store", levels=levels, load_kg=120,
             fixed_back=False, fixed_floor=False, load_sign=False, total_height_mm=2200),
        zone("locker", (12_200, 7000), (900, 500), kind="shelf", room="store", levels=[Level("1", 100, 900)],
             cabinet=True),
        zone("sling", (2500, 6000), (1500, 1500)),
    ]  # fmt: skip
    gear = [
        Gear("crane", "the engine crane", "engine crane", hook_mm=2000, inside_mm=800, legs_mm=150,
             reach=((900, 500), (1200, 50))),
        Gear("gantry", "the gantry", "gantry crane", capacity_kg=1000, hook_mm=2500),
    ]  # fmt: skip
    return Shop(
        name="overfull", prefix="O", rules=rules, country="de" if rules == "eu" else "",  # type: ignore[arg-type]
        rooms=MappingProxyType({each.key: each for each in rooms}),
        doors=MappingProxyType({each.key: each for each in doors}),
        walkways=MappingProxyType({each.key: each for each in ways}),
        keep_clear=MappingProxyType({each.key: each for each in clears}),
        zones=MappingProxyType({each.key: each for each in zones}),
        fixtures=MappingProxyType({each.key: each for each in fixtures}),
        openings=MappingProxyType({each.key: each for each in openings}),
        walls=MappingProxyType({"tin": Wall("tin", ("hall", "store"), "metal")}),
        limits=Limits(one_person_kg=25, lift_height_mm=1000, people=60), measured_mm=5.0, built=1962,
        gear=MappingProxyType({each.key: each for each in gear}),
        premises="work" if rules == "us" else "home",
    )  # fmt: skip


def heap() -> Pile:
    """What stands and lies in it."""
    pile = Pile()
    for n, (x, y) in enumerate([(400, 3350), (9300, 400), (11_300, 7700), (6500, 5000), (5000, 3500)]):
        pile.add(f"crate {n}", pile.at(x, y), size=(500, 500, 500), kg=50.0)
    pile.add("stool", pile.at(12_000, 3500), size=(300, 300, 400), kg=5.0)
    for n in range(1, 5):
        pile.add(f"crate {n} on it", InGroup("crate 3" if n == 1 else f"crate {n - 1} on it", "on"),
                 size=(500, 500, 450), kg=20.0)  # fmt: skip
    pile.add("block", pile.at(2000, 2000), size=(800, 600, 900), kg=2000.0, container="bare")
    pile.add("lathe", pile.at(2300, 2200), size=(1400, 900, 1200), kg=900.0)
    pile.add("mast", pile.at(5000, 6500), size=(300, 300, 2700), kg=None)
    pile.add("odd", pile.at(7500, 6500), size=None, kg=None)
    pile.add("bar", pile.at(6000, 1000), size=(3000, 50, 50), kg=30.0, details={"stands": "leaning"})
    pile.add("low", pile.at(1000, -3000, room="cellar"), size=(400, 400, 2000), kg=20.0)
    pile.add("plate", pile.at(13_500, 3400, room="store"), size=(2000, 1500, 300), kg=900.0)
    pile.add("edge", pile.at(12_050, 1000, room="store"), size=(600, 400, 300), kg=20.0)
    # hazards
    pile.add("gas", pile.at(7500, 5500), cautions=["acetylene"], details=ONE)
    pile.add("oxy", pile.at(7900, 5500), cautions=["oxygen"], details={})
    pile.add("lpg", pile.at(3000, -2000, room="cellar"), cautions=["propane"], kg=200.0)
    pile.add("petrol", pile.at(4000, -2000, room="cellar"), cautions=["petrol"],
             details={"volume": 200.0, "kept in": "plastic"})  # fmt: skip
    pile.add("thinner", pile.at(9500, 5500), cautions=["thinner"],
             details={"volume": 120.0, "kept in": "metal"})  # fmt: skip
    pile.add("rag", pile.at(9900, 4500), cautions=["oily rag"], container="bag")
    pile.add("solvent", pile.at(9900, 5000), cautions=["trichloroethylene"])
    pile.add("card", pile.at(12_500, 5500, room="store"), cautions=["cardboard"])
    pile.add("acid", pile.at(16_000, 5000, room="store"), cautions=["acid"])
    pile.add("lye", pile.at(16_400, 5000, room="store"), cautions=["caustic"])
    pile.add("spice", pile.at(16_400, 6000, room="store"), cautions=["zesty"])
    pile.add("shoe", pile.at(16_000, 6000, room="store"), cautions=["asbestos"])
    pile.add("pcb", pile.at(15_500, 6000, room="store"), cautions=["PCB"], details={"sealed": False})
    pile.add("pipe lagging", pile.at(15_000, 6000, room="store"))
    pile.add("paint", InZone("locker", "1"), cautions=["petrol"], details={"volume": 300.0})
    pile.add("peroxide", InZone("locker", "1"), cautions=["oxidiser"])
    # places
    pile.add("iron", InZone("rack", "2"), size=(500, 280, 400), kg=41.0)
    pile.add("more iron", InZone("rack", "2"), size=(500, 280, 450), kg=30.0)
    pile.add("tall", InZone("rack", "1"), size=(500, 200, 700), kg=None)
    pile.add("huge", InZone("rack", "3"), size=(2500, 400, 300), kg=90.0)
    pile.add("sheet", InZone("bench"), size=(1200, 690, 5), kg=20.0)
    pile.add("sheet two", InZone("bench"), size=(1200, 600, 5), kg=None)
    pile.add("old", InZone("old shelf"))
    pile.add("gone", InZone("rack", "7"))
    pile.add("pump", Away("the grinder", "2026-02-01"))
    pile.add("head", Away("the welder"))
    pile.add("nowhere")
    pile.add("snake", InGroup("tail"))
    pile.add("tail", InGroup("snake"))
    pile.add("bolts", InGroup("lathe"), size=None, kg=None)
    pile.add("stale", InZone("sling"), size=(300, 300, 300), tagged=True)
    pile.add("tower", InZone("sling"), size=(300, 300, 1200), kg=80.0)
    return pile


def line(found: Finding) -> str:
    """A finding as it is kept: how bad and why not judged, what is said, of what, what to do, by what."""
    head = found.grade + ("" if found.judged else f", not judged: {found.gap}")
    least = "" if found.limit is None else f" of {found.limit:g}"
    figures = "" if found.measured is None else f"{found.measured:g}{least} {found.unit}"
    at = "" if found.at_mm is None else "at " + ", ".join(f"{each:.0f}" for each in found.at_mm)
    of = " · ".join(filter(None, [", ".join(found.subjects), found.room, figures, at, *found.moves]))
    said = [f"{head} · {found.rule} · {found.text}", of, found.remedy, found.source]
    if found.accepted is not None:
        said.append(f"accepted: {found.accepted.said}")
    return "\n    ".join(filter(None, said))


def said(rules: str) -> list[str]:
    """The audit of it, what was looked at, and what is said of putting three things down."""
    pile = heap()
    pile.add("new", None, size=(600, 280, 300), kg=60.0)
    pile.add("less", None, size=(300, 280, 300), kg=20.0, container="box")
    pile.add("more", None, size=(900, 600, 300), kg=95.0)
    dismissed = {"kind": "note", "why": "a sauce", "by": "ann", "since": "2026-02-01"}
    for_now = {
        "kind": "stop",
        "why": "",
        "by": "ann",
        "since": "2026-02-27",
        "for_now": True,
        "measured": 2400.0,
    }
    pile.more["accepted"] = {
        "not-judged/hazard-words/word:zesty": dismissed, "overlap/group:BLOCK+group:LATHE": for_now,
        "not-judged/exit-narrower/door:front": {**dismissed, "why": "built so"},
    }  # fmt: skip
    scene = pile.scene(overfull(rules))
    found = audit(scene, TODAY)
    texts = {each.text for each in found}
    rows = [
        f"{row.check} · {row.state}, {row.judged} of {row.things} · {row.set} · {row.advice_set}"
        f" · {row.source} · {'as said' if row.why in texts else row.why}"
        for row in coverage(scene, found)
    ]
    put = [
        line(each)
        for name, where in (("new", ("rack", "3")), ("less", ("rack", "2")), ("more", ("bench", "")))
        for each in judge(scene, name, InZone(*where))
    ]
    return ["AUDIT", *map(line, found), "LOOKED AT", *rows, "PUT DOWN", *put]


@pytest.mark.parametrize("rules", ["own", "us", "uk", "eu"])
def test_every_sentence_of_an_overfull_shop_is_as_it_was_read(rules: str) -> None:
    """Of the sets of countries only what they say otherwise than the shop's own rules is kept."""
    own = () if rules == "own" else said("own")
    told = "\n".join(each for each in said(rules) if each not in own) + "\n"
    kept = KEPT / f"{rules}.txt"
    if os.environ.get("SHOPBINS_KEPT") == "write":
        kept.write_text(told, encoding="utf-8")
    assert told.splitlines() == kept.read_text(encoding="utf-8").splitlines()
