"""What a line crosses: the parity the chains of the least shift count by."""

from __future__ import annotations

import numpy as np
import shapely

from shopbins.kernel.shift_chains import crossings


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
