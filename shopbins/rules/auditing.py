"""The audit: every rule over the whole shop, worst first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from shopbins.rules import accepting, sources
from shopbins.rules.finding import Finding, once, worst_first
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Rule
from shopbins.rules.things import walk
from shopbins.scene.scene import Scene

Heard = Callable[[float], bool]


class AuditStopped(Exception):  # noqa: N818 - an answer, not an error
    """Whoever listened to how far the audit is wanted it no more."""


def audit(scene: Scene, today: date, heard: Heard | None = None) -> list[Finding]:
    """Return everything found in the whole shop, worst first; what was accepted says by whom.

    `heard` is told the share done, 0 to 1, after each rule and each finding; once it returns False,
    AuditStopped is raised.
    """
    found = sources.in_force(scene.shop, once(_every(scene, today, heard or (lambda _: True))))
    found = accepting.applied(scene.state, found, scene.shop.measured_mm)
    found += accepting.for_now(scene.state, found)
    return worst_first(found)


def found_by(rule: Rule, scene: Scene, today: date) -> Iterator[Finding]:
    """Go through what one rule finds in the whole shop."""
    if rule.audit is not None:
        yield from rule.audit(scene, today)
    if rule.look is not None:
        for _, thing in walk(scene, rule.per or rule.each):
            yield from rule.look(scene, thing)


def _every(scene: Scene, today: date, heard: Heard) -> Iterator[Finding]:
    rules = [rule for rule in RULES if rule.audit is not None or rule.look is not None]
    for number, rule in enumerate(rules):
        for finding in found_by(rule, scene, today):
            yield finding
            go_on(heard, number / len(rules))
        go_on(heard, (number + 1) / len(rules))


def go_on(heard: Heard, share: float) -> None:
    """Tell how far it is; raises AuditStopped where it is wanted no more."""
    if not heard(share):
        raise AuditStopped
