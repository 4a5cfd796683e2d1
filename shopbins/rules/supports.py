"""Standing on packing, skates or feet: what each support bears, and how far it is from tipping.

Statics of a stiff body on points that only push. Three supports not in one line bear the mass times the
barycentric coordinates of the centre of gravity, exactly. Of more, three may carry and the others touch
without bearing: what a support bears lies between the least and greatest of all the ways to stand.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.segments import inside_mm
from shopbins.geometry.shapes import Outline, Point
from shopbins.shop.model import Slope
from shopbins.units import show_length

MOST_SUPPORTS = 24
"""With more supports than this no range is worked out: the time grows with their cube."""

_TINY = 1e-9


@dataclass(frozen=True, slots=True)
class Support:
    """Where something stands on: a point and its name."""

    x_mm: float
    y_mm: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Reaction:
    """What a support bears, as shares of the whole mass: least and greatest.

    `alike` is its share where all supports give way alike, None where one of them would then lift off.
    """

    support: Support
    least: float
    most: float
    alike: float | None = None

    def kg(self, mass_kg: float) -> tuple[float, float]:
        """Return the least and the greatest in kg."""
        return self.least * mass_kg, self.most * mass_kg


@dataclass(frozen=True, slots=True)
class Stand:
    """How something stands. Angles in degrees, None where unknown or where it does not stand.

    `edge_mm` is the distance of the centre of gravity from the nearest edge of the support polygon, below 0
    outside; `tip_deg` the further tilt about the edge `tip_edge` at which it tips, on the level;
    `tip_on_slope_deg` and `slope_edge` the same on the floor as it falls. `exact`: three supports and a
    known centre of gravity. `why` says what makes it a range, or not judged.
    """

    stands: bool | None
    polygon: Outline
    reactions: tuple[Reaction, ...]
    exact: bool
    why: str
    edge_mm: float | None = None
    tip_deg: float | None = None
    tip_edge: tuple[Point, Point] | None = None
    tip_on_slope_deg: float | None = None
    slope_edge: tuple[Point, Point] | None = None

    def most(self) -> Reaction | None:
        """The support that may have to bear most."""
        return max(self.reactions, key=lambda r: r.most, default=None)

    @property
    def heaviest(self) -> tuple[float, float] | None:
        """The shares the heaviest support bears where all carry alike, and may bear; None where not known."""
        most = self.most()
        if most is None:
            return None
        return max((r.alike for r in self.reactions if r.alike is not None), default=most.most), most.most


def stand(
    supports: Sequence[Support],
    cg_mm: Point | None,
    *,
    cg_height_mm: float | None = None,
    slope: Slope | None = None,
    outline: Outline = (),
) -> Stand:
    """Return how a stiff thing stands on supports that only push.

    `cg_height_mm` is counted from the tops of the supports; `slope` is the floor's, in the frame of the
    supports: on it what they bear is reckoned from where the weight falls, as shares of what presses square
    to the floor. Where the centre of gravity is not known, `outline` bounds where it may be: each support's
    share is then a range over it, and whether it stands is not judged unless it does wherever it is.
    """
    polygon = convex_hull([(s.x_mm, s.y_mm) for s in supports])
    if len(supports) == 3 and _shares(supports, (0.0, 0.0)) is None:
        polygon = polygon[:2]  # in line but for rounding: nothing can be reckoned over so thin a triangle
    if cg_mm is None:
        return _somewhere(supports, polygon, outline)
    if len(polygon) < 3:
        return Stand(False, polygon, (), False, "fewer than three supports, or all in one line")
    edges = list(zip(polygon, (*polygon[1:], polygon[0]), strict=True))
    edge_mm = min(inside_mm(a, b, cg_mm) for a, b in edges)
    if edge_mm < -_TINY:
        words = f"the centre of gravity lies {show_length(-edge_mm)} outside the supports: it tips"
        return Stand(False, polygon, barycentric(supports, cg_mm), False, words, edge_mm)
    falls = _falls(cg_mm, cg_height_mm, slope)
    reactions, why = _reactions(supports, falls)
    if slope is not None and cg_height_mm is None:
        why += "; as on the level, as the height of the centre of gravity is not known"
    tip, tip_edge = _tip(edges, cg_mm, cg_height_mm, None)
    on_slope, slope_edge = _tip(edges, cg_mm, cg_height_mm, slope)
    stands = not (on_slope is not None and on_slope <= 0)
    if not stands:
        reactions = barycentric(supports, falls)
        why = f"{'' if slope is None else 'on this slope '}the weight falls outside the supports: it tips"
    return Stand(
        stands,
        polygon,
        reactions,
        len(supports) == 3,
        why,
        edge_mm,
        tip,
        tip_edge,
        on_slope if slope is not None else None,
        slope_edge if slope is not None else None,
    )


def _falls(cg: Point, height_mm: float | None, slope: Slope | None) -> Point:
    """Return where the weight meets the plane of the supports: on a slope, downhill of the point over it."""
    if height_mm is None or slope is None:
        return cg
    down = math.radians(slope.towards_deg)
    return cg[0] + height_mm * slope.fall * math.cos(down), cg[1] + height_mm * slope.fall * math.sin(down)


def barycentric(supports: Sequence[Support], cg_mm: Point) -> tuple[Reaction, ...]:
    """Return the shares of exactly three supports; one below 0 would have to hold it down. () of others."""
    if len(supports) != 3:
        return ()
    shares = _shares(supports, cg_mm)
    return (
        ()
        if shares is None
        else tuple(Reaction(s, share, share, share) for s, share in zip(supports, shares, strict=True))
    )


def _shares(three: Sequence[Support], cg: Point) -> tuple[float, float, float] | None:
    """Return the barycentric coordinates of a point; None of three supports in one line."""
    a, b, c = three
    whole = (b.x_mm - a.x_mm) * (c.y_mm - a.y_mm) - (b.y_mm - a.y_mm) * (c.x_mm - a.x_mm)
    size = max(math.dist((s.x_mm, s.y_mm), (t.x_mm, t.y_mm)) for s in three for t in three)
    if abs(whole) <= 1e-9 * size * size:
        return None
    second = ((cg[0] - a.x_mm) * (c.y_mm - a.y_mm) - (cg[1] - a.y_mm) * (c.x_mm - a.x_mm)) / whole
    third = ((b.x_mm - a.x_mm) * (cg[1] - a.y_mm) - (b.y_mm - a.y_mm) * (cg[0] - a.x_mm)) / whole
    return 1.0 - second - third, second, third


def _reactions(supports: Sequence[Support], cg: Point) -> tuple[tuple[Reaction, ...], str]:
    """Return what each support bears: exactly of three, else the range over every way to stand."""
    if len(supports) == 3:
        return barycentric(supports, cg), "three supports: exact"
    if len(supports) > MOST_SUPPORTS:
        return (), f"{len(supports)} supports, more than {MOST_SUPPORTS}: loads not worked out"
    ways = ways_to_stand(supports, cg)
    if not ways:
        return (), "the weight falls too near the edge of the supports: loads not worked out"
    alike = _alike(supports, cg)
    found = tuple(
        Reaction(s, min(w[i] for w in ways), max(w[i] for w in ways), None if alike is None else alike[i])
        for i, s in enumerate(supports)
    )
    why = (
        f"{len(supports)} supports: three can carry it while the others only touch, so statics alone gives "
        "a range; stiffness and packing decide within it"
    )
    return found, why


def ways_to_stand(supports: Sequence[Support], cg: Point) -> list[list[float]]:
    """Return every way to stand on at most three of the supports.

    What the supports bear is any mixture of these: they are the corners of the polytope of all solutions
    (basic solutions of linear programming), so each support's least and greatest are among them.
    """
    n = len(supports)
    found: list[list[float]] = []
    for three in itertools.combinations(range(n), 3):
        shares = _shares([supports[i] for i in three], cg)
        if shares is not None and min(shares) >= -1e-9:
            found.append(_spread(n, three, shares))
    for i, j in itertools.combinations(range(n), 2):
        at = _along(supports[i], supports[j], cg)
        if at is not None:
            found.append(_spread(n, (i, j), (1.0 - at, at)))
    for i, s in enumerate(supports):
        if math.dist((s.x_mm, s.y_mm), cg) <= 1e-6:
            found.append(_spread(n, (i,), (1.0,)))
    return found


def _spread(n: int, which: Sequence[int], shares: Sequence[float]) -> list[float]:
    whole = [0.0] * n
    for i, share in zip(which, shares, strict=True):
        whole[i] = min(1.0, max(0.0, share))
    return whole


def _along(a: Support, b: Support, p: Point) -> float | None:
    """Return how far along from a to b a point on that line lies, 0 to 1; None of one beside it."""
    dx, dy = b.x_mm - a.x_mm, b.y_mm - a.y_mm
    square = dx * dx + dy * dy
    if square == 0.0:
        return None
    at = ((p[0] - a.x_mm) * dx + (p[1] - a.y_mm) * dy) / square
    off = abs((p[0] - a.x_mm) * dy - (p[1] - a.y_mm) * dx) / math.sqrt(square)
    return at if off <= 1e-6 and -1e-9 <= at <= 1 + 1e-9 else None


def _alike(supports: Sequence[Support], cg: Point) -> list[float] | None:
    """Return the shares where all supports are equally springy: they lie in one plane over the floor.

    Equal to the solution of least squares (least sum of squared loads); None where one would pull.
    """
    n = len(supports)
    mx, my = sum(s.x_mm for s in supports) / n, sum(s.y_mm for s in supports) / n
    xs, ys = [s.x_mm - mx for s in supports], [s.y_mm - my for s in supports]
    sxx, syy = sum(x * x for x in xs), sum(y * y for y in ys)
    sxy = sum(x * y for x, y in zip(xs, ys, strict=True))
    det = sxx * syy - sxy * sxy
    if det <= 1e-12 * max(sxx * syy, 1.0):
        return None
    cx, cy = cg[0] - mx, cg[1] - my
    p, q = (cx * syy - cy * sxy) / det, (cy * sxx - cx * sxy) / det
    shares = [1.0 / n + p * x + q * y for x, y in zip(xs, ys, strict=True)]
    return shares if min(shares) >= -1e-12 else None


# --- tipping ----------------------------------------------------------------------------------------------


def _tip(
    edges: Sequence[tuple[Point, Point]], cg: Point, height_mm: float | None, slope: Slope | None
) -> tuple[float | None, tuple[Point, Point] | None]:
    """Return the least further tilt at which it tips, and about which edge.

    Per edge atan(distance / height), less the floor's fall across that edge: tilting about an edge leaves
    the part of the weight along it alone, so the angles in the plane across it add up exactly.
    """
    if height_mm is None or height_mm <= 0:
        return None, None
    best: tuple[float, tuple[Point, Point]] | None = None
    for a, b in edges:
        length = math.dist(a, b)
        outward = ((b[1] - a[1]) / length, -(b[0] - a[0]) / length)
        tilt = math.atan2(inside_mm(a, b, cg), height_mm)
        if slope is not None:
            down = math.radians(slope.towards_deg)
            tilt -= math.atan(slope.fall * (math.cos(down) * outward[0] + math.sin(down) * outward[1]))
        if best is None or tilt < best[0]:
            best = (tilt, (a, b))
    return (None, None) if best is None else (math.degrees(best[0]), best[1])


# --- centre of gravity not known ---------------------------------------------------------------------------


def _somewhere(supports: Sequence[Support], polygon: Outline, outline: Outline) -> Stand:
    """Say what can be said where the centre of gravity is only known to be over an outline."""
    words = "the centre of gravity is not known"
    if len(polygon) < 3:
        return Stand(False, polygon, (), False, "fewer than three supports, or all in one line")
    if not outline:
        return Stand(None, polygon, (), False, f"{words}: not checked")
    corners = convex_hull(outline)
    edges = list(zip(polygon, (*polygon[1:], polygon[0]), strict=True))
    edge_mm = min(inside_mm(a, b, p) for a, b in edges for p in corners)
    if len(supports) == 3:
        at = [shares for p in corners if (shares := _shares(supports, p)) is not None]
        reactions = tuple(
            Reaction(s, max(0.0, min(w[i] for w in at)), min(1.0, max(w[i] for w in at)))
            for i, s in enumerate(supports)
        )
    else:
        reactions = tuple(Reaction(s, 0.0, 1.0) for s in supports)
    if edge_mm >= 0:
        return Stand(True, polygon, reactions, False, f"{words}, but it is over the supports", edge_mm)
    why = (
        f"{words}; over the outline it may lie up to {show_length(-edge_mm)} outside the supports: "
        "not checked"
    )
    return Stand(None, polygon, reactions, False, why, edge_mm)
