"""What a laying-down would cause: every rule that judges one, run on the scene with the group there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shopbins.ledger.model import Group, InZone, ThingPlace
from shopbins.rules import accepting, sources, wayout
from shopbins.rules.finding import Finding, once, worst_first
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Placement, Rule
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing

QUICK_S = 0.02
"""How long an arrangement is looked for while somebody carries or chooses."""


def judge(
    scene: Scene, group_id: str, target: InZone, *, group: Group | None = None, thorough: bool = False
) -> list[Finding]:
    """Return what laying a group down there would cause or touch, worst first; nothing is written.

    `group` stands in for one not recorded yet, or with another size or mass. `thorough` judges as laying
    down does: ways out as well, and a remedy where a shuffle makes room. Raises KeyError where the shop has
    no such zone.
    """
    return judged(placement(scene, group_id, target, group=group, thorough=thorough))


def placement(
    scene: Scene,
    group_id: str,
    target: InZone,
    *,
    group: Group | None = None,
    patience_s: float = QUICK_S,
    thorough: bool = False,
) -> Placement:
    """Return a group as it would lie there. Raises KeyError where the shop has no such zone."""
    zone = scene.zone(target.zone)
    if zone is None:
        raise KeyError(target.zone)
    moved = (scene.group(group_id) if group is None else group)._replace(where=target)
    after = scene.with_group(moved)
    level, body = zone.level(target.level), after.body(moved.id)
    return Placement(scene, after, moved, target, zone, level, body, patience_s, thorough)


def judged(p: Placement) -> list[Finding]:
    """Return the findings of every rule about a placement, worst first."""
    return _told(p.scene, (f for rule in RULES for f in found_by(rule, p)))


def found_by(rule: Rule, p: Placement) -> Iterator[Finding]:
    """Go through what one rule finds of a placement, as it comes."""
    if rule.judge is not None:
        yield from rule.judge(p)
    if rule.stand is not None and p.body is not None:
        yield from rule.stand(p.scene, p.body)


def _told(scene: Scene, found: Iterable[Finding]) -> list[Finding]:
    """Return each finding once, by the set in force, with who let it through, worst first."""
    each = sources.in_force(scene.shop, once(found))
    return worst_first(accepting.applied(scene.state, each, scene.shop.measured_mm))


def standing(scene: Scene, body: Standing) -> Iterator[Finding]:
    """Go through what a body causes where it stands in the scene."""
    for rule in RULES:
        if rule.stand is not None:
            yield from rule.stand(scene, body)


def judge_standing(scene: Scene, key: str, room: str) -> list[Finding]:
    """Return what a fixture or place of the shop file causes where it stands, with all that lies on it."""
    bodies = _with_what_lies_on_it(scene, key, room)
    return _told(scene, (f for body in bodies for f in standing(scene, body)))


def _with_what_lies_on_it(scene: Scene, key: str, room: str) -> list[Standing]:
    return [b for b in scene.standing(room) if b.code == key or (b.kind == "group" and b.zone == key)]


def judge_thing(scene: Scene, place: ThingPlace, *, thorough: bool = False) -> list[Finding]:
    """Return what shifting a movable fixture or bench there would cause, with all that lies on it.

    `thorough` looks at ways out as well, as recording it does.
    """
    after = scene.with_thing_at(place)
    key = scene.shop.renamed.get(place.key, place.key)
    bodies = _with_what_lies_on_it(after, key, place.room)
    every = [f for body in bodies for f in standing(after, body)]
    if thorough:
        every += wayout.caused(scene, after, {body.tag for body in bodies})
    return _told(scene, every)
