"""The whole shop at a glance: blocks inside their rooms, whole words, every stop marked at its spot."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from shopbins.demo.write import write_demo
from shopbins.desk import Desk
from shopbins.rules.auditing import audit
from shopbins.rules.finding import Finding
from shopbins.rules.tally import tally
from shopbins.tui.canvas.cells import Canvas
from shopbins.tui.canvas.fullness import BARS, EIGHTHS
from shopbins.tui.canvas.inks import Behind
from shopbins.tui.canvas.overview import MARK_COLS, MARK_ROWS, SEAMS, empty_box, fit_shop, overview, write_key
from shopbins.tui.canvas.picture import picture_of
from shopbins.tui.canvas.projection import box_of
from shopbins.tui.plan.arrange import arrange
from shopbins.tui.troubles import NUMBERED, marked, summary, troubles_of

SIZES = [(80, 16), (120, 26), (200, 45)]


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo's picture and troubles."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    write_demo(folder)
    with Desk.open(folder / "shop.yaml") as desk:
        scene = desk.scene()
        findings = audit(scene, date.today())
        yield picture_of(scene), findings, troubles_of(findings, desk.state.by_code)


def whole(picture):
    return box_of([room.outline for room in picture.shop.rooms.values()])


@pytest.fixture(params=SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def drawn(demo, request):
    picture, _, troubles = demo
    view = fit_shop(picture.shop, whole(picture), *request.param)
    return view, overview(picture, view, troubles, texture=True), troubles


def test_every_block_keeps_to_the_inside_of_its_room(demo, drawn):
    """A block never covers a wall, nor a cell whose middle lies outside its room."""
    picture, (view, out, _) = demo[0], drawn
    from shopbins.geometry.shapes import contains

    assert len(out.blocks) > 30
    for block in out.blocks:
        room = picture.shop.rooms[block.room]
        for col, row in block.cells:
            assert contains(room.outline, view.middle(col, row)), block.name
            assert not out.canvas.is_wall(row * view.cols + col), block.name


def test_every_mark_stands_at_its_spot_and_is_not_written_over(drawn):
    view, out, troubles = drawn
    shown = marked(troubles)
    assert [t.sign for t in shown][:3] == ["■1", "■2", "■3"]
    for trouble in shown:
        col, row = out.marks[id(trouble)]
        spot = view.cell(trouble.at_mm)
        place = next((b for b in out.blocks if b.key in trouble.keys and b.kind == "place"), None)
        if place is None:
            assert abs(col - spot[0]) <= MARK_COLS and abs(row - spot[1]) <= MARK_ROWS
        text = "".join(out.canvas.look(col + k, row)[0] for k in range(len(trouble.sign)))
        assert text == trouble.sign


def test_no_word_is_ever_cut(demo, drawn):
    """Every letter sequence on the plan is a word of a name, EXIT, a letter of the key, or a mark."""
    picture, out = demo[0], drawn[1]
    names = [r.name for r in picture.shop.rooms.values()] + [z.name for z in picture.zones]
    names += [f.name for f in picture.fixtures] + [b.name for b in picture.bodies]
    words = {w for name in names for w in re.findall(r"[^\W_]+", name)} | {"EXIT"}
    words |= {*out.letters, "over"}
    found = set(re.findall(r"[^\W\d_]{1,}", out.canvas.text()))
    assert found - {w for word in words for w in re.findall(r"[^\W\d_]+", word)} == set()


def test_a_name_is_never_told_by_one_of_its_words(demo, drawn):
    """'wall', 'column', 'bed' and 'block' say nothing of a wall shelf or a test bed."""
    out = drawn[1]
    how = set(out.named.values())
    assert how <= {"whole", "two lines", "without its tail", "letter", "too light", "not"}
    text = out.canvas.text()
    for block in out.blocks:
        if out.named[block.key] in ("whole", "two lines"):
            assert all(word in text for word in block.name.split()), block.name


def test_a_name_beside_its_block_is_tied_to_it(drawn):
    """A stroke beside every such name begins at a cell of a block."""
    view, out, _ = drawn
    cells = {cell for block in out.blocks for cell in block.cells}
    at = {"╶": (-1, 0), "╴": (1, 0), "╵": (0, -1), "╷": (0, 1)}
    strokes = 0
    for row in range(view.rows):
        for col in range(view.cols):
            if step := at.get(out.canvas.look(col, row)[0]):
                strokes += 1
                assert (col + step[0], row + step[1]) in cells
    assert strokes > 3


@pytest.mark.parametrize("size", [*SIZES, (60, 12), (46, 10)])
def test_every_letter_on_the_plan_is_explained(demo, size):
    picture, _, troubles = demo
    view = fit_shop(picture.shop, whole(picture), *size)
    out = overview(picture, view, troubles, texture=True)
    write_key(out, texture=True)
    text = out.canvas.text()
    found = set(re.findall(r"(?<!\w)[A-Z](?!\w)", text))
    assert found == set(out.letters)
    for letter, (name, _) in out.letters.items():
        assert re.search(rf"\b{letter}   {name}\b", text)


def test_a_place_over_its_limit_says_so_by_its_mark_or_in_a_word(demo):
    """A '!' behind a bar was not understood: a trouble's mark stands there, without one the word 'over'."""
    picture, _, troubles = demo
    view = fit_shop(picture.shop, whole(picture), 200, 45)
    marked_text = overview(picture, view, troubles).canvas.text()
    bare = overview(picture, view).canvas.text()
    assert "!" not in marked_text + bare
    assert re.search(r"rack a \S{4} ■3", marked_text) and "rack a over" in bare


