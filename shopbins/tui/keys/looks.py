"""How the screen looks, from the palette: another theme, and a picture of what stands on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from shopbins.tui.theme import THEMES

if TYPE_CHECKING:
    from shopbins.tui.host import Host

KEPT_THEME = "theme"
"""Under this name a session keeps the theme chosen."""
PICTURES = {"svg": "a picture, for a browser", "txt": "plain text"}


def commands(app: Host) -> Iterator[tuple[str, str, Callable[[], None]]]:
    """Go through what the palette offers: its name, what it does, and what does it."""
    for theme in THEMES:
        now = "as it is now" if theme.name == app.theme else "other colours; stays for the next time"
        yield f"Theme: {theme.name}", now, partial(take_theme, app, theme.name)
    for kind, says in PICTURES.items():
        yield f"Screenshot: {kind}", f"write this screen beside the shop file as {says}", partial(
            write_picture, app, kind
        )  # fmt: skip


def take_theme(app: Host, name: str) -> None:
    """Show the app in another theme, now and the next time."""
    app.theme = name
    app.session[KEPT_THEME] = name
    mine = app.config.theme
    again = f"; keys.toml says '{mine}' for the next time" if mine and mine != name else ""
    app.tell(f"theme: {name}{again}")


def write_picture(app: Host, kind: str) -> None:
    """Write what stands on the screen into a file beside the shop file."""
    from shopbins.outputs import write_output

    if app.only_here("a picture of the screen"):
        return
    shop = app.desk.shop_path
    path = shop.with_name(f"{shop.stem}-screen-{datetime.now():%Y%m%d-%H%M%S}.{kind}")
    if kind == "svg":
        shown = app.export_screenshot(title=app.desk.shop.name)
    else:
        strips = app.screen._compositor.render_strips()
        shown = "\n".join(strip.text.rstrip() for strip in strips) + "\n"
    try:
        write_output(path, shown.encode("utf-8"))
    except OSError as problem:
        app.tell(f"{path}: not written ({problem.strerror or problem})", bad=True)
    else:
        app.tell(f"written: {path}")
