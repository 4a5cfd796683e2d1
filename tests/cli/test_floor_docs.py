"""The examples of docs/floor.md are answered as the page says, and the page names every key that is read."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from shopbins.cli.fits import read as scene_read
from shopbins.cli.fits import scene
from shopbins.cli.fits.scene import answer_scene

PAGE = (Path(__file__).parents[2] / "docs" / "floor.md").read_text(encoding="utf-8")
BLOCKS = [json.loads(block) for block in re.findall(r"```json\n(.*?)```", PAGE, re.DOTALL)]
PAIRS = list(zip(BLOCKS[::2], BLOCKS[1::2], strict=True))


def holds(told, said):
    """Compare what the page says with the answer; the answer may say more."""
    if isinstance(said, dict):
        assert set(said) <= set(told), (told, said)
        for key, value in said.items():
            holds(told[key], value)
    elif isinstance(said, list):
        assert len(told) == len(said)
        for a, b in zip(told, said, strict=True):
            holds(a, b)
    elif isinstance(said, float):
        assert told == pytest.approx(said, abs=1e-3)
    else:
        assert told == said


def test_all_five_questions_are_shown():
    scenes = [s for asked, _ in PAIRS for s in (asked if isinstance(asked, list) else [asked])]
    assert {s["question"] for s in scenes} == set(scene_read.QUESTIONS)


@pytest.mark.parametrize(("asked", "said"), PAIRS)
def test_the_examples_are_answered_as_shown(asked, said):
    if isinstance(asked, list):
        holds([answer_scene(s) for s in asked], said)
    else:
        holds(answer_scene(asked), said)


def test_every_key_that_is_read_is_on_the_page():
    source = Path(scene.__file__).read_text("utf-8") + Path(scene_read.__file__).read_text("utf-8")
    keys = set(re.findall(r'(?:scene|raw|piece|spot|thing|found)(?:\.get\(|\[)"(\w+)"', source))
    keys |= set(re.findall(r'needed\(\w+, "(\w+)"', source))
    assert len(keys) > 20
    missing = {k for k in keys if f"`{k}`" not in PAGE}
    assert not missing
