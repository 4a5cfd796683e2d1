"""Draw a shop on a canvas: rooms, doors, ways, zones with their fullness, things as they stand.

`paint` makes the picture that changes only with the state or the window; `paint_carried` and
`paint_marks` draw over a copy of it, so a step while carrying costs a copy and one outline.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from rich.cells import cell_len, set_cell_size

from shopbins.floor.shapes import centroid, contains
from shopbins.layout.scene import Scene
from shopbins.layout.standing import Standing
from shopbins.shop.model import Door, Fixture, Outline, Point, Shop, Zone
from shopbins.tui.canvas import Canvas
from shopbins.tui.inks import GRADE_GLYPH, GRADE_INK, Ground, Ink
from shopbins.tui.projection import Projection

LEVEL_MM = 1.0
"""How far two ends of a wall may differ and still be drawn as a level or upright line."""

FULL_FROM = 0.85

Share = Callable[[Zone], float | None]


@dataclass(frozen=True, slots=True)
class Picture:
    """What to draw: the shop, the bodies in it, the benches where they now stand, how full each is."""

    shop: Shop
    bodies: tuple[Standing, ...]
    zones: tuple[Zone, ...]
    fixtures: tuple[Fixture, ...]
    fullness: Mapping[str, float | None]
    lit: frozenset[str] = frozenset()


def picture_of(scene: Scene, without: str | None = None, lit: Iterable[str] = ()) -> Picture:
    """Gather what is drawn of a scene, one group left out if it is being carried."""
    shop = scene.shop
    bodies = [body for room in shop.rooms for body in scene.standing(room)]
    groups = [b for b in bodies if b.kind == "group" and b.key != without]
    groups.sort(key=lambda b: (b.base_mm, -_area(b)))
    zones = tuple(zone for zone in scene.zones() if zone.kind != "room")
    fixtures = tuple(f for f in (scene.fixture(key) for key in shop.fixtures) if f is not None)
    return Picture(
        shop, tuple(groups), zones, fixtures, {z.key: fullness(scene, z) for z in zones}, frozenset(lit)
    )


def _area(body: Standing) -> float:
    x0, y0, x1, y1 = body.box
    return (x1 - x0) * (y1 - y0)


def fullness(scene: Scene, zone: Zone) -> float | None:
    """Return the greater of surface taken and load used, 1 being the limit; None where nothing lies there."""
    whole = scene.contents(zone.key)
    if not whole.groups:
        return None
    shares = [whole.fill / scene.shop.limits.fill]
    if whole.limit_kg:
        shares.append(whole.load_kg / whole.limit_kg)
    for level in zone.levels:
        each = scene.contents(zone.key, level.key)
        shares.append(each.fill / scene.shop.limits.fill)
        if each.limit_kg:
            shares.append(each.load_kg / each.limit_kg)
    return max(shares)


def fullness_word(share: float | None) -> str:
    """Say how full a zone is."""
    if share is None:
        return "empty"
    for below, word in (
        (0.25, "a little in it"),
        (0.45, "filling"),
        (0.65, "half full"),
        (1.0, "nearly full"),
    ):
        if share < below:
            return word
    return "full" if share <= 1.05 else "over full"


BARS = "▁▂▃▄▅▆▇█"


def fullness_glyph(share: float | None) -> str:
    """Return a one-cell measure of fullness; '!' when over."""
    if share is None:
        return ""
    return "!" if share > 1.05 else BARS[min(7, int(share * 8))]


def paint(picture: Picture, view: Projection) -> Canvas:
    """Draw everything but the cursor, what is carried and the marks."""
    canvas = Canvas(view.cols, view.rows)
    shop = picture.shop
    for way in shop.walkways.values():
        _way(canvas, view, way.line, way.width_mm)
    for zone in (z for z in picture.zones if z.kind == "floor"):
        _zone(canvas, view, zone, picture.fullness.get(zone.key))
    for keep in shop.keep_clear.values():
        canvas.fill(_cells(view, keep.outline), "╱", Ink.KEEP_CLEAR, Ground.KEEP_CLEAR)
        canvas.outline(_dots(view, keep.outline), Ink.KEEP_CLEAR, every=3)
    for fixture in picture.fixtures:
        _fixture(canvas, view, fixture)
    for zone in (z for z in picture.zones if z.kind != "floor"):
        _zone(canvas, view, zone, picture.fullness.get(zone.key))
    for body in picture.bodies:
        _thing(canvas, view, body, body.key in picture.lit)
    for room in shop.rooms.values():
        _walls(canvas, view, room.outline)
    for door in shop.doors.values():
        _door(canvas, view, door)
    _labels(canvas, view, picture)
    return canvas


def paint_carried(canvas: Canvas, view: Projection, outline: Outline, stop: bool, name: str) -> None:
    """Draw the thing in hand over what stands there."""
    ink = Ink.CARRIED_STOP if stop else Ink.CARRIED
    cells = _cells(view, outline)
    canvas.dark(cells)
    canvas.fill(cells, "▓" if stop else "▒", ink, Ground.CARRIED)
    canvas.outline(_dots(view, outline), ink)
    col, row = view.cell(centroid(outline))
    if not _word_inside(canvas, view, outline, name, ink):
        canvas.word(col, row, "✛", ink)


def paint_marks(canvas: Canvas, view: Projection, marks: Iterable[tuple[Point, str]]) -> None:
    """Draw a mark where each finding points, the worst last so that it stays on top."""
    order = {"note": 0, "correct": 1, "stop": 2}
    for at, grade in sorted(marks, key=lambda m: order[m[1]]):
        col, row = view.cell(at)
        canvas.word(col, row, GRADE_GLYPH[grade], GRADE_INK[grade])


def _cells(view: Projection, outline: Iterable[Point]) -> list[Point]:
    return [view.cells(p) for p in outline]


def _dots(view: Projection, outline: Iterable[Point]) -> list[Point]:
    return [view.dots(p) for p in outline]


def _way(canvas: Canvas, view: Projection, line: Sequence[Point], width_mm: float) -> None:
    """Strew a walkway with dots along its width, at least one cell wide."""
    half = max(width_mm / 2, view.mm_per_col * 0.75)
    for start, end in pairwise(line):
        band = strip_outline(start, end, half)
        if band:
            canvas.fill(_cells(view, band), "·", Ink.WALKWAY, Ground.WALKWAY)


def strip_outline(start: Point, end: Point, half: float) -> Outline:
    """Return the rectangle round a stretch of a way, a half width beyond each end."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = (dx * dx + dy * dy) ** 0.5
    if length == 0:
        return ()
    ux, uy = dx / length * half, dy / length * half
    (x0, y0), (x1, y1) = start, end
    return (
        (x0 - ux + uy, y0 - uy - ux),
        (x1 + ux + uy, y1 + uy - ux),
        (x1 + ux - uy, y1 + uy + ux),
        (x0 - ux - uy, y0 - uy + ux),
    )


