"""Where a body is free on a lattice, against standing it there (shapely)."""

from __future__ import annotations

import random

import pytest
import shapely

from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.moves.lattice import HEADINGS, lattice

ROOM = ((0, 0), (4000, 0), (4000, 1500), (2500, 1500), (2500, 3000), (0, 3000))
PILLAR = ((900, 1700), (1300, 1700), (1300, 2100), (900, 2100))
STAR: Outline = (
    (3000, 400), (3400, 600), (3800, 400), (3600, 800), (3800, 1200), (3400, 1000), (3000, 1200),
)  # fmt: skip


@pytest.mark.parametrize("body", [rectangle(500, 300), ((100.0, 50.0), (700.0, 80.0), (400.0, 500.0))])
def test_places_are_free_where_the_body_stands_clear_of_walls_and_things(body: Outline) -> None:
    """A floor with a corner cut out and a pillar, a star on it: its own middle may be outside the body."""
    luck = random.Random(3)
    floor = shapely.Polygon(ROOM, [PILLAR])
    box = placed(rectangle(400, 250), Pose(2000, 700, 33))
    found = lattice(floor, [STAR, box], body, Pose(1017.3, 823.9, 0), 0.0, 100.0)
    things = shapely.union_all([shapely.Polygon(each) for each in (STAR, box)])
    seen = [0, 0]
    for _ in range(600):
        h, cell = luck.randrange(len(HEADINGS)), luck.randrange(found.shape[0] * found.shape[1])
        stands = shapely.Polygon(placed(body, Pose(*found.at(cell), HEADINGS[h])))
        free = floor.contains(stands) and not things.intersects(stands)
        assert bool(found.free[h][cell]) == free, (h, found.at(cell))
        seen[free] += 1
    assert min(seen) > 60


@pytest.mark.parametrize(("need", "row"), [(0.9, True), (1.1, False)])
def test_places_keep_what_is_needed_from_a_wall(need: float, row: bool) -> None:
    """A body 300 wide 1 mm off the wall: free where no more is needed (definition)."""
    found = lattice(shapely.box(0, 0, 2000, 1000), (), rectangle(500, 300), Pose(1000, 151, 0), need, 100.0)
    lowest = {found.at(int(cell))[1] for cell in found.free[0].nonzero()[0]}
    assert (151 in lowest) == row