def test_two_blocks_that_touch_have_a_line_between(bench):
    """The block and the head side by side: 1,600 mm and 560 mm, no gap; then a metre apart."""
    desk, ids = bench.desk, bench.ids
    desk.put(ids["block"], "hall", x_mm=4000, y_mm=3900, turn_deg=0)
    seams = {line for *_, line in SEAMS}
    assert not seams & set(BARS + EIGHTHS.strip())
    found = []
    for x in (4000 + 800 + 280, 4000 + 800 + 1300):
        desk.put(ids["head"], "hall", x_mm=x, y_mm=3900, turn_deg=0)
        picture = picture_of(desk.scene())
        out = overview(picture, fit_shop(picture.shop, whole(picture), 90, 26))
        cells = [cell for b in out.blocks if b.key in (ids["block"], ids["head"]) for cell in b.cells]
        found.append(any(out.canvas.look(*cell)[0] in seams for cell in cells))
    assert found == [True, False]


def test_the_part_at_hand_is_drawn_over_a_copy(demo):
    picture, _, troubles = demo
    view = fit_shop(picture.shop, whole(picture), 120, 26)
    out = overview(picture, view, troubles)
    before = out.canvas.text()
    block = next(b for b in out.blocks if b.kind == "part")
    lit = out.lit({block.key})
    assert all(lit.ground[r * view.cols + c] == Behind.IN_HAND for c, r in block.cells)
    assert out.canvas.text() == before and out.lit(()).text() == before


def test_every_room_and_every_exit_is_named(demo, drawn):
    picture, (_, out, _) = demo[0], drawn
    text = out.canvas.text()
    exits = [door for door in picture.shop.doors.values() if door.exit]
    assert text.count("EXIT") == len(exits) == 3
    for room in picture.shop.rooms.values():
        assert all(word in text for word in room.name.split())


def test_only_one_cell_glyphs(drawn):
    """UAX 11: every glyph of the overview takes one cell."""
    write_key(drawn[1], texture=True)
    assert all(cell_len(line) == len(line) for line in drawn[1].canvas.text().splitlines())


def test_the_same_signs_without_colour(demo):
    """Stripped of every style the plan shows each kind by a sign of its own."""
    picture, _, troubles = demo
    view = fit_shop(picture.shop, whole(picture), 120, 26)
    text = overview(picture, view, troubles, texture=True).canvas.text()
    assert all(sign in text for sign in "░▒▓·╱┌■▲□█▏┃━═")


