"""A splice touches what it is to touch and nothing else: the sample, and files nasty in every way we know."""

# ruff: noqa: E501

from __future__ import annotations

import random
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from shopbins.shop import ShopProblems
from shopbins.shop import parse as read
from shopbins.shop.editing.splice import (
    Drop,
    Edit,
    Put,
    Rename,
    SpliceRefused,
    edit,
    find,
    in_braces,
    parse,
    tail,
    word,
)
from shopbins.shop.nodes import Listing, Node, Scalar, Table

from .nasty import FILES as NASTY

SAMPLE = (Path(__file__).parents[3] / "sample_shop.yaml").read_text(encoding="utf-8")
FILES = {**NASTY, "sample": SAMPLE}
Way = tuple[str | int, ...]


def walk(node: Node, path: Way = ()) -> Iterator[tuple[Way, Node]]:
    yield path, node
    if isinstance(node, Table):
        for key, (_, value) in node.pairs.items():
            yield from walk(value, (*path, key))
    elif isinstance(node, Listing):
        for n, value in enumerate(node.items):
            yield from walk(value, (*path, n))


def some(name: str) -> list[tuple[Way, Node]]:
    """A fifth of the sample, all of the others, without the root."""
    return [(path, node) for path, node in walk(parse(FILES[name])) if path][:: 23 if name == "sample" else 1]


def remarks(text: str) -> list[str]:
    return [each for each in re.findall(r"(?:^|(?<=\s))#[^\r\n]*", text) if '"' not in each]


def outside(old: str, new: str) -> tuple[str, str]:
    """What was taken out and what came, each as one piece."""
    head = 0
    while head < min(len(old), len(new)) and old[head] == new[head]:
        head += 1
    foot = 0
    while foot < min(len(old), len(new)) - head and old[-1 - foot] == new[-1 - foot]:
        foot += 1
    return old[head : len(old) - foot], new[head : len(new) - foot]


def by_pyyaml(text: str) -> object:
    """What another reading of the file gives, every word as text."""
    return yaml.load(text.removeprefix("\ufeff"), Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))


@pytest.mark.parametrize("name", NASTY)
def test_the_nasty_files_are_shops(name: str) -> None:
    read(FILES[name])


@pytest.mark.parametrize("name", FILES)
def test_nothing_edited_is_the_same_text(name: str) -> None:
    assert edit(FILES[name], []) == FILES[name]


@pytest.mark.parametrize("name", FILES)
def test_every_word_can_be_replaced_and_put_back(name: str) -> None:
    text, count = FILES[name], 0
    plain = text.removeprefix("\ufeff")
    for path, node in some(name):
        if not isinstance(node, Scalar):
            continue
        new = edit(text, [Put(path, "[77, 88]")])
        written = plain[node.start : node.end]
        gone, _ = outside(text, new)
        assert "#" not in gone or "#" in written
        if (
            written.startswith(("|", ">", "&"))
            or "," in node.text
            or ": " in node.text
            or node.end == node.start
        ):
            continue
        assert edit(new, [Put(path, written.strip())]) == text
        count += 1
    assert count


@pytest.mark.parametrize("name", FILES)
def test_every_pair_can_be_dropped_and_no_remark_elsewhere_goes(name: str) -> None:
    text, done = FILES[name], 0
    plain = text.removeprefix("\ufeff")
    for path, node in some(name):
        if not isinstance(path[-1], str):
            continue
        try:
            new = edit(text, [Drop(path)])
        except SpliceRefused:
            continue
        done += 1
        kept = remarks(new)
        table = find(parse(text), path[:-1])[0]
        assert isinstance(table, Table)
        begin = table.pairs[path[-1]][0].start
        stop = re.compile(r"[\r\n]|$").search(plain, tail(node))
        assert stop is not None
        inner = plain[begin : stop.start()]
        assert all(remark in kept or remark.strip() in inner for remark in remarks(text)), path
        want = by_pyyaml(text)
        at = want
        for step in path[:-1]:
            at = at[step]  # type: ignore[index]
        del at[path[-1]]  # type: ignore[attr-defined]
        assert by_pyyaml(new) == want
    assert done


@pytest.mark.parametrize("name", FILES)
def test_something_can_be_added_to_every_table_and_taken_out_again(name: str) -> None:
    text, done = FILES[name], 0
    for path, node in [((), parse(text)), *some(name)]:
        if not isinstance(node, Table):
            continue
        for key, value in (("new one", "{a: 1, b: [2, 3]}"), ("no", '"x, y"')):
            try:
                new = edit(text, [Put((*path, key), value)])
            except SpliceRefused:
                continue
            done += 1
            gone, _ = outside(text, new)
            assert gone.strip() in ("", "{}", "{", "{ }")
            assert remarks(text) == remarks(new)
            again = edit(new, [Drop((*path, key))])
            assert by_pyyaml(again) == by_pyyaml(text)
    assert done


