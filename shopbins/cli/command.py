"""What a command is, and reading its arguments: global options anywhere, slips answered with a hint."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.commands import COMMANDS

if TYPE_CHECKING:
    from shopbins.cli.context import Context

Run = Callable[["Context", Arguments], int]

GLOBALS_WITH_VALUE = ("-s", "--shop", "--ledger", "--by", "--day")
WHEN_NO_SHOP = "$SHOPBINS_SHOP, else ./shop.yaml"


class HelpAsked(Exception):  # noqa: N818 - no error
    """Help or the version was asked for; `text` is it."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.text = text


class Command(NamedTuple):
    """One command: an example or more, its arguments, and what runs it; what it does is in `commands.py`."""

    name: str
    examples: tuple[str, ...]
    add_arguments: Callable[[Parser], None]
    run: Run
    about: str = ""

    @property
    def summary(self) -> str:
        """What it does, in a line."""
        return COMMANDS[self.name].summary


class Parser(argparse.ArgumentParser):
    """A parser that raises UsageError and HelpAsked instead of leaving the program."""

    def error(self, message: str) -> NoReturn:
        """Raise what is wrong, with the nearest known option."""
        prefix = "unrecognized arguments: "
        if message.startswith(prefix):
            unknown = message[len(prefix) :].split(" ")[0]
            options = [each for action in self._actions for each in action.option_strings]
            if unknown.startswith("-"):
                raise UsageError(f"{self.prog}: no option {unknown}{meant(unknown, options)}")
            raise UsageError(
                f"{self.prog}: '{unknown}' is one word too many (put quotes around names with spaces)"
            )
        if message.startswith("the following arguments are required: "):
            missing = message.partition(": ")[2]
            raise UsageError(f"{self.prog}: {missing} is missing (see {self.prog} --help)")
        raise UsageError(f"{self.prog}: {message}")

    def print_help(self, file: Any = None) -> NoReturn:  # noqa: ARG002 - argparse calls it so
        """Raise the help."""
        self.formatter_class = argparse.RawDescriptionHelpFormatter
        raise HelpAsked(self.format_help())

    def parse(self, args: Sequence[str]) -> Arguments:
        """Parse; a value that begins with '-' after an option that takes one is its value."""
        return self.parse_args(self._joined(args))

    def _joined(self, args: Sequence[str]) -> list[str]:
        options = {name: action for action in self._actions for name in action.option_strings}
        joined: list[str] = []
        waiting = False
        for n, arg in enumerate(args):
            if arg == "--":
                return [*joined, *args[n:]]
            if waiting and arg.startswith("-") and len(arg) > 1 and arg not in options:
                joined[-1] = f"{joined[-1]}={arg}" if joined[-1].startswith("--") else joined[-1] + arg
                waiting = False
                continue
            waiting = not waiting and arg in options and options[arg].nargs is None
            joined.append(arg)
        return joined


def parser_for(command: Command) -> Parser:
    """Return the parser of one command, global options included."""
    lines = "\n".join(f"  {example}" for example in command.examples)
    about = f"{command.about}\n\n" if command.about else ""
    parser = Parser(
        prog=f"shopbins {command.name}",
        description=command.summary[0].upper() + command.summary[1:] + ".",
        epilog=f"{about}{'example' if len(command.examples) == 1 else 'examples'}:\n{lines}",
        # argparse would ask the terminal with every option, by a module slow to load; the help itself asks
        formatter_class=partial(argparse.RawDescriptionHelpFormatter, width=80),
        allow_abbrev=False,
    )
    command.add_arguments(parser)
    add_globals(parser)
    return parser


def add_globals(parser: Parser) -> None:
    """Add the options every command has."""
    group = parser.add_argument_group("for every command")
    group.add_argument("-s", "--shop", metavar="SHOP", help=f"the shop file (else {WHEN_NO_SHOP})")
    group.add_argument(
        "--ledger", metavar="DIR", help="where the ledger is kept (else <shop>.ledger beside SHOP)"
    )
    group.add_argument("--by", metavar="NAME", help="who does it (else $SHOPBINS_BY, else the login)")
    taken = parser._option_string_actions
    own = [name for name in ("--day", "--on") if name not in taken]
    group.add_argument(
        *own,
        dest="day",
        metavar="DATE",
        help="the day it was done, as 2026-11-28 or yesterday, where not today",
    )
    group.add_argument("--json", action="store_true", help="print JSON for programs")


def command_word(args: Sequence[str]) -> int | None:
    """Return where the command (or shop file) stands among the arguments: the first that is no option."""
    skip = False
    for n, arg in enumerate(args):
        if skip:
            skip = False
        elif arg == "--":
            return n + 1 if n + 1 < len(args) else None
        elif arg in GLOBALS_WITH_VALUE:
            skip = True
        elif not arg.startswith("-") or arg == "-":
            return n
    return None


def meant(word: str, known: Sequence[str]) -> str:
    """Return a hint naming the nearest of the known words, or nothing."""
    from difflib import get_close_matches

    near = get_close_matches(word, known, n=1, cutoff=0.55)
    return f" (did you mean {near[0]}?)" if near else ""
