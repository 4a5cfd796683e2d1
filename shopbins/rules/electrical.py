"""The working space drawn at electrical equipment, to 600 V, against the published figures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date

from shopbins.geometry.segments import edges, segments_gap
from shopbins.geometry.shapes import Outline
from shopbins.rules import limits
from shopbins.rules.finding import Finding
from shopbins.rules.limits import Limit
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import TOLERANCE_MM, mm, mm_pair, unsure
from shopbins.scene.scene import Scene
from shopbins.shop.model import KeepClear, Shop

MOST_VOLTS = 600.0
OLD, NEW = date(1981, 4, 16), date(2007, 8, 13)
BETWEEN_PHASES = (208.0, 400.0, 415.0, 480.0)
"""Voltages written of a whole network: to ground it is less, so they are asked about."""


def depth_limit(volts: float, opposite: str, installed: date | None) -> Limit | None:
    """Return the depth of the working space; None above 600 V, or where the set has none.

    Old installations (before 16 April 1981) have 30 in, but not with live parts opposite nor with grounded
    ones above 150 V.
    """
    if volts > MOST_VOLTS:
        return None
    old = installed is not None and installed < OLD
    if old and (opposite == "nothing" or (opposite == "grounded" and volts <= 150)):
        return limits.limit("electrical-depth", "us", "before 16 Apr 1981")
    return limits.limit("electrical-depth", "us", "to 150 V" if volts <= 150 else opposite)


def sides_of(outline: Outline, deep: float, wide: float) -> tuple[float, float] | None:
    """Return (depth, width) of a drawn rectangle, the better reading of the two; None of another outline."""
    sides = rectangle_sides(outline)
    if sides is None:
        return None

    def short_by(depth: float, width: float) -> float:
        return max(0.0, deep - depth) + max(0.0, wide - width)

    return min((sides, sides[::-1]), key=lambda pair: short_by(*pair))


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


def _high_mm(shop: Shop, clear: KeepClear) -> float | None:
    """Return how high a working space is: as drawn, at most to the ceiling; None where neither is known."""
    room = shop.rooms.get(clear.room)
    heights = (clear.height_mm, None if room is None else room.headroom_mm)
    return min((high for high in heights if high is not None), default=None)


def _drawn(shop: Shop, clear: KeepClear) -> tuple[float, float] | None:
    """Return (depth, width): the width lies along a wall; where both sides or none do, the better reading."""
    if rectangle_sides(clear.outline) is None:
        return None
    a, b, c, _ = clear.outline
    lengths = math.dist(a, b), math.dist(b, c)
    along = [_at_wall(shop, clear, side) for side in (0, 1)]
    if along[0] != along[1]:
        return (lengths[1], lengths[0]) if along[0] else (lengths[0], lengths[1])
    volts, opposite = clear.volts or MOST_VOLTS, clear.opposite or "live"
    deep = depth_limit(min(volts, MOST_VOLTS), opposite, clear.installed)
    wide = limits.figure("electrical-width", "us")
    known = None if clear.equipment is None else clear.equipment.width_mm
    return sides_of(clear.outline, deep.figure if deep else 0.0, max(wide, known or 0.0))


def _at_wall(shop: Shop, clear: KeepClear, side: int) -> bool:
    """Tell whether one of two opposite sides of a rectangle lies along a wall of its room."""
    room = shop.rooms.get(clear.room)
    if room is None:
        return False
    corners, slack = clear.outline, max(shop.measured_mm, 1.0)
    for start in (side, side + 2):
        p, q = corners[start], corners[(start + 1) % 4]
        for a, b in edges(room.outline):
            if max(segments_gap(p, p, a, b)[0], segments_gap(q, q, a, b)[0]) <= slack:
                return True
    return False


def _tag(clear: KeepClear) -> str:
    return f"keep clear:{clear.key}"


def _odd(rule: Rule, clear: KeepClear) -> Finding | None:
    """Return why a space cannot be measured at all."""
    more = {"room": clear.room, "at_mm": clear.outline[0] if clear.outline else None}
    if clear.volts is not None and clear.volts > MOST_VOLTS:
        return rule.unjudged(
            (_tag(clear),), f"the working space at {clear.name} is not checked: above 600 V 29 CFR "
                f"1910.303(h)(3) "
            "applies, which is not in the table", remedy="ask an electrician", **more,  # type: ignore[arg-type]
        )  # fmt: skip
    if rectangle_sides(clear.outline) is None:
        return rule.unjudged(
            (_tag(clear),), f"the working space at {clear.name} is not checked: its outline is no rectangle",
            remedy="draw it as a rectangle: at, size, turn", **more,  # type: ignore[arg-type]
        )  # fmt: skip
    return None


def _short(
    rule: Rule, shop: Shop, clear: KeepClear, by: Limit, measured: float, least: float, what: str, why: str
) -> Iterator[Finding]:
    if measured >= least - TOLERANCE_MM:
        return
    drawn, limit = mm_pair(measured, least)
    text = f"the working space at {clear.name} is drawn {drawn} {what}, {limit} is the published minimum{why}"
    text += unsure(shop, measured, least, clear.name)
    if clear.worked_on_live is False:
        text += "; asked only where somebody is likely to work on it live"
    yield rule.breaks(
        by, "correct", (_tag(clear),), text, room=clear.room, at_mm=clear.outline[0],
        measured=measured, limit=least, unit="mm",
    )  # fmt: skip


def _no_figure(rule: Rule, shop: Shop, clear: KeepClear, what: str, advice: Sequence[Advice]) -> Finding:
    return rule.no_figure(
        shop, _tag(clear), f"the working space at {clear.name}{what}", advice, mm, room=clear.room,
        at_mm=clear.outline[0], unit="mm",
    )  # fmt: skip


def _look_depth(scene: Scene, clear: KeepClear) -> Iterator[Finding]:
    shop = scene.shop
    odd, drawn = _odd(DEPTH, clear), _drawn(shop, clear)
    if odd is not None or drawn is None:
        if odd is not None:
            yield odd
        return
    depth = drawn[0]
    opposite = clear.opposite or "live"
    unsaid = (
        ""
        if clear.opposite or (clear.volts or 0) <= 150
        else " (what is opposite is not said: taken as live)"
    )
    if limits.set_for(shop, "electrical-depth") is None:
        by = depth_limit(clear.volts or 150.0, opposite, clear.installed)
        least = None if by is None else by.figure
        note = "deep" if clear.volts is not None else "deep to 150 V"
        advice = [] if by is None or least is None else [Advice(by, least, depth, note=note)]
        advice = advice if "us" in limits.advisers(shop, "electrical-depth") else []
        yield _no_figure(DEPTH, shop, clear, f", {mm(depth)} deep{unsaid}", advice)
        return
    if clear.volts is None:
        by = limits.known("electrical-depth", "us", "to 150 V")
        if depth < by.figure - TOLERANCE_MM and clear.installed is None:
            yield from _short(DEPTH, shop, clear, by, depth, by.figure, "deep", " to 150 V, more above")
            return
        yield DEPTH.lacks(_tag(clear), clear.name, "volts to ground", "volts: 230", room=clear.room)
        return
    by = depth_limit(clear.volts, opposite, clear.installed)
    if by is None:
        return
    phases = ""
    if clear.volts in BETWEEN_PHASES:
        phases = f" ({clear.volts:g} V is usually between phases: write volts to ground (earth))"
    yield from _short(
        DEPTH, shop, clear, by, depth, by.figure, "deep", f" at {clear.volts:g} V to ground{unsaid}{phases}"
    )
    leaf = None if clear.equipment is None else clear.equipment.door_width_mm
    width = limits.known("electrical-width", "us")
    if leaf is not None and leaf > by.figure and depth < leaf - TOLERANCE_MM:
        yield from _short(DEPTH, shop, clear, width, depth, leaf, "deep", ": its door opens 90 degrees")


def _look_width(scene: Scene, clear: KeepClear) -> Iterator[Finding]:
    shop = scene.shop
    odd, drawn = _odd(WIDTH, clear), _drawn(shop, clear)
    if odd is not None or drawn is None:
        if odd is not None:
            yield odd
        return
    width, by = drawn[1], limits.known("electrical-width", "us")
    known = None if clear.equipment is None else clear.equipment.width_mm
    least = max(by.figure, known or 0.0)
    if limits.set_for(shop, "electrical-width") is None:
        advice = [Advice(by, least, width, note="wide")] if limits.advisers(shop, "electrical-width") else []
        yield _no_figure(WIDTH, shop, clear, f", {mm(width)} wide", advice)
        return
    yield from _short(WIDTH, shop, clear, by, width, least, "wide", "")
    if known is None and width >= least - TOLERANCE_MM:
        yield WIDTH.unjudged(
            (_tag(clear),), f"the working space at {clear.name} is checked to {mm(by.figure)} wide only: how "
                f"wide the "
            "equipment is, is not said", room=clear.room, at_mm=clear.outline[0],
            remedy="write equipment: {width: 900}",
        )  # fmt: skip


def _look_height(scene: Scene, clear: KeepClear) -> Iterator[Finding]:
    shop = scene.shop
    odd = _odd(HEIGHT, clear) if clear.volts is not None and clear.volts > MOST_VOLTS else None
    if odd is not None:
        yield odd
        return
    high = _high_mm(shop, clear)
    new = limits.known("electrical-height", "us", "since 13 Aug 2007")
    old = limits.known("electrical-height", "us", "before 13 Aug 2007")
    equipment = None if clear.equipment is None else clear.equipment.height_mm
    least = max(new.figure, equipment or 0.0)
    is_old = clear.installed is not None and clear.installed < NEW
    by, wanted = (old, old.figure) if is_old else (new, least)
    if limits.set_for(shop, "electrical-height") is None:
        advice = (
            [] if not limits.advisers(shop, "electrical-height") else [Advice(by, wanted, high, note="high")]
        )
        known = "" if high is None else f", {mm(high)} high"
        yield _no_figure(HEIGHT, shop, clear, known, advice)
        return
    if high is None:
        write = "height at it, or headroom of its room"
        yield HEIGHT.lacks(_tag(clear), clear.name, "height", write, room=clear.room)
        return
    if clear.installed is None and old.figure - TOLERANCE_MM <= high < wanted - TOLERANCE_MM:
        yield HEIGHT.unjudged(
            (_tag(clear),), f"the working space at {clear.name} is {mm(high)} high: enough only if it was "
                f"installed "
            f"before 13 Aug 2007, else {mm(wanted)}{new.doubt}", room=clear.room, at_mm=clear.outline[0],
            measured=high, unit="mm", remedy="write installed: 2005-06-01",
        )  # fmt: skip
        return
    year = " (installed when is not said: the newer figure)" if clear.installed is None else ""
    yield from _short(HEIGHT, shop, clear, by, high, wanted, "high", year)


def _look_way_in(scene: Scene, clear: KeepClear) -> Iterator[Finding]:
    shop = scene.shop
    amps_from = limits.known("electrical-way-in", "us", "amps")
    wider = limits.figure("electrical-way-in", "us", "wider than")
    if limits.set_for(shop, "electrical-way-in") is None:
        yield _no_figure(WAY_IN, shop, clear, ", its entrances", [])
        return
    equipment = clear.equipment
    width, amps = (None, None) if equipment is None else (equipment.width_mm, equipment.amps)
    narrow = width is not None and width <= wider + TOLERANCE_MM
    if narrow or (amps is not None and amps < amps_from.figure):
        return
    if equipment is None or amps is None or width is None:
        drawn = _drawn(shop, clear)
        if drawn is not None and max(drawn) <= wider:
            return  # narrower than what is asked about
        what = "equipment: {width: 900, amps: 200}"
        yield WAY_IN.lacks(_tag(clear), clear.name, "width or amps of its equipment", what, room=clear.room)
        return
    if (clear.entrances or 1) < 2:
        yield WAY_IN.breaks(
            amps_from, "note", (_tag(clear),), f"{clear.name}, {amps:g} A and {mm(width)} wide, has one "
            "entrance to its working space: one at each end is wanted, 610 by 1981 mm",
            room=clear.room, at_mm=clear.outline[0], measured=clear.entrances or 1, limit=2, unit="entrances",
            remedy="write entrances: 2 where there are two, or ask an electrician",
        )  # fmt: skip


_LAW = "29 CFR 1910.303(g)(1)"
DEPTH = Rule(
    key="electrical-depth",
    title="The depth of the working space at electrical equipment",
    text="A keep-clear at switchgear is at least as deep as published for its voltage to ground and for "
    "what is "
    "opposite (taken as live where not said), and as deep as the leaf of its door. Old installations have "
    "less. "
    "To fix in 'us', advice elsewhere. That nothing stands in it is the rule of keep-clears.",
    limit="0-150 V 3 ft; 151-600 V 3, 3.5 or 4 ft with nothing, something grounded or live opposite",
    source=f"{_LAW}(i)(A), Table S-1",
    mark="published",
    remedy="draw it as deep as it must be, and clear it; ask an electrician what applies here",
    each="switchgear",
    look=_look_depth,
)
WIDTH = Rule(
    key="electrical-width",
    title="The width of the working space at electrical equipment",
    text="A keep-clear at switchgear is at least 30 in (762 mm) wide, and as wide as the equipment. To "
    "fix in 'us'.",
    limit="30 in (762 mm), or the width of the equipment",
    source=f"{_LAW}(i)(B)",
    mark="published",
    remedy="draw it as wide as it must be, and clear it",
    each="switchgear",
    look=_look_width,
)
HEIGHT = Rule(
    key="electrical-height",
    title="The height of the working space at electrical equipment",
    text="A keep-clear at switchgear is 6 ft 6 in (1981 mm) high, or as high as the equipment; installed "
    "before "
    "13 August 2007, 6 ft 3 in (1905 mm). To fix in 'us'.",
    limit="1981.2 mm, installed before 13 Aug 2007 1905 mm",
    source=f"{_LAW}(vi)",
    mark="from memory",
    remedy="keep what hangs there higher; ask an electrician",
    each="switchgear",
    look=_look_height,
)
WAY_IN = Rule(
    key="electrical-way-in",
    title="The entrances to the working space at electrical equipment",
    text="From 1200 A on, equipment wider than 6 ft (1829 mm) has an entrance at each end of its space. A "
    "note.",
    limit="1200 A and 1828.8 mm",
    source=f"{_LAW}(iv)",
    mark="from memory",
    remedy="ask an electrician",
    each="switchgear",
    look=_look_way_in,
)

RULES = (DEPTH, WIDTH, HEIGHT, WAY_IN)
