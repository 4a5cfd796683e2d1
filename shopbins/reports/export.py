"""Everything in the ledger as one file: JSON for programs, CSV for a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.ledger.model import Away, Group, InGroup, InZone
from shopbins.ledger.whereabouts import whereabouts
from shopbins.reports.group import group_json

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.ledger.state import State

SCHEMA = 1
COLUMNS = (
    "code", "name", "qty", "machine", "origin", "order", "container", "length_mm", "width_mm", "height_mm",
    "size_about", "mass_kg", "mass_about", "disposition", "place", "zone", "level", "x_mm", "y_mm",
    "turn_deg", "in_or_on", "holder", "away_to", "away_until", "tagged", "cautions", "note", "id",
)  # fmt: skip


def export_json(state: State, groups: Iterable[Group], events: Sequence[Event]) -> bytes:
    """Return {schema, seq, groups, events}; groups as `show` gives them, events as the journal has them."""
    doc = {
        "schema": SCHEMA,
        "seq": state.seq,
        "groups": [group_json(state, group) for group in groups],
        "events": [event.as_json() for event in events],
    }
    return (json.dumps(doc, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def export_csv(state: State, groups: Iterable[Group]) -> bytes:
    """Return one row a group, as RFC 4180 has it; UTF-8 with a mark, which spreadsheets look for.

    A text that a spreadsheet would take for a formula gets an apostrophe in front (OWASP, CSV injection).
    """
    return csv_table(COLUMNS, (export_row(state, group) for group in groups))


def csv_table(heading: Sequence[str], rows: Iterable[Iterable[Any]]) -> bytes:
    """Return a table as RFC 4180 has it; several values in a cell are divided by ';'."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(heading)
    for row in rows:
        writer.writerow(csv_cell(value) for value in row)
    return out.getvalue().encode("utf-8-sig")


def export_row(state: State, group: Group) -> Iterable[Any]:
    """Return the cells of a group, in the order of COLUMNS."""
    size, mass, where = group.size, group.mass, group.where
    zone = where if isinstance(where, InZone) else None
    holder = where if isinstance(where, InGroup) else None
    away = where if isinstance(where, Away) else None
    held_by = state.group(holder.group).code if holder and state.has_group(holder.group) else ""
    return (
        group.code, group.name, group.qty, group.origin[0] if group.origin else "",
        " > ".join(group.origin[1:]), group.order, group.container,
        *((size.length_mm, size.width_mm, size.height_mm, size.about) if size else (None, None, None, None)),
        *((mass.kg, mass.about) if mass else (None, None)),
        group.disposition, whereabouts(state, where),
        *((zone.zone, zone.level, zone.x_mm, zone.y_mm, zone.turn_deg) if zone else (None,) * 5),
        holder.how if holder else "", held_by, away.to if away else "", away.until if away else "",
        group.tagged, "; ".join(group.cautions), group.note, group.id,
    )  # fmt: skip


# Where a cell begins, for a spreadsheet that parts at ';' or tabs too; behind blanks and marks nobody sees;
# in the wide letters Japanese spreadsheets read alike. (OWASP, CSV injection)
_BLANK = "\\s\u200b-\u200f\u2060\ufeff"
_FORMULA = re.compile(f"(^|[;\t])(?=[{_BLANK}]*[=+\\-@\uff1d\uff0b\uff0d\uff20]|[\t\r\n])")


def csv_cell(value: Any) -> str:
    """Return a value as a cell: nothing for None, no text that is a formula."""
    if value is None:
        return ""
    if isinstance(value, (list, tuple)):
        return csv_cell("; ".join(map(str, value)))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:.10g}"
    return _FORMULA.sub(r"\1'", str(value))
