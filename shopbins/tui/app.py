"""The app: opens on the Plan, keeps what every place shares, and watches for others' changes."""

from __future__ import annotations

import gc
import importlib
import os
import time
import traceback
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from rich.cells import cell_len
from rich.text import Text
from textual import work
from textual._styles_cache import StylesCache
from textual.app import App
from textual.await_complete import AwaitComplete
from textual.binding import BindingType
from textual.filter import ANSIToTruecolor, Monochrome, NoColor
from textual.screen import Screen
from textual.widgets import Input
from textual.worker import get_current_worker

from shopbins.desk.problems import DeskError
from shopbins.desk.scan import ScanState
from shopbins.tui import plainsigns
from shopbins.tui.host import Host
from shopbins.tui.keys.actions import KEYS_TOLD, bindings, changed_keys_page
from shopbins.tui.keys.config import Config, config_path, misspelt, read_config
from shopbins.tui.keys.everywhere import Anywhere
from shopbins.tui.keys.looks import KEPT_THEME
from shopbins.tui.keys.palette import ActionsProvider, Palette
from shopbins.tui.place import Place
from shopbins.tui.plan.screen import PlanScreen
from shopbins.tui.session import keep_session, read_session, session_path
from shopbins.tui.text import plain
from shopbins.tui.theme import CSS, OWN_VARIABLES, THEMES, usual_theme

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.rules.finding import Finding

POLL_S = 1.0
AUDIT_AFTER_S = 0.3
SAID_S = 6.0
TELL_AUDIT_S = 0.15
WARMED = (
    "shopbins.rules.auditing",
    "shopbins.tui.plan.clearance",
    "shopbins.tui.parts.screen",
    "shopbins.tui.audit.screen",
    "shopbins.tui.move.screen",
    "shopbins.tui.refit.screen",
    "rapidfuzz",
    "shapely",
)
"""What is imported in a thread once the first frame stands."""

T = TypeVar("T")


def _parts() -> Screen[Any]:
    """Make the Parts when first gone to."""
    from shopbins.tui.parts.screen import PartsScreen

    return PartsScreen()


def _audit() -> Screen[Any]:
    """Make the Audit when first gone to."""
    from shopbins.tui.audit.screen import AuditScreen

    return AuditScreen()


def _move() -> Screen[Any]:
    """Make the Move when first gone to."""
    from shopbins.tui.move.screen import MoveScreen

    return MoveScreen()


def _refit() -> Screen[Any]:
    """Make the Refit when first gone to."""
    from shopbins.tui.refit.screen import RefitScreen

    return RefitScreen()


def _draw() -> Screen[Any]:
    """Make Draw when first gone to."""
    from shopbins.tui.draw.screen import DrawScreen

    return DrawScreen()


