"""No code decides by a sentence meant for people: whoever rewords it would change what the program does."""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1] / "shopbins"
SENTENCES = {"sentence", "text", "reason", "headline", "foot", "said", "told", "remedy"}
ASKED = {"startswith", "endswith", "find", "index", "count"}
NOT_FOR_PEOPLE = {
    "cli/command.py",  # translates argparse's own messages
    "tui/dialogs/pick.py",  # ranks the rows of a menu by what is typed
    "shop/scalars.py",  # a scalar's text as it stands in the shop file
}


def by_words(tree: ast.AST) -> list[int]:
    """Return the lines where a sentence is looked into."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) and any(isinstance(op, (ast.In, ast.NotIn)) for op in node.ops):
            asked: list[ast.expr] = list(node.comparators)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ASKED:
            asked = [node.func.value]
        else:
            continue
        if any(isinstance(each, ast.Attribute) and each.attr in SENTENCES for each in asked):
            found.append(node.lineno)
    return found


def test_no_code_looks_into_a_sentence() -> None:
    found = {
        str(path.relative_to(ROOT)): lines
        for path in sorted(ROOT.rglob("*.py"))
        if (lines := by_words(ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert not {name: lines for name, lines in found.items() if name not in NOT_FOR_PEOPLE}


def test_the_check_sees_what_it_is_for() -> None:
    wrong = ["'late' in row.sentence", "found.reason.startswith('start')", "'stop' not in part.text"]
    fine = ["'late' in row.looks", "each.text", "name.startswith('a')", "row.sentence.removeprefix('x')"]
    assert all(by_words(ast.parse(each)) for each in wrong)
    assert not any(by_words(ast.parse(each)) for each in fine)
