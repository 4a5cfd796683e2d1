"""Measure a part: its mass and its size, typed in one line or each in its row."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from shopbins.records.group import CHANGE
from shopbins.tui.asking import wrong
from shopbins.tui.dialogs.form import Form, Guess, Row
from shopbins.tui.parts.entryline import check_points, read_figure
from shopbins.units import UnitError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from shopbins.ledger.model import Group
    from shopbins.tui.host import Host


WRONG = {key: wrong(partial(read_figure, key)) for key in ("mass", "size")}
"""Says in a line what is wrong with a mass or a size, None where nothing."""


def measure(app: Host, group: Group, at: str = "") -> None:
    """Ask for mass and size; an emptied row is 'not weighed', 'not measured'. `at`: the row to begin in."""
    mass = group.mass.said if group.mass else ""
    size = group.size
    known = "" if size is None else size.said
    rows = _rows(mass, known)

    def save(values: Mapping[str, str]) -> str:
        fields: dict[str, Any] = {}
        if values["mass"] != mass:
            fields["mass"] = read_figure("mass", values["mass"])
        if values["size"] != known:
            fields["size"] = read_figure("size", values["size"])
        if fields:
            app.desk.do(CHANGE(group.id, **fields))
            app.changed()
        return ""

    def given(values: dict[str, str] | None) -> None:
        if values is not None and (values["mass"], values["size"]) != (mass, known):
            said = f"{values['mass'] or 'not weighed'}, {values['size'] or 'not measured'}"
            app.tell(f"{group.shown}: {said} · u undoes it")

    form = Form(f"Measure {group.shown}", rows, read_measures, "7 kg, 300x200x150 mm", at=at, save=save)
    app.push_screen(form, given)


def _rows(mass: str = "", size: str = "") -> tuple[Row, Row]:
    return (
        Row("mass", "mass", mass, "4 kg, about 9 lb", WRONG["mass"]),
        Row("size", "length x width x height", size, "300x200x150 mm", WRONG["size"]),
    )


def lacking_rows(group: Group) -> tuple[Row, ...]:
    """Return a row for each of mass and size that a part lacks, the mass first."""
    known = (group.mass, group.size)
    return tuple(row for row, figure in zip(_rows(), known, strict=True) if figure is None)


def record_lacking(app: Host, group_id: str, typed: Mapping[str, str]) -> None:
    """Record the figures typed in of a part, what is empty left out. Raises DeskError."""
    fields = {key: read_figure(key, text) for key, text in typed.items() if text}
    if fields:
        app.desk.do(CHANGE(group_id, **fields))
        app.changed()


def measure_lacking(app: Host, title: str, groups: Sequence[Group]) -> None:
    """Ask for the one figure that each of a few parts lacks, `title` saying why; recorded as one event."""
    asked = [(group, lacking[0]) for group in groups if (lacking := lacking_rows(group))]
    rows = tuple(
        replace(row, key=f"n{number}", label=f"{row.key} of {group.name or group.code}")
        for number, (group, row) in enumerate(asked)
    )

    def quick(text: str) -> dict[str, Guess]:
        check_points(text)
        parts = [each.strip() for each in text.split(",")]
        if len(parts) > len(rows):
            raise UnitError(f"{len(rows)} figures are asked for, not {len(parts)}", "4 kg, 9 lb")
        return {row.key: Guess(part) for row, part in zip(rows, parts, strict=False)}

    def save(values: Mapping[str, str]) -> str:
        typed = [(group, row.key, values[f"n{number}"]) for number, (group, row) in enumerate(asked)]
        if acts := [CHANGE(group.id, **{key: read_figure(key, text)}) for group, key, text in typed if text]:
            app.desk.do(*acts)
            app.changed()
        return ""

    def given(values: dict[str, str] | None) -> None:
        typed = [(values or {}).get(row.key, "") for row in rows]
        said = [f"{group.shown}: {text}" for (group, _), text in zip(asked, typed, strict=True) if text]
        if said:
            app.tell(f"{' · '.join(said)} · u undoes it")

    app.push_screen(Form(title, rows, quick, "4 kg, about 9 lb, in this order", at="n0", save=save), given)


def read_measures(text: str) -> dict[str, Guess]:
    """Read '7 kg, 300x200x150 mm' in any order into its rows. Raises UnitError, Unreadable."""
    found: dict[str, Guess] = {}
    check_points(text)
    for part in (each.strip() for each in text.split(",")):
        if part:
            row = "size" if WRONG["size"](part) is None else "mass"
            if row == "mass" and (problem := WRONG["mass"](part)) is not None:
                raise UnitError(problem.partition(" (")[0], "4 kg, 300x200x150 mm")
            if row in found:
                raise UnitError(f"'{part}' would be a second {row}", "one mass and one size")
            found[row] = Guess(part)
    return found
