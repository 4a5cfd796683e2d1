"""Where a door's clear opening lies in its wall: at the side away from the hinges, else in the middle."""

from __future__ import annotations

from dataclasses import replace

import pytest
from building import box, shop

from shopbins.geometry.shapes import Pose, placed
from shopbins.scene.doorway import OVERLAP_MM, doorway
from shopbins.shop.model import Door, Room

HALL = Room("hall", "the hall", box(0, 0, 6000, 5000))
DOOR = Door("d", "the door", "hall", "yard", ((2000.0, 0.0), (3000.0, 0.0)), 800.0, 2000.0, "open", ())
"""A wall along y = 0 with the hall above it; somebody in the hall who faces it has x growing to the left."""


@pytest.mark.parametrize(
    ("told", "low"),
    [
        ({}, 100.0),
        ({"opens": "sliding", "hand": "left", "swings_into": "hall"}, 100.0),
        ({"opens": "hinged"}, 100.0),
        # Hinges at x = 3000, to the left of who stands in the hall; at x = 2000 to the right.
        ({"opens": "hinged", "hand": "left", "swings_into": "hall"}, 0.0),
        ({"opens": "hinged", "hand": "right", "swings_into": "hall"}, 200.0),
        # Seen from the yard, into which it swings, left and right are the other way round.
        ({"opens": "hinged", "hand": "left", "swings_into": "yard"}, 200.0),
        ({"opens": "hinged", "hand": "right", "swings_into": "yard"}, 0.0),
    ],
)
@pytest.mark.parametrize("other_way", [False, True])
def test_what_is_not_clear_lies_at_the_hinges(told: dict[str, str], low: float, other_way: bool) -> None:
    door = replace(DOOR, **told)  # type: ignore[arg-type]
    if other_way:
        door, low = replace(door, jambs=door.jambs[::-1]), 200.0 - low
    found = doorway(door, shop(rooms=[HALL], doors=[door]))
    assert found is not None and (found.low_mm, found.high_mm) == pytest.approx((low, low + 800.0))
    assert found.outward == pytest.approx((0.0, -1.0))


@pytest.mark.parametrize("turn_deg", [0.0, 40.0, 180.0])
def test_a_doorway_goes_through_its_wall_and_a_little_at_least(turn_deg: float) -> None:
    pose = Pose(100.0, 200.0, turn_deg)
    room = replace(HALL, outline=placed(HALL.outline, pose))
    jambs = placed(DOOR.jambs, pose)
    for passage, through in (((), OVERLAP_MM), (box(2000, -240, 3000, 0), 240.0)):
        door = replace(DOOR, jambs=(jambs[0], jambs[1]), passage=placed(passage, pose))
        found = doorway(door, shop(rooms=[room], doors=[door]))
        assert found is not None and found.through_mm == pytest.approx(through)
        assert found.middle(0.0) == pytest.approx(placed(((2500.0, 0.0),), pose)[0])
        assert found.out_of(found.middle(70.0)) == pytest.approx(70.0)
        assert found.along_of(found.middle(70.0)) == pytest.approx(500.0)


def test_a_door_shut_for_good_or_of_no_room_told_is_no_doorway() -> None:
    assert doorway(replace(DOOR, clear_width_mm=0.0), shop(rooms=[HALL])) is None
    assert doorway(replace(DOOR, room="cellar"), shop(rooms=[HALL])) is None
    found = doorway(replace(DOOR, clear_width_mm=5000.0), shop(rooms=[HALL]))
    assert found is not None and (found.low_mm, found.high_mm) == pytest.approx((0.0, 1000.0))
