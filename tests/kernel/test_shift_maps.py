"""The second leg of the relaxed maps: what the library proposes is spoilt, and each time found out."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from bench.floor_scenes import strewn

from shopbins.geometry import minkowski
from shopbins.geometry.shapes import Pose, placed, rectangle
from shopbins.kernel import shift_maps
from shopbins.kernel.goes_check import Refused, edges_of
from shopbins.kernel.goes_search import Stop
from shopbins.kernel.planner import Planner
from shopbins.kernel.shift_check import Solids, hold, holding, not_apart, tiles
from shopbins.kernel.shift_maps import Field, Region, Worth, faces, relaxed, rings_of

BODY = rectangle(900, 600)


def field_of(things, room=((0, 0), (6000, 0), (6000, 4000), (0, 4000))) -> Field:
    def body(smaller_mm: float):
        return [minkowski.corners_of(rectangle(900 - 2 * smaller_mm, 600 - 2 * smaller_mm))]

    return Field([[minkowski.corners_of(t)] for t in things], edges_of([room]), body(0.002), body(0.001))


@pytest.fixture(scope="module")
def field() -> Field:
    rng = random.Random(4)
    things = [
        placed(
            rectangle(rng.uniform(200, 900), rng.uniform(150, 600)),
            Pose(rng.uniform(0, 6000), rng.uniform(0, 4000), rng.uniform(0, 180)),
        )
        for _ in range(12)
    ]
    return field_of(things)


ALL = Worth(np.ones(12), math.inf)


def test_each_place_lies_in_one_face_whose_cover_is_the_true_one(field: Field) -> None:
    """Against standing the core there, by the library's own predicates."""
    rng = random.Random(1)
    band = (30.0, 45.0)
    found = faces(field, band, ALL, None)
    (core,), _ = field.shapes(band)
    for _ in range(300):
        at = shapely.Point(rng.uniform(300, 5700), rng.uniform(300, 3700))
        mine = np.flatnonzero(shapely.contains(found.polygons, at))
        body = shapely.Polygon(core + np.array((at.x, at.y)))
        if shapely.intersects(body, shapely.Polygon(((0, 0), (6000, 0), (6000, 4000), (0, 4000))).exterior):
            continue
        assert len(mine) == 1
        covers = {int(t) for f, t in found.covers.T if f == mine[0]}
        assert covers == {
            i for i, p in enumerate(field.pieces[:12]) if shapely.intersects(body, shapely.Polygon(p))
        }


def test_a_face_that_was_lost_or_moved_is_found_out(field: Field) -> None:
    found = faces(field, (0.0, 15.0), Worth(np.ones(12), 1e9), None)
    region = Region(found.polygons)
    rings = rings_of(found.polygons)
    assert tiles(rings, region.edge, region.edge_at)
    rng = random.Random(2)
    for _ in range(40):
        k = rng.randrange(len(found.polygons))
        assert not tiles(rings_of(np.delete(found.polygons, k)), region.edge, region.edge_at)
        assert not tiles(rings_of(np.append(found.polygons, found.polygons[k])), region.edge, region.edge_at)
        moved = found.polygons.copy()
        ring = shapely.get_coordinates(moved[k])
        ring[1] += rng.choice((-1, 1)) * 1e-3
        moved[k] = shapely.Polygon(ring)
        assert not tiles(rings_of(moved), region.edge, region.edge_at)


