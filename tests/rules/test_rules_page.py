"""Every rule has its text, limit, source with its mark, and remedy, and stands in docs/rules.md."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from building import Pile, row, shop

from shopbins.rules.finding import Basis
from shopbins.rules.limits import ADVICE, TABLE
from shopbins.rules.page import page
from shopbins.rules.registry import RULES, rule
from shopbins.rules.rule import Rule

PAGE = Path(__file__).parents[2] / "docs" / "rules.md"


def test_the_page_is_made_from_the_rules() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run docs/make_pages.py"


@pytest.mark.parametrize("each", RULES, ids=lambda r: r.key)
def test_a_rule_says_everything(each: Rule) -> None:
    assert each.text.endswith(".") and each.title and each.limit and each.source and each.remedy
    assert each.mark in get_args(Basis)
    assert rule(each.key) is each
    words = f"{each.title} {each.text} {each.remedy}".lower().split()
    assert "safe" not in words and "safely" not in words, "say what was compared with what"


def test_keys_are_unique() -> None:
    assert len({each.key for each in RULES}) == len(RULES)
    with pytest.raises(KeyError):
        rule("no such rule")


def test_every_figure_is_of_a_rule_and_every_rule_with_a_kind_has_its_row() -> None:
    # A figure no rule reads would be told on the page and compared with nothing.
    assert {row.check for row in TABLE} <= {each.figures or each.key for each in RULES} | {"exit-width"}
    assert set(ADVICE) <= {row.check for row in TABLE}
    for each in ("lift", "team", "carry", "push"):  # what hands do is looked at when they do it
        seen = row(shop(rules="uk"), each)
        assert seen.state == "not applicable"
    pile = Pile()
    pile.add("box", pile.at(3000, 3000))
    assert {row(shop(rules="uk"), each, pile).state for each in ("lift", "team", "carry", "push")} == {
        "not judged"
    }
