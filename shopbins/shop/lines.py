"""Where in a shop file a thing is described: for an editor to open it there."""

from __future__ import annotations

from pathlib import Path

from shopbins.shop.nodes import Node, Table, tree
from shopbins.shop.problems import Notes
from shopbins.shop.source import load


def line_of(path: Path, key: str, level: str = "") -> int:
    """Return the line where a room, door, zone or any other entry (or a level of it) is described.

    1 where it is not found or the file cannot be read: the editor then opens at its beginning.
    """
    notes = Notes(str(path))
    text = load(path, notes)
    root = tree(text, notes) if text is not None else None
    if not isinstance(root, Table):
        return 1
    for _, section in root.pairs.values():
        if isinstance(section, Table) and key in section.pairs:
            head, entry = section.pairs[key]
            return _level_line(entry, level) or head.line
    return 1


def _level_line(entry: Node, level: str) -> int:
    levels = entry.pairs.get("levels") if isinstance(entry, Table) else None
    if not level or levels is None or not isinstance(levels[1], Table) or level not in levels[1].pairs:
        return 0
    return levels[1].pairs[level][0].line
