"""Printed sheets, measured and read with tools that share nothing with the drawing.

The PDF is opened by pdfium and by pdfplumber; every face of every layout is read back by zxing-cpp from the
page rendered at a printer's dots, clean and after wear.
"""

from dataclasses import replace
from io import BytesIO

import pytest
from label_pages import expected, faces, labels, pictures, printed, read

from shopbins.tags.divide import EDGE_MM
from shopbins.tags.draw import render
from shopbins.tags.drawn import check
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout, layouts

MM = 25.4 / 72


@pytest.fixture(scope="module")
def sheets(tmp_path_factory):
    """Every layout with labels of all kinds, printed once: its pages, and the PDF."""
    folder = tmp_path_factory.mktemp("sheets")
    paths = {name: folder / f"{name}.pdf" for name in layouts()}
    return {name: (printed(layout(name), labels(4), path), path) for name, path in paths.items()}


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("name", list(layouts()))
def test_every_face_of_every_layout_is_read_back(sheets, name, dpi):
    found = faces(*sheets[name], dpi, most_pages=1 if dpi == 600 else 2)
    assert found
    for code, design, picture in found:
        assert read(picture) == expected(code, design)


@pytest.mark.parametrize("name", list(layouts()))
def test_every_face_drawn_for_a_coarse_printer_is_read_back(tmp_path, name):
    path = tmp_path / "tags.pdf"
    pages = printed(layout(name).at_dots(203), labels(4), path)
    for code, design, picture in faces(pages, path, 203, most_pages=1):
        assert read(picture) == expected(code, design)


@pytest.mark.parametrize("name", list(layouts()))
def test_worn_faces_are_read_back(sheets, name):
    # A corner torn off, blurred by a third of a module, a fifth of the contrast lost, 3 degrees askew, JPEG.
    found = faces(*sheets[name], 300, most_pages=1)
    for at, (code, design, picture) in enumerate(found[:8]):
        assert read(worn(picture, at)) == expected(code, design)


def worn(picture, at, dpi=300):
    """Return a label's picture as a phone takes it of a tag that has been in the workshop for a year."""
    from PIL import Image, ImageDraw, ImageEnhance, ImageFilter

    picture = picture.copy()
    wide, high = picture.size
    torn = 0.18 * min(wide, high)
    x, y = ((0, 0), (wide, 0), (wide, high), (0, high))[at % 4]
    corner = [(x, y), (abs(x - torn), y), (x, abs(y - torn))]
    ImageDraw.Draw(picture).polygon(corner, fill=120)
    picture = picture.filter(ImageFilter.GaussianBlur(0.11 / 25.4 * dpi))
    picture = ImageEnhance.Contrast(picture).enhance(0.8)
    picture = picture.rotate((3, -3)[at % 2], expand=True, fillcolor=200, resample=Image.Resampling.BILINEAR)
    photograph = BytesIO()
    picture.save(photograph, "JPEG", quality=35)
    return Image.open(photograph)


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


def outlined(path):
    """Return the size of the first page and the four-cornered outlines drawn with a line and not filled, as
    `boxes` does but without the line's own width.
    """
    import ctypes

    import pypdfium2
    import pypdfium2.raw as raw

    document = pypdfium2.PdfDocument(path)
    sheet = document[0]
    height = sheet.get_height()
    found = []
    for each in sheet.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        fill, stroke = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(each, fill, stroke)
        count = raw.FPDFPath_CountSegments(each)
        if fill.value or not stroke.value or count != 5:
            continue
        points, matrix = [], each.get_matrix()
        for k in range(count):
            x, y = ctypes.c_float(), ctypes.c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(each, k), x, y)
            points.append(matrix.on_point(x.value, y.value))
        across, up = zip(*points, strict=True)
        found.append((min(across) * MM, (height - max(up)) * MM, max(across) * MM, (height - min(up)) * MM))
    size = sheet.get_width() * MM, height * MM
    document.close()
    return size, found


