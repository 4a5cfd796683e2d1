"""The command palette: every action by its name, how it looks, every room and place to go to."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from textual.command import CommandList, CommandPalette, DiscoveryHit, Hit, Hits, Provider

from shopbins.tui.host import InApp
from shopbins.tui.keys.actions import Action, of_scope, shown_keys
from shopbins.tui.keys.looks import commands


class Palette(CommandPalette):
    """Textual's palette; its list hears no key before it has room, where paging would be a KeyError."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Hear a key of the list only where that has room."""
        if action == "command_list" and not any(
            each.scrollable_content_region for each in self.query(CommandList)
        ):
            return False
        return super().check_action(action, parameters)


class ActionsProvider(InApp, Provider):
    """What the palette finds."""

    def _commands(self) -> Iterator[tuple[str, str, Callable[[], None]]]:
        scopes = getattr(self.screen, "scopes", ())
        for action in of_scope(*scopes, "everywhere"):
            if action.palette:
                shown = f"{action.label[0].upper()}{action.label[1:]}"
                keys = shown_keys(action, self.shopbins.keys)
                yield shown, f"{keys}: {action.says}" if keys else action.says, partial(self._run, action)
        for shown, says, run in commands(self.shopbins):
            yield shown, says, partial(self._later, run)
        for zone in self.shopbins.desk.shop.all_zones():
            yield f"Go to {zone.name}", "show it on the Plan", partial(self.shopbins.show_zone, zone.key)

    def _later(self, run: Callable[[], None]) -> None:
        self.shopbins.call_later(run)

    def _run(self, action: Action) -> None:
        target = self.shopbins if action.scope == "everywhere" else self.screen
        self.shopbins.call_later(self.shopbins.run_action, action.name, target)

    async def discover(self) -> Hits:
        """Offer everything before a letter is typed."""
        for shown, says, run in self._commands():
            yield DiscoveryHit(shown, run, help=says)

    async def search(self, query: str) -> Hits:
        """Offer what matches the letters typed."""
        matcher = self.matcher(query)
        for shown, says, run in self._commands():
            score = matcher.match(f"{shown} {says}")
            if score > 0:
                yield Hit(score, matcher.highlight(shown), run, help=says)
