"""What the three places have in common: head, keys, state of the shop, a group at hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from shopbins.ledger.model import InZone
from shopbins.strip.told import introduce
from shopbins.tui.host import Styled
from shopbins.tui.keys.actions import BY_ID, Action, of_scope
from shopbins.tui.stateline import state_line
from shopbins.tui.theme import LEAST_COLS, LEAST_ROWS, SIDE_BY_SIDE_COLS
from shopbins.tui.widgets.lines import HeadLine, Line, Said, key_hints

if TYPE_CHECKING:
    from rich.text import Text

    from shopbins.tui.dialogs.act import Item

TOO_SMALL = (
    f"shopbins needs {LEAST_COLS} x {LEAST_ROWS} characters: make the window larger, q quits",
    f"needs {LEAST_COLS}x{LEAST_ROWS}; q quits",
)
"""What is said where there is no room, and how where there is hardly any."""


class Place(Styled[None]):
    """One of the places to be. Subclasses give `body`, `shown`, `scopes` and redraw in `state_changed`."""

    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-thin"),
        (LEAST_COLS, "-one"),
        (SIDE_BY_SIDE_COLS, "-two"),
    ]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (LEAST_ROWS, "-high")]  # noqa: RUF012
    AUTO_FOCUS = ""  # each place says itself what has the keys first
    shown: ClassVar[str] = ""
    scopes: ClassVar[tuple[str, ...]] = ()

    def compose(self) -> ComposeResult:
        """Lay head, body and foot under each other."""
        yield HeadLine(id="head")
        with Horizontal(id="main"):
            yield from self.body()
        yield Line(id="keys")
        yield Line(id="state")
        yield Static(TOO_SMALL[0], id="too-small", markup=False)

    def __init__(self) -> None:
        super().__init__()
        self.stale = False
        """True when something changed while another place was shown."""
        self._said_text: Text | None = None

    def body(self) -> Iterator[Widget]:
        """Make the widgets between head and foot."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """Show the state when first drawn, where one was when the program was left."""
        kept = self.shopbins.session.get(self.shown)
        if isinstance(kept, dict):
            self.recall(kept)
        self.state_changed()

    def on_screen_resume(self) -> None:
        """Show what changed while another place was shown."""
        if self.stale:
            self.state_changed()
        self.fill_lines()

    def on_resize(self) -> None:
        """Fit head and foot to the new width."""
        whole, short = TOO_SMALL
        said = whole if self.app.size.width >= len(whole) else short
        line = self.query_one("#too-small", Static)
        if line.content != said:  # telling it the same would be a new layout of everything
            line.update(said)
        self.call_after_refresh(self.fill_lines)

    def state_changed(self) -> None:
        """Draw what the shop and the ledger now say."""
        self.fill_lines()

    def findings_changed(self) -> None:
        """Draw what the audit now says."""
        self.fill_lines()

    def foot_actions(self) -> Iterator[Action]:
        """Go through the actions shown at the foot."""
        own = [a for a in of_scope(*self.scopes) if a.foot and self.offers(a)]
        first = [BY_ID["everywhere.act"], BY_ID["everywhere.next_trouble"]]
        yield from (*own[:1], *first, *own[1:])
        yield from (a for a in of_scope("everywhere") if a.foot and a not in first)

    def offers(self, action: Action) -> bool:
        """Tell whether an action makes sense now."""
        return action.scope != "group" or self.current_group() is not None

    def fill_lines(self) -> None:
        """Write head, what was last said, keys and state."""
        if not self.is_mounted:
            return
        app = self.shopbins
        width = self.app.size.width
        day = self.desk.day
        name = self.desk.shop.name if day is None else f"FOR {day:%d %b}"
        self.query_one("#head", HeadLine).fill(name, self.shown, app.keys, self.head_note())
        self._show_said(app.said_line())
        self.query_one("#keys", Line).say(key_hints(self.foot_actions(), app.keys, width))
        self.query_one("#state", Line).say(state_line(app, width))

    def _show_said(self, said: Text | None) -> None:
        """Lay what was last said over the place, above the keys; take away what was said before."""
        if said is self._said_text:
            return
        self._said_text = said
        self.query(Said).remove()
        if said is not None:
            self.mount(Said(said))

    def head_note(self) -> str:
        """Return what stands at the end of the head line."""
        return ""

    def current_group(self) -> str | None:
        """Return the id of the group at hand, if any."""
        return None

    def act_menu(self) -> tuple[str, list[Item], list[str]]:
        """Return the menu of what is at hand: its title, its lines, what is said above them."""
        return "", [], []

    def act_here(self) -> bool:
        """Open a menu of the screen's own; False where it is that of what is at hand."""
        return False

    def why_not(self, action: Action) -> str:
        """Say why something of this screen cannot be done now, '' where it can."""
        return "" if self.offers(action) else "not now"

    def next_trouble_here(self) -> bool:
        """Go to the next trouble of this screen's own; False where troubles are those of the shop."""
        return False

    def to_print(self) -> list[tuple[str, str]]:
        """Return what this screen prints beside labels: the name of its action, and what it is."""
        return []

    def copied(self) -> tuple[str, ...]:
        """Return what may be copied of what is at hand: its code, then the whole line."""
        found = self.current_group()
        if found is None or not self.desk.state.has_group(found):
            return ()
        code = self.desk.state.group(found).code
        return code, f"{code} {introduce(self.desk.state, found)}"

    def described(self) -> tuple[str, str]:
        """Return the key and level in the shop file of what is at hand, '' where there is none."""
        found = self.current_group()
        top = self.desk.scene().top_of(found) if found and self.desk.state.has_group(found) else None
        where = None if top is None else top.where
        return (where.zone, where.level) if isinstance(where, InZone) else ("", "")

    def remember(self) -> dict[str, Any]:
        """Return what is to be kept of where one is here, as JSON can hold it."""
        return {}

    def recall(self, kept: Mapping[str, Any]) -> None:
        """Be where one was, before anything is drawn; what is kept may be of any form, of things gone."""

    def accepts(self) -> bool:
        """Tell whether the place's own keys act now (not while something is carried)."""
        return True


class ListPlace(Place):
    """A place that is a list, with what there is to say of the row at hand below it."""

    def _detail(self) -> None:
        raise NotImplementedError

    def action_show(self) -> None:
        """Show the row at hand, or what can be done with it."""
        raise NotImplementedError

    def on_line_list_moved(self) -> None:
        """Say what there is to say of the row, and which keys fit it."""
        self._detail()
        self.fill_lines()

    def on_line_list_chosen(self) -> None:
        """Do with the row what enter does."""
        self.action_show()
