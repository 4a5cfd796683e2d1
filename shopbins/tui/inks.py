"""The inks and grounds a plan is drawn with: what each stands for, by number."""

from __future__ import annotations

from enum import IntEnum


class Ink(IntEnum):
    """What a glyph on the plan stands for. Each is a component class of the floor plan: 'ink--wall'."""

    NONE = 0
    WALL = 1
    DOOR = 2
    EXIT = 3
    SWING = 4
    WALKWAY = 5
    KEEP_CLEAR = 6
    FIXTURE = 7
    ZONE = 8
    ZONE_FULL = 9
    THING = 10
    SHADE = 11
    CARRIED = 12
    CARRIED_STOP = 13
    LABEL = 14
    MARK_STOP = 15
    MARK_CORRECT = 16
    MARK_NOTE = 17
    LIT = 18
    SOLID = 19


class Ground(IntEnum):
    """What lies behind a glyph: 'ground--walkway'."""

    NONE = 0
    WALKWAY = 1
    KEEP_CLEAR = 2
    ZONE = 3
    ZONE_FULL = 4
    FIXTURE = 5
    THING = 6
    CARRIED = 7
    CURSOR = 8
    LIT = 9


INKS: tuple[str, ...] = tuple(f"ink--{ink.name.lower().replace('_', '-')}" for ink in Ink)
GROUNDS: tuple[str, ...] = tuple(f"ground--{ground.name.lower().replace('_', '-')}" for ground in Ground)

GRADE_GLYPH = {"stop": "■", "correct": "▲", "note": "●"}
"""One shape a grade, so that no colour is needed to tell them apart."""

GRADE_INK = {"stop": Ink.MARK_STOP, "correct": Ink.MARK_CORRECT, "note": Ink.MARK_NOTE}
