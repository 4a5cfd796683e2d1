"""What a plain word of the file may be read as, and what YAML 1.1 would make of it instead."""

from __future__ import annotations

import re

from shopbins.shop.nodes import Scalar
from shopbins.shop.problems import shown
from shopbins.shop.source import HIDDEN, code_point

LONGEST_KEY = 60
LONGEST_NAME = 80
LONGEST_NOTE = 1000

_WORDS = {"yes": "true", "no": "false", "on": "true", "off": "false", "true": "true", "false": "false"}
_NOTHING = frozenset({"", "~", "null"})
_NUMBER_LIKE = re.compile(r"[-+.\d]")
_ORDINARY = re.compile(r"[-+]?(0|[1-9]\d*)(\.\d+)?( ?(mm|m|kg|t|in|ft|lb|%|kN)\b.*)?")
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
    """Say what YAML 1.1 makes of a plain word, if not the text or decimal number it looks like."""
    if scalar.quoted:
        return None
    text = scalar.text
    if not _NUMBER_LIKE.match(text):
        value = _WORDS.get(text.lower())
        return None if value is None else f"YAML reads {text} as {value}"
    if _ORDINARY.fullmatch(text):  # nearly all of them
        return None
    if _CLOCK.fullmatch(text):
        return f"YAML reads {text} as a number to the base 60"
    if _OCTAL.fullmatch(text) and len(text) < 20:
        return f"YAML reads {text} as {int(text.replace('_', ''), 8)}"
    if _DATE.fullmatch(text):
        return f"YAML reads {shown(text)} as a date"
    if _NOT_NUMBER.fullmatch(text):
        return f"{text} is no finite number"
    if any(each.fullmatch(text) for each in (_BASED, _PADDED, _EXPONENT, _UNDERSCORED)):
        return f"YAML readers differ on {shown(text)}"
    return None


def as_number_hint(text: str) -> str:
    """Return how to write a number that YAML misreads; nothing where it was no number at all."""
    if not _NUMBER_LIKE.match(text):
        return ""
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
    misread = misreading(key)
    if misread is not None:
        return misread, f'quote it: "{key.text}"'
    if key.text != key.text.strip():
        return f"the key '{shown(key.text)}' begins or ends with a space", "take the space out"
    if "/" in key.text:
        return f"the key '{shown(key.text)}' has a '/' in it", "'/' parts a zone from its level"
    return text_trouble(key.text, LONGEST_KEY)
