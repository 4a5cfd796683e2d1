"""What is printed through the desk, and what is then on record."""

from pathlib import Path

import pytest

from shopbins.desk import BadInput, Desk, NotDone, StorageFailed
from shopbins.records import acts, connection
from shopbins.records.group import CHANGE
from shopbins.strip.connections import connections


def test_flags_of_every_connection_are_printed_and_on_record_as_printed(desk: Desk, tmp_path: Path) -> None:
    desk.record(lambda s: connection.connect(s, "hose", "pump outlet", "tank top", "fuel return"))
    desk.record(lambda s: connection.connect(s, "wire", "relay", "plug 1", "glow plugs"))
    done = desk.print_tags(tmp_path / "f.pdf", "flags", sheet="flag-a4-1x10")
    assert (done.labels, set(done.codes)) == (4, {"H1A", "H1B", "W1A", "W1B"})
    assert all(each.tagged for each in connections(desk.state))


def test_without_connections_there_are_no_flags(desk: Desk, tmp_path: Path) -> None:
    with pytest.raises(NotDone, match="nothing to print"):
        desk.print_tags(tmp_path / "f.pdf", "flags")


def test_a_look_at_a_tag_records_nothing_and_gives_out_no_code(desk: Desk) -> None:
    pump = desk.take("pump")
    seq = desk.seq
    drawn = desk.preview_tag("pump", "tie-a4-1x4")
    assert drawn.label.code == pump.code
    with pytest.raises(NotDone, match="no code yet"):
        desk.preview_tag("rack a/2")
    with pytest.raises(BadInput, match="places and levels"):
        desk.preview_tag("pump", "strip-a4-5")
    assert desk.seq == seq


def test_a_disk_s_trouble_is_told_from_a_label_s(desk: Desk, tmp_path: Path) -> None:
    pump = desk.take("pump")
    (tmp_path / "file").write_text("x")
    for to in ("pdf", "png"):
        with pytest.raises(StorageFailed):
            desk.print_tags(tmp_path / "file" / "x", [pump.code], to=to)
    desk.do(CHANGE(pump.id, cautions=("do not open " * 16, "do not tip " * 17)))
    with pytest.raises(BadInput, match="cautions do not fit"):
        desk.print_tags(tmp_path / "x.pdf", [pump.code])
    assert not desk.state.group(pump.id).tagged


def test_what_lies_in_a_container_by_a_blank_tag_is_a_record_that_can_be_taken_back(desk: Desk) -> None:
    tub = desk.take("tub", container="tub")
    blank = desk.record(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    laid = desk.put_blank_into(blank, tub.id)
    assert laid.done and laid.was_blank and desk.state.children(tub.id) == [laid.group]
    desk.undo()
    assert desk.state.children(tub.id) == [] and desk.names.code(blank) == ("blank", blank)
