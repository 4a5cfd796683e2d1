"""A thing in hand: where it is held over the shop, and how steps, turns and levels move it. No screen."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shopbins.geometry.shapes import Outline, Point, Pose, bounds, centroid, contains, placed
from shopbins.ledger.model import InZone, ThingPlace
from shopbins.scene.frames import shifted_fixture, shifted_zone, to_shop, to_zone
from shopbins.scene.scene import Scene
from shopbins.scene.standing import footprint
from shopbins.shop.model import Zone
from shopbins.tui.words import room_at, zones_at

STEPS_MM = (100.0, 10.0, 1.0, 1000.0)
MOST_MM = 10_000_000.0


@dataclass(frozen=True, slots=True)
class Hand:
    """What is held and where: the pose is of its reference point in the shop frame.

    `kind` is 'group', or 'thing' for a movable fixture or bench. `posed` False: somewhere in the zone, no
    exact place. `zone` is None over no zone at all.
    """

    kind: str
    key: str
    name: str
    zone: str | None
    level: str
    x_mm: float
    y_mm: float
    turn_deg: float = 0.0
    posed: bool = True
    step_mm: float = STEPS_MM[0]

    @property
    def at(self) -> Point:
        """Its reference point."""
        return self.x_mm, self.y_mm

    def next_step(self) -> Hand:
        """Return it with the next finer step, the coarsest after the finest."""
        return replace(self, step_mm=STEPS_MM[(STEPS_MM.index(self.step_mm) + 1) % len(STEPS_MM)])

    def turned(self, by_deg: float) -> Hand:
        """Return it turned where it is."""
        return replace(self, turn_deg=(self.turn_deg + by_deg) % 360.0, posed=True)

    def moved(self, scene: Scene, dx_mm: float, dy_mm: float) -> Hand:
        """Return it moved. On a bench or shelf it stays there until its middle leaves it; then the floor."""
        x = max(-MOST_MM, min(MOST_MM, self.x_mm + dx_mm))
        y = max(-MOST_MM, min(MOST_MM, self.y_mm + dy_mm))
        there = replace(self, x_mm=x, y_mm=y, posed=True)
        if self.kind == "thing":
            return there
        zone = None if self.zone is None else scene.zone(self.zone)
        if zone is not None and zone.kind in ("bench", "shelf") and contains(zone.outline, there.at):
            return there
        return there.on_floor(scene)

    def on_floor(self, scene: Scene) -> Hand:
        """Return it on the floor spot under it, else on the open floor of the room."""
        floors = [z for z in zones_at(scene, self.at) if z.kind in ("floor", "room")]
        if not floors:
            return replace(self, zone=self.zone if self._over_floor(scene) else None, level="")
        return replace(self, zone=floors[0].key, level="")

    def _over_floor(self, scene: Scene) -> bool:
        zone = None if self.zone is None else scene.zone(self.zone)
        return zone is not None and zone.kind in ("floor", "room")

    def lifted(self, scene: Scene, up: bool) -> Hand:
        """Return it on the next surface up or down at this spot: floor, bench, each level of a shelf."""
        surfaces = surfaces_at(scene, self.at)
        here = next(
            (i for i, (z, lv) in enumerate(surfaces) if z.key == self.zone and lv == self.level), None
        )
        if here is None:
            here = next((i for i, (z, _) in enumerate(surfaces) if z.key == self.zone), 0)
        to = max(0, min(len(surfaces) - 1, here + (1 if up else -1)))
        if not surfaces:
            return self
        zone, level = surfaces[to]
        return replace(self, zone=zone.key, level=level)

    def put_in(self, zone: Zone, level: str) -> Hand:
        """Return it over the middle of a zone, without an exact place."""
        x, y = centroid(zone.outline)
        return replace(self, zone=zone.key, level=level, x_mm=x, y_mm=y, posed=False)

    def target(self, scene: Scene) -> InZone | None:
        """Return where it would lie, in the zone's own frame; None over no zone."""
        zone = None if self.zone is None else scene.zone(self.zone)
        if zone is None:
            return None
        if not self.posed:
            return InZone(zone.key, self.level)
        pose = to_zone(zone, self.x_mm, self.y_mm, self.turn_deg)
        x, y = round(pose.x_mm, 3), round(pose.y_mm, 3)
        return InZone(zone.key, self.level, x, y, round(pose.turn_deg, 6) % 360.0, measured=True)

    def thing_place(self, scene: Scene) -> ThingPlace:
        """Return where a movable fixture or bench would stand."""
        room = room_at(scene, self.at)
        return ThingPlace(
            self.key, self.x_mm, self.y_mm, self.turn_deg, room.key if room else self.zone or ""
        )

    def outline(self, scene: Scene) -> Outline | None:
        """Return its outline in the shop frame; None where its size is not known."""
        if self.kind == "thing":
            return _thing_outline(scene, self)
        outline = footprint(scene.group(self.key))
        return None if outline is None else placed(outline, Pose(self.x_mm, self.y_mm, self.turn_deg))


