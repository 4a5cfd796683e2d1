"""What is recorded for moving a thing: every value within its bounds, kept and read back as it was said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from shopbins.ledger.model import Mass
from shopbins.ledger.problems import BadValue
from shopbins.records.moving import (
    MOST_MM,
    MOST_PARTS,
    MOST_POINTS,
    At,
    Base,
    ComesOff,
    Moving,
    checked_moving,
    moving_doc,
    moving_from,
    shifted,
)

SQUARE = ((0.0, 0.0), (100.0, 0.0), (0.0, 100.0))
MORE = MOST_MM + 0.5
LENGTHS = ("height_mm", "under_mm", "opening_mm", "sling_height_mm", "cg_height_mm", "runners_mm")
WITHINS = ("cg_within_mm", "cg_height_within_mm", "under_within_mm", "opening_within_mm")
POINTS = ("feet", "jacking", "slinging", "straps")


def handle(n: int = 1, **fields: Any) -> ComesOff:
    return ComesOff(f"handle {n}", SQUARE, **fields)


WHOLE = Moving(
    outline=SQUARE, without_base=SQUARE, cg_mm=(-MOST_MM, MOST_MM), machine="lathe", whole=Mass(900, True),
    base=Base("skid", MOST_MM, Mass(40.0), SQUARE), pallet="EUR", flat_base=False, drain="sump oil",
    comes_off=tuple(handle(n, from_mm=MOST_MM * (n == 1), minutes=MOST_MM) for n in range(MOST_PARTS)),
    **dict.fromkeys((*LENGTHS, *WITHINS), MOST_MM),
    **{name: tuple(At(-MOST_MM, MOST_MM, (0.1, MOST_MM)) for _ in range(MOST_POINTS)) for name in POINTS},
)  # fmt: skip


def test_all_at_its_bounds_is_kept_and_read_back() -> None:
    assert checked_moving(WHOLE) == WHOLE == moving_from(moving_doc(WHOLE))
    apart = replace(WHOLE, **{name: float(n) for n, name in enumerate((*LENGTHS, *WITHINS), 1)})
    assert moving_from(moving_doc(apart)) == apart
    assert moving_doc(Moving()) is None and not moving_from(None).told and WHOLE.told


@pytest.mark.parametrize("wrong", [
    *({name: value} for name in LENGTHS for value in (0.0, -1.0, MORE)),
    *({name: value} for name in WITHINS for value in (-1.0, MORE)),
    *({name: points} for name in POINTS for points in (
        (At(0, 0),) * (MOST_POINTS + 1), (At(MORE, 0),), (At(0, -MORE),), (At(0, 0, (0.0, 5)),),
        (At(0, 0, (5, MORE)),))),
    *({"comes_off": parts} for parts in (
        tuple(map(handle, range(MOST_PARTS + 1))), (handle(), handle()), (ComesOff(" ", SQUARE),),
        (ComesOff("x", ()),), (handle(from_mm=-1),), (handle(from_mm=MORE),),
        (handle(from_mm=5, to_mm=5),), (handle(minutes=0),))),
    {"cg_mm": (0, MORE)}, {"cg_mm": (-MORE, 0)}, {"base": Base("skid", 0.0)}, {"base": Base("skid", MORE)},
])  # fmt: skip
def test_what_cannot_be_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(BadValue):
        checked_moving(replace(WHOLE, **wrong))


def test_where_the_middle_is_another_everything_is_moved_with_it() -> None:
    moved = shifted(WHOLE, 10, -20)
    square = ((10.0, -20.0), (110.0, -20.0), (10.0, 80.0))
    assert moved.base is not None
    outlines = [moved.outline, moved.without_base, moved.base.outline, *(p.outline for p in moved.comes_off)]
    assert outlines == [square] * len(outlines)
    points = [at for name in POINTS for at in getattr(moved, name)]
    assert {(at.x_mm, at.y_mm) for at in points} == {(10 - MOST_MM, MOST_MM - 20)}
    assert moved.cg_mm == (10 - MOST_MM, MOST_MM - 20)
    assert shifted(moved, -10, 20) == WHOLE and shifted(Moving(), 10, 10) == Moving()
    assert shifted(WHOLE, 0, 5) != WHOLE != shifted(WHOLE, 5, 0)
