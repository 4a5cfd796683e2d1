"""Acts about the machine's positions: what came off before what, how, what stays empty, milestones, the tree.

Pure functions from the state to a draft, as in acts.py. Positions are described in strip/tree.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import tree_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.model import Tree
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.strip import tree
from shopbins.strip.book import Book
from shopbins.strip.graph import told_way
from shopbins.strip.how import checked_how

Path = tuple[str, ...]


def known_position(state: State, position: str) -> tree.Position:
    """Return a position; raises Refused where there is none (any more)."""
    found = tree.position_of(state, position)
    if found is None:
        raise Refused("there is no such position any more")
    return found


def _name(state: State, position: str) -> str:
    found = tree.position_of(state, position)
    return found.name if found is not None else "something no longer known"


# -- what comes off before what


def relation(first: str, then: str) -> str:
    """Return the subject of 'first comes off before then'."""
    return f"before:{first}|{then}"


def before(state: State, first: str, then: str, why: str = "") -> Draft:
    """Record that one position comes off before another; a circle is refused, and named."""
    return before_all(state, [first], then, why)


def before_all(state: State, firsts: Sequence[str], then: str, why: str = "") -> Draft:
    """Record everything that had to come off before a position; an empty answer is an answer too."""
    target = known_position(state, then)
    text = clean_text(why, "the reason")
    relations = state.docs("before")
    after: dict[str, Any] = {}
    for first in dict.fromkeys(firsts):
        place = known_position(state, first)
        if first == then:
            raise Refused(f"{place.name} cannot come off before itself")
        way = told_way(relations.values(), then, first)
        if way is not None:
            ring = " before ".join(_name(state, each) for each in (first, *way))
            raise Refused(f"that would be a circle: {ring}")
        subject = relation(first, then)
        if subject.partition(":")[2] not in relations:
            after[subject] = {"a": first, "b": then, "why": text or None}
    if not target.asked:
        after[f"part:{then}"] = {"asked": True}
    elif not after:
        raise Refused("that is recorded already")
    return Draft("comes off before", after, tuple(_subjects(state, (*firsts, then))))


def not_before(state: State, first: str, then: str) -> Draft:
    """Take a recorded relation back."""
    subject = relation(first, then)
    if subject.partition(":")[2] not in state.docs("before"):
        raise Refused(f"it is not recorded that {_name(state, first)} comes off before {_name(state, then)}")
    return Draft("no longer before", {subject: None}, tuple(_subjects(state, (first, then))))


def _subjects(state: State, positions: Iterable[str]) -> Iterable[str]:
    """Give what shows an act about positions in the history of their groups."""
    for each in positions:
        yield from (f"group:{group}" for group in known_position(state, each).groups)


# -- positions


def add_part(
    state: State,
    name: str,
    origin: Sequence[str],
    *,
    qty: int | None = None,
    number: str = "",
    spec: str = "",
) -> Draft:
    """Record a position beforehand, as a row of a parts list would."""
    from shopbins.strip.importing import Row, part_key, said_of

    clean, path = clean_text(name, "the name"), values.checked({"origin": origin})["origin"]
    number, spec = clean_text(number, "the number"), clean_text(spec, "the specification")
    pieces = None if qty is None else values.checked_qty(qty)
    if not clean or not path:
        raise BadValue("a part needs a name, and the machine it is on")
    key = part_key(said_of(path, clean, number))
    if key in tree.listed(state):
        raise Refused(f"{clean} is listed there already")
    return Draft("list part", {f"part:{key}": Row(0, key, clean, path, pieces, number, spec).doc()})


def strike(state: State, position: str, reason: str) -> Draft:
    """Let a position stay empty, with the reason."""
    place = known_position(state, position)
    text = clean_text(reason, "the reason")
    if not text:
        raise BadValue(f"say why {place.name} stays empty")
    if not state.follower(Book).look(position).touched:
        raise Refused(f"{place.name} is on the machine: nothing came off there")
    return Draft("strike out", {f"part:{position}": {"struck": text}}, tuple(_subjects(state, [position])))


def unstrike(state: State, position: str) -> Draft:
    """Have a position filled after all."""
    if not known_position(state, position).struck:
        raise Refused("it is not struck out")
    return Draft(
        "no longer struck out", {f"part:{position}": {"struck": None}}, tuple(_subjects(state, [position]))
    )


def tell_how(state: State, position: str, *, no_shims: Sequence[int] = (), **details: Any) -> Draft:
    """Record how a position came off (see strip/how.py): shims and screws are added to those there are.

    `no_shims` takes shims back by their number, 1 first. What is recorded already is not written over: Refused,
    it is corrected with a reason.
    """
    place = known_position(state, position)
    old = dict(state.docs("part").get(position, {}).get("how", {}))
    new = checked_how(details)
    shims = [list(each) for each in old.get("shims", ())]
    for n in no_shims:
        if not 1 <= n <= len(shims):
            raise Refused(f"{place.name} has no shim {n} on record")
    shims = [each for n, each in enumerate(shims, 1) if n not in no_shims]
    for name in ("shims", "screws"):
        had = shims if name == "shims" else [list(each) for each in old.get("screws", ())]
        added = [each for each in new.pop(name, []) if each not in had]
        if added or name == "shims":
            old[name] = checked_how({name: [*had, *added]})[name]
    for name, value in new.items():
        if old.get(name) and (value or value is None) and value != old[name]:
            raise Refused(
                f"{place.name}: {name.partition('_')[0]} is on record as '{old[name]}': correct it, with a reason"
            )
        if value:
            old[name] = value
    how = {name: value for name, value in old.items() if value}
    return Draft("how it came off", {f"part:{position}": {"how": how or None}}, (f"group:{position}",))


def set_days(state: State, position: str, least: float | None, most: float | None = None) -> Draft:
    """Say how many days putting a position back takes (None: unknown again)."""
    known_position(state, position)
    if least is None:
        return Draft("set days", {f"part:{position}": {"days": None}})
    low, high = checked_days(least, least if most is None else most)
    return Draft("set days", {f"part:{position}": {"days": [low, high]}}, (f"group:{position}",))


def checked_days(least: float, most: float) -> tuple[float, float]:
    """Check a range of days."""
    low, high = values.number(least, "days"), values.number(most, "days")
    if not 0 <= low <= high <= 3660:
        raise BadValue(f"{low:g} to {high:g} days: must be 0 to 3660, the lesser first")
    return low, high


# -- milestones


def set_milestone(
    state: State,
    name: str,
    *,
    positions: Sequence[str] = (),
    paths: Sequence[Path] = (),
    by: str | None = None,
    move: bool | None = None,
) -> Draft:
    """Record a milestone, or add to one: what it needs back on, its date, and whether it is a move."""
    clean = clean_text(name, "a milestone's name", 80)
    if not clean:
        raise BadValue("a milestone needs a name")
    key = clean.casefold()
    old = state.docs("milestone").get(key, {})
    for each in positions:
        known_position(state, each)
    doc: dict[str, Any] = {"name": old.get("name", clean)}
    if positions:
        doc["positions"] = list(dict.fromkeys((*old.get("positions", ()), *positions)))
    if paths:
        doc["paths"] = [
            list(p) for p in dict.fromkeys((*map(tuple, old.get("paths", ())), *map(tuple, paths)))
        ]
    if by is not None:
        doc["by"] = values.checked_date(by, "the date")
    if move is not None:
        doc["move"] = move or None
    return Draft("milestone", {f"milestone:{key}": doc})


def known_milestone(state: State, name: str) -> str:
    """Return a milestone's key; Refused where there is none."""
    key = name.strip().casefold()
    if key not in state.docs("milestone"):
        raise Refused(f"no milestone is called '{name.strip()}'")
    return key


