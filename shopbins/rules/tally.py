"""How many there are: one count, said in the same words by the head, the foot and the commands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shopbins.rules.finding import GRADES, PAPERWORK, Finding, worst_first
from shopbins.units import counted

TOLD_ELSEWHERE = frozenset({"for-now", "unplaced"})
"""What is accepted for now and what waits is counted where it is: it is no record of its own."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How many open stops, dangers to fix, records to complete and notes there are; how many are accepted.

    A stop and a to-fix count a thing once, in however many findings it is told (`in_findings`).
    """

    stops: int = 0
    to_fix: int = 0
    records: int = 0
    notes: int = 0
    accepted: int = 0
    in_findings: int = 0

    @property
    def spread(self) -> str:
        """In how many findings the stops and to-fixes are told, 'in 7 findings'; '' where one each."""
        if self.in_findings == self.stops + self.to_fix:
            return ""
        return f"in {counted(self.in_findings, 'finding')}"

    def words(self) -> list[str]:
        """Say it worst first: '3 stops', '3 to fix', '1 accepted', '14 records to complete'.

        'no stops' is said only where none is accepted.
        """
        stops = str(self.stops or (0 if self.accepted else "no")) + (" stop" if self.stops == 1 else " stops")
        records = f"{counted(self.records, 'record')} to complete"
        return [
            stops,
            f"{self.to_fix} to fix",
            *([f"{self.accepted} accepted"] if self.accepted else []),
            *([records] if self.records else []),
        ]


def things(findings: Iterable[Finding]) -> list[tuple[Finding, ...]]:
    """Join findings that are put right together, worst first: those of one part, open or accepted alike.

    A crate before a door that is also in the way is one thing to put right, with the worst of its grades.
    """
    found: dict[tuple[bool, str], list[Finding]] = {}
    for each in worst_first(findings):
        part = next((s for s in each.subjects if s.startswith("group:")), each.id)
        found.setdefault((each.accepted is not None, part), []).append(each)
    joined = [tuple(each) for each in found.values()]
    return sorted(joined, key=lambda fs: (fs[0].accepted is not None, GRADES.index(fs[0].grade)))


def dangers(findings: Iterable[Finding]) -> list[Finding]:
    """Return those about something on the floor that is to be put right, open and accepted."""
    return [f for f in findings if f.grade != "note" and f.rule not in PAPERWORK]


def tally(findings: Iterable[Finding]) -> Tally:
    """Count what is to be put right, a thing with several findings once."""
    every = list(findings)
    worst = [fs[0] for fs in things(dangers(every)) if fs[0].accepted is None]
    paper = [f for f in every if f.rule in PAPERWORK and f.grade == "correct" and f.accepted is None]
    return Tally(
        stops=sum(1 for f in worst if f.grade == "stop"),
        to_fix=sum(1 for f in worst if f.grade == "correct"),
        records=sum(1 for f in paper if f.rule not in TOLD_ELSEWHERE),
        notes=sum(1 for f in every if f.grade == "note" and f.accepted is None),
        in_findings=sum(1 for f in dangers(every) if f.accepted is None),
        accepted=sum(1 for f in every if f.grade != "note" and f.accepted is not None),
    )
