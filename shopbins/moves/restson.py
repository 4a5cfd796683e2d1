"""What a condition of a move rests on, as one word: what was accepted counts while it is the same.

A condition is accepted for one move. Another weight, spot, gear, goal, door or floor is another move; what is
only written about them (a note, a name, where in the file) is not.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from shopbins.moves.gear import CARRIES
from shopbins.moves.situation import Situation

ONLY_WORDS = ("at", "name", "note", "was")
"""Fields that say where a thing is written, and how it is called."""


def rests_on(it: Situation) -> str:
    """Return a word for the thing and where it stands, gear, goal, doors and floors passed, what is shifted,
    tools and limits.
    """
    shop = it.scene.shop
    tools = [gear for gear in shop.gear.values() if gear.kind not in CARRIES]
    thing = it.load, it.body.pose, it.body.base
    shifted = () if it.attempt is None else tuple((s.code, s.mass_kg) for s in it.attempt.shifted)
    place = it.goal, it.level, it.rooms, it.doors, shifted
    every = thing, it.gear.gear, place, tools, shop.limits, shop.measured_mm
    return hashlib.sha256(repr(_figures(every)).encode()).hexdigest()[:16]


def _figures(of: Any) -> Any:
    """Return a value without what is only written about it."""
    if is_dataclass(of):
        return tuple(_figures(getattr(of, f.name)) for f in fields(of) if f.name not in ONLY_WORDS)
    if isinstance(of, Mapping):
        return tuple((key, _figures(of[key])) for key in sorted(of))
    if isinstance(of, tuple | list):
        return tuple(_figures(each) for each in of)
    return of
