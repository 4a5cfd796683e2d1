"""What comes off and is laid down at once: one event, the same judging as laying down."""

import pytest

from shopbins.desk import Desk, NotDone
from shopbins.ledger.model import InZone, Mass, Size


def test_taken_and_laid_down_is_one_event_taken_back_by_one_undo(desk: Desk) -> None:
    seq = desk.seq
    laid = desk.take_and_put("gear case", "rack a", "2", origin=("engine", "gears"), mass=Mass(20.0))
    assert laid.done and laid.seq == desk.seq == seq + 1
    group = desk.state.group(laid.group)
    assert (group.name, group.origin, group.mass) == ("gear case", ("engine", "gears"), Mass(20.0))
    assert isinstance(group.where, InZone) and (group.where.zone, group.where.level) == ("rack a", "2")
    desk.undo()
    assert not desk.state.has_group(laid.group)
    desk.redo()
    assert desk.state.in_zone("rack a", "2") == [laid.group]


def test_it_is_judged_as_laying_down_is_and_a_stop_records_nothing(desk: Desk) -> None:
    """The same thing taken first and laid down then: the same findings, found in the same words."""
    fields = {"container": "box", "mass": Mass(90.0), "size": Size(400, 300, 200)}
    seq = desk.seq
    at_once = desk.take_and_put("gear case", "rack a", "2", **fields)
    assert not at_once.done and at_once.group is None and desk.seq == seq
    assert not list(desk.state.groups())
    then = desk.put(desk.take("gear case", **fields).id, "rack a", "2")
    assert not then.done
    assert [(f.rule, f.grade, f.text) for f in at_once.findings] == [
        (f.rule, f.grade, f.text) for f in then.findings
    ]


def test_a_reason_stands_in_the_same_event(desk: Desk) -> None:
    laid = desk.take_and_put("gear case", "rack a", "2", container="box", mass=Mass(90.0), override="for now")
    assert laid.done and desk.seq == laid.seq
    code = desk.state.group(laid.group).code
    assert {doc["why"] for doc in desk.state.docs("accepted").values()} == {"for now"}
    assert all(code in key or "rack a" in key for key in desk.state.docs("accepted"))
    desk.undo()
    assert not desk.state.docs("accepted") and not list(desk.state.groups())


def test_a_dry_run_says_what_would_be_and_records_nothing(desk: Desk) -> None:
    seq = desk.seq
    assert desk.take_and_put("gear case", "rack a", "2", mass=Mass(5.0), dry_run=True).where is not None
    assert desk.seq == seq and not list(desk.state.groups())


def test_on_a_blank_tag(desk: Desk, tmp_path) -> None:
    desk.print_tags(tmp_path / "b.pdf", [], blank=1)
    blank = next(iter(desk.state.docs("tag")))
    laid = desk.take_and_put("", "rack a", "2", blank=blank)
    assert laid.done and desk.state.group(laid.group).code == blank
    with pytest.raises(NotDone, match="not a blank label"):
        desk.take_and_put("another", "rack a", "2", blank=blank)


def test_a_place_that_is_not_there_is_said(desk: Desk) -> None:
    with pytest.raises(NotDone, match="no place called"):
        desk.take_and_put("gear case", "rock a")
