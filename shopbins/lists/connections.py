"""The list of wires, hoses and pipes by their two ends."""

from __future__ import annotations

from shopbins.lists.listing import Column, List
from shopbins.strip.connections import Connection


def _dim(each: Connection) -> str:
    return "dim" if each.joined else ""


CONNECTIONS: List[Connection] = List(
    "Wires, hoses and pipes",
    "no wire, hose or pipe is recorded",
    "",
    (
        Column("", "", lambda each: f"{each.mark}A {each.mark}B", "flags", 9, paper=1.0, grade=_dim),
        Column("mark", "mark", lambda each: each.mark),
        Column("kind", "kind", lambda each: each.kind),
        Column("name", "name", lambda each: each.name, "what", 22, 0.8, 2.0, grade=_dim,
               text=lambda each: each.name or each.kind),
        Column("a", "end A", lambda each: each.a, "end A", 22, 1.0, 2.0, grade=_dim),
        Column("b", "end B", lambda each: each.b, "end B", 22, 1.0, 2.0, grade=_dim),
        Column("machine", "machine", lambda each: each.machine),
        Column("joined", "joined", lambda each: each.joined),
        Column("ends", "", lambda each: {end: each.is_joined(end) for end in ("a", "b")}),
        Column("", "", lambda each: each.state, "", 11, paper=1.2, grade=_dim),
    ),
    lambda each: f"{each.told}, {each.state}",
)  # fmt: skip
