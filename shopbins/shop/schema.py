"""A JSON Schema (draft 7) of the shop file, for editors: made from the table of keys.

It knows keys and forms of values, no geometry and no names of rooms. An editor reads the file as YAML 1.1, so
a schema never sees what was written as `no` or `010`. It helps while typing; `shopbins check` is the judge.
"""

from __future__ import annotations

from typing import Any

from shopbins.shop.fields import MOST_POINTS
from shopbins.shop.keys import FOOTPRINT, SHOP, Key, Keys, ValueKind, names
from shopbins.shop.scalars import LONGEST_KEY, LONGEST_NAME, LONGEST_NOTE
from shopbins.units.quantities import ANGLE, AREA_LOAD, FORCE, LENGTH, MASS, VOLUME, Quantity

_NUMBER = r"(\d+[ \t]+\d+/\d+|\d+-\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+)"


def schema() -> dict[str, Any]:
    """Return the schema of a whole shop file."""
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "A shop file of shopbins: keys and forms of values; 'shopbins check' is the judge",
        **_table(SHOP),
    }


def _table(keys: Keys) -> dict[str, Any]:
    made: dict[str, Any] = {
        "type": "object",
        "additionalProperties": False,
        "properties": {key.name: {**_value(key), "description": _said(key)} for key in keys},
    }
    needed = [key.name for key in keys if key.needed]
    if needed:
        made["required"] = needed
    if set(names(FOOTPRINT)) <= set(names(keys)):
        other = [{"required": [name]} for name in ("at", "size", "turn")]
        made["oneOf"] = [
            {"required": ["outline"], "not": {"anyOf": other}},
            {"required": ["at", "size"], "not": {"required": ["outline"]}},
        ]
        if "jambs" in names(keys):  # a hole in a wall
            made["oneOf"].append(
                {"required": ["jambs"], "not": {"anyOf": [*other, {"required": ["outline"]}]}}
            )
    return made


def _said(key: Key) -> str:
    said = key.meaning.replace("`", "'")
    return f"{said}; like {key.example}" if key.example else said


def _value(key: Key) -> dict[str, Any]:
    """Return what may be written for a key."""
    quantity = _QUANTITIES.get(key.kind)
    if quantity is not None:
        return quantity
    if key.kind is ValueKind.CHOICE:
        return {"enum": list(key.words)}
    if key.kind is ValueKind.TABLE:
        return _table(key.keys)
    if key.kind is ValueKind.EACH:
        return {"type": "object", "additionalProperties": _table(key.keys)}
    return _OTHERS[key.kind]


def _quantity(quantity: Quantity, *, signed: bool = False, about: str = "") -> dict[str, Any]:
    """Return the form of a quantity: a bare number where its unit may be left out, or a word."""
    sign = "-?" if signed else ""
    units = "|".join(_any_case(unit) for unit in quantity.factors)
    unit = f"[ \\t]*({units}){'?' if quantity.bare else ''}"
    second = "|".join(f"[ \\t]*{_NUMBER}[ \\t]*{_any_case(then)}" for then in quantity.after.values())
    tail = f"({second})?" if second else ""
    word = {"type": "string", "pattern": f"^[ \\t]*{sign}{_NUMBER}{unit}{tail}{about}[ \\t]*$"}
    if quantity.bare is None:
        return word
    number: dict[str, Any] = {"type": "number", "maximum": quantity.most}
    if not signed:
        number["minimum"] = 0
    return {"anyOf": [number, word]}


def _any_case(unit: str) -> str:
    return "".join(f"[{c.lower()}{c.upper()}]" if c.isalpha() else c for c in unit)


def _a_list(of: dict[str, Any], least: int, most: int) -> dict[str, Any]:
    return {"type": "array", "items": of, "minItems": least, "maxItems": most}


def _text(longest: int) -> dict[str, Any]:
    return {"type": ["string", "number"], "maxLength": longest}


_WITHIN = rf"([ \t]*\+-[ \t]*{_NUMBER}[ \t]*[A-Za-z]*)?"
_LENGTH = _quantity(LENGTH, about=_WITHIN)
_POINT = _a_list(_quantity(LENGTH, signed=True, about=_WITHIN), 2, 2)
_QUANTITIES: dict[ValueKind, dict[str, Any]] = {
    ValueKind.LENGTH: _LENGTH,
    ValueKind.MASS: _quantity(MASS),
    ValueKind.FORCE: _quantity(FORCE),
    ValueKind.AREA_LOAD: _quantity(AREA_LOAD),
    ValueKind.VOLUME: _quantity(VOLUME),
    ValueKind.ANGLE: _quantity(ANGLE, signed=True),
}
_OTHERS: dict[ValueKind, dict[str, Any]] = {
    ValueKind.SLOPE: {"type": "string", "pattern": rf"^{_NUMBER}[ \t]*(in[ \t]*{_NUMBER}|%|[dD][eE][gG])$"},
    ValueKind.SHARE: {"type": "string", "pattern": rf"^{_NUMBER}[ \t]*%$"},
    ValueKind.VOLTS: {
        "anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "pattern": "V$"}]
    },
    ValueKind.AMPS: {
        "anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "pattern": "A$"}]
    },
    ValueKind.BEARING: {"anyOf": [_quantity(MASS), _quantity(FORCE)]},
    ValueKind.DATE: {},
    ValueKind.YEAR: {"type": "integer", "minimum": 1100, "maximum": 2100},
    ValueKind.EXIT: {"enum": [True, False, "yes", "no", "true", "false", "emergency"]},
    ValueKind.COUNT: {"type": "integer", "minimum": 1},
    ValueKind.FLAG: {"enum": [True, False, "yes", "no", "true", "false"]},
    ValueKind.TEXT: _text(LONGEST_NAME),
    ValueKind.NOTE: {"type": ["string", "number"], "maxLength": LONGEST_NOTE * 2},
    ValueKind.TEXTS: {"anyOf": [_text(LONGEST_NAME), {"type": "array", "items": _text(LONGEST_NAME)}]},
    ValueKind.ROOM: _text(LONGEST_KEY),
    ValueKind.POINT: _POINT,
    ValueKind.POINTS: _a_list(_POINT, 2, MOST_POINTS),
    ValueKind.SIZE: {
        "anyOf": [_a_list(_LENGTH, 2, 2), {"type": "string", "pattern": r"^[^xX*]+[xX*][^xX*]+$"}]
    },
    ValueKind.POINT3: _a_list(_LENGTH, 3, 3),
    ValueKind.REACH: {"type": "object", "additionalProperties": _quantity(MASS)},
    ValueKind.HOOK: {"anyOf": [_LENGTH, {"type": "object", "additionalProperties": _LENGTH}]},
}