def test_the_list_goes_where_the_shop_leaves_room(demo):
    """The demo is twice as wide as high: under it at 120x40, 217 mm a column; beside it, 327."""
    picture = demo[0]
    how = arrange(picture.shop, whole(picture), 120, 37)
    assert not how.beside and how.list_cells >= 11
    tall = tuple((0.0 if x == 0 else x, y) for x, y in ((0, 0), (3000, 0), (3000, 9000), (0, 9000)))
    assert arrange(picture.shop, box_of([tall]), 120, 37).beside


def finding(n: int, grade: str = "stop", **more) -> Finding:
    return Finding(
        "walkway", grade, (f"walkway:{n}", f"group:Z{n}"), f"{n} is in the way", at_mm=(n, 0), **more
    )


def test_one_thing_to_put_right_is_one_trouble_with_its_worst_grade():
    """A crate in the way and before a door: one number, both texts."""
    both = [
        Finding("door-front", "correct", ("door:d", "group:Z1"), "stands before d", at_mm=(1, 1)),
        Finding("walkway", "stop", ("walkway:w", "group:Z1"), "is in w", at_mm=(2, 2)),
    ]
    (one,) = troubles_of(both, lambda code: code)
    assert (one.sign, one.grade, one.at_mm) == ("■1", "stop", (2, 2))
    assert "is in w" in one.text and "before d" in one.text
    assert tally(both).words()[:2] == ["1 stop", "0 to fix"]


def test_from_the_tenth_on_a_stop_keeps_its_mark_and_a_fix_does_not():
    many = [finding(n) for n in range(12)] + [finding(n, "correct") for n in range(20, 25)]
    troubles = troubles_of(many, lambda code: code)
    assert [t.number for t in troubles] == [*range(1, NUMBERED + 1), *[0] * 8]
    assert len(marked(troubles)) == 12
    assert summary(troubles, 9) == ["■ + 3 more stops (3)", "▲ + 5 to fix"]


def test_paperwork_has_no_number_and_an_accepted_stop_is_always_told():
    from shopbins.answer import Accepted

    accepted = finding(1, accepted=Accepted("Ida", "for now", date(2026, 1, 2), None, True))
    paper = Finding("loose", "correct", ("zone:rack",), "rack: 2 not weighed")
    troubles = troubles_of([paper, accepted], lambda code: code)
    assert [t.sign for t in troubles] == ["□"]
    assert tally([paper, accepted]).words() == ["0 stops", "0 to fix", "1 accepted", "1 record to complete"]
    assert tally([]).words() == ["no stops", "0 to fix"]


@given(st.lists(st.text(" x", min_size=6, max_size=6), min_size=1, max_size=6))
@settings(max_examples=60, deadline=None)
def test_the_largest_empty_box(rows):
    """Against trying every rectangle."""
    canvas = Canvas(6, len(rows))
    for r, row in enumerate(rows):
        canvas.word(0, r, row, 1)
    blank = [[c == " " for c in row] for row in rows]
    best = max(
        (w * h)
        for r in range(len(rows))
        for c in range(6)
        for h in range(len(rows) - r + 1)
        for w in range(6 - c + 1)
        if all(blank[y][x] for y in range(r, r + h) for x in range(c, c + w))
    )
    col, row, cols, high = empty_box(canvas)
    assert cols * high == best
    assert all(blank[y][x] for y in range(row, row + high) for x in range(col, col + cols))


JAPANESE = """\
shop: 作業
rooms:
  作業場: {at: [0, 0], size: [9000, 6000]}
zones:
  作業台: {room: 作業場, kind: bench, at: [1000, 1000], size: [3000, 1000], height: 900}
  棚: {room: 作業場, kind: bench, at: [8000, 4500], size: [700, 700], height: 900}
"""


def test_names_of_letters_two_columns_wide_are_written(tmp_path):
    """A workshop, a workbench, a shelf: by name or by a letter told beside; rows keep their width."""
    path = tmp_path / "shop.yaml"
    path.write_text(JAPANESE, encoding="utf-8")
    with Desk.open(path) as desk:
        picture = picture_of(desk.scene())
    out = overview(picture, fit_shop(picture.shop, whole(picture), 60, 16))
    write_key(out)
    text = out.canvas.text()
    for name in ("作業場", "作業台", "棚"):
        assert name in text, text
    assert all(cell_len("".join(r[0] for r in out.canvas.runs(row))) == 60 for row in range(16))
