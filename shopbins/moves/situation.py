"""What a criterion looks at: the thing, the gear, the shop, and the way once there is one."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline, Point, Pose, bounds, placed, turn_between
from shopbins.ledger.model import InZone
from shopbins.ledger.whereabouts import place_said
from shopbins.moves.attempt import Attempt, hull_of
from shopbins.moves.body import Body
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.legs import Leg, Turn, turns_of
from shopbins.moves.load import Load
from shopbins.moves.plates import Edge, Laid, Ramps, edge_of
from shopbins.moves.route import Route
from shopbins.records.acts_move import on_gear
from shopbins.records.moving import moving_of
from shopbins.rules.slopes import is_steep
from shopbins.scene.scene import Scene
from shopbins.shop.figures import Moving
from shopbins.shop.model import Door, Level, Room, Zone

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Onto:
    """The place a thing is lifted onto from the floor before it."""

    zone: Zone
    level: Level

    @property
    def where(self) -> InZone:
        """The place, as the ledger has it."""
        return InZone(self.zone.key, self.level.key)

    @property
    def subjects(self) -> tuple[str, ...]:
        """What conditions of a move there are about."""
        return (f"zone:{self.zone.key}", *((f"level:{self.level.key}",) if self.level.key else ()))

    @property
    def name(self) -> str:
        """What it is called: 'rack a/2'."""
        return place_said(self.zone.name, self.level.key)


@dataclass(frozen=True, slots=True)
class Situation:
    """One thing on one gear by one route; `attempt` and `legs` once a way was found.

    `known` are findings that the shop had before, so that they are not told as new; `onto` is the bench or
    shelf it is lifted onto from its goal; `laid` plates over covers on the way, `ramps` what lies at edges.
    """

    scene: Scene
    body: Body
    gear: GearAnswer
    goal: Zone
    level: str
    route: Route | None = None
    attempt: Attempt | None = None
    legs: tuple[Leg, ...] = ()
    known: frozenset[str] = frozenset()
    today: date = date.min
    onto: Onto | None = None
    laid: tuple[Laid, ...] = ()
    ramps: tuple[Ramps, ...] = ()

    @property
    def load(self) -> Load:
        """The thing as gear and floor see it."""
        return self.body.load

    @property
    def name(self) -> str:
        """What the thing is called."""
        return self.body.group.shown

    @property
    def kind(self) -> str:
        """The kind of gear."""
        return self.gear.gear.kind

    @property
    def subjects(self) -> tuple[str, ...]:
        """What findings about this move are about: the thing and the gear."""
        return (*self.load.subjects, f"gear:{self.gear.gear.key}")

    @property
    def begins_on_gear(self) -> bool:
        """Whether it stands on this gear already, set so, as at a halt of a planned move."""
        return begins_on(self.scene, self.body, self.gear)

    @property
    def own(self) -> Moving:
        """Our own figures, as this shop has them."""
        return self.scene.shop.limits.moving

    @property
    def measured_mm(self) -> float:
        """How well lengths were measured where nobody said."""
        return self.scene.shop.measured_mm

    @property
    def rooms(self) -> tuple[Room, ...]:
        """The rooms passed, in order; where no way is known, the one it stands in."""
        shop = self.scene.shop
        if self.route is not None:
            return tuple(shop.rooms[key] for key in self.route.rooms)
        return (shop.rooms[self.body.room],) if self.body.room else ()

    @property
    def doors(self) -> tuple[Door, ...]:
        """The doors passed, in order."""
        return () if self.route is None else tuple(self.scene.shop.doors[key] for key in self.route.doors)

    @property
    def edges(self) -> tuple[Edge, ...]:
        """The sills and the edges of plates that wheels go over, as far as their height is told."""
        sills = (
            Edge(d.name, f"the sill of {d.name}", (f"door:{d.key}",), d.room, d.threshold_mm, d.passage, d.to)
            for d in self.doors
            if d.threshold_mm
        )
        return (*sills, *(edge for laid in self.laid if (edge := edge_of(laid)) is not None))

    def ramps_at(self, edge: Edge) -> Ramps | None:
        """Return the ramps laid at an edge; None where wheels go over it bare."""
        return next((each for each in self.ramps if each.edge.subjects == edge.subjects), None)

    @property
    def floors(self) -> tuple[Outline, ...]:
        """The floors passed, doorways among them."""
        return (*(room.outline for room in self.rooms), *(d.passage for d in self.doors if d.passage))

    @property
    def set_round(self) -> tuple[Turn, ...]:
        """The turns at which gear that only rolls straight on is set round, in order."""
        return turns_of(self.legs) if self.gear.steering == "axis" else ()

    @property
    def goal_pose(self) -> Pose | None:
        """Where it is to stand."""
        return None if self.attempt is None else self.attempt.goal

    @property
    def is_tight(self) -> bool:
        """Whether it has less room to steer in, at the tightest, than by hand alone: it is guided there."""
        clear = None if self.attempt is None else self.attempt.found.clearance_mm
        return clear is not None and clear < self.own["steering by hand"]

    @property
    def path(self) -> tuple[Pose, ...]:
        """The way found."""
        return () if self.attempt is None else self.attempt.found.path

    @property
    def hull(self) -> Outline:
        """Thing and gear on the floor, as one convex outline."""
        return hull_of(self.body, self.gear)

    @property
    def whole_kg(self) -> float | None:
        """The most that rolls: thing and gear; None where not all was weighed."""
        most = self.load.most_kg
        return None if most is None else most + (self.gear.gear.mass_kg or 0.0)

    def poses(self) -> Iterator[tuple[Leg, Pose]]:
        """Go through every pose of the way with the leg it is on."""
        for leg in self.legs:
            for pose in leg.poses:
                yield leg, pose

    def steep(self) -> tuple[Leg, ...]:
        """Return the legs on a floor steeper than 1 in 50."""
        return tuple(leg for leg in self.legs if is_steep(leg.slope))

    def on(self, room: Room, poses: Iterable[Pose]) -> list[Pose]:
        """Return those of some poses at which a wheel, skate, foot or jack is on the floor of a room."""
        touching, box = self.gear.touching, bounds(room.outline)
        reach = max((math.hypot(*point) for point in touching), default=math.inf)

        def near(pose: Pose) -> bool:
            across = box.left - reach <= pose.x_mm <= box.right + reach
            return across and box.bottom - reach <= pose.y_mm <= box.top + reach

        return [pose for pose in poses if near(pose) and overlap(placed(touching, pose), room.outline)]

    def at(self, pose: Pose, points: Sequence[Point]) -> list[Point]:
        """Return points of the thing's frame in the shop frame."""
        return list(placed(tuple(points), pose))


def begins_on(scene: Scene, body: Body, gear: GearAnswer) -> bool:
    """Tell whether a thing stands on gear already, set so, as at a halt of a planned move."""
    asked = on_gear(scene.state, body.group.id)
    if asked is None or gear.gear.kind == "by hand" or asked["gear"] != gear.gear.key:
        return False
    same = (
        moving_of(body.group).base is None or asked["base"] == body.base
    )  # out from under it, it is neither
    return bool(same and abs(turn_between(asked["axis"], gear.axis_deg)) < 1.0)


def worked_once(it: Situation, key: Hashable, work: Callable[[], T]) -> T:
    """Return what was worked out before of the same way of the same thing on the same gear, else work it out.

    Only the latest way is kept.
    """
    known, about = it.scene.memo.setdefault("worked once", {}), (it.attempt, it.gear, it.body, it.legs)
    found = known.get(key)
    if found is None or any(a is not b for a, b in zip(found[0], about, strict=True)):
        found = known[key] = about, work()
    done: T = found[1]
    return done
