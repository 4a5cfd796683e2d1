"""Correct what was recorded of a part: its pieces, its container, or that there is one at all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.ledger.model import CONTAINERS
from shopbins.records.group import CHANGE
from shopbins.records.pieces import CORRECT, FEWER, MORE
from shopbins.tui.dialogs.form import Form, Guess, Row, RowFault

if TYPE_CHECKING:
    from collections.abc import Mapping

    from shopbins.ledger.model import Group
    from shopbins.records.record import Wanted
    from shopbins.tui.host import Host

BECAME = {**FEWER, **MORE}


def correct(app: Host, group: Group) -> None:
    """Ask for pieces and container; another number of pieces wants what became of them, and why.

    0 pieces: it was recorded by mistake, and is taken away. One event of it all; `u` takes it back.
    """
    rows = (
        Row("qty", "pieces", str(group.qty), "0: recorded by mistake", _wrong_qty),
        Row("container", "kept in", group.container, ", ".join(CONTAINERS), _wrong_container),
        Row("became", "what became of the others", "", _became(group), _wrong_became),
        Row("why", "why", "", "counted again; typed twice"),
    )

    def read(typed: Mapping[str, str]) -> tuple[int, str]:
        return int(typed["qty"] or group.qty), typed["container"].casefold() or "bare"

    def save(typed: Mapping[str, str]) -> str:
        wanted: list[Wanted] = []
        qty, container = read(typed)
        if qty != group.qty:
            became = typed["became"].casefold() or ("never there" if qty == 0 else "")
            if not became:
                raise RowFault("became", "say what became of the others")
            if not typed["why"]:
                raise RowFault("why", "say why the number of pieces changes: it is kept")
            why = typed["why"]
            wanted.append(CORRECT(group.id, qty=qty, became=became, reason=why, shown=group.qty))
        if qty and container != group.container:
            wanted.insert(0, CHANGE(group.id, container=container))
        if not wanted:
            raise ValueError("nothing is changed: esc cancels")
        app.desk.do(*wanted)
        app.changed()
        return ""

    def given(typed: Mapping[str, str] | None) -> None:
        if typed is not None:
            qty, container = read(typed)
            said = f"{qty} in {container}" if qty else f"none left: {typed['became'] or 'never there'}"
            app.tell(f"{group.shown}: {said} · u undoes it")

    app.push_screen(
        Form(f"Correct {group.shown}", rows, _quick, "23, never there, one hole was empty", save=save), given
    )


def _quick(text: str) -> dict[str, Guess]:
    found: dict[str, Guess] = {}
    for part in filter(None, (each.strip() for each in text.split(","))):
        row = (
            "qty" if part.isdecimal() else "container" if part.casefold() in CONTAINERS
            else "became" if part.casefold() in BECAME else "why"
        )  # fmt: skip
        before = found[row].text + ", " if row == "why" and row in found else ""
        found[row] = Guess(before + part)
    return found


def _became(group: Group) -> str:
    used = () if group.one_use else ("used up",)
    return f"fewer: {', '.join(each for each in FEWER if each not in used)}; more: {', '.join(MORE)}"


def _wrong_qty(text: str) -> str | None:
    good = not text or (text.isdecimal() and len(text) <= 6)
    return None if good else f"'{text}' is no number of pieces"


def _wrong_container(text: str) -> str | None:
    return None if not text or text.casefold() in CONTAINERS else f"one of: {', '.join(CONTAINERS)}"


def _wrong_became(text: str) -> str | None:
    return None if not text or text.casefold() in BECAME else f"one of: {', '.join(BECAME)}"
