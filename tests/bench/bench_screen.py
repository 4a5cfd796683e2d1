"""The screen's own work, each beside a peer in one run: python tests/bench/bench_screen.py [ROUNDS].

Prints: the app's first frame on the demo beside an empty Textual app's plus reading the two files; the first
frame of a list of 10,000 part groups beside an empty screen's and a stock data table's; a page down in both;
a key in the search line; a step while carrying; each kind of key on the Plan among 500 things, from the key
to its frame, beside an app that redraws as many cells. Times but those by the clock are of the processor.
"""

from __future__ import annotations

import asyncio
import compileall
import gc
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

EMPTY = """
import sys, time
from textual.app import App
class Empty(App):
    def on_mount(self):
        self.call_after_refresh(self.done)
    def done(self):
        print(time.time(), time.process_time(), file=sys.__stdout__, flush=True)
        self.exit()
Empty().run(headless=True, size=(120, 40))
"""
READING = """
import sys, time
from shopbins.desk import Desk
began, spent = time.time(), time.process_time()
desk = Desk.open(sys.argv[1]); desk.shop; desk.scene()
print(time.time() - began, time.process_time() - spent)
"""
READING_WHOLE = """
import sys, time
from shopbins.desk import Desk
desk = Desk.open(sys.argv[1]); desk.shop; desk.scene()
print(time.time(), time.process_time())
"""
OURS = """
import sys, time
from shopbins.cli import spare_garbage
spare_garbage()
from shopbins.desk import Desk
from shopbins.tui import app
class Once(app.ShopbinsApp):
    def _after_first_frame(self):
        print(time.time(), time.process_time(), file=sys.__stdout__, flush=True)
        self.exit()
app.ShopbinsApp = Once
app.run(Desk.open(sys.argv[1]), headless=True, size=(120, 40))
"""
BARE = "import time; print(time.time(), time.process_time())"
MANY = 10_000
IN_HAND = 500


def until_ms(code: str, *args: str, began: bool = True) -> tuple[float, float]:
    """Run a process that prints a moment and its processor time; return ms from its start, and of work."""
    start = time.time() if began else 0.0
    command = [sys.executable, "-c", code, *args]
    out = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    moment, work = map(float, out.split()[-2:])
    return (moment - start) * 1e3, work * 1e3


def first_frame(rounds: int) -> None:
    from shopbins.demo.write import write_demo

    compileall.compile_dir(str(ROOT / "shopbins"), quiet=2)
    taken: dict[str, list[tuple[float, float]]] = {}
    with tempfile.TemporaryDirectory() as folder:
        os.environ["SHOPBINS_STATE"] = folder
        shop = str(write_demo(folder))
        for _ in range(rounds):
            taken.setdefault("empty", []).append(until_ms(EMPTY))
            taken.setdefault("ours", []).append(until_ms(OURS, shop))
            taken.setdefault("reading", []).append(until_ms(READING, shop, began=False))
            taken.setdefault("whole", []).append(until_ms(READING_WHOLE, shop))
            taken.setdefault("bare", []).append(until_ms(BARE))
    for column, name in enumerate(("by the clock", "of processor time, which others at work change least")):
        ms = {each: statistics.median(row[column] for row in rows) for each, rows in taken.items()}
        whole = ms["whole"] - ms["bare"]
        print(f"first frame on the demo {ms['ours']:.0f} ms, empty app {ms['empty']:.0f}, {name}")
        print(f"  {(ms['ours'] - ms['reading']) / ms['empty']:.2f} x empty, plus reading "
              f"({ms['reading']:.0f} ms once all is imported; aim 1.2)")  # fmt: skip
        print(f"  {(ms['ours'] - whole) / ms['empty']:.2f} x, plus reading with its imports ({whole:.0f} ms)")


