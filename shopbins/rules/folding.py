"""The audit as people see it: danger before paperwork, records and what was not checked folded by kind.

JSON has every finding; here a handful of lines stand for them. Each line keeps the findings behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from shopbins.rules import loose
from shopbins.rules.finding import PAPERWORK, Finding, worst_first
from shopbins.scene.scene import Scene
from shopbins.units import counted

FoldedKind = Literal["stop", "accepted", "to fix", "records", "note", "not checked", "more"]
MOST_NOTES = 5
"""So many notes at most, what breaks another set's figure not counted."""


@dataclass(frozen=True, slots=True)
class Folded:
    """One line: what kind it is, its text, what to do, and the findings behind it."""

    kind: FoldedKind
    text: str
    remedy: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def first(self) -> Finding | None:
        """The finding to look at, None of a line of records."""
        return self.findings[0] if self.findings else None


def lines(scene: Scene, findings: Iterable[Finding]) -> list[Folded]:
    """Fold an audit: open stops, accepted ones, to fix, records by kind, notes, what was not checked."""
    every = worst_first(findings)
    danger = [each for each in every if each.rule not in PAPERWORK]
    found = [_one("stop", each) for each in danger if each.grade == "stop" and each.accepted is None]
    found += [_one("accepted", each) for each in danger if each.grade != "note" and each.accepted is not None]
    found += [_one("to fix", each) for each in danger if each.grade == "correct" and each.accepted is None]
    found += _records(scene, [each for each in every if each.rule in PAPERWORK and each.accepted is None])
    notes = [each for each in danger if each.grade == "note" and each.accepted is None]
    told = [
        _several("note", group)
        for group in _by_rule(each for each in notes if each.judged and _matters(each))
    ]
    broken = [_several("not checked", group) for group in _by_rule(e for e in notes if e.gap == "breaks")]
    missing = [_several("not checked", group) for group in _by_rule(e for e in notes if e.gap == "missing")]
    room = max(0, MOST_NOTES - len(told) - len(broken))
    found += [*told, *broken, *missing[:room]]
    rest = missing[room:]
    if rest:
        behind = tuple(each for line in rest for each in line.findings)
        found.append(Folded("more", f"+ {len(rest)} more not checked", "", behind))
    return found


def _one(kind: FoldedKind, finding: Finding) -> Folded:
    return Folded(kind, finding.text, finding.remedy, (finding,))


def _matters(finding: Finding) -> bool:
    """Tell whether a note says more than that something is within its figure."""
    return finding.remedy != "keep it so"


def _by_rule(findings: Iterable[Finding]) -> list[list[Finding]]:
    kept: dict[str, list[Finding]] = {}
    for each in findings:
        kept.setdefault(each.rule, []).append(each)
    return list(kept.values())


def _several(kind: FoldedKind, group: Sequence[Finding]) -> Folded:
    first = group[0]
    text = first.text if len(group) == 1 else f"{len(group)} alike, first: {first.text}"
    return Folded(kind, text, first.remedy, tuple(group))


def _records(scene: Scene, findings: Sequence[Finding]) -> list[Folded]:
    """Fold what is to be completed: one line for each kind of work on the records."""
    found = []
    groups = {group[0].rule: group for group in _by_rule(findings)}
    groups.pop("for-now", None)  # they stand above, each on its line
    for key, group in groups.items():
        if key == "loose":
            for text, remedy in loose.folded(scene):
                found.append(Folded("records", text, remedy, tuple(group)))
        elif key == "stale tags":
            count = int(sum(each.measured or 0 for each in group))
            text = f"{counted(count, 'label')} out of date in {counted(len(group), 'place')}"
            found.append(Folded("records", text, group[0].remedy, tuple(group)))
        else:
            found.append(_several("records", group))
    return found
