"""Figures that a move asked for, recorded as they were typed."""

from __future__ import annotations

from shopbins.desk import Desk, moving
from shopbins.records.moving import moving_of


def test_all_figures_typed_are_one_event_the_mass_among_them(desk: Desk) -> None:
    lump = desk.take("lump", origin=("engine",))
    before = desk.seq
    moving.tell(desk, lump.code, {"mass": "310 kg", "cg": "0,0", "cg height": "250"})
    assert desk.seq == before + 1
    group = desk.state.group(lump.id)
    assert group.mass is not None and group.mass.kg == 310
    assert moving_of(group).cg_mm == (0.0, 0.0) and moving_of(group).cg_height_mm == 250
    desk.undo()
    assert desk.state.group(lump.id).mass is None and moving_of(desk.state.group(lump.id)).cg_mm is None
