"""The layouts there are, by name: ours in layouts.yaml, and a user's own before them.

A user's own are files in a folder `layouts` beside the shop file or beside the user's settings (settings.py).
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path

from shopbins.tags import TagError
from shopbins.tags.layout import Layout
from shopbins.tags.layoutfile import read_layouts

DEFAULT = "a4-3x7"
OURS = Path(__file__).with_name("layouts.yaml")


@lru_cache(maxsize=1)
def layouts() -> Mapping[str, Layout]:
    """Return the layouts that come with the program, by name."""
    return read_layouts(OURS.resolve())


def own_layouts(folders: Iterable[Path]) -> tuple[dict[str, Layout], list[str]]:
    """Return the layouts in a user's folders by name, the first folder's before the others', and problems."""
    found: dict[str, Layout] = {}
    problems: list[str] = []
    for folder in folders:
        try:
            files = sorted(each for each in folder.iterdir() if each.suffix in (".yaml", ".yml"))
        except (FileNotFoundError, NotADirectoryError):
            continue
        except OSError as error:
            problems.append(f"{folder}: cannot be read: {error.strerror or error}")
            continue
        for file in files:
            try:
                for name, each in read_layouts(file).items():
                    found.setdefault(name, each)
            except TagError as error:
                problems.extend(error.problems)
    return found, problems


def layout(name: str, known: Mapping[str, Layout] | None = None) -> Layout:
    """Return the layout called `name`, or raise TagError naming the likely one meant."""
    known = layouts() if known is None else known
    if name in known:
        return known[name]
    near = difflib.get_close_matches(name, known, n=1)
    hint = f"did you mean {near[0]}?" if near else "there are " + ", ".join(known)
    raise TagError(f"no sheet called {name!r} ({hint})")
