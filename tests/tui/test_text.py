"""Other people's text cannot steer the screen and never takes more cells than it is given."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from shopbins.tui.dialogs.pick import Choice, narrowed
from shopbins.tui.text import fit, plain, wrapped
from shopbins.tui.widgets.detail import whole_facts
from shopbins.tui.widgets.lines import whole_parts
from shopbins.units import counted


def test_escape_sequences_and_direction_marks_are_shown_not_obeyed():
    assert plain("a\x1b[31mb\u202ec\nd\u200b") == "a·[31mb·c·d·"


@given(st.text(), st.integers(0, 60))
def test_fit_takes_exactly_its_cells(text, width):
    assert cell_len(fit(text, width)) == width


def test_a_cut_is_marked():
    assert fit("cylinder head", 8) == "cylinde…"
    assert fit("機関機関機関", 5).endswith("…")


@given(st.text(alphabet=st.characters(codec="utf-8")), st.integers(2, 40))
def test_wrapped_lines_fit(text, width):
    assert all(cell_len(line) <= width for line in wrapped(text, width))


def test_no_word_is_lost_by_wrapping():
    text = "the block is 12 mm into the walkway and leaves 480 mm clear"
    assert " ".join(wrapped(text, 11)).split() == text.split()


def test_counted():
    assert [counted(n, "stop") for n in (0, 1, 2)] == ["0 stops", "1 stop", "2 stops"]


def test_what_stands_right_of_the_tabs_goes_part_by_part_before_the_shops_name_is_cut():
    said = "136 parts · last off first, only rack a"
    widths = {len(said): said, 30: "136 parts · last off first", 12: "136 parts", 8: "", 0: "", -3: ""}
    assert {width: whole_parts(said, width) for width in widths} == widths


def test_the_one_called_so_comes_first():
    source = narrowed([Choice("d", "Lager door"), Choice("y", "Lager yard"), Choice("l", "Lager")])
    assert [each.value for each in source("lager")] == ["l", "d", "y"]


def test_facts_are_told_whole_or_left_out():
    """'1162 mm clear,' once stood at the end of the line under the Plan at 80 columns."""
    facts = ["opens into yard · 1162 mm clear, 2000 mm high", "threshold 20 mm"]
    assert whole_facts("here: door", facts, 80).endswith("2000 mm high · threshold 20 mm")
    assert whole_facts("here: door", facts, 50) == "here: door · opens into yard · 1162 mm clear"
    assert whole_facts("here: door", facts, 20) == "here: door"
