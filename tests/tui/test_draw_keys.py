"""Every key of Draw: what is pressed, what then stands in the file, what lies there after it."""

from __future__ import annotations

import math

import pytest

from shopbins.desk import Desk
from shopbins.ledger.model import InZone
from shopbins.shop import ShopProblems, read
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.draw.hand import Held
from shopbins.tui.draw.things import halfway, stops, things


@pytest.fixture
async def draw(bench, opened):
    async with opened(bench, "6") as pilot:
        pilot.plan = pilot.app.screen.plan
        pilot.begun = bench.path.read_text()
        yield pilot


async def at(pilot, *keys: str, on: tuple[float, float]) -> None:
    pilot.plan.point(on)
    await pilot.pause()
    await pilot.press(*keys)
    await pilot.pause()


def text(pilot) -> str:
    return pilot.bench.path.read_text()


def zone(pilot, key: str):
    return read(pilot.bench.path).zones[key]


BENCH = (1400.0, 5550.0)
STOVE = (600.0, 4400.0)


async def type_in(pilot, line: str) -> None:
    assert isinstance(pilot.app.screen, Ask)
    pilot.app.screen.query_one("#typed").value = line
    await pilot.press("enter")
    await pilot.pause()


async def pick(pilot, words: str) -> None:
    assert isinstance(pilot.app.screen, Pick)
    pilot.app.screen.query_one("#typed").value = words
    await pilot.pause()
    await pilot.press("enter")
    await pilot.pause()


async def test_a_thing_is_carried_and_only_its_place_changes(draw):
    await at(draw, "enter", "down", "down", "right", "enter", on=BENCH)
    assert text(draw) == draw.begun.replace("at: [200, 5200], size: [2400", "at: [300, 5000], size: [2400")
    assert "is where you put it" in str(draw.app.said_line())


async def test_what_is_under_the_cursor_is_told_at_once(draw):
    await draw.pause()
    assert str(draw.app.screen.query_one("#thing").content)


async def test_what_lies_on_it_goes_along(draw):
    before = draw.bench.group("head").where
    await at(draw, "enter", "down", "enter", on=BENCH)
    assert draw.bench.group("head").where == before  # counted from the bench's corner
    assert draw.bench.desk.scene().body(draw.bench.ids["head"]).centre[1] == 5200 - 100 + before.y_mm


async def test_undo_and_redo_to_the_byte(draw):
    await at(draw, "enter", "down", "enter", on=BENCH)
    moved = text(draw)
    await draw.press("u")
    assert text(draw) == draw.begun
    await draw.press("ctrl+y")
    assert text(draw) == moved
    await draw.press("u", "u")
    assert text(draw) == draw.begun
    assert "nothing drawn is left" in str(draw.app.said_line())


async def test_undo_elsewhere_passes_over_a_drawing_step(draw):
    await at(draw, "enter", "down", "enter", on=BENCH)
    moved = text(draw)
    await draw.press("1")
    await draw.pause()
    await draw.press("u")
    await draw.pause()
    assert text(draw) == moved
    assert draw.bench.group("head").where is None  # its laying down, the last act before


async def test_esc_puts_back(draw):
    await at(draw, "enter", "down", "t", "escape", on=BENCH)
    assert text(draw) == draw.begun
    assert draw.app.screen.hand.held is None


async def test_turning(draw):
    await at(draw, "enter", "t", "enter", on=STOVE)
    assert "turn: 90" in text(draw)
    await draw.press("u")
    await at(draw, "enter", "comma", "comma", "enter", on=STOVE)
    assert "turn: 10" in text(draw)
    await at(draw, "enter", "full_stop", "full_stop", "enter", on=STOVE)
    assert "turn" not in text(draw).split("stove")[1].split("}")[0]


async def test_digits_leave_a_clear_distance_towards_the_last_arrow(draw):
    await at(draw, "enter", "left", "0", "enter", "enter", on=STOVE)
    assert zone_at(draw, "stove") == (0, 4000)
    await at(draw, "enter", "left", "3", "5", "0", "enter", "enter", on=(400.0, 4400.0))
    assert zone_at(draw, "stove") == (350, 4000)


def zone_at(pilot, key: str) -> tuple[float, float]:
    return read(pilot.bench.path).fixtures[key].outline[0]


