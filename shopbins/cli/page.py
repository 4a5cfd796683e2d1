"""The page of the docs about the commands, made from the commands themselves."""

from __future__ import annotations

import argparse

from shopbins.cli import COMMANDS, command
from shopbins.cli.command import parser_for

HEAD = """\
# Commands

Made from the commands in `shopbins/cli/` by `docs/make_pages.py`.

`shopbins [SHOP]` opens the app; SHOP is the shop file, or the folder `shop.yaml` is in. Everything else is
`shopbins COMMAND ...`; `shopbins COMMAND --help` says the same as this page.

For every command, before or after it:

| option | what it says |
| --- | --- |
| `-s SHOP`, `--shop SHOP` | the shop file; else `$SHOPBINS_SHOP`, else `./shop.yaml` |
| `--ledger DIR` | where the ledger is kept; else `<shop>.ledger` beside the shop file |
| `--by NAME` | who does it; else `$SHOPBINS_BY`, else the login |
| `--day DATE`, `--on DATE` | the day it was done, where not today; with `put`, `--on` means onto |
| `--json` | print JSON for programs |
| `-h`, `--help` | help with examples |

Data goes to stdout, one line for each problem to stderr. Exit status: 0 done, 1 refused or nothing found, 64
the command line was not understood, 65 bad input (a wrong shop file, a size that is none, a name that several
groups have), 74 a file or the ledger cannot be read or written. `check`, `audit` and `fits` say below what
theirs is. What a command said was done with status 0 is on the disk, whatever happens next; one that ends
with another status has recorded nothing. With `--json` an error is JSON on stderr:
`{"error": {"status": 1, "text": "...", "hint": "..."}}`. Scripts in Python: [scripting.md](scripting.md).

A group is meant by its code or its name; a part of the name is enough where only one group has it. Sizes and
masses take all units (`300x200x150mm`, `4 ft x 18 in x 2 in`, `12 lb`); without one they are mm and kg, and
'about' is kept.
"""

SHARED = frozenset({"shop", "ledger", "by", "day", "json", "help"})


def commands_page() -> str:
    """Return docs/commands.md."""
    return "\n".join([HEAD, *(_section(name) for name in COMMANDS)])


def _section(name: str) -> str:
    found = command(name)
    parser = parser_for(found)
    lines = [f"## {name}", "", f"{found.summary[0].upper()}{found.summary[1:]}.", "", "```"]
    lines += [*found.examples, "```", ""]
    own = [action for action in parser._actions if action.dest not in SHARED]
    if own:
        lines += ["| | |", "| --- | --- |", *(_row(action) for action in own), ""]
    if found.about:
        lines += [" ".join(found.about.split("\n")), ""]
    return "\n".join(lines)


def _row(action: argparse.Action) -> str:
    value = str(action.metavar or "")
    if isinstance(action.choices, tuple):
        value = "|".join(action.choices)
    written = [f"{each} {value}".strip() for each in action.option_strings] or [_positional(action, value)]
    return f"| {', '.join(f'`{_cell(each)}`' for each in written)} | {_cell(str(action.help))} |"


def _positional(action: argparse.Action, value: str) -> str:
    return f"[{value}]" if action.nargs == "?" else f"{value}..." if action.nargs in ("+", "*") else value


def _cell(text: str) -> str:
    return text.replace("|", "\\|")
