"""A machine: whose it is, under which job, and what is noted of it."""

from __future__ import annotations

from typing import Any

from shopbins.ledger import values
from shopbins.ledger.events import Draft
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.records import kinds
from shopbins.records.record import Act, Field


def add(state: State, key: str, **fields: Any) -> Draft:
    """Record a machine: name, owner, job, note, tree of assemblies."""
    clean = clean_text(key, "a machine's key", 80)
    if not clean:
        raise BadValue("a machine needs a key")
    if clean in state.docs("machine"):
        raise Refused(f"there is a machine {clean} already")
    checked = values.checked_machine(fields)
    return Draft("add machine", {f"machine:{clean}": {k: v for k, v in checked.items() if v is not None}})


def change(state: State, key: str, **fields: Any) -> Draft:
    """Change a machine's name, owner, job, note or tree."""
    if key not in state.docs("machine"):
        raise Refused(f"there is no machine {key}")
    return Draft("change machine", {f"machine:{key}": values.checked_machine(fields)})


ADD = Act(
    "add machine", "recorded machine", add, "machine",
    (
        Field("name", kinds.TEXT, "what it is called", "--name", "NAME"),
        Field("owner", kinds.TEXT, "whose it is", "--owner", "NAME"),
        Field("job", kinds.TEXT, "the job number", "--job", "NUMBER"),
        Field("note", kinds.NOTE, "anything else worth knowing", "--note"),
    ),
)  # fmt: skip
SET = Act("change machine", "changed machine", change, "machine", ADD.fields)
