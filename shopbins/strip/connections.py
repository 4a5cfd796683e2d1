"""Wires, hoses and pipes by their two ends, and the words of the flag tags that go round each end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from shopbins.ledger.model import OUT, Doc
from shopbins.ledger.state import State

KINDS: Mapping[str, str] = {"wire": "W", "hose": "H", "pipe": "P"}
"""Kinds of connection, each with the letter of its flag tags."""


@dataclass(frozen=True, slots=True)
class Connection:
    """A wire, hose or pipe between two ends; `ends` says which are joined again, with the day where known."""

    key: str
    kind: str
    number: int
    a: str
    b: str
    name: str = ""
    machine: str = ""
    note: str = ""
    ends: Mapping[str, str | bool] = field(default_factory=dict)
    tagged: bool = False

    def is_joined(self, end: str) -> bool:
        """Tell whether an end ('a' or 'b') is joined again."""
        return bool(self.ends.get(end))

    @property
    def joined(self) -> bool:
        """Tell whether both ends are joined again."""
        return self.is_joined("a") and self.is_joined("b")

    @property
    def state(self) -> str:
        """Say how it stands: 'joined', 'end B apart', 'apart'."""
        apart = [end for end in ("a", "b") if not self.is_joined(end)]
        return "joined" if not apart else "apart" if len(apart) == 2 else f"end {apart[0].upper()} apart"

    @property
    def mark(self) -> str:
        """What both its flag tags begin with: 'H3'."""
        return f"{KINDS.get(self.kind, self.kind[:1].upper())}{self.number}"

    @property
    def told(self) -> str:
        """Say it in one line: 'H3 fuel feed hose: lift pump outlet to filter inlet'."""
        return f"{self.mark} {self.name or self.kind}: {self.a} to {self.b}"


@dataclass(frozen=True, slots=True)
class Flag:
    """One flag tag of a pair: its mark ('H3A'), the end it goes on, and where the other end is."""

    mark: str
    here: str
    there: str
    name: str


def connections(state: State) -> list[Connection]:
    """Return every connection, by kind and number."""
    found = [
        Connection(
            key, doc["kind"], doc["number"], doc["a"], doc["b"], doc.get("name", ""), doc.get("machine", ""),
            doc.get("note", ""), ends_of(doc), doc.get("tagged", False),
        )
        for key, doc in state.docs("connection").items()
    ]  # fmt: skip
    return sorted(found, key=lambda each: (each.kind, each.number, each.key))


def ends_of(doc: Doc) -> dict[str, Any]:
    """Return which ends of a connection are joined, from its document; older ones say it of both at once."""
    if doc.get("joined"):
        return {"a": True, "b": True}
    return dict(doc.get("ends", {}))


def parts_of(state: State, connection: Doc) -> list[str]:
    """Return the groups called as a connection, which they are then; not those that go for good."""
    name, machine = connection.get("name", "").casefold(), connection.get("machine", "")
    found = []
    for key, doc in state.docs("group").items() if name else ():
        home = (doc.get("origin") or [""])[0]
        alike = doc.get("name", "").casefold() == name and (not home or not machine or home == machine)
        if alike and doc.get("counted") != "never" and doc.get("disposition") not in OUT:
            found.append(key)
    return found


def next_number(state: State, kind: str) -> int:
    """Return the next number for a kind of connection."""
    return 1 + max(
        (doc["number"] for doc in state.docs("connection").values() if doc["kind"] == kind), default=0
    )


def flags(connection: Connection) -> tuple[Flag, Flag]:
    """Return the pair of flag tags of a connection."""
    name = connection.name or connection.kind
    return (
        Flag(f"{connection.mark}A", connection.a, connection.b, name),
        Flag(f"{connection.mark}B", connection.b, connection.a, name),
    )
