"""What can go wrong with the ledger, each with one clear line for the user and its exit status."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shopbins.ledger.events import Event


class LedgerProblem(Exception):  # noqa: N818 - as the user is told
    """The ledger cannot be read or written: damage, a full or read-only disk, a network folder."""

    exit = 74


class Damaged(LedgerProblem):
    """What is on the disk does not add up: damage, an end that is lost, a journal that is missing or another.

    Nothing is written to it until somebody says what is to be kept; `where` and `what` are the line's parts.
    """

    def __init__(self, where: str, what: str) -> None:
        super().__init__(f"{where}: {what} (nothing is written; 'shopbins rescue' says what can be saved)")
        self.where = where
        self.what = what


class Exchanged(LedgerProblem):
    """The journal under a running program is no longer the one it recorded in, nor a later state of it."""


class LedgerBusy(LedgerProblem):
    """Somebody else holds the lock and did not let go in time."""


class Refused(Exception):  # noqa: N818 - a refusal is an answer, not an error of the program
    """The change was judged and not made; nothing was written."""

    exit = 1


class ReasonWanted(Refused):
    """Refused only as long as nobody says why: `what` wants a reason, `how` is the command that takes one."""

    def __init__(self, what: str, how: str) -> None:
        super().__init__(f"{what} ({how})")
        self.what = what


class Conflict(Refused):
    """Somebody else changed the same subject meanwhile; `event` is what they did."""

    def __init__(self, text: str, event: Event) -> None:
        super().__init__(text)
        self.event = event


class BadValue(Refused):
    """A value that cannot be recorded: an absurd size, a control character in a name, an unknown word."""

    exit = 65