def _zone(canvas: Canvas, view: Projection, zone: Zone, share: float | None) -> None:
    full = share is not None and share >= FULL_FROM
    ground = Ground.ZONE_FULL if full else Ground.ZONE
    canvas.fill(_cells(view, zone.outline), " ", Ink.ZONE, ground)
    ink = Ink.ZONE_FULL if full else Ink.ZONE
    if zone.kind == "floor":
        canvas.outline(_dots(view, zone.outline), ink, every=2)
    else:
        _box(canvas, view, zone.outline, ink)


def _fixture(canvas: Canvas, view: Projection, fixture: Fixture) -> None:
    canvas.fill(_cells(view, fixture.outline), "▚" if fixture.movable else "▒", Ink.FIXTURE, Ground.FIXTURE)
    _box(canvas, view, fixture.outline, Ink.FIXTURE)


def _thing(canvas: Canvas, view: Projection, body: Standing, lit: bool) -> None:
    cells = _cells(view, body.outline)
    canvas.dark(cells)
    canvas.fill(cells, "░", Ink.SHADE, Ground.LIT if lit else Ground.THING)
    canvas.outline(_dots(view, body.outline), Ink.LIT if lit else Ink.THING)


def _box(canvas: Canvas, view: Projection, outline: Outline, ink: Ink, heavy: bool = False) -> None:
    """Draw an outline with box lines where it runs level or upright, with dots where it does not."""
    before = outline[-1]
    for point in outline:
        if _straight(before, point):
            canvas.line(*_ends(view, before, point), ink, heavy)
        else:
            canvas.dotted(view.dots(before), view.dots(point), ink)
        before = point


def _straight(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) <= LEVEL_MM or abs(a[1] - b[1]) <= LEVEL_MM


