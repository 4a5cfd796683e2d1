"""What is to be put right, worst first, under the numbers that the plan, its list and the Audit share.

Pure: findings go in, troubles come out. One number stands for one thing to put right: a crate before a door
that is also in the way is one trouble, with the worst of its grades. Paperwork (not weighed, not named, away
too long) has no number and no spot. Numbers go to 9, stops first; a stop beyond keeps its mark.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from shopbins.geometry.shapes import Point
from shopbins.shop.model import Shop
from shopbins.tui.canvas.inks import GRADE_GLYPH, Behind, Ink
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.rules.finding import Finding

NUMBERED = 9


class Trouble(NamedTuple):
    """One thing to put right: its number (0: none), its findings, the worst first, and what it is about.

    `keys` are the keys of what stands on the plan: ids of groups, keys of places, doors, ways and fixtures.
    """

    number: int
    findings: tuple[Finding, ...]
    keys: frozenset[str]

    @property
    def worst(self) -> Finding:
        """The finding that counts."""
        return self.findings[0]

    @property
    def grade(self) -> str:
        """The worst grade."""
        return self.worst.grade

    @property
    def accepted(self) -> bool:
        """Whether somebody accepted all of it."""
        return self.worst.accepted is not None

    @property
    def for_now(self) -> bool:
        """Whether it was accepted for now only."""
        return self.worst.accepted is not None and self.worst.accepted.for_now

    @property
    def at_mm(self) -> Point | None:
        """A spot to look at."""
        return next((f.at_mm for f in self.findings if f.at_mm is not None), None)

    @property
    def sign(self) -> str:
        """Its mark on the plan and in the lists: a shape and its number."""
        if self.accepted:
            return "□"
        return f"{GRADE_GLYPH[self.grade]}{self.number or ''}"

    @property
    def look(self) -> tuple[Ink, Behind]:
        """What its sign is written with, and on."""
        if self.accepted:
            return Ink.ACCEPTED, Behind.NONE
        return (Ink.ON_STOP, Behind.STOP) if self.grade == "stop" else (Ink.ON_FIX, Behind.FIX)

    @property
    def text(self) -> str:
        """What is wrong, in one line."""
        return " · ".join(f.text for f in self.findings)


def troubles_of(findings: Iterable[Finding], id_of: Callable[[str], str | None]) -> list[Trouble]:
    """Return the dangers worst first, then those accepted; `id_of` gives the id of the group of a code."""
    from shopbins.rules.tally import dangers, things

    troubles: list[Trouble] = []
    for number, joined in enumerate(things(dangers(findings)), 1):
        shown = 0 if joined[0].accepted is not None or number > NUMBERED else number
        troubles.append(Trouble(shown, joined, frozenset(_keys(joined, id_of))))
    return troubles


def _keys(findings: Iterable[Finding], id_of: Callable[[str], str | None]) -> Iterable[str]:
    for finding in findings:
        for subject in finding.subjects:
            kind, _, key = subject.partition(":")
            yield (id_of(key) or key) if kind == "group" else key.partition("/")[0]


def no_trouble(shop: Shop) -> str:
    """Say that nothing was found, and what could not be: with no walkway described none can be blocked."""
    if shop.walkways:
        return "no trouble found by the checks made"
    return "no trouble found by the checks made · no walkway described: nothing can block one (6 draws one)"


def marked(troubles: Sequence[Trouble]) -> list[Trouble]:
    """Return those that have a mark on the plan: all stops, the to-fixes with a number, all accepted."""
    return [t for t in troubles if t.at_mm is not None and (t.number or t.accepted or t.grade == "stop")]


def summary(troubles: Sequence[Trouble], shown: int) -> list[str]:
    """Say in a few words what a list of the first `shown` leaves out."""
    rest = troubles[shown:]
    stops = sum(1 for t in rest if t.grade == "stop" and not t.accepted)
    fixes = sum(1 for t in rest if t.grade == "correct" and not t.accepted)
    accepted = [t for t in rest if t.accepted]
    for_now = all(t.for_now for t in accepted)
    said = []
    if stops:
        said.append(f"■ + {counted(stops, 'more stop')} (3)")
    if fixes:
        said.append(f"▲ + {fixes} to fix")
    if accepted:
        said.append(f"□ {len(accepted)} accepted{' for now' if for_now else ''}")
    return said
