"""The codes in the pages are real ones: their check character holds."""

import re
from pathlib import Path

import pytest

from shopbins.ledger.codes import parse_code

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("page", ["tags.md", "guide.md"])
def test_every_code_in_the_docs_is_a_code(page):
    for code in re.findall(r"\bZ[A-Z]{1,3}\d{4}[0-9A-Z]\b", (DOCS / page).read_text(encoding="utf-8")):
        assert parse_code(code)