def _ends(view: Projection, a: Point, b: Point) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the end cells of a straight edge, made exactly level or upright."""
    (c0, r0), (c1, r1) = view.cell(a), view.cell(b)
    if abs(a[0] - b[0]) <= LEVEL_MM:
        return (c0, r0), (c0, r1)
    return (c0, r0), (c1, r0)


def _walls(canvas: Canvas, view: Projection, outline: Outline) -> None:
    _box(canvas, view, outline, Ink.WALL, heavy=True)


def _door(canvas: Canvas, view: Projection, door: Door) -> None:
    """Open the wall where the door is; show its leaf's swing, and an exit by a word where there is room."""
    ink = Ink.EXIT if door.exit else Ink.DOOR
    a, b = door.jambs
    level = abs(a[0] - b[0]) >= abs(a[1] - b[1])
    glyph = "╌" if level else "╎"
    if door.opens == "open":
        glyph = " "
    elif door.opens in ("sliding", "up-and-over"):
        glyph = "═" if level else "║"
    for near, far in _passage_sides(door):
        for col, row in _between(view, near, far):
            canvas.cut(col, row)
            canvas.word(col, row, glyph, ink)
    if door.swing:
        canvas.outline(_dots(view, door.swing), Ink.SWING)


def _passage_sides(door: Door) -> list[tuple[Point, Point]]:
    """Return the door's line in each wall face it goes through."""
    sides = [door.jambs]
    if len(door.passage) == 4:
        a, b = door.jambs
        deep = max(door.passage, key=lambda p: _from_line(p, a, b))
        if _from_line(deep, a, b) > LEVEL_MM:
            nx, ny = _away(deep, a, b)
            sides.append(((a[0] + nx, a[1] + ny), (b[0] + nx, b[1] + ny)))
    return sides


def _from_line(p: Point, a: Point, b: Point) -> float:
    nx, ny = _away(p, a, b)
    return float((nx * nx + ny * ny) ** 0.5)


def _away(p: Point, a: Point, b: Point) -> Point:
    """Return the part of a - p that is square to the line through a and b, as a vector from the line to p."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length2 = dx * dx + dy * dy or 1.0
    k = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length2
    return p[0] - a[0] - k * dx, p[1] - a[1] - k * dy


def _between(view: Projection, a: Point, b: Point) -> Iterable[tuple[int, int]]:
    """Go through the cells whose middle lies between two jambs; at least one."""
    (x0, y0), (x1, y1) = view.cells(a), view.cells(b)
    if abs(x1 - x0) >= abs(y1 - y0):
        row = view.cell(a)[1] if abs(y1 - y0) < 1 else None
        for col in _whole(x0, x1):
            yield col, row if row is not None else int(y0 + (y1 - y0) * (col + 0.5 - x0) / (x1 - x0))
        return
    column = view.cell(a)[0] if abs(x1 - x0) < 1 else None
    for each in _whole(y0, y1):
        yield (column if column is not None else int(x0 + (x1 - x0) * (each + 0.5 - y0) / (y1 - y0))), each


def _whole(a: float, b: float) -> range:
    first, last = round(min(a, b)), round(max(a, b))
    return range(first, max(last, first + 1))


def _labels(canvas: Canvas, view: Projection, picture: Picture) -> None:
    """Write what fits: exits, things, zones with fullness, fixtures, rooms; the earlier ones win."""
    for door in picture.shop.doors.values():
        if door.exit:
            _exit_label(canvas, view, door)
    for body in reversed(picture.bodies):
        _word_inside(canvas, view, body.outline, body.name, Ink.LABEL)
    for zone in picture.zones:
        _zone_label(canvas, view, zone, picture.fullness.get(zone.key))
    for fixture in picture.fixtures:
        _word_inside(canvas, view, fixture.outline, fixture.name, Ink.FIXTURE, whole=False)
    for room in picture.shop.rooms.values():
        _room_label(canvas, view, room.outline, room.name)


def _exit_label(canvas: Canvas, view: Projection, door: Door) -> None:
    (x0, y0), (x1, y1) = door.jambs
    mid = (x0 + x1) / 2, (y0 + y1) / 2
    dx, dy = (0.0, 0.0)
    for point in door.passage:
        nx, ny = _away(point, *door.jambs)
        if nx * nx + ny * ny > dx * dx + dy * dy:
            dx, dy = nx, ny
    col, row = view.cell(mid)
    if abs(dx) > abs(dy):
        places = [(col + (1 if dx > 0 else -4), row)]
    else:
        places = [(col - 2, row + (1 if dy < 0 else -1))]
    for place in (*places, (col - 2, row)):
        if _on_grid(canvas, *place, 4):
            canvas.word(*place, "exit", Ink.EXIT)
            return


def _on_grid(canvas: Canvas, col: int, row: int, width: int) -> bool:
    return 0 <= row < canvas.rows and col >= 0 and col + width <= canvas.cols


def _zone_label(canvas: Canvas, view: Projection, zone: Zone, share: float | None) -> None:
    ink = Ink.ZONE_FULL if share is not None and share >= FULL_FROM else Ink.ZONE
    mark = fullness_glyph(share)
    for text in (f"{zone.name} {mark}".strip(), f"{zone.key} {mark}".strip(), zone.key, mark):
        if text and _word_on_free(canvas, view, zone.outline, text, ink):
            return
    for text in (f"{zone.name} {mark}".strip(), f"{zone.key} {mark}".strip(), zone.key, mark):
        if text and _word_inside(canvas, view, zone.outline, text, ink, cut=False):
            return
    if mark:
        col, row = view.cell(centroid(zone.outline))
        if canvas.clear_words(col, row, 1):
            canvas.word(col, row, mark, ink)


def _word_on_free(canvas: Canvas, view: Projection, outline: Outline, text: str, ink: Ink) -> bool:
    """Write a word on a row of an outline where nothing else stands, the middle rows first."""
    ys = [view.cells(p)[1] for p in outline]
    first, last = max(0, int(min(ys))), min(view.rows - 1, int(max(ys)))
    middle = view.cell(centroid(outline))[1]
    width = cell_len(text)
    for row in sorted(range(first, last + 1), key=lambda r: (abs(r - middle), r)):
        ends = sorted(view.cells((x, 0.0))[0] for x in _level_crossings(outline, view.middle(0, row)[1]))
        for left, right in zip(ends[::2], ends[1::2], strict=False):
            start, room = int(left) + 1, int(right) - int(left) - 1
            col = start + (room - width) // 2
            if (
                width <= room
                and _on_grid(canvas, col - 1, row, width + 2)
                and _blank(canvas, col, row, width)
            ):
                canvas.word(col, row, text, ink)
                return True
    return False


def _blank(canvas: Canvas, col: int, row: int, width: int) -> bool:
    return all(canvas.look(c, row)[0] in " ·" for c in range(col, col + width))


def _room_label(canvas: Canvas, view: Projection, outline: Outline, name: str) -> None:
    """Write a room's name in the first row from the top that has free floor for it."""
    xs = [view.cells(p)[0] for p in outline]
    ys = [view.cells(p)[1] for p in outline]
    width = cell_len(name)
    for row in range(max(0, int(min(ys)) + 1), min(view.rows, int(max(ys)))):
        for col in range(max(0, int(min(xs)) + 2), min(view.cols, int(max(xs))) - width):
            ends = (view.middle(col - 1, row), view.middle(col + width, row))
            if all(contains(outline, p) for p in ends) and _floor(canvas, col, row, width):
                canvas.word(col, row, name, Ink.LABEL)
                return


