"""One attempt at a move: this thing on this gear, with these parts off, by these doors. Does it go?"""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Protocol

from shopbins.answer import Verdict
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import (
    FloorProblem,
    NoRoomAt,
    Outline,
    Point,
    Pose,
    WayEnd,
    bounds,
    contains,
    turn_between,
)
from shopbins.ledger.model import InZone
from shopbins.moves.beside import behind_forks
from shopbins.moves.body import Body
from shopbins.moves.fitted import HOISTS, JACKED, GearAnswer
from shopbins.moves.goal import goal_poses, goal_turns
from shopbins.moves.hoisted import Lift, No
from shopbins.moves.legs import legs_of, turns_of
from shopbins.moves.route import Ground, Route, ground, with_pits
from shopbins.moves.setround import met_on
from shopbins.moves.shiftlist import (
    SHIFTING,
    Shifted,
    ShiftList,
    costs,
    said_so_far,
    shift_list,
    shift_minutes,
    shifted_scene,
)
from shopbins.moves.steered import Axle, anyhow, axle_of, least_driven, steer, turned_where_told
from shopbins.moves.tolerance import Asker, Found, grown, lacks_little, widest
from shopbins.rules.finding import Finding
from shopbins.rules.slopes import is_steep
from shopbins.scene.scene import Scene
from shopbins.shop.model import Room, Zone
from shopbins.units import show_length

if TYPE_CHECKING:
    from shopbins.kernel.shift import SoFar
    from shopbins.rules.rule import Rule

SHIFT_S = 40.0
BESIDE_MM = 60.0
"""How far off the way shifted things lie where no person fits between, but the way has so much room."""
MOST_TRIES = 6


@dataclass(slots=True)
class Job:
    """What is asked: the scene, the goal, a turn there if it matters, how well was measured, and the time.

    `bare`: only how it goes were nothing loose on the floor; `proves`: only whether there is surely no way
    then. `shifts`: driven as on an empty floor, with what stands there shifted, though it would go round it.
    `stands`: only as all stands, nothing is shifted for it.
    `kept` holds what the kernel decided so far, `missed` names what was not looked at.
    """

    scene: Scene
    goal: Zone
    turn_deg: float | None
    slack_mm: float
    known: frozenset[str]
    until: float
    level: str = ""
    cancelled: Callable[[], bool] = lambda: False
    say: Callable[[str], None] = lambda _text: None
    bare: bool = False
    proves: bool = False
    shifts: bool = False
    stands: bool = False
    kept: dict[Any, Any] = field(default_factory=dict)
    missed: dict[str, None] = field(default_factory=dict)

    def out_of_time(self, what: str) -> bool:
        """Tell whether to stop, and if so note what is left out."""
        if self.stop():
            self.missed[f"{what}: time was up"] = None
            return True
        return False

    def no_longer_than(self, seconds: float) -> Job:
        """Return the same job, with less time for it where more is left."""
        return replace(self, until=min(self.until, time.perf_counter() + seconds))

    def stop(self) -> bool:
        """Tell whether time is up or nobody wants to know any more."""
        return self.cancelled() or time.perf_counter() > self.until


@dataclass(frozen=True, slots=True)
class Passes:
    """A part that goes over or under something on the way, with what is left between them at the least."""

    part: str
    name: str
    subject: str
    room: str
    over: bool
    at_mm: float
    free_mm: float


@dataclass(frozen=True, slots=True)
class Attempt:
    """What came of one attempt. `found` is the way, for the thing's own reference point; `ground` the floor
    as it is, `then` once all is shifted. `verdict` is the floor kernel's alone: YES sure, AGAIN within the
    measuring, OPEN not decided, NO. `resting` says where parts taken off lie meanwhile, None while not
    looked, `lifts` which hoist takes off what is beyond people; both by what a part is called. `passes` is
    what parts go over or under, where each was looked at by its own heights. `passed_over` says what spoke
    against spots of the goal that were looked at before this one. `over` names open pits that alone stand
    against it, as no gear that straddles them is looked at; a way found then goes over them.
    """

    verdict: Verdict
    body: Body
    gear: GearAnswer
    route: Route | None = None
    ground: Ground | None = None
    leaves_off: tuple[str, ...] = ()
    found: Found = field(default_factory=lambda: Found("not decided"))
    start: Pose | None = None
    goal: Pose | None = None
    shift: ShiftList | None = None
    reason: str = ""
    then: Ground | None = None
    resting: Mapping[str, InZone] | None = None
    lifts: Mapping[str, Lift | No] = field(default_factory=dict)
    steers: Outline = ()
    passes: tuple[Passes, ...] = ()
    passed_over: tuple[str, ...] = ()
    over: tuple[str, ...] = ()

    @property
    def hull(self) -> Outline:
        """The convex outline of thing and gear on the floor."""
        return hull_of(self.body, self.gear)

    @property
    def moving(self) -> Outline:
        """The convex outline of all that moves: thing, gear, and who steers if room was kept for them."""
        return convex_hull([*self.hull, *self.steers])

    @property
    def turned(self) -> Outline:
        """What that takes where straight gear is set round; () for no more."""
        round_it = [p for part in self.gear.set_round for p in part]
        return convex_hull([*self.moving, *round_it]) if round_it else ()

    @property
    def shifted(self) -> tuple[Shifted, ...]:
        """What is shifted, in order."""
        return () if self.shift is None else self.shift.items

    def measure(self, scene: Scene) -> tuple[str, ...]:
        """Name what to measure again where it goes or fails within the measuring, what is nearest first."""
        pair = nearest_pair(scene, self)
        if pair is not None and self.found.path:
            return f"the width of {pair[0]}", f"the way past {pair[1]}"
        doors = () if self.route is None else self.route.doors
        named = [f"clear width of {scene.shop.doors[key].name}" for key in doors]
        return f"the width of {self.body.group.shown}", *named


