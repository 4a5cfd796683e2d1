"""Measure a part: its mass and its size, typed in one line or each in its row."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopbins.ledger.model import Mass, Size
from shopbins.records.group import CHANGE
from shopbins.tui.dialogs.form import Form, Guess, Row
from shopbins.tui.parts.entryline import check_points
from shopbins.units import UnitError, parse_mass_about, parse_size_about, show_mass, show_size

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from shopbins.ledger.model import Group
    from shopbins.tui.host import Host


def measure(app: Host, group: Group, at: str = "") -> None:
    """Ask for mass and size; an emptied row is 'not weighed', 'not measured'. `at`: the row to begin in."""
    mass = show_mass(group.mass.kg, about=group.mass.about) if group.mass else ""
    size = group.size
    known = (
        "" if size is None else show_size((size.length_mm, size.width_mm, size.height_mm), about=size.about)
    )
    rows = (
        Row("mass", "mass", mass, "4 kg, about 9 lb", wrong_mass),
        Row("size", "length x width x height", known, "300x200x150 mm", wrong_size),
    )

    def given(values: dict[str, str] | None) -> None:
        if values is None:
            return
        fields: dict[str, Any] = {}
        if values["mass"] != mass:
            fields["mass"] = read_mass(values["mass"])
        if values["size"] != known:
            fields["size"] = read_size(values["size"])
        if fields:
            said = f"{values['mass'] or 'not weighed'}, {values['size'] or 'not measured'}"
            app.attempt(lambda: app.desk.do(CHANGE(group.id, **fields)), f"{group.shown}: {said}")

    app.push_screen(Form(f"Measure {group.shown}", rows, read_measures, "7 kg, 300x200x150 mm", at=at), given)


def lacking_rows(group: Group) -> tuple[Row, ...]:
    """Return a row for each of mass and size that a part lacks."""
    mass = Row("mass", "mass", "", "4 kg, about 9 lb", wrong_mass)
    size = Row("size", "length x width x height", "", "300x200x150 mm", wrong_size)
    return tuple(row for row, known in ((mass, group.mass), (size, group.size)) if known is None)


def record_lacking(app: Host, group_id: str, typed: Mapping[str, str]) -> None:
    """Record the figures typed in of a part, what is empty left out. Raises DeskError."""
    read: dict[str, Callable[[str], Any]] = {"mass": read_mass, "size": read_size}
    fields = {key: read[key](text) for key, text in typed.items() if text}
    if fields:
        app.desk.do(CHANGE(group_id, **fields))
        app.changed()


def lacks(group: Group) -> str:
    """Return which figure of a group is missing, the mass first: 'mass', 'size' or ''."""
    return "mass" if group.mass is None else "size" if group.size is None else ""


def measure_lacking(app: Host, title: str, groups: Sequence[Group]) -> None:
    """Ask for the one figure that each of a few parts lacks, `title` saying why; recorded as one event."""
    asked = [(group, lack) for group in groups if (lack := lacks(group))]
    rows = tuple(
        Row(
            f"n{number}",
            f"{lack} of {group.name or group.code}",
            "",
            *(("4 kg, about 9 lb", wrong_mass) if lack == "mass" else ("300x200x150 mm", wrong_size)),
        )
        for number, (group, lack) in enumerate(asked)
    )

    def quick(text: str) -> dict[str, Guess]:
        check_points(text)
        parts = [each.strip() for each in text.split(",")]
        if len(parts) > len(rows):
            raise UnitError(f"{len(rows)} figures are asked for, not {len(parts)}", "4 kg, 9 lb")
        return {row.key: Guess(part) for row, part in zip(rows, parts, strict=False)}

    def given(values: dict[str, str] | None) -> None:
        from shopbins.records.group import CHANGE

        acts, said = [], []
        for number, (group, lack) in enumerate(asked):
            if text := (values or {}).get(f"n{number}", ""):
                figure = read_mass(text) if lack == "mass" else read_size(text)
                acts.append(CHANGE(group.id, **{lack: figure}))
                said.append(f"{group.shown}: {text}")
        if acts:
            app.attempt(lambda: app.desk.do(*acts), " · ".join(said))

    app.push_screen(Form(title, rows, quick, "4 kg, about 9 lb, in this order", at="n0"), given)


def read_measures(text: str) -> dict[str, Guess]:
    """Read '7 kg, 300x200x150 mm' in any order into its rows. Raises UnitError, Unreadable."""
    found: dict[str, Guess] = {}
    check_points(text)
    for part in (each.strip() for each in text.split(",")):
        if part:
            row = "size" if wrong_size(part) is None else "mass"
            if row == "mass" and (problem := wrong_mass(part)) is not None:
                raise UnitError(problem.partition(" (")[0], "4 kg, 300x200x150 mm")
            if row in found:
                raise UnitError(f"'{part}' would be a second {row}", "one mass and one size")
            found[row] = Guess(part)
    return found


def read_mass(text: str) -> Mass | None:
    """Read a mass; an empty text is one not weighed."""
    if not text:
        return None
    amount = parse_mass_about(text)
    return Mass(amount.value, amount.about)


def wrong_mass(text: str) -> str | None:
    """Say what is wrong with a mass."""
    try:
        read_mass(text)
    except UnitError as problem:
        return str(problem)
    return None


def read_size(text: str) -> Size | None:
    """Read a size of three lengths; an empty text is one not known."""
    if not text:
        return None
    amount = parse_size_about(text)
    if len(amount.mm) != 3:
        raise UnitError("a size has length, width and height", "300x200x150 mm")
    return Size(*amount.mm, about=amount.about)


def wrong_size(text: str) -> str | None:
    """Say what is wrong with a size."""
    try:
        read_size(text)
    except UnitError as problem:
        return str(problem)
    return None
