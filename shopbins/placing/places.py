"""The best places for a group over the whole shop, each with its reason."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from shopbins.geometry.convex import convex_parts
from shopbins.geometry.exact import gap, line_gap
from shopbins.geometry.segments import least_width_mm
from shopbins.geometry.shapes import Box
from shopbins.kernel.benchtop import stand_upright
from shopbins.ledger.model import Group, InZone
from shopbins.placing.judging import judged, placement
from shopbins.rules import poses, ways
from shopbins.rules.finding import Finding
from shopbins.rules.headroom import headroom_of
from shopbins.rules.say import listed, load, mm
from shopbins.rules.shuffling import HEAPED, rectangle_of
from shopbins.scene.contents import Contents, area_of
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, footprint, heights_meet
from shopbins.shop.model import Level, Zone
from shopbins.units import counted, show_area, show_mass, show_point

HEAVY_KG = 25.0
"""From here on the floor is better than a bench: HSE INDG143, men, knuckle to elbow height, close."""

GOOD_HEIGHT_MM = (720.0, 1090.0)
"""Knuckle to elbow height of most workers, where HSE's lifting filter is largest (INDG143)."""

LIFTING = frozenset({"lift", "team", "one-person"})
"""Rules about what people lift: a place beyond their figure counts like one with something to fix."""

IN_THE_WAY = frozenset({"walkway", "door-front", "door-passage", "door-swing", "keep-clear", "outside"})
"""Rules whose places are never offered unasked, however slight the trouble is."""

NEARBY_MM = 2000.0
BESIDE_MM = 300.0


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A place for a group: where, why there, what is found there; best first when listed."""

    zone: str
    level: str
    where: InZone
    reason: str
    findings: tuple[Finding, ...]
    rank: tuple[float, ...] = ()

    @property
    def pose(self) -> InZone | None:
        """The place with its pose, None where it needs none."""
        return self.where if self.where.posed else None


def hard_to_lift(findings: Iterable[Finding]) -> bool:
    """Tell whether a lift is beyond the figure of the people on hand."""
    return any(
        f.measured > f.limit
        for f in findings
        if f.rule in LIFTING and f.judged and f.measured is not None and f.limit is not None
    )


def best_places(scene: Scene, group_id: str, *, zone: str | None = None, most: int = 8) -> list[Suggestion]:
    """Return the best places for a group, in one zone or the whole shop, best first.

    Places that would be a stop come only for a stated zone, after all others, and so do those in a room no
    door leads into that the group goes through. On the floor of a stated zone every free place there is at
    the turns of its walls is looked at: none means none. Raises KeyError where there is no such group or
    zone.
    """
    found: list[Suggestion] = []
    good = 0
    for each in suggestions(scene, group_id, zone=zone, most=most):
        stop = any(f.grade == "stop" for f in each.findings)
        if zone is None and (stop or any(f.rule in IN_THE_WAY and f.grade != "note" for f in each.findings)):
            continue
        found.append(each)
        good += all(f.grade == "note" for f in each.findings)
        if zone is None and good >= most and each.where.zone in scene.shop.rooms:
            break  # an open floor never ranks before a good place in a zone, and those came first
    return sorted(found, key=lambda each: each.rank)[:most]


def suggestions(
    scene: Scene, group_id: str, *, zone: str | None = None, most: int = 1
) -> Iterator[Suggestion]:
    """Go through every level of every zone with the best place on it; stop taking when you have enough.

    Of a stated zone's floor the best places there are, at most so many.
    """
    group = scene.group(group_id)
    if zone is None:
        zones = [z for z in scene.zones() if z.levels]
    else:
        only = scene.zone(zone)
        if only is None:
            raise KeyError(zone)
        zones = [only]
    kin = _kin(scene, group)
    widest = widest_ways(scene, group.id)
    side = least_side_mm(group)
    for each in zones:
        shut_out = side > widest.get(each.room, math.inf)
        if shut_out and zone is None:
            continue
        for level in each.levels:
            for found in _on(scene, group, each, level, kin, 0 if zone is None else most):
                if not shut_out:
                    yield found
                    continue
                words = f"no way in: least side {mm(side)}, widest door on the way {mm(widest[each.room])}"
                yield replace(found, reason=f"{words}, {found.reason}", rank=(8.0, *found.rank))


def least_side_mm(group: Group) -> float:
    """Return how wide a door must be at least for a group, standing or on its side; 0 where nobody measured.

    A convex thing goes through no door narrower than its least width (Strang, The width of a chair, 1982,
    from memory), and an angled one through none that one of its convex parts does not.
    """
    outline, size = footprint(group), group.known_size
    if outline is None:
        return 0.0
    across = max(least_width_mm(part) for part in convex_parts(outline))
    return across if size is None else min(across, size.height_mm)


def widest_ways(scene: Scene, group_id: str) -> dict[str, float]:
    """Return for each room how wide the narrowest door is on the widest way to it from where a group is now.

    Ways over outside count. Empty where it is not known which room the group is in, and nothing is said of
    rooms no door leads to.
    """
    top = scene.top_of(group_id)
    zone = scene.zone(top.where.zone) if top is not None and isinstance(top.where, InZone) else None
    if zone is None:
        return {}
    found: dict[str, float] = {}
    ahead = [(-math.inf, zone.room)]
    while ahead:
        width, room = heapq.heappop(ahead)
        if room in found:
            continue
        found[room] = -width
        for door in scene.shop.doors.values():
            if room in (door.room, door.to):
                heapq.heappush(ahead, (-min(-width, door.clear_width_mm), door.beyond(room)))
    return found


def _on(
    scene: Scene, group: Group, zone: Zone, level: Level, kin: dict[str, int], asked: int
) -> Iterator[Suggestion]:
    """Go through the best place on a level; `asked`: it was asked for, and so many are wanted of a floor."""
    if not asked and _hopeless(scene, group, zone, level):
        return
    plain = InZone(zone.key, level.key)
    if zone.kind not in ("floor", "room") or footprint(group) is None:
        yield _suggested(scene, group, zone, level, kin, plain, _room_left(scene, group, zone, level))
        return
    if not asked:
        where = poses.choose(scene, group, zone, level)
        if where is not None:
            yield _suggested(scene, group, zone, level, kin, where, "")
        return
    found = poses.several(scene, group, zone, level, asked)
    for where, stands in found:
        yield _suggested(scene, group, zone, level, kin, where, stands)
    if not found:
        none = _suggested(scene, group, zone, level, kin, plain, "")
        words = f"no free place at the turns tried: {turns_tried(zone)}"
        yield replace(none, reason=words, rank=(9.0, *none.rank))


def turns_tried(zone: Zone) -> str:
    """Say the turns at which places are looked for, counted in the zone's own frame."""
    own = sorted({round((turn - zone.frame.turn_deg) % 180.0, 1) % 180.0 for turn in poses.turns(zone)})
    return f"{listed((f'{turn:g}' for turn in own), 6)} deg"


