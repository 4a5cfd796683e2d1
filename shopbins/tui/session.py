"""Where one was when the program was last left: kept for each shop in the user's state folder.

Never beside the shop: the folder may be shared, and where one looked is nobody else's business. A file that
is not there, cannot be read or is of another form is no problem: one then begins on the Plan.
"""

from __future__ import annotations

import contextlib
import json
import os
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

MOST_KEPT = 50
MOST_BYTES = 20_000
FORM = 1


def session_path(shop: Path, environ: Mapping[str, str] = os.environ) -> Path:
    """Return where the session on a shop is kept; $SHOPBINS_STATE names another folder."""
    name = f"{shop.stem[:40]}-{zlib.crc32(os.fsencode(shop.absolute())):08x}"
    if given := environ.get("SHOPBINS_STATE"):
        return Path(given) / f"{name}.json"
    from platformdirs import user_state_path

    return user_state_path("shopbins") / "sessions" / f"{name}.json"


def read_session(path: Path) -> dict[str, Any]:
    """Return what was kept, {} if nothing."""
    try:
        with path.open("rb") as file:
            doc = json.loads(file.read(MOST_BYTES + 1))
    except (OSError, ValueError, RecursionError):
        return {}
    return doc if isinstance(doc, dict) and doc.get("form") == FORM else {}


def keep_session(path: Path, session: Mapping[str, Any]) -> None:
    """Keep a session, whole or not at all; a folder that takes nothing is left in peace."""
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(json.dumps({"form": FORM, **session}), encoding="utf-8")
        beside.replace(path)
        _drop_oldest(path.parent)


def _drop_oldest(folder: Path) -> None:
    kept = sorted(folder.glob("*.json"), key=lambda each: each.stat().st_mtime, reverse=True)
    for old in kept[MOST_KEPT:]:
        old.unlink()


def numbers(value: Any, count: int) -> tuple[float, ...] | None:
    """Return a kept list of that many finite numbers, None where it is anything else."""
    if not isinstance(value, list) or len(value) != count:
        return None
    if not all(isinstance(each, int | float) and abs(each) < 1e9 for each in value):
        return None
    return tuple(map(float, value))
