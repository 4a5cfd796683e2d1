"""docs/shop-file.md says what the reader does: examples are read, shown problems compared, no key missed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from shopbins.shop import ShopProblems, keys, parse
from shopbins.shop.page import with_tables

PAGE = (Path(__file__).parents[2] / "docs" / "shop-file.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\S+)( \S+)?\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
EXAMPLES = [text for kind, mark, text in BLOCKS if kind == "yaml" and not mark]
WRONG = [
    (text, BLOCKS[i + 1][2])
    for i, (kind, mark, text) in enumerate(BLOCKS)
    if kind == "yaml" and mark == " wrong"
]
TWO_ROOMS = next(text for text in EXAMPLES if text.startswith("shop: Two rooms"))


@pytest.mark.parametrize("text", EXAMPLES, ids=[text.split("\n")[0] for text in EXAMPLES])
def test_every_example_is_a_good_shop_file(text: str) -> None:
    whole = text if text.startswith("shop:") else TWO_ROOMS + text
    shop = parse(whole)
    sections = re.findall(r"^(\w[\w ]*):\n  ", text, re.MULTILINE)
    for section in sections:
        read = getattr(shop, section.replace(" ", "_"))
        written = re.search(rf"^{section}:\n((?:  .*\n)+)", text, re.MULTILINE)
        assert written
        assert len(read) == len(re.findall(r"^  \S", written.group(1), re.MULTILINE))


@pytest.mark.parametrize(("text", "said"), WRONG)
def test_the_problems_shown_are_those_found(text: str, said: str) -> None:
    with pytest.raises(ShopProblems) as caught:
        parse(text, "shop.yaml")
    assert str(caught.value) == said.rstrip("\n")


def test_the_tables_are_those_of_the_keys() -> None:
    assert with_tables(PAGE) == PAGE, "run docs/make_pages.py"
    marked = set(re.findall(r"<!-- made from shop/keys\.py: (\w+) -->", PAGE))
    tables = {
        name for name, value in vars(keys).items() if name.isupper() and value and isinstance(value, tuple)
    }
    inside = {"FOOTPRINT", "COVER"}
    assert {t for t in tables if isinstance(getattr(keys, t)[0], keys.Key)} - inside == marked


def test_what_is_written_in_the_table_of_quantities_is_read() -> None:
    for row in re.findall(r"^\| (?:length|mass, load of a shelf) \| (.*?) \|", PAGE, re.MULTILINE):
        key = "headroom" if "mm" in row else "load"
        for written in re.findall(r"`([^`]+)`", row):
            zone = f"zones: {{z: {{room: hall, kind: floor, at: [0, 0], size: [9, 9], {key}: {written}}}}}\n"
            assert parse(TWO_ROOMS + zone).zones
