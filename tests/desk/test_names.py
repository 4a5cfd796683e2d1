"""What was typed or scanned finds the group, place or blank tag meant, or says plainly why not."""

import pytest

from shopbins.desk import BadInput, Desk, NotDone
from shopbins.ledger.codes import make_code, next_code
from shopbins.records import acts
from shopbins.records.pieces import LOSE, swap
from shopbins.strip.count import count


def test_a_code_or_a_name_finds_the_group(desk: Desk) -> None:
    group = desk.take("cylinder head 2")
    assert desk.names.group(group.code).id == group.id
    assert desk.names.group(f"  {group.code.lower()} ").id == group.id
    assert desk.names.group("Cylinder HEAD 2").id == group.id


def test_a_part_of_a_name_is_enough_where_only_one_has_it(desk: Desk) -> None:
    group = desk.take("cylinder head 2")
    assert desk.names.group("head 2").id == group.id


def test_the_whole_name_goes_before_a_part_of_another(desk: Desk) -> None:
    desk.take("bolts, long")
    group = desk.take("bolts")
    assert desk.names.group("bolts").id == group.id


def test_an_ambiguous_name_lists_every_candidate_with_its_code(desk: Desk) -> None:
    one, two = desk.take("bolts"), desk.take("bolts")
    with pytest.raises(BadInput) as caught:
        desk.names.group("bolts")
    assert caught.value.exit_status == 65
    text = "\n".join(caught.value.lines)
    assert one.code in text and two.code in text


def test_an_unknown_name_is_nothing_found_and_the_nearest_is_named(desk: Desk) -> None:
    desk.take("flywheel")
    with pytest.raises(NotDone, match="did you mean 'flywheel'"):
        desk.names.group("flywhel")


def test_a_wrong_check_character_is_said_at_once(desk: Desk) -> None:
    code = desk.take("flywheel").code
    swapped = code[:-3] + code[-2] + code[-3] + code[-1]
    with pytest.raises(BadInput, match="wrong or two are swapped"):
        desk.names.group(swapped if swapped != code else code[:-1] + "X")


def test_a_right_code_nothing_carries_is_nothing_found(desk: Desk) -> None:
    with pytest.raises(NotDone, match="nothing carries it"):
        desk.names.group(next_code("B", 4000).text)


def test_a_code_of_what_is_lost_says_so_and_what_has_it_back(desk: Desk) -> None:
    group = desk.take("flywheel")
    desk.do(LOSE(group.id, reason="not in the tray"))
    with pytest.raises(NotDone, match=r"(?s)lost since .*not in the tray.*'found' has it back"):
        desk.names.code(group.code)


def test_what_is_lost_after_a_swap_means_the_place_it_was_to_go_to(desk: Desk) -> None:
    one, two = (desk.take(f"pin {each}", origin=("engine", each)) for each in "AB")
    desk.record(lambda state: swap(state, one.id, two.id, "worn in"))
    desk.do(LOSE(one.id, reason="gone"))
    assert desk.names.one("position", one.code) == two.id
    with pytest.raises(BadInput) as caught:
        desk.names.one("position", "pin A")
    text = "\n".join(caught.value.lines)
    assert f"{two.code}  engine > A > pin A" in text and "(lost)  engine > B > pin B" in text
    (line,) = count(desk.state).of("missing")
    assert (line.name, line.why) == ("pin B", "1 pin A lost: gone")


def test_the_tag_of_another_shop_is_said_to_be_one(desk: Desk) -> None:
    with pytest.raises(BadInput, match="another shop"):
        desk.names.code(make_code("XX", 7))


def test_a_blank_tag_is_no_group_until_it_is_bound(desk: Desk) -> None:
    event = desk.record(lambda state: acts.issue_blanks(state, 1))
    code = event.subjects[0].partition(":")[2]
    assert desk.names.who(code) == code
    assert desk.names.code(code) == ("blank", code)
    with pytest.raises(BadInput, match="blank label"):
        desk.names.group(code)
    group = desk.take("oil pump", blank=code)
    assert group.code == code
    assert desk.names.who(code) == group.id
    with pytest.raises(NotDone, match="on oil pump"):
        desk.take("water pump", blank=code)


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ("bench", ("bench", "")),
        ("BENCH", ("bench", "")),
        ("rack a/2", ("rack a", "2")),
        ("rack a", ("rack a", "")),
        ("main", ("main", "")),
    ],
)
def test_places_are_found_by_key_in_any_case(desk: Desk, typed: str, place: tuple[str, str]) -> None:
    assert desk.names.place(typed) == place


@pytest.mark.parametrize(
    ("typed", "said"),
    [("rack b", "did you mean 'rack a'"), ("rack a/7", "no level '7'"), ("bench/1", "no level")],
)
def test_a_place_that_is_not_there_is_said_with_what_there_is(desk: Desk, typed: str, said: str) -> None:
    with pytest.raises(NotDone, match=said):
        desk.names.place(typed)


def test_a_place_is_found_by_its_tag(desk: Desk) -> None:
    desk.record(lambda state: acts.issue_place_codes(state, ["rack a/2"]))
    code = desk.state.place_code("rack a/2")
    assert code is not None
    assert desk.names.place(code) == ("rack a", "2")
    with pytest.raises(BadInput, match="the label of rack a/2"):
        desk.names.group(code)
