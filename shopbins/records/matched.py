"""Matched sets: what stays together, each piece in its own seat."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.model import Doc, Group
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.records import kinds
from shopbins.records.acts import known, subject
from shopbins.records.record import Act, Field, Record


def match(state: State, name: str, groups: Sequence[str], seats: Sequence[str] | None = None) -> Draft:
    """Record groups as a matched set (bearing and cap, valve and seat), each with its seat where given.

    Said again of a set with this name, what was bought for it counts as matched.
    """
    ids = list(dict.fromkeys(groups))
    if not ids:
        raise BadValue("a matched set has at least one part (of several pieces) in it")
    matched = [known(state, each) for each in ids]
    if len(ids) == 1 and matched[0].qty < 2:
        raise BadValue("a matched set has at least two pieces")
    if seats and len(seats) != len(ids):
        raise BadValue(f"{len(seats)} seats were given for {len(ids)} groups")
    doc: dict[str, Any] = {"name": clean_text(name or "", "the set's name"), "positions": _seats(matched)}
    if not doc["name"]:
        raise BadValue("a matched set needs a name")
    if seats:
        doc["seats"] = [clean_text(each, "a seat") for each in seats]
    doc["matched"] = [each.id for each in matched if each.brought] or None
    known_sets = state.docs("set").items()
    again = next((k for k, old in known_sets if old["name"].casefold() == doc["name"].casefold()), "")
    if again:  # matched anew: what was bought for it belongs to it now
        old = state.docs("set")[again]
        if seats and doc["seats"] != old.get("seats"):
            raise Refused(f"{old['name']} is a matched set already: correct its seats, with a reason")
        parted = [each for each in old.get("parted", ()) if each not in doc["positions"]]
        doc = {
            "matched": [*old.get("matched", ()), *(doc["matched"] or ())] or None,
            "parted": parted or None,
        }
        more = [each for each in _seats(matched) if each not in old["positions"]]
        if more:
            doc["positions"] = [*old["positions"], *more]
    return Draft("match", {f"set:{again or new_id()}": doc}, tuple(map(subject, ids)))


def checked_set(old: Doc, groups: Sequence[Group] | None, seats: Sequence[str] | None) -> dict[str, Any]:
    """Return the corrected fields of a set: what is in it, each with its seat."""
    positions = list(old["positions"]) if groups is None else _seats(groups)
    named = list(old.get("seats", ())) if seats is None else [clean_text(each, "a seat") for each in seats]
    if groups is not None and sum(each.qty for each in groups) < 2:
        raise BadValue("a matched set has at least two pieces")
    if named and len(named) != len(positions):
        raise BadValue(f"{len(named)} seats for {len(positions)} parts: say them all anew (--seat)")
    doc: dict[str, Any] = {"positions": positions, "seats": named or None}
    if groups is not None:
        doc["matched"] = [each.id for each in groups if each.brought] or None
        doc["parted"] = [each for each in old.get("parted", ()) if each in positions] or None
    return {name: value for name, value in doc.items() if old.get(name) != value}


def _seats(groups: Sequence[Group]) -> list[str]:
    return [position for group in groups for position in group.positions]


def drop(state: State, key: str) -> Draft:
    """Have a matched set no longer be one."""
    if key not in state.docs("set"):
        raise Refused("there is no such matched set any more")
    return Draft("no longer matched", {f"set:{key}": None})


MATCHED = Record(
    "set",
    "a matched set",
    "main bearing 3 and its cap, seat 3 block, seat 3 cap",
    (
        Field("name", kinds.TEXT, "what the set is: 'main bearing 3 and its cap'"),
        Field("groups", kinds.GROUP, "what belongs together", many=True),
        Field("seats", kinds.TEXT, "the seat of each, in order", "--seat", "SEAT", many=True, label="seats"),
    ),
    (r"(?P<seats>.+)",),
)  # fmt: skip
MATCH = Act("match", "matched set", match, "set", MATCHED.fields)
DROP = Act("no longer matched", "no longer a matched set:", drop, "set", thing=kinds.SET)
