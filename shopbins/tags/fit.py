"""Fitting text into a box: smaller letters first, then wrapped, and shortened only with a visible mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from shopbins.tags.fonts import BOLD, DEPTH, PLAIN, advance, unit_width

LEADING = 1.16
MORE = "…"
# Letter sizes in mm tried one after the other: title, then the other lines. Capitals of the last are
# about 1.4 mm high, the least that reads well on a thermal print; common practice, no source.
STEPS = ((4.6, 3.2), (4.0, 2.9), (3.5, 2.6), (3.0, 2.3), (2.6, 2.0), (2.1, 2.0))
# A place is looked for by its name, so that is tried larger first.
PLACE_STEPS = ((9.0, 3.2), (7.5, 3.0), (6.0, 2.9), *STEPS)
# What is left over after all words are in goes to the title: read first, and from farthest off.
GROWTH, MOST_TITLE_MM, MOST_TITLE_SHARE = 1.08, 40.0, 0.6
LONGEST = 600
SIGN = (
    1.75  # side of a caution's sign over the letter size: 5.6 mm beside the largest letters, 3.5 the least,
)
SMALL_SIGN = 1.05  # ... and where that does not go in
SIGN_GAP = 0.35


@dataclass(frozen=True, slots=True)
class Text:
    """One line of a label: where its baseline begins, mm from the label's left and bottom edge."""

    x_mm: float
    y_mm: float
    font: str
    size_mm: float
    text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign by its name: left and bottom edge and side, in mm from the label's left and bottom edge."""

    name: str
    x_mm: float
    y_mm: float
    side_mm: float


