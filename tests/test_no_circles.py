"""No file needs, by whatever detour and for types only too, a file that needs it."""

from __future__ import annotations

import ast
from pathlib import Path

import networkx as nx

HOME = Path(__file__).parents[1] / "shopbins"
FILES = {
    ".".join(("shopbins", *path.relative_to(HOME).with_suffix("").parts)).removesuffix(".__init__"): path
    for path in HOME.rglob("*.py")
}


def needed(path: Path) -> set[str]:
    """Return the modules of ours a file imports, anywhere in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("shopbins"):
            for name in node.names:
                whole = f"{node.module}.{name.name}"
                found.add(whole if whole in FILES else str(node.module))
        elif isinstance(node, ast.Import):
            found |= {each.name for each in node.names if each.name in FILES}
    return found


def test_no_file_needs_one_that_needs_it() -> None:
    graph = nx.DiGraph((module, each) for module, path in FILES.items() for each in needed(path))
    circles = [sorted(group) for group in nx.strongly_connected_components(graph) if len(group) > 1]
    assert graph.number_of_edges() > 1000
    assert circles == []
