"""A thing as several outlines, each with its own heights: a table that sticks out passes over a bench, and a
bench stands in the notch of an L-shaped frame.

The floor kernel moves one convex outline at one height, which is right wherever that goes. What it refuses is
asked again in two ways. Refused for certain: even with everything out of the way that some part may pass over
or under, or the thing bare of those parts among what it surely meets. Going for certain: a way on which each
part keeps clear, at every pose, of whatever meets its own heights. What is neither is not decided.

A part meets what shares a height with it anywhere between set down and carried as high as the gear goes, with
the measuring of both on the unkind side, and as far as it may dip while one end is up a sill or on a jack.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from shopbins.answer import Verdict
from shopbins.geometry.convex import HAIR, convex_hull, convex_parts, is_convex
from shopbins.geometry.exact import area_mm2
from shopbins.geometry.segments import least_width_mm
from shopbins.geometry.shapes import FloorProblem, Outline, Pose, WayEnd, counter_clockwise
from shopbins.geometry.simple import simple
from shopbins.moves.attempt import (
    MOST_SPOTS,
    Attempt,
    Job,
    Passes,
    against,
    in_the_way,
    placed,
)
from shopbins.moves.body import Body
from shopbins.moves.fitted import HOISTS, JACKED, GearAnswer, along
from shopbins.moves.goal import goal_poses, goal_turns
from shopbins.moves.pressing import covers_of
from shopbins.moves.route import Ground
from shopbins.moves.setround import checker
from shopbins.moves.steered import Axle, about, anyhow, axle_of, fine, from_axle, to_axle
from shopbins.moves.tolerance import Asker, Found, grown
from shopbins.scene.standing import Standing


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of what moves: its convex outline, and its heights over the floor as it stands, set down.

    `surely_mm` is up to where it surely reaches, where `to_mm` is our own figure; `turned` what it takes
    where straight gear is set round, () for no more.
    """

    name: str
    outline: Outline
    from_mm: float
    to_mm: float
    surely_mm: float | None = None
    turned: Outline = ()


@dataclass(frozen=True, slots=True)
class Heights:
    """How far up and down a thing may be on its way: its lift, the measuring, and how far a part may dip or
    rise while one end is higher than the other. All in mm.
    """

    lift: tuple[float, float]
    within: float
    dips: float = 0.0
    rises: float = 0.0

    def may_meet(self, piece: Piece, it: Standing) -> bool:
        """Tell whether a part may share a height with what stands there, at some lift."""
        low, high = piece.from_mm - self.within - self.dips, piece.to_mm + self.lift[1]
        return low < _top(it) and high + self.within + self.rises > it.base_mm

    def must_meet(self, piece: Piece, it: Standing) -> bool:
        """Tell whether a part shares a height with what stands there, whatever the lift and the measuring."""
        top = _top(it) if it.top_known else it.base_mm
        low = piece.from_mm + self.lift[1] + self.within if piece.from_mm > 0 else 0.0  # gear is on the floor
        high = piece.to_mm + self.lift[0] - self.within if piece.surely_mm is None else piece.surely_mm
        return low < top and high > it.base_mm


def _top(it: Standing) -> float:
    return math.inf if it.top_mm is None else it.top_mm


