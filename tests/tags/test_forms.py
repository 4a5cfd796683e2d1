"""The forms of labels: pairs of flags, strips, both sides of a tag; what is left out where room is short."""

import pytest

from shopbins.ledger.ledger import Ledger
from shopbins.records import connection
from shopbins.tags import TagError
from shopbins.tags.design import design
from shopbins.tags.draw import render
from shopbins.tags.drawn import check
from shopbins.tags.labels import Label, flag_labels
from shopbins.tags.layout import FORMS
from shopbins.tags.layouts import layout, layouts

CODE = "ZRW0002H"


def texts(drawn, face=0):
    return [text.text for text in drawn.faces[face][1].texts]


def test_every_form_has_a_layout():
    assert {each.form for each in layouts().values()} == set(FORMS)


def test_a_flag_comes_as_a_pair_a_and_b_with_one_code_on_all_four_faces():
    drawn, problems = check([Label(CODE, "fuel return")], layout("flag-a4-2x19"))
    assert problems == []
    assert [each.label.end for each in drawn] == ["A", "B"]
    for each, end in zip(drawn, "AB", strict=True):
        assert len(each.faces) == 2
        for face in (0, 1):
            assert texts(each, face)[:2] == [CODE, f"{end} · fuel return"]
            assert each.faces[face][1].qr is not None


def test_a_blank_flag_has_its_end_large():
    drawn, _ = check([Label(CODE, kind="blank")], layout("flag-a4-1x10"))
    for each, end in zip(drawn, "AB", strict=True):
        code, large, *_ = each.faces[0][1].texts
        assert large.text == end and large.size_mm > code.size_mm


def test_pairs_are_counted_as_two_labels_of_one_code(tmp_path):
    done = render([Label(CODE, kind="blank")] * 1, layout("flag-a4-2x19"), tmp_path / "t.pdf")
    assert (done.labels, done.pages, done.codes) == (2, 1, (CODE,))


def test_the_middle_of_a_flag_that_goes_round_the_wire_stays_white(tmp_path):
    from label_pages import pictures

    render([Label(CODE, "fuel return")], layout("flag-a4-2x19"), tmp_path / "t.pdf")
    picture = pictures(tmp_path / "t.pdf", 200, 1)[0]
    # The first label lies 5 mm from the left, 15.5 from the top; its middle is 45 to 65 mm in.
    cut = picture.crop([round(each / 25.4 * 200) for each in (45.5, 15.8, 64.5, 29.2)])
    assert cut.getextrema() == (255, 255)


def test_flags_of_recorded_connections_say_both_ends_and_have_no_symbols(tmp_path):
    with Ledger.open(tmp_path / "x.ledger", by="t", prefix="RW") as ledger:
        ledger.transact(lambda s: connection.connect(s, "hose", "pump outlet", "tank top", "fuel return"))
        labels = flag_labels(ledger.state)
    assert [(each.mark, each.end) for each in labels] == [("H1A", "A"), ("H1B", "B")]
    drawn, _ = check(labels, layout("flag-a4-1x10"))
    assert len(drawn) == 2
    assert "here: pump outlet" in texts(drawn[0]) and "here: tank top" in texts(drawn[1])
    assert texts(drawn[0])[0] == "H1A"
    assert all(made.qr is None and not made.pattern for each in drawn for _, made in each.faces)


def test_both_sides_of_a_folded_tag_say_the_same_or_have_lines_for_notes():
    (both,), _ = check([Label(CODE, "head")], layout("tie-fold-a4-1x2"))
    assert texts(both, 0) == texts(both, 1)
    (notes,), _ = check([Label(CODE, "head")], layout("tie-fold-letter-1x2"))
    assert texts(notes, 1)[0] == CODE and "head" not in texts(notes, 1)
    assert notes.faces[1][1].rules


@pytest.mark.parametrize(("long", "pieces"), [(277.0, 1), (277.1, 2), (900.0, 4), (60.0, 1)])
def test_a_strip_is_cut_into_as_few_equal_pieces_as_go(long, pieces):
    drawn, _ = check([Label(CODE, "rack a/1", kind="place", along_mm=long)], layout("strip-a4-5"))
    assert len(drawn) == pieces
    assert sum(each.width_mm for each in drawn) == pytest.approx(long)


def test_a_strip_is_only_for_what_has_a_length():
    with pytest.raises(TagError, match="for places and levels"):
        check([Label(CODE, "head")], layout("strip-a4-5"))
    with pytest.raises(TagError, match="too short for a strip"):
        check([Label(CODE, "peg", kind="place", along_mm=40.0)], layout("strip-a4-5"))


def test_words_go_before_the_qr_code_where_bars_are_there_and_it_is_said():
    long = Label(CODE, "Valve spring, outer 12", ("workboat " * 11, "8 off · bag"))
    made = design(long, layout("letter-3x10"))
    assert made.qr is None and made.pattern and not made.shortened
    assert "no room for its QR code" in made.problems[0]
    assert design(Label(CODE, "spring"), layout("letter-3x10")).qr is not None


def test_the_big_code_is_read_from_two_metres_wherever_it_can_be():
    # 300 times the height of capitals (DIN 1450, DIN 4844-1; from memory).
    far = {name for name, each in layouts().items() if design(Label(CODE, "head"), each).read_at_mm >= 2000}
    near = {"letter-3x10", "roll-50x30", "flag-a4-2x19", "flag-a4-1x10", "flag-roll-100x14"}
    assert layouts().keys() - far == near
