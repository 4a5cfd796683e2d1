"""What places, dialogs and widgets may ask of the app they are shown in; `app.py` is it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar, cast

from textual import events
from textual.app import App
from textual.screen import Screen

if TYPE_CHECKING:
    from datetime import date

    from rich.text import Text

    from shopbins.desk import Desk
    from shopbins.desk.scan import ScanState
    from shopbins.rules.finding import Finding
    from shopbins.tui.keys.config import Config

R = TypeVar("R")
T = TypeVar("T")


class Host(App[int]):
    """The app over one desk, as everything shown in it knows it. Here are only names and types."""

    desk: Desk
    config: Config
    today: Callable[[], date]
    session: dict[str, Any]
    keys: dict[str, str]
    findings: list[Finding] | None
    findings_seq: int
    auditing: bool
    audited: float
    scanned: ScanState
    marked: dict[str, None]
    others_new: int
    busy: bool
    served: bool

    def day(self) -> date:
        """Return the day what is done now is recorded for."""
        return self.desk.day or self.today()

    if TYPE_CHECKING:

        def tell(self, *lines: str, bad: bool = False, again: bool = False) -> None:
            """Say something at the foot for a while."""

        @property
        def keys_wait(self) -> bool:
            """Whether keys are waiting that were typed behind the one now heard."""

        def hush(self) -> None:
            """Take away what was last said."""

        def said_line(self) -> Text | None:
            """Return what was last said, while it is to be shown."""

        def attempt(self, ask: Callable[[], T], done: Callable[[T], str] | str = "") -> T | None:
            """Ask something of the desk; say what came of it, redraw, and return the answer."""

        def changed(self) -> None:
            """Redraw every place from the new state and judge the shop again."""

        def fill_lines(self) -> None:
            """Write the lines of the place shown."""

        def poll(self) -> None:
            """Look whether the shop file or another terminal changed something."""

        def judge_now(self) -> Any:
            """Judge the whole shop in a thread."""

        def stop_judging(self) -> None:
            """Judge no more until something changes."""

        def only_here(self, what: str) -> bool:
            """Say, in a browser, that something is done at the shop's own computer only; else False."""

        def open_page(self, title: str, lines: list[str]) -> None:
            """Open a page to read."""

        def show_group(self, group_id: str) -> None:
            """Show on the Plan where a group lies."""

        def show_zone(self, key: str) -> None:
            """Show a zone on the Plan."""

        def show_finding(self, finding: Finding, group_id: str | None) -> None:
            """Show a finding's spot on the Plan."""

        def carry_group(self, group_id: str, *, best: bool = False) -> None:
            """Take a group in hand on the Plan."""

        def carry_thing(self, key: str) -> None:
            """Take a movable thing of the shop in hand on the Plan."""

        def scan_code(self, code: str) -> None:
            """Open the scan line on what a scanner typed."""

        def call_roll(self, zone: str) -> None:
            """Call the roll of a place."""

        def print_place(self, zone: str) -> None:
            """Print the labels of a place."""

        def action_edit(self) -> None:
            """Open the shop file in an editor, where what is at hand is described."""

        def action_show_audit(self) -> Any:
            """Show the Audit."""


class InApp:
    """What is shown in the app: it asks everything of the app and of its desk."""

    @property
    def shopbins(self) -> Host:
        """The app."""
        return cast("Host", cast("Any", self).app)

    @property
    def desk(self) -> Desk:
        """The desk everything is asked of."""
        return self.shopbins.desk


class Styled(InApp, Screen[R]):
    """A screen that has all its styles from the start: each later pass over them keeps one waiting for it."""

    def __init__(self, **named: Any) -> None:
        super().__init__(**named)
        self._css_update_count = self.app._css_update_count  # it is of the theme there is
        width, height = self.app.size
        for wanted, size in ((self.HORIZONTAL_BREAKPOINTS, width), (self.VERTICAL_BREAKPOINTS, height)):
            reached = [name for least, name in wanted or () if size >= least]
            self.add_class(*reached[-1:], update=False)

    def _on_screen_resume(self, event: events.ScreenResume) -> None:
        """Look up styles anew only after another theme was taken."""
        event.refresh_styles = self._css_update_count != self.app._css_update_count
