"""What a line crosses: the parity the chains of the least shift count by."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import shapely

from shopbins.kernel.shift_chains import Chains, crossings


def test_a_line_is_crossed_as_often_as_shapely_finds_points_of_crossing() -> None:
    luck = np.random.default_rng(1)
    for bends in (2, 3, 6):
        line = luck.uniform(0, 1000, (bends, 2))
        a, b = luck.uniform(0, 1000, (2, 40, 2))
        crossed = shapely.intersection(
            shapely.linestrings(np.stack((a, b), axis=1)), shapely.LineString(line)
        )
        odd = shapely.get_num_geometries(crossed) * ~shapely.is_empty(crossed) % 2
        assert set(odd.tolist()) == {0, 1}
        assert crossings(a, b, line).tolist() == odd.tolist()
    assert len(crossings(np.empty((0, 2)), np.empty((0, 2)), line)) == 0


def test_a_point_is_deep_in_a_thing_where_shapely_has_it_inside() -> None:
    luck = np.random.default_rng(2)
    things = [shapely.box(0, 0, 400, 300)]  # level and upright sides among them
    things += [
        shapely.orient_polygons(shapely.MultiPoint(luck.uniform(0, 400, (6, 2))).convex_hull)
        for _ in range(5)
    ]
    points = luck.uniform(-50, 450, (200, 2))
    of = luck.integers(0, len(things), 200)
    inside = shapely.contains_xy(np.array(things)[of], points)
    asked = SimpleNamespace(things=things)
    assert Chains._deep(asked, of, points).tolist() == inside.tolist()  # type: ignore[arg-type]
    edge = np.array([[200.0, 0.0], [0.0, 150.0], [400.0, 300.0], [200.0, 1e-7], [200.0, 1e-3]])
    on = Chains._deep(asked, np.zeros(5, int), edge)  # type: ignore[arg-type]
    assert on.tolist() == [False, False, False, False, True], "a hair within is needed"
