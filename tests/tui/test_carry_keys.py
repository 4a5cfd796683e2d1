"""Carrying: every step is judged before anything is written, and nothing is written until it is laid down."""

import asyncio
from dataclasses import replace

import pytest

from shopbins.ledger.model import InZone
from shopbins.records.group import AWAY
from shopbins.tui.dialogs.stopbox import FOR_NOW, StopBox, no_name


@pytest.fixture
async def hand(bench, opened):
    """The block in hand, at 120 x 40."""
    async with opened(bench) as pilot:
        pilot.panel = pilot.app.screen.hand
        pilot.app.screen.pick_up(bench.ids["block"])
        await pilot.pause()
        yield pilot


def held(pilot):
    return pilot.panel.hand


async def test_steps_of_100_then_10_then_1_mm_then_a_metre(hand):
    assert held(hand).at == pytest.approx((4600, 3900))
    await hand.press("right")
    assert held(hand).at == pytest.approx((4700, 3900))
    await hand.press("s", "up")
    assert held(hand).at == pytest.approx((4700, 3910))
    await hand.press("s", "left")
    assert held(hand).at == pytest.approx((4699, 3910))
    await hand.press("s", "down")
    assert held(hand).at == pytest.approx((4699, 2910))
    await hand.press("s")
    assert held(hand).step_mm == 100


async def test_shift_makes_a_tenth_of_a_step(hand):
    await hand.press("shift+right", "shift+up")
    assert held(hand).at == pytest.approx((4610, 3910))
    await hand.press("shift+left", "shift+down")
    assert held(hand).at == pytest.approx((4600, 3900))


async def test_turns_by_90_and_by_5_degrees(hand):
    await hand.press("t")
    assert held(hand).turn_deg == pytest.approx(115)
    await hand.press("t", "t", "t", "comma")
    assert held(hand).turn_deg == pytest.approx(30)
    await hand.press("full_stop", "full_stop")
    assert held(hand).turn_deg == pytest.approx(20)


async def test_findings_live_with_the_nearest_named(hand):
    """The main way lies 2050 to 2950 mm up; the block half over it narrows it, by its corner, as drawn."""
    seq = hand.bench.desk.seq
    for _ in range(9):
        await hand.press("down")
    text = "\n".join(line for line, _ in hand.panel.lines(60))
    assert "main way" in text and "mm" in text
    assert any(f.rule.startswith("walkway") for f in hand.panel.findings)
    assert hand.bench.desk.seq == seq, "nothing is written while carrying"
    for _ in range(9):
        await hand.press("up")
    assert not [f for f in hand.panel.findings if f.grade == "stop"]
    text = "\n".join(line for line, _ in hand.panel.lines(200))
    assert "main way: all 900 mm clear" in text and "to the wall" in text


async def test_escape_puts_it_back(hand):
    before = hand.bench.group("block").where
    await hand.press("right", "t", "escape")
    await hand.settled()
    assert hand.panel.hand is None
    assert hand.bench.group("block").where == before


async def test_enter_lays_it_down_and_undo_takes_it_back(hand):
    await hand.press("left", "left", "enter")
    await hand.settled()
    where = hand.bench.group("block").where
    assert (where.x_mm, where.y_mm, where.turn_deg) == pytest.approx((4400, 3900, 25))
    assert where.measured
    assert "put down" in hand.app.said_line().plain
    await hand.press("u")
    await hand.settled()
    assert hand.bench.group("block").where.x_mm == pytest.approx(4600)
    assert "undone" in hand.app.said_line().plain
    await hand.press("y")
    await hand.settled()
    assert hand.bench.group("block").where.x_mm == pytest.approx(4400)


async def _to_a_stop(hand):
    """Carry the block right across the main way."""
    for _ in range(14):
        await hand.press("down")
    assert any(f.grade == "stop" for f in hand.panel.findings)
    await hand.press("enter")
    await hand.pause()
    assert isinstance(hand.app.screen, StopBox)


