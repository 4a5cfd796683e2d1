"""The labels to print, and why each; the layouts they may be printed on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from shopbins.lists.listing import Column, List

if TYPE_CHECKING:
    from shopbins.tags.due import Due
    from shopbins.tags.layout import Layout


def _why(due: Due) -> str:
    return "no label yet" if due.untagged else f"changed since it was printed: {', '.join(due.why)}"


DUE: List[Due] = List(
    "Labels to print",
    "every label is there and up to date",
    "",
    (
        Column("code", "code", lambda due: due.code, "code", paper=1.4),
        Column("name", "name", lambda due: due.shown, "of", paper=3.0),
        Column("why", "why", lambda due: list(due.why), "why", paper=3.6, text=_why),
    ),
    lambda due: f"{due.code or '(no code yet)':14} {due.shown}: {_why(due)}",
)


def _layout(each: Layout) -> str:
    width, height = each.label_mm
    return f"{each.name:20} {each.per_page:3} {each.form:8} {width:g} x {height:g} mm  {each.source}"


LAYOUTS: List[Layout] = List(
    "Label layouts",
    "there is no label layout",
    "",
    (
        Column("name", "name", lambda each: each.name, "name", paper=2.0),
        Column("form", "form", lambda each: each.form, "form", paper=1.0),
        Column("labels", "labels", lambda each: each.per_page, "a page", paper=0.8),
        Column("label_mm", "label mm", lambda each: list(each.label_mm), "mm", paper=1.2,
               text=lambda each: "{:g} x {:g}".format(*each.label_mm)),
        Column("sheet_mm", "sheet mm", lambda each: list(each.sheet_mm)),
        Column("dpi", "dpi", lambda each: each.dpi),
        Column("source", "source", lambda each: each.source, "source", paper=2.6),
        Column("file", "file", lambda each: each.file),
    ),
    _layout,
)  # fmt: skip
