"""Putting something down from the screen: judge and record in one call; each stop asks by itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from shopbins.desk.problems import DeskError
from shopbins.tui.words import told

if TYPE_CHECKING:
    from shopbins.placing.recording import Laid, Reasons
    from shopbins.rules.finding import Finding
    from shopbins.tui.dialogs.stopbox import Figures
    from shopbins.tui.host import Host

Put = Callable[["Reasons"], "Laid"]
Chosen = Callable[[Mapping[str, str] | None], None]

NOT_DOWN = "not put down: fix or accept the stop first"


def worst(findings: Sequence[Finding]) -> Finding | None:
    """Return the first of the worst findings, notes only if there is nothing else."""
    from shopbins.rules.finding import worst_first

    ranked = worst_first(findings)
    return ranked[0] if ranked else None


def lay(
    app: Host,
    put: Put,
    said: Callable[[Laid], str],
    then: Callable[[bool], None] | None = None,
    best: Callable[[], None] | None = None,
    group_id: str | None = None,
) -> None:
    """Call `put(None)`; where stops hold it, ask for each by itself and call `put` with all the reasons.

    `then` hears whether it was put down in the end; `best` goes for the best place instead. Of `group_id`,
    the part put down, mass and size can be typed in where they lack; it is then judged again.
    """

    def end(done: bool) -> None:
        if then is not None:
            then(done)

    def attempt(reasons: Reasons) -> None:
        try:
            laid = put(reasons)
        except DeskError as problem:
            app.tell(*problem.lines, bad=True)
            end(False)
            return
        if laid.done:
            _done(app, laid, said(laid))
            end(True)
            return

        def chosen(given: Mapping[str, str] | None) -> None:
            if given is not None:
                known = reasons if isinstance(reasons, Mapping) else {}
                attempt({**known, **given})
            else:
                app.tell(NOT_DOWN, bad=True)
                end(False)

        def figures(stop: Finding) -> Figures | None:
            return lacking_figures(app, group_id, stop, lambda: attempt(reasons)) if group_id else None

        ask_reasons(app, "STOP: not put down", laid.stops, chosen, best, figures)

    attempt(None)


def lacking_figures(app: Host, group_id: str, stop: Finding, then: Callable[[], None]) -> Figures | None:
    """Return the figure of a part that a stop is about and that lacks: a load's its mass, else its size."""
    from shopbins.tui.dialogs.stopbox import Figures, is_load
    from shopbins.tui.parts.measuring import lacking_rows, record_lacking

    about = "mass" if is_load(stop) else "size"
    rows = [row for row in lacking_rows(app.desk.state.group(group_id)) if row.key == about]
    if not rows:
        return None
    return Figures(rows, lambda typed: record_lacking(app, group_id, typed), then)


def _done(app: Host, laid: Laid, said: str) -> None:
    app.changed()
    first = worst([f for f in laid.findings if f.grade != "note"])
    app.tell(f"{said} · {told(first)}" if first is not None else f"{said} · u undoes it")


def ask_reasons(
    app: Host,
    title: str,
    findings: Sequence[Finding],
    chosen: Chosen,
    best: Callable[[], None] | None = None,
    figures: Callable[[Finding], Figures | None] = lambda _finding: None,
) -> None:
    """Ask for each finding in a box of its own why it is accepted; `chosen` hears reasons by id, or None.

    `figures` says what can be typed in there instead.
    """
    from shopbins.rules.accepting import only_for_now
    from shopbins.tui.dialogs.stopbox import StopBox

    given: dict[str, str] = {}

    def ask(number: int) -> None:
        finding = findings[number]
        lacking = figures(finding)

        def answered(reason: str | None) -> None:
            if reason is None:
                chosen(None)
            elif reason == "best":
                if best is not None:
                    best()
            elif reason == "figures":
                if lacking is not None:
                    lacking.then()
            else:
                given[finding.id] = reason.removeprefix("=")
                if number + 1 < len(findings):
                    ask(number + 1)
                else:
                    chosen(given)

        of = f"{number + 1} of {len(findings)}" if len(findings) > 1 else ""
        serious = only_for_now(app.desk.shop, finding)
        box = StopBox(title, finding, name_needed=serious, best=best is not None, of=of, figures=lacking)
        app.push_screen(box, answered)

    app.bell()
    ask(0)


def accept_by_digit(
    app: Host, stops: Sequence[Finding], reason: str, accept: Callable[[Mapping[str, str]], None]
) -> None:
    """Accept a single stop for a reason given by its digit; several, or one that needs a name, each ask."""
    from shopbins.rules.accepting import only_for_now

    if len(stops) == 1 and not only_for_now(app.desk.shop, stops[0]):
        accept({stops[0].id: reason})
        return

    def chosen(given: Mapping[str, str] | None) -> None:
        if given is not None:
            accept(given)

    ask_reasons(app, "STOP: not put down", stops, chosen)


def accept_finding(app: Host, finding: Finding) -> None:
    """Accept a stop or a to-fix, or dismiss a note, with a reason; what is accepted counts again."""
    from shopbins.records.accepted import TAKE_BACK
    from shopbins.tui.dialogs.stopbox import box_title

    if finding.accepted is not None:
        app.attempt(lambda: app.desk.do(TAKE_BACK(finding.id)), "it counts again · u undoes it")
        return

    def chosen(given: Mapping[str, str] | None) -> None:
        from shopbins.rules.accepting import acceptable

        if given is not None:
            why = given[finding.id]
            said = "dismissed" if finding.grade == "note" else "accepted"
            what = acceptable(app.desk.shop, finding)
            app.attempt(lambda: app.desk.accept(what, why), f"{said}: {why} · u undoes it")

    ask_reasons(app, box_title(finding), [finding], chosen)
