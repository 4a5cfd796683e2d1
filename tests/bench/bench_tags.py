"""1,000 tags to one PDF, beside drawing the very same primitives straight with the PDF library.

Run: python tests/bench/bench_tags.py [rounds]. Prints medians and their ratio from one run (goal 1.2), and
how many of the 1,000 are read back by zxing-cpp at 203 and 300 dots an inch. Caches are emptied each round.
"""

from __future__ import annotations

import gc
import statistics
import sys
import tempfile
import time
from io import BytesIO
from pathlib import Path

from shopbins.parts.codes import next_code
from shopbins.tags.code128 import modules
from shopbins.tags.design import check
from shopbins.tags.draw import POINTS_PER_MM, render
from shopbins.tags.fonts import printable, unit_width
from shopbins.tags.labels import Label
from shopbins.tags.layouts import MM_PER_INCH, layout

COUNT = 1000


def labels() -> list[Label]:
    """Return 1,000 labels, no two alike."""
    made: list[Label] = []
    serial = 0
    for at in range(COUNT):
        code = next_code("RW", serial)
        serial = code.serial
        title = f"Valve spring, outer {at % 40}, cylinder head {at % 3 + 1}"
        lines = (
            f"workboat diesel > cylinder head {at % 3 + 1} > valve gear {at}",
            f"{at % 9 + 1} off · {at} g · bag",
        )
        made.append(Label(code.text, title, lines, ("sharp edges",) if at % 10 == 0 else ()))
    return made


def primitives(made: list[Label], name: str) -> list[tuple[list[tuple[float, ...]], list[tuple]]]:
    """Return each label's rectangles and texts on its page, worked out beforehand."""
    sheet = layout(name)
    designs, _ = check(made, sheet)
    dot = MM_PER_INCH / sheet.dpi
    found = []
    for at, each in enumerate(designs):
        left, top = sheet.corner_mm(at % sheet.per_page)
        bottom = sheet.sheet_mm[1] - top - sheet.label_mm[1]
        x = round((left + each.bars_left_mm) / dot) * dot
        bars = [
            (x + a * each.module_mm, bottom + each.bars_bottom_mm, n * each.module_mm, each.bars_height_mm)
            for a, n in each.bars
        ]
        texts = [(t.font, t.size_mm, left + t.x_mm, bottom + t.y_mm, t.text) for t in each.texts]
        found.append((bars, texts))
    return found


def straight(drawn: list[tuple[list[tuple[float, ...]], list[tuple]]], name: str, path: Path) -> None:
    """Draw the primitives with nothing but the PDF library and write the file."""
    from reportlab.pdfgen.canvas import Canvas

    sheet = layout(name)
    out = BytesIO()
    canvas = Canvas(out, pagesize=tuple(each * POINTS_PER_MM for each in sheet.sheet_mm), invariant=1)
    for at, (bars, texts) in enumerate(drawn):
        if at % sheet.per_page == 0:
            if at:
                canvas.showPage()
            canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        shape = canvas.beginPath()
        for bar in bars:
            shape.rect(*bar)
        canvas.drawPath(shape, stroke=0, fill=1)
        for font, size, x, y, text in texts:
            canvas.setFont(font, size)
            canvas.drawString(x, y, text)
    canvas.save()
    path.write_bytes(out.getvalue())


def timed(work) -> float:
    gc.collect()
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def read_back(path: Path, dpi: int) -> set[str]:
    """Return the codes an independent reader finds on all pages."""
    import pypdfium2
    import zxingcpp

    document = pypdfium2.PdfDocument(path)
    found = set()
    for page in document:
        picture = page.render(scale=dpi / 72, grayscale=True).to_pil()
        found |= {
            each.text for each in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.Code128)
        }
    document.close()
    return found


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    made = labels()
    with tempfile.TemporaryDirectory() as folder:
        for name in ("a4-3x7", "letter-3x10"):
            drawn = primitives(made, name)
            path, other = Path(folder) / "ours.pdf", Path(folder) / "straight.pdf"
            ours, theirs = [], []
            for _ in range(rounds):
                modules.cache_clear()
                printable.cache_clear()
                unit_width.cache_clear()
                ours.append(timed(lambda: render(made, layout(name), path)))  # noqa: B023
                theirs.append(timed(lambda: straight(drawn, name, other)))  # noqa: B023
            a, b = statistics.median(ours), statistics.median(theirs)
            print(f"{name}: {COUNT} labels {a * 1000:.0f} ms, straight {b * 1000:.0f} ms, ratio {a / b:.2f}")
            codes = {each.code for each in made}
            for dpi in (203, 300):
                print(f"  read back at {dpi} dpi: {len(read_back(path, dpi) & codes)} of {COUNT}")


if __name__ == "__main__":
    main()
