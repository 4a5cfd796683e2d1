"""What an older ledger has without a reason: said once, when it is first opened, with what closes each."""

from __future__ import annotations

import contextlib
from pathlib import Path

from shopbins.ledger.files import read_plain, write_cache
from shopbins.ledger.state import State

TOLD = "differences-were-told"
"""The file in the ledger's folder that keeps of which it was said."""


def newly_unexplained(state: State, folder: Path) -> list[str]:
    """Return a line for each number or machine changed with no reason; none where that was said before."""
    keys = sorted(key for key, doc in state.docs("posting").items() if doc["kind"] == "difference")
    if not keys:
        return []
    from hashlib import sha256

    mark = sha256("\n".join(keys).encode()).hexdigest().encode()
    with contextlib.suppress(OSError):
        if read_plain(folder / TOLD, len(mark)) == mark:
            return []
    write_cache(str(folder / TOLD), mark)
    return ["the count is not clean where it was before: a number changed with no reason is told now"] + [
        f"   {_closed_by(state, key)}" for key in keys
    ]


def _closed_by(state: State, key: str) -> str:
    doc = state.docs("posting")[key]
    if not state.has_group(doc["group"]):
        return f"{abs(doc['n'])} of a part since gone: shopbins count names it"
    group = state.group(doc["group"])
    if "origin" in doc:
        told = f"came off {doc['origin'][0]}, now of {group.origin[0] if group.origin else 'none'}"
        command = f'give {group.code} "{" > ".join(group.origin)}"'
    elif group.counted == "never":
        told = "came off, and is recorded as no part"
        command = f'correct {group.code} --qty {group.qty} --as "never there"'
    else:
        told = f"{doc['was']} came off, {doc['now']} since"
        command = f"correct {group.code} --qty {group.qty} --as WORD"
    return f"{group.shown}: {told} (closed by: shopbins {command} --reason WHY)"
