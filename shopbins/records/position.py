"""A place on the machine: listed beforehand, left empty with a reason; and the tree of assemblies it is in.

Pure functions from the state to a draft. Positions are described in strip/tree.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import tree_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records import kinds
from shopbins.records.acts import correction
from shopbins.records.branches import carried, grown
from shopbins.records.record import Act, Field
from shopbins.strip import tree
from shopbins.strip.book import Book
from shopbins.strip.order import Order


def known_position(state: State, position: str) -> tree.Position:
    """Return a position; raises Refused where there is none (any more)."""
    found = tree.position_of(state, position)
    if found is None:
        raise Refused("there is no such position any more")
    return found


def name_of(state: State, position: str) -> str:
    """Return what a position is called, also where it is gone."""
    found = tree.position_of(state, position)
    return found.name if found is not None else "something no longer known"


def shown_in(state: State, positions: Iterable[str]) -> Iterable[str]:
    """Give the subjects that show an act about positions in the history of their groups."""
    for each in positions:
        yield from (f"group:{group}" for group in known_position(state, each).groups)


def add(
    state: State,
    name: str,
    origin: Sequence[str],
    *,
    qty: int | None = None,
    number: str = "",
    spec: str = "",
) -> Draft:
    """Draft a position known beforehand, as a row of a parts list says it."""
    from shopbins.strip.importing import ListedPart, part_key, said_of

    clean, path = (
        clean_text(name, "the name"),
        tree.as_known(state, values.checked({"origin": origin})["origin"]),
    )
    number, spec = clean_text(number, "the number"), clean_text(spec, "the specification")
    pieces = None if qty is None else values.checked_qty(qty)
    if not clean or not path:
        raise BadValue("a part needs a name, and the machine it is on")
    key = part_key(said_of(path, clean, number))
    if key in tree.listed(state):
        raise Refused(f"{clean} is listed there already")
    return Draft("list part", {f"part:{key}": ListedPart(0, key, clean, path, pieces, number, spec).doc()})


def strike(state: State, position: str, reason: str, *, by: str = "", on: str | None = None) -> Draft:
    """Let the pieces a position lacks today stay away, with the reason; what is lost later is missing again.

    Lacking are those nothing in the shop is meant to fill; where there are none, those not on.
    """
    place = known_position(state, position)
    text = reason_text(reason)
    if not text:
        raise BadValue(f"say why {place.name} stays empty")
    look = state.follower(Book).look(position)
    if not look.touched:
        raise Refused(f"{place.name} is on the machine: nothing came off there")
    n = look.lacking or look.short
    if not n:
        raise Refused(f"no piece of {place.name} is missing: there is no place to leave empty")
    doc = {
        "struck": f"{look.struck}; {text}" if look.struck else text, "left_empty": look.left_empty + n,
        "struck_by": by or None, "struck_on": on,
    }  # fmt: skip
    return Draft("strike out", {f"part:{position}": doc}, tuple(shown_in(state, [position])))


def unstrike(state: State, position: str, *, by: str = "", on: str | None = None) -> Draft:
    """Have a position filled after all; that it was left empty, and why, stays told: other parts went on."""
    place = known_position(state, position)
    if not place.struck:
        raise Refused("it is not struck out")
    n = state.follower(Book).look(position).left_empty
    kept = correction(
        "part", position, f"{place.name}: {n} were left empty, to be filled after all", place.struck,
        by=by, on=on, field="struck", old=place.struck,
    )  # fmt: skip
    return Draft(
        "no longer struck out",
        {f"part:{position}": dict(tree.NOT_STRUCK), **kept},
        tuple(shown_in(state, [position])),
    )


def less_empty(state: State, coming: Mapping[str, int]) -> dict[str, Any]:
    """Return what ends a strike as far as pieces come that its position did not lack: there they belong.

    A strike of an older ledger is of the whole place, however many come.
    """
    book, after = state.follower(Book), dict[str, Any]()
    for seat, n in coming.items():
        look = book.look(seat)
        if state.docs("part").get(seat, {}).get("left_empty") and n > look.lacking:
            rest = max(0, look.left_empty - (n - look.lacking))
            after[f"part:{seat}"] = {"left_empty": rest} if rest else dict(tree.NOT_STRUCK)
    return after


def came_off(state: State, seats: Iterable[str]) -> dict[str, Any]:
    """Return what keeps when positions came off, whatever lies there later: it decides what goes on first."""
    places = state.follower(Order).graph.places
    return {
        f"part:{seat}": {"order": places[seat].order, "day": places[seat].day or None}
        for seat in seats
        if seat in places and places[seat].order is not None
    }


# -- the tree


def rename_path(state: State, path: Sequence[str], to: Sequence[str]) -> Draft:
    """Rename an assembly, or move it elsewhere in the tree, with everything in it.

    `path` and `to` are whole paths from the machine on. The group that is the assembly keeps up: its name
    and origin follow.
    """
    old, new = tree.as_known(state, path), values.checked({"origin": to})["origin"]
    if tuple(map(str.casefold, new)) != tuple(map(str.casefold, old)):  # else only its capitals change
        new = tree.as_known(state, new)
    if not old or not new:
        raise BadValue("an assembly is named from its machine on: machine > assembly")
    if new[: len(old)] == old and new != old:
        raise Refused(f"{old[-1]} cannot go into itself")
    other_machine = new[0] != old[0] and (len(old) > 1 or len(new) > 1)
    if other_machine and any(table == "group" for table, _ in tree.below(state, old)):
        raise Refused(
            f"parts of {old[-1]} came off {old[0]}: a part is given to another machine, with a reason"
        )
    if new != old and len(new) > 1 and new in tree.paths(state):
        raise Refused(
            f"there is {' > '.join(new)} already, and nobody could say afterwards what was of which: "
            "give it another name, or move the parts one by one (set --origin)"
        )
    docs = {"group": state.docs("group"), "part": tree.listed(state)}
    after = carried(state, old, new)
    for table in docs:
        for key, doc in docs[table].items():
            origin, name = tuple(doc.get("origin", ())), doc.get("name", "")
            if len(old) > 1 and tree.path_of(origin, name) == old:
                there = new if origin == old else new[:-1]
                after[f"{table}:{key}"] = {"origin": list(there), "name": new[-1]}
    if not after:
        raise Refused(f"there is no assembly {' > '.join(old)}")
    return Draft("rename assembly", after)


def add_assembly(state: State, path: Sequence[str]) -> Draft:
    """Record an assembly nothing came off yet."""
    whole = tree.as_known(state, values.checked({"origin": path})["origin"])
    if len(whole) < 2:
        raise BadValue("an assembly is named from its machine on: machine > assembly")
    if whole in tree.paths(state):
        raise Refused(f"there is {' > '.join(whole)} already")
    machine = state.machines().get(whole[0])
    whole_tree = grown(machine.tree if machine else (), whole[1:])
    return Draft("add assembly", {f"machine:{whole[0]}": {"tree": tree_doc(values.checked_tree(whole_tree))}})


ADD = Act("list part", "listed", add, "part")
STRIKE = Act(
    "strike out", "struck out", strike, "part",
    (Field("reason", kinds.TEXT, "why its place stays empty"),), kinds.POSITION, signed=True,
)  # fmt: skip
UNSTRIKE = Act(
    "no longer struck out", "no longer struck out:", unstrike, "part", thing=kinds.POSITION, signed=True
)
ADD_ASSEMBLY = Act("add assembly", "added an assembly to", add_assembly, "machine")
RENAME = Act("rename assembly", "renamed or moved the assembly of", rename_path, "part")
