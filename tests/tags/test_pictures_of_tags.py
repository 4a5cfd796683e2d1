"""One PNG a label: whole dots, the size of the label, read back as they are."""

import pytest
from label_pages import expected, labels, read

from shopbins.tags import TagError
from shopbins.tags.drawn import check
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout
from shopbins.tags.picture import picture, pictures

NAMES = ("a4-3x7", "letter-3x10", "card-105x74", "tie-a4-1x4", "flag-a4-2x19")
SIZES = [("roll-50x30", 203), *((name, dpi) for name in NAMES for dpi in (203, 300, 600))]


@pytest.mark.parametrize(("name", "dpi"), SIZES)
def test_a_picture_is_as_large_as_its_label_and_is_read(name, dpi):
    sheet = layout(name).at_dots(dpi)
    for drawn in check(labels(3), sheet)[0]:
        image = picture(drawn, sheet)
        dots = dpi / 25.4
        assert image.mode == "1"
        assert image.size == (round(sheet.label_mm[0] * dots), round(sheet.label_mm[1] * dots))
        face, design = drawn.faces[0]
        corner = [face.left_mm, face.top_mm, face.left_mm + face.width_mm, face.top_mm + face.height_mm]
        cut = image.convert("L").crop([round(each * dots) for each in corner])
        assert read(cut) == expected(drawn.label.code, design)


def test_every_bar_is_exactly_its_dots():
    sheet = layout("a4-3x7")
    (drawn,), _ = check([Label("ZRW0002H", "head")], sheet)
    design = drawn.faces[0][1]
    dots = round(design.module_mm * 300 / 25.4)
    image = picture(drawn, sheet).convert("L")
    row = image.size[1] - round((design.bars_bottom_mm + 2) * 300 / 25.4)
    line = "".join("0" if image.getpixel((x, row)) else "1" for x in range(image.size[0])).strip("0")
    assert line == "".join(each * dots for each in design.pattern)


def test_files_are_named_by_code_and_end(tmp_path):
    done, paths = pictures(labels(2), layout("flag-a4-2x19"), tmp_path / "new" / "pngs")
    assert done.labels == 4
    assert [path.name for path in paths] == [
        "ZRW0001J-A.png",
        "ZRW0001J-B.png",
        "ZRW0002H-A.png",
        "ZRW0002H-B.png",
    ]
    from PIL import Image

    assert Image.open(paths[0]).info["dpi"] == pytest.approx((300, 300), abs=0.1)


def test_what_cannot_be_drawn_writes_nothing(tmp_path):
    with pytest.raises(TagError):
        pictures([Label("", "no code")], layout("a4-3x7"), tmp_path / "pngs")
    assert not (tmp_path / "pngs").exists()


def test_a_folder_that_cannot_be_made_is_one_clear_line(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(TagError, match=r"pngs: not made"):
        pictures(labels(1), layout("a4-3x7"), tmp_path / "file" / "pngs")
