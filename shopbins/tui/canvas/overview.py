"""The whole shop at a glance: rooms named in their walls, blocks for what stands there, numbered troubles.

Pure: a picture, its troubles and a window go in, a canvas comes out. It is drawn from `BLOCKS_FROM_MM` a
column on; nearer, `paint` draws true outlines. The rules:

- a block covers whole cells and keeps to the inside of its room, at least one cell of it;
- a trouble's mark stands on its spot, or in the nearest free cells, and nothing is written over it;
- a name is written whole or on two lines, in its block, else beside it with a stroke that ties it to it, else
  without what follows its first preposition; what has no room gets a capital letter, told in `letters`. No
  word is ever cut, and no name is told by one of its words;
- what is written first is never covered: exits, marks, rooms, parts at fault, places, fixtures, other parts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from rich.cells import cell_len

from shopbins.geometry.shapes import Box, Outline, Point, bounds
from shopbins.shop.model import Door, Shop, Walkway
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.doorlines import between, passage_sides
from shopbins.tui.canvas.fullness import Fullness, fullness_bar
from shopbins.tui.canvas.inks import Behind, Ink
from shopbins.tui.canvas.names import head_of, two_lines
from shopbins.tui.canvas.picture import ON_THE_FLOOR_MM, Picture
from shopbins.tui.canvas.projection import Projection
from shopbins.tui.canvas.strips import away, strip_outline
from shopbins.tui.text import plain
from shopbins.tui.troubles import Trouble, marked

BLOCKS_FROM_MM = 120.0
"""From this many mm a column on the shop is drawn in blocks."""

HEAVY_ONLY_FROM_MM, HEAVY_KG = 250.0, 100.0
"""From this scale on parts below this mass are not named, unless they are at fault."""

OPEN = frozenset(("", "way", "spot"))
"""Where a name may stand beside what it names."""

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXY"
MARK_COLS, MARK_ROWS = 6, 3
"""How far from its spot a mark may stand."""

SEAMS = ((-1, 0, True, "▕"), (1, 0, False, "▕"), (0, -1, False, "▔"), (0, 1, True, "▔"))
"""The line towards each neighbour, and whether it stands in the neighbour's cell: no sign that bars have."""

EXIT_WORD = {"right": "▸EXIT", "left": "EXIT◂", "down": "EXIT▾", "up": "EXIT▴"}
EXIT_CELLS = 5

Cell = tuple[int, int]


class Look(NamedTuple):
    """How a kind of block is drawn: its ground, its sign where there is no colour, the ink of its name."""

    ground: Behind
    texture: str
    ink: Ink
    name: Ink


LOOKS = {
    "place": Look(Behind.PLACE, "░", Ink.BAR, Ink.PLACE_NAME),
    "spot": Look(Behind.SPOT, "", Ink.BAR, Ink.PLACE_NAME),
    "fixture": Look(Behind.FIXED, "▒", Ink.FIXED, Ink.FIXED_NAME),
    "keep": Look(Behind.KEEP, "╱", Ink.KEEP_CLEAR, Ink.KEEP_CLEAR),
    "part": Look(Behind.PART, "▓", Ink.PART, Ink.PART_NAME),
    "lit": Look(Behind.IN_HAND, "█", Ink.LIT, Ink.LIT),
}


@dataclass(slots=True)
class Block:
    """Something drawn as cells of its own."""

    key: str
    name: str
    kind: str
    room: str
    cells: set[Cell]
    full: Fullness | None = None
    weight_kg: float = 0.0
    rows: dict[int, tuple[int, int]] = field(init=False)
    """Its rows from top to bottom: the first and the last column of each."""
    box: tuple[int, int, int, int] = field(init=False)
    """Its first column and row and those after its last."""

    def __post_init__(self) -> None:
        rows: dict[int, tuple[int, int]] = {}
        for col, row in self.cells:
            first, last = rows.get(row, (col, col))
            rows[row] = (min(first, col), max(last, col))
        self.rows = {row: rows[row] for row in sorted(rows)}
        firsts, lasts = zip(*rows.values(), strict=True)
        self.box = min(firsts), min(rows), max(lasts) + 1, max(rows) + 1


