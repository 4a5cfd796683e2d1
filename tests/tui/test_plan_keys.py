"""Every key of the Plan."""

import pytest

from shopbins.geometry.shapes import Box, contains
from shopbins.ledger.model import InZone
from shopbins.records.group import AWAY
from shopbins.tui.dialogs.act import ActMenu
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.widgets.detail import Told


@pytest.fixture
async def plan(bench, opened):
    async with opened(bench) as pilot:
        pilot.plan = pilot.app.screen.plan
        yield pilot


def told(pilot) -> str:
    return "\n".join(line for line, _ in pilot.app.screen.query_one(Told)._lines(60))


async def test_arrows_move_the_cursor_by_a_cell(plan):
    col, row = plan.plan.view.cell(plan.plan.at)
    for key, to in (("left", (-1, 0)), ("up", (-1, -1)), ("right", (0, -1)), ("down", (0, 0))):
        await plan.press(key)
        assert plan.plan.view.cell(plan.plan.at) == (col + to[0], row + to[1])


async def test_shifted_arrows_move_it_far(plan):
    col, row = plan.plan.view.cell(plan.plan.at)
    await plan.press("shift+left", "shift+up")
    assert plan.plan.view.cell(plan.plan.at) == (col - 8, row - 4)
    await plan.press("shift+right", "shift+down")
    assert plan.plan.view.cell(plan.plan.at) == (col, row)


async def test_tab_and_n_jump_from_thing_to_thing_and_back(plan):
    seen = []
    for _ in range(8):
        await plan.press("tab")
        seen.append(plan.app.screen.current_group())
    ids = {plan.bench.ids[w] for w in ("block", "pallet", "studs", "head")}
    assert ids <= set(seen)
    at = plan.plan.at
    await plan.press("tab", "shift+tab")
    assert plan.plan.at == at
    await plan.press("backspace", "tab")
    assert plan.plan.at == at


async def test_what_is_under_the_cursor_is_explained(plan):
    plan.plan.point((4600, 3900))
    await plan.pause()
    text = told(plan)
    assert "engine block" in text and "640 kg" in text and "1600 x 900 x 1000 mm" in text
    plan.plan.point((400, 3000))
    await plan.pause()
    assert "keep clear" in told(plan) and "switchgear" in told(plan)
    plan.plan.point((3500, 1000))
    await plan.pause()
    assert "main way · walkway" in told(plan) and "keep 900 mm free, at least 750 mm" in told(plan)
    plan.plan.point((6500, 5500))
    await plan.pause()
    text = told(plan)
    assert "rack a · shelf, 2 levels" in text and "/2: 1 thing" in text and "1 not weighed" in text
    plan.plan.point((8000, 2500))
    await plan.pause()
    assert "inner door" in told(plan) and "opens into hall" in told(plan)
    plan.plan.point((-5000, -5000))
    await plan.pause()
    assert "outside the rooms" in told(plan)