def pieces_of(body: Body, gear: GearAnswer, steers: Outline, person_mm: float) -> tuple[Piece, ...]:
    """Return the thing bare of the parts that project on its gear, each part by itself, and who steers with
    what a truck has behind its forks. A thing with a notch is the convex parts it is made of, and its gear.
    """
    shapes = gear.parts[1:]
    high = math.inf if body.load.own_height_mm is None else body.load.own_height_mm
    round_it = gear.set_round or tuple(() for _ in shapes)
    if notched(body):
        own = sorted(convex_parts(body.load.own), key=area_mm2, reverse=True)
        outlines: list[tuple[Outline, Outline]] = [(part, ()) for part in own]
        outlines += [(convex_hull(shape), more) for shape, more in zip(shapes, round_it, strict=True)]
    else:
        every = [p for shape in (*shapes, body.load.own) for p in shape]
        outlines = [(convex_hull(every), tuple(p for more in round_it for p in more))]
    found = [
        Piece(body.group.shown, it, 0.0, high, turned=convex_hull([*it, *more]) if more else ())
        for it, more in outlines
    ]
    if gear.heel is not None:
        heel = along(gear.heel, gear.axis_deg)
        behind = [p for shape in shapes for p in shape if along(p, gear.axis_deg) <= heel + 1.0]
        if len(behind) + len(steers) >= 3:
            person = convex_hull([*behind, *steers])
            found.append(Piece("who steers", person, 0.0, person_mm, AT_ALL_MM))
    for part in body.parts:
        to_mm = math.inf if part.to_mm is None else part.to_mm - body.down_mm
        found.append(Piece(part.name, convex_hull(part.outline), part.from_mm - body.down_mm, to_mm))
    return tuple(found)


def notched(body: Body) -> bool:
    """Tell whether the thing, bare of its parts, is not convex."""
    own = counter_clockwise(body.load.own)
    return len(own) > 3 and not is_convex(own, HAIR)


def _joined(pieces: Sequence[Piece]) -> Outline | None:
    """Return the outline of pieces taken together, notches and all; None where they do not make one."""
    import shapely

    whole = shapely.union_all([shapely.Polygon(piece.outline) for piece in pieces]).simplify(0.0)
    if not isinstance(whole, shapely.Polygon) or len(whole.interiors):
        return None
    return counter_clockwise(tuple((float(x), float(y)) for x, y in whole.exterior.coords[:-1]))


AT_ALL_MM = 1.0
"""So high whatever is on the floor surely is."""


def heights_of(job: Job, base: Attempt) -> Heights | None:
    """Return how far up and down it may be; None where the lift is not known, or how it stands tilted."""
    up, gear, own = base.gear.up_mm, base.gear, job.scene.shop.limits.moving
    if up is None or base.route is None or gear.gear.kind in (*HOISTS, "by hand"):
        return None
    shop = job.scene.shop
    thick = max((g.height_mm or 0.0 for g in shop.gear.values() if g.kind == "plate"), default=0.0)
    sills = [shop.doors[key].threshold_mm or 0.0 for key in base.route.doors]
    step = max((sill + thick for sill in sills if sill), default=0.0)  # a plate may lean on it
    if base.ground is not None and covers_of(shop, base.ground.outlines):
        step = max(step, thick)
    sets = [s.polygon for s in gear.stances]
    if gear.gear.kind in JACKED:
        step = max(step, own["lift at an end"])
        load = base.body.load
        sets.append(tuple(p.point for p in load.jacking) or load.stands_at)
    if step == 0:
        return Heights(up, job.slack_mm)
    spans = [span for points in sets if len(points) >= 3 and (span := least_width_mm(points)) > 1.0]
    if not spans or len(spans) < len(sets):
        return None
    corners = [*base.body.load.outline, *base.moving]
    reach = max(math.dist(p, q) for p in corners for points in sets for q in points)
    tilt = step * reach / min(spans)
    return Heights(up, job.slack_mm, tilt, step + tilt)


