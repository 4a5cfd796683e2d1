"""How a face of a label may be divided between big code, bars, QR code and words, the best ways first.

Modules of both symbols are whole dots of the printer and their quiet zones stay on the label.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from shopbins.tags import TagError, qr
from shopbins.tags.fit import Box
from shopbins.tags.fonts import CAP, DEPTH

QUIET_MODULES = 10  # ISO/IEC 15417: quiet zone of ten modules at each end (from memory)
# ... and bars at least 5 mm, or 15 % of the symbol's length without them, for hand scanners
LEAST_BAR_MM = 5.0
LEAST_BAR_SHARE = 0.15
# The narrowest module used. Measured: 0.25 mm is always read where it is whole dots of a 203 dpi printer;
# 0.254 mm drawn for 300 dpi but printed at 203 is not (5 of 42 failed), 0.339 mm is. So a sheet drawn for a
# finer printer keeps modules that a coarse one still prints readably.
LEAST_MODULE_MM = 0.25
LEAST_MODULE_OTHER_MM = 0.33
COARSEST_DPI = 203
WIDEST_MODULE_MM = 1.0
# ISO/IEC 18004 names no least module; a third of a millimetre is read by phones at a hand's breadth. Common
# practice, no source. The symbol grows with the label: a phone reads it from about ten times its side.
LEAST_QR_MODULE_MM = 0.33
WIDEST_QR_MODULE_MM = 3.0
QR_SHARE = 0.4  # of the width goes to the QR code at most
EDGE_MM = 1.0  # quiet zones stay this far inside the label's edge
# Letters are read from about 300 times the height of their capitals (DIN 1450 and DIN 4844-1, from memory).
READ_FACTOR = 300.0
READ_AT_MM = 2000.0
LEAST_CODE_CAP_MM = 3.0
LEAST_CODE_SHARE = 0.18  # of the height for the big code where words would have to be shortened otherwise
# A face so much wider than high may have its bars at the right instead of at the foot; and: tried first.
BESIDE_FROM, BESIDE_FIRST = 2.6, 4.0
GAP_MM = 1.0


@dataclass(frozen=True, slots=True)
class Paper:
    """The face drawn on: its size as one reads it, what stays white at its edge, the printer, the layout."""

    width_mm: float
    height_mm: float
    inset_mm: float
    dpi: int
    name: str

    @property
    def dot_mm(self) -> float:
        """The side of a printer's dot."""
        return 25.4 / self.dpi


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be put on a face: the big code's length over its letter size and whether letters hang below
    its line, the modules of its bars (0: none), whether a QR code, and the height's share for the big code.
    """

    unit_width: float
    hangs: bool
    modules: int
    qr: bool
    share: float


@dataclass(frozen=True, slots=True)
class Division:
    """A face divided, all in mm from its left and bottom edge: modules, and where everything goes."""

    bar_mm: float
    bars_left_mm: float
    bars_bottom_mm: float
    bars_height_mm: float
    qr_mm: float
    qr_left_mm: float
    qr_bottom_mm: float
    code_size_mm: float
    code_base_mm: float
    words: Box

    @property
    def read_at_mm(self) -> float:
        """From how far the big code is read."""
        return self.code_size_mm * CAP * READ_FACTOR


@dataclass(frozen=True, slots=True)
class _Plan:
    """One way to divide: modules, the code's share of the height, and where the symbols go."""

    bar_mm: float
    qr_mm: float
    share: float
    beside: bool
    column: bool


@lru_cache(maxsize=512)
def divisions(wanted: Wanted, paper: Paper) -> tuple[Division, ...]:
    """Return the ways to divide a face: those whose code reads from 2 m first, largest symbols first.

    TagError where there is none.
    """
    found: dict[Division, None] = {}
    for plan in _plans(wanted, paper):
        made = _divided(wanted, paper, plan)
        if made is not None:
            found[made] = None
    if not found:
        raise TagError(f"a face of {paper.width_mm:g} x {paper.height_mm:g} mm is too small ({paper.name})")
    alone_mm = _code_size(wanted, paper, paper.width_mm - 2 * paper.inset_mm, wanted.share)
    far = min(READ_AT_MM, alone_mm * CAP * READ_FACTOR) - 1e-6
    return tuple(sorted(found, key=lambda each: each.read_at_mm < far))


def _plans(wanted: Wanted, paper: Paper) -> Iterator[_Plan]:
    """Go through the ways, those with the largest symbols first."""
    ratio = paper.width_mm / paper.height_mm
    ways = [False, True] if ratio >= BESIDE_FROM else [False]
    codes = _qr_sizes(paper) if wanted.qr else [0.0]
    for beside in reversed(ways) if ratio >= BESIDE_FIRST else ways:
        bars = _bar_sizes(wanted.modules, paper, beside) if wanted.modules else [0.0]
        columns = (False, True) if wanted.qr and not beside else (False,)
        for bar, code in [(bar, codes[0]) for bar in bars] + [(bars[-1], each) for each in codes[1:]]:
            for column in columns:
                yield _Plan(bar, code, wanted.share, beside, column)
        yield _Plan(bars[-1], codes[-1], LEAST_CODE_SHARE, beside, columns[-1])


