"""What is known of a group: its name, origin, size, mass, pieces, what becomes of it, how it is moved."""

from __future__ import annotations

from typing import Any

from shopbins.ledger.details import DETAILS
from shopbins.ledger.events import Draft
from shopbins.ledger.model import CONTAINERS, DISPOSITIONS
from shopbins.ledger.state import State
from shopbins.records import acts, acts_move, fitting, kinds, merging, shortage
from shopbins.records.record import Act, Field, Record


def change(
    state: State, group_id: str, *, reason: str = "", by: str = "", on: str | None = None, **fields: Any
) -> Draft:
    """Change what is known of a group; what becomes of it is judged (what is on is not scrapped)."""
    if fields.get("disposition") == "renew":
        more = {name: value for name, value in fields.items() if name != "disposition"}
        return shortage.renew(state, group_id, also=more)
    if "disposition" in fields:
        return fitting.dispose(state, group_id, reason=reason, by=by, on=on, **fields)
    return acts.change(state, group_id, **fields)


def away(
    state: State,
    group_id: str,
    to: str,
    until: str | None = None,
    reason: str | None = None,
    *,
    by: str = "",  # noqa: ARG001 - every signed act takes it
    on: str | None = None,
) -> Draft:
    """Send a group, with all in it, out of the shop until a date."""
    return acts.send_away(state, group_id, to, until, reason or "", on)


GROUP = Record(
    "group",
    "a part",
    "inlet valves, head 2, bag, 2 kg, 4 off",
    (
    Field("name", kinds.TEXT, "what it is called", "--name", "NAME"),
    Field("origin", kinds.ORIGIN, "where it came off: machine > assembly > position", "--origin"),
    Field("container", kinds.TEXT, f"what it is kept in: {', '.join(CONTAINERS)}", "--container", "KIND"),
    Field("size", kinds.SIZE, "length, width, height, as 300x200x150mm; 'unknown' takes it back", "--size"),
    Field("mass", kinds.MASS, "with all units, as 4kg or 'about 12 lb'; 'unknown' takes it back", "--mass"),
    Field("qty", kinds.COUNT, "how many pieces", "--qty"),
    Field("disposition", kinds.TEXT, f"what happens to it: {', '.join(DISPOSITIONS)}", "--disposition",
          "WORD"),
    Field("note", kinds.NOTE, "anything else worth knowing", "--note"),
    Field("cautions", kinds.TEXT, "what to beware of (may be repeated)", "--caution", many=True),
    Field("one_use", kinds.YES, "it is renewed whenever it comes off", "--one-use"),
    Field("counted", kinds.COUNTED,
          "how it is counted: pieces, holes, bag, later (not yet), never (no part: a tub)", "--counted"),
    Field("details", kinds.DETAIL,
          f"what checks ask for: {', '.join(DETAILS)} (may be repeated)", "--detail", many=True),
    Field("elsewhere", kinds.TEXT, "the project it is reused in", "--elsewhere", "PROJECT"),
    ),
    (),
)  # fmt: skip
"""What a person says of a group; its typed line is the screen's (`tui/parts/entryline.py`)."""

CHANGE = Act("change", "changed", change, "group", thing=kinds.GROUP, signed=True)
DESCRIBE = Act("describe", "said how to move", acts_move.describe, "group", thing=kinds.GROUP)
LIFT_OFF = Act("lift off", "lifted", acts.lift_off, "group", thing=kinds.GROUP)
AWAY = Act(
    "send away", "sent", away, "group",
    (
        Field("until", kinds.DATE, "when it is to be back, as 2026-12-24", "--until"),
        Field("reason", kinds.TEXT, "what is done to it there", "--for", "WHAT"),
    ),
    kinds.GROUP, signed=True,
)  # fmt: skip
BACK = Act("bring back", "brought back", acts.bring_back, "group", thing=kinds.GROUP)
SPLIT = Act(
    "split", "split", acts.split, "group",
    (
        Field("qty", kinds.COUNT, "how many pieces become a part of their own", "--qty"),
        Field("names", kinds.TEXT, "one piece with this name (may be repeated)", "--into", "NAME", many=True),
        Field("beyond", kinds.YES,
              "they are those beyond their limit; the rest is without their values", "--beyond"),
        Field("label", kinds.TEXT, "with --beyond: which label is on them, or new", "--label", "CODE"),
    ),
    kinds.GROUP,
)  # fmt: skip
MERGE = Act(
    "merge", "merged into", merging.merge, "group",
    (
        Field("group_ids", kinds.GROUP, "the one that stays, and those that become part of it", many=True),
        Field("anyway", kinds.TEXT, "why parts of two machines lie together", "--anyway", "REASON"),
    ),
    signed=True,
)  # fmt: skip
