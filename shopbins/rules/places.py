"""The best places for a group over the whole shop, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shopbins.floor.exact import gap
from shopbins.layout.contents import Contents, area_of
from shopbins.layout.grid import grown
from shopbins.layout.scene import Scene
from shopbins.layout.standing import Standing, footprint, heights_meet
from shopbins.parts.model import Group, InZone
from shopbins.rules import poses
from shopbins.rules.finding import Finding
from shopbins.rules.headroom import headroom_of
from shopbins.rules.judging import judged, placement
from shopbins.rules.say import load, mm
from shopbins.shop.model import Level, Zone
from shopbins.units import show_area, show_mass

HEAVY_KG = 25.0
"""From here on the floor is better than a bench: HSE INDG143, men, knuckle to elbow height, close."""

GOOD_HEIGHT_MM = (720.0, 1090.0)
"""Knuckle to elbow height of most workers, where HSE's lifting filter is largest (INDG143)."""

NEARBY_MM = 2000.0


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


def best_places(scene: Scene, group_id: str, *, zone: str | None = None, most: int = 8) -> list[Suggestion]:
    """Return the best places for a group, in one zone or the whole shop, best first.

    Places that would be a stop come only for a stated zone, after all others. Raises KeyError where there
    is no such group or zone.
    """
    found: list[Suggestion] = []
    good = 0
    for each in suggestions(scene, group_id, zone=zone):
        stop = any(f.grade == "stop" for f in each.findings)
        if zone is None and stop:
            continue
        found.append(each)
        good += all(f.grade == "note" for f in each.findings)
        if zone is None and good >= most and each.where.zone in scene.shop.rooms:
            break  # an open floor never ranks before a good place in a zone, and those came first
    return sorted(found, key=lambda each: each.rank)[:most]


def suggestions(scene: Scene, group_id: str, *, zone: str | None = None) -> Iterator[Suggestion]:
    """Go through every level of every zone with the best place on it; stop taking when you have enough."""
    group = scene.group(group_id)
    if zone is None:
        zones = [z for z in scene.zones() if z.levels]
    else:
        only = scene.zone(zone)
        if only is None:
            raise KeyError(zone)
        zones = [only]
    kin = _kin(scene, group)
    for each in zones:
        for level in each.levels:
            yield from _on(scene, group, each, level, kin, always=zone is not None)


def _on(
    scene: Scene, group: Group, zone: Zone, level: Level, kin: dict[str, int], *, always: bool
) -> Iterator[Suggestion]:
    if not always and _hopeless(scene, group, zone, level):
        return
    where: InZone | None = InZone(zone.key, level.key)
    posed = zone.kind in ("floor", "room") and footprint(group) is not None
    if posed:
        where = poses.choose(scene, group, zone, level) or (InZone(zone.key, level.key) if always else None)
    if where is None:
        return
    there = placement(scene, group.id, where)
    findings = tuple(judged(there))
    contents = there.scene.contents(zone.key, level.key)
    beside = _beside(there.scene, there.body) if there.body is not None else None
    words = _reason(scene, group, zone, level, contents, beside, kin.get(zone.key, 0))
    rank = _rank(scene, group, zone, level, contents, beside, kin.get(zone.key, 0), findings)
    if posed and not where.posed:
        words, rank = "no free place", (9.0, *rank)
    yield Suggestion(zone.key, level.key, where, words, findings, rank)


def _hopeless(scene: Scene, group: Group, zone: Zone, level: Level) -> bool:
    """Tell, from sums alone, that a level cannot take the group."""
    contents = scene.contents(zone.key, level.key)
    here = isinstance(group.where, InZone) and group.where.zone == zone.key
    share = scene.share(group.id)
    if contents.limit_kg is not None and not here and contents.load_kg + share.mass_kg > contents.limit_kg:
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
    for other in scene.near(body.room, grown(body.box, NEARBY_MM)):
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
        said.append(f"{kin} of {group.origin[-2]} there")
    if beside is not None:
        said.append(f"{mm(beside[0])} clear beside it" if beside[1] else "nothing within 2 m")
    elif zone.kind != "room" and area_of(group) is not None:
        said.append(f"{show_area(contents.free_mm2)} left free")
    if contents.limit_kg is not None:
        said.append(f"{load(contents)} of {show_mass(contents.limit_kg)}")
    said.append(f"{mm(level.height_mm)} lifting height" if level.height_mm > 0 else "on the floor")
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
    """Rank a place, least is best: what is found, then company, height for lifting, kind, fullness."""
    stops = sum(f.grade == "stop" for f in findings)
    wrong = sum(f.grade == "correct" for f in findings)
    mass = scene.share(group.id).mass_kg
    low, high = GOOD_HEIGHT_MM
    reach = max(low - level.height_mm, level.height_mm - high, 0.0)
    lift = level.height_mm if mass >= HEAVY_KG else reach
    open_floor = 1.0 if zone.kind == "room" else 0.0
    tight = 0.0 if beside is None else max(0.0, 600.0 - beside[0]) / 600.0
    fullness = contents.load_kg / contents.limit_kg if contents.limit_kg else contents.fill
    return (stops, wrong, open_floor, -min(kin, 3), round(lift / 500.0), round(fullness + tight, 2))
