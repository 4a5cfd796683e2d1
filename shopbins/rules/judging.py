"""The two questions: what would this laying-down cause, and what is wrong in the whole shop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from shopbins.layout.scene import Scene
from shopbins.parts.model import Group, InZone
from shopbins.rules import overrides
from shopbins.rules.finding import GRADES, Finding, worst_first
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Placement


def judge(scene: Scene, group_id: str, target: InZone, *, group: Group | None = None) -> list[Finding]:
    """Return what laying a group down there would cause or touch, worst first; nothing is written.

    `group` stands in for one not recorded yet, or with another size or mass. Raises KeyError where the
    shop has no such zone.
    """
    return judged(placement(scene, group_id, target, group=group))


def placement(scene: Scene, group_id: str, target: InZone, *, group: Group | None = None) -> Placement:
    """Return a group as it would lie there. Raises KeyError where the shop has no such zone."""
    zone = scene.zone(target.zone)
    if zone is None:
        raise KeyError(target.zone)
    moved = replace(scene.group(group_id) if group is None else group, where=target)
    after = scene.with_group(moved)
    return Placement(scene, after, moved, target, zone, zone.level(target.level), after.body(moved.id))


def judged(p: Placement) -> list[Finding]:
    """Return the findings of every rule about a placement, worst first."""
    found = (f for rule in RULES if rule.judge is not None for f in rule.judge(p))
    return worst_first(overrides.applied(p.scene.state, _once(found), p.shop.measured_mm))


def audit(scene: Scene, today: date) -> list[Finding]:
    """Return everything found in the whole shop, worst first."""
    found = _once(f for rule in RULES if rule.audit is not None for f in rule.audit(scene, today))
    found = overrides.applied(scene.state, found, scene.shop.measured_mm)
    found += overrides.for_now(scene.state, found)
    return worst_first(found)


def _once(findings: Iterable[Finding]) -> list[Finding]:
    """Keep one finding of each id, the worst."""
    kept: dict[str, Finding] = {}
    for each in findings:
        before = kept.get(each.id)
        if before is None or GRADES.index(each.grade) < GRADES.index(before.grade):
            kept[each.id] = each
    return list(kept.values())
