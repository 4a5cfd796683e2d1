"""Ceilings on the way: the headroom of each room against the thing on its gear."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shopbins.moves.finding import DECIDE, Check
from shopbins.moves.fitted import GearAnswer
from shopbins.rules.finding import Finding
from shopbins.shop.model import Room
from shopbins.units import show_length, show_lengths

HEADROOM = Check(
    "move-headroom",
    "Too high for a room on the way",
    "sizes of the thing, the gear and the shop file",
    "derived",
    "carry it lower, other gear, another way",
)


def too_low(gear: GearAnswer, rooms: Sequence[Room]) -> str:
    """Return why a thing does not go under a ceiling however low it is carried, '' where it does."""
    low = gear.least_height_mm if gear.least_height_mm is not None else gear.height_mm
    for room in rooms:
        if low is not None and room.headroom_mm is not None and low > room.headroom_mm:
            a, b = show_lengths(low, room.headroom_mm)
            return (
                f"{gear.load.name} on {gear.gear.name} is {a} high, {room.name} has {b} of headroom; {DECIDE}"
            )
    return ""


def unknown(gear: GearAnswer, rooms: Sequence[Room]) -> str:
    """Return what is not known of height on the way, '' where all is."""
    if gear.height_mm is None:
        return f"how high {gear.load.name} on {gear.gear.name} is is not known"
    for room in rooms:
        if room.headroom_mm is None:
            return f"the headroom of {room.name} is not known"
    return ""


def low_ceilings(gear: GearAnswer, rooms: Sequence[Room]) -> Iterator[Finding]:
    """Go through the rooms where a thing may not be raised all the way."""
    high, low = gear.height_mm, gear.least_height_mm
    for room in rooms:
        if high is None or room.headroom_mm is None or high <= room.headroom_mm:
            continue
        raised, limit = show_length(high), room.headroom_mm
        text = f"raised all the way it is {raised} high, {room.name} {show_length(limit)}: carry it low there"
        subjects = (*gear.load.subjects, f"room:{room.key}")
        yield HEADROOM.found("correct", subjects, text, room=room.key, measured=low, limit=limit, unit="mm")
