"""Unfinished records: what a crash left of a last one, in the journal or set aside in a `torn-...` file.

Where the end mark tells that the record before it was the last one acknowledged, nobody was told that it is
recorded (`torn-unsaid-...`): it is kept, no more. Else it may have been recorded, and that is said until
somebody has dealt with it: looked whether it is missing, and moved the file away or run `shopbins rescue
--yes`.
"""

from __future__ import annotations

import re

from shopbins.ledger.files import Files

TORN, UNSAID = "torn-", "torn-unsaid-"
"""How the names of files begin that hold one; `UNSAID`: nobody was told that it is recorded."""
_MOST = 1 << 20  # of a record, to say what it is about
_NAMED, _KIND = rb'"name":"([^"\\]{1,80})"', rb'"kind":"([a-z +]{1,80})"'


def says(piece: bytes) -> str:
    """Say what can be read of a record that is not proved."""
    kind, names = re.search(_KIND, piece), re.findall(_NAMED, piece)
    said = [kind[1].decode()] if kind else []
    said += [f"'{name.decode(errors='replace')}'" for name in dict.fromkeys(names[:3])]
    return " ".join(said) if said else f"unreadable ({len(piece)} bytes)"


def set_aside(folder: str, files: Files, *, unsaid: bool) -> list[str]:
    """Return the names of the files that hold unfinished records: `unsaid` ones, or those in doubt."""
    try:
        names = files.listed(folder)
    except OSError:
        return []
    return sorted(each for each in names if each.startswith(TORN) and each.startswith(UNSAID) == unsaid)


def in_doubt(path: str, data: bytes) -> str:
    """Say of an unfinished record that may have been recorded what can be read of it."""
    return (
        f"{path}: an unfinished record that may have been recorded: {says(data)} "
        "(look whether it is there, else do it again; 'shopbins rescue' says what then)"
    )


def kept_in_doubt(folder: str, files: Files) -> tuple[str, ...]:
    """Say that of each that was set aside."""
    told = []
    for name in set_aside(folder, files, unsaid=False):
        try:
            handle = files.open(f"{folder}/{name}", write=False)
            try:
                told.append(in_doubt(f"{folder}/{name}", files.read(handle, 0, _MOST)))
            finally:
                files.close(handle)
        except OSError as error:
            told.append(f"{folder}/{name}: cannot be read: {error.strerror or error}")
    return tuple(told)