def least_module_mm(dpi: int) -> float:
    """Return the narrowest bar module trusted for a layout drawn for a printer's dots an inch."""
    return LEAST_MODULE_MM if dpi <= COARSEST_DPI else LEAST_MODULE_OTHER_MM


def _bar_sizes(count: int, paper: Paper, beside: bool) -> list[float]:
    """Return the modules to try, widest first: whole dots that leave the quiet zones on the label."""
    dot = paper.dot_mm
    room = paper.width_mm - 2 * EDGE_MM
    modules_all = count + 2 * QUIET_MODULES
    most = min((room / 2 if beside else room) / modules_all, WIDEST_MODULE_MM)
    least = math.ceil(least_module_mm(paper.dpi) / dot - 1e-9)
    widest = math.floor(most / dot + 1e-9)
    if beside and widest < least <= room / modules_all / dot:
        widest = least
    if widest < least:
        raise TagError(
            f"its bars with their white ends need {least * dot * modules_all:.1f} mm, "
            f"a label of {paper.name} gives {room:.1f} mm"
        )
    return [dots * dot for dots in range(widest, least - 1, -1)]


def _qr_sizes(paper: Paper) -> list[float]:
    """Return a few QR modules to try, widest first, whole dots each."""
    dot = paper.dot_mm
    room = min(QR_SHARE * paper.width_mm, paper.height_mm - 2 * EDGE_MM)
    widest = math.floor(min(room / qr.ALL_MODULES, WIDEST_QR_MODULE_MM) / dot + 1e-9)
    least = math.ceil(LEAST_QR_MODULE_MM / dot - 1e-9)
    if widest < least:
        need = least * dot * qr.ALL_MODULES
        raise TagError(f"its QR code needs {need:.1f} mm, a label of {paper.name} gives {room:.1f} mm")
    steps = dict.fromkeys((widest, (2 * widest + least) // 3, (widest + 2 * least) // 3, least))
    return [dots * dot for dots in steps]


def _code_size(wanted: Wanted, paper: Paper, room_mm: float, share: float) -> float:
    """Return the letter size of the big code where it has so much room across."""
    inner_mm = paper.height_mm - 2 * paper.inset_mm
    most_cap_mm = max(share * inner_mm, LEAST_CODE_CAP_MM + 0.5)
    return min(most_cap_mm / CAP, max(room_mm, 0.0) / wanted.unit_width)


def _divided(wanted: Wanted, paper: Paper, plan: _Plan) -> Division | None:
    """Divide a face one way; None where that leaves too little for the code, a symbol or the words."""
    inset, dot = paper.inset_mm, paper.dot_mm
    inner_h = paper.height_mm - 2 * inset
    right, foot = paper.width_mm - inset, inset  # where words end at the right and below
    bars_mm = plan.bar_mm * wanted.modules
    bar_height = max(LEAST_BAR_MM, LEAST_BAR_SHARE * bars_mm) if wanted.modules else 0.0
    bars_left = _whole((paper.width_mm - bars_mm) / 2, dot)
    if wanted.modules and plan.beside:
        bars_left = _whole(paper.width_mm - EDGE_MM - plan.bar_mm * QUIET_MODULES - bars_mm, dot)
        right = bars_left - plan.bar_mm * QUIET_MODULES
        bar_height = max(bar_height, inner_h)
    elif wanted.modules:
        foot = inset + bar_height + GAP_MM
    side = plan.qr_mm * qr.ALL_MODULES if wanted.qr else 0.0
    box_left = (right if wanted.modules and plan.beside else paper.width_mm - EDGE_MM) - side
    words_right = min(right, box_left) if wanted.qr else right
    code_mm = _code_size(
        wanted, paper, (words_right if plan.beside or plan.column else right) - inset, plan.share
    )
    cap_mm = code_mm * CAP
    code_base = paper.height_mm - inset - cap_mm
    words_top = code_base - GAP_MM - (DEPTH * code_mm if wanted.hangs else 0.0)
    qr_top = paper.height_mm - EDGE_MM if plan.beside or plan.column else words_top
    qr_room = qr_top - (foot - GAP_MM if wanted.modules and not plan.beside else EDGE_MM)
    if cap_mm < LEAST_CODE_CAP_MM or words_top < foot or qr_room < side - 1e-9 or bar_height > inner_h + 1e-9:
        return None
    quiet = plan.qr_mm * qr.QUIET_MODULES
    return Division(
        bar_mm=plan.bar_mm,
        bars_left_mm=bars_left,
        bars_bottom_mm=inset,
        bars_height_mm=bar_height,
        qr_mm=plan.qr_mm,
        qr_left_mm=_whole(box_left + quiet, dot) if wanted.qr else 0.0,
        qr_bottom_mm=_whole(qr_top - (qr_room + side) / 2 + quiet, dot) if wanted.qr else 0.0,
        code_size_mm=code_mm,
        code_base_mm=code_base,
        words=Box(inset, words_top, words_right - inset, words_top - foot),
    )


def _whole(length_mm: float, dot_mm: float) -> float:
    """Return a length as a whole number of dots, rounded down."""
    return math.floor(length_mm / dot_mm + 1e-6) * dot_mm
