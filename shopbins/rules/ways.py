"""Walkways: what stands in them and what clear width is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from shopbins.geometry.corridor import Corridor, corridor
from shopbins.kernel.ways import at_most_past
from shopbins.rules import limits
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM, listed, mm, mm_pair, slack_mm, unsure
from shopbins.scene.passing import Pinch, left_beside, narrowest
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches
from shopbins.scene.walkout import Walks
from shopbins.shop.model import Shop, Walkway

SHUT_MM = 1.0
"""Less than this is no way at all, whatever the file says or leaves out."""


@lru_cache(maxsize=512)
def floor_of(way: Walkway) -> Corridor:
    """Return a walkway's floor."""
    return corridor(way.line, way.width_mm)


def needed_height_mm(shop: Shop) -> float:
    """Return the height below which a thing stands in the way: the file's, else 6 ft 8 in (2032 mm)."""
    return (
        shop.limits.headroom_mm
        if shop.limits.headroom_mm is not None
        else limits.figure("exit-height", "us", "projection")
    )


def walks_of(scene: Scene) -> Walks:
    """Return the floors of a scene for walking, made once."""
    found = scene.memo.get("walks")
    if not isinstance(found, Walks):
        found = scene.memo["walks"] = Walks(scene, needed_height_mm(scene.shop))
    return found


def in_rooms(scene: Scene, way: Walkway) -> list[Standing]:
    """Return what may stand in a walkway: bodies near it, lower than a head."""
    high = needed_height_mm(scene.shop)
    found: list[Standing] = []
    for room in way.rooms or tuple(scene.shop.rooms):
        found += [b for b in scene.near(room, floor_of(way).box) if reaches(b, 0.0, high) is not False]
    return found


def past(scene: Scene, way: Walkway, body: Standing) -> Pinch | None:
    """Return what is left of a walkway beside one body; None if it is not in it.

    Several rules ask so of one body in turn, so what was found of the last one is kept.
    """
    kept = scene.memo.get("past")
    if not isinstance(kept, tuple) or kept[0] is not body:
        kept = scene.memo["past"] = (body, {})
    found: dict[str, Pinch | None] = kept[1]
    if way.key not in found:
        found[way.key] = _past(scene, way, body)
    return found[way.key]


def _past(scene: Scene, way: Walkway, body: Standing) -> Pinch | None:
    floor = floor_of(way)
    if not body.box.touches(floor.box) or reaches(body, 0.0, needed_height_mm(scene.shop)) is False:
        return None
    near = body.box.grown(2 * way.width_mm)
    others = [
        b
        for room in way.rooms or tuple(scene.shop.rooms)
        for b in scene.near(room, near)
        if b.subject != body.subject and reaches(b, 0.0, needed_height_mm(scene.shop)) is not False
    ]
    return left_beside(floor, body, others)


def shut_by(scene: Scene, body: Standing) -> Iterator[Walkway]:
    """Go through walkways of which a body by itself leaves less than the least, seen at a glance: what else
    stands there leaves less still. Others may be so as well.
    """
    shop = scene.shop
    for way in shop.walkways.values():
        floor, least = floor_of(way), least_of(shop, way)
        if not body.box.touches(floor.box) or reaches(body, 0.0, needed_height_mm(shop)) is False:
            continue
        needed = SHUT_MM if least is None else min(least, way.width_mm) - TOLERANCE_MM
        if at_most_past(floor, body.outline) < needed:
            yield way


# --- the shop's own widths --------------------------------------------------------------------------------


def least_of(shop: Shop, way: Walkway) -> float | None:
    """Return the least clear width: the walkway's own, else the shop's; None if the file says neither."""
    if way.least_mm is not None:
        return way.least_mm
    if way.exit_route and shop.limits.exit_mm is not None:
        return shop.limits.exit_mm
    return shop.limits.walkway_mm


def _look_way(scene: Scene, way: Walkway) -> Iterator[Finding]:
    for pinch in narrowest(floor_of(way), in_rooms(scene, way)):
        yield from _narrowed(scene.shop, way, pinch, None)


def _stand_way(scene: Scene, body: Standing) -> Iterator[Finding]:
    for way in scene.shop.walkways.values():
        pinch = past(scene, way, body)
        if pinch is not None:
            yield from _narrowed(scene.shop, way, pinch, body)


