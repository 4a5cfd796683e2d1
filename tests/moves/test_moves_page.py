"""docs/moves.md names every check of a move; every check has its source, mark and remedy."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from shopbins.moves.criteria import CRITERIA
from shopbins.moves.finding import Check, checked_against
from shopbins.moves.page import with_tables
from shopbins.rules.finding import Basis
from shopbins.rules.registry import RULES
from shopbins.shop.figures import FIGURES

CHECKS = tuple(dict.fromkeys(check for c in CRITERIA for check in c.checks))
PAGE = (Path(__file__).parents[2] / "docs" / "moves.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.key)
def test_a_check_says_everything(check: Check) -> None:
    assert f"`{check.key}`" in PAGE
    assert check.title and check.source and check.remedy
    assert check.mark in get_args(Basis)
    assert "safe" not in f"{check.title} {check.source} {check.remedy}".lower()


def test_the_tables_are_those_of_the_criteria_and_figures() -> None:
    assert with_tables(PAGE) == PAGE, "run docs/make_pages.py"


def test_keys_are_unique_and_no_rule_of_the_audit_has_one() -> None:
    keys = [check.key for check in CHECKS]
    assert len(set(keys)) == len(keys)
    assert not set(keys) & {rule.key for rule in RULES}


def test_every_check_there_is_is_in_the_list() -> None:
    folder = Path(__file__).parents[2] / "shopbins" / "moves"
    text = "".join(path.read_text(encoding="utf-8") for path in folder.glob("*.py"))
    made = set(re.findall(r"^[A-Z_]+ = Check\(\s*(?:key=)?\"([^\"]+)\"", text, re.M))
    assert made == {check.key for check in CHECKS}, "add it to shopbins/moves/criteria.py and docs/moves.md"


def test_every_criterion_says_what_it_needs_and_what_it_does() -> None:
    assert all(c.needs and c.checks and c.judge.__doc__ for c in CRITERIA)


@pytest.mark.parametrize("name", FIGURES)
def test_every_figure_of_our_own_is_on_the_page_with_its_value(name: str) -> None:
    figure = FIGURES[name]
    assert f"| `{name}` | {figure.value:g} {figure.unit}".rstrip() in PAGE, (
        "python docs/make_pages.py writes it"
    )


def test_who_decides_is_always_said() -> None:
    assert checked_against(["a", "", "a", "b"]) == (
        "checked against a; b; local rules and a competent rigger decide"
    )
    assert "too little is known" in checked_against([])
