"""A move of what stands against a wall, as heavy things in a small shop do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

SHOP = """\
shop: Lock-keeper's barn
prefix: LB
measured: {measured}
rooms:
  barn: {{at: [0, 0], size: [8000, 4000], headroom: 3 m, floor load: 50 kN/m2, point load: 40 kN}}
doors:
  front: {{room: barn, to: outside, jambs: [[0, 1000], [0, 2600]], height: 2400, opens: sliding, exit: yes}}
zones:
  corner: {{room: barn, kind: floor, at: [0, 2800], size: [2000, 1200]}}
  bay: {{room: barn, kind: floor, at: [5500, 0], size: [2500, 2500]}}
gear:
  trolley: {{kind: trolley, size: [1200, 800], height: 250, capacity: 900 kg, steering: on the spot}}
"""


# 1200 x 800 mm in the corner: its middle is 600 mm from one wall and 400 mm (800 in the zone) from the other.
@pytest.mark.parametrize("at", ["600,700", "700,800", "600,800"])
@pytest.mark.parametrize("measured", ["0 mm", "5 mm"])
def test_what_stands_at_a_wall_goes_and_is_to_be_measured_again(
    run: Callable[..., Any], shop: Path, at: str, measured: str
) -> None:
    shop.write_text(SHOP.format(measured=measured), encoding="utf-8")
    run("take", "gearbox", "--size", "1200x800x600mm", "--mass", "300kg", "--container", "pallet")
    assert run("put", "gearbox", "corner", "--at", at).status == 0
    run("set", "gearbox", "--moving", "cg=0,0", "--moving", "cg height=300mm", "--moving", "height=600mm")
    run("set", "gearbox", "--moving", "runners=760mm")
    told = run("move", "gearbox", "bay", "--gear", "trolley", "--json")
    assert told.status == 1 and told.err == ""
    assert told.data["answer"] == ("goes only with" if measured == "0 mm" else "depends"), told.data[
        "headline"
    ]
    assert told.data["margin_mm"] == 0.0
