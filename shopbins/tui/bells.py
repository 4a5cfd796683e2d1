"""The bell after each scan: once for what went well, three times for what did not."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.app import App

BETWEEN_S = 0.16
"""Between the rings of a bad result, so that terminals do not make one of them."""


def ring(app: App[int], *, ok: bool) -> None:
    """Ring at once; a bad result rings on."""
    app.bell()
    if not ok:
        for turn in (1, 2):
            app.set_timer(turn * BETWEEN_S, app.bell)
