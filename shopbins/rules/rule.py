"""What a rule is: a text, a limit, a source and a remedy, with its checks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from shopbins.ledger.model import Group, InZone
from shopbins.rules.finding import Finding, Grade
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import Level, Shop, Zone

Mark = Literal["own", "published", "from memory", "common practice, no source", "derived"]


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
class Rule:
    """One rule. `audit` looks at the whole shop, `judge` at one laying-down, `stand` at one body where it
    stands (a posed group or a shifted bench); any may be absent.

    `text` says what is checked and the grades; `limit` where the limit comes from; `mark` how well the
    source is known. A rule never calls anything safe: it says what was compared with what.
    """

    key: str
    title: str
    text: str
    limit: str
    source: str
    mark: Mark
    remedy: str
    audit: Callable[[Scene, date], Iterable[Finding]] | None = None
    judge: Callable[[Placement], Iterable[Finding]] | None = None
    stand: Callable[[Scene, Standing], Iterable[Finding]] | None = None

    def found(
        self,
        grade: Grade,
        subjects: Iterable[str],
        text: str,
        *,
        room: str | None = None,
        at_mm: tuple[float, float] | None = None,
        measured: float | None = None,
        limit: float | None = None,
        unit: str = "",
        source: str = "",
        remedy: str = "",
        judged: bool = True,
    ) -> Finding:
        """Return a finding of this rule, with the rule's source and remedy unless others are given."""
        return Finding(
            rule=self.key,
            grade=grade,
            subjects=tuple(subjects),
            text=text,
            room=room,
            at_mm=None if at_mm is None else (round(at_mm[0], 3), round(at_mm[1], 3)),
            measured=measured,
            limit=None if limit is None else round(limit, 6),  # 28 in are 711.2 mm, not 711.1999999999999
            unit=unit,
            source=source or self.source,
            remedy=remedy or self.remedy,
            judged=judged,
        )

    def unjudged(
        self,
        subjects: Iterable[str],
        text: str,
        *,
        room: str | None = None,
        at_mm: tuple[float, float] | None = None,
        limit: float | None = None,
        unit: str = "",
        source: str = "",
        remedy: str = "",
    ) -> Finding:
        """Return a note that this rule could not judge something, and what figure it lacks."""
        return self.found(
            "note",
            subjects,
            text,
            room=room,
            at_mm=at_mm,
            limit=limit,
            unit=unit,
            source=source,
            remedy=remedy,
            judged=False,
        )
