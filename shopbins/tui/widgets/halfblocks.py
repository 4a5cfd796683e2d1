"""A picture in characters: each cell two pixels, the upper half of a block in one colour on another."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget


def opened(path: Path) -> Any:
    """Return a picture as it is to be looked at, upright; raises OSError, ImportError, BadValue."""
    from PIL import ImageOps

    from shopbins.records.photos import picture

    with picture(path, "RGB", 1200) as image:
        return ImageOps.exif_transpose(image).convert("RGB")


def fitted(size: tuple[int, int], cols: int, rows: int) -> tuple[int, int]:
    """Return the pixels of a picture that fits so many cells, two above each other in a cell."""
    width, height = size
    scale = min(cols / width, 2 * rows / height)
    return max(1, round(width * scale)), max(1, round(height * scale))


class HalfBlocks(Widget, can_focus=False):
    """Shows a picture as large as it fits."""

    DEFAULT_CSS = "HalfBlocks { width: 100%; height: 1fr; }"

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._image: Any = None
        self._strips: list[Strip] = []
        self._for: tuple[int, int] = (0, 0)

    def look_at(self, image: Any) -> None:
        """Show another picture, or none."""
        self._image, self._for = image, (0, 0)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        width, height = self.size
        if self._for != (width, height):
            self._for = (width, height)
            self._strips = [] if self._image is None else self._drawn(width, height)
        top = (height - len(self._strips)) // 2
        return self._strips[y - top] if 0 <= y - top < len(self._strips) else Strip.blank(width)

    def _drawn(self, width: int, height: int) -> list[Strip]:
        cols, rows = fitted(self._image.size, width, height)
        pixels = self._image.resize((cols, rows)).load()
        left = Segment(" " * ((width - cols) // 2))
        strips = []
        for y in range(0, rows, 2):
            cells = [left]
            for x in range(cols):
                lower = Color.from_rgb(*pixels[x, y + 1]) if y + 1 < rows else None
                cells.append(Segment("▀", Style(color=Color.from_rgb(*pixels[x, y]), bgcolor=lower)))
            strips.append(Strip(cells).adjust_cell_length(width))
        return strips
