"""Printed sheets, measured and read with tools that share nothing with the drawing.

The PDF is opened by pdfium; positions come from its page objects, and every label is read back from the page
rendered at a printer's dots by zxing-cpp.
"""

import pytest

from shopbins.parts.codes import next_code
from shopbins.tags.divide import EDGE_MM
from shopbins.tags.draw import render
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout, layouts

MM = 25.4 / 72


def labels(count):
    """Return labels of all kinds, with codes as a shop gives them."""
    made, serial = [], 0
    for at in range(count):
        code = next_code("RW", serial)
        serial = code.serial
        made.append(
            [
                Label(
                    code.text, "Cylinder head 2", ("diesel > head 2", "1 off · 41 kg"), ("asbestos gasket",)
                ),
                Label(code.text, kind="blank"),
                Label(code.text, "rack a/3", ("Slip hall", "carries 120 kg"), kind="place"),
                Label(code.text, "Kühlerschläuche für Steuerbord " * 12, ("engine > cooling",)),
            ][at % 4]
        )
    return made


def pages(path, dpi):
    """Return each page of a PDF as a grey picture at `dpi`."""
    import pypdfium2

    document = pypdfium2.PdfDocument(path)
    try:
        return [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]
    finally:
        document.close()


def read_back(path, dpi):
    """Return the codes on all pages, in reading order of the sheet."""
    import zxingcpp

    codes = []
    for picture in pages(path, dpi):
        found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.Code128)
        rows = sorted((round(b.position.top_left.y / dpi * 10), b.position.top_left.x, b.text) for b in found)
        codes += [text for _, _, text in rows]
    return codes


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("name", list(layouts()))
def test_every_label_of_every_layout_is_read_back(tmp_path, name, dpi):
    sheet = layout(name)
    wanted = labels(min(2 * sheet.per_page, 42) if sheet.per_page > 2 else 6)
    path = tmp_path / "tags.pdf"
    done = render(wanted, sheet, path)
    assert done.labels == len(wanted) and done.codes == tuple(each.code for each in wanted)
    assert sorted(read_back(path, dpi)) == sorted(done.codes)


@pytest.mark.parametrize("name", ["a4-3x7", "letter-3x10", "roll-62x29"])
def test_worn_labels_are_read_back(tmp_path, name):
    # Blurred by a third of a module, a fifth of the contrast lost, held 3 degrees askew, photographed poorly.
    from io import BytesIO

    import zxingcpp
    from PIL import Image, ImageEnhance, ImageFilter

    sheet = layout(name)
    wanted = labels(min(sheet.per_page, 21) if sheet.per_page > 1 else 4)
    path = tmp_path / "tags.pdf"
    render(wanted, sheet, path)
    read = []
    for picture in pages(path, 300):
        worn = picture.filter(ImageFilter.GaussianBlur(0.11 / 25.4 * 300))
        worn = ImageEnhance.Contrast(worn).enhance(0.8).rotate(3, expand=True, fillcolor=230)
        photograph = BytesIO()
        worn.save(photograph, "JPEG", quality=35)
        found = zxingcpp.read_barcodes(Image.open(photograph), formats=zxingcpp.BarcodeFormat.Code128)
        read += [each.text for each in found]
    assert sorted(read) == sorted(each.code for each in wanted)


def boxes(path, page=0):
    """Return the bounding boxes of drawn paths in mm from the page's top left: left, top, right, bottom."""
    import pypdfium2
    import pypdfium2.raw as raw

    document = pypdfium2.PdfDocument(path)
    sheet = document[page]
    height = sheet.get_height()
    found = []
    for each in sheet.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = each.get_bounds()
        found.append((left * MM, (height - top) * MM, right * MM, (height - bottom) * MM))
    size = sheet.get_width() * MM, height * MM
    document.close()
    return size, found


