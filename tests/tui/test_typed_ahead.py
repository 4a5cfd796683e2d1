"""A key typed ahead waits for the one before it, however slow the machine is."""

from __future__ import annotations

import asyncio

from textual import events
from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Input

from shopbins.tui.keys import typeahead
from shopbins.tui.keys.typeahead import TypeAhead


class Line(Screen[None]):
    def compose(self) -> ComposeResult:
        yield Input()


class Before(Screen[None]):
    """Opens a line on '/', slowly."""

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[str] = []

    async def key_slash(self) -> None:
        await asyncio.sleep(20 * typeahead.LOOK_S)
        await self.app.push_screen(Line())

    def key_o(self) -> None:
        self.heard.append("o")


async def test_a_screen_that_opens_slowly_hears_what_was_typed_ahead(monkeypatch):
    monkeypatch.setattr(typeahead, "LOOK_S", 0.01)
    app, before = TypeAhead(), Before()
    async with app.run_test() as pilot:
        await app.push_screen(before)
        for key, character in (("slash", "/"), ("o", "o"), ("i", "i")):
            app.post_message(events.Key(key, character))
        while app.keys_wait or not isinstance(app.screen, Line):
            await pilot.pause()
        await pilot.pause()
        assert (app.screen.query_one(Input).value, before.heard) == ("oi", [])
