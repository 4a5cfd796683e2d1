"""Care that comes round again, as the screen asks about it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.parts.entryline import Unreadable
from shopbins.tui.refit.entryline import read_date

if TYPE_CHECKING:
    from datetime import date

    from shopbins.strip.care import Care
    from shopbins.tui.app import ShopbinsApp

_EVERY = re.compile(r"^every\s+([\d.]+)\s*(days?|d|weeks?|w|months?|years?|y|hours?|h)$", re.I)
_DAYS = {"d": 1.0, "w": 7.0, "m": 30.4375, "y": 365.25}
"""Days in each unit a time is typed in, by its first letter; a month is a twelfth of a Julian year."""


def read_care(text: str, today: date) -> tuple[str, dict[str, Any]]:
    """Read 'renew fuel hoses, every 5 years, done 2024-03-01, engine' (Unreadable); (name, fields)."""
    name, *more = [part.strip() for part in text.split(",")]
    if not name:
        raise Unreadable("what is to be done, and how often: 'change oil, every 250 hours, every 1 year'")
    fields: dict[str, Any] = {}
    for part in filter(None, more):
        every = _EVERY.match(part)
        if every and every[2].lower().startswith("h"):
            fields["every_hours"] = float(every[1])
        elif every:
            fields["every_days"] = round(float(every[1]) * _DAYS[every[2][0].lower()], 1)
        elif part.lower().startswith("done"):
            fields["done"] = read_date(part[4:], today)
        else:
            fields["machine"] = part
    if not {"every_days", "every_hours"} & set(fields):
        raise Unreadable("say how often: 'every 365 days', 'every 5 years', 'every 250 hours'")
    return name, fields


def ask_new_care(app: ShopbinsApp) -> None:
    """Ask in one line what is to be done, and how often."""

    def wrong(text: str) -> str | None:
        try:
            read_care(text, app.today())
        except (Unreadable, ValueError) as problem:
            return str(problem)
        return None

    def given(text: str | None) -> None:
        if text:
            name, fields = read_care(text, app.today())

            def add() -> int:
                if "machine" in fields:
                    fields["machine"] = app.desk.resolve_machine(fields["machine"])
                return app.desk.add_care(name, **fields)

            app.attempt(add, f"comes round again: {name}")

    app.push_screen(
        Ask("What comes round again, and how often?",
            example="renew fuel hoses, every 5 years, done 2024-03-01, engine", wrong=wrong),
        given,
    )  # fmt: skip


def ask_care(app: ShopbinsApp, care: Care) -> None:
    """Ask what there is to say of care: done, or something of its procedure no longer to be had."""
    choices = [
        Choice("done", "done today"),
        Choice("hours", "what the hour counter reads", care.machine or "say which machine first"),
        Choice("gone", "something is no longer to be had", "what is used instead, and why"),
    ]

    def chosen(answer: str | None) -> None:
        if answer == "done":
            fields: dict[str, Any] = {"done": app.today().isoformat()}
            now = app.desk.state.docs("hours").get(care.machine, {}).get("hours")
            if care.every_hours is not None and now is not None:
                fields["done_hours"] = now
            app.attempt(lambda: app.desk.set_care(care.key, **fields), f"{care.name}: done today")
        elif answer == "hours":
            _ask_hours(app, care)
        elif answer == "gone":
            _ask_gone(app, care)

    app.push_screen(Pick(care.name, choices, says=[care.sentence], digits=True), chosen)


def _ask_hours(app: ShopbinsApp, care: Care) -> None:
    def wrong(text: str) -> str | None:
        try:
            float(text)
        except ValueError:
            return f"'{text}' is no number of hours"
        return None

    def given(text: str | None) -> None:
        if text:
            app.attempt(
                lambda: app.desk.set_hours(care.machine, float(text)), f"{care.machine}: {text} hours"
            )

    app.push_screen(Ask(f"What does the hour counter of {care.machine or 'it'} read?", wrong=wrong), given)


def _ask_gone(app: ShopbinsApp, care: Care) -> None:
    def given(text: str | None) -> None:
        if text:
            gone, instead, why = [*(part.strip() for part in text.split(";")), "", ""][:3]
            app.attempt(
                lambda: app.desk.set_care(care.key, gone=gone, instead=instead, why=why),
                f"{gone}: no longer to be had, use {instead or 'nothing known yet'}",
            )

    app.push_screen(
        Ask("What is no longer to be had; what is used instead; why that may be used?",
            "; ".join(filter(None, (care.gone, care.instead, care.why))),
            example="red lead putty; jointing compound; the maker's bulletin allows it"),
        given,
    )  # fmt: skip
