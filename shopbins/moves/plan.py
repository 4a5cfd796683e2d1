"""The whole answer to 'does it go?': gear, route, what comes off first, what is shifted, what to watch.

Gear is tried in the order of the shop file, sets of parts off from the cheapest, routes from the shortest;
the first that goes even at the worst of the measuring ends the search. Nothing is ever called safe.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from shopbins.geometry.shapes import Pose
from shopbins.ledger.model import InZone
from shopbins.moves.attempt import Attempt, Job, Verdict, attempt
from shopbins.moves.body import As, Body, NotMovable, Projection, body, movable_whereabouts
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.gear import judge_gear
from shopbins.moves.headroom import too_low
from shopbins.moves.headroom import unknown as unknown_height
from shopbins.moves.offfirst import names, sets_of
from shopbins.moves.remainder import with_left
from shopbins.moves.route import Route, routes
from shopbins.moves.shiftlist import Shifted, off_the_way, shifted_scene
from shopbins.moves.telling import Told, told_of
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear, Zone

LONGEST_S = 90.0
RANK: dict[Verdict, int] = {"goes": 0, "goes, measure again": 1, "not decided": 2, "does not go": 3}


@dataclass(frozen=True, slots=True)
class Tried:
    """One gear and what came of it: the answer, why, and by how much; for standing side by side."""

    gear: str
    name: str
    verdict: Verdict
    reason: str
    margin_mm: float | None = None
    off_first: tuple[str, ...] = ()
    shifts: int | None = None
    route: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The answer. Poses are of the thing's reference point in the shop frame.

    `margin_mm` is the least clearance along the path; None where there is no path. `resting` says where parts
    taken off (by what they are called) may lie meanwhile. `tried` holds every gear
    judged, in the order tried. `seq` is the ledger's when it was worked out.
    """

    answer: Verdict
    reason: str
    group: str
    code: str
    name: str
    place: str
    level: str
    as_: As
    body: Body
    gear: GearAnswer | None
    attempt: Attempt | None
    off_first: tuple[Projection, ...]
    shift: tuple[Shifted, ...]
    path: tuple[Pose, ...]
    goal: Pose | None
    margin_mm: float | None
    told: Told
    tried: tuple[Tried, ...]
    resting: Mapping[str, InZone]
    seq: int
    seconds: float

    @property
    def route(self) -> tuple[str, ...]:
        """The doors, in order."""
        return () if self.attempt is None or self.attempt.route is None else self.attempt.route.doors

    @property
    def goes(self) -> bool:
        """Tell whether it goes, as measured at least."""
        return self.answer in ("goes", "goes, measure again")

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was found, worst first."""
        return self.told.findings

    def as_json(self) -> dict[str, Any]:
        """Return the answer as `shopbins move --json` prints it."""
        return {
            "answer": self.answer,
            "margin_mm": None if self.margin_mm is None else round(self.margin_mm, 1),
            "route": list(self.route),
            "gear": None if self.gear is None else self.gear.gear.key,
            "off_first": [part.called for part in self.off_first],
            "shift": [each.as_json() for each in self.shift],
            "tightest": self.told.tightest_json,
            "measure_again": list(self.told.measure_again),
            "findings": [each.as_json() for each in self.findings],
            "cautions": list(self.told.cautions),
        }


@dataclass(slots=True)
class _Search:
    """The search over gear, parts off and routes."""

    scene: Scene
    group_id: str
    goal: Zone
    as_: As
    base: bool
    job: Job
    measured_mm: float
    tried: list[Tried] = field(default_factory=list)

    def body_without(self, parts: Sequence[Projection]) -> Body:
        return body(self.scene, self.group_id, as_=self.as_, off=names(parts), base=self.base)

    def on(self, gear: Gear, whole: Body) -> Attempt:
        """Try one gear: sets of parts off, sides forks enter by, routes; the cheapest and shortest first."""
        best: Attempt | None = None
        hopeless = self._all_off(gear, whole)
        if hopeless is not None:
            return hopeless
        for parts in sets_of(whole.parts):
            it = self.body_without(parts)
            for answer in self._sides(gear, it):
                for route in self._routes(it):
                    if self.job.stop():
                        return best or Attempt("not decided", it, answer, reason="time was up")
                    tried = self._by(it, answer, route)
                    if tried.verdict == "goes":
                        return tried
                    if best is None or RANK[tried.verdict] < RANK[best.verdict]:
                        best = tried
                    if answer.answer in ("does not go", "not known"):
                        break
                if best is not None and best.verdict == "goes, measure again" and not parts:
                    continue
            if best is not None and best.verdict in ("goes, measure again", "not decided"):
                return best
        if best is None:
            it = whole
            best = Attempt("does not go", it, self._judge(gear, it), reason=self._no_route())
        return best

    def _all_off(self, gear: Gear, whole: Body) -> Attempt | None:
        """Return why a gear is out of the question even with everything off, None where it is not."""
        least = self.body_without(whole.parts)
        answers = self._sides(gear, least)
        if any(a.answer != "does not go" for a in answers):
            return None
        # With nothing off is what people ask about: say that reason.
        it = min(self._sides(gear, whole), key=lambda a: -_closeness(a))
        return Attempt("does not go", whole, it, reason=_gear_reason(it))

    def _by(self, it: Body, answer: GearAnswer, route: Route) -> Attempt:
        if answer.answer == "does not go":
            return Attempt("does not go", it, answer, route, reason=_gear_reason(answer))
        if answer.answer == "not known":
            return Attempt("not decided", it, answer, route, reason=_gear_reason(answer))
        done = attempt(self.job, it, answer, route)
        return _with_unknowns(self.scene, done)

    def _routes(self, it: Body) -> list[Route]:
        if it.room is None or it.pose is None:
            return []
        xs, ys = zip(*self.goal.outline, strict=True)
        to = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        return routes(self.scene.shop, it.room, self.goal.room, (it.pose.x_mm, it.pose.y_mm), to)

    def _no_route(self) -> str:
        return f"no door leads from where it stands to {self.goal.name} by rooms the shop file draws"

    def _judge(self, gear: Gear, it: Body) -> GearAnswer:
        load = it.load
        if gear.kind == "skates" and len(load.feet) < 3 <= len(load.jacking):
            load = replace(load, feet=())  # runners, not feet: skates go under the jacking points
        return judge_gear(gear, load, measured_mm=self.measured_mm, fall=self._fall(it))

    def _sides(self, gear: Gear, it: Body) -> list[GearAnswer]:
        """Judge a gear; forks from every side they go in, best first."""
        openings = it.load.met_by_forks()
        if gear.kind != "pallet truck" or len(openings) < 2:
            return [self._judge(gear, it)]
        fall = self._fall(it)
        found = [
            judge_gear(gear, it.load, opening=each, measured_mm=self.measured_mm, fall=fall)
            for each in openings
        ]
        good = [a for a in found if a.answer in ("goes", "goes, measure again")]
        return good or [max(found, key=_closeness)]

    def _fall(self, it: Body) -> float:
        """Return the steepest floor of any way there."""
        rooms = {room for route in self._routes(it) for room in route.rooms}
        slopes = (self.scene.shop.rooms[r].slope for r in rooms)
        return max((s.fall for s in slopes if s is not None), default=0.0)


def _closeness(answer: GearAnswer) -> float:
    margin = answer.margin_mm
    rank = {"goes": 3, "goes, measure again": 2, "not known": 1, "does not go": 0}[answer.answer]
    return rank * 1e6 + (margin if margin is not None else -1e5)


def _gear_reason(answer: GearAnswer) -> str:
    """Say why a gear does not do, or what is not known."""
    for judged in (answer.goes_under, answer.holds):
        if judged.answer == "no":
            return judged.why
    stop = next((f.text for f in answer.findings if f.grade == "stop"), "")
    if stop:
        return stop
    for judged in (answer.goes_under, answer.holds):
        if judged.answer == "not known":
            return judged.why
    return ""


def _with_unknowns(scene: Scene, it: Attempt) -> Attempt:
    """Make 'not decided' of what goes in plan where a height or sill is not known."""
    if it.verdict not in ("goes", "goes, measure again") or it.route is None:
        return it
    rooms = [scene.shop.rooms[key] for key in it.route.rooms]
    low = too_low(it.gear, rooms)
    if low:
        return replace(it, verdict="does not go", reason=low)
    not_known = unknown_height(it.gear, rooms)
    if not_known:
        return replace(it, verdict="not decided", reason=not_known)
    unknown = next((d for d in it.doors if "not known" in (d.height, d.sill)), None)
    if unknown is not None:
        what = "height" if unknown.height == "not known" else "sill under the wheels"
        return replace(it, verdict="not decided", reason=f"{what} of {unknown.door.name} is not judged")
    if it.verdict == "goes" and (it.gear.again or any(d.again for d in it.doors)):
        return replace(it, verdict="goes, measure again")
    return it


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
) -> Plan:
    """Return whether and how a group goes to a zone of a floor or room. `gear` is a key: only that one.

    Raises NotMovable where the question makes no sense (no size, no place, not a floor, no gear in the file).
    """
    began = time.perf_counter()
    goal = _goal(scene, zone_key)
    whole = body(scene, group_id, as_=as_, base=base)
    why = movable_whereabouts(whole)
    if why:
        raise NotMovable(why)
    day = today or date.today()
    say("what is found in the shop as it is")
    known = frozenset(f.id for f in audit(scene, day))
    measured = scene.shop.measured_mm
    job = Job(scene, goal, turn_deg, 2 * measured, known, began + at_most_s, cancelled, say)
    search = _Search(scene, group_id, goal, as_, base, job, measured)
    best = _best(search, whole, _gears(scene, gear))
    told = told_of(scene, best, goal, level, known, day, measured)
    verdict = best.verdict
    if verdict in ("goes", "goes, measure again") and told.forbids:
        best = replace(best, verdict="does not go", reason=told.forbids)
    elif verdict == "goes" and told.measure_again:
        best = replace(best, verdict="goes, measure again")
    return _made(scene, best, search, whole, goal, level, told, time.perf_counter() - began, as_)


def _goal(scene: Scene, zone_key: str) -> Zone:
    goal = scene.zone(zone_key)
    if goal is None:
        raise NotMovable(f"the shop file has no place called '{zone_key}'")
    if goal.kind not in ("floor", "room"):
        raise NotMovable(f"{goal.name} is a {goal.kind}: a move ends on a floor (put lays things on benches)")
    return goal


def _gears(scene: Scene, key: str | None) -> list[Gear]:
    every = scene.shop.gear
    if not every:
        raise NotMovable("the shop file has no moving gear (gear: {truck: {kind: pallet truck, ...}})")
    if key is None:
        return list(every.values())
    found = every.get(scene.shop.renamed.get(key, key))
    if found is None:
        by_name = [g for g in every.values() if g.name.casefold() == key.casefold()]
        if len(by_name) != 1:
            raise NotMovable(f"the shop file has no gear called '{key}' (it has {', '.join(every)})")
        found = by_name[0]
    return [found]


def _best(search: _Search, whole: Body, gears: Sequence[Gear]) -> Attempt:
    """Try gear in order until one goes; else the best answer there was."""
    best: Attempt | None = None
    for gear in gears:
        if search.job.stop() and best is not None:
            search.tried.append(Tried(gear.key, gear.name, "not decided", "not tried: time was up"))
            continue
        search.job.say(f"{gear.name}: does it take it")
        it = search.on(gear, whole)
        search.tried.append(_tried(it))
        if best is None or RANK[it.verdict] < RANK[best.verdict]:
            best = it
        if it.verdict == "goes":
            search.tried += [_only_judged(search, g, whole) for g in gears[len(search.tried) :]]
            break
    assert best is not None
    return best


def _tried(it: Attempt) -> Tried:
    off = tuple(p.called for p in it.body.off)
    route = () if it.route is None else it.route.doors
    margin = it.found.clearance_mm if it.verdict in ("goes", "goes, measure again") else None
    count = None if it.verdict not in ("goes", "goes, measure again") else len(_items(it))
    return Tried(it.gear.gear.key, it.gear.gear.name, it.verdict, it.reason, margin, off, count, route)


def _only_judged(search: _Search, gear: Gear, whole: Body) -> Tried:
    """Say of gear after the one that goes only whether it takes the thing at all."""
    answer = max(search._sides(gear, search.body_without(whole.parts)), key=_closeness)
    if answer.answer == "does not go":
        return Tried(gear.key, gear.name, "does not go", _gear_reason(answer))
    return Tried(
        gear.key, gear.name, "not decided", f"it takes it; its way was not looked at (--gear '{gear.key}')"
        if answer.answer != "not known" else _gear_reason(answer),
    )  # fmt: skip


def _items(it: Attempt) -> tuple[Shifted, ...]:
    return () if it.shift is None else it.shift.items


def _made(
    scene: Scene,
    best: Attempt,
    search: _Search,
    whole: Body,
    goal: Zone,
    level: str,
    told: Told,
    seconds: float,
    as_: As,
) -> Plan:
    goes = best.verdict in ("goes", "goes, measure again")
    group = whole.group
    return Plan(
        answer=best.verdict,
        reason=best.reason,
        group=group.id,
        code=group.code,
        name=group.shown,
        place=goal.key,
        level=level,
        as_=as_,
        body=best.body,
        gear=best.gear,
        attempt=best,
        off_first=best.body.off,
        shift=_items(best),
        path=best.found.path if goes or best.found.path else (),
        goal=best.goal,
        margin_mm=best.found.clearance_mm,
        told=told,
        tried=tuple(search.tried),
        resting=_resting(scene, best, search.job.known) if goes else {},
        seq=scene.state.seq,
        seconds=seconds,
    )


def _resting(scene: Scene, best: Attempt, known: frozenset[str]) -> dict[str, InZone]:
    """Return a place for each part with a tag that comes off, off the way, where the shop has one."""
    found: dict[str, InZone] = {}
    now = with_left(shifted_scene(scene, _items(best)), best.body)
    for part in best.body.off:
        if not part.group:
            continue
        where = off_the_way(now, part.group, best.hull, best.found.path, known)
        if where is not None:
            found[part.called] = where
            now = now.with_group_at(part.group, where)
    return found


def alternatives(tried: Sequence[Tried]) -> Iterator[str]:
    """Go through one line for each gear tried."""
    for each in tried:
        said = [f"{each.name}: {each.verdict}"]
        if each.margin_mm is not None:
            said.append(f"{each.margin_mm:.0f} mm to spare")
        if each.off_first:
            said.append(f"{len(each.off_first)} off first")
        if each.shifts:
            said.append(f"{each.shifts} to shift")
        if each.reason:
            said.append(each.reason)
        yield ", ".join(said)
