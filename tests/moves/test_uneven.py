"""A dip under one side leans what stands there by atan(dip / span): off the tilt on a floor not even."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.moves.finding import row_of
from shopbins.moves.legs import Leg
from shopbins.moves.overedges import loose_rollers
from shopbins.moves.standing import ahead_of, delicate, least_tilt, uneven
from shopbins.moves.tipping import Centre, Dip, fastest_m_s, highest_line_mm, reserve
from shopbins.shop.figures import OWN
from shopbins.shop.model import Room

WHEELS = ((-190.0, -154.0), (190.0, -154.0), (190.0, 154.0), (-190.0, 154.0))


def _rolls(even: bool | None, inside_mm: float, high_mm: float = 1230.0) -> Any:
    """Return something on wheels 308 mm apart, its centre of gravity so far inside one side of them."""
    load = SimpleNamespace(
        centres=lambda: (Centre(0.0, 154.0 - inside_mm, high_mm),), cg_aside_mm=None, cg_told=True,
        cg_bounded=True, least_kg=230.0,
    )  # fmt: skip
    stance = SimpleNamespace(polygon=WHEELS, on_it=(), assumed=())
    room = Room("yard", "yard", (), even=even)
    leg = Leg(room, None, ())
    gear = SimpleNamespace(
        stances=(stance,), up_mm=(0.0, 0.0), steering="on the spot", axis_deg=0.0,
        gear=SimpleNamespace(name="dolly", key="dolly"),
    )  # fmt: skip
    return SimpleNamespace(
        kind="trolley", legs=(leg,), gear=gear, name="oven", own=OWN, subjects=("group:X",), load=load,
        body=SimpleNamespace(pose=None, parts=(), group=SimpleNamespace(moving={})),
    )  # fmt: skip


def test_a_dip_leans_it_by_its_depth_over_the_span() -> None:
    """308 mm apart, 30 mm down: atan(30 / 308) = 5.56 deg of the 6.49 that 140 mm inside at 1230 mm leave."""
    left = reserve(WHEELS, (0.0, 14.0), 1230.0)
    assert left is not None and left.deg == pytest.approx(6.494, abs=1e-3)
    assert Dip(30.0, (WHEELS,)).lean_deg(left.outward_deg) == pytest.approx(5.563, abs=1e-3)


@pytest.mark.parametrize(("even", "inside_mm", "high_mm", "words"), [
    (False, 140.0, 1230.0, "boards all along yard, nobody beside it: 30 mm dip leaves 0.9"),
    (False, 58.0, 1230.0, "boards all along yard, nobody beside it: 15 mm dip tips"),
    (None, 140.0, 1230.0, "looked at: no 30 mm dip in yard"),
    (None, 58.0, 1230.0, "looked at: no 15 mm dip in yard"),
    (True, 58.0, 1230.0, ""), (False, 150.0, 1000.0, ""), (False, -1.0, 1230.0, ""),
])  # fmt: skip
def test_boards_where_a_dip_leaves_too_little(
    even: bool | None, inside_mm: float, high_mm: float, words: str
) -> None:
    """Statics: 6.49 - 5.56 = 0.93 deg, under `tip least` 1.5; 308 x 58 / 1230 = 14.5 mm tips; 150 mm at 1000
    are 8.53, 2.97 left. The 30 mm and the 1.5 deg are own figures.
    """
    parts = list(uneven(_rolls(even, inside_mm, high_mm)))
    assert [part.verdict for part in parts] == [Verdict.ASKED] * bool(words)
    assert all(part.text.startswith(words) for part in parts)
    assert all(row_of(part).finding.limit == 30.0 for part in parts)


@pytest.mark.parametrize(("even", "inside_mm", "left_deg", "apart"), [
    (False, 150.0, 2.968, True), (True, 150.0, 8.531, False), (None, 150.0, 8.531, False),
    (False, 154.0, 3.193, True), (False, 140.0, 7.970, True),
])  # fmt: skip
def test_a_dip_is_off_the_tilt_of_a_floor_told_uneven(
    even: bool | None, inside_mm: float, left_deg: float, apart: bool
) -> None:
    """At 1000 mm: atan(0.150) = 8.531, less 5.563: below 5 deg nobody is beside it (own figure); what leaves
    less than 1.5 goes on boards, where nothing comes off: atan(0.140) = 7.970 stays, nobody beside it.
    """
    high = 1000.0 if inside_mm != 140.0 else 1230.0
    it = _rolls(even, inside_mm, high)
    assert delicate(it) is apart
    assert least_tilt(it, 0.0) == pytest.approx(left_deg if high == 1000.0 else 6.494, abs=1e-2)


def test_a_line_and_a_speed_are_for_the_tilt_that_a_dip_leaves() -> None:
    """2.968 deg left at 1000 mm: as 51.85 mm inside it on the flat. 226 N tips 230 kg by that at
    230 x 9.80665 x 51.85 / 226 = 517 mm; stopped dead, r0 = 1001.3 mm: 1.0013 sqrt(2 g r0 (1 - cos 2.968))
    = 0.163 m/s (energy of a point mass).
    """
    edge = min(ahead_of(_rolls(False, 150.0, 1000.0)), key=lambda each: each.inside_mm)
    assert edge.inside_mm == pytest.approx(51.85, abs=0.05)
    assert highest_line_mm(230.0, edge.inside_mm, 226.0) == pytest.approx(517.5, abs=1.0)
    v = 1.0013 * math.sqrt(2 * 9.80665 * 1.0013 * (1 - math.cos(math.radians(2.968))))
    assert fastest_m_s(edge.inside_mm, edge.height_mm) == pytest.approx(v, abs=1e-3)
    flat = min(ahead_of(_rolls(True, 150.0, 1000.0)), key=lambda each: each.inside_mm)
    assert flat.inside_mm == 150.0


@pytest.mark.parametrize(("kind", "even", "words"), [
    ("rollers and bar", False, "boards all along yard for rollers: 1.3 mm stops them"),
    ("rollers and bar", None, "looked at for rollers: no edge over 1.3 mm in yard"),
    ("rollers and bar", True, ""), ("skates", False, ""),
])  # fmt: skip
def test_loose_rollers_stop_in_a_dip(kind: str, even: bool | None, words: str) -> None:
    """Statics: sqrt(h / (60 - h)) = 0.15 at h = 60 x 0.0225 / 1.0225 = 1.320 mm. The grip of 0.15 and the
    dip of 30 mm are own figures.
    """
    leg = Leg(Room("yard", "yard", (), even=even), None, ())
    gear = SimpleNamespace(gear=SimpleNamespace(kind=kind, height_mm=60.0, wheel_mm=60.0))
    it: Any = SimpleNamespace(kind=kind, legs=(leg,), gear=gear, own=OWN, subjects=("group:X",))
    parts = list(loose_rollers(it))
    assert [p.text for p in parts] == ([words] if words else [])
    assert all(row_of(p).finding.limit == pytest.approx(1.3203, abs=1e-4) for p in parts)
    assert all(p.verdict is Verdict.ASKED for p in parts)
