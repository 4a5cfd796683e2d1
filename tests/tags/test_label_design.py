"""Words on a label are fitted, wrapped or visibly shortened; a code or a caution never is."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.tags import TagError
from shopbins.tags.design import design
from shopbins.tags.drawn import check
from shopbins.tags.fit import Block, Box, fit, wrap
from shopbins.tags.fonts import BOLD, CAP, DEPTH, PLAIN, SUBSTITUTE, printable, width
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout, layouts

CODE = "ZRW0002H"


@pytest.fixture
def no_fonts(monkeypatch):
    """Give a function that hides this computer's fonts, as on one that has none of the known names."""
    from shopbins.tags import design as designing
    from shopbins.tags import fonts

    cached = (fonts.wide_faces, fonts.printable, fonts.advance, fonts.unit_width)

    def hide(folder=""):
        monkeypatch.setenv(fonts.FOLDERS_VARIABLE, str(folder))
        for each in cached:
            each.cache_clear()

    assert designing
    yield hide
    monkeypatch.undo()
    for each in cached:
        each.cache_clear()


SHEET = layout("a4-3x7")
ANY_TEXT = st.text(st.characters(codec="utf-8"), max_size=80)


@given(
    ANY_TEXT, st.lists(ANY_TEXT, max_size=3), st.lists(ANY_TEXT, max_size=2), st.sampled_from(list(layouts()))
)
@settings(max_examples=120, deadline=None)
def test_no_text_leaves_its_label_or_meets_another(title, lines, cautions, name):
    sheet = layout(name)
    label = Label(CODE, title, tuple(lines), tuple(cautions))
    face = sheet.all_faces[-1]
    try:
        drawn = design(label, sheet, face)
    except TagError as refused:
        assert "cautions do not fit" in str(refused) or "too small" in str(refused)
        return
    wide, high = face.inner_mm
    above = high
    taken = symbols(drawn)
    for text in drawn.texts:
        right = text.x_mm + width(text.text, text.font, text.size_mm)
        assert text.x_mm >= sheet.inset_mm - 1e-9
        assert right <= wide - sheet.inset_mm + 1e-6
        assert text.y_mm + CAP * text.size_mm <= above + 0.3 * text.size_mm
        above = text.y_mm
        low = text.y_mm - (DEPTH * text.size_mm if text is not drawn.texts[0] else 0.0)
        for box in taken:
            assert not meet(box, (text.x_mm, low, right, text.y_mm + CAP * text.size_mm))
    for mark in drawn.marks:
        assert mark.x_mm >= sheet.inset_mm - 1e-9 and mark.y_mm >= sheet.inset_mm - 1e-9
        for box in taken:
            assert not meet(box, (mark.x_mm, mark.y_mm, mark.x_mm + mark.side_mm, mark.y_mm + mark.side_mm))
    assert len(taken) < 2 or not meet(*taken)


def symbols(drawn):
    """Return what bars and QR code take with their quiet zones: left, bottom, right, top."""
    taken = []
    if drawn.pattern:
        quiet, length = 10 * drawn.module_mm, len(drawn.pattern) * drawn.module_mm
        left, bottom = drawn.bars_left_mm, drawn.bars_bottom_mm
        taken.append((left - quiet, bottom, left + length + quiet, bottom + drawn.bars_height_mm))
    if drawn.qr is not None:
        quiet, side = 4 * drawn.qr_module_mm, 21 * drawn.qr_module_mm
        left, bottom = drawn.qr_left_mm, drawn.qr_bottom_mm
        taken.append((left - quiet, bottom - quiet, left + side + quiet, bottom + side + quiet))
    return taken


def meet(one, other):
    """Tell whether two boxes overlap by more than a dot's width."""
    across = min(one[2], other[2]) - max(one[0], other[0])
    up = min(one[3], other[3]) - max(one[1], other[1])
    return across > 0.13 and up > 0.13


