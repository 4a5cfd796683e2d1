"""The least to shift for gear driven over a lattice, against trying every set of things (definition)."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
import shapely

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import Outline, Pose, rectangle
from shopbins.kernel.bits import members
from shopbins.kernel.sweep import Sweep
from shopbins.moves.drivenshift import Regions, _cheapest, least
from shopbins.moves.pivot import least_shifted


def sets_of(costs: list[float]) -> list[int]:
    """Return every set of things as bits, the cheapest first."""
    return sorted(range(1 << len(costs)), key=lambda s: math.fsum(costs[i] for i in members(s)))


def cost_of(gone: int, costs: list[float]) -> float:
    return math.fsum(costs[i] for i in members(gone))


@pytest.mark.parametrize("seed", range(6))
def test_least_is_the_cheapest_of_all_sets_that_lead_there(seed: int) -> None:
    luck = random.Random(seed)
    for _ in range(12):
        costs = [float(luck.randint(1, 9)) for _ in range(7)]
        bars = [0] + [sum(1 << i for i in range(7) if luck.random() < 0.25) for _ in range(11)]
        beside: list[list[int]] = [[] for _ in bars]
        for a, b in itertools.combinations(range(12), 2):
            if luck.random() < 0.25:
                beside[a].append(b)
                beside[b].append(a)
        it = Regions(bars, beside, [(0, luck.choice((0, 1)))], {11: [luck.choice((0, 4))]})
        leads = next((s for s in sets_of(costs) if it.reached(s)[0]), None)
        found = least(it, costs, lambda: False)
        if leads is None or found is None:
            assert found is leads is None
        else:
            assert sum(costs[i] for i in found) == cost_of(leads, costs)
            assert it.reached(sum(1 << i for i in found))[0]
            cut_off = least(it, costs, lambda: True)
            assert cut_off is not None and it.reached(sum(1 << i for i in cut_off))[0]


def test_cuts_are_met_by_the_cheapest_of_all_sets_that_meet_them() -> None:
    luck = random.Random(5)
    for _ in range(40):
        costs = [float(luck.randint(1, 9)) for _ in range(7)]
        cuts = [luck.randrange(1, 128) for _ in range(luck.randint(0, 7))]
        least_set = next(s for s in sets_of(costs) if all(s & cut for cut in cuts))
        assert cost_of(_cheapest(cuts, costs), costs) == cost_of(least_set, costs)


def block(x0: float, y0: float, x1: float, y1: float) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


@pytest.mark.parametrize(
    ("costs", "shift"),
    [((9.0, 4.0, 4.0), (1, 2)), ((7.0, 4.0, 4.0), (0,)), ((7.0, 4.0, 0.5), (1, 2))],
)
def test_of_two_gaps_the_one_is_cleared_that_costs_less(
    costs: tuple[float, ...], shift: tuple[int, ...]
) -> None:
    """A wall with two gaps 1000 wide, one crate in the one, two in the other: the sums decide."""
    floor = shapely.Polygon(
        block(0, 0, 6000, 5000), [block(2800, 1500, 3200, 3500)[::-1]]
    ) - shapely.MultiPolygon([shapely.box(2800, 0, 3200, 500), shapely.box(2800, 4500, 3200, 5000)])
    crates = [block(2850, 700, 3150, 1300), block(2700, 3600, 2850, 4400), block(3300, 3600, 3450, 4400)]
    body = rectangle(900, 600)
    walls = minkowski.segments_of([floor])
    sweep = Sweep(minkowski.corners_of(body), np.asarray(walls))
    asked = floor, (), body, sweep, Pose(1000, 2500, 0), Pose(5000, 2500, 0), 5.0, lambda: False, (), {}
    assert least_shifted(*asked, 100.0, apart=crates, costs=costs) == shift
