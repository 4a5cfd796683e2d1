"""Every key of the Parts, and those that do something with the group at hand."""

import asyncio

import pytest
from textual import events
from textual.keys import _character_to_key

from shopbins.ledger.model import Away, InGroup, InZone, Mass, Size
from shopbins.tui.dialogs.form import Form
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.dialogs.scanline import ScanLine


@pytest.fixture
async def parts(bench, opened):
    async with opened(bench, "2") as pilot:
        yield pilot


async def to(pilot, word):
    """Put the cursor on a group."""
    screen = pilot.app.screen
    screen.lines.cursor = screen._ids.index(pilot.bench.ids[word])
    await pilot.pause()


async def test_all_are_listed_last_off_first_each_with_its_place(parts, rows):
    shown = rows(parts.app.screen.lines)
    assert [r[0] for r in shown][:2] == ["sea water pump", "cylinder head 1"]
    assert [r[1] for r in shown][:3] == ["waiting", "bench 1", "rack a/1"]
    assert "inlet valves x12" in [r[0] for r in shown]


async def test_search_narrows_with_every_letter_and_forgives(parts, rows):
    await parts.press("slash", *"valv")
    await parts.settled()
    assert [r[0] for r in rows(parts.app.screen.lines)] == ["inlet valves x12"]
    await parts.press("escape")
    assert parts.app.screen.lines.count == 6
    await parts.press(*"inlte")
    await parts.settled()
    assert [r[0] for r in rows(parts.app.screen.lines)] == ["inlet valves x12"], "two letters swapped"
    await parts.press("escape", *"rack")
    await parts.settled()
    assert {r[1] for r in rows(parts.app.screen.lines)} == {"rack a/1", "rack a/2"}, "by place"


async def test_letters_in_the_search_line_are_only_letters(parts):
    await parts.press("slash", *"cdzqu1")
    assert parts.app.screen.search.value == "cdzqu1"


async def test_down_leaves_the_search_for_the_list(parts):
    await parts.press("slash", *"c", "down")
    assert parts.app.focused is parts.app.screen.lines
    await parts.press("slash", "escape")
    assert parts.app.focused is parts.app.screen.lines


async def test_enter_in_the_search_shows_the_best_hit_on_the_plan(parts):
    await parts.press("slash", *"engine blok", "enter")
    await parts.settled()
    assert parts.app.current_mode == "plan"
    assert parts.app.screen.current_group() == parts.bench.ids["block"]
    assert parts.app.screen.plan.at == pytest.approx((4600, 3900), abs=1)


async def test_enter_in_the_list_shows_the_row(parts):
    await to(parts, "valves")
    await parts.press("enter")
    await parts.settled()
    assert parts.app.screen.current_group() == parts.bench.ids["valves"]
    assert parts.app.screen.plan.at == (6200, 5600)


async def test_narrow_to_a_zone_the_unplaced_and_those_away(parts, rows):
    await parts.press("f")
    await parts.pause()
    await parts.press(*"rack", "enter")
    await parts.settled()
    assert {r[0] for r in rows(parts.app.screen.lines)} == {"inlet valves x12", "tub of studs"}
    await parts.press("slash", *"studs")
    await parts.settled()
    assert [r[0] for r in rows(parts.app.screen.lines)] == ["tub of studs"]
    await parts.press("down", "escape")
    await parts.pause()
    await parts.press("f", *"wait", "enter")
    await parts.settled()
    assert [r[0] for r in rows(parts.app.screen.lines)] == ["sea water pump"]
    await parts.press("escape")
    assert parts.app.screen.lines.count == 6


async def test_other_orders(parts, rows):
    await parts.press("v")
    places = [r[1] for r in rows(parts.app.screen.lines)]
    assert places == ["bay", "bench 1", "hall", "rack a/1", "rack a/2", "waiting"]
    await parts.press("v")
    names = [r[0] for r in rows(parts.app.screen.lines)]
    assert names == sorted(names, key=str.casefold)
    await parts.press("v", "v")
    assert rows(parts.app.screen.lines)[0][0] == "sea water pump"


async def test_the_cursor_stays_on_its_group_when_others_come(parts):
    await to(parts, "block")
    parts.bench.desk.take("bracket")
    parts.app.changed()
    await parts.pause()
    assert parts.app.screen.current_group() == parts.bench.ids["block"]


async def test_disposition_by_digit(parts):
    await to(parts, "head")
    await parts.press("d")
    await parts.pause()
    await parts.press("6")
    await parts.settled()
    assert parts.bench.group("head").disposition == "remachine"


