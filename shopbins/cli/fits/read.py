"""Read a scene: plain JSON values to checked outlines, poses and sizes, or one line of what is wrong."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from shopbins.geometry.shapes import (
    FloorProblem,
    Outline,
    Point,
    Pose,
    contains,
    counter_clockwise,
    rectangle,
)
from shopbins.geometry.simple import simple_problem

FARTHEST_MM = 1e7
MOST_POINTS = 10_000
MOST_THINGS = 20_000
QUESTIONS = ("goes", "pinch", "shift", "stand", "shuffle")
SCENE_KEYS = (
    *("id", "question", "outline_mm", "holes_mm", "things", "body", "start", "goal", "goals", "route"),
    *("steering", "either_way", "marked", "turns_deg", "near", "most", "surface", "blocked_mm", "pieces"),
    *("gap_mm", "present", "at_most_s"),
)
BODY_KEYS = ("length_mm", "width_mm", "outline_mm")
PLACE_KEYS = ("x_mm", "y_mm", "turn_deg", "cost", "reason", "marked")
"""A place `stand` answered may be asked about as it is."""
PRESENT_KEYS = ("piece", "x_mm", "y_mm", "turn_deg")


@dataclass(frozen=True, slots=True)
class Thing:
    """A movable thing of a scene: its name, outline and what shifting it costs."""

    name: str
    outline: Outline
    cost: float = 1.0


@dataclass(frozen=True, slots=True)
class FloorScene:
    """The floor of a scene: outlines to unite, holes in it, things and marked areas on it."""

    outlines: tuple[Outline, ...]
    holes: tuple[Outline, ...] = ()
    things: tuple[Thing, ...] = ()
    marked: tuple[Thing, ...] = field(default=())

    def holds(self, p: Point) -> bool:
        """Tell whether a point lies on the floor, in no hole."""
        on = any(contains(o, p) for o in self.outlines)
        return on and not any(contains(h, p) for h in self.holes)


def number(value: Any, where: str, *, least: float = -FARTHEST_MM, most: float = FARTHEST_MM) -> float:
    """Return a finite number within limits; a truth value or text is none."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise FloorProblem(f"{where}: {shown(value)} is no number")
    try:
        found = float(value)
    except OverflowError:
        found = math.inf
    if not math.isfinite(found):
        raise FloorProblem(f"{where}: {shown(value)} is not finite")
    if not least <= found <= most:
        raise FloorProblem(f"{where}: {found:g} is not between {least:g} and {most:g}")
    return found


def whole(value: Any, where: str, *, least: float = -FARTHEST_MM, most: float = FARTHEST_MM) -> int:
    """Return a whole number within limits."""
    found = number(value, where, least=least, most=most)
    if found != int(found):
        raise FloorProblem(f"{where}: {found:g} is no whole number")
    return int(found)


def text(scene: Mapping[str, Any], key: str, default: str, where: str = "") -> str:
    """Return a text."""
    value = scene.get(key, default)
    if not isinstance(value, str):
        raise FloorProblem(f"{where}{'.' if where else ''}{key}: {shown(value)} is no text")
    return value


def truth(scene: Mapping[str, Any], key: str, default: bool, where: str = "") -> bool:
    """Return true or false; words and numbers are neither."""
    value = scene.get(key)
    if value is None:
        return default
    if not isinstance(value, bool):
        raise FloorProblem(f"{where}{'.' if where else ''}{key}: {shown(value)} is neither true nor false")
    return value


def size(value: Any, where: str) -> float:
    """Return a length above 0."""
    found = number(value, where)
    if found <= 0:
        raise FloorProblem(f"{where}: {found:g} mm is no size")
    return found


def shown(value: Any) -> str:
    """Return a value as it can be shown in a line."""
    text = "".join(c if c.isprintable() else " " for c in repr(value)[:60])
    return text if len(text) < 40 else text[:37] + "..."


def mapping(value: Any, where: str, keys: Sequence[str]) -> Mapping[str, Any]:
    """Return a mapping of no other than the given keys, or say what is wrong with it."""
    if not isinstance(value, Mapping):
        raise FloorProblem(f"{where}: {shown(value)} is no object")
    for key in value:
        if key not in keys:
            from shopbins.shop.problems import nearest

            place = f"{where}." if keys is not SCENE_KEYS else ""
            meant = nearest(key, keys) or ", ".join(keys)
            raise FloorProblem(f"{place}{shown(key)[1:-1]}: no such key ({meant}?)")
    return value


def listing(value: Any, where: str, most: int = MOST_THINGS) -> Sequence[Any]:
    """Return a list that is not too long."""
    if not isinstance(value, (list, tuple)):
        raise FloorProblem(f"{where}: {shown(value)} is no list")
    if len(value) > most:
        raise FloorProblem(f"{where}: {len(value)} entries, at most {most} are read")
    return value


