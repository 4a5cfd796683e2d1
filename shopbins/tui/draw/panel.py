"""The panel of the thing in hand on Draw: it hears the keys while something is carried."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import events
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from shopbins.tui.draw.hand import STEPS_MM, WAYS, Held
from shopbins.tui.keys.actions import bindings
from shopbins.tui.text import wrapped
from shopbins.units import show_angle, show_length

if TYPE_CHECKING:
    from shopbins.geometry.shapes import Point
    from shopbins.shop.model import Shop

FINE = 10.0


class DrawHand(Widget, can_focus=True):
    """Holds one thing between picking up and putting down."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings("drawing")]
    DEFAULT_CSS = "DrawHand { height: 1fr; width: 100%; padding: 0 1; }"

    @dataclass
    class Moved(Message):
        """The thing is held elsewhere."""

        held: Held

    class Put(Message):
        """It is to be put down."""

    class Copy(Message):
        """A copy is to be put here, and another carried on."""

    class Back(Message):
        """It is to be put back."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.held: Held | None = None
        self.shop: Shop | None = None
        self.step_mm = STEPS_MM[0]
        self.trouble: tuple[str, ...] = ()
        self.digits = ""
        self._way: Point = WAYS["right"]

    def take(self, held: Held, shop: Shop) -> None:
        """Hold a thing and have the keys."""
        self.shop, self.digits, self.trouble = shop, "", ()
        self.hold(held)
        self.focus()

    def drop(self) -> None:
        """Hold nothing."""
        self.held = None

    def hold(self, held: Held) -> None:
        """Hold it elsewhere."""
        self.held = held
        self.refresh()
        self.post_message(self.Moved(held))

    def told(self, trouble: tuple[str, ...]) -> None:
        """Say what would be against it here."""
        if trouble != self.trouble:
            self.trouble = trouble
            self.refresh()

    # -- keys

    def on_key(self, event: events.Key) -> None:
        """Take digits as a clear distance towards the last arrow; they change no screen here."""
        if event.character and (event.character.isdigit() or (event.character == "." and self.digits)):
            self.digits += event.character
            self.refresh()
            event.stop()
            event.prevent_default()
        elif event.key == "backspace" and self.digits:
            self.digits = self.digits[:-1]
            self.refresh()
            event.stop()

    def _step(self, way: str, part: float = 1.0) -> None:
        if self.held is None or self.shop is None:
            return
        self._way, self.digits = WAYS[way], ""
        self.hold(self.held.stepped(self.shop, self._way, self.step_mm / part))

    def action_left(self) -> None:
        """Go a step left."""
        self._step("left")

    def action_right(self) -> None:
        """Go a step right."""
        self._step("right")

    def action_up(self) -> None:
        """Go a step up."""
        self._step("up")

    def action_down(self) -> None:
        """Go a step down."""
        self._step("down")

    def action_fine_left(self) -> None:
        """Go a tenth of a step left."""
        self._step("left", FINE)

    def action_fine_right(self) -> None:
        """Go a tenth of a step right."""
        self._step("right", FINE)

    def action_fine_up(self) -> None:
        """Go a tenth of a step up."""
        self._step("up", FINE)

    def action_fine_down(self) -> None:
        """Go a tenth of a step down."""
        self._step("down", FINE)

    def action_step(self) -> None:
        """Change the step."""
        self.step_mm = STEPS_MM[(STEPS_MM.index(self.step_mm) + 1) % len(STEPS_MM)]
        self.refresh()

    def action_quarter(self) -> None:
        """Turn along the nearest wall, then by 90 degrees."""
        if self.held is None or self.shop is None:
            return
        held, room = self.held, self.shop.rooms.get(self.held.thing.room)
        off = 0.0
        if room is not None and held.thing.section != "rooms":
            from shopbins.shop.editing.steps import walls_near

            own = walls_near(held.outline, held.outline)
            off = (walls_near(held.outline, room.outline) - own + 45.0) % 90.0 - 45.0
        self.hold(held.turned(off if abs(off) > 0.05 else 90.0))

    def action_turn(self) -> None:
        """Turn by 5 degrees to the left."""
        if self.held is not None:
            self.hold(self.held.turned(5.0))

    def action_turn_back(self) -> None:
        """Turn by 5 degrees to the right."""
        if self.held is not None:
            self.hold(self.held.turned(-5.0))

    def action_pull(self) -> None:
        """Let the arrows pull the edges, or carry again."""
        if self.held is not None:
            from dataclasses import replace

            self.hold(replace(self.held, pulling=not self.held.pulling))

    def action_put(self) -> None:
        """Set the clear distance typed, else put it down."""
        if self.held is None or self.shop is None:
            return
        if not self.digits:
            self.post_message(self.Put())
            return
        found = self.held.leaving(self.shop, self._way, float(self.digits))
        self.digits = ""
        if found is None:
            self.app.bell()
            self.refresh()
        else:
            self.hold(found)

    def action_copy(self) -> None:
        """Put a copy here and carry on."""
        self.post_message(self.Copy())

    def action_back(self) -> None:
        """Put it back where it was."""
        if self.digits:
            self.digits = ""
            self.refresh()
        else:
            self.post_message(self.Back())

    # -- drawing

    def lines(self, width: int) -> list[tuple[str, str]]:
        """Return what is said of the thing in hand, each line with its style."""
        held, shop = self.held, self.shop
        if held is None or shop is None:
            return []
        x, y = held.at
        what = f"{held.thing.key}{' (copy)' if held.copy else ''}{' (new)' if held.new is not None else ''}"
        said = [(what, "bold")]
        doing = "pull its edges" if held.pulling else "carry"
        said.append((f"{doing} · step {show_length(self.step_mm)} · middle at {x:.0f}, {y:.0f}", ""))
        if held.turn_deg:
            said.append((f"turned {show_angle(held.turn_deg)}", ""))
        free = []
        for name, way in WAYS.items():
            off = held.clear(shop, way)
            if off is not None:
                free.append(f"{_ARROWS[name]} {abs(off):.0f}")
        said.append((f"clear: {' · '.join(free)}" if free else "clear: nothing near", ""))
        if self.digits:
            arrow = _ARROWS[next(name for name, way in WAYS.items() if way == self._way)]
            said.append((f"leave {self.digits} mm {arrow} · enter", "bold"))
        said += [(f"! {line}", "bold") for line in self.trouble[:3]]
        if len(self.trouble) > 3:
            said.append((f"+ {len(self.trouble) - 3} more", ""))
        return [(piece, style) for line, style in said for piece in wrapped(line, max(10, width))]

    def render(self) -> Text:
        """Draw it."""
        width = self.size.width
        text = Text(no_wrap=True, overflow="ellipsis")
        for line, style in self.lines(width)[: max(1, self.size.height)]:
            text.append(line + "\n", style)
        return text


_ARROWS = {"left": "←", "right": "→", "up": "↑", "down": "↓"}
