"""Whose document is named: a rule of the shop file cites the law only of the set in force."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from shopbins.rules import limits
from shopbins.rules.finding import Finding
from shopbins.shop.model import Shop

OF = {"29 CFR": "us", "OSHA": "us", "NFPA": "us"}
"""Documents of one set alone, by their first words."""

INSTEAD = {
    "uk": dict.fromkeys(("door-passage", "door-swing", "walkway"), "Fire Safety Order 2005 art. 14(1)"),
    "eu": dict.fromkeys(("door-passage", "door-swing", "walkway"), "89/654/EEC Annex I 4"),
}
"""What says the same in another set."""


def in_force(shop: Shop, findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings citing no document of a set that is not in force."""
    return [
        each if each.source == (kept := cited(shop, each.rule, each.source)) else replace(each, source=kept)
        for each in findings
    ]


def cited(shop: Shop, rule: str, source: str) -> str:
    """Return what a rule's source says without the documents of a set that is not in force."""
    if "us" in limits.sets_of(shop) or not any(words in source for words in OF):
        return source
    kept = [part for part in source.split("; ") if not any(words in part for words in OF)]
    other = INSTEAD.get(shop.rules, {}).get(rule)
    kept += [other] if other is not None and other not in kept else []
    return "; ".join(kept) or limits.MARKS["O"]