def needed(scene: Mapping[str, Any], key: str, where: str = "") -> Any:
    """Return a value that must be there."""
    if scene.get(key) is None:
        raise FloorProblem(f"{where}{'.' if where else ''}{key}: missing")
    return scene[key]


def outline(value: Any, where: str) -> Outline:
    """Return a simple outline, counter-clockwise."""
    pts = []
    for i, p in enumerate(listing(value, where, MOST_POINTS), 1):
        pair = listing(p, f"{where} point {i}")
        if len(pair) != 2:
            raise FloorProblem(f"{where} point {i}: {shown(p)} is no pair of numbers")
        pts.append((number(pair[0], f"{where} point {i}"), number(pair[1], f"{where} point {i}")))
    problem = simple_problem(pts)
    if problem is not None:
        hint = " (leave the last one out)" if problem.startswith(f"points {len(pts)} and 1 ") else ""
        raise FloorProblem(f"{where}: {problem}{hint}")
    return counter_clockwise(pts)


def point(value: Any, where: str, keys: Sequence[str] = PLACE_KEYS) -> Point:
    """Return the place of `x_mm` and `y_mm`, of a mapping of no other than the given keys."""
    found = mapping(value, where, keys)
    x, y = needed(found, "x_mm", where), needed(found, "y_mm", where)
    return number(x, f"{where}.x_mm"), number(y, f"{where}.y_mm")


def pose(value: Any, where: str) -> Pose:
    """Return the pose of `x_mm`, `y_mm` and `turn_deg` (0 where it is not given)."""
    x, y = point(value, where)
    return Pose(x, y, number(value.get("turn_deg", 0.0), f"{where}.turn_deg", least=-1e6, most=1e6))


def body(scene: Mapping[str, Any]) -> Outline:
    """Return the body: a rectangle about its centre, or an outline about its reference point."""
    found = mapping(needed(scene, "body"), "body", BODY_KEYS)
    if found.get("outline_mm") is not None:
        for key in ("length_mm", "width_mm"):
            if found.get(key) is not None:
                raise FloorProblem(f"body.{key}: it has an outline_mm too; give its size or its outline")
        return outline(found["outline_mm"], "body.outline_mm")
    length = size(needed(found, "length_mm", "body"), "body.length_mm")
    return rectangle(length, size(needed(found, "width_mm", "body"), "body.width_mm"))


def floor(scene: Mapping[str, Any]) -> FloorScene:
    """Return the floor and everything on it.

    `outline_mm` is one outline, or a list of overlapping ones (rooms and the passages that join them).
    """
    raw = listing(needed(scene, "outline_mm"), "outline_mm", MOST_POINTS)
    several = bool(raw) and bool(listing(raw[0], "outline_mm[0]")) and isinstance(raw[0][0], (list, tuple))
    outlines = (
        [outline(o, f"outline_mm[{i}]") for i, o in enumerate(raw)]
        if several
        else [outline(raw, "outline_mm")]
    )
    holes = [
        outline(h, f"holes_mm[{i}]") for i, h in enumerate(listing(scene.get("holes_mm") or [], "holes_mm"))
    ]
    return FloorScene(
        tuple(outlines),
        tuple(holes),
        _named(scene, "things", "thing", "cost"),
        _named(scene, "marked", "marked"),
    )


def _named(scene: Mapping[str, Any], key: str, word: str, *more: str) -> tuple[Thing, ...]:
    found = []
    for i, raw in enumerate(listing(scene.get(key) or [], key)):
        where = f"{key}[{i}]"
        thing = mapping(raw, where, ("name", "outline_mm", *more))
        shape = outline(needed(thing, "outline_mm", where), f"{where}.outline_mm")
        cost = number(thing.get("cost", 1.0), f"{where}.cost", least=0.0, most=1e12)
        found.append(Thing(text(thing, "name", f"{word} {i}", where), shape, cost))
    return tuple(found)


def turns(scene: Mapping[str, Any]) -> list[float]:
    """Return the turns allowed for standing; the four quarter turns where none are given."""
    if scene.get("turns_deg") is None:
        return [0.0, 90.0, 180.0, 270.0]
    raw = listing(scene["turns_deg"], "turns_deg", 3600)
    if not raw:
        raise FloorProblem("turns_deg: no turn is allowed")
    return [number(t, f"turns_deg[{i}]", least=-1e6, most=1e6) for i, t in enumerate(raw)]


def least_radius_mm(scene: Mapping[str, Any]) -> float:
    """Return the gear's smallest turning radius: 0 on the spot, infinite where it only rolls on its axis."""
    told = scene.get("steering", "on the spot")
    if told == "on the spot":
        return 0.0
    if told == "own axis":
        return math.inf
    if not isinstance(told, Mapping):
        raise FloorProblem(
            f"steering: {shown(told)} is none of 'on the spot', 'own axis', {{'least_radius_mm': ...}}"
        )
    radius = needed(mapping(told, "steering", ("least_radius_mm",)), "least_radius_mm", "steering")
    return number(radius, "steering.least_radius_mm", least=0.0)