async def test_a_step_ends_flush(draw):
    await at(draw, "enter", "s", "s", "s", "left", "enter", on=STOVE)  # steps of 1 m, 200 mm from the wall
    assert zone_at(draw, "stove") == (0, 4000)


async def test_steps_and_fine_steps(draw):
    await at(draw, "enter", "s", "right", "shift+right", "enter", on=STOVE)
    assert zone_at(draw, "stove") == (211, 4000)


async def test_a_copy_gets_the_next_free_name(draw):
    await at(
        draw, "enter", "right", *["right"] * 9, "space", "right", *["right"] * 9, "space", "escape", on=STOVE
    )
    shop = read(draw.bench.path)
    assert {"stove", "stove 2", "stove 3"} <= set(shop.fixtures)
    assert shop.fixtures["stove"].outline[0] == (200, 4000)
    assert shop.fixtures["stove 3"].outline[0][0] - shop.fixtures["stove 2"].outline[0][0] == 1000


async def test_edges_are_pulled_and_parts_keep_their_spot(draw):
    before = draw.bench.desk.scene().body(draw.bench.ids["head"]).centre
    await at(draw, "enter", "m", "left", "enter", on=BENCH)
    assert (zone(draw, "bench 1").size_mm, zone(draw, "bench 1").outline[0]) == ((2500, 700), (100, 5200))
    assert draw.bench.desk.scene().body(draw.bench.ids["head"]).centre == pytest.approx(before)
    assert draw.bench.group("head").where.x_mm == 600
    await draw.press("u")
    assert text(draw) == draw.begun
    assert draw.bench.group("head").where.x_mm == 500


async def test_a_step_with_a_problem_is_not_in_the_file_yet_but_seen(draw):
    """Half outside its room: counted, drawn where it was put, and one u takes it back."""
    draw.app.screen.take(Held(next(each for each in things(read(draw.bench.path)) if each.key == "bench 1")))
    await draw.press("t", "enter")
    await draw.pause()
    assert draw.app.screen.file.problems
    assert text(draw) == draw.begun
    assert "1 step not in the file yet" in str(draw.app.said_line())
    assert draw.app.screen.head_note() == "1 step not in the file yet"
    seen = next(each for each in draw.plan.picture.zones if each.key == "bench 1")
    assert seen.frame.turn_deg == 90
    side = draw.app.screen.query_one("#thing")
    assert all(len(line) <= side.size.width for line in str(side.content).splitlines())
    assert any(len(line) > 20 for line in str(side.content).splitlines()), "as wide as it is"
    await draw.press("1")
    await draw.pause()
    assert isinstance(draw.app.screen, Pick)
    await draw.press("1")
    await draw.pause()
    await draw.pause()
    assert draw.app.current_mode == "plan"
    assert text(draw) == draw.begun


async def test_a_room_overlap_is_kept_back_written_anyway_or_taken_back(draw):
    await at(draw, "enter", *["left"] * 5, "enter", on=(11000.0, 1000.0))
    assert text(draw) == draw.begun
    assert draw.app.screen.file.problems
    await draw.press("u")
    assert not draw.app.screen.file.unsaved
    await at(draw, "enter", *["left"] * 5, "enter", on=(11000.0, 1000.0))
    await draw.press("1")
    await draw.pause()
    await draw.press("2")
    await draw.pause()
    assert text(draw) != draw.begun
    assert draw.bench.desk.shop_problems


async def test_renaming_is_one_step_with_every_use(draw):
    await at(draw, "a", on=BENCH)
    await draw.press("e")
    await draw.pause()
    await type_in(draw, "long bench")
    shop = read(draw.bench.path)
    assert shop.zones["long bench"].was == ("bench 1",)
    assert draw.bench.desk.scene().body(draw.bench.ids["head"]).zone == "long bench"
    await draw.press("u")
    assert text(draw) == draw.begun


async def test_deleting_is_refused_while_anything_lies_there(draw):
    await at(draw, "a", "minus", "escape", on=BENCH)  # greyed, with the reason
    draw.app.screen.action_delete()
    assert "is not deleted" in str(draw.app.said_line())
    assert text(draw) == draw.begun
    await at(draw, "a", on=STOVE)
    await draw.press("minus")
    await draw.pause()
    await draw.press("1")
    await draw.pause()
    assert "stove" not in read(draw.bench.path).fixtures