class ShopbinsApp(Anywhere, Host):
    """The app over one desk. `plain_start` leaves the opening panel out; `today` is for pictures."""

    TITLE = "shopbins"
    CSS = CSS
    COMMANDS: ClassVar[Any] = {ActionsProvider}
    BINDINGS: ClassVar[list[BindingType]] = [*bindings("everywhere")]
    MODES: ClassVar[dict[str, str | Callable[[], Screen[Any]]]] = {
        "plan": PlanScreen,
        "parts": _parts,
        "audit": _audit,
        "move": _move,
        "refit": _refit,
        "draw": _draw,
    }
    DEFAULT_MODE = "plan"

    def __init__(
        self,
        desk: Desk,
        *,
        config: Config | None = None,
        plain_start: bool = False,
        today: Callable[[], date] = date.today,
    ) -> None:
        self._session_path = None if plain_start else session_path(desk.shop_path)
        self.session = {} if self._session_path is None else read_session(self._session_path)
        if self.session.get("place") in self.MODES:
            self.DEFAULT_MODE = self.session["place"]  # type: ignore[misc]  # Textual reads it of the app
        if desk.shop_mending:
            self.DEFAULT_MODE = "draw"  # type: ignore[misc]  # it is to be put right there
        super().__init__()
        self.today = today
        self.desk = desk
        self.config = config if config is not None else read_config(config_path())
        self.keys: dict[str, str] = dict(self.config.keys)
        self.findings: list[Finding] | None = None
        self.findings_seq = -1
        self.auditing = False
        self.audited = 0.0
        self.scanned = ScanState()
        self.marked: dict[str, None] = {}
        self.others_new = 0
        self._drawn = desk.version
        self.busy = False
        self.served = bool(os.environ.get("SHOPBINS_SERVED"))
        self._plain_start = plain_start or desk.shop_mending
        self._said: Text | None = None
        self._said_timer: Any = None
        self._trouble: tuple[str, ...] = ()
        self._asked_exchange: Screen[Any] | None = None
        self._audit_timer: Any = None
        self._take_theme()
        if plainsigns.wanted(self.config.glyphs, os.environ):
            self._filters.append(plainsigns.PlainSigns())

    def _take_theme(self) -> None:
        """Have the theme before anything is drawn: a change later costs a second pass over all styles."""
        for theme in THEMES:
            self.register_theme(theme)
        wanted = self.config.theme
        if wanted and wanted not in self.available_themes:
            near = misspelt(wanted, list(self.available_themes))
            self.config = replace(
                self.config, problems=(*self.config.problems, f"no theme '{wanted}': did you mean '{near}'?")
            )
            wanted = ""
        kept = self.session.get(KEPT_THEME)
        wanted = wanted or (kept if kept in self.available_themes else "")
        self.set_reactive(App.theme, wanted or usual_theme(os.environ, self.console.color_system))
        self.stylesheet.set_variables(self.get_css_variables())
        if self.native_ansi_color:  # as Textual does when a theme is changed: no pink for the terminal's red
            for number, each in enumerate(self._filters):
                if isinstance(each, ANSIToTruecolor):
                    each.enabled = False
                elif isinstance(each, Monochrome):
                    self._filters[number] = NoColor()

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return the colours of our own that a theme need not bring."""
        return dict(OWN_VARIABLES)

    def on_mount(self) -> None:
        """Take the user's keys and looks, then let the slow things start behind the first frame."""
        self.set_keymap(self.keys)
        self.animation_level = "none"
        self.set_interval(POLL_S, self.poll)
        self.call_after_refresh(self._after_first_frame)

    def _after_first_frame(self) -> None:
        if not gc.isenabled():
            gc.freeze()
            gc.enable()
        if self.config.problems:
            self.tell(*self.config.problems, bad=True)
        if self.desk.only_looking:
            self.say_only_looking()
        if self.desk.shop_mending:
            said = [each.what for each in self.desk.shop_problems[:3]]
            self.tell(*said, "put it right here: tab goes from thing to thing, enter takes one", bad=True)
        self.say_remarks()
        self.warm()
        self.judge_soon()
        if not self._plain_start and self.session and self.session.get("keys") != KEYS_TOLD:
            self.open_page("Some keys have changed", changed_keys_page())
        if not self._plain_start:
            self.open_last_evening(only_if_due=True)

    def action_command_palette(self) -> None:
        """Open the palette, where it is not open yet."""
        if not isinstance(self.screen, Palette):
            self.push_screen(Palette())

    def pop_screen(self) -> AwaitComplete:
        """Close a screen and let go of all that was drawn on it: a cache of 1,024 colours would keep it."""
        StylesCache.get_inner_outer.cache_clear()
        return super().pop_screen()

    def exit(self, *args: Any, **more: Any) -> None:
        """Leave; where one is now is kept for the next time."""
        if self._session_path is not None and self.is_running:
            kept = {place.shown: place.remember() for place in self._places()}
            told = {"place": self.current_mode, "keys": KEYS_TOLD}
            keep_session(self._session_path, {**self.session, **kept, **told})
        super().exit(*args, **more)

    @work(thread=True, group="warm")
    def warm(self) -> None:
        """Import what laying down will need while nobody waits for it."""
        for name in WARMED:
            importlib.import_module(name)

    # --- what happened ------------------------------------------------------------------------------------

    def poll(self) -> None:
        """Look whether the shop file or another terminal changed something."""
        if self.busy:
            return
        looking = bool(self.desk.only_looking)
        try:
            self.desk.refresh()
        except DeskError as problem:
            again = problem.lines == self._trouble
            self._trouble = problem.lines
            if self.desk.ledger.exchanged and not self.desk.ledger.gone and not again:
                self.ask_about_exchange()
            elif self.desk.only_looking and not self.desk.ledger.gone and not again:
                self.bell()
                self.say_only_looking()
            else:
                self.tell(*problem.lines, bad=True, again=again)
            return
        self._trouble = ()
        if looking and not self.desk.only_looking:
            self.back_in_place()
        self.say_remarks()
        self.show_news()

    def show_news(self) -> None:
        """Redraw where the state is another than was drawn, whoever read it."""
        if self.desk.version != self._drawn:
            self.changed()

    def say_only_looking(self) -> None:
        """Say why nothing can be recorded, on a page, and from now on at the foot."""
        self.open_page("To look only: nothing can be recorded", list(self.desk.only_looking))
        self.fill_lines()

    def say_remarks(self) -> None:
        """Say what the ledger has to remark, such as that a record may be missing."""
        if remarks := self.desk.remarks():
            self.tell(*remarks, bad=True)

    def ask_about_exchange(self) -> None:
        """Ask what is to hold, now that another journal has taken the place of the one recorded in."""
        from shopbins.tui.dialogs.pick import Choice, Pick

        choices = (
            Choice("look", "go on looking", "what was on the screen; nothing is recorded"),
            Choice("there", "go on with what is there now", "what it lacks is lost"),
        )

        def chosen(value: str | None) -> None:
            if value == "there":
                self.attempt(self.desk.take_what_is_there, "going on with what is there")
            self.fill_lines()

        says = [self.desk.ledger.exchanged, "Put the right files back, and this goes on by itself."]
        self.bell()
        asked = Pick(
            "The ledger was exchanged under this program", choices, says=says, digits=True, by_itself=True
        )
        self._asked_exchange = asked
        self.push_screen(asked, chosen)

    def back_in_place(self) -> None:
        """Go on by itself once the ledger can be followed again; what was asked about it is settled."""
        if self._asked_exchange is not None and self._asked_exchange is self.screen:
            self._asked_exchange.dismiss(None)
        self._asked_exchange = None
        self.tell("the ledger is as it should be again: recording goes on")

    def changed(self) -> None:
        """Redraw every place from the new state and judge the shop again."""
        self.others_new += self.desk.others_since(self._drawn)
        self._drawn = self.desk.version
        self.judge_soon()
        for screen in self._places():
            if screen in self.screen_stack:
                screen.state_changed()
            else:
                screen.stale = True

    def _places(self) -> Iterable[Place]:
        """Return the places that are open: none once the app closes, while a thread may still tell."""
        stacks = list(self._screen_stacks.values()) if self.is_running else []
        return [
            screen for stack in stacks for screen in stack if isinstance(screen, Place) and screen.is_mounted
        ]

    def attempt(self, ask: Callable[[], T], done: Callable[[T], str] | str = "") -> T | None:
        """Ask something of the desk; say what came of it in one line, redraw, and return the answer."""
        try:
            answer = ask()
        except DeskError as problem:
            self.tell(*problem.lines, bad=True)
            return None
        self.changed()
        said = done(answer) if callable(done) else done
        if said:
            self.tell(said)
        return answer

    def tell(self, *lines: str, bad: bool = False, again: bool = False) -> None:
        """Say something at the foot, above the keys, for a while; a page opens for what does not fit there.

        `again` for what was told before and still is so: no bell, no page. What is said was judged by the
        newest state, which a refused act may have read: that is shown with it.
        """
        self.show_news()
        first = plain(lines[0] if lines else "", 500)
        self._said = Text(f" {'!' if bad else '✓'} {first}", "bold" if bad else "")
        if bad and not again:
            self.bell()
        if self._said_timer is not None:
            self._said_timer.stop()
        self._said_timer = self.set_timer(SAID_S, self.hush)
        self.fill_lines()
        too_long = bad and cell_len(first) + 3 > self.size.width
        if (len(lines) > 1 or too_long) and not again:
            self.open_page("Problem", list(lines))

    def hush(self) -> None:
        """Take away what was last said."""
        if self._said is not None:
            self._said = None
            self.fill_lines()

    def said_line(self) -> Text | None:
        """Return what was last said, while it is to be shown."""
        return self._said

    def fill_lines(self) -> None:
        """Write the lines of the place shown."""
        for screen in self.screen_stack if self.is_running else ():
            if isinstance(screen, Place):
                screen.fill_lines()

    # --- the audit ----------------------------------------------------------------------------------------

    def judge_soon(self) -> None:
        """Judge the whole shop shortly, once for several changes in a row."""
        self.auditing, self.audited = True, 0.0
        if self._audit_timer is not None:
            self._audit_timer.stop()
        self._audit_timer = self.set_timer(AUDIT_AFTER_S, self.judge_now)

    @work(thread=True, exclusive=True, group="audit")
    def judge_now(self) -> None:
        """Judge the whole shop in a thread; a later change cancels this one."""
        from shopbins.rules.auditing import AuditStopped

        worker = get_current_worker()
        told_at = time.monotonic()

        def heard(share: float) -> bool:
            nonlocal told_at
            if not worker.is_cancelled and time.monotonic() - told_at > TELL_AUDIT_S:
                self.call_from_thread(self._audit_at, share)
                told_at = time.monotonic()
            return not worker.is_cancelled

        scene = self.desk.scene()
        seq = scene.state.seq
        try:
            findings = self.desk.audit(self.today(), heard)
        except AuditStopped:
            return
        except DeskError as problem:
            if not worker.is_cancelled:
                self.call_from_thread(self.tell, *problem.lines, bad=True)
            return
        if not worker.is_cancelled:
            self.call_from_thread(self._judged, findings, seq)

    def _audit_at(self, share: float) -> None:
        """Show how far the judging is."""
        if self.auditing:
            self.audited = share
            self.fill_lines()

    def stop_judging(self) -> None:
        """Judge no more until something changes or one asks for it."""
        if self._audit_timer is not None:
            self._audit_timer.stop()
        self.workers.cancel_group(self, "audit")
        self.auditing = False
        for screen in self._places():
            screen.findings_changed()

    def _judged(self, findings: list[Finding], seq: int) -> None:
        self.findings, self.findings_seq, self.auditing = findings, seq, seq != self.desk.seq
        for screen in self._places():
            screen.findings_changed()

    # --- in a browser ---

    def only_here(self, what: str) -> bool:
        """Say, in a browser, that something is done at the shop's own computer only; else False."""
        if self.served:
            self.tell(f"{what}: only at the shop's own computer, not in a browser", bad=True)
        return self.served

    # --- keys ---------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Keep letters for typing where a text is typed, and the places' keys for places."""
        if action == "scan":
            return not isinstance(self.focused, Input) and not getattr(self.screen, "takes_letters", False)
        return True

    def _fatal_error(self) -> None:
        """Say an error of the program's own in one line; what Textual would print goes to a file."""
        where = keep_trace(traceback.format_exc())
        error = self._exception
        said = f"{type(error).__name__}: {error}" if error is not None else "an error"
        line = (
            f"shopbins stopped at a fault of its own ({said}). Everything it said it saved is on the disk. "
        )
        self.panic(Text(plain(f"{line}details: {where}", 600), no_wrap=True, overflow="ignore"))


def run(desk: Desk, **how: Any) -> int:
    """Open the app on a desk, `how` as for `App.run`; return the exit status."""
    gc.disable()  # nothing made before the first frame is garbage: looking for it took a tenth of the time
    try:
        app = ShopbinsApp(desk)
        app.run(**how)
    finally:
        gc.enable()
    return app.return_code or 0


def keep_trace(trace: str) -> str:
    """Write a trace where the system keeps logs; return where, or why not."""
    from platformdirs import user_log_path

    path = user_log_path("shopbins") / "fault.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(trace, encoding="utf-8")
    except OSError as problem:
        return f"not kept ({problem.strerror or problem})"
    return str(path)
