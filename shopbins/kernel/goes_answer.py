"""What `goes` answers: the words, the path and its tightest place, and the certificate of a `does not go`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import shapely

from shopbins.geometry.shapes import Outline, Point, Pose
from shopbins.kernel.steering import ON_THE_SPOT

GOES = "goes"
DOES_NOT_GO = "does not go"
TOO_CLOSE = "too close to call"
NOT_DECIDED = "not decided"


@dataclass(frozen=True, slots=True)
class Tightest:
    """Where a path has least room: the pose, what is nearest (body, other), and their nearest points."""

    pose: Pose
    name: str
    points: tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Reached:
    """A region the body's centre cannot leave while its turn is in a band: outer ring and holes."""

    from_deg: float
    to_deg: float
    outline: Outline
    holes: tuple[Outline, ...]


@dataclass(frozen=True, slots=True)
class Certificate:
    """Why it does not go: every pose reachable from the start lies in one of the regions, the goal in none.

    Regions hold places of the body's centre of area, `centre_mm` from its reference point; each is free for
    the body's core (what it covers at every turn of the band), the body taken `inset_mm` smaller.
    `pieces` are the convex pieces of a body that is not convex, about its reference point and half as much
    smaller, as they are checked. Turns are
    unrolled modulo the period, after which the body looks as it did and may arrive (360 where it may not).
    """

    centre_mm: Point
    inset_mm: float
    period_deg: float
    pieces: tuple[Outline, ...]
    cells: tuple[tuple[float, float, Any], ...] = field(repr=False)

    def regions(self) -> tuple[Reached, ...]:
        """Return the regions with plain outlines."""
        return tuple(Reached(a, b, *_rings(p)) for a, b, p in self.cells)


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to `goes`; `path` and `clearance_mm` for `goes`, `certificate` for `does not go`."""

    answer: str
    within_mm: float | None = None
    path: tuple[Pose, ...] = ()
    clearance_mm: float | None = None
    tightest: Tightest | None = None
    certificate: Certificate | None = None
    steering: str = str(ON_THE_SPOT)
    seconds: float = 0.0
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Probe:
    """One search's outcome: checked poses, or the reached bands and regions (shapely) when apart.

    `run` is the search itself, for the planner to check what it proves.
    """

    joined: bool | None
    poses: list[Pose] | None
    slice_mm: float
    reached: tuple[tuple[float, float, Any], ...]
    run: Any = field(repr=False)


def _rings(polygon: Any) -> tuple[Outline, tuple[Outline, ...]]:
    def ring(r: Any) -> Outline:
        return tuple((float(x), float(y)) for x, y in shapely.get_coordinates(r)[:-1])

    return ring(polygon.exterior), tuple(ring(r) for r in polygon.interiors)
