"""Who is cut off while the load stands in a doorway: rooms, yards, and those who move it.

29 CFR 1910.37(a)(3): exit routes are kept free. What counts as an exit is what the audit takes for one.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from building import box

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose, rectangle
from shopbins.moves.finding import row_of
from shopbins.moves.ways_out import minutes_in
from shopbins.shop.model import Door
from tests.moves.weir import move, of, shop, shop_text

ROOMS = """\
  side: {at: [5400, 4400], size: [5000, 2000]}
  c: {at: [10800, 0], size: [5000, 4000], headroom: 3 m, floor load: 50 kN/m2, point load: 40 kN}
  yard: {at: [5400, -6400], size: [5000, 6000], outdoor: yes}
doors:
  by: {room: b, to: side, jambs: [[6000, 4000], [7000, 4000]], height: 2 m, opens: open}
  mid two: {room: b, to: c, jambs: [[10400, 1500], [10400, 2650]], opens: open, height: 2.2 m}
  gate: {room: b, to: yard, jambs: [[6000, 0], [8000, 0]], height: 2.2 m, opens: open, exit: EXIT}
"""


@pytest.mark.parametrize(
    ("leads_out", "asked"),
    [
        ("yes", ["nobody else in a while mid is shut"]),
        (
            "no",
            [
                "nobody else in a while mid or mid two is shut",
                "nobody else in b while mid two is shut",
                "nobody in side while mid two is shut",
            ],
        ),
    ],
)
def test_an_exit_into_a_yard_is_a_way_out_and_the_yard_stays_unknown(
    tmp_path: Path, leads_out: str, asked: list[str]
) -> None:
    """b is the room behind the load at its second door: who pushes it is there, so it is never emptied. So is
    a, which it comes out of by its one door, and which is shut once more at the second.
    """
    text = shop_text().replace("doors:\n", ROOMS.replace("EXIT", leads_out))
    text = text.replace("{room: b, to: outside, jambs: [[10400, 200], [10400, 1400]]", OUT)
    text = text.replace("far: {room: b, kind: floor, at: [7000,", "far: {room: c, kind: floor, at: [12000,")
    found = of(move(shop(tmp_path, text)), "move-exit-shut")
    assert [p.text for p in found if p.verdict is Verdict.ASKED] == asked
    (yard,) = [row_of(p).finding for p in found if p.verdict is Verdict.YES]
    assert not yard.judged and yard.text.startswith(
        "whether one gets away from yard meanwhile is not checked"
    )


OUT = "{room: c, to: outside, jambs: [[15800, 200], [15800, 1400]]"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("rotor leaves 1100 mm in front of mid, 700 mm needed", "rotor leaves 1100 mm in front of mid"),
        ("cover, 24 kg, stands there", ""),  # one word says nothing: the title
        (f"{'long ' * 11}, more", ""),
    ],
)
def test_what_is_new_at_the_goal_is_said_in_whole_words(text: str, words: str) -> None:
    from shopbins.moves.ways_out import _short
    from shopbins.rules.ways import RULES

    found = RULES[0].found("correct", ("group:x",), text)
    assert _short(found) == (words or RULES[0].title)


@pytest.mark.parametrize(("turns", "begins", "kind", "minutes"), [
    ((), True, "skates", 0.25), ((5000.0,), True, "skates", 80.25), ((), False, "skates", 20.25),
    ((5000.0, 5000.0), True, "skates", 160.25), ((9000.0,), True, "skates", 0.25),
    ((5000.0,), True, "pallet truck", 0.25),
])  # fmt: skip
def test_how_long_a_doorway_is_shut_counts_what_is_jacked_in_it(
    turns: tuple[float, ...], begins: bool, kind: str, minutes: float
) -> None:
    """1000 long through 500 at 0.1 m/s: 15 s. Set round: 8 lifts of 10 min, lifted on: 2 (own figures)."""
    passage = box(4900, 400, 5100, 1600)
    door = Door("mid", "mid", "a", "b", ((4900, 400), (4900, 1600)), 1200, 2000, "open", passage)
    it: Any = SimpleNamespace(
        hull=rectangle(1000, 600), kind=kind, begins_on_gear=begins,
        path=(Pose(5000, 1000), Pose(9000, 1000)), own={"moving speed": 0.1, "minutes lift": 10.0},
        set_round=[SimpleNamespace(pose=Pose(x, 1000, 0)) for x in turns],
    )  # fmt: skip
    assert minutes_in(it, [door]) == pytest.approx(minutes)
