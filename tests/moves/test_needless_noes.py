"""What is not looked at is said, and a turn on a slope is taken only where no turn of the goal spares it.

A kernel that keeps a whole outline off a hole proves nothing about wheels on either side of it (definition).
That nothing is turned on a slope where it need not be: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

from shopbins.answer import Verdict
from shopbins.moves.finding import row_of
from shopbins.moves.plan import Plan
from tests.moves.weir import move, of, shop, shop_text, worst

SKATES = (
    "{kind: skates, count: 4, height: 110, size: [270, 230], capacity: 1.5 t, steering: on the spot, "
    "wheel: 85, clearance: 25, mass: 44 kg, steepest: 1 in 10}"
)
FEET = tuple(f"foot={x},{y} 120x120mm" for x in (-400, 400) for y in (-300, 300))


def pit_move(folder: Path, pit: str, wide: int = 1150) -> Plan:
    """Before the door, from y 1500 on, a channel of 300 mm lies across the way: the press is 1000 by 700."""
    folder.mkdir(exist_ok=True)
    more = (
        f"openings:\n  pit: {{room: a, kind: pit, at: [4300, 100], size: [300, 3900], depth: 900, {pit}}}\n"
    )
    text = shop_text(gear={"skates": SKATES}, more=more).replace("[5000, 2650]", f"[5000, {1500 + wide}]")
    return move(shop(folder, text, ("height=1700mm", "under=110mm", "cg=0,0", "cg height=700mm", *FEET)))


def test_a_pit_that_gear_might_straddle_is_not_decided(tmp_path: Path) -> None:
    """Feet 800 apart, less the 270 of a skate: 530 clear over a channel of 300. No 'no' is proved of it."""
    plan = pit_move(tmp_path / "open", "covered: no")
    assert plan.word == "not decided" and plan.attempt is not None and plan.attempt.over == ("pit",)
    (way,) = of(plan, "move-way")
    assert "over it, with wheels on either side, is not looked at" in row_of(way).finding.text
    assert plan.would_go == ("a cover on pit, or plates across it, that carry 1.24 t",)
    told = plan.as_json()
    assert any("pit" in text for text in told["not_judged"]) and told["would_go"] == list(plan.would_go)


def test_a_cover_ends_it_and_what_a_pit_does_not_hang_on_is_proved(tmp_path: Path) -> None:
    covered = pit_move(tmp_path / "covered", "covered: yes, load: 2 t")
    assert covered.path and worst(covered, "move-way") is Verdict.YES
    narrow = pit_move(tmp_path / "narrow", "covered: no", wide=650)  # 700 wide: no pit is to blame
    assert narrow.word == "does not go" and worst(narrow, "move-way") is Verdict.NO


YARD = """shop: Slip Yard
prefix: SY
measured: 5 mm
rooms:
  a: {at: [0, -14000], size: [12000, 5000], outdoor: yes, slope: none, {floor}}
  yard: {at: [0, -9000], size: [12000, 8700], outdoor: yes, slope: {fall: 1 in 25, towards: 270}, {floor}}
  b: {at: [0, 0], size: [12000, 8000], headroom: 3.2 m, slope: none, {floor}}
doors:
  foot: {room: a, to: yard, jambs: [[1000, -9000], [11000, -9000]], opens: open, threshold: 0, height: 4 m}
  hall door: {room: b, to: yard, jambs: [[5000, 0], [8000, 0]], opens: sliding, threshold: 0, height: 2.8 m}
zones:
  far: {room: b, kind: floor, at: [7000, 4500], size: [3500, 2500]}
fixtures:
  column: {room: b, at: [6400, 3900], size: [250, 250]}
gear:
  skates: {skates}
"""
FLOOR = "even: yes, void: no, floor load: 50 kN/m2, point load: 40 kN"


def test_no_turn_on_a_slope_where_a_turn_of_the_goal_spares_it(tmp_path: Path) -> None:
    """2200 by 1000, lengthways before a door of 3 m: straight through none is needed on a yard of 1 in 25."""
    text = YARD.replace("{floor}", FLOOR).replace("{skates}", SKATES)
    feet = (f"foot={x},{y} 120x120mm" for x in (-1000, 1000) for y in (-400, 400))
    outline = "outline=-1100,-500; 1100,-500; 1100,500; -1100,500"
    moving = (outline, "height=1400mm", "under=60mm", "cg=0,0", "cg height=620mm", *feet)
    plan = move(shop(tmp_path, text, moving, at=(6500, -11500, 90)))
    turns = [t for leg in plan.legs if leg.room.key == "yard" for t in leg.turned_deg]
    assert max(turns) - min(turns) <= 15.0  # what is a turn on a slope: own figure
    assert not of(plan, "move-turns-on-slope")
