"""Where a line is made fast: a named point, in line with the way, with no wall between.

A pull F along the way needs F / cos(a) in a line that lies a aside of it: statics of a force in parts.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.moves.finding import row_of
from tests.moves.weir import TRUCK, B, move, of, shop, shop_text, worst

SLOPE = f"{B}, slope: {{fall: 1 in 15, towards: 0}}"
MID = "height: 2.2 m, threshold: 0"
STEEP = {"narrow truck": TRUCK[:-1] + ", steepest: 1 in 12}"}


@pytest.mark.parametrize(("y", "verdict"), [(2000, Verdict.ASKED), (200, Verdict.NO), (3800, Verdict.NO)])
def test_a_line_through_a_wall_holds_nothing(tmp_path: Path, y: int, verdict: Verdict) -> None:
    """The door lies between 1500 and 2650: from the slope beyond it only the ring at 2000 is seen."""
    ring = f"{B}, anchors: {{ring: {{at: [200, {y}], height: 300, load: 20 kN}}}}"
    plan = move(shop(tmp_path, shop_text(a=ring, b=SLOPE, mid=MID, gear=STEEP)))
    assert worst(plan, "runs-downhill") is verdict
    if verdict is Verdict.ASKED:
        assert any(f"ring at 200,{y}" in row_of(p).finding.text for p in of(plan, "runs-downhill"))


def test_what_pulls_says_where_it_is_made_fast_and_what_is_in_the_line(tmp_path: Path) -> None:
    """1270 kg at 10 %: 1245.9 N along the way, more in a line that lies aside of it."""
    ring = f"{B}, anchors: {{ring: {{at: [10300, 3900], height: 300, load: 20 kN}}}}"
    plan = move(shop(tmp_path, shop_text(b=ring, mid=MID)))
    texts = [row_of(p).finding.text for p in of(plan, "move-push") if "made fast" in row_of(p).finding.text]
    assert texts and "ring at 10300,3900" in texts[0]
    found = re.search(r"(\d+) deg aside .* ([\d.]+) kN in the line", texts[0])
    assert found is not None
    aside, pull = float(found[1]), float(found[2])
    assert pull == pytest.approx(1.2459 / math.cos(math.radians(aside)), rel=0.01)
    (tmp_path / "none").mkdir()
    none = move(shop(tmp_path / "none", shop_text(mid=MID)))
    assert any("is named to make it fast to" in row_of(p).finding.text for p in of(none, "move-push"))
