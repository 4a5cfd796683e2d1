"""What the typed lines share: a box at the foot over the place, lines told above what is typed."""

from __future__ import annotations

from typing import Generic, TypeVar

from shopbins.tui.dialogs.base import Dialog

R = TypeVar("R")


class FootDialog(Dialog[R], Generic[R]):
    """A dialog that lies at the foot, so that the place stays in sight."""

    DEFAULT_CSS = """
    FootDialog { align: center bottom; background: transparent; }
    FootDialog > .box { width: 100%; max-height: 100%; margin: 0 0 1 0; }
    FootDialog .log { height: auto; max-height: 8; width: 100%; }
    FootDialog .read { height: auto; max-height: 3; color: $hint; width: 100%; }
    FootDialog .big { text-style: bold reverse; width: auto; height: 1; padding: 0 2; }
    """
