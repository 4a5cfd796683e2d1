"""No file needs, by whatever detour and for types only too, a file that needs it."""

from __future__ import annotations

import re
from pathlib import Path

import networkx as nx

HOME = Path(__file__).parents[1] / "shopbins"
FILES = {
    ".".join(("shopbins", *path.relative_to(HOME).with_suffix("").parts)).removesuffix(".__init__"): path
    for path in HOME.rglob("*.py")
}


IMPORT = re.compile(
    r"^ *(?:from (shopbins[\w.]*) import (\([^)]*\)|.*)|import (shopbins[\w.]*))", re.MULTILINE
)


def needed(path: Path) -> set[str]:
    """Return the modules of ours a file imports, anywhere in it."""
    found = set()
    for module, names, whole in IMPORT.findall(path.read_text(encoding="utf-8")):
        for name in re.findall(r"(\w+)(?: as \w+)?", re.sub("#.*", "", names)):
            each = f"{module}.{name}"
            found.add(each if each in FILES else module)
        if whole in FILES:
            found.add(whole)
    return found


def test_no_file_needs_one_that_needs_it() -> None:
    graph = nx.DiGraph((module, each) for module, path in FILES.items() for each in needed(path))
    circles = [sorted(group) for group in nx.strongly_connected_components(graph) if len(group) > 1]
    assert graph.number_of_edges() > 1000
    assert circles == []
