"""The shop as described by its file: rooms, doors, ways, zones and what stands fixed.

Every value is immutable, in mm, kg, kN and degrees, in the shop frame (x right, y up). `None` means the
file does not say: unknown, never zero. `at` tells where in the file a thing was written.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

from shopbins.geometry.shapes import Outline, Point, Pose
from shopbins.shop.figures import OWN, Moving

WHOLE_SHOP = Pose(0.0, 0.0)
"""The frame of what has none of its own."""
RuleSet = Literal["own", "us", "uk", "eu"]
Opens = Literal["hinged", "sliding", "up-and-over", "open"]
Hand = Literal["left", "right"]
WorkKind = Literal["precision", "light", "heavy"]
Opposite = Literal["nothing", "grounded", "live"]
FireHazard = Literal["low", "normal", "high"]
UnitsShown = Literal["metric", "us"]
OpeningKind = Literal["hatch", "pit", "grating", "drain", "window", "pipe hole"]
WallOf = Literal["metal", "masonry"]
ZoneKind = Literal["bench", "shelf", "floor", "room"]
GearKind = Literal[
    "pallet truck",
    "skates",
    "trolley",
    "engine crane",
    "gantry crane",
    "rollers and bar",
    "by hand",
    "toe jack",
    "winch",
    "plate",
    "ramp",
]
Steering = Literal["on the spot", "radius", "axis"]
"""Turns on the spot; only along a circle; only straight on, being lifted round by hand or bar."""

OUTSIDE = "outside"


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a text file, counted from 1."""

    file: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Slope:
    """A floor that falls `fall` mm per mm run, downhill towards `towards_deg`."""

    fall: float
    towards_deg: float


@dataclass(frozen=True, slots=True)
class Anchor:
    """A point a line may be made fast to: where, how high, and what it holds (kN; None: not told)."""

    key: str
    at_mm: Point
    height_mm: float | None = None
    load_kn: float | None = None


@dataclass(frozen=True, slots=True)
class Room:
    """An outlined piece of floor; also a zone (its open floor) by the same key.

    `sprinklers_mm`: how high the lowest sprinkler's deflector is, None where there are none. `void`: whether
    there is a cellar, duct or hole below; `even`: whether its floor is even and clean to roll on; `anchors`
    what a line may be made fast to.
    """

    key: str
    name: str
    outline: Outline
    headroom_mm: float | None = None
    sprinklers_mm: float | None = None
    floor_load_kn_m2: float | None = None
    point_load_kn: float | None = None
    slope: Slope | None = None
    hot_work: bool = False
    people: int | None = None
    fire_hazard: FireHazard | None = None
    below_ground: bool | None = None
    built: int | None = None
    even: bool | None = None
    void: bool | None = None
    anchors: tuple[Anchor, ...] = ()
    outdoor: bool = False
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Door:
    """A passage in a wall of `room`, to another room or to outside.

    `jambs` are two points on the wall of `room`; `passage` is the outline of the gap through the wall,
    overlapping both sides by 1 mm; `swing` is the floor the leaf sweeps (empty unless hinged).
    `emergency`: an exit for emergencies only; `kept_shut`: whether it stands shut when nobody goes through;
    `threshold_mm` how high its sill stands (0: told to have none, None: nobody told).
    """

    key: str
    name: str
    room: str
    to: str
    jambs: tuple[Point, Point]
    clear_width_mm: float
    height_mm: float | None
    opens: Opens
    passage: Outline
    swing: Outline = ()
    hand: Hand | None = None
    swings_into: str | None = None
    opens_deg: float = 90.0
    leaf_mm: float = 40.0
    leaf_kg: float | None = None
    threshold_mm: float | None = None
    hang_mm: float | None = None
    exit: bool = False
    emergency: bool = False
    kept_shut: bool | None = None
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None

    def beyond(self, room: str) -> str:
        """Return the key of the room on its other side, for one of its two rooms."""
        return self.to if room == self.room else self.room