def hull_of(body: Body, gear: GearAnswer) -> Outline:
    """Return thing and gear as one convex outline."""
    return convex_hull([*gear.outline, *body.outline])


def low_top_mm(body: Body, gear: GearAnswer, within_mm: float = 0.0) -> float | None:
    """Return how high it surely reaches, set down where the gear lets it down and `within_mm` lower than
    measured; None: to the ceiling, or not known.

    How far it clears the floor is our own figure: what hangs lower than that is for the height's own check.
    """
    if gear.gear.kind in HOISTS:
        return gear.height_mm
    height, up = body.load.height_mm, gear.up_mm
    if height is None or up is None:
        return height
    return height + (up[0] if up[0] == up[1] else 0.0) - within_mm


MOST_SPOTS = 4


def spots(
    job: Job, base: Attempt, floor: Ground, hull: Outline, refused: Collection[Pose]
) -> Iterator[Pose | str]:
    """Go through spots of the goal that nothing speaks against, the roomiest first; a text says why not.

    A spot is refused where the audit would find a new stop with it there, or the forks cannot come out: of
    the first refused the worst is said. One of a room that leaves something to fix, like a way out narrowed,
    comes after all others there.
    """
    turns, jacked_round = goal_turns(job.goal, job.turn_deg), base.gear.steering == "axis"
    if base.start is not None and jacked_round:
        stood = base.start.turn_deg
        turns.sort(key=lambda turn: round(abs(turn_between(stood, turn)), 3))
    slopes, line = slopes_at_goal(base, job.goal), _in_line(base, hull)
    straight = line if slopes or jacked_round else None
    good, last, seen, said = 0, list[tuple[int, Pose]](), set(refused), False

    def every(turns: Sequence[float], line: Point | None, *, more: bool) -> Iterator[Pose]:
        return goal_poses(
            floor, job.goal, base.body.outline, hull, turns, job.slack_mm, more=more, kept=job.kept,
            in_line=line,
        )  # fmt: skip

    total = 0

    def offered() -> Iterator[Pose]:
        nonlocal total
        if refused and base.gear.gear.kind in JACKED:  # where a jack finds no room, farther back it may
            yield from itertools.islice(every([next(iter(refused)).turn_deg], line, more=True), LOOKED_BACK)
        if jacked_round:  # one spot of each turn first: another may spare it being set round
            each = [every([turn], straight, more=False) for turn in turns]
            yield from (goal for some in itertools.zip_longest(*each) for goal in some if goal is not None)
        else:
            yield from every(turns, straight, more=False)
        if slopes or refused:  # on a slope another spot may spare it a turn
            yield from every(turns, line, more=True)
        elif not good:
            others = [goal for goal in dict.fromkeys(every(turns, line, more=True)) if goal not in seen]
            total = len(seen) + len(others)
            yield from others

    for goal in offered():
        if job.out_of_time(f"{base.gear.gear.name}: more spots in {job.goal.name}"):
            return
        if goal in seen:
            continue
        if total and not good and time.perf_counter() > job.kept.get("said", 0.0) + SAID_EACH_S:
            job.kept["said"] = time.perf_counter()
            of = f"{len(seen)} of {total} spots of {job.goal.name} looked at"
            job.say(f"{base.gear.gear.name}: {of}, none of them does")
        seen.add(goal)
        why = against(job, base, goal, worst=not said)
        said = said or bool(why)
        anywhere = job.goal.kind == "room" and not why
        left = [f.text for f in new_at(job, base, goal) if f.grade == "correct"] if anywhere else []
        if left:
            last.append((len(left), goal))
        good += not (why or left)
        yield why or "; ".join(left) or goal
    yield from (goal for _, goal in sorted(last, key=lambda each: each[0]))


SAID_EACH_S = 0.1
"""So often it is said how many spots were looked at while none does."""
LOOKED_BACK = 2
"""So many spots in line with where it comes from are looked at first where one was refused: own figure."""


def slopes_at_goal(base: Attempt, goal: Zone) -> bool:
    """Tell whether the floor of a goal slopes."""
    middle = bounds(goal.outline).middle
    return base.ground is not None and any(contains(area, middle) for area, _ in base.ground.slopes)


