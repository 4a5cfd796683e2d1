"""Scanning: zone then group, group then zone, and ten bags in ten scans."""

import pytest

from shopbins.desk import Desk
from shopbins.desk.scan import ScanState, scan
from shopbins.parts import acts


@pytest.fixture
def tags(desk: Desk) -> dict[str, str]:
    desk.record(lambda state: acts.issue_place_codes(state, ["bench", "rack a/2", "main"]))
    return {place: desk.state.place_code(place) or "" for place in ("bench", "rack a/2", "main")}


def test_here_stays_set_so_that_ten_bags_are_ten_scans(desk: Desk, tags: dict[str, str]) -> None:
    bags = [desk.take(f"bag {n}", container="bag") for n in range(10)]
    now, said = scan(desk, ScanState(), tags["rack a/2"])
    assert (said.word, said.ok) == ("HERE", True)
    for bag in bags:
        now, said = scan(desk, now, bag.code)
        assert (said.word, said.ok) == ("LAID", True), said.text
    assert len(desk.state.in_zone("rack a", "2")) == 10


def test_group_then_zone(desk: Desk, tags: dict[str, str]) -> None:
    pump = desk.take("oil pump", container="box")
    now, said = scan(desk, ScanState(), pump.code.lower())
    assert said.word == "HELD" and now.held == pump.id
    now, said = scan(desk, now, tags["bench"])
    assert said.word == "LAID" and now == ScanState(("bench", ""), None)
    assert desk.state.in_zone("bench") == [pump.id]


def test_a_blank_tag_scanned_with_a_zone_is_a_durable_record_named_later(
    desk: Desk, tags: dict[str, str]
) -> None:
    blank = desk.record(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    now, _ = scan(desk, ScanState(), tags["bench"])
    now, said = scan(desk, now, blank)
    assert said.word == "NEW" and said.group is not None
    group = desk.state.group(said.group)
    assert group.name == "" and group.code == blank and group.order is None
    desk.change(group.id, name="lift pump")
    assert desk.resolve_group(blank).name == "lift pump"


def test_a_blank_tag_may_be_scanned_before_its_place(desk: Desk, tags: dict[str, str]) -> None:
    blank = desk.record(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    now, said = scan(desk, ScanState(), blank)
    assert (said.word, said.ok, now.held) == ("HELD", True, blank)
    now, said = scan(desk, now, tags["bench"])
    assert said.word == "NEW" and now == ScanState(("bench", ""), None)
    assert [desk.state.group(each).code for each in desk.state.in_zone("bench")] == [blank]


def test_a_stop_changes_nothing_and_says_why(desk: Desk, tags: dict[str, str]) -> None:
    from shopbins.parts.model import Mass, Size

    block = desk.take("gearbox", size=Size(600, 500, 380), mass=Mass(180.0))
    before = desk.seq
    now, _ = scan(desk, ScanState(), tags["rack a/2"])
    now, said = scan(desk, now, block.code)
    assert (said.word, said.ok) == ("STOP", False)
    assert "kg" in said.text and desk.seq == before
    _, said = scan(desk, now, block.code, override="for now")
    assert said.word == "LAID" and desk.seq == before + 1


@pytest.mark.parametrize("text", ["ZB0001", "hello", "ZXX0001F", ""])
def test_what_is_no_code_of_this_shop_changes_nothing(desk: Desk, text: str) -> None:
    before = (desk.seq, ScanState(("bench", ""), None))
    now, said = scan(desk, before[1], text)
    assert (said.word, said.ok, now, desk.seq) == ("UNKNOWN", False, before[1], before[0])


def test_what_was_in_hand_may_be_gone_by_the_time_its_place_is_scanned(
    desk: Desk, tags: dict[str, str]
) -> None:
    pump = desk.take("oil pump", container="box")
    now, _ = scan(desk, ScanState(), pump.code)
    desk.undo()
    _, said = scan(desk, now, tags["bench"])
    assert (said.word, said.ok) == ("REFUSED", False)
    assert desk.state.in_zone("bench") == []
