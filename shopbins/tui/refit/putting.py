"""Putting a part back on: what it waits for and what lies in it is asked about first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from shopbins.desk.problems import DeskError
from shopbins.ledger.model import InGroup
from shopbins.records.fitting import FIT, TRY
from shopbins.strip.order import Order
from shopbins.strip.refit import passed_over
from shopbins.strip.tree import is_fitted
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.tui.host import Host

ANYWAY = (
    ("what it waits for does not matter here", False),
    ("closed up for now, comes off again", True),
    ("done already, the record lags behind", False),
    ("everyone here knows and agrees", False),
)
"""Reasons for putting something back though it waits, by digit, and whether it is only for now."""


def put_on(app: Host, group: Group, *, trial: bool = False, then: Callable[[], None] | None = None) -> None:
    """Put a group on, for good or to try; what it waits for, or what lies in it, is asked about first."""

    def on(contents: bool, anyway: str = "", shown: list[str] | None = None, **more: bool) -> None:
        act = TRY if trial else FIT
        try:
            app.desk.do(act(group.id, contents=contents, anyway=anyway, shown=shown, **more))
        except DeskError as problem:
            app.tell(*problem.lines, bad=True)
            if shown is not None and set(now := waits(contents)) - set(shown):
                ask(contents, now)
            return
        app.changed()
        order = passed_over(app.desk.state, group)
        said = (f"{'on trial' if trial else 'on'}: {_onto(app, group)}", *([order] if order else ()))
        app.tell(" · ".join((*said, *app.desk.hints(group))))
        if then is not None:
            then()

    def waits(contents: bool) -> list[str]:
        """Return what a named person may let through, where that is all that stands against it."""
        from shopbins.strip.fitting import against_fit, against_trial

        state = app.desk.state
        if not state.has_group(group.id) or is_fitted(state.docs("group")[group.id].get("where")):
            return []
        found = (against_trial if trial else against_fit)(state, group, app.desk.today, contents=contents)
        return [] if found.nobody else list(found.waits)

    def ask(contents: bool, shown: list[str]) -> None:
        def chosen(reason: str, for_now: bool) -> None:
            on(contents, reason, shown, **({"for_now": True} if for_now and not trial else {}))

        _ask_anyway(app, group, shown, chosen)

    def past_waits(contents: bool) -> None:
        if shown := waits(contents):
            ask(contents, shown)
        else:
            on(contents)

    state = app.desk.state
    inside = [] if is_fitted(state.docs("group")[group.id].get("where")) else list(lying_in(state, group.id))
    if inside:
        _ask_contents(app, group, inside, past_waits)
    else:
        past_waits(False)


def _onto(app: Host, group: Group) -> str:
    """Say what a group is now on."""
    where = app.desk.state.group(group.id).where
    holder = f", on {app.desk.state.group(where.group).shown}" if isinstance(where, InGroup) else ""
    return f"{group.shown}{holder}"


def lying_in(state: State, group_id: str) -> Iterator[Group]:
    """Go through what lies in or on a group, at any depth, and is not fitted to it."""
    for each in state.descendants(group_id):
        inside = state.group(each)
        if isinstance(inside.where, InGroup) and inside.where.how in ("in", "on"):
            yield inside


def _ask_anyway(app: Host, group: Group, waits: list[str], chosen: Callable[[str, bool], None]) -> None:
    says = [f"waits for {each}" for each in waits[:6]]
    says += [f"and {len(waits) - 6} more"] if len(waits) > 6 else []
    choices = [
        Choice(str(n), reason, "the count waits for that" if for_now else "")
        for n, (reason, for_now) in enumerate(ANYWAY)
    ]
    app.bell()
    app.push_screen(
        Pick(
            f"Not put back: {group.shown}",
            choices,
            says=says,
            digits=True,
            deliberate=True,
            hint="choose a reason to fit it anyway · esc cancels",
        ),
        lambda n: chosen(*ANYWAY[int(n)]) if n is not None else None,
    )


def _ask_contents(app: Host, group: Group, inside: list[Group], chosen: Callable[[bool], None]) -> None:
    names = ", ".join(each.shown for each in inside[:4]) + (" ..." if len(inside) > 4 else "")
    choices = [
        Choice("with", "it goes on with what lies in or on it"),
        Choice("out", f"no: take {'it' if len(inside) == 1 else 'them'} out first"),
    ]

    def answered(answer: str | None) -> None:
        if answer == "with":
            chosen(True)
        elif answer == "out":
            app.tell(f"take out first: {names} (a - takes each out)")

    title = f"{counted(len(inside), 'part')} in or on {group.shown}"
    app.push_screen(Pick(title, choices, says=[names], digits=True), answered)


def pick_part(app: Host, title: str, chosen: Callable[[str], None]) -> None:
    """Pick any position of any machine, on it or off."""
    order = app.desk.state.follower(Order)
    words = {
        "on": "on the machine",
        "off": "off",
        "back": "back on",
        "open": "lacking",
        "struck": "struck out",
    }

    def beside(key: str) -> str:
        place = order.graph.places[key]
        codes = " ".join(app.desk.state.group(each).code for each in place.groups)
        return " · ".join(
            part for part in (words[order.look(key).status], " > ".join(place.origin), codes) if part
        )

    choices = [Choice(key, place.name, beside(key)) for key, place in order.graph.places.items()]
    app.push_screen(Pick(title, choices), lambda key: chosen(key) if key is not None else None)
