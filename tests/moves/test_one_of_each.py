"""Small things once said twice: how wide a wheel's track is, the pits of a floor, what crane legs leave."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from shopbins.moves.attempt import Job, floor_once_shifted
from shopbins.moves.cranes import goes_beside
from shopbins.moves.finding import row_of
from tests.moves.test_gear import CRANE, block, changed
from tests.moves.weir import FOUR, PLAIN, SKATES, move, of, shop, shop_text

MID = "height: 2.2 m, threshold: 0"


@pytest.mark.parametrize(("near", "met"), [(2380, True), (2440, False)])
def test_the_whole_pad_of_a_skate_rolls_over_a_cover(tmp_path: Path, near: int, met: bool) -> None:
    """Feet at 2300 on pads 230 mm wide reach to 2415: beyond 40 mm, half of a wheel's track (own figure)."""
    cover = f"fixtures: {{duct: {{room: b, at: [6000, {near}], size: [300, 90], height: 1, load: 1 kg}}}}"
    desk = shop(tmp_path, shop_text(mid=MID, gear={"skates": SKATES}, more=cover), (*PLAIN, *FOUR))
    plan = move(desk)
    covers = [row_of(p).finding.text for p in of(plan, "move-cover") if "fixture:duct" in p.subjects]
    assert {round(p.y_mm) for p in plan.path} == {2000}, "it goes straight on, past the duct"
    assert bool(covers) is met


def test_an_open_pit_is_once_in_the_floor_as_it_is_after_shifting(tmp_path: Path) -> None:
    more = "openings: {pit: {room: a, outline: [[400, 300], [900, 300], [900, 700], [400, 700]], kind: pit}}"
    desk = shop(tmp_path, shop_text(mid=MID, more=more))
    it, scene = move(desk).attempt, desk.scene()
    assert it is not None and it.ground is not None
    job = Job(scene, scene.shop.zones["far"], None, 10.0, frozenset(), math.inf)
    then = floor_once_shifted(job, it, ())
    assert [name for name, _ in then.avoided] == [name for name, _ in it.ground.avoided] == ["pit"]


@pytest.mark.parametrize(
    ("legs", "again"), [(99, False), (100, True), (110, True), (120, True), (121, False)]
)
def test_legs_that_just_go_under_are_measured_again(legs: int, again: bool) -> None:
    """Under 110 mm, both told to 5 mm: what is within 10 mm of it may be either, what is over it goes not."""
    crane = changed(CRANE, inside_mm=300.0, size_mm=(1500.0, 500.0), legs_mm=float(legs))
    found = goes_beside(crane, block(under_mm=110.0), 0.0, 600.0, 5.0)
    assert found.answer == ("yes" if legs <= 110 else "no")
    assert ("under the block" in found.again) is again
