"""Strip and refit as text, JSON and CSV: what to reach first, what goes back, what is lacking, the count."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.reports.export import csv_cell
from shopbins.reports.plain import columns, counted
from shopbins.strip.how import how_lines

if TYPE_CHECKING:
    from shopbins.ledger.model import Doc, Group, Whereabouts
    from shopbins.ledger.state import State
    from shopbins.scene.fetching import Fetch
    from shopbins.strip.care import Care
    from shopbins.strip.connections import Connection
    from shopbins.strip.missing import LastSeen
    from shopbins.strip.reach import Step
    from shopbins.strip.refit import Entry
    from shopbins.strip.shortages import HoldUp, Lack

PlaceOf = Callable[["Group"], str]
Words = Callable[["Whereabouts"], str]


def csv_file(heading: Sequence[str], rows: Iterable[Sequence[Any]]) -> bytes:
    """Return rows as a file a spreadsheet reads: RFC 4180, UTF-8 with a mark, no cell a formula."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(heading)
    writer.writerows([csv_cell(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")


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


# -- refit


def entry_json(entry: Entry, place: str) -> dict[str, Any]:
    """Return one line of the refit list; code and place are null and '' for pieces that are lacking."""
    return {
        "code": None if entry.group is None else entry.group.code,
        "name": entry.name,
        "place": place,
        "waits_for": [wait.text for wait in entry.waits],
    }


def refit_text(entries: Sequence[tuple[Entry, str, Sequence[str]]]) -> list[str]:
    """Set the refit list: what can go back now with a mark, the rest with what it waits for, hints below."""
    lines = []
    for entry, place, hints in entries:
        code = "lacking" if entry.group is None else entry.group.code
        name = f"{entry.name} x{entry.pieces}" if entry.pieces > 1 else entry.name
        mark = ">" if entry.ready else " "
        lines += [f"{mark} {code}  {name}" + (f" · {place}" if place else "")]
        lines += [f"     {wait.said}" for wait in entry.waits]
        lines += [f"     {hint}" for hint in hints]
    return lines


def refit_csv(entries: Sequence[tuple[Entry, str]]) -> bytes:
    """Return the refit list as a file: a row for each line, in refit order."""
    rows = [
        (
            n,
            "" if entry.group is None else entry.group.code,
            entry.name,
            entry.pieces,
            place,
            "yes" if entry.ready else "no",
            "; ".join(wait.text for wait in entry.waits),
            "" if entry.group is None else "; ".join(entry.group.cautions),
        )
        for n, (entry, place) in enumerate(entries, 1)
    ]
    return csv_file(
        ("order", "code", "name", "pieces", "place", "can go back", "waits for", "cautions"), rows
    )


def fetch_json(state: State, fetch: Fetch, place: str) -> dict[str, Any]:
    """Return one stop of the way round."""
    group = state.group(fetch.group)
    return {
        "code": group.code,
        "name": group.name,
        "place": place,
        "on_top": [state.group(each).code for each in fetch.on_top],
        "in_front": None if fetch.in_front is None else [state.group(each).code for each in fetch.in_front],
        "metres": None if fetch.metres is None else round(fetch.metres, 1),
    }


def fetch_text(state: State, fetches: Sequence[Fetch], places: dict[str, str]) -> list[str]:
    """Set the way round: where each is, what to shift first."""
    lines = []
    for n, fetch in enumerate(fetches, 1):
        group = state.group(fetch.group)
        far = "" if fetch.metres is None else f" · {fetch.metres:.0f} m on"
        lines.append(f"{n:3d}  {group.code}  {group.shown} · {places[fetch.group]}{far}")
        lines += [f"       on top: {state.group(each).shown}" for each in fetch.on_top]
        lines += [f"       in front: {state.group(each).shown}" for each in fetch.in_front or ()]
        lines += [f"       caution: {each}" for each in group.cautions]
    return lines


def milestone_json(doc: Doc, held: HoldUp) -> dict[str, Any]:
    """Return a milestone: its date, the first and last day it can be reached, what holds it up."""
    return {
        "name": doc["name"],
        "move": doc.get("move", False),
        "by": doc.get("by"),
        "done": doc.get("done"),
        "first": held.first.isoformat(),
        "last": held.last.isoformat(),
        "late_days": held.late,
        "unknown": list(held.unknown),
        "sentence": held.sentence,
    }


# -- shortages


def shortage_json(lack: Lack) -> dict[str, Any]:
    """Return a shortage."""
    return {
        "name": lack.name,
        "quantity": lack.qty,
        "state": lack.state,
        "needed_before": lack.needed_before,
        "ask_by": _iso(lack.ask_by),
    }


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def shortages_text(lacks: Sequence[Lack]) -> list[str]:
    """Say what is lacking, a sentence each."""
    lines = []
    for lack in lacks:
        spec = f", {lack.doc['spec']}" if lack.doc.get("spec") else ""
        amount = f" x{lack.quantity}" if lack.qty > 1 or lack.unit else ""
        lines.append(f"{lack.name}{amount}{spec}: {lack.sentence}")
    return lines


def shortages_csv(lacks: Sequence[Lack]) -> bytes:
    """Return the shortages as a file."""
    heading = (
        "name", "specification", "quantity", "unit", "state", "asked of", "price", "asked", "promised",
        "here", "days least", "days most", "needed before", "needed by", "ask by", "what to do", "note",
    )  # fmt: skip
    rows = [
        (
            lack.name, get("spec"), lack.qty, lack.unit, lack.state, get("ask_of"), get("price"),
            get("asked"), get("promised"), get("here"), *(get("days") or (None, None)), lack.needed_before,
            _iso(lack.needed_by), _iso(lack.ask_by), lack.sentence, get("note"),
        )
        for lack in lacks
        for get in (lack.doc.get,)
    ]  # fmt: skip
    return csv_file(heading, rows)


# -- missing


def missing_json(state: State, found: LastSeen, where: str, words: Words) -> dict[str, Any]:
    """Return where something was last seen, and what left that place since."""
    return {
        "last_seen": None if found.event is None else where,
        "seq": None if found.event is None else found.event.seq,
        "at": None if found.event is None else found.event.at,
        "by": None if found.event is None else found.event.by,
        "lost": None if found.lost is None else found.lost.seq,
        "moved_since": [
            {
                "code": state.group(each.group).code if state.has_group(each.group) else None,
                "name": state.group(each.group).name if state.has_group(each.group) else None,
                "to": words(each.to),
                "seq": each.event.seq,
                "at": each.event.at,
            }
            for each in found.moved
        ],
    }


def missing_text(state: State, group: Group, found: LastSeen, where: str, words: Words) -> list[str]:
    """Say where something was last seen, by which event, and what was moved from there afterwards."""
    from shopbins.reports.group import local_time

    if found.event is None:
        return [f"{group.shown} was never laid down: nothing says where it went"]
    event = found.event
    lines = [f"{group.shown} was last seen: {where}"]
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
        name = (
            state.group(each.group).shown
            if state.has_group(each.group)
            else "a group since merged or taken back"
        )
        lines.append(f"   {local_time(each.event.at)}  {name} -> {words(each.to)}")
    return lines


# -- strip record


def strip_record(state: State, place_of: PlaceOf, machine: str | None = None) -> list[str]:
    """Set what came off, in order, with how: the strip record as text."""
    lines = []
    for group in _in_order(state, machine):
        number = f"{group.order:4d}" if group.order is not None else "   ?"
        pieces = f" x{group.qty}" if group.qty > 1 else ""
        lines.append(
            f"{number}  {group.code}  {group.shown}{pieces} · {' > '.join(group.origin)} · {place_of(group)}"
        )
        lines += [f"        caution: {each}" for each in group.cautions]
        for position in group.positions:
            lines += [f"        {each}" for each in _about(state, position)]
    return lines


def strip_json(state: State, place_of: PlaceOf, machine: str | None = None) -> list[dict[str, Any]]:
    """Return the strip record."""
    return [
        {
            "order": group.order,
            "code": group.code,
            "name": group.name,
            "pieces": group.qty,
            "origin": list(group.origin),
            "taken_at": group.taken_at,
            "place": place_of(group),
            "how": [line for position in group.positions for line in _about(state, position)],
            "cautions": list(group.cautions),
        }
        for group in _in_order(state, machine)
    ]


def _in_order(state: State, machine: str | None) -> list[Group]:
    groups = [
        each
        for each in state.groups()
        if not each.brought and each.counted != "never" and (machine is None or each.origin[:1] == (machine,))
    ]
    return sorted(groups, key=lambda each: (each.origin[:1], each.order is None, each.order or 0, each.code))


def _about(state: State, position: str) -> list[str]:
    doc = state.docs("part").get(position, {})
    lines = how_lines(doc.get("how", {}))
    if doc.get("struck"):
        lines.append(f"struck out: {doc['struck']}")
    if doc.get("anyway"):
        lines.append(f"put back anyway: {doc['anyway']}")
    return lines


def strip_rows(state: State, machine: str | None = None) -> list[tuple[Group, list[str]]]:
    """Return what came off, in order, each with how; for other ways of setting the strip record."""
    return [
        (group, [line for position in group.positions for line in _about(state, position)])
        for group in _in_order(state, machine)
    ]


def strip_csv(state: State, place_of: PlaceOf, machine: str | None = None) -> bytes:
    """Return the strip record as a file."""
    heading = (
        "order",
        "code",
        "name",
        "pieces",
        "machine",
        "from",
        "taken at",
        "place",
        "becomes",
        "how it came off",
        "cautions",
    )
    rows = [
        (
            group.order, group.code, group.name, group.qty, group.origin[0] if group.origin else "",
            " > ".join(group.origin[1:]), group.taken_at, place_of(group), group.disposition,
            "; ".join(line for position in group.positions for line in _about(state, position)),
            "; ".join(group.cautions),
        )
        for group in _in_order(state, machine)
    ]  # fmt: skip
    return csv_file(heading, rows)


# -- connections, care, the tree


def connection_json(each: Connection) -> dict[str, Any]:
    """Return a connection."""
    return {
        "mark": each.mark,
        "kind": each.kind,
        "name": each.name,
        "a": each.a,
        "b": each.b,
        "machine": each.machine,
        "joined": each.joined,
        "ends": {end: each.is_joined(end) for end in ("a", "b")},
    }


def care_json(each: Care) -> dict[str, Any]:
    """Return recurring care."""
    return {
        "name": each.name,
        "machine": each.machine,
        "done": _iso(each.done),
        "due": _iso(each.due),
        "due_hours": each.due_hours,
        "overdue": each.overdue,
        "gone": each.gone or None,
        "instead": each.instead or None,
        "sentence": each.sentence,
    }


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
        status = order.look(key).status
        for n in range(1, len(place.origin) + 1):
            found = counts.setdefault(place.origin[:n], {})
            found[status] = found.get(status, 0) + 1
    return [
        (path, {name: counts.get(path, {}).get(name, 0) for name in ("on", "off", "back", "open", "struck")})
        for path in paths(state)
    ]
