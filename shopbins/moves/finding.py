"""What moves find: each check with its source, once; and the parts of the answer it makes.

A part forbids (`no`), is a condition somebody accepts by name (`only`), flips within the measuring
(`again`), hangs on what nobody told (`open`), or is told (`note`). The reason behind it is a `Row`: the
finding, what to ask, what would end it. Nobody may accept what forbids.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from shopbins.answer import Part, Verdict, Words
from shopbins.geometry.shapes import Point
from shopbins.moves.margin import Margin
from shopbins.records.accepted import Figures
from shopbins.rules.finding import Compared, Finding

DECIDE = "local rules and a competent rigger decide"
MOVE = Words(
    "goes", "does not go", "depends, measure", "not decided", "goes only with", "goes only with", named=99
)
"""How a move says its answers; all conditions stand in the headline."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A figure that is lacking: the question, how to tell it, and how dear it is to find out (1 to 5)."""

    text: str
    set: str
    cost: int = 3

    @property
    def figures(self) -> tuple[str, tuple[tuple[str, str], ...]] | None:
        """The code of the thing it is told of, and each key with an example; None for the shop file's own."""
        words = shlex.split(self.set)
        if words[:2] != ["shopbins", "set"]:
            return None
        pairs = list(zip(words[3::2], words[4::2], strict=False))
        told = (value.partition("=") if key == "--moving" else (key[2:], "=", value) for key, value in pairs)
        return words[2], tuple((key, value) for key, _, value in told)

    @property
    def in_file(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """Each place of the shop file that is lacking, with an example; () where it is told of a thing."""
        if self.figures is not None:
            return ()
        section, _, rest = self.set.partition(": ")
        key, _, braces = rest.partition(": {")
        return tuple(_places((section, key), f"{{{braces}"))


def _places(path: tuple[str, ...], braces: str) -> Iterator[tuple[tuple[str, ...], str]]:
    """Go through the keys of a table in braces, each with its value; tables in it by their own keys."""
    depth, piece = 0, ""
    for sign in braces.strip()[1:-1] + ",":
        if sign == "," and depth == 0:
            key, _, value = (part.strip() for part in piece.partition(":"))
            if value.startswith("{"):
                yield from _places((*path, key), value)
            elif key:
                yield (*path, key), value
            piece = ""
            continue
        depth += (sign in "{[") - (sign in "}]")
        piece += sign


@dataclass(frozen=True, slots=True)
class Row:
    """What is behind a part: the finding; what to ask or to measure again; what would make it go.

    `offs` are the parts, by what they are called, that would be off to make it go: judged once all is.
    `margin` is what is left with the +- of each input, where that was added up; `rests` what a condition
    rests on, as one short word (another word, another thing to accept), with the `figures` behind it; `spots`
    are the points of the shop's floor that a condition names; `at` are the doors, sills and rooms, as
    subjects are written, where it is kept on the way, if those are not what it is about.
    """

    finding: Finding
    ask: Ask | None = None
    measure: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    offs: tuple[str, ...] = ()
    margin: Margin | None = None
    rests: str = ""
    figures: Figures = field(default_factory=dict, compare=False)
    spots: tuple[Point, ...] = ()
    at: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check(Compared):
    """One thing a move is compared with."""

    def no(
        self,
        subjects: Iterable[str],
        text: str,
        ends: Iterable[str] = (),
        offs: Iterable[str] = (),
        **more: object,
    ) -> Part:
        """Return what forbids; `ends` says what would make it go, `offs` which parts off would."""
        found = self.found("stop", subjects, text, **more)  # type: ignore[arg-type]
        return _part(Verdict.NO, text, Row(found, ends=tuple(ends), offs=tuple(offs)))

    def only(
        self,
        subjects: Iterable[str],
        words: str,
        text: str,
        *,
        spots: Iterable[Point] = (),
        at: Iterable[str] = (),
        **more: object,
    ) -> Part:
        """Return a condition, in eight words at most, what it is about, the points it names, and where it is
        kept.
        """
        found = self.found("note", subjects, text, **more)  # type: ignore[arg-type]
        row = Row(found, spots=tuple(spots), at=tuple(at))
        return _part(Verdict.ASKED, words, row)

    def again(
        self, subjects: Iterable[str], text: str, measure: Iterable[str] | Margin, **more: object
    ) -> Part:
        """Return what flips within the measuring: `measure` names it, what weighs most first."""
        margin = measure if isinstance(measure, Margin) else None
        named = margin.measure if margin is not None else tuple(measure)  # type: ignore[arg-type]
        row = Row(self.found("note", subjects, text, **more), measure=named, margin=margin)  # type: ignore[arg-type]
        return _part(Verdict.AGAIN, "; ".join(row.measure) or text, row)

    def open(
        self,
        subjects: Iterable[str],
        text: str,
        ask: Ask | None = None,
        ends: Iterable[str] = (),
        **more: object,
    ) -> Part:
        """Return what the answer hangs on and nobody told; `ends` says what would make it go."""
        found = self.found("note", subjects, text, judged=False, **more)  # type: ignore[arg-type]
        return _part(Verdict.OPEN, text if ask is None else ask.text, Row(found, ask, ends=tuple(ends)))

    def note(self, subjects: Iterable[str], text: str, **more: object) -> Part:
        """Return what is told and holds nothing back."""
        return _part(Verdict.YES, text, Row(self.found("note", subjects, text, **more)))  # type: ignore[arg-type]


def _part(verdict: Verdict, text: str, row: Row) -> Part:
    return Part(verdict, text, row.finding.subjects, None, row)


WHOLE_LACK = {"mm": 1000.0, "deg": 10.0}
"""So much lacking counts as much as a figure that is nothing of what is needed: own figures, for an order."""


def lack_of(part: Part) -> float:
    """Return how far a part that forbids is from going: 0 it nearly goes, 1 and more it is far from it.

    Of masses and forces the share that lacks; what has no figures counts as 1.
    """
    found = row_of(part).finding
    if found.measured is None or found.limit is None:
        return 1.0
    off = abs(found.measured - found.limit)
    return off / WHOLE_LACK.get(found.unit, max(abs(found.measured), abs(found.limit), 1e-9))


FAR_OFF = 0.5
"""Where so much of what gear has to hold lacks, it is not near to going: own figure."""


NAMED_ALIKE = 2
"""So many of the spots or things that something is said alike of are named."""


def once_alike(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Return parts with those that one check says alike of several spots or things told once: the worst, with
    how many others there are and the first of them by name. They are about the same in all but one subject.
    """
    found: list[tuple[list[Part], int | None]] = []
    for part in parts:
        for n, (some, apart) in enumerate(found):
            at = _apart(some[0], part)
            if at is not None and apart in (None, at):
                found[n] = [*some, part], at
                break
        else:
            found.append(([part], None))
    return tuple(some[0] if at is None else _worst_told(some, at) for some, at in found)


def _apart(one: Part, other: Part) -> int | None:
    """Return the place of the only subject in which two parts of a check differ; None where more does."""
    a, b = row_of(one), row_of(other)
    same = (a.finding.rule, one.verdict, a.finding.unit, a.finding.limit, a.ends) == (
        b.finding.rule, other.verdict, b.finding.unit, b.finding.limit, b.ends
    )  # fmt: skip
    asked = None if a.ask is None else a.ask.text, None if b.ask is None else b.ask.text
    if not same or asked[0] != asked[1] or len(one.subjects) != len(other.subjects):
        return None
    differ = [n for n, (p, q) in enumerate(zip(one.subjects, other.subjects, strict=True)) if p != q]
    return differ[0] if len(differ) == 1 else None


def _worst_told(some: Sequence[Part], apart: int) -> Part:
    worst = max(some, key=lack_of)
    others = [part.subjects[apart].partition(":")[2] or part.subjects[apart] for part in some]
    del others[some.index(worst)]
    more = f" and {len(others) - NAMED_ALIKE} more" if len(others) > NAMED_ALIKE else ""
    said = f"; the same, none worse, {len(others)} times more: {', '.join(others[:NAMED_ALIKE])}{more}"
    row = row_of(worst)
    told = replace(row, finding=replace(row.finding, text=f"{row.finding.text}{said}"))
    asks = row.ask is not None and worst.text == row.ask.text
    return replace(worst, text=worst.text if asks else f"{worst.text}{said}", evidence=told)


def row_of(part: Part) -> Row:
    """Return what is behind a part of a move's answer."""
    it = part.evidence
    assert isinstance(it, Row)
    return it


def checked_against(sources: Iterable[str]) -> str:
    """Say what an answer was compared with, and who decides."""
    named = list(dict.fromkeys(s for s in sources if s))
    words = "; ".join(named) if named else "nothing: too little is known"
    return f"checked against {words}; {DECIDE}"
