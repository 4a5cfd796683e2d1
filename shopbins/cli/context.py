"""What a command works with: the shop it is about, how to answer, and what it has opened."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.cli.saying import Saying, write

if TYPE_CHECKING:
    from datetime import date

    from shopbins.cli.arguments import Arguments
    from shopbins.desk import Desk
    from shopbins.lists.listing import List

SHOP_NAME = "shop.yaml"
WIDEST = 120


class Context:
    """One run of one command. Data goes to stdout, problems to stderr, a line each."""

    def __init__(self, args: Arguments, stack: ExitStack, saying: Saying) -> None:
        self.args = args
        self.json: bool = bool(args.json)
        self.problem = saying.problem
        self._stack = stack
        self._desks: list[Desk] = []
        self._remarked: set[str] = set()

    def before(self, lines: Iterable[str]) -> None:
        """Say to people what comes first, on stderr and before anything is done."""
        if not self.json:
            self.problem(*lines)
            sys.stderr.flush()

    # -- the shop

    def shop_path(self) -> Path:
        """Return the shop file meant: -s, else $SHOPBINS_SHOP, else ./shop.yaml; BadInput if none."""
        from shopbins.desk import BadInput

        given = self.args.shop or os.environ.get("SHOPBINS_SHOP", "")
        path = Path(given or SHOP_NAME)
        if path.is_dir():
            path = path / SHOP_NAME
        if not given and not path.exists():
            raise BadInput(
                "no shop.yaml here: say which shop with -s SHOP or $SHOPBINS_SHOP "
                "(shopbins new describes one, shopbins demo DIR writes one to try)"
            )
        return path

    def no_shop_here(self) -> bool:
        """Tell whether no shop was named and none is here."""
        return not (self.args.shop or os.environ.get("SHOPBINS_SHOP")) and not Path(SHOP_NAME).exists()

    def desk(self, *, readonly: bool = False, look: bool = False) -> Desk:
        """Open the shop and its ledger (`look`: as `Desk.open` says); closed when the command ends."""
        from shopbins.desk import Desk

        if self.args.by is not None and not self.args.by.strip():
            from shopbins.cli.arguments import UsageError

            raise UsageError("--by is empty: say who does it, or leave it out")
        desk = Desk.open(
            self.shop_path(),
            self.args.ledger or None,
            by=self.args.by or None,
            readonly=readonly,
            look=look,
        )
        self._stack.callback(desk.close)
        self._stack.callback(self._tell_notes, desk)
        self._desks.append(desk)
        if self.args.day is not None:
            if readonly and len(self._desks) == 1:  # not where it only shows what it has recorded
                from shopbins.cli.arguments import UsageError

                raise UsageError("--day goes with what records something")
            desk.day = self._day(self.args.day)
            desk.day_anyway = bool(getattr(self.args, "reason", "") or getattr(self.args, "anyway", ""))
        if not look:
            self.problem(*desk.ledger.damage)
        return desk

    @staticmethod
    def _day(text: str) -> date:
        from datetime import date

        from shopbins.desk import BadInput
        from shopbins.ledger.problems import BadValue
        from shopbins.records.kinds import PAST

        try:
            return date.fromisoformat(PAST.read(text, date.today()))
        except BadValue as problem:
            raise BadInput(f"--day: {problem}") from None

    def ledger(self) -> tuple[str, str]:
        """Return the ledger's folder and the prefix of its codes; the shop file must be right."""
        from shopbins.desk.shopfile import ShopFile

        path = self.shop_path()
        folder = Path(self.args.ledger) if self.args.ledger else path.with_name(path.stem + ".ledger")
        return os.path.abspath(folder), ShopFile(path, folder).prefix  # noqa: PTH100

    @property
    def damaged(self) -> bool:
        """Tell whether what was shown may lack something that was recorded."""
        return any(desk.ledger.incomplete for desk in self._desks)

    def blame(self) -> None:
        """Raise StorageFailed if a forged or broken record may be why a command has stumbled just now."""
        from shopbins.desk.problems import StorageFailed
        from shopbins.ledger.shapes import STUMBLES
        from shopbins.units import UnitError

        if not isinstance(sys.exception(), STUMBLES) or isinstance(sys.exception(), UnitError):
            return
        for desk in self._desks:
            wrong = desk.ledger.wrong_shape()
            if wrong:
                raise StorageFailed(f"{wrong} ('shopbins rescue' says what can be saved)") from None

    @property
    def recorded(self) -> bool:
        """Tell whether this command has recorded anything."""
        return any(desk.ledger.recorded for desk in self._desks)

    def _tell_notes(self, desk: Desk) -> None:
        """Say what the ledger has to remark, such as that it is a new one."""
        told = [each for each in desk.remarks() if each not in self._remarked]
        self._remarked.update(told)
        self.problem(*told)

    # -- answering

    @property
    def width(self) -> int:
        """How many cells wide text may be."""
        try:
            return max(40, min(os.get_terminal_size(sys.stdout.fileno()).columns, WIDEST))
        except (OSError, ValueError):
            return 100

    def answer(self, data: Any, lines: Iterable[str]) -> None:
        """Print the data as JSON if so asked, else the lines."""
        if self.json:
            self.data(data)
        else:
            self.lines(lines)

    def data(self, data: Any) -> None:
        """Print JSON, in ASCII so that nothing in it can steer a terminal."""
        try:
            text = json.dumps(data, allow_nan=False)
        except ValueError:  # JSON has no word for infinite
            text = json.dumps(_finite(data), allow_nan=False)
        sys.stdout.write(text + "\n")

    def lines(self, lines: Iterable[str]) -> None:
        """Print lines of text, harmless and in what the terminal can show."""
        write(sys.stdout, lines)

    def listed(self, listed: List[Any], rows: Sequence[Any], csv: str | None = None) -> int:
        """Answer a list, into a file too where `csv` says so; 1 where it is empty."""
        from shopbins.lists import show

        if csv is not None:
            self.write_file(csv, show.csv(listed, rows))
        if self.json:
            self.data(show.json(listed, rows))
        else:
            self.lines(show.text(listed, rows))
        if not rows:
            self.problem(listed.empty)
        return 0 if rows else 1

    def write_file(self, path: str, data: bytes) -> None:
        """Write a report to a file, whole or not at all; '-' is stdout."""
        from shopbins.desk.problems import translated
        from shopbins.outputs import is_stdout, write_output

        if is_stdout(path):
            sys.stdout.buffer.write(data)
            return
        with translated():
            write_output(path, data)

    @contextlib.contextmanager
    def readable(self) -> Iterator[None]:
        """Say what cannot be read as what was typed wrongly."""
        from shopbins.desk import BadInput
        from shopbins.ledger.problems import BadValue

        try:
            yield
        except BadValue as problem:
            raise BadInput(str(problem)) from None

    @contextlib.contextmanager
    def about(self, file: str) -> Iterator[None]:
        """Name the file in whatever is wrong with it."""
        from shopbins.desk import BadInput
        from shopbins.ledger.problems import BadValue

        try:
            yield
        except (BadInput, BadValue) as problem:
            raise BadInput(
                *(
                    f"{file}:{line}" if line[:1].isdigit() else f"{file}: {line}"
                    for line in str(problem).split("\n")
                )
            ) from None


def _finite(data: Any) -> Any:
    """Return the data with null for every number that is not finite."""
    if isinstance(data, dict):
        return {key: _finite(value) for key, value in data.items()}
    if isinstance(data, (list, tuple)):
        return [_finite(value) for value in data]
    return None if isinstance(data, float) and not isfinite(data) else data