def _in_line(base: Attempt, hull: Outline) -> Point | None:
    """Return the row and column that it comes straight in by: those of its start, where these lead through
    the last door, else those nearest to the middle of that door.
    """
    from shopbins.moves.lattice import GRIDS_MM

    start, ground = base.start, base.ground
    if start is None or ground is None:
        return None
    if not ground.route.doors:
        return start.x_mm, start.y_mm
    door = bounds(ground.outlines[-1])
    half = min(bounds(hull).wide_mm, bounds(hull).deep_mm) / 2

    def near(at: float, low: float, high: float) -> float:
        if low + half <= at <= high - half:
            return at
        return at + round(((low + high) / 2 - at) / GRIDS_MM[0]) * GRIDS_MM[0]

    return near(start.x_mm, door.left, door.right), near(start.y_mm, door.bottom, door.top)


def against(job: Job, base: Attempt, goal: Pose, *, worst: bool = False) -> str:
    """Say what speaks against a spot: a stop of the audit with it there, or forks that cannot come out; ''
    where nothing does. Of several stops the first found is said, which is quick, or the `worst`.
    """
    shut = forks_shut_in(job, base, goal)
    if shut:
        return f"the forks need {shut}"
    first = _first_stop(job, base, goal)
    if not (first and worst):
        return first
    return next((found.text for found in new_at(job, base, goal) if found.grade == "stop"), first)


def _first_stop(job: Job, base: Attempt, goal: Pose) -> str:
    """Say the first new stop found with the thing at a spot, were all shifted that can be; '' where none is.

    The rule that refused the last spot is asked first: of one goal most spots are refused alike.
    """
    from shopbins.moves.remainder import with_left
    from shopbins.placing.judging import found_by, placement
    from shopbins.rules.registry import RULES
    from shopbins.rules.ways import shut_by

    rules: list[Rule] = job.kept.setdefault("rules", list(RULES))
    heeded = _heeded(job, base)
    key = "first stop", goal, tuple(p.called for p in base.body.off), base.body.base, heeded.shiftable
    if key in job.kept:
        return str(job.kept[key])

    def stops() -> Iterator[str]:
        there = placement(with_left(job.scene, base.body), base.body.group.id, _where(job, base, goal))
        if there.body is not None:
            ways = shut_by(there.scene, there.body)
            ways = (way for way in ways if heeded.is_new(f"walkway:{way.key}"))
            yield from (f"it narrows {way.name} too far" for way in ways)
        for rule in rules:
            for found in found_by(rule, there):
                if found.grade == "stop" and heeded.counts(found):
                    rules.remove(rule)
                    rules.insert(0, rule)
                    yield found.text
                    return
        if job.goal.kind == "room":
            yield from (f.text for f in new_at(job, base, goal) if f.grade == "stop")

    job.kept[key] = next(stops(), "")
    return str(job.kept[key])


def _where(job: Job, base: Attempt, goal: Pose) -> InZone:
    """Return where a thing is on record once it, less what is off, stands at a spot of the goal."""
    from shopbins.moves.remainder import left_of, moved_reference
    from shopbins.moves.where import where_at

    return where_at(job.goal, job.level, moved_reference(goal, left_of(base.body).middle_mm))


@dataclass(frozen=True, slots=True)
class _Heeded:
    """Which findings at a spot count: those newly found there, of what cannot be shifted."""

    known: frozenset[str]
    shiftable: frozenset[str]
    own: frozenset[str]

    def counts(self, found: Finding) -> bool:
        """Tell whether a finding counts."""
        return found.id not in self.known and not (set(found.subjects) - self.own) & self.shiftable

    def is_new(self, subject: str) -> bool:
        """Tell whether nothing was found before of the thing and this."""
        return not any(subject in known and any(tag in known for tag in self.own) for known in self.known)


def _heeded(job: Job, base: Attempt) -> _Heeded:
    things = () if base.ground is None else base.ground.things
    return _Heeded(job.known, frozenset(t.tag for t in things), frozenset(_own_tags(base.body)))


def new_at(job: Job, base: Attempt, goal: Pose) -> Iterator[Finding]:
    """Go through what is newly found with the thing at a spot, were all shifted that can be, the worst first;
    ways out, which take longest, last.
    """
    body, heeded = base.body, _heeded(job, base)
    where = _where(job, base, goal)
    for find in (_by_placing, _ways_out) if job.goal.kind == "room" else (_by_placing,):
        key = find, goal, tuple(p.called for p in body.off), body.base
        if key not in job.kept:
            job.kept[key] = find(job.scene, body, where)
        yield from (found for found in job.kept[key] if heeded.counts(found))


def _by_placing(scene: Scene, body: Body, where: InZone) -> Sequence[Finding]:
    from shopbins.moves.remainder import with_left
    from shopbins.placing.judging import judge

    return judge(with_left(scene, body), body.group.id, where)


