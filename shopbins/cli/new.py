"""The command new: a shop described by questions, answered at the terminal, from a file or by rows."""

from __future__ import annotations

import csv
import io
import re
import sys
from collections import defaultdict, deque
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser
from shopbins.shop.editing.save import ChangedMeanwhile, load, save, tidy

if TYPE_CHECKING:
    from shopbins.cli.context import Context

T = TypeVar("T")


def _arguments(parser: Parser) -> None:
    parser.add_argument("file", metavar="FILE", nargs="?", default="shop.yaml", help="the shop file to write")
    parser.add_argument(
        "--from",
        dest="answers",
        metavar="FILE",
        help="answers from a file, a line each; or, named .csv, rows as on the measuring sheet",
    )
    parser.add_argument("--sheet", metavar="F.pdf", help="write a measuring sheet to print, and ask nothing")
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of the sheet (else a4)")


def _new(context: Context, args: Arguments) -> int:
    if args.sheet:
        from shopbins.plans.sheet import sheet

        context.write_file(args.sheet, sheet(args.paper))
        context.answer({"sheet": args.sheet}, [f"{args.sheet}: print it, two pages a room"])
        return 0
    return _describe(context, args)


def _describe(context: Context, args: Arguments) -> int:
    from shopbins.shop.interview import Interview
    from shopbins.shop.problems import ShopProblems
    from shopbins.shop.reader import parse

    path = Path(args.file)
    if path.exists():
        context.problem(f"{path} is there already: name another file, or change it with: shopbins {path}")
        return 1
    if not path.parent.is_dir():
        context.problem(f"{path.parent} is no folder")
        return 65
    typed = args.answers is None and sys.stdin.isatty()
    rows = (args.answers or "").endswith(".csv")
    kept = path.with_name(f"{path.name}.answers") if typed else None
    asking = _Rows(context, args.answers) if rows else _Lines(context, args.answers, kept)
    try:
        text = asking.of(lambda ask, tell: Interview(ask, tell, again=typed and not rows).run())
        if text is None:
            return 65
        question = "Open it now? y or n"
        try:
            parse(text, str(path))
        except ShopProblems as problems:
            context.problem(*(str(each) for each in problems.problems))
            question = "Open it on Draw, to put that right? y or n"
            if not typed or not asking.agrees("Write it anyway, to put it right on Draw? y or n"):
                context.problem("nothing was written")
                asking.stopped()
                return 65
        save(path, text, None)
    except (KeyboardInterrupt, OSError):
        asking.stopped()
        raise
    asking.done()
    opened = f"shopbins {path}"
    context.answer({"shop": str(path)}, [f"{path}: written; open it with: {opened}"])
    if typed and sys.stdout.isatty() and asking.agrees(question):
        from shopbins.cli import open_app

        args.shop, args.ledger = str(path), None
        return open_app(context, args)
    return 0


class _Again(Exception):  # noqa: N818 - it is a way back
    """The last answer was taken back: ask anew with those before it."""


Describe = Callable[[Any, Callable[[str], None]], str]


class _Lines:
    """Answers line by line, from the terminal or a file: b goes back, enter skips or takes the offer.

    Those from a terminal are kept on the disk as they are given, to go on from after whatever stops it.
    """

    def __init__(self, context: Context, file: str | None, kept: Path | None) -> None:
        self._context = context
        self._kept = kept
        self._seen: str | None = None
        self._typed = file is None and sys.stdin.isatty()
        self._name = file or "stdin"
        self._lines = sys.stdin if file is None else io.StringIO(Path(file).read_text(encoding="utf-8-sig"))
        self._given: list[str] = []
        self._line = 0

    def of(self, describe: Describe) -> str | None:
        """Return what is described; None after saying what is wrong with an answer."""
        self._resume()
        while True:
            replayed = deque(self._given)
            try:
                return describe(partial(self._ask, replayed), partial(self._tell, replayed))
            except _Again:
                continue
            except ValueError as problem:
                self._context.problem(self._said(str(problem)))
                if not self._typed:
                    return None
                if self._given:
                    self._given.pop()

    def _ask(
        self, replayed: deque[str], kind: str, room: str, prompt: str, read: Callable[[str], T]
    ) -> T | None:
        del kind, room
        if replayed:
            try:
                return _read(replayed.popleft(), read)
            except ValueError as problem:  # of another version, or changed by hand
                del self._given[len(self._given) - len(replayed) - 1 :]
                self._context.problem(f"the kept answers go no further than this: {problem}")
                raise _Again from None
        self._keep()
        offer = ""
        while True:
            text = self._answer(prompt, offer)
            if text == "back" or (text == "b" and not _takes_b(read)):
                if self._given:
                    self._given.pop()
                    self._context.problem("one question back")
                raise _Again
            text = text or offer
            if not text and self._typed and _is_needed(read):
                self._context.problem("this is needed; back goes one question back")
                continue
            try:
                found = _read(text, read)
            except ValueError as problem:
                offer = getattr(problem, "offer", "")
                if not self._typed:
                    raise
                taken = f" (enter takes {offer})" if offer else ""
                self._context.problem(f"{problem}{taken}")
                continue
            self._given.append(text)
            return found

    def _resume(self) -> None:
        """Take up the answers kept of an earlier start, unless somebody wants to start anew."""
        if self._kept is None:
            return
        try:
            tidy(self._kept)
            self._seen = load(self._kept)
        except FileNotFoundError:
            return
        lines = self._seen.splitlines()
        question = (
            f"{len(lines)} answers are kept in {self._kept}. Go on from there? enter, or n to start anew"
        )
        if self._answer(question, "").lower() not in ("n", "no"):
            self._given = lines

    def _keep(self) -> None:
        """Put the answers so far on the disk."""
        if self._kept is None or not self._given:
            return
        text = "".join(f"{each}\n" for each in self._given)
        if text == self._seen:
            return
        try:
            save(self._kept, text, self._seen)
            self._seen = text
        except (OSError, ChangedMeanwhile) as problem:
            self._context.problem(f"your answers are not kept from here on: {problem}")
            self._kept = None

    def stopped(self) -> None:
        """Say where the answers are and how to go on."""
        if self._kept is not None and self._seen:
            said = f"{self._seen.count(chr(10))} answers are kept in {self._kept}"
            self._context.problem(f"{said}: the same command goes on from there (b goes back)")

    def done(self) -> None:
        """Keep no answers any more: they are in the shop file."""
        if self._kept is not None:
            self._kept.unlink(missing_ok=True)

    def _tell(self, replayed: deque[str], line: str) -> None:
        if not replayed:  # said once, not again while answers are replayed
            self._context.problem(line)

    def _answer(self, prompt: str, offer: str) -> str:
        if self._typed:
            sys.stdout.write(f"{prompt}{f' [{offer}]' if offer else ''} ")
            sys.stdout.flush()
        line = self._lines.readline()
        if line == "" and self._typed:
            raise KeyboardInterrupt
        self._line += 1
        return line.strip()

    def _said(self, problem: str) -> str:
        return problem if self._typed else f"{self._name}:{self._line}: {problem}"

    def agrees(self, question: str) -> bool:
        """Ask yes or no; no unless somebody types yes."""
        return self._answer(question, "").lower() in ("y", "yes")


