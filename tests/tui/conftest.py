"""A small shop with things in it, the app on it, and the way frames are taken and compared."""

from __future__ import annotations

import asyncio
import os
import shutil
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual import _callback, events
from textual.app import App
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.message import Message
from textual.message_pump import MessagePump
from textual.pilot import Pilot
from textual.screen import Screen
from textual.widgets import Input

from shopbins.desk import Desk
from shopbins.ledger.model import Mass, Size
from shopbins.scene.scene import Scene
from shopbins.tui.app import ShopbinsApp
from shopbins.tui.keys.config import Config
from shopbins.tui.widgets.linelist import LineList
from shopbins.tui.widgets.lines import Said

HERE = Path(__file__).parent
FRAMES = HERE / "frames"
PATIENCE_S = 60  # how long a slow machine may take until it is quiet


def fill(desk: Desk) -> dict[str, str]:
    """Record six groups; return their ids by a short word."""
    take, put = desk.take, desk.put
    ids = {
        "block": take("engine block", origin=("engine",), size=Size(1600, 900, 1000), mass=Mass(640)).id,
        "pallet": take("pallet of castings", container="pallet", mass=Mass(310)).id,
        "valves": take(
            "inlet valves", origin=("engine", "head 1"), container="bag", mass=Mass(2.5), qty=12
        ).id,
        "studs": take("tub of studs", container="tub").id,
        "head": take("cylinder head 1", origin=("engine",), size=Size(560, 380, 190), mass=Mass(61)).id,
        "pump": take("sea water pump", origin=("engine", "cooling"), size=Size(240, 180, 200)).id,
    }
    put(ids["block"], "hall", x_mm=4600, y_mm=3900, turn_deg=25)
    put(ids["pallet"], "bay", x_mm=750, y_mm=750)
    put(ids["valves"], "rack a", "2")
    put(ids["studs"], "rack a", "1", x_mm=400, y_mm=300)
    put(ids["head"], "bench 1", x_mm=500, y_mm=350)
    return ids


Kept = tuple[Path, dict[str, str]]
"""A folder with a shop and its ledger that is copied, and the ids of its groups by a short word."""


@pytest.fixture(scope="session")
def quay(tmp_path_factory: pytest.TempPathFactory) -> Kept:
    """The small shop with six groups in it, made once."""
    folder = tmp_path_factory.mktemp("quay")
    path = shutil.copy(HERE / "quay.yaml", folder / "shop.yaml")
    with pytest.MonkeyPatch.context() as env, Desk.open(path, by="Ida") as desk:
        env.setenv("TZ", "UTC")
        return folder, fill(desk)


class Bench:
    """A shop of its own, its desk, its app, and what tests ask of them."""

    def __init__(self, folder: Path, kept: Kept) -> None:
        self.path = folder / "shop.yaml"
        shutil.copytree(kept[0], folder, dirs_exist_ok=True)
        self.desk = Desk.open(self.path, by="Ida")
        self.ids = dict(kept[1])
        self.desk.remarks()  # that a ledger was begun, with its folder, is no part of what is tried here
        self.config = Config(folder / "keys.toml")

    def app(self, **more: object) -> ShopbinsApp:
        return ShopbinsApp(self.desk, config=self.config, plain_start=True, **more)

    def group(self, word: str):
        return self.desk.state.group(self.ids[word])

    def code(self, word: str) -> str:
        return self.group(word).code


async def quiet(app: App[object]) -> None:
    """Wait until the app has nothing to do but what waits for its time, a thread or a stream."""
    ready = asyncio.get_running_loop()._ready
    while True:
        await asyncio.sleep(0)
        if ready:
            continue
        if not app.is_running or not app._screen_stack or not app.screen.is_running:
            return
        if app._resize_event is not None:
            app._check_resize()
        elif app._batch_count:  # what is drawn in one go waits for something else; it is soon done
            await asyncio.sleep(0.001)
        elif _to_draw(app.screen):
            app.screen._on_timer_update()
        else:
            return


def _to_draw(screen: Screen[object]) -> bool:
    """Tell whether a screen waits for its next look at what has changed."""
    return bool(
        screen._layout_required
        or screen._scroll_required
        or screen._repaint_required
        or screen._recompose_required
        or screen._dirty_widgets
        or screen._callbacks
    )


