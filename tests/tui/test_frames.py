"""What stands on the screen, compared to the letter with frames kept in frames/ and looked at by people.

SHOPBINS_FRAMES=write keeps them anew.
"""

from __future__ import annotations

import pytest

from shopbins.tui.dialogs.catchup import CatchUp

SIZES = [(80, 24), (120, 40), (200, 60)]


@pytest.fixture(params=SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
async def look(bench, settled, compare, request, monkeypatch):
    """The app at one of the three sizes; `look.same(name)` compares what it shows."""
    monkeypatch.setattr(CatchUp, "left_at", 0)
    app = bench.app()
    size = request.param
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        pilot.bench = bench

        async def same(name):
            await settled(pilot)
            compare(app, f"{name}-{size[0]}x{size[1]}")

        pilot.same = same
        yield pilot


async def test_plan(look):
    """The Plan: walls, doors with swings, walkway, zones with fullness, the block as its turned outline."""
    await look.same("plan")


async def test_plan_at_a_thing(look):
    """Tab has jumped to the engine block: it is lit, explained, and what lies with it is listed."""
    look.app.screen.go_to_group(look.bench.ids["block"])
    await look.same("plan-thing")


async def test_plan_room(look):
    """One room as large as it fits: names on things, the shelf's fullness."""
    await look.press("o")
    await look.same("plan-room")


async def test_carry_with_a_stop(look):
    """The block carried into the main way: drawn in hand, marked where it pinches, the stop named."""
    look.app.screen.pick_up(look.bench.ids["block"])
    await look.press(*["down"] * 12)
    await look.same("carry-stop")


async def test_stop_asks_for_a_reason(look):
    """Laying it there all the same: the stop with source and remedy, a reason by digit."""
    look.app.screen.pick_up(look.bench.ids["block"])
    await look.press(*["down"] * 12, "enter")
    await look.same("stop-reason")


async def test_unplaced(look):
    """What waits to be laid down."""
    await look.press("w")
    await look.same("unplaced")


async def test_parts(look):
    """Every group with its place; the row introduced in a line as a rebuilder would."""
    await look.press("2")
    await look.same("parts")


async def test_parts_search(look):
    """Two letters swapped, found all the same."""
    await look.press("slash", *"inlte")
    await look.same("parts-search")


async def test_audit(look):
    """Findings worst first, the row's detail with limit, source and remedy."""
    look.bench.desk.put(look.bench.ids["block"], "hall", x_mm=4600, y_mm=2700, override="for now")
    look.app.changed()
    await look.press("3")
    await look.same("audit")


async def test_finding_on_the_plan(look):
    """Enter on a finding: its spot close up, marked, explained, its thing at hand."""
    look.bench.desk.put(look.bench.ids["block"], "hall", x_mm=4600, y_mm=2700, override="for now")
    look.app.changed()
    await look.press("3", "v")
    await look.same("audit-stops")
    await look.press("enter")
    await look.same("finding")


async def test_entry_line(look):
    """What came off, how it is understood, what was recorded."""
    await look.press("e", *"rocker shafts, head 1, 2 off", "enter", *"push rods, bag, 12")
    await look.same("entry")


async def test_catch_up(look):
    """What lies in bench 1."""
    await look.press("k", *"old hose", "enter")
    await look.same("catch-up")


async def test_scan_line(look):
    """A zone, then a group, each in one large word."""
    code = look.bench.code("pump")
    await look.press(*code, "enter")
    await look.same("scan")


async def test_help(look):
    """Where one is, and every key."""
    await look.press("question_mark")
    await look.same("help")


async def test_tags(look):
    """Which tags to print."""
    await look.press("t")
    await look.same("tags")


@pytest.mark.parametrize("size", [(20, 5), (39, 24), (80, 11)], ids=lambda s: f"{s[0]}x{s[1]}")
async def test_too_small(bench, settled, compare, size):
    """One clear line where there is no room."""
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        compare(app, f"too-small-{size[0]}x{size[1]}")
