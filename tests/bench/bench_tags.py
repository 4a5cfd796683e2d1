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

from shopbins.ledger.codes import next_code
from shopbins.tags.code128 import modules
from shopbins.tags.draw import POINTS_PER_MM, pages_of, render
from shopbins.tags.drawn import check
from shopbins.tags.fonts import printable, unit_width
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout
from shopbins.tags.place import Placed, placed
from shopbins.tags.qr import symbol

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


def primitives(made: list[Label], name: str) -> list[list[Placed]]:
    """Return what stands on each page, worked out beforehand."""
    sheet = layout(name)
    drawn, _ = check(made, sheet)
    return [
        [placed(each, sheet, left, top, page.size_mm[1]) for each, left, top in page.labels]
        for page in pages_of(drawn, sheet)
    ]


def straight(pages: list[list[Placed]], name: str, path: Path) -> None:
    """Draw the primitives with nothing but the PDF library and write the file."""
    from reportlab.pdfgen.canvas import Canvas

    sheet = layout(name)
    out = BytesIO()
    canvas = Canvas(out, pagesize=tuple(each * POINTS_PER_MM for each in sheet.sheet_mm), invariant=1)
    for page in pages:
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        for label in page:
            shape = canvas.beginPath()
            for rect in label.rects:
                shape.rect(*rect)
            canvas.drawPath(shape, stroke=0, fill=1)
            for black, outline in label.shapes:
                shape = canvas.beginPath()
                shape.moveTo(*outline[0])
                for point in outline[1:]:
                    shape.lineTo(*point)
                shape.close()
                canvas.setFillGray(0 if black else 1)
                canvas.drawPath(shape, stroke=0, fill=1)
            if label.shapes:
                canvas.setFillGray(0)
            for text, _ in label.texts:
                canvas.setFont(text.font, text.size_mm)
                canvas.drawString(text.x_mm, text.y_mm, text.text)
        canvas.showPage()
    canvas.save()
    path.write_bytes(out.getvalue())


def timed(work) -> float:
    gc.collect()
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def read_back(path: Path, dpi: int) -> dict[str, set[str]]:
    """Return the codes an independent reader finds on all pages, by symbology."""
    import pypdfium2
    import zxingcpp

    formats = {"bars": zxingcpp.BarcodeFormat.Code128, "QR": zxingcpp.BarcodeFormat.QRCode}
    document = pypdfium2.PdfDocument(path)
    found: dict[str, set[str]] = {name: set() for name in formats}
    for page in document:
        picture = page.render(scale=dpi / 72, grayscale=True).to_pil()
        for name, each in formats.items():
            found[name] |= {code.text for code in zxingcpp.read_barcodes(picture, formats=each)}
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
                symbol.cache_clear()
                ours.append(timed(lambda: render(made, layout(name), path)))  # noqa: B023
                theirs.append(timed(lambda: straight(drawn, name, other)))  # noqa: B023
            a, b = statistics.median(ours), statistics.median(theirs)
            print(f"{name}: {COUNT} labels {a * 1000:.0f} ms, straight {b * 1000:.0f} ms, ratio {a / b:.2f}")
            codes = {each.code for each in made}
            for dpi in (203, 300):
                for symbology, read in read_back(path, dpi).items():
                    print(f"  {symbology} read back at {dpi} dpi: {len(read & codes)} of {COUNT}")


if __name__ == "__main__":
    main()
