"""Every rule there is: this list is the registry, in the order of docs/rules.md and of the coverage."""

from __future__ import annotations

from shopbins.rules import (
    accepting,
    apart,
    benches,
    doors,
    electrical,
    exits,
    extinguishers,
    fit,
    flammables,
    floorload,
    floors,
    harm,
    hazardwords,
    headroom,
    hotwork,
    keepclear,
    lifting,
    load,
    loose,
    lost,
    quarantine,
    stability,
    surfaces,
    waylength,
    wayout,
    ways,
)
from shopbins.rules.rule import Rule

RULES: tuple[Rule, ...] = (
    *exits.RULES,
    *wayout.RULES,
    *waylength.RULES,
    *ways.RULES,
    *doors.RULES,
    *electrical.RULES,
    *keepclear.RULES,
    *extinguishers.RULES,
    *hotwork.RULES,
    *flammables.RULES,
    *hazardwords.RULES,
    *harm.RULES,
    *apart.RULES,
    *load.RULES,
    *floorload.RULES,
    *stability.RULES,
    *floors.RULES,
    *headroom.RULES,
    *lifting.RULES,
    *benches.RULES,
    *fit.RULES,
    *surfaces.RULES,
    *quarantine.RULES,
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
