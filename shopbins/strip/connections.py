"""Wires, hoses and pipes by their two ends, and the words of the flag tags that go round each end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shopbins.ledger.state import State

KINDS: Mapping[str, str] = {"wire": "W", "hose": "H", "pipe": "P"}
"""Kinds of connection, each with the letter of its flag tags."""


@dataclass(frozen=True, slots=True)
class Connection:
    """A wire, hose or pipe between two ends; `joined` once it is made again."""

    key: str
    kind: str
    number: int
    a: str
    b: str
    name: str = ""
    machine: str = ""
    note: str = ""
    joined: bool = False
    tagged: bool = False

    @property
    def mark(self) -> str:
        """What both its flag tags begin with: 'H3'."""
        return f"{KINDS[self.kind]}{self.number}"

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
            doc.get("note", ""), doc.get("joined", False), doc.get("tagged", False),
        )
        for key, doc in state.docs("connection").items()
    ]  # fmt: skip
    return sorted(found, key=lambda each: (each.kind, each.number, each.key))


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
