"""The whole answer to 'does it go?': gear, route, what comes off first, what is shifted, each criterion
judged.

What may be tried is put in order by the work it takes at least: parts off and on, lifts, pallet off. Each is
judged whole; the one that goes with least work is the answer. Gear that takes more work is worked out after
it, as long as there is time, to stand beside it with its work and what it lacks. Nothing is ever called safe,
and nothing can be said of a plan but what its parts say.
"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from shopbins.answer import NAMED, Accepted, Answer, Part, Verdict
from shopbins.geometry.shapes import Outline, Pose, bounds
from shopbins.ledger.model import InZone
from shopbins.moves.attempt import (
    Attempt,
    Job,
    cost_in_the_way,
    in_the_way,
    low_top_mm,
    nearest_pair,
    turns_on_slopes,
)
from shopbins.moves.beside import handle_reach, who_steers
from shopbins.moves.body import As, Body, NotMovable, Projection, body, movable_whereabouts
from shopbins.moves.carriers import carried
from shopbins.moves.criteria import judged
from shopbins.moves.finding import DECIDE, FAR_OFF, MOVE, Ask, Row, lack_of, row_of
from shopbins.moves.fitted import HOISTS, HOLDS, JACKED, GearAnswer
from shopbins.moves.gear import CARRIES, judge_sides
from shopbins.moves.heights import BAND, too_low
from shopbins.moves.hoisted import Lift, No
from shopbins.moves.layouts import with_laid
from shopbins.moves.legs import Leg, legs_of, turns_of
from shopbins.moves.lifting import PART
from shopbins.moves.offfirst import names, sets_of
from shopbins.moves.onto import floor_before
from shopbins.moves.partsoff import parts_off, taken_kg, who_takes_off
from shopbins.moves.plates import AT_PLATE
from shopbins.moves.pressing import BY_PLATE, COVER, covers_of
from shopbins.moves.restson import beside, rests_on
from shopbins.moves.route import Route, routes
from shopbins.moves.running import EVEN, ROUND
from shopbins.moves.shiftlist import Shifted
from shopbins.moves.situation import Onto, Situation
from shopbins.moves.stages import under_lines
from shopbins.moves.steered import turned_where_told
from shopbins.moves.trying import attempt
from shopbins.records.accepted import Figures
from shopbins.records.moving import moving_of
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding, once, worst_first
from shopbins.rules.say import listed
from shopbins.scene.scene import Scene
from shopbins.shop.figures import Moving
from shopbins.shop.model import Door, Gear, Zone
from shopbins.units import counted, show_point

LONGEST_S = 60.0
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
        return f"{self.called} {self.answer.headline}"

    @property
    def brief(self) -> str:
        """The answer in one short line: two of its parts by name, the others and what is accepted counted."""
        left = tuple(p for p in self.answer.parts if p.verdict is not Verdict.ACCEPTED)
        n = len(self.answer.parts) - len(left)
        if self.verdict is Verdict.ACCEPTED:
            return f"{self.called} {MOVE.accepted} {counted(n, 'condition')}, accepted"
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
        """What is not decided, and no figure lacks: a search found neither a way nor that there is none."""
        return tuple(p for p in self.answer.of(Verdict.OPEN) if row_of(p).ask is None)

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
        parts = tuple(_accepted(p, _goals(self.place, self.onto), who) for p in self.answer.parts)
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
            "conditions": [_condition(p, anew(row_of(p))) for p in self.conditions],
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


# --- what may be tried
# ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Option:
    """One way to try: this gear from this side, with these parts off; `minutes` is the work it takes at
    least.
    """

    gear: Gear
    body: Body
    answer: GearAnswer
    minutes: float
    parts: tuple[Part, ...]

    @property
    def side(self) -> tuple[object, ...]:
        """What gear it is on, from which side, and what comes off first."""
        how = self.answer
        return self.gear.key, names(self.body.off), self.body.base, how.axis_deg, how.heel

    @property
    def hung(self) -> bool:
        """Tell whether it hangs as it travels: dearer than any work of gear that it stands on."""
        return self.gear.kind in HOISTS

    @property
    def verdict(self) -> Verdict:
        """The worst of what can be said without a way."""
        return max((p.verdict for p in self.parts), default=Verdict.YES)


@dataclass(frozen=True, slots=True)
class Worked:
    """An option worked out: its attempt, all its parts, and the work it takes. `turned`: on a slope."""

    option: Option
    attempt: Attempt | None
    parts: tuple[Part, ...]
    minutes: float
    legs: tuple[Leg, ...] = ()
    figures: Figures = field(default_factory=dict)
    turned: bool = False

    @property
    def verdict(self) -> Verdict:
        """The worst of its parts."""
        return max((p.verdict for p in self.parts), default=Verdict.OPEN)

    @property
    def settles(self) -> bool:
        """Tell whether it goes, turned on no slope: no other side of its gear need be looked at."""
        return self.verdict <= Verdict.ASKED and not self.turned

    @property
    def gains_across(self) -> bool:
        """Tell whether straight gear may do better set across: it is set round on the way, or none was found
        and that there is none is not proved of it turned and slid anyhow.
        """
        it = self.attempt
        return it is not None and (
            bool(turns_of(self.legs)) or (not self.legs and it.verdict is Verdict.OPEN)
        )

    @property
    def turned_down(self) -> bool:
        """Tell whether a way was found and only what hangs on its spot or turn speaks against it."""
        against = [p for p in self.parts if p.verdict is Verdict.NO or _gave_up(p) or _over_a_slope(p)]
        found = self.attempt is not None and bool(self.attempt.found.path)
        return found and bool(against) and all(_by_its_spot(row_of(p).finding) for p in against)

    @property
    def rank(self) -> tuple[object, ...]:
        """Best is what goes, standing rather than hung, with least work, fewest conditions, most room."""
        return *self._short_of_going, *self._takes

    @property
    def on_its_gear(self) -> tuple[object, ...]:
        """As `rank`, among ways on one gear: one that turns it on no slope comes before one of less work; of
        what does not go, a side it goes under comes first: of the others the way was not looked for.
        """
        verdict, *lacks = self._short_of_going
        not_looked_for = self.verdict is Verdict.NO and self.attempt is None
        return verdict, not_looked_for, *lacks, self.turned, *self._takes

    @property
    def _takes(self) -> tuple[float, int, float]:
        """What it takes: least work is best, then fewest conditions, most room."""
        clear = None if self.attempt is None else self.attempt.found.clearance_mm
        return self.minutes, sum(p.verdict is Verdict.ASKED for p in self.parts), -(clear or 0.0)

    @property
    def _short_of_going(self) -> tuple[int, bool, bool, int, float, bool]:
        """How far it is from going; alike in that, hung from a crane comes after standing.

        Of what does not go, best is no hands beyond what a team carries and nothing that lacks half of what
        it has to hold; of that or what is not decided, what has a way; then what lacks least: fewest things,
        the smallest share of each. Of what is not decided, what is cheapest to find out for it.
        """
        verdict = max(self.verdict, Verdict.ASKED)
        worst = sum(p.verdict is verdict for p in self.parts) if verdict > Verdict.ASKED else 0
        if verdict is Verdict.OPEN:
            worst = _dear(self.parts)
        lost = verdict >= Verdict.OPEN and (self.attempt is None or not self.attempt.found.path)
        against = [p for p in self.parts if p.verdict is verdict is Verdict.NO]
        by_hand = self.option.gear.kind == "by hand"
        lacks = sum(lack_of(p) for p in against)
        shut = any(row_of(p).finding.rule == "move-room-forks" for p in against)
        if lost and shut:  # its way was not looked for: it may lack one, too
            worst, lacks = worst + 1, lacks + 1.0
        holds = [p for p in against if row_of(p).finding.rule == HOLDS.key]
        far = any(by_hand or lack_of(p) >= FAR_OFF for p in holds)
        return int(verdict), far, lost, worst, lacks, self.option.hung


def _alike(option: Option) -> tuple[str, frozenset[str], bool]:
    """Return what options alike in gear and parts off have in common."""
    return option.gear.key, names(option.body.off), option.body.base


def _with_off_words(text: str, option: Option) -> str:
    """Say what was not looked at, and with which parts off that was."""
    off = [part.name for part in option.body.off]
    return f"{text}, with {listed(off, len(off))} off" if off else text


NOT_AT_A_GLANCE = (True, math.inf)
"""What does not look as if it goes."""


@dataclass(slots=True)
class _Search:
    """The search over gear, parts off, sides and routes."""

    scene: Scene
    group_id: str
    goal: Zone
    level: str
    as_: As
    base: bool
    job: Job
    today: date
    accepted: Callable[[Row], Accepted | None]
    onto: Onto | None = None
    worked: dict[tuple[str, frozenset[str], bool], Worked] = field(default_factory=dict)
    glanced: dict[tuple[object, ...], tuple[bool, float]] = field(default_factory=dict)
    bodies: dict[tuple[frozenset[str], bool], Body] = field(default_factory=dict)
    sides: dict[tuple[str, frozenset[str], bool], list[Option]] = field(default_factory=dict)

    @property
    def own(self) -> Moving:
        return self.scene.shop.limits.moving

    # -- options --

    def options(self, gear: Gear) -> Iterator[Option]:
        """Go through the ways to try one gear, those of least work first; hopeless gear once, with the
        reason.
        """
        off_it = self.base and self._has_base() and gear.kind not in ("pallet truck", "by hand")
        bases = [True, False] if off_it else [self.base]
        whole = self._body((), self.base)
        least = self._body(whole.parts, bases[-1])
        if all(o.verdict is Verdict.NO for o in self._sides(gear, least, 0.0)) and gear.kind != "by hand":
            yield max(self._sides(gear, whole, self._minutes(gear, whole)), key=_closeness)
            return
        for base in bases:
            for parts in sets_of(whole.parts):
                it = self._body(parts, base)
                yield from self._sides(gear, it, self._minutes(gear, it))

    def _has_base(self) -> bool:
        told = moving_of(self.scene.group(self.group_id))
        return told.base is not None

    def _body(self, parts: Sequence[Projection], base: bool) -> Body:
        key = names(parts), base
        if key not in self.bodies:
            self.bodies[key] = body(self.scene, self.group_id, as_=self.as_, off=key[0], base=base)
        return self.bodies[key]

    def _minutes(self, gear: Gear, it: Body) -> float:
        """Return the work it takes at least: parts off and on, both ends lifted on and off, its base off."""
        parts = sum(p.cost for p in it.off)
        lifts = 4 * self.own["minutes lift"] if gear.kind in JACKED else 0.0
        hung = 2 * self.own["minutes lift"] if gear.kind in HOISTS else 0.0
        base = 4 * self.own["minutes lift"] if not it.base and self.base else 0.0
        return parts + lifts + hung + base

    def _sides(self, gear: Gear, it: Body, minutes: float) -> list[Option]:
        """Judge a gear with what needs no way; forks from every side they go in."""
        key = gear.key, names(it.off), it.base
        if key not in self.sides:
            self.sides[key] = self._judged_sides(gear, it, minutes)
        return [replace(each, minutes=minutes) for each in self.sides[key]]

    def _judged_sides(self, gear: Gear, it: Body, minutes: float) -> list[Option]:
        found = []
        for answer in judge_sides(gear, it.load, measured_mm=self.scene.shop.measured_mm, own=self.own):
            parts = tuple(judged(self._situation(it, answer, None), "gear"))
            found.append(Option(gear, it, answer, minutes, parts))
        return sorted(found, key=lambda o: (o.answer.spare, o.answer.across, -_closeness(o)))

    def _situation(
        self, it: Body, answer: GearAnswer, route: Route | None, tried: Attempt | None = None
    ) -> Situation:
        legs: tuple[Leg, ...] = ()
        if tried is not None and route is not None and tried.found.path:
            legs = legs_of(self.scene, tried.found.path, route.rooms)
        at = Situation(
            self.scene,
            it,
            answer,
            self.goal,
            self.level,
            route,
            tried,
            legs,
            self.job.known,
            self.today,
            self.onto,
        )
        return with_laid(at)

    # -- working out --

    def routes(self, it: Body) -> list[Route]:
        if it.room is None or it.pose is None:
            return []
        to = bounds(self.goal.outline).middle
        return routes(self.scene.shop, it.room, self.goal.room, (it.pose.x_mm, it.pose.y_mm), to)

    def first_side(self, sides: Sequence[Option]) -> Option:
        """Return which of options alike in gear and work is tried first: one that, by a glance, is not
        turned on a slope; of those the one with least to shift.
        """
        first, least = sides[0], NOT_AT_A_GLANCE
        for option in sides:
            seen = self.glance(option)
            if seen < least:
                first, least = option, seen
            if least == (False, 0.0):
                break
        return first

    def never_level(self, option: Option) -> bool:
        """Tell whether a side is turned on a slope though nothing loose were on the floor, where ways that
        turn it on the level alone are looked for.
        """
        turned, meets = self.glance(option)
        return turned and meets < math.inf and turned_where_told(option.answer)

    def glance(self, option: Option) -> tuple[bool, float]:
        """Tell whether the shortest way of an option, were nothing loose on the floor, turns it on a slope,
        and what it costs to shift all that it meets there; infinite where it does not look as if it goes.
        """
        if option.side not in self.glanced:
            self.glanced[option.side] = self._glance(option)
        return self.glanced[option.side]

    def _glance(self, option: Option) -> tuple[bool, float]:
        if option.verdict is Verdict.NO:
            return NOT_AT_A_GLANCE
        for route in self.routes(option.body)[:1]:
            tried = attempt(
                replace(self.job, bare=True), option.body, option.answer, route, (), self._steers(option)
            )
            it = self._situation(option.body, option.answer, route, tried)
            fits = "it fits" if it.legs else "no way found"
            self.job.say(f"{option.gear.name}: {fits} were nothing loose on the floor; looking on")
            if it.legs and all(p.verdict <= Verdict.ASKED for p in judged(it, "gear")):
                turned = turns_on_slopes(self.scene, tried, tried.found.path)
                return turned, cost_in_the_way(self.scene, tried)
        return NOT_AT_A_GLANCE

    def _steers(self, option: Option) -> Outline:
        if option.gear.kind != "pallet truck" or option.answer.heel is None:
            return ()
        reach = handle_reach(option.answer, self.own)
        return who_steers(option.answer, 0.0, reach, self.own["person"])

    def work(self, option: Option) -> Worked:
        """Work one option out; the best of those alike in gear and parts off is kept."""
        job = replace(self.job, missed={})
        found, key = replace(self, job=job)._work(option), _alike(option)
        self.job.missed.update({_with_off_words(text, option): None for text in job.missed})
        if key not in self.worked or found.on_its_gear < self.worked[key].on_its_gear:
            self.worked[key] = found
        return found

    def no_nearer(self, option: Option) -> bool:
        """Tell whether an option, like one that does not go in all but its side, does not go either, whatever
        its way: doors, sills, slopes or floors forbid it by every route.
        """
        alike = self.worked.get(_alike(option))
        if alike is None or alike.verdict is not Verdict.NO:
            return False
        every = (self._situation(option.body, option.answer, route) for route in self.routes(option.body))
        return all(any(p.verdict is Verdict.NO for p in _on_any_way(it)) for it in every)

    def gains_across(self, option: Option) -> bool:
        """Tell whether gear set across has to be looked at: for what comes of it set along."""
        along = self.worked.get(_alike(option))
        return along is None or along.gains_across

    def with_off(self, of: Worked, more: Sequence[Projection]) -> Worked | None:
        """Return what comes of the same gear with some parts more off: as worked out before, else now; None
        where nobody waits for that any more.
        """
        body, gear = of.option.body, of.option.gear
        off = names(body.off) | names(more)
        key = gear.key, off, body.base
        if key not in self.worked:
            if self.job.stop():
                return None
            whole = self._body((), body.base)
            less = self._body([p for p in whole.parts if p.called in off], body.base)
            sides = self._sides(gear, less, self._minutes(gear, less))
            across = of.option.answer.across
            search = replace(self, job=self.job.no_longer_than(REST_S))
            search.work(next((side for side in sides if side.answer.across == across), sides[0]))
        return self.worked[key]

    def _work(self, option: Option) -> Worked:
        """Work one option out: the shortest way by doors that goes, else the best there was."""
        if option.verdict is Verdict.NO:
            return Worked(option, None, option.parts, option.minutes)
        best: Worked | None = None
        for route in self.routes(option.body):
            if self.job.out_of_time(f"{option.gear.name}: another way by doors"):
                break
            found = self._by(option, route)
            if best is None or found.on_its_gear < best.on_its_gear:
                best = found
            if found.settles:
                break
        if best is not None:
            return best
        from shopbins.moves.ways_out import WAY

        it = self._situation(option.body, option.answer, None)
        if self.job.stop():
            none = WAY.open(it.subjects, f"the way of {it.name} on {option.gear.name}: time was up")
        else:
            none = WAY.no(it.subjects, f"no door leads to {self.goal.name} by rooms the shop file draws")
        return Worked(option, None, (*option.parts, none), option.minutes)

    def _by(self, option: Option, route: Route) -> Worked:
        """Work one route out: with room kept for who steers, else without; off covers that do not hold it."""
        steers = self._steers(option)
        hardly = bool(steers) and self.glanced.get(option.side) == NOT_AT_A_GLANCE
        # what has no way without room for who steers has none with it
        best = self._tried(option, route, (), () if hardly else steers)
        found = None if best.attempt is None else best.attempt.verdict
        if (
            steers
            and found is not (Verdict.NO if hardly else Verdict.YES)
            and not self.job.out_of_time(f"{option.gear.name}: with no room kept for who steers")
        ):
            other = self._tried(option, route, (), steers if hardly else ())
            best = min([other, best] if hardly else [best, other], key=lambda w: w.on_its_gear)
        avoid = self._to_avoid(route, best)
        over = best
        if avoid and best.attempt is not None:
            best = _or_around(best, self._tried(option, route, avoid, best.attempt.steers))
        if best is over:  # what has a way over covers has none off them, wherever in the goal it ends
            avoid = []
        best = min([best, *self._straight(option, route, best, avoid)], key=lambda w: w.on_its_gear)
        return _spared(self._elsewhere(option, route, best, avoid), over)

    def _straight(
        self, option: Option, route: Route, found: Worked, avoid: Sequence[Outline]
    ) -> Iterator[Worked]:
        """Give the way of straight gear with what stands in it shifted, where the one found sets it round."""
        often, gear = len(turns_of(found.legs)), option.gear.name
        if option.answer.steering != "axis" or not often or found.attempt is None:
            return
        if self.job.out_of_time(f"{gear}: what shifting would spare of {often} times set round"):
            return
        self.job.say(f"{gear}: with things shifted, set round less often than {often} times")
        job = replace(self.job, shifts=True)
        tried = attempt(job, option.body, option.answer, route, avoid, found.attempt.steers)
        path = tried.found.path
        if path and len(turns_of(legs_of(self.scene, path, route.rooms))) < often:
            yield self._judged(option, route, tried)

    def _to_avoid(self, route: Route, found: Worked) -> list[Outline]:
        """Return covers that do not hold it and beams it does not go under: a way off them is looked for."""
        bad = {
            s
            for p in found.parts
            if (p.verdict >= Verdict.OPEN and row_of(p).finding.rule in ROUND_IT)
            or BY_PLATE in row_of(p).finding.subjects
            for s in p.subjects
        }
        shop = self.scene.shop
        floors = [shop.rooms[key].outline for key in route.rooms]
        floors += [shop.doors[key].passage for key in route.doors]
        off = [cover.outline for cover in covers_of(shop, floors) if cover.subject in bad]
        return off + [f.outline for f in shop.fixtures.values() if f"fixture:{f.key}" in bad]

    def _elsewhere(self, option: Option, route: Route, first: Worked, avoid: Sequence[Outline]) -> Worked:
        """Look for another spot or turn of the goal where forks, who steers or the slope refuse this one."""
        best, now, refused, all_seen = first, first, list[Pose](), False
        while now.turned_down and now.attempt is not None and now.attempt.goal is not None:
            if len(refused) >= MOST_TURNED_DOWN:
                break
            if self.job.out_of_time(f"{option.gear.name}: more spots in {self.goal.name}"):
                break
            refused.append(now.attempt.goal)
            self.job.say(f"{option.gear.name}: another spot")
            now = self._tried(option, route, avoid, now.attempt.steers, refused)
            if now.attempt is None or not now.attempt.found.path:
                all_seen = now.attempt is not None and now.attempt.goal is None and not self.job.stop()
                break
            best = min(best, now, key=lambda w: (w.verdict > Verdict.ASKED, w.turned_down, w.on_its_gear))
        if best.turned_down:
            goal, gear = self.goal.name, option.gear.name
            self.job.missed[f"{gear}: more than {len(refused)} spots of {goal}, other ways there"] = None
            said = f"{len(refused)} spots of {goal} were looked at, not all, nor other ways there"
            if not all_seen:
                best = replace(best, parts=tuple(_not_proved(p, said) for p in best.parts))
        return best

    def _tried(
        self,
        option: Option,
        route: Route,
        avoid: Sequence[Outline],
        steers: Outline,
        refused: Collection[Pose] = (),
    ) -> Worked:
        tried = attempt(self.job, option.body, option.answer, route, avoid, steers, refused)
        return self._judged(option, route, tried)

    def _judged(self, option: Option, route: Route, tried: Attempt) -> Worked:
        if tried.found.path:
            tried = carried(self.job, parts_off(self.job, tried))
        it = self._situation(option.body, option.answer, route, tried)
        parts = [p for p in option.parts if not it.legs or row_of(p).finding.rule not in WITH_A_WAY]
        if it.legs:
            parts += [p for p in judged(it, "gear") if row_of(p).finding.rule in WITH_A_WAY]
        parts += judged(it, "way") if it.legs else _without_way(it)
        minutes = option.minutes + self._more_minutes(option, tried, it)
        rests = rests_on(it)
        return Worked(
            option,
            tried,
            tuple(
                _accepted(p, _goals(self.goal.key, self.onto), self.accepted, rests)
                for p in _told_once(parts)
            ),
            minutes,
            it.legs,
            rests[1],
            turns_on_slopes(self.scene, tried, tried.found.path),
        )

    def _more_minutes(self, option: Option, tried: Attempt, it: Situation) -> float:
        shifting = sum(self.own["minutes shift"] + (s.mass_kg or 60.0) / 20 for s in tried.shifted)
        length = sum(
            math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
            for a, b in zip(tried.found.path, tried.found.path[1:], strict=False)
        )
        walking = length / 1000.0 / self.own["moving speed"] / 60.0
        hoisted = sum(isinstance(lift, Lift) for lift in tried.lifts.values())
        shifting += 2 * hoisted * self.own["minutes lift"]
        if option.gear.kind in JACKED:
            shifting += 8 * len(it.set_round) * self.own["minutes lift"]  # both ends, twice, up and down
        laid = sum(each.count for each in it.laid) + sum(each.count for each in it.ramps)
        shifting += laid * self.own["minutes ramp"]
        return shifting + len(tried.leaves_off) * self.own["minutes leaf"] + walking


def _or_around(found: Worked, around: Worked) -> Worked:
    """Return the better of a way and one off covers and beams; where none was found off them, the way, if
    anything but those forbids it: that would not go off them either.
    """
    others = any(p.verdict is Verdict.NO and row_of(p).finding.rule not in ROUND_IT for p in found.parts)
    if others and found.legs and not around.legs:
        return found
    return min(found, around, key=lambda w: w.on_its_gear)


def _goals(place: str, onto: Onto | None) -> tuple[str, ...]:
    return (f"zone:{place}",) if onto is None else onto.subjects


def _accepted(
    part: Part,
    goal: tuple[str, ...],
    who: Callable[[Row], Accepted | None],
    rests: tuple[str, Figures] | None = None,
) -> Part:
    """Return a condition with who accepted it for this thing, gear and goal, if somebody did at this figure
    and all it `rests` on is as it was then; what is of a room alone was accepted for all moves.
    """
    if part.verdict not in (Verdict.ASKED, Verdict.ACCEPTED):
        return part
    row = row_of(part)
    of_room = row.finding.rule == EVEN.key
    goals = () if of_room else goal
    subjects = tuple(dict.fromkeys((*row.finding.subjects, *goals)))
    finding = replace(row.finding, subjects=subjects, accepted=None)
    word, figures = ("", {}) if of_room else rests or (row.rests, row.figures)
    asked = replace(row, finding=finding, rests=word, figures=figures)
    accepted = who(asked)
    kept = replace(asked, finding=replace(asked.finding, accepted=accepted))
    return Part(Verdict.ASKED if accepted is None else Verdict.ACCEPTED, part.text, subjects, accepted, kept)


ROUND_IT = (COVER.key, BAND.key)
"""What a way round something ends: a cover that does not hold it, a beam it does not go under."""
WITH_A_WAY = (
    "move-tips",
    "move-fall-zone",
    "move-speed",
    "move-gear-on-slope",
    "runs-downhill",
    "move-handle-uphill",
)
"""Judged with the gear alone on the level, and again at every pose once there is a way."""


def _without_way(it: Situation) -> Iterator[Part]:
    """Say what forbids where no way was found: heights and sills of doors, floors, and the way itself."""
    from shopbins.moves import room, ways_out

    forks = [p for p in room.forks_in(it) if p.verdict is Verdict.NO]
    yield from forks
    yield from _on_any_way(it)
    if not forks:  # else that is why no way was looked for
        yield from ways_out.way(it)


def _on_any_way(it: Situation) -> Iterator[Part]:
    """Say what of a route forbids, whatever the way along it: heights and sills of doors, slopes, floors."""
    from shopbins.moves import heights, pressing, running

    yield from (p for p in heights.heights(it) if p.verdict in (Verdict.NO, Verdict.OPEN, Verdict.AGAIN))
    yield from (p for p in running.sills(it) if p.verdict is Verdict.NO)
    yield from (p for p in running.slope_gear(it) if p.verdict >= Verdict.OPEN)
    yield from (p for p in pressing.floors(it) if p.verdict is Verdict.NO)


def _spared(around: Worked, over: Worked) -> Worked:
    """Say of a way round covers how often it is set round for that alone, where only they, or the edge of
    plates over them, forbid the way over them: better plates would spare it.
    """
    against = [row_of(p) for p in over.parts if p.verdict >= Verdict.AGAIN]
    often, straight = len(turns_of(around.legs)), len(turns_of(over.legs))
    if around is over or straight >= often or not against or not over.legs:
        return around
    if any(row.finding.rule != COVER.key and AT_PLATE not in row.finding.subjects for row in against):
        return around
    spares = tuple(dict.fromkeys(end for row in against for end in row.ends))
    ends = "; ".join(spares)
    work = f"{straight or 'no'} times and {over.minutes:.0f} min of work"
    more = f"; straight over covers {work}, but for this: "
    more += "; ".join(row.finding.text for row in against) + (f" ({ends})" if ends else "")

    def told(part: Part) -> Part:
        row = row_of(part)
        if _gave_up(part) and _by_its_spot(row.finding):  # what spares the turn ends what it hangs on
            return replace(part, evidence=replace(row, ends=(*row.ends, *spares)))
        if row.finding.rule != ROUND.key:
            return part
        text = f"{row.finding.text}{more}"
        words = f"set round {often} times, {straight or 'none'} straight over covers"
        return replace(part, text=words, evidence=replace(row, finding=replace(row.finding, text=text)))

    return replace(around, parts=tuple(told(p) for p in around.parts))


def _told_once(parts: Sequence[Part]) -> list[Part]:
    """Keep one part of one finding: the worst, of those alike the one of the worst figure told last."""
    kept: dict[str, Part] = {}
    for part in parts:
        key = row_of(part).finding.id
        if key not in kept or part.verdict > kept[key].verdict:
            kept[key] = part
    return list(kept.values())


def _closeness(option: Option) -> float:
    margin = option.answer.margin_mm
    stops = sum(p.verdict is Verdict.NO for p in option.parts)
    return -1e6 * int(option.verdict) - 1e4 * stops + (margin if margin is not None else -1e3)


BY_ITS_SPOT = (
    *("move-room-forks", "move-room-person", "move-shut-in", "move-handle-uphill", "move-turns-on-slope"),
    *("move-at-goal", "move-room-jack", "stands", "move-plates-clear"),
)
"""What another spot or turn of the goal may end."""
MOST_TURNED_DOWN = 3


BY_ITS_WAY = ("move-room-person", "move-shut-in", "move-handle-uphill", "move-room-jack")
"""What hangs on the way found and its end: refused there it may yet go by others, which no search settles."""


def _not_proved(part: Part, said: str) -> Part:
    """Return what forbids the way found alone as not decided, where not all other spots were tried."""
    row = row_of(part)
    found = row.finding
    if part.verdict is not Verdict.NO or found.rule not in BY_ITS_WAY or "start" in found.subjects:
        return part
    text = f"{found.text}; {said}"
    finding = replace(found, grade="note", judged=False, text=text)
    return replace(part, verdict=Verdict.OPEN, text=text, evidence=replace(row, finding=finding, ends=()))


def _dear(parts: Sequence[Part]) -> int:
    """Return how dear it is to find out what is asked, each question once; what no figure decides is
    the dearest.
    """
    opens = [row_of(p).ask for p in parts if p.verdict is Verdict.OPEN]
    asks = {ask.text: ask.cost for ask in opens if ask is not None}
    return sum(asks.values()) + DEAREST * sum(ask is None for ask in opens)


DEAREST = 5
"""The dearest of a question's costs."""


