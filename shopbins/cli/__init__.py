"""The command line: one file a family of commands, each run over the desk.

Nothing here judges or records; a command reads its arguments, asks the desk, and sets the answer in text
or JSON. Exit status: 0 done, 1 refused or nothing found, 64 usage, 65 bad input, 74 storage.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from importlib import import_module
from pathlib import Path

from shopbins import __version__
from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, HelpAsked, Parser, add_globals, command_word, meant, parser_for
from shopbins.cli.commands import COMMANDS
from shopbins.cli.context import Context
from shopbins.cli.saying import Saying

__all__ = ["COMMANDS", "command", "main", "spare_garbage"]

OK, REFUSED, USAGE, BAD_INPUT, OUR_FAULT, STORAGE, INTERRUPTED = 0, 1, 64, 65, 70, 74, 130


def command(name: str) -> Command:
    """Return a command by its name."""
    there: tuple[Command, ...] = import_module(f"shopbins.cli.{COMMANDS[name].file}").COMMANDS
    return next(each for each in there if each.name == name)


def spare_garbage() -> None:
    """Look for garbage seldom: what is made while modules load and files are read stays."""
    gc.set_threshold(50_000, 20, 20)


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; return the exit status. No traceback reaches the user."""
    spare_garbage()
    _open_closed()
    args = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, OSError, ValueError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    saying = Saying("--json" in args[: args.index("--") if "--" in args else None])
    status, lines = OK, tuple[str, ...]()
    try:
        status, lines = _told(args, saying)
        sys.stdout.flush()
    except BrokenPipeError:  # whoever reads has seen enough
        _silence(sys.stdout)
    except OSError as problem:
        _silence(sys.stdout)
        status, lines = STORAGE, (f"the answer could not be written: {problem.strerror or problem}",)
    try:
        saying.end(status, *lines)
    except OSError:
        _silence(sys.stderr)
    return status


Ended = tuple[int, tuple[str, ...]]
"""How a command ended: its exit status, and what is to be said of a problem."""


def _told(args: Sequence[str], saying: Saying) -> Ended:
    """Run, and turn every problem into its exit status and lines."""
    try:
        return _run(args, saying), ()
    except HelpAsked as asked:
        sys.stdout.write(asked.text)
        return OK, ()
    except UsageError as problem:
        return USAGE, (str(problem),)
    except KeyboardInterrupt:
        return INTERRUPTED, ("stopped",)
    except BrokenPipeError:
        raise
    except Exception as problem:
        return _told_other(problem, args)


def _told_other(problem: Exception, args: Sequence[str]) -> Ended:
    from shopbins.desk.problems import DeskError
    from shopbins.ledger.problems import LedgerProblem, Refused
    from shopbins.outputs import may_name
    from shopbins.shop.problems import ShopProblems
    from shopbins.units import UnitError

    if isinstance(problem, ShopProblems):
        return BAD_INPUT, tuple(str(each) for each in problem.problems)
    if isinstance(problem, DeskError):
        return problem.exit_status, problem.lines
    if isinstance(problem, UnitError):
        return BAD_INPUT, (str(problem),)
    if isinstance(problem, (LedgerProblem, Refused)):
        return problem.exit, (str(problem),)
    if isinstance(problem, OSError):
        if problem.filename is None:
            raise problem  # stdout
        return STORAGE, (f"{problem.filename}: {problem.strerror or problem}",)
    if isinstance(problem, ValueError) and (wrong := [each for each in args if not may_name(each)]):
        return BAD_INPUT, (f"{ascii(wrong[0])[:100]}: no file can be called so",)
    if os.environ.get("SHOPBINS_TRACE"):
        raise problem
    told = " ".join(f"{type(problem).__name__}: {problem}".split())[:300]
    fault = f"a fault in shopbins itself, nothing half-done is kept: {told} (SHOPBINS_TRACE=1 says where)"
    return OUR_FAULT, (fault,)