async def test_values_are_given_one_by_one(draw):
    await at(draw, "m", on=STOVE)
    await pick(draw, "mass")
    await type_in(draw, "180 kg")
    assert read(draw.bench.path).fixtures["stove"].mass_kg == 180
    assert isinstance(draw.app.screen, Pick)  # the form again
    await draw.press("escape")
    await draw.press("u")
    assert text(draw) == draw.begun


@pytest.mark.parametrize(
    ("number", "line", "section", "key"),
    [
        ("4", "bench 9, 1200x600, 900", "zones", "bench 9"),
        ("5", "rack q, 900x400, 1.2 m", "zones", "rack q"),
        ("6", "bay 9, 600x600", "zones", "bay 9"),
        ("7", "valve, 500x500", "keep_clear", "valve"),
        ("8", "anvil, 400x300", "fixtures", "anvil"),
        ("2", "hatch door, 900", "doors", "hatch door"),
    ],
)
async def test_adding(draw, number, line, section, key):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press(number)
    await draw.pause()
    await type_in(draw, line)
    if section != "doors":
        assert draw.app.screen.hand.held is not None
        await draw.press("enter")
        await draw.pause()
    assert key in getattr(read(draw.bench.path), section), draw.app.said_line()


async def test_adding_a_walkway_point_by_point(draw):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("3")
    await draw.pause()
    await type_in(draw, "side way, 700")
    for x in (5500.0, 6500.0):
        await at(draw, "enter", on=(x, 800.0))
    await draw.press("enter")
    await draw.pause()
    await type_in(draw, "900")
    assert "not more than" in str(draw.app.screen.query_one("#wrong").render())
    await type_in(draw, "600")
    await draw.press("2")
    await draw.pause()
    way = read(draw.bench.path).walkways["side way"]
    assert (len(way.line), way.least_mm, way.exit_route) == (2, 600, True)


async def test_a_walkway_without_a_limit_says_so(draw):
    draw.bench.path.write_text(draw.begun.split("limits:")[0] if "limits:" in draw.begun else draw.begun)
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("3")
    await draw.pause()
    await type_in(draw, "side way, 700")
    for x in (5500.0, 6500.0):
        await at(draw, "enter", on=(x, 800.0))
    assert "mm" in str(draw.app.screen.query_one("#thing").content)
    await draw.press("enter")
    await draw.pause()
    await type_in(draw, "")
    await draw.press("1")
    await draw.pause()
    way = read(draw.bench.path).walkways["side way"]
    assert way.least_mm is None
    if read(draw.bench.path).limits.walkway_mm is None:
        assert "no limit is set" in draw.app.said_line().plain


def test_the_middle_of_a_bent_way_is_on_it():
    """Two legs of 4 m at a right angle: halfway is the bend, not the middle of the box 1.41 m off it."""
    assert halfway([(0, 0), (4000, 0), (4000, 4000)]) == (4000, 0)
    assert halfway([(0, 0), (6000, 0), (6000, 2000)]) == (4000, 0)


async def test_a_truck_is_added_by_two_questions(draw):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("end", "enter")
    await draw.pause()
    await draw.press("1")
    await draw.pause()
    await type_in(draw, "our truck, 2 t")
    gear = read(draw.bench.path).gear["our truck"]
    assert (gear.kind, gear.capacity_kg) == ("pallet truck", 2000)
    assert "our truck" in draw.app.desk.shop.gear, "Move has it at once"


async def test_adding_a_yard(draw):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("9")
    await draw.pause()
    await type_in(draw, "yard, 3000x2000")
    for key in ("s", "s", "s", *["down"] * 5, "enter"):
        await draw.press(key)
    await draw.pause()
    assert read(draw.bench.path).rooms["yard"].outdoor


async def test_a_name_that_is_taken_is_said(draw):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("8")
    await draw.pause()
    await type_in(draw, "stove, 400x300")
    assert isinstance(draw.app.screen, Ask)
    assert text(draw) == draw.begun


