"""What moves finds, as the rules say it; each check with its source, once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shopbins.rules.finding import Finding, Grade
from shopbins.rules.rule import Mark

DECIDE = "local rules and a competent rigger decide"


@dataclass(frozen=True, slots=True)
class Check:
    """One thing a move is compared with: its key in findings, what is compared, where the limit is from."""

    key: str
    title: str
    source: str
    mark: Mark
    remedy: str

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
    ) -> Finding:
        """Return a finding of this check, with its source and remedy unless others are given."""
        return Finding(
            rule=self.key,
            grade=grade,
            subjects=tuple(subjects),
            text=text,
            room=room,
            at_mm=at_mm,
            measured=None if measured is None else round(measured, 3),
            limit=None if limit is None else round(limit, 3),
            unit=unit,
            source=source or self.source,
            remedy=remedy or self.remedy,
        )


def checked_against(sources: Iterable[str]) -> str:
    """Say what an answer was compared with, and who decides."""
    named = list(dict.fromkeys(s for s in sources if s))
    words = "; ".join(named) if named else "nothing: too little is known"
    return f"checked against {words}; {DECIDE}"