def _run(args: Sequence[str], saying: Saying) -> int:
    place = command_word(args)
    if place is None:
        return _app(args, None, saying)
    word, rest = args[place], [*args[:place], *args[place + 1 :]]
    if word == "help":
        rest = [*rest, "--help"]
        place = command_word(rest)
        if place is None:
            raise HelpAsked(_overview())
        word, rest = rest[place], [*rest[:place], *rest[place + 1 :]]
    if word not in COMMANDS:
        return _app(rest, word, saying)
    found = command(word)
    parsed = parser_for(found).parse(rest)
    with ExitStack() as stack:
        context = Context(parsed, stack, saying)
        try:
            status = found.run(context, parsed)
            sys.stdout.flush()
        except OSError as problem:
            if problem.filename is not None or not context.recorded:
                raise
            _silence(sys.stdout)
            context.problem(f"it is recorded, but could not be said: {problem.strerror or problem}")
            status = OK
        except Exception:
            context.blame()
            raise
        return STORAGE if context.damaged else status


def _app(args: Sequence[str], shop: str | None, saying: Saying) -> int:
    """Open the app on a shop file."""
    parser = Parser(prog="shopbins", add_help=False, allow_abbrev=False)
    parser.add_argument("-h", "--help", action="store_true")
    parser.add_argument("--version", action="store_true")
    add_globals(parser)
    if shop is not None and not _may_be_file(shop):
        raise UsageError(f"no command and no shop file '{shop}'{meant(shop, list(COMMANDS))}")
    parsed = parser.parse(args)
    if parsed.help:
        raise HelpAsked(_overview())
    if parsed.version:
        from shopbins.ledger.journal import VERSION

        raise HelpAsked(f"shopbins {__version__}, ledger format {VERSION}\n")
    parsed.shop = shop or parsed.shop
    with ExitStack() as stack:
        context = Context(parsed, stack, saying)
        if shop is None and not parsed.json and _at_a_terminal() and context.no_shop_here():
            from shopbins.cli.first import offer

            wanted = offer(context)
            return OK if wanted is None else _run(wanted, saying)
        return open_app(context, parsed)


def _at_a_terminal() -> bool:
    """Tell whether somebody can be asked and shown the screen: at a terminal, or in a served browser."""
    return bool(os.environ.get("SHOPBINS_SERVED")) or (sys.stdin.isatty() and sys.stdout.isatty())


def open_app(context: Context, args: Arguments) -> int:
    """Open the app; it needs a terminal."""
    if args.json:
        raise UsageError("--json goes with a command, not with the app (see shopbins --help)")
    served = os.environ.get("SHOPBINS_SERVED", "")  # by shopbins serve: the screen is a browser's
    path = context.shop_path()
    if not _at_a_terminal():
        from shopbins.shop.reader import read

        read(path)  # a wrong shop file is the more useful thing to say
        raise UsageError("the app needs a terminal (see shopbins --help for commands that do not)")
    desk = context.desk(readonly=served == "look", look=True)
    from shopbins.tui.app import run

    return run(desk)


def _may_be_file(word: str) -> bool:
    return Path(word).exists() or "/" in word or os.sep in word or word.lower().endswith((".yaml", ".yml"))


def _overview() -> str:
    width = max(map(len, COMMANDS))
    lines = [
        "usage: shopbins [SHOP]             open the app on a shop file",
        "       shopbins COMMAND ...        shopbins COMMAND --help says more, with examples",
        "",
        "commands:",
        *(f"  {name:{width}s}  {each.summary}" for name, each in COMMANDS.items()),
        "",
        "for every command, before or after it:",
        "  -s SHOP, --shop SHOP   the shop file, else $SHOPBINS_SHOP, else ./shop.yaml",
        "  --ledger DIR           where the ledger is kept, else <shop>.ledger beside SHOP",
        "  --by NAME              who does it, else $SHOPBINS_BY, else the login",
        "  --json                 print JSON for programs",
        "  --version              print the version",
        "",
        "exit status: 0 done, 1 refused or nothing found, 64 usage, 65 bad input, 74 storage",
        "",
        "example:",
        "  shopbins demo ropewalk --open",
        "",
    ]
    return "\n".join(lines)


def _open_closed() -> None:
    """Let a closed stdout or stderr (`>&-`) take what is written to it: nobody wants it.

    Before any file is opened, which would get the free number and what is meant for the stream.
    """
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 - stays open as the stream


def _silence(stream: object) -> None:
    """Let whatever is still to be written to a stream that takes no more go nowhere."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # type: ignore[attr-defined]
