"""Where names stand on a drawn plan: inside what they name, over nothing else, or as a letter with a key."""

from __future__ import annotations

import itertools
import string
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from shopbins.geometry.shapes import Box, bounds
from shopbins.plans.picture import Picture, Shape

ROOM_MM = 3.2
SIZES_MM = (2.4, 2.0, 1.7)
MARK_MM = 2.4
_FIRST = ("walls", "zones", "keep-clear", "ways", "openings", "fixtures", "parts", "doors")

Width = Callable[[str, float], float]
"""How long a text is at a letter size, in mm."""


@dataclass(frozen=True, slots=True)
class Label:
    """A text, its letter size and its middle, in mm of paper from the plan's lower left corner, y up."""

    text: str
    size: float
    x: float
    y: float
    bold: bool = False


def labels(plan: Picture, scale: int, width: Width) -> tuple[list[Label], list[str]]:
    """Return the labels of a plan drawn 1 to `scale`, and the key of those that are letters only."""
    named = sorted((s for s in plan.shapes if s.name), key=lambda s: -_FIRST.index(s.layer))
    taken = [_disk(plan, mark.at_mm, scale) for mark in plan.marks if mark.at_mm is not None]
    things = [_paper(plan, s, scale) for s in plan.shapes if s.layer in ("parts", "fixtures")]
    stores = [_paper(plan, s, scale) for s in plan.shapes if s.layer == "zones"]
    letters = _letters()
    found: list[Label] = []
    key: list[str] = []
    for shape in named:
        over = taken + (things if shape.layer in ("zones", "walls", "keep-clear", "ways") else [])
        over = over + (stores if shape.layer == "walls" else [])
        label = _label(shape, _paper(plan, shape, scale), over, width)
        if label is None:
            text = shape.short or next(letters)
            if shape.short == "":
                key.append(f"{text} {shape.name}")
            left, bottom, right, top = _paper(plan, shape, scale)
            label = Label(text, SIZES_MM[-1], (left + right) / 2, (bottom + top) / 2)
        found.append(label)
        taken.append(_box(label, width))
    return found, key


def _label(shape: Shape, inside: Box, over: Sequence[Box], width: Width) -> Label | None:
    left, bottom, right, top = inside
    bold = shape.layer == "walls"
    tries = ((ROOM_MM,) if bold else ()) + SIZES_MM
    for size, (across, up) in itertools.product(tries, _SPOTS[bold]):
        half, high = width(shape.name, size) / 2 + 0.3, size * 0.7
        if right - left < 2 * half or top - bottom < 2 * high:
            continue
        x = left + half + (right - left - 2 * half) * across
        y = bottom + high + (top - bottom - 2 * high) * up
        label = Label(shape.name, size, x, y, bold)
        if not any(_meet(_box(label, width), each) for each in over):
            return label
    return None


_SPOTS = {
    False: tuple(itertools.product((0.5, 0.0, 1.0), (0.5, 0.1, 0.9))),
    True: tuple((across, up) for up in (0.98, 0.02, 0.8, 0.5, 0.2) for across in (0.5, 0.25, 0.75, 0.1, 0.9)),
}


def _paper(plan: Picture, shape: Shape, scale: int) -> Box:
    left, bottom, right, top = bounds(shape.points)
    x, y = plan.box.left, plan.box.bottom
    return Box((left - x) / scale, (bottom - y) / scale, (right - x) / scale, (top - y) / scale)


def _disk(plan: Picture, at: tuple[float, float], scale: int) -> Box:
    middle = (at[0] - plan.box.left) / scale, (at[1] - plan.box.bottom) / scale
    return Box(*middle, *middle).grown(MARK_MM)


def _box(label: Label, width: Width) -> Box:
    half, high = width(label.text, label.size) / 2, label.size * 0.6
    return Box(label.x - half, label.y - high, label.x + half, label.y + high)


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _letters() -> Iterator[str]:
    for length in itertools.count(1):
        yield from ("".join(each) for each in itertools.product(string.ascii_lowercase, repeat=length))
