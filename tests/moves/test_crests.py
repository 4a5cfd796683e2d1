"""Lines over a crest: the straight line against the floor at each change of slope between."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Point, Pose
from shopbins.moves.body import body
from shopbins.moves.crests import Floor, Stands, crest_under, over_crests
from shopbins.moves.finding import row_of
from shopbins.moves.gear import judge_gear
from shopbins.moves.legs import legs_of
from shopbins.moves.situation import Situation
from shopbins.shop.model import Slope
from tests.moves.test_lines import POST, PRESS, slope_text
from tests.moves.weir import shop

RAMP = (((6200.0, 1500.0), (12200.0, 1500.0), (12200.0, 3500.0), (6200.0, 3500.0)), Slope(1 / 12, 180.0))
"""6 m of 1 in 12 up from a cellar to a street, 500 mm in all."""


@pytest.mark.parametrize(
    ("start", "end", "high", "clear"),
    [
        ((6800.0, 2500.0), (18300.0, 2500.0), (120.0, 100.0), -128.1),
        ((6800.0, 2500.0), (18300.0, 2500.0), (120.0, 400.0), 12.8),
        ((18300.0, 2500.0), (6800.0, 2500.0), (100.0, 120.0), -128.1),
        ((1000.0, 2500.0), (11000.0, 2500.0), (120.0, 0.0), None),
        ((13000.0, 2500.0), (18300.0, 2500.0), (120.0, 100.0), None),
    ],
)
def test_how_deep_a_line_lies_in_a_crest(
    start: Point, end: Point, high: tuple[float, float], clear: float | None
) -> None:
    """Similar triangles: from 50 + 120 over the cellar to 500 + 100 over it, 11500 on, a line is at 170 +
    430 x 5400 / 11500 = 371.9 where the floor is at 500. At a foot, and on the level, nothing comes up to it.
    """
    crest = crest_under(Floor((RAMP,)), start, end, high)
    assert (crest is None) is (clear is None)
    if crest is not None:
        assert crest.clear_mm == pytest.approx(clear, abs=0.1)
        assert crest.at == pytest.approx((12200.0, 2500.0))


YARD = (((0.0, -7300.0), (9000.0, -7300.0), (9000.0, -300.0), (0.0, -300.0)), Slope(1 / 30, 270.0))
DOORWAY = ((3200.0, -300.0), (5800.0, -300.0), (5800.0, 0.0), (3200.0, 0.0))


@pytest.mark.parametrize(("sill_mm", "clear"), [(0.0, 20.5), (30.0, -9.5), (60.0, -39.5)])
def test_a_sill_on_the_crest_counts(sill_mm: float, clear: float) -> None:
    """Similar triangles: 30 over a yard 101.7 under a doorway, to 300 over its other side 12300 on: after
    3050 it is -71.7 + 371.7 x 3050 / 12300 = 20.5 over the doorway's floor, and what stands there comes off.
    """
    stands = (Stands("sill", DOORWAY, sill_mm, sill_mm),) if sill_mm else ()
    crest = crest_under(Floor((YARD,), stands), (4500.0, -3350.0), (4500.0, 8950.0), (30.0, 300.0))
    assert crest is not None and crest.clear_mm == pytest.approx(clear, abs=0.1)
    assert crest.at == pytest.approx((4500.0, -300.0)) and (crest.over == "sill") is bool(sill_mm)


def test_a_ramp_counts_as_high_as_it_is_along_it() -> None:
    """From 50 over a level floor down to 0 at 1000: 50 - 50 x 600 / 1000 = 20 at the foot at 600 of a ramp 4
    thick there, 50 - 50 x 800 / 1000 = 10 at its top at 800, which is 24 high.
    """
    ramp = Stands("ramp", ((800.0, -100.0), (600.0, -100.0), (600.0, 100.0), (800.0, 100.0)), 24.0, 4.0)
    assert ramp.high_at((700.0, 50.0)) == pytest.approx(14.0)
    for x, clear in ((1000.0, -14.0), (2000.0, 6.0)):
        crest = crest_under(Floor((), (ramp,)), (0.0, 0.0), (x, 0.0), (50.0, 0.0))
        assert crest is not None and crest.clear_mm == pytest.approx(clear)
        assert crest.at == pytest.approx((800.0, 0.0))


@pytest.mark.parametrize(("high", "verdict"), [(15, Verdict.ASKED), (20, Verdict.YES)])
def test_a_line_on_a_crest_wants_a_roller_there(tmp_path: Path, high: int, verdict: Verdict) -> None:
    """Made fast 220 up 500 before the middle at 9000, where 1 in 15 is 206.7 under the crest at 5400: over
    that it is 220 + (206.7 + h - 220) x 3100 / 8200 - 206.7, 13.9 and 15.8 of h of 15 and 20; 10 (own figure)
    and 5 of measuring are wanted.
    """
    desk = shop(tmp_path, slope_text(dock=POST.replace("height: 300", f"height: {high}")), PRESS)
    scene = desk.scene()
    press = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    gear = judge_gear(scene.shop.gear["skates"], press.load)
    legs = legs_of(scene, (Pose(7000, 2000, 0), Pose(9000, 2000, 0)), ("b",))
    it = Situation(scene, press, gear, scene.shop.zones["far"], "", legs=legs)
    (part,) = over_crests(it)
    assert part.verdict is verdict
    if verdict is Verdict.ASKED:
        assert part.text == "roller or pad at 5400,2000: line to post"
        assert row_of(part).finding.measured == pytest.approx(13.9, abs=0.1)


def test_a_line_counts_as_low_as_it_comes_while_it_is_on(tmp_path: Path) -> None:
    """It is on until the last wheel is off the slope: with those 400 behind its middle at the foot at 9400
    the rear face stands at 9300, 220 over the hall, 266.7 under the dock. At the crest at 5400 the line is
    at -46.7 + (46.7 + 100) x 3900 / 9000 = 16.9.
    """
    desk = shop(tmp_path, slope_text(dock=POST.replace("height: 300", "height: 100")), PRESS)
    scene = desk.scene()
    press = body(scene, next(g.id for g in desk.state.groups() if g.name == "press"))
    gear = judge_gear(scene.shop.gear["skates"], press.load)
    legs = legs_of(scene, (Pose(7000, 2000, 0), Pose(12000, 2000, 0)), ("b", "c"))
    it = Situation(scene, press, gear, scene.shop.zones["far"], "", legs=legs)
    (part,) = over_crests(it)
    assert row_of(part).finding.measured == pytest.approx(16.9, abs=0.2)
