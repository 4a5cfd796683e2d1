"""Keys typed ahead: each is heard only when the one before it has had its whole effect.

A key goes from the widget that has the focus up to the app and may open a screen on its way, which takes the
focus some messages later. Without this, 'e' and a name typed at once, or a scanner's burst, would partly be
heard by the screen that was there before, as keys of its own.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from functools import partial

from textual import events
from textual.app import App
from textual.message_pump import MessagePump

LOOK_S = 0.25
"""So often it is looked whether the widget that is to tell of a key's effect has gone meanwhile."""


class TypeAhead(App[int]):
    """An app that hears keys and pastes one after the other."""

    def __init__(self) -> None:
        super().__init__()
        self._ahead: deque[events.Key | events.Paste] = deque()
        self._key_number = 0
        self._hearing = False
        self._telling: MessagePump = self

    @property
    def keys_wait(self) -> bool:
        """Whether keys are waiting that were typed behind the one now heard."""
        return bool(self._ahead)

    async def on_event(self, event: events.Event) -> None:
        """Hear a key now, or after those before it."""
        if not isinstance(event, events.Key | events.Paste) or event.is_forwarded:
            await super().on_event(event)
        elif self._hearing:
            self._ahead.append(event)
            if len(self._ahead) == 1:
                self._watch()
        else:
            await self._hear(event)

    def _watch(self) -> None:
        self.set_timer(LOOK_S, partial(self._look, self._key_number))

    async def _look(self, number: int) -> None:
        """Let the next key through if what is to tell of this one's effect has gone: it may only be slow."""
        if number == self._key_number and self._hearing:
            if self._telling.is_attached:
                self._watch()
            else:
                await self._heard(number)

    async def _hear(self, event: events.Key | events.Paste) -> None:
        self._hearing = True
        self._key_number += 1
        target = self.focused or self.screen
        typed = getattr(self.screen, "only_types", None)
        if typed is not None and typed(event):  # it can open nothing: the next may follow at once
            await super().on_event(event)
            self.call_later(self._heard, self._key_number)
            return
        way: list[MessagePump] = [node for node in target.ancestors_with_self if node is not self]
        await super().on_event(event)
        # twice, as what the key did may be told by a message of its own, such as a line's being submitted
        self._follow(self._key_number, [*way, self, *way])

    def _follow(self, number: int, way: Sequence[MessagePump]) -> None:
        """Go the way of the key, behind it in every queue; then let a screen it opened get ready."""
        for i, node in enumerate(way):
            if node.call_later(self._follow, number, way[i + 1 :]):
                self._telling = node
                return
        self.call_later(self._get_ready, number)

    def _get_ready(self, number: int) -> None:
        self._telling = self.screen
        if number == self._key_number and not self.screen.call_later(self.call_later, self._heard, number):
            self.call_later(self._heard, number)

    async def _heard(self, number: int) -> None:
        if number != self._key_number or not self._hearing:
            return
        if not self._ahead:
            self._hearing = False
            return
        event = self._ahead.popleft()
        await self._hear(event)
        if self._ahead:
            self._watch()
