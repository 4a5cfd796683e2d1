"""The clutter audit as text: worst first, each with what to do; a word and a sign carry the grade."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from shopbins.reports.plain import counted, plain, wrapped
from shopbins.rules.finding import Finding, Grade, counts

HEADS: dict[Grade, tuple[str, str]] = {
    "stop": ("!!", "STOP: put right before anything else"),
    "correct": ("! ", "CORRECT: put right soon"),
    "note": ("- ", "NOTE: good to know"),
}


def summary(findings: Sequence[Finding]) -> str:
    """Say how many findings there are of each grade."""
    number = counts(findings)
    told = [
        counted(number["stop"], "stop"),
        f"{number['correct'] or 'nothing'} to correct",
        counted(number["note"], "note"),
    ]
    if number["accepted"]:
        told.append(f"{number['accepted']} accepted")
    return ", ".join(told)


def audit_text(findings: Sequence[Finding], seq: int, width: int = 100) -> list[str]:
    """Set findings, worst first as given, in lines; says so where there are none."""
    lines = [f"{summary(findings)}, as of event {seq}"]
    for grade, members in groupby(findings, key=lambda finding: finding.grade):
        sign, head = HEADS[grade]
        lines += ["", f"{sign} {head}"]
        for each in members:
            lines += finding_text(each, width)
    return lines


def finding_text(finding: Finding, width: int = 100) -> list[str]:
    """Set one finding: what and where, then what to do, by which source, and why it may stand."""
    sign, _ = HEADS[finding.grade]
    where = f"{finding.room}: " if finding.room else ""
    first, *more = wrapped(f"{where}{finding.text}", width - 3) or [""]
    lines = [f"{sign} {first}", *("   " + line for line in more)]
    if finding.remedy:
        lines += wrapped(f"-> {finding.remedy}", width, "   ")
    if finding.source:
        lines += wrapped(f"({finding.source})", width, "   ")
    if finding.accepted is not None:
        lines.append(f"   accepted: {plain(finding.accepted.said)}")
    return lines
