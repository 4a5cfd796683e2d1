"""Strip and refit as text, JSON and CSV: what to reach first, what goes back, what is lacking, the count."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.ledger.whereabouts import whereabouts
from shopbins.reports.plain import columns, counted

if TYPE_CHECKING:
    from shopbins.ledger.state import State
    from shopbins.strip.missing import LastSeen
    from shopbins.strip.reach import Step


# -- reach


def reach_json(step: Step, heed: Sequence[str] = ()) -> dict[str, Any]:
    """Return one step: the code of what came off there, or the position where nothing did."""
    key = {"code": step.groups[0]} if step.groups else {"position": step.position}
    told = {"heed": list(heed)} if heed else {}
    return {**key, "name": step.name, "already_off": step.already_off, **told}


def reach_text(name: str, steps: Sequence[Step], heed: Mapping[str, Sequence[str]]) -> list[str]:
    """Say what must come off to get at a part, in order, each with what to heed at it (by its position)."""
    left = [step for step in steps if not step.already_off]
    if not steps:
        return [f"nothing is recorded that has to come off before {name} (shopbins before says what does)"]
    off = len(steps) - len(left)
    head = f"to get at {name}: {counted(len(left), 'thing')} still to come off, {off} off already"
    rows = columns(
        (
            f"{n:3d}",
            "off already" if step.already_off else "take off",
            step.name,
            " ".join(step.groups) or "(on the machine)",
            "" if step.told else "as it came off, nobody was asked",
        )
        for n, step in enumerate(steps, 1)
    )
    lines = [head]
    for step, row in zip(steps, rows, strict=True):
        lines += [row, *(f"       {each}" for each in heed.get(step.position, ()))]
    return lines


# -- missing


def missing_json(state: State, found: LastSeen) -> dict[str, Any]:
    """Return where something was last seen, and what left that place since."""
    return {
        "last_seen": None if found.event is None else whereabouts(state, found.where),
        "seq": None if found.event is None else found.event.seq,
        "at": None if found.event is None else found.event.at,
        "by": None if found.event is None else found.event.by,
        "lost": None if found.lost is None else found.lost.seq,
        "moved_since": [
            {
                "code": state.group(each.group).code if state.has_group(each.group) else None,
                "name": state.group(each.group).name if state.has_group(each.group) else None,
                "to": whereabouts(state, each.to),
                "seq": each.event.seq,
                "at": each.event.at,
            }
            for each in found.moved
        ],
    }


def missing_text(state: State, name: str, found: LastSeen) -> list[str]:
    """Say where something was last seen, by which event, and what was moved from there afterwards."""
    from shopbins.reports.group import local_time

    if found.event is None:
        return [f"{name} was never put down: nothing says where it went"]
    event = found.event
    lines = [f"{name} was last seen: {whereabouts(state, found.where)}"]
    lines.append(f"   by {event.by}, {local_time(event.at)} ({event.kind}, event {event.seq})")
    if found.lost is not None:
        lost = found.lost
        lines.append(
            f"   taken from there by {lost.by}, {local_time(lost.at)} ({lost.kind}, event {lost.seq})"
        )
    if not found.moved:
        return [*lines, "   nothing was moved from there since"]
    lines.append("moved from there since, latest first: it may have gone with one of them")
    for each in found.moved:
        gone_with = (
            state.group(each.group).shown
            if state.has_group(each.group)
            else "a part since merged or taken back"
        )
        lines.append(f"   {local_time(each.event.at)}  {gone_with} -> {whereabouts(state, each.to)}")
    return lines


# -- the tree


def tree_json(state: State) -> list[dict[str, Any]]:
    """Return every assembly with the numbers of its positions: on, off, back."""
    return [{"path": list(path), **numbers} for path, numbers in _tree(state)]


def tree_text(state: State) -> list[str]:
    """Set the tree of every machine, with how much of each assembly is off."""
    rows = []
    for path, numbers in _tree(state):
        told = [f"{numbers['off']} off"] if numbers["off"] else []
        told += [f"{numbers['back']} back on"] if numbers["back"] else []
        told += [f"{numbers['on']} still on"] if numbers["on"] else []
        told += [f"{numbers['open']} lacking"] if numbers["open"] else []
        rows.append(("  " * (len(path) - 1) + path[-1], ", ".join(told)))
    return columns(rows)


def _tree(state: State) -> list[tuple[tuple[str, ...], dict[str, int]]]:
    from shopbins.strip.order import Order
    from shopbins.strip.tree import paths

    order = state.follower(Order)
    counts: dict[tuple[str, ...], dict[str, int]] = {}
    for key, place in order.graph.places.items():
        look = order.look(key)
        if look.touched and not (look.need or look.on):
            continue  # no part was ever there: it was corrected away
        status = look.status
        for n in range(1, len(place.origin) + 1):
            found = counts.setdefault(place.origin[:n], {})
            found[status] = found.get(status, 0) + 1
    return [
        (path, {name: counts.get(path, {}).get(name, 0) for name in ("on", "off", "back", "open", "struck")})
        for path in paths(state)
    ]
