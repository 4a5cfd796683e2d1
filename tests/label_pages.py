"""Labels of all kinds as printed, cut out of rendered pages face by face, and read by zxing-cpp."""

from __future__ import annotations

from itertools import islice

from shopbins.ledger.codes import next_code
from shopbins.tags.draw import pages_of, render
from shopbins.tags.drawn import check
from shopbins.tags.labels import Label


def labels(count):
    """Return labels of all kinds, with codes as a shop gives them."""
    made, serial = [], 0
    for at in range(count):
        code = next_code("RW", serial)
        serial = code.serial
        lines = ("diesel > head 2", "1 off · 41 kg")
        made.append(
            [
                Label(code.text, "Cylinder head 2", lines, ("sharp",), along_mm=900.0),
                Label(code.text, kind="blank", along_mm=420.0),
                Label(code.text, "rack a/3", ("Slip hall", "bears 120 kg"), kind="place", along_mm=1800.0),
                Label(code.text, "Kühlerschläuche Steuerbord", ("engine > cooling",), along_mm=277.0),
            ][at % 4]
        )
    return made


def pictures(path, dpi, most_pages):
    """Return the first pages of a PDF as grey pictures at `dpi`."""
    import pypdfium2

    document = pypdfium2.PdfDocument(path)
    try:
        return [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in islice(document, most_pages)]
    finally:
        document.close()


def printed(sheet, wanted, path):
    """Print labels; return the pages they lie on."""
    render(wanted, sheet, path)
    drawn, _ = check(wanted, sheet)
    return list(pages_of(drawn, sheet))


def faces(pages, path, dpi, most_pages=2):
    """Return (code, design, upright picture) of every face on the first pages of what was printed there."""
    found = []
    for page, picture in zip(pages[:most_pages], pictures(path, dpi, most_pages), strict=True):
        for label, left, top in page.labels:
            for face, design in label.faces:
                corner = (left + face.left_mm, top + face.top_mm)
                box = (*corner, corner[0] + face.width_mm, corner[1] + face.height_mm)
                cut = picture.crop([round(each * dpi / 25.4) for each in box])
                found.append((label.label.code, design, cut.rotate(-face.turn_deg, expand=True)))
    return found


def read(picture):
    """Return what is read from a picture: (symbology, text) of each symbol."""
    import zxingcpp

    formats = zxingcpp.barcode_formats_from_str("Code128,QRCode")
    found = zxingcpp.read_barcodes(picture, formats=formats)
    return {("QR" if "QR" in str(each.format) else "bars", each.text) for each in found}


def expected(code, design):
    """Return what a face should be read as."""
    return {
        *([("bars", code)] if design.pattern else []),
        *([("QR", code)] if design.qr is not None else []),
    }
