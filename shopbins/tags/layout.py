"""Where labels lie on a sheet or roll, where on a label what stands, and what is wrong with such numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shopbins.tags import TagError

MM_PER_INCH = 25.4
UNITS = {"mm": 1.0, "in": MM_PER_INCH}
FORMS = ("label", "flag", "tie-on", "bag top", "strip", "marker")
SYMBOLS = ("bars", "qr")
SHOWS = ("all", "notes")
# A grid may stick out of its sheet by this much before it counts as wrong: label makers round too.
SLACK_MM = 0.05


@dataclass(frozen=True, slots=True)
class Face:
    """A part of a label that is printed on: a rectangle from the label's left and top edge, turned or not.

    `turn_deg` is 0, 90, 180 or 270 counter-clockwise. It `shows` all a label has to say, or only its code and
    lines for notes by hand.
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    turn_deg: int = 0
    shows: str = "all"

    @property
    def inner_mm(self) -> tuple[float, float]:
        """Width and height as one reads it."""
        if self.turn_deg % 180:
            return self.height_mm, self.width_mm
        return self.width_mm, self.height_mm


@dataclass(frozen=True, slots=True)
class Layout:
    """A grid of equal labels on a page, in mm from the page's top left corner.

    `pairs`: each label is printed twice, as end A and end B. A `strip` is as long as the place it is for: cut
    into equal pieces no longer than a label, or, with `endless`, the pieces in one on a roll.
    """

    name: str
    sheet_mm: tuple[float, float]
    columns: int
    rows: int
    label_mm: tuple[float, float]
    first_mm: tuple[float, float]
    pitch_mm: tuple[float, float]
    inset_mm: float = 2.0
    dpi: int = 300
    source: str = ""
    form: str = "label"
    symbols: tuple[str, ...] = SYMBOLS
    faces: tuple[Face, ...] = ()
    fold_x_mm: tuple[float, ...] = ()
    fold_y_mm: tuple[float, ...] = ()
    holes: tuple[tuple[float, float, float], ...] = ()
    cut: bool = False
    pairs: bool = False
    endless: bool = False
    file: str = ""

    @property
    def per_page(self) -> int:
        """Return how many labels one page holds."""
        return self.columns * self.rows

    @property
    def all_faces(self) -> tuple[Face, ...]:
        """The faces of a label; where none are given the whole label is one."""
        return self.faces or (Face(0.0, 0.0, *self.label_mm),)

    def corner_mm(self, position: int) -> tuple[float, float]:
        """Return left and top edge of the label at `position` on its page (0 first, along the rows)."""
        row, column = divmod(position, self.columns)
        return (
            self.first_mm[0] + column * self.pitch_mm[0],
            self.first_mm[1] + row * self.pitch_mm[1],
        )

    def check_start(self, start: int) -> None:
        """Raise TagError where `start` (1 first) is no place on a page."""
        if not 1 <= start <= self.per_page:
            raise TagError(f"start {start} is not on the sheet: {self.name} has places 1 to {self.per_page}")

    def at_dots(self, dpi: int) -> Layout:
        """Return the layout for a printer with other dots an inch."""
        return self if dpi == self.dpi else replace(self, dpi=dpi)


def problem_of(layout: Layout) -> str | None:
    """Return what is wrong with a layout's numbers, None where nothing is."""
    if layout.columns < 1 or layout.rows < 1:
        return "grid should be at least 1 x 1"
    if not 72 <= layout.dpi <= 4800:
        return f"dpi {layout.dpi} should be 72 to 4800"
    return _problem_of_grid(layout) or _problem_of_faces(layout)


def _problem_of_grid(layout: Layout) -> str | None:
    for axis, count, word in ((0, layout.columns, "across"), (1, layout.rows, "down")):
        size, pitch = layout.label_mm[axis], layout.pitch_mm[axis]
        first, sheet = layout.first_mm[axis], layout.sheet_mm[axis]
        if size <= 0 or sheet <= 0 or first < 0 or not 0 <= layout.inset_mm < size / 2:
            return "sizes should be more than nothing, inset less than half a label"
        if max(sheet, size) > 5000 or not math.isfinite(first + pitch):
            return "a sheet is at most 5 m long"
        if count > 1 and pitch < size - SLACK_MM:
            return f"labels overlap {word}: pitch {pitch:g} mm, label {size:g} mm"
        end = first + (count - 1) * pitch + size
        if end > sheet + SLACK_MM:
            return f"labels leave the sheet {word}: they end at {end:g} mm of {sheet:g} mm"
    return None


def _problem_of_faces(layout: Layout) -> str | None:
    """Return where faces, holes or folds leave their label or lie over each other."""
    width, height = layout.label_mm
    for face in layout.faces:
        if face.width_mm <= 0 or face.height_mm <= 0 or min(face.left_mm, face.top_mm) < -SLACK_MM:
            return "a face should lie on its label and be more than nothing"
        if (
            face.left_mm + face.width_mm > width + SLACK_MM
            or face.top_mm + face.height_mm > height + SLACK_MM
        ):
            return "a face leaves its label"
        if face.turn_deg not in (0, 90, 180, 270):
            return f"turn {face.turn_deg} should be 0, 90, 180 or 270"
        if face.shows not in SHOWS:
            return f"a face shows {face.shows!r} (all or notes)"
        for x, y, across in layout.holes:
            if _reaches(face, x, y, across / 2):
                return f"the hole at {x:g}, {y:g} mm reaches into a face"
    for at, one in enumerate(layout.faces):
        if any(_overlap(one, other) for other in layout.faces[at + 1 :]):
            return "two faces lie over each other"
    if any(not 0 < x < width for x in layout.fold_x_mm) or any(not 0 < y < height for y in layout.fold_y_mm):
        return "a fold lies off the label"
    if layout.form == "strip" and (layout.faces or layout.columns > 1):
        return "a strip has one column and no faces"
    return "endless goes with strips only" if layout.endless and layout.form != "strip" else None


def _reaches(face: Face, x: float, y: float, radius: float) -> bool:
    """Tell whether a hole comes into a face."""
    near_x = min(max(x, face.left_mm), face.left_mm + face.width_mm)
    near_y = min(max(y, face.top_mm), face.top_mm + face.height_mm)
    return math.dist((x, y), (near_x, near_y)) < radius - SLACK_MM


def _overlap(one: Face, other: Face) -> bool:
    across = min(one.left_mm + one.width_mm, other.left_mm + other.width_mm) - max(one.left_mm, other.left_mm)
    down = min(one.top_mm + one.height_mm, other.top_mm + other.height_mm) - max(one.top_mm, other.top_mm)
    return across > SLACK_MM and down > SLACK_MM
