"""The plan's picture: what stands where, true to scale."""

import re

import pytest

from shopbins.records.group import CHANGE
from shopbins.tui.canvas.cells import HEAVY
from shopbins.tui.canvas.fullness import Fullness, fullness, fullness_bar, fullness_glyph, fullness_word
from shopbins.tui.canvas.inks import GRADE_GLYPH, Ink
from shopbins.tui.canvas.paint import paint, paint_carried, paint_marks
from shopbins.tui.canvas.picture import Picture, picture_of
from shopbins.tui.canvas.projection import Projection, box_of


@pytest.fixture
def view():
    """100 mm a column, 200 mm a row; the hall's corner 0, 0 lies at column 10, row 35."""
    return Projection(-1000, 7000, 100, 140, 40)


def test_walls_lie_where_the_file_says(small_scene, view):
    """quay.yaml: the hall is 8000 x 6000 mm from 0, 0."""
    canvas = paint(picture_of(small_scene), view)
    left, right = view.cell((0, 3000)), view.cell((8000, 4500))
    assert canvas.look(*left) == ("┃", Ink.WALL)
    assert canvas.look(*right) == ("┃", Ink.WALL)
    assert right[0] - left[0] == 80


def test_a_door_opens_the_wall_by_its_width(small_scene, view):
    """The gate's jambs are 3000 mm apart: 30 columns of the wall at y 0 are its own."""
    canvas = paint(picture_of(small_scene), view)
    row = view.cell((0, 0))[1]
    door = [c for c in range(140) if canvas.look(c, row)[1] == Ink.EXIT]
    assert len(door) == 30
    assert door[0] == view.cell((2000, 0))[0]


def test_a_hinged_door_shows_its_swing(small_scene, view):
    canvas = paint(picture_of(small_scene), view)
    inks = {canvas.look(c, r)[1] for c in range(140) for r in range(40)}
    assert Ink.SWING in inks


def test_a_turned_thing_is_filled_where_it_stands(small_scene, view):
    """The block of 1600 x 900 mm is turned by 25 degrees about 4600, 3900: corners by hand."""
    canvas = paint(picture_of(small_scene), view)
    inside = [(4600, 3900), (4600 + 700, 3900 + 300), (4600 - 700, 3900 - 300)]
    outside = [(4600 + 700, 3900 - 600), (4600 - 700, 3900 + 600), (4600, 4700)]
    shaded = (Ink.SHADE, Ink.THING, Ink.LABEL)
    assert all(canvas.look(*view.cell(p))[1] in shaded for p in inside)
    assert all(canvas.look(*view.cell(p))[1] not in shaded for p in outside)


def test_only_one_cell_glyphs(small_scene, view):
    from rich.cells import cell_len

    for line in paint(picture_of(small_scene), view).text().splitlines():
        assert cell_len(line) == len(line)


def test_wide_and_steering_signs_never_reach_the_plan(bench, view):
    """A name of double-width signs takes two cells a sign: no row grows wider."""
    bench.desk.do(CHANGE(bench.ids["block"], name="機関 block"))
    canvas = paint(picture_of(bench.desk.scene()), view)
    from rich.cells import cell_len

    assert all(cell_len(line) <= view.cols for line in canvas.text().splitlines())


def test_what_is_carried_is_left_out_and_drawn_on_top(small_scene, bench, view):
    block = bench.ids["block"]
    base = paint(picture_of(small_scene, block), view)
    at = view.cell((4600, 3900))
    assert base.look(*at)[1] not in (Ink.SHADE, Ink.LABEL)
    over = base.copy()
    paint_carried(over, view, small_scene.body(block).outline, stop=True, name="block")
    assert over.look(*view.cell((4600 + 500, 3900 + 200)))[1] == Ink.CARRIED_STOP
    assert base.look(*at)[1] not in (Ink.CARRIED, Ink.CARRIED_STOP)


def test_the_worst_mark_stays_on_top(small_scene, view):
    canvas = paint(picture_of(small_scene), view)
    at = (3000.0, 1000.0)
    paint_marks(canvas, view, [(at, "stop"), (at, "note"), (at, "correct")])
    assert canvas.look(*view.cell(at))[0] == GRADE_GLYPH["stop"]


def test_fullness_is_the_worse_of_load_and_surface(small_scene):
    """bench 1 bears 61 kg of 300 kg (20 %) and 560 x 380 of 2400 x 700 mm of which 85 % count (15 %)."""
    bench_1 = small_scene.zone("bench 1")
    full = fullness(small_scene, bench_1)
    assert full is not None and full.share == pytest.approx(61 / 300) and full.over == ()


