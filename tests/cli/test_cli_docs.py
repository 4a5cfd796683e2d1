"""Every command and option has help, an example that can be read, and its place in docs/commands.md."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopbins.cli import COMMANDS, command
from shopbins.cli.command import parser_for
from shopbins.cli.page import commands_page

DOCS = Path(__file__).parents[2] / "docs" / "commands.md"


def test_the_page_is_as_the_commands_are() -> None:
    """Run docs/make_pages.py when this fails."""
    assert DOCS.read_text(encoding="utf-8") == commands_page()


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_is_in_the_docs_and_has_help(name: str) -> None:
    found = command(name)
    section = DOCS.read_text(encoding="utf-8").partition(f"\n## {name}\n")[2].partition("\n## ")[0]
    head = DOCS.read_text(encoding="utf-8").partition("\n## ")[0]
    for action in parser_for(found)._actions:
        assert action.help
        for option in action.option_strings:
            assert f"`{option}" in section + head
    for example in found.examples:
        assert example in section


@pytest.mark.parametrize("name", COMMANDS)
def test_help_shows_examples_that_can_be_read(name: str, run: Callable[..., Any]) -> None:
    shown = run(name, "--help")
    assert shown.status == 0 and shown.err == ""
    found = command(name)
    assert found.examples
    for example in found.examples:
        assert example in shown.out
        words = shlex.split(example.rpartition(" | ")[2])
        assert words[:2] == ["shopbins", name]
        parser_for(found).parse(words[2:])
    assert max(map(len, shown.out.splitlines())) <= 110


def test_overview_names_every_command(run: Callable[..., Any]) -> None:
    shown = run("--help")
    assert shown.status == 0
    assert run("help").out == shown.out
    for name in COMMANDS:
        assert f"\n  {name} " in shown.out
    assert run("help", "put").out == run("put", "--help").out
    assert run("--version").out.startswith("shopbins ")