def milestone_done(state: State, name: str, on: str | None) -> Draft:
    """Record that a milestone (a move above all) was reached, on a date; None takes that back."""
    key = known_milestone(state, name)
    return Draft("milestone reached", {f"milestone:{key}": {"done": values.checked_date(on, "the date")}})


def drop_milestone(state: State, name: str) -> Draft:
    """Forget a milestone; what was to go on after it no longer waits for it."""
    key = known_milestone(state, name)
    after: dict[str, Any] = {f"milestone:{key}": None}
    for position, doc in state.docs("part").items():
        if key in doc.get("after", ()):
            after[f"part:{position}"] = {"after": [each for each in doc["after"] if each != key] or None}
    return Draft("drop milestone", after)


def goes_on_after(state: State, position: str, milestone: str, yes: bool = True) -> Draft:
    """Record that a position goes back only after a milestone, such as a move (feet, guards)."""
    from shopbins.strip.refit import chain

    place, key = known_position(state, position), known_milestone(state, milestone)
    if yes and position in chain(state, key, usual=False):
        name = state.docs("milestone")[key]["name"]
        raise Refused(f"that would be a circle: {name} needs {place.name}, which is to go on after {name}")
    kept = [each for each in place.after if each != key]
    doc = {"after": [*kept, key] if yes else kept or None}
    return Draft("goes on after", {f"part:{position}": doc}, tuple(_subjects(state, [position])))


