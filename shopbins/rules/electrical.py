"""The working space drawn at electrical equipment, against the published depths."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date

from shopbins.geometry.shapes import Outline
from shopbins.rules import published
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM, mm_pair, unsure
from shopbins.scene.scene import Scene
from shopbins.shop.model import KeepClear, Shop

CONDITIONS = {"nothing": "A", "grounded": "B", "live": "C"}


def _audit_space(scene: Scene, _today: date) -> Iterator[Finding]:
    for clear in scene.shop.keep_clear.values():
        if clear.volts is not None:
            yield from _space(scene.shop, clear, clear.volts)


def _space(shop: Shop, clear: KeepClear, volts: float) -> Iterator[Finding]:
    grade = published.grade_in(shop.rules, "us", "correct")
    if grade is None:
        return
    opposite = clear.opposite or "live"
    unsaid = "" if clear.opposite or volts <= 150 else " (what is opposite is not said: taken as live)"
    deep = published.electrical_depth_mm(volts, CONDITIONS[opposite])
    sides = rectangle_sides(clear.outline)
    if deep is None or sides is None:
        why = "its outline is no rectangle" if sides is None else "above 600 V another table applies"
        yield _found(clear, "note", f"the working space {clear.name} is not judged: {why}", None, deep)
        return
    short, long = sides
    # Whichever side is the depth: the best reading of the two is judged.
    turned = _short_by(long, short, deep) < _short_by(short, long, deep)
    depth, width = (long, short) if turned else (short, long)
    short_of = [
        (measured, least, what)
        for measured, least, what in (
            (depth, deep, "deep"),
            (width, published.PANEL_WIDTH_MM, "wide"),
            (_high_mm(shop, clear), published.PANEL_HEIGHT_MM, "high"),
        )
        if measured < least - TOLERANCE_MM
    ]
    if short_of:  # one finding: an audit keeps one of a rule about the same thing
        measured, least, _ = max(short_of, key=lambda each: each[1] - each[0])
        text = f"the working space {clear.name} is {'; '.join(_too_small(*each) for each in short_of)} at "
        again = unsure(shop, measured, least, clear.name)
        yield _found(clear, grade, f"{text}{volts:g} V{unsaid}{again}", measured, least)


def _too_small(measured: float, least: float, what: str) -> str:
    drawn, limit = mm_pair(measured, least)
    return f"drawn {drawn} {what}, {limit} is the published least"


def _high_mm(shop: Shop, clear: KeepClear) -> float:
    """Return how high a working space is: as drawn, at most to the ceiling; without end where unknown."""
    room = shop.rooms.get(clear.room)
    heights = (clear.height_mm, None if room is None else room.headroom_mm)
    return min((high for high in heights if high is not None), default=math.inf)


def _short_by(depth: float, width: float, deep: float) -> float:
    return max(0.0, deep - depth) + max(0.0, published.PANEL_WIDTH_MM - width)


def _found(clear: KeepClear, grade: str, text: str, measured: float | None, least: float | None) -> Finding:
    return SPACE.found(
        grade,  # type: ignore[arg-type]
        (f"keep clear:{clear.key}",),
        text,
        room=clear.room,
        at_mm=clear.outline[0],
        measured=None if measured is None else round(measured, 3),
        limit=least,
        unit="mm",
    )


def rectangle_sides(outline: Outline) -> tuple[float, float] | None:
    """Return the short and the long side of a rectangle at any turn, None of any other outline."""
    if len(outline) != 4:
        return None
    a, b, c, d = outline
    first, second = math.dist(a, b), math.dist(b, c)
    across = abs((b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]))
    closes = math.dist((a[0] + c[0], a[1] + c[1]), (b[0] + d[0], b[1] + d[1]))
    if across > 1e-6 * first * second or closes > 0.01:
        return None
    return min(first, second), max(first, second)


SPACE = Rule(
    key="electrical-space",
    title="The working space at electrical equipment",
    text="A keep-clear with `volts` is at least as deep as published for its voltage to ground and what is "
    "opposite, 30 in (762 mm) or the equipment's own width wide, and 6 ft 6 in (1981 mm) high. The width of "
    "the equipment is not known to the program. To correct under 'us', advice under 'own'. That nothing "
    "stands in it is the rule of keep-clears.",
    limit="0-150 V 3 ft; 151-600 V 3, 3.5 or 4 ft with nothing, something grounded or live opposite",
    source="29 CFR 1910.303(g)(1), Table S-1",
    mark="published",
    remedy="draw it as deep as it must be, and clear it; ask an electrician what applies here",
    audit=_audit_space,
)

RULES = (SPACE,)
