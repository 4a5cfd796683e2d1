"""A yard is outdoors: a door to it leads out, nothing of a building is asked of it, and what is left is said.

29 CFR 1910.36(c)(1): an exit leads outside, or to an open space with access to the outside.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from building import Pile, box, of, shop

from shopbins.rules.finding import Finding
from shopbins.shop.model import Door, Room, Walkway

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
STORE = Room("store", "the store", box(0, 8200, 10_000, 12_000), headroom_mm=3000)
YARD = Room("yard", "the yard", box(10_250, 0, 16_000, 8000), outdoor=True)


def opening(key: str, room: str, to: str, x: float, low: float, wall: float, *, exit_: bool) -> Door:
    """A 1 m opening in a wall that runs up, at the right of its room."""
    passage = box(x - 1, low, x + wall + (1 if to != "outside" else 0), low + 1000)
    return Door(
        key, f"the {key}", room, to, ((x, low), (x, low + 1000)), 1000, 2100, "open", passage, exit=exit_
    )


OUT = opening("yard door", "hall", "yard", 10_000, 6000, 250, exit_=True)
GATE = opening("gate", "yard", "outside", 16_000, 3000, 200, exit_=True)
LINK = Door(
    "link", "the link", "hall", "store", ((1000, 8000), (2000, 8000)), 1000, 2100, "open",
    box(1000, 7999, 2000, 8201),
)  # fmt: skip


def of_room(findings: list[Finding]) -> dict[str, Finding]:
    return {each.subjects[0].removeprefix("room:"): each for each in findings}


def test_a_door_to_the_yard_is_the_way_out_of_every_room_that_leads_to_it() -> None:
    there = of_room(of(shop(rooms=[HALL, STORE, YARD], doors=[OUT, LINK], rules="us"), "way-out"))
    for key in ("hall", "store"):
        assert there[key].judged
        assert there[key].grade == "note"
        assert there[key].measured == 1000


def test_a_yard_without_a_gate_is_not_checked_and_not_led_back_into_the_hall() -> None:
    there = of_room(of(shop(rooms=[HALL, YARD], doors=[OUT], rules="us"), "way-out"))
    assert not there["yard"].judged
    assert "the hall" not in there["yard"].text


@pytest.mark.parametrize("declared", ["from the hall", "from the yard"])
def test_a_yard_with_a_gate_is_judged_to_the_gate(declared: str) -> None:
    """Which side the door was described from makes no difference."""
    out = OUT
    if declared == "from the yard":
        jambs = tuple((x + 250, y) for x, y in OUT.jambs)
        out = replace(OUT, room="yard", to="hall", jambs=jambs)  # type: ignore[arg-type]
    gate = replace(GATE, clear_width_mm=900)
    there = of_room(of(shop(rooms=[HALL, YARD], doors=[out, gate], rules="us"), "way-out"))
    assert (there["hall"].measured, there["yard"].measured) == (1000, 900)
    assert there["yard"].judged


def test_a_way_through_a_yard_leads_to_its_gate_not_back_in() -> None:
    """A second building across the yard: its unmarked door joins the yard, the hall's exit is none for it."""
    shed = Room("shed", "the shed", box(10_250, 8200, 16_000, 12_000))
    door = Door(
        "shed door", "the shed door", "shed", "yard", ((12_000, 8200), (13_000, 8200)), 1000, 2100, "open",
        box(12_000, 7999, 13_000, 8201),
    )  # fmt: skip
    alone = of_room(of(shop(rooms=[HALL, YARD, shed], doors=[OUT, door], rules="us"), "way-out"))
    assert alone["shed"].grade == "stop"
    gated = of_room(of(shop(rooms=[HALL, YARD, shed], doors=[OUT, door, GATE], rules="us"), "way-out"))
    assert "the gate" in gated["shed"].text


def test_no_walk_to_an_exit_is_measured_from_a_yard() -> None:
    for rule in ("way-length", "two-exits"):
        keys = of_room(of(shop(rooms=[HALL, YARD], doors=[OUT, GATE], rules="us"), rule))
        assert "hall" in keys
        assert "yard" not in keys


def test_no_ceiling_is_asked_of_a_yard() -> None:
    route = Walkway(
        "r", "the route", ((5000, 6500), (13_000, 6500)), 900, exit_route=True, rooms=("hall", "yard")
    )
    there = of(shop(rooms=[HALL, YARD], doors=[OUT, GATE], walkways=[route], rules="us"), "exit-height")
    assert not [each for each in there if each.room == "yard"]
    roofed = replace(YARD, outdoor=False)
    there = of(shop(rooms=[HALL, roofed], doors=[OUT, GATE], walkways=[route], rules="us"), "exit-height")
    assert [each.judged for each in there if each.room == "yard"] == [False]


def test_what_burns_in_the_yard_is_not_in_the_building_and_that_is_said() -> None:
    """29 CFR 1910.106(e)(2)(ii)(b) counts what is in the building; for the open it has other paragraphs."""
    pile = Pile()
    for room, litres in (("hall", 60.0), ("yard", 60.0)):
        pile.add(
            f"can {room}", pile.at(11_000 if room == "yard" else 1000, 1000, room=room),
            cautions=["petrol"], details={"volume": litres},
        )  # fmt: skip
    whole = shop(rooms=[HALL, YARD], doors=[OUT], rules="us")
    told = of(whole, "liquids-open", pile)
    assert [each.judged for each in told] == [False]
    assert "outdoors" in told[0].text
    roofed = shop(rooms=[HALL, replace(YARD, outdoor=False)], doors=[OUT], rules="us")
    assert [each.measured for each in of(roofed, "liquids-open", pile) if each.judged] == [120.0]


def test_gas_heavier_than_air_in_a_yard_asks_nothing_of_a_cellar() -> None:
    pile = Pile()
    pile.add("bottle", pile.at(11_000, 1000, room="yard"), cautions=["propane"])
    assert of(shop(rooms=[HALL, YARD], doors=[OUT]), "heavy-gas", pile) == []
    roofed = shop(rooms=[HALL, replace(YARD, outdoor=False)], doors=[OUT])
    assert [each.judged for each in of(roofed, "heavy-gas", pile)] == [False]