def test_the_whole_of_a_usual_label_is_there():
    label = Label(CODE, "Cylinder head 2", ("diesel > head 2", "1 off · 41 kg"), ("asbestos gasket",))
    drawn = design(label, SHEET)
    said = [text.text for text in drawn.texts]
    assert said == [CODE, "Cylinder head 2", "diesel > head 2", "1 off · 41 kg", "asbestos gasket"]
    assert [mark.name for mark in drawn.marks] == ["health hazard"]
    assert not drawn.problems and not drawn.shortened


def test_the_code_is_the_largest_thing_and_reads_from_two_metres():
    # Letters are read from 300 times their height: DIN 1450 and DIN 4844-1 (z = 300), from memory.
    for name in ("a4-3x7", "a4-2x7", "letter-2x5", "roll-100x50", "tie-a4-1x4", "strip-roll-62", "floor-a5"):
        drawn = design(Label(CODE, "Cylinder head 2"), layout(name))
        code, *others = drawn.texts
        assert code.size_mm * CAP >= 2000 / 300
        assert all(code.size_mm > other.size_mm for other in others)


def test_a_place_is_read_by_its_name_from_as_far():
    drawn = design(Label(CODE, "rack a/3", ("Slip hall", "carries 120 kg"), kind="place"), SHEET)
    code, name, *_ = drawn.texts
    assert name.text == "rack a/3"
    assert min(code.size_mm, name.size_mm) * CAP >= 2000 / 400


def test_a_long_name_is_shortened_with_a_mark_and_said_so():
    drawn = design(Label(CODE, "gasket " * 200), SHEET)
    assert drawn.shortened
    assert drawn.texts[-1].text.endswith("…")
    assert drawn.problems == (f"{CODE}: not all of its text fits; it is shortened and marked with …",)


def test_ten_thousand_characters_without_a_blank_are_wrapped_and_marked():
    drawn = design(Label(CODE, "W" * 10_000), SHEET)
    assert drawn.shortened and len(drawn.texts) < 12
    assert drawn.texts[-1].text.endswith("…")


def test_symbols_are_made_smaller_before_words_are_shortened():
    flat = layout("letter-3x10")
    little = design(Label(CODE, "head"), flat)
    more = design(Label(CODE, "Cylinder head 2", ("diesel > head > 2", "1 off"), ("hot",)), flat)
    assert not more.shortened
    assert more.qr is None or more.qr_module_mm < little.qr_module_mm
    assert more.module_mm <= little.module_mm


def test_a_caution_that_does_not_fit_refuses_the_label():
    with pytest.raises(TagError, match=r"cautions do not fit this label"):
        design(Label(CODE, "drum", (), ("do not open " * 40,)), SHEET)


def test_a_code_too_long_for_the_label_is_refused_with_both_sizes():
    narrow = replace(SHEET, label_mm=(25.0, 38.1))
    with pytest.raises(TagError, match=r"need \d+\.\d mm, a label of a4-3x7 gives 23\.0 mm"):
        design(Label(CODE, "head"), narrow)


def test_a_label_too_low_is_refused():
    low = replace(SHEET, label_mm=(63.5, 12.0))
    with pytest.raises(TagError, match="too small"):
        design(Label(CODE, "head"), low)


def test_a_label_that_is_too_full_does_not_stop_the_others():
    """Those that go on are printed, those left out are named; where none goes on nothing is printed."""
    wrong = Label(CODE, "drum", (), ("do not open " * 40,))
    other = replace(wrong, code="ZRW0004D")
    found, problems = check([wrong, Label("ZRW0003F", "fine"), other], SHEET)
    assert [each.label.code for each in found] == ["ZRW0003F"]
    assert [each[:18] for each in problems] == [f"left out: {CODE}", "left out: ZRW0004D"]
    with pytest.raises(TagError) as caught:
        check([wrong, other], SHEET)
    assert [each[:8] for each in caught.value.problems] == [CODE, "ZRW0004D"]


def test_a_blank_has_its_code_and_lines_to_write_on():
    drawn = design(Label(CODE, kind="blank"), SHEET)
    assert drawn.texts[0].text == CODE
    assert len(drawn.rules) >= 1
    for left, right, height in drawn.rules:
        assert right - left >= 40
        assert height > drawn.bars_bottom_mm + drawn.bars_height_mm


