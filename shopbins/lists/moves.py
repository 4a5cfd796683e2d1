"""The steps of a move, in the order to do them."""

from __future__ import annotations

from typing import Any

from shopbins.lists.listing import Column, List

STEPS: List[dict[str, Any]] = List(
    "Steps of the move",
    "nothing is to be done",
    "",
    (
        Column("what", "what", lambda step: step["what"]),
        Column("title", "step", lambda step: step["title"], "step", 60, 1.0, 6.0,
               grade=lambda step: "dim" if step.get("done") else ""),
        Column("pose", "", lambda step: step.get("pose")),
        Column("keep", "keep", lambda step: step.get("keep", [])),
        Column("needs", "to be accepted", lambda step: step.get("needs", [])),
        Column("", "done", lambda step: step.get("done"), "done", paper=1.0),
    ),
    lambda step: f"{'[x]' if step.get('done') else '[ ]'} {step['title']}",
    boxed=True,
)  # fmt: skip
