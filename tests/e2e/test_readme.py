"""What README.md says works as it stands: its shop file, its commands, the keys it names."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from shopbins.tui.keys.actions import ACTIONS

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(kind: str) -> list[str]:
    """Return the fenced blocks of a kind."""
    return [
        text for named, text in re.findall(r"^```(\w*)\n(.*?)^```$", README, re.M | re.S) if named == kind
    ]


@pytest.fixture
def own(shed):
    """The README's own shop, as somebody would save it."""
    (text,) = blocks("yaml")
    shed.shop.write_text(text, encoding="utf-8")
    return shed


def test_two_commands_do_all_the_set_up():
    lines = [
        line for block in blocks("") for line in block.splitlines() if line.startswith("python3 -m venv")
    ]
    assert len(lines) == 2
    assert "shopbins demo" in lines[0] and lines[0].endswith("--open")
    assert "pytest" in lines[1]


def test_its_commands_do_what_they_say_on_its_own_shop(own):
    assert own.run("check", "shop.yaml").status == 0
    said = [
        line for block in blocks("") for line in block.splitlines() if line.startswith(".venv/bin/shopbins ")
    ]
    assert len(said) == 4
    for line in said:
        ran = own.run(*shlex.split(line)[1:])
        begun = [said for said in ran.problems if not said.startswith("a new ledger was begun")]
        assert (ran.status, begun) == (0, []) if " audit" not in line else ran.status in (0, 1), ran
    assert own.json("show", "valve springs")["qty"] == 8


def test_the_job_on_its_own_shop_in_the_app(own):
    """Written from scratch: open, catch up, take off, be refused, lay down, scan nothing, audit, leave."""
    terminal = own.open(24, 80)
    terminal.wait_for("My shed")
    terminal.wait_for("nothing waiting")
    terminal.keys("k")
    terminal.wait_for("bench")
    terminal.keys("old vice", "enter", "paraffin tin x 2", "enter")
    terminal.wait_for("✓ paraffin tin")
    terminal.escape("What lies in bench?")
    terminal.wait_for("tab next thing")
    terminal.keys("e", "gearbox casing, 190 kg, 900x600x400 mm", "enter")
    terminal.wait_for("✓ gearbox casing")
    terminal.escape("What has just come off?")
    terminal.keys("w", "enter", "g", "rack/2", "enter", "enter")
    terminal.wait_for("STOP: not put down")
    terminal.wait_for("190 kg")
    terminal.escape("STOP: not put down")
    terminal.keys("b")
    terminal.wait_for("best of ")
    terminal.keys("enter")
    terminal.wait_for("nothing waiting")
    terminal.keys("3")
    terminal.wait_for("[3 Audit]")
    terminal.wait_for("no stops")
    assert terminal.quit() == 0
    placed = own.json("show", "gearbox casing")
    assert placed["place"] and placed["place"] != "rack/2"
    assert {g["name"] for g in own.json("show", "bench")["groups"]} >= {"old vice", "paraffin tin"}


def test_the_keys_it_names_are_the_keys():
    table = README.partition("The first five keys:")[2].partition("[One evening")[0]
    named = set(re.findall(r"^\| `(.)` \|", table, re.M))
    keys = {"/": "slash", "?": "question_mark"}
    known = {key for action in ACTIONS for key in action.keys.split(",")}
    assert len(named) == 5
    assert {keys.get(key, key) for key in named} <= known


def test_its_links_lead_somewhere():
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *ROOT.glob("docs/*.md")):
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", page.read_text(encoding="utf-8")):
            if "://" not in target:
                assert (page.parent / target).exists(), f"{page.name}: {target}"
