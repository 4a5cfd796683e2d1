"""One label in numbers: bars, texts and lines in mm, so that what does not fit is known before printing.

Bars are whole dots of the printer, their quiet zones stay on the label, and words are fitted or wrapped.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.tags import TagError
from shopbins.tags.code128 import modules
from shopbins.tags.fit import PLACE_STEPS, STEPS, Block, Box, Text, fit, one_line
from shopbins.tags.fonts import BOLD, CAP, DEPTH, PLAIN, printable
from shopbins.tags.labels import Label
from shopbins.tags.layouts import MM_PER_INCH, Layout

QUIET_MODULES = 10  # ISO/IEC 15417: quiet zone of ten modules at each end (from memory)
LEAST_BAR_MM = (
    5.0  # ... and bars at least 5 mm, or 15 % of the symbol's length without them, for hand scanners
)
LEAST_BAR_SHARE = 0.15
# The narrowest module used. Measured: 0.25 mm is always read where it is whole dots of a 203 dpi printer;
# 0.254 mm drawn for 300 dpi but printed at 203 is not (5 of 42 failed), 0.339 mm is. So a sheet drawn for a
# finer printer keeps bars that a coarse one still prints readably.
LEAST_MODULE_MM = 0.25
LEAST_MODULE_OTHER_MM = 0.33
COARSEST_DPI = 203
WIDEST_MODULE_MM = 1.0
EDGE_MM = 1.0  # the quiet zone stays this far inside the label's edge
LEAST_CODE_CAP_MM = 3.0
CODE_SHARE = 0.26  # of the label's height may go to the big code,
LEAST_CODE_SHARE = 0.18  # ... less where words would have to be shortened otherwise
GAP_MM = 1.0
HANGING = frozenset("JQ")  # capitals that reach below the line in the font used
WRITING_LINE_MM = 8.0
MOST_WRITING_LINES = 4


@dataclass(frozen=True, slots=True)
class Design:
    """One label in numbers, in mm from its left and bottom edge."""

    pattern: str
    module_mm: float
    bars_left_mm: float
    bars_bottom_mm: float
    bars_height_mm: float
    texts: tuple[Text, ...]
    rules: tuple[tuple[float, float, float], ...] = ()
    shortened: bool = False
    problems: tuple[str, ...] = ()

    @property
    def bars(self) -> tuple[tuple[int, int], ...]:
        """The bars as (first module, modules)."""
        return tuple(_runs(self.pattern))


def design(label: Label, layout: Layout) -> Design:
    """Work out one label; raise TagError where its code or its cautions do not fit the layout.

    Where the words do not all go in, narrower bars are tried (they may be lower too), then a smaller code;
    only then are words shortened, which `problems` says.
    """
    pattern = modules(label.code)
    widest, least = _module_dots(len(pattern), label.code, layout)
    tried: Design | None = None
    refused: TagError | None = None
    share = LEAST_CODE_SHARE if label.kind == "place" else CODE_SHARE
    choices = [(dots, share) for dots in range(widest, least - 1, -1)]
    for dots, share in (*choices, (least, LEAST_CODE_SHARE)):
        try:
            tried = _designed(label, layout, pattern, dots * MM_PER_INCH / layout.dpi, share)
        except TagError as error:
            refused = error
            continue
        if not tried.shortened:
            return tried
    if tried is None:
        raise refused or TagError(f"{label.code}: does not fit")
    return tried


def _designed(label: Label, layout: Layout, pattern: str, module_mm: float, code_share: float) -> Design:
    """Work out one label with bars of one width and the code up to a share of the height."""
    width_mm, height_mm = layout.label_mm
    inset = layout.inset_mm
    bar_mm = max(LEAST_BAR_MM, LEAST_BAR_SHARE * module_mm * len(pattern))
    inner_w, inner_h = width_mm - 2 * inset, height_mm - 2 * inset
    code_mm = one_line(label.code, BOLD, inner_w, code_share * inner_h)
    cap_mm = code_mm * CAP
    below_mm = GAP_MM + (DEPTH * code_mm if set(label.code) & HANGING else 0.0)
    room = inner_h - bar_mm - cap_mm - below_mm - GAP_MM
    if cap_mm < LEAST_CODE_CAP_MM or room < 0:
        raise TagError(
            f"{label.code}: a label of {width_mm:g} x {height_mm:g} mm is too small ({layout.name})"
        )
    code = Text(inset, height_mm - inset - cap_mm, BOLD, code_mm, label.code)
    box = Box(inset, height_mm - inset - cap_mm - below_mm, inner_w, room)
    words = _to_write_on(box) if label.blank else _words(label, box)
    return Design(
        pattern=pattern,
        module_mm=module_mm,
        bars_left_mm=(width_mm - module_mm * len(pattern)) / 2,
        bars_bottom_mm=inset,
        bars_height_mm=bar_mm,
        texts=(code, *words.texts),
        rules=words.rules,
        shortened=words.shortened,
        problems=words.problems,
    )


def least_module_mm(dpi: int) -> float:
    """Return the narrowest module trusted for a layout drawn for a printer's dots an inch."""
    return LEAST_MODULE_MM if dpi <= COARSEST_DPI else LEAST_MODULE_OTHER_MM


