"""The command completion: a script by which a shell completes commands and options."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser, add_globals

if TYPE_CHECKING:
    from shopbins.cli.context import Context

SHELLS = ("bash", "zsh", "fish")
FILES = frozenset({"file", "shop", "output", "answers", "sheet", "path"})
FOLDERS = frozenset({"folder", "ledger"})


def _arguments(parser: Parser) -> None:
    parser.add_argument("shell", choices=SHELLS, metavar="SHELL", help=", ".join(SHELLS))


def _completion(context: Context, args: Arguments) -> int:
    import shtab

    del context
    print(shtab.complete(whole_parser(), shell=args.shell))
    return 0


def whole_parser() -> Parser:
    """Return one parser of all commands, as completion needs it."""
    from shopbins.cli import COMMANDS as EVERY
    from shopbins.cli import command

    parser = Parser(prog="shopbins", description="Know where every part of a dismantled machine lies.")
    parser.add_argument("--version", action="store_true", help="print the version")
    add_globals(parser)
    under = parser.add_subparsers(dest="command")
    for name in EVERY:
        found = command(name)
        one = under.add_parser(name, help=found.summary)
        found.add_arguments(one)
        add_globals(one)
    for each in (parser, *under.choices.values()):
        _offer_files(each)
    return parser


def _offer_files(parser: Parser) -> None:
    """Let the shell offer files and folders where an argument names one; nothing of it is quoted anew."""
    import shtab

    for action in parser._actions:
        if action.metavar is not None:
            names = (action.metavar,) if isinstance(action.metavar, str) else action.metavar
            action.metavar = " ".join(
                re.sub(r"[^\w ,.=|>-]", "", each) for each in names
            )  # zsh takes it as code
        if action.dest in FILES:
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif action.dest in FOLDERS:
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]


COMMANDS = {
    each.name: each
    for each in (
        Command(
            "completion",
            (
                "shopbins completion bash",
                "shopbins completion zsh",
                "shopbins completion fish",
            ),
            _arguments,
            _completion,
            "bash: shopbins completion bash > ~/.local/share/bash-completion/completions/shopbins\n"
            "zsh:  shopbins completion zsh > _shopbins, into a folder of $fpath\n"
            "fish: shopbins completion fish > ~/.config/fish/completions/shopbins.fish",
        ),
    )
}
