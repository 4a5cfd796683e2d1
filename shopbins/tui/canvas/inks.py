"""The inks and grounds a plan is drawn with: what each stands for, by number."""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum


class Ink(IntEnum):
    """What a glyph on the plan stands for."""

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
    # the overview
    TITLE = 19
    PLACE_NAME = 20
    BAR = 21
    FIXED_NAME = 22
    PART = 23
    PART_NAME = 24
    ON_PART = 25
    ON_STOP = 26
    ON_FIX = 27
    STOP_NAME = 28
    FIX_NAME = 29
    ACCEPTED = 30
    LETTER = 31
    FIXED = 32
    ON_LIT = 33
    SEAM = 34


class Behind(IntEnum):
    """What lies behind a glyph."""

    NONE = 0
    WALKWAY = 1
    KEEP_CLEAR = 2
    ZONE = 3
    ZONE_FULL = 4
    FIXTURE = 5
    THING = 6
    CARRIED = 7
    LIT = 8
    # the overview
    FLOOR = 9
    WAY = 10
    PLACE = 11
    SPOT = 12
    FIXED = 13
    PART = 14
    KEEP = 15
    STOP = 16
    FIX = 17
    IN_HAND = 18


Look = tuple[str, float, bool]
"""A variable of the theme, its share (1.0: pure, less: blended into what lies behind), bold or not."""

INK_LOOKS: Mapping[int, Look] = {
    Ink.WALL: ("foreground", 1.0, True),
    Ink.DOOR: ("foreground", 1.0, False),
    Ink.EXIT: ("success", 1.0, True),
    Ink.SWING: ("foreground", 0.6, False),
    Ink.WALKWAY: ("success", 1.0, False),
    Ink.KEEP_CLEAR: ("error", 1.0, False),
    Ink.FIXTURE: ("foreground", 0.6, False),
    Ink.ZONE: ("primary", 1.0, False),
    Ink.ZONE_FULL: ("warning", 1.0, True),
    Ink.THING: ("secondary", 1.0, True),
    Ink.SHADE: ("secondary", 0.6, False),
    Ink.CARRIED: ("foreground", 1.0, True),
    Ink.CARRIED_STOP: ("error", 1.0, True),
    Ink.LABEL: ("foreground", 1.0, True),
    Ink.MARK_STOP: ("error", 1.0, True),
    Ink.MARK_CORRECT: ("warning", 1.0, True),
    Ink.MARK_NOTE: ("accent", 1.0, True),
    Ink.LIT: ("foreground", 1.0, True),
    Ink.TITLE: ("foreground", 1.0, True),
    Ink.PLACE_NAME: ("place-ink", 1.0, True),
    Ink.BAR: ("place-ink", 1.0, False),
    Ink.FIXED_NAME: ("foreground", 1.0, False),
    Ink.FIXED: ("foreground", 0.6, False),
    Ink.PART: ("foreground", 0.6, False),
    Ink.PART_NAME: ("foreground", 1.0, True),
    Ink.ON_PART: ("part-ink", 1.0, True),
    Ink.ON_STOP: ("stop-ink", 1.0, True),
    Ink.ON_FIX: ("fix-ink", 1.0, True),
    Ink.STOP_NAME: ("error", 1.0, True),
    Ink.FIX_NAME: ("warning", 1.0, True),
    Ink.ACCEPTED: ("error", 1.0, True),
    Ink.LETTER: ("foreground", 1.0, True),
    Ink.ON_LIT: ("background", 1.0, True),
    Ink.SEAM: ("background", 1.0, False),
}

GROUND_LOOKS: Mapping[int, tuple[str, float]] = {
    Behind.WALKWAY: ("success", 0.12),
    Behind.KEEP_CLEAR: ("error", 0.12),
    Behind.ZONE: ("primary", 0.12),
    Behind.ZONE_FULL: ("warning", 0.15),
    Behind.FIXTURE: ("foreground", 0.10),
    Behind.THING: ("secondary", 0.15),
    Behind.CARRIED: ("foreground", 0.15),
    Behind.LIT: ("foreground", 0.25),
    Behind.FLOOR: ("foreground", 0.035),
    Behind.WAY: ("success", 0.15),
    Behind.PLACE: ("primary", 0.24),
    Behind.SPOT: ("primary", 0.09),
    Behind.FIXED: ("foreground", 0.20),
    Behind.PART: ("part-ground", 1.0),
    Behind.KEEP: ("error", 0.12),
    Behind.STOP: ("stop-ground", 1.0),
    Behind.FIX: ("fix-ground", 1.0),
    Behind.IN_HAND: ("foreground", 1.0),
}

GRADE_GLYPH = {"stop": "■", "correct": "▲", "note": "●"}
"""One shape a grade, so that no colour is needed to tell them apart."""

GRADE_INK = {"stop": Ink.MARK_STOP, "correct": Ink.MARK_CORRECT, "note": Ink.MARK_NOTE}
