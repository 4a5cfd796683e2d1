"""What may tip: slender shelving that is not fixed, and tall stacks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from shopbins.geometry.shapes import bounds
from shopbins.ledger.model import Group, InGroup, InZone
from shopbins.rules import published
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import mm
from shopbins.scene.scene import Scene
from shopbins.scene.standing import footprint
from shopbins.shop.model import Zone

STACK_SLENDER = 3.0
"""Free stacks are kept to three or four times their least base: common practice, no source."""


def _audit_shelf(scene: Scene, _today: date) -> Iterator[Finding]:
    for zone in scene.shop.zones.values():
        yield from _slender(scene, zone)


def _slender(scene: Scene, zone: Zone) -> Iterator[Finding]:
    if zone.kind != "shelf" or zone.fixed_back or zone.size_mm is None:
        return
    high, deep = max(level.height_mm for level in zone.levels), min(zone.size_mm)
    lowest = min(level.height_mm for level in zone.levels)
    if high <= published.SHELF_SLENDER * deep or lowest > high / 2:
        return  # one that begins high up hangs on a wall
    yield SHELF.found(
        "note" if scene.shop.rules == "own" else "correct",
        (f"zone:{zone.key}",),
        f"{zone.name} is {mm(high)} high to its top level and {mm(deep)} deep, more than five times, and not "
        "marked as fixed",
        room=zone.room,
        measured=round(high / deep, 2),
        limit=published.SHELF_SLENDER,
        unit="times",
    )


SHELF = Rule(
    key="slender-shelf",
    title="Tall shelving not fixed",
    text="Shelving whose top level is higher than five times its depth is fixed to something: `fixed back: "
    "yes` in the shop file says it is. To correct; a note under 'own'.",
    limit="5 times the depth",
    source="racking makers' codes for hand-loaded shelving",
    mark="published",
    remedy="fix it to the wall and say so in the shop file, and keep heavy things low",
    audit=_audit_shelf,
)


def _audit_stack(scene: Scene, _today: date) -> Iterator[Finding]:
    bases = {
        top.id: top
        for group in scene.groups()
        if isinstance(group.where, InGroup) and group.where.how == "on"
        if (top := scene.top_of(group.id)) is not None and isinstance(top.where, InZone)
    }
    for base in bases.values():
        yield from _stack(scene, base)


def _judge_stack(p: Placement) -> Iterator[Finding]:
    yield from _stack(p.scene, p.group)


def _stack(scene: Scene, group: Group) -> Iterator[Finding]:
    outline, height = footprint(group), scene.share(group.id).height_mm
    alone = group.known_size
    if outline is None or height is None or alone is None or height <= alone.height_mm:
        return
    x0, y0, x1, y1 = bounds(outline)
    base = min(x1 - x0, y1 - y0)
    if height <= STACK_SLENDER * base:
        return
    body = scene.body(group.id)
    yield STACK.found(
        "note",
        (f"group:{group.code}",),
        f"{group.shown} with what stands on it is {mm(height)} high on a base of {mm(base)}, more than three "
        "times",
        room=None if body is None else body.room,
        at_mm=None if body is None else body.centre,
        measured=round(height / base, 2),
        limit=STACK_SLENDER,
        unit="times",
    )


STACK = Rule(
    key="tall-stack",
    title="A stack taller than three times its base",
    text="A free stack is no higher than three times its least base. A note: what may tip depends on where "
    "the weight lies, which the program does not know.",
    limit="3 times the least side of the base",
    source="common practice, no source",
    mark="common practice, no source",
    remedy="lay it in two, lash it, or lean it against nothing that can give way",
    audit=_audit_stack,
    judge=_judge_stack,
)

RULES = (SHELF, STACK)
