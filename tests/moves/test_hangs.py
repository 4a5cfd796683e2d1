"""How a thing hangs in its slings: statics of a body that turns about the points it hangs from."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.moves.finding import row_of
from shopbins.moves.forks import Foot
from shopbins.moves.hangs import hangs
from shopbins.moves.lifting import legs_clear
from shopbins.moves.load import Load
from shopbins.shop.figures import OWN

PLAN = ((-800.0, -450.0), (800.0, -450.0), (800.0, 450.0), (-800.0, 450.0))
TWO = ((-500.0, 0.0), (500.0, 0.0))
FOUR = ((-500.0, -300.0), (500.0, -300.0), (500.0, 300.0), (-500.0, 300.0))


def _hung(points: Any, up: float, cg: Any, within: tuple[float, float] = (0.0, 0.0)) -> Any:
    """A mill 1400 high in slings at so high, its centre of gravity at x, y, z told so well."""
    load = Load(
        "mill",
        PLAN,
        1400.0,
        1500.0,
        cg_mm=cg[:2],
        cg_height_mm=cg[2],
        cg_within_mm=within[0],
        cg_height_within_mm=within[1],
        slinging=tuple(Foot(*p) for p in points),
        sling_height_mm=up,
    )
    return SimpleNamespace(
        kind="gantry crane", load=load, name="mill", measured_mm=5.0, own=OWN, subjects=("group:1",),
        gear=SimpleNamespace(hook_mm=2500.0), edges=(), body=SimpleNamespace(down_mm=0.0),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("points", "up", "cg", "within", "verdict", "measured"),
    [
        (TWO, 800.0, (100.0, 0.0, 900.0), (40.0, 30.0), Verdict.NO, -130.0),  # 70 to 130 above the line
        (TWO, 900.0, (100.0, 0.0, 900.0), (0.0, 30.0), Verdict.AGAIN, -30.0),
        (TWO[:1], 800.0, (-500.0, 0.0, 900.0), (0.0, 0.0), Verdict.NO, -100.0),  # one point
        (TWO, 1000.0, (650.0, 0.0, 600.0), (40.0, 0.0), Verdict.NO, 190.0),  # 110 to 190 beyond a point
        (TWO, 1000.0, (500.0, 0.0, 600.0), (40.0, 0.0), Verdict.AGAIN, 40.0),
        (TWO, 1000.0, (0.0, 250.0, 600.0), (40.0, 0.0), Verdict.OPEN, 35.94),  # atan(290 / 400)
        (TWO, 1000.0, (0.0, 30.0, 600.0), (10.0, 0.0), Verdict.ASKED, 5.71),  # atan(20 / 400) = 2.9 to 5.7
        (TWO, 1000.0, (0.0, 20.0, 600.0), (0.0, 0.0), Verdict.YES, 2.86),
        (FOUR, 300.0, (0.0, 100.0, 1200.0), (40.0, 30.0), Verdict.ASKED, 930.0),  # above, 160 within them
        (FOUR, 300.0, (0.0, 290.0, 200.0), (40.0, 0.0), Verdict.AGAIN, -30.0),
        (FOUR, 300.0, (0.0, 400.0, 200.0), (40.0, 0.0), Verdict.NO, -140.0),
    ],
)
def test_how_it_hangs(
    points: Any, up: float, cg: Any, within: tuple[float, float], verdict: Verdict, measured: float
) -> None:
    (part,) = hangs(_hung(points, up, cg, within))
    assert part.verdict is verdict
    assert row_of(part).finding.measured == pytest.approx(measured, abs=0.01)


@pytest.mark.parametrize(
    ("points", "up", "inside"),
    [
        # 1100 of the 2100 to the hook (100 of lift): y 300 x 10/21 = 143, 307 inside the 450 of its side
        (FOUR, 300.0, 450.0 - 300.0 * 1000 / 2100),
        (FOUR, 1400.0, 0.0),  # slung at its top
        (((-900.0, 0.0), (900.0, 0.0)), 1350.0, 0.0),  # from beyond its ends, over its edges by 50 of 1050
    ],
)
def test_legs_that_would_run_through_it_are_told(points: Any, up: float, inside: float) -> None:
    """Similar triangles, the hook 2500 high over its middle."""
    found = list(legs_clear(_hung(points, up, (0.0, 0.0, 600.0))))
    assert [row_of(p).finding.measured for p in found] == ([pytest.approx(inside)] if inside else [])
    assert all(p.verdict is Verdict.ASKED for p in found)


def test_what_hangs_as_it_should_says_nothing() -> None:
    assert not list(hangs(_hung(FOUR, 1300.0, (0.0, 100.0, 600.0), (40.0, 30.0))))
