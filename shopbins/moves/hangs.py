"""How a thing hangs in its slings: by statics of a body that turns about the points it hangs from.

From two points, or more on one line, it turns about that line until its centre of gravity is straight under
it, and over if that is above it. From others its centre has to be within them. Lengths in mm, angles in deg.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Point
from shopbins.moves.finding import Check
from shopbins.moves.fitted import HOISTS
from shopbins.moves.situation import Situation
from shopbins.moves.standing import ask_cg
from shopbins.units import show_angle, show_length

HANGS = Check(
    "move-hangs",
    "How it hangs in its slings",
    "statics: what hangs from points on one line turns about that until its centre of gravity is under it; "
    "how level is level is our own figure",
    "derived",
    "sling points above and on both sides of its centre of gravity, or a beam with slings down its sides",
)
ENDS = ("sling points above and on both sides of its centre of gravity",)
ONE_LINE_MM = 10.0
"""Points no farther aside of a line than this are on one line: own figure."""


def hangs(it: Situation) -> Iterator[Part]:
    """Judge whether it turns over in its slings, hangs in one of them, or how far it hangs from level."""
    if it.kind in HOISTS:
        yield from hung(it)


def hung(it: Situation) -> Iterator[Part]:
    """Judge how it hangs from a hoist, whatever it travels on."""
    load, points = it.load, [each.point for each in it.load.slinging]
    height = load.sling_height_mm
    if not points or height is None or not load.cg_bounded:
        return
    a, b = max(((p, q) for p in points for q in points), key=lambda pair: math.dist(*pair))
    if all(abs(_beside(a, b, p)[1]) <= ONE_LINE_MM for p in points):
        yield from _on_a_line(it, a, b, height)
    else:
        yield from _within_points(it, points, height)


def _on_a_line(it: Situation, a: Point, b: Point, height: float) -> Iterator[Part]:
    """Judge a thing that hangs from points on one line, or from one."""
    within, centres = it.measured_mm, it.load.centres()
    least, most = (height - z for z in (max(c.z_mm for c in centres), min(c.z_mm for c in centres)))
    on = "the line of its sling points" if a != b else "its sling point"
    subjects, more = (*it.subjects, "over"), {"measured": least, "limit": 0.0, "unit": "mm"}
    if least <= within:
        text = f"the centre of gravity of {it.name} is up to {show_length(-least)} above {on}"
        if least > 0:
            text = f"the centre of gravity of {it.name} is only {show_length(least)} below {on}"
        text += ": it turns over as it is lifted"
        yield _against(it, subjects, text, most < -within, more)
        return
    places = [_beside(a, b, (c.x_mm, c.y_mm)) for c in centres]
    beyond = [max(-t, t - math.dist(a, b)) for t, _ in places]
    if a != b and max(beyond) > -within:
        text = (
            f"the centre of gravity of {it.name} is up to {show_length(max(beyond))} beyond its sling points"
        )
        text += ": one leg carries all, the other hangs slack"
        figures = {"measured": max(beyond), "limit": 0.0, "unit": "mm"}
        yield _against(it, (*it.subjects, "beyond"), text, min(beyond) > within, figures)
        return
    off = [
        math.degrees(math.atan2(abs(e) if a != b else math.hypot(t, e), height - c.z_mm))
        for (t, e), c in zip(places, centres, strict=True)
    ]
    yield from _rolled(it, on, min(off), max(off))


def _rolled(it: Situation, on: str, least: float, most: float) -> Iterator[Part]:
    """Judge how far it hangs from level under a line of points, at the kindest and at the worst."""
    limit = it.own["hangs level"]
    subjects = (*it.subjects, "rolled")
    more: dict[str, Any] = {"measured": most, "limit": limit, "unit": "deg"}
    text = f"{it.name} turns about {on} until its centre of gravity is under it, by up to {show_angle(most)}"
    if least > limit:
        text += ": how it passes so, and how it is set down, is not looked at"
        yield HANGS.open(subjects, text, ends=ENDS, **more)
    elif most > limit:
        yield HANGS.only(subjects, f"hangs up to {show_angle(most)} from level: looked at", text, **more)
    else:
        yield HANGS.note(subjects, text, **more)


def _within_points(it: Situation, points: Sequence[Point], height: float) -> Iterator[Part]:
    """Judge a thing that hangs from points around its centre of gravity."""
    import shapely

    around, within = shapely.Polygon(convex_hull(points)), it.measured_mm
    inside = []
    for c in it.load.centres():
        at = shapely.Point(c.x_mm, c.y_mm)
        inside.append(around.exterior.distance(at) * (1.0 if around.contains(at) else -1.0))
    subjects, least = (*it.subjects, "beyond"), min(inside)
    more: dict[str, Any] = {"measured": least, "limit": 0.0, "unit": "mm"}
    if least <= within:
        where = f"up to {show_length(-least)} outside" if least <= 0 else f"only {show_length(least)} within"
        text = f"the centre of gravity of {it.name} is {where} its sling points: it tips over there"
        yield _against(it, subjects, text, max(inside) < -within, more)
        return
    above = max(c.z_mm for c in it.load.centres()) - height
    if above > 0:
        text = f"the centre of gravity of {it.name} is {show_length(above)} above its sling points, and "
        text += f"{show_length(least)} within them: it stays upright with the hook straight over it"
        words = "hook straight over its centre, lifted dead slow"
        yield HANGS.only((*it.subjects, "above"), words, text, **{**more, "measured": above})


def _against(it: Situation, subjects: tuple[str, ...], text: str, surely: bool, more: dict[str, Any]) -> Part:
    """Return what speaks against how it hangs: it forbids where it is so at the kindest, too."""
    if surely:
        return HANGS.no(subjects, text, ENDS, **more)
    if not it.load.cg_told:
        return HANGS.open(subjects, text, ask_cg(it), ENDS, **more)
    measure = (f"where the centre of gravity of {it.name} is, and how high", "its sling points")
    return HANGS.again(subjects, text, measure, **more)


def _beside(a: Point, b: Point, p: Point) -> Point:
    """Return how far along a line from one point to another, and how far aside of it, a third is; from one
    point alone along x and y.
    """
    long = math.dist(a, b)
    u = ((b[0] - a[0]) / long, (b[1] - a[1]) / long) if long else (1.0, 0.0)
    x, y = p[0] - a[0], p[1] - a[1]
    return x * u[0] + y * u[1], y * u[0] - x * u[1]
