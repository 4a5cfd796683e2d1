"""What can go wrong with the ledger, each with one clear line for the user and its exit status."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shopbins.ledger.events import Event


class LedgerProblem(Exception):  # noqa: N818 - as the user is told
    """The ledger cannot be read or written: damage, a full or read-only disk, a network folder."""

    exit = 74


class LedgerBusy(LedgerProblem):
    """Somebody else holds the lock and did not let go in time."""


class Refused(Exception):  # noqa: N818 - a refusal is an answer, not an error of the program
    """The change was judged and not made; nothing was written."""

    exit = 1


class Conflict(Refused):
    """Somebody else changed the same subject meanwhile; `event` is what they did."""

    def __init__(self, text: str, event: Event) -> None:
        super().__init__(text)
        self.event = event


class BadValue(Refused):
    """A value that cannot be recorded: an absurd size, a control character in a name, an unknown word."""

    exit = 65
