"""Labels drawn as pictures, one PNG a label, each module whole dots of the printer."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.tags import NotWritten, TagError
from shopbins.tags.draw import LINE_MM, Rendered, put_file, rendered
from shopbins.tags.drawn import Drawn, check
from shopbins.tags.fit import Text
from shopbins.tags.fonts import Face, runs, unit_width
from shopbins.tags.labels import Label
from shopbins.tags.layout import MM_PER_INCH, Layout
from shopbins.tags.place import Placed, placed

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_DOTS = 120_000_000  # a floor marker at 600 dpi is 35 million


def pictures(labels: Sequence[Label], layout: Layout, folder: Path) -> tuple[Rendered, list[Path]]:
    """Draw each label into a PNG in `folder`, named by its code, and return what was written.

    TagError where a label cannot be drawn (then nothing is written) or a file not be written.
    """
    drawn, problems = check(labels, layout)
    paths: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NotWritten(f"{folder}: not made: {error.strerror or error}") from None
    for each, name in zip(drawn, _names(drawn), strict=True):
        path = folder / name
        put_file(path, png(each, layout))
        paths.append(path)
    return rendered(drawn, len(paths), problems), paths


def _names(drawn: Sequence[Drawn]) -> list[str]:
    """Name each file by its label's code, with the end of a flag and the number of a strip's piece."""
    seen: dict[str, int] = {}
    names: list[str] = []
    for each in drawn:
        # A name in this folder, whatever a record may say.
        code = re.sub(r"[^A-Za-z0-9_-]", "_", each.label.code)
        stem = code + (f"-{each.label.end}" if each.label.end else "")
        seen[stem] = seen.get(stem, 0) + 1
        names.append(f"{stem}.png" if seen[stem] == 1 else f"{stem}-{seen[stem]}.png")
    return names


def png(drawn: Drawn, layout: Layout) -> bytes:
    """Return a label as a PNG of black and white dots that carries its dots an inch."""
    out = BytesIO()
    picture(drawn, layout).save(out, "PNG", dpi=(layout.dpi, layout.dpi), optimize=True)
    return out.getvalue()


def picture(drawn: Drawn, layout: Layout) -> Image:
    """Return a label as a picture of black and white dots, as large as the layout's label."""
    from PIL import Image, ImageDraw

    dots = layout.dpi / MM_PER_INCH
    height_mm = layout.label_mm[1]
    size = round(drawn.width_mm * dots), round(height_mm * dots)
    if size[0] * size[1] > MOST_DOTS:
        raise TagError(f"{drawn.label.code}: {size[0]} x {size[1]} dots are too many for a picture")
    grey = Image.new("L", size, 255)
    _draw(ImageDraw.Draw(grey), placed(drawn, layout, 0.0, 0.0, height_mm), dots, height_mm, grey)
    return grey.point(lambda each: 255 if each > 127 else 0).convert("1")


def _draw(pen: Any, each: Placed, dots: float, height_mm: float, grey: Image) -> None:
    def at(x: float, y: float) -> tuple[float, float]:
        return x * dots, (height_mm - y) * dots

    for x, y, w, h in each.rects:
        left, top = at(x, y + h)
        right, bottom = left + w * dots, top + h * dots
        pen.rectangle((round(left), round(top), round(right) - 1, round(bottom) - 1), fill=0)
    for black, shape in each.shapes:
        pen.polygon([at(*point) for point in shape], fill=0 if black else 255)
    thick = max(1, round(LINE_MM * dots))
    for x0, y0, x1, y1 in each.lines:
        pen.line((at(x0, y0), at(x1, y1)), fill=0, width=thick)
    for x, y, across in each.holes:
        (left, top), (right, bottom) = at(x - across / 2, y + across / 2), at(x + across / 2, y - across / 2)
        pen.ellipse((left, top, right, bottom), outline=0, width=thick)
    for text, turn in each.texts:
        _write(grey, text, turn, dots, at(text.x_mm, text.y_mm))


def _write(grey: Image, text: Text, turn: int, dots: float, base: tuple[float, float]) -> None:
    """Write a line on a strip of its own, turned if need be, then put it on its baseline."""
    from PIL import Image, ImageChops, ImageDraw

    size = text.size_mm * dots
    length, up, down = unit_width(text.text, text.font) * size, 1.1 * size, 0.4 * size
    strip = Image.new("L", (max(1, round(length + size)), max(1, round(up + down))), 255)
    pen = ImageDraw.Draw(strip)
    x = 0.0
    for face, piece in runs(text.text, text.font):
        pen.text((x, up), piece, font=_letters(face, size), fill=0, anchor="ls")
        x += unit_width(piece, text.font) * size
    wide, high = strip.size
    if turn:
        strip = strip.rotate(turn, expand=True)
    corner = {
        0: (base[0], base[1] - up),
        90: (base[0] - up, base[1] - wide),
        180: (base[0] - wide, base[1] - (high - up)),
        270: (base[0] - (high - up), base[1]),
    }[turn]
    left, top = round(corner[0]), round(corner[1])
    under = grey.crop((left, top, left + strip.size[0], top + strip.size[1]))
    grey.paste(ImageChops.darker(under, strip), (left, top))


@lru_cache(maxsize=128)
def _letters(face: Face, size: float) -> Any:
    from PIL import ImageFont

    return ImageFont.truetype(str(face.path), size, index=face.number)
