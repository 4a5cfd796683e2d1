"""The signs of the screen in plain ASCII, for terminals without box lines: one for one, cell for cell."""

from __future__ import annotations

from collections.abc import Mapping

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

_SAME = {
    "#": "■█",
    "!": "▲",
    "o": "□",
    "*": "●◆",
    ":": "░",
    "%": "▓",
    "=": "▒▚═",
    ".": "·┄…",
    "/": "╱",
    "\\": "╲",
    ">": "▸►→",
    "<": "◂←",
    "v": "▾↓",
    "^": "▴↑",
    "+": "┌┐└┘├┤┬┴┼╭╮╰╯┏┓┗┛┣┫┳┻╋╸╺✛",
    "-": "─━╌╍╶╴–▁▂▃",
    "|": "│┃╎╏║╵╷╹╻▏▎▍▌▕▐",
    "x": "✗×",
    "y": "✓",
    "~": "≈",
    "_": "▄▅▔▀▆▇",
}
ASCII: Mapping[int, str] = {ord(sign): plain for plain, signs in _SAME.items() for sign in signs}
"""What each sign becomes; every one of both takes one cell."""

_BRAILLE = dict.fromkeys(range(10241, 10496), ".")
_TABLE = {**ASCII, **_BRAILLE, 0x2800: " ", **{ord(eighth): "#" for eighth in "▋▊▉"}}


def in_ascii(text: str) -> str:
    """Return a text with every sign of the screen in ASCII; other people's letters stay."""
    return text if text.isascii() else text.translate(_TABLE)


class PlainSigns(LineFilter):
    """Draws every line of the app in ASCII signs."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:  # noqa: ARG002
        """Replace the signs of one line."""
        return [Segment(in_ascii(s.text), s.style, s.control) for s in segments]


def wanted(glyphs: str, environ: Mapping[str, str]) -> bool:
    """Tell whether ASCII is wanted: asked for in the config file, or the terminal can draw nothing else."""
    return glyphs == "ascii" or (not glyphs and environ.get("TERM", "") in ("linux", "dumb"))
