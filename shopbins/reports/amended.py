"""The CSV of `export` come back from a spreadsheet: what it says anew of parts that are on record.

Masses, sizes, notes and what happens to a part are taken; all other columns are only compared, and so is what
is to be renewed or reused elsewhere, which raises more than the row says. Rows are known by their codes, so
nothing new is ever made. An empty cell leaves what is known; 'unknown' takes a mass or a size back.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.codes import CodeProblem, parse_code
from shopbins.ledger.model import Group, Mass, Size
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records.fitting import dispose
from shopbins.records.kinds import UNKNOWN
from shopbins.reports.export import COLUMNS, csv_cell, export_row
from shopbins.strip.importing import filled, opened

SIDES = ("length_mm", "width_mm", "height_mm")
TAKEN = (*SIDES, "size_about", "mass_kg", "mass_about", "disposition", "note")
"""The columns by which parts are changed."""
RAISES_MORE = ("renew", "reuse elsewhere")
"""What happens to a part that asks for more than a word: a shortage is raised, a project is named."""
OURS = frozenset({*TAKEN, "in_or_on", "away_to", "away_until", "tagged", "turn_deg"}) - {"note"}


@dataclass(frozen=True, slots=True)
class Change:
    """What one row says anew of one part: fields as the act `change` takes them."""

    line: int
    group: Group
    fields: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Amended:
    """What an export says anew, how many rows say nothing new, what is wrong, and which cells are left."""

    changes: tuple[Change, ...]
    same: int
    problems: tuple[tuple[int, str], ...]
    left: Mapping[str, tuple[int, ...]]


def is_export(header: Sequence[str]) -> bool:
    """Tell an export's heading from that of a parts list: codes, and two columns nobody else calls so."""
    return "code" in header and len(OURS.intersection(header)) >= 2


def read_amended(data: bytes, state: State) -> Amended:
    """Compare an export with what is on record; nothing is changed. BadValue where it cannot be read."""
    header, reader = opened(data)
    changes: list[Change] = []
    problems: list[tuple[int, str]] = []
    left: dict[str, list[int]] = {}
    seen: dict[str, int] = {}
    same = 0
    for cells, _ in filled(reader, problems):
        line, row = reader.line_num, dict(zip(header, map(str.strip, cells), strict=False))
        try:
            group = _group(state, row.get("code", ""))
            if group.id in seen:
                raise BadValue(f"{group.code} is on line {seen[group.id]} already")
            seen[group.id] = line
            now = dict(zip(COLUMNS, map(csv_cell, export_row(state, group)), strict=True))
            differ = {name: cell for name, cell in row.items() if name in now and not _alike(cell, now[name])}
            if differ.get("disposition", "").lower() in RAISES_MORE:
                left.setdefault("disposition", []).append(line)
                del differ["disposition"]
            fields = _fields(group, row, differ, comma=reader.dialect.delimiter != ",")
            if "disposition" in fields:
                dispose(state, group.id, fields["disposition"])  # what it refuses is told with its line
        except Refused as problem:
            problems.append((line, str(problem)))
            continue
        for name in differ:
            if name not in TAKEN:
                left.setdefault(name, []).append(line)
        if fields:
            changes.append(Change(line, group, fields))
        else:
            same += 1
    return Amended(tuple(changes), same, tuple(problems), {k: tuple(v) for k, v in left.items()})


def _group(state: State, text: str) -> Group:
    if not text:
        raise BadValue("has no code: nothing new is made here (a part is recorded with take)")
    try:
        found = state.resolve_code(parse_code(text).text)
    except CodeProblem as problem:
        raise BadValue(f"{text[:20]!r}: {problem}") from None
    if found is None or found[0] != "group":
        raise BadValue(f"no part here has the code {text[:20]}")
    return state.group(found[1])


def _alike(cell: str, now: str) -> bool:
    """Tell whether a cell still says what is known, as a spreadsheet writes it; an empty one says nothing."""
    plain = " ".join(now.split())
    said = " ".join(cell.split())
    if said in ("", plain, plain.encode("cp1252", "replace").decode("cp1252"), plain.removeprefix("'")):
        return True
    try:
        return float(said.replace(",", ".")) == float(plain)
    except ValueError:
        return False


def _fields(
    group: Group, row: Mapping[str, str], differ: Mapping[str, str], *, comma: bool
) -> dict[str, Any]:
    """Return what the cells that differ make of a part."""
    fields: dict[str, Any] = {}
    size, mass = group.size, group.mass
    if any(name in differ for name in (*SIDES, "size_about")):
        if any(row.get(name, "").lower() in UNKNOWN for name in SIDES):
            fields["size"] = None
        else:
            known = (None, None, None) if size is None else (size.length_mm, size.width_mm, size.height_mm)
            sides = [
                _number(differ[name], "mm", comma) if name in differ else was
                for name, was in zip(SIDES, known, strict=True)
            ]
            length, width, height = sides
            if length is None or width is None or height is None:
                raise BadValue("a size is length_mm, width_mm and height_mm, all three")
            about = _about(row.get("size_about", ""), bool(size and size.about))
            fields["size"] = values.checked_size(Size(length, width, height, about))
    if "mass_kg" in differ or "mass_about" in differ:
        if differ.get("mass_kg", "").lower() in UNKNOWN:
            fields["mass"] = None
        else:
            kg = mass.kg if mass is not None else None
            if "mass_kg" in differ:
                kg = _number(differ["mass_kg"], "kg", comma)
            if kg is None:
                raise BadValue("mass_about, but no mass_kg")
            about = _about(row.get("mass_about", ""), bool(mass and mass.about))
            fields["mass"] = values.checked_mass(Mass(kg, about))
    if "disposition" in differ:
        fields |= values.checked({"disposition": differ["disposition"].lower()})
    if "note" in differ:
        fields["note"] = values.checked({"note": re.sub(r"^'(?=\s*[=+\-@])", "", differ["note"])})["note"]
    return fields


def _number(text: str, unit: str, comma: bool) -> float:
    """Read a number as a spreadsheet writes it; `comma`: of a country that writes decimals so."""
    plain = text.removesuffix(unit).strip()
    thousands = r"\d{1,3}\.\d{3}" if comma else r"\d{1,3},\d{3}"
    if re.fullmatch(thousands, plain):
        joined = re.sub(r"[.,]", "", plain)
        raise BadValue(
            f"{plain}: is that {joined} {unit}, or {plain.replace(',', '.').rstrip('0')}? write it so"
        )
    if not re.fullmatch(r"\d+([.,]\d+)?", plain):
        raise BadValue(f"{text[:20]!r} is no number of {unit}")
    return float(plain.replace(",", "."))


def _about(text: str, now: bool) -> bool:
    if text.lower() not in ("", "yes", "no"):
        raise BadValue(f"{text[:20]!r}: about is yes or no")
    return text.lower() == "yes" if text else now
