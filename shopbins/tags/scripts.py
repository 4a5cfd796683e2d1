"""Letters that join and lines that run from right to left, set as they are read.

Joining takes the forms Unicode has for each place in a word (Arabic Presentation Forms, The Unicode Standard,
9.2), so that a font without rules of its own can print them. The order of a line is that of the Unicode
Bidirectional Algorithm (UAX #9) without explicit embeddings, which names and notes do not have.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Mapping
from functools import lru_cache

MIRRORED = dict(zip("()[]{}<>«»‹›", ")(][}{><»«›‹", strict=True))
LAM = "\u0644"


@lru_cache(maxsize=1)
def _forms() -> Mapping[tuple[str, str], str]:
    """Return the form of letters (one, or lam and alef) in a place: ('ب', 'initial') and so on."""
    found: dict[tuple[str, str], str] = {}
    for code in (*range(0xFB50, 0xFDFC), *range(0xFE80, 0xFEFD)):
        place, *letters = unicodedata.decomposition(chr(code)).split() or [""]
        text = "".join(chr(int(each, 16)) for each in letters)
        if len(text) == 1 or (len(text) == 2 and text[0] == LAM and code >= 0xFE80):
            found.setdefault((text, place.strip("<>")), chr(code))
    return found


def joined(text: str, has: Callable[[str], bool]) -> str:
    """Return a text with each letter in the form of its place in its word; `has` tells what a font has.

    Marks stand between letters without parting them. A form no font has is left as the letter alone.
    """
    forms = _forms()
    if not any((each, "final") in forms for each in text):
        return text
    units: list[str] = []  # a letter, or lam and alef, with its marks
    for each in text:
        whole = units[-1] + each if units else ""
        one = len(whole) == 2 and (whole, "isolated") in forms and has(forms[whole, "isolated"])
        if units and (one or unicodedata.combining(each)):
            units[-1] = whole
        else:
            units.append(each)
    out: list[str] = []
    for number, unit in enumerate(units):
        letters = _letters(unit)
        before = number > 0 and _joins(units[number - 1], "initial") and (letters, "final") in forms
        after = _joins(unit, "initial") and number + 1 < len(units) and _joins(units[number + 1], "final")
        place = "medial" if before and after else "final" if before else "initial" if after else "isolated"
        form = forms.get((letters, place), "")
        out.append((form if form and has(form) else letters) + unit[len(letters) :])
    return "".join(out)


def _letters(unit: str) -> str:
    """Return the letter of a unit (lam and alef: as one) without its marks."""
    return unit[:2] if len(unit) > 1 and (unit[:2], "isolated") in _forms() else unit[:1]


def _joins(unit: str, place: str) -> bool:
    """Tell whether a letter has a form that joins on that side."""
    return (_letters(unit), place) in _forms()


def in_order(text: str) -> str:
    """Return a line's letters from left to right as they stand on paper."""
    units: list[str] = []
    for each in text:
        if units and unicodedata.bidirectional(each) == "NSM":
            units[-1] += each
        else:
            units.append(each)
    kinds = [unicodedata.bidirectional(unit[0]) for unit in units]
    if not {"R", "AL"} & set(kinds):
        return text
    base = 1 if next(k for k in kinds if k in ("L", "R", "AL")) != "L" else 0
    levels = [_level(kind, base) for kind in _resolved(kinds, base)]
    order = list(range(len(units)))
    for level in range(max(levels), 0, -1):
        start = 0
        while start < len(order):
            end = start
            while end < len(order) and levels[order[end]] >= level:
                end += 1
            order[start:end] = reversed(order[start:end])
            start = max(end, start + 1)
    shown = (MIRRORED.get(units[i], units[i]) if levels[i] % 2 else units[i] for i in order)
    return "".join(shown)


def _level(kind: str, base: int) -> int:
    if kind == "R":
        return 1
    return 2 if kind in ("EN", "AN") or base else 0


def _resolved(kinds: list[str], base: int) -> list[str]:
    """Return each kind as L, R, EN or AN: rules W2 to W7, N1 and N2 of UAX #9."""
    out, strong = list(kinds), "R" if base else "L"
    last = strong
    for i, kind in enumerate(out):  # W2, W3
        if kind in ("L", "R", "AL"):
            last = kind
        elif kind == "EN" and last == "AL":
            out[i] = "AN"
        out[i] = "R" if kind == "AL" else out[i]
    for i, kind in enumerate(out):  # W4: one separator between two numbers of a kind
        if kind in ("ES", "CS") and 0 < i < len(out) - 1:
            a, b = out[i - 1], out[i + 1]
            if a == b and (a == "EN" or (a == "AN" and kind == "CS")):
                out[i] = a
    for way in (range(len(out)), range(len(out) - 1, -1, -1)):  # W5: signs beside a number
        beside = ""
        for i in way:
            if out[i] == "ET" and beside == "EN":
                out[i] = "EN"
            beside = out[i]
    last = strong
    for i, kind in enumerate(out):  # W6, W7
        if kind in ("L", "R"):
            last = kind
        out[i] = "L" if kind == "EN" and last == "L" else kind
    i = 0
    while i < len(out):  # N1, N2
        if out[i] in ("L", "R", "EN", "AN"):
            i += 1
            continue
        end = i
        while end < len(out) and out[end] not in ("L", "R", "EN", "AN"):
            end += 1
        before = strong if i == 0 else "R" if out[i - 1] != "L" else "L"
        after = strong if end == len(out) else "R" if out[end] != "L" else "L"
        out[i:end] = [before if before == after else strong] * (end - i)
        i = end
    return out