def _suggested(
    scene: Scene, group: Group, zone: Zone, level: Level, kin: dict[str, int], where: InZone, stands: str
) -> Suggestion:
    there = placement(scene, group.id, where)
    findings = tuple(judged(there))
    contents = there.scene.contents(zone.key, level.key)
    beside = _beside(there.scene, there.body) if there.body is not None else None
    words = _reason(scene, group, zone, level, contents, beside, kin.get(zone.key, 0))
    said = [stands, words, *(_ways(there.scene, there.body) if there.body is not None else ())]
    rank = _rank(scene, group, zone, level, contents, beside, kin.get(zone.key, 0), findings)
    return Suggestion(zone.key, level.key, where, ", ".join(filter(None, said)), findings, rank)


def _ways(scene: Scene, body: Standing) -> Iterator[str]:
    """Go through what is left of every walkway a body stands in or right beside."""
    for way in scene.shop.walkways.values():
        if way.rooms and body.room not in way.rooms:
            continue
        pinch = ways.past(scene, way, body)
        if pinch is not None:
            yield f"leaves {mm(pinch.clear_mm)} of {way.name}"
            continue
        spare = line_gap(body.outline, way.line).distance_mm - way.width_mm / 2
        if 0.0 <= spare <= BESIDE_MM:
            yield f"leaves all {mm(way.width_mm)} of {way.name}"


def _room_left(scene: Scene, group: Group, zone: Zone, level: Level) -> str:
    """Say where on a bench or shelf there is room as things lie, where all have places at quarter turns."""
    sides = rectangle_of(group)
    if sides is None or zone.size_mm is None or zone.kind not in ("bench", "shelf"):
        return ""
    boxes: list[tuple[str, Box]] = []
    for other in (scene.group(each) for each in scene.ids_in(zone, level.key) if each != group.id):
        own, where = rectangle_of(other), other.where
        if other.container in HEAPED:
            continue
        if own is None or not isinstance(where, InZone) or where.x_mm is None or where.y_mm is None:
            return ""
        if where.turn_deg % 90.0:
            return ""
        a, b = (own[1], own[0]) if where.turn_deg % 180.0 else own
        x, y = where.x_mm, where.y_mm
        boxes.append((other.shown, Box(x - a / 2, y - b / 2, x + a / 2, y + b / 2)))
    if not boxes:
        return ""
    found = stand_upright(zone.size_mm, boxes, sides, most=1)
    if found.none_for_certain:
        return "no room at quarter turns as things lie"
    best = found.places[0]
    return f"room at {show_point(best.pose.x_mm, best.pose.y_mm)} as things lie, {best.reason}"


