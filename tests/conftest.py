"""What every test has: settings of its own, so that none reads or writes those of whoever runs them."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.units import show_in


@pytest.fixture(autouse=True)
def own_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep a user's settings out; return the folder in their place."""
    folder = tmp_path_factory.mktemp("settings")
    monkeypatch.setenv("SHOPBINS_CONFIG", str(folder / "keys.toml"))
    return folder


@pytest.fixture(autouse=True)
def metric() -> None:
    """Show metric units, whatever the shop of the test before had."""
    show_in("metric")