def _ways_out(scene: Scene, body: Body, where: InZone) -> Sequence[Finding]:
    from shopbins.moves.remainder import with_left
    from shopbins.rules import wayout

    now = with_left(scene, body)
    return tuple(wayout.caused(now, now.with_group_at(body.group.id, where), _own_tags(body)))


def _own_tags(body: Body) -> set[str]:
    return {f"group:{body.group.code}", f"group:{body.group.id}"}


def forks_shut_in(job: Job, base: Attempt, pose: Pose) -> str:
    """Say what forks lack to go in or come out, were all shifted that can be; '' where they lack nothing."""
    if base.ground is None:
        return ""
    bare, own = replace(base.ground, things=()), job.scene.shop.limits.moving
    behind = behind_forks(base.gear, base.body.load, bare, pose, own)
    if behind is None:
        return ""
    need, free = behind
    if free >= need - job.slack_mm:
        return ""
    return f"{show_length(need)} straight behind it, {show_length(free)} is free"


def to_goal(job: Job, base: Attempt, ask: Asker) -> Attempt:
    """Try one goal: with nothing loose on the floor first, which settles most; then with all there."""
    empty = ask.goes_at_all((), job.slack_mm) if job.proves else _on_an_empty_floor(job, base, ask)
    if empty.answer != "goes":
        verdict = Verdict.NO if empty.answer == "does not go" else Verdict.OPEN
        if verdict is Verdict.NO and lacks_little(ask, (), job.slack_mm):
            verdict = Verdict.AGAIN
        return replace(base, verdict=verdict, found=empty, reason=_why_not(job.scene, base, empty))
    if job.proves:  # it goes turned anyhow: then no gear is proved not to
        return replace(base, verdict=Verdict.YES, found=empty)
    if job.bare:
        return _finished(job, base, ask, replace(empty, grown_mm=job.slack_mm), (), None)
    if job.shifts:
        return _driven(job, base, ask) or replace(base, reason="what stands in its way is too much to shift")
    job.say(f"{base.gear.gear.name}: it gets through; with everything where it stands")
    steered = axle_of(base.gear) is not None
    clear = _as_it_stands(job, base, ask)
    if clear is not None and (_good(job, clear) or (clear.verdict is Verdict.NO and not steered)):
        return clear
    if clear is None and (nowhere := _nowhere_driven(job, base, ask)):
        return nowhere
    if job.stands:
        gear = base.gear.gear.name
        job.missed[f"{gear}: what has to be shifted for it, as it takes more work (--gear tells)"] = None
        why = f"as all stands no way was found on {gear}, and what to shift was not looked for"
        return clear or replace(base, verdict=Verdict.OPEN, reason=why)
    shifted = _driven(job, base, ask) or _shifting(job, base, ask)
    if shifted.verdict is Verdict.YES and (clear is None or _good(job, shifted)):
        return shifted
    if steered and clear is None:
        clear = _as_it_stands(job, base, ask, finer=True)
    return clear or shifted


def _on_an_empty_floor(job: Job, base: Attempt, ask: Asker) -> Found:
    """Ask whether it goes were nothing loose there: driven at once where it is steered, else any way."""
    axle = axle_of(base.gear)
    if axle is not None:
        found = steer(ask, axle, (), job.slack_mm, quick=True)
        return found if found.answer == "goes" else ask.goes_at_all((), job.slack_mm)
    return ask.goes((), 0.0)


def _as_it_stands(job: Job, base: Attempt, ask: Asker, *, finer: bool = False) -> Attempt | None:
    """Go among everything where it stands; None where no such way was found.

    Steered gear is driven there at once: whether a thing that turns anyhow would go says nothing about it.
    `finer` looks for its way on the finer lattice, and as measured.
    """
    assert base.ground is not None
    things, axle = base.ground.loose, axle_of(base.gear)
    if axle is None:
        found = _on_the_level(job, base, ask, widest(ask, things, job.slack_mm), things)
    else:
        found = steer(ask, axle, things, job.slack_mm, quick=not finer)
        if finer and found.answer != "goes":
            found = steer(ask, axle, things, 0.0)
    return placed(job, base, ask, found, None) if found.answer == "goes" else None


def _on_the_level(job: Job, base: Attempt, ask: Asker, found: Found, things: Sequence[Outline]) -> Found:
    """Return a way of straight legs that turns it less on slopes than the one found, or as little and goes
    over sills square, where there is one.
    """
    lacks = unlike_wanted(job.scene, base, found.path)
    if lacks == AS_WANTED or not turned_where_told(base.gear):
        return found
    job.say(f"{base.gear.gear.name}: turning it on the level")
    axle = anyhow(base.gear)
    other = steer(ask, axle, things, found.grown_mm)
    better = other.answer == "goes" and unlike_wanted(job.scene, base, other.path) < lacks
    return other if better else found


Lacks = tuple[float, bool, int]
"""How far a way turns on slopes where that counts as a turn, whether it goes over a sill askew or turns
there, and how often straight gear is set round on it.
"""


