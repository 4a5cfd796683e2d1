"""A planned move that halts on the way: the tick records where it stands, on its gear, and from there it goes
on.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.desk import moving as at_desk
from shopbins.ledger.model import InZone, Mass
from shopbins.moves.finding import row_of
from shopbins.moves.steps import steps_of
from shopbins.records.acts_move import on_gear
from tests.moves.weir import move, of, shop, shop_text, tick

SKATES = (
    "{kind: skates, count: 4, height: 110, size: [270, 120], capacity: 1.5 t, steering: axis, wheel: 85, "
    "pads: 0}"
)
JACK = "{kind: toe jack, capacity: 5 t, toe: 2.5 t, lowered: 20, raised: 250, size: [150, 100], count: 2}"
LOW = (
    "outline=1000x700", "height=900mm", "under=110mm", "cg=0,0", "cg height=400mm",
    "foot=-450,-300", "foot=450,-300", "foot=450,300", "foot=-450,300",
)  # fmt: skip
WAY = "walkways:\n  way: {line: [[10400, 2000], [6000, 2000]], width: 900, least: 800}\n"


def test_a_halt_is_recorded_whatever_it_stands_in_and_the_move_goes_on_from_its_gear(tmp_path: Path) -> None:
    """It is set round before the doorway and on the walkway: a stop were it put down there for good. Set on
    its gear and off again are two lifts an end; asked anew from there one of them is done (10 min a lift,
    8 lifts a turn: own figures).
    """
    text = shop_text(gear={"skates": SKATES, "jack": JACK}, more=WAY).replace(
        "at: [7000, 600], size: [2800, 2800]", "at: [5600, 100], size: [1200, 1300]"
    )
    desk = shop(tmp_path, text, LOW, Mass(1200), (2500, 2075, 0))
    plan = move(desk, turn_deg=90.0)
    assert plan.planned, plan.headline
    at_desk.put_on_record(desk, plan)
    group, steps = plan.group, at_desk.steps(desk, plan.group)
    halt = next(n for n, step in enumerate(steps) if step["title"].startswith("roll it to"))
    for n in range(halt + 1):
        assert tick(desk, group, n) is None
    assert on_gear(desk.state, group)
    where, to = desk.state.group(group).where, steps[halt]["to"]
    assert isinstance(where, InZone) and (where.x_mm, where.y_mm) == (to["x_mm"], to["y_mm"])
    again = move(desk, turn_deg=90.0)
    titles = [step["title"] for step in steps_of(desk.scene(), again)]
    first = next(title for title in titles if not title.startswith("see to: "))
    assert first == (  # common practice, no source: what the halt put on is still on
        "it stands on skates where it halted: looked at; chocks out before it rolls, "
        "its line never slack, lashing off before it is let down"
    )
    assert not any("under its points" in title for title in titles)
    assert not any("where it stands" in row_of(p).finding.text for p in of(again, "move-room-jack"))
    for each, lifts in ((plan, 40.0), (again, 20.0)):
        turns = sum("skates round its middle" in step["title"] for step in steps_of(desk.scene(), each))
        assert each.minutes == pytest.approx(lifts + 80.0 * turns, abs=2.0)
    desk.put(group, "a", x_mm=2500, y_mm=1000, override="x")  # by hand: on its feet, as anything put down
    assert on_gear(desk.state, group) is None
