"""The whole shop at a glance: rooms named in their walls, blocks for what stands there, numbered troubles.

Pure: a picture, its troubles and a window go in, a canvas comes out. It is drawn from `BLOCKS_FROM_MM` a
column on; nearer, `paint` draws true outlines. The rules:

- a block covers whole cells and keeps to the inside of its room, at least one cell of it;
- a trouble's mark stands on its spot, or in the nearest free cells, and nothing is written over it;
- a name is written whole, on two lines, without what follows its first preposition, or as the one word of it
  that no other name has; what has no room gets a capital letter, told in `letters`. No word is ever cut;
- what is written first is never covered: exits, marks, rooms, parts at fault, places, fixtures, other parts.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from rich.cells import cell_len

from shopbins.shop.model import Door, Outline, Point, Shop, Walkway
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.doorlines import between, passage_sides
from shopbins.tui.canvas.fullness import Fullness, fullness_bar
from shopbins.tui.canvas.inks import Ground, Ink
from shopbins.tui.canvas.picture import Picture
from shopbins.tui.canvas.projection import Box, Projection
from shopbins.tui.canvas.strips import away, strip_outline
from shopbins.tui.text import plain
from shopbins.tui.troubles import Trouble, marked

BLOCKS_FROM_MM = 120.0
"""From this many mm a column on the shop is drawn in blocks."""

HEAVY_ONLY_FROM_MM, HEAVY_KG = 250.0, 100.0
"""From this scale on parts below this mass are not named, unless they are at fault."""

ON_THE_FLOOR_MM = 300.0
"""Parts that stand lower than this are drawn; what lies higher is on a bench or shelf."""

PREPOSITIONS = frozenset(("of", "in", "on", "from", "for", "with", "at", "to", "and"))
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXY"
MARK_COLS, MARK_ROWS = 6, 3
"""How far from its spot a mark may stand."""

EXIT_WORD = {"right": "▸EXIT", "left": "EXIT◂", "down": "EXIT▾", "up": "EXIT▴"}
EXIT_CELLS = 5

Cell = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Look:
    """How a kind of block is drawn: its ground, its sign where there is no colour, the ink of its name."""

    ground: Ground
    texture: str
    ink: Ink
    name: Ink


LOOKS = {
    "place": Look(Ground.PLACE, "░", Ink.BAR, Ink.PLACE_NAME),
    "spot": Look(Ground.SPOT, "", Ink.BAR, Ink.PLACE_NAME),
    "fixture": Look(Ground.FIXED, "▒", Ink.FIXED, Ink.FIXED_NAME),
    "keep": Look(Ground.KEEP, "╱", Ink.KEEP_CLEAR, Ink.KEEP_CLEAR),
    "part": Look(Ground.PART, "▓", Ink.PART, Ink.PART_NAME),
    "lit": Look(Ground.IN_HAND, "█", Ink.LIT, Ink.LIT),
    "room": Look(Ground.NONE, "", Ink.TITLE, Ink.TITLE),
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

    @property
    def box(self) -> tuple[int, int, int, int]:
        """Return its first column and row and those after its last."""
        cols, rows = [c for c, _ in self.cells], [r for _, r in self.cells]
        return min(cols), min(rows), max(cols) + 1, max(rows) + 1


@dataclass(slots=True)
class Overview:
    """What was drawn: the canvas, the letters, where the marks are, how names were written."""

    canvas: Canvas
    letters: list[tuple[str, str]] = field(default_factory=list)
    marks: dict[int, Cell] = field(default_factory=dict)
    named: dict[str, str] = field(default_factory=dict)
    blocks: list[Block] = field(default_factory=list)


def fit_shop(shop: Shop, box: Box, cols: int, rows: int) -> Projection:
    """Return the closest window that shows the shop and leaves room for the word EXIT at its sides."""
    left = right = 1
    above = below = 0
    for side, (x, y) in _exit_sides(shop):
        near = 0.02 * max(box[2] - box[0], box[3] - box[1])
        left = EXIT_CELLS if side == "left" and x - box[0] < near else left
        right = EXIT_CELLS if side == "right" and box[2] - x < near else right
        above = 1 if side == "up" and box[3] - y < near else above
        below = 1 if side == "down" and y - box[1] < near else below
    width, height = max(1.0, box[2] - box[0]), max(1.0, box[3] - box[1])
    across, down = max(1, cols - left - right - 1), max(1, rows - 1 - above - below)
    scale = float(math.ceil(max(width / across, height / down / 2)))
    spare_cols, spare_rows = max(0.0, across - width / scale), max(0.0, down - height / scale / 2)
    return Projection(
        box[0] - scale * (left + spare_cols / 2),
        box[3] + 2 * scale * (above + spare_rows / 2),
        scale,
        cols,
        rows,
    )


def rows_needed(shop: Shop, box: Box, mm_per_col: float) -> int:
    """Return how many rows the shop takes at a scale, with its exits above and below."""
    sides = {side for side, _ in _exit_sides(shop)}
    return math.ceil((box[3] - box[1]) / mm_per_col / 2) + 2 + ("up" in sides) + ("down" in sides)


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
    (x0, y0), (x1, y1) = door.jambs
    ways = [away(p, *door.jambs) for p in door.passage] or [(0.0, 0.0)]
    dx, dy = max(ways, key=lambda v: v[0] ** 2 + v[1] ** 2)
    across, along = ("right" if dx > 0 else "left"), ("up" if dy > 0 else "down")
    return (across if abs(dx) > abs(dy) else along), ((x0 + x1) / 2, (y0 + y1) / 2)


def _writable(name: str) -> str:
    """Return a name as it can be written one sign a cell."""
    shown = "".join(c for c in plain(name, 200) if cell_len(c) == 1)
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
        self.wall: set[int] = set()
        self.inside: dict[str, set[int]] = {}
        self.least_kg = HEAVY_KG if view.mm_per_col > HEAVY_ONLY_FROM_MM else 0.0
        self.out = Overview(self.canvas)

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
        words = Counter(w for b in self.out.blocks for w in set(b.name.casefold().split()))
        self.shared = {w for w, n in words.items() if n > 1}
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
            if body.base_mm >= ON_THE_FLOOR_MM:
                continue
            kind = "lit" if body.key in picture.lit else "part"
            if block := self._block(body.key, body.name, kind, body.room, body.outline):
                block.weight_kg = body.mass_kg or 0.0
                parts.append(block)
        return spots, fixtures, places, parts

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
        self.wall = {i for i in range(len(self.top)) if self.canvas.is_wall(i)} | slanted
        for room in shop.rooms.values():
            cells = self.inside[room.key] = set()
            for row, first, last in self.canvas.spans([self.view.cells(p) for p in room.outline]):
                cells.update(range(row * cols + first, row * cols + last))
            cells -= self.wall
            for i in cells:
                self.room_of[i] = room.key
                self.canvas.ground[i] = Ground.FLOOR

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
            spans = list(self.canvas.spans([self.view.cells(p) for p in band])) if band else []
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
                        self.canvas.paint(i, "·" if (col + to) % 2 == 0 else " ", Ink.WALKWAY, Ground.WAY)

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
                    self.canvas.ground[i] = Ground.WAY

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
        points = [self.view.cells(p) for p in outline]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        cols, rows = self.view.cols, self.view.rows
        if max(xs) < 0 or max(ys) < 0 or min(xs) > cols or min(ys) > rows:
            return None
        if _is_box(points):
            cells = {
                (c, r) for r in _covered(min(ys), max(ys), rows) for c in _covered(min(xs), max(xs), cols)
            }
        else:
            cells = {(c, r) for r, first, last in self.canvas.spans(points) for c in range(first, last)}
        cells = {c for c in cells if self._on(*c) and self._at(*c) in inside}
        if not cells:  # all of it lies in the cells of a wall: take the nearest inside
            x, y = sum(xs) / len(xs), sum(ys) / len(ys)
            col, row = math.floor(x), math.floor(y)
            if not self._on(col, row) or self._at(col, row) not in inside:
                i = min(inside, key=lambda i: (i % cols + 0.5 - x) ** 2 + 4 * (i // cols + 0.5 - y) ** 2)
                col, row = i % cols, i // cols
            cells = {(col, row)}
        return Block(key, _writable(name), kind, room, cells)

    def _lay(self, block: Block) -> None:
        """Draw a block's cells; one at fault in its grade's colour."""
        look = LOOKS[block.kind]
        ground = look.ground
        if (grade := self.faulty.get(block.key)) and block.kind != "keep":
            ground = Ground.STOP if grade == "stop" else Ground.FIX
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

    # --- words --------------------------------------------------------------------------------------------

    def _say(self, col: int, row: int, text: str, ink: int, ground: int = 0) -> None:
        self.canvas.word(col, row, text, ink)
        for k in range(len(text)):
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
        ink, ground = Ink.ACCEPTED, 0
        if not trouble.accepted:
            ink, ground = (Ink.ON_STOP, Ground.STOP) if trouble.grade == "stop" else (Ink.ON_FIX, Ground.FIX)
        for dc, dr in RING:
            cells = [(col + dc + k, row + dr) for k in range(len(text))]
            if all(self._on(*c) and self._free_for_mark(self._at(*c)) for c in cells):
                self._say(*cells[0], text, ink, ground)
                self.out.marks[id(trouble)] = cells[0]
                return

    def _free_for_mark(self, i: int) -> bool:
        return not self.taken[i] and i not in self.wall and bool(self.room_of[i])

    def _titles(self) -> None:
        """Write each room's name in its upper wall, else in its lower, else on its floor."""
        for room in self.picture.shop.rooms.values():
            name = _writable(room.name)
            if not any(self._title_in(room.outline, f" {name} ", top) for top in (True, False)):
                cols = self.view.cols
                cells = {(i % cols, i // cols) for i in self.inside[room.key]}
                if cells:
                    self._name(Block(room.key, name, "room", room.key, cells))

    def _title_in(self, outline: Outline, text: str, top: bool) -> bool:
        ys = [p[1] for p in outline]
        y = max(ys) if top else min(ys)
        xs = sorted(p[0] for p in outline if abs(p[1] - y) < 1)
        if len(xs) < 2:
            return False
        first, row = self.view.cell((xs[0], y))
        last = self.view.cell((xs[-1], y))[0]
        for col in range(max(0, first + 2), min(self.view.cols, last - 1) - len(text) + 1):
            if self._on(col, row) and all(self._titled(col + k, row) for k in range(-1, len(text) + 1)):
                self._say(col, row, text, Ink.TITLE)
                return True
        return False

    def _titled(self, col: int, row: int) -> bool:
        return self._on(col, row) and not self.taken[self._at(col, row)]

    def _free(self, col: int, row: int, width: int, own: set[Cell] | None, room: str) -> bool:
        """Tell whether a word has its cells: all of its own block's, or all open floor of its room."""
        if not (0 <= row < self.view.rows and col >= 0 and col + width <= self.view.cols):
            return False
        at = self._at(col, row)
        for k in range(width):
            i = at + k
            if self.taken[i] or i in self.wall:
                return False
            if own is not None:
                if (col + k, row) not in own:
                    return False
            elif self.room_of[i] != room or self.top[i] not in ("", "way", "spot"):
                return False
        # one cell of air on both sides of a word
        return not (col and self.taken[at - 1]) and not (
            col + width < self.view.cols and self.taken[at + width]
        )

    def _in_block(self, block: Block, lines: Sequence[str]) -> list[Cell] | None:
        """Return where lines stand in the middle of a block's own cells, or None."""
        c0, r0, c1, r1 = block.box
        wide = max(map(len, lines))
        if wide > c1 - c0 or len(lines) > r1 - r0:
            return None
        kinds = (
            ("", "spot", "way")
            if block.kind in ("spot", "room")
            else ("part",)
            if block.kind == "lit"
            else (block.kind,)
        )
        own = {cell for cell in block.cells if self.top[self._at(*cell)] in kinds}
        best: tuple[float, list[Cell]] | None = None
        for row in range(r0, r1 - len(lines) + 1):
            for col in range(c0, c1 - wide + 1):
                far = abs(col + wide / 2 - (c0 + c1) / 2) + 2 * abs(row + len(lines) / 2 - (r0 + r1) / 2)
                if best is not None and far >= best[0]:
                    continue
                put = [(col + (wide - len(t)) // 2, row + k) for k, t in enumerate(lines)]
                if all(
                    self._free(c, r, len(t), own, block.room) for (c, r), t in zip(put, lines, strict=True)
                ):
                    best = (far, put)
        return best[1] if best else None

    def _beside(self, block: Block, text: str) -> list[Cell] | None:
        """Return where a text stands right beside a block on free floor, else on a way, or None."""
        c0, r0, c1, r1 = block.box
        width, mid = len(text), (r0 + r1 - 1) // 2
        spots = [(c1, mid), (c0 - width, mid)]
        spots += [(c, r) for r in (r1, r0 - 1) for c in (c0, (c0 + c1 - width) // 2, c1 - width)]
        spots += [(c, r) for c in (c1, c0 - width) for r in range(r0, r1)]
        on_a_way: Cell | None = None
        for col, row in spots:
            if self._free(col, row, width, None, block.room):
                if not any(self.top[self._at(col + k, row)] == "way" for k in range(width)):
                    return [(col, row)]
                on_a_way = on_a_way or (col, row)
        return [on_a_way] if on_a_way else None

    def _name(self, block: Block) -> None:
        """Write a block's name in the best way there is room for."""
        grade = self.faulty.get(block.key, "")
        part = block.kind in ("part", "lit")
        if part and block.weight_kg < self.least_kg and not grade and block.kind != "lit":
            self.out.named[block.key] = "too light"
            return
        for how, lines, bar in _forms(block, self.shared):
            shown = [*lines[:-1], lines[-1] + " " * (bar + 1 if bar else 0)]
            put = self._in_block(block, shown)
            if put is None and len(lines) == 1 and block.kind != "room":
                put = self._beside(block, shown[0])
            if put is None:
                continue
            for (col, row), text in zip(put, lines, strict=True):
                self._say(col, row, text, self._ink(block, grade, (col, row) in block.cells))
            if bar and block.full is not None:
                self._bar(put[-1][0] + len(lines[-1]) + 1, put[-1][1], block, bar)
            self.out.named[block.key] = how
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

    def _bar(self, col: int, row: int, block: Block, cells: int) -> None:
        assert block.full is not None
        ink = Ink.BAR
        if grade := self.faulty.get(block.key):
            ink = self._ink(block, grade, (col, row) in block.cells)
        for k, glyph in enumerate(fullness_bar(block.full, cells)):
            loud = glyph == "!" and not grade
            self._say(col + k, row, glyph, Ink.STOP_NAME if loud else ink)

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
        self.out.letters.append((LETTERS[number], block.name))
        self.out.named[block.key] = "letter"


RING = sorted(
    ((dc, dr) for dc in range(-MARK_COLS, MARK_COLS + 1) for dr in range(-MARK_ROWS, MARK_ROWS + 1)),
    key=lambda d: d[0] ** 2 + 4 * d[1] ** 2,
)


def _is_box(points: Sequence[Point]) -> bool:
    return len(points) == 4 and all(
        abs(a[0] - b[0]) < 0.01 or abs(a[1] - b[1]) < 0.01 for a, b in pairwise((points[-1], *points))
    )


def _covered(low: float, high: float, most: int) -> range:
    """Return the cells a stretch covers, at least one."""
    first = max(0, round(low))
    return range(first, min(most, max(round(high), first + 1)))


def _forms(block: Block, shared: set[str]) -> Iterator[tuple[str, list[str], int]]:
    """Go through the ways to write a name, the best first: how, its lines, the cells of its bar."""
    words = block.name.split()
    if not words:
        return
    bars = [4, 3, 0] if block.full is not None else [0]
    for bar in bars:
        yield "whole", [block.name], bar
    for bar in bars[1:] or bars:
        for k in range(1, len(words)):
            yield "two lines", [" ".join(words[:k]), " ".join(words[k:])], bar
    cut = next((k for k, w in enumerate(words) if k and w.casefold() in PREPOSITIONS), 0)
    head = words[:cut] if cut else words
    if cut:
        yield "without its tail", [" ".join(head)], 0
        for k in range(1, len(head)):
            yield "without its tail", [" ".join(head[:k]), " ".join(head[k:])], 0
    for word in reversed(head):
        if len(word) >= 3 and word.casefold() not in shared:
            for bar in bars:
                yield "one word", [word], bar


KEY_COLS, KEY_ROWS = 26, 9
"""The signs are explained where the plan leaves at least this much empty; the letters take less."""

KEY = (
    ("█▌▁", Ink.BAR, Ground.NONE, "shelf or bench, how full"),
    ("part", Ink.NONE, Ground.NONE, "part"),
    ("fixture", Ink.NONE, Ground.NONE, "fixed or machine"),
    ("·· ", Ink.WALKWAY, Ground.WAY, "walkway"),
    ("╱╱╱", Ink.KEEP_CLEAR, Ground.KEEP, "keep clear"),
    ("┌ ┐", Ink.BAR, Ground.SPOT, "floor spot"),
    ("■1", Ink.ON_STOP, Ground.STOP, "stop"),
    ("▲2", Ink.ON_FIX, Ground.FIX, "to fix"),
    ("□", Ink.ACCEPTED, Ground.NONE, "accepted"),
)


def write_key(drawn: Overview, *, texture: bool = False) -> None:
    """Write the letters and the signs into the largest empty rectangle, if it is large enough."""
    canvas = drawn.canvas
    col, row, cols, rows = empty_box(canvas)
    signs = cols >= KEY_COLS and rows >= KEY_ROWS
    if cols - 6 < max((len(name) for _, name in drawn.letters), default=cols if not signs else 0):
        return
    col += 2
    end = row + rows
    for letter, name in drawn.letters:
        if row >= end:
            return
        canvas.word(col, row, letter, Ink.LETTER)
        canvas.word(col + 4, row, name[: cols - 6], Ink.FIXED_NAME)
        row += 1
    for sign, ink, ground, says in KEY if signs else ():
        if row >= end:
            return
        if sign in LOOKS:
            look = LOOKS[sign]
            for c in (col, col + 1, col + 2):
                canvas.paint(row * canvas.cols + c, look.texture if texture else " ", look.ink, look.ground)
        else:
            canvas.sign(col, row, sign, ink, ground)
        canvas.word(col + 4, row, says, Ink.FIXED)
        row += 1


def empty_box(canvas: Canvas) -> tuple[int, int, int, int]:
    """Return the largest empty rectangle of a canvas: column, row, columns, rows."""
    best, heights = (0, 0, 0, 0), [0] * canvas.cols
    for row in range(canvas.rows):
        for col in range(canvas.cols):
            blank = canvas.look(col, row)[0] == " " and not canvas.ground[row * canvas.cols + col]
            heights[col] = heights[col] + 1 if blank else 0
        stack: list[tuple[int, int]] = []
        for col, height in enumerate((*heights, 0)):
            start = col
            while stack and stack[-1][1] >= height:
                start, low = stack.pop()
                if (col - start) * low > best[2] * best[3]:
                    best = (start, row - low + 1, col - start, low)
            stack.append((start, height))
    return best