@pytest.mark.parametrize("name", FILES)
def test_every_key_can_be_renamed(name: str) -> None:
    text = FILES[name]
    for path, _ in some(name):
        if isinstance(path[-1], str):
            new = edit(text, [Rename(path, word("a, b"))])
            assert remarks(text) == remarks(new)
            assert edit(new, [Rename((*path[:-1], "a, b"), _written_key(text, path))]) == text


def _written_key(text: str, path: Way) -> str:
    table = find(parse(text), path[:-1])[0]
    assert isinstance(table, Table)
    key = table.pairs[str(path[-1])][0]
    return text.removeprefix("\ufeff")[key.start : key.end]


@pytest.mark.parametrize("name", FILES)
def test_a_new_section(name: str) -> None:
    new = edit(FILES[name], [Put(("keep clear", "board"), "{a: 1}")])
    assert outside(FILES[name], new)[0].strip() == ""


def test_random_chains_of_edits_are_right_or_refused() -> None:
    chance = random.Random(1)
    values = ["900 mm", "[1, 2]", "{x: 1}", '"a # b"', "'it''s'", "2400 +- 10 mm", "é 🙂"]
    done = refused = 0
    for number in range(250):
        text = FILES[chance.choice(list(NASTY))]
        for _ in range(5):
            nodes = [(path, node) for path, node in walk(parse(text)) if path]
            if not nodes:
                break
            path, node = chance.choice(nodes)
            value = chance.choice(values)
            ways: list[Edit] = [Put(path, value)]
            if isinstance(path[-1], str):
                ways += [Drop(path), Rename(path, word(f"k{number}, x"))]
            if isinstance(node, Table):
                ways.append(Put((*path, f"n{number}"), value))
            try:
                text = edit(text, [chance.choice(ways)])
            except SpliceRefused:
                refused += 1
                continue
            done += 1
    assert refused < done * 0.03


def test_many_edits_are_one_step_or_none() -> None:
    text = "shop: A\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\nzones:\n  b: {room: hall, at: [1, 1]}   # bee\n"
    step = [
        Rename(("rooms", "hall"), "big"),
        Put(("zones", "b", "room"), "big"),
        Put(("rooms", "hall", "was"), "[hall]"),
    ]
    assert edit(text, step) == text.replace(
        "hall: {at: [0, 0], size: [9000, 6000]}", "big: {at: [0, 0], size: [9000, 6000], was: [hall]}"
    ).replace("room: hall", "room: big")
    with pytest.raises(SpliceRefused, match="two changes of one place"):
        edit(text, [Put(("zones", "b"), "{}"), Put(("zones", "b", "at"), "[2, 2]")])


@pytest.mark.parametrize(
    "there", ["", "zones: {}\n", "zones:\n", "zones:\n  z: {a: 1}\n", "zones: {z: {a: 1}}\n"]
)
def test_several_new_things_in_one_section(there: str) -> None:
    text = f"shop: A\n{there}"
    new = edit(text, [Put(("zones", name), f"{{a: {n}}}") for n, name in enumerate("bcd")])
    old = by_pyyaml(text).get("zones") or {}  # type: ignore[attr-defined]
    want = {"shop": "A", "zones": {**old, "b": {"a": "0"}, "c": {"a": "1"}, "d": {"a": "2"}}}
    assert by_pyyaml(new) == want
    deep = edit(text, [Put(("zones", "b", "levels", "1"), "{}"), Put(("zones", "b", "levels", "2"), "{}")])
    assert by_pyyaml(deep)["zones"]["b"] == {"levels": {"1": {}, "2": {}}}  # type: ignore[index]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("shop: A\nrooms: &r {hall: {at: [0, 0]}}\nzones: *r\n", 3),
        ("shop: A\nrooms:\n  hall: {}\n  hall: {}\n", 4),
        ("shop: !name A\n", 1),
        ("shop: A\nrooms:\n\thall: {}\n", 3),
        ("shop: A\u200b\n", 1),
        ("", 0),
        ("shop: [\n", 2),
    ],
)
def test_what_has_a_problem_of_form_is_refused_with_its_line(text: str, line: int) -> None:
    with pytest.raises(SpliceRefused) as refused:
        edit(text, [Put(("shop",), "B")])
    assert refused.value.line == line


