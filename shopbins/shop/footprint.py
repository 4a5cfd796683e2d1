"""Outlines as the file gives them: point by point, or a corner with a size and a turn."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shopbins.geometry.shapes import Outline, Point, Pose, counter_clockwise, turned
from shopbins.geometry.simple import simple_problem
from shopbins.shop.fields import Fields
from shopbins.shop.model import WHOLE_SHOP
from shopbins.shop.nodes import Node

LEAST_SIDE_MM = 1.0


@dataclass(frozen=True, slots=True)
class Footprint:
    """An outline in the shop frame, with its own frame and (length, depth) where it is a rectangle."""

    outline: Outline
    frame: Pose = WHOLE_SHOP
    size_mm: tuple[float, float] | None = None


def footprint(fields: Fields) -> Footprint | None:
    """Read `outline`, or `at`, `size` and `turn`; None after noting what is wrong or missing."""
    if fields.has("outline"):
        for key in ("at", "size", "turn"):
            if fields.has(key):
                what = f"{fields.called} has both an outline and '{key}'"
                fields.notes.add(fields.where(key), what, "give one or the other")
        outline = _by_points(fields)
        return None if outline is None else Footprint(outline)
    at, size = fields.point("at"), fields.size("size")
    turn = fields.angle("turn") or 0.0
    if not fields.has("at") and not fields.has("size"):
        fields.missing("at", "[0, 0], with size: [2000, 700], or an outline")
        return None
    fields.missing("at", "[0, 0]")
    fields.missing("size", "[2000, 700]")
    if at is None or size is None:
        return None
    return Footprint(corner_rectangle(at, size, turn), Pose(at[0], at[1], turn), size)


def corner_rectangle(at: Point, size: tuple[float, float], turn_deg: float) -> Outline:
    """Return the rectangle that has its first corner at a point and is turned about that corner."""
    length, depth = size
    flat = ((0.0, 0.0), (length, 0.0), (length, depth), (0.0, depth))
    return tuple((at[0] + x, at[1] + y) for x, y in turned(flat, turn_deg))


def _by_points(fields: Fields) -> Outline | None:
    """Read an outline; a last point that repeats the first is taken as closing it."""
    read = fields.points("outline")
    if read is None:
        return None
    if len(read) > 3 and read[0][0] == read[-1][0]:
        read = read[:-1]
    if len(read) < 3:
        what = f"an outline needs three points, this has {len(read)}"
        fields.notes.add(fields.where("outline"), what, "list the corners in order")
        return None
    if _note_same_points(fields, read):
        return None
    outline = counter_clockwise([point for point, _ in read])
    trouble = simple_problem([point for point, _ in read])
    if trouble is not None:
        hint = "list the corners in order, going round once"
        fields.notes.add(fields.where("outline"), f"outline of {fields.called}: {trouble}", hint)
        return None
    return outline


def _note_same_points(fields: Fields, read: list[tuple[Point, Node]]) -> bool:
    """Note corners that lie on the one before them."""
    noted = False
    for i in range(len(read)):
        j = (i + 1) % len(read)
        (a, _), (b, node) = read[i], read[j]
        if math.dist(a, b) < LEAST_SIDE_MM:
            what = f"points {i + 1} and {j + 1} are less than 1 mm apart"
            fields.notes.add(node, what, "leave one out")
            noted = True
    return noted