_counts: dict[tuple[object, bool], int] = {}
_count = _callback._count_parameters


def counted_once(called: Callable[..., object]) -> int:
    """Count the parameters of a function once, also where each message wraps it anew."""
    code = getattr(called, "__code__", None)
    if code is None or hasattr(called, "__wrapped__"):
        return _count(called)
    key = code, hasattr(called, "__self__")
    if key not in _counts:
        _counts[key] = _count(called)
    return _counts[key]


_handlers: dict[tuple[type, type, str], list[tuple[type, Callable[..., object]]] | None] = {}
_dispatch = MessagePump._get_dispatch_methods


def _handlers_of(kind: type, message: type, name: str) -> list[tuple[type, Callable[..., object]]] | None:
    """Return what of a class hears a kind of message; None where it is decorated, to ask anew each time."""
    if any(each.__dict__.get("_decorated_handlers") for each in kind.__mro__):
        return None
    found = ((each, each.__dict__.get(f"_{name}") or each.__dict__.get(name)) for each in kind.__mro__)
    return [(each, heard) for each, heard in found if heard is not None]


def heard_by(pump: MessagePump, name: str, message: Message) -> Iterator[tuple[type, Callable[..., object]]]:
    """Give what hears a message, looked for once for a class: Textual looks through all of it for each."""
    kind = type(pump)
    key = kind, type(message), name
    if key not in _handlers:
        _handlers[key] = _handlers_of(*key)
    handlers = _handlers[key]
    if handlers is None:
        yield from _dispatch(pump, name, message)
        return
    for owner, heard in handlers:
        if message._no_default_action:
            return
        yield owner, heard.__get__(pump, owner)


_parsed: dict[tuple[object, ...], list[RuleSet]] = {}
_parse = Stylesheet._parse_rules


def parsed_once(sheet: Stylesheet, *args: object, **more: object) -> list[RuleSet]:
    """Parse a style sheet once for the apps of all tests that give its variables the same values."""
    key = tuple(sheet._variables.items()), args, tuple(more.items())
    if key not in _parsed:
        _parsed[key] = _parse(sheet, *args, **more)
    return _parsed[key]


draw = Screen._compositor_refresh


