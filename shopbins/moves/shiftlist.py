"""The shift list: where what stands in the way goes, in which order, and how heavy it is.

A place is off the way of the big thing, off walkways, door fronts and keep-clears, and causes no new finding;
things that roll or are slid are checked to get there as they are. A group that finds no such floor may go
onto a bench or shelf instead: carried, so its way is not judged.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from shopbins.geometry.shapes import Outline, Point, Pose, bounds, centroid, contains
from shopbins.ledger.model import InZone, ThingPlace
from shopbins.ledger.whereabouts import place_said
from shopbins.moves.hands import team_for
from shopbins.moves.route import Ground, room_of_outline
from shopbins.placing.judging import judge, judge_thing
from shopbins.placing.places import LIFTING, best_places
from shopbins.rules.finding import Finding
from shopbins.rules.poses import kept_free
from shopbins.scene.frames import to_shop, to_zone
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.figures import Moving
from shopbins.shop.model import open_floor

UNKNOWN_KG = 60.0
"""What a thing nobody weighed is taken to cost to shift, for choosing only: own figure, never shown."""
EACH_KG = 20.0
"""What shifting anything costs besides its mass, so that few things are shifted rather than many: own."""
SHIFTING = "what has to be shifted at least"
HANDS_MM = 900.0
"""How high hands hold what is shifted, about knuckle height and above: own figure."""


@dataclass(frozen=True, slots=True)
class By:
    """What shifts a thing: hands, gear that takes it, gear that may, a team looked at first; or none does.

    `why` is what is said about the gear, of 'own move' and 'nothing' why no other takes it.
    """

    how: Literal["hands", "gear", "looked at", "team", "own move", "nothing"]
    people: int = 0
    gear: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Shifted:
    """One thing to shift: to where, and how heavy. `where` for a group, `place` for a thing of the shop.

    `mass_kg` is with all on it that was weighed (None: nothing was), `not_weighed` how many were not. `path`
    are the poses of its middle if it is rolled or slid there; () where it is carried. `by` is what shifts it
    (None: not weighed, or not looked at yet). `pose` is in the shop frame, as everything on a sheet.
    """

    subject: str
    code: str
    name: str
    zone: str
    level: str
    pose: dict[str, float] | None
    mass_kg: float | None
    not_weighed: int
    where: InZone | None = None
    place: ThingPlace | None = None
    path: tuple[Pose, ...] = ()
    findings: tuple[Finding, ...] = ()
    by: By | None = None

    @property
    def place_words(self) -> str:
        """Say the place as people write it."""
        return place_said(self.zone, self.level)

    def as_json(self) -> dict[str, Any]:
        """Return it as `shopbins move --json` prints it."""
        return {"code": self.code, "place": self.place_words, "pose": self.pose, "mass_kg": self.mass_kg}


@dataclass(frozen=True, slots=True)
class ShiftList:
    """What to shift, in order; `no_place` names what found none, with the reason."""

    items: tuple[Shifted, ...]
    no_place: tuple[str, ...]

    @property
    def not_weighed(self) -> int:
        """How many of what is moved were not weighed."""
        return sum(each.not_weighed for each in self.items)


def shifted_scene(scene: Scene, items: Sequence[Shifted]) -> Scene:
    """Return the scene once all of a shift list is done."""
    for each in items:
        if each.where is not None:
            scene = scene.with_group_at(each.subject.partition(":")[2], each.where)
        elif each.place is not None:
            scene = scene.with_thing_at(each.place)
    return scene


def costs(scene: Scene, things: Sequence[Standing]) -> list[float]:
    """Return what shifting each thing costs, for choosing the least."""
    return [EACH_KG + (_mass(scene, each)[0] or UNKNOWN_KG) for each in things]


def shift_minutes(own: Moving, some: Iterable[Shifted]) -> float:
    """Return how long it takes to shift some things, by our own figures."""
    return sum(own["minutes shift"] + (each.mass_kg or 60.0) / 20 for each in some)


def said_so_far(paid: Sequence[float], cost_at_least: float, shift: Sequence[int] | None) -> str:
    """Say how many things have to be shifted as far as is known: `cost_at_least` is proved, `shift` would do.

    However things are chosen, so many of the dearest come to that cost: fewer are not enough.
    """
    fewest, cost = 0, 0.0
    for each in sorted(paid, reverse=True):
        if cost >= cost_at_least * (1 - 1e-9):
            break
        fewest, cost = fewest + 1, cost + each
    if fewest == 0:
        return SHIFTING if shift is None else f"{len(shift)} to shift would do, perhaps fewer"
    if shift is None:
        return f"at least {fewest} to shift"
    if len(shift) == fewest:
        return f"{fewest} to shift, or lighter ones"
    return f"at least {fewest} to shift, {len(shift)} would do"


def _mass(scene: Scene, it: Standing) -> tuple[float | None, int]:
    """Return the mass of a thing with all on it as far as weighed, and how many were not."""
    if it.kind == "group":
        share = scene.share(it.key)
        return (share.mass_kg or None), share.unweighed
    kg, unknown = (it.mass_kg or 0.0), int(it.mass_kg is None)
    if it.kind == "zone":
        load = scene.contents(it.key)
        kg, unknown = kg + load.load_kg, unknown + load.unweighed
    return (kg or None), unknown


def _light(scene: Scene, it: Standing) -> bool:
    """Tell whether people lift a thing by the guides, so that it needs no gear."""
    kg, unknown = _mass(scene, it)
    return kg is not None and not unknown and team_for(scene, kg, HANDS_MM)[0] > 0


def shift_list(
    scene: Scene,
    ground: Ground,
    hull: Outline,
    path: Sequence[Pose],
    shift: Sequence[int],
    *,
    kept: Sequence[Outline] = (),
    known: frozenset[str] = frozenset(),
    stop: Callable[[], bool] = lambda: False,
    standing: Outline | None = None,
) -> ShiftList:
    """Return where each thing goes. `shift` are places in `ground.things`, `kept` areas to keep free besides
    the way itself; findings in `known` were there before. `standing` is what stands at the start meanwhile,
    before its gear comes (all that moves where left out).
    """
    work = _Work(scene, ground, hull, path, tuple(kept), known, stop, standing)
    left = sorted(shift, key=lambda i: (_mass(scene, ground.things[i])[0] or UNKNOWN_KG, i))
    why: dict[int, str] = {}
    progress = True
    while left and progress and not stop():
        progress = False
        for i in list(left):
            found = work.place(i)
            if isinstance(found, str):
                why[i] = found
                continue
            left.remove(i)
            progress = True
    none = tuple(f"{ground.things[i].name}: {why.get(i, 'time was up')}" for i in left)
    return ShiftList(tuple(work.items), none)


class _Work:
    """A shift list being made: where everything stands by now."""

    def __init__(
        self,
        scene: Scene,
        ground: Ground,
        hull: Outline,
        path: Sequence[Pose],
        kept: tuple[Outline, ...],
        known: frozenset[str],
        stop: Callable[[], bool],
        standing: Outline | None,
    ) -> None:
        from shopbins.kernel.shift_places import swept_about

        self.now = scene
        self.ground = ground
        self.hull, self.path = hull, path
        self.kept = (*kept, *(outline for _, outline in kept_free(scene.shop, ground.route.rooms)))
        self.known = known
        self.stop = stop
        self.standing = standing
        self.outlines = list(ground.loose)
        self.items: list[Shifted] = []
        self.way = swept_about(hull, path)

    def place(self, i: int) -> str | None:
        """Find a place for one thing and put it there; else say why there is none."""
        it = self.ground.things[i]
        why = "no place is big enough off the way, walkways and keep-clears"
        fallback: tuple[Shifted, Outline | None] | None = None
        for made in self._places(i, it):
            if isinstance(made, str):
                why = made
                continue
            item = made[0]
            if not item.findings:
                self._take(i, made)
                return None
            if not any(f.grade == "stop" for f in item.findings) and fallback is None:
                fallback = made
        if fallback is None:
            return why
        self._take(i, fallback)
        return None

    def _take(self, i: int, made: tuple[Shifted, Outline | None]) -> None:
        item, outline = made
        self.items.append(item)
        if item.where is not None:
            self.now = self.now.with_group_at(self.ground.things[i].key, item.where)
        elif item.place is not None:
            self.now = self.now.with_thing_at(item.place)
        self.outlines[i] = outline or _nowhere()

    def _places(self, i: int, it: Standing) -> Iterator[tuple[Shifted, Outline | None] | str]:
        """Go through places: on the floor it can be slid to, then (groups) wherever it can be carried."""
        from shopbins.geometry.shapes import FloorProblem
        from shopbins.kernel.shift_places import place_shifted

        holes = self.ground.holes
        slopes = tuple(o for o, _ in self.ground.slopes if not contains(o, it.box.middle))
        tries = ((*holes, *slopes), holes) if slopes and not _light(self.now, it) else (holes,)
        for kept_off in tries:  # what goes on gear stays off slopes where it can
            try:
                found = place_shifted(
                    self.ground.outlines,
                    kept_off,
                    self.outlines,
                    self.hull,
                    self.path,
                    [i],
                    keep_clear=self.kept,
                    gap_mm=max(10.0, 2 * self.now.shop.measured_mm),
                    stop=self.stop,
                    way=self.way,
                    standing=self.standing,
                )
            except FloorProblem as problem:
                yield str(problem)
                continue
            if found.moves:
                move = found.moves[0]
                made = self._floor(it, move.outline, move.path)
                yield made if made is not None else "the nearest place lies across a wall"
                break
            yield found.no_place[0][1]
        if it.kind == "group":
            yield from self._carried(it)

    def _floor(
        self, it: Standing, outline: Outline, path: tuple[Pose, ...]
    ) -> tuple[Shifted, Outline] | None:
        shop = self.now.shop
        room = room_of_outline(shop, outline, self.ground.route.rooms)
        if room is None:
            return None
        turn = path[-1].turn_deg if path else 0.0
        mass, unknown = _mass(self.now, it)
        if it.kind == "group":
            where = self._in_zone(it, outline, room, turn)
            findings = self._found(it, judge(self.now, it.key, where))
            assert where.x_mm is not None and where.y_mm is not None
            pose = _in_shop(self.now, where)
            item = Shifted(
                it.subject, it.code, it.name, where.zone, "", pose, mass, unknown,
                where=where, path=path, findings=findings,
            )  # fmt: skip
            return item, outline
        before = self.now.shifted.get(it.key)
        middle = bounds(outline).middle
        base = 0.0 if before is None else before.turn_deg
        if turn % 90.0:  # its box's middle is counted unturned; a quarter turn keeps the middle
            middle = _middle_after(it, outline)
        place = ThingPlace(it.key, *middle, (base + turn) % 360.0, room)
        findings = self._found(it, judge_thing(self.now, place))
        pose = {"x_mm": round(place.x_mm, 1), "y_mm": round(place.y_mm, 1), "turn_deg": place.turn_deg}
        return (
            Shifted(
                it.subject,
                it.code,
                it.name,
                room,
                "",
                pose,
                mass,
                unknown,
                place=place,
                path=path,
                findings=findings,
            ),
            outline,
        )

    def _in_zone(self, it: Standing, outline: Outline, room: str, turn: float) -> InZone:
        """Return the place of a shifted group: in the floor zone that holds it, else on the room's floor."""
        from shopbins.geometry.shapes import cos_sin

        group = self.now.group(it.key)
        where = group.where
        assert isinstance(where, InZone) and where.x_mm is not None and where.y_mm is not None
        zone = self.now.zone(where.zone)
        assert zone is not None
        at = to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)
        ox, oy = centroid(it.outline)
        nx, ny = centroid(outline)
        c, s = cos_sin(turn)
        dx, dy = at.x_mm - ox, at.y_mm - oy
        new = Pose(nx + dx * c - dy * s, ny + dx * s + dy * c, at.turn_deg + turn)
        home = self.now.zone(room)
        for each in self.now.zones():
            if each.kind == "floor" and each.room == room and all(contains(each.outline, p) for p in outline):
                home = each
                break
        assert home is not None
        there = to_zone(home, new.x_mm, new.y_mm, new.turn_deg)
        level = home.levels[0].key
        return InZone(
            home.key,
            level,
            round(there.x_mm, 1),
            round(there.y_mm, 1),
            round(there.turn_deg, 3) % 360.0,
            True,
        )

    def _carried(self, it: Standing) -> Iterator[tuple[Shifted, Outline | None]]:
        """Go through the shop's best places for a group that are off the way."""
        import shapely

        mass, unknown = _mass(self.now, it)
        for each in best_places(self.now, it.key, most=6):
            then = self.now.with_group_at(it.key, each.where).body(it.key)
            outline = None if then is None else then.outline
            if outline is not None and shapely.intersects(self.way, shapely.Polygon(outline)):
                continue
            pose = _in_shop(self.now, each.where)
            item = Shifted(
                it.subject, it.code, it.name, each.zone, each.level, pose, mass, unknown,
                where=each.where, findings=self._found(it, each.findings),
            )  # fmt: skip
            yield item, outline

    def _found(self, it: Standing, findings: Sequence[Finding]) -> tuple[Finding, ...]:
        """Return what is newly found; of what no people lift not what one person lifts alone."""
        by_gear = not _light(self.now, it)
        return tuple(f for f in findings if _new(f, self.known) and not (by_gear and f.rule in LIFTING))


