"""The strip record: what came off, in order, and how."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from shopbins.ledger.docs import group_from
from shopbins.ledger.whereabouts import whereabouts
from shopbins.lists.listing import Column, List
from shopbins.strip.how import how_lines
from shopbins.strip.release import record_lines

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State


class Off(NamedTuple):
    """One group that came off, where it is in words, and how it came off, a line each."""

    group: Group
    place: str
    how: tuple[str, ...]


def came_off(state: State, machine: str | None = None) -> list[Off]:
    """Return what came off, machine by machine, in the order it did; what is not known comes last."""
    lost = {
        key: (group_from(doc["group"], {**doc["whole"], "qty": doc["n"]}), doc)
        for key, doc in state.docs("posting").items()
        if doc["kind"] == "lost" and doc.get("whole")
    }
    why = {group.id: f"lost: {doc['why']}" if doc.get("why") else "lost" for group, doc in lost.values()}
    groups = [
        each
        for each in (*state.groups(), *(group for group, _ in lost.values() if not state.has_group(group.id)))
        if not each.brought and each.counted != "never" and (machine is None or each.origin[:1] == (machine,))
    ]
    groups.sort(key=lambda each: (each.origin[:1], each.order is None, each.order or 0, each.code))
    return [
        Off(
            each,
            whereabouts(state, each.where) if state.has_group(each.id) else why[each.id],
            (
                *(line for p in each.positions for line in _about(state, p)),
                *record_lines(state, each.id),
            ),
        )
        for each in groups
    ]


def _about(state: State, position: str) -> list[str]:
    doc = state.docs("part").get(position, {})
    lines = how_lines(doc.get("how", {}))
    if doc.get("struck"):
        lines.append(f"struck out: {doc['struck']}")
    if doc.get("anyway"):
        lines.append(f"put back anyway: {doc['anyway']}")
    return lines


def _name(off: Off) -> str:
    return off.group.shown + (f" x{off.group.qty}" if off.group.qty > 1 else "")


def _line(off: Off) -> str:
    number = f"{off.group.order:4d}" if off.group.order is not None else "   ?"
    head = f"{number}  {off.group.code}  {_name(off)} · {' > '.join(off.group.origin)} · {off.place}"
    return "\n        ".join((head, *_below(off)))


def _below(off: Off) -> tuple[str, ...]:
    return (*(f"caution: {each}" for each in off.group.cautions), *off.how)


STRIP: List[Off] = List(
    "Strip record",
    "nothing came off",
    "In the order things came off. ?: the order is not known.",
    (
        Column("order", "order", lambda off: off.group.order, "off", paper=0.5,
               text=lambda off: "?" if off.group.order is None else str(off.group.order)),
        Column("code", "code", lambda off: off.group.code, "code", paper=1.3),
        Column("name", "name", lambda off: off.group.name, "part", paper=3.0, text=_name),
        Column("pieces", "pieces", lambda off: off.group.qty),
        Column("", "machine", lambda off: off.group.origin[0] if off.group.origin else ""),
        Column("origin", "", lambda off: list(off.group.origin), "from", paper=2.6,
               text=lambda off: " > ".join(off.group.origin)),
        Column("", "from", lambda off: " > ".join(off.group.origin[1:])),
        Column("taken_at", "taken at", lambda off: off.group.taken_at),
        Column("place", "place", lambda off: off.place, "lies", paper=2.0),
        Column("", "becomes", lambda off: off.group.disposition),
        Column("how", "how it came off", lambda off: list(off.how)),
        Column("cautions", "cautions", lambda off: list(off.group.cautions)),
    ),
    _line,
    _below,
)  # fmt: skip