# --- each part among what it meets ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sweeps:
    """The checkers of motions of every part, each among its own obstacles, as one."""

    each: Sequence[Any]

    def on(self, a: Pose, b: Pose) -> Sweeps:
        """Return the checker of the motion from a to b."""
        return Sweeps([s.on(a, b) for s in self.each])

    def near(self, a: Pose, b: Pose, within_mm: float) -> list[Any]:
        """Return the places of edges each part may come within a distance of."""
        return [s.near(a, b, within_mm) for s in self.each]

    def bound(self, a: Pose, b: Pose, at: Sequence[Any]) -> float:
        """Return a distance that no part comes nearer than, moving from a to b."""
        return min(float(s.bound(a, b, k)) for s, k in zip(self.each, at, strict=True))

    def clear(self, a: Pose, b: Pose, need_mm: float, depth: int = 5) -> bool:
        """Tell whether every part surely keeps more than a distance."""
        return all(s.clear(a, b, need_mm, depth) for s in self.each)

    def all_clear(self, poses: Sequence[Pose], need_mm: float, depth: int) -> bool:
        """Tell the same of every motion from pose to pose."""
        return all(s.all_clear(poses, need_mm, depth) for s in self.each)

    def nearest(self, pose: Pose) -> Any:
        """Return the nearest points of any part and what it meets."""
        return self.which(pose)[1]

    def which(self, pose: Pose) -> tuple[int, Any]:
        """Return the part that is nearest to what it meets, and the nearest points."""
        return min(((i, s.nearest(pose)) for i, s in enumerate(self.each)), key=lambda e: e[1].distance_mm)


@dataclass(slots=True)
class Bands:
    """What moves in its parts over one floor, and what each of them meets there."""

    job: Job
    floor: Ground
    pieces: tuple[Piece, ...]
    heights: Heights
    met: list[Ground]
    holes: list[list[int]]
    planners: dict[int, Any] = field(default_factory=dict)

    @property
    def shape(self) -> Outline:
        """The thing on its gear as one outline, with its notches; where it is not one, its largest part."""
        own = [piece for piece in self.pieces if piece.name == self.pieces[0].name]
        return _joined(own) or self.pieces[0].outline

    @property
    def sure(self) -> list[Piece]:
        """The parts whose height is no figure of our own, the bare thing first."""
        return [piece for piece in self.pieces if piece.surely_mm is None]

    @property
    def around(self) -> tuple[Standing, ...]:
        """All that stands on the floor."""
        return *self.floor.fixed, *self.floor.things, *self.floor.hidden

    def planner(self, i: int) -> Any:
        """Return the kernel's planner of one part among what is fixed and meets it."""
        from shopbins.kernel.planner import Planner

        if i not in self.planners:
            ground = self.met[i]
            self.planners[i] = Planner(ground.outlines, ground.holes, self.pieces[i].outline)
        return self.planners[i]

    def things(self, i: int, outlines: Sequence[Outline]) -> list[int]:
        """Return the places of loose outlines that one part may meet; what is not known of is met."""
        by = {each.outline: each for each in self.floor.things}
        found = [by.get(o) for o in outlines]
        return [k for k, it in enumerate(found) if it is None or _meets(self, i, it)]

    def sweeps(self, outlines: Sequence[Outline], axle: Axle) -> tuple[Sweeps, list[Any]]:
        """Return the checker of all parts about an axle among loose outlines, and each part's crowd."""
        import numpy as np

        from shopbins.geometry import minkowski
        from shopbins.kernel.ground import Crowd

        each, crowds = [], []
        for i, piece in enumerate(self.pieces):
            crowd = Crowd([simple(outlines[k], f"thing {k}") for k in self.things(i, outlines)])
            edges = np.concatenate((self.planner(i).walls, crowd.edges[0]))
            each.append(
                checker(minkowski.corners_of(about(axle, piece.outline)), about(axle, piece.turned), edges)
            )
            crowds.append(crowd)
        return Sweeps(each), crowds

    def stands(self, crowds: Sequence[Any], pose: Pose, end: WayEnd) -> bool:
        """Tell whether every part has room at one end of a way."""
        try:
            for i, crowd in enumerate(crowds):
                self.planner(i).check_end(crowd, pose, end)
        except FloorProblem:
            return False
        return True

    def passed(self, path: Sequence[Pose], left: Sequence[Outline]) -> Iterator[Passes]:
        """Go through what a part goes over or under on the way, with what is between them at the least."""
        import shapely

        from shopbins.kernel.swept import swept

        gone = [each for each in self.floor.things if each.outline not in left]
        every = [each for each in self.around if each not in gone]
        for i, piece in enumerate(self.pieces):
            way = swept(piece.outline, path)
            shapely.prepare(way)
            for it in every:
                if _meets(self, i, it) or not shapely.intersects(way, shapely.Polygon(it.outline)):
                    continue
                over = piece.from_mm >= _top(it)
                at = _top(it) if over else it.base_mm
                free = piece.from_mm - at if over else at - piece.to_mm - self.heights.lift[1]
                yield Passes(piece.name, it.name, it.tag, it.room, over, at, free)

    def measured(self, path: Sequence[Pose], things: Sequence[Outline], grown_mm: float = 0.0) -> Found:
        """Return a checked way with the least clearance of any part and what is nearest."""
        from shopbins.kernel.goes_path import tightest

        sweeps, crowds = self.sweeps(things, _HERE)
        found: tuple[float, Pose, Any] = tightest(sweeps, list(path))  # type: ignore[arg-type]
        clearance, pose, moving = found
        i, near = moving.which(pose)
        kind, _, number = self.planner(i).name_of(near.edge, crowds[i]).partition(" ")
        if kind == "hole":
            number = str(self.holes[i][int(number)])
        elif kind == "thing":
            number = str(self.things(i, things)[int(number)])
        name = f"{kind} {number}".strip()
        return Found("goes", grown_mm, tuple(path), clearance, pose, name, (near.on_body, near.on_obstacle))


