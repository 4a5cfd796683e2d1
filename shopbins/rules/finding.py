"""A judged result: what, where, measured against which limit, by which rule, and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any, Literal

from shopbins.answer import Accepted, Part, Verdict, Words

Grade = Literal["stop", "correct", "note"]
GRADES: tuple[Grade, ...] = ("stop", "correct", "note")
VERDICTS: dict[Grade, Verdict] = {"stop": Verdict.NO, "correct": Verdict.FIX, "note": Verdict.YES}

LAID = Words("put down", "not put down", open_is_yes=True)
AUDIT = Words("nothing stops", "stopped", open_is_yes=True)

URGENT: tuple[frozenset[str], ...] = (
    frozenset({"way-out", "exit-width", "exit-height", "walkway", "ramp"}),
    frozenset({"door-passage", "door-front", "door-swing"}),
    frozenset({"keep-clear", "electrical-space", "extinguisher"}),
    frozenset({"floor-load", "point-load", "level-load", "zone-load"}),
    frozenset({"tall-stack", "slender-shelf"}),
)  # fmt: skip
"""Keys of rules in the order their findings are told: ways out, doors, keep-clear, overload, tipping."""

PAPERWORK = frozenset(
    {"loose", "stale tags", "for-now", "unplaced", "away-overdue", "gone-place", "no-layout"}
)
"""Keys of rules about records, not about danger on the floor."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. Subjects are like 'group:<code>', 'zone:<key>', 'door:<key>', 'walkway:<key>'.

    `at_mm` is a point in the shop frame to look at, or None. `measured` and `limit` share `unit`
    (mm, kg, count, date ...), either None where there is nothing to measure. `judged` is False where the
    finding says that something could not be judged. `accepted` tells who let it through and why.
    """

    rule: str
    grade: Grade
    subjects: tuple[str, ...]
    text: str
    room: str | None = None
    at_mm: tuple[float, float] | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    remedy: str = ""
    judged: bool = True
    accepted: Accepted | None = None

    @property
    def id(self) -> str:
        """Rule and subjects: the same trouble keeps the same id from one audit to the next."""
        return f"{self.rule}/{'+'.join(self.subjects)}"

    @property
    def is_paperwork(self) -> bool:
        """Whether it is about the records, not about something on the floor."""
        return self.rule in PAPERWORK

    def as_json(self) -> dict[str, Any]:
        """Return the finding as `shopbins audit --json` prints it."""
        fields = asdict(self)
        fields["subjects"] = list(self.subjects)
        fields["at_mm"] = None if self.at_mm is None else list(self.at_mm)
        del fields["accepted"]
        fields["override"] = None if self.accepted is None else self.accepted.as_json()
        return {"id": self.id, **fields}

    @property
    def part(self) -> Part:
        """The finding as a part of an answer."""
        if self.accepted is not None:
            verdict = Verdict.ACCEPTED
        elif not self.judged:
            verdict = Verdict.OPEN
        else:
            verdict = VERDICTS[self.grade]
        return Part(verdict, self.text, self.subjects, self.accepted, self)


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Sort by grade, open before accepted, people's ways out first, then by how far beyond the limit."""
    return sorted(
        findings,
        key=lambda f: (
            GRADES.index(f.grade), f.accepted is not None, _urgency(f.rule), -_beyond(f), f.room or "", f.id
        ),
    )  # fmt: skip


def _urgency(rule: str) -> int:
    return next((n for n, rules in enumerate(URGENT) if rule in rules), len(URGENT))


def _beyond(finding: Finding) -> float:
    """Return by which share of its limit a finding is beyond it; 0 where there is nothing to compare."""
    if finding.measured is None or not finding.limit:
        return 0.0
    return abs(finding.measured - finding.limit) / abs(finding.limit)


def counts(findings: Iterable[Finding]) -> dict[str, int]:
    """Count what is open by grade, and the stops and to-fixes somebody accepted; dismissed notes nowhere."""
    total: dict[str, int] = dict.fromkeys((*GRADES, "accepted"), 0)
    for each in findings:
        if each.accepted is None:
            total[each.grade] += 1
        elif each.grade != "note":
            total["accepted"] += 1
    return total


@dataclass(frozen=True, slots=True)
class Tally:
    """How many open stops, dangers to fix, records to complete and notes there are; how many are accepted.

    What waits and what is let through for now are counted where they are: they are no records of their own.
    """

    stops: int = 0
    to_fix: int = 0
    records: int = 0
    notes: int = 0
    accepted: int = 0

    def words(self) -> list[str]:
        """Say it worst first: '3 stops', '3 to fix', '1 accepted', '14 records to complete'.

        'no stops' is said only where none is accepted.
        """
        stops = str(self.stops or (0 if self.accepted else "no")) + (" stop" if self.stops == 1 else " stops")
        return [
            stops,
            f"{self.to_fix} to fix",
            *([f"{self.accepted} accepted"] if self.accepted else []),
            *(
                [f"{self.records} {'record' if self.records == 1 else 'records'} to complete"]
                if self.records
                else []
            ),
        ]


TOLD_ELSEWHERE = frozenset({"for-now", "unplaced"})


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
    return [f for f in findings if f.grade != "note" and not f.is_paperwork]


def tally(findings: Iterable[Finding]) -> Tally:
    """Count what is to be put right as the head, the foot and the commands say it."""
    every = list(findings)
    joined = things(dangers(every))
    worst = [fs[0] for fs in joined if fs[0].accepted is None]
    paper = [f for f in every if f.is_paperwork and f.grade == "correct" and f.accepted is None]
    return Tally(
        stops=sum(1 for f in worst if f.grade == "stop"),
        to_fix=sum(1 for f in worst if f.grade == "correct"),
        records=sum(1 for f in paper if f.rule not in TOLD_ELSEWHERE),
        notes=sum(1 for f in every if f.grade == "note" and f.accepted is None),
        accepted=sum(1 for f in every if f.grade != "note" and f.accepted is not None),
    )


def status(findings: Iterable[Finding]) -> int:
    """Return the audit's exit status: 2 with a stop, 1 with something to fix, accepted or not, else 0."""
    grades = {each.grade for each in findings}
    return 2 if "stop" in grades else 1 if "correct" in grades else 0


def once(findings: Iterable[Finding]) -> list[Finding]:
    """Keep one finding of each id, the worst."""
    kept: dict[str, Finding] = {}
    for each in findings:
        before = kept.get(each.id)
        if before is None or GRADES.index(each.grade) < GRADES.index(before.grade):
            kept[each.id] = each
    return list(kept.values())