def _gave_up(part: Part) -> bool:
    """Tell whether it is not decided for want of a way alone: nothing that anybody could tell decides it."""
    return part.verdict is Verdict.OPEN and row_of(part).ask is None


def _over_a_slope(part: Part) -> bool:
    """Tell whether it is jacked over the edge of a slope at its goal, where another spot may spare that."""
    return {"jacked", "goal", "over"} <= set(row_of(part).finding.subjects)


def _by_its_spot(found: Finding) -> bool:
    return found.rule in BY_ITS_SPOT and "start" not in found.subjects


# --- the question
# -----------------------------------------------------------------------------------------------


def plan(
    scene: Scene,
    group_id: str,
    zone_key: str,
    level: str = "",
    *,
    gear: str | None = None,
    turn_deg: float | None = None,
    as_: As = "tonight",
    base: bool = True,
    today: date | None = None,
    at_most_s: float = LONGEST_S,
    cancelled: Callable[[], bool] = lambda: False,
    say: Callable[[str], None] = lambda _text: None,
    accepted: Callable[[Row], Accepted | None] = lambda _row: None,
    first: Callable[[Plan], None] = lambda _plan: None,
) -> Plan:
    """Return whether and how a group goes to a zone of a floor or room, or onto a bench or shelf.

    `gear` is a key: only that one. `accepted` tells who accepted a condition, if anybody did. Where it goes
    and gear that takes more work is still to be looked at, `first` gets the answer so far. Raises NotMovable
    where the question makes no sense (no size, no place, no level named, no gear in the file).
    """
    began = time.perf_counter()
    whole = body(scene, group_id, as_=as_, base=base)
    goal, onto = _goal(scene, zone_key, level, whole.outline)
    level = "" if onto is not None else level
    why = movable_whereabouts(whole)
    if why:
        raise NotMovable(why)
    day = today or date.today()
    say("what is found in the shop as it is")
    known = frozenset(f.id for f in audit(scene, day))
    job = Job(
        scene, goal, turn_deg, 2 * scene.shop.measured_mm, known, began + at_most_s, level, cancelled, say
    )
    search = _Search(scene, group_id, goal, level, as_, base, job, day, accepted, onto)
    gears = _gears(scene, gear)
    best, of_gear, left = _best(search, gears)
    if best.verdict is Verdict.NO:
        best = _with_offs(search, _nearest(search, of_gear))

    def made(looking: Sequence[str] = ()) -> Plan:
        for each in of_gear.values():
            if each.option.answer.steering == "axis" and each.gains_across:
                sideways = "set across on the way, or askew, to go sideways unturned"
                job.missed[_with_off_words(f"{each.option.gear.name}: {sideways}", each.option)] = None
        tried = _side_by_side(gears, of_gear, left, best)
        return _made(search, whole, best, tried, time.perf_counter() - began, looking)

    dearer = {} if best.verdict > Verdict.ASKED else _dearer(job, of_gear, left)
    if dearer:
        first(made([options[0].gear.name for options in dearer.values()]))
    for key, options in dearer.items():
        found = _rest(search, options)
        if found is not None:
            of_gear[key] = found
            best = min(best, found, key=lambda w: w.rank)
    return made()


