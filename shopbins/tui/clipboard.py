"""What goes out of the app and back: a line to the clipboard, the shop file into an editor."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, cast

from textual.app import SuspendNotSupported

from shopbins.tui.place import Place
from shopbins.tui.text import plain

if TYPE_CHECKING:
    from shopbins.tui.host import Host

COLON_LINE = ("hx", "helix", "subl", "zed", "micro")
"""Editors that take 'file:line'; the others take '+line file', as vi did (common practice, no source)."""

IF_NONE_IS_SET = ("sensible-editor", "nano", "vi")


def editor_command(path: Path, line: int, environ: Mapping[str, str] = os.environ) -> list[str] | None:
    """Return the command that opens the user's editor at a line: $VISUAL, $EDITOR, else a usual one."""
    given = environ.get("VISUAL") or environ.get("EDITOR") or ""
    try:
        words = shlex.split(given)
    except ValueError:
        words = given.split()
    if not words:
        words = [each for each in IF_NONE_IS_SET if shutil.which(each)][:1]
    if not words:
        return None
    name = Path(words[0]).stem
    if name in ("code", "codium", "code-insiders"):
        return [*words, "--wait", "--goto", f"{path}:{line}"]
    return [*words, f"{path}:{line}"] if name in COLON_LINE else [*words, f"+{line}", str(path)]


class Outward:
    """The actions that go out of the app, mixed into it."""

    _copied: tuple[str, ...] = ()
    _copied_at = 0

    @property
    def _shopbins(self) -> Host:
        return cast("Host", self)

    def action_copy(self) -> None:
        """Copy what is at hand: its code, pressed again the whole line."""
        app = self._shopbins
        texts = app.screen.copied() if isinstance(app.screen, Place) else ()
        if not texts:
            app.tell("nothing here to copy", bad=True)
            return
        self._copied_at = (self._copied_at + 1) % len(texts) if texts == self._copied else 0
        self._copied = texts
        text = texts[self._copied_at]
        app.copy_to_clipboard(text)
        app.tell(f"sent to the terminal's clipboard: {plain(text, 60)}; if it did not arrive: export")

    def action_edit(self) -> None:
        """Open the shop file in the user's editor, at what is at hand; read it again afterwards."""
        from shopbins.shop.lines import line_of

        app = self._shopbins
        if app.only_here("the editor"):
            return
        path = app.desk.shop_path
        key, level = app.screen.described() if isinstance(app.screen, Place) else ("", "")
        problem = next(iter(app.desk.shop_problems), None)
        line = problem.line if problem is not None else line_of(path, key, level) if key else 1
        command = editor_command(path, line)
        if command is None:
            app.tell(f"no editor is named in $EDITOR: open {path} at line {line} yourself", bad=True)
            return
        try:
            with app.suspend():
                left = subprocess.run(command, check=False).returncode
        except SuspendNotSupported:
            app.tell(f"no other program can be shown here: open {path} at line {line} yourself", bad=True)
            return
        except OSError as trouble:
            app.tell(f"{command[0]}: cannot be run ({trouble.strerror or trouble})", bad=True)
            return
        app.refresh()
        self._read_again(left, command[0])

    def _read_again(self, left: int, editor: str) -> None:
        app = self._shopbins
        app.poll()
        if problems := app.desk.shop_problems:
            lines = ["the last good one stays in use", "", *map(str, problems)]
            app.open_page("The shop file is wrong", lines)
        elif left:
            app.tell(f"{editor} ended with {left}; the shop file is as it now reads", bad=True)
        else:
            app.tell("the shop file is as it now reads")
