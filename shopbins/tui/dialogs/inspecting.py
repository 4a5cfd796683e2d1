"""The line for an inspection: what was measured, the value, its limits; judged as one types."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from shopbins.desk.problems import DeskError
from shopbins.ledger.problems import BadValue
from shopbins.records.inspection import INSPECT, INSPECTION
from shopbins.strip.work import Judged, inspections, judge
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.dialogs.base import Dialog, TypedLine
from shopbins.tui.text import plain

GLYPH = {"within": "✓", "beyond": GRADE_GLYPH["stop"], "not judged": "?"}


class Inspecting(Dialog[str]):
    """Records one inspection of a group; gives the verdict."""

    def __init__(self, group_id: str) -> None:
        super().__init__()
        self._group = group_id

    def compose(self) -> ComposeResult:
        """Lay what was measured before, the line and the judgement under each other."""
        group = self.desk.state.group(self._group)
        with Vertical(classes="box"):
            yield Static(plain(f"Inspection of {group.shown}"), classes="title", markup=False)
            for each in inspections(self.desk.state, group)[-5:]:
                yield Static(plain(f"  {GLYPH[each.verdict]} {each.told}"), classes="says", markup=False)
            yield TypedLine(placeholder=INSPECTION.example, id="typed")
            yield Static("", id="verdict", classes="says", markup=False)
            yield Static("mm, um, thou, 1 3/8 in, M10x1.25 · at least, at most, X to Y, is M10", classes="hint", markup=False)  # noqa: E501  # fmt: skip
            yield Static("enter saves · esc cancels", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Begin with the line."""
        self.query_one(TypedLine).focus()

    def on_input_changed(self, event: TypedLine.Changed) -> None:
        """Judge what is typed."""
        text, said = event.value.strip(), ""
        if text.count(",") >= 1:
            try:
                found = self._judged(self._read(text))
                said = f"{GLYPH[found.verdict]} {found.text}"
            except BadValue as problem:
                said = f"  {problem}"
        self.query_one("#verdict", Static).update(plain(said, 300))

    def _read(self, text: str) -> dict[str, Any]:
        return INSPECTION.read(text, self.shopbins.today())

    def _judged(self, read: Mapping[str, Any]) -> Judged:
        """Judge by the limits typed, else by those the same was judged by the last time."""
        known = inspections(self.desk.state, self.desk.state.group(self._group))
        last = next((x for x in reversed(known) if x.what.casefold() == read["what"].casefold()), None)
        low, high = read.get("low", ""), read.get("high", "")
        if last is not None and not low and not high:
            low, high = last.low, last.high
        return judge(read["measured"], low, high)

    def on_input_submitted(self, event: TypedLine.Submitted) -> None:
        """Record it."""
        event.stop()
        text = event.value.strip()
        if not text:
            self.dismiss(None)
            return
        try:
            read = self._read(text)
            found = self._judged(read)
            self.desk.do(INSPECT(self._group, **read))
        except (BadValue, DeskError) as problem:
            self.query_one("#verdict", Static).update(plain(f"! {problem}", 300))
            self.app.bell()
            return
        self.dismiss(found.verdict)
