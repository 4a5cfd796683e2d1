"""Room where straight gear is set round: its skates stand any way there, and take more than as they roll."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.geometry.shapes import Outline, Point, Pose

SIDES = 24
NO_TURN_DEG = 1e-6
"""What turns by less is driven straight on."""


def any_way(size_mm: tuple[float, float], at: Point) -> Outline:
    """Return a polygon about all that a pad covers, turned about its middle."""
    far = math.hypot(*size_mm) / 2 / math.cos(math.pi / SIDES)
    every = (math.tau * (k + 0.5) / SIDES for k in range(SIDES))
    return tuple((at[0] + far * math.cos(a), at[1] + far * math.sin(a)) for a in every)


def turning(path: Sequence[Pose]) -> list[tuple[Pose, Pose]]:
    """Return the motions of a way that turn."""
    return [(a, b) for a, b in itertools.pairwise(path) if abs(b.turn_deg - a.turn_deg) > NO_TURN_DEG]


def met_on(body: Outline, turned: Outline, path: Sequence[Pose], shapes: Sequence[Any]) -> list[int]:
    """Return the places of shapely shapes that a body does not surely miss along a path; it takes `turned`
    where it turns, () for no more than as it rolls.
    """
    from shopbins.kernel.swept import met

    found = set(met(body, path, shapes))
    for pair in turning(path) if turned else ():
        found |= set(met(turned, pair, shapes))
    return sorted(found)


@dataclass(frozen=True, slots=True)
class SetRound:
    """The checker of motions of gear that takes more where it turns: `rolls` and `turned`, among the same
    edges.
    """

    rolls: Any
    turned: Any

    def on(self, a: Pose, b: Pose) -> Any:
        """Return the checker of the motion from a to b."""
        return self.turned if turning((a, b)) else self.rolls

    def near(self, a: Pose, b: Pose, within_mm: float) -> Any:
        """Return the places of edges that it may come within a distance of."""
        return self.on(a, b).near(a, b, within_mm)

    def bound(self, a: Pose, b: Pose, at: Any) -> float:
        """Return a distance that it never comes nearer to the given edges than, moving from a to b."""
        return float(self.on(a, b).bound(a, b, at))

    def clear(self, a: Pose, b: Pose, need_mm: float, depth: int = 5) -> bool:
        """Tell whether it surely keeps more than a distance."""
        return bool(self.on(a, b).clear(a, b, need_mm, depth))

    def nearest(self, pose: Pose) -> Any:
        """Return the nearest points of it as it stands to roll."""
        return self.rolls.nearest(pose)


def checker(body: Any, turned: Outline, edges: Any) -> Any:
    """Return the checker of motions of a body (corners) among edges, which takes `turned` where it turns."""
    from shopbins.geometry import minkowski
    from shopbins.kernel.sweep import Sweep

    rolls = Sweep(body, edges)
    return SetRound(rolls, Sweep(minkowski.corners_of(turned), edges)) if turned else rolls