# Corner of first and last label from the sheets' published dimensions, in mm: 3 x 7 on A4 63.5 x 38.1, top
# 15.15, left 7.2, gap 2.5: the last ends at 7.2 + 2 x 66 + 63.5 = 202.7 and 15.15 + 7 x 38.1 = 281.85.
# Letter 3 x 10 of 2.625 x 1 in, side .1875, top .5, pitch 2.75 x 1 in (from memory). The others are our own:
# flags of 100 x 14 mm in two columns, 15.5 mm from the top; tie-on tags of 120 x 60 mm, 45 and 28.5 mm in;
# bag-top cards of 95 x 130 mm, 10 and 18.5 mm in; markers fill A4 and A5 (ISO 216).
CORNERS = {
    "a4-3x7": ((210.0, 297.0), (7.2, 15.15), (202.7, 281.85)),
    "letter-3x10": ((215.9, 279.4), (4.7625, 12.7), (8.3125 * 25.4, 10.5 * 25.4)),
    "letter-2x5": ((215.9, 279.4), (3.96875, 12.7), (8.34375 * 25.4, 10.5 * 25.4)),
    "flag-a4-2x19": ((210.0, 297.0), (5.0, 15.5), (205.0, 281.5)),
    "tie-a4-1x4": ((210.0, 297.0), (45.0, 28.5), (165.0, 268.5)),
    "tie-fold-a4-1x2": ((210.0, 297.0), (45.0, 28.5), (165.0, 268.5)),
    "bagtop-a4-2x2": ((210.0, 297.0), (10.0, 18.5), (200.0, 278.5)),
    "floor-a4": ((297.0, 210.0), (0.0, 0.0), (297.0, 210.0)),
    "floor-a5": ((210.0, 148.0), (0.0, 0.0), (210.0, 148.0)),
}


