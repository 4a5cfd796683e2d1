"""Figures that a move asked for, recorded as they were typed."""

from __future__ import annotations

import pytest

from shopbins.desk import Desk, moving
from shopbins.desk.movewords import told
from shopbins.records.moving import Moving, moving_of
from shopbins.units import UnitError


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


def test_a_decimal_comma_is_read_wherever_it_can_be_no_point() -> None:
    """In lengths, masses and minutes, as when a size is told; in x,y the comma parts two numbers."""
    texts = ["height={}", "base=skid; {}; {}", "comes off=beam; 560,0 {}; 0 to 400; {}; {}", "cg=20,0 +- {}"]
    comma = [["0,95 m"], ["17,5 cm", "48,5kg"], ["1,2x0,4m", "34,5kg", "2,5 min"], ["1,5 cm"]]

    def read(figures: list[list[str]]) -> Moving:
        every = (text.format(*each) for text, each in zip(texts, figures, strict=True))
        return told(Moving(), every, lambda name: name)

    assert read(comma) == read([[f.replace(",", ".") for f in each] for each in comma])
    with pytest.raises(UnitError):
        told(Moving(), ["height=1,200 mm"], lambda name: name)  # thousands, or a metre and a bit: asked
