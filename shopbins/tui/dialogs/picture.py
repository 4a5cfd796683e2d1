"""Photographs of a group: shown in the terminal where it can, else opened by the system; importing some."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.records.photos import kept_at, photos_of
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.base import Dialog
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.text import plain
from shopbins.tui.widgets.halfblocks import HalfBlocks, opened
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group
    from shopbins.records.photos import Photo, PhotosFound
    from shopbins.tui.host import Host

MOST_TOLD = 12


class Pictures(Dialog[None]):
    """A group's photographs, one at a time."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "close", "close", show=False),
        Binding("right,space,n,down", "turn(1)", show=False),
        Binding("left,up", "turn(-1)", show=False),
        Binding("enter,o", "open", show=False),
    ]
    DEFAULT_CSS = """
    Pictures > .box { width: 100%; height: 100%; }
    """

    def __init__(self, name: str, photos: Sequence[Photo]) -> None:
        super().__init__()
        self._name_shown, self._photos, self._at = name, list(photos), 0

    def compose(self) -> ComposeResult:
        """Lay the title, the picture and the hint under each other."""
        with Vertical(classes="box"):
            yield Static("", id="title", classes="title", markup=False)
            yield HalfBlocks(id="picture")
            yield Static("", id="why", classes="wrong", markup=False)
            yield Static("→ ← the others · enter opens it · esc closes", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Show the first."""
        self._show()

    def _show(self) -> None:
        photo = self._photos[self._at]
        when = f" · {photo.taken[:16].replace('T', ' ')}" if photo.taken else ""
        said = f"{self._name_shown} · {self._at + 1} of {len(self._photos)} · {photo.name}{when}"
        self.query_one("#title", Static).update(plain(said))
        image, why = None, self._why_not()
        if not why:
            try:
                image = opened(kept_at(self.desk.ledger.folder, photo))
            except ImportError:
                why = "showing pictures here needs Pillow: pip install 'shopbins[photos]'"
            except Exception as problem:  # whatever a damaged picture makes the library raise
                why = f"cannot be shown: {problem}"
        self.query_one("#why", Static).update(plain(f"{why} · enter opens it", 300) if why else "")
        self.query_one(HalfBlocks).look_at(image)

    def _why_not(self) -> str:
        """Say why this terminal shows no pictures, '' where it does."""
        if os.environ.get("NO_COLOR"):
            return "no pictures without colours (NO_COLOR)"
        few = self.app.console.color_system in (None, "standard", "windows")
        return "this terminal has too few colours for pictures" if few else ""

    def action_turn(self, way: int) -> None:
        """Show another."""
        self._at = (self._at + way) % len(self._photos)
        self._show()

    def action_open(self) -> None:
        """Open it with what the system opens pictures with."""
        path = kept_at(self.desk.ledger.folder, self._photos[self._at])
        problem = open_file(path)
        self.query_one("#why", Static).update(plain(problem or f"opened: {path}", 300))


def open_file(path: Path) -> str:
    """Have the system open a file; return what is wrong, '' where nothing is."""
    if not path.is_file():
        return f"{path}: that picture is gone"
    if sys.platform == "win32":
        os.startfile(path)
        return ""
    command = "open" if sys.platform == "darwin" else "xdg-open"
    try:
        subprocess.Popen(
            [command, str(path)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
    except OSError:
        return f"nothing here opens pictures ({command} is not installed); it lies at {path}"
    return ""


def show_photos(app: Host, group: Group) -> None:
    """Show a group's photographs."""
    photos = photos_of(app.desk.state, group.id)
    if photos:
        app.push_screen(Pictures(group.shown, photos))
    else:
        app.tell(
            f"no photographs of {group.shown}: shopbins photos FOLDER imports them, or F10 v on the Refit"
        )


# -- importing


def ask_folder(app: Host) -> None:
    """Ask for a folder of photographs, look through it in a thread, then ask whether to keep them."""

    def wrong(text: str) -> str | None:
        return None if Path(text).expanduser().is_dir() else f"there is no folder {text}"

    def given(text: str | None) -> None:
        if text:
            _look_through(app, Path(text).expanduser())

    app.push_screen(
        Ask(
            "Which folder of photographs?",
            example="a picture that shows a label starts that part's photographs",
            wrong=wrong,
        ),
        given,
    )


class Looking(Dialog[None]):
    """Says how far looking through the pictures is; keys wait."""

    BINDINGS: ClassVar[list[BindingType]] = []

    def compose(self) -> ComposeResult:
        """Say so."""
        with Vertical(classes="box"):
            yield Static("looking for labels ...", id="far", markup=False)

    def far(self, done: int, of: int) -> None:
        """Say how far it is."""
        self.query_one("#far", Static).update(f"looking for labels ... {done + 1} of {of}")

    def action_close(self) -> None:
        """Stay open until it is done."""


def _look_through(app: Host, folder: Path) -> None:
    notice = Looking()
    app.push_screen(notice)
    app.busy = True

    def work() -> None:
        found: PhotosFound | None = None
        problem: DeskError | None = None
        try:
            found = app.desk.read_photos(folder, lambda n, of: app.call_from_thread(notice.far, n, of))
        except DeskError as trouble:
            problem = trouble
        app.call_from_thread(done, found, problem)

    def done(found: PhotosFound | None, problem: DeskError | None) -> None:
        app.busy = False
        notice.dismiss(None)
        if problem is not None:
            app.tell(*problem.lines, bad=True)
        elif found is not None:
            _ask_keep(app, found)

    app.run_worker(work, thread=True, group="photos", exclusive=True, exit_on_error=False)


def _ask_keep(app: Host, found: PhotosFound) -> None:
    says = found_lines(app.desk, found)[:MOST_TOLD]
    if not found.runs:
        app.open_page("Photographs", ["no picture shows a label of this shop", *says])
        return
    choices = [Choice("yes", "keep them"), Choice("no", "keep none")]

    def chosen(answer: str | None) -> None:
        if answer == "yes":
            app.attempt(
                lambda: (app.desk.import_photos(found),),
                lambda kept: f"{counted(kept[0], 'photograph')} kept, {found.known} were known",
            )

    app.push_screen(Pick("Photographs", choices, says=says, digits=True), chosen)


def found_lines(desk: Desk, found: PhotosFound) -> list[str]:
    """Say what a folder holds, a line for each run."""
    lines = []
    for run in found.runs:
        names = [_called(desk, code) for code in run.codes]
        lines.append(
            f"{' and '.join(names)}: {counted(len(run.pictures), 'picture')} from {run.pictures[0].path.name}"
        )
    if found.untagged:
        lines.append(f"{counted(len(found.untagged), 'picture')} before the first label: not kept")
    lines += [f"{path.name}: {why}" for path, why in found.unread]
    return lines


def _called(desk: Desk, code: str) -> str:
    group_id = desk.state.by_code(code)
    return f"blank label {code}" if group_id is None else desk.state.group(group_id).shown