def _narrowed(shop: Shop, way: Walkway, pinch: Pinch, body: Standing | None) -> Iterator[Finding]:
    clear, least = pinch.clear_mm, least_of(shop, way)
    wanted = way.width_mm if least is None else min(least, way.width_mm)
    grade: Grade = "correct"
    body_mm = min(limits.figure("exit-width", "any", "a body"), way.width_mm)
    if way.exit_route and clear < body_mm - TOLERANCE_MM and (least is None or least < body_mm):
        least = wanted = body_mm  # whatever the file leaves out, nobody gets through less
    if clear < SHUT_MM or (least is not None and clear < wanted - TOLERANCE_MM):
        grade = "stop"
    left, limit = mm_pair(clear, wanted)
    words = f"{limit} needed" if least is not None else f"{limit} preferred"
    if grade == "correct" and least is not None:
        words = f"{limit} needed, {mm(way.width_mm)} preferred"
    elif clear < SHUT_MM:
        left = "nothing"
    slack = max(shop.measured_mm, slack_mm(shop, f"walkways/{way.key}/width", f"walkways/{way.key}/least"))
    yield WAY.found(
        grade,
        subjects(f"walkway:{way.key}", pinch.chain),
        f"{who(pinch.chain, body)} narrows {way.name} to {left} ({words})"
        f"{unsure(shop, clear, wanted, f'between {_between(pinch)} and the way', slack)}",
        room=pinch.chain[0].room,
        at_mm=pinch.at_mm,
        measured=clear,
        limit=wanted if grade == "stop" else way.width_mm,
        unit="mm",
        remedy=remedy_for(pinch.chain, body),
    )


def subjects(first: str, chain: Sequence[Standing]) -> tuple[str, ...]:
    """Return the subjects of a pinch: the way, then the things in a stated order."""
    return (first, *sorted(b.tag for b in chain))


def who(chain: Sequence[Standing], body: Standing | None) -> str:
    """Say who narrows: the thing asked about, 'with' the others of its chain."""
    main = body if body is not None else chain[0]
    others = [b.name for b in chain if b.subject != main.subject]
    return f"{main.name} with {listed(others)}" if others else main.name


def _between(pinch: Pinch) -> str:
    return listed([b.name for b in pinch.chain])


def remedy_for(chain: Sequence[Standing], held: Standing | None = None) -> str:
    """Say what to shift: groups first, then what else is movable; and what the shop file puts there.

    What is only held there is put elsewhere before anything else is shifted.
    """
    others = [b for b in chain if held is None or b.subject != held.subject]
    groups = [b.name for b in others if b.kind == "group"]
    loose = [b.name for b in others if b.movable]
    fixed = listed([b.name for b in others if not b.movable])
    if held is not None:
        return f"put {held.name} elsewhere" + (
            f", or shift {listed(groups or loose)}" if groups or loose else ""
        )
    if groups or loose:
        return f"shift {listed(groups or loose)} out of it" + (f", or {fixed} on Draw" if fixed else "")
    return f"the shop file puts {fixed} there: move it on Draw, or correct the walkway"


WAY = Rule(
    key="walkway",
    title="A walkway narrowed or blocked",
    text="What stands in a walkway, lower than a head, leaves a clear width: that of the widest disc that "
    "still passes along between the things and the walkway's edges. Less than the least width is a stop, "
    "less than the walkway's own width is to fix. Without a least width only a shut way is a stop, and of an "
    "exit route less than 500 mm: nobody gets through (own figure, in every set).",
    limit="least of the walkway, else limits.exit (exit routes) or limits.walkway of the shop file",
    source="shop file; aisles kept clear: 29 CFR 1910.176(a), which gives no number",
    mark="own",
    remedy="shift it out of the walkway",
    look=_look_way,
    stand=_stand_way,
    each="walkway",
)

# --- published widths: none -------------------------------------------------------------------------------


def _look_aisle(scene: Scene, way: Walkway) -> Iterator[Finding]:
    least = least_of(scene.shop, way)
    own = "the shop file gives none either" if least is None else f"checked against your own {mm(least)}"
    name = f"the width of {way.name}, {own}"
    yield AISLE.no_figure(scene.shop, f"walkway:{way.key}", name, [], mm, unit="mm")


AISLE = Rule(
    key="aisle",
    title="How wide a walkway is to be",
    text="No set gives a width for aisles that are no exit route: they are kept clear and wide enough. "
    "What is checked is the shop file's own width (`walkway`); that no published one stands behind it is "
    "kept in the coverage.",
    limit="none published",
    source="29 CFR 1910.176(a); Workplace Regulations 1992 reg. 17; 89/654/EEC Annex I 12",
    mark="published",
    remedy="write least: 700 mm at the walkway, or limits: {walkway: 700 mm}",
    look=_look_aisle,
    each="aisle",
)

RULES = (WAY, AISLE)
