"""Letters beyond Latin: taken from a font of this computer where there is one, else visibly substituted."""

from pathlib import Path

import pytest

from shopbins.tags import fonts
from shopbins.tags.design import design
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout

SHEET = layout("a4-3x7")
CODE = "ZRW0002H"


@pytest.fixture
def letters(monkeypatch, tmp_path):
    """A function that lets only one folder of fonts be found; without one, none."""
    cached = (fonts.wide_faces, fonts.printable, fonts.advance, fonts.unit_width)

    def use(folder=None):
        monkeypatch.setenv(fonts.FOLDERS_VARIABLE, str(folder or tmp_path / "none"))
        for each in cached:
            each.cache_clear()

    yield use
    monkeypatch.undo()
    for each in cached:
        each.cache_clear()


@pytest.fixture
def greek_and_cyrillic(tmp_path):
    """A folder with a font that has both scripts, under a name that systems use."""
    import font_roboto

    folder = tmp_path / "fonts" / "truetype"
    folder.mkdir(parents=True)
    (folder / "NotoSans-Regular.ttf").write_bytes(Path(font_roboto.Roboto).read_bytes())
    return tmp_path / "fonts"


def test_a_font_of_this_computer_is_used_for_what_ours_lacks(letters, greek_and_cyrillic, tmp_path):
    import pypdfium2

    from shopbins.tags.draw import render

    letters(greek_and_cyrillic)
    title = "насос Ω pump"
    done = render([Label(CODE, title)], SHEET, tmp_path / "t.pdf")
    assert done.problems == ()
    document = pypdfium2.PdfDocument(tmp_path / "t.pdf")
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert "насос" in text and "Ω" in text and CODE in text


def test_without_such_a_font_the_substitute_is_printed_and_said(letters):
    letters()
    made = design(Label(CODE, "насос"), SHEET)
    assert made.texts[1].text == fonts.SUBSTITUTE * 5
    assert "U+043D" in made.problems[0]


def test_widths_are_those_of_the_font_that_is_used(letters, greek_and_cyrillic):
    from PIL import ImageFont

    letters(greek_and_cyrillic)
    path = next(greek_and_cyrillic.rglob("*.ttf"))
    measured = ImageFont.truetype(str(path), 1000).getlength("насос")
    assert fonts.unit_width("насос", fonts.PLAIN) * 1000 == pytest.approx(measured, rel=0.01)


@pytest.mark.parametrize("text", ["पंप", "ปั๊ม"])
def test_scripts_that_are_put_together_of_pieces_are_not_set_wrongly(letters, text):
    """Whatever fonts there are: letters set one by one would say something else."""
    letters("/usr/share/fonts")
    shown = fonts.printable(text)
    assert shown.lost and not any(each in shown.text for each in text if each.isalpha())


def test_a_broken_font_file_is_left_out(letters, tmp_path):
    (tmp_path / "DejaVuSans.ttf").write_bytes(b"\x00\x01\x00\x00 not a font")
    letters(tmp_path)
    assert fonts.printable("насос").lost


def test_letters_are_drawn_in_pictures_too(letters, greek_and_cyrillic):
    from PIL import ImageChops

    from shopbins.tags.drawn import check
    from shopbins.tags.picture import picture

    letters(greek_and_cyrillic)
    (one,), _ = check([Label(CODE, "насос")], SHEET)
    (other,), _ = check([Label(CODE, "носос")], SHEET)
    different = ImageChops.difference(picture(one, SHEET).convert("L"), picture(other, SHEET).convert("L"))
    assert different.getbbox() is not None
