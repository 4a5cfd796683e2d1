"""What every test has: no user's settings read or written, what was said of ways before, a small desk."""

from __future__ import annotations

import gc
import itertools
import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from _pytest.assertion import rewrite
from hypothesis import HealthCheck, settings
from hypothesis.internal.constants_ast import constants_from_module

from shopbins.desk import Desk
from shopbins.moves.tolerance import Asker, Found
from shopbins.units import show_in

settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")  # no case fails for a machine that has much else to do
gc.set_threshold(50_000, 20, 50)  # garbage is looked for seldom: it took a seventh of all tests

SHOP = """\
shop: Back shed
prefix: B
rooms:
  main:
    outline: [[0, 0], [6000, 0], [6000, 4000], [0, 4000]]
    headroom: 2.6 m
doors:
  gate: {room: main, to: outside, jambs: [[2500, 0], [3500, 0]], height: 2 m, opens: sliding, exit: yes}
walkways:
  middle way: {line: [[3000, 100], [3000, 3900]], width: 900 mm, least: 700 mm}
zones:
  bench: {room: main, kind: bench, at: [0, 3300], size: [2000, 700], height: 900, headroom: 1 m, load: 200 kg}
  rack a:
    room: main
    kind: shelf
    at: [5400, 1000]
    size: [500, 2000]
    load: 150 kg
    levels:
      1: {height: 100, headroom: 600, load: 100 kg}
      2: {height: 800, headroom: 400, load: 60 kg}
"""


def _at_once(nodeid: str) -> str:
    """Return what runs in one process: a file, to share what is dear; of e2e a test, but for the move."""
    file = nodeid.partition("::")[0]
    return nodeid if file.startswith("tests/e2e/") and not file.endswith("/test_move.py") else file


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Begin with what takes longest, that several processes end together: e2e, then the largest files.

    Hypothesis reads the numbers and words in the program that it tries: each module in one process for all.
    """
    for module in _own_share(config, [m for name, m in sorted(sys.modules.items()) if "shopbins" in name]):
        constants_from_module(module)
    counts = Counter(item.path for item in items)
    items.sort(key=lambda item: ("e2e" not in item.path.parts, -counts[item.path]))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> object:
    """Share the tests out among processes, in the order they have."""
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):
        _split_scope = staticmethod(_at_once)

    config.option.loadscopereorder = False
    return ByFile(config, log)


def _own_share(config: pytest.Config, every: list[Any]) -> list[Any]:
    """Return what one of several processes does for all of them; nothing where there is one."""
    worker: dict[str, Any] = getattr(config, "workerinput", {})
    return every[int(worker["workerid"].removeprefix("gw")) :: worker["workercount"]] if worker else []


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """Compile the test files that are new, not each of them in each of several processes."""
    named = (Path(arg.partition("::")[0]).absolute() for arg in session.config.args)
    files = sorted(file for path in named for file in ([path] if path.is_file() else path.rglob("test_*.py")))
    for file in [] if sys.dont_write_bytecode else _own_share(session.config, files):
        folder = rewrite.get_cache_dir(file)
        kept = folder / f"{file.stem}{rewrite.PYC_TAIL}"
        if not rewrite._read_pyc(file, kept) and rewrite.try_makedirs(folder):
            stat, code = rewrite._rewrite_test(file, session.config)
            rewrite._write_pyc(session.config.stash[rewrite.assertstate_key], code, stat, kept)


def pytest_collection_finish(session: pytest.Session) -> None:
    """Set apart what lasts as long as the tests."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True, scope="module")
def let_go() -> Iterator[None]:
    """Close the desks that the tests of a file left open: garbage is looked for too seldom to count on."""
    yield
    weir = sys.modules.get("tests.moves.weir")
    while weir is not None and weir.OPENED:
        weir.OPENED.pop().close()


@pytest.fixture(scope="session")
def settings_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Number folders for settings: `mktemp` looks through all there are for the next number."""
    every = tmp_path_factory.mktemp("settings")
    return (every / str(n) for n in itertools.count())


@pytest.fixture(autouse=True)
def own_settings(settings_folders: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep a user's settings out; return the folder in their place."""
    folder = next(settings_folders)
    folder.mkdir()
    monkeypatch.setenv("SHOPBINS_CONFIG", str(folder / "keys.toml"))
    return folder


@pytest.fixture(autouse=True)
def metric() -> None:
    """Show metric units, whatever the shop of the test before had."""
    show_in("metric")


@pytest.fixture(autouse=True, scope="session")
def unflushed() -> Iterator[None]:
    """Wait for no disk: what a test writes need not outlive the machine. That the ledger flushes, when, and
    what becomes of it where that fails is shown in tests/ledger on disks made for it and in its processes.
    """
    with pytest.MonkeyPatch.context() as patch:
        for name in ("fsync", "fdatasync"):
            patch.setattr(os, name, lambda handle: None, raising=False)
        yield


@pytest.fixture(autouse=True, scope="session")
def ways_known() -> Iterator[dict[Any, Found]]:
    """Tell a test that asks what another asked what was said there: ways take most of the time of all tests.

    Kept is what a search keeps, by all that it rests on; a test that needs it asked anew clears it.
    """
    known: dict[Any, Found] = {}
    once = Asker.once

    def once_for_all(asker: Asker, key: tuple[Any, ...], ask: Callable[[], Found]) -> Found:
        if key in known and asker.left_s() > 0:
            return known[key]
        found = once(asker, key, ask)
        if key in asker.kept:  # not where time cut it off
            known[key] = found
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Asker, "once", once_for_all)
        yield known


@pytest.fixture
def shop_path(tmp_path: Path) -> Path:
    path = tmp_path / "shop.yaml"
    path.write_text(SHOP, encoding="utf-8")
    return path


@pytest.fixture
def desk(shop_path: Path) -> Iterator[Desk]:
    with Desk.open(shop_path, by="tester") as opened:
        yield opened
