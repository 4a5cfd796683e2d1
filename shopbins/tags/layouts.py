"""Where labels lie on a sheet or roll; the layouts themselves are data (layouts.yaml)."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from shopbins.tags import TagError

MM_PER_INCH = 25.4
UNITS = {"mm": 1.0, "in": MM_PER_INCH}
DEFAULT = "a4-3x7"
OURS = Path(__file__).with_name("layouts.yaml")
KEYS = ("unit", "sheet", "grid", "label", "first", "pitch", "inset", "dpi", "source")
NEEDED = ("sheet", "grid", "label", "first")
# A grid may stick out of its sheet by this much before it counts as wrong: label makers round too.
SLACK_MM = 0.05


@dataclass(frozen=True, slots=True)
class Layout:
    """A grid of equal labels on a page, in mm from the page's top left corner."""

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

    @property
    def per_page(self) -> int:
        """Return how many labels one page holds."""
        return self.columns * self.rows

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


@lru_cache(maxsize=1)
def layouts() -> Mapping[str, Layout]:
    """Return the layouts that come with the program, by name."""
    return read_layouts(OURS)


def layout(name: str, known: Mapping[str, Layout] | None = None) -> Layout:
    """Return the layout called `name`, or raise TagError naming the likely one meant."""
    known = layouts() if known is None else known
    if name in known:
        return known[name]
    near = difflib.get_close_matches(name, known, n=1)
    hint = f"did you mean {near[0]}?" if near else "there are " + ", ".join(known)
    raise TagError(f"no sheet called {name!r} ({hint})")


def read_layouts(path: Path) -> dict[str, Layout]:
    """Read a file of layouts; TagError lists every problem as `file: layout: problem`."""
    import yaml

    try:
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise TagError(f"{path}: {' '.join(str(error).split())}") from None
    if not isinstance(data, dict):
        raise TagError(f"{path}: should be layouts by name")
    found: dict[str, Layout] = {}
    problems: list[str] = []
    for name, given in data.items():
        try:
            found[str(name)] = _layout(str(name), given)
        except ValueError as error:
            problems.append(f"{path}: {name}: {error}")
    if problems:
        raise TagError(*problems)
    return found


def _layout(name: str, given: Any) -> Layout:
    if not isinstance(given, dict):
        raise ValueError("should have sheet, grid, label and first")
    for key in given:
        if key not in KEYS:
            near = difflib.get_close_matches(str(key), KEYS, n=1)
            raise ValueError(f"unknown key {key!r}" + (f" (did you mean {near[0]}?)" if near else ""))
    missing = [key for key in NEEDED if key not in given]
    if missing:
        raise ValueError(f"{', '.join(missing)} missing")
    if given.get("unit", "mm") not in UNITS:
        raise ValueError(f"unit {given['unit']!r} (mm or in)")
    to_mm = UNITS[given.get("unit", "mm")]
    columns, rows = (int(each) for each in _pair(given, "grid", 1.0))
    label = _pair(given, "label", to_mm)
    result = Layout(
        name=name,
        sheet_mm=_pair(given, "sheet", to_mm),
        columns=columns,
        rows=rows,
        label_mm=label,
        first_mm=_pair(given, "first", to_mm),
        pitch_mm=_pair(given, "pitch", to_mm) if "pitch" in given else label,
        inset_mm=_number(given["inset"], "inset") * to_mm if "inset" in given else 2.0,
        dpi=int(_number(given.get("dpi", 300), "dpi")),
        source=str(given.get("source", "")),
    )
    _check(result)
    return result


def _number(value: Any, key: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{key} {value!r} should be a number")
    return float(value)


def _pair(given: Mapping[str, Any], key: str, to_mm: float) -> tuple[float, float]:
    value = given[key]
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError(f"{key} should be two numbers, like [63.5, 38.1]")
    return _number(value[0], key) * to_mm, _number(value[1], key) * to_mm


def _check(layout: Layout) -> None:
    """Raise ValueError where labels would overlap or leave the sheet."""
    if layout.columns < 1 or layout.rows < 1:
        raise ValueError("grid should be at least 1 x 1")
    if not 72 <= layout.dpi <= 4800:
        raise ValueError(f"dpi {layout.dpi} should be 72 to 4800")
    for axis, count, word in ((0, layout.columns, "across"), (1, layout.rows, "down")):
        size, pitch = layout.label_mm[axis], layout.pitch_mm[axis]
        first, sheet = layout.first_mm[axis], layout.sheet_mm[axis]
        if size <= 0 or sheet <= 0 or first < 0 or not 0 <= layout.inset_mm < size / 2:
            raise ValueError("sizes should be more than nothing, inset less than half a label")
        if count > 1 and pitch < size - SLACK_MM:
            raise ValueError(f"labels overlap {word}: pitch {pitch:g} mm, label {size:g} mm")
        end = first + (count - 1) * pitch + size
        if end > sheet + SLACK_MM:
            raise ValueError(f"labels leave the sheet {word}: they end at {end:g} mm of {sheet:g} mm")
