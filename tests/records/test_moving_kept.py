"""What is recorded for moving a thing: every value within its bounds, kept and read back as it was said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from strip_job import BENCH, Job

from shopbins.desk.movewords import told
from shopbins.ledger.model import Mass, Size
from shopbins.ledger.problems import BadValue, Refused
from shopbins.records import acts, acts_move
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
    moving_of,
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


def press() -> tuple[Job, str]:
    job = Job()
    key = job.take("press", where=BENCH)
    moving = Moving(cg_mm=(10.0, 20.0), feet=(At(1.0, 2.0),), comes_off=(handle(1), handle(2)))
    job.do(acts_move.describe(job.state, key, moving))
    return job, key


def test_what_is_left_is_counted_from_its_own_middle_and_back_again() -> None:
    """A middle at (30, -5) of the frame before: every point is so much less along both ways."""
    job, key = press()
    job.do(acts_move.part_off(job.state, key, "handle 1", middle_mm=(30.0, -5.0)))
    now = moving_of(job.state.group(key))
    assert (now.cg_mm, now.feet) == ((-20.0, 25.0), (At(-29.0, 7.0),))
    assert [part.off for part in now.comes_off] == [True, False]
    assert now.comes_off[0].outline == tuple((x - 30, y + 5) for x, y in SQUARE)
    with pytest.raises(Refused, match="off press already"):
        acts_move.part_off(job.state, key, "handle 1")
    job.do(acts_move.part_on(job.state, key, "handle 1", middle_mm=(-30.0, 5.0)))
    then = moving_of(job.state.group(key))
    assert (then.cg_mm, then.feet) == ((10.0, 20.0), (At(1.0, 2.0),))
    assert not any(part.off for part in then.comes_off)


def test_a_part_off_with_no_new_middle_leaves_every_point_where_it_is() -> None:
    job, key = press()
    job.do(acts_move.part_off(job.state, key, "handle 2"))
    job.do(acts_move.part_on(job.state, key, "handle 2"))
    assert moving_of(job.state.group(key)).cg_mm == (10.0, 20.0)


def test_steps_of_a_planned_move_are_ticked_one_by_one_and_there_is_none_after_the_last() -> None:
    job, key = press()
    with pytest.raises(Refused, match="no move of this is planned any more"):
        acts_move.tick(job.state, key, 0, "2026-11-25")
    job.do(acts_move.plan_move(job.state, key, "to the pit", [{"title": "jack"}, {"title": "roll"}]))
    for none, said in ((2, "no step 3"), (-1, "no step 0")):
        with pytest.raises(Refused, match=said):
            acts_move.tick(job.state, key, none, "2026-11-25")
    for step in (1, 0):
        job.do(acts_move.tick(job.state, key, step, "2026-11-25"))
        plan = acts_move.planned(job.state, key)
        assert plan is not None
        assert [each.get("done") for each in plan["steps"]] == [None if step else "2026-11-25", "2026-11-25"]
    job.do(acts_move.drop_plan(job.state, key))
    with pytest.raises(Refused, match="no move of this is planned"):
        acts_move.drop_plan(job.state, key)


@pytest.mark.parametrize("count", [0, acts_move.MOST_STEPS + 1])
def test_a_planned_move_of_no_steps_or_too_many_is_refused(count: int) -> None:
    job, key = press()
    with pytest.raises(BadValue, match=f"has {count} steps"):
        acts_move.plan_move(job.state, key, "to the pit", [{"title": "roll"}] * count)


def test_what_was_told_of_it_upright_is_doubted_once_it_lies_on_its_back() -> None:
    """1400 x 1000 x 2000 laid on its back is 2000 x 1000 x 1400: 1300 over its feet is then 1300 - 1000 =
    300 mm off its middle along its length. Told again, or at the size it had, it is no more in doubt.
    """
    job = Job()
    upright, lies = Size(1400, 1000, 2000), Size(2000, 1000, 1400)
    key = job.take("press", where=BENCH, size=upright)
    texts = ("cg=0,0", "cg height=1300mm", "foot=-600,0; 600,0", "whole=1800kg", "drain=oil")
    job.do(acts_move.describe(job.state, key, told(Moving(), texts, str)))
    job.do(acts.change(job.state, key, size=upright, mass=Mass(1800)))
    assert not now(job, key).told_at
    job.do(acts.change(job.state, key, size=lies))
    assert dict(now(job, key).told_at) == dict.fromkeys(("cg", "cg height", "foot"), upright)
    again = told(now(job, key), ("cg=300,0", "foot=-900,0"), str)
    assert dict(again.told_at).keys() == {"cg height", "foot"}, "one foot alone is one of them"
    assert not told(again, ("cg height=700mm", "foot=-900,0; 900,0"), str).told_at
    job.do(acts.change(job.state, key, size=Size(1000, 1400, 2000)))
    assert dict(now(job, key).told_at)["cg"] == upright, "the size it was told at, not the last"
    job.do(acts.change(job.state, key, size=upright))
    assert not now(job, key).told_at


def test_another_outline_alone_is_asked_anew_and_a_part_off_is_not() -> None:
    job, key = press()
    job.do(acts.change(job.state, key, size=Size(100, 100, 100)))
    assert not now(job, key).told_at, "no size was known: nothing to doubt"
    job.do(acts_move.part_off(job.state, key, "handle 1", size=Size(90, 100, 100), middle_mm=(5.0, 0.0)))
    assert not now(job, key).told_at
    job.do(acts.change(job.state, key, outline=SQUARE))
    assert dict(now(job, key).told_at).keys() == {"cg", "foot", "comes off"}


def now(job: Job, key: str) -> Moving:
    return moving_of(job.state.group(key))