async def test_note_mass_size_and_name(parts):
    await to(parts, "pump")
    await parts.press("j", *"impeller gone", "enter")
    await parts.press("m", *"about 7 kg", "enter")
    await parts.press("a", "e")
    await parts.pause()
    assert parts.app.screen.query_one("#typed").value == "sea water pump"
    await parts.press(*" 2", "enter")
    await parts.settled()
    pump = parts.bench.group("pump")
    assert (pump.note, pump.mass, pump.name) == ("impeller gone", Mass(7, True), "sea water pump 2")
    await parts.press("m", *"10x8x4 in", "enter")
    await parts.settled()
    assert parts.bench.group("pump").size == Size(254.0, pytest.approx(203.2), pytest.approx(101.6))


async def test_a_name_left_as_it_was_is_not_said_to_be_recorded(parts, said):
    await to(parts, "pump")
    seq = parts.bench.desk.seq
    await parts.press("a", "e")
    await parts.pause()
    await parts.press("enter")
    await parts.settled()
    assert parts.bench.desk.seq == seq
    assert "recorded" not in said(parts.app)


async def test_what_cannot_be_read_is_told_and_nothing_is_lost(parts):
    await to(parts, "pump")
    seq = parts.bench.desk.seq
    await parts.press("m", *"7 stones", "enter")
    await parts.pause()
    assert isinstance(parts.app.screen, Form)
    assert "!" in str(parts.app.screen.query_one("#wrong").render())
    assert parts.app.screen.query_one("#quick").value == "7 stones"
    await parts.press("escape", "escape")
    await parts.settled()
    assert parts.bench.desk.seq == seq


async def test_an_empty_mass_is_unknown_not_zero(parts):
    await to(parts, "block")
    await parts.press("m", "tab", "ctrl+u", "enter", "enter")
    await parts.settled()
    assert parts.bench.group("block").mass is None


async def test_where_it_came_from(parts):
    await to(parts, "pallet")
    await parts.press("a", "f", *"winch > drum", "enter")
    await parts.settled()
    assert parts.bench.group("pallet").origin == ("winch", "drum")


async def test_history_shows_every_deed_by_whom(parts):
    await to(parts, "head")
    await parts.press("h")
    await parts.pause()
    page = parts.app.screen
    assert isinstance(page, Page)
    text = "\n".join(page._lines)
    assert "Ida: took off cylinder head 1" in text and "Ida: put down cylinder head 1" in text
    await parts.press("down", "up", "pagedown", "pageup", "end", "home", "escape")
    await parts.pause()
    assert parts.app.screen.shown == "Parts"


async def test_away_and_back(parts):
    await to(parts, "head")
    await parts.press("a", "a", *"the grinder until 2031-02-30 for facing", "enter")
    await parts.pause()
    assert "no date" in str(parts.app.screen.query_one("#wrong").render())
    await parts.press("ctrl+u", *"the grinder until 2031-02-28 for facing", "enter")
    await parts.settled()
    assert parts.bench.group("head").where == Away(
        "the grinder", "2031-02-28", parts.bench.group("head").where.since, "facing"
    )
    await parts.press("a", "a")
    await parts.settled()
    assert parts.bench.group("head").where is None


async def test_put_by_name_of_the_place(parts):
    await to(parts, "pump")
    await parts.press("p")
    await parts.pause()
    assert isinstance(parts.app.screen, Pick)
    await parts.press(*"rack a/2", "enter")
    await parts.settled()
    where = parts.bench.group("pump").where
    assert isinstance(where, InZone) and (where.zone, where.level) == ("rack a", "2")


async def test_in_and_on_another_and_out_again(parts):
    await to(parts, "pump")
    await parts.press("a", "plus", *"pallet", "enter")
    await parts.pause()
    await parts.press("2")
    await parts.settled()
    assert parts.bench.group("pump").where == InGroup(parts.bench.ids["pallet"], "on")
    await parts.press("a", "plus")
    await parts.pause()
    await parts.press(*"studs", "enter", "1")
    await parts.settled()
    assert parts.bench.group("pump").where == InGroup(parts.bench.ids["studs"], "in")
    await parts.press("a", "minus")
    await parts.settled()
    assert parts.bench.group("pump").where is None
    await parts.press("a", "minus")
    await parts.pause()
    assert "it is waiting" in str(parts.app.screen.query_one(".hint").render())
    await parts.press("escape")


async def test_nothing_is_put_into_itself(parts):
    await to(parts, "pallet")
    await parts.press("a", "plus", *"pallet")
    await parts.pause()
    assert parts.app.screen._choices == []
    await parts.press("escape")


async def test_split_and_merge(parts):
    await to(parts, "valves")
    await parts.press("a", "x", *"12", "enter")
    await parts.pause()
    assert "a whole number from 1 to 11" in str(parts.app.screen.query_one("#wrong").render())
    await parts.press("ctrl+u", *"4", "enter")
    await parts.settled()
    assert parts.bench.group("valves").qty == 8
    assert parts.app.screen.lines.count == 7
    new = next(g for g in parts.bench.desk.state.groups() if g.qty == 4)
    await parts.press("a", "equals_sign")
    await parts.pause()
    assert "space marks them" in str(parts.app.screen.query_one(".hint").render())
    await parts.press("escape")
    await to(parts, "valves")
    await parts.press("space")
    parts.app.screen.lines.cursor = parts.app.screen._ids.index(new.id)
    await parts.pause()
    await parts.press("space")
    assert "2 marked" in parts.app.screen.query_one("#state").text
    await parts.press("a", "equals_sign")
    await parts.pause()
    await parts.press("1")
    await parts.settled()
    assert parts.bench.group("valves").qty == 12
    assert not parts.bench.desk.state.has_group(new.id)
    assert not parts.app.marked


