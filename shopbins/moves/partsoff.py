"""Parts that come off first: by how many people, else by which hoist, which stands where, and where they go.

A hoist is brought empty to one of four sides: its legs go under the thing, astride of it or end before it,
and the reach that takes counts. What lies there is shifted first. Before and after it stands where the thing
does not come by; the way between is asked of the floor kernel, of a hoist that turns anyhow, as it does empty
on its castors. Lengths in mm, poses in the shop frame.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import (
    FloorProblem,
    Outline,
    Point,
    Pose,
    bounds,
    centroid,
    cos_sin,
    placed,
    rectangle,
    turned,
)
from shopbins.ledger.model import Group, InGroup, InZone, Mass, Size
from shopbins.moves.attempt import Attempt, Job, floor_once_shifted, in_the_way
from shopbins.moves.beside import floor_free
from shopbins.moves.body import Body, Projection
from shopbins.moves.cranes import goes_beside
from shopbins.moves.empty import barred, too_tall_or_wide
from shopbins.moves.finding import Ask
from shopbins.moves.fitted import HOISTS, along, boxed
from shopbins.moves.goal import goal_poses
from shopbins.moves.hands import looked_at, people_of, team_for
from shopbins.moves.hoisted import Lift, No
from shopbins.moves.inuse import borne
from shopbins.moves.load import ABOUT, Load
from shopbins.moves.offfirst import TOUCHING_MM
from shopbins.moves.onto import floor_before, near_to
from shopbins.moves.remainder import with_left
from shopbins.moves.route import Ground, Route, ground, is_level, level_between, routes
from shopbins.moves.shiftlist import Shifted, ShiftList, off_the_way, shift_list, shifted_scene
from shopbins.moves.situation import Onto
from shopbins.moves.tolerance import Asker
from shopbins.rules.handling import SHOULDER_MM
from shopbins.rules.hoisting import HOOK_OVER_MM, falls_short, hole_at, hook_at, hook_short, most_kg
from shopbins.rules.say import told_apart
from shopbins.rules.slopes import is_steep
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear, Level, Zone
from shopbins.units import show_length, show_mass, show_rating

ASK_STEPS = 4000
"""So many steps of the kernel are spent on one way of an empty hoist."""


# --- by people ----------------------------------------------------------------------------------------


def taken_kg(part: Projection) -> float | None:
    """Return what a part may weigh: a quarter more where that was guessed; None where nobody weighed it."""
    return None if part.mass is None else part.mass.kg * (ABOUT if part.mass.about else 1.0)


def height_of(part: Projection) -> float:
    """Return how high a part is gripped: its middle."""
    return part.from_mm if part.to_mm is None else (part.from_mm + part.to_mm) / 2


def lifted_between(scene: Scene, part: Projection, place: InZone | None) -> tuple[float, ...]:
    """Return how high hands are where a part is taken off, and where it is set down if that is known."""
    grip = height_of(part)
    zone = None if place is None else scene.zone(place.zone)
    if zone is None or place is None:
        return (grip,)
    level = next((each for each in zone.levels if each.key == place.level), None)
    return grip, (0.0 if level is None else level.height_mm) + grip - part.from_mm


@dataclass(frozen=True, slots=True)
class Team:
    """How many people take a part off or put it on (0: no team of three does), what they lift (kg) and
    between which heights; `by_degrees`: they lift it off, and set it down in steps where that is too low.
    """

    people: int
    limit_kg: float
    between_mm: tuple[float, ...]
    by_degrees: bool = False

    @property
    def words(self) -> str:
        """How they set it down: ', by degrees'; '' where in one go."""
        return ", by degrees" if self.by_degrees else ""


def team_of(scene: Scene, part: Projection, place: InZone | None) -> Team | None:
    """Return who takes a part off by hand, and sets it down at its place; None where nobody weighed it."""
    kg = taken_kg(part)
    if kg is None:
        return None
    between = lifted_between(scene, part, place)
    n, limit = team_for(scene, kg, between[0])
    if not n or len(between) == 1:
        return Team(n, limit, between)
    lower, least = team_for(scene, kg, *between)
    return Team(lower, least, between) if lower else Team(max(n, 2), least, between, by_degrees=True)


def steps_between(scene: Scene, start: str | None, to: str | None) -> list[str]:
    """Name the slopes and sills of the shortest way by doors between two rooms; none where one is level."""
    shop = scene.shop
    if start is None or to is None or level_between(shop, start, to):
        return []
    for route in routes(shop, start, to, (0.0, 0.0), (0.0, 0.0))[:1]:
        rooms, doors = (shop.rooms[key] for key in route.rooms), (shop.doors[key] for key in route.doors)
        steep = [f"the slope of {r.name}" for r in rooms if is_steep(r.slope)]
        return steep + [
            f"the sill of {d.name} ({show_length(d.threshold_mm)})" for d in doors if d.threshold_mm
        ]
    return []


# --- by hoist, and where to ---------------------------------------------------------------------------


def parts_off(job: Job, it: Attempt) -> Attempt:
    """Return an attempt with a way with who lifts its parts off by hoist, what is shifted for that, and where
    each part lies meanwhile.
    """
    lifts: dict[str, Lift | No] = {}
    for part in it.body.off:
        kg = taken_kg(part)
        if kg is not None and not team_for(job.scene, kg, height_of(part))[0]:
            lift, items = _by_hoist(job, it, part, kg)
            if items:
                every = (*it.shifted, *items)
                it = replace(it, shift=ShiftList(every, ()), then=floor_once_shifted(job, it, every))
            lifts[part.called] = _put_on(job, it, part, kg, lift) if isinstance(lift, Lift) else lift
    return replace(it, lifts=lifts, resting=_resting(job, it, lifts))


def _by_hoist(job: Job, it: Attempt, part: Projection, kg: float) -> tuple[Lift | No, tuple[Shifted, ...]]:
    """Return the first hoist that takes a part off, and what is shifted for it; else why none does."""
    said: list[No] = []
    room = None if it.body.room is None else job.scene.shop.rooms[it.body.room]
    for gear in job.scene.shop.gear.values():
        if gear.kind not in HOISTS:
            continue
        if other := borne(job.scene, gear, it.body.group.id):
            said.append(No(f"{gear.name}: {other} hangs from it where it halted"))
            continue
        if room is not None and is_steep(room.slope):
            said.append(No(f"{gear.name}: no hoist lifts on the slope of {room.name}"))
            continue
        job.say(f"{gear.name}: does it get at {part.name}")
        found = _with(job, it, part, kg, gear)
        if not isinstance(found, No):
            return found
        said.append(found)
    ask = next((each.ask for each in said if each.ask is not None), None)
    ends = next((each.ends for each in said if each.ends), "")
    return No("; ".join(each.why for each in said) or "the shop file has no hoist", ask, ends), ()


def _with(
    job: Job, it: Attempt, part: Projection, kg: float, gear: Gear
) -> No | tuple[Lift, tuple[Shifted, ...]]:
    every = _sides_of(job, it, part, kg, gear)
    if isinstance(every, No):
        return every
    said = [why for why in every if isinstance(why, str)]
    sides = [side for side in every if not isinstance(side, str)]
    for side in sides:
        found = _at(job, it, gear, side)
        if not isinstance(found, str):
            return found
        said.append(found)
    ends = f"room for {gear.name} on one side of it" if sides else ""
    return No(f"{gear.name}: {'; '.join(dict.fromkeys(said))}", None, ends)


def _sides_of(job: Job, it: Attempt, part: Projection, kg: float, gear: Gear) -> No | list[_Side | str]:
    """Return the sides a hoist of enough hook and plate reaches a part from, or why it lifts it nowhere."""
    weak = _too_weak(gear, part, kg)
    if weak:
        return No(f"{gear.name}: {weak}")
    if gear.hook_mm is None or gear.size_mm is None:
        key, told = ("hook", "2 m") if gear.hook_mm is None else ("size", "[1500, 1000]")
        what = "how high does the hook of" if gear.hook_mm is None else "how much floor does"
        verb = "go" if gear.hook_mm is None else "take"
        ask = Ask(f"{what} {gear.name} {verb}?", f"gear: {gear.key}: {{{key}: {told}}}", 1)
        return No(f"{gear.name}: {key} not told", ask)
    return list(_sides(job, it, part, kg, gear, gear.size_mm))


def _too_weak(gear: Gear, part: Projection, kg: float) -> str:
    """Say why a hoist lifts a part nowhere: its hook, or its plate; '' where neither is too low."""
    top, most = hook_over_mm(part), most_kg(gear) or 0.0
    if gear.hook_mm is not None and gear.hook_mm < top:
        return hook_short(top, gear.hook_mm, f" over {part.name}")
    if most >= kg:
        return ""
    lifts, weighs = told_apart(most, kg, show_mass, "kg")
    return f"it lifts {lifts} at most, {part.name} is {weighs}"


def who_takes_off(scene: Scene, part: Projection) -> str:
    """Say who takes a part off where no way was looked at: '3 people', 'by crane', or why nobody does."""
    team, kg = team_of(scene, part, None), taken_kg(part)
    if team is None or kg is None:
        return "by whom is not known: not weighed"
    if team.people:
        return people_of(scene, team.people) if team.people > 1 else ""
    able = able_hoist(scene, part)
    if able is not None:
        return f"by {able.name} where it finds room"
    if (by := looked_at(scene, kg, *team.between_mm)) is not None:
        return f"{people_of(scene, by.people)}, {by.beyond(team.limit_kg)}"
    why = "; ".join(f"not by {gear.name}, {_too_weak(gear, part, kg)}" for gear in _hoists(scene))
    return f"beyond three people; {why or 'no hoist is told of'}"


def _hoists(scene: Scene) -> list[Gear]:
    return [g for g in scene.shop.gear.values() if g.kind in HOISTS and not borne(scene, g)]


def able_hoist(scene: Scene, part: Projection) -> Gear | None:
    """Return the first hoist of enough hook and plate for a part; None where none is or it is not weighed."""
    kg = taken_kg(part)
    return None if kg is None else next((g for g in _hoists(scene) if not _too_weak(g, part, kg)), None)


def lying_on(scene: Scene, it: Body) -> list[Projection]:
    """Return what lies in and on a thing, each with what lies in and on that, as parts gripped at its top;
    what is in it, half way up.
    """
    every, found = {*it.along, *it.left_here}, list[Projection]()
    top = SHOULDER_MM if it.load.own_height_mm is None else it.load.own_height_mm
    for key in (*it.along, *it.left_here):
        group = scene.group(key)
        if not isinstance(group.where, InGroup) or group.where.group in every:
            continue
        share, size = scene.share(key), group.known_size
        mass = None if share.unweighed else Mass(share.mass_kg, share.about)
        low = top if group.where.how == "on" else top / 2
        high = None if share.height_mm is None else low + share.height_mm
        outline = rectangle(*((0.0, 0.0) if size is None else (size.length_mm, size.width_mm)))
        found.append(Projection(group.shown, group.code, key, outline, low, high, mass, 0.0))
    return found


def by_one(scene: Scene, part: Projection) -> bool:
    """Tell whether one person takes a part off."""
    team = team_of(scene, part, None)
    return team is not None and team.people == 1


def hoist_needed(it: Body, part: Projection, kg: float) -> str:
    """Say what hoist would take a part off: what it lifts how far out from the nearest side, how high its
    hook goes.
    """
    at, outline = bounds(part.outline).middle, _whole(it).outline
    sides = (0.0, 90.0, 180.0, 270.0)
    out = min(along(at, towards) - min(along(p, towards) for p in outline) for towards in sides)
    reaches = f"reaching {show_length(max(0.0, out))} in from the side of {it.group.shown}"
    return f"a hoist of at least {show_rating(kg)} {reaches}, its hook {show_length(hook_over_mm(part))} up"


def hook_over_mm(part: Projection) -> float:
    """Return how high a hook has to be over a part."""
    return (part.to_mm or height_of(part)) + HOOK_OVER_MM


@dataclass(frozen=True, slots=True)
class _Side:
    """A hoist come from one side, in the frame of the thing: where it lifts and how far it pulls back."""

    towards_deg: float
    middle: tuple[float, float]
    hull: Outline
    back_mm: float
    reach_mm: float
    holds_kg: float

    def pose(self, thing: Pose, back_mm: float = 0.0) -> Pose:
        """Return where its middle is with the thing at a pose, pulled back so far."""
        c, s = cos_sin(self.towards_deg)
        x, y = self.middle[0] - back_mm * c, self.middle[1] - back_mm * s
        at = placed(((x, y),), thing)[0]
        return Pose(*at, thing.turn_deg + self.towards_deg)


def _sides(
    job: Job, it: Attempt, part: Projection, kg: float, gear: Gear, size: tuple[float, float]
) -> Iterator[_Side | str]:
    """Go through the sides a hoist reaches a part from with enough capacity, the shortest reach first; where
    it holds too little on every side, why it does on the nearest.
    """
    length, wide = size
    load = _whole(it.body)
    at = bounds(part.outline).middle
    found: list[_Side] = []
    weak: list[tuple[float, str]] = []
    for towards in (0.0, 90.0, 180.0, 270.0):
        seen = [along(p, towards) for p in load.outline]
        met = met_by_legs(it.body, gear)
        across = [along(p, towards - 90.0) for p in met]
        near, hook, aside = min(seen), along(at, towards), along(at, towards - 90.0)
        beside = goes_beside(gear, load, towards, max(across) - min(across), job.scene.shop.measured_mm)
        if gear.kind == "gantry crane":
            if beside.answer != "yes":
                yield beside.why
                continue
            low, high, reach, holds = hook - length / 2, hook + length / 2, 0.0, gear.capacity_kg or 0.0
        else:
            # Legs that go neither under it nor beside it, or hardly, end before it.
            passes = beside.answer == "yes" and not beside.again
            ends = min(along(p, towards) for p in met) - length
            needed = hook - (near if passes else min(near, ends))
            hole = hole_at(gear, needed, kg, hook_over_mm(part))
            if hole is None:
                legs = "" if passes else f", its legs ending before it ({beside.why}),"
                over = f" over {part.name}"
                weak.append((needed, falls_short(gear, kg, needed, hook_over_mm(part), legs, over)))
                continue
            reach, holds = hole
            mast = hook - reach
            low, high = mast - (gear.body_mm or 0.0), mast + length
        x, y = (high - low) / 2, wide / 2
        hull = ((-x, -y), (x, -y), (x, y), (-x, y))
        middle = boxed(towards, (low + high) / 2, (low + high) / 2, aside, aside)[0]
        left = min(along(p, towards) for p in it.body.load.outline)
        hangs_to = max(along(p, towards) for p in part.outline)
        back = max(0.0, high - near, hangs_to - left) + 2 * job.slack_mm
        found.append(_Side(towards, middle, hull, back, reach, holds))
    if weak and not found:
        yield min(weak)[1]
    yield from sorted(found, key=lambda side: side.reach_mm)


def met_by_legs(it: Body, gear: Gear) -> list[Point]:
    """Return the corners of all of a thing, with what comes off still on it, that comes as low as the legs of
    a hoist; all of it where those are not told, and of a gantry, which is as high as its legs.
    """
    own, parts = it.load.own or it.load.outline, (*it.parts, *it.off)
    if gear.kind == "gantry crane" or gear.legs_mm is None:
        own = it.load.outline
    else:
        parts = tuple(p for p in parts if p.from_mm <= gear.legs_mm + TOUCHING_MM)
    return [*own, *(corner for part in parts for corner in part.outline)]


def _whole(it: Body) -> Load:
    """Return the thing with what comes off still on it, as a hoist finds it."""
    corners = [*it.load.outline, *(p for part in it.off for p in part.outline)]
    return replace(it.load, outline=convex_hull(corners))


def _at(job: Job, it: Attempt, gear: Gear, side: _Side) -> str | tuple[Lift, tuple[Shifted, ...]]:
    """Return the lift from one side, with what is shifted for it; else what speaks against that side."""
    import shapely

    from shopbins.kernel.shift_places import swept_about

    assert it.body.pose is not None and it.route is not None
    thing, own = it.body.pose, job.scene.shop.limits.moving
    lift, before = side.pose(thing), side.pose(thing, side.back_mm)
    now = shifted_scene(job.scene, it.shifted)
    floor = _floor(now, it, gear, it.route)
    person = own["person"]
    stretch = [*placed(side.hull, lift), *placed(side.hull, before)]
    strip = convex_hull([*stretch, *placed(side.hull, side.pose(thing, side.back_mm + person))])
    blocked = shapely.difference(shapely.Polygon(strip), floor_free(replace(floor, things=())))
    if blocked.area > 1.0:
        return (
            f"from the side that faces {(lift.turn_deg + 180) % 360:.0f} deg it has no room to come up to it"
        )
    met = in_the_way(strip, (), floor.loose, (Pose(0.0, 0.0, 0.0),))
    items: tuple[Shifted, ...] = ()
    stands = placed(_whole(it.body).outline, thing)
    swept = shapely.get_parts(swept_about(it.turned or it.moving, it.found.path))
    way = tuple(tuple(p.exterior.coords)[:-1] for p in swept)
    if met:
        solid = replace(floor, avoided=(*floor.avoided, ("the thing", stands)))
        made = shift_list(
            now, solid, side.hull, (before, lift), met, kept=way, known=job.known, stop=job.stop
        )
        if made.no_place:
            return f"{made.no_place[0]}; it stands where {gear.name} has to"
        items = made.items
        floor = _floor(shifted_scene(now, items), it, gear, it.route)
    waits = _waits(job, floor, gear, side, before, stands, way)
    if isinstance(waits, str):
        return waits
    made_lift = Lift(
        gear,
        side.reach_mm,
        side.holds_kg,
        placed(side.hull, lift),
        placed(side.hull, waits[0]),
        job.scene.shop.rooms[waits[1]].name,
        before,
    )
    return made_lift, items


def _floor(now: Scene, it: Attempt, gear: Gear, route: Route) -> Ground:
    """Return the floor of a route as a hoist meets it, without the thing."""
    return ground(now, route, f"group:{it.body.group.id}", gear.height_mm, along=set(it.body.along))


def _solid(floor: Ground, stands: Outline) -> Ground:
    """Return a floor with all that stands on it kept off, and the thing where it stands."""
    things = (("a thing", outline) for outline in (*floor.loose, stands))
    return replace(floor, things=(), avoided=(*floor.avoided, *things))


def _waits(
    job: Job, floor: Ground, gear: Gear, side: _Side, before: Pose, stands: Outline, way: Sequence[Outline]
) -> str | tuple[Pose, str]:
    """Return where a hoist waits, off the way and with a way from there, and the room that is in."""
    among = _solid(floor, stands)
    aside = replace(among, avoided=(*among.avoided, *(("the way", outline) for outline in way)))
    rooms = floor.route.rooms
    no = f"{gear.name} finds no place to wait off the way in {', '.join(rooms)}"
    for room in rooms:
        zone = job.scene.zone(room)
        if zone is None or barred(job.scene.shop, gear, rooms[0], room):
            continue
        for pose in _free(job, aside, zone, side.hull):
            if job.stop():
                return "time was up"
            ask = Asker(among, side.hull, pose, before, job.until, job.cancelled, job.kept)
            found = ask.goes((), job.slack_mm, ASK_STEPS)
            if found.answer == "goes":
                return pose, room
            no = f"no way for {gear.name} from {job.scene.shop.rooms[room].name} to where it lifts"
    return no


def _free(job: Job, floor: Ground, zone: Zone, hull: Outline, body: Outline | None = None) -> Iterator[Pose]:
    """Go through poses of a hoist that is free, all of it in a place; with `body` only that in the place."""
    inside, turns = (hull, (0.0, 90.0)) if body is None else (body, (0.0, 90.0, 180.0, 270.0))
    try:
        yield from goal_poses(floor, zone, inside, hull, turns, job.slack_mm, kept=job.kept)
    except FloorProblem:
        return


# --- back on -------------------------------------------------------------------------------------------


def _put_on(job: Job, it: Attempt, part: Projection, kg: float, lift: Lift) -> Lift:
    """Return a lift with the hoist that puts the part on again at the goal: the same where it comes there,
    else the first other one that finds room there; where none does, with what speaks against each.
    """
    if it.goal is None or it.route is None:
        return lift
    side = _room_at_goal(job, it, part, kg, lift.gear)
    why = side if isinstance(side, str) else _comes(job, it, lift, side)
    if not why:
        return replace(lift, back=True)
    no_way = "" if isinstance(side, str) else why
    nor: list[str] = []
    for gear in job.scene.shop.gear.values():
        if gear.kind not in HOISTS or gear is lift.gear or borne(job.scene, gear, it.body.group.id):
            continue
        there = _room_at_goal(job, it, part, kg, gear)
        if not isinstance(there, str):
            return replace(lift, back=True, other=gear, no_way=no_way)
        nor.append(there)
    return replace(lift, back=no_way == NOT_DECIDED, no_way=no_way, nor=tuple(nor))


NOT_DECIDED = "no way was found for it, nor that there is none"


def _room_at_goal(job: Job, it: Attempt, part: Projection, kg: float, gear: Gear) -> _Side | str:
    """Return the side of the thing at its goal that a hoist finds room on to put a part on; else why none."""
    import shapely

    every = _sides_of(job, it, part, kg, gear)
    if isinstance(every, No):
        return every.why
    assert it.goal is not None and it.route is not None
    said: list[str] = []
    free = floor_free(_floor(shifted_scene(job.scene, it.shifted), it, gear, it.route))
    person = job.scene.shop.limits.moving["person"]
    for side in every:
        if isinstance(side, str):
            said.append(side)
            continue
        ends = [side.pose(it.goal, back) for back in (0.0, side.back_mm, side.back_mm + person)]
        strip = convex_hull([p for pose in ends for p in placed(side.hull, pose)])
        if shapely.difference(shapely.Polygon(strip), free).area <= 1.0:
            return side
    return f"{gear.name}: {'; '.join(dict.fromkeys(said)) or f'no room at it in {job.goal.name}'}"


def _comes(job: Job, it: Attempt, lift: Lift, side: _Side) -> str:
    """Say why an empty hoist does not come from where it took a part off to the goal; '' if it does."""
    assert it.body.room is not None and it.goal is not None
    shop, now = job.scene.shop, shifted_scene(job.scene, it.shifted)
    start, to = lift.before, side.pose(it.goal, side.back_mm)
    stands, said = placed(it.body.load.outline, it.goal), ""
    for route in routes(shop, it.body.room, job.goal.room, (start.x_mm, start.y_mm), (to.x_mm, to.y_mm)):
        why = too_tall_or_wide(shop, lift.gear, route)
        if not why:
            among = _solid(_floor(now, it, lift.gear, route), stands)
            ask = Asker(among, side.hull, start, to, job.until, job.cancelled, job.kept)
            if ask.goes((), job.slack_mm, ASK_STEPS).answer == "goes":
                return ""
            proved = ask.goes((), 0.0, ASK_STEPS).answer == "does not go"
            why = "no way exists for it, whichever way it turns" if proved else NOT_DECIDED
        said = NOT_DECIDED if NOT_DECIDED in (said, why) else said or why
    return said


def comes_back(scene: Scene, where: InZone | None, start: str | None, goal: str) -> bool:
    """Tell whether a part comes to the goal hanging from a hoist, by level floors, from where it lies.

    Only by doors: its way is not asked of the floor kernel. `start` is the room of a part without a place.
    """
    zone = None if where is None else scene.zone(where.zone)
    here = start if zone is None else zone.room
    return here is None or level_between(scene.shop, here, goal)


# --- where to
# ------------------------------------------------------------------------------------------------------


def _resting(job: Job, it: Attempt, lifts: Mapping[str, Lift | No]) -> dict[str, InZone]:
    """Return a place for each part that comes off, off the way, where its size is told and there is one."""
    found: dict[str, InZone] = {}
    now = with_left(shifted_scene(job.scene, it.shifted), it.body)
    bare = [p for p in lying_on(job.scene, it.body) if it.body.left_here and not by_one(job.scene, p)]
    for part in (*bare, *it.body.off):
        key = part.group
        if not key:
            x0, y0, x1, y1 = bounds(part.outline)
            if part.to_mm is None:
                continue
            size = Size(x1 - x0, y1 - y0, part.to_mm - part.from_mm)
            key = f"part {part.name}"
            now = now.with_group(Group(key, part.name, part.name, size=size, mass=part.mass))
        lift = lifts.get(part.called)
        told = [_gets_there(job, it, part, lift)] if isinstance(lift, Lift) else _by_people(job, it, part)
        could = _may_stand(job, it, part, lift) if isinstance(lift, Lift) else None
        tries = (off_the_way(now, key, it.hull, it.found.path, job.known, gets, could) for gets in told)
        where = next((each for each in tries if each is not None), None)
        if where is not None:
            found[part.called] = where
            now = now.with_group_at(key, where)
    return found


Gets = Callable[[InZone, Outline | None], bool]
"""Tells of a place, and the outline of a part there, whether who or what carries it gets there."""


def _by_people(job: Job, it: Attempt, part: Projection) -> list[Gets | None]:
    """Return what is asked of a place for a part, best first: that those who take it off set it down at its
    height, and that a team carries it over no slope or sill; else its height alone, else nothing.
    """
    kg, scene = taken_kg(part), job.scene
    n = 0 if kg is None else team_for(scene, kg, height_of(part))[0]
    if kg is None or not n:
        return [None]

    def high(where: InZone, _outline: Outline | None) -> bool:
        return team_for(scene, kg, *lifted_between(scene, part, where))[0] > 0

    def level(where: InZone, outline: Outline | None) -> bool:
        zone = scene.zone(where.zone)
        room = None if zone is None else zone.room
        return high(where, outline) and (n == 1 or not steps_between(scene, it.body.room, room))

    return [level, high, None]


def _gets_there(job: Job, it: Attempt, part: Projection, lift: Lift) -> Gets:
    """Return whether a hoist with a part hanging from it gets to a place, by level floors and under all that
    hangs there, its legs among the walls, and does not wait there itself, nor let it down under a bench or
    rack.
    """
    import shapely

    waits = shapely.Polygon(lift.waits)

    def gets(where: InZone, outline: Outline | None) -> bool:
        zone = job.scene.zone(where.zone)
        if zone is None or it.body.room is None:
            return False
        covered = [
            waits,
            *(shapely.Polygon(z.outline) for z in job.scene.zones_in(zone.room) if _over(z, zone)),
        ]
        if outline is not None and any(shapely.intersects(c, shapely.Polygon(outline)) for c in covered):
            return False
        level = next((lv for lv in zone.levels if lv.key == where.level), None)
        thick = (part.to_mm or part.from_mm) - part.from_mm
        high = 0.0 if level is None else level.height_mm
        if (hook_at(lift.gear, lift.reach_mm) or 0.0) < high + thick + HOOK_OVER_MM:
            return False
        on_floor = outline is not None and zone.kind in ("floor", "room")
        if on_floor and outline and not _may_stand(job, it, part, lift)(zone.room, outline):
            return False
        return _drives(job, it, part, lift, zone, level, outline)

    return gets


def _may_stand(job: Job, it: Attempt, part: Projection, lift: Lift) -> Callable[[str, Outline], bool]:
    """Return whether a hoist stands among the walls of a room with its hook over the middle of an outline."""
    hoist, hook = _turned_in(lift.stands, lift), bounds(_in_frame(it, part.outline, lift)).middle
    rooms = job.scene.shop.rooms

    def may(room: str, outline: Outline) -> bool:
        return stands_with_hook(rooms[room].outline, hoist, hook, bounds(outline).middle)

    return may


WAYS_ROUND = 24
"""A hoist is tried at so many turns about its hook."""


def stands_with_hook(room: Outline, hoist: Outline, hook: Point, over: Point) -> bool:
    """Tell whether a hoist (with its hook in its own frame) stands in a room, whichever way round, with its
    hook over a point.
    """
    import shapely

    walls = shapely.Polygon(room).buffer(1.0)
    about = [(x - hook[0], y - hook[1]) for x, y in hoist]
    ways = (placed(about, Pose(*over, 360.0 * k / WAYS_ROUND)) for k in range(WAYS_ROUND))
    return any(bool(walls.covers(shapely.Polygon(way))) for way in ways)


def hung_back_mm(it: Body, part: Projection, lift: Lift) -> float:
    """Return how far back a hoist goes from where it takes a part off until that is clear of the thing."""
    if it.pose is None:
        return 0.0
    thing = it.load.own or it.load.outline
    return back_mm(placed(thing, it.pose), placed(part.outline, it.pose), lift.before.turn_deg)


def back_mm(thing: Outline, part: Outline, boom_deg: float) -> float:
    """Return how far back a hoist goes with a part hung high until that is clear of the thing (both in the
    shop frame), against the direction of its boom.
    """
    c, s = cos_sin(boom_deg)
    front, rear = max(x * c + y * s for x, y in part), min(x * c + y * s for x, y in thing)
    return max(0.0, front - rear)


def _over(other: Zone, floor: Zone) -> bool:
    """Tell whether a place stands on a floor, so that nothing is let down under it."""
    return floor.kind in ("floor", "room") and other.kind not in ("floor", "room")


def _drives(
    job: Job,
    it: Attempt,
    part: Projection,
    lift: Lift,
    zone: Zone,
    level: Level | None,
    outline: Outline | None,
) -> bool:
    """Tell whether a hoist drives a part from where it took it off to near its outline on a floor, no farther
    from it than the hoist is long; else to the floor before a bench or shelf.
    """
    assert it.body.room is not None and it.body.pose is not None
    shop, at, hull = job.scene.shop, lift.before, _hung(it, part, lift)
    now = shifted_scene(job.scene, it.shifted)
    stands = placed(it.body.load.outline, it.body.pose)
    near, body = zone, hull
    if outline is not None and zone.kind in ("floor", "room"):
        x0, y0, x1, y1 = bounds(hull)
        near, body = near_to(zone, outline, max(x1 - x0, y1 - y0)) or zone, _in_frame(it, part.outline, lift)
    elif level is not None:
        near = floor_before(job.scene, Onto(zone, level), hull) or zone
    for route in routes(shop, it.body.room, zone.room, (at.x_mm, at.y_mm), bounds(near.outline).middle):
        if not is_level(shop, route) or too_tall_or_wide(shop, lift.gear, route):
            continue
        among = _solid(_floor(now, it, lift.gear, route), stands)
        for pose in _free(job, among, near, hull, body):
            ask = Asker(among, hull, at, pose, job.until, job.cancelled, job.kept)
            if ask.goes((), job.slack_mm, ASK_STEPS).answer == "goes":
                return True
    return False


def _hung(it: Attempt, part: Projection, lift: Lift) -> Outline:
    """Return a hoist and the part that hangs from it, in the hoist's own frame."""
    return convex_hull([*_turned_in(lift.stands, lift), *_in_frame(it, part.outline, lift)])


def _in_frame(it: Attempt, outline: Outline, lift: Lift) -> Outline:
    """Return an outline of the thing where it stands, in the frame of a hoist that lifts there."""
    assert it.body.pose is not None
    return _turned_in(placed(outline, it.body.pose), lift)


def _turned_in(outline: Outline, lift: Lift) -> Outline:
    cx, cy = centroid(lift.stands)
    return turned([(x - cx, y - cy) for x, y in outline], -lift.before.turn_deg)
