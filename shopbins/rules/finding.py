"""A judged result: what, where, measured against which limit, by which rule, and what to do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from operator import attrgetter
from typing import Any, Literal

from shopbins.answer import Accepted, Part, Verdict, Words

Grade = Literal["stop", "correct", "note"]
Gap = Literal["", "missing", "breaks", "keeps", "words"]
Basis = Literal["own", "published", "from memory", "common practice, no source", "derived"]
GRADES: tuple[Grade, ...] = ("stop", "correct", "note")
VERDICTS: dict[Grade, Verdict] = {"stop": Verdict.NO, "correct": Verdict.FIX, "note": Verdict.YES}

LAID = Words("put down", "not put down", open_is_yes=True)


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. Subjects are like 'group:<code>', 'zone:<key>', 'door:<key>', 'walkway:<key>'.

    `at_mm` is a point in the shop frame to look at, or None. `measured` and `limit` share `unit`
    (mm, kg, count, date ...), either None where there is nothing to measure. `judged` is False where the
    finding says that something could not be judged, and `gap` why: 'missing' (the file or the ledger does
    not say), 'breaks' or 'keeps' (the rule set gives no figure; another's, given as advice, is broken or
    kept), 'words' (a caution beside it is in no list, which is told once for all). `accepted` tells who let
    it through and why. `moves` are the parts the remedy says to move, as subjects are written, where they
    are not what the finding is about. `order` is what worst first goes by.
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
    gap: Gap = ""
    moves: tuple[str, ...] = ()
    id: str = field(init=False, compare=False, repr=False)
    """Rule and subjects: the same trouble keeps the same id from one audit to the next."""
    order: tuple[Any, ...] = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        lead = "" if self.judged else "not-judged/"
        object.__setattr__(self, "id", f"{lead}{self.rule}/{'+'.join(self.subjects)}")
        graded, accepted = GRADES.index(self.grade), self.accepted is not None
        object.__setattr__(
            self, "order", (graded, accepted, not self.judged, *danger(self), self.room or "", self.id)
        )

    def as_json(self) -> dict[str, Any]:
        """Return the finding as `shopbins audit --json` prints it."""
        return {key: value(self) for key, value in JSON.items()}

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


JSON: Mapping[str, Callable[[Finding], Any]] = {
    **{each: attrgetter(each) for each in ("id", "rule", "grade")},
    "subjects": lambda finding: list(finding.subjects),
    **{each: attrgetter(each) for each in ("text", "room")},
    "at_mm": lambda finding: None if finding.at_mm is None else list(finding.at_mm),
    **{each: attrgetter(each) for each in ("measured", "limit", "unit", "source", "remedy", "judged")},
    "override": lambda finding: None if finding.accepted is None else finding.accepted.as_json(),
}
"""What programs read of a finding, in its order."""


@dataclass(frozen=True, slots=True)
class Compared:
    """What something is compared with: its key in findings, what is compared, where its figure is from.

    `mark` says how well the source is known, `remedy` what to do where it is broken.
    """

    key: str
    title: str
    source: str
    mark: Basis
    remedy: str

    def found(
        self,
        grade: Grade,
        subjects: Iterable[str],
        text: str,
        *,
        room: str | None = None,
        at_mm: tuple[float, float] | None = None,
        measured: float | None = None,
        limit: float | None = None,
        unit: str = "",
        source: str | None = None,
        remedy: str = "",
        judged: bool = True,
        gap: Gap = "",
        moves: Iterable[str] = (),
    ) -> Finding:
        """Return a finding of this, with its source and remedy unless others are given."""
        return Finding(
            rule=self.key,
            grade=grade,
            subjects=tuple(subjects),
            text=text,
            room=room,
            at_mm=None if at_mm is None else (round(at_mm[0], 3), round(at_mm[1], 3)),
            measured=_figure(measured, DIGITS.get(unit, 3)),
            limit=_figure(limit, 6),
            unit=unit,
            source=self.source if source is None else source,
            remedy=remedy or self.remedy,
            judged=judged,
            gap=gap,
            moves=tuple(moves),
        )


DIGITS = {"mm/mm": 5, "kN": 4, "kN/m2": 4, "L": 4, "%": 1}
"""How many places behind the point what was measured has, by its unit; three where it is not here."""


def _figure(value: float | None, places: int) -> float | None:
    """Return a figure as it is shown: 28 in are 711.2 mm, not 711.1999999999999; whole numbers are whole."""
    if value is None:
        return None
    rounded = round(float(value), places)
    return int(rounded) if rounded.is_integer() else rounded


DANGER = (
    (
        "way-out",
        "exit-width",
        "exit-free",
        "door-passage",
        "door-swing",
        "door-front",
        "walkway",
        "exit-door",
    ),
    ("exit-height", "exit-narrower", "two-exits", "way-length", "pit"),
    ("keep-clear", "electrical-depth", "electrical-width", "electrical-height", "electrical-way-in"),
    ("extinguisher-travel", "extinguisher-seen", "extinguisher"),
    ("level-load", "zone-load", "floor-load", "floor-total", "point-load"),
    ("part-harm", "part-old"),
    ("slender", "tall-stack", "leaning", "on-packing"),
    (
        "hot-work",
        "hot-opening",
        "hot-through",
        "hot-vapour",
        "oxygen",
        "apart",
        "cylinder",
        "heavy-gas",
        "fuel-gas",
    ),
    (
        "liquids-open",
        "liquids-cabinet",
        "liquids-container",
        "petrol-home",
        "rags",
        "liquids-below",
        "hazard-words",
    ),
    ("lift", "team", "push", "one-person", "lift-height", "low-head", "headroom", "ramp", "step"),
    (
        *("aisle", "fire-watch", "load-sign", "sprinkler", "carry", "bench-height"),
        *("overlap", "outside", "too-large", "full", "no-layout", "no-room", "not-judged"),
        "quarantine",
    ),
)
"""What hurts first: ways out, switchgear and fire fighting, overload, tipping, fire, hands and heads.

The rest, and what does not fit, comes last.
"""

PAPERWORK = ("unplaced", "gone-place", "in-circle", "away-overdue", "loose", "stale tags", "for-now")
"""Records to complete; they come after all that can hurt."""

_RANK = {key: n for n, keys in enumerate(DANGER) for key in keys} | dict.fromkeys(PAPERWORK, 99)


def danger(finding: Finding) -> tuple[int, float]:
    """Return how early a finding comes within its grade: what it is about, then how far it is beyond."""
    beyond = 0.0
    if finding.measured is not None and finding.limit is not None:
        beyond = abs(finding.measured - finding.limit) / max(abs(finding.limit), 1.0)
    return _RANK.get(finding.rule, 50), -beyond


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Sort by grade, what nobody accepted first, then by danger, room and id."""
    return sorted(findings, key=attrgetter("order"))


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
