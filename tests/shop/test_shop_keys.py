"""One table of keys: every example is read; the schema made of it says of forms what the reader says."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from shopbins.shop import ShopProblems, parse
from shopbins.shop.keys import (
    DOOR,
    FIXTURE,
    GEAR,
    KEEP_CLEAR,
    LIMITS,
    RELEASE,
    ROOM,
    WALKWAY,
    ZONE,
    Key,
    Keys,
)
from shopbins.shop.schema import schema

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "shop-file.md").read_text(encoding="utf-8")
HALL = "shop: A\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\n"
ALWAYS = {
    "rooms": "at: [20000, 0], size: [5000, 5000]",
    "doors": "room: hall, to: outside, jambs: [[0, 1000], [0, 1900]], opens: sliding",
    "walkways": "line: [[500, 500], [5000, 500]], width: 800",
    "keep clear": "room: hall, at: [2000, 2000], size: [900, 900], why: valve",
    "zones": "room: hall, kind: shelf, at: [2000, 2000], size: [900, 900], height: 10",
    "fixtures": "room: hall, at: [2000, 2000], size: [900, 900]",
}
OF: dict[str, Keys] = {
    "rooms": ROOM,
    "doors": DOOR,
    "walkways": WALKWAY,
    "keep clear": KEEP_CLEAR,
    "zones": ZONE,
    "fixtures": FIXTURE,
}
NOT_ALONE = {"outline", "opens", "hand", "swings into", "opens to", "hang", "levels", "clear", "volts"}


@pytest.mark.parametrize(
    ("section", "key"),
    [(section, key) for section, keys in OF.items() for key in keys if key.name not in NOT_ALONE],
    ids=lambda value: value.name if isinstance(value, Key) else value,
)
def test_every_example_is_taken(section: str, key: Key) -> None:
    others = re.sub(rf"(^|, ){key.name}: (\[\[.*?\]\]|\[.*?\]|[^,]*)", "", ALWAYS[section]).removeprefix(", ")
    head = HALL if section != "rooms" else "shop: A\n"
    parse(f"{head}{section}:\n  x: {{{others}, {key.name}: {key.example}}}\n")


@pytest.mark.parametrize("key", LIMITS, ids=lambda key: key.name)
def test_every_example_of_a_limit_is_taken(key: Key) -> None:
    parse(f"{HALL}limits: {{{key.name}: {key.example}}}\n")


@pytest.mark.parametrize("key", RELEASE, ids=lambda key: key.name)
def test_what_is_asked_of_parts_is_only_what_the_file_says(key: Key) -> None:
    assert not parse(HALL).asked.anything
    assert parse(f"{HALL}release: {{{key.name}: {key.example}}}\n").asked.anything


@pytest.mark.parametrize("key", [key for key in GEAR if key.of], ids=lambda key: key.name)
def test_every_example_of_gear_is_taken_by_its_kinds_only(key: Key) -> None:
    for kind in GEAR[1].words:
        text = f"{HALL}gear:\n  g: {{kind: {kind}, {key.name}: {key.example}}}\n"
        if kind in key.of:
            parse(text)
        else:
            with pytest.raises(ShopProblems, match="says nothing of a gear of kind"):
                parse(text)


# -- the schema: by the jsonschema library, on what PyYAML makes of the file, as an editor does


def _texts(data: Any) -> Any:
    """JSON knows texts only as keys."""
    if isinstance(data, dict):
        return {str(key): _texts(value) for key, value in data.items()}
    return [_texts(each) for each in data] if isinstance(data, list) else data


def wrong(text: str) -> list[str]:
    judge = jsonschema.Draft7Validator(schema())
    found = judge.iter_errors(_texts(yaml.safe_load(text)))
    return sorted("/".join(map(str, each.absolute_path)) for each in found)


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft7Validator.check_schema(schema())


def test_it_finds_nothing_in_good_files() -> None:
    examples = re.findall(r"^```yaml\n(.*?)^```$", PAGE, re.MULTILINE | re.DOTALL)
    two_rooms = next(each for each in examples if each.startswith("shop: Two rooms"))
    for text in [*examples, (ROOT / "sample_shop.yaml").read_text(encoding="utf-8")]:
        assert wrong(text if text.startswith("shop:") else two_rooms + text) == []


@pytest.mark.parametrize(
    ("line", "where"),
    [
        ("measured: 5 kg", "measured"),
        ("limits: {walkwy: 700}", "limits"),
        ("limits: {fill: 85}", "limits/fill"),
        ("zones: {b: {room: hall, kind: bench, at: [0, 0], size: [9, 9], hieght: 9}}", "zones/b"),
        ("zones: {b: {room: hall, kind: desk, at: [0, 0], size: [9, 9]}}", "zones/b/kind"),
        ("zones: {b: {room: hall, kind: floor, at: [0], size: [9, 9]}}", "zones/b/at"),
        ("zones: {b: {room: hall, kind: floor, size: [9, 9]}}", "zones/b"),
        ("fixtures: {b: {room: hall, at: [0, 0], size: [9, 9], mass: 4 ft}}", "fixtures/b/mass"),
        (
            "keep clear: {b: {room: hall, at: [0, 0], size: [9, 9], why: x, height: '2,4 m'}}",
            "keep clear/b/height",
        ),
    ],
)
def test_it_finds_what_an_editor_can_see(line: str, where: str) -> None:
    assert wrong(f"{HALL}{line}\n") == [where]
    with pytest.raises(ShopProblems):
        parse(f"{HALL}{line}\n")


def test_the_command_prints_it() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "shopbins", "check", "--schema"], capture_output=True, check=True
    )
    assert json.loads(done.stdout) == schema()


# -- sizes that nobody builds (our own figures)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "shop: A\nrooms:\n  hall: {at: [0, 0], size: [6, 4]}\n",
            "room 'hall' is 6 x 4 mm (did you mean 4 m?",
        ),
        ("shop: A\nrooms:\n  hall: {at: [0, 0], size: [499, 4000]}\n", "room 'hall' is 499 x 4000 mm"),
        ("shop: A\nrooms:\n  hall: {at: [0, 0], size: [200.1 m, 4 m]}\n", "a number without a unit is in mm"),
        (
            f"{HALL}doors: {{d: {{room: hall, to: outside, jambs: [[0, 0], [0, 90]], opens: open}}}}\n",
            "mean 90 cm?",
        ),
        (
            f"{HALL}doors: {{d: {{room: hall, to: outside, jambs: [[0, 0], [0, 399]], opens: open}}}}\n",
            "399 mm apart",
        ),
    ],
)
def test_a_size_nobody_builds_is_asked_about(text: str, said: str) -> None:
    with pytest.raises(ShopProblems) as caught:
        parse(text)
    assert said in str(caught.value)


def test_what_is_just_large_enough_is_taken() -> None:
    parse("shop: A\nrooms:\n  hall: {at: [0, 0], size: [500, 200 m]}\n")
    parse(f"{HALL}doors: {{d: {{room: hall, to: outside, jambs: [[0, 0], [0, 400]], opens: open}}}}\n")
