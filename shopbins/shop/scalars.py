"""What a plain word of the file may be read as, and what YAML 1.1 would make of it instead."""

from __future__ import annotations

import re

from shopbins.shop.nodes import Scalar
from shopbins.shop.problems import shown
from shopbins.shop.source import HIDDEN, code_point

LONGEST_KEY = 60
LONGEST_NAME = 80
LONGEST_NOTE = 1000

YES_NO = "a yes/no"

_WORDS = frozenset({"yes", "no", "on", "off", "true", "false"})
_NOTHING = frozenset({"", "~", "null"})
_NUMBER_LIKE = re.compile(r"[-+.\d]")
_CLOCK = re.compile(r"[-+]?\d+(:[0-5]?\d)+(\.\d*)?")
_OCTAL = re.compile(r"[-+]?0[0-7_]+")
_PADDED = re.compile(r"[-+]?0\d+")
_BASED = re.compile(r"[-+]?0([xX][0-9a-fA-F_]+|[bB][01_]+|[oO][0-7_]+)")
_EXPONENT = re.compile(r"[-+]?(\d[\d_]*\.?\d*|\.\d+)[eE][-+]?\d+")
_UNDERSCORED = re.compile(r"[-+]?\d[\d_]*_[\d_]*(\.\d*)?")
_DATE = re.compile(r"\d{4}-\d\d?-\d\d?([Tt ].*)?")
_NOT_NUMBER = re.compile(r"[-+]?\.(inf|nan)", re.IGNORECASE)


def is_nothing(scalar: Scalar) -> bool:
    """Tell whether nothing is written: an empty value, '~' or 'null'."""
    return not scalar.quoted and scalar.text.lower() in _NOTHING


def misreading(scalar: Scalar) -> str | None:
    """Return what YAML 1.1 takes a plain word for, if not for the text or number it looks like."""
    if scalar.quoted:
        return None
    text = scalar.text
    if not _NUMBER_LIKE.match(text):
        return YES_NO if text.lower() in _WORDS else None
    for pattern, taken_for in (
        (_CLOCK, "a number to the base 60"),
        (_OCTAL, "a number to the base 8"),
        (_BASED, "a number to another base"),
        (_PADDED, "a number, or a text, by the reader"),
        (_EXPONENT, "a text or a number, by the reader"),
        (_UNDERSCORED, "a number without the underscore"),
        (_DATE, "a date"),
        (_NOT_NUMBER, "no finite number"),
    ):
        if pattern.fullmatch(text):
            return taken_for
    return None


def as_number_hint(text: str) -> str:
    """Return how to write a number that YAML misreads."""
    if _PADDED.fullmatch(text):
        return f"write {text.lstrip('+0') or '0'}"
    if _UNDERSCORED.fullmatch(text):
        return f"write {text.replace('_', '')}"
    if _EXPONENT.fullmatch(text) and len(text) < 20:
        value = float(text.replace("_", ""))
        if abs(value) < 1e15:
            return f"write {value:.12f}".rstrip("0").rstrip(".")
    return "write it as a plain decimal number"


def text_trouble(text: str, longest: int) -> tuple[str, str] | None:
    """Return what is wrong with a name or note, and a hint: too long, or with characters nobody sees."""
    found = HIDDEN.search(text) or re.search(r"[\n\r\t]", text)
    if found:
        return f"hidden character {code_point(found.group())} in '{shown(text)}'", "take it out"
    if len(text) > longest:
        return f"'{shown(text)}' has {len(text)} characters", f"at most {longest}"
    return None


def key_trouble(key: Scalar) -> tuple[str, str] | None:
    """Return what is wrong with the key of a room, zone or the like, and a hint."""
    if not key.text.strip():
        return "a key without a name", "give it a short name, like 'bench 2'"
    taken_for = misreading(key)
    if taken_for is not None:
        return f"YAML takes the key {key.text} for {taken_for}", f'quote it: "{key.text}"'
    if key.text != key.text.strip():
        return f"the key '{shown(key.text)}' begins or ends with a space", "take the space out"
    if "/" in key.text:
        return f"the key '{shown(key.text)}' has a '/' in it", "'/' parts a zone from its level"
    return text_trouble(key.text, LONGEST_KEY)