def unlike_wanted(scene: Scene, base: Attempt, path: Sequence[Pose]) -> Lacks:
    """Return what a way lacks of one that turns on no slope, goes over sills square and is not set round."""
    return _turned_on_slopes(scene, base, path), _askew(base, path), _set_round(scene, base, path)


AS_WANTED: Lacks = (0.0, False, 0)


def _set_round(scene: Scene, base: Attempt, path: Sequence[Pose]) -> int:
    if base.gear.steering != "axis" or base.route is None or not path:
        return 0
    return len(turns_of(legs_of(scene, path, base.route.rooms)))


def more_work(job: Job, tried: Attempt, lacks: Lacks) -> tuple[float, bool, float]:
    """Return what to choose a spot by: what its way `lacks`, and the minutes it is set round and shifts."""
    own = job.scene.shop.limits.moving
    round_min = 8 * lacks[2] * own["minutes lift"] if tried.gear.gear.kind in JACKED else 0.0
    return lacks[0], lacks[1], round_min + shift_minutes(own, tried.shifted)


def never_better(job: Job, base: Attempt, ask: Asker, lacks: Lacks) -> bool:
    """Tell whether a way to a goal turns it on a slope, goes askew over a sill, or is set round, as does one
    that lacks so much, were nothing loose there: what stands about spares it no turn. How far it turns on a
    slope is all one.
    """
    axle = axle_of(base.gear)
    if axle is None or not turned_where_told(base.gear) or lacks == AS_WANTED:
        return False
    empty = steer(ask, axle, (), job.slack_mm, quick=True)
    turned, askew, often = unlike_wanted(job.scene, base, empty.path)
    return empty.answer == "goes" and (turned > 0.0, askew, often) >= (lacks[0] > 0.0, lacks[1], lacks[2])


def _askew(base: Attempt, path: Sequence[Pose]) -> bool:
    """Tell whether wheels go over a sill other than square or turn at it, out to where ramps at it end."""
    import shapely

    from shopbins.kernel.swept import met

    steps = () if base.ground is None else base.ground.steps
    wheels = base.gear.rolls_on
    sills = [
        (step, bounds(step.outline), shapely.Polygon(step.outline))
        for step in steps
        if step.along_deg is not None and wheels
    ]
    reach = 1.01 * max((math.hypot(*point) for point in wheels), default=0.0)  # turned it bows out less
    for a, b in itertools.pairwise(path):
        x, y = b.x_mm - a.x_mm, b.y_mm - a.y_mm
        turns = abs(b.turn_deg - a.turn_deg) >= 0.01
        if not turns and math.hypot(x, y) < 1.0:
            continue
        heading = math.degrees(math.atan2(y, x))
        askew = [
            sill
            for step, box, sill in sills
            if (turns or not step.square(heading))
            and min(a.x_mm, b.x_mm) - reach <= box.right
            and max(a.x_mm, b.x_mm) + reach >= box.left
            and min(a.y_mm, b.y_mm) - reach <= box.top
            and max(a.y_mm, b.y_mm) + reach >= box.bottom
        ]
        if met(wheels, (a, b), askew):
            return True
    return False


def _turned_on_slopes(scene: Scene, base: Attempt, path: Sequence[Pose]) -> float:
    """Return how far a thing turns on a sloping floor at the most, in degrees, doorways with the room before
    them; 0 where that does not count as a turn.
    """
    if base.route is None or base.ground is None or not base.ground.slopes:
        return 0.0
    legs = legs_of(scene, path, base.route.rooms)
    steep = {leg.room.key: leg.room for leg in legs if is_steep(leg.slope)}
    on_each = ([t for leg in legs if leg.room.key == key for t in leg.turned_deg] for key in steep)
    turned = max((max(turns) - min(turns) for turns in on_each), default=0.0)
    return turned if turned > scene.shop.limits.moving["turn on slope"] else 0.0


def turns_on_slopes(scene: Scene, base: Attempt, path: Sequence[Pose]) -> bool:
    """Tell whether a thing turns on a sloping floor by more than what counts as a turn there."""
    return _turned_on_slopes(scene, base, path) > 0.0


def _nowhere_driven(job: Job, base: Attempt, ask: Asker) -> Attempt | None:
    """Return that no way of a steered gear was found where nothing loose stands: then what to shift is no
    question. None where one was, or it is not steered.
    """
    axle = axle_of(base.gear)
    if axle is None:
        return None
    for grown_mm in (job.slack_mm, 0.0):
        found = steer(ask, axle, (), grown_mm)
        if found.answer == "goes":
            return None
    return _not_driven(job, base, found)


def _not_driven(job: Job, base: Attempt, found: Found) -> Attempt:
    verdict = Verdict.NO if found.answer == "does not go" else Verdict.OPEN
    return replace(base, verdict=verdict, found=found, reason=_why_not(job.scene, base, found))