class _Rows:
    """Answers from a table of rows: what each is stands in its first cell, 'room' begins a room."""

    def __init__(self, context: Context, file: str) -> None:
        self._context, self._name = context, file
        self._rows: dict[tuple[str, str], deque[tuple[int, str]]] = defaultdict(deque)
        self._line = 0
        from shopbins.strip.importing import delimiter

        room = ""
        text = Path(file).read_text(encoding="utf-8-sig")
        parted = delimiter(text.split("\n", 1)[0])
        with io.StringIO(text, newline="") as lines:
            for number, row in enumerate(csv.reader(lines, delimiter=parted), 1):
                cells = row if parted == "," else [_pointed(cell) for cell in row]
                kind = cells[0].strip().lower() if cells else ""
                if not kind or kind.startswith("#"):
                    continue
                rest = ",".join(cell.strip() for cell in cells[1:]).rstrip(",")
                if kind == "room":
                    room = rest
                if kind in ("shop", "tape", "measured", "room", "walkway", "walkway field"):
                    self._rows[kind, ""].append((number, rest))
                else:
                    self._rows[kind, room].append((number, rest))

    def of(self, describe: Describe) -> str | None:
        """Return what is described; None after saying what is wrong with a row."""
        try:
            text = describe(self._ask, self._context.problem)
        except ValueError as problem:
            self._context.problem(f"{self._name}:{self._line}: {problem}")
            return None
        left = sorted(row for (kind, _), rows in self._rows.items() if kind != "room" for row in rows)
        if left:
            self._context.problem(f"{self._name}:{left[0][0]}: no question is answered by this row")
            return None
        return text

    def _ask(self, kind: str, room: str, prompt: str, read: Callable[[str], T]) -> T | None:
        del prompt
        rows = self._rows[kind, room]
        if not rows:
            return None
        self._line, text = rows.popleft()
        return _read(text, read)

    def stopped(self) -> None:
        """Say nothing: the rows stay in their file."""

    def done(self) -> None:
        """Leave the rows in their file."""

    def agrees(self, question: str) -> bool:
        """Never: nobody is there to ask."""
        del question
        return False


def _pointed(cell: str) -> str:
    """Write a decimal comma as a point: only where commas do not part the columns."""
    return re.sub(r"(?<=\d),(?=\d)", ".", cell)


def _takes_b(read: Callable[[str], object]) -> bool:
    """Tell whether b is an answer to this question: then only 'back' goes back."""
    from shopbins.shop.interview import Choice, Needed

    asked: object = read.read if isinstance(read, Needed) else read
    return isinstance(asked, Choice) and "b" in asked.words


def _is_needed(read: Callable[[str], object]) -> bool:
    from shopbins.shop.interview import Needed

    return isinstance(read, Needed)


def _read(text: str, read: Callable[[str], T]) -> T | None:
    return read(text) if text else None


COMMANDS = (
    Command(
        "new",
        (
            "shopbins new",
            "shopbins new --sheet measure.pdf",
            "shopbins new shed.yaml --from rows.csv",
        ),
        _arguments,
        _new,
        "Enter skips a question: what you do not know is not written. back (or b) goes back one\n"
        "question. A door or a bench may be typed as one row with commas, in the order\n"
        "of the sheet (docs/draw.md).",
    ),
)