@dataclass(frozen=True, slots=True)
class Box:
    """The part of a label that holds text: left edge, top edge, width and height in mm."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Block:
    """One text to be fitted: how few lines it may be shortened to (0: left out), or `whole` or not at all.

    `sign` is the name of the sign that stands left of it.
    """

    text: str
    bold: bool
    title: bool = False
    least: int = 0
    whole: bool = False
    sign: str = ""


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
    used = 0.0
    for at, each in enumerate(text):
        used += advance(each, font)
        if used > most:
            return max(at, 1)
    return len(text)


@dataclass(frozen=True, slots=True)
class Fitted:
    """What `fit` found: the lines and signs in their places, and whether anything had to be shortened."""

    texts: tuple[Text, ...]
    marks: tuple[Mark, ...] = ()
    shortened: bool = False


def fit(
    blocks: Sequence[Block],
    box: Box,
    steps: Sequence[tuple[float, float]] = STEPS,
    whole: bool = False,
    most_title_mm: float = MOST_TITLE_MM,
) -> Fitted | None:
    """Return the lines that show `blocks` in `box`.

    `steps` are the letter sizes (title, other lines) in mm that are tried, in order; what room is then left
    goes to the title, up to `most_title_mm`.
    None where even the blocks that may not be shortened do not go in; with `whole`, where not all do.
    """
    cut = [_limited(block) for block in blocks]
    if box.width_mm <= 0 or any(block.whole and len(block.text) > LONGEST for block in blocks):
        return None
    smallest = (*steps[-1], SMALL_SIGN)
    if whole and (cut != list(blocks) or not _goes(cut, smallest, box)):
        return None
    scale = max(1.0, min(box.height_mm / 18.0, box.width_mm / 62.0))
    set_lines: list[_Lines] = []
    for size in (*((title * scale, body * scale, SIGN) for title, body in steps), smallest):
        if size == smallest or _goes(cut, size, box):
            set_lines = [_set(block, *size, box.width_mm) for block in cut]
            if size != smallest or sum(map(_height, set_lines)) <= box.height_mm:
                set_lines = [
                    _set(block, *_grown(cut, size, box, most_title_mm), box.width_mm) for block in cut
                ]
                texts, marks = _placed(set_lines, box)
                return Fitted(texts, marks, cut != list(blocks))
    if whole:
        return None
    shorter = _shortened(cut, set_lines, box)
    return None if shorter is None else Fitted(*_placed(shorter, box), True)


def _goes(blocks: Sequence[Block], size: tuple[float, float, float], box: Box) -> bool:
    """Tell whether blocks go into a box at a letter size."""
    if _least_height(blocks, size, box.width_mm) > box.height_mm:
        return False
    return sum([_height(_set(block, *size, box.width_mm)) for block in blocks]) <= box.height_mm


def _grown(
    blocks: Sequence[Block], size: tuple[float, float, float], box: Box, most_title_mm: float
) -> tuple[float, float, float]:
    """Return the size with the title as large as the room left over lets it be, no word of it broken."""
    words = [word for block in blocks if block.title for word in block.text.split()]
    if not words:
        return size
    title_mm, body_mm, sign = size
    longest = max(unit_width(word, BOLD) for word in words)
    most_mm = min(most_title_mm, MOST_TITLE_SHARE * box.height_mm, box.width_mm / longest)
    while title_mm * GROWTH <= most_mm and _goes(blocks, (title_mm * GROWTH, body_mm, sign), box):
        title_mm *= GROWTH
    return title_mm, body_mm, sign


def _least_height(blocks: Sequence[Block], size: tuple[float, float, float], room_mm: float) -> float:
    """Return the least height blocks can have at a letter size: by their length, before they are wrapped."""
    title_mm, body_mm, _ = size
    height = 0.0
    for block in blocks:
        each_mm = title_mm if block.title else body_mm
        length = unit_width(block.text, BOLD if block.bold else PLAIN) * each_mm
        # blanks at line ends vanish, so a line may hold a little more than its width
        height += each_mm * LEADING * max(1, int(length / (room_mm + each_mm)))
    return height


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
    sign: str = ""
    side_mm: float = 0.0


@lru_cache(maxsize=256)
def _set(block: Block, title_mm: float, body_mm: float, sign: float, room_mm: float) -> _Lines:
    font = BOLD if block.bold else PLAIN
    size = title_mm if block.title else body_mm
    side = sign * size if block.sign else 0.0
    room = room_mm - side - SIGN_GAP * size if block.sign else room_mm
    return _Lines(font, size, tuple(wrap(block.text, font, size, max(room, size))), block.sign, side)


def _height(block: _Lines, lines: int | None = None) -> float:
    """Return how high a block is with all its lines, or with only some: nothing at all with none."""
    count = len(block.lines) if lines is None else lines
    least = block.side_mm + 0.1 * block.size_mm if block.sign and count else 0.0
    return max(count * block.size_mm * LEADING, least)


def _shortened(blocks: Sequence[Block], set_lines: list[_Lines], box: Box) -> list[_Lines] | None:
    """Take lines off until the rest goes into the box: long titles first, then further lines from the end.

    None where nothing more may be taken off.
    """
    kept = [len(each.lines) for each in set_lines]
    while sum(_height(each, n) for n, each in zip(kept, set_lines, strict=True)) > box.height_mm:
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


def _placed(set_lines: Sequence[_Lines], box: Box) -> tuple[tuple[Text, ...], tuple[Mark, ...]]:
    """Put the lines under each other from the top of the box, each sign left of its block."""
    placed: list[Text] = []
    marks: list[Mark] = []
    top = box.top_mm
    for each in set_lines:
        size, height = each.size_mm, _height(each)
        side = each.side_mm
        indent = side + SIGN_GAP * size if each.sign else 0.0
        y = top - (height - len(each.lines) * size * LEADING) / 2
        if each.sign and each.lines:
            marks.append(Mark(each.sign, box.left_mm, top - (height + side) / 2, side))
        for line in each.lines:
            y -= size * LEADING
            placed.append(Text(box.left_mm + indent, y + size * DEPTH, each.font, size, line))
        top -= height
    return tuple(placed), tuple(marks)