@pytest.mark.parametrize("name", list(CORNERS))
def test_printed_positions_to_a_tenth_of_a_millimetre(tmp_path, name):
    size, first, last = CORNERS[name]
    sheet = layout(name)
    path = tmp_path / "tags.pdf"
    render(labels(sheet.per_page // (2 if sheet.pairs else 1)), sheet, path, outlines=True)
    page_mm, outlines = outlined(path)
    assert page_mm == pytest.approx(size, abs=0.05)
    assert len(outlines) == sheet.per_page
    corners = tuple(min(each[k] for each in outlines) for k in (0, 1))
    ends = tuple(max(each[k] for each in outlines) for k in (2, 3))
    assert corners == pytest.approx(first, abs=0.1)
    assert ends == pytest.approx(last, abs=0.1)


def test_folds_holes_and_cut_marks_are_where_the_tag_is_folded_punched_and_cut(tmp_path):
    """Of a folded tie-on tag of 120 x 120 mm, 45 mm from the left and 28.5 mm from the top of the sheet: the
    fold half way down, holes 9 mm from the left that meet when it is folded, marks at the four corners.
    """
    import pdfplumber

    path = tmp_path / "tags.pdf"
    render(labels(1), layout("tie-fold-a4-1x2"), path)
    with pdfplumber.open(path) as document:
        page = document.pages[0]
        lines = [tuple(line[k] * MM for k in ("x0", "top", "x1", "bottom")) for line in page.lines]
        rings = [
            tuple(c[k] * MM for k in ("x0", "top", "x1", "bottom")) for c in page.curves if not c["fill"]
        ]
    fold = [line for line in lines if abs(line[1] - 88.5) < 0.1]
    assert len(fold) > 10 and min(f[0] for f in fold) < 49 and max(f[2] for f in fold) > 161
    middles = sorted(((a + c) / 2, (b + d) / 2) for a, b, c, d in rings)
    assert middles == [pytest.approx((54.0, 58.5), abs=0.1), pytest.approx((54.0, 118.5), abs=0.1)]
    assert 88.5 - middles[0][1] == pytest.approx(middles[1][1] - 88.5, abs=0.01)
    for x in (45.0, 165.0):
        for y in (28.5, 148.5):
            touching = [
                line
                for line in lines
                if min(abs(line[0] - x), abs(line[2] - x)) < 0.1
                and min(abs(line[1] - y), abs(line[3] - y)) < 0.1
            ]
            assert len(touching) == 2


def test_the_back_of_a_folded_tag_reads_upright_when_it_is_folded(tmp_path):
    """Folded along the middle, what is printed below the fold turns the other way up: so it is printed so."""
    path = tmp_path / "t.pdf"
    pages = printed(layout("tie-fold-a4-1x2"), labels(1), path)
    (front, back) = (picture for _, _, picture in faces(pages, path, 200, most_pages=1))
    import zxingcpp

    for picture in (front, back):  # `faces` has turned the back upright again: the code stands at its foot
        found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.Code128)
        assert [round(each.orientation / 90) % 4 for each in found] == [0]
        assert found[0].position.top_left.y > picture.size[1] / 2


def test_a_strip_is_as_long_as_its_level_in_equal_pieces(tmp_path):
    # 1800 mm in pieces of at most 277 mm: 7 of 257.14 mm.
    import pdfplumber

    path = tmp_path / "strip.pdf"
    place = Label("ZRW0003F", "rack a/3", kind="place", along_mm=1800.0)
    done = render([place], layout("strip-a4-5"), path, outlines=True)
    assert (done.labels, done.pages, done.codes) == (7, 2, ("ZRW0003F",))
    with pdfplumber.open(path) as document:
        pieces = [r for page in document.pages for r in page.rects if r["stroke"] and not r["fill"]]
        lengths = [r["width"] * MM for r in pieces]
    assert sum(lengths) == pytest.approx(1800.0, abs=0.1)
    assert lengths == pytest.approx([1800 / 7] * 7, abs=0.05)


def test_an_endless_strip_is_one_page_as_long_as_its_level(tmp_path):
    import pypdfium2

    path = tmp_path / "strip.pdf"
    render([Label("ZRW0003F", "rack a/3", kind="place", along_mm=1800.0)], layout("strip-roll-62"), path)
    document = pypdfium2.PdfDocument(path)
    width, height = document[0].get_size()
    assert (len(document), width * MM, height * MM) == pytest.approx((1, 1800.0, 62.0), abs=0.05)
    document.close()


def test_nothing_printed_leaves_its_label(tmp_path):
    for name in layouts():
        sheet = layout(name)
        bare = replace(sheet, cut=False, fold_x_mm=(), fold_y_mm=(), holes=())
        wanted = [each for each in labels(8) if each.along_mm]
        path = tmp_path / "tags.pdf"
        render(wanted, bare, path)
        drawn, _ = check(wanted, bare)
        for at, ink in enumerate(inked(path, bare, [each.width_mm for each in drawn])):
            left, top, right, bottom, width = ink
            room = min(sheet.inset_mm, EDGE_MM) - 0.15
            assert left >= room and top >= room, (name, at, ink)
            assert right <= width - room and bottom <= sheet.label_mm[1] - room, (name, at, ink)


def inked(path, sheet, widths, dpi=200):
    """Return what is black on each label of the first page, mm from its top left corner, and its width."""
    picture = pictures(path, dpi, 1)[0].point(lambda grey: 255 if grey < 128 else 0)
    found = []
    for at, width in enumerate(widths[: 1 if sheet.endless else sheet.per_page]):
        left, top = sheet.corner_mm(at)
        corner = [round(each / 25.4 * dpi) for each in (left, top, left + width, top + sheet.label_mm[1])]
        found.append((*(each * 25.4 / dpi for each in picture.crop(corner).getbbox()), width))
    return found


@pytest.mark.parametrize(("dpi", "least"), [(203, 0.25), (300, 0.33), (600, 0.33)])
def test_modules_are_whole_dots_with_quiet_zones(dpi, least):
    # Smallest module always read in a trial: 0.25 mm drawn for 203 dots an inch, 0.33 mm drawn for 300 and
    # then printed at 203. ISO/IEC 15417 (from memory): quiet zones of ten modules, bars at least 5 mm or 15 %
    # of the symbol's length high. ISO/IEC 18004: quiet zone of four modules all round.
    dot = 25.4 / dpi
    for sheet in layouts().values():
        if sheet.name == "roll-50x30" and dpi != 203:
            continue  # too narrow for bars of a finer printer's least module, as it says when asked
        for label in check(labels(4), sheet.at_dots(dpi))[0]:
            for face, each in label.faces:
                wide, high = face.inner_mm
                if each.pattern:
                    assert each.module_mm / dot == pytest.approx(round(each.module_mm / dot), abs=1e-6)
                    assert each.module_mm >= least
                    last, count = each.bars[-1]
                    length = (last + count) * each.module_mm
                    assert each.bars_left_mm >= 10 * each.module_mm
                    assert each.bars_left_mm + length + 10 * each.module_mm <= wide
                    assert each.bars_height_mm >= max(5.0, 0.15 * length - 1e-9)
                if each.qr is not None:
                    module = each.qr_module_mm
                    assert module / dot == pytest.approx(round(module / dot), abs=1e-6)
                    assert module >= least
                    assert each.qr_left_mm >= 4 * module and each.qr_bottom_mm >= 4 * module
                    assert each.qr_left_mm + 25 * module <= wide and each.qr_bottom_mm + 25 * module <= high


@pytest.mark.parametrize("name", ["a4-3x7", "tie-fold-a4-1x2", "flag-a4-1x10"])
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_modules_begin_and_end_on_whole_dots_of_the_page(tmp_path, name, dpi):
    sheet = replace(layout(name), cut=False, fold_x_mm=(), fold_y_mm=(), holes=()).at_dots(dpi)
    path = tmp_path / "tags.pdf"
    render([each for each in labels(4) if not each.blank and not each.cautions], sheet, path)
    _, found = boxes(path)
    assert found
    for left, _, right, _ in found:
        for edge in (left, right):
            assert edge * dpi / 25.4 == pytest.approx(round(edge * dpi / 25.4), abs=0.02)