def surfaces_at(scene: Scene, at: Point) -> list[tuple[Zone, str]]:
    """Return what something may lie on at a point, lowest first."""
    found = [(zone, level.key, level.height_mm) for zone in zones_at(scene, at) for level in zone.levels]
    found.sort(key=lambda each: (each[2], each[0].kind != "room"))
    return [(zone, level) for zone, level, _ in found]


def pick_up_group(scene: Scene, group_id: str, spot: Point) -> Hand:
    """Take a group in hand: from where it stands, else over its zone, else over a spot."""
    group = scene.group(group_id)
    body = scene.body(group_id)
    where = group.where
    if body is not None and isinstance(where, InZone) and where.x_mm is not None and where.y_mm is not None:
        zone = scene.zone(where.zone)
        assert zone is not None
        pose = to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)
        return Hand("group", group_id, group.shown, zone.key, body.level, pose.x_mm, pose.y_mm, pose.turn_deg)
    zone = scene.zone(where.zone) if isinstance(where, InZone) else None
    if zone is not None and isinstance(where, InZone):
        x, y = centroid(zone.outline)
        return Hand(
            "group", group_id, group.shown, zone.key, where.level, x, y, zone.frame.turn_deg, posed=False
        )
    hand = Hand("group", group_id, group.shown, None, "", *spot)
    over = zones_at(scene, spot)
    if over and over[0].kind in ("bench", "shelf"):
        return replace(hand, zone=over[0].key, level=over[0].levels[0].key, turn_deg=over[0].frame.turn_deg)
    if over:
        return hand.on_floor(scene)
    room = room_at(scene, spot) or next(iter(scene.shop.rooms.values()))
    x, y = centroid(room.outline)
    return replace(hand, x_mm=x, y_mm=y).on_floor(scene)


def pick_up_thing(scene: Scene, key: str) -> Hand | None:
    """Take a movable fixture or bench in hand; None where it is fixed or unknown."""
    fixture = scene.shop.fixtures.get(key)
    zone = scene.shop.zones.get(key)
    found = fixture or zone
    if found is None or not found.movable:
        return None
    x, y = bounds(found.outline).middle
    place = scene.shifted.get(key) or ThingPlace(key, x, y, 0.0, found.room)
    return Hand(
        "thing", key, found.name, place.room or found.room, "", place.x_mm, place.y_mm, place.turn_deg
    )


def _thing_outline(scene: Scene, hand: Hand) -> Outline | None:
    place = hand.thing_place(scene)
    if hand.key in scene.shop.fixtures:
        return shifted_fixture(scene.shop.fixtures[hand.key], place).outline
    if hand.key in scene.shop.zones:
        return shifted_zone(scene.shop.zones[hand.key], place).outline
    return None