async def test_tab_visits_everything_doors_and_corners_too_and_returns(draw):
    shop = read(draw.bench.path)
    every = stops(shop)
    corners = [point for room in shop.rooms.values() for point in room.outline]
    assert {each.at for each in every} >= {*corners, *(each.middle for each in things(shop))}
    assert {each.thing.key for each in every} >= set(shop.doors)
    await draw.press("tab")
    first, seen = draw.plan.at, []
    for _ in every:
        await draw.press("tab")
        seen.append(draw.plan.at)
    assert set(seen) == {each.at for each in every}
    assert seen[-1] == first
    await draw.press("shift+tab")
    assert draw.plan.at == seen[-2]


async def test_a_corner_is_told_with_its_place_and_its_room_is_at_hand(draw):
    corner = next(each for each in stops(read(draw.bench.path)) if each.corner == 3)
    draw.app.screen._stop_at(corner)
    await draw.pause()
    said = str(draw.app.screen.query_one("#thing").content)
    x, y = corner.at
    assert f"corner 3 of {corner.thing.key}, at {x:.0f}, {y:.0f} mm" in said
    assert draw.app.screen.at_hand().key == corner.thing.key


async def test_a_point_of_a_way_catches_the_middle_of_a_door(draw):
    shop = read(draw.bench.path)
    door = next(each for each in things(shop) if each.section == "doors")
    x, y = door.middle
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("3")
    await draw.pause()
    await type_in(draw, "side way, 700")
    await at(draw, "enter", on=(x + 40.0, y - 30.0))
    await at(draw, "enter", "enter", on=(5800.0, 1000.0))
    await type_in(draw, "")
    await draw.press("1")
    await draw.pause()
    line = read(draw.bench.path).walkways["side way"].line
    assert math.dist(line[0], door.middle) < 0.1
    assert line[1] == (5800, 1000)


async def test_what_is_told_after_a_copy_a_new_name_and_undo(draw):
    stop = next(each for each in stops(read(draw.bench.path)) if each.thing.key == "stove")
    draw.app.screen._stop_at(stop)
    await draw.press("enter", "right", "right", "right", "right", "space")
    await draw.pause()
    assert draw.app.said_line().plain.strip() == (
        "! ■ stop: stove 2 overlaps stove by 400 mm · stove 2 is where you put it · u undoes it"
    )
    await draw.press("escape", "u")
    await draw.pause()
    assert draw.app.said_line().plain.strip() == "✓ taken back · y does it again"
    draw.app.screen._stop_at(stop)
    await draw.press("a", "e")
    await draw.pause()
    await type_in(draw, "old stove")
    assert draw.app.screen.at_hand().key == "old stove"


async def test_others_changes_are_taken_in(draw, settled):
    path = draw.bench.path
    path.write_text(path.read_text().replace("shop: Quay Works", "shop: Quay Yard   # theirs"))
    draw.app.poll()
    await draw.pause()
    await at(draw, "enter", "down", "enter", on=BENCH)
    assert "Quay Yard   # theirs" in text(draw)
    assert "at: [200, 5100]" in text(draw)
    await draw.press("u")
    assert text(draw) == draw.begun.replace("shop: Quay Works", "shop: Quay Yard   # theirs")


async def test_digits_change_no_screen_while_carrying(draw):
    await at(draw, "enter", "1", "2", on=STOVE)
    assert draw.app.current_mode == "draw"
    await draw.press("escape", "escape")
    await draw.press("1")
    assert draw.app.current_mode == "plan"


async def test_an_outlined_spot_takes_along_what_lies_there(draw):
    desk = draw.bench.desk
    bay = desk.shop.zones["bay"]
    pallet = desk.scene().body(draw.bench.ids["pallet"]).centre
    left, bottom = min(x for x, _ in bay.outline), min(y for _, y in bay.outline)
    await at(draw, "enter", "s", "left", "enter", on=(left + 60, bottom + 60))
    now = desk.scene().body(draw.bench.ids["pallet"]).centre
    assert now == pytest.approx((pallet[0] - 10, pallet[1]))
    assert isinstance(draw.bench.group("pallet").where, InZone)


async def test_the_room_enlarged_and_going_to_a_thing(draw):
    await draw.press("o")
    scale = draw.plan.view.mm_per_col
    await draw.press("0")
    assert draw.plan.view.mm_per_col >= scale
    await draw.press("g")
    await draw.pause()
    await pick(draw, "stove")
    assert draw.app.screen.at_hand().key == "stove"
    await draw.press("plus", "minus", "shift+left", "left", "right", "up", "down")


