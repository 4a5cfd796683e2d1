"""Pieces come and go only with a reason: the law of lots.py, and what old records are completed by.

The outside reason is that pieces are neither made nor lost (conservation): what the groups of a position held
before, less what was posted away from it, is what they hold after.
"""

from __future__ import annotations

import copy
import random
from typing import Any

import pytest

from shopbins.ledger.events import Change
from shopbins.ledger.lots import complete, effects, held, lost_ones, shares, split_off, unbalanced


@pytest.mark.parametrize(("doc", "left"), [
    ({"kind": "lost", "seat": "s", "n": 2}, [("s", 2)]),
    ({"kind": "consumed", "seat": "s", "n": 1}, [("s", 1)]),
    ({"kind": "given", "seat": "s", "to": "t", "n": 3}, [("s", 3), ("t", -3)]),
    ({"kind": "bound", "seat": "s", "to": "t", "n": 1}, [("s", 1), ("t", -1)]),
    ({"kind": "found", "seat": "s", "n": 2}, [("s", -2)]),
    ({"kind": "taken", "seat": "s", "n": 4}, [("s", -4)]),
    ({"kind": "never", "seat": "s", "n": 4, "listed": True}, []),
    ({}, []),
])  # fmt: skip
def test_what_a_posting_explains(doc: dict[str, Any], left: list[tuple[str, int]]) -> None:
    assert effects(doc) == left


TABLES = {"group": {"g": {"name": "bolts", "parts": ["s"], "qty": 5}}, "posting": {}}


@pytest.mark.parametrize(("after", "broken"), [
    ({"group:g": {"qty": 3}}, "part:s"),
    ({"group:g": {"qty": 7}}, "part:s"),
    ({"group:g": {"counted": "never"}}, "part:s"),
    ({"group:g": None}, "part:s"),
    ({"group:g": {"qty": 3}, "posting:p": {"kind": "lost", "seat": "s", "n": 2}}, None),
    ({"group:g": {"qty": 3}, "posting:p": {"kind": "lost", "seat": "s", "n": 1}}, "part:s"),
    ({"group:g": {"qty": 3}, "posting:p": {"kind": "lost", "seat": "t", "n": 2}}, "part:"),
    ({"group:g": {"qty": 6}, "posting:p": {"kind": "found", "seat": "s", "n": 1}}, None),
    ({"group:g": {"qty": 3}, "group:h": {"parts": ["s"], "qty": 2}}, None),
    ({"group:g": {"qty": 3}, "group:h": {"parts": ["s"], "qty": 3}}, "part:s"),
    ({"group:g": {"parts": ["t"]}}, "part:"),
    ({"group:g": {"parts": ["t"]}, "posting:p": {"kind": "bound", "seat": "s", "to": "t", "n": 5}}, None),
    ({"posting:p": {"kind": "lost", "seat": "s", "n": 1}}, "part:s"),
    ({"posting:p": {"kind": "never", "seat": "s", "n": 1, "listed": True}}, None),
    ({"group:h": {"parts": ["s"], "qty": 2}}, None),
    ({"group:h": {"parts": ["t"]}, "posting:p": {"kind": "taken", "seat": "t", "n": 1}}, None),
    ({"group:g": {"name": "screws", "note": "oiled"}}, None),
    ({"machine:m": {"name": "mill"}}, None),
])  # fmt: skip
def test_no_piece_comes_or_goes_unexplained(after: dict[str, Any], broken: str | None) -> None:
    found = unbalanced(TABLES, after)
    assert found is None if broken is None else (found or "").startswith(broken)


def test_a_posting_taken_back_gives_back_what_it_explained() -> None:
    lost = {"kind": "lost", "seat": "s", "n": 2}
    tables = {"group": {"g": {"parts": ["s"], "qty": 3}}, "posting": {"p": lost}}
    assert unbalanced(tables, {"posting:p": None, "group:g": {"qty": 5}}) is None
    assert unbalanced(tables, {"posting:p": None}) == "part:s"
    assert unbalanced(tables, {"posting:p": None, "group:g": {"qty": 4}}) == "part:s"


def test_shares_say_who_owns_how_many() -> None:
    assert held("g", {"qty": 4}) == {"g": 4} and held("g", {}) == {"g": 1}
    assert held("g", {"parts": ["a"], "qty": 4}) == {"a": 4}
    assert held("g", {"parts": ["a", "b"], "qty": 4, "shares": [1, 3]}) == {"a": 1, "b": 3}
    for wrong in (None, [4], [1, 4], [1, 2]):
        assert held("g", {"parts": ["a", "b"], "qty": 4, "shares": wrong}) == {"a": 4, "b": 0}
    assert shares("g", {"parts": ["a"], "qty": 4, "counted": "never"}) == {}
    assert shares("g", {"parts": ["a"], "qty": 4, "counted": "bag"}) == {"a": 4}


