"""One face of a label in numbers: bars, QR, texts, signs and lines in mm, so that what does not fit is known.

Words are fitted or wrapped; a code or a caution is never shortened.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from shopbins.tags import TagError, qr
from shopbins.tags.code128 import modules
from shopbins.tags.divide import LEAST_CODE_SHARE, Division, Paper, Wanted, divisions
from shopbins.tags.fit import MOST_TITLE_MM, PLACE_STEPS, STEPS, Block, Box, Fitted, Mark, Text, fit
from shopbins.tags.fonts import BOLD, CAP, PLAIN, printable, unit_width
from shopbins.tags.labels import Label
from shopbins.tags.layout import Face, Layout
from shopbins.tags.signs import sign_of

NAME_TO_CODE = 0.85  # a part's name against its big code, at most
CODE_SHARE = 0.26  # of the label's height may go to the big code; of a place's less: its name is read first
HANGING = frozenset("JQ")  # capitals that reach below the line in the font used
WRITING_LINE_MM = 8.0
LEAST_WRITING_LINE_MM = 5.0
MOST_WRITING_LINES = 4
END_MM = 14.0


@dataclass(frozen=True, slots=True)
class Design:
    """One face in numbers, in mm from its left and bottom edge as one reads it; no bars: `pattern` is ''.

    `qr` is None where no QR code is drawn; `qr_left_mm` and `qr_bottom_mm` are of its modules, not of its
    quiet zone. The first text is the big code.
    """

    pattern: str
    module_mm: float
    bars_left_mm: float
    bars_bottom_mm: float
    bars_height_mm: float
    texts: tuple[Text, ...]
    rules: tuple[tuple[float, float, float], ...] = ()
    shortened: bool = False
    problems: tuple[str, ...] = ()
    marks: tuple[Mark, ...] = ()
    qr: qr.Symbol | None = None
    qr_module_mm: float = 0.0
    qr_left_mm: float = 0.0
    qr_bottom_mm: float = 0.0
    read_at_mm: float = 0.0

    @property
    def bars(self) -> tuple[tuple[int, int], ...]:
        """The bars as (first module, modules)."""
        return tuple(_runs(self.pattern))


@dataclass(frozen=True, slots=True)
class _Words:
    """What stands below the big code, apart from the symbols."""

    fitted: Fitted
    rules: tuple[tuple[float, float, float], ...] = ()
    problems: tuple[str, ...] = ()


def design(label: Label, layout: Layout, face: Face | None = None) -> Design:
    """Work out one face of a label; TagError where its code, its symbols or its cautions do not fit.

    Where the words do not all go in, narrower bars and a smaller QR code are tried, then a smaller big code,
    then bars alone; only then are words shortened. `problems` says what was left out or shortened.
    """
    where = face or layout.all_faces[0]
    paper = Paper(*where.inner_mm, layout.inset_mm, layout.dpi, layout.name)
    shown = replace(label, kind="blank") if where.shows == "notes" and label.kind != "flag" else label
    symbols = () if label.kind == "flag" else layout.symbols
    pattern = modules(label.code) if "bars" in symbols else ""
    try:
        return _best(shown, paper, pattern, "qr" in symbols)
    except TagError as problem:
        raise TagError(*(f"{label.code}: {each}" for each in problem.problems)) from None


def _best(label: Label, paper: Paper, pattern: str, with_qr: bool) -> Design:
    """Return the first division with all words whole, if need be without QR code; else words shortened."""
    problems: list[str] = []
    blocks = [] if label.blank else _blocks(label, problems)
    choices = [True, False] if pattern and with_qr else [with_qr]
    refused: TagError | None = None
    last: tuple[Division, bool] | None = None
    for each in choices:
        try:
            ways = divisions(_wanted(label, pattern, each), paper)
        except TagError as problem:
            refused = problem
            continue
        for way in ways:
            words = _to_write_on(way.words, label.end) if label.blank else _whole_words(label, blocks, way)
            if words is not None:
                return _made(label, way, pattern, each, words, problems, each is not with_qr)
        last = last or (ways[-1], each)
    if last is None:
        raise refused or TagError("does not fit")
    fitted = fit(blocks, last[0].words, _steps(label))
    if fitted is None and len(choices) > 1:  # the cautions may go in where there is no QR code
        last = (divisions(_wanted(label, pattern, False), paper)[-1], False)
        fitted = fit(blocks, last[0].words, _steps(label))
    if fitted is None:
        raise TagError("its cautions do not fit this label; choose a larger sheet")
    problems.append("not all of its text fits; it is shortened and marked with …")
    return _made(label, last[0], pattern, last[1], _Words(fitted), problems, last[1] is not with_qr)


def _wanted(label: Label, pattern: str, with_qr: bool) -> Wanted:
    big = label.mark or label.code
    share = LEAST_CODE_SHARE if label.kind == "place" else CODE_SHARE
    return Wanted(unit_width(big, BOLD), bool(set(big) & HANGING), len(pattern), with_qr, share)


def _made(
    label: Label,
    way: Division,
    pattern: str,
    with_qr: bool,
    words: _Words,
    problems: list[str],
    left_out: bool,
) -> Design:
    if left_out:
        problems.append("no room for its QR code beside the words; the bars are there")
    code = Text(way.words.left_mm, way.code_base_mm, BOLD, way.code_size_mm, label.mark or label.code)
    return Design(
        pattern=pattern,
        module_mm=way.bar_mm,
        bars_left_mm=way.bars_left_mm,
        bars_bottom_mm=way.bars_bottom_mm,
        bars_height_mm=way.bars_height_mm,
        texts=(code, *words.fitted.texts),
        rules=words.rules,
        shortened=words.fitted.shortened,
        problems=tuple(f"{label.code}: {each}" for each in problems),
        marks=words.fitted.marks,
        qr=qr.symbol(label.code) if with_qr else None,
        qr_module_mm=way.qr_mm,
        qr_left_mm=way.qr_left_mm,
        qr_bottom_mm=way.qr_bottom_mm,
        read_at_mm=way.read_at_mm,
    )


def _runs(pattern: str) -> Iterator[tuple[int, int]]:
    """Go through the bars of a pattern as (first module, modules)."""
    at = pattern.find("1")
    while at >= 0:
        end = pattern.find("0", at)
        end = len(pattern) if end < 0 else end
        yield at, end - at
        at = pattern.find("1", end)


def _steps(label: Label) -> tuple[tuple[float, float], ...]:
    return PLACE_STEPS if label.kind == "place" else STEPS


def _whole_words(label: Label, blocks: list[Block], way: Division) -> _Words | None:
    """Return the words fitted into their box, None where they do not go in whole.

    A name grows into the room there is: a part's stays below the big code, a place's may be larger.
    """
    most_mm = MOST_TITLE_MM if label.kind == "place" else way.code_size_mm * NAME_TO_CODE
    fitted = fit(blocks, way.words, _steps(label), whole=True, most_title_mm=most_mm)
    return None if fitted is None else _Words(fitted)


def _blocks(label: Label, problems: list[str]) -> list[Block]:
    """Return title, lines and cautions as they are to be fitted; cautions are never shortened."""
    blocks: list[Block] = []
    title = " · ".join(each for each in (label.end, label.title) if each)
    if title:
        blocks.append(Block(_shown(title, problems), bold=True, title=True, least=1))
    blocks += [Block(_shown(line, problems), bold=False) for line in label.lines if line]
    blocks += [
        Block(_shown(each, problems), bold=True, whole=True, sign=sign_of(each).name)
        for each in label.cautions
    ]
    return blocks


def _shown(text: str, problems: list[str]) -> str:
    shown = printable(text)
    if shown.lost:
        signs = " ".join(
            f"{each} (U+{ord(each):04X})" if each.isprintable() else f"U+{ord(each):04X}"
            for each in shown.lost[:5]
        )
        problems.append(f"the printing letters lack {signs}; the nearest or ◊ is printed")
    return shown.text


@lru_cache(maxsize=64)
def _to_write_on(box: Box, end: str) -> _Words:
    """Return the writing lines of a blank tag, as many as have room for a hand with a marker.

    The end of a flag stands large before the first; on a face too low for writing there is no line.
    """
    count = int(box.height_mm // WRITING_LINE_MM) or int(box.height_mm // LEAST_WRITING_LINE_MM)
    count = min(MOST_WRITING_LINES, count)
    texts: list[Text] = []
    left = box.left_mm
    if end:
        size = min(box.height_mm / CAP / 1.3, END_MM)
        texts.append(Text(left, box.top_mm - size * CAP * 1.1, BOLD, size, end))
        left += size
    right = box.left_mm + box.width_mm
    if not count or right - left < 2 * LEAST_WRITING_LINE_MM:
        return _Words(Fitted(tuple(texts)))
    step = box.height_mm / count
    rules = tuple((left, right, box.top_mm - step * (at + 1) + 0.6) for at in range(count))
    if not end:
        texts.append(Text(left, rules[0][2] + 0.7, PLAIN, min(2.2, step / 2), "what:"))
    return _Words(Fitted(tuple(texts)), rules)
