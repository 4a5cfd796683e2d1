"""What is offered where there is no shop file to open: a new one, the demo, or another."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shopbins.cli.arguments import Arguments
    from shopbins.cli.context import Context

OFFER = (
    "There is no shop.yaml here.",
    "  n  a new shop, by questions with the tape in hand",
    "  d  the demo, an invented shop full of an engine's parts, into the folder 'ropewalk'",
    "  o  open another shop file",
    "  enter leaves",
)


def offer(context: Context, args: Arguments) -> int:
    """Ask what to do, and do it."""
    from shopbins.cli import command
    from shopbins.cli.command import parser_for

    context.lines(OFFER)
    choice = _typed("n, d or o? ").lower()
    if choice == "n":
        found = command("new")
        return found.run(context, parser_for(found).parse(["shop.yaml"]))
    if choice == "d":
        found = command("demo")
        folder = "ropewalk"
        return found.run(context, parser_for(found).parse([folder, "--open"]))
    if choice == "o":
        return _open(context, args, _typed)
    return 0


def _open(context: Context, args: Arguments, ask: Callable[[str], str]) -> int:
    from shopbins.cli import open_app

    named = ask("which file? ")
    if not named:
        return 0
    path = Path(named).expanduser()
    if not path.exists():
        context.problem(f"{path}: there is no such file")
        return 65
    args.shop = str(path)
    return open_app(context, args)


def _typed(prompt: str) -> str:
    sys.stdout.write(prompt)
    sys.stdout.flush()
    return sys.stdin.readline().strip()
