"""What can go wrong at the desk, each with the exit status the command line gives it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from shopbins.ledger.problems import BadValue, LedgerProblem, ReasonWanted, Refused


class DeskError(Exception):
    """Something that was asked cannot be done; `lines` say why, one problem a line."""

    exit_status = 1

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


class NotDone(DeskError):  # noqa: N818 - refused is an answer
    """Refused, or nothing found: exit status 1."""


class WhyWanted(NotDone):
    """Refused only as long as nobody says why; `what` wants the reason."""

    def __init__(self, line: str, what: str) -> None:
        super().__init__(line)
        self.what = what


class BadInput(DeskError):  # noqa: N818
    """What was typed cannot be read or is ambiguous: exit status 65."""

    exit_status = 65


class StorageFailed(DeskError):  # noqa: N818
    """The ledger or another file cannot be read or written: exit status 74."""

    exit_status = 74


@contextmanager
def translated() -> Iterator[None]:
    """Turn what the layers below raise into the desk's own problems."""
    try:
        yield
    except BadValue as problem:
        raise BadInput(str(problem)) from None
    except ReasonWanted as problem:
        raise WhyWanted(str(problem), problem.what) from None
    except Refused as problem:
        raise NotDone(str(problem)) from None
    except LedgerProblem as problem:
        raise StorageFailed(str(problem)) from None
    except OSError as problem:
        raise StorageFailed(f"{problem.filename or 'a file'}: {problem.strerror or problem}") from None
