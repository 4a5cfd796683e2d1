"""Published limits, each once, with its source; and what a shop's rule set makes of them.

Marked 'published' where the figure was read in the source or a page quoting it, 'from memory' where not.
Defer to local codes: these are a help, not a survey.
"""

from __future__ import annotations

from shopbins.rules.finding import Grade
from shopbins.shop.model import RuleSet

FOOT_MM = 304.8
INCH_MM = 25.4

US_EXIT_WIDTH_MM = 28 * INCH_MM
"""29 CFR 1910.36(g)(2): an exit access at least 28 in wide at all points (printed beside it: 71.1 cm)."""

US_CEILING_MM = 90 * INCH_MM
"""29 CFR 1910.36(g)(1): the ceiling of an exit route at least 7 ft 6 in high."""

US_PROJECTION_MM = 80 * INCH_MM
"""29 CFR 1910.36(g)(1): nothing projecting from it lower than 6 ft 8 in."""

UK_EXIT_WIDTHS = ((60, 750.0), (110, 850.0), (220, 1050.0))
"""Approved Document B: least width in mm of an escape route, by how many people it is for at most."""

UK_EXIT_MM_A_PERSON = 5.0
"""Approved Document B: of more than 220 people, so much for each (table number from memory)."""

US_RAMP = 1 / 12
"""ADA Standards 405.2: a ramp no steeper than 1:12."""

US_HOT_WORK_MM = 35 * FOOT_MM
"""29 CFR 1910.252(a)(2)(vii): combustibles 35 ft from hot work, else shielded (paragraph from memory)."""

PANEL_WIDTH_MM = 30 * INCH_MM
"""29 CFR 1910.303(g)(1)(i)(B): working space as wide as the equipment, at least 30 in."""

PANEL_HEIGHT_MM = 78 * INCH_MM
"""29 CFR 1910.303(g)(1)(i)(C): headroom in it 6 ft 6 in, or the equipment's height if more."""

EXTINGUISHER_LIGHT_KG = 40 * 0.45359237
"""NFPA 10: an extinguisher of up to 40 lb may hang higher than a heavier one."""

EXTINGUISHER_LIGHT_TOP_MM = 5 * FOOT_MM
EXTINGUISHER_HEAVY_TOP_MM = 3.5 * FOOT_MM
"""NFPA 10: its top at most 5 ft above the floor, of one over 40 lb 3.5 ft."""

EXTINGUISHER_LOW_MM = 4 * INCH_MM
"""NFPA 10: its lower edge at least 4 in above the floor."""

SHELF_SLENDER = 5.0
"""Hand-loaded shelving higher than five times its depth is fixed to something (racking makers' codes)."""


def grade_in(rules: RuleSet, of: RuleSet, broken: Grade = "stop") -> Grade | None:
    """Return the grade of a broken published limit: itself under its own rule set, advice under 'own'.

    None under another country's rule set: the limit is not that country's.
    """
    if rules == of:
        return broken
    return "note" if rules == "own" else None


def exit_width(rules: RuleSet, people: int | None = None) -> tuple[float, str, RuleSet] | None:
    """Return the published least width of an exit route, its source and whose it is; None of 'eu'.

    Under 'uk' it depends on how many `people` may have to get out that way; None is taken as up to 60.
    """
    if rules == "uk":
        source = "Approved Document B (England), " + (f"for {people} people" if people else "up to 60 people")
        return uk_exit_width_mm(people or 1), source, "uk"
    if rules in ("us", "own"):
        return US_EXIT_WIDTH_MM, "29 CFR 1910.36(g)(2), (4)", "us"
    return None


def uk_exit_width_mm(people: int) -> float:
    """Return the least width of an escape route for so many people (Approved Document B)."""
    for most, width in UK_EXIT_WIDTHS:
        if people <= most:
            return width
    return people * UK_EXIT_MM_A_PERSON


def electrical_depth_mm(volts_to_ground: float, condition: str) -> float | None:
    """Return the depth of the working space at electrical equipment; None above 600 V.

    29 CFR 1910.303(g)(1) Table S-1: 0-150 V 3 ft; 151-600 V 3 / 3.5 / 4 ft for condition A (live one side,
    nothing live or grounded opposite), B (grounded opposite: concrete, brick and tile count) and C (live
    both sides). Raises ValueError of a condition other than A, B, C.
    """
    feet = {"A": 3.0, "B": 3.5, "C": 4.0}.get(condition.upper())
    if feet is None:
        raise ValueError(f"condition {condition!r} is none of A, B, C")
    if volts_to_ground > 600:
        return None
    return (3.0 if volts_to_ground <= 150 else feet) * FOOT_MM
