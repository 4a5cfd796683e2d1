"""Small shops and ledger states for tests, turned and shifted as a whole where asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from types import MappingProxyType
from typing import Any

from shopbins.geometry.shapes import Outline, Pose, placed
from shopbins.ledger.docs import group_doc
from shopbins.ledger.model import InZone, Mass, Size, Whereabouts
from shopbins.ledger.state import State
from shopbins.rules.auditing import audit
from shopbins.rules.coverage import CoverageRow, coverage
from shopbins.rules.finding import Finding
from shopbins.scene.scene import Scene, build
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Room, Shop, Walkway, Zone

HERE = Pose(0.0, 0.0, 0.0)


def box(x0: float, y0: float, x1: float, y1: float) -> Outline:
    """An upright rectangle from corner to corner."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def shop(**parts: Any) -> Shop:
    """A shop of the given things (lists), with one 10 x 8 m room 'hall' unless rooms are given."""
    if "rooms" not in parts:
        parts["rooms"] = [Room("hall", "the hall", box(0, 0, 10_000, 8_000), headroom_mm=3000)]
    for name in ("rooms", "doors", "walkways", "keep_clear", "zones", "fixtures"):
        parts[name] = MappingProxyType({each.key: each for each in parts.get(name, ())})
    return Shop(name="test", prefix="T", **parts)


def zone(
    key: str,
    corner: tuple[float, float],
    size: tuple[float, float],
    *,
    kind: str = "floor",
    turn: float = 0.0,
    levels: Sequence[Level] | None = None,
    room: str = "hall",
    **more: Any,
) -> Zone:
    """A rectangular zone from its corner, turned about it."""
    frame = Pose(*corner, turn)
    outline = placed(box(0, 0, *size), Pose(*corner, turn))
    if levels is None:
        levels = [Level("", 900.0 if kind == "bench" else 0.0)]
    return Zone(
        key,
        key,
        room,
        kind,  # type: ignore[arg-type]
        outline,
        tuple(levels),
        frame=frame,
        size_mm=size,
        **more,
    )


def elsewhere(whole: Shop, pose: Pose) -> Shop:
    """The same shop turned and shifted as a whole: every answer must stay the same."""

    def moved(outline: Outline) -> Outline:
        return placed(outline, pose)

    def point(p: tuple[float, float]) -> tuple[float, float]:
        return placed((p,), pose)[0]

    def room(r: Room) -> Room:
        return replace(r, outline=moved(r.outline))

    def a_zone(z: Zone) -> Zone:
        x, y = point((z.frame.x_mm, z.frame.y_mm))
        frame = Pose(x, y, (z.frame.turn_deg + pose.turn_deg) % 360.0)
        return replace(z, outline=moved(z.outline), frame=frame)

    def door(d: Door) -> Door:
        jambs = (point(d.jambs[0]), point(d.jambs[1]))
        return replace(d, jambs=jambs, passage=moved(d.passage), swing=moved(d.swing) if d.swing else ())

    def way(w: Walkway) -> Walkway:
        return replace(w, line=moved(w.line))

    def clear(k: KeepClear) -> KeepClear:
        return replace(k, outline=moved(k.outline))

    def fixture(f: Fixture) -> Fixture:
        return replace(f, outline=moved(f.outline))

    def each(how: Any, things: Any) -> Any:
        return MappingProxyType({key: how(thing) for key, thing in things.items()})

    return replace(
        whole,
        rooms=each(room, whole.rooms),
        doors=each(door, whole.doors),
        walkways=each(way, whole.walkways),
        keep_clear=each(clear, whole.keep_clear),
        zones=each(a_zone, whole.zones),
        fixtures=each(fixture, whole.fixtures),
    )


@dataclass
class Pile:
    """Groups for a state, added one by one; `pose` turns and shifts what is posed in rooms."""

    pose: Pose = HERE

    def __post_init__(self) -> None:
        self.groups: dict[str, dict[str, Any]] = {}
        self.more: dict[str, dict[str, dict[str, Any]]] = {}

    def add(
        self,
        name: str,
        where: Whereabouts = None,
        *,
        size: tuple[float, float, float] | None = (400.0, 300.0, 200.0),
        kg: float | None = 10.0,
        **more: Any,
    ) -> str:
        """Add a group and return its id, which is its name; its code is the name in capitals."""
        fields: dict[str, Any] = {"code": name.upper(), "name": name, "where": where, **more}
        if size is not None:
            fields["size"] = Size(*size)
        if kg is not None:
            fields["mass"] = Mass(kg)
        self.groups[name] = group_doc(fields)
        return name

    def at(self, x: float, y: float, turn: float = 0.0, room: str = "hall", measured: bool = True) -> InZone:
        """A pose on a room's open floor, given in the shop as it was before it was turned and shifted."""
        ((px, py),) = placed(((x, y),), self.pose)
        return InZone(room, "", px, py, (turn + self.pose.turn_deg) % 360.0, measured=measured)

    def state(self) -> State:
        """The ledger's state with these groups."""
        return State({"group": self.groups, **self.more})

    def scene(self, whole: Shop) -> Scene:
        """The scene of these groups in a shop (turned and shifted by `pose`)."""
        there = whole if self.pose == HERE else elsewhere(whole, self.pose)
        return build(there, self.state())


# --- what an audit says of it -----------------------------------------------------------------------------

TODAY = date(2026, 3, 1)


def of(there: Shop, rule: str, pile: Pile | None = None) -> list[Finding]:
    """What one rule finds."""
    return [f for f in audit((pile or Pile()).scene(there), TODAY) if f.rule == rule]


def grades(there: Shop, rule: str, pile: Pile | None = None) -> list[str]:
    return [f.grade for f in of(there, rule, pile) if f.judged]


def gaps(there: Shop, rule: str, pile: Pile | None = None) -> list[str]:
    return [f.gap for f in of(there, rule, pile) if not f.judged]


def row(there: Shop, check: str, pile: Pile | None = None) -> CoverageRow:
    scene = (pile or Pile()).scene(there)
    return next(each for each in coverage(scene, audit(scene, TODAY)) if each.check == check)
