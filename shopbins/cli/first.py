"""What is offered where there is no shop file to open: a new one, the demo, or another."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shopbins.cli.context import Context

OFFER = (
    "There is no shop.yaml here.",
    "  n  a new shop, by questions with the tape in hand",
    "  d  the demo, an invented shop full of an engine's parts, into the folder 'ropewalk'",
    "  o  open another shop file",
    "  enter leaves",
)


def offer(context: Context) -> list[str] | None:
    """Ask what to do; return the command line that does it, None to leave."""
    context.lines(OFFER)
    choice = _typed("n, d or o? ").lower()
    if choice == "n":
        return ["new", "shop.yaml"]
    if choice == "d":
        return ["demo", "ropewalk", "--open"]
    named = _typed("which file? ") if choice == "o" else ""
    if not named:
        return None
    return ["-s", str(Path(named).expanduser())]


def _typed(prompt: str) -> str:
    sys.stdout.write(prompt)
    sys.stdout.flush()
    return sys.stdin.readline().strip()