async def test_a_level_is_renamed_and_what_lies_there_stays(draw):
    await at(draw, "a", on=(6200.0, 5600.0))
    await draw.press("e")
    await draw.pause()
    await draw.press("3")  # its level 2
    await draw.pause()
    await type_in(draw, "top")
    assert read(draw.bench.path).zones["rack a"].levels[1].was == ("2",)
    scene = draw.bench.desk.scene()
    assert draw.bench.ids["valves"] in scene.contents("rack a", "top").groups


async def test_a_movable_thing_that_was_moved_gets_its_home_here(draw):
    desk = draw.bench.desk
    desk.move_thing("pillar drill", 9000.0, 3500.0)
    draw.app.changed()
    await draw.pause()
    await at(draw, "enter", on=(8700.0, 4500.0))
    assert isinstance(draw.app.screen, Pick)
    await draw.press("2")
    await draw.pause()
    assert "pillar drill" not in desk.scene().shifted
    assert read(draw.bench.path).fixtures["pillar drill"].outline[0] == (8700, 3200)
    await draw.press("u")
    assert text(draw) == draw.begun
    assert desk.scene().shifted["pillar drill"].x_mm == 9000


async def test_the_mouse_pans_and_carries_as_keys_do(draw):
    await at(draw, "enter", on=STOVE)
    cell = draw.plan.view.cell((1200.0, 4400.0))
    await draw.click("#plan", offset=cell)
    await draw.pause()
    assert draw.app.screen.hand.held.at[0] > 1000
    await draw.press("escape")
    assert text(draw) == draw.begun


@pytest.mark.parametrize(
    ("name", "start"), [("plan.pdf", b"%PDF"), ("plan.svg", b"<?xml"), ("plan.dxf", b"0\r\n")]
)
async def test_the_plan_is_printed_to_scale_from_here(draw, name, start):
    draw.app.action_tags()
    await draw.pause()
    choice = next(n for n, each in enumerate(draw.app.screen._choices, 1) if each.value == "plan")
    await draw.press(str(choice))
    await draw.pause()
    path = draw.bench.path.with_name(name)
    await type_in(draw, str(path))
    assert path.read_bytes().startswith(start)


async def test_a_large_shop_is_checked_in_a_thread_with_the_same_answer(draw, monkeypatch):
    from shopbins.tui.draw import screen

    monkeypatch.setattr(screen, "LARGE", 0)
    await at(draw, "enter", *["left"] * 5, on=(11000.0, 1000.0))
    for _ in range(40):
        await draw.pause(0.05)
        if draw.app.screen.hand.trouble:
            break
    assert draw.app.screen.hand.trouble == draw.app.screen._problems(draw.app.screen.hand.held) != ()


async def test_a_height_nobody_measured_is_asked_for_never_made_up(draw):
    """A bench or shelf needs one; those of a shelf's levels are typed with ';' between, as at the tape."""
    before = text(draw)
    await at(draw, "a", on=(4000.0, 4000.0))
    await draw.press("5")
    await draw.pause()
    await type_in(draw, "rack q, 900x400")
    assert isinstance(draw.app.screen, Ask) and text(draw) == before
    assert "how high" in str(draw.app.screen.query_one("#wrong").render())
    await type_in(draw, "rack q, 900x400, 100; 0.65 m; 1300")
    await draw.press("enter")
    await draw.pause()
    assert [each.height_mm for each in zone(draw, "rack q").levels] == [100, 650, 1300]


async def test_what_a_bench_would_block_is_told_while_it_is_carried(draw):
    """Bench 1 carried before the switchboard: said before it is put down, and again when it is."""
    await at(draw, "enter", on=BENCH)
    for _ in range(30):
        await draw.press("down")
    draw.app.screen._check()
    assert any(line.startswith("■ stop:") and "inside board" in line for line in draw.app.screen.hand.trouble)
    await draw.press("enter")
    await draw.pause()
    assert str(draw.app.said_line()).startswith(" ! ■ stop: ")


