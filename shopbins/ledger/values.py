"""Values a group may have, checked where they enter the ledger; unknown is None, never zero."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from shopbins.ledger.docs import tree_doc
from shopbins.ledger.model import CONTAINERS, DISPOSITIONS, Away, InZone, Mass, Size, Tree, WorkPoint
from shopbins.ledger.problems import BadValue
from shopbins.ledger.text import NOTE_LIMIT, clean_text

MOST_MM = 100_000.0
MOST_KG = 100_000.0
MOST_PIECES = 1_000_000
MOST_POSITION_MM = 1_000_000.0


def number(value: Any, what: str) -> float:
    """Return a finite number; raises BadValue."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise BadValue(f"{what} must be a number, not {type(value).__name__}")
    try:
        found = float(value)
    except OverflowError:
        found = math.inf
    if not math.isfinite(found):
        raise BadValue(f"{what} must be a finite number")
    return found


def _between(value: Any, most: float, unit: str, what: str) -> float:
    found = number(value, what)
    if found <= 0:
        raise BadValue(f"{what} is {found:g} {unit}: must be more than 0 (leave it out where unknown)")
    if found > most:
        raise BadValue(f"{what} is {found:g} {unit}: more than {most:g} {unit} cannot be right")
    return found


def checked_size(size: Size | None) -> Size | None:
    """Check each length."""
    if size is None:
        return None
    sides = ((size.length_mm, "length"), (size.width_mm, "width"), (size.height_mm, "height"))
    length, width, height = (_between(value, MOST_MM, "mm", f"the {what}") for value, what in sides)
    return Size(length, width, height, bool(size.about))


def checked_mass(mass: Mass | None) -> Mass | None:
    """Check a mass."""
    return None if mass is None else Mass(_between(mass.kg, MOST_KG, "kg", "the mass"), bool(mass.about))


def checked_qty(qty: Any) -> int:
    """Check a number of pieces."""
    if isinstance(qty, bool) or not isinstance(qty, int):
        raise BadValue("the quantity must be a whole number")
    if not 1 <= qty <= MOST_PIECES:
        raise BadValue(f"the quantity is {str(qty)[:20]}: must be 1 to {MOST_PIECES}")
    return qty


def checked_outline(outline: Any) -> tuple[tuple[float, float], ...] | None:
    """Check the points of an outline in mm; its shape is judged where it is used."""
    if outline is None:
        return None
    points = tuple((number(x, "an outline's x"), number(y, "an outline's y")) for x, y in outline)
    if not 3 <= len(points) <= 200:
        raise BadValue(f"an outline has {len(points)} points: must be 3 to 200")
    if any(abs(value) > MOST_MM for point in points for value in point):
        raise BadValue(f"an outline reaches beyond {MOST_MM:g} mm")
    return points


def checked_position(value: Any) -> float:
    """Check a coordinate in mm."""
    found = number(value, "a position")
    if abs(found) > MOST_POSITION_MM:
        raise BadValue(f"a position of {found:g} mm is beyond {MOST_POSITION_MM:g} mm")
    return found


def checked_turn(value: Any) -> float:
    """Check an angle and bring it into 0 to 360 degrees."""
    return number(value, "a turn") % 360.0


def checked_place(where: InZone) -> InZone:
    """Check a place in a zone; x and y come together."""
    zone, level = clean_text(where.zone, "a zone"), clean_text(where.level, "a level")
    if not zone:
        raise BadValue("a place needs its name")
    if (where.x_mm is None) != (where.y_mm is None):
        raise BadValue("a place needs both x and y, or neither")
    turn = checked_turn(where.turn_deg)
    if where.x_mm is None or where.y_mm is None:
        return InZone(zone, level, None, None, turn, False)
    x, y = checked_position(where.x_mm), checked_position(where.y_mm)
    return InZone(zone, level, x, y, turn, bool(where.measured))


def checked_date(text: str | None, what: str) -> str | None:
    """Check a date like 2026-12-24."""
    if text is None or not text.strip():
        return None
    from datetime import date  # rarely needed, and every command would wait for its import

    plain = text.strip()
    try:
        if date.fromisoformat(plain).isoformat() == plain:
            return plain
    except ValueError:
        pass
    raise BadValue(f"{what} {plain[:20]!r} is not a date like 2026-12-24")