def _floor(canvas: Canvas, col: int, row: int, width: int) -> bool:
    return all(
        canvas.look(c, row)[0] == " " and not canvas.ground[row * canvas.cols + c]
        for c in range(col, col + width)
    )


def _word_inside(
    canvas: Canvas,
    view: Projection,
    outline: Outline,
    text: str,
    ink: Ink,
    *,
    cut: bool = True,
    whole: bool = False,
) -> bool:
    """Write a word in the middle of an outline if it, or at least four cells of it, fits there."""
    x, y = centroid(outline)
    row = view.cell((x, y))[1]
    if not 0 <= row < view.rows:
        return False
    middle_mm = view.middle(0, row)[1]
    crossings = sorted(view.cells((cx, middle_mm))[0] for cx in _level_crossings(outline, middle_mm))
    at = view.cells((x, y))[0]
    for left, right in zip(crossings[::2], crossings[1::2], strict=False):
        if left <= at <= right:
            first, last = max(0, int(left) + 1), min(view.cols, int(right))
            room = last - first
            want = cell_len(text)
            if want > room and (whole or not cut or room < 4):
                return False
            shown = text if want <= room else set_cell_size(text, room).rstrip()
            if cell_len(shown) != len(shown):
                shown = "".join(c for c in shown if cell_len(c) == 1)
            col = first + (room - len(shown)) // 2
            if room < 1 or not canvas.clear_words(col, row, len(shown)):
                return False
            canvas.word(col, row, shown, ink)
            return True
    return False


def _level_crossings(outline: Outline, y: float) -> Iterable[float]:
    x0, y0 = outline[-1]
    for x1, y1 in outline:
        if (y0 > y) != (y1 > y):
            yield (x1 - x0) * (y - y0) / (y1 - y0) + x0
        x0, y0 = x1, y1
