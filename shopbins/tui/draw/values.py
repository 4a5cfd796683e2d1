"""The values of a thing of the shop file as people read them: with their units, without brackets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.shop.keys import Key, ValueKind
from shopbins.units import counted, show_angle, show_length, show_mass, show_size

NOT_GIVEN = "not given"


def value_said(key: Key | None, written: str) -> str:
    """Say a value as it is written in the file; what has a unit already, or is a word, stands as it is."""
    import yaml

    if not written:
        return NOT_GIVEN
    if key is None:
        return written
    try:
        value = yaml.safe_load(written)
    except yaml.YAMLError:
        return written  # the file's problems are told by themselves
    if _is_number(value):
        return _number_said(key.kind, float(value), written)
    if key.kind == ValueKind.POINT and _are_numbers(value, 2):
        return f"{show_length(value[0])} across, {show_length(value[1])} up"
    if key.kind == ValueKind.SIZE and _are_numbers(value, 2):
        return show_size(value)
    if key.kind == ValueKind.POINTS and isinstance(value, list):
        return counted(len(value), "point")
    if key.kind in (ValueKind.TABLE, ValueKind.EACH, ValueKind.TEXTS) and isinstance(value, dict | list):
        return ", ".join(map(str, value))
    return written


def _number_said(kind: ValueKind, value: float, written: str) -> str:
    if kind == ValueKind.LENGTH:
        return show_length(value)
    if kind == ValueKind.MASS:
        return show_mass(value)
    return show_angle(value) if kind == ValueKind.ANGLE else written


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _are_numbers(value: Any, count: int) -> bool:
    return isinstance(value, Sequence) and len(value) == count and all(map(_is_number, value))