@pytest.mark.parametrize("start", [0, -1, 22, 1000])
def test_a_start_that_is_not_on_the_sheet(start):
    with pytest.raises(TagError, match="places 1 to 21"):
        check([Label(CODE, "head")], SHEET, start)


def test_no_labels_is_said():
    with pytest.raises(TagError, match="no labels"):
        check([], SHEET)


def test_letters_the_font_lacks_are_shown_and_reported(no_fonts):
    no_fonts()
    assert printable("Öl 3/8 ×2").lost == ""
    assert printable("⅜ in, ⌀12, 5 μm").text == "3/8 in, Ø12, 5 µm"
    assert printable("⅜ in, ⌀12, 5 μm").lost == ""
    shown = printable("Řemen 泵 насос")
    assert shown.text.startswith("Remen ") and SUBSTITUTE in shown.text
    assert shown.lost[0] == "Ř" and "泵" in shown.lost
    drawn = design(Label(CODE, "泵"), SHEET)
    assert drawn.texts[1].text == SUBSTITUTE
    assert "U+6CF5" in drawn.problems[0]


@pytest.mark.parametrize("sign", ["\x1b", "\x00", "\u202e", "\u200f", "\ufeff", "\x7f", "\ud800"])
def test_control_and_direction_characters_are_made_visible(sign):
    shown = printable(f"pump{sign}housing")
    assert shown.text == f"pump{SUBSTITUTE}housing"
    assert shown.lost == sign
    problem = design(Label(CODE, f"pump{sign}housing"), SHEET).problems[0]
    assert problem.isprintable() and f"U+{ord(sign):04X}" in problem


@given(st.text("abc dW", max_size=60), st.floats(3, 60))
@settings(max_examples=100, deadline=None)
def test_wrapping_keeps_every_letter_and_the_width(text, room):
    lines = wrap(text, PLAIN, 3.0, room)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(width(line, PLAIN, 3.0) <= room or len(line) == 1 for line in lines)


def test_titles_give_way_before_further_lines_are_lost():
    blocks = [Block("long title " * 20, True, title=True, least=1), Block("diesel > head", False)]
    fitted = fit(blocks, Box(0, 20, 58, 12))
    assert fitted is not None
    assert fitted.shortened and fitted.texts[-1].text == "diesel > head"
    assert fitted.texts[0].font == BOLD


@pytest.mark.parametrize("name", ["letter-3x10", "a4-3x7", "roll-100x50", "card-105x74"])
def test_a_name_fills_the_room_its_label_has(name):
    """A short name is set larger than a long one, whole, and never above the big code; no word is broken."""
    sheet = layout(name)
    sizes = []
    for title in ("Sump", "Bearing shells of the big end, number two of three"):
        drawn = design(Label(CODE, title, ("engine > bottom end", "1 off · 1 kg")), sheet)
        code, *words = drawn.texts
        bold = [each for each in words if each.font == BOLD]
        assert " ".join(each.text for each in bold) == title
        assert all(each.size_mm <= code.size_mm for each in bold)
        sizes.append(bold[0].size_mm)
    assert sizes[0] > sizes[1] * 1.1


@pytest.mark.parametrize("dpi", [203, 300])
def test_the_phone_s_code_stands_beside_the_words_of_a_one_inch_label_and_both_are_read(dpi):
    # Read by zxing-cpp, a reader of another maker.
    import zxingcpp

    from shopbins.tags.picture import picture

    sheet = layout("letter-3x10")
    label = Label(CODE, "Oil strainer", ("engine > bottom end > oil pump", "1 off · 1.1 kg · clean"))
    (drawn,), problems = check([label], sheet)
    assert problems == []
    image = picture(drawn, sheet).convert("L")
    image = image.resize((image.width * dpi // sheet.dpi, image.height * dpi // sheet.dpi))
    found = zxingcpp.read_barcodes(image)
    assert sorted((each.format.name, each.text) for each in found) == [("Code128", CODE), ("QRCode", CODE)]