NEAREST = 3
"""Of so many gears that do not go it is looked at by how much: own figure."""


def _nearest(search: _Search, of_gear: dict[str, Worked]) -> Worked:
    """Return what lacks least of gear that none goes on, said by how much each of the nearest lacks.

    What its plate or its size forbids is asked for its way, too: it may be no nearer than gear without one.
    """
    for key in sorted(of_gear, key=lambda key: of_gear[key].rank)[:NEAREST]:
        found = _asked_for_its_way(search, of_gear[key])
        of_gear[key] = _too_wide(search, _too_low(search, found))
    return min(of_gear.values(), key=lambda w: w.rank)


def _with_offs(search: _Search, best: Worked) -> Worked:
    """Say of each part off that would end what forbids it who takes it off and what comes of the move then:
    judged whole, as everything.
    """

    def told(part: Part) -> Part:
        row = row_of(part)
        if part.verdict is not Verdict.NO or not row.offs:
            return part
        ends = (*_off_words(search, best, row), *row.ends)
        return replace(part, evidence=replace(row, ends=ends))

    return replace(best, parts=tuple(told(p) for p in best.parts))


def _off_words(search: _Search, best: Worked, row: Row) -> list[str]:
    """Say which parts off end what forbids it, one at a time; where none makes it go, which two do, else
    which two end this at least. What does not even end this is said where nothing better is.
    """
    every = {p.called: p for p in best.option.body.parts}
    ones: list[tuple[Projection, ...]] = [(every[called],) for called in row.offs]
    said = {off: search.with_off(best, off) for off in ones}
    if not any(then is not None and then.verdict <= Verdict.ASKED for then in said.values()):
        two = itertools.combinations(sorted(every.values(), key=lambda p: (p.cost, p.called)), 2)
        pairs = [pair for pair in two if any(p.called in row.offs for p in pair)]
        for pair in pairs[:MOST_PAIRS]:
            then = said[pair] = search.with_off(best, pair)
            if then is not None and then.verdict <= Verdict.ASKED:
                break
    goes = [off for off, then in said.items() if then is not None and then.verdict <= Verdict.ASKED]
    ends = [off for off, then in said.items() if then is not None and not _lacks(then, row)]
    chosen = goes or [off for off in ends if not any(set(less) < set(off) for less in ends)] or ones
    return [_then_words(search, off, said[off]) for off in chosen]