def test_a_long_thing_is_laid_out_like_the_sample() -> None:
    text = "shop: A\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\nzones:\n  b: {room: hall}\n"
    levels = in_braces({str(n): f"{{height: {n * 300}, headroom: 280, load: 150 kg}}" for n in range(1, 5)})
    shelf = in_braces(
        {"room": "hall", "kind": "shelf", "at": "[0, 0]", "size": "[1800, 500]", "levels": levels}
    )
    assert edit(text, [Put(("zones", "rack a"), shelf)]) == text + (
        "  rack a:\n    room: hall\n    kind: shelf\n    at: [0, 0]\n    size: [1800, 500]\n    levels:\n"
        "      1: {height: 300, headroom: 280, load: 150 kg}\n      2: {height: 600, headroom: 280, load: 150 kg}\n"
        "      3: {height: 900, headroom: 280, load: 150 kg}\n      4: {height: 1200, headroom: 280, load: 150 kg}\n"
    )


HARD = (
    *(
        "no",
        "yes",
        "on",
        "off",
        "null",
        "~",
        "12:30",
        "010",
        "1e3",
        "0x1f",
        "1_000",
        "2024-01-01",
        ".inf",
        "true",
    ),
    *(
        "- a",
        "a: b",
        "a #b",
        "#a",
        "a:",
        "'",
        '"',
        "\\",
        "a, b",
        "{a}",
        "[a",
        "=",
        "<<",
        "?",
        "? a",
        "!x",
        "&a",
    ),
    *(
        "*a",
        "@a",
        "`a",
        "%a",
        "|",
        ">",
        "-",
        "--",
        "---",
        "...",
        "1 in 25",
        "4 ft 6 in",
        "2400 +- 10 mm",
        "y",
        "n",
    ),
    *(
        "Y",
        "1.",
        "0",
        "007",
        "1:2",
        "a\\b",
        "é",
        "🙂",
        "=a",
        "null x",
        "no x",
        "x,y",
        "0b11",
        "+1",
        "-1",
        "1.5e",
        "e1",
    ),
)


def test_a_word_comes_back_as_the_text_it_was_made_of() -> None:
    chance = random.Random(3)
    signs = "ab 0123456789.,:;-+_#&*!|>'\"%@`{}[]?=~<^\\()eExXoOnyYNé🙂ß"
    words = {
        *HARD,
        *("".join(chance.choice(signs) for _ in range(chance.randint(1, 8))).strip() for _ in range(600)),
    }
    for each in words:
        if not each or "/" in each or each.isdigit():
            continue
        written = word(each)
        for text in (
            f"shop: A\nrooms: {{{written}: {{at: [0, 0], size: [900, 900], name: {written}}}}}\n",
            f"shop: A\nrooms:\n  {written}:\n    at: [0, 0]\n    size: [900, 900]\n    name: {written}\n",
        ):
            try:
                room = next(iter(read(text).rooms.values()))
            except ShopProblems as problems:
                raise AssertionError((each, written)) from problems
            assert (room.key, room.name) == (each, each)


def test_a_thousand_zones_do_not_take_much_longer_than_reading_them() -> None:
    """The promise is 0.3 s on a quiet machine (tests/bench/bench_draw.py); here only its order."""
    zones = "".join(
        f"  z{n}: {{room: hall, kind: floor, at: [{n % 100 * 80}, {n // 100 * 500}], size: [70, 400]}}\n"
        for n in range(1000)
    )
    text = f"shop: A\nrooms:\n  hall: {{at: [0, 0], size: [9000, 6000]}}\nzones:\n{zones}"
    begun = time.perf_counter()
    parse(text)
    once = time.perf_counter() - begun
    begun = time.perf_counter()
    edit(text, [Put(("zones", "z500", "at", 0), "77")])
    assert time.perf_counter() - begun < 12 * once


def test_a_headroom_goes_where_it_was_measured_between_other_heights() -> None:
    from shopbins.shop.editing.heights import levelled, read_heights

    levels = (
        "{1: {height: 100, headroom: 480, load: 9 kg}, 2: {height: 700, headroom: 480}, 3: {height: 1300}}"
    )
    text = f"zones:\n  rack: {{room: hall, levels: {levels}}}  # ours\n"
    done = edit(text, levelled(text, "rack", read_heights("100; 700; 1200")))
    assert done == text.replace("{height: 700, headroom: 480}", "{height: 700}").replace("1300", "1200")
    fewer = edit(text, levelled(text, "rack", read_heights("0,9 m")))
    assert fewer == "zones:\n  rack: {room: hall, height: 0.9 m}  # ours\n"
