"""Laying something down from the screen: judge and record in one call; a stop asks for a reason."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from shopbins.desk.problems import DeskError
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from shopbins.placing.recording import Laid
    from shopbins.rules.finding import Finding
    from shopbins.tui.host import Host

REASONS = (
    ("for now", "asked again at the evening's end"),
    ("only while we work here", "somebody stands by it"),
    ("measured by hand, it goes", "the shop file is not exact here"),
    ("agreed with the others", "everybody here knows of it"),
    ("no other place tonight", "to be moved first thing"),
)
"""Reasons for letting something stand, by digit; the first is asked again."""

FOR_NOW = REASONS[0][0]

Put = Callable[[str | None], "Laid"]


def told(finding: Finding) -> str:
    """Say a finding in one line, its grade as a shape and a word."""
    return f"{GRADE_GLYPH[finding.grade]} {finding.grade}: {finding.text}"


def worst(findings: Sequence[Finding]) -> Finding | None:
    """Return the first of the worst findings, notes only if there is nothing else."""
    from shopbins.rules.finding import worst_first

    ranked = worst_first(findings)
    return ranked[0] if ranked else None


def lay(app: Host, put: Put, said: Callable[[Laid], str], then: Callable[[bool], None] | None = None) -> None:
    """Call `put(None)`; if a stop holds it, ask for a reason and call `put(reason)`.

    `then` hears whether it was laid down in the end.
    """

    def attempt(reason: str | None) -> None:
        try:
            laid = put(reason)
        except DeskError as problem:
            app.tell(*problem.lines, bad=True)
            if then is not None:
                then(False)
            return
        if laid.done:
            _done(app, laid, said(laid))
            if then is not None:
                then(True)
        else:
            _ask_reason(app, laid.findings, attempt, then)

    attempt(None)


def _done(app: Host, laid: Laid, said: str) -> None:
    app.changed()
    first = worst([f for f in laid.findings if f.grade != "note"])
    app.tell(f"{said} · {told(first)}" if first is not None else said)


def _ask_reason(
    app: Host,
    findings: Sequence[Finding],
    attempt: Callable[[str | None], None],
    then: Callable[[bool], None] | None,
) -> None:
    stops = [f for f in findings if f.grade == "stop"]

    def chosen(reason: str | None) -> None:
        if reason is not None:
            attempt(reason.removeprefix("="))
        else:
            app.tell("not laid down: a stop holds it", bad=True)
            if then is not None:
                then(False)

    ask_reason(app, "STOP: not laid down", stops, chosen)


def ask_reason(
    app: Host, title: str, findings: Sequence[Finding], chosen: Callable[[str | None], None]
) -> None:
    """Show findings and ask for a reason to let them stand, one key each."""
    says = []
    for finding in findings[:4]:
        says.append(told(finding))
        if finding.remedy:
            says.append(f"  put right: {finding.remedy}")
        if finding.source:
            says.append(f"  by: {finding.source}")
    if len(findings) > 4:
        says.append(f"and {len(findings) - 4} more")
    choices = [Choice(reason, reason, why) for reason, why in REASONS]
    app.bell()
    app.push_screen(
        Pick(
            title,
            choices,
            says=says,
            digits=True,
            deliberate=True,
            hint="a digit lets it stand for that reason · esc: not",
        ),
        chosen,
    )