def _in_shop(scene: Scene, where: InZone) -> dict[str, float] | None:
    """Return a place in a zone as a pose of the shop frame; None where no spot is told."""
    zone = scene.zone(where.zone)
    if zone is None or where.x_mm is None or where.y_mm is None:
        return None
    at = to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)
    return {"x_mm": round(at.x_mm, 1), "y_mm": round(at.y_mm, 1), "turn_deg": round(at.turn_deg, 3) % 360.0}


def _new(found: Finding, known: frozenset[str]) -> bool:
    return found.grade != "note" and found.id not in known


def off_the_way(
    scene: Scene,
    group_id: str,
    hull: Outline,
    path: Sequence[Pose],
    known: frozenset[str],
    gets: Callable[[InZone, Outline | None], bool] | None = None,
    could: Callable[[str, Outline], bool] | None = None,
) -> InZone | None:
    """Return the best place of a group that the big thing does not come through, with nothing new found.

    `gets` tells of a place, and the outline there, whether what carries it gets there: what one person lifts
    alone does not count. `could` tells of a room, and an outline on its floor, whether that may be at all:
    then open floor is looked at, too, the nearest to where the big thing stands first.
    """
    import shapely

    from shopbins.kernel.swept import swept

    way = swept(hull, path)
    for each in best_places(scene, group_id, most=12):
        if any(_new(f, known) and f.rule not in LIFTING for f in each.findings):
            continue
        body = scene.with_group_at(group_id, each.where).body(group_id)
        if body is not None and shapely.intersects(way, shapely.Polygon(body.outline)):
            continue
        if gets is None or gets(each.where, None if body is None else body.outline):
            return each.where
    judged = 0
    for where in () if could is None or not path else _open_floor(scene, path[0]):
        body = scene.with_group_at(group_id, where).body(group_id)
        if body is None or could is None or not could(where.zone, body.outline):
            continue
        if shapely.intersects(way, shapely.Polygon(body.outline)):
            continue
        judged += 1
        if judged > OPEN_JUDGED:
            return None
        new = any(_new(f, known) and f.rule not in LIFTING for f in judge(scene, group_id, where))
        if not new and gets is not None and gets(where, body.outline):
            return where
    return None


