"""Roll-call from the screen: scanned as fast as a wedge types, faults put right by + only, one each."""

import pytest

from shopbins.ledger.model import InZone
from shopbins.tui.dialogs.rollcall import RollCallLine


@pytest.fixture
async def shop(bench, opened, tmp_path):
    bench.desk.print_tags(tmp_path / "zones.pdf", "zones")
    bench.place = bench.desk.state.place_code
    async with opened(bench, size=(100, 30)) as pilot:
        yield pilot


async def scan(pilot, code):
    """Type as a wedge does: every key at once, enter last."""
    from textual import events

    for letter in code:
        pilot.app.post_message(events.Key(letter, letter))
    pilot.app.post_message(events.Key("enter", "\r"))
    await pilot.settled()


def kinds(pilot):
    assert isinstance(pilot.app.screen, RollCallLine)
    return [row.kind for row in pilot.app.screen._rows]


def said(pilot):
    return str(pilot.app.screen.query_one("#said").render())


async def test_a_shelf_is_called_and_each_fault_put_right_by_one_key(shop):
    """On record: the studs on rack a/1. There: the pump (nowhere on record) and the valves of rack a/2."""
    desk = shop.bench.desk
    await shop.press("f10", "k")
    await shop.settled()
    assert "scan the label of the place first" in str(shop.app.screen.query_one("#place").render())
    await scan(shop, shop.bench.place("rack a/1"))
    assert kinds(shop) == ["missing"]
    await scan(shop, shop.bench.code("pump"))
    await scan(shop, shop.bench.code("valves"))
    assert kinds(shop) == ["misplaced", "unexpected", "missing"]
    seq = desk.seq
    for n in (1, 2, 3):
        shop.app.screen.query_one("#rows").cursor = 0
        await shop.press("plus")
        await shop.settled()
        assert desk.seq == seq + n
    assert kinds(shop) == ["present", "present"]
    assert shop.bench.group("studs").where is None
    for word in ("pump", "valves"):
        where = shop.bench.group(word).where
        assert isinstance(where, InZone) and (where.zone, where.level) == ("rack a", "1")


async def test_it_begins_with_the_place_set_as_here(shop):
    from shopbins.desk.scan import ScanState

    shop.app.scanned = ScanState(("bench 1", ""))
    await shop.press("f10", "k")
    await shop.settled()
    assert "bench 1: 0 read, 1 on record, none read yet" in str(shop.app.screen.query_one("#place").render())
    await scan(shop, shop.bench.code("head"))
    assert kinds(shop) == ["present"] and "as recorded" in said(shop)


async def test_a_group_before_any_place_and_a_misread_code_change_nothing(shop):
    seq = shop.bench.desk.seq
    await shop.press("f10", "k")
    await shop.settled()
    await scan(shop, shop.bench.code("head"))
    assert "place first" in said(shop)
    await scan(shop, shop.bench.place("bench 1"))
    await scan(shop, shop.bench.code("head")[:-1] + "0")
    assert "wrong or two are swapped" in said(shop)
    await shop.press("escape")
    await shop.settled()
    assert shop.bench.desk.seq == seq and not isinstance(shop.app.screen, RollCallLine)


async def test_a_stop_is_let_through_by_a_digit_but_not_by_the_next_scan(shop, digit):
    """The next code, as a maker's on a box, begins with a digit."""
    from shopbins.ledger.model import Mass, Size

    heavy = shop.bench.desk.take("flywheel", size=Size(400, 400, 100), mass=Mass(160))
    await shop.press("f10", "k")
    await shop.settled()
    await scan(shop, shop.bench.place("rack a/2"))
    await scan(shop, heavy.code)
    shop.app.screen.query_one("#rows").cursor = 0
    seq = shop.bench.desk.seq
    await shop.press("plus")
    await shop.settled()
    assert "stop" in said(shop) and shop.bench.desk.seq == seq
    await digit(shop, scanned=True)
    assert shop.bench.desk.seq == seq and "> 1" in str(shop.app.screen.query_one("#code").render())
    await shop.press("backspace")
    await digit(shop, scanned=False)
    assert shop.bench.desk.state.group(heavy.id).where.level == "2"


async def test_a_bump_of_enter_takes_nothing_off_the_record(shop, frame):
    """Before anything was read nothing is missing, and what lies there stays on record."""
    desk = shop.bench.desk
    shop.app.call_roll("bench 1")
    await shop.settled()
    shown = frame(shop.app)
    assert "not read" in shown and "missing" not in shown
    seq, before = desk.seq, shop.bench.group("head").where
    await shop.press("enter", "enter")
    await shop.settled()
    assert desk.seq == seq and shop.bench.group("head").where == before
    assert "nothing was read" in said(shop)
    await scan(shop, shop.bench.code("pump"))
    assert "missing" in frame(shop.app)
    await shop.press("enter")
    await shop.settled()
    assert desk.seq == seq


@pytest.mark.parametrize("here", [False, True])
async def test_the_line_the_code_goes_into_is_there_before_any_key(bench, opened, frame, here):
    async with opened(bench, "2", size=(80, 24)) as pilot:
        if here:
            pilot.app.call_roll("rack a")
        else:
            await pilot.press("f10", "k")
        await pilot.settled()
        shown = frame(pilot.app)
        assert "> ▏" in shown and "ends" in shown