def test_pieces_split_off_and_those_that_stay_are_those_there_were() -> None:
    luck = random.Random(5)
    for _ in range(300):
        seats = {name: luck.randint(0, 4) for name in "abc"[: luck.randint(1, 3)]}
        pieces = luck.randint(0, sum(seats.values()))
        first = luck.sample("abcd", luck.randint(0, 2))
        goes, stays = split_off(seats, pieces, first)
        assert sum(goes.values()) == pieces and all(goes.values())
        assert {seat: goes.get(seat, 0) + stays.get(seat, 0) for seat in seats} == seats
        assert all(stays[seat] or not seats[seat] for seat in stays)
        if first and pieces and seats.get(first[0]):
            assert goes[first[0]] == min(pieces, seats[first[0]]), "the one named goes first"


def test_what_is_lost_is_known_by_its_code_or_name() -> None:
    postings = {
        "p": {"kind": "lost", "code": "ZRW00013", "name": "Bolt"},
        "q": {"kind": "consumed", "code": "ZRW00021", "name": "bolt"},
        "r": {"kind": "lost", "name": "nut"},
    }
    assert lost_ones(postings, " bolt ") == lost_ones(postings, "zrw00013") == ["p"]
    assert lost_ones(postings, "nut") == ["r"] and lost_ones(postings, "bol") == []


def folded(tables: dict[str, dict], table: str, key: str, new: dict | None) -> Change:
    """Put a document in its place, as folding does, and return the change."""
    old = tables[table].pop(key, None)
    if new is not None:
        tables[table][key] = new
    return Change(table, key, old, new)


def test_a_number_an_old_record_changed_is_kept_as_a_difference_until_it_is_given_back() -> None:
    tables: dict[str, Any] = copy.deepcopy(TABLES)
    for qty, left in ((3, 2), (2, 3), (7, -2), (5, None)):
        changes = [folded(tables, "group", "g", {"name": "bolts", "parts": ["s"], "qty": qty})]
        complete(tables, changes, "change")
        kept = tables["posting"].get("number g")
        assert (kept and kept["n"]) == left
        if kept:
            assert (kept["kind"], kept["seat"], kept["was"], kept["now"]) == ("difference", "s", 5, qty)


def test_a_number_that_was_explained_leaves_no_difference() -> None:
    tables: dict[str, Any] = copy.deepcopy(TABLES)
    lost = {"kind": "lost", "seat": "s", "n": 2}
    changes = [
        folded(tables, "group", "g", {"name": "bolts", "parts": ["s"], "qty": 3}),
        folded(tables, "posting", "p", lost),
    ]
    assert complete(tables, changes) == [] and tables["posting"] == {"p": lost}
    changes = [
        folded(tables, "group", "g", {"name": "bolts", "parts": ["s"], "qty": 1}),
        folded(tables, "group", "h", {"name": "bolts", "parts": ["s"], "qty": 2}),
    ]
    assert complete(tables, changes) == []


def test_a_part_given_to_another_machine_with_no_reason_is_kept_until_it_is_back() -> None:
    doc = {"name": "cam", "parts": ["s"], "origin": ["mill", "head"]}
    tables: dict[str, Any] = {"group": {"g": doc}, "posting": {}}
    complete(tables, [folded(tables, "group", "g", {**doc, "origin": ["mill", "bed"]})], "change")
    assert tables["posting"] == {}, "another place on the same machine"
    complete(tables, [folded(tables, "group", "g", {**doc, "origin": ["lathe"]})], "bind")
    assert tables["posting"] == {}, "an act of today says its reason itself"
    complete(tables, [folded(tables, "group", "g", doc)], "bind")
    complete(tables, [folded(tables, "group", "g", {**doc, "origin": ["lathe"]})], "change")
    kept = tables["posting"]["machine g"]
    assert (kept["kind"], kept["seat"], kept["n"], kept["origin"]) == ("difference", "s", 0, doc["origin"])
    complete(tables, [folded(tables, "group", "g", {**doc, "origin": ["press"]})], "change")
    assert tables["posting"]["machine g"] == kept, "where it came from first is what counts"
    complete(tables, [folded(tables, "group", "g", doc)], "change")
    assert tables["posting"] == {}


@pytest.mark.parametrize(("numbers", "qty", "given"), [
    ({"a": 2, "b": 3}, 5, [2, 3]), ({"a": 2, "b": 3}, 4, [2, 2]), ({"a": 0, "b": 3}, 3, [0, 3]),
    ({"a": 2, "b": 3}, 6, [3, 3]),
])  # fmt: skip
def test_parts_merged_by_an_old_record_keep_their_shares(
    numbers: dict[str, int], qty: int, given: list[int]
) -> None:
    groups = {name: {"name": name, "parts": [name], "qty": n} for name, n in numbers.items() if n}
    tables: dict[str, Any] = {"group": groups, "posting": {}}
    changes = [folded(tables, "group", name, None) for name in list(groups)]
    changes.append(folded(tables, "group", "m", {"name": "both", "parts": ["a", "b"], "qty": qty}))
    complete(tables, changes, "merge")
    assert tables["group"]["m"]["shares"] == given