OPEN_EACH_MM = 500.0
"""So far apart places on open floor are looked at for what a hoist lays down."""
OPEN_JUDGED = 40
"""So many of them are judged."""


def _open_floor(scene: Scene, near: Pose) -> list[InZone]:
    """Return places all over the floors of the shop, the nearest to a pose first."""
    found: list[tuple[float, InZone]] = []
    for room in scene.shop.rooms.values():
        box = bounds(room.outline)
        across, up = (int(side // OPEN_EACH_MM) for side in (box.wide_mm, box.deep_mm))
        for i, j in itertools.product(range(1, across + 1), range(1, up + 1)):
            x, y = box.left + i * OPEN_EACH_MM, box.bottom + j * OPEN_EACH_MM
            at = to_zone(open_floor(room), x, y, 0.0)
            where = InZone(room.key, "", at.x_mm, at.y_mm, at.turn_deg, measured=True)
            found.append((math.dist((x, y), (near.x_mm, near.y_mm)), where))
    return [where for _, where in sorted(found, key=lambda each: each[0])]


def _middle_after(it: Standing, outline: Outline) -> Point:
    """Return where the middle of a thing's box went as it turned with its centre."""
    if math.dist(it.box.middle, centroid(it.outline)) < 1.0:
        return centroid(outline)
    return bounds(outline).middle


def _nowhere() -> Outline:
    """Return an outline far from any floor, for what went onto a bench."""
    return ((1e8, 1e8), (1e8 + 1, 1e8), (1e8 + 1, 1e8 + 1))
