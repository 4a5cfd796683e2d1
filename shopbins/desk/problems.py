"""What can go wrong at the desk, each with the exit status the command line gives it."""

from __future__ import annotations


class DeskError(Exception):
    """Something that was asked cannot be done; `lines` say why, one problem a line."""

    exit_status = 1

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


class NotDone(DeskError):  # noqa: N818 - refused is an answer
    """Refused, or nothing found: exit status 1."""


class BadInput(DeskError):  # noqa: N818
    """What was typed cannot be read or is ambiguous: exit status 65."""

    exit_status = 65


class StorageFailed(DeskError):  # noqa: N818
    """The ledger or another file cannot be read or written: exit status 74."""

    exit_status = 74