_HERE = Axle((0.0, 0.0), 0.0, 0.0)


def _meets(it: Bands, i: int, standing: Standing) -> bool:
    return _sloping(it.job, standing) or it.heights.may_meet(it.pieces[i], standing)


def _sloping(job: Job, it: Standing) -> bool:
    """Tell whether what stands there is on a slope: heights over it are not told apart."""
    room = job.scene.shop.rooms.get(it.room)
    return room is None or (room.slope is not None and room.slope.fall > 0)


def bands_of(job: Job, base: Attempt) -> Bands | None:
    """Return the thing in its parts on the floor of an attempt; None where every part meets the same."""
    floor = base.ground
    if floor is None or not (base.body.parts or notched(base.body)):
        return None
    heights = heights_of(job, base)
    if heights is None:
        return None
    person_mm = job.scene.shop.limits.moving["person high"]
    it = Bands(job, floor, pieces_of(base.body, base.gear, base.steers, person_mm), heights, [], [])
    alike = all(heights.must_meet(piece, each) for each in it.around for piece in it.sure)
    if alike and not notched(base.body):
        return None
    for i in range(len(it.pieces)):
        fixed = [k for k, each in enumerate(floor.fixed) if _meets(it, i, each)]
        hidden = tuple(each for each in floor.hidden if _meets(it, i, each))
        others = range(len(floor.fixed), len(floor.holes))
        it.holes.append([*fixed, *(len(floor.holes) + k for k in range(len(hidden))), *others])
        it.met.append(replace(floor, fixed=(*(floor.fixed[k] for k in fixed), *hidden)))
    return it


# --- by its parts ---------------------------------------------------------------------------------------


def by_parts(job: Job, first: Attempt, refused: Collection[Pose]) -> Attempt:
    """Ask again of the thing in its parts what one outline at all heights did not surely go.

    A no stands where it is proved of the parts too; else a way that is clear for each of them is the answer,
    and where none is found it is not decided.
    """
    bands = bands_of(job, first)
    if bands is None or first.start is None or job.stop():
        return first
    if first.verdict is Verdict.YES:
        return _fewer_shifted(job, first, bands)
    job.say(f"{first.gear.gear.name}: each part at its own heights")
    if first.verdict >= Verdict.OPEN and _ruled_out(job, first, bands, refused):
        return first
    found = _found(job, first, bands, first.start, refused)
    if found is not None and found.verdict < first.verdict:
        return found
    if first.verdict is not Verdict.NO:
        return first
    meets = bands.heights.must_meet
    maybe = [each for each in bands.around if not all(meets(piece, each) for piece in bands.sure)]
    over = ", ".join(dict.fromkeys(each.name for each in maybe))
    where = f"its parts go over or under {over}" if over else "it goes by its notch"
    reason = (
        f"{first.body.group.shown} on {first.gear.gear.name}: too wide as one convex outline; whether "
        f"{where} is not decided: no way was found for each part of it"
    )
    return replace(first, verdict=Verdict.OPEN, found=Found("not decided"), reason=reason)


