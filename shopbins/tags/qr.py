"""QR code symbols (ISO/IEC 18004) of tags' codes, as rows of modules.

A code has at most 20 letters and digits, so it is always the smallest symbol (version 1, 21 modules) with
error correction M or better. The modules come from segno. Each data bit of a symbol turns the same modules
over whatever the others are (its error correction is linear), so segno is asked once for each bit of a length
of text, and every further symbol is put together from those: a thousand labels would wait two seconds else.
Which of the eight masks is best is worked out on whole numbers by the standard's penalties.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from shopbins.tags import TagError

SIZE = 21
QUIET_MODULES = 4  # ISO/IEC 18004: quiet zone of four modules all round
ALL_MODULES = SIZE + 2 * QUIET_MODULES
ERROR_LEVEL = "m"  # at least; segno raises it where the symbol has room (to H up to 10 characters)
MASKS = range(8)
LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"  # by their values in alphanumeric mode
FITS = re.compile(r"[0-9A-Z $%*+\-./:]{1,20}")  # version 1 at level M, alphanumeric mode
LEVELS = (10, 16, 20)  # up to so many characters: level H, Q, M

PAD = 5  # light modules between the rows of the padded numbers below, as around a symbol
STRIDE = SIZE + PAD


@dataclass(frozen=True, slots=True)
class Symbol:
    """A QR symbol without its quiet zone: a string of '1' (dark) and '0' a row, and its mask's number."""

    rows: tuple[str, ...]
    mask: int

    def runs(self) -> list[tuple[int, int, int]]:
        """Return the dark modules as (row from the top, first column, modules)."""
        found: list[tuple[int, int, int]] = []
        for row, line in enumerate(self.rows):
            at = line.find("1")
            while at >= 0:
                end = line.find("0", at)
                end = SIZE if end < 0 else end
                found.append((row, at, end - at))
                at = line.find("1", end)
        return found


@lru_cache(maxsize=4096)
def symbol(text: str) -> Symbol:
    """Return the QR symbol of `text`; TagError if it is no code of at most 20 letters and digits."""
    if FITS.fullmatch(text) is None:
        raise TagError(f"{text!r} cannot be a QR code: 1 to 20 capital letters and digits")
    rows, columns = _unmasked(text)
    changes = _changes(next(most for most in LEVELS if len(text) <= most))
    _, mask = min(
        (penalty(rows ^ change, columns ^ across), mask) for mask, (change, across) in enumerate(changes)
    )
    best = f"{rows ^ changes[mask][0]:0{SIZE * STRIDE}b}"
    return Symbol(tuple(best[at * STRIDE : at * STRIDE + SIZE] for at in range(SIZE)), mask)


def _unmasked(text: str) -> tuple[int, int]:
    """Return a symbol under mask 0, from what each of its data bits turns over."""
    (rows, columns), turned = _bits(len(text))
    for at, value in enumerate(_values(text)):
        for change, across in (each for bit, each in enumerate(turned[at]) if value >> bit & 1):
            rows ^= change
            columns ^= across
    return rows, columns


def _values(text: str) -> list[int]:
    """Return the numbers alphanumeric mode makes of a text: of each two characters, and of a last one."""
    each = [LETTERS.index(char) for char in text]
    pairs = [a * len(LETTERS) + b for a, b in zip(each[0::2], each[1::2], strict=False)]
    return [*pairs, each[-1]] if len(each) % 2 else pairs


@lru_cache(maxsize=20)
def _bits(length: int) -> tuple[tuple[int, int], list[list[tuple[int, int]]]]:
    """Return the symbol of so many zeros, and what each bit of each of a text's numbers turns over in it."""
    zeros = "0" * length
    rows, columns = _padded(zeros, 0)
    turned: list[list[tuple[int, int]]] = []
    for at in range(0, length, 2):
        single = at == length - 1
        turned.append([])
        for bit in range(6 if single else 11):
            first, second = divmod(1 << bit, len(LETTERS))
            word = LETTERS[second] if single else LETTERS[first] + LETTERS[second]
            change, across = _padded(zeros[:at] + word + zeros[at + len(word) :], 0)
            turned[-1].append((rows ^ change, columns ^ across))
    return (rows, columns), turned


def _padded(text: str, mask: int) -> tuple[int, int]:
    """Return a symbol's rows, and its columns, each as one whole number with light modules in between."""
    import segno

    made = segno.make(text, error=ERROR_LEVEL, mode="alphanumeric", mask=mask, micro=False, version=1)
    return _joined(made.matrix), _joined(zip(*made.matrix, strict=True))


def _joined(lines: object) -> int:
    pad = "0" * PAD
    return int("".join("".join(map(str, line)) + pad for line in lines), 2)  # type: ignore[attr-defined]


@lru_cache(maxsize=len(LEVELS))
def _changes(most: int) -> tuple[tuple[int, int], ...]:
    """Return which modules each mask changes against mask 0: the same for every text of one error level."""
    rows, columns = _padded("0" * most, 0)
    made = [_padded("0" * most, mask) for mask in MASKS]
    return tuple((rows ^ theirs, columns ^ across) for theirs, across in made)


# -- the penalties of ISO/IEC 18004, 7.8.3


def penalty(rows: int, columns: int) -> int:
    """Return how badly a symbol reads: long runs, blocks, patterns like a finder's, too dark or light."""
    return _runs(rows) + _runs(columns) + _blocks(rows) + _finders(rows) + _finders(columns) + _shade(rows)


_PAIRS = int(("1" * (SIZE - 1) + "0" * (PAD + 1)) * SIZE, 2)  # first modules of pairs within a row
_BLOCKS = int(("1" * (SIZE - 1) + "0" * (PAD + 1)) * (SIZE - 1) + "0" * STRIDE, 2)


def _runs(lines: int) -> int:
    """Return 3 for each run of five modules alike, and 1 for each further module of it."""
    alike = ~(lines ^ lines << 1) & _PAIRS
    fours = alike & alike << 1
    fours &= fours << 2
    return fours.bit_count() + 2 * (fours & ~(fours << 1)).bit_count()


def _blocks(rows: int) -> int:
    """Return 3 for each block of two by two modules alike."""
    different = (rows ^ rows << 1) | (rows ^ rows << STRIDE) | (rows ^ rows << (STRIDE + 1))
    return 3 * (~different & _BLOCKS).bit_count()


def _finders(lines: int) -> int:
    """Return 40 for each 1011101 with four light modules before or after it."""
    dark = lines & lines << 2 & lines << 3 & lines << 4 & lines << 6
    found = dark & ~(lines << 1) & ~(lines << 5)
    after = ~(lines << 7 | lines << 8 | lines << 9 | lines << 10)
    before = ~(lines >> 1 | lines >> 2 | lines >> 3 | lines >> 4)
    return 40 * (found & (after | before)).bit_count()


def _shade(rows: int) -> int:
    """Return 10 for each 5 % the share of dark modules is off one half."""
    return 10 * int(abs(rows.bit_count() / SIZE**2 * 100 - 50) / 5)
