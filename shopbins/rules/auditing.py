"""The clutter audit: every rule over the whole shop, worst first."""

from __future__ import annotations

from datetime import date

from shopbins.layout.scene import Scene
from shopbins.rules import overrides
from shopbins.rules.finding import Finding, worst_first
from shopbins.rules.judging import once
from shopbins.rules.registry import RULES


def audit(scene: Scene, today: date) -> list[Finding]:
    """Return everything found in the whole shop, worst first; stops let through carry their reason."""
    found = once(f for rule in RULES if rule.audit is not None for f in rule.audit(scene, today))
    found = overrides.applied(scene.state, found, scene.shop.measured_mm)
    found += overrides.for_now(scene.state, found)
    return worst_first(found)
