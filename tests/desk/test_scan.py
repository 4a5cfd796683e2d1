"""Scanning: zone then group, group then zone, and ten bags in ten scans."""

import pytest

from shopbins.desk import Desk
from shopbins.desk.scan import ScanState, scan
from shopbins.ledger.model import InGroup
from shopbins.records import acts
from shopbins.records.group import CHANGE


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
    desk.do(CHANGE(group.id, name="lift pump"))
    assert desk.names.group(blank).name == "lift pump"


def test_a_blank_tag_may_be_scanned_before_its_place(desk: Desk, tags: dict[str, str]) -> None:
    blank = desk.record(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    now, said = scan(desk, ScanState(), blank)
    assert (said.word, said.ok, now.held) == ("HELD", True, blank)
    now, said = scan(desk, now, tags["bench"])
    assert said.word == "NEW" and now == ScanState(("bench", ""), None)
    assert [desk.state.group(each).code for each in desk.state.in_zone("bench")] == [blank]


def test_a_stop_changes_nothing_and_says_why(desk: Desk, tags: dict[str, str]) -> None:
    from shopbins.ledger.model import Mass, Size

    block = desk.take("gearbox", size=Size(600, 500, 380), mass=Mass(180.0))
    before = desk.seq
    now, _ = scan(desk, ScanState(), tags["rack a/2"])
    now, said = scan(desk, now, block.code)
    assert (said.word, said.ok) == ("STOP", False)
    assert "kg" in said.text and desk.seq == before
    _, said = scan(desk, now, block.code, override="for now")
    assert said.word == "LAID" and desk.seq == before + 1


def other_shop() -> str:
    from shopbins.ledger.codes import make_code

    return make_code("XX", 7)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("ZB0001", "UNKNOWN"),
        ("hello", "UNKNOWN"),
        ("", "UNKNOWN"),
        ("ZXX00070", "MISREAD"),
        (other_shop(), "OTHER SHOP"),
        ("https://example.org", "UNKNOWN"),
        ("\x1b[2J", "UNKNOWN"),
    ],
)
def test_what_is_no_code_of_this_shop_changes_nothing(desk: Desk, text: str, word: str) -> None:
    before = (desk.seq, ScanState(("bench", ""), None))
    now, said = scan(desk, before[1], text)
    assert (said.word, said.ok, now, desk.seq) == (word, False, before[1], before[0])


def test_a_code_of_this_shop_that_nothing_carries(desk: Desk) -> None:
    from shopbins.ledger.codes import next_code

    seq = desk.seq
    _, said = scan(desk, ScanState(), next_code(desk.shop.prefix, 5000).text)
    assert (said.word, said.ok, desk.seq) == ("UNKNOWN", False, seq) and "nothing carries it" in said.text


def test_every_single_wrong_character_and_every_swap_is_said_and_changes_nothing(desk: Desk) -> None:
    """ISO 7064 MOD 37-2 catches them all, so that no misread tag ever moves another thing."""
    code = desk.take("oil pump").code
    desk.take("oil filter")
    seq = desk.seq
    wrong = {code[:at] + letter + code[at + 1 :] for at in range(len(code)) for letter in "0123456789ABXYZ"}
    wrong |= {code[:at] + code[at + 1] + code[at] + code[at + 2 :] for at in range(len(code) - 1)}
    for text in wrong - {code}:
        now, said = scan(desk, ScanState(), text)
        assert not said.ok and said.word in ("MISREAD", "UNKNOWN", "OTHER SHOP") and now == ScanState()
    assert desk.seq == seq


# -- containers


def held_in(desk: Desk, who: str) -> str | None:
    where = desk.state.group(who).where
    return where.group if isinstance(where, InGroup) else None


@pytest.mark.parametrize("first", ["tub", "bag"])
def test_the_larger_container_takes_the_other_whichever_was_read_first(desk: Desk, first: str) -> None:
    made = {kind: desk.take(f"a {kind}", container=kind) for kind in ("tub", "bag")}
    second = "bag" if first == "tub" else "tub"
    now, said = scan(desk, ScanState(), made[first].code)
    assert said.word == "HELD"
    now, said = scan(desk, now, made[second].code)
    assert (said.word, said.ok) == ("IN", True), said.text
    assert held_in(desk, made["bag"].id) == made["tub"].id and held_in(desk, made["tub"].id) is None
    assert now == ScanState(into=made["tub"].id), "and it stays open"


def test_a_tub_then_ten_bags_then_the_tub_and_its_shelf_are_thirteen_scans(
    desk: Desk, tags: dict[str, str]
) -> None:
    tub = desk.take("tub 7", container="tub")
    bags = [desk.take(f"bag {n}", container="bag") for n in range(10)]
    now = ScanState()
    words = []
    for code in (tub.code, *(bag.code for bag in bags), tub.code, tags["rack a/2"]):
        now, said = scan(desk, now, code)
        words.append(said.word)
    assert words == ["HELD", *["IN"] * 10, "HELD", "LAID"]
    assert {held_in(desk, bag.id) for bag in bags} == {tub.id}
    assert desk.state.in_zone("rack a", "2") == [tub.id]