def checked_away(where: Away) -> Away:
    """Check whom something went to, and the dates."""
    to = clean_text(where.to, "whom it goes to")
    if not to:
        raise BadValue("say whom it goes to")
    until, since = checked_date(where.until, "until"), checked_date(where.since, "since")
    return Away(to, until, since, clean_text(where.reason, "the reason"))


def _name(value: Any) -> str:
    return clean_text(value, "the name")


def _note(value: Any) -> str:
    return clean_text(value, "the note", NOTE_LIMIT, lines=True)


def checked_work(value: Sequence[WorkPoint]) -> tuple[WorkPoint, ...]:
    """Check a short list of work: each named, none twice, dates as dates."""
    found = {}
    for each in value:
        what = clean_text(each.what, "a point of work", 80).lower()
        if not what:
            raise BadValue("a point of work has no name")
        found[what] = WorkPoint(what, checked_date(each.done, "done"))
    if len(found) > 20:
        raise BadValue(f"the work has {len(found)} points (at most 20)")
    return tuple(found.values())


def _texts(what: str, most: int = 20) -> Callable[[Any], tuple[str, ...]]:
    def check(value: Any) -> tuple[str, ...]:
        if isinstance(value, str) or not isinstance(value, Sequence):
            raise BadValue(f"{what} must be a list of texts")
        if len(value) > most:
            raise BadValue(f"{what} has {len(value)} parts (at most {most})")
        found = tuple(clean_text(each, f"a part of {what}") for each in value)
        if not all(found):
            raise BadValue(f"a part of {what} is empty")
        return found

    return check


def _one_of(words: Sequence[str], what: str) -> Callable[[Any], str]:
    def check(value: Any) -> str:
        text = clean_text(value, what, 80).lower()
        if text not in words:
            raise BadValue(f"{what} {text[:40]!r} is not known (one of: {', '.join(words)})")
        return text

    return check


def _order(value: Any) -> int | None:
    return None if value is None else checked_qty(value)


def _details(value: Mapping[str, Any]) -> dict[str, Any]:
    from shopbins.ledger.details import checked_details

    return {name: each for name, each in checked_details(value).items() if each is not None}


_CHECKS: Mapping[str, Callable[[Any], Any]] = {
    "name": _name,
    "origin": _texts("the origin"),
    "container": _one_of(tuple(CONTAINERS), "the container"),
    "size": checked_size,
    "outline": checked_outline,
    "mass": checked_mass,
    "qty": checked_qty,
    "disposition": _one_of(DISPOSITIONS, "the disposition"),
    "note": _note,
    "cautions": _texts("the cautions"),
    "order": _order,
    "tagged": bool,
    "parts": _texts("the positions", 1000),
    "work": lambda value: checked_work(value),
    "brought": bool,
    "counted": _one_of(("", "holes", "bag", "later", "assumed", "never"), "how it is counted"),
    "one_use": bool,
    "used": bool,
    "elsewhere": lambda value: clean_text(value, "the other project"),
    "details": lambda value: _details(value),
}


def checked(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Check attributes of a group; raises BadValue, also for an attribute that cannot be set."""
    for name in fields:
        if name not in _CHECKS:
            raise BadValue(f"a part has no {name!r} that could be set")
    return {name: _CHECKS[name](value) for name, value in fields.items()}


def checked_tree(tree: Tree, depth: int = 0) -> Tree:
    """Check the names in a tree of assemblies, at most 10 deep."""
    if depth > 10:
        raise BadValue("the tree of assemblies is deeper than 10")
    return tuple((clean_text(name, "an assembly"), checked_tree(below, depth + 1)) for name, below in tree)


def checked_machine(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Check a machine's fields and write them as in its document; an empty one is absent."""
    doc: dict[str, Any] = {}
    for name, value in fields.items():
        if name == "tree":
            doc[name] = tree_doc(checked_tree(value)) or None
        elif name in ("name", "owner", "job"):
            doc[name] = clean_text(value, f"a machine's {name}") or None
        elif name == "note":
            doc[name] = _note(value) or None
        else:
            raise BadValue(f"a machine has no {name!r} that could be set")
    return doc
