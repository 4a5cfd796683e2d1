"""Every rule there is: this list is the registry."""

from __future__ import annotations

from shopbins.rules import (
    accepting,
    benches,
    doors,
    electrical,
    exits,
    extinguishers,
    fit,
    headroom,
    hotwork,
    keepclear,
    lifting,
    load,
    loose,
    lost,
    stability,
    surfaces,
    wayout,
    ways,
)
from shopbins.rules.rule import Rule

RULES: tuple[Rule, ...] = (
    *fit.RULES,
    *headroom.RULES,
    *surfaces.RULES,
    *load.RULES,
    *ways.RULES,
    *doors.RULES,
    *keepclear.RULES,
    *exits.RULES,
    *wayout.RULES,
    *electrical.RULES,
    *extinguishers.RULES,
    *hotwork.RULES,
    *stability.RULES,
    *benches.RULES,
    *lifting.RULES,
    *lost.RULES,
    *loose.RULES,
    *accepting.RULES,
)


def rule(key: str) -> Rule:
    """Return the rule called `key`; KeyError where there is none."""
    for each in RULES:
        if each.key == key:
            return each
    raise KeyError(key)