async def test_zoom_fit_and_centre(plan):
    before = plan.plan.view
    await plan.press("plus")
    assert plan.plan.view.mm_per_col < before.mm_per_col
    await plan.press("minus", "minus")
    assert plan.plan.view.mm_per_col > before.mm_per_col
    await plan.press("equals_sign", "equals_sign", "left", "left")
    plan.app.screen.action_centre()
    col, row = plan.plan.view.cell(plan.plan.at)
    assert abs(col - plan.plan.size.width // 2) <= 1 and abs(row - plan.plan.size.height // 2) <= 1
    await plan.press("0")
    assert plan.plan.view.mm_per_col == before.mm_per_col


async def test_room_by_room(plan):
    await plan.press("o")
    await plan.pause()
    assert 0 < plan.plan.at[0] < 8000
    close = plan.plan.view.mm_per_col
    await plan.press("o")
    await plan.pause()
    assert plan.plan.at[0] > 8200
    plan.app.screen.action_previous_room()
    await plan.pause()
    assert plan.plan.view.mm_per_col == close


async def test_go_to_a_zone_by_name(plan):
    await plan.press("g")
    await plan.pause()
    assert isinstance(plan.app.screen, Pick)
    await plan.press(*"rack", "enter")
    await plan.settled()
    assert plan.plan.at == (6200, 5600)


async def test_the_list_of_what_lies_here_and_back(plan):
    plan.plan.point((6500, 5700))
    await plan.pause()
    await plan.press("v")
    screen = plan.app.screen
    assert screen.focused is screen.lying
    assert screen.lying.count == 2
    await plan.press("end")
    chosen = screen.current_group()
    assert chosen in (plan.bench.ids["valves"], plan.bench.ids["studs"])
    await plan.press("escape")
    assert screen.focused is plan.plan
    await plan.press("v", "v")
    assert screen.focused is screen.worst, "then the list of what is worst"
    await plan.press("v")
    assert screen.focused is plan.plan


async def test_enter_on_a_shelf_lists_it_and_enter_there_picks_up(plan):
    plan.plan.point((7000, 5800))
    await plan.pause()
    await plan.press("enter")
    screen = plan.app.screen
    assert screen.focused is screen.lying
    await plan.press("enter")
    await plan.pause()
    assert screen.hand.hand is not None
    await plan.press("escape")


async def test_unplaced_things_are_listed_and_carried(plan):
    await plan.press("w")
    await plan.pause()
    assert isinstance(plan.app.screen, Pick)
    await plan.press("enter")
    await plan.settled()
    hand = plan.app.screen.hand.hand
    assert hand.key == plan.bench.ids["pump"]
    await plan.press("escape")


async def test_best_place_of_the_thing_at_hand(plan):
    plan.app.screen.go_to_group(plan.bench.ids["studs"])
    await plan.pause()
    await plan.press("b")
    await plan.settled()
    panel = plan.app.screen.hand
    assert panel.hand.key == plan.bench.ids["studs"]
    assert panel._best and panel._reason
    await plan.press("escape")


async def test_history_of_the_thing_under_the_cursor(plan):
    plan.app.screen.go_to_group(plan.bench.ids["block"])
    await plan.pause()
    await plan.press("h")
    await plan.pause()
    assert isinstance(plan.app.screen, Page)
    assert any("Ida: put down engine block" in line for line in plan.app.screen._lines)
    await plan.press("escape")


async def test_mouse_points_and_zooms(plan):
    at = plan.plan.at
    await plan.click("#plan", offset=(5, 12))
    assert plan.plan.at != at
    scale = plan.plan.view.mm_per_col
    plan.plan._look(plan.plan.view.zoomed(True, plan.plan.at), None)
    assert plan.plan.view.mm_per_col < scale


async def test_double_click_picks_up(plan):
    col, row = plan.plan.view.cell((4600, 3900))
    await plan.click("#plan", offset=(col, row), times=2)
    await plan.pause()
    assert plan.app.screen.hand.hand.key == plan.bench.ids["block"]
    await plan.press("escape")


async def test_a_group_nowhere_says_so(plan):
    plan.app.screen.go_to_group(plan.bench.ids["pump"])
    await plan.pause()
    assert "waiting" in plan.app.said_line().plain
    plan.bench.desk.do(AWAY(plan.bench.ids["pump"], to="Anna", until="2030-01-01"))
    plan.app.screen.go_to_group(plan.bench.ids["pump"])
    assert "away: Anna until 2030-01-01" in plan.app.said_line().plain


async def test_a_group_in_another_is_shown_where_that_lies(plan):
    plan.bench.desk.put_into(plan.bench.ids["pump"], plan.bench.ids["pallet"])
    plan.app.changed()
    plan.app.screen.go_to_group(plan.bench.ids["pump"])
    await plan.pause()
    assert plan.plan.at == pytest.approx((9750, 1150), abs=1)
    assert isinstance(plan.bench.group("pallet").where, InZone)


async def test_tab_visits_everything_and_returns_to_the_first(plan):
    """Two places with the same middle do not hold it up: it goes by what it stands on, not by the point."""
    stops = plan.app.screen._stops()
    seen = []
    for _ in range(len(stops) + 1):
        await plan.press("tab")
        seen.append(plan.app.screen._stop)
    assert set(seen) == {key for _, key, _ in stops}
    assert seen[0] == seen[-1] and len(set(seen[:-1])) == len(stops)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_n_goes_from_trouble_to_trouble_from_any_screen(bench, settled, size):
    """Worst first; what, limit and fix are told; the part is at hand; after the last the first again."""
    bench.desk.put(bench.ids["block"], "hall", x_mm=4600, y_mm=2600, turn_deg=0, override="for now")
    bench.desk.put(bench.ids["pallet"], "hall", x_mm=5000, y_mm=1500, override="agreed")
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await pilot.press("2", "n")
        await settled(pilot)
        screen = app.screen
        spots = [t for t in screen._troubles if t.at_mm is not None]
        assert app.current_mode == "plan" and len(spots) >= 1
        for trouble in [*spots[1:], spots[0]]:
            assert screen.plan.at == pytest.approx(spots[0].at_mm) or trouble is spots[0]
            told = "\n".join(line for line, _ in screen.query_one(Told)._lines(300))
            assert "Fix:" in told
            about_a_part = any(s.startswith("group:") for f in spots[0].findings for s in f.subjects)
            assert (screen.current_group() is not None) == about_a_part
            await pilot.press("n")
            spots.append(spots.pop(0))
        assert screen.plan.shows_whole, "it stays the whole shop"


async def test_the_menu_of_a_part_is_the_same_everywhere(bench, settled):
    """`a`: on the Plan as on the Parts, letter first, greyed with the reason."""
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        menus = []
        for key in ("1", "2"):
            await pilot.press(key)
            await settled(pilot)
            if key == "1":
                app.screen.go_to_group(bench.ids["head"])
            else:
                app.screen.lines.cursor = app.screen._ids.index(bench.ids["head"])
            await settled(pilot)
            await pilot.press("a")
            await settled(pilot)
            assert isinstance(app.screen, ActMenu)
            menus.append([(i.letter, i.says, i.why_not) for i in app.screen._items])
            await pilot.press("escape")
            await settled(pilot)
        assert menus[0] == menus[1]
        assert ("x", "split", "it is one piece") in menus[0]
        assert [letter for letter, _, _ in menus[0]][-4:] == ["+", "-", "0", "="]


async def test_the_menu_of_a_place(plan):
    plan.plan.point((6500, 5700))
    await plan.pause()
    plan.app.screen._at_hand = None
    await plan.press("a", "i")
    await plan.pause()
    assert plan.app.screen.focused is not None


async def test_the_menu_of_the_screen_names_everything(plan):
    await plan.press("f10")
    await plan.pause()
    said = {i.says for i in plan.app.screen._items}
    assert {"best place", "roll-call", "quit", "centre"} <= said


async def test_a_part_somewhere_in_a_room_is_said_to_be_so(plan):
    """Without a size nobody knows its spot: it is shown on top of nothing, its room said first."""
    desk = plan.bench.desk
    lost = desk.take("governor")
    desk.put(lost.id, "hall")
    desk.put(plan.bench.ids["block"], "hall", x_mm=4000, y_mm=3000)
    plan.app.changed()
    await plan.settled()
    plan.app.show_group(lost.id)
    await plan.settled()
    assert "somewhere in" in told(plan) and "spot not recorded" in told(plan).splitlines()[1]
    assert plan.app.said_line() is not None and "spot not recorded" in plan.app.said_line().plain
    scene = desk.scene()
    at = plan.plan.at
    assert not [b for b in scene.near("hall", Box(*at, *at)) if contains(b.outline, at)]


async def test_where_a_part_lies_is_told_first(plan):
    plan.app.show_group(plan.bench.ids["valves"])
    await plan.settled()
    assert told(plan).splitlines()[1].startswith("rack a/2")


async def test_a_digit_is_no_name(plan):
    from shopbins.rules.finding import Finding
    from shopbins.tui.dialogs.stopbox import StopBox

    found = Finding("way", "stop", ("walkway:a",), "the way out is shut")
    heard = []
    plan.app.push_screen(StopBox("STOP", found, name_needed=True), heard.append)
    await plan.pause()
    await plan.press("1", "enter")
    await plan.pause()
    assert heard == []
    assert "is no name" in str(plan.app.screen.query_one("#wanted").render())
    await plan.press("backspace", *"Anselm", "enter")
    await plan.pause()
    assert heard == ["=for now: Anselm"]


async def test_enter_at_a_trouble_opens_what_can_be_done(plan):
    """The list says 'enter: what to do', and so it is after n, as on the Audit."""
    await plan.press("n", "enter")
    await plan.pause()
    assert isinstance(plan.app.screen, ActMenu)
    assert "-carrying" not in plan.app.screen_stack[0].classes


async def test_the_digits_of_the_print_menu_do_not_hang_on_the_cursor(plan):
    seen = []
    for at in ((4600, 3900), (100, 100)):
        plan.plan.point(at)
        await plan.pause()
        await plan.press("l")
        await plan.pause()
        pick = plan.app.screen
        assert isinstance(pick, Pick)
        seen.append([choice.value for choice in pick._choices])
        await plan.press("escape")
        await plan.pause()
    assert seen[0] == seen[1]
    assert seen[0][4] == "blank"


async def test_what_is_done_every_evening_stands_first_in_the_menu(plan):
    plan.app.show_group(plan.bench.ids["head"])
    await plan.settled()
    await plan.press("a")
    await plan.pause()
    assert [item.letter for item in plan.app.screen._items[:4]] == ["p", "c", "d", "m"]


async def test_one_spot_has_one_answer(plan):
    """What stands at a door: the line, the menu and the list name the same, and say the way back."""
    from shopbins.geometry.shapes import centroid

    door = next(d for d in plan.bench.desk.shop.doors.values() if len(d.passage) > 2)
    plan.plan.point(centroid(door.jambs + door.jambs[:1]) if len(door.jambs) > 2 else door.jambs[0])
    await plan.pause()
    top = plan.app.screen._under[0]
    assert top.kind == "door"
    assert plan.app.screen.act_menu()[0].startswith(top.title)


async def test_the_list_of_what_lies_here_says_where_and_the_way_back(plan):
    from shopbins.tui.plan.screen import PlanScreen

    screen = plan.app.screen
    assert isinstance(screen, PlanScreen)
    plan.plan.point((3000, 2000))
    await plan.pause()
    await plan.press("enter")
    await plan.pause()
    assert "esc goes back" in plan.app.said_line().plain
    assert all(screen._row(n)[1] for n in range(len(screen._lying)))


async def test_the_menu_explains_the_line_the_cursor_is_on(plan):
    """Its words are short: what the one under the cursor does stands at the foot, in the table's sentence."""
    from shopbins.tui.keys.actions import ACTIONS

    plan.app.show_group(plan.bench.ids["valves"])
    await plan.settled()
    await plan.press("a")
    await plan.pause()
    menu, foot = plan.app.screen.query_one("Menu"), plan.app.screen.query_one("#more")
    says = {action.says for action in ACTIONS if action.act}
    for _ in range(6):
        letter, _, _, more = menu.lines[menu.cursor]
        assert more in says and f"{letter}  " in str(foot.render()) and more in str(foot.render())
        await plan.press("down")
        await plan.pause()
    await plan.press("end")
    await plan.pause()
    assert "not now" in str(foot.render()), "a greyed line says why"
