"""The command completion: a script by which a shell completes commands and options."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser, add_globals

if TYPE_CHECKING:
    from shopbins.cli.context import Context

SHELLS = ("bash", "zsh", "fish")
NAMES = ("parts", "places", "things", "sheets")
_BASH = """
_shopbins_names() {
  local each
  while IFS= read -r each; do
    [[ "$each" == "$2"* ]] && printf '%q\\n' "$each"
  done < <(shopbins completion --names "$1" 2>/dev/null </dev/null)
}
"""
_ZSH = """
_shopbins_names() {
  local -a names
  names=("${(@f)$(shopbins completion --names "$1" 2>/dev/null </dev/null)}")
  compadd -a names
}
"""
NAMED = {
    "CODE|NAME": "parts", "CODE|NAME|PLACE": "things", "PLACE": "places", "PLACE[/LEVEL]": "places",
    "SHEET": "sheets",
}  # fmt: skip
"""What is offered for an argument, by what stands for it in the help."""
PREAMBLE = {
    "bash": _BASH + "".join(f'_shopbins_{n}() {{ _shopbins_names {n} "$1"; }}\n' for n in NAMES),
    "zsh": _ZSH + "".join(f"_shopbins_{n}() {{ _shopbins_names {n}; }}\n" for n in NAMES),
    "fish": "",
}
"""Functions that ask for names when tab is pressed; a name is a word to the shell, whatever stands in it."""
FILES = frozenset({"file", "shop", "output", "answers", "sheet", "path"})
FOLDERS = frozenset({"folder", "ledger"})


def _arguments(parser: Parser) -> None:
    parser.add_argument("shell", choices=SHELLS, metavar="SHELL", nargs="?", help=", ".join(SHELLS))
    parser.add_argument("--names", choices=NAMES, help="list what the scripts offer, and write no script")


def _completion(context: Context, args: Arguments) -> int:
    if args.names:
        context.lines(_names(context, args.names))
        return 0
    if args.shell is None:
        raise UsageError(f"shopbins completion: say which shell: {', '.join(SHELLS)}")
    import shtab

    print(shtab.complete(whole_parser(), shell=args.shell, preamble=PREAMBLE[args.shell]))
    return 0


def _names(context: Context, of: str) -> list[str]:
    """Return what may stand for a part, a place or a label sheet; nothing is written."""
    if of == "sheets":
        from shopbins.tags.settings import all_layouts

        return sorted(all_layouts(context.shop_path())[0])
    desk = context.desk(readonly=True, look=True)
    parts = [each.name for each in desk.state.groups()] if of != "places" else []
    places = list(desk.shop.zones) if of != "parts" else []
    return [each for each in dict.fromkeys([*sorted(parts), *places]) if each.isprintable()]


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
        named = NAMED.get(action.metavar) if isinstance(action.metavar, str) else None
        if action.metavar is not None:
            names = (action.metavar,) if isinstance(action.metavar, str) else action.metavar
            action.metavar = " ".join(
                re.sub(r"[^\w ,.=|>-]", "", each) for each in names
            )  # zsh takes it as code
        if named is not None:
            function = f"_shopbins_{named}"
            action.complete = {"bash": function, "zsh": function}  # type: ignore[attr-defined]
        elif action.dest in FILES:
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif action.dest in FOLDERS:
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]


COMMANDS = (
    Command(
        "completion",
        (
            "shopbins completion bash",
            "shopbins completion zsh",
            "shopbins completion fish",
        ),
        _arguments,
        _completion,
        "bash and zsh offer the names of parts, places and label sheets, too.\n"
        "bash: shopbins completion bash > ~/.local/share/bash-completion/completions/shopbins\n"
        "zsh:  shopbins completion zsh > _shopbins, into a folder of $fpath\n"
        "fish: shopbins completion fish > ~/.config/fish/completions/shopbins.fish",
    ),
)
