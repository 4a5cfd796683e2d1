"""What is below an assembly goes where it goes: that, or the part that is it, gets another name or place."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from shopbins.ledger.docs import tree_doc
from shopbins.ledger.model import Group, Tree
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.strip import tree


def carried(state: State, old: tree.Path, new: tree.Path) -> dict[str, Any]:
    """Return what has all below a path go below another: parts, milestones, the machines' own trees."""
    docs = {"group": state.docs("group"), "part": tree.listed(state)}
    after: dict[str, Any] = {
        f"{table}:{key}": {"origin": [*new, *docs[table][key]["origin"][len(old) :]]}
        for table, key in tree.below(state, old)
    }
    for key, doc in state.docs("milestone").items():
        moved = [[*new, *p[len(old) :]] if tuple(p[: len(old)]) == old else p for p in doc.get("paths", ())]
        if moved != doc.get("paths", []):
            after[f"milestone:{key}"] = {"paths": moved}
    return {**after, **_moved_in_trees(state, old, new)}


def exchanged(state: State, one: tree.Path, other: tree.Path, but: Collection[str]) -> dict[str, Any]:
    """Return what has all below two paths change places, but for some subjects themselves."""
    aside, ahead, after = (*one[:-1], f"{one[-1]} (aside)"), state.copy(), dict[str, Any]()
    for old, new in ((one, aside), (other, one), (aside, other)):
        step = {at: doc for at, doc in carried(ahead, old, new).items() if at not in but}
        ahead.apply(step, ahead.seq)
        for at, doc in step.items():
            after[at] = {**after.get(at, {}), **doc}
    return after


def keeping_up(state: State, group: Group, fields: Mapping[str, Any]) -> dict[str, Any]:
    """Return what has all that came out of a group keep up with its new name or origin (of `fields`).

    Else it would no longer be known as theirs, and would go on without them. Refused where there is another
    assembly of that path.
    """
    own = tree.listed(state).get(group.id, {})
    if group.id not in group.seats or own.get("name") or len(group.origin) < 1:
        return {}
    name, origin = fields.get("name", group.name), tuple(fields.get("origin", group.origin))
    if origin == group.origin and origin[-1:] == (group.name,):  # it names the part itself
        origin = (*origin[:-1], name)
    old, new = tree.path_of(group.origin, group.name), tree.path_of(origin, name)
    alike = any(
        key != group.id and tree.path_of(tuple(doc.get("origin", ())), doc.get("name", "")) == old
        for docs in (state.docs("group"), tree.listed(state))
        for key, doc in docs.items()
    )
    came = [each for each in tree.below(state, old) if each != ("group", group.id)]
    if old == new or alike or not came:
        return {}
    if new[: len(old)] == old:
        raise Refused(f"{group.shown} cannot go into itself")
    if new in tree.paths(state):
        raise Refused(
            f"there is {' > '.join(new)} already, and what came out of {group.shown} would be of that: "
            "give it another name"
        )
    own_at = f"group:{group.id}"
    after = {at: doc for at, doc in carried(state, old, new).items() if at != own_at}
    return after if origin == group.origin else {**after, own_at: {"origin": list(origin)}}


def grown(where: Tree, path: tree.Path) -> Tree:
    if not path:
        return where
    found = dict(where)
    found[path[0]] = grown(found.get(path[0], ()), path[1:])
    return tuple(found.items())


def _cut(where: Tree, path: tree.Path) -> tuple[Tree, Tree | None]:
    """Return a tree without what is at a path, and what was there."""
    found = dict(where)
    if path[0] not in found:
        return where, None
    if len(path) == 1:
        gone = found.pop(path[0])
        return tuple(found.items()), gone
    found[path[0]], taken = _cut(found[path[0]], path[1:])
    return tuple(found.items()), taken


def _moved_in_trees(state: State, old: tree.Path, new: tree.Path) -> Mapping[str, Any]:
    """Return the machines' own trees with an assembly moved."""
    machines = state.machines()
    if len(old) < 2 or old[0] not in machines:
        return {}
    rest, taken = _cut(machines[old[0]].tree, old[1:])
    if taken is None:
        return {}
    trees = {old[0]: rest}
    base = trees.get(new[0], machines[new[0]].tree if new[0] in machines else ())
    trees[new[0]] = _hung(grown(base, new[1:]), new[1:], taken)
    return {f"machine:{key}": {"tree": tree_doc(each) or None} for key, each in trees.items()}


def _hung(where: Tree, path: tree.Path, below: Tree) -> Tree:
    """Return a tree with `below` put beneath a path."""
    for name, deeper in below:
        where = _hung(grown(where, (*path, name)), (*path, name), deeper)
    return where