MOST_PAIRS = 6
"""So many pairs of parts are tried off where one is not enough, the cheapest first: own figure."""


def _lacks(then: Worked, row: Row) -> bool:
    """Tell whether the same check of the same things still forbids it, or it was not looked so far."""
    about = {s for s in row.finding.subjects if s.partition(":")[0] not in ("part", "gear")}
    same = (row_of(p).finding for p in then.parts if p.verdict is Verdict.NO)
    return any(f.rule == row.finding.rule and about <= set(f.subjects) for f in same)


def _then_words(search: _Search, off: Sequence[Projection], then: Worked | None) -> str:
    """Say of parts off together what that takes and who does it, and what is still lacking then."""
    who = [f"{p.name} {by}" if len(off) > 1 else by for p in off if (by := _by_whom(search, p, then))]
    work = ", ".join((f"{sum(p.cost for p in off):.0f} min", *who))
    said = f"{' and '.join(p.name for p in off)} off ({work})"
    if then is None:
        return f"{said}, not looked at further"
    if then.verdict <= Verdict.ASKED:
        return said
    asked = {f"part:{p.called}" for p in off if taken_kg(p) is None}  # said with the part
    lacks = [
        p.text
        for p in then.parts
        if p.verdict is then.verdict
        and not (row_of(p).finding.rule == PART.key and asked & set(row_of(p).finding.subjects))
    ]
    if not lacks:
        return said
    more = f", and {len(lacks) - 1} more" if len(lacks) > 1 else ""
    return f"{said}, and then it {'still ' if then.verdict is Verdict.NO else ''}lacks: {lacks[0]}{more}"