async def test_a_serious_stop_is_accepted_only_by_name(hand, monkeypatch):
    """No digit accepts it; an empty name neither; who it was is on record, and it is for now."""
    monkeypatch.setattr("shopbins.rules.accepting.only_for_now", lambda shop, finding: True)
    seq = hand.bench.desk.seq
    await _to_a_stop(hand)
    await hand.press("enter")
    await hand.pause()
    assert hand.bench.desk.seq == seq and isinstance(hand.app.screen, StopBox)
    await hand.press(*"Ida B", "enter")
    await hand.settled()
    (doc,) = hand.bench.desk.state.docs("accepted").values()
    assert (doc["by"], doc["for_now"]) == ("Ida B", True)


async def test_a_scanned_code_accepts_nothing(hand):
    """A scanner types digits; the letter that begins a code opens the scan line over the box."""
    seq = hand.bench.desk.seq
    await _to_a_stop(hand)
    await hand.press(*"zqw00019", "enter")
    await hand.pause()
    assert hand.bench.desk.seq == seq


async def test_the_stop_box_goes_for_the_best_place(hand):
    await _to_a_stop(hand)
    await hand.press("v", "b")
    await hand.settled()
    assert hand.panel.hand is not None and hand.panel._best


async def test_undo_asks_where_it_would_bring_a_stop_back(hand):
    """A repair is taken back with the acceptance in the same event; a stop alone never refuses it."""
    desk, block = hand.bench.desk, hand.bench.ids["block"]
    await _to_a_stop(hand)
    await hand.press("1")
    await hand.settled()
    hand.bench.desk.put(block, "hall", x_mm=4600, y_mm=3900, turn_deg=25)
    hand.app.changed()
    await hand.settled()
    assert not desk.state.docs("accepted")
    await hand.press("u")
    await hand.settled()
    if isinstance(hand.app.screen, StopBox):
        await hand.press("3")
        await hand.settled()
    assert hand.bench.group("block").where.y_mm == pytest.approx(2500)
    assert desk.state.docs("accepted")


async def test_a_stop_asks_for_a_reason_by_one_key(hand):
    seq = hand.bench.desk.seq
    await _to_a_stop(hand)
    assert hand.bench.desk.seq == seq
    await hand.press("1")
    await hand.settled()
    assert hand.bench.group("block").where.y_mm == pytest.approx(2500)
    assert {doc["why"] for doc in hand.bench.desk.state.docs("accepted").values()} == {FOR_NOW}
    assert hand.panel.hand is None


async def test_a_stop_without_a_reason_leaves_it_in_hand(hand):
    await _to_a_stop(hand)
    await hand.press("escape")
    await hand.settled()
    assert hand.panel.hand is not None
    assert hand.bench.group("block").where.y_mm == pytest.approx(3900)
    assert hand.app.focused is hand.panel


async def test_best_places_one_by_one_each_with_its_reason(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["pump"])
        await pilot.press("b")
        await settled(pilot)
        panel = app.screen.hand
        first = panel.hand
        assert panel._reason and len(panel._best) > 1
        await pilot.press("b")
        assert panel.hand != first
        await pilot.press("backspace")
        assert (panel.hand.zone, panel.hand.level, panel.hand.at) == (first.zone, first.level, first.at)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(bench.group("pump").where, InZone)