def _driven(job: Job, base: Attempt, ask: Asker) -> Attempt | None:
    """Drive a steered gear as on an empty floor and shift what stands there, where that is little.

    Not certain to be the least; None where it is not steered, finds no way, or too much stands in it.
    """
    axle = axle_of(base.gear)
    assert base.ground is not None
    if axle is None:
        return None
    empty = steer(ask, axle, (), job.slack_mm)
    if empty.answer != "goes":
        return None
    things = base.ground.loose
    in_way = in_the_way(*ask.as_large(job.slack_mm), things, empty.path)
    if len(in_way) > LITTLE:
        return None
    left = [o for i, o in enumerate(things) if i not in in_way]
    done = placed(job, base, ask, ask.measured(empty.path, left, job.slack_mm), in_way)
    return done if _good(job, done) else None


def in_the_way(hull: Outline, turned: Outline, things: Sequence[Outline], path: Sequence[Pose]) -> list[int]:
    """Return the places of things that a body on its way does not surely miss; it takes `turned` where it
    turns, () for no more.
    """
    import shapely

    return met_on(hull, turned, path, [shapely.Polygon(o) for o in things])


def cost_in_the_way(scene: Scene, it: Attempt) -> float:
    """Return what it costs to shift all loose things that its way does not surely miss."""
    assert it.ground is not None
    paid = costs(scene, it.ground.things)
    return sum(paid[i] for i in in_the_way(it.moving, it.turned, it.ground.loose, it.found.path))


LITTLE = 4
"""So many things in a steered gear's way are shifted without asking which fewer would do."""


def _why_not(scene: Scene, base: Attempt, found: Found) -> str:
    it = f"{base.body.group.shown} on {base.gear.gear.name}"
    if found.answer == "not decided":
        return f"{it}: {found.reason}"
    if found.no_room is not None:
        return f"{it} has no room {_no_room_words(scene, base, found.no_room)}"
    if base.route is not None and base.route.doors:
        return f"{it} does not get through, whatever is shifted: {found.reason}"
    return f"{it}: {found.reason}, whatever is shifted"


def _no_room_words(scene: Scene, base: Attempt, problem: NoRoomAt) -> str:
    """Say at which end of its way, and by name what it overlaps there."""
    where = "where it stands" if problem.end is WayEnd.START else "where it is to stand"
    if not problem.by or base.ground is None:
        return f"{where}: {problem.why}"
    kind, _, number = problem.by.partition(" ")
    if kind == "hole":
        by = _hole(scene, base.ground, int(number))
    else:
        by = base.ground.things[int(number)].name if kind == "thing" else "a wall"
    return f"{where}: it overlaps {by}"


def _shifting(job: Job, base: Attempt, ask: Asker) -> Attempt:
    """Find the least to shift, for the worst of the measuring first, then as measured."""
    assert base.ground is not None
    things, axle = base.ground.loose, axle_of(base.gear)
    if axle is not None and axle.radius_mm == 0.0:
        return _shifting_driven(job, base, ask, axle)
    from shopbins.kernel.goes_answer import DOES_NOT_GO
    from shopbins.kernel.shift import shift_with

    paid = costs(job.scene, base.ground.things)
    reason, verdict = "", Verdict.OPEN

    def told(so_far: SoFar) -> None:
        job.say(f"{base.gear.gear.name}: {said_so_far(paid, so_far.cost_at_least, so_far.shift)}")

    for more in (job.slack_mm, 0.0):
        verdict = Verdict.OPEN
        job.say(f"{base.gear.gear.name}: {SHIFTING}")
        try:
            least = shift_with(
                ask.planner(more),
                things,
                ask.start,
                ask.goal,
                paid,
                time_limit_s=min(SHIFT_S, ask.left_s()),
                cancelled=job.cancelled,
                told=told,
                unproved=axle is not None,
            )
        except FloorProblem as problem:
            reason, verdict = str(problem), Verdict.OPEN
            if isinstance(problem, NoRoomAt):
                reason = f"no room {_no_room_words(job.scene, base, problem)}"
                verdict = Verdict.NO
            continue
        if least.shift is None:
            reason = least.reason or least.answer
            verdict = Verdict.NO if least.answer == DOES_NOT_GO else Verdict.OPEN
            continue
        left = [o for i, o in enumerate(things) if i not in least.shift]
        if axle is not None:
            return _driven_round(job, base, ask, axle, least.shift, left)
        found = _on_the_level(job, base, ask, widest(ask, left, more), left)
        if found.answer != "goes":
            reason = found.reason
            continue
        return placed(job, base, ask, found, least.shift)
    return replace(base, verdict=verdict, reason=f"{base.body.group.shown}: {reason}")


