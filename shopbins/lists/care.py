"""The list of care that comes round again, the most pressing first."""

from __future__ import annotations

from shopbins.lists.listing import Column, List
from shopbins.strip.care import Care

CARE: List[Care] = List(
    "Care",
    "no recurring care is recorded",
    "The most pressing first.",
    (
        Column("", "", lambda each: "▲ overdue" if each.overdue else "", "", 9,
               grade=lambda each: "correct" if each.overdue else ""),
        Column("name", "name", lambda each: each.name),
        Column("machine", "machine", lambda each: each.machine),
        Column("done", "done", lambda each: each.done),
        Column("due", "due", lambda each: each.due),
        Column("due_hours", "due at hours", lambda each: each.due_hours),
        Column("overdue", "overdue", lambda each: each.overdue),
        Column("gone", "no longer to be had", lambda each: each.gone or None),
        Column("instead", "instead", lambda each: each.instead or None),
        Column("sentence", "when", lambda each: each.sentence, "when", 50, 2.0, 4.0,
               grade=lambda each: "correct" if each.overdue else ""),
        Column("", "", lambda each: each.machine, "machine", 14, 0.4, 1.0, grade=lambda _each: "dim"),
    ),
    lambda each: ("! " if each.overdue else "  ") + each.sentence,
)  # fmt: skip
