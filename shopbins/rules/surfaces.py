"""Is there surface for it: too full, too large; and what could not be judged."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import lru_cache

from shopbins.geometry.shapes import Box, Outline, Pose, bounds, placed
from shopbins.ledger.model import Group, InZone
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import (
    TOLERANCE_MM,
    mm,
    place,
    told_apart,
    zone_subject,
)
from shopbins.rules.shuffling import HEAPED, MANY, is_rectangle, shuffle_for
from shopbins.scene.contents import Contents
from shopbins.scene.scene import Scene
from shopbins.scene.standing import footprint
from shopbins.shop.model import Level, Zone
from shopbins.units import counted

# --- full surfaces ----------------------------------------------------------------------------------------


def _look_full(scene: Scene, zone: Zone) -> Iterator[Finding]:
    if zone.kind == "room":
        return
    for level in zone.levels:
        contents = scene.contents(zone.key, level.key)
        found = list(_full(scene, zone, level, contents))
        yield from found
        if contents.unsized and not found:
            yield FULL.unjudged(
                (zone_subject(zone, level.key),),
                f"{place(zone, level)}: {counted(contents.unsized, 'part')} not measured, so how full it is "
                "is not checked",
                room=zone.room, gap="keeps", remedy="measure them, the largest first",
            )  # fmt: skip


def _judge_full(p: Placement) -> Iterator[Finding]:
    if p.level is None or p.zone.kind == "room":
        return
    yield from _full(p.scene, p.zone, p.level, p.scene.contents(p.zone.key, p.level.key))


def _full(scene: Scene, zone: Zone, level: Level, contents: Contents) -> Iterator[Finding]:
    most = scene.shop.limits.fill
    if contents.fill <= most + 1e-9 or not contents.groups:
        return
    groups = [scene.group(g) for g in contents.groups]
    if zone.kind == "floor" and all(isinstance(g.where, InZone) and g.where.posed for g in groups):
        return  # every outline was looked at where it stands
    flat = [g for g in groups if g.container not in HEAPED]
    flat_mm2 = sum(_area(g) for g in flat)
    over = flat_mm2 > contents.surface_mm2 * (1 + 1e-9)
    percent, least = contents.fill * 100, most * 100
    full, wanted = told_apart(percent, least, "{:.0f} %".format, "%")
    also = f", {counted(contents.unsized, 'thing')} of unknown size not counted" if contents.unsized else ""
    yield FULL.found(
        "stop" if over else "correct",
        (zone_subject(zone, level.key),),
        f"{place(zone, level)} is {full} full ({wanted} at most){also}"
        + ("; what lies there without heaping needs more than the whole surface" if over else ""),
        room=zone.room,
        at_mm=bounds(zone.outline).middle,
        measured=percent,
        limit=least,
        unit="%",
    )


def _area(group: Group) -> float:
    from shopbins.scene.contents import area_of

    return area_of(group) or 0.0


FULL = Rule(
    key="full",
    title="A surface is too full",
    text="The footprints on a bench, shelf level or floor spot take no more than the fill factor of its "
    "surface: to fix. A floor spot where all that stands there has its place is left to the outlines. "
    "A stop where what cannot be heaped takes more than the whole surface. An area sum may refuse, it never "
    "accepts: whether a thing finds a place is looked at by its outline.",
    limit="limits.fill in the shop file, 85 % unless set",
    source="fill factor: own figure",
    mark="own",
    remedy="take something off, or put small things into a tub",
    look=_look_full,
    per="zone",
    judge=_judge_full,
    each="level",
)


# --- too large for the surface ----------------------------------------------------------------------------


def _judge_large(p: Placement) -> Iterator[Finding]:
    if p.body is None and p.level is not None and p.zone.kind != "room":
        yield from _too_large(p.group, p.zone, p.level)


def _look_large(scene: Scene, zone: Zone) -> Iterator[Finding]:
    if zone.kind == "room":
        return
    unsized = []
    for level in zone.levels:
        for group_id in scene.ids_in(zone, level.key):
            group = scene.group(group_id)
            if isinstance(group.where, InZone) and not group.where.posed:
                yield from _too_large(group, zone, level)
                unsized += [group] if footprint(group) is None else []
    if unsized:
        yield LARGE.left_out(zone, unsized, "not measured", "the room for them")


def _too_large(group: Group, zone: Zone, level: Level) -> Iterator[Finding]:
    outline = footprint(group)
    if outline is None or fits_at_all(outline, zone):
        return
    x0, y0, x1, y1 = bounds(outline)
    along, across = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    a, b = _extent(zone)
    yield LARGE.found(
        "stop",
        (f"group:{group.code}", zone_subject(zone, level.key)),
        f"{group.shown}, {mm(along)} by {mm(across)}, does not fit on {place(zone, level)}, "
        f"{mm(a)} by {mm(b)}, at any turn",
        room=zone.room,
        at_mm=bounds(zone.outline).middle,
        measured=across if across > b else along,
        limit=b if across > b else a,
        unit="mm",
    )


def _extent(zone: Zone) -> tuple[float, float]:
    if zone.size_mm is not None:
        return max(zone.size_mm), min(zone.size_mm)
    x0, y0, x1, y1 = bounds(zone.outline)
    return max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)


def fits_at_all(outline: Outline, zone: Zone) -> bool:
    """Tell whether an outline may lie on an empty surface at some turn; False is certain.

    Of rectangles it is exact (W. B. Carver's condition, American Mathematical Monthly 64, 1957, 114-116;
    from memory). Else the longest distance in the thing is compared with the longest in the zone.
    """
    sides = None if zone.size_mm is None else _sides(outline)
    if zone.size_mm is not None and sides is not None:
        return rectangle_in_rectangle(sides, zone.size_mm)
    return _longest(outline) <= _longest(zone.outline) + TOLERANCE_MM


@lru_cache(maxsize=4096)
def _sides(outline: Outline) -> tuple[float, float] | None:
    """Return the sides of an outline that is a rectangle along its axes; None of any other."""
    if not is_rectangle(outline):
        return None
    x0, y0, x1, y1 = bounds(outline)
    return x1 - x0, y1 - y0


def rectangle_in_rectangle(inner: tuple[float, float], outer: tuple[float, float]) -> bool:
    """Tell whether a rectangle fits into another at any turn."""
    p, q = max(inner), min(inner)
    a, b = max(outer), min(outer)
    if q > b + TOLERANCE_MM:
        return False
    if p <= a + TOLERANCE_MM:
        return True
    p, q = p - TOLERANCE_MM, max(0.0, q - TOLERANCE_MM)
    return p > q and ((a + b) / (p + q)) ** 2 + ((a - b) / (p - q)) ** 2 >= 2.0


def _longest(outline: Outline) -> float:
    return max(math.dist(p, q) for p in outline for q in outline)


LARGE = Rule(
    key="too-large",
    title="Larger than the surface",
    text="What lies on a surface without a stated place must fit on the empty surface at some turn. A stop.",
    limit="the surface's own size",
    source="rectangle in rectangle: W. B. Carver, American Mathematical Monthly 64 (1957) 114-116",
    mark="from memory",
    remedy="put it on a larger surface or on the floor",
    look=_look_large,
    per="zone",
    judge=_judge_large,
    each="part without a spot",
)


# --- side by side ----------------------------------------------------------------------------------------


def _judge_layout(p: Placement) -> Iterator[Finding]:
    if p.body is not None or p.level is None or p.zone.kind not in ("bench", "shelf"):
        return
    if p.zone.size_mm is None or p.scene.contents(p.zone.key, p.level.key).fill <= EASY_FILL:
        return
    laid = _side_by_side(p.scene, p.zone, p.level)
    if laid is None or not all(rectangle_in_rectangle(each, p.zone.size_mm) for each in laid[0]):
        return  # not exact, or one of them alone is too large, which is a rule of its own
    from shopbins.packing.shuffle import Piece, Surface, shuffle  # only here: it is large and seldom needed

    sides, blocked = laid
    pieces = [Piece(*each) for each in sides]
    answer = shuffle(Surface(*p.zone.size_mm, blocked), pieces, seconds=p.patience_s)
    if answer.answer == "fits":
        return
    where = place(p.zone, p.level)
    proven = answer.answer == "does not fit"
    words = "cannot lie" if proven else f"were not found room in {p.patience_s:g} s to lie"
    yield NO_LAYOUT.found(
        "stop" if proven else "note",
        (zone_subject(p.zone, p.level.key),),
        f"the {len(pieces)} things on {where} {words} side by side, even shuffled ({answer.why})",
        room=p.zone.room,
        at_mm=bounds(p.zone.outline).middle,
        measured=len(pieces),
        unit="count",
        remedy=_shuffled(p) if blocked else "",
    )


def _shuffled(p: Placement) -> str:
    """Say what would make room among things that have their stated places, where there is time to look."""
    if not p.thorough or p.level is None:
        return ""
    found = shuffle_for(p.scene, p.group, p.zone, p.level)
    return "" if found is None else found.remedy(NO_LAYOUT.remedy)


EASY_FILL = 0.4
"""Up to here a surface is not looked at: long thin things are met by the rule of what is too large."""


def _side_by_side(
    scene: Scene, zone: Zone, level: Level
) -> tuple[list[tuple[float, float]], list[Box]] | None:
    """Return the rectangles to lie on a level and what posed things block; None where that is not exact."""
    pieces: list[tuple[float, float]] = []
    blocked: list[Box] = []
    for group_id in scene.ids_in(zone, level.key):
        group = scene.group(group_id)
        outline = footprint(group)
        if group.container in HEAPED or outline is None:
            continue
        where = group.where
        if isinstance(where, InZone) and where.x_mm is not None and where.y_mm is not None:
            if where.turn_deg % 90.0 or not is_rectangle(outline):
                return None
            blocked.append(bounds(placed(outline, Pose(where.x_mm, where.y_mm, where.turn_deg))))
        elif is_rectangle(outline):
            x0, y0, x1, y1 = bounds(outline)
            pieces.append((x1 - x0, y1 - y0))
        else:
            return None
    return (pieces, blocked) if 1 < len(pieces) + len(blocked) <= MANY else None


NO_LAYOUT = Rule(
    key="no-layout",
    title="Not all fits side by side",
    text="The boxes and bare things on a bench or shelf level, whose sizes are known, can lie side by side "
    "at quarter turns, those with a stated place staying where they are; bags are not counted. A stop where "
    "it is proven that they cannot, a note where no arrangement was found in the time there was. When it is "
    "put down anyway, moves of what has a stated place are looked for that make room.",
    limit="one arrangement",
    source="search and proofs of `packing/shuffle.py`",
    mark="derived",
    remedy="take something off, or stand small things in a tub",
    judge=_judge_layout,
)

# --- what could not be judged -----------------------------------------------------------------------------


def _judge_unknown(p: Placement) -> Iterable[Finding]:
    if footprint(p.group) is None:
        yield UNKNOWN.found(
            "note",
            (f"group:{p.group.code}",),
            f"fit of {p.group.shown} not checked: its size is not known",
            room=p.zone.room,
        )
    elif p.body is None and p.zone.kind in ("floor", "room"):
        yield UNKNOWN.found(
            "note",
            (f"group:{p.group.code}",),
            f"ways and doors not checked: where {p.group.shown} stands in {p.zone.name} is not known",
            room=p.zone.room,
            remedy="give its place on the plan",
        )
    elif p.scene.share(p.group.id).height_mm is None:
        yield UNKNOWN.found(
            "note",
            (f"group:{p.group.code}",),
            f"headroom of {p.group.shown} not checked: its height is not known",
            room=p.zone.room,
        )


UNKNOWN = Rule(
    key="not-judged",
    title="Not checked",
    text="Says what could not be looked at because a size, a height or a place is not known. A note.",
    limit="none",
    source="what is recorded of it",
    mark="own",
    remedy="measure it: three numbers are enough",
    judge=_judge_unknown,
)

NO_ROOM = Rule(
    key="no-room",
    title="No free place",
    text="Where the program is to choose a place on the floor, one is free of things, ways, doors and "
    "keep-clears, with the measuring uncertainty left between things. Places beside walls and things are "
    "tried first, then all places there are at the turns of the walls, so that there is none at those turns "
    "where none is found. On a rectangular floor spot moves of what stands there at quarter turns are looked "
    "for that make room, for 0.3 s. A stop.",
    limit="one free place",
    source="geometry of the outlines",
    mark="derived",
    remedy="clear a place, choose another place, or give the place yourself",
)

RULES = (LARGE, FULL, NO_LAYOUT, NO_ROOM, UNKNOWN)