@pytest.fixture(autouse=True)
def quick_pilot(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a key follow when the app is quiet, what is typed into an input key on key; draw when a test asks.

    A pilot as it comes sends a message through every widget, then sleeps until the process seems idle, while
    the app lays out and draws by the clock what nobody sees.
    """
    press = Pilot.press

    async def wait_quiet(pilot: Pilot, timeout: float = 0) -> bool:
        await quiet(pilot.app)
        if pilot.app._exception is not None:
            raise pilot.app._exception
        return True

    async def no_wait(*_seconds: float) -> None:
        """Wait for nothing: what follows waits until it is quiet."""

    async def press_quickly(pilot: Pilot, *keys: str) -> None:
        rest = list(keys)
        while rest:
            typed = 0
            if isinstance(pilot.app.focused, Input):
                typed = next((i for i, key in enumerate(rest) if len(key) > 1), len(rest))
            for character in rest[: typed - 1] if typed else ():
                pilot.app.post_message(events.Key(character, character))
            await press(pilot, rest[typed - 1 if typed else 0])
            del rest[: typed or 1]

    class NeverByTime:
        """In place of the timer a screen is laid out and drawn by: each time the app is quiet will do."""

        def resume(self) -> None: ...

        def pause(self) -> None: ...

    def draw_later(screen: Screen) -> None:
        """Keep what has changed for the drawing to come."""
        if screen.app.screen is not screen:
            draw(screen)
        screen._dirty_widgets.clear()
        screen.app._update_mouse_over(screen)

    monkeypatch.setattr(_callback, "_count_parameters", counted_once)
    monkeypatch.setattr(MessagePump, "_get_dispatch_methods", heard_by)
    monkeypatch.setattr(Stylesheet, "_parse_rules", parsed_once)
    monkeypatch.setattr("textual.app.wait_for_idle", no_wait)
    monkeypatch.setattr("textual.pilot.wait_for_idle", no_wait)
    monkeypatch.setattr(Pilot, "_wait_for_screen", wait_quiet)
    monkeypatch.setattr(Screen, "_update_timer", NeverByTime())
    monkeypatch.setattr(Pilot, "press", press_quickly)
    monkeypatch.setattr(Screen, "_compositor_refresh", draw_later)


@pytest.fixture(autouse=True)
def patient_stop_box(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the stop box hear keys at once: a pilot makes no pauses. The pause has its own tests."""
    monkeypatch.setattr("shopbins.tui.dialogs.stopbox.QUIET_S", -1e9)


@pytest.fixture
def digit(monkeypatch: pytest.MonkeyPatch):
    """Press 1: as fast behind the key before as a scanner types, or after a pause."""

    async def press(pilot, *, scanned: bool) -> None:
        monkeypatch.setattr("shopbins.tui.dialogs.stopbox.QUIET_S", 60.0 if scanned else 0.0)
        await pilot.press("1")
        await pilot.settled()

    return press


@pytest.fixture
def bench(tmp_path: Path, quay: Kept, monkeypatch: pytest.MonkeyPatch):
    """A shop to work in, on this day in this time zone, whatever the machine says."""
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("COLORTERM", "truecolor")
    made = Bench(tmp_path, quay)
    yield made
    made.desk.close()


@pytest.fixture
def small_scene(bench: Bench) -> Scene:
    return bench.desk.scene()


async def nothing_more(app: ShopbinsApp, *, judged: bool = True) -> None:
    """Wait until nothing more happens: no worker runs and the audit is of the present state."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        await quiet(app)
        if not any(not w.is_finished and w.group != "warm" for w in app.workers):
            if not (judged and app.auditing):
                return
            app._audit_timer.stop()
            app.judge_now()
        await asyncio.sleep(0.005)


async def settle(pilot, *, judged: bool = True) -> None:
    """Wait until nothing more happens, and draw."""
    await nothing_more(pilot.app, judged=judged)
    await pilot.pause()
    await quiet(pilot.app)
    draw(pilot.app.screen)


@asynccontextmanager
async def app_at(
    bench: Bench, key: str = "1", *, size: tuple[int, int] = (120, 40), **more: object
) -> AsyncIterator[Pilot]:
    """Open the app at the place of a key; the pilot has the bench, and `settled` waits for a quiet app.

    It opens there as it does for somebody who left it there; what no test of its own looks at is not drawn.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ShopbinsApp, "DEFAULT_MODE", [*ShopbinsApp.MODES][int(key) - 1])
        app = bench.app(**more)
    async with app.run_test(size=size) as pilot:
        await nothing_more(app)
        pilot.bench = bench
        pilot.settled = lambda: settle(pilot)
        yield pilot
        if app.is_running:
            await quiet(app)
            draw(app.screen)


def frame_of(app: ShopbinsApp) -> str:
    """Return what stands on the screen as plain lines."""
    draw(app.screen)
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips).rstrip() + "\n"


def same_frame(app: ShopbinsApp, name: str) -> None:
    """Compare the screen with the frame kept under this name; SHOPBINS_FRAMES=write keeps it anew."""
    path = FRAMES / f"{name}.txt"
    found = frame_of(app)
    if os.environ.get("SHOPBINS_FRAMES") == "write":
        path.write_text(found, encoding="utf-8")
    assert path.exists(), f"no frame {path.name} is kept: look at it, then SHOPBINS_FRAMES=write"
    assert found == path.read_text(encoding="utf-8")


def shown_said(app: ShopbinsApp) -> str:
    """Return what is said above the keys."""
    return " ".join(each.text.plain for each in app.screen.query(Said))


@pytest.fixture
def said():
    return shown_said


@pytest.fixture
def settled():
    return settle


@pytest.fixture
def drawing_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Draw whenever the app would, not when a test asks."""
    monkeypatch.setattr(Screen, "_compositor_refresh", draw)


@pytest.fixture
def opened():
    return app_at


@pytest.fixture
def frame():
    return frame_of


@pytest.fixture
def compare():
    return same_frame


@pytest.fixture
def rows():
    """Return the plain rows of a list."""

    def of(lines: LineList) -> list[list[str]]:
        return [[c if isinstance(c, str) else c[0] for c in lines._rows(i)] for i in range(lines.count)]

    return of
