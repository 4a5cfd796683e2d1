"""A bench as the goal: the lift onto it is judged and is a step, and laying it there says the same of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from building import box, zone
from building import shop as shop_of

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.desk import moving as at_desk
from shopbins.desk.accepting import meant
from shopbins.desk.movewords import told
from shopbins.desk.problems import BadInput
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.moves.finding import row_of
from shopbins.moves.onto import _under
from shopbins.moves.situation import Onto
from shopbins.moves.steps import steps_of
from shopbins.records import acts_move
from shopbins.records.group import CHANGE
from shopbins.records.moving import moving_of
from shopbins.shop.model import Level, Room
from tests.moves.weir import OUTLINE, TRUCK, move, of, shop, shop_text, tick

CRANE = (
    "{kind: engine crane, size: [1550, 1000], body: 250, height: 1.55 m, inside: 800, legs: 160, "
    "hook: 1.81 m, mass: 88 kg, reach: {900 mm: 1 t, 1200 mm: 500 kg}, turning radius: 1600, wheel: 90}"
)
KNOWN = (OUTLINE, "height=600mm", "opening=420mm", "under=110mm", "cg=0,0", "cg height=250mm")
BENCH = "  bench: {room: b, kind: bench, at: [8200, 3200], size: [2000, 700], height: 900, load: 600 kg}\n"


def bench_shop(folder: Path, kg: float, crane: str = "") -> Desk:
    """1000 x 700 x 600 in a, a bench of 900 in b."""
    gear = {"narrow truck": TRUCK, **({"crane": crane} if crane else {})}
    text = shop_text(a=EVEN, b=EVEN, mid="height: 2.2 m, threshold: 0", gear=gear)
    text = text.replace("size: [2800, 2800]", "size: [2800, 2500]").replace("gear:\n", BENCH + "gear:\n")
    folder.mkdir(exist_ok=True)
    desk = shop(folder, text, KNOWN, Mass(kg))
    key = next(g.id for g in desk.state.groups() if g.name == "press")

    desk.do(CHANGE(key, size=Size(1000, 700, 600)))
    return desk


EVEN = "headroom: 3 m, floor load: 50 kN/m2, point load: 40 kN, even: yes, slope: none"
NEEDS = "a hoist of at least 300 kg reaching 350 mm over bench, its hook 1800 mm up"


@pytest.mark.parametrize(
    ("crane", "verdict"),
    [
        ("", Verdict.NO),
        (CRANE, Verdict.ASKED),
        (CRANE.replace("1.81 m", "1.79 m"), Verdict.NO),  # 900 + 600 + 300 over it for hook and slings (own)
        (CRANE.replace("900 mm: 1 t, 1200 mm: 500 kg", "900 mm: 290 kg"), Verdict.NO),
        (CRANE.replace("legs: 160", "legs: 860"), Verdict.NO),  # they end before it: 1550 + 350 to its middle
    ],
)
def test_the_lift_is_judged_by_hook_reach_and_what_that_holds(
    tmp_path: Path, crane: str, verdict: Verdict
) -> None:
    desk = bench_shop(tmp_path, 300, crane)
    plan = move(desk, zone="bench", gear="narrow truck")
    (lift,) = of(plan, "move-lift-onto")
    assert lift.verdict is verdict
    laid = desk.put(plan.group, "bench", dry_run=True)
    (same,) = [f for f in laid.findings if f.rule == "lift"]
    if verdict is Verdict.NO:
        assert plan.word == "does not go" and plan.would_go == (NEEDS,)
        assert same.remedy == (NEEDS if crane else "a hoist")
    else:
        assert lift.text == "crane lifts it onto bench" and "crane, 500 kg at 1200 mm" in same.text


def test_a_hoist_too_high_for_the_door_has_to_stand_there_already(tmp_path: Path) -> None:
    """A gantry of 2450 mm and a door of 2200: that it is in the room is the condition, else another hoist."""
    gantry = (
        "{kind: gantry crane, size: [900, 1500], inside: 1400, hook: 2.3 m, height: 2.45 m, capacity: 1 t}"
    )
    (lift,) = of(move(bench_shop(tmp_path / "one", 300, gantry), zone="bench", gear="narrow truck"), LIFT)
    assert lift.text == "crane, in b already, lifts it onto bench"
    assert "(2450 mm high, 2200 mm under mid)" in row_of(lift).finding.text
    both = bench_shop(tmp_path / "both", 300, f"{gantry}\n  second: {CRANE}")
    (lift,) = of(move(both, zone="bench", gear="narrow truck"), LIFT)
    assert lift.text == "second lifts it onto bench"


LIFT = "move-lift-onto"


@pytest.mark.parametrize(
    ("kg", "text"),
    [
        (10.0, "one person lifts it onto bench"),  # hands from the floor: 10 kg, the lowest zone passed
        (13.0, "2 people lift it onto bench"),  # 2/3 of 20
        (15.0, "3 people lift it onto bench"),  # 1/2 of 30
        (
            15.1,
            "2 people lift it onto bench, guide 15 kg: looked at first",
        ),  # beyond the filter for three
    ],
)
def test_people_lift_by_the_lowest_figure_of_the_heights_passed(tmp_path: Path, kg: float, text: str) -> None:
    """HSE INDG143 filter (below mid lower leg, from memory) and L23 paragraph 120 for teams."""
    (lift,) = of(move(bench_shop(tmp_path, kg), zone="bench"), "move-lift-onto")
    assert (lift.text, lift.verdict) == (text, Verdict.ASKED)


@pytest.mark.parametrize(("free", "told", "verdict"), [
    (410.1, True, None), (410.0, True, Verdict.AGAIN), (390.0, True, Verdict.AGAIN),
    (389.9, True, Verdict.NO),
    (415.1, False, None), (415.0, False, Verdict.AGAIN), (384.9, False, Verdict.NO),
])  # fmt: skip
def test_under_a_shelf_or_ceiling_it_hangs_on_how_well_heights_were_measured(
    free: float, told: bool, verdict: Verdict | None
) -> None:
    """400 mm high, all measured to 5 mm: twice 5, and three times where what is free is the ceiling less the
    height of the level (the +- of all that enters are added in full).
    """
    level = Level("2", 1400.0, free)
    rack: Any = zone("rack", (0, 0), (2000, 500), kind="shelf")
    rack = replace(rack, room="b", levels=(level,))
    b = Room("b", "b", box(0, 0, 4000, 3000), headroom_mm=2400.0 if told else 1400.0 + free)
    scene: Any = SimpleNamespace(
        shop=shop_of(rooms=[b], zones=[rack], measured_mm=5.0),
        share=lambda _id: SimpleNamespace(height_mm=400.0),
    )
    group = SimpleNamespace(id="x", code="X")
    it: Any = SimpleNamespace(
        scene=scene, body=SimpleNamespace(group=group), name="wheel", measured_mm=5.0, subjects=("group:X",)
    )
    found = list(_under(it, Onto(rack, level), []))
    assert [part.verdict for part in found] == ([] if verdict is None else [verdict])


def test_what_the_bench_carries_forbids_and_the_lift_is_the_last_step(tmp_path: Path) -> None:
    plan = move(bench_shop(tmp_path / "heavy", 700, CRANE), zone="bench", gear="narrow truck")
    assert plan.word == "does not go" and "limit 600 kg" in plan.headline
    desk = bench_shop(tmp_path / "light", 300, CRANE)
    plan = move(desk, zone="bench", gear="narrow truck")
    (lift,) = of(plan, "move-lift-onto")
    desk.accept(*meant(desk, row_of(lift).finding.id), "Ida has looked")
    assert of(move(desk, zone="bench", gear="narrow truck"), "move-lift-onto")[0].verdict is Verdict.ACCEPTED
    last = steps_of(desk.scene(), plan)[-1]
    assert last["title"].startswith("lift press onto bench: crane") and last["to"]["zone"] == "bench"
    assert last["keep"] == ["all others 1810 mm off while lifted"]  # as high as its hook goes, over 900 + 600
    at_desk.put_on_record(desk, plan)
    for n in range(len(at_desk.steps(desk, plan.group))):
        laid = tick(desk, plan.group, n)
        assert laid is None or laid.done, [f.text for f in laid.findings]
    where = desk.state.group(plan.group).where
    assert isinstance(where, InZone) and where.zone == "bench"


@pytest.mark.parametrize(("high", "verdict"), [(200, Verdict.NO), (600, Verdict.YES)])
def test_what_is_lifted_onto_a_bench_hangs_in_its_slings(tmp_path: Path, high: int, verdict: Verdict) -> None:
    """Its centre 250 up: above the line of two sling points at 200 it turns over, under one at 600 not."""
    desk = bench_shop(tmp_path, 300, CRANE)
    key = next(g.id for g in desk.state.groups() if g.name == "press")
    known = told(moving_of(desk.state.group(key)), ["sling=-400,0; 400,0", f"sling height={high}mm"], str)
    desk.record(lambda state: acts_move.describe(state, key, known))
    (part,) = of(move(desk, zone="bench", gear="narrow truck"), "move-hangs")
    assert part.verdict is verdict


def test_what_lies_on_a_bench_is_not_judged_and_asked_for_on_the_floor(tmp_path: Path) -> None:
    """The bench it lies on hangs over no floor it stands on: no figure, and nothing proved."""
    desk = bench_shop(tmp_path, 300, CRANE)
    press = next(g for g in desk.state.groups() if g.name == "press")
    desk.put(press.id, "bench", x_mm=1000, y_mm=350, override="lifted there")
    with pytest.raises(BadInput, match=f"on bench: how .* not checked; .* shopbins put {press.code} b --at"):
        move(desk)