def test_a_container_just_laid_here_and_read_again_is_opened(desk: Desk, tags: dict[str, str]) -> None:
    tub, bag = desk.take("tub 7", container="tub"), desk.take("a bag", container="bag")
    now = ScanState()
    words = []
    for code in (tags["bench"], tub.code, tub.code, bag.code, tags["rack a/2"]):
        now, said = scan(desk, now, code)
        words.append(said.word)
    assert words == ["HERE", "LAID", "OPEN", "IN", "HERE"]
    assert held_in(desk, bag.id) == tub.id and desk.state.in_zone("bench") == [tub.id]
    assert now == ScanState(("rack a", "2")), "a place read closes the tub"


def test_two_of_one_kind_change_nothing_until_it_is_said_which_holds(desk: Desk) -> None:
    one, two = desk.take("a box", container="box"), desk.take("another box", container="box")
    seq = desk.seq
    now, _ = scan(desk, ScanState(), one.code)
    now, said = scan(desk, now, two.code)
    assert (said.word, said.ok, desk.seq) == ("WHICH", False, seq) and now.held == one.id
    now, said = scan(desk, now, one.code)
    assert said.word == "OPEN"
    now, said = scan(desk, now, two.code)
    assert said.word == "IN" and held_in(desk, two.id) == one.id


def test_bare_things_hold_nothing(desk: Desk) -> None:
    one, two = desk.take("head"), desk.take("pump")
    now, _ = scan(desk, ScanState(), one.code)
    now, said = scan(desk, now, one.code)
    assert said.word == "HELD", "a bare thing read twice is not opened"
    _, said = scan(desk, now, two.code)
    assert said.word == "WHICH" and "neither is a container" in said.text


def test_a_pallet_does_not_go_into_an_open_bag(desk: Desk) -> None:
    bag, pallet = desk.take("a bag", container="bag"), desk.take("a pallet", container="pallet")
    now, _ = scan(desk, ScanState(), bag.code)
    now, _ = scan(desk, now, bag.code)
    seq = desk.seq
    after, said = scan(desk, now, pallet.code)
    assert (said.word, said.ok, desk.seq, after) == ("WHICH", False, seq, now)


def test_a_blank_tag_goes_into_an_open_tub_and_is_named_later(desk: Desk) -> None:
    tub = desk.take("tub 7", container="tub")
    blank = desk.record(lambda state: acts.issue_blanks(state, 1)).subjects[0].partition(":")[2]
    now, _ = scan(desk, ScanState(), blank)
    now, said = scan(desk, now, tub.code)
    assert said.word == "NEW" and said.group is not None
    assert held_in(desk, said.group) == tub.id and desk.state.group(said.group).code == blank


def test_what_lies_in_a_thing_does_not_take_it(desk: Desk) -> None:
    outer, inner = desk.take("tub", container="tub"), desk.take("box", container="box")
    pallet = desk.take("pallet", container="pallet")
    desk.put_into(outer.id, pallet.id, "on")
    desk.put_into(inner.id, outer.id)
    desk.do(CHANGE(inner.id, container="pallet"))
    now, _ = scan(desk, ScanState(), inner.code)
    seq = desk.seq
    after, said = scan(desk, now, outer.code)
    assert (said.word, said.ok, desk.seq) == ("REFUSED", False, seq) and after == now


def test_a_stop_of_what_goes_into_a_tub_is_let_through_with_a_reason(
    desk: Desk, tags: dict[str, str]
) -> None:
    from shopbins.ledger.model import Mass, Size

    tub = desk.take("tub", container="tub", mass=Mass(5.0))
    now, _ = scan(desk, ScanState(), tub.code)
    now, said = scan(desk, now, tags["rack a/2"])
    assert said.word == "LAID"
    heavy = desk.take("gearbox", size=Size(300, 200, 200), mass=Mass(180.0))
    now, _ = scan(desk, now, tub.code)
    now, said = scan(desk, now, tub.code)
    assert said.word == "OPEN"
    seq = desk.seq
    stopped, said = scan(desk, now, heavy.code)
    assert (said.word, said.ok, desk.seq, stopped) == ("STOP", False, seq, now)
    _, said = scan(desk, stopped, heavy.code, override="for now")
    assert said.word == "IN" and held_in(desk, heavy.id) == tub.id


def test_the_tag_of_a_place_gone_from_the_shop_file_is_refused(desk: Desk) -> None:
    desk.record(lambda state: acts.issue_place_codes(state, ["old rack/2"]))
    now, said = scan(desk, ScanState(), desk.state.place_code("old rack/2") or "")
    assert (said.word, said.ok, now) == ("REFUSED", False, ScanState())


def test_what_was_in_hand_may_be_gone_by_the_time_its_place_is_scanned(
    desk: Desk, tags: dict[str, str]
) -> None:
    pump = desk.take("oil pump", container="box")
    now, _ = scan(desk, ScanState(), pump.code)
    desk.undo()
    _, said = scan(desk, now, tags["bench"])
    assert (said.word, said.ok) == ("REFUSED", False)
    assert desk.state.in_zone("bench") == []
