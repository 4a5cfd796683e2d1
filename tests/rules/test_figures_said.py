"""A rule says its figures in words too: each number there stands in the table of limits, in some unit."""

from __future__ import annotations

import re

import pytest

from shopbins.rules import limits
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Rule

UNITS = (1.0, limits.FT, limits.INCH, limits.LB, limits.GAL, limits.CU_FT, 1000.0, 0.01, 60.0)
"""How many of the table's unit are one of what is said: feet of mm, metres of mm, percent of a share ..."""

OTHERS = {
    "walkway": {"500"}, "door-front": {"900", "500"},  # own figures, in the check's own file
    "electrical-height": {"6", "3", "13", "2007"},  # 6 ft 6 in and 6 ft 3 in; a date
    "liquids-open": {"1", "2", "3", "4"}, "liquids-cabinet": {"1", "3", "4"},  # categories of liquids
    "liquids-below": {"1", "2"}, "hot-work": {"1", "2"}, "apart": {"1", "2"},  # categories, rows of a table
    "part-old": {"2000"},  # a year
    "point-load": {"150"}, "overlap": {"0.001"}, "outside": {"0.001"}, "no-room": {"0.3"}, "full": {"85"},
    "team": {"2", "1"},  # two thirds, one half
    "ramp": {"1", "12"},  # one in twelve
}  # fmt: skip
"""Numbers that are no figure of the table: names, dates, and figures of the program's own."""


def numbers(text: str) -> set[str]:
    """The numbers of a text that are words of their own: not H-12, nor 1910.106-109."""
    return set(re.findall(r"(?<![\w.-])\d+(?:\.\d+)?(?![\w]*-\d)", text)) - {"0"}


def in_the_table(number: str, check: str) -> bool:
    said = float(number)
    kept = (value for row in limits.TABLE if row.check == check for value in (row.given, row.upto))
    return any(abs(value / unit - said) <= 0.006 * said for value in kept if value for unit in UNITS)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.key)
def test_each_number_a_rule_says_stands_in_the_table(rule: Rule) -> None:
    said = numbers(f"{rule.text} {rule.limit}") - OTHERS.get(rule.key, set())
    assert not {each for each in said if not in_the_table(each, rule.figures or rule.key)}


def test_another_figure_is_found_out() -> None:
    """A figure corrected in the table only, or in the words only, is one the other does not have."""
    assert in_the_table("35", "hot-work") and in_the_table("10.668", "hot-work")
    assert not in_the_table("36", "hot-work") and not in_the_table("10.5", "hot-work")


def test_what_is_excused_is_still_said() -> None:
    said = {rule.key: numbers(f"{rule.text} {rule.limit}") for rule in RULES}
    assert {key: each - said[key] for key, each in OTHERS.items() if each - said[key]} == {}
