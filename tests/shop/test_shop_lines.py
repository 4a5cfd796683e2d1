"""An editor opens the shop file where a thing is described."""

from pathlib import Path

import pytest

from shopbins.shop.lines import line_of

TEXT = """\
shop: Quay
rooms:
  hall: {at: [0, 0], size: [8000, 6000]}
zones:
  bench 1: {room: hall, at: [0, 0], size: [2000, 700]}

  # by the window
  rack a:
    room: hall
    levels:
      1: {height: 300}
      2: {height: 900}
doors:
  gate:
    between: [hall, outside]
"""


@pytest.mark.parametrize(
    ("key", "level", "words"),
    [
        ("hall", "", "  hall:"),
        ("bench 1", "", "  bench 1:"),
        ("bench 1", "7", "  bench 1:"),
        ("rack a", "", "  rack a:"),
        ("rack a", "2", "      2:"),
        ("gate", "", "  gate:"),
        ("gone", "", "shop: Quay"),
    ],
)
def test_the_line_begins_with_its_key(tmp_path: Path, key: str, level: str, words: str) -> None:
    path = tmp_path / "shop.yaml"
    path.write_text(TEXT)
    assert TEXT.splitlines()[line_of(path, key, level) - 1].startswith(words)


@pytest.mark.parametrize("content", [b"", b"- a\n- b\n", b"a: [", b"\xff\xfe\x00", b"rooms: 5\n"])
def test_a_file_that_cannot_be_read_opens_at_its_beginning(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "shop.yaml"
    path.write_bytes(content)
    assert line_of(path, "hall") == 1
    assert line_of(tmp_path / "none.yaml", "hall") == 1
