"""docs/tags.md says what the layouts are, and its example can be used as it stands."""

import re
from pathlib import Path

import pytest

from shopbins.tags.design import design
from shopbins.tags.draw import render
from shopbins.tags.labels import Label
from shopbins.tags.layoutfile import read_layouts
from shopbins.tags.layouts import layouts
from shopbins.tags.signs import SIGNS

LABEL = Label("ZRW0002H", "head")
PAGE = (Path(__file__).parents[2] / "docs" / "tags.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "example", re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL), ids=["sheet", "folded"]
)
def test_the_example_layouts_print(tmp_path, example):
    file = tmp_path / "my.yaml"
    file.write_text(example)
    (sheet,) = read_layouts(file).values()
    assert sheet.name not in layouts()
    done = render([Label("ZRW0042X", "Cylinder head 2")] * sheet.per_page, sheet, tmp_path / "t.pdf")
    assert done.pages == 1 and done.problems == ()


def test_the_table_lists_every_layout_with_its_labels_and_how_far_its_code_is_read():
    rows = re.findall(r"^\| `([a-z0-9-]+)` \| ([a-z -]+) \| (\d+) \|.*\| ([0-9.]+) m \|", PAGE, re.MULTILINE)
    assert {name: (form, int(count), far) for name, form, count, far in rows} == {
        name: (sheet.form, sheet.per_page, f"{design(LABEL, sheet).read_at_mm / 1000:.1f}")
        for name, sheet in layouts().items()
    }


def test_the_table_of_signs_is_the_signs():
    rows = re.findall(r"^\| ([a-z ]+) \| ([A-Z0-9 ]*) ?\| (.*) \|$", PAGE, re.MULTILINE)
    told = {name: (number.strip(), words) for name, number, words in rows}
    assert told == {sign.name: (sign.number, ", ".join(sign.words) or "any other caution") for sign in SIGNS}
