"""A ledger with an event of every kind ever written opens, folds and undoes to the same documents as always.

`every_kind.log` and the digests beside it were written by the first release of the program; neither is ever
made anew. What the fold works out in addition since (how pieces are shared among their places) is
left out of the comparison.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State

HERE = Path(__file__).parent
LINES = (HERE / "every_kind.log").read_bytes().splitlines(keepends=True)
DIGESTS: list[list[Any]] = json.loads((HERE / "every_kind.json").read_text())


WORKED_OUT = {"shares"}


def digest(state: State) -> str:
    """Return a short digest of all documents, without what is worked out on top of them."""
    tables = {
        name: {key: {f: v for f, v in doc.items() if f not in WORKED_OUT} for key, doc in docs.items()}
        for name, docs in state.tables.items()
        if docs
    }
    return hashlib.sha256(json.dumps(tables, sort_keys=True, default=list).encode()).hexdigest()[:16]


@pytest.mark.parametrize("number", range(1, len(LINES) + 1))
def test_each_event_folds_and_undoes_as_it_always_did(tmp_path: Path, number: int) -> None:
    home = tmp_path / "shop.ledger"
    home.mkdir()
    (home / "journal.log").write_bytes(b"".join(LINES[:number]))
    seq, folded, undone = DIGESTS[number - 1]
    with Ledger.open(home, by="rebuilder", prefix="MS") as ledger:
        assert (ledger.state.seq, digest(ledger.state)) == (seq, folded)
        if undone == "Refused":
            with pytest.raises(Refused):
                ledger.undo()
        else:
            ledger.undo()
            assert digest(ledger.state) == undone