def _by_whom(search: _Search, part: Projection, then: Worked | None) -> str:
    """Say who takes a part off: the hoist that does where a way was found, else who might; '' where none."""
    lifts = {} if then is None or then.attempt is None else then.attempt.lifts
    lift = lifts.get(part.called)
    if isinstance(lift, Lift):
        return f"by {lift.gear.name}"
    return "" if isinstance(lift, No) else who_takes_off(search.scene, part)


def _asked_for_its_way(search: _Search, it: Worked) -> Worked:
    """Add that there is no way even were nothing loose on the floor, where it was not looked for."""
    route = next(iter(search.routes(it.option.body)), None)
    if it.attempt is not None or route is None or search.job.stop():
        return it
    body, proves = it.option.body, replace(search.job, proves=True)
    sides = search._sides(it.option.gear, body, it.option.minutes)
    for side in sides:  # forks from the others, too
        tried = attempt(proves, body, side.answer, route)
        if tried.verdict is not Verdict.NO:
            return it
    parts = (*it.parts, *_without_way(search._situation(body, tried.gear, route, tried)))
    return replace(it, attempt=tried, parts=tuple(_told_once(parts)))


REST_S = 20.0
"""How long gear that takes more work than the answer is looked at, each: own figure."""


def _dearer(
    job: Job, of_gear: Mapping[str, Worked], left: Mapping[str, list[Option]]
) -> dict[str, list[Option]]:
    """Return what is left of gear of which nothing was worked out and nothing forbids it at once. What lacks
    figures cannot be better than what goes: it is named, and no way looked for.
    """
    every = {key: [o for o in options if o.verdict is not Verdict.NO] for key, options in left.items()}
    every = {key: options for key, options in every.items() if options and key not in of_gear}
    told = {key: [o for o in options if o.verdict is not Verdict.OPEN] for key, options in every.items()}
    for key in every:
        if not told[key]:
            job.missed[f"{every[key][0].gear.name}: its way, as figures lack (--gear tells)"] = None
    return {key: options for key, options in told.items() if options}


