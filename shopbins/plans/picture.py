"""What a plan shows, however it is written: outlines by kind, numbered findings, the words around them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from shopbins.geometry.shapes import Box, Outline, Point, bounds
from shopbins.rules.finding import Finding
from shopbins.rules.tally import tally
from shopbins.scene.scene import Scene
from shopbins.shop.model import OUTSIDE, Shop
from shopbins.units import show_length

Layer = Literal[
    "walls", "doors", "swings", "ways", "keep-clear", "openings", "zones", "fixtures", "parts", "findings"
]
SIGNS = {"stop": "stop", "correct": "to fix", "note": "note"}
SCALES = (10, 20, 25, 50, 75, 100, 150, 200, 250, 500, 1000)
CAUTION = (
    "Checked against the figures named, no more. Local codes, and the people licensed to judge, come first."
)
MOST_NOT_CHECKED = 8


@dataclass(frozen=True, slots=True)
class Shape:
    """One outline in the shop frame; `open` for the middle of a way.

    `name` may be ''; `short` is drawn where the name finds no room ('': a letter, told in the key).
    """

    layer: Layer
    points: Outline
    name: str = ""
    open: bool = False
    short: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A finding by its number, at its spot; 0 where it has none."""

    number: int
    sign: str
    at_mm: Point | None
    text: str
    remedy: str
    accepted: str = ""

    @property
    def line(self) -> str:
        """The finding in one line, as it is listed."""
        return f"{self.number or '-'}  {self.sign}: {self.text}"


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole plan. `words` are lines to stand beside it."""

    title: str
    shapes: tuple[Shape, ...]
    marks: tuple[Mark, ...]
    words: tuple[str, ...]
    box: Box
    us: bool = False

    @property
    def size_mm(self) -> tuple[float, float]:
        """How large the shop is."""
        return self.box.wide_mm, self.box.deep_mm


def picture(scene: Scene, findings: Sequence[Finding], today: date) -> Picture:
    """Return the plan of a shop as it stands, with what is against a rule."""
    shapes = tuple(_shapes(scene))
    shop = scene.shop
    return Picture(
        title=f"{shop.name}, {today.isoformat()}",
        shapes=shapes,
        marks=tuple(_marks(findings)),
        words=tuple(_words(shop, findings)),
        box=bounds(point for shape in shapes for point in shape.points),
        us=shop.units == "us",
    )


def name_spot(shape: Shape) -> Point:
    """Return where the name of a shape stands: the middle of its box, as drawing programs want it."""
    left, bottom, right, top = bounds(shape.points)
    return (left + right) / 2, (bottom + top) / 2


def scale_that_fits(picture: Picture, width_mm: float, height_mm: float) -> int:
    """Return the largest usual scale (1 to so much) at which the plan fits into a space."""
    wide, high = picture.size_mm
    fits = (s for s in SCALES if wide / s <= width_mm and high / s <= height_mm)
    return next(fits, SCALES[-1])


def _shapes(scene: Scene) -> Iterator[Shape]:
    shop = scene.shop
    for room in shop.rooms.values():
        yield Shape("walls", room.outline, room.name)
    for door in shop.doors.values():
        exit_ = " (exit)" if door.exit else ""
        yield Shape("doors", door.passage, door.name + exit_, short="EXIT" if exit_ else "")
        if door.swing:
            yield Shape("swings", door.swing)
    for way in shop.walkways.values():
        yield Shape("ways", way.line, way.name, open=True)
        yield from (Shape("ways", band) for band in _bands(way.line, way.width_mm))
    for area in shop.keep_clear.values():
        yield Shape("keep-clear", area.outline, area.name)
    for hole in shop.openings.values():
        if hole.outline:
            yield Shape("openings", hole.outline, hole.name)
    for zone in shop.zones.values():
        now = scene.zone(zone.key) or zone
        yield Shape("zones", now.outline, now.name)
    for key in shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is not None:
            yield Shape("fixtures", fixture.outline, fixture.name)
    for key in shop.rooms:
        for body in scene.standing(key):
            if body.kind == "group":
                yield Shape("parts", body.outline, body.name)


def _bands(line: Sequence[Point], width_mm: float) -> Iterator[Outline]:
    """Yield the floor a way takes, leg by leg."""
    for (ax, ay), (bx, by) in itertools.pairwise(line):
        length = math.dist((ax, ay), (bx, by))
        nx, ny = (ay - by) / length * width_mm / 2, (bx - ax) / length * width_mm / 2
        yield (ax + nx, ay + ny), (ax - nx, ay - ny), (bx - nx, by - ny), (bx + nx, by + ny)


def _marks(findings: Sequence[Finding]) -> Iterator[Mark]:
    """Yield what is against a rule: numbered what has a spot, then, as number 0, what has none."""
    against = [each for each in findings if each.grade != "note" and each.judged]
    spots = itertools.count(1)
    for each in sorted(against, key=lambda each: each.at_mm is None):
        told = "" if each.accepted is None else f"Accepted {each.accepted.said}"
        sign = SIGNS[each.grade] if each.accepted is None else "accepted"
        yield Mark(next(spots) if each.at_mm else 0, sign, each.at_mm, each.text, each.remedy, told)


def _words(shop: Shop, findings: Sequence[Finding]) -> Iterator[str]:
    yield f"Measured to {show_length(shop.measured_mm)} unless a value says its own."
    outdoor = [room.name for room in shop.rooms.values() if room.outdoor]
    if outdoor:
        yield f"Outdoors: {', '.join(outdoor)}."
    if not any(door.to == OUTSIDE for door in shop.doors.values()):
        yield "No door to outside is in the shop file."
    unjudged = [each.text for each in findings if not each.judged]
    if unjudged:
        shown = "; ".join(unjudged[:MOST_NOT_CHECKED])
        more = len(unjudged) - MOST_NOT_CHECKED
        yield f"Not checked: {shown}" + (f"; and {more} more" if more > 0 else "")
    notes = sum(each.grade == "note" and each.judged for each in findings)
    yield f"{', '.join(tally(findings).words())}. A thing put right together counts once."
    if notes:
        yield f"Notes, not drawn: {notes}. The Audit lists them."
    yield CAUTION
