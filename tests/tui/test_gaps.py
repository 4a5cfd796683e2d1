"""How far things stand apart in the near plan: as arithmetic gives it, and never through what stands between.

Between parallel sides the distance is that of their lines, from a corner to a side the length of the
perpendicular, from corner to corner Pythagoras' (Euclid I.12, I.47).
"""

import math
import re

import pytest

from shopbins.scene.standing import Standing
from shopbins.shop.model import Room, Shop
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.gaps import GAPS_TO_MM
from shopbins.tui.canvas.inks import Ink
from shopbins.tui.canvas.paint import paint, paint_carried, paint_marks
from shopbins.tui.canvas.picture import Picture
from shopbins.tui.canvas.projection import Projection


def box(x, y, long, wide):
    return ((x, y), (x + long, y), (x + long, y + wide), (x, y + wide))


def thing(key, outline, base_mm=0.0):
    return Standing(f"group:{key}", f"group:{key}", key, key, "hall", outline, base_mm, 500.0)


def shown(bodies, mm_per_col=20.0, wall=(9000, 9000)):
    """Return the figures written on a plan of a hall whose corner is at 0, 0."""
    room = Room("hall", "hall", box(0, 0, *wall), None)
    shop = Shop("x", "X", {"hall": room})
    picture = Picture(shop, tuple(bodies), (), (), {})
    view = Projection(-200.0, 4200.0, mm_per_col, 240, 110)
    canvas = paint(picture, view)
    text = "\n".join("".join(canvas.look(c, r)[0] for c in range(canvas.cols)) for r in range(canvas.rows))
    return sorted(int(n) for n in re.findall(r"(\d+) mm", text))


@pytest.mark.parametrize("apart", [300, 640, 1205])
def test_between_parallel_sides(apart):
    bodies = [thing("a", box(2000, 3000, 400, 600)), thing("b", box(2400 + apart, 2900, 400, 600))]
    assert apart in shown(bodies)


@pytest.mark.parametrize("apart", [300, 640, 1205])
def test_one_above_the_other(apart):
    bodies = [thing("a", box(3000, 1000, 900, 400)), thing("b", box(2900, 1400 + apart, 900, 400))]
    assert apart in shown(bodies)


def test_to_the_wall():
    assert {700, 900} <= set(shown([thing("a", box(700, 900, 600, 600))]))


def test_from_a_corner_of_what_is_turned_to_a_side():
    """A square of 600 on its corner, 45 degrees: the corner lies 300 times the root of 2 from its middle."""
    turned = tuple(
        (3000 + x * math.cos(math.pi / 4) - y * math.sin(math.pi / 4),
         2000 + x * math.sin(math.pi / 4) + y * math.cos(math.pi / 4))
        for x, y in box(-300, -300, 600, 600)
    )  # fmt: skip
    bodies = [thing("a", turned), thing("b", box(4200, 1200, 400, 1600))]
    assert round(1200 - 300 * math.sqrt(2)) in shown(bodies)


def test_from_corner_to_corner():
    bodies = [thing("a", box(2000, 2000, 400, 400)), thing("b", box(2400 + 900, 2400 + 400, 400, 400))]
    assert round(math.hypot(900, 400)) in shown(bodies)


def test_what_stands_between_is_told_and_not_what_is_behind_it():
    a, between, b = (thing(k, box(x, 2000, 400, 600)) for k, x in (("a", 2000), ("m", 3000), ("b", 4000)))
    assert 1600 not in shown([a, between, b])
    assert shown([a, between, b]).count(600) >= 2


def test_what_lies_on_a_bench_has_no_gap_on_the_floor():
    bodies = [thing("a", box(3000, 2000, 400, 600)), thing("b", box(4000, 2000, 400, 600), base_mm=900.0)]
    assert 600 not in shown(bodies)


def test_from_afar_no_gap_is_written():
    bodies = [thing("a", box(1000, 1000, 400, 600)), thing("b", box(3000, 1000, 400, 600))]
    assert shown(bodies, mm_per_col=GAPS_TO_MM + 10) == []


@pytest.mark.parametrize("mark", ["finding", "in hand"])
@pytest.mark.parametrize("at", range(8, 18))
def test_no_mark_covers_a_name(mark, at):
    """Wherever along 'rack a' it belongs, it stands beside, within 6 columns and 3 rows."""
    canvas, view = Canvas(40, 12), Projection(0.0, 2400.0, 100.0, 40, 12)
    canvas.word(10, 6, "rack a", Ink.ZONE)
    x, y = view.middle(at, 6)
    if mark == "finding":
        paint_marks(canvas, view, [((x, y), "stop")])
    else:
        paint_carried(canvas, view, box(x - 5, y - 5, 10, 10), False, "dipstick")
    text = ["".join(canvas.look(c, r)[0] for c in range(40)) for r in range(12)]
    assert "rack a" in text[6]
    ((col, row),) = [(c, r) for r, line in enumerate(text) for c, sign in enumerate(line) if sign in "■✛"]
    assert abs(col - at) <= 6 and abs(row - 6) <= 3
