"""Roll-call of a shelf: what is missing, misplaced and unexpected, each put right in one go."""

import pytest

from shopbins.desk import Desk
from shopbins.desk.rollcall import RollCall, put_right, read, rows
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.records import acts


@pytest.fixture
def shelf(desk: Desk) -> dict[str, str]:
    """Rack a/2 with a head and a tub (a bag in it); a pump on the bench; studs unplaced; a blank tag."""
    desk.record(lambda state: acts.issue_place_codes(state, ["bench", "rack a/1", "rack a/2", "gone/1"]))
    made = {
        "head": desk.take("head", size=Size(300, 200, 100), mass=Mass(9.0)).id,
        "tub": desk.take("tub 7", container="tub", size=Size(300, 200, 150)).id,
        "bag": desk.take("bag of shims", container="bag").id,
        "pump": desk.take("pump", size=Size(200, 150, 100)).id,
        "studs": desk.take("studs", container="bag").id,
    }
    desk.put(made["head"], "rack a", "2")
    desk.put(made["tub"], "rack a", "2")
    desk.put_into(made["bag"], made["tub"])
    desk.put(made["pump"], "bench")
    event = desk.record(lambda state: acts.issue_blanks(state, 1))
    return {**made, "blank": event.subjects[0].partition(":")[2]}


CALL = RollCall("rack a", "2")


def code(desk: Desk, who: str) -> str:
    return desk.state.group(who).code if desk.state.has_group(who) else who


def called(desk: Desk, shelf: dict[str, str], *names: str) -> RollCall:
    call = CALL
    for name in names:
        call, _ = read(desk, call, code(desk, shelf[name]))
    return call


def kinds(desk: Desk, call: RollCall) -> dict[str, str]:
    return {row.who: row.kind for row in rows(desk, call)}


def test_a_shelf_as_recorded_leaves_nothing_to_put_right(desk: Desk, shelf: dict[str, str]) -> None:
    call = called(desk, shelf, "head", "tub")
    assert kinds(desk, call) == {shelf["head"]: "present", shelf["tub"]: "present"}


def test_what_was_not_read_is_missing(desk: Desk, shelf: dict[str, str]) -> None:
    call = called(desk, shelf, "head")
    assert kinds(desk, call) == {shelf["head"]: "present", shelf["tub"]: "missing"}


def test_a_tub_stands_for_what_is_in_it_and_reading_a_bag_in_it_is_no_fault(
    desk: Desk, shelf: dict[str, str]
) -> None:
    call = called(desk, shelf, "head", "tub", "bag")
    assert kinds(desk, call)[shelf["bag"]] == "present"
    call = called(desk, shelf, "bag")
    assert kinds(desk, call)[shelf["tub"]] == "missing", "a bag of it is not the tub"


def test_what_is_recorded_elsewhere_or_nowhere_is_told_apart(desk: Desk, shelf: dict[str, str]) -> None:
    call, said = read(desk, CALL, code(desk, shelf["pump"]))
    assert (said.word, said.ok) == ("NOT HERE", False) and "bench" in said.text
    call, said = read(desk, call, code(desk, shelf["studs"]))
    assert said.word == "NEW"
    call, said = read(desk, call, shelf["blank"])
    assert said.word == "NEW"
    found = kinds(desk, call)
    assert found[shelf["pump"]] == "misplaced"
    assert found[shelf["studs"]] == found[shelf["blank"]] == "unexpected"


def test_another_level_of_the_same_shelf_is_another_place(desk: Desk, shelf: dict[str, str]) -> None:
    desk.put(shelf["pump"], "rack a", "1")
    assert kinds(desk, called(desk, shelf, "pump"))[shelf["pump"]] == "misplaced"
    whole, _ = read(desk, RollCall("rack a"), code(desk, shelf["pump"]))
    assert kinds(desk, whole)[shelf["pump"]] == "present"


def test_calling_changes_nothing(desk: Desk, shelf: dict[str, str]) -> None:
    seq = desk.seq
    called(desk, shelf, *shelf)
    assert desk.seq == seq


def test_each_fault_is_put_right_in_one_go_and_then_the_record_is_what_was_read(
    desk: Desk, shelf: dict[str, str]
) -> None:
    call = called(desk, shelf, "tub", "pump", "studs", "blank")
    for row in [row for row in rows(desk, call) if row.kind != "present"]:
        seq = desk.seq
        call, laid = put_right(desk, call, row)
        assert desk.seq == seq + 1
        assert (laid is None) == (row.kind == "missing")
    assert {row.kind for row in rows(desk, call)} == {"present"}
    assert desk.state.group(shelf["head"]).where is None
    lies = desk.state.in_zone("rack a", "2")
    assert len(lies) == 4 and shelf["head"] not in lies
    for name in ("pump", "studs"):
        where = desk.state.group(shelf[name]).where
        assert isinstance(where, InZone) and (where.zone, where.level) == ("rack a", "2")


def test_a_bag_recorded_in_another_tub_lies_here_once_put_right(desk: Desk, shelf: dict[str, str]) -> None:
    desk.put(shelf["tub"], "bench")
    call = called(desk, shelf, "head", "bag")
    (row,) = [row for row in rows(desk, call) if row.kind == "misplaced"]
    assert row.who == shelf["bag"] and "tub 7" in row.where
    put_right(desk, call, row)
    assert desk.state.in_zone("rack a", "2") == [shelf["head"], shelf["bag"]]


def test_a_stop_leaves_the_row_to_be_let_through_with_a_reason(desk: Desk, shelf: dict[str, str]) -> None:
    heavy = desk.take("gearbox", size=Size(300, 200, 200), mass=Mass(180.0))
    call, _ = read(desk, CALL, heavy.code)
    (row,) = [row for row in rows(desk, call) if row.who == heavy.id]
    seq = desk.seq
    call, laid = put_right(desk, call, row)
    assert laid is not None and not laid.done and desk.seq == seq
    _, laid = put_right(desk, call, row, override="for now")
    assert laid is not None and laid.done


def test_a_place_read_first_is_the_one_called_and_later_another_one_is_not(
    desk: Desk, shelf: dict[str, str]
) -> None:
    bench, rack = desk.state.place_code("bench") or "", desk.state.place_code("rack a/2") or ""
    call, said = read(desk, CALL, bench)
    assert (call, said.word) == (RollCall("bench"), "PLACE")
    call, _ = read(desk, CALL, code(desk, shelf["head"]))
    same, said = read(desk, call, bench)
    assert same == call and not said.ok
    same, said = read(desk, call, rack)
    assert same == call and said.ok
    same, said = read(desk, call, desk.state.place_code("gone/1") or "")
    assert same == call and said.word == "UNKNOWN"


def test_what_is_misread_or_read_twice_is_said(desk: Desk, shelf: dict[str, str]) -> None:
    head = code(desk, shelf["head"])
    call, _ = read(desk, CALL, head)
    same, said = read(desk, call, head)
    assert same == call and said.word == "AGAIN"
    wrong = head[:-1] + ("A" if head[-1] != "A" else "C")
    same, said = read(desk, call, wrong)
    assert same == call and (said.word, said.ok) == ("MISREAD", False)
