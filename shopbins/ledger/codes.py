"""Codes on tags: reserved letter, shop prefix, serial, and an ISO 7064 MOD 37-2 check character.

`Z` + prefix (1 to 3 of A-Z 0-9, the last a letter, so that the serial's start is never in doubt) + serial
(at least 4 digits, growing) + check. MOD 37-2 catches every single wrong character and every swap of two
neighbours (ISO/IEC 7064:2003, pure system with modulus 37 and radix 2). Its check character may be `*` and
may be read for another one; serials with such a check are skipped when codes are given out.
"""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

RESERVED = "Z"
ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
SKIPPED_CHECKS = frozenset("*BIOQSZ")
"""`*` does not print on every label font; B I O Q S Z are read for 8 1 0 0 5 2 under oil."""

DEFAULT_PREFIX = "S"

_PREFIX = re.compile(r"[A-Z0-9]{0,2}[A-Z]")
_CODE = re.compile(r"Z([A-Z0-9]{0,2}[A-Z])([0-9]{4,12})([0-9A-Z*])")

CodeFault = Literal["wrong check", "other shop", "not a code"]


class CodeProblem(ValueError):  # noqa: N818 - an answer, not an error of the program
    """A text that is no code of this shop; `kind` says why, the message is one line for the user."""

    def __init__(self, kind: CodeFault, text: str) -> None:
        super().__init__(text)
        self.kind: CodeFault = kind


class Code(NamedTuple):
    """A well-formed code: its canonical text, and the prefix and serial in it."""

    text: str
    prefix: str
    serial: int


def check_character(body: str) -> str:
    """Return the MOD 37-2 check character of a text of 0-9 and A-Z."""
    total = 0
    for char in body:
        total = (total + ALPHABET.index(char)) * 2 % 37
    return ALPHABET[(1 - total) % 37]


def check_holds(text: str) -> bool:
    """Tell whether the last character of `text` is the check character of the rest."""
    total = 0
    for char in text[:-1]:
        total = (total + ALPHABET.index(char)) * 2 % 37
    return (total + ALPHABET.index(text[-1])) % 37 == 1


def prefix_problem(prefix: str) -> str | None:
    """Return what is wrong with a shop prefix, None if nothing."""
    if _PREFIX.fullmatch(prefix):
        return None
    return f"shop prefix {prefix!r} must be 1 to 3 of A-Z and 0-9, the last a letter"


def make_code(prefix: str, serial: int) -> str:
    """Put a code together; the serial's check may be one that `next_code` would skip."""
    problem = prefix_problem(prefix)
    if problem is not None:
        raise ValueError(problem)
    body = f"{RESERVED}{prefix}{serial:04d}"
    return body + check_character(body)


def next_code(prefix: str, last_serial: int) -> Code:
    """Return the first code after `last_serial` whose check character cannot be misread."""
    serial = last_serial + 1
    while (text := make_code(prefix, serial))[-1] in SKIPPED_CHECKS:
        serial += 1
    return Code(text, prefix, serial)


def serial_of(code: str) -> int:
    """Return the serial in a code of any shop, 0 if it is none."""
    found = _CODE.fullmatch(code)
    return int(found[2]) if found else 0


def looks_like_code(text: str) -> bool:
    """Tell whether a typed or scanned text has a code's shape, right or not."""
    return _CODE.fullmatch(text.strip().upper()) is not None


def parse_code(text: str, prefix: str | None = None) -> Code:
    """Read a scanned or typed code; lower case and surrounding spaces are accepted.

    With `prefix`, only codes of that shop are. Raises CodeProblem: 'not a code', 'wrong check', 'other shop'.
    """
    plain = text.strip().upper()
    shown = plain if len(plain) <= 24 and plain.isprintable() else f"{plain[:20]!r}..."
    found = _CODE.fullmatch(plain)
    if found is None:
        raise CodeProblem(
            "not a code", f"{shown} is not a code (like {make_code(prefix or DEFAULT_PREFIX, 1)})"
        )
    if not check_holds(plain):
        raise CodeProblem("wrong check", f"{shown}: a character is wrong or two are swapped (read it again)")
    if prefix is not None and found[1] != prefix:
        raise CodeProblem(
            "other shop", f"{shown} is a tag of another shop ({found[1]}; this one is {prefix})"
        )
    return Code(plain, found[1], int(found[2]))
