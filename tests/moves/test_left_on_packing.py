"""What was left jacked up on packing is said to stand so, and is not jacked up from the floor again."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.cli import main
from shopbins.desk import moving as at_desk
from shopbins.moves.finding import row_of
from shopbins.moves.steps import steps_of
from shopbins.records import acts_move
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, move, of, shop, shop_text, tick


def test_left_on_packing_it_is_said_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Skates 110 high and 10 over them (own figure): 120 mm of packing."""
    text = shop_text(gear={"skates": SKATES, "narrow truck": TRUCK})
    desk = shop(tmp_path, text, (*PLAIN, *FOUR))
    plan = move(desk, gear="skates")
    at_desk.put_on_record(desk, plan)
    group = plan.group
    jacked = next(
        n for n, s in enumerate(at_desk.steps(desk, group)) if s["title"].startswith("jack one end")
    )
    for n in range(jacked + 1):
        assert not of(move(desk, gear="skates", at_most_s=0.5), "move-on-packing")
        tick(desk, group, n)
    assert acts_move.on_packing(desk.state, group) == pytest.approx(120)
    (said,) = (f for f in desk.audit() if f.rule == "on-packing")
    assert said.measured == pytest.approx(120) and "120 mm of packing" in said.text
    again = move(desk, gear="skates")
    (part,) = of(again, "move-on-packing")
    assert part.verdict is Verdict.ASKED and row_of(part).finding.measured == pytest.approx(120)
    titles = [step["title"] for step in steps_of(desk.scene(), again)]
    assert "it stands on 120 mm of packing where it was left: looked at" in titles
    assert not any("jack one end at a time, 25 mm each, to" in title for title in titles)
    truck = [step["title"] for step in steps_of(desk.scene(), move(desk, gear="narrow truck"))]
    assert "jack one end at a time, 25 mm each, off the packing" in truck
    assert main(["-s", str(tmp_path / "shop.yaml"), "show", "press"]) == 0
    assert "on 120 mm of packing" in capsys.readouterr().out
    at_desk.put_on_record(desk, again)
    assert acts_move.on_packing(desk.state, group) == pytest.approx(120)
    desk.put(group, "a", x_mm=1850, y_mm=2000, override="x")  # by hand: on the floor
    assert acts_move.on_packing(desk.state, group) == 0
    assert not [f for f in desk.audit() if f.rule == "on-packing"]
