"""Doors for what is carried: 1 mm inside and outside each limit, and what has to be done with the leaf."""

from __future__ import annotations

import math
from typing import Any

import pytest
from building import box

from shopbins.moves.doorway import Passing, clear_height_mm, judge_door, step_share
from shopbins.shop.model import Door


def door(**more: Any) -> Door:
    fields: dict[str, Any] = {
        "key": "d",
        "name": "the door",
        "room": "hall",
        "to": "outside",
        "jambs": ((0, 0), (0, 900)),
        "clear_width_mm": 860,
        "height_mm": 2000,
        "opens": "hinged",
        "passage": box(-200, 0, 1, 900),
        "hand": "left",
    }
    return Door(**{**fields, **more})


def thing(**more: Any) -> Passing:
    fields: dict[str, Any] = {
        "name": "the block", "subjects": ("thing:block",), "height_mm": 1500, "least_height_mm": 1410,
        "clearance_mm": 30, "wheel_mm": 74,
    }  # fmt: skip
    return Passing(**{**fields, **more})


@pytest.mark.parametrize(
    ("raised", "least", "sill", "answer", "lift"),
    [
        (2000, 1900, 0, "yes", None),
        (2001, 1900, 0, "yes", 100),
        (2001, 2000, 0, "yes", 0),
        (2100, 2001, 0, "no", None),
        (1985, 1900, 15, "yes", None),
        (1986, 1900, 15, "yes", 85),
        (2100, 1986, 15, "no", None),
    ],
)
def test_height_under_the_lintel(raised, least, sill, answer, lift) -> None:
    found = judge_door(door(threshold_mm=sill), thing(height_mm=raised, least_height_mm=least), measured_mm=0)
    assert (found.height, found.most_lift_mm) == (answer, lift)
    grades = [f.grade for f in found.findings if f.rule == "door-size"]
    assert grades == (["stop"] if answer == "no" else [] if lift is None else ["correct"])


def test_heights_not_known_are_not_judged_unless_hopeless() -> None:
    assert judge_door(door(height_mm=None), thing()).height == "not known"
    assert judge_door(door(), thing(height_mm=None, least_height_mm=None)).height == "not known"
    hung = door(opens="up-and-over", hand=None, hang_mm=None)
    assert clear_height_mm(hung) is None
    assert judge_door(hung, thing()).height == "not known"
    assert judge_door(hung, thing(height_mm=2100, least_height_mm=2010)).height == "no"


def test_an_up_and_over_leaf_takes_headroom_and_is_propped() -> None:
    hung = door(opens="up-and-over", hand=None, hang_mm=1450)
    assert clear_height_mm(hung) == 1450
    found = judge_door(hung, thing())
    assert (found.height, found.most_lift_mm) == ("yes", 40)
    assert any("prop" in must and "1450 mm" in must for must in found.must)


@pytest.mark.parametrize(("measured", "again"), [(5, True), (4, False)])
def test_what_measuring_cannot_tell(measured: float, again: bool) -> None:
    found = judge_door(door(), thing(height_mm=1991), measured_mm=measured)
    assert bool(found.again) == again


# --- sills --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("clearance", "wheel", "answer"),
    [(15, 200, "no"), (15.1, 200, "yes"), (None, 200, "not known"), (30, None, "not known")],
)
def test_the_sill_under_thing_and_wheels(clearance, wheel, answer) -> None:
    found = judge_door(door(threshold_mm=15), thing(clearance_mm=clearance, wheel_mm=wheel))
    assert found.sill == answer
    assert judge_door(door(), thing(clearance_mm=clearance, wheel_mm=wheel)).sill == "yes"
    assert judge_door(door(threshold_mm=15), thing(clearance_mm=clearance, carried=True)).sill == "yes"


def test_a_wheel_against_a_step_by_moments() -> None:
    # About the step's edge: push x (r - h) = load x sqrt(r^2 - (r - h)^2).
    for wheel, step in ((200, 15), (74, 5), (125, 20)):
        r = wheel / 2
        share = step_share(wheel, step)
        assert share is not None
        assert share * (r - step) == pytest.approx(math.sqrt(r * r - (r - step) ** 2))
    assert step_share(74, 37) is None
    small = judge_door(door(threshold_mm=40), thing(clearance_mm=100))
    assert small.sill == "no" and any("cannot climb" in f.text for f in small.findings)
    steep = judge_door(door(threshold_mm=15), thing())
    assert [f.grade for f in steep.findings if f.rule == "door-sill"] == ["correct"]  # 74 mm wheels: 132 %


# --- width and leaf -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "answer", "off"),
    [(860, "yes", False), (861, "no", True), (900, "no", True), (901, "no", False)],
)
def test_the_leaf_takes_its_thickness_at_90_degrees(width: float, answer: str, off: bool) -> None:
    found = judge_door(door(), thing(width_mm=width))
    assert (found.width, found.leaf_gain_mm) == (answer, 40)
    assert any("off" in must.split() or must.startswith("take the leaf") for must in found.must) == off
    assert any(must.startswith("hook or wedge") for must in found.must)


def test_without_a_width_the_floor_kernel_decides() -> None:
    assert judge_door(door(), thing()).width == "yes"
    assert judge_door(door(), thing()).width_margin_mm is None


def test_the_answer_is_the_worst_of_the_three() -> None:
    assert judge_door(door(), thing()).answer == "yes"
    assert judge_door(door(height_mm=None), thing()).answer == "not known"
    assert judge_door(door(height_mm=None), thing(width_mm=1000)).answer == "no"
