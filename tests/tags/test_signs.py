"""Caution signs by name: found from the words, drawn by ourselves, never without the words."""

import pytest

from shopbins.tags.design import design
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout
from shopbins.tags.signs import SIGNS, by_name, sign_of


# Numbers as in ISO 7010 (W) and the UN's Globally Harmonized System (GHS), from memory.
@pytest.mark.parametrize(
    ("caution", "name", "number"),
    [
        ("petrol inside", "flammable", "GHS02"),
        ("GHS05: battery acid", "corrosive", "GHS05"),
        ("W012 capacitor still charged", "electricity", "W012"),
        ("sharp: seat cutters", "sharp", "W022"),
        ("asbestos gasket", "health hazard", "GHS08"),
        ("spring under pressure", "pressure", "GHS04"),
        ("41 kg: more than one person lifts here (25 kg)", "heavy", ""),
        ("top level: two people", "heavy", ""),
        ("Hot from the oven", "hot surface", "W017"),
        ("this way up", "this way up", ""),
        ("left-hand thread", "warning", "W001"),
        ("bluntnose chisel", "warning", "W001"),
        ("photographs inside", "warning", "W001"),
    ],
)
def test_a_caution_gets_the_sign_its_words_call(caution, name, number):
    sign = sign_of(caution)
    assert (sign.name, sign.number) == (name, number)


def test_no_word_calls_two_signs_and_every_sign_is_called():
    words = [word for sign in SIGNS for word in sign.words]
    assert len(words) == len(set(words))
    for sign in SIGNS:
        assert sign_of(sign.name).name == sign.name
        assert by_name(sign.name) is sign


@pytest.mark.parametrize("sign", SIGNS, ids=lambda s: s.name)
def test_a_sign_stays_in_its_square_and_has_black_and_white(sign):
    assert {black for black, _ in sign.shapes} == {True, False}
    for _, shape in sign.shapes:
        assert len(shape) >= 3
        assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in shape)


def test_signs_are_told_apart_without_colour(tmp_path):
    """Each drawn 4 mm wide at 203 dots an inch, black and white: no two nearly alike."""
    from PIL import Image, ImageChops, ImageDraw

    side = round(4 / 25.4 * 203)
    drawn = []
    for sign in SIGNS:
        image = Image.new("L", (side, side), 255)
        pen = ImageDraw.Draw(image)
        for black, shape in sign.shapes:
            pen.polygon([(x * side, (1 - y) * side) for x, y in shape], fill=0 if black else 255)
        drawn.append(image)
    for at, one in enumerate(drawn):
        for other in drawn[at + 1 :]:
            different = ImageChops.difference(one, other).histogram()[255]
            assert different / side**2 > 0.03


def test_the_words_always_stand_beside_the_sign():
    made = design(Label("ZRW0002H", "tank", (), ("petrol inside", "sharp")), layout("a4-3x7"))
    assert [mark.name for mark in made.marks] == ["flammable", "sharp"]
    said = {text.text: text for text in made.texts}
    for mark, words in zip(made.marks, ("petrol inside", "sharp"), strict=True):
        text = said[words]
        assert text.x_mm > mark.x_mm + mark.side_mm
        assert mark.y_mm - 0.5 <= text.y_mm <= mark.y_mm + mark.side_mm
        assert mark.side_mm >= 2.0
