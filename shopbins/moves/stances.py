"""What each gear stands on: the points that touch the floor, in the thing's frame, and what each may bear.

A stance is one way the gear may be: where a length is not told, both ends of what is usual are stances, and a
thing stands only as well as on the unkind one. Lengths in mm; a heel is where a truck's forks begin.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shopbins.geometry.shapes import Point, cos_sin
from shopbins.rules.supports import Reaction, Support, barycentric, stand


class Usual(NamedTuple):
    """What of a gear nobody told, taken as it usually is: in words, and how the shop file would tell it."""

    what: str
    tell: str


WHEEL_PLACES = "wheel places: [[500, 300], [500, -300], [-500, -300], [-500, 300]]"
TRAIL = "trail: 40"


@dataclass(frozen=True, slots=True)
class Stance:
    """Where a gear touches the floor: `supports` by name; `assumed` what of it was not told.

    `alone`: of more than three supports any one may bear the most of every way to stand. `share` is a
    least share of the whole that each is reckoned with whatever statics says (castors: a third). `on_it`
    is where the thing itself stands on the gear with feet or runners: it may go over those first.
    `or_at` is where else its wheels may be: castors all turned one way.
    """

    supports: tuple[Support, ...]
    assumed: tuple[Usual, ...] = ()
    share: float = 0.0
    on_it: tuple[Point, ...] = ()
    or_at: tuple[tuple[Point, ...], ...] = ()

    @property
    def polygon(self) -> tuple[Point, ...]:
        """The points it stands on."""
        return tuple((s.x_mm, s.y_mm) for s in self.supports)

    def bears(self, cg: Point) -> tuple[Reaction, ...]:
        """Return what each support may bear, as shares of the whole."""
        if len(self.supports) == 3:
            found = barycentric(self.supports, cg)
        else:
            found = stand(self.supports, cg).reactions
        if not self.share:
            return found
        return tuple(Reaction(r.support, r.least, max(r.most, self.share), r.alike) for r in found)


def placed(at: Point, towards_deg: float, points: Sequence[tuple[str, float, float]]) -> tuple[Support, ...]:
    """Return points given along and to the right of a direction, from a point of the thing's frame."""
    c, s = cos_sin(towards_deg)
    return tuple(Support(at[0] + a * c + r * s, at[1] + a * s - r * c, name) for name, a, r in points)


# --- pallet trucks ----------------------------------------------------------------------------------------


def truck(
    heel: Point,
    towards_deg: float,
    *,
    over_forks_mm: float,
    fork_width_mm: float,
    fork_length_mm: float,
    steering_axle_mm: float,
    load_rollers_mm: float,
    steering_track_mm: float | None = None,
    assumed: tuple[Usual, ...] = (),
) -> Stance:
    """Return what a pallet truck stands on: its steering wheels and the rollers at the middle of each fork.

    `heel` is the middle between the heels of the forks. The steering wheels rock on the middle line and
    count as one point; as two only where their axle is told not to rock, and how far apart they are. Of
    tandem rollers it is the rocker's pin that bears.
    """
    out = fork_length_mm - load_rollers_mm
    half = (over_forks_mm - fork_width_mm) / 2
    if steering_track_mm is None:
        wheels = [("the steering end", -steering_axle_mm, 0.0)]
    else:
        wheels = [
            (f"the {side} steering wheel", -steering_axle_mm, r) for side, r in _both(steering_track_mm / 2)
        ]
    wheels += [(f"the {side} load roller", out, r) for side, r in _both(half)]
    return Stance(placed(heel, towards_deg, wheels), assumed)


def _both(half: float) -> tuple[tuple[str, float], tuple[str, float]]:
    return ("left", -half), ("right", half)


# --- skates, trolleys, cranes -----------------------------------------------------------------------------


def pads(points: Sequence[Point], names: Sequence[str] = ()) -> Stance:
    """Return skates under points: the middle of each pad."""
    return Stance(
        tuple(
            Support(x, y, names[i] if i < len(names) and names[i] else f"skate {i + 1}")
            for i, (x, y) in enumerate(points)
        )
    )


def castors(
    stems: Sequence[Point], trail_mm: float, assumed: tuple[Usual, ...] = (), fixed: bool = False
) -> Stance:
    """Return wheels that may turn inwards by the trail of their castors, the worst turn for each edge.

    Every castor is reckoned with a third of the whole at least: one of four hangs in the air on a real floor.
    """
    mx = math.fsum(x for x, _ in stems) / len(stems)
    my = math.fsum(y for _, y in stems) / len(stems)

    def inwards(p: Point) -> Point:
        x = p[0] - math.copysign(min(trail_mm, abs(p[0] - mx)), p[0] - mx)
        y = p[1] - math.copysign(min(trail_mm, abs(p[1] - my)), p[1] - my)
        return x, y

    at = [p if fixed else inwards(p) for p in stems]
    ways = () if fixed else ((trail_mm, 0.0), (-trail_mm, 0.0), (0.0, trail_mm), (0.0, -trail_mm))
    return Stance(
        tuple(Support(x, y, f"castor {i + 1}") for i, (x, y) in enumerate(at)),
        assumed,
        share=1 / 3 if len(stems) > 3 else 0.0,
        or_at=tuple(tuple((x + dx, y + dy) for x, y in stems) for dx, dy in ways),
    )


def rollers_at(front_mm: float, rear_mm: float, half_mm: float, *, across: bool = False) -> Stance:
    """Return loose rollers by the front and the rear one that is under the base, along x or `across` it."""
    return Stance(
        tuple(
            Support(end, at, name) if across else Support(at, end, name)
            for name, at in (("the front roller", front_mm), ("the rear roller", rear_mm))
            for end in (-half_mm, half_mm)
        )
    )


# --- jacks and slings -------------------------------------------------------------------------------------


def jack_bears_kg(mass_kg: float, cg_mm: float, jack_mm: float, pivot_mm: float, jacks: int = 1) -> float:
    """Return what each of some jacks alike bears, one end lifted: W (cg to pivot) / (jack to pivot)."""
    return mass_kg * (cg_mm - pivot_mm) / (jack_mm - pivot_mm) / jacks


def sling_deg(apart_mm: float, up_mm: float) -> float:
    """Return the angle to the level of slings from two points to a hook above their middle."""
    return math.degrees(math.atan2(up_mm, apart_mm / 2))


def sling_share(runs: Sequence[tuple[float, float]], up_mm: float) -> float:
    """Return the most that is in one of two slings, as a share of the weight, with the hook so far up over a
    centre of gravity that is so far from both points, for the worst of some: by moments b / (a + b), over the
    sine of its angle.
    """
    both = ((a, b) for run in runs for a, b in (run, run[::-1]))
    return max(b / (a + b) * math.hypot(a, up_mm) / up_mm for a, b in both)


def both_ends(told: float | None, usual: tuple[float, float]) -> tuple[float, ...]:
    """Return what was told, else both ends of what is usual."""
    return usual if told is None else (told,)


def every(*ends: Sequence[float | None]) -> list[tuple[float | None, ...]]:
    """Return every choice of one end each."""
    return list(itertools.product(*ends))