def test_nothing_known_is_not_empty():
    assert fullness_word(None) == "empty"
    assert fullness_word(Fullness(0.0)) == "nearly empty"
    assert fullness_word(Fullness(1.2)) == "overfull"
    assert fullness_word(Fullness(0.6, ("level 2, 157 of 150 kg",))) == "overfull: level 2, 157 of 150 kg"
    assert fullness_glyph(Fullness(1.2)) == fullness_glyph(Fullness(0.6, ("level 2",))) == "!"
    assert [fullness_glyph(Fullness(s)) for s in (0.01, 0.99)] == ["▁", "█"]


def close(bench, mm_per_col, cols=160, rows=50, troubles=()):
    picture = picture_of(bench.desk.scene())
    box = box_of([room.outline for room in picture.shop.rooms.values()])
    view = Projection(box[0] - 500, box[3] + 500, mm_per_col, cols, rows)
    return paint(picture, view, troubles).text()


def test_close_up_each_level_has_its_bar_and_what_it_carries(bench):
    """rack a takes 200 and 150 kg (quay.yaml); the valves, 2.5 kg, lie on level 2."""
    bench.desk.put(bench.ids["studs"], "rack a", "1")
    text = close(bench, 40, 220)
    assert re.search(r"/2 [▏▎▍▌▋▊▉█▁]{4} 2\.5 of 150 kg", text)
    assert re.search(r"/1 [▏▎▍▌▋▊▉█▁]{4} 0 of 200 kg, 1 not weighed", text)
    text = close(bench, 60)
    assert re.search(r"/2 [▏▎▍▌▋▊▉█▁]{4} ", text) and re.search(r"/1 [▏▎▍▌▋▊▉█▁]{4} ", text)


def test_close_up_a_door_says_how_wide_it_is_clear(bench):
    assert re.search(r"\d{3,4} mm", close(bench, 50, 200))


@pytest.mark.parametrize("mm", [20, 35, 50, 75, 110])
def test_close_up_no_word_is_cut(bench, mm):
    """As once was shown: 'stov', 'pillar d', 'cylinde'."""
    picture = picture_of(bench.desk.scene())
    names = [r.name for r in picture.shop.rooms.values()] + [z.name for z in picture.zones]
    names += [f.name for f in picture.fixtures] + [b.name for b in picture.bodies]
    words = {w for name in names for w in re.findall(r"[^\W\d_]+", name)} | {
        "exit", "over", "of", "kg", "mm", "m", "not", "weighed"
    }  # fmt: skip
    for cols in (40, 80, 160):
        assert set(re.findall(r"[^\W\d_]+", close(bench, mm, cols))) <= words


def test_the_bar_in_eighths():
    """Half of four cells is two; an eighth of a cell is still seen; a level over changes nothing."""
    assert fullness_bar(Fullness(0.5), 4) == "██▁▁"
    assert fullness_bar(Fullness(0.001), 4) == "▏▁▁▁"
    assert fullness_bar(Fullness(1.3), 3) == "███"
    assert fullness_bar(Fullness(0.5, ("level 2",)), 4) == "██▁▁"


@pytest.mark.parametrize("size", [(1, 1), (3, 1), (20, 5), (400, 150)])
@pytest.mark.parametrize("scale", [5, 161, 10_000])
def test_any_window_can_be_painted(small_scene, size, scale):
    view = Projection(-500, 6500, scale, *size)
    canvas = paint(picture_of(small_scene), view)
    assert len(canvas.text().split("\n")) == size[1]


@pytest.mark.parametrize("scale", [100, 150, 215, 300, 400, 750, 1500])
def test_no_word_stands_on_a_wall_however_small_a_rack_is_drawn(small_scene, scale):
    """rack a is 600 mm deep along the wall: from 300 mm a column on it has no row of its own."""
    view = Projection(-1000, 7000, scale, 140, 40)
    picture = picture_of(small_scene)
    canvas = paint(picture, view)
    bare = paint(Picture(picture.shop, (), (), (), {}), view)
    walls = [(c, r) for c in range(140) for r in range(40) if bare.look(c, r)[0] in HEAVY[1:]]
    assert len(walls) > 10
    assert [canvas.look(*at) for at in walls] == [bare.look(*at) for at in walls]