# Corner of first and last label from the sheets' published dimensions, in mm: 3 x 7 on A4 63.5 x 38.1, top
# 15.15, left 7.2, gap 2.5: the last ends at 7.2 + 2 x 66 + 63.5 = 202.7 and 15.15 + 7 x 38.1 = 281.85.
# Letter 3 x 10 of 2.625 x 1 in, side .1875, top .5, pitch 2.75 x 1 in (from memory).
CORNERS = {
    "a4-3x7": ((210.0, 297.0), (7.2, 15.15), (202.7, 281.85)),
    "letter-3x10": ((215.9, 279.4), (4.7625, 12.7), (8.3125 * 25.4, 10.5 * 25.4)),
    "letter-2x5": ((215.9, 279.4), (3.96875, 12.7), (8.34375 * 25.4, 10.5 * 25.4)),
}


@pytest.mark.parametrize("name", list(CORNERS))
def test_printed_positions_to_a_tenth_of_a_millimetre(tmp_path, name):
    size, first, last = CORNERS[name]
    sheet = layout(name)
    path = tmp_path / "tags.pdf"
    render(labels(sheet.per_page), sheet, path, outlines=True)
    page, _ = boxes(path)
    assert page == pytest.approx(size, abs=0.05)
    # The ink of the outlines ends half a line of 0.2 mm outside the labels.
    picture = pages(path, 600)[0].point(lambda grey: 255 if grey < 128 else 0)
    left, top, right, bottom = (each * 25.4 / 600 for each in picture.getbbox())
    assert (left + 0.1, top + 0.1) == pytest.approx(first, abs=0.1)
    assert (right - 0.1, bottom - 0.1) == pytest.approx(last, abs=0.1)


def test_nothing_printed_leaves_its_label(tmp_path):
    for name in layouts():
        sheet = layout(name)
        count = min(sheet.per_page, 21)
        path = tmp_path / "tags.pdf"
        render(labels(count), sheet, path)
        for at, ink in enumerate(inked(path, sheet, count)):
            left, top, right, bottom = ink
            width, height = sheet.label_mm
            room = min(sheet.inset_mm, EDGE_MM) - 0.15
            assert left >= room and top >= room, (name, at, ink)
            assert right <= width - room and bottom <= height - room, (name, at, ink)


def inked(path, sheet, count):
    """Return what is black on each label of the first page, mm from the label's top left corner."""
    dpi = 200
    picture = pages(path, dpi)[0].point(lambda grey: 255 if grey < 128 else 0)
    found = []
    for at in range(count):
        left, top = sheet.corner_mm(at)
        corner = [
            round(each / 25.4 * dpi)
            for each in (left, top, left + sheet.label_mm[0], top + sheet.label_mm[1])
        ]
        found.append(tuple(each * 25.4 / dpi for each in picture.crop(corner).getbbox()))
    return found


@pytest.mark.parametrize(("dpi", "least"), [(203, 0.25), (300, 0.33)])
def test_bars_are_whole_dots_with_quiet_zones(dpi, least):
    # Smallest module always read in a trial: 0.25 mm drawn for 203 dots an inch, 0.33 mm drawn for 300 and
    # then printed at 203. ISO/IEC 15417 (from memory): quiet zones of ten modules, bars at least 5 mm or 15 %
    # of the symbol's length high.
    from dataclasses import replace

    dot = 25.4 / dpi
    for sheet in layouts().values():
        designs, _ = check(labels(4), replace(sheet, dpi=dpi))
        for each in designs:
            dots = each.module_mm / dot
            assert dots == pytest.approx(round(dots), abs=1e-6)
            assert each.module_mm >= least
            last, count = each.bars[-1]
            length = (last + count) * each.module_mm
            assert each.bars_left_mm >= 10 * each.module_mm
            assert each.bars_left_mm + length + 10 * each.module_mm <= sheet.label_mm[0]
            assert each.bars_height_mm >= max(5.0, 0.15 * length - 1e-9)


def test_bars_begin_and_end_on_whole_dots_of_the_page(tmp_path):
    sheet = layout("a4-3x7")
    path = tmp_path / "tags.pdf"
    render([each for each in labels(21) if not each.blank], sheet, path)
    _, found = boxes(path)
    assert found
    for left, _, right, _ in found:
        for edge in (left, right):
            assert edge * 300 / 25.4 == pytest.approx(round(edge * 300 / 25.4), abs=0.02)
