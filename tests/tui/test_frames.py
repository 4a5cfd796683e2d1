"""What stands on the screen, compared to the letter with frames kept in frames/ and looked at by people.

SHOPBINS_FRAMES=write keeps them anew.
"""

from __future__ import annotations

from datetime import date

import pytest

from shopbins.records import milestone, shortage, work
from shopbins.records.connection import CONNECT
from shopbins.records.fitting import FIT
from shopbins.records.group import CHANGE
from shopbins.records.how import HOW
from shopbins.records.relation import BEFORE
from shopbins.tui.dialogs.catchup import CatchUp

SIZES = [(80, 24), (120, 40), (200, 60)]


@pytest.fixture(params=SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
async def look(bench, opened, compare, request, monkeypatch):
    """The app at one of the three sizes; `look.same(name)` compares what it shows."""
    monkeypatch.setattr(CatchUp, "left_at", 0)
    size = request.param
    async with opened(bench, size=size) as pilot:

        async def same(name):
            await pilot.settled()
            compare(pilot.app, f"{name}-{size[0]}x{size[1]}")

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
    await look.press("3", "f")
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


def engine(look):
    """Say what came off before what on the engine, what is to be done, and what is lacking."""
    desk, ids = look.bench.desk, look.bench.ids
    desk.do(BEFORE(ids["valves"], firsts=[ids["head"]]))
    desk.do(BEFORE(ids["head"], firsts=[ids["pump"]], why="it hides the last nut"))
    desk.do(CHANGE(ids["pump"], cautions=("sharp", "contaminated")))
    desk.do(HOW(ids["pump"], left_hand=True, shims=[(2, 0.05, "front")]))
    desk.do(work.LIST(ids["head"], points=["clean", "inspect for cracks"]))
    desk.do(milestone.SET(name="head on", needs=[ids["head"]], by="2026-06-01"))
    desk.do(shortage.ADD(name="head gasket", positions=[ids["head"]], days=(10, 20), ask_of="Hansen"))
    desk.do(shortage.ADD(name="impeller", positions=[ids["pump"]], days=(3, 3)))
    feed = {"a": "lift pump outlet", "b": "filter inlet", "machine": "engine"}
    desk.do(CONNECT(name="fuel feed", kind="hose", **feed))
    look.app.today = lambda: date(2026, 5, 20)
    look.app.changed()


async def test_refit(look):
    """What can go back now, where it lies, what to heed."""
    engine(look)
    desk = look.bench.desk
    desk.do(shortage.STRIKE("impeller", reason="the old one will do"))
    look.app.changed()
    await look.press("5")
    await look.same("refit")


async def test_refit_order(look):
    """Everything to go back in order, and what it waits for."""
    engine(look)
    await look.press("5", "v", "down")
    await look.same("refit-order")


async def test_refit_shortages(look):
    """What is lacking, in sentences, the one that is late first."""
    engine(look)
    await look.press("5", "v", "v")
    await look.same("refit-shortages")


async def test_refit_count(look):
    """What is missing and left over, by name."""
    engine(look)
    look.bench.desk.do(FIT(look.bench.ids["pump"], anyway="tried and found good"))
    await look.press("5", "v", "v", "v")
    await look.same("refit-count")


async def test_refit_milestones(look):
    """What holds a milestone up."""
    engine(look)
    await look.press("5", "v", "v", "v", "v")
    await look.same("refit-milestones")


async def test_reach(look):
    """What must come off to get at the valves, in order."""
    engine(look)
    await look.press("5", "f10", "g", *"inlet", "enter")
    await look.same("reach")


async def test_off_first(look):
    """What had to come off before the valves: the likeliest offered, codes to be scanned."""
    await look.press("2", "end", "a", "u")
    await look.same("off-first")


async def test_shortage_line(look):
    """A shortage typed in one line, and how it is understood."""
    engine(look)
    await look.press("5", "v", "v", "plus", *"big-end shells, 3 pairs, 10-20 days, of Hansen")
    await look.same("shortage-line")


async def test_inspection(look):
    """A measured value judged as it is typed."""
    engine(look)
    await look.press("5", "v", "a", "i", *"shaft, 14.91 mm, at least 14.95 mm")
    await look.same("inspection")


async def test_parts_list(look, tmp_path):
    """What the columns of a parts list are; a row that cannot be read is named by its line."""
    list_file = tmp_path / "parts.csv"
    list_file.write_text("Pos,Description,Off,Assembly\n1,camshaft,1,timing\n2,thrust plate,two,timing\n")
    await look.press("5", "f10", "i", *str(list_file), "enter")
    await look.same("parts-list")


async def test_tags(look):
    """Which tags to print."""
    await look.press("l")
    await look.same("tags")


@pytest.mark.parametrize("size", [(20, 5), (39, 24), (80, 11)], ids=lambda s: f"{s[0]}x{s[1]}")
async def test_too_small(bench, settled, compare, size):
    """One clear line where there is no room."""
    app = bench.app()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        compare(app, f"too-small-{size[0]}x{size[1]}")
