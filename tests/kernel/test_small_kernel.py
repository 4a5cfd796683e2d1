"""The kernel's small parts by themselves: laps of a turn, slides put to a path, what a search tries next."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from shopbins.geometry.shapes import Pose
from shopbins.kernel.goes_cells import Space
from shopbins.kernel.goes_ends import from_end_to_end
from shopbins.kernel.goes_search import DETOURS, Search, Step
from shopbins.kernel.steering import _centre, _turn


def piece(number: int, turn_deg: float, size: float = 10.0) -> Any:
    return SimpleNamespace(number=number, turn_deg=turn_deg, polygon=shapely.box(0, 0, size, size))


# --- laps -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("turns", "period", "place", "band"), [
    ([0.0, 90.0], 180.0, 0, (0, 90, 1, 0)), ([0.0, 90.0], 180.0, 1, (90, 180, 0, 1)),
    ([30.0], 360.0, 0, (30, 390, 0, 1)), ([0.0, 100.0, 200.0], 360.0, 2, (200, 360, 0, 1)),
])  # fmt: skip
def test_the_last_band_ends_at_the_first_slice_a_lap_on(
    turns: list[float], period: float, place: int, band: tuple[float, float, int, int]
) -> None:
    space: Any = SimpleNamespace(turns_deg=turns, period_deg=period)
    assert Space.band(space, place) == band


@pytest.mark.parametrize(("at", "count", "steps"), [
    (0, 4, [(1, 0), (3, -1)]), (1, 4, [(2, 0), (0, 0)]), (3, 4, [(0, 1), (2, 0)]), (0, 1, [(0, 1), (0, -1)]),
    (0, 2, [(1, 0), (1, -1)]),
])  # fmt: skip
def test_a_search_goes_to_the_slices_on_either_side_a_lap_on_where_they_are_round_the_turn(
    at: int, count: int, steps: list[tuple[int, int]]
) -> None:
    far = SimpleNamespace(number=99, polygon=shapely.box(500, 500, 600, 600))
    search: Any = SimpleNamespace(space=SimpleNamespace(pieces_at=lambda place: [piece(place, place), far]))
    found = list(Search._beside(search, piece(50, at), at, range(count)))
    assert [(other.number, lap) for other, lap in found] == steps


def test_no_piece_is_beside_itself_and_where_nothing_is_free_nothing_is() -> None:
    own = piece(7, 0.0)
    search: Any = SimpleNamespace(space=SimpleNamespace(pieces_at=lambda place: [own] if place else []))
    assert list(Search._beside(search, own, 0, range(2))) == []


@pytest.mark.parametrize("opens", [True, False])
def test_two_pieces_of_one_end_of_a_band_are_joined_by_the_largest_of_its_other_end(opens: bool) -> None:
    """The band from 170 to 180 degrees of a body that is the same half a turn on: 180 is 0, a lap on."""
    a, b, same = piece(1, 0.0), piece(2, 0.0), piece(3, 0.0, 900.0)
    others = [piece(10 + n, 170.0, 100.0 + n) for n in range(DETOURS + 1)]
    members = [(a, 1), (b, 1), (same, 1), *((each, 0) for each in others)]
    tried: list[tuple[int, int, int]] = []

    def join(one: Any, other: Any, lap: int, briefly: bool = False) -> bool:
        tried.append((one.number, other.number, lap))
        return opens and other is b

    search: Any = SimpleNamespace(known={1: a, 2: b}, space=SimpleNamespace(period_deg=180.0), _join=join)
    cell: Any = SimpleNamespace(members=members)
    assert Search._try(search, Step((1, 0), (2, 0), 0, cell)) is False
    largest = [each.number for each in reversed(others)][:DETOURS]
    assert tried == [(1, number, -1) for number in largest], "there is no way back where there is none there"
    tried.clear()
    search._join = lambda one, other, lap, briefly=False: join(one, other, lap) or other is not b or opens
    assert Search._try(search, Step((1, 0), (2, 0), 0, cell)) is opens
    assert tried[:2] == [(1, largest[0], -1), (largest[0], 2, 1)]


def test_two_pieces_of_the_two_ends_of_a_band_are_joined_straight() -> None:
    a, b = piece(1, 170.0), piece(2, 0.0)
    joined: list[Any] = []
    search: Any = SimpleNamespace(
        known={1: a, 2: b}, space=SimpleNamespace(period_deg=180.0),
        _join=lambda *between, briefly: joined.append((*between, briefly)) or True,
    )  # fmt: skip
    cell: Any = SimpleNamespace(members=[(a, 0), (b, 1)])
    assert Search._try(search, Step((1, 0), (2, 1), 1, cell)) and joined == [(a, b, 1, True)]
    assert not Search._try(search, Step((1, 0), (1, 0), 0, cell)), "it is there"
    assert not Search._try(search, Step((1, 0), (2, 1), 1, None)), "through no band"


# --- ends -------------------------------------------------------------------------------------------------


def test_slides_are_put_to_a_path_only_where_an_end_was_freed() -> None:
    start, goal, off, by = Pose(0, 0), Pose(900, 0), Pose(0, 5), Pose(900, 5)
    path = (Pose(0, 5, 0), Pose(500, 5, 180), Pose(900, 5, 360))
    arrived = Pose(900, 0, 360)
    assert from_end_to_end(path, start, goal, (off, by)) == (start, *path, arrived)
    assert from_end_to_end(path, start, goal, (start, by)) == (*path, arrived)
    assert from_end_to_end(path, start, goal, (off, goal)) == (start, *path)


# --- curves -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "within"), [
    (0.0, 0.0), (1.0, 1.0), (-1.0, 2 * math.pi - 1), (7.0, 7 - 2 * math.pi), (-1e-12, 0.0), (-1e-6, 6.283184),
])  # fmt: skip
def test_an_angle_within_a_whole_turn_and_a_hair_below_it_is_none(angle: float, within: float) -> None:
    assert _turn(angle) == pytest.approx(within, abs=1e-6)


@pytest.mark.parametrize(("turn_deg", "left", "centre"), [
    (0.0, 500.0, (100, 700)), (90.0, 500.0, (-400, 200)), (0.0, -500.0, (100, -300)),
    (180.0, 500.0, (100, -300)),
])  # fmt: skip
def test_a_curve_to_the_left_has_its_centre_there(turn_deg: float, left: float, centre: Any) -> None:
    assert _centre(Pose(100, 200, turn_deg), left) == pytest.approx(centre)
