"""Where a photograph of a ledger is: in its photos folder, whatever a forged record may name."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

FOLDER = "photos"
MOST_BYTES = 100_000_000
"""Of one picture."""
_FORM = re.compile(r"([0-9a-f]{2})/(\1[0-9a-f]{62})\.[a-z]{3,4}")


def photo_file(ledger: str | os.PathLike[str], key: str, doc: Any) -> Path | None:
    """Return the file of a photograph by its key and document, None where it would not be in the folder."""
    name = doc.get("file") if hasattr(doc, "get") else None
    found = _FORM.fullmatch(name) if isinstance(name, str) else None
    if found is None or found[2] != key:
        return None
    home = Path(ledger) / FOLDER
    path = home / found[0]
    return path if path.resolve() == Path(ledger).resolve() / FOLDER / found[0] else None
