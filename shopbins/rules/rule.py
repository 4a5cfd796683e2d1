"""What a rule is: a text, a limit, a source and a remedy, with its checks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.ledger.model import Group, InZone
from shopbins.rules.finding import Compared, Finding, Gap, Grade
from shopbins.rules.limits import Limit, law, rows, set_name
from shopbins.rules.say import TOLERANCE_MM, listed
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import Level, Shop, Zone
from shopbins.units import counted


@dataclass(frozen=True, slots=True)
class Placement:
    """A group about to be laid down: the scene with it there, and without it moved.

    `patience_s` bounds the search for an arrangement of a surface. `thorough` asks for what takes too long
    at every step of carrying: ways out, and what would fit after a shuffle.
    """

    before: Scene
    scene: Scene
    group: Group
    target: InZone
    zone: Zone
    level: Level | None
    body: Standing | None
    patience_s: float = 0.02
    thorough: bool = False

    @property
    def shop(self) -> Shop:
        """The shop as its file describes it."""
        return self.scene.shop


@dataclass(frozen=True, slots=True)
class Advice:
    """What another set's figure would say: broken by so much, or kept."""

    by: Limit
    figure: float
    measured: float | None
    most: bool = False
    note: str = ""

    @property
    def beyond(self) -> float:
        """By how much it is broken; 0 or less where it is kept or nothing was measured."""
        if self.measured is None:
            return 0.0
        return self.measured - self.figure if self.most else self.figure - self.measured

    def said(self, show: Callable[[float], str]) -> str:
        """Say it: 'us 914 mm (29 CFR ...), short by 714 mm'."""
        note = f" {self.note}" if self.note else ""
        words = (
            f"{self.by.set} {show(self.figure)}{note} ({self.by.source}{self.by.doubt and ', from memory'})"
        )
        if self.beyond > TOLERANCE_MM:
            words += f", {'over' if self.most else 'short'} by {show(self.beyond)}"
        return words


@dataclass(frozen=True, slots=True)
class Rule(Compared):
    """One rule, in one of two forms.

    A check of the audit says what it is about (`each`: a word of `things.KINDS`) and looks at one of them
    (`look`); the walk over all of them, the audit and the coverage are made from that. Where it looks at
    whole rooms, places or the like instead, `per` says so; 'move': it is looked at only where a move is
    worked out. What hangs on the whole shop at once brings
    `audit`; `each` then only says what it is about. `judge` looks at one laying-down, `stand` at one body
    where it stands (a posed group or a shifted bench).

    `text` says what is checked and the grades; `limit` where the limit comes from. `figures`: the key of its
    rows in `limits`, where a rule set may have none. `everywhere`: whether it judges in every set, by figures
    of its own or by what no set allows; None: where `limits` has rows of the set 'any' for it. A rule never
    calls anything safe: it says what was compared with what.
    """

    text: str
    limit: str
    audit: Callable[[Scene, date], Iterable[Finding]] | None = None
    judge: Callable[[Placement], Iterable[Finding]] | None = None
    stand: Callable[[Scene, Standing], Iterable[Finding]] | None = None
    each: str = ""
    per: str = ""
    look: Callable[[Scene, Any], Iterable[Finding]] | None = None
    figures: str = ""
    everywhere: bool | None = None

    @property
    def in_every_set(self) -> bool:
        """Whether it judges in every set, also in one that has no figure of this check."""
        if self.everywhere is not None:
            return self.everywhere
        return any(row.given is not None for row in rows(self.figures or self.key, "any"))

    def breaks(self, by: Limit, grade: Grade, subjects: Iterable[str], text: str, **more: Any) -> Finding:
        """Return what breaks a figure of the table, with its limit, unit and source, said where doubtful."""
        more.setdefault("limit", by.given)
        more.setdefault("unit", by.unit)
        return self.found(grade, subjects, text + by.doubt, source=by.source, **more)

    def unjudged(
        self, subjects: Iterable[str], text: str, *, source: str = "", gap: Gap = "missing", **more: Any
    ) -> Finding:
        """Return a note that this rule could not judge something, and what figure it lacks."""
        return self.found("note", subjects, text, source=source, judged=False, gap=gap, **more)

    def lacks(
        self, subject: str, name: str, what: str, write: str, *, room: str | None = None, **more: Any
    ) -> Finding:
        """Return that one figure is missing, and what to write where."""
        text = f"{name} has no {what}, so {self.title[0].lower()}{self.title[1:]} is not checked"
        return self.unjudged((subject,), text, room=room, remedy=f"write {write}", **more)

    def left_out(
        self, zone: Zone, groups: Sequence[Group], lacks: str, what: str, *, remedy: str = ""
    ) -> Finding:
        """Return how many parts of a place this rule could not judge, for want of what, and what of them."""
        where = f"on the floor of {zone.name}" if zone.kind == "room" else f"in {zone.name}"
        return self.unjudged(
            (f"zone:{zone.key}",),
            f"{counted(len(groups), 'part')} {where} {lacks}, so {what} is not checked: "
            f"{listed(g.shown for g in groups)}",
            room=zone.room, gap="keeps", measured=len(groups), unit="count",
            remedy=remedy or f"shopbins set {groups[0].code} --size 300x200x150mm",
        )  # fmt: skip

    def no_figure(
        self,
        shop: Shop,
        subject: str | Iterable[str],
        name: str,
        advice: Sequence[Advice],
        show: Callable[[float], str],
        **more: Any,
    ) -> Finding:
        """Return that the rule set gives no figure, with what others would say."""
        there = law(shop, self.figures or self.key)
        none = f" ({there.source} gives none)" if there is not None else ""
        text = f"{name}: not checked, no figure for {set_name(shop)}{none}"
        if advice:
            text += f". Advice: {'; '.join(each.said(show) for each in advice)}"
        gap: Gap = "breaks" if any(each.beyond > TOLERANCE_MM for each in advice) else "keeps"
        subjects = (subject,) if isinstance(subject, str) else subject
        more.setdefault("measured", next((a.measured for a in advice if a.measured is not None), None))
        return self.unjudged(subjects, text, gap=gap, **more)