@dataclass(frozen=True, slots=True)
class Walkway:
    """A centre line and the width that must stay free along it."""

    key: str
    name: str
    line: tuple[Point, ...]
    width_mm: float
    least_mm: float | None = None
    exit_route: bool = False
    rooms: tuple[str, ...] = ()
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Mounted:
    """How an extinguisher hangs: top, edge and handle above the floor; its mass; on wheels or not."""

    top_mm: float | None = None
    bottom_mm: float | None = None
    mass_kg: float | None = None
    handle_mm: float | None = None
    wheeled: bool = False


@dataclass(frozen=True, slots=True)
class Equipment:
    """Electrical equipment before which a space is kept clear: how wide and high, its door leaf, its amps."""

    width_mm: float | None = None
    height_mm: float | None = None
    door_width_mm: float | None = None
    amps: float | None = None


@dataclass(frozen=True, slots=True)
class KeepClear:
    """An area that must stay free, up to `height_mm` (None: to the ceiling), and why.

    At electrical equipment `volts` is to ground, `opposite` what faces it across the working space,
    `entrances` how many ways lead into that space, `worked_on_live` whether anybody does. At an extinguisher
    `mounted` says how it hangs, `for_classes` which classes of fire it is for ('A', 'B', ...).
    """

    key: str
    name: str
    room: str
    outline: Outline
    why: str
    height_mm: float | None = None
    volts: float | None = None
    opposite: Opposite | None = None
    mounted: Mounted | None = None
    equipment: Equipment | None = None
    installed: date | None = None
    worked_on_live: bool | None = None
    entrances: int | None = None
    for_classes: tuple[str, ...] = ()
    sign: bool | None = None
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Fixture:
    """What stands there and is no part; a movable one may be shifted and keeps its place in the ledger.

    `outline` is where the file puts it, in the shop frame; it stands from `base_mm` to `top_mm` (None: to
    the ceiling).
    """

    key: str
    name: str
    room: str
    outline: Outline
    base_mm: float = 0.0
    top_mm: float | None = None
    movable: bool = False
    mass_kg: float | None = None
    hot: bool = False
    fire_barrier: bool = False
    load_kg: float | None = None
    load_class: str = ""
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None

    @property
    def is_cover(self) -> bool:
        """Whether it lies flat in the floor, to be gone over."""
        return lies_flat(self.base_mm, self.top_mm)


COVER_MM = 10.0
"""A fixture no higher than this is a cover in the floor: own figure."""


def lies_flat(base_mm: float, top_mm: float | None) -> bool:
    """Tell whether what reaches from one height to another (None: to the ceiling) is a cover in the floor."""
    return top_mm is not None and top_mm <= COVER_MM and base_mm <= 0


@dataclass(frozen=True, slots=True)
class Opening:
    """A hole in a room's floor (`outline`) or wall (`jambs`): what it is and what covers it.

    `to` is the room below or behind, or outside, where the file says so; `covered`, `guarded` (a rail round
    it), `depth_mm` None: not said.
    """

    key: str
    name: str
    room: str
    kind: OpeningKind | None
    outline: Outline = ()
    jambs: tuple[Point, Point] | None = None
    to: str | None = None
    covered: bool | None = None
    guarded: bool | None = None
    depth_mm: float | None = None
    load_kg: float | None = None
    load_class: str = ""
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Wall:
    """What the wall between two rooms is made of."""

    key: str
    between: tuple[str, str]
    of: WallOf
    note: str = ""
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """One surface of a zone: where things stand `height_mm` above the floor with `headroom_mm` over it."""

    key: str
    height_mm: float
    headroom_mm: float | None = None
    load_kg: float | None = None
    at: Spot | None = None
    was: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Zone:
    """A place that holds parts. A bench or floor spot has one level, keyed '' in `levels`.

    `work` is what is done on a bench: precision, light or heavy. `cabinet`: a closed fire-resisting one for
    flammables. `fixed_back`, `fixed_floor`, `load_sign`: None where nobody said. `quarantine`: only what is
    rejected lies there.

    `outline` is in the shop frame. `size_mm` is (length, depth) where the zone is a rectangle given by
    corner and size, then `frame` has its origin at that corner; else the frame is the shop frame.
    """

    key: str
    name: str
    room: str
    kind: ZoneKind
    outline: Outline
    levels: tuple[Level, ...]
    frame: Pose = WHOLE_SHOP
    size_mm: tuple[float, float] | None = None
    load_kg: float | None = None
    movable: bool = False
    mass_kg: float | None = None
    fixed_back: bool | None = None
    fixed_floor: bool | None = None
    total_height_mm: float | None = None
    cabinet: bool = False
    for_truck: bool = False
    load_sign: bool | None = None
    quarantine: bool = False
    work: WorkKind | None = None
    cautions: tuple[str, ...] = ()
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None

    @property
    def level_keys(self) -> list[str]:
        """The keys of the levels to choose from; one '' where there is but one, which needs no name."""
        return [each.key for each in self.levels] if len(self.levels) > 1 else [""]

    def level(self, key: str | None) -> Level | None:
        """Return the level called `key`; the only one where there is just one and none is named."""
        if key is None or key == "":
            return self.levels[0] if len(self.levels) == 1 else None
        found = next((each for each in self.levels if each.key == key), None)
        return found or next((each for each in self.levels if key in each.was), None)