def _hopeless(scene: Scene, group: Group, zone: Zone, level: Level) -> bool:
    """Tell, from sums alone, that a level cannot take the group."""
    contents = scene.contents(zone.key, level.key)
    here = isinstance(group.where, InZone) and group.where.zone == zone.key
    share = scene.share(group.id)
    if not here and contents.too_heavy(share.mass_kg):
        return True
    free, _ = headroom_of(scene, zone, level)
    return free is not None and share.height_mm is not None and share.height_mm > free


def _kin(scene: Scene, group: Group) -> dict[str, int]:
    """Count, for each zone, the groups there that came from the same assembly."""
    found: dict[str, int] = {}
    home = group.origin[:-1]
    if not home:
        return found
    for other in scene.groups():
        if other.id != group.id and other.origin[: len(home)] == home and isinstance(other.where, InZone):
            found[other.where.zone] = found.get(other.where.zone, 0) + 1
    return found


def _beside(scene: Scene, body: Standing) -> tuple[float, str]:
    """Return the clear distance to the nearest thing that stands beside a body, and its name."""
    best, name = NEARBY_MM, ""
    for other in scene.near(body.room, body.box.grown(NEARBY_MM)):
        if other.subject == body.subject or heights_meet(body, other) is False:
            continue
        if other.kind == "zone" and other.zone == body.zone:
            continue
        between = gap(body.outline, other.outline).distance_mm
        if between < best:
            best, name = between, other.name
    return best, name


def _reason(
    scene: Scene,
    group: Group,
    zone: Zone,
    level: Level,
    contents: Contents,
    beside: tuple[float, str] | None,
    kin: int,
) -> str:
    """Say what speaks for a place: what is clear beside it, its load, its height, its company."""
    said = []
    if kin:
        said.append(f"{counted(kin, f'other {group.origin[-2]} part')} there")
    if beside is not None:
        said.append(f"{mm(beside[0])} clear beside it" if beside[1] else "nothing within 2 m")
    elif zone.kind != "room" and area_of(group) is not None:
        said.append(f"{show_area(contents.free_mm2)} still free")
    if contents.limit_kg is not None:
        said.append(f"{load(contents)} of {show_mass(contents.limit_kg)}")
    said.append(f"lift to {mm(level.height_mm)}" if level.height_mm > 0 else "on the floor")
    free, _ = headroom_of(scene, zone, level)
    height = scene.share(group.id).height_mm
    if free is not None and height is not None and free - height < 200:
        said.append(f"{mm(free - height)} over it")
    return ", ".join(said)


def _rank(
    scene: Scene,
    group: Group,
    zone: Zone,
    level: Level,
    contents: Contents,
    beside: tuple[float, str] | None,
    kin: int,
    findings: tuple[Finding, ...],
) -> tuple[float, ...]:
    """Rank a place, least is best: what is found, lifting beyond a limit too; what is heavy low; then kind,
    company, reach, fullness.
    """
    stops = sum(f.grade == "stop" for f in findings)
    wrong = sum(f.grade == "correct" or _too_heavy(f) for f in findings)
    mass = scene.share(group.id).mass_kg
    low, high = GOOD_HEIGHT_MM
    reach = max(low - level.height_mm, level.height_mm - high, 0.0)
    heavy = round(level.height_mm / 500.0) if mass >= HEAVY_KG else 0
    open_floor = 1.0 if zone.kind == "room" else 0.0
    tight = 0.0 if beside is None else max(0.0, 600.0 - beside[0]) / 600.0
    fullness = contents.load_kg / contents.limit_kg if contents.limit_kg else contents.fill
    return (stops, wrong, heavy, open_floor, -min(kin, 3), round(reach / 500.0), round(fullness + tight, 2))


def _too_heavy(finding: Finding) -> bool:
    """Tell whether a note says that it is too heavy for the people on hand: that counts like 'to fix'."""
    return finding.grade == "note" and finding.rule in ("lift", "one-person", "lift-height")