def _module_dots(count: int, code: str, layout: Layout) -> tuple[int, int]:
    """Return the widest and the least module in whole dots that leave the quiet zones on the label."""
    dot = MM_PER_INCH / layout.dpi
    room = layout.label_mm[0] - 2 * EDGE_MM
    modules_all = count + 2 * QUIET_MODULES
    widest = math.floor(min(room / modules_all, WIDEST_MODULE_MM) / dot + 1e-9)
    least = math.ceil(least_module_mm(layout.dpi) / dot - 1e-9)
    if widest < least:
        need = least * dot * modules_all
        raise TagError(
            f"{code}: its bars with their white ends need {need:.1f} mm, "
            f"a label of {layout.name} gives {room:.1f} mm"
        )
    return widest, least


def _runs(pattern: str) -> Iterator[tuple[int, int]]:
    """Go through the bars of a pattern as (first module, modules)."""
    at = pattern.find("1")
    while at >= 0:
        end = pattern.find("0", at)
        end = len(pattern) if end < 0 else end
        yield at, end - at
        at = pattern.find("1", end)


@dataclass(frozen=True, slots=True)
class _Words:
    """What stands between the big code and the bars."""

    texts: tuple[Text, ...]
    rules: tuple[tuple[float, float, float], ...] = ()
    shortened: bool = False
    problems: tuple[str, ...] = ()


def _words(label: Label, box: Box) -> _Words:
    """Fit title, lines and cautions into the box; cautions are never shortened."""
    problems: list[str] = []
    blocks: list[Block] = []
    if label.title:
        blocks.append(Block(_shown(label.title, label, problems), bold=True, title=True, least=1))
    blocks += [Block(_shown(line, label, problems), bold=False) for line in label.lines if line]
    blocks += [Block("! " + _shown(each, label, problems), bold=True, whole=True) for each in label.cautions]
    fitted = fit(blocks, box, PLACE_STEPS if label.kind == "place" else STEPS)
    if fitted is None:
        raise TagError(f"{label.code}: its cautions do not fit this label; choose a larger sheet")
    texts, shortened = fitted
    if shortened:
        problems.append(f"{label.code}: not all of its text fits; it is shortened and marked with …")
    return _Words(texts, (), shortened, tuple(problems))


def _shown(text: str, label: Label, problems: list[str]) -> str:
    shown = printable(text)
    if shown.lost:
        signs = " ".join(
            f"{each} (U+{ord(each):04X})" if each.isprintable() else f"U+{ord(each):04X}"
            for each in shown.lost[:5]
        )
        problems.append(f"{label.code}: the printing letters lack {signs}; the nearest or ◊ is printed")
    return shown.text


def _to_write_on(box: Box) -> _Words:
    """Return the writing lines of a blank tag, as many as have room for a hand with a marker."""
    count = max(1, min(MOST_WRITING_LINES, int(box.height_mm // WRITING_LINE_MM)))
    step = box.height_mm / count
    right = box.left_mm + box.width_mm
    rules = tuple((box.left_mm, right, box.top_mm - step * (at + 1) + 0.6) for at in range(count))
    hint = Text(box.left_mm, rules[0][2] + 0.7, PLAIN, min(2.2, step / 2), "what:")
    return _Words((hint,), rules)


def check(labels: Sequence[Label], layout: Layout, start: int = 1) -> tuple[list[Design], list[str]]:
    """Design every label; TagError names all that cannot be printed, the list what had to be shortened."""
    if not labels:
        raise TagError("no labels to print")
    layout.check_start(start)
    designs: list[Design] = []
    wrong: list[str] = []
    for label in labels:
        try:
            designs.append(design(label, layout))
        except TagError as error:
            wrong.extend(error.problems)
    if wrong:
        raise TagError(*wrong)
    return designs, [problem for each in designs for problem in each.problems]