@dataclass(frozen=True, slots=True)
class Limits:
    """The shop file's own limits; None leaves it to the rule set."""

    walkway_mm: float | None = None
    exit_mm: float | None = None
    headroom_mm: float | None = None
    fill: float = 0.85
    lift_height_mm: float | None = None
    one_person_kg: float | None = None
    people: int | None = None
    who_lifts: Literal["anyone", "men"] = "anyone"
    liquids_l: float | None = None
    moving: Moving = OWN


@dataclass(frozen=True, slots=True)
class Asked:
    """What the shop file asks of a part before it goes back on; nothing where it does not say so.

    `two_persons` are words: a part whose name has one is seen by two.
    """

    two_persons: tuple[str, ...] = ()
    concede_by_another: bool = False
    look_at_what_comes: bool = False

    @property
    def anything(self) -> bool:
        """Tell whether it asks for anything."""
        return bool(self.two_persons) or self.concede_by_another or self.look_at_what_comes


@dataclass(frozen=True, slots=True)
class MachineNote:
    """A machine announced in the shop file: what is being stripped, for whom."""

    key: str
    name: str
    owner: str = ""
    job: str = ""
    note: str = ""
    at: Spot | None = None


@dataclass(frozen=True, slots=True)
class Gear:
    """Moving gear. Which values mean something depends on `kind` (docs/shop-file.md); None: not said.

    `capacity_kg` is of the whole, of skates of each one. `height_mm` is that of a skate, roller or platform.
    `reach` goes from how far a hook is out to what it then lifts, ascending; `hook_at` to how high it then
    goes, where that is told for each, and `hook_mm` is the highest. `inside_mm` is clear between
    the legs of a crane, `legs_mm` their height, `size_mm` (length, width) of a platform, skate or crane on
    the floor. `wheel_mm` is the diameter of the smallest wheel, `clearance_mm` is free under the gear
    itself, `wheel_load_kg` what the maker says one wheel bears with the full load on, `wheel_rating_kg`
    what one wheel is rated for. `steering_axle_mm` goes back from the heel of the forks, `load_rollers_mm`
    in from their tips (of tandem rollers to the pin), `steering_track_mm` between steering wheels that do
    not rock. `handle_mm` is how far the handle reaches out when pulled. `steepest` is the slope its
    handbook allows. `wheel_places_mm` and `cg_mm` (x, y, height) count from the middle of its floor.
    `toe_kg` is what a jack lifts on its toe, `pads_mm` how thick what lies between gear and thing is,
    `beams_mm` how thick beams on a trolley are.
    """

    key: str
    name: str
    kind: GearKind
    capacity_kg: float | None = None
    mass_kg: float | None = None
    count: int | None = None
    over_forks_mm: float | None = None
    between_forks_mm: float | None = None
    fork_width_mm: float | None = None
    fork_length_mm: float | None = None
    lowered_mm: float | None = None
    raised_mm: float | None = None
    body_mm: float | None = None
    turning_radius_mm: float | None = None
    height_mm: float | None = None
    size_mm: tuple[float, float] | None = None
    steering: Steering | None = None
    inside_mm: float | None = None
    legs_mm: float | None = None
    hook_mm: float | None = None
    hook_at: tuple[tuple[float, float], ...] = ()
    reach: tuple[tuple[float, float], ...] = ()
    people: int | None = None
    wheels: int | None = None
    wheel_mm: float | None = None
    wheel_load_kg: float | None = None
    clearance_mm: float | None = None
    steering_axle_mm: float | None = None
    load_rollers_mm: float | None = None
    steering_track_mm: float | None = None
    handle_mm: float | None = None
    steepest: float | None = None
    brake: bool | None = None
    brakes_itself: bool | None = None
    wheel_rating_kg: float | None = None
    wheel_places_mm: tuple[Point, ...] = ()
    cg_mm: tuple[float, float, float] | None = None
    trail_mm: float | None = None
    boom_tip_mm: float | None = None
    toe_kg: float | None = None
    roller_length_mm: float | None = None
    rise_mm: float | None = None
    span_mm: float | None = None
    pads_mm: float | None = None
    beams_mm: float | None = None
    line_kn: float | None = None
    note: str = ""
    was: tuple[str, ...] = ()
    at: Spot | None = None


