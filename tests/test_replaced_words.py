"""One word for one thing: phrases that were replaced do not come back, in the program or in its pages."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

HOME = Path(__file__).parents[1]

REPLACED = {
    r"\blet stands?\b|\blets? it stand\b|\blets .{1,20} stand\b": "accepted, accept it",
    r"\b(all|everything is) laid down\b": "nothing waiting",
    r"\bunplaced\b": "waiting",
    r"\bto correct\b": "to fix",
    r"\bnot judged\b": "not checked",
    r"\bjudg(e|es|ing) the (whole )?shop\b": "checking the shop",
    r"\bwhat becomes of\b|\bsay what becomes\b": "what happens to it",
    r"\bis to be heeded\b": "warnings for whoever handles it",
    r"\bexplain where you are\b": "help for this screen",
    r"\bsaid to be recorded\b": "everything is saved",
    r"\bexact place\b": "exact spot",
    r"\b(lay|lays|laid|laying) (\w+ )?down\b|\bnot laid down\b": "put down",
    r"\bevening's end\b": "when you quit",
    r"\bmeasured by hand, it goes\b": "I measured it: it fits",
    r"\bthe shop file is not exact\b": "the shop file is wrong here",
    r"\bagreed with the others\b(?!\",)": "everyone here knows and agrees",
    r"\bto be moved first thing\b": "will be moved first thing tomorrow",
    r"\ba stop holds it\b": "fix or accept the stop first",
    r"\bput right: ": "Fix: ",
    r"\bby the checks made\b.*\bin the way\b|\bin the way by the checks\b": "no trouble found here",
    r"\bover no zone\b": "outside every place",
    r"\bis no longer there\b": "is gone",
    r"\ba little in it\b": "nearly empty",
    r"\bover full\b": "overfull",
    r"\bto be kept clear, by\b": "inside its keep-clear area",
    r"\bit is in it by\b": "it sticks 240 mm into it",
    r"\bis the (published )?least\b": "(700 mm needed)",
    r"\bbears \b": "carries",
    r"\bweigh what is not weighed\b": "weigh the unweighed parts",
    r"\bbeyond one person and any team\b": "too heavy to lift by hand, even for a team",
    r"\bnobody by hand\b": "do not lift it to this height by hand",
    r"\bfuller than wanted\b": "too full",
    r"\bwithout (origin|disposition)\b": "origin not known, undecided",
    r"\bwhat is no longer so\b": "labels are out of date",
    r"\blet through for now\b": "accepted for now",
    r"\bthe shop file has no longer\b": "the shop file no longer has",
    r"\besc leaves it\b|\benter takes it\b|\benter records it\b": "enter saves, esc cancels",
    r"\ball the same\b": "anyway",
    r"\bnothing is left to (come off|go back)\b": "nothing is in the way, everything is back on",
    r"\bits tag is printed\b": "its label is out of date",
    r"\bonly closed up\b": "closed up for now",
    r"\bto shift first\b": "move first",
    r"\bnothing is waited for\b": "ready to go back",
    r"\bnothing is lacking\b": "no shortages",
    r"\btyping errors are forgiven\b": "typos are fine",
    r"\bnobody knows where\b": "origin not known",
    r"\btook back\b|\bdone again: ": "undid, redone",
    r"\bnothing to jump to\b": "nothing recorded yet",
    r"\bworst of the measuring\b": "even if every size is 5 mm off",
    r"\bnoughts?\b": "zero",
    r"\bblank tags?\b": "blank label",
    r"\boff still\b": "still off",
    r"\btaken off and not put down:": "waiting:",
    r"\bkeys of before\b": "the old keys",
    r"\bfinal steps\b": "the last steps",
    r"\b(to be|it is) got at\b": "get at",
    r"\bto be watched when\b": "warnings for whoever handles it",
    r"\bsays what is so\b": "is up to date",
    r"\bis no matter here\b": "does not matter here",
    r"\bno such part any more\b|\bnot there any more\b": "is gone",
    r"\bu takes it back\b": "u undoes it",
    r"\bnone is marked\b": "nothing is marked",
    r"\bor A on the Refit\b": "F10 v on the Refit",
}
"""What is not said any more, as a pattern, and what is said instead."""

ANY_REPLACED = re.compile("|".join(f"(?:{pattern})" for pattern in REPLACED), re.IGNORECASE)

NAMES = re.compile(
    r"(unplaced|not judged|to correct|\w+\.unplaced|taken off and put down|decide what becomes of it)$"
)
"""Keys of JSON, rules and commands keep their names: a text that is one of these alone is no sentence."""


@cache
def texts() -> tuple[tuple[str, int, str], ...]:
    """Return the texts of the program, file by file: every string that is no docstring."""
    found = []
    for path in sorted((HOME / "shopbins").rglob("*.py")):
        where = str(path.relative_to(HOME))
        silent = set()
        for node in ast.walk(
            ast.parse(path.read_text(encoding="utf-8"))
        ):  # a docstring's line comes before it
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
                silent.add(node.value)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in silent:
                found.append((where, node.lineno, node.value))
    return tuple(each for each in found if not NAMES.match(each[2].strip()))


def pages() -> Iterator[tuple[str, int, str]]:
    """Go through the lines of the pages people read; code and names of rules in backticks are left out."""
    for path in (HOME / "README.md", *sorted((HOME / "docs").glob("*.md"))):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            yield str(path.relative_to(HOME)), number, re.sub(r"`[^`]*`|\b\w+\.unplaced\b", "", line)


@pytest.mark.parametrize("source", [texts, pages], ids=["program", "pages"])
def test_no_replaced_phrase_comes_back(source):
    found = [
        f"{where}:{line}: '{hit[0]}' (say: {instead})"
        for where, line, text in source()
        if ANY_REPLACED.search(text)
        for pattern, instead in REPLACED.items()
        if (hit := re.search(pattern, text, re.IGNORECASE))
    ]
    assert not found, f"{len(found)} old phrases:\n" + "\n".join(found)


INTERNAL = re.compile(r"\b(groups?|zones?|tags?|tagged|untagged|judge[ds]?|judging)\b", re.IGNORECASE)
KEPT = re.compile(
    r"shopbins tags( --zones)?|--untagged|another zone|stale tags|not judged|people licensed to judge"
    r"|tag it until|`[^`]*`|undefined tag|begins a tag|^zone '|' overlaps zone '"
    r"|parts a zone from its level|is the judge|^tag '|; tag $|^mark tagged$"
)
"""Commands, keys of the data and the YAML file's own words keep their names; a lock-out tag is one."""


@pytest.mark.parametrize(
    "package",
    ["desk", "lists", "moves", "placing", "plans", "records", "reports", "rules", "scene", "search", "shop",
     "strip", "tags", "tui"],
)  # fmt: skip
def test_what_people_read_has_no_word_of_the_programs_inside(package):
    """People read of parts, places and labels, and that something is checked."""
    found = [
        f"{where}:{line}: '{hit[0]}' in {text!r}"
        for where, line, text in texts()
        if where.startswith(f"shopbins/{package}/")
        and " " in text.strip()
        and not text.startswith("# Rules")
        and "{" not in text
        and "minutes; tag" not in text  # styles of a drawing; a lock-out tag of a move
        if (hit := INTERNAL.search(KEPT.sub("", text)))
    ]
    assert not found, "\n".join(found)
