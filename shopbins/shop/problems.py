"""What is wrong with a shop file: where, what, and what was probably meant."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple, Protocol

if TYPE_CHECKING:
    from shopbins.shop.model import Shop

MOST_PROBLEMS = 200


class Located(Protocol):
    """Anything with a line and a column, counted from 1."""

    @property
    def line(self) -> int: ...
    @property
    def column(self) -> int: ...


class Problem(NamedTuple):
    """One thing wrong with a file. Lines and columns count from 1; `hint` may be empty."""

    file: str
    line: int
    column: int
    what: str
    hint: str = ""

    def __str__(self) -> str:
        tail = f" ({self.hint})" if self.hint else ""
        return f"{shown(self.file, 4096)}:{self.line}:{self.column}: {self.what}{tail}"

    def as_json(self) -> dict[str, str | int]:
        """Return the problem as `shopbins check --json` prints it."""
        return {
            "file": self.file,
            "line": self.line,
            "column": self.column,
            "problem": self.what,
            "hint": self.hint,
        }


class ShopProblems(Exception):  # noqa: N818  (it carries many)
    """A shop file that cannot be used: every problem found in it, in file order.

    `shop` is what it describes where all that is written could be read, to draw it while it is put right.
    """

    def __init__(self, problems: Iterable[Problem], shop: Shop | None = None) -> None:
        self.problems = tuple(problems)
        self.shop = shop
        super().__init__("\n".join(str(each) for each in self.problems))


def _visible(text: str) -> str:
    """Write what a terminal cannot show (in a name quoted from the file, say) as its escape."""
    return text if text.isprintable() else "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)


class Notes:
    """The problems found so far in one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self._found: dict[Problem, None] = {}
        self._settled: set[tuple[int, int]] = set()

    def add(self, where: Located, what: str, hint: str = "") -> None:
        """Note a problem at a place in the file."""
        self.add_at(where.line, where.column, what, hint)

    def add_at(self, line: int, column: int, what: str, hint: str = "") -> None:
        """Note a problem at a line and column."""
        if (line, column) not in self._settled:
            self._found[Problem(self.file, line, column, _visible(what), _visible(hint))] = None

    def settle(self, where: Located) -> None:
        """Take no more notes at a place: what follows there would only follow from the first."""
        self._settled.add((where.line, where.column))

    def __len__(self) -> int:
        return len(self._found)

    def in_order(self) -> tuple[Problem, ...]:
        """Return the problems in file order; after the first 200, how many more there are."""
        ordered = sorted(self._found, key=lambda p: (p.line, p.column))
        if len(ordered) <= MOST_PROBLEMS:
            return tuple(ordered)
        kept, rest = ordered[:MOST_PROBLEMS], ordered[MOST_PROBLEMS:]
        more = Problem(self.file, rest[0].line, rest[0].column, f"and {len(rest)} more problems", "")
        return (*kept, more)


def did_you_mean(word: str, known: Iterable[str], otherwise: str = "") -> str:
    """Return "did you mean 'x'?" for the known word that is nearest, else `otherwise`."""
    near = nearest(word, known)
    return otherwise if near is None else f"did you mean '{near}'?"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word nearest to one that is not known, capitals, spaces and dashes aside."""
    folded: dict[str, str] = {}
    for option in known:
        folded.setdefault(_folded(option), option)
    same = folded.get(_folded(word))
    if same is not None:
        return same
    from difflib import get_close_matches  # only once something is wrong

    near = get_close_matches(_folded(word)[:80], folded, n=1, cutoff=0.6)
    return folded[near[0]] if near else None


def listed(words: Iterable[str]) -> str:
    """Return "'a', 'b' or 'c'"; only the first ten of many."""
    quoted = [f"'{word}'" for word in words]
    if len(quoted) > 10:
        return ", ".join(quoted[:10]) + f" and {len(quoted) - 10} more"
    if len(quoted) < 2:
        return "".join(quoted)
    return ", ".join(quoted[:-1]) + f" or {quoted[-1]}"


def shown(text: str, most: int = 40) -> str:
    """Return a text as it may be quoted in one line: shortened, with nothing that steers a terminal."""
    return _visible(text if len(text) <= most else text[: most - 3] + "...")


def _folded(word: str) -> str:
    return "".join(c for c in word.casefold() if c not in " _-")
