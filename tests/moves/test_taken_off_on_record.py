"""What a planned move takes off and shifts is on record where it was laid, and listed until it is back."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.desk import moving as at_desk
from shopbins.ledger.model import InGroup, InZone, Mass, Size
from shopbins.moves.body import body
from shopbins.moves.plan import Plan
from tests.moves.weir import PLAIN, move, of, shop, shop_text, tick

GUARD = "comes off=guard; 0,440 300x300mm; 700 to 900; 12kg"


IN_THE_WAY = (3000.0, 1600.0)


def planned(folder: Path, *, crate: bool = False) -> tuple[Desk, Plan]:
    """The guard stands out 240 beside the press: 940 do not go through a door of 900, 700 do."""
    text = shop_text(mid="height: 2.2 m, threshold: 0").replace("[5000, 2650]", "[5000, 2400]")
    desk = shop(folder, text, (*PLAIN, GUARD), at=(1800, 1400, 0))
    if crate:
        key = desk.take("crate", size=Size(400, 400, 400), mass=Mass(8)).id
        desk.put(key, "a", x_mm=IN_THE_WAY[0], y_mm=IN_THE_WAY[1], override="x")
    plan = move(desk)
    at_desk.put_on_record(desk, plan)
    return desk, plan


def step_of(desk: Desk, group: str, what: str) -> int:
    return next(n for n, step in enumerate(at_desk.steps(desk, group)) if step["what"] == what)


def test_a_part_without_a_label_is_on_record_where_it_was_laid_and_goes_on_again(tmp_path: Path) -> None:
    """Sums: 1200 kg with the guard of 12 on, 1188 without, 1200 again; it stands 300 x 300 on the floor."""
    desk, plan = planned(tmp_path)
    group, off = plan.group, step_of(desk, plan.group, "take off")
    for n in range(off + 1):
        tick(desk, group, n)
    guard = desk.names.group("guard")
    to = at_desk.steps(desk, group)[off]["to"]
    assert isinstance(guard.where, InZone) and (guard.where.x_mm, guard.where.y_mm) == (
        to["x_mm"],
        to["y_mm"],
    )
    assert guard.mass == Mass(12) and guard.size == Size(300, 300, 200)
    assert body(desk.scene(), group).load.mass_kg == pytest.approx(1188)
    bin_ = desk.take("bin", size=Size(300, 300, 200), mass=Mass(2)).id
    there = desk.put(bin_, guard.where.zone, x_mm=guard.where.x_mm, y_mm=guard.where.y_mm, dry_run=True)
    assert not there.done
    desk.undo()  # the bin
    desk.undo()  # part, place and tick are one
    assert not [g for g in desk.state.groups() if g.name == "guard"]
    assert body(desk.scene(), group).load.mass_kg == pytest.approx(1200)
    for n in range(off, step_of(desk, group, "put back") + 1):
        tick(desk, group, n)
    guard = desk.names.group("guard")
    assert isinstance(guard.where, InGroup) and guard.where.group == group
    assert body(desk.scene(), group).load.mass_kg == pytest.approx(1200)


def test_asked_anew_from_a_halt_what_was_taken_off_and_shifted_still_goes_back(tmp_path: Path) -> None:
    desk, plan = planned(tmp_path, crate=True)
    group = plan.group
    for n in range(step_of(desk, group, "take off") + 1):
        tick(desk, group, n)
    again = move(desk)
    assert not again.off_first and not again.shift
    (part,) = of(again, "move-back-on")
    assert part.verdict is Verdict.ASKED
    at_desk.put_on_record(desk, again)
    third = move(desk)  # and from the plan that took them over
    assert [p.text for p in of(third, "move-back-on")] == [part.text]
    at_desk.put_on_record(desk, third)
    for n in range(len(at_desk.steps(desk, group))):
        tick(desk, group, n)
    guard, crate = desk.names.group("guard"), desk.names.group("crate")
    assert isinstance(guard.where, InGroup) and guard.where.group == group
    assert isinstance(crate.where, InZone) and (crate.where.x_mm, crate.where.y_mm) == IN_THE_WAY
    assert not of(move(desk, zone="a", at_most_s=0.5), "move-back-on")