def _fewer_shifted(job: Job, first: Attempt, bands: Bands) -> Attempt:
    """Leave where they stand the things that no part meets on the way found."""
    if first.shift is None or not first.shift.items:
        return first
    path, loose = first.found.path, bands.floor.loose
    met = _met(bands, path, job.slack_mm)
    if len(met) >= len(first.shift.items):
        return first
    left = [o for k, o in enumerate(loose) if k not in met]
    at = replace(first, shift=None, passes=tuple(bands.passed(path, left)))
    done = placed(job, at, bands, bands.measured(path, left, first.found.grown_mm), met or None)
    return done if done.verdict is Verdict.YES else first


def _ruled_out(job: Job, base: Attempt, bands: Bands, refused: Collection[Pose]) -> bool:
    """Tell whether it surely does not go, were everything shifted that can be: some of its parts together do
    not, among what every one of them surely meets.
    """
    bare, *told = bands.sure
    together = dict.fromkeys([bands.pieces, (bare, *told), *((bare, part) for part in told), (bare,)])
    asked: set[tuple[Outline | None, tuple[Outline, ...]]] = set()
    for pieces in together:
        met = tuple(f for f in bands.floor.fixed if all(bands.heights.must_meet(p, f) for p in pieces))
        outline = (
            _joined(pieces) if notched(base.body) else convex_hull([p for e in pieces for p in e.outline])
        )
        key = outline, tuple(f.outline for f in met)
        if outline is None or key in asked:
            continue
        asked.add(key)
        if _refuses(job, base, replace(bands.floor, fixed=met, things=(), hidden=()), outline, refused):
            return True
    return False


def _refuses(job: Job, base: Attempt, ground: Ground, hull: Outline, refused: Collection[Pose]) -> bool:
    """Tell whether one outline surely does not go to any spot of the goal that is looked at."""
    assert base.start is not None
    for asked, goal in enumerate(_spots(job, base, ground, hull, refused), 1):
        way = Asker(ground, hull, base.start, goal, job.until, job.cancelled, job.kept).goes((), 0.0)
        if way.answer != "does not go":
            return False
        if asked >= MOST_SPOTS:
            break
    return not job.stop()


def _spots(
    job: Job, base: Attempt, ground: Ground, hull: Outline, refused: Collection[Pose]
) -> Iterator[Pose]:
    """Go through spots of the goal where an outline finds room and nothing else speaks against them."""
    turns = goal_turns(job.goal, job.turn_deg)
    for more in (False, True):
        for goal in goal_poses(
            ground, job.goal, base.body.outline, hull, turns, job.slack_mm, more=more, kept=job.kept
        ):
            if goal not in refused and not against(job, base, goal):
                yield goal


def _found(job: Job, base: Attempt, bands: Bands, start: Pose, refused: Collection[Pose]) -> Attempt | None:
    """Look for a way clear for every part: among all that stands there, then with all gone that can go."""
    axle = axle_of(base.gear)
    if axle is not None and axle.radius_mm > 0:
        return None  # arcs are not looked for in parts
    best: Attempt | None = None
    loose, kept = bands.floor.loose, dict[Axle, dict[Any, Any]]()
    spots = list(itertools.islice(_room_for_all(job, base, bands, refused), MOST_SPOTS))
    for need, things in itertools.product((job.slack_mm, 0.0), dict.fromkeys((loose, ()))):
        for goal in spots:
            if job.stop():
                return best
            path = _way(job, base, bands, things, start, goal, need, kept)
            if path is None:
                continue
            shift = _met(bands, path, job.slack_mm) if loose and not things else None
            left = [o for k, o in enumerate(loose) if k not in (shift or ())]
            passes = tuple(bands.passed(path, left))
            at = replace(base, goal=goal, passes=passes, reason="")
            done = placed(job, at, bands, bands.measured(path, left, need), shift)
            if done.verdict is Verdict.YES:
                return done
            if best is None or done.verdict < best.verdict:
                best = done
    return best


