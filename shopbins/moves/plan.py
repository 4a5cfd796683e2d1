"""The whole answer to 'does it go?', told: its headline, its parts, the gear side by side, as JSON.

Nothing is ever called safe, and nothing can be said of a plan but what its parts say.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from shopbins.answer import NAMED, Accepted, Answer, Part, Verdict
from shopbins.geometry.shapes import Outline, Pose
from shopbins.ledger.model import InZone
from shopbins.moves.acts import Line, lines_of
from shopbins.moves.attempt import Attempt
from shopbins.moves.body import As, Body, Projection
from shopbins.moves.conditions import goal_subjects, with_acceptance
from shopbins.moves.finding import DECIDE, MOVE, Ask, Row, once_alike, row_of
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.hoisted import Lift
from shopbins.moves.legs import Leg
from shopbins.moves.shiftlist import Shifted
from shopbins.moves.situation import Onto
from shopbins.records.accepted import Figures
from shopbins.rules.finding import Finding, once, worst_first
from shopbins.shop.model import Door
from shopbins.units import counted, show_point

SHOWN_ASKS = 3
"""So many questions are asked at a time."""


ANSWERS: dict[Verdict, str] = {
    Verdict.YES: "goes",
    Verdict.FIX: "goes",
    Verdict.ACCEPTED: "goes only with",
    Verdict.ASKED: "goes only with",
    Verdict.AGAIN: "depends",
    Verdict.OPEN: "not decided",
    Verdict.NO: "does not go",
}


@dataclass(frozen=True, slots=True)
class Tried:
    """One gear and what came of it, for standing side by side; `minutes` is the work it takes, or takes at
    least.
    """

    gear: str
    name: str
    verdict: Verdict
    reason: str
    margin_mm: float | None = None
    off_first: tuple[str, ...] = ()
    shifts: int | None = None
    route: tuple[str, ...] = ()
    minutes: float = 0.0
    looked: bool = True

    @property
    def answer(self) -> str:
        """The answer as it is printed, or that gear was not worked out to the end."""
        return ANSWERS[self.verdict] if self.looked else "not looked at further"

    @property
    def figures(self) -> list[str]:
        """What it comes to: room to spare, what comes off first, what is shifted, how long it takes."""
        said = []
        if self.margin_mm is not None and self.verdict <= Verdict.AGAIN:
            said.append(f"{self.margin_mm:.0f} mm to spare")
        if self.off_first:
            said.append(f"{len(self.off_first)} off first")
        if self.shifts:
            said.append(f"{self.shifts} to shift")
        if self.verdict <= Verdict.ASKED:
            said.append(f"{self.minutes:.0f} min")
        return said


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer, and the way it is about. Poses are of the thing's reference point in the shop frame.

    `margin_mm` is the least clearance along the path; None where there is no path. `resting` says where
    parts taken off (by what they are called) may lie meanwhile. `tried` holds every gear, `looking` the
    names of those still to be looked at, `not_looked` what was left out: for want of time, or as no search
    is made for it. `seq` is the ledger's when it was worked out; `minutes` the work, as far as it is told.
    `onto` is the bench or shelf it is lifted onto from `place`, the floor it goes to; `figures` is all it
    rests on, `lines` the floor that lines go over.
    """

    answer: Answer
    group: str
    code: str
    name: str
    place: str
    level: str
    as_: As
    body: Body
    gear: GearAnswer
    attempt: Attempt | None
    legs: tuple[Leg, ...]
    doors: tuple[Door, ...]
    minutes: float
    between: tuple[str, str] | None
    tried: tuple[Tried, ...]
    not_looked: tuple[str, ...]
    seq: int
    seconds: float
    looking: tuple[str, ...] = ()
    onto: Onto | None = None
    figures: Figures = field(default_factory=dict)
    lines: tuple[Outline, ...] = ()

    @property
    def to(self) -> str:
        """What it goes to, as it is called: the place, or the bench or shelf it is lifted onto there."""
        return self.place if self.onto is None else self.onto.name

    @property
    def called(self) -> str:
        """What its headline begins with: the thing, and that this is so far where more is looked at."""
        return f"{self.name} so far" if self.looking else self.name

    def stopped(self) -> Plan:
        """Return the same plan where nobody wants to know more: what was to come was not looked at."""
        left = tuple(f"{name}: stopped" for name in self.looking)
        return replace(self, looking=(), not_looked=(*self.not_looked, *left))

    @property
    def verdict(self) -> Verdict:
        """The worst of all its parts."""
        return self.answer.verdict

    @property
    def word(self) -> str:
        """The answer in one of five words."""
        return ANSWERS[self.verdict]

    @property
    def headline(self) -> str:
        """The answer in one line, never more than its worst part."""
        return f"{self.called} {replace(self.answer, parts=self._told()).headline}"

    def _told(self) -> tuple[Part, ...]:
        """Return the parts as a headline says them: what is not decided of several spots or things once."""
        if self.verdict is not Verdict.OPEN:
            return self.answer.parts
        others = (p for p in self.answer.parts if p.verdict is not Verdict.OPEN)
        return (*others, *once_alike(self.answer.of(Verdict.OPEN)))

    @property
    def brief(self) -> str:
        """The answer in one short line: two of its parts by name, the others and what is accepted counted; of
        what it goes only with, each line to accept.
        """
        left = tuple(p for p in self._told() if p.verdict is not Verdict.ACCEPTED)
        n = len(self.answer.of(Verdict.ACCEPTED))
        if self.verdict is Verdict.ACCEPTED:
            return f"{self.called} {MOVE.accepted} {counted(n, 'condition')}, accepted"
        if self.verdict is Verdict.ASKED:
            return f"{self.called} {MOVE.accepted} {self._gathered()}"
        accepted = f", {n} accepted" if n else ""
        return f"{self.called} {Answer(replace(MOVE, named=NAMED), left).headline}{accepted}"

    @property
    def planned(self) -> bool:
        """Tell whether there are steps to do: a way, and nothing that forbids or is open."""
        return self.verdict <= Verdict.ASKED and bool(self.path)

    @property
    def path(self) -> tuple[Pose, ...]:
        """The way found, () where there is none."""
        return () if self.attempt is None else self.attempt.found.path

    @property
    def goal(self) -> Pose | None:
        """Where it ends."""
        return None if self.attempt is None else self.attempt.goal

    @property
    def margin_mm(self) -> float | None:
        """The least clearance along the way."""
        return None if self.attempt is None else self.attempt.found.clearance_mm

    @property
    def tightest(self) -> Pose | None:
        """The pose at which it is tightest."""
        return None if self.attempt is None else self.attempt.found.tightest

    @property
    def off_first(self) -> tuple[Projection, ...]:
        """The parts that come off first."""
        return self.body.off

    @property
    def shift(self) -> tuple[Shifted, ...]:
        """What is shifted, in order."""
        return () if self.attempt is None else self.attempt.shifted

    @property
    def resting(self) -> Mapping[str, InZone]:
        """Where parts taken off may lie meanwhile."""
        return {} if self.attempt is None or self.attempt.resting is None else self.attempt.resting

    @property
    def lifts(self) -> Mapping[str, Lift]:
        """Which hoist takes off what is beyond people, by what a part is called."""
        every = {} if self.attempt is None else self.attempt.lifts
        return {called: lift for called, lift in every.items() if isinstance(lift, Lift)}

    @property
    def route(self) -> tuple[str, ...]:
        """The doors, in order."""
        return () if self.attempt is None or self.attempt.route is None else self.attempt.route.doors

    @property
    def conditions(self) -> tuple[Part, ...]:
        """What it goes only with: each accepted by itself, by name."""
        return tuple(p for p in self.answer.parts if p.verdict in (Verdict.ASKED, Verdict.ACCEPTED))

    @property
    def to_accept(self) -> tuple[Line, ...]:
        """The conditions as they are accepted: what one person sees to at one time in one line."""
        about = f"group:{self.code}", f"gear:{self.gear.gear.key}"
        return lines_of(self.conditions, (*about, *goal_subjects(self.place, self.onto)))

    def _gathered(self) -> str:
        """Say how many conditions there are, in how many lines they are accepted, and the first of those."""
        every, most = self.to_accept, NAMED
        names = [line.parts[0].text if len(line.parts) == 1 else line.called for line in every]
        more = f" and {len(names) - most} more" if len(names) > most else ""
        many = counted(len(self.conditions), "condition")
        several = f", accepted in {len(every)}" if len(every) < len(self.conditions) else ""
        done = sum(part.verdict is Verdict.ACCEPTED for part in self.conditions)
        return f"{many}{several}: {'; '.join(names[:most])}{more}{f', {done} accepted' if done else ''}"

    @property
    def stops(self) -> tuple[Part, ...]:
        """What forbids it."""
        return self.answer.of(Verdict.NO)

    @property
    def asks(self) -> tuple[Part, ...]:
        """What has to be told, what ends most first, then the cheapest to find out; each question once."""
        every: dict[str, list[tuple[Ask, Part]]] = {}
        for part in self.answer.of(Verdict.OPEN):
            if (ask := row_of(part).ask) is not None:
                every.setdefault(ask.text, []).append((ask, part))
        ordered = sorted(every.values(), key=lambda alike: (alike[0][0].cost, -len(alike)))
        return tuple(alike[0][1] for alike in ordered)

    @property
    def undecided(self) -> tuple[Part, ...]:
        """What is not decided, and no figure lacks: a search found neither a way nor that there is none. What
        is so of several spots or things alike is told once.
        """
        return once_alike([p for p in self.answer.of(Verdict.OPEN) if row_of(p).ask is None])

    @property
    def measure_again(self) -> tuple[str, ...]:
        """What to measure again: the answer turns on it."""
        named = [what for p in self.answer.of(Verdict.AGAIN) for what in row_of(p).measure]
        return tuple(dict.fromkeys(named))

    @property
    def would_go(self) -> tuple[str, ...]:
        """What would end what forbids it, or what a search did not settle, as far as it is known."""
        against = (*self.stops, *self.undecided)
        return tuple(dict.fromkeys(end for p in against for end in row_of(p).ends))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, worst first."""
        return tuple(worst_first(once(row_of(p).finding for p in self.answer.parts)))

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to watch: all that is told and is no condition, and who decides."""
        said = [row_of(p).finding.text for p in self.answer.of(Verdict.YES)]
        said += self.body.notes
        every = (row_of(p).finding.source.split("; ") for p in self.answer.parts)
        sources = dict.fromkeys(itertools.chain.from_iterable(every))
        said.append(f"checked against {'; '.join(sources)}; {DECIDE}; the maker's handbook goes before this")
        return tuple(dict.fromkeys(said))

    def accepted_by(self, who: Callable[[Row], Accepted | None]) -> Plan:
        """Return the same plan with what is now accepted."""
        parts = tuple(
            with_acceptance(p, goal_subjects(self.place, self.onto), who) for p in self.answer.parts
        )
        return replace(self, answer=Answer(MOVE, parts))

    def as_json(self, anew: Callable[[Row], str] = lambda _row: "") -> dict[str, Any]:
        """Return the answer as `shopbins move --json` prints it; `anew` says why a condition accepted before
        is asked anew.
        """
        asked = [row.ask for p in self.asks if (row := row_of(p)).ask is not None]
        return {
            "answer": self.word,
            **self.answer.as_json(),
            "headline": self.headline,
            "margin_mm": None if self.margin_mm is None else round(self.margin_mm, 1),
            "conditions": [_condition(p, anew(row_of(p))) for line in self.to_accept for p in line.parts],
            "to_accept": [
                {
                    "id": line.id,
                    "text": line.words if len(line.parts) == 1 else f"{line.called}: {line.words}",
                    "conditions": [row_of(p).finding.id for p in line.parts],
                    "open": len(line.open),
                }
                for line in self.to_accept
            ],
            "ask": [{"text": a.text, "set": a.set} for a in asked if a is not None],
            "would_go": list(self.would_go),
            "route": list(self.route),
            "gear": self.gear.gear.key,
            "set_across": self.gear.across,
            "off_first": [part.called for part in self.off_first],
            "shift": [each.as_json() for each in self.shift],
            "minutes": round(self.minutes),
            "tried": [
                {"gear": t.gear, "answer": t.answer, "minutes": round(t.minutes), "why": t.reason}
                for t in self.tried
            ],
            "tightest": self._tightest_json(),
            "set_down": None if self.goal is None or not self.path else pose_json(self.goal),
            "points": "x to the right, y up the plan, in mm from the shop file's 0,0",
            "measure_again": list(self.measure_again),
            "depends": [
                {"text": f.text, "measured": f.measured, "limit": f.limit, "unit": f.unit, "inputs": inputs}
                for p in self.answer.of(Verdict.AGAIN)
                for f in (row_of(p).finding,)
                for inputs in (_inputs(row_of(p)),)
            ],
            "findings": [each.as_json() for each in self.findings],
            "not_judged": [*(f.text for f in self.findings if not f.judged), *self.not_looked],
            "cautions": list(self.cautions),
        }

    def _tightest_json(self) -> dict[str, Any] | None:
        p = self.tightest
        if p is None or self.between is None:
            return None
        return {"pose": pose_json(p), "between": list(self.between)}


def pose_json(p: Pose) -> dict[str, float]:
    """Return a pose of the shop frame as it stands in JSON."""
    return {"x_mm": round(p.x_mm, 1), "y_mm": round(p.y_mm, 1), "turn_deg": round(p.turn_deg % 360, 2)}


def pose_words(p: Pose) -> str:
    """Say a pose of the shop frame: '12100,1200, turned 0 deg'."""
    return f"{show_point(round(p.x_mm), round(p.y_mm))}, turned {round(p.turn_deg) % 360} deg"


def _inputs(row: Row) -> list[dict[str, object]]:
    """Return what an answer hangs on, with its share where that was added up."""
    if row.margin is not None:
        return row.margin.as_json()
    return [{"what": what, "within": None, "unit": "", "share": None} for what in row.measure]


def _condition(part: Part, anew: str) -> dict[str, Any]:
    found = row_of(part).finding
    return {
        "id": found.id,
        "text": part.text,
        "measured": found.measured,
        "limit": found.limit,
        "unit": found.unit,
        "source": found.source,
        "accepted": None if part.accepted is None else part.accepted.as_json(),
        **({"asked_anew": anew} if anew else {}),
    }
