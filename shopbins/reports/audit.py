"""The audit as text: worst first, each with what to do; a word and a sign carry the grade."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from shopbins.reports.plain import counted, plain, wrapped
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.tally import tally

if TYPE_CHECKING:
    from shopbins.scene.scene import Scene

HEADS: dict[Grade, tuple[str, str]] = {
    "stop": ("!!", "STOP: fix before anything else"),
    "correct": ("! ", "TO FIX: soon"),
    "note": ("- ", "NOTE: good to know, or not checked"),
}
KINDS = {
    "stop": ("!!", "STOP: fix before anything else"),
    "accepted": ("=", "ACCEPTED: still so"),
    "to fix": ("! ", "TO FIX: soon"),
    "records": ("~ ", "RECORDS to complete"),
    "note": ("- ", "NOTES"),
    "not checked": ("? ", "NOT CHECKED"),
    "more": ("? ", ""),
}


def summary(findings: Sequence[Finding]) -> str:
    """Say how many findings there are, in the words of the screen."""
    total = tally(findings)
    stops, to_fix, *more = total.words()
    if total.spread:
        to_fix += f" ({total.spread})"
    return ", ".join([stops, to_fix, *more, counted(total.notes, "note")])


def folded_text(scene: Scene, findings: Sequence[Finding], seq: int, width: int = 100) -> list[str]:
    """Set the audit as people see it: danger first, records and what was not checked folded by kind."""
    from shopbins.rules.folding import lines

    said = [f"{summary(findings)}, as of event {seq}"]
    head = ""
    for line in lines(scene, findings):
        sign, title = KINDS[line.kind]
        if title and title != head:
            said += ["", f"{sign.strip()} {title}"]
            head = title
        first = line.first
        alone = first if len(line.findings) == 1 and line.kind != "records" else None
        where = f"{alone.room}: " if alone is not None and alone.room else ""
        shown, *more = wrapped(f"{where}{line.text}", width - 3) or [""]
        said += [f"{sign:2} {shown}", *("   " + each for each in more)]
        if line.remedy and line.kind != "more":
            said += wrapped(f"-> {line.remedy}", width, "   ")
        if alone is not None and alone.source and line.kind != "not checked":
            said += wrapped(f"({alone.source})", width, "   ")
        if alone is not None and alone.accepted is not None:
            said.append(f"   accepted {plain(alone.accepted.said)}")
    return said


def since_text(changed: Mapping[str, Sequence[str]], day: str, width: int = 100) -> list[str]:
    """Say what is new, gone and closed since a day."""
    said = ["", f"Since {day}:"]
    for name, ids in changed.items():
        said.append(f"  {name}: {len(ids)}")
        for each in ids:
            said += wrapped(each, width, "    ")
    return said


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
        lines.append(f"   accepted {plain(finding.accepted.said)}")
    return lines