def _shifting_driven(job: Job, base: Attempt, ask: Asker, axle: Axle) -> Attempt:
    """Shift the least that stands in every way of gear that turns about its axle; of a body as large as goes
    there were nothing loose on the floor.
    """
    assert base.ground is not None
    things, shift = base.ground.loose, tuple[int, ...]()
    for more in (job.slack_mm, 0.0) if things else ():
        if steer(ask, axle, (), more).answer == "goes":
            job.say(f"{base.gear.gear.name}: {SHIFTING}")
            shift = least_driven(ask, axle, things, more, costs(job.scene, base.ground.things)) or ()
            job.say(f"{base.gear.gear.name}: at least {len(shift)} to shift")
            break
    left = [o for i, o in enumerate(things) if i not in shift]
    return _driven_round(job, base, ask, axle, shift, left)


def _driven_round(
    job: Job, base: Attempt, ask: Asker, axle: Axle, shift: Sequence[int], left: Sequence[Outline]
) -> Attempt:
    """Drive a steered gear once the least is shifted; shift more where that leaves it no sure way."""
    job.say(f"{base.gear.gear.name}: steered, turning no tighter than it can")
    way = steer(ask, axle, left, job.slack_mm)
    if way.answer == "goes" and _above(job, base, way):
        done = placed(job, base, ask, way, shift)
        if done.verdict is Verdict.YES:
            return done
    roomier = _more_room(job, base, ask, axle, shift)
    if roomier is not None:
        return roomier
    if way.answer != "goes":
        way = steer(ask, axle, left, 0.0)
    if way.answer == "goes":
        return placed(job, base, ask, way, shift)
    return _not_driven(job, base, way)


def _more_room(job: Job, base: Attempt, ask: Asker, axle: Axle, shift: Sequence[int]) -> Attempt | None:
    """Shift one thing more, else all, that stand where a steered gear would go on an empty floor.

    None where that does not make it sure, with who steers above the load. Not certain to be the least.
    """
    assert base.ground is not None
    things = base.ground.loose
    empty = steer(ask, axle, (), job.slack_mm)
    if empty.answer != "goes":
        return None
    met = in_the_way(*ask.as_large(job.slack_mm), things, empty.path)
    in_way = [i for i in met if i not in shift]
    paid = costs(job.scene, base.ground.things)
    wedging = _wedging(base.ground, shift)
    in_way = sorted({*in_way, *wedging}, key=lambda i: (i not in wedging, paid[i], i))
    tries = [*([i] for i in in_way[: MOST_TRIES - 1]), in_way] if len(in_way) > 1 else [in_way]
    for more in tries:
        if job.out_of_time(f"{base.gear.gear.name}: what else might be shifted"):
            return None
        every = (*shift, *more)
        left = [o for i, o in enumerate(things) if i not in every]
        way = steer(ask, axle, left, job.slack_mm)
        if way.answer != "goes" or not _above(job, base, way):
            continue
        done = placed(job, base, ask, way, every)
        if done.verdict is Verdict.YES:
            return done
    return None


def _good(job: Job, it: Attempt) -> bool:
    """Tell whether it surely goes, and who steers a truck is nowhere straight below it on a slope."""
    return it.verdict is Verdict.YES and _above(job, it, it.found)


def _above(job: Job, it: Attempt, found: Found) -> bool:
    if it.ground is None or it.gear.gear.kind != "pallet truck":
        return True
    aside = job.scene.shop.limits.moving["handle aside"]
    for area, towards_deg in it.ground.slopes:
        for pose in found.path:
            off = turn_between(pose.turn_deg + it.gear.axis_deg + 180.0, towards_deg)
            if abs(off) < aside and contains(area, (pose.x_mm, pose.y_mm)):
                return False
    return True


def _finished(
    job: Job,
    base: Attempt,
    ask: Asker,
    found: Found,
    left: Sequence[Outline],
    shift: Sequence[int] | None,
) -> Attempt:
    """Steer the way if the gear needs it, place what is shifted, and say how surely it goes."""
    axle = axle_of(base.gear)
    if axle is not None:
        job.say(f"{base.gear.gear.name}: steered, turning no tighter than it can")
        found = _steered(job, ask, axle, found, left)
        if found.answer != "goes":
            return _not_driven(job, base, found)
    return placed(job, base, ask, found, shift)


class Measures(Protocol):
    """What measures a way again among what then stands there."""

    def measured(self, path: Sequence[Pose], things: Sequence[Outline], grown_mm: float = 0.0) -> Found:
        """Return the way with its clearance and what is nearest."""
        ...


def placed(job: Job, base: Attempt, ask: Measures, found: Found, shift: Sequence[int] | None) -> Attempt:
    """Place what is shifted, and say how surely it goes."""
    shifted = None
    then = base.ground
    if shift:
        job.say(f"{base.gear.gear.name}: where to shift {len(shift)} things")
        shifted = _places(job, base, found, shift)
        if shifted.no_place:
            words = "; ".join(shifted.no_place)
            return replace(
                base, verdict=Verdict.OPEN, found=found, shift=shifted, reason=f"no place found for {words}"
            )
        then = floor_once_shifted(job, base, shifted.items)
        found = _measured_again(ask, found, then)
    sure = found.clearance_mm is not None and (
        found.grown_mm >= job.slack_mm or found.clearance_mm >= job.slack_mm
    )
    verdict = Verdict.YES if sure else Verdict.AGAIN
    return replace(base, verdict=verdict, found=found, shift=shifted, then=then)


