"""Of parts that overlap on plan the upper comes off first, goes on last; what rests on one comes off with it.

Common practice, no source: nothing is lifted with something loose on it, nor put in under what hangs.
"""

from __future__ import annotations

import itertools
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.geometry.shapes import bounds, rectangle
from shopbins.ledger.model import Mass
from shopbins.moves.body import Projection
from shopbins.moves.load import Load
from shopbins.moves.offfirst import mixed, sets_of, top_first, with_what_rests
from shopbins.moves.partsoff import met_by_legs
from shopbins.shop.model import Gear


def part(name: str, low: float, high: float | None, wide: float = 400, cost: float = 20) -> Projection:
    return Projection(name, "", "", rectangle(wide, 400), low, high, Mass(100), cost)


GEARBOX = part("gearbox", 1500, 1700, 500)
MOTOR = part("motor", 1700, 2000, cost=5)
LAMP = part("lamp", 2000, 2100, 100, cost=1)


def test_the_upper_comes_off_first_whoever_lifts_it() -> None:
    """A lamp on a motor on a gearbox, told and preferred in any order: 2000 >= 2000, 1700 >= 1700."""
    for told in itertools.permutations((GEARBOX, MOTOR, LAMP)):
        assert top_first(told) == [LAMP, MOTOR, GEARBOX]
        assert top_first(told, sooner=lambda p: p is GEARBOX) == [LAMP, MOTOR, GEARBOX]
    beside = Projection("tank", "", "", tuple((x + 445, y) for x, y in rectangle(400, 400)), 0, 900, None, 20)
    assert top_first((MOTOR, beside), sooner=lambda p: p is beside) == [beside, MOTOR], "they share no plan"


def test_a_part_is_never_off_with_what_rests_on_it_still_on() -> None:
    """Alone: nothing, the lamp, the motor with it, the gearbox with both: four sets of the eight."""
    found = [{p.name for p in each} for each in sets_of((GEARBOX, MOTOR, LAMP))]
    assert found == [set(), {"lamp"}, {"lamp", "motor"}, {"lamp", "motor", "gearbox"}]
    head = part("head", 2000, 2400)
    assert with_what_rests((GEARBOX, head), (GEARBOX,)) == (GEARBOX,), "300 mm over it a hook comes between"
    assert top_first((GEARBOX, head)) == [head, GEARBOX]
    many = [part(f"p{n}", 100 * n, 100 * n + 100) for n in range(8)]
    assert [len(each) for each in sets_of(many)][-1] == 8


def test_where_heights_overlap_too_it_is_asked() -> None:
    guard, high = part("guard", 1600, 1900), part("pipe", 1750, None)
    assert mixed((guard, GEARBOX), (GEARBOX,)) == [(guard, GEARBOX)], "1600 is within 1500 to 1700"
    assert mixed((guard, GEARBOX), ()) == [], "both stay on"
    assert mixed((MOTOR, GEARBOX), (MOTOR, GEARBOX)) == []
    assert mixed((high, GEARBOX), (GEARBOX,)) == [], "over 1700, however high it is"
    assert mixed((high, LAMP), (LAMP,)) == [(high, LAMP)], "how high it is, is not told"


@pytest.mark.parametrize(
    ("kind", "legs", "low", "wide"),
    [
        ("engine crane", 160.0, 1500.0, 1000.0),
        ("engine crane", 160.0, 150.0, 1500.0),
        ("engine crane", None, 1500.0, 1500.0),
        ("gantry crane", 160.0, 1500.0, 1500.0),
    ],
)
def test_legs_meet_only_what_is_as_low_as_they(
    kind: Any, legs: float | None, low: float, wide: float
) -> None:
    """1400 by 1000 at the floor, a tray 1500 across from 1500 up or from 150 up: legs are 160 high."""
    tray = Projection("tray", "", "", rectangle(500, 1500), low, low + 200, Mass(40), 20)
    load = Load("press", rectangle(1400, 1500), own=rectangle(1400, 1000))
    it: Any = SimpleNamespace(load=load, parts=(), off=(tray,))
    assert bounds(met_by_legs(it, Gear("c", "c", kind, legs_mm=legs))).deep_mm == wide
