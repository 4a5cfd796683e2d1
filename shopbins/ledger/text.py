"""Text as people type or paste it: taken as it is, unless it would confuse a screen or a reader."""

from __future__ import annotations

import unicodedata

from shopbins.ledger.problems import BadValue

NAME_LIMIT = 200
NOTE_LIMIT = 4000
_JOINERS = "\u200c\u200d"  # between letters of Persian and Indic scripts, and in emoji
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean_text(value: str, what: str, limit: int = NAME_LIMIT, *, lines: bool = False) -> str:
    """Return `value` stripped and composed (NFC); `lines` allows line breaks.

    Raises BadValue, naming `what`, for control characters, escape sequences, marks that turn the writing
    direction, halves of characters, and more than `limit` characters.
    """
    if not isinstance(value, str):
        raise BadValue(f"{what} must be text, not {type(value).__name__}")
    text = value.strip()
    if len(text) > limit:
        raise BadValue(f"{what} has {len(text)} characters (at most {limit})")
    if text.isascii() and text.isprintable():
        return text
    text = unicodedata.normalize("NFC", text.replace("\u00a0", " "))
    for place, char in enumerate(text, start=1):
        wrong = _wrong_with(char, lines)
        if wrong:
            raise BadValue(f"{what} has {wrong} at character {place} (leave it out)")
    return text


def _wrong_with(char: str, lines: bool) -> str:
    """Return what is wrong with one character, '' if nothing."""
    if char.isprintable() or char in _JOINERS or (lines and char == "\n"):
        return ""
    code = f"U+{ord(char):04X}"
    if char == "\x1b":
        return f"an escape sequence ({code})"
    if char in _BIDI:
        return f"a mark that turns the writing direction ({code})"
    category = unicodedata.category(char)
    if category == "Zs":
        return ""
    names = {"Cc": "a control character", "Cs": "half a character", "Cf": "an invisible character"}
    return f"{names.get(category, 'a character that cannot be shown')} ({code})"


def reason_text(text: str | None) -> str:
    """Return a reason, cleaned; '' where there is none: a dash or a full stop says nothing."""
    clean = clean_text(text or "", "the reason")
    return clean if any(each.isalnum() for each in clean) else ""
