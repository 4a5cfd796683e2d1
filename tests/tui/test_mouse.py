"""The mouse does what the keys do: what is dragged is carried and laid down as by keys."""

import pytest
from textual import events

from shopbins.tui.dialogs.stopbox import StopBox


@pytest.fixture
async def mouse(bench, opened):
    async with opened(bench) as pilot:
        pilot.plan = pilot.app.screen.plan
        yield pilot


def cell(pilot, point):
    return pilot.plan.view.cell(point)


async def press(pilot, point, button=1):
    await pilot._post_mouse_events([events.MouseDown], pilot.plan, offset=cell(pilot, point), button=button)


async def drag(pilot, point):
    await pilot._post_mouse_events([events.MouseMove], pilot.plan, offset=cell(pilot, point), button=1)


async def let_go(pilot, point):
    await pilot._post_mouse_events([events.MouseUp], pilot.plan, offset=cell(pilot, point), button=1)
    await pilot.settled()


async def test_a_thing_dragged_is_carried_and_let_go_it_is_laid_down_in_one_event(mouse):
    seq = mouse.bench.desk.seq
    scale = mouse.plan.view.mm_per_col
    await press(mouse, (4600, 3900))
    await drag(mouse, (4400, 3900))
    await drag(mouse, (3800, 3900))
    await mouse.pause()
    held = mouse.app.screen.hand.hand
    assert held.key == mouse.bench.ids["block"]
    assert mouse.plan.view.mm_per_col == scale, "the thing stays under the mouse"
    assert mouse.bench.desk.seq == seq, "nothing is written while it is dragged"
    await let_go(mouse, (3800, 3900))
    where = mouse.bench.group("block").where
    assert mouse.bench.desk.seq == seq + 1
    assert where.x_mm == pytest.approx(3800, abs=scale * 1.5)
    assert where.y_mm == pytest.approx(3900, abs=1)
    assert where.turn_deg == pytest.approx(25)
    assert mouse.app.screen.hand.hand is None


async def test_dropped_into_the_way_the_same_question_is_asked(mouse):
    """The main way lies 2050 to 2950 mm up, as in the carrying test by keys."""
    seq = mouse.bench.desk.seq
    await press(mouse, (4600, 3900))
    await drag(mouse, (4600, 2700))
    await let_go(mouse, (4600, 2700))
    assert isinstance(mouse.app.screen, StopBox)
    assert mouse.bench.desk.seq == seq
    await mouse.press("escape")
    await mouse.settled()
    assert mouse.app.screen.hand.hand is not None, "it stays in hand"
    await press(mouse, (4600, 2700), button=3)
    await mouse.settled()
    assert mouse.app.screen.hand.hand is None
    assert mouse.bench.group("block").where.y_mm == pytest.approx(3900)


async def test_escape_while_dragging_puts_it_back(mouse):
    seq = mouse.bench.desk.seq
    await press(mouse, (4600, 3900))
    await drag(mouse, (5200, 3900))
    await mouse.press("escape")
    await mouse.settled()
    await let_go(mouse, (5200, 3900))
    assert mouse.app.screen.hand.hand is None
    assert mouse.bench.desk.seq == seq


async def test_where_nothing_lies_the_window_moves(mouse):
    before = mouse.plan.view
    await press(mouse, (6800, 1200))
    await drag(mouse, (6000, 1200))
    await mouse.pause()
    await let_go(mouse, (6800, 1200))
    assert mouse.app.screen.hand.hand is None
    assert mouse.plan.view.left_mm > before.left_mm
    assert mouse.plan.view.mm_per_col == before.mm_per_col


async def test_what_is_carried_by_keys_comes_to_a_click_and_a_second_one_lays_it_down(mouse):
    mouse.app.screen.pick_up(mouse.bench.ids["block"])
    await mouse.settled()
    await mouse.click(mouse.plan, offset=cell(mouse, (3600, 3900)))
    await mouse.settled()
    assert mouse.app.screen.hand.hand.x_mm == pytest.approx(3600, abs=mouse.plan.view.mm_per_col)
    await mouse.click(mouse.plan, offset=cell(mouse, (3600, 3900)), times=2)
    await mouse.settled()
    assert mouse.app.screen.hand.hand is None
    assert mouse.bench.group("block").where.x_mm == pytest.approx(3600, abs=200)


async def test_the_wheel_lifts_what_is_carried_onto_the_bench(mouse):
    mouse.app.screen.pick_up(mouse.bench.ids["pump"])
    mouse.app.screen.hand.hold(mouse.app.screen.hand.hand.moved(mouse.bench.desk.scene(), 0, 0))
    await mouse.settled()
    hand = mouse.app.screen.hand
    x, y = 1400 - hand.hand.x_mm, 5550 - hand.hand.y_mm
    hand.hold(hand.hand.moved(mouse.bench.desk.scene(), x, y))
    await mouse.settled()
    assert hand.hand.zone == "hall"
    await mouse._post_mouse_events([events.MouseScrollUp], mouse.plan, offset=(5, 5))
    await mouse.settled()
    assert hand.hand.zone == "bench 1"
    await mouse._post_mouse_events([events.MouseScrollDown], mouse.plan, offset=(5, 5))
    await mouse.settled()
    assert hand.hand.zone == "hall"