def big_desk(folder: Path, count: int, things: bool = False):
    """A shop whose ledger's state has `count` groups, applied at once."""
    from shopbins.desk import Desk
    from shopbins.ledger.docs import group_doc
    from shopbins.ledger.model import InZone, Mass, Size

    side = int(count**0.5) + 1
    width = side * 1500 + 4000
    folder.mkdir(exist_ok=True)
    path = folder / "shop.yaml"
    path.write_text(
        f"shop: Big\nprefix: BG\nrooms:\n  hall: {{at: [0, 0], size: [{width}, {width}], headroom: 5 m}}\n"
        f"walkways:\n  way: {{line: [[1000, 0], [1000, {width}]], width: 900 mm, least: 750 mm}}\n"
        "zones:\n  rack:\n    {room: hall, kind: shelf, at: [2000, 100], size: [2000, 600], levels: "
        "{1: {height: 200, load: 900 kg}}}\n"
    )
    desk = Desk.open(path, by="bench")
    docs = {}
    for i in range(count):
        where = InZone("rack", "1")
        if things:
            where = InZone("hall", "", 2500.0 + i % side * 1500, 1500.0 + i // side * 1500, i * 7 % 180, True)
        fields = {"code": f"ZBG{i}", "name": f"valve spring {i}", "origin": ("engine", f"head {i % 9}"),
                  "size": Size(700, 500, 400), "mass": Mass(12.0), "where": where, "order": i}  # fmt: skip
        docs[f"group:g{i}"] = group_doc(fields)
    desk.state.apply(docs, 1)
    return desk


def median_ms(work: Callable[[], object], times: int = 40) -> tuple[float, float]:
    """Return the median and the longest of some runs, in ms."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        work()
        taken.append((time.process_time() - start) * 1e3)
    return statistics.median(taken), max(taken)


def lines_of(widget) -> None:
    for y in range(widget.size.height):
        widget.render_line(y)


def first_frames(folder: Path, rounds: int = 7) -> None:
    """Time from `run` to the first frame: an empty app, one list of ours, the Parts, a data table."""
    from textual.app import App
    from textual.widgets import DataTable

    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.keys.config import Config
    from shopbins.tui.parts.screen import PartsScreen
    from shopbins.tui.widgets.linelist import Column, LineList
    from shopbins.tui.words import origin_words, where_short

    desk = big_desk(folder, MANY)
    scene, ids = desk.scene(), desk.state.group_ids()
    columns = ("part group", "lies", "from", "becomes", "mass", "code")

    def row(number: int) -> list[str]:
        group = scene.group(ids[number])
        return [
            group.shown,
            where_short(scene, group),
            origin_words(group),
            group.disposition,
            "12 kg",
            group.code,
        ]

    class Timed:
        """Stops the clock when the first frame is out."""

        def on_mount(self) -> None:
            self.call_after_refresh(self.done)

        def done(self) -> None:
            self.took = (time.process_time() - self.began) * 1e3
            self.exit()

    class Empty(Timed, App):
        pass

    class Lines(Timed, App):
        def compose(self):
            yield LineList([Column(title, 12, 1.0) for title in columns])

        def on_mount(self) -> None:
            self.query_one(LineList).show(MANY, row)
            super().on_mount()

    class Table(Timed, App):
        def compose(self):
            yield DataTable()

        def on_mount(self) -> None:
            table = self.query_one(DataTable)
            table.add_columns(*columns)
            for number in range(MANY):
                table.add_row(*row(number))
            super().on_mount()

    class Parts(Timed, ShopbinsApp):
        DEFAULT_MODE = "parts"
        at = desk

        def __init__(self) -> None:
            super().__init__(self.at, config=Config(folder / "keys.toml"), plain_start=True)

        def _after_first_frame(self) -> None:
            self.done()

        def on_mount(self) -> None:
            ShopbinsApp.on_mount(self)

    none = big_desk(folder / "none", 0)

    class PartsOfNone(Parts):
        at = none

    def once(kind) -> float:
        gc.collect()
        gc.disable()  # as the program itself does until its first frame
        app = kind()
        app.began = time.process_time()
        app.run(headless=True, size=(120, 40))
        gc.enable()
        return app.took

    assert PartsScreen
    took: dict[str, list[float]] = {}
    for turn in range(rounds):
        for kind in (Empty, Lines, Parts, PartsOfNone, *((Table,) if turn < 2 else ())):
            took.setdefault(kind.__name__, []).append(once(kind))
    middle = {name: statistics.median(each) for name, each in took.items()}
    empty = middle["Empty"]
    print(f"first frame of an app: empty {empty:.1f} ms; with a list of {MANY}:")
    print(f"  ours {middle['Lines'] / empty:.2f} x (aim 1.5), data table {middle['Table'] / empty:.1f} x")
    print(f"  the whole of Parts, head, search line and foot with it {middle['Parts'] / empty:.2f} x;")
    print(f"  of which with no group at all {middle['PartsOfNone'] / empty:.2f} x")
    desk.close()
    none.close()


async def lists(folder: Path) -> None:
    from textual.app import App
    from textual.widgets import DataTable

    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.keys.config import Config

    class Table(App):
        def compose(self):
            yield DataTable()

    table = Table()
    async with table.run_test(size=(120, 40)) as pilot:
        stock = table.query_one(DataTable)
        stock.add_columns("part group", "lies", "from", "becomes", "mass", "code")
        for i in range(MANY):
            stock.add_row(
                f"valve spring {i}", "rack", f"engine > head {i % 9}", "undecided", "12 kg", f"ZBG{i}"
            )
        await pilot.pause()
        peer = median_ms(lambda: (stock.action_page_down(), lines_of(stock)))
    desk = big_desk(folder, MANY)
    app = ShopbinsApp(desk, config=Config(folder / "keys.toml"), plain_start=True)
    app.judge_soon = lambda: None
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("2")
        await pilot.pause()
        screen = app.screen
        page = median_ms(lambda: (screen.lines.action_page_down(), lines_of(screen.lines)))
        print(f"page down: {page[0]:.2f} ms, longest {page[1]:.2f} (aim 16); data table {peer[0]:.1f} ms")
        desk.index()
        for word in ("valve sp", "vavle spring 77", "nothing like it"):
            spent = median_ms(lambda word=word: (setattr(screen.search, "value", word), screen._list()), 9)
            print(f"a key in the search line ('{word}'): {spent[0]:.2f} ms, longest {spent[1]:.2f}")
    desk.close()


async def carry(folder: Path) -> None:
    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.keys.config import Config

    desk = big_desk(folder, IN_HAND, things=True)
    app = ShopbinsApp(desk, config=Config(folder / "keys.toml"), plain_start=True)
    app.judge_soon = lambda: None
    async with app.run_test(size=(200, 60)) as pilot:
        await pilot.pause()
        plan = app.screen
        start = time.process_time()
        plan.pick_up("g200")
        await pilot.pause()
        taken = (time.process_time() - start) * 1e3
        print(f"picking up among {IN_HAND} things: {taken:.0f} ms")
        ways = [plan.hand.action_right, plan.hand.action_down, plan.hand.action_left, plan.hand.action_turn]
        turn = iter(range(10_000))

        def step() -> None:
            ways[next(turn) % 4]()
            from shopbins.tui.widgets.hand import HandPanel

            plan.on_hand_panel_moved(HandPanel.Moved(plan.hand.hand, plan.hand.findings))
            lines_of(plan.plan)
            plan.hand.render()

        spent = median_ms(step, 120)
        print(
            f"a step while carrying, judged and drawn at 200 x 60: {spent[0]:.1f} ms, longest {spent[1]:.1f}"
        )
        print("  (aim 16)")
    desk.close()


async def pressed_ms(pilot, keys: tuple[str, ...], times: int = 40) -> list[float]:
    """Press keys in turn; return ms of processor time each until its frame is out."""
    taken = []
    for i in range(times):
        start = time.process_time()
        await pilot.press(keys[i % len(keys)])
        await pilot.pause()
        taken.append((time.process_time() - start) * 1e3)
    return taken


async def redrawing_ms() -> float:
    """Time a key in an app whose only widget writes other text on the whole of 200 x 60 cells."""
    from textual.app import App
    from textual.widgets import Static

    class Peer(App):
        CSS = "Static { height: 1fr; }"
        turn = 0

        def compose(self):
            yield Static(markup=False)

        def on_key(self) -> None:
            self.turn += 1
            self.query_one(Static).update("\n".join((f"{self.turn} " * 200)[:200] for _ in range(60)))

    async with Peer().run_test(size=(200, 60)) as pilot:
        await pilot.pause()
        return statistics.median(await pressed_ms(pilot, ("a",)))


async def plan_keys(folder: Path) -> None:
    """Time each kind of key on the Plan among 500 things, from the key to the frame."""
    from shopbins.tui.app import ShopbinsApp
    from shopbins.tui.keys.config import Config

    peer = await redrawing_ms()
    print(f"a key that writes other text on all of 200 x 60 cells, in an empty app: {peer:.1f} ms")
    desk = big_desk(folder, IN_HAND, things=True)
    app = ShopbinsApp(desk, config=Config(folder / "keys.toml"), plain_start=True)
    app.judge_soon = lambda: None
    async with app.run_test(size=(200, 60)) as pilot:
        await pilot.pause(1)
        await pressed_ms(pilot, ("right", "left"), 4)
        every = {"arrows": ("right", "down", "left", "up"), "tab": ("tab",), "+ and -": ("plus", "minus")}
        for name, keys in every.items():
            told(f"{name} on the Plan among {IN_HAND} things", await pressed_ms(pilot, keys), peer)
        app.screen.plan.whole()
        await pilot.pause()
        firsts = await pressed_ms(pilot, ("minus",), 4) + await pressed_ms(pilot, ("left", "plus"), 12)
        told("a zoom to where nothing was drawn before, a step between", firsts, peer)
    desk.close()


def told(what: str, taken: list[float], peer: float) -> None:
    """Print a median and the longest, in ms and as a ratio to the peer's."""
    middle = statistics.median(taken)
    print(f"{what}: {middle:.1f} ms, longest {max(taken):.1f} (aim 16); {middle / peer:.2f} x redrawing all")


if __name__ == "__main__":
    first_frame(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
    with tempfile.TemporaryDirectory() as name:
        first_frames(Path(name))
    for work in (lists, carry, plan_keys):
        with tempfile.TemporaryDirectory() as name:
            asyncio.run(work(Path(name)))
