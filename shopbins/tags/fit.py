"""Fitting text into a box: smaller letters first, then wrapped, and shortened only with a visible mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from shopbins.tags.fonts import BOLD, CAP, DEPTH, PLAIN, advances, unit_width

LEADING = 1.16
MORE = "…"
# Letter sizes in mm tried one after the other: title, then the other lines. Capitals of the last are
# about 1.4 mm high, the least that reads well on a thermal print; common practice, no source.
STEPS = ((4.6, 3.2), (4.0, 2.9), (3.5, 2.6), (3.0, 2.3), (2.6, 2.0))
# A place is looked for by its name, so that is tried larger first.
PLACE_STEPS = ((9.0, 3.2), (7.5, 3.0), (6.0, 2.9), *STEPS)
LONGEST = 600


@dataclass(frozen=True, slots=True)
class Text:
    """One line of a label: where its baseline begins, mm from the label's left and bottom edge."""

    x_mm: float
    y_mm: float
    font: str
    size_mm: float
    text: str


@dataclass(frozen=True, slots=True)
class Box:
    """The part of a label that holds text: left edge, top edge, width and height in mm."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Block:
    """One text to be fitted: how few lines it may be shortened to (0: left out), or `whole` or not at all."""

    text: str
    bold: bool
    title: bool = False
    least: int = 0
    whole: bool = False


def wrap(text: str, font: str, size: float, room: float) -> list[str]:
    """Break `text` into lines no longer than `room`, at blanks where possible."""
    most, blank = room / size, unit_width(" ", font)
    lines: list[str] = []
    line: list[str] = []
    used = 0.0
    for word in text.split():
        long = unit_width(word, font)
        if line and used + blank + long <= most:
            line.append(word)
            used += blank + long
            continue
        if line:
            lines.append(" ".join(line))
        while long > most:
            head = _head(word, font, most)
            if head == len(word):
                break
            lines.append(word[:head])
            word = word[head:]
            long = unit_width(word, font)
        line, used = [word], long
    return [*lines, " ".join(line)] if line else lines


def _head(text: str, font: str, most: float) -> int:
    """Return how many characters of `text` go into `most` letter sizes (at least one)."""
    known, used = advances()[font], 0.0
    for at, each in enumerate(text):
        used += known[each]
        if used > most:
            return max(at, 1)
    return len(text)


def fit(
    blocks: Sequence[Block], box: Box, steps: Sequence[tuple[float, float]] = STEPS
) -> tuple[tuple[Text, ...], bool] | None:
    """Return the lines that show `blocks` in `box`, and whether anything had to be shortened.

    `steps` are the letter sizes (title, other lines) in mm that are tried, in order.
    None where even the blocks that may not be shortened do not go in.
    """
    cut = [_limited(block) for block in blocks]
    if any(block.whole and len(block.text) > LONGEST for block in blocks):
        return None
    scale = max(1.0, min(box.height_mm / 18.0, box.width_mm / 62.0))
    for title_mm, body_mm in steps:
        set_lines = [_set(block, title_mm * scale, body_mm * scale, box.width_mm) for block in cut]
        if sum([_height(lines) for lines in set_lines]) <= box.height_mm:
            return _placed(set_lines, box), cut != list(blocks)
    title_mm, body_mm = steps[-1]
    shorter = _shortened(cut, [_set(block, title_mm, body_mm, box.width_mm) for block in cut], box)
    return None if shorter is None else (_placed(shorter, box), True)


def _limited(block: Block) -> Block:
    """Return the block with no more text than any label could show."""
    if len(block.text) <= LONGEST:
        return block
    return replace(block, text=block.text[:LONGEST] + MORE)


@dataclass(frozen=True, slots=True)
class _Lines:
    """A block set at one letter size."""

    font: str
    size_mm: float
    lines: tuple[str, ...]


@lru_cache(maxsize=256)
def _set(block: Block, title_mm: float, body_mm: float, room_mm: float) -> _Lines:
    font = BOLD if block.bold else PLAIN
    size = title_mm if block.title else body_mm
    return _Lines(font, size, tuple(wrap(block.text, font, size, room_mm)))


def _height(block: _Lines) -> float:
    return len(block.lines) * block.size_mm * LEADING


def _shortened(blocks: Sequence[Block], set_lines: list[_Lines], box: Box) -> list[_Lines] | None:
    """Take lines off until the rest goes into the box: long titles first, then further lines from the end.

    None where nothing more may be taken off.
    """
    kept = [len(each.lines) for each in set_lines]
    while sum(n * each.size_mm for n, each in zip(kept, set_lines, strict=True)) * LEADING > box.height_mm:
        spare = [at for at, block in enumerate(blocks) if not block.whole and kept[at] > block.least]
        if not spare:
            return None
        kept[max(spare, key=lambda at: (kept[at], at))] -= 1
    return [
        each if n == len(each.lines) else replace(each, lines=_cut(each, n, box.width_mm))
        for n, each in zip(kept, set_lines, strict=True)
    ]


def _cut(block: _Lines, count: int, room_mm: float) -> tuple[str, ...]:
    """Return the first lines, the last with the mark that something is missing after it."""
    if not count:
        return ()
    text, most = block.lines[count - 1], room_mm / block.size_mm
    while text and unit_width(text + MORE, block.font) > most:
        text = text[:-1]
    return (*block.lines[: count - 1], text.rstrip() + MORE)


def _placed(set_lines: Sequence[_Lines], box: Box) -> tuple[Text, ...]:
    """Put the lines under each other from the top of the box."""
    placed: list[Text] = []
    y = box.top_mm
    for each in set_lines:
        for line in each.lines:
            y -= each.size_mm * LEADING
            placed.append(Text(box.left_mm, y + each.size_mm * DEPTH, each.font, each.size_mm, line))
    return tuple(placed)


def one_line(text: str, font: str, room_mm: float, cap_mm: float) -> float:
    """Return the largest letter size at which `text` goes into `room_mm` with capitals up to `cap_mm`."""
    return min(cap_mm / CAP, room_mm / unit_width(text, font))