# -- the tree


def rename_path(state: State, path: Sequence[str], to: Sequence[str]) -> Draft:
    """Rename an assembly, or move it elsewhere in the tree, with everything in it.

    `path` and `to` are whole paths from the machine on. The group that is the assembly keeps up: its name
    and origin follow.
    """
    old, new = tuple(path), values.checked({"origin": to})["origin"]
    if not old or not new:
        raise BadValue("an assembly is named from its machine on: machine > assembly")
    if new[: len(old)] == old and new != old:
        raise Refused(f"{old[-1]} cannot go into itself")
    if len(old) > 1 and new[0] != old[0] and any(table == "group" for table, _ in tree.below(state, old)):
        raise Refused(
            f"parts of {old[-1]} came off {old[0]}: a part is given to another machine, with a reason"
        )
    docs = {"group": state.docs("group"), "part": tree.listed(state)}
    after: dict[str, Any] = {
        f"{table}:{key}": {"origin": [*new, *docs[table][key]["origin"][len(old) :]]}
        for table, key in tree.below(state, old)
    }
    for table in docs:
        for key, doc in docs[table].items():
            if len(old) > 1 and (*doc.get("origin", ()), doc.get("name", "")) == old:
                after[f"{table}:{key}"] = {"origin": list(new[:-1]), "name": new[-1]}
    for key, doc in state.docs("milestone").items():
        moved = [[*new, *p[len(old) :]] if tuple(p[: len(old)]) == old else p for p in doc.get("paths", ())]
        if moved != doc.get("paths", []):
            after[f"milestone:{key}"] = {"paths": moved}
    after |= _moved_in_trees(state, old, new)
    if not after:
        raise Refused(f"there is no assembly {' > '.join(old)}")
    return Draft("rename assembly", after)


def add_assembly(state: State, path: Sequence[str]) -> Draft:
    """Record an assembly nothing came off yet."""
    whole = values.checked({"origin": path})["origin"]
    if len(whole) < 2:
        raise BadValue("an assembly is named from its machine on: machine > assembly")
    if whole in tree.paths(state):
        raise Refused(f"there is {' > '.join(whole)} already")
    machine = state.machines().get(whole[0])
    grown = _grown(machine.tree if machine else (), whole[1:])
    return Draft("add assembly", {f"machine:{whole[0]}": {"tree": tree_doc(values.checked_tree(grown))}})


def _grown(where: Tree, path: Path) -> Tree:
    if not path:
        return where
    found = dict(where)
    found[path[0]] = _grown(found.get(path[0], ()), path[1:])
    return tuple(found.items())


def _cut(where: Tree, path: Path) -> tuple[Tree, Tree | None]:
    """Return a tree without what is at a path, and what was there."""
    found = dict(where)
    if path[0] not in found:
        return where, None
    if len(path) == 1:
        gone = found.pop(path[0])
        return tuple(found.items()), gone
    found[path[0]], taken = _cut(found[path[0]], path[1:])
    return tuple(found.items()), taken


def _moved_in_trees(state: State, old: Path, new: Path) -> Mapping[str, Any]:
    """Return the machines' own trees with an assembly moved."""
    machines = state.machines()
    if len(old) < 2 or old[0] not in machines:
        return {}
    rest, taken = _cut(machines[old[0]].tree, old[1:])
    if taken is None:
        return {}
    trees = {old[0]: rest}
    base = trees.get(new[0], machines[new[0]].tree if new[0] in machines else ())
    trees[new[0]] = _hung(_grown(base, new[1:]), new[1:], taken)
    return {f"machine:{key}": {"tree": tree_doc(each) or None} for key, each in trees.items()}


def _hung(where: Tree, path: Path, below: Tree) -> Tree:
    """Return a tree with `below` put beneath a path."""
    for name, deeper in below:
        where = _hung(_grown(where, (*path, name)), (*path, name), deeper)
    return where