def _rest(search: _Search, options: Sequence[Option]) -> Worked | None:
    """Work gear that takes more work out, by its cheapest way first, as all stands: what would have to be
    shifted for it is more work still. None where there is no time for it.
    """
    job = replace(search.job.no_longer_than(REST_S), stands=True)
    search = replace(search, job=job)
    best: Worked | None = None
    for option in options:
        if search.no_nearer(option) or (option.answer.across and not search.gains_across(option)):
            continue
        if job.stop() or (best is not None and best.settles and not option.answer.across):
            break
        if best is not None and best.verdict <= Verdict.ASKED and option.minutes > best.option.minutes:
            break
        job.say(f"{option.gear.name}: does it go, too")
        found = search.work(option)
        best = found if best is None else min(best, found, key=lambda w: w.on_its_gear)
    if best is None or (best.verdict > Verdict.ASKED and job.stop()):
        job.missed[f"{options[0].gear.name}: time was up"] = None
    return best


def _too_low(search: _Search, best: Worked) -> Worked:
    """Name the beams that refuse what the floor kernel refuses: asked again as if they were not there."""
    from shopbins.moves.tolerance import Asker
    from shopbins.moves.ways_out import WAY

    it = best.attempt
    if it is None or it.verdict is not Verdict.NO or it.ground is None or it.start is None or it.goal is None:
        return best
    low = [each for each in it.ground.fixed if each.base_mm > 0]
    top = low_top_mm(it.body, it.gear)
    if not low or top is None:
        return best
    job = search.job
    bare = replace(it.ground, fixed=tuple(each for each in it.ground.fixed if each not in low))
    way = Asker(bare, it.moving, it.start, it.goal, job.until, job.cancelled).goes(())
    if way.answer != "goes":
        return best
    met = [low[i] for i in in_the_way(it.moving, [each.outline for each in low], way.path)]
    about = search._situation(best.option.body, it.gear, it.route, it)
    rest = [p for p in best.parts if row_of(p).finding.rule != WAY.key]
    return replace(best, parts=(*rest, *(too_low(about, each, top) for each in met))) if met else best


