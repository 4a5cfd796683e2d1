"""What is under the cursor, in as many lines as there is room for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.cells import cell_len
from rich.text import Text
from textual.geometry import Size
from textual.widget import Widget

from shopbins.tui.text import wrapped
from shopbins.tui.words import Under

SHORT = 5


def whole_facts(line: str, facts: Iterable[str], width: int) -> str:
    """Add facts to a line as long as they fit; none is cut."""
    for fact in (piece for each in facts for piece in each.split(" · ")):
        clauses = fact.split(", ")
        fits = [
            said
            for n in range(len(clauses), 0, -1)
            if cell_len(said := f"{line} · {', '.join(clauses[:n])}") <= width
        ]
        if not fits:
            break
        line = fits[0]
        if not line.endswith(clauses[-1]):
            break
    return line


class Told(Widget, can_focus=False):
    """The first thing in full, the others by their title and first line."""

    DEFAULT_CSS = "Told { width: 100%; padding: 0 1; }"

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._under: Sequence[Under] = ()

    def tell(self, found: Sequence[Under]) -> None:
        """Explain other things."""
        if list(found) != list(self._under):
            width = self.size.width
            before = len(self._lines(width))
            self._under = tuple(found)
            self.refresh(layout=not width or len(self._lines(width)) != before)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002
        """Take the lines that are told."""
        return len(self._lines(width))

    def _lines(self, width: int) -> list[tuple[str, str]]:
        out: list[tuple[str, str]] = []
        for number, each in enumerate(self._under):
            lines = each.lines if number == 0 else each.lines[:1]
            out.extend((line, "bold") for line in wrapped(each.title, max(10, width)))
            out.extend((line, "") for text in lines for line in wrapped(text, max(10, width - 1)))
        return out

    def _few(self, width: int, height: int) -> list[tuple[str, str]]:
        """Return the first thing on `height` - 1 lines and the others' titles on the last."""
        if not self._under:
            return []
        first, others = self._under[0], self._under[1:]
        if height == 1:
            return [(whole_facts(f"here: {first.title}", first.lines, width), "")]
        facts = wrapped(" · ".join(first.lines), max(10, width))[: max(1, height - 2)]
        out = [(first.title, "bold"), *((line, "") for line in facts)]
        if others:
            out.append(("also here: " + ", ".join(u.title for u in others), "dim"))
        return out[:height]

    def render(self) -> Text:
        """Draw it."""
        width, height = self.size.width, max(1, self.size.height)
        lines = self._lines(width)
        lines = self._few(width, height) if height < min(SHORT, len(lines)) else lines[:height]
        text = Text(no_wrap=True, overflow="ellipsis")
        for i, (line, style) in enumerate(lines):
            text.append(("\n" if i else "") + line, style)
        return text
