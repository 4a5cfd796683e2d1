"""docs/tags.md says what the layouts are, and its example can be used as it stands."""

import re
from pathlib import Path

from shopbins.tags.draw import render
from shopbins.tags.labels import Label
from shopbins.tags.layoutfile import read_layouts
from shopbins.tags.layouts import layouts

PAGE = (Path(__file__).parents[2] / "docs" / "tags.md").read_text(encoding="utf-8")


def test_the_example_layout_prints(tmp_path):
    example = re.search(r"```yaml\n(.*?)```", PAGE, re.DOTALL)
    assert example is not None
    file = tmp_path / "my.yaml"
    file.write_text(example[1])
    (sheet,) = read_layouts(file).values()
    assert sheet.name not in layouts()
    done = render([Label("ZRW0042X", "Cylinder head 2")] * sheet.per_page, sheet, tmp_path / "t.pdf")
    assert done.pages == 1 and done.problems == ()


def test_the_table_lists_every_layout_with_its_labels():
    rows = dict(re.findall(r"^\| `([a-z0-9-]+)` \| (\d+)", PAGE, re.MULTILINE))
    assert {name: int(count) for name, count in rows.items()} == {
        name: sheet.per_page for name, sheet in layouts().items()
    }