def _too_wide(search: _Search, best: Worked) -> Worked:
    """Say of what the floor kernel refuses by how much it is too wide, and where: asked again of a smaller
    body.
    """
    from shopbins.moves.tolerance import Asker, lacking
    from shopbins.moves.ways_out import WAY

    it = best.attempt
    if it is None or it.verdict is not Verdict.NO or it.ground is None or it.start is None or it.goal is None:
        return best
    job = search.job
    job.say(f"{best.option.gear.name}: by how much does it not go")
    found = lacking(Asker(it.ground, it.moving, it.start, it.goal, job.until, job.cancelled))
    pair = None if found is None else nearest_pair(search.scene, replace(it, found=found))
    if found is None or pair is None:
        return best
    lacks = -2 * found.grown_mm

    def told(part: Part) -> Part:
        row = row_of(part)
        if row.finding.rule != WAY.key or part.verdict is not Verdict.NO:
            return part
        text = f"{part.text}; about {lacks:.0f} mm too wide, at {pair[1]}"
        ends = f"{lacks:.0f} mm less at {pair[1]}", "another way"
        offs = tuple(p.called for p in it.body.parts)
        finding = replace(row.finding, text=text, measured=lacks, limit=0.0, unit="mm")
        return replace(part, text=text, evidence=replace(row, finding=finding, ends=ends, offs=offs))

    return replace(best, parts=tuple(told(p) for p in best.parts))


def _goal(scene: Scene, zone_key: str, level: str, thing: Outline) -> tuple[Zone, Onto | None]:
    """Return the floor a move ends on, and the bench or shelf it is lifted onto from there."""
    goal = scene.zone(zone_key)
    if goal is None:
        raise NotMovable(f"the shop file has no place called '{zone_key}'")
    if goal.kind in ("floor", "room"):
        return goal, None
    there = goal.level(level)
    if there is None:
        raise NotMovable(
            f"which level of {goal.name}? ({', '.join(f'{goal.key}/{k}' for k in goal.level_keys)})"
        )
    onto = Onto(goal, there)
    before = floor_before(scene, onto, thing)
    if before is None:
        raise NotMovable(f"there is no floor of {goal.room} before {goal.name}")
    return before, onto


