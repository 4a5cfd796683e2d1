"""Bodies by where they are: a plain grid of cells, no heavy import, built once and shared."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, Protocol, TypeVar

from shopbins.geometry.shapes import Box


class Boxed(Protocol):
    """Anything with an upright box around it."""

    @property
    def box(self) -> Box:
        """The box in the shop frame."""


T = TypeVar("T", bound=Boxed)

CELL_MM = 800.0
MANY_CELLS = 4096


class Grid(Generic[T]):
    """Which bodies come near a box; never changed after it is built."""

    __slots__ = ("_bodies", "_cells", "_everywhere")

    def __init__(self, bodies: Sequence[T]) -> None:
        """Enter every body into the cells its box touches; a huge one counts as near everything."""
        self._bodies = bodies
        self._cells: dict[tuple[int, int], list[int]] = {}
        self._everywhere: list[int] = []
        for i, body in enumerate(bodies):
            x0, y0, x1, y1 = _cells_of(body.box)
            if (x1 - x0 + 1) * (y1 - y0 + 1) > MANY_CELLS:
                self._everywhere.append(i)
                continue
            for cx in range(x0, x1 + 1):
                for cy in range(y0, y1 + 1):
                    self._cells.setdefault((cx, cy), []).append(i)

    def near(self, box: Box) -> list[T]:
        """Return the bodies whose boxes touch a box, in the order they were given."""
        x0, y0, x1, y1 = _cells_of(box)
        if (x1 - x0 + 1) * (y1 - y0 + 1) > max(MANY_CELLS, len(self._cells)):
            found = set(range(len(self._bodies)))
        else:
            found = set(self._everywhere)
            for cx in range(x0, x1 + 1):
                for cy in range(y0, y1 + 1):
                    found.update(self._cells.get((cx, cy), ()))
        return [self._bodies[i] for i in sorted(found) if self._bodies[i].box.touches(box)]


def _cells_of(box: Box) -> tuple[int, int, int, int]:
    left, bottom, right, top = box
    return int(left // CELL_MM), int(bottom // CELL_MM), int(right // CELL_MM), int(top // CELL_MM)