@dataclass(slots=True)
class Overview:
    """What was drawn: the canvas, the letters, where the marks are, how names were written."""

    canvas: Canvas
    letters: dict[str, tuple[str, Cell]] = field(default_factory=dict)
    marks: dict[int, Cell] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    blocks: list[Block] = field(default_factory=list)
    lit: Callable[[Collection[str]], Canvas] = field(default=lambda _keys: Canvas(0, 0), repr=False)
    """Gives the canvas with some parts drawn as the ones at hand."""


def fit_shop(shop: Shop, box: Box, cols: int, rows: int) -> Projection:
    """Return the closest window that shows the shop and leaves room for the word EXIT at its sides."""
    left = right = 1
    above = below = 0
    for side, (x, y) in _exit_sides(shop):
        near = 0.02 * max(box.wide_mm, box.deep_mm)
        left = EXIT_CELLS if side == "left" and x - box.left < near else left
        right = EXIT_CELLS if side == "right" and box.right - x < near else right
        above = 1 if side == "up" and box.top - y < near else above
        below = 1 if side == "down" and y - box.bottom < near else below
    width, height = max(1.0, box.wide_mm), max(1.0, box.deep_mm)
    across, down = max(1, cols - left - right - 1), max(1, rows - 1 - above - below)
    scale = float(math.ceil(max(width / across, height / down / 2)))
    spare_cols, spare_rows = max(0.0, across - width / scale), max(0.0, down - height / scale / 2)
    return Projection(
        box.left - scale * (left + spare_cols / 2),
        box.top + 2 * scale * (above + spare_rows / 2),
        scale,
        cols,
        rows,
    )


def rows_needed(shop: Shop, box: Box, mm_per_col: float) -> int:
    """Return how many rows the shop takes at a scale, with its exits above and below."""
    sides = {side for side, _ in _exit_sides(shop)}
    return math.ceil(box.deep_mm / mm_per_col / 2) + 2 + ("up" in sides) + ("down" in sides)


def overview(
    picture: Picture, view: Projection, troubles: Sequence[Trouble] = (), *, texture: bool = False
) -> Overview:
    """Draw the shop in blocks; `texture` where colour may not carry anything."""
    return _Drawing(picture, view, troubles, texture).drawn()


def _exit_sides(shop: Shop) -> Iterator[tuple[str, Point]]:
    for door in shop.doors.values():
        if door.exit:
            yield _exit_side(door)


def _exit_side(door: Door) -> tuple[str, Point]:
    """Return to which side an exit leads, and the middle of its door."""
    ways = [away(p, *door.jambs) for p in door.passage] or [(0.0, 0.0)]
    dx, dy = max(ways, key=lambda v: v[0] ** 2 + v[1] ** 2)
    across, along = ("right" if dx > 0 else "left"), ("up" if dy > 0 else "down")
    return (across if abs(dx) > abs(dy) else along), bounds(door.jambs).middle


@lru_cache(maxsize=4096)
def _writable(name: str) -> str:
    """Return a name as it can be written: letters of one or two columns, none that joins the one before."""
    shown = "".join(c for c in plain(name, 200) if cell_len(c) in (1, 2))
    return " ".join(shown.split())


