"""The search over gear, parts off, sides and routes: each way to try is judged whole."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from shopbins.answer import Accepted, Part, Verdict
from shopbins.geometry.shapes import Outline, Pose, bounds, placed
from shopbins.moves.attempt import Attempt, Job, cost_in_the_way, hull_of, turns_on_slopes
from shopbins.moves.beside import handle_reach, who_steers
from shopbins.moves.body import As, Body, Projection, body
from shopbins.moves.carriers import carried
from shopbins.moves.conditions import goal_subjects, with_acceptance
from shopbins.moves.criteria import judged
from shopbins.moves.finding import Row, row_of
from shopbins.moves.fitted import HOISTS, JACKED, GearAnswer
from shopbins.moves.gear import judge_sides
from shopbins.moves.heights import BAND
from shopbins.moves.hoisted import Lift
from shopbins.moves.layouts import with_laid
from shopbins.moves.legs import Leg, legs_of, turns_of
from shopbins.moves.offfirst import names, sets_of, top_first, with_what_rests
from shopbins.moves.onslopes import ROUND
from shopbins.moves.option import Option, Worked, by_its_spot, closeness, gave_up, with_off_words
from shopbins.moves.partsoff import parts_off
from shopbins.moves.plates import AT_PLATE
from shopbins.moves.pressing import BY_PLATE, COVER, covers_of
from shopbins.moves.restson import rests_on
from shopbins.moves.route import Route, routes
from shopbins.moves.shiftlist import shift_minutes
from shopbins.moves.situation import Onto, Situation, begins_on
from shopbins.moves.steered import turned_where_told
from shopbins.moves.trying import attempt
from shopbins.records.acts_move import on_gear
from shopbins.records.moving import moving_of
from shopbins.scene.scene import Scene
from shopbins.shop.figures import Moving
from shopbins.shop.model import Gear, Zone

NOT_AT_A_GLANCE = (True, math.inf)
"""What does not look as if it goes."""


@dataclass(slots=True)
class Search:
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
        """Our own figures, as this shop has them."""
        return self.scene.shop.limits.moving

    @property
    def on_gear(self) -> Mapping[str, Any] | None:
        """What was asked of the planned move at a halt of which it stands on its gear; None where none."""
        return on_gear(self.scene.state, self.group_id)

    # -- options --

    def options(self, gear: Gear) -> Iterator[Option]:
        """Go through the ways to try one gear, those of least work first; hopeless gear once, with the
        reason.
        """
        off_it = self.base and self._has_base() and gear.kind not in ("pallet truck", "by hand")
        bases = [True, False] if off_it else [self.base]
        if self.on_gear is not None and not self.on_gear["base"]:
            bases = [False]
        whole = self._body((), self.base)
        least = self._body(whole.parts, bases[-1])
        if all(o.verdict is Verdict.NO for o in self.sides_of(gear, least, 0.0)) and gear.kind != "by hand":
            yield max(self.sides_of(gear, whole, self._minutes(gear, whole)), key=closeness)
            return
        for base in bases:
            for parts in sets_of(whole.parts):
                it = self._body(parts, base)
                yield from self.sides_of(gear, it, self._minutes(gear, it))

    def _has_base(self) -> bool:
        told = moving_of(self.scene.group(self.group_id))
        return told.base is not None

    def _body(self, parts: Sequence[Projection], base: bool) -> Body:
        key = names(parts), base
        if key not in self.bodies:
            it = body(self.scene, self.group_id, as_=self.as_, off=key[0], base=base)
            self.bodies[key] = replace(it, off=tuple(top_first(it.off)))
        return self.bodies[key]

    def _minutes(self, gear: Gear, it: Body) -> float:
        """Return the work it takes at least: parts off and on, both ends lifted on and off, its base off."""
        parts = sum(p.cost for p in it.off)
        lifts = 4 * self.own["minutes lift"] if gear.kind in JACKED else 0.0
        hung = 2 * self.own["minutes lift"] if gear.kind in HOISTS else 0.0
        base = 4 * self.own["minutes lift"] if not it.base and self.base else 0.0
        on = self.on_gear
        if on is not None and on["gear"] != gear.key:  # off that first
            base += 2 * self.own["minutes lift"]
        elif on is not None and not on["base"]:  # off already
            base = 0.0
        return parts + lifts + hung + base

    def sides_of(self, gear: Gear, it: Body, minutes: float) -> list[Option]:
        """Judge a gear with what needs no way; forks from every side they go in."""
        key = gear.key, names(it.off), it.base
        if key not in self.sides:
            self.sides[key] = self._judged_sides(gear, it, minutes)
        on = (2 * (gear.kind in JACKED) + (gear.kind in HOISTS)) * self.own["minutes lift"]
        return [
            replace(each, minutes=minutes - on * begins_on(self.scene, it, each.answer))
            for each in self.sides[key]
        ]

    def _judged_sides(self, gear: Gear, it: Body, minutes: float) -> list[Option]:
        found = []
        for answer in judge_sides(gear, it.load, measured_mm=self.scene.shop.measured_mm, own=self.own):
            parts = tuple(judged(self.situation(it, answer, None), "gear"))
            found.append(Option(gear, it, answer, minutes, parts))
        begins = {id(o): begins_on(self.scene, it, o.answer) for o in found}
        return sorted(
            found, key=lambda o: (not begins[id(o)], o.answer.spare, o.answer.across, -closeness(o))
        )

    def situation(
        self, it: Body, answer: GearAnswer, route: Route | None, tried: Attempt | None = None
    ) -> Situation:
        """Return what criteria look at: a thing on gear by a route, along the way of an attempt if it found
        one, with what is laid for it.
        """
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

    def routes(self, option: Option) -> list[Route]:
        """Return the ways by doors from where a thing stands to the goal, the shortest first."""
        it, gear = option.body, option.answer
        if it.room is None or it.pose is None:
            return []
        to = bounds(self.goal.outline).middle
        on_it = begins_on(self.scene, it, gear)
        stands = placed(hull_of(it, gear) if on_it else it.outline, it.pose)
        return routes(self.scene.shop, it.room, self.goal.room, (it.pose.x_mm, it.pose.y_mm), to, stands)

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
        for route in self.routes(option)[:1]:
            tried = attempt(
                replace(self.job, bare=True), option.body, option.answer, route, (), self._steers(option)
            )
            it = self.situation(option.body, option.answer, route, tried)
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
        found, key = replace(self, job=job)._work(option), option.alike
        self.job.missed.update({with_off_words(text, option): None for text in job.missed})
        if key not in self.worked or found.on_its_gear < self.worked[key].on_its_gear:
            self.worked[key] = found
        return found

    def no_nearer(self, option: Option) -> bool:
        """Tell whether an option, like one that does not go in all but its side, does not go either, whatever
        its way: doors, sills, slopes or floors forbid it by every route.
        """
        worked = self.worked.get(option.alike)
        if worked is None or worked.verdict is not Verdict.NO:
            return False
        every = (self.situation(option.body, option.answer, route) for route in self.routes(option))
        return all(any(p.verdict is Verdict.NO for p in _on_any_way(it)) for it in every)

    def gains_across(self, option: Option) -> bool:
        """Tell whether gear set across has to be looked at: for what comes of it set along."""
        along = self.worked.get(option.alike)
        return along is None or along.gains_across

    def with_off(self, of: Worked, more: Sequence[Projection]) -> Worked | None:
        """Return what comes of the same gear with some parts more off, and what rests on them: as worked out
        before, else now; None where nobody waits for that any more.
        """
        body, gear = of.option.body, of.option.gear
        whole = self._body((), body.base)
        off = names(body.off) | names(with_what_rests(whole.parts, more))
        key = gear.key, off, body.base
        if key not in self.worked:
            if self.job.stop():
                return None
            less = self._body([p for p in whole.parts if p.called in off], body.base)
            sides = self.sides_of(gear, less, self._minutes(gear, less))
            across = of.option.answer.across
            search = replace(self, job=self.job.no_longer_than(REST_S))
            search.work(next((side for side in sides if side.answer.across == across), sides[0]))
        return self.worked[key]

    def _work(self, option: Option) -> Worked:
        """Work one option out: the shortest way by doors that goes, else the best there was."""
        if option.verdict is Verdict.NO:
            return Worked(option, None, option.parts, option.minutes)
        best: Worked | None = None
        for route in self.routes(option):
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

        it = self.situation(option.body, option.answer, None)
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
        it = self.situation(option.body, option.answer, route, tried)
        parts = [p for p in option.parts if not it.legs or row_of(p).finding.rule not in WITH_A_WAY]
        if it.legs:
            parts += [p for p in judged(it, "gear") if row_of(p).finding.rule in WITH_A_WAY]
        parts += judged(it, "way") if it.legs else without_way(it)
        minutes = option.minutes + self._more_minutes(option, tried, it)
        rests = rests_on(it)
        return Worked(
            option,
            tried,
            tuple(
                with_acceptance(p, goal_subjects(self.goal.key, self.onto), self.accepted, rests)
                for p in told_once(parts)
            ),
            minutes,
            it.legs,
            rests[1],
            turns_on_slopes(self.scene, tried, tried.found.path),
        )

    def _more_minutes(self, option: Option, tried: Attempt, it: Situation) -> float:
        shifting = shift_minutes(self.own, tried.shifted)
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


def without_way(it: Situation) -> Iterator[Part]:
    """Say what forbids where no way was found: heights and sills of doors, floors, and the way itself."""
    from shopbins.moves import room, ways_out

    forks = [p for p in room.forks_in(it) if p.verdict is Verdict.NO]
    yield from forks
    yield from _on_any_way(it)
    if not forks:  # else that is why no way was looked for
        yield from ways_out.way(it)


def _on_any_way(it: Situation) -> Iterator[Part]:
    """Say what of a route forbids, whatever the way along it: heights and sills of doors, slopes, floors."""
    from shopbins.moves import heights, onslopes, overedges, pressing

    yield from (p for p in heights.heights(it) if p.verdict in (Verdict.NO, Verdict.OPEN, Verdict.AGAIN))
    yield from (p for p in overedges.sills(it) if p.verdict is Verdict.NO)
    yield from (p for p in onslopes.slope_gear(it) if p.verdict >= Verdict.OPEN)
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
        if gave_up(part) and by_its_spot(row.finding):  # what spares the turn ends what it hangs on
            return replace(part, evidence=replace(row, ends=(*row.ends, *spares)))
        if row.finding.rule != ROUND.key:
            return part
        text = f"{row.finding.text}{more}"
        words = f"set round {often} times, {straight or 'none'} straight over covers"
        return replace(part, text=words, evidence=replace(row, finding=replace(row.finding, text=text)))

    return replace(around, parts=tuple(told(p) for p in around.parts))


def told_once(parts: Sequence[Part]) -> list[Part]:
    """Keep one part of one finding: the worst, of those alike the one of the worst figure told last."""
    kept: dict[str, Part] = {}
    for part in parts:
        key = row_of(part).finding.id
        if key not in kept or part.verdict > kept[key].verdict:
            kept[key] = part
    return list(kept.values())


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


REST_S = 20.0
"""How long gear that takes more work than the answer is looked at, each: own figure."""