def _room_for_all(job: Job, base: Attempt, bands: Bands, refused: Collection[Pose]) -> Iterator[Pose]:
    """Go through spots of the goal where every part finds room, were all shifted that can be."""
    _, crowds = bands.sweeps((), _HERE)
    for goal in _spots(job, base, bands.met[0], bands.shape, refused):
        if bands.stands(crowds, goal, WayEnd.GOAL):
            yield goal


def _way(
    job: Job,
    base: Attempt,
    bands: Bands,
    things: Sequence[Outline],
    start: Pose,
    goal: Pose,
    need: float,
    kept: dict[Axle, dict[Any, Any]],
) -> list[Pose] | None:
    """Return a way clear for every part: that of the bare thing if it is, else of turns and drives.

    `kept` holds by axle what was read off for lattices from this start.
    """
    import shapely

    from shopbins.kernel.goes_path import all_clear
    from shopbins.kernel.sweep import ENOUGH_MM
    from shopbins.moves.lattice import GRIDS_MM
    from shopbins.moves.pivot import finished, pivoted

    here, crowds = bands.sweeps(things, _HERE)
    if not (bands.stands(crowds, start, WayEnd.START) and bands.stands(crowds, goal, WayEnd.GOAL)):
        return None
    need = max(need, 2 * ENOUGH_MM)
    steered = axle_of(base.gear)
    if steered is None:
        bare = [things[k] for k in bands.things(0, things)]
        ask = Asker(bands.met[0], bands.shape, start, goal, job.until, job.cancelled, job.kept)
        grows = need > 1.0 and not notched(base.body)  # only what is convex is made larger
        way = ask.goes(bare, need if grows else 0.0)
        if way.path and all_clear(here, way.path, need):  # type: ignore[arg-type]
            return list(way.path)
    for axle in (steered or anyhow(base.gear)).ways:
        sweeps, _ = bands.sweeps(things, axle)
        every = [
            (bands.planner(i).ground, [things[k] for k in bands.things(i, things)], about(axle, it.outline))
            for i, it in enumerate(bands.pieces)
        ]
        far = math.hypot(*axle.at)
        slopes = [(shapely.Polygon(o).buffer(far), down) for o, down in bands.floor.slopes]
        ends = to_axle(axle, start), to_axle(axle, goal)
        for grid_mm in GRIDS_MM:
            poses = pivoted(
                *every[0], sweeps, *ends, need, job.stop, slopes, kept.setdefault(axle, {}), grid_mm,
                beside=every[1:], turned=about(axle, bands.pieces[0].turned), handled=axle.handled,
                turn_mm=axle.turn_mm, stands=about(axle, axle.stands), steps=bands.floor.steps,
                wheels=about(axle, axle.wheels),
            )  # fmt: skip
            if poses is not None:
                return [from_axle(axle, p) for p in fine(finished(poses, ends[1]))]
    return None


def _met(bands: Bands, path: Sequence[Pose], slack_mm: float) -> list[int]:
    """Return the places of things that some part does not surely miss on its way."""
    loose = bands.floor.loose
    found: set[int] = set()
    for i, piece in enumerate(bands.pieces):
        mine = bands.things(i, loose)
        turned = grown(piece.turned, slack_mm) if piece.turned else ()
        hit = in_the_way(grown(piece.outline, slack_mm), turned, [loose[k] for k in mine], path)
        found |= {mine[k] for k in hit}
    return sorted(found)