async def test_lower_and_higher_over_a_shelf(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.plan.point((6500, 5600))
        app.screen.pick_up(bench.ids["pump"])
        panel = app.screen.hand
        places = []
        for key in ("pagedown", "pagedown", "pageup", "pageup", "pageup"):
            await pilot.press(key)
            places.append((panel.hand.zone, panel.hand.level))
        assert places == [("hall", ""), ("hall", ""), ("rack a", "1"), ("rack a", "2"), ("rack a", "2")]
        await pilot.press("x")
        assert not panel.hand.posed
        await pilot.press("enter")
        await settled(pilot)
        assert (bench.group("pump").where.zone, bench.group("pump").where.level) == ("rack a", "2")


async def test_to_a_zone_by_name(hand):
    await hand.press("g")
    await hand.pause()
    await hand.press(*"bay", "enter")
    await hand.pause()
    assert (held(hand).zone, held(hand).posed) == ("bay", False)


async def test_off_the_bench_is_the_floor(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["head"])
        panel = app.screen.hand
        assert panel.hand.zone == "bench 1"
        for _ in range(5):
            await pilot.press("down")
        assert panel.hand.zone == "hall"


async def test_window_keys_work_and_others_do_not(hand):
    before = hand.app.screen.plan.view
    await hand.press("plus")
    assert hand.app.screen.plan.view.mm_per_col < before.mm_per_col
    await hand.press("0", "w", "o", "d")
    await hand.pause()
    assert hand.app.screen is hand.panel.screen
    assert hand.panel.hand is not None


async def test_a_movable_tool_is_carried_and_judged(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.plan.point((8700, 4500))
        await pilot.press("c")
        panel = app.screen.hand
        assert panel.hand.kind == "thing"
        await pilot.press("right", "right", "down", "enter")
        await settled(pilot)
        place = bench.desk.state.things()["pillar drill"]
        assert (place.x_mm, place.y_mm) == pytest.approx((8900, 4400))


async def test_what_is_fixed_is_not_carried(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.plan.point((600, 4400))
        await pilot.press("c")
        assert app.screen.hand.hand is None


async def test_of_unknown_size_is_carried_and_not_judged(bench, settled):
    bench.desk.take("odd lump")
    lump = bench.desk.names.group("odd lump").id
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.plan.point((2000, 2000))
        app.screen.pick_up(lump)
        await pilot.press("left", "t")
        text = "\n".join(line for line, _ in app.screen.hand.lines(90))
        assert "not checked" in text
        await pilot.press("escape")


async def test_an_away_thing_is_not_carried(bench, settled):
    bench.desk.do(AWAY(bench.ids["pump"], to="Anna"))
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["pump"])
        assert app.screen.hand.hand is None
        assert "away" in app.said_line().plain


async def test_carried_so_close_that_a_step_shows_and_back_where_it_was_seen_from(bench, settled, frame):
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        plan = app.screen.plan
        whole = plan.window
        assert plan.view.mm_per_col > 100
        app.screen.pick_up(bench.ids["block"])
        await settled(pilot)
        assert plan.view.mm_per_col == 100
        assert "├───┤ 500 mm" in frame(app).splitlines()[0]
        before = plan.view.cell(app.screen.hand.hand.at)[0]
        await pilot.press("right")
        await settled(pilot)
        assert plan.view.cell(app.screen.hand.hand.at)[0] == before + 1
        await pilot.press("enter")
        await settled(pilot)
        assert plan.window == whole
        app.screen.pick_up(bench.ids["block"])
        await pilot.resize_terminal(100, 30)
        await settled(pilot)
        assert app.screen.hand.hand is not None, "a new size leaves it in hand"
        await pilot.press("escape")
        await settled(pilot)
        assert (plan.view.cols, plan.view.rows) == tuple(plan.size)


async def test_close_already_it_stays_so(bench, settled):
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        plan = app.screen.plan
        app.screen.go_to_group(bench.ids["block"])
        for _ in range(9):
            await pilot.press("plus")
        close = plan.view.mm_per_col
        assert close < 100
        await pilot.press("c", "right", "enter")
        await settled(pilot)
        assert plan.view.mm_per_col == close


async def test_held_still_the_way_out_is_judged_too(bench, settled):
    """Just inside the only door of the store: the way out is not judged at the step but after a rest."""
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["block"])
        panel = app.screen.hand
        panel.hold(replace(panel.hand, zone="store", level="", x_mm=8900, y_mm=2500, turn_deg=0, posed=True))
        assert not [f for f in panel.findings if f.rule == "way-out"]
        await pilot.pause(0.6)
        await settled(pilot)
        (found,) = [f for f in panel.findings if f.rule == "way-out"]
        assert found.grade == "stop" and found.limit == pytest.approx(711.2)
        assert found.text in " ".join(line for line, _ in panel.lines(1000))


async def test_a_plan_hidden_behind_its_list_keeps_its_scale(bench, settled):
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("v")
        await pilot.resize_terminal(39, 10)
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert app.screen.plan.view.mm_per_col < 1000
        await pilot.press("escape")
        await settled(pilot)
        assert app.screen.plan.window[1] is not None, "the whole is fitted again"
        assert (app.screen.plan.view.cols, app.screen.plan.view.rows) == tuple(app.screen.plan.size)


async def test_what_is_clear_is_told_whatever_else_there_is_to_tell(hand):
    """The figure that a step changes never makes way for a fix, a second stop or a note."""
    for _ in range(14):
        await hand.press("down")
    panel = hand.panel
    assert any(f.grade == "stop" for f in panel.findings) and any(f.grade == "note" for f in panel.findings)
    for height in (4, 5, 7, 12):
        told = [line for line, _ in panel.lines(76, height)]
        assert len(told) <= height
        assert any(line.startswith("clear: ") for line in told), (height, told)
        assert any(line.startswith("■ stop") for line in told)
    stop = next(f for f in panel.findings if f.grade == "stop")
    panel.findings = [replace(stop, text=f"{n}: {stop.text}") for n in range(4)]
    told = [line for line, _ in panel.lines(76, 5)]
    assert any(line.startswith("clear: ") for line in told) and told[-1].startswith("+ 3 more")


async def test_why_it_is_a_best_place_is_told_only_while_it_is_held_there(hand):
    await hand.press("b")
    await hand.settled()
    assert any(line.startswith("best of ") for line, _ in hand.panel.lines(100))
    await hand.press("g", *"bay", "enter")
    await hand.settled()
    assert not any(line.startswith("best of ") for line, _ in hand.panel.lines(100)), "taken there by name"


async def test_what_is_typed_on_accepts_no_stop(hand, monkeypatch):
    """Somebody types on, eyes on the part in the hand, while the box comes up: no digit of it is a reason."""
    monkeypatch.setattr("shopbins.tui.dialogs.stopbox.QUIET_S", 60.0)
    await _to_a_stop(hand)
    seq, box = hand.bench.desk.seq, hand.app.screen
    await hand.press(*"bracket, 14 kg", "enter")
    await hand.pause()
    assert (hand.bench.desk.seq, hand.app.screen) == (seq, box)
    assert "pause" in str(box.query_one("#wrong").render())
    monkeypatch.setattr("shopbins.tui.dialogs.stopbox.QUIET_S", 0.01)
    await asyncio.sleep(0.02)
    await hand.press("1")
    await hand.settled()
    assert hand.bench.desk.seq > seq


async def test_what_is_typed_on_is_no_name(hand, monkeypatch):
    monkeypatch.setattr("shopbins.rules.accepting.only_for_now", lambda shop, finding: True)
    monkeypatch.setattr("shopbins.tui.dialogs.stopbox.QUIET_S", 60.0)
    await _to_a_stop(hand)
    seq, box = hand.bench.desk.seq, hand.app.screen
    await hand.press(*"bracket", "enter")
    await hand.pause()
    assert (hand.bench.desk.seq, hand.app.screen) == (seq, box)
    await hand.press("escape")
    monkeypatch.setattr("shopbins.tui.dialogs.stopbox.QUIET_S", 0.01)
    await hand.settled()
    await hand.press("enter")
    await hand.settled()
    await asyncio.sleep(0.1)
    await hand.pause()
    assert hand.app.focused is not None and hand.app.focused.value == "", "now it can be typed"
    await hand.press(*"Ida", "enter")
    await hand.settled()
    assert hand.bench.desk.seq > seq


@pytest.mark.parametrize("said", ["ZMB00038", "zqw00019", "Bench 1", "engine block", "rack a", "Ida2", "x"])
def test_a_code_a_part_or_a_place_is_nobodys_name(bench, said):
    assert no_name(bench.desk, said)
    assert not no_name(bench.desk, "Zoë Abel-Smith")
