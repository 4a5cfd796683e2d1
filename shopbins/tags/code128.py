"""Code 128 symbols (ISO/IEC 15417), as a row of modules.

The patterns come from python-barcode, whose encoder has faults: data that begins with the digits 99 loses
them, and a second `build()` on one object may differ from the first. So the symbol values are taken from a
fresh object with the faulty step replaced, and every symbol is read back here before it is used.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from shopbins.tags import TagError

MODULES_PER_SYMBOL = 11
STOP = "1100011101011"
STARTS = {103: "A", 104: "B", 105: "C"}
SWITCHES = {"A": {99: "C", 100: "B"}, "B": {99: "C", 101: "A"}, "C": {100: "B", 101: "A"}}


def length(symbols: int) -> int:
    """Return the modules of a bar code with `symbols` data symbols: start, check and stop add 35."""
    return MODULES_PER_SYMBOL * symbols + 35


def check_symbol(values: list[int]) -> int:
    """Return the check symbol: start value plus each data value times its place, modulo 103."""
    return (values[0] + sum(place * value for place, value in enumerate(values[1:], start=1))) % 103


@lru_cache(maxsize=4096)
def modules(text: str) -> str:
    """Return `text` as '1' (bar) and '0' (space) modules, without quiet zones; TagError if it cannot be."""
    if not text or any(not " " <= each <= "~" for each in text):
        raise TagError(f"{text!r} cannot be a bar code: plain letters, digits and signs only")
    values = _values(text)
    patterns = _patterns()
    pattern = "".join(patterns[value] for value in [*values, check_symbol(values)]) + STOP
    if len(pattern) != length(len(values) - 1) or read(pattern) != text:
        raise TagError(f"the bar code of {text!r} does not read back as itself; it was not drawn")
    return pattern


def read(pattern: str) -> str:
    """Return the text of a row of modules, or raise TagError where it breaks a rule of the symbology."""
    body, stop = pattern[: -len(STOP)], pattern[-len(STOP) :]
    if stop != STOP or len(body) % MODULES_PER_SYMBOL or not body:
        raise TagError("a bar code that does not end in the stop pattern")
    value_of = _value_of()
    cut = [body[at : at + MODULES_PER_SYMBOL] for at in range(0, len(body), MODULES_PER_SYMBOL)]
    if any(each not in value_of for each in cut):
        raise TagError("a bar code with a symbol outside the set")
    *values, check = [value_of[each] for each in cut]
    if check_symbol(values) != check:
        raise TagError("a bar code whose check symbol is wrong")
    return _text(values)


def _text(values: list[int]) -> str:
    """Spell symbol values by the three code sets, printable characters only."""
    code_set = STARTS.get(values[0]) if values else None
    if code_set is None:
        raise TagError("a bar code that does not begin with a start symbol")
    spelt = []
    for value in values[1:]:
        if value in SWITCHES[code_set]:
            code_set = SWITCHES[code_set][value]
        elif code_set == "C" and value < 100:
            spelt.append(f"{value:02d}")
        elif (code_set == "B" and value < 95) or (code_set == "A" and value < 64):
            spelt.append(chr(value + 32))
        else:
            raise TagError(f"a bar code with symbol {value} in set {code_set}")
    return "".join(spelt)


@lru_cache(maxsize=1)
def _patterns() -> tuple[str, ...]:
    from barcode.charsets import code128 as charset

    return tuple(charset.CODES)


@lru_cache(maxsize=1)
def _value_of() -> dict[str, int]:
    return {each: value for value, each in enumerate(_patterns())}


@lru_cache(maxsize=1)
def _encoder() -> Any:
    from barcode.codex import Code128

    class Mended(Code128):  # type: ignore[misc]
        """Code 128 that keeps a leading pair 99 (which is also the number of the switch to set C)."""

        def _try_to_optimize(self, encoded: list[int]) -> list[int]:
            if self.code[:1].isdigit() and len(encoded) > 1 and encoded[1] == 99:
                return encoded
            optimized: list[int] = super()._try_to_optimize(encoded)
            return optimized

    return Mended


def _values(text: str) -> list[int]:
    """Return start and data symbol values, from a fresh encoder each time."""
    values: list[int] = _encoder()(text).encoded
    return values
