"""The small shop that whole moves are asked in: two rooms and a door, a press of 1.2 t on a narrow truck."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from shopbins.answer import Part, Verdict
from shopbins.desk import Desk
from shopbins.desk import moving as at_desk
from shopbins.desk.movewords import told
from shopbins.ledger.model import Mass, Size
from shopbins.moves.finding import row_of
from shopbins.moves.plan import Plan
from shopbins.records import acts_move
from shopbins.records.moving import Moving

TRUCK = (
    "{kind: pallet truck, over forks: 400, between forks: 120, fork length: 1150, lowered: 85, raised: 200, "
    "body: 400, capacity: 2.3 t, mass: 70 kg, turning radius: 1350, wheel: 74, clearance: 30, "
    "steering axle: 100, load rollers: 175}"
)
SKATES = "{kind: skates, count: 4, height: 110, size: [270, 230], capacity: 1.5 t, steering: axis, wheel: 85}"
B = "headroom: 3 m, floor load: 50 kN/m2, point load: 40 kN"
FOUR = ("foot=-400,-300", "foot=400,-300", "foot=400,300", "foot=-400,300")
OUTLINE = "outline=-500,-350; 500,-350; 500,350; -500,350"
PLAIN = (OUTLINE, "height=1700mm", "opening=420mm", "under=110mm", "cg=0,0", "cg height=700mm")


def shop_text(
    *, a: str = B, b: str = B, mid: str = "height: 2.2 m", gear: dict[str, str] | None = None, more: str = ""
) -> str:
    lines = [
        "shop: Weir Loft",
        "prefix: WL",
        "measured: 5 mm",
        "rooms:",
        f"  a: {{at: [0, 0], size: [5000, 4000], {a}}}",
        f"  b: {{at: [5400, 0], size: [5000, 4000], {b}}}",
        "doors:",
        f"  mid: {{room: a, to: b, jambs: [[5000, 1500], [5000, 2650]], opens: open, {mid}}}",
        "  out: {room: b, to: outside, jambs: [[10400, 200], [10400, 1400]], height: 2.2 m, opens: open,",
        "        exit: yes}",
        "zones:",
        "  far: {room: b, kind: floor, at: [7000, 600], size: [2800, 2800]}",
        "gear:",
        *(f"  {name}: {text}" for name, text in (gear or {"narrow truck": TRUCK}).items()),
        more,
    ]
    return "\n".join(lines) + "\n"


OPENED: list[Desk] = []
"""Desks opened here: each keeps four files open until `let_go` of tests/conftest.py closes it."""


def shop(
    folder: Path,
    text: str,
    moving: tuple[str, ...] = PLAIN,
    mass: Mass | None = Mass(1200),  # noqa: B008  (a frozen value)
    at: tuple[float, float, float] = (1800, 2000, 0),
) -> Desk:
    (folder / "shop.yaml").write_text(text)
    desk = Desk.open(folder / "shop.yaml", by="rigger")
    OPENED.append(desk)
    key = desk.take("press", size=Size(1000, 700, 1700), mass=mass).id
    desk.put(key, "a", x_mm=at[0], y_mm=at[1], turn_deg=at[2], override="x")
    known = told(Moving(), moving, lambda code: code)
    desk.record(lambda state: acts_move.describe(state, key, known))
    return desk


def move(desk: Desk, **more: Any) -> Plan:
    key = next(g for g in desk.state.groups() if g.name == "press").id
    return at_desk.plan_move(desk, key, more.pop("zone", "far"), **more)


def tick(desk: Desk, group: str, n: int, **more: Any) -> Any:
    """Tick a step off once every condition due by it is accepted, each by itself."""
    for each in at_desk.still_open(desk, group, n):
        desk.accept(each, f"looked at: {each.id}")
    return at_desk.tick(desk, group, n, **more)


def of(plan: Plan, rule: str) -> list[Part]:
    return [p for p in plan.answer.parts if row_of(p).finding.rule == rule]


def worst(plan: Plan, rule: str) -> Verdict | None:
    return max((p.verdict for p in of(plan, rule)), default=None)
