"""One answer: what was found, what was not checked, what was accepted by whom. Its worst part is the answer.

Every question the program answers (may it lie there, does it go, is anything missing) gives an `Answer` made
of `Part`s. Headline, foot line, JSON and exit status are made here from the same parts, so that none of them
can say more than the worst of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import IntEnum
from typing import Any, NamedTuple

NAMED = 2
"""How many parts a headline names before it counts the others."""


class Verdict(IntEnum):
    """Best to worst; an answer is its worst part."""

    YES = 0
    ACCEPTED = 1  # somebody let it through, by name and reason
    FIX = 2  # to put right; forbids nothing
    ASKED = 3  # a condition nobody has accepted yet
    AGAIN = 4  # flips within how well it was measured
    OPEN = 5  # not judged, and the answer hangs on it
    NO = 6


class Accepted(NamedTuple):
    """Who let something through, why, on which day, at which measured value, and whether only for now."""

    by: str
    why: str
    since: date | None = None
    measured: float | None = None
    for_now: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return it as every command prints it."""
        since = None if self.since is None else self.since.isoformat()
        return {
            "by": self.by,
            "why": self.why,
            "for_now": self.for_now,
            "since": since,
            "measured": self.measured,
        }

    @property
    def said(self) -> str:
        """Say it in some words: 'by Ada (props under it)', 'for now by Ada'."""
        why = self.why.removeprefix("for now").lstrip(": ") if self.for_now else self.why
        said = ("for now" if self.for_now else "", f"by {self.by}" if self.by else "")
        return " ".join(filter(None, (*said, f"({why})" if why and why != self.by else "")))


@dataclass(frozen=True, slots=True)
class Part:
    """One thing judged: how it came out, in a sentence; the finding, certificate or refusal behind it."""

    verdict: Verdict
    text: str
    subjects: tuple[str, ...] = ()
    accepted: Accepted | None = None
    evidence: Any = None


@dataclass(frozen=True, slots=True)
class Words:
    """How one question says its answers; one constant a question.

    `accepted` is said where all that it goes only with was accepted ('': as `yes`). `open_is_yes` where what
    is unknown is usual and forbids nothing (laying down, audit). `named` is how many parts the headline names
    before it counts the rest.
    """

    yes: str
    no: str
    again: str = "depends on the measuring"
    open: str = "not decided"
    asked: str = "only with"
    accepted: str = ""
    open_is_yes: bool = False
    named: int = NAMED


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer to one question. Parts added are judged together with those there are."""

    words: Words
    parts: tuple[Part, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The worst of the parts; where nothing was judged, OPEN."""
        return max((part.verdict for part in self.parts), default=Verdict.OPEN)

    @property
    def yes(self) -> bool:
        """Whether it may be done: nothing forbids it, and nothing it hangs on is open or unaccepted."""
        return self.verdict < (Verdict.NO if self.words.open_is_yes else Verdict.ASKED)

    @property
    def status(self) -> int:
        """The exit status: 0 for yes, 1 for everything else (the audit has a third of its own)."""
        return 0 if self.yes else 1

    def of(self, verdict: Verdict) -> tuple[Part, ...]:
        """Return the parts of one verdict, in their order."""
        return tuple(part for part in self.parts if part.verdict is verdict)

    def __add__(self, more: Iterable[Part]) -> Answer:
        return Answer(self.words, (*self.parts, *more))

    @property
    def headline(self) -> str:
        """The one sentence: never more than its worst part, and it names that part."""
        words, verdict = self.words, self.verdict
        said = {Verdict.AGAIN: words.again, Verdict.OPEN: words.open, Verdict.ASKED: words.asked}
        if verdict is Verdict.NO:
            first = f"{words.no}: {_named(self.of(verdict), words.named)}"
        elif verdict in said and not words.open_is_yes:
            first = f"{said[verdict]}: {_named(self.of(verdict), words.named) or 'nothing was checked'}"
        else:
            first = (verdict is Verdict.ACCEPTED and words.accepted) or words.yes
        accepted, fix, unjudged = (self.of(v) for v in (Verdict.ACCEPTED, Verdict.FIX, Verdict.OPEN))
        tail = [
            f"accepted: {_named(accepted, words.named)}" if accepted else "",
            f"{len(fix)} to fix" if fix else "",
            f"{len(unjudged)} not checked" if unjudged and verdict is not Verdict.OPEN else "",
        ]
        if verdict is Verdict.OPEN and words.open_is_yes:
            tail[2] = f"{len(unjudged)} not checked" if unjudged else "nothing was checked"
        return ", ".join([first, *filter(None, tail)])

    @property
    def foot(self) -> str:
        """The same for the line at the foot: counts only, worst first."""
        counted = [
            (Verdict.NO, "stop", "stops"),
            (Verdict.AGAIN, "to measure again", "to measure again"),
            (Verdict.ASKED, "to accept", "to accept"),
            (Verdict.FIX, "to fix", "to fix"),
            (Verdict.ACCEPTED, "accepted", "accepted"),
            (Verdict.OPEN, "not checked", "not checked"),
        ]
        numbers = {verdict: len(self.of(verdict)) for verdict, _, _ in counted}
        said = [f"{n} {one if n == 1 else many}" for v, one, many in counted if (n := numbers[v])]
        if not self.parts:
            return "not checked"
        if not numbers[Verdict.NO]:
            said.insert(0, "0 stops" if numbers[Verdict.ACCEPTED] else "no stops")
        return ", ".join(said)

    def as_json(self) -> dict[str, Any]:
        """Return the verdict, the headline, what was not judged and what was accepted."""
        return {
            "yes": self.yes,
            "headline": self.headline,
            "not_judged": [part.text for part in self.of(Verdict.OPEN)],
            "accepted": [
                {"text": part.text, "subjects": list(part.subjects), **part.accepted.as_json()}
                for part in self.parts
                if part.accepted is not None
            ],
        }


def _named(parts: tuple[Part, ...], most: int) -> str:
    texts = (f"{part.text}, {part.accepted.said}" if part.accepted else part.text for part in parts[:most])
    said = "; ".join(dict.fromkeys(texts))
    return said + (f" and {len(parts) - most} more" if len(parts) > most else "")
