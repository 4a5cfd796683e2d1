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
    """Sort by grade, those not overridden first, then by room and id."""
    return sorted(findings, key=lambda f: (GRADES.index(f.grade), f.accepted is not None, f.room or "", f.id))


def counts(findings: Iterable[Finding]) -> dict[str, int]:
    """Count what is open by grade, and the stops and to-fixes somebody accepted; dismissed notes nowhere."""
    total: dict[str, int] = dict.fromkeys((*GRADES, "accepted"), 0)
    for each in findings:
        if each.accepted is None:
            total[each.grade] += 1
        elif each.grade != "note":
            total["accepted"] += 1
    return total


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