def _nothing() -> Mapping[str, Any]:
    return MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Shop:
    """The whole place. Mappings go from key to thing, in file order.

    `zones` holds benches, shelves and floor spots; `zone()` answers for rooms too. `renamed` goes from old
    keys (of anything) to new ones; `measured_at` from 'section/key/field' to how well that was measured.
    `country` is 'de' or another two letters, '' where not said; `built` a year; `units` what people read.
    """

    name: str
    prefix: str
    rooms: Mapping[str, Room]
    path: Path | None = None
    rules: RuleSet = "own"
    measured_mm: float = 5.0
    limits: Limits = Limits()
    asked: Asked = Asked()
    doors: Mapping[str, Door] = field(default_factory=_nothing)
    walkways: Mapping[str, Walkway] = field(default_factory=_nothing)
    keep_clear: Mapping[str, KeepClear] = field(default_factory=_nothing)
    zones: Mapping[str, Zone] = field(default_factory=_nothing)
    fixtures: Mapping[str, Fixture] = field(default_factory=_nothing)
    openings: Mapping[str, Opening] = field(default_factory=_nothing)
    walls: Mapping[str, Wall] = field(default_factory=_nothing)
    machines: Mapping[str, MachineNote] = field(default_factory=_nothing)
    gear: Mapping[str, Gear] = field(default_factory=_nothing)
    renamed: Mapping[str, str] = field(default_factory=_nothing)
    note: str = ""
    measured_at: Mapping[str, float] = field(default_factory=_nothing)
    country: str = ""
    premises: Literal["work", "home"] | None = None
    built: int | None = None
    units: UnitsShown = "metric"

    def leads_out(self, door: Door, room: str) -> bool:
        """Tell whether a door is an exit for who is in a room: never from a yard back into a building."""
        if not door.exit or room not in (door.room, door.to):
            return False
        here, there = self.rooms.get(room), self.rooms.get(door.beyond(room))
        return here is None or there is None or not here.outdoor or there.outdoor

    def zone(self, key: str) -> Zone | None:
        """Return the zone called `key` (a room counts as the zone of its open floor), or by an old key."""
        key = self.renamed.get(key, key)
        found = self.zones.get(key)
        if found is not None:
            return found
        room = self.rooms.get(key)
        return None if room is None else open_floor(room)

    def all_zones(self) -> Iterator[Zone]:
        """Go through every zone in file order, each room's open floor after the others."""
        yield from self.zones.values()
        for room in self.rooms.values():
            yield open_floor(room)


def open_floor(room: Room) -> Zone:
    """Return a room's open floor as a zone."""
    level = Level(key="", height_mm=0.0, headroom_mm=room.headroom_mm)
    return Zone(
        key=room.key,
        name=room.name,
        room=room.key,
        kind="room",
        outline=room.outline,
        levels=(level,),
        at=room.at,
    )