class _Drawing:
    """One overview being drawn. `top` says per cell what kind stands there, `taken` what is written."""

    def __init__(
        self, picture: Picture, view: Projection, troubles: Sequence[Trouble], texture: bool
    ) -> None:
        self.picture, self.view, self.texture = picture, view, texture
        self.troubles = marked(troubles)
        self.faulty = {
            key: t.grade
            for t in reversed(troubles)
            if not t.accepted and t.at_mm is not None
            for key in t.keys
        }
        self.canvas = Canvas(view.cols, view.rows)
        n = view.cols * view.rows
        self.top, self.room_of, self.taken = [""] * n, [""] * n, bytearray(n)
        self.owner: dict[int, str] = {}
        self.wall: set[int] = set()
        self.inside: dict[str, set[int]] = {}
        self.least_kg = HEAVY_KG if view.mm_per_col > HEAVY_ONLY_FROM_MM else 0.0
        self.out = Overview(self.canvas, lit=self.lit)

    def drawn(self) -> Overview:
        """Draw everything in its order."""
        shop = self.picture.shop
        self._walls()
        for way in shop.walkways.values():
            self._way(way)
        for door in shop.doors.values():
            self._door(door)
        spots, fixtures, places, parts = self._blocks()
        for block in (*spots, *fixtures, *places, *parts):
            self._lay(block)
        for keep in shop.keep_clear.values():
            if (area := self._block(keep.key, keep.name, "keep", keep.room, keep.outline)) is not None:
                self._lay(area)
        self.out.blocks = [*spots, *fixtures, *places, *parts]
        for door in shop.doors.values():
            if door.exit:
                self._exit(door)
        for trouble in self.troubles:
            self._mark(trouble)
        self._titles()
        faulty = [b for b in parts if b.key in self.faulty]
        rest = [b for b in parts if b.key not in self.faulty]
        for block in (
            *faulty,
            *sorted(places, key=lambda b: -len(b.cells)),
            *sorted(fixtures, key=lambda b: -len(b.cells)),
            *sorted(spots, key=lambda b: -len(b.cells)),
            *sorted(rest, key=lambda b: -b.weight_kg),
        ):
            self._name(block)
        return self.out

    def _blocks(self) -> tuple[list[Block], list[Block], list[Block], list[Block]]:
        picture = self.picture
        spots: list[Block] = []
        fixtures: list[Block] = []
        places: list[Block] = []
        parts: list[Block] = []
        for zone in picture.zones:
            kind, to = ("spot", spots) if zone.kind == "floor" else ("place", places)
            if block := self._block(zone.key, zone.name, kind, zone.room, zone.outline):
                block.full = picture.fullness.get(zone.key) if kind == "place" else None
                to.append(block)
        for fixture in picture.fixtures:
            if block := self._block(fixture.key, fixture.name, "fixture", fixture.room, fixture.outline):
                fixtures.append(block)
        for body in picture.bodies:
            if body.base_mm >= ON_THE_FLOOR_MM or not self.view.meets(body.box):
                continue
            if block := self._block(body.key, body.name, "part", body.room, body.outline):
                block.weight_kg = body.mass_kg or 0.0
                parts.append(block)
        return spots, fixtures, places, parts

    def lit(self, keys: Collection[str]) -> Canvas:
        """Return the canvas with some parts drawn as the ones at hand, named where there is room."""
        kept = self.canvas, self.taken, dict(self.out.named)
        self.canvas, self.taken = self.canvas.copy(), self.taken[:]
        for block in [replace(b, kind="lit") for b in self.out.blocks if b.key in keys and b.kind == "part"]:
            self._lay(block)
            for cell in block.cells:
                self.canvas.ink(*cell, Ink.ON_LIT)
            if self.out.named.get(block.key) in ("too light", "not"):
                self._name(block)
        drawn = self.canvas
        self.canvas, self.taken, self.out.named = kept
        return drawn

    # --- cells --------------------------------------------------------------------------------------------

    def _at(self, col: int, row: int) -> int:
        return row * self.view.cols + col

    def _on(self, col: int, row: int) -> bool:
        return 0 <= col < self.view.cols and 0 <= row < self.view.rows

    def _walls(self) -> None:
        shop, cols = self.picture.shop, self.view.cols
        slanted: set[int] = set()
        for room in shop.rooms.values():
            for a, b in pairwise((room.outline[-1], *room.outline)):
                (c0, r0), (c1, r1) = self.view.cell(a), self.view.cell(b)
                if abs(a[0] - b[0]) <= 1:
                    self.canvas.line((c0, r0), (c0, r1), Ink.WALL, True)
                elif abs(a[1] - b[1]) <= 1:
                    self.canvas.line((c0, r0), (c1, r0), Ink.WALL, True)
                else:
                    slanted |= self._slanted(a, b)
        self.wall = self.canvas.walls() | slanted
        for room in shop.rooms.values():
            cells = self.inside[room.key] = set()
            for row, first, last in self.canvas.spans(self.view.all_cells(room.outline)):
                cells.update(range(row * cols + first, row * cols + last))
            cells -= self.wall
            for i in cells:
                self.room_of[i] = room.key
                self.canvas.ground[i] = Behind.FLOOR

    def _slanted(self, a: Point, b: Point) -> set[int]:
        """Draw a slanted wall with one stroke a row, or a column where it runs flat."""
        (x0, y0), (x1, y1) = self.view.cells(a), self.view.cells(b)
        stroke = "╲" if (x1 - x0) * (y1 - y0) > 0 else "╱"
        steps = max(1, min(10_000, round(max(abs(x1 - x0), abs(y1 - y0)))))
        drawn = set()
        for k in range(steps):
            t = (k + 0.5) / steps
            col, row = math.floor(x0 + (x1 - x0) * t), math.floor(y0 + (y1 - y0) * t)
            if self._on(col, row) and not self.canvas.is_wall(self._at(col, row)):
                self.canvas.word(col, row, stroke, Ink.WALL)
                drawn.add(self._at(col, row))
        return drawn

    def _way(self, way: Walkway) -> None:
        """Strew a way over its cells, at least one row or column of them; never into a wall's."""
        half = max(way.width_mm / 2, self.view.mm_per_col * 0.75)
        for start, end in pairwise(way.line):
            band = strip_outline(start, end, half)
            spans = list(self.canvas.spans(self.view.all_cells(band))) if band else []
            rows = {row for row, _, _ in spans}
            for row, first, last in spans:
                to = row
                if last - first > 4 and all(self._walled(*each) for each in spans):
                    beside = [r for r in (row - 1, row + 1) if r not in rows and 0 <= r < self.view.rows]
                    inside = {
                        r: sum(bool(self.room_of[self._at(c, r)]) for c in range(first, last)) for r in beside
                    }
                    to = max(inside, key=inside.__getitem__, default=row)
                for col in range(first, last):
                    i = self._at(col, to)
                    if i not in self.wall:
                        self.top[i] = "way"
                        self.canvas.paint(i, "·" if (col + to) % 2 == 0 else " ", Ink.WALKWAY, Behind.WAY)

    def _walled(self, row: int, first: int, last: int) -> bool:
        return sum(self._at(c, row) in self.wall for c in range(first, last)) > (last - first) / 2

    def _door(self, door: Door) -> None:
        for near, far in passage_sides(door)[: None if door.to in self.picture.shop.rooms else 1]:
            level = abs(near[1] - far[1]) < abs(near[0] - far[0])
            leaf = (
                ("═" if level else "║") if door.opens in ("sliding", "up-and-over") else "╌" if level else "╎"
            )
            for col, row in between(self.view, near, far):
                if not self._on(col, row):
                    continue
                i = self._at(col, row)
                self.canvas.cut(col, row)
                self.taken[i] = 1
                self.canvas.word(col, row, leaf, Ink.EXIT if door.exit else Ink.DOOR)
                beside = ((col + 1, row), (col - 1, row), (col, row + 1), (col, row - 1))
                if any(self._on(*c) and self.top[self._at(*c)] == "way" for c in beside):
                    self.canvas.ground[i] = Behind.WAY

    def _exit(self, door: Door) -> None:
        side, mid = _exit_side(door)
        col, row = self.view.cell(mid)
        word = EXIT_WORD[side]
        col += {"right": 1, "left": -EXIT_CELLS, "down": -2, "up": -2}[side]
        row += {"down": 1, "up": -1}.get(side, 0)
        for at in (row, row + 1, row - 1):
            cells = [(col + k, at) for k in range(EXIT_CELLS)]
            if all(
                self._on(*c) and self._at(*c) not in self.wall and not self.taken[self._at(*c)] for c in cells
            ):
                self._say(col, at, word, Ink.EXIT)
                return

    # --- blocks -------------------------------------------------------------------------------------------

    def _block(self, key: str, name: str, kind: str, room: str, outline: Outline) -> Block | None:
        """Turn an outline into cells inside its room; None where the room is not in the window."""
        inside = self.inside.get(room)
        if not inside or not outline:
            return None
        points = self.view.all_cells(outline)
        xs, ys = zip(*points, strict=True)
        cols, rows = self.view.cols, self.view.rows
        left, right, above, below = min(xs), max(xs), min(ys), max(ys)
        if right < 0 or below < 0 or left > cols or above > rows:
            return None
        if _is_box(points):
            across = _covered(left, right, cols)
            spans = [(r, across.start, across.stop) for r in _covered(above, below, rows)]
        else:
            spans = list(self.canvas.spans(points))
        cells = {(c, r) for r, first, last in spans for c in range(first, last) if r * cols + c in inside}
        if not cells:  # all of it lies in the cells of a wall: take the nearest inside
            x, y = sum(xs) / len(xs), sum(ys) / len(ys)
            col, row = math.floor(x), math.floor(y)
            if not self._on(col, row) or self._at(col, row) not in inside:
                col, row = self._nearest(inside, x, y)
            cells = {(col, row)}
        return Block(key, _writable(name), kind, room, cells)

    def _nearest(self, inside: set[int], x: float, y: float) -> Cell:
        """Return the cell inside that is nearest to a point, looked for in a growing box about it."""
        cols, rows = self.view.cols, self.view.rows
        reach = 2
        while True:
            across = range(max(0, int(x) - 2 * reach), min(cols, int(x) + 2 * reach + 1))
            down = range(max(0, int(y) - reach), min(rows, int(y) + reach + 1))
            found = [
                ((c + 0.5 - x) ** 2 + 4 * (r + 0.5 - y) ** 2, c, r)
                for r in down
                for c in across
                if r * cols + c in inside
            ]
            far, col, row = min(found, default=(math.inf, 0, 0))
            if far < (2 * reach - 2) ** 2:  # what lies outside the box is farther
                return col, row
            reach *= 2

    def _lay(self, block: Block) -> None:
        """Draw a block's cells; one at fault in its grade's colour."""
        look = LOOKS[block.kind]
        ground = look.ground
        if (grade := self.faulty.get(block.key)) and block.kind != "keep":
            ground = Behind.STOP if grade == "stop" else Behind.FIX
        glyph = look.texture if self.texture or block.kind == "keep" else " "
        for col, row in block.cells:
            i = self._at(col, row)
            if block.kind == "keep" and self.top[i] not in ("", "way", "spot"):
                continue
            if block.kind == "spot":
                self.canvas.paint(i, "", 0, ground)
                self.top[i] = self.top[i] or "spot"
                continue
            self.canvas.paint(i, glyph, look.ink, ground)
            self.top[i] = "part" if block.kind == "lit" else block.kind
        if block.kind in ("place", "fixture", "part"):
            self._seam(block, ground)
        if block.kind == "spot":
            c0, r0, c1, r1 = block.box
            for col, row, corner in (
                (c0, r0, "┌"),
                (c1 - 1, r0, "┐"),
                (c0, r1 - 1, "└"),
                (c1 - 1, r1 - 1, "┘"),
            ):
                if (col, row) in block.cells and self.top[self._at(col, row)] in ("spot", "way"):
                    self.canvas.paint(self._at(col, row), corner, Ink.BAR, 0)

    def _seam(self, block: Block, ground: Behind) -> None:
        """Draw a line where a block touches another of its look, so that two do not look like one."""
        cols, owner, key, grounds = self.view.cols, self.owner, block.key, self.canvas.ground
        own = [row * cols + col for col, row in block.cells]
        owner.update(dict.fromkeys(own, key))
        for i in own:
            for dc, dr, there, line in SEAMS:
                beside = i + dc + dr * cols
                if owner.get(beside, key) != key and grounds[beside] == ground:
                    self.canvas.paint(beside if there else i, line, Ink.SEAM, 0)
                    break

    # --- words --------------------------------------------------------------------------------------------

    def _say(self, col: int, row: int, text: str, ink: int, ground: int = 0) -> None:
        self.canvas.word(col, row, text, ink)
        for k in range(cell_len(text)):
            i = self._at(col + k, row)
            self.taken[i] = 1
            if ground:
                self.canvas.ground[i] = ground

    def _mark(self, trouble: Trouble) -> None:
        """Write a trouble at its spot, or in the nearest cells that are free."""
        at = trouble.at_mm
        assert at is not None
        text = trouble.sign
        col, row = self.view.cell(at)
        place = next((b for b in self.out.blocks if b.key in trouble.keys and b.kind == "place"), None)
        if place is not None:  # its middle is for its name
            _, row, col, _ = place.box
            col -= len(text)
        for dc, dr in RING:
            cells = [(col + dc + k, row + dr) for k in range(len(text))]
            if all(self._on(*c) and self._free_for_mark(self._at(*c)) for c in cells):
                self._say(*cells[0], text, *trouble.look)
                self.out.marks[id(trouble)] = cells[0]
                return

    def _free_for_mark(self, i: int) -> bool:
        return not self.taken[i] and i not in self.wall and bool(self.room_of[i])

    def _titles(self) -> None:
        """Write each room's name in its upper wall, else in its lower, else on its floor."""
        for room in self.picture.shop.rooms.values():
            name = _writable(room.name)
            if not any(self._title_in(room.outline, f" {name} ", top) for top in (True, False)):
                self._title_on_floor(room.key, name)

    def _title_on_floor(self, room: str, name: str) -> None:
        """Write a room's name whole or on two lines, near the middle of what is seen of it."""
        inside, cols = self.inside[room], self.view.cols
        if not inside:
            return
        rows = range(min(inside) // cols, max(inside) // cols + 1)
        across = [i % cols for i in inside]
        first, last = min(across), max(across) + 1
        for lines in ([name], *two_lines(name.split())):
            wide = max(map(cell_len, lines))
            middle = (first + last - wide) / 2
            starts = sorted(range(first, last - wide + 1), key=lambda c: abs(c - middle))
            for row in sorted(
                rows[: len(rows) - len(lines) + 1], key=lambda r: abs(r - rows[len(rows) // 2])
            ):
                for col in starts:
                    put = [(col + (wide - cell_len(t)) // 2, row + k, t) for k, t in enumerate(lines)]
                    if all(self._free(c, r, cell_len(t), None, room) for c, r, t in put):
                        for c, r, t in put:
                            self._say(c, r, t, Ink.TITLE)
                        return

    def _title_in(self, outline: Outline, text: str, top: bool) -> bool:
        ys = [p[1] for p in outline]
        y = max(ys) if top else min(ys)
        xs = sorted(p[0] for p in outline if abs(p[1] - y) < 1)
        if len(xs) < 2:
            return False
        first, row = self.view.cell((xs[0], y))
        last = self.view.cell((xs[-1], y))[0]
        wide = cell_len(text)
        for col in range(max(0, first + 2), min(self.view.cols, last - 1) - wide + 1):
            if self._on(col, row) and all(self._titled(col + k, row) for k in range(-1, wide + 1)):
                self._say(col, row, text, Ink.TITLE)
                return True
        return False

    def _titled(self, col: int, row: int) -> bool:
        return self._on(col, row) and not self.taken[self._at(col, row)]

    def _free(self, col: int, row: int, width: int, own: set[Cell] | None, room: str) -> bool:
        """Tell whether a word has its cells: all of its own block's, or all open floor of its room."""
        if not (0 <= row < self.view.rows and col >= 0 and col + width <= self.view.cols):
            return False
        at = row * self.view.cols + col
        # one cell of air on both sides of a word
        air = at - (col > 0), at + width + (col + width < self.view.cols)
        if self.taken.find(1, *air) >= 0 or not self.wall.isdisjoint(range(at, at + width)):
            return False
        if own is not None:
            return all((c, row) in own for c in range(col, col + width))
        return self.room_of[at : at + width].count(room) == width and OPEN.issuperset(
            self.top[at : at + width]
        )

    def _in_block(self, block: Block, lines: Sequence[str]) -> list[Cell] | None:
        """Return where lines stand in the middle of a block's own cells, or None."""
        c0, r0, c1, r1 = block.box
        wide = max(map(cell_len, lines))
        if wide > c1 - c0 or len(lines) > r1 - r0:
            return None
        kinds = {"spot": OPEN, "lit": {"part"}}.get(block.kind, {block.kind})
        top, cols = self.top, self.view.cols
        own = {(col, row) for col, row in block.cells if top[row * cols + col] in kinds}
        best: tuple[float, list[Cell]] | None = None
        for row in range(r0, r1 - len(lines) + 1):
            for col in range(c0, c1 - wide + 1):
                far = abs(col + wide / 2 - (c0 + c1) / 2) + 2 * abs(row + len(lines) / 2 - (r0 + r1) / 2)
                if best is not None and far >= best[0]:
                    continue
                put = [(col + (wide - cell_len(t)) // 2, row + k) for k, t in enumerate(lines)]
                if all(
                    self._free(c, r, cell_len(t), own, block.room)
                    for (c, r), t in zip(put, lines, strict=True)
                ):
                    best = (far, put)
        return best[1] if best else None

    def _beside(self, block: Block, text: str) -> tuple[Cell, Cell, str] | None:
        """Return where a text stands beside a block on free floor, else on a way, and the stroke between."""
        width = cell_len(text)
        on_a_way: tuple[Cell, Cell, str] | None = None
        for (col, row), at, stroke in _around(block, width):
            first = min(col, at[0]) if at[1] == row else col
            if at[1] == row and self._free(first, row, width + 1, None, block.room):
                if not any(self.top[self._at(first + k, row)] == "way" for k in range(width + 1)):
                    return (col, row), at, stroke
                on_a_way = on_a_way or ((col, row), at, stroke)
        return on_a_way

    def _name(self, block: Block) -> None:
        """Write a block's name in the best way there is room for."""
        grade = self.faulty.get(block.key, "")
        part = block.kind in ("part", "lit")
        if part and block.weight_kg < self.least_kg and not grade and block.kind != "lit":
            self.out.named[block.key] = "too light"
            return
        marked = any(block.key in t.keys for t in self.troubles)
        for how, lines, bar in _forms(block, marked):
            shown = [*lines[:-1], lines[-1] + " " * (bar + 1 if bar else 0)]
            if how.startswith("beside"):
                tied = self._beside(block, shown[0])
                put = None if tied is None else [tied[0]]
            else:
                tied, put = None, self._in_block(block, shown)
            if put is None:
                continue
            for (col, row), text in zip(put, lines, strict=True):
                self._say(col, row, text, self._ink(block, grade, (col, row) in block.cells))
            if tied is not None:
                self._say(*tied[1], tied[2], self._ink(block, grade, False))
            if bar and block.full is not None:
                self._bar(put[-1][0] + cell_len(lines[-1]) + 1, put[-1][1], block, bar, marked)
            self.out.named[block.key] = how.removeprefix("beside, ")
            return
        self._letter(block, grade)

    def _ink(self, block: Block, grade: str, inside: bool) -> Ink:
        if grade:
            on, off = (Ink.ON_STOP, Ink.STOP_NAME) if grade == "stop" else (Ink.ON_FIX, Ink.FIX_NAME)
            return on if inside else off
        if inside and block.kind == "part":
            return Ink.ON_PART
        if inside and block.kind == "lit":
            return Ink.ON_LIT
        return LOOKS[block.kind].name

    def _bar(self, col: int, row: int, block: Block, cells: int, marked: bool) -> None:
        """Draw how full a place is; over its limit with no mark beside it, it says so in a word."""
        assert block.full is not None
        grade = self.faulty.get(block.key)
        ink = self._ink(block, grade, (col, row) in block.cells) if grade else Ink.BAR
        over = bool(block.full.over) and not marked
        self._say(col, row, OVER if over else fullness_bar(block.full, cells), ink)

    def _letter(self, block: Block, grade: str) -> None:
        """Give a block a letter; a part is named under the cursor instead."""
        number = len(self.out.letters)
        put = None
        if block.kind not in ("part", "lit") and number < len(LETTERS) and block.name:
            put = self._in_block(block, [LETTERS[number]])
        if put is None:
            self.out.named[block.key] = "not"
            return
        self._say(*put[0], LETTERS[number], self._ink(block, grade, True))
        self.out.letters[LETTERS[number]] = block.name, put[0]
        self.out.named[block.key] = "letter"


RING = sorted(
    ((dc, dr) for dc in range(-MARK_COLS, MARK_COLS + 1) for dr in range(-MARK_ROWS, MARK_ROWS + 1)),
    key=lambda d: d[0] ** 2 + 4 * d[1] ** 2,
)
"""The cells about a spot in which its mark may stand, the nearest first."""


def _is_box(points: Sequence[Point]) -> bool:
    return len(points) == 4 and all(
        abs(a[0] - b[0]) < 0.01 or abs(a[1] - b[1]) < 0.01 for a, b in pairwise((points[-1], *points))
    )


def _covered(low: float, high: float, most: int) -> range:
    """Return the cells a stretch covers, at least one."""
    first = max(0, round(low))
    return range(first, min(most, max(round(high), first + 1)))


def _around(block: Block, width: int) -> Iterator[tuple[Cell, Cell, str]]:
    """Go through the spots of a text beside a block: where it begins, the cell of its stroke, the stroke."""
    _, r0, _, r1 = block.box
    mid = (r0 + r1 - 1) / 2
    rows = block.rows
    near = sorted(rows, key=lambda r: abs(r - mid))
    yield from (((rows[r][1] + 2, r), (rows[r][1] + 1, r), "╶") for r in near)
    yield from (((rows[r][0] - 1 - width, r), (rows[r][0] - 1, r), "╴") for r in near)
    for own, row, stroke in ((r1 - 1, r1, "╵"), (r0, r0 - 1, "╷")):
        first, last = rows[own]
        yield from (((c + 1, row), (c, row), stroke) for c in range(first, last + 1))
        yield from (((c - width, row), (c, row), stroke) for c in range(last, first - 1, -1))


def _forms(block: Block, marked: bool) -> Iterator[tuple[str, list[str], int]]:
    """Go through the ways to write a name, the best first: how, its lines, the cells of its bar."""
    words = block.name.split()
    if not words:
        return
    over = block.full is not None and bool(block.full.over) and not marked
    bars = [] if block.full is None else [4] if over else [4, 3]
    for bar in bars:
        yield "whole", [block.name], bar
    for bar in [*bars[-1:], 0]:
        if not bar:
            yield "whole", [block.name], 0
        for lines in two_lines(words):
            yield "two lines", lines, bar
    for bar in [*bars[-1:], 0]:
        yield "beside, whole", [block.name], bar
    if (head := head_of(words)) != words:
        for lines in ([" ".join(head)], *two_lines(head)):
            yield "without its tail", lines, 0
        yield "beside, without its tail", [" ".join(head)], 0


KEY_COLS, KEY_ROWS = 23, 3
"""The signs are explained where the plan leaves at least this much empty; the letters come first."""

SMALL = "too small to name"
OVER = "over"

KEY = (
    ("█▌▁", Ink.BAR, Behind.NONE, "how full it is"),
    ("■1", Ink.ON_STOP, Behind.STOP, "stop"),
    ("▲2", Ink.ON_FIX, Behind.FIX, "to fix"),
    ("□", Ink.ACCEPTED, Behind.NONE, "accepted"),
    ("·· ", Ink.WALKWAY, Behind.WAY, "walkway"),
    ("╱╱╱", Ink.KEEP_CLEAR, Behind.KEEP, "keep clear"),
    ("part", Ink.NONE, Behind.NONE, "part"),
    ("place", Ink.NONE, Behind.NONE, "bench or shelf"),
    ("fixture", Ink.NONE, Behind.NONE, "fixed or machine"),
    ("┌ ┐", Ink.BAR, Behind.SPOT, "floor spot"),
)


def write_key(drawn: Overview, *, texture: bool = False, signs: bool = True) -> None:
    """Say in the largest empty rectangle what the letters stand for, then the signs, the first ones first.

    A letter there is no room to explain is taken off the plan.
    """
    canvas, letters = drawn.canvas, drawn.letters
    if not (letters or signs):
        return
    wide = max((cell_len(name) + 7 for name, _ in letters.values()), default=KEY_COLS)
    col, row, cols, rows = empty_box(canvas, max(wide, len(SMALL) + 4) if letters else wide)
    told = [*letters.items()][: max(0, rows - 1)]
    for letter, (_, at) in [*letters.items()][len(told) :]:
        canvas.unsay(*at)
        del letters[letter]
    end, col = row + rows, col + 2
    if told:
        canvas.word(col, row, SMALL, Ink.FIXED)
        row += 1
    for letter, (name, _) in told:
        canvas.word(col, row, letter, Ink.LETTER)
        canvas.word(col + 4, row, name, Ink.FIXED_NAME)
        row += 1
    if not signs or cols < KEY_COLS or end - row < KEY_ROWS:
        return
    for sign, ink, ground, says in KEY[: end - row]:
        if sign in LOOKS:
            look = LOOKS[sign]
            for c in (col, col + 1, col + 2):
                canvas.paint(row * canvas.cols + c, look.texture if texture else " ", look.ink, look.ground)
        else:
            canvas.sign(col, row, sign, ink, ground)
        canvas.word(col + 4, row, says, Ink.FIXED)
        row += 1


def empty_box(canvas: Canvas, least: int = 1) -> tuple[int, int, int, int]:
    """Return the largest empty rectangle at least so many columns wide: column, row, columns, rows."""
    best, heights = (0, 0, 0, 0), [0] * canvas.cols
    for row in range(canvas.rows):
        heights = [high + 1 if blank else 0 for high, blank in zip(heights, canvas.blank(row), strict=True)]
        stack: list[tuple[int, int]] = []
        for col, height in enumerate((*heights, 0)):
            start = col
            while stack and stack[-1][1] >= height:
                start, low = stack.pop()
                if col - start >= least and (col - start) * low > best[2] * best[3]:
                    best = (start, row - low + 1, col - start, low)
            stack.append((start, height))
    return best
