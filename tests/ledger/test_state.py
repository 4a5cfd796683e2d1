"""What is where: circles and missing holders hang nothing, copies stay as they are."""

from __future__ import annotations

from shopbins.ledger.model import Away, InZone
from shopbins.ledger.state import State


def state_of(**where: dict | None) -> State:
    """Return a state of groups with these whereabouts."""
    docs = {name: {"code": name.upper()} | ({"where": doc} if doc else {}) for name, doc in where.items()}
    return State({"group": docs})


def test_the_way_out_of_nested_groups() -> None:
    state = state_of(
        tub={"zone": "rack a", "level": "3"}, bag={"group": "tub", "how": "in"}, shim={"group": "bag"}
    )
    assert state.top_of("shim") == ("tub", InZone("rack a", "3"))
    assert state.chain("shim") == ["shim", "bag", "tub"]
    assert state.in_zone("rack a") == state.in_zone("rack a", "3") == ["tub"]
    assert state.in_zone("rack a", "2") == state.in_zone("bench") == []
    assert set(state.descendants("tub")) == {"bag", "shim"}
    assert state.places() == [("rack a", "3")]


def test_what_is_inside_something_away_is_away() -> None:
    state = state_of(box={"to": "grinder", "until": "2026-12-24"}, cam={"group": "box"})
    assert state.top_of("cam") == ("box", Away("grinder", "2026-12-24"))
    assert state.away() == ["box"]


def test_circles_end() -> None:
    state = state_of(
        a={"group": "b"}, b={"group": "c"}, c={"group": "a"}, d={"group": "a"}, e={"group": "e"}, f=None
    )
    assert sorted(map(sorted, state.circles())) == [["a", "b", "c"], ["e"]]
    for group in "abcde":
        assert state.top_of(group)[1] is None
    assert set(state.descendants("a")) == {"b", "c", "d"}
    assert state.descendants("e") == []
    assert state.unplaced() == ["f"]


def test_a_holder_that_is_gone() -> None:
    state = state_of(a={"group": "gone"}, b={"group": "a"})
    assert state.adrift() == ["a"]
    assert state.top_of("b") == ("a", None)


def test_a_copy_stays_as_it_is() -> None:
    state = state_of(a={"zone": "bench 2"})
    group = state.group("a")
    copied = state.copy()
    state.apply({"group:a": {"where": {"zone": "rack a"}}, "group:b": {"code": "B"}}, 1)
    assert copied.group("a") == group
    assert copied.in_zone("bench 2") == ["a"]
    assert copied.group_ids() == ["a"]
    assert state.in_zone("rack a") == ["a"]
    assert state.unplaced() == ["b"]


def test_a_code_of_what_was_undone_is_not_given_again() -> None:
    state = State(prefix="RW")
    code = state.next_code()
    state.apply({"group:a": {"code": code.text}}, 1)
    state.apply({"group:a": None}, 2)
    assert state.next_code().serial > code.serial
    assert state.resolve_code(code.text) is None


def test_unknown_fields_are_kept() -> None:
    state = State({"group": {"a": {"code": "A", "torque_nm": 40}}})
    assert state.group("a").extra == {"torque_nm": 40}