def _places(job: Job, base: Attempt, found: Found, shift: Sequence[int]) -> ShiftList:
    """Place what is shifted so that a person fits between it and the way, else well off it, else just."""
    assert base.ground is not None
    roomy = max(job.slack_mm, min(BESIDE_MM, found.clearance_mm or 0.0))
    beside = max(roomy, job.scene.shop.limits.moving["person"])
    made = None
    for more in dict.fromkeys((beside, roomy, job.slack_mm)):
        made = shift_list(
            job.scene,
            with_pits(job.scene.shop, base.ground),
            grown(base.turned or base.moving, more),
            found.path,
            shift,
            kept=(job.goal.outline,) if job.goal.kind == "floor" else (),
            known=job.known,
            stop=job.stop,
            standing=base.body.outline,
        )
        if not made.no_place and not any(each.findings for each in made.items):
            break
        if made.no_place and _wedging(base.ground, shift):
            break  # what is wedged in goes nowhere, however little room is left
    assert made is not None
    return made


def _wedging(ground: Ground, shift: Sequence[int]) -> set[int]:
    """Return what stays and overlaps, as measured, a thing that is to be shifted: it would have to go too."""
    import shapely

    outlines = [shapely.Polygon(o) for o in ground.loose]
    stays = [i for i in range(len(outlines)) if i not in shift]
    return {i for i in stays if any(outlines[i].intersection(outlines[k]).area > 1.0 for k in shift)}


def floor_once_shifted(job: Job, it: Attempt, items: Sequence[Shifted]) -> Ground:
    """Return the floor of the thing's way once all is shifted."""
    assert it.route is not None
    floor = ground(
        shifted_scene(job.scene, items),
        it.route,
        f"group:{it.body.group.id}",
        low_top_mm(it.body, it.gear, job.slack_mm),
        leaves_off=it.leaves_off,
        along=set(it.body.along),
        goal=job.goal.outline,
    )
    return floor if it.ground is None else replace(floor, avoided=it.ground.avoided)


def _measured_again(ask: Measures, found: Found, then: Ground) -> Found:
    """Return the way measured again among what then stands there."""
    again = ask.measured(found.path, then.loose, found.grown_mm)
    if again.clearance_mm is not None and found.clearance_mm is not None:
        least = min(again.clearance_mm, found.clearance_mm)
        again = replace(again, clearance_mm=least)
    return again


def _steered(job: Job, ask: Asker, axle: Axle, free: Found, left: Sequence[Outline]) -> Found:
    """Return the way on a steered gear, of the body grown if there is one."""
    for more in dict.fromkeys((min(free.grown_mm, job.slack_mm), 0.0)):
        found = steer(ask, axle, left, more)
        if found.answer == "goes":
            return found
    return found


# --- the tightest place -------------------------------------------------------------------------------------


def nearest_pair(scene: Scene, it: Attempt) -> tuple[str, str] | None:
    """Name the two that are nearest at the tightest place of the way; None where there is none."""
    ground = it.then or it.ground
    if ground is None or not it.found.near:
        return None
    mine = f"{it.body.group.shown} on {it.gear.gear.name}"
    kind, _, number = it.found.near.partition(" ")
    at = it.found.points
    if kind == "thing" and number.isdigit():
        i = int(number)
        return mine, ground.things[i].name if i < len(ground.things) else "a thing"
    if kind == "hole" and number.isdigit():
        return mine, _hole(scene, ground, int(number))
    if kind == "wall" and at is not None and it.route is not None:
        for key in it.route.doors:
            door = scene.shop.doors[key]
            xs, ys = zip(*door.passage, strict=True)
            x, y = at[1]
            if (
                min(xs) - NEAR_DOOR_MM <= x <= max(xs) + NEAR_DOOR_MM
                and min(ys) - NEAR_DOOR_MM <= y <= max(ys) + NEAR_DOOR_MM
            ):
                return mine, f"a jamb of {door.name}"
        near = min(it.route.rooms, key=lambda r: _wall_mm(scene.shop.rooms[r], at[1]))
        return mine, f"a wall of {scene.shop.rooms[near].name}"
    return mine, it.found.near


NEAR_DOOR_MM = 60.0


def _hole(scene: Scene, ground: Ground, i: int) -> str:
    if i < len(ground.fixed):
        return ground.fixed[i].name
    i -= len(ground.fixed)
    if i < len(ground.leaves):
        return f"the leaf of {scene.shop.doors[ground.leaves[i][0]].name}"
    i -= len(ground.leaves)
    return ground.avoided[i][0] if i < len(ground.avoided) else "what is kept off"


def _wall_mm(room: Room, point: tuple[float, float]) -> float:
    from shopbins.geometry.exact import point_gap

    return abs(point_gap(room.outline, point).distance_mm)
