"""Whatever is in the file, reading it gives a Shop or problems, each one readable line in file order."""

from __future__ import annotations

import copy
import random
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopbins.shop import Problem, ShopProblems, check, parse
from shopbins.shop.model import Shop
from shopbins.shop.nodes import MOST_NODES

SAMPLE = (Path(__file__).parents[2] / "sample_shop.yaml").read_text(encoding="utf-8")
TREE = yaml.safe_load(SAMPLE)
DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
WORDS = sorted(set(SAMPLE.replace(":", " ").replace(",", " ").split()))


def looked_at(text: str) -> Shop | tuple[Problem, ...]:
    """Parse a text; check that its problems are fit to be shown."""
    try:
        return parse(text, "f.yaml")
    except ShopProblems as error:
        assert error.problems
        lines = text.count("\n") + text.count("\r") + 1
        for each in error.problems:
            assert str(each).isprintable(), each
            assert 1 <= each.line <= lines, each
            assert each.column >= 1
            assert each.what
            assert len(str(each)) < 700, each
        places = [(each.line, each.column) for each in error.problems]
        assert places == sorted(places)
        return error.problems


def test_a_name_no_terminal_shows_is_listed_as_its_escape() -> None:
    rooms = "rooms: {\U0005257c: {at: [0, 0], size: [4000, 3000]}}"
    found = looked_at(f"shop: S\nprefix: S\n{rooms}\nzones: {{a: {{room: b, kind: floor}}}}\n")
    assert isinstance(found, tuple) and "\\U0005257c" in str(found[0]) + str(found[-1])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.one_of(st.binary(max_size=400), st.text(max_size=200).map(lambda t: t.encode("utf-8", "replace"))))
def test_random_bytes(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "shop.yaml"
    path.write_bytes(data)
    for each in check(path):
        assert "\n" not in str(each)


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet=st.sampled_from(list("ab01 \n\t:-,[]{}#&*!|>'\"%@`~?.é\u202e\x07")), max_size=80))
def test_random_yaml_signs(text: str) -> None:
    looked_at(text)


LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 10_000),
    st.floats(),
    st.sampled_from(
        [*WORDS, "3,4 m", "nan", "5 kN", "900 mm", "1 in 25", "slip hall", "outside", "", "\x1b[31m"]
    ),
    st.text(max_size=12),
)
TREES = st.recursive(
    LEAVES,
    lambda deeper: st.one_of(
        st.lists(deeper, max_size=4),
        st.dictionaries(
            st.one_of(st.sampled_from(WORDS), st.text(max_size=6), st.integers(0, 9)), deeper, max_size=5
        ),
    ),
    max_leaves=15,
)


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_the_sample_with_values_put_in_anywhere(data: st.DataObject) -> None:
    tree: Any = copy.deepcopy(TREE)
    for _ in range(data.draw(st.integers(1, 4))):
        holder: Any = tree
        while True:
            keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
            key = data.draw(st.sampled_from(keys)) if keys else None
            if key is None:
                break
            if isinstance(holder[key], dict | list) and holder[key] and data.draw(st.booleans()):
                holder = holder[key]
                continue
            if isinstance(holder, dict) and data.draw(st.booleans()):
                holder[data.draw(st.sampled_from(WORDS))] = data.draw(TREES)
            else:
                holder[key] = data.draw(TREES)
            break
    unicode = data.draw(st.booleans())
    looked_at(yaml.dump(tree, Dumper=DUMPER, sort_keys=False, allow_unicode=unicode))


@pytest.mark.parametrize("seed", range(60))
def test_the_sample_cut_swapped_and_scribbled_on(seed: int) -> None:
    rng = random.Random(seed)
    text = SAMPLE
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(text))
        how = rng.randrange(6)
        if how == 0:
            text = text[:at]
        elif how == 1:
            text = text[:at] + rng.choice(":,-[]{}#&*!|>'\"%@`\t\n \x00\u202e9é") + text[at:]
        elif how == 2:
            text = text[:at] + text[at + rng.randint(1, 30) :]
        elif how == 3:
            text = text[:at] + rng.choice(WORDS) + text[at:]
        elif how == 4:
            lines = text.split("\n")
            i, j = rng.randrange(len(lines)), rng.randrange(len(lines))
            lines[i], lines[j] = lines[j], lines[i]
            text = "\n".join(lines)
        else:
            text = text[:at] + text[max(0, at - rng.randint(1, 400)) :]
        if not text:
            text = "shop"
    looked_at(text)


def test_a_half_written_sample_never_reads_as_a_smaller_shop_with_broken_values() -> None:
    """Cut at every 37th character: either problems, or a shop whose every value stood there in full."""
    whole = parse(SAMPLE)
    for at in range(0, len(SAMPLE), 37):
        found = looked_at(SAMPLE[:at])
        if isinstance(found, Shop):
            for section in ("rooms", "doors", "walkways", "keep_clear"):
                kept, full = getattr(found, section), getattr(whole, section)
                assert list(kept) == list(full)[: len(kept)]


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        "{a: " * 5_000,
        "- " * 20_000,
        "a:\n" + "".join(f"{' ' * n}b:\n" for n in range(1, 600)),
        "? " * 5_000,
        "shop: " + "'" * 9_999,
        "a: &a [x, x]\n"
        + "".join(
            f"{chr(98 + n)}: &{chr(98 + n)} [{'*' + chr(97 + n) + ', '}*{chr(97 + n)}]\n" for n in range(20)
        ),
        "a: &a {<<: *a}\n",
        "zones: {" + ", ".join(f"z{n}: {{}}" for n in range(20_000)) + "}",
        "note: [" + "1, " * (MOST_NODES + 1) + "]",
        "x" * 3_000_000,
        "shop: x\n" * 50_000,
        "\x07" * 5_000,
        "# " + "\u202e" * 5_000,
        "%YAML 3.0\n---\nshop: a\n",
        "--- !!python/object/apply:os.system ['echo']\n",
        "shop: !!binary R0lGODlh\n",
        "\u2028" * 10,
        "a: |\n  " + "x\n  " * 10_000,
        "\ud800",
        'shop: "\\ud800"\n',
    ],
    ids=lambda text: text[:12].encode("unicode_escape").decode(),
)
@pytest.mark.parametrize("loader", ["C", "Python"])
def test_hostile_files_end_in_problems(text: str, loader: str, monkeypatch: pytest.MonkeyPatch) -> None:
    if loader == "Python":
        text = text[:20_000]  # the same limits, only slower to reach
        monkeypatch.delattr(yaml, "CSafeLoader", raising=False)
    assert not isinstance(looked_at(text), Shop)


def test_ten_thousand_letters_are_too_many_for_any_name() -> None:
    long = "n" * 10_000
    room = "rooms: {a: {at: [0, 0], size: [900, 900]%s}}\n"
    for text in (
        f"shop: {long}\n{room % ''}",
        f"shop: s\n{room.replace('a:', long + ':') % ''}",
        f"shop: s\n{room % f', name: {long}'}",
        f"shop: s\n{room % f', note: {long}'}",
        f"shop: s\n{room % f', was: {long}'}",
        f"shop: s\n{room % f', headroom: {long}'}",
        f"shop: s\n{room % f', {long}: 1'}",
        f"shop: s\n{room % ''}doors: {{d: {{room: {long}, to: a, opens: open, jambs: [[0, 1], [0, 90]]}}}}\n",
    ):
        assert isinstance(looked_at(text), tuple)