@pytest.mark.parametrize(
    ("number", "on", "typed", "metres"),
    [
        ("levels", (6200.0, 5600.0), "100;700;1300", False),
        ("levels", (6200.0, 5600.0), "0,1; 0,7; 1,3", True),
        ("5", (5800.0, 1000.0), "rack a2, 900x400, 100; 700; 1300", False),
        ("5", (5800.0, 1000.0), "rack a2, 900x400, 0,1; 0,7; 1,3", True),
    ],
)
async def test_levels_are_typed_as_plain_heights_and_metres_are_asked(draw, number, on, typed, metres):
    await at(draw, "m" if number == "levels" else "a", on=on)
    if number == "levels":
        await pick(draw, "levels")
    else:
        await draw.press(number)
        await draw.pause()
    await type_in(draw, typed)
    if metres:
        assert "metres" in str(draw.app.screen.query_one(".title").content)
        await draw.press("1")
        await draw.pause()
    if number == "5":
        await draw.press("enter")
        await draw.pause()
    found = zone(draw, "rack a" if number == "levels" else "rack a2").levels
    assert [(each.key, each.height_mm) for each in found] == [("1", 100), ("2", 700), ("3", 1300)]
    if number == "levels":
        assert [each.load_kg for each in found] == [200, 150, None]  # the new one's load is not known


async def test_a_single_height_goes_with_levels_and_comes_back(draw):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("5")
    await draw.pause()
    await type_in(draw, "rack q, 900x400, 1200")
    await draw.press("enter", "m")
    await draw.pause()
    await pick(draw, "height")
    await type_in(draw, "100; 700")
    assert [each.height_mm for each in zone(draw, "rack q").levels] == [100, 700]
    assert "height: 1200" not in text(draw)


async def test_go_to_takes_the_one_called_just_so(draw):
    await at(draw, "a", on=(5800.0, 1000.0))
    await draw.press("2")
    await draw.pause()
    await type_in(draw, "halldoor, 900")
    await draw.press("g")
    await draw.pause()
    draw.app.screen.query_one("#typed").value = "hall"
    await draw.pause()
    assert draw.app.screen._choices[0].text == "hall"


async def test_the_fix_of_a_blocked_way_names_what_was_put_there(draw, settled):
    await at(draw, "a", "plus", on=(3500.0, 1500.0))
    await draw.press("4")
    await draw.pause()
    await type_in(draw, "bench 9, 1200x600, 900")
    await draw.press("enter")
    await settled(draw)
    assert "■ stop: bench 9 narrows main way" in str(draw.app.said_line())
    (found,) = (each for each in draw.app.findings if each.rule == "walkway" and each.grade == "stop")
    assert found.remedy == "the shop file puts bench 9 there: move it on Draw, or correct the walkway"


OVERLAPPING = """\
shop: Hill shed
rooms: {shed: {at: [0, 0], size: [6000, 4000]}}
zones:
  bench: {room: shed, kind: bench, at: [500, 500], size: [1000, 600], height: 900}
  rack: {room: shed, kind: bench, at: [700, 500], size: [1000, 600], height: 900}
"""


async def test_a_shop_whose_places_overlap_is_opened_on_draw_and_put_right_there(tmp_path, settled, frame):
    """As `new` writes it anyway: the problem is shown, carrying one of the two away mends the file."""
    path = tmp_path / "shop.yaml"
    path.write_text(OVERLAPPING)
    with Desk.open(path, look=True) as desk:
        app = ShopbinsApp(desk, plain_start=True)
        async with app.run_test(size=(120, 40)) as pilot:
            await settled(pilot)
            assert app.current_mode == "draw" and "overlaps" in frame(app)
            await pilot.press("escape")
            await settled(pilot)
            assert "overlaps" in frame(app), "it stays in sight while it is put right"
            app.screen.plan.point((1600.0, 800.0))
            await pilot.press("enter", *["right"] * 14, "enter")
            await settled(pilot)
            app.poll()
            await settled(pilot)
        assert not desk.shop_mending and not desk.shop_problems
    assert read(path).zones["rack"].outline[0][0] >= 1500


def test_a_shop_that_cannot_be_drawn_is_not_opened(tmp_path):
    path = tmp_path / "shop.yaml"
    path.write_text("shop: Hill shed\nrooms: {shed: {at: [0, 0], size: [6000, nine]}}\n")
    with pytest.raises(ShopProblems):
        Desk.open(path, look=True)
    path.write_text(OVERLAPPING)
    with pytest.raises(ShopProblems):  # a command is told what is wrong
        Desk.open(path)
