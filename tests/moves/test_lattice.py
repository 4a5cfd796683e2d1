"""Where a body is free on a lattice, against standing it there (shapely)."""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Any

import pytest
import shapely

from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.moves.lattice import HEADINGS, Lattice, lattice

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


def test_the_same_asked_again_for_another_goal_is_the_same_lattice_and_anything_else_is_not() -> None:
    """What is kept of one lattice changes no other: each as made by itself (definition)."""
    kept: dict[Any, Any] = {}
    box = placed(rectangle(400, 250), Pose(2000, 700, 33))

    def made(obstacles: Sequence[Outline], kept: dict[Any, Any], **more: Any) -> Lattice:
        at = Pose(1017.3, 823.9, 0)
        return lattice(
            shapely.Polygon(ROOM), obstacles, rectangle(500, 300), at, 0.0, 200.0, (), kept, **more
        )

    asked: list[tuple[list[Outline], dict[str, Any]]] = [
        ([STAR, box], {}), ([STAR], {}), ([], {}), ([], {"apart": [box]}), ([], {"turn_mm": 8000.0}),
        ([], {"stands": rectangle(200, 200)}), ([], {"handled": False}),
    ]  # fmt: skip
    for obstacles, more in asked:
        found, alone = made(obstacles, kept, **more), made(obstacles, {}, **more)
        assert made(list(obstacles), kept, **more) is found
        assert (found.free == alone.free).all() and (found.roomy == alone.roomy).all()
        assert (found.turn_mm, found.stands) == (alone.turn_mm, alone.stands)
        assert [list(each) for each in found.met] == [list(each) for each in alone.met]


@pytest.mark.parametrize(("need", "row"), [(0.9, True), (1.1, False)])
def test_places_keep_what_is_needed_from_a_wall(need: float, row: bool) -> None:
    """A body 300 wide 1 mm off the wall: free where no more is needed (definition)."""
    found = lattice(shapely.box(0, 0, 2000, 1000), (), rectangle(500, 300), Pose(1000, 151, 0), need, 100.0)
    lowest = {found.at(int(cell))[1] for cell in found.free[0].nonzero()[0]}
    assert (151 in lowest) == row