def _gears(scene: Scene, key: str | None) -> list[Gear]:
    every = [g for g in scene.shop.gear.values() if g.kind in CARRIES]
    if not every:
        raise NotMovable(
            "no truck or hoist is described yet: add yours on Move ('gear' in the menu of a)"
            " or in the shop file, as gear: {truck: {kind: pallet truck, capacity: 2 t}}"
        )
    if key is None:
        return every
    renamed = scene.shop.renamed.get(key, key)
    found = [g for g in every if g.key == renamed]
    found = found or [g for g in every if g.name.casefold() == key.casefold()]
    if len(found) != 1:
        raise NotMovable(
            f"the shop file has no gear called '{key}' to move on (it has {', '.join(g.key for g in every)})"
        )
    return found


def _best(
    search: _Search, gears: Sequence[Gear]
) -> tuple[Worked, dict[str, Worked], dict[str, list[Option]]]:
    """Work out options by the work they take at least, until none left could take less than the best.

    Returns the best, the best of each gear, and the options left of each.
    """
    job = search.job
    options = [o for g in gears for o in search.options(g)]
    options.sort(key=lambda o: (max(o.verdict, Verdict.ASKED), o.hung, o.minutes))
    best: Worked | None = None
    of_gear: dict[str, Worked] = {}
    goes_with: dict[tuple[str, float], Worked] = {}
    left: dict[str, list[Option]] = {}
    for (key, minutes), alike in itertools.groupby(options, key=lambda o: (o.gear.key, o.minutes)):
        sides = list(alike)
        goes = best is not None and best.verdict <= Verdict.ASKED
        hung = sides[0].hung
        dearer = goes and best is not None and (hung, minutes) >= (best.option.hung, best.minutes)
        firsts = [o for o in sides if not (o.answer.spare or o.answer.across or _settled(o, best))]
        if len(sides) > 1 and firsts and not dearer and not job.stop():
            job.say(f"{sides[0].gear.name}: from which side")
            first = search.first_side(firsts)
            sides.sort(key=lambda o: o is not first)
        for option in sides:
            same = goes_with.get((key, minutes))
            enough = same is not None and (same.settles or search.never_level(option))
            if option.answer.across:
                enough = not search.gains_across(option)
            spared = dearer or _settled(option, best) or enough or search.no_nearer(option)
            if best is not None and (spared or job.out_of_time(option.gear.name)):
                left.setdefault(key, []).append(option)
                continue
            if option.verdict is not Verdict.NO:
                job.say(f"{option.gear.name}: does it go")
            found = search.work(option)
            if found.verdict <= Verdict.ASKED and (same is None or found.on_its_gear < same.on_its_gear):
                goes_with[key, minutes] = found
            if key not in of_gear or found.on_its_gear < of_gear[key].on_its_gear:
                of_gear[key] = found
            best = min(of_gear.values(), key=lambda w: w.rank)
    assert best is not None
    return best, of_gear, left


def _settled(option: Option, best: Worked | None) -> bool:
    """Tell whether an option cannot be better than what was worked out, whatever its way."""
    return best is not None and max(option.verdict, Verdict.ASKED) > max(best.verdict, Verdict.ASKED)


def _side_by_side(
    gears: Sequence[Gear], of_gear: Mapping[str, Worked], left: Mapping[str, list[Option]], best: Worked
) -> list[Tried]:
    return [_tried(of_gear[g.key], best) if g.key in of_gear else _left(left[g.key][0], best) for g in gears]


def _tried(it: Worked, best: Worked) -> Tried:
    gear = it.option.gear
    route = () if it.attempt is None or it.attempt.route is None else it.attempt.route.doors
    margin = None if it.attempt is None else it.attempt.found.clearance_mm
    shift = None if it.attempt is None or it.attempt.shift is None else len(it.attempt.shift.items)
    off = tuple(p.called for p in it.option.body.off)
    why = reasons(it.parts, it.verdict) if it.verdict > Verdict.YES else ""
    if it is not best and it.verdict <= Verdict.ASKED:
        more = f"{it.minutes:.0f} min of work, {best.minutes:.0f} with {best.option.gear.name}"
        why = f"{more}; {why}" if why else more
    name = it.option.answer.shown
    return Tried(gear.key, name, it.verdict, why, margin, off, shift, route, it.minutes)


def reasons(parts: Iterable[Part], verdict: Verdict) -> str:
    """Say what of parts is of a verdict, each once: one question may stand open for several checks."""
    return "; ".join(dict.fromkeys(part.text for part in parts if part.verdict is verdict))


def _left(option: Option, best: Worked) -> Tried:
    gear = option.gear
    why = reasons(option.parts, option.verdict) if option.verdict > Verdict.ASKED else ""
    looked = option.verdict is Verdict.NO
    if not looked:
        more = f"at least {option.minutes:.0f} min of work, {best.minutes:.0f} as chosen"
        why = f"{why}; {more}" if why else more
    return Tried(gear.key, gear.name, option.verdict, why, minutes=option.minutes, looked=looked)


def _made(
    search: _Search,
    whole: Body,
    best: Worked,
    tried: Sequence[Tried],
    seconds: float,
    looking: Sequence[str],
) -> Plan:
    group, attempt = whole.group, best.attempt
    figures, lines = dict(best.figures), tuple[Outline, ...]()
    if attempt is not None and attempt.route is not None:
        about = search._situation(best.option.body, best.option.answer, attempt.route, attempt)
        lines = under_lines(replace(about, legs=best.legs))
        way = attempt.found.path, attempt.hull, lines
        figures |= beside(search.scene, group.id, attempt.route.rooms, *way)
    return Plan(
        answer=Answer(MOVE, best.parts),
        group=group.id,
        code=group.code,
        name=group.shown,
        place=search.goal.key,
        level=search.level,
        as_=search.as_,
        body=best.option.body,
        gear=best.option.answer,
        attempt=best.attempt,
        legs=best.legs,
        doors=_doors(search.scene, best.attempt),
        minutes=best.minutes,
        between=None if best.attempt is None else nearest_pair(search.scene, best.attempt),
        tried=tuple(tried),
        not_looked=tuple(search.job.missed),
        seq=search.scene.state.seq,
        seconds=seconds,
        looking=tuple(looking),
        onto=search.onto,
        figures=figures,
        lines=lines,
    )


def _doors(scene: Scene, it: Attempt | None) -> tuple[Door, ...]:
    return () if it is None or it.route is None else tuple(scene.shop.doors[key] for key in it.route.doors)