async def test_a_mark_is_taken_away_again(parts):
    await to(parts, "block")
    await parts.press("space", "space")
    assert not parts.app.marked


async def test_one_piece_cannot_be_split(parts):
    await to(parts, "block")
    await parts.press("a", "x")
    await parts.pause()
    assert "one piece" in str(parts.app.screen.query_one(".hint").render())


async def test_carry_from_the_list(parts):
    await to(parts, "pump")
    await parts.press("c")
    await parts.settled()
    assert parts.app.current_mode == "plan"
    assert parts.app.screen.hand.hand.key == parts.bench.ids["pump"]
    await parts.press("escape")


@pytest.mark.parametrize("width", [80, 100, 120, 200])
async def test_name_place_mass_and_code_are_whole_at_any_usual_width(bench, settled, frame, width):
    app = bench.app()
    async with app.run_test(size=(width, 24)) as pilot:
        await pilot.press("2")
        await settled(pilot)
        row = next(line for line in frame(app).splitlines() if "pallet of castings" in line)
        code = bench.code("pallet")
        assert "bay" in row and "310 kg" in row and code in row
        assert "…" not in row
        wanted = {80: (), 100: ("becomes",), 120: ("becomes", "from"), 200: ("becomes", "from")}[width]
        head = next(line for line in frame(app).splitlines() if "part  " in line)
        assert all(title in head for title in wanted)


def scanner(app, code):
    """Type as a keyboard scanner does: no pause, enter behind it."""
    for character in code:
        app.post_message(events.Key(_character_to_key(character), character))
    app.post_message(events.Key("enter", None))


async def test_a_scan_in_the_search_line_is_a_scan(parts):
    await parts.press("slash", *"valve")
    scanner(parts.app, parts.bench.code("pump"))
    await parts.settled()
    assert isinstance(parts.app.screen, ScanLine)
    assert parts.app.scanned.held == parts.bench.ids["pump"]
    await parts.press("escape")
    await parts.settled()
    assert parts.app.screen.search.value == "valve", "the search is as it was"


async def test_a_code_typed_by_fingers_is_searched_for(parts):
    code = parts.bench.code("pump")
    await parts.press("slash")
    for letter in code:
        await asyncio.sleep(0.08)
        await parts.press(letter)
    await asyncio.sleep(0.08)
    await parts.press("enter")
    await parts.settled()
    assert not isinstance(parts.app.screen, ScanLine)


async def test_a_misread_code_is_no_scan(parts):
    code = parts.bench.code("pump")
    wrong = code[:-1] + ("A" if code[-1] != "A" else "B")
    await parts.press("slash")
    scanner(parts.app, wrong)
    await parts.settled()
    assert not isinstance(parts.app.screen, ScanLine)


async def test_a_condition_narrows_and_says_what_it_could_not_compare(parts):
    """'mass > 20 kg' beside words; what is not weighed is counted, an unknown column told."""
    screen, desk = parts.app.screen, parts.bench.desk
    drums = {"drum big": Mass(90.0), "drum small": Mass(3.0), "drum odd": None}
    heavy, light, unknown = (desk.take(name, mass=mass).id for name, mass in drums.items())
    parts.app.changed()
    await parts.press("slash")
    screen.search.value = "drum mass > 20 kg"
    await parts.settled()
    assert screen._ids == [heavy]
    assert "not weighed, so not compared" in screen.head_note()
    screen.search.value = "drum mass = unknown"
    await parts.settled()
    assert screen._ids == [unknown]
    screen.search.value = "drum mass >"
    await parts.settled()
    assert set(screen._ids) == {heavy, light, unknown}, "not typed to its end yet"
    screen.search.value = "drum mass > heavy"
    await parts.settled()
    assert "heavy" in screen.head_note() and set(screen._ids) == {heavy, light, unknown}


async def test_after_a_find_the_list_hears_the_keys(parts):
    """'/' crank enter, then 2: what is pressed next is a key, no letter of the old search."""
    await parts.press("slash", *"block", "enter")
    await parts.settled()
    await parts.press("2")
    await parts.settled()
    screen = parts.app.screen
    assert screen.shown == "Parts" and screen.focused is screen.lines
    await parts.press("3")
    await parts.settled()
    assert parts.app.screen.shown == "Audit" and screen.search.value == "block"
