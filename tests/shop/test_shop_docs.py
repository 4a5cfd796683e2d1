"""docs/shop-file.md says what the reader does: examples are read, shown problems compared, no key missed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from shopbins.shop import ShopProblems, doors, fixtures, gear, head, openings, parse, rooms, ways, zones

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


@pytest.mark.parametrize(
    ("title", "keys"),
    [
        ("The top of the file", (*head.KEYS, *head.LIMIT_KEYS, *head.MACHINE_KEYS)),
        ("Rooms", (*rooms.KEYS, *rooms.SLOPE_KEYS)),
        ("Doors", (*doors.KEYS, *doors.OPENS)),
        ("Walkways", ways.WALKWAY_KEYS),
        ("Keep clear", (*ways.KEEP_CLEAR_KEYS, *ways.MOUNTED_KEYS, *ways.EQUIPMENT_KEYS)),
        ("Zones", (*zones.KEYS, *zones.LEVEL_KEYS, *zones.KINDS)),
        ("Fixtures", fixtures.KEYS),
        ("Openings", (*openings.KEYS, *openings.KINDS)),
        ("Walls", (*openings.WALL_KEYS, *openings.WALL_OF)),
        ("Gear", (*gear.KEYS, *gear.KINDS, *gear.STEERING)),
    ],
)
def test_every_key_is_explained_and_no_other(title: str, keys: tuple[str, ...]) -> None:
    section = PAGE.split(f"\n## {title}\n")[1].split("\n## ")[0]
    for key in keys:
        assert f"`{key}`" in section, key
    for row in re.findall(r"^\| (`.*?) \|", section, re.MULTILINE):
        for key in re.findall(r"`([^`]+)`", row):
            assert key in keys, key


def test_what_is_written_in_the_table_of_quantities_is_read() -> None:
    for row in re.findall(r"^\| (?:length|mass, load of a shelf) \| (.*?) \|", PAGE, re.MULTILINE):
        key = "headroom" if "mm" in row else "load"
        for written in re.findall(r"`([^`]+)`", row):
            zone = f"zones: {{z: {{room: hall, kind: floor, at: [0, 0], size: [9, 9], {key}: {written}}}}}\n"
            assert parse(TWO_ROOMS + zone).zones