def test_a_library_that_loses_a_face_makes_no_map(field: Field, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = shapely.polygonize

    def lossy(lines):
        kept = shapely.get_parts(whole(lines))
        inside = np.flatnonzero(shapely.within(kept, shapely.box(1000, 1000, 5000, 3000)))
        return shapely.geometrycollections(np.delete(kept, inside[len(inside) // 2]))

    monkeypatch.setattr(shift_maps.shapely, "polygonize", lossy)
    with pytest.raises(Refused, match="lost a face"):
        faces(field, (0.0, 15.0), ALL, None)


def test_a_cover_counts_only_where_every_corner_lies_inside() -> None:
    """A face that pokes out of a grown thing by more than the hair the check allows is not covered."""
    solids = Solids([minkowski.corners_of(placed(rectangle(800, 400), Pose(0, 0, 20)))], [0])
    shape = minkowski.corners_of(rectangle(300, 200))
    grown = minkowski.grown(solids.corners, shape)[0]
    one = np.zeros(1, dtype=np.int64)
    for out_mm, held in ((-1e-3, True), (-1e-5, True), (1e-6, False), (1e-3, False)):
        x, y = shapely.get_coordinates(grown)[0] * (1 + out_mm / 500)
        face = shapely.Polygon([(0, 0), (x, y), (-y / 10, x / 10)])
        assert hold(solids.planes(shape), rings_of(np.array([face])), one, one)[0] == held


def test_faces_of_two_bands_that_meet_are_joined_whatever_was_proposed() -> None:
    rng = random.Random(9)
    nothing = np.empty((0, 2), dtype=np.int64)

    def some():
        return np.array(
            [
                shapely.Polygon(
                    placed(
                        [
                            (0, 0),
                            (rng.uniform(50, 900), 0),
                            (rng.uniform(0, 300), rng.uniform(50, 600)),
                            (-40, 90),
                        ],
                        Pose(rng.uniform(0, 3000), rng.uniform(0, 3000), rng.uniform(0, 360)),
                    )
                )
                for _ in range(60)
            ]
            + [
                shapely.box(-10, -10, 4000, 4000),
                shapely.box(0, 0, 900, 900) - shapely.box(100, 100, 800, 800),
            ]
        )

    for _ in range(5):
        one, other = some(), some()
        joined = {tuple(p) for p in not_apart(rings_of(one), rings_of(other), nothing).tolist()}
        true = set(
            zip(*(a.tolist() for a in shapely.STRtree(other).query(one, predicate="intersects")), strict=True)
        )
        assert true <= joined
        assert all(shapely.distance(one[f], other[g]) < 1e-6 for f, g in joined)
    place = (float(one[3].centroid.x), float(one[3].centroid.y))
    assert (
        holding(rings_of(one), place)
        == np.flatnonzero(shapely.intersects(one, shapely.Point(place))).tolist()
    )


def test_a_finer_map_in_what_a_coarser_one_kept_opens_for_the_same_sets() -> None:
    """Regression: edges along the region's own edge were lost to rounding, and with them whole faces."""
    s = strewn(2, 60, 2)
    things = [[minkowski.corners_of(t)] for t in s.things]
    bodies = [[minkowski.corners_of(rectangle(1400 - d, 800 - d))] for d in (0.004, 0.002)]
    field = Field(things, Planner(s.floor, [], s.body).lines(()), *bodies)
    ends = ((0.0, (1500.0, 1500.0)), (0.0, (10500.0, 8500.0)))
    worth = Worth(np.array(s.masses_kg), 150.0)
    coarse = relaxed(field, [(45.0 * k, 45.0 * k + 45.0) for k in range(4)], ends, 180.0, worth, Stop(60.0))
    bands = [(22.5 * k, 22.5 * k + 22.5) for k in range(8)]
    alone = relaxed(field, bands, ends, 180.0, worth, Stop(60.0))
    within = relaxed(field, bands, ends, 180.0, worth, Stop(60.0), coarser=coarse)
    rng = random.Random(3)
    opened = 0
    for _ in range(200):
        gone = sum(1 << i for i in rng.sample(range(60), rng.randint(5, 40)))
        opens = [m.graph.cut(gone, []) is None for m in (coarse, alone, within)]
        assert opens[1] == opens[2]
        assert opens[0] or not opens[1]
        opened += opens[1]
    assert 10 < opened < 190, opened
