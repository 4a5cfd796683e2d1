"""What the move planned before took off and shifted, by the steps ticked, and has not put back yet.

Asked anew from a halt, a move takes these steps over: its answer knows only what is on the thing now.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from shopbins.answer import Part
from shopbins.ledger.docs import where_from
from shopbins.ledger.model import InGroup, InZone
from shopbins.ledger.state import State
from shopbins.moves.finding import Check
from shopbins.moves.situation import Situation
from shopbins.records.acts_move import planned
from shopbins.records.moving import moving_of

BACK = Check(
    "move-back-on",
    "What the move planned before took off goes back on",
    "what is on record: the steps ticked of planned moves",
    "derived",
    "look at the room there, and at who or what puts it on",
)

LAID = Check(
    "move-still-laid",
    "What the move planned before laid lies there still",
    "what is on record: the steps ticked of planned moves",
    "derived",
    "look how it lies; it is taken up at the end",
)

Step = Mapping[str, Any]


def still_off(state: State, group_id: str) -> list[Step]:
    """Return the steps of its planned move that put parts back on that are off now, with those of the hoist
    for them (`for`, the part), in their order.
    """
    doc = planned(state, group_id) or {}
    left = [step for step in doc.get("steps", ()) if not step.get("done")]
    off = {step["part"] for step in left if step["what"] == "put back" and _is_off(state, group_id, step)}
    return [step for step in left if {step.get("part"), step.get("for")} & off and step["what"] != "take off"]


def _is_off(state: State, group_id: str, step: Step) -> bool:
    told = moving_of(state.group(group_id)).comes_off
    part = next((each for each in told if each.name == step["part"]), None)
    if part is None or not part.group:
        return part is not None and part.off
    if not state.has_group(part.group):
        return False
    where = state.group(part.group).where
    return not (isinstance(where, InGroup) and where.group == group_id)


def still_shifted(state: State, group_id: str) -> list[Step]:
    """Return the steps of its planned move that shift back what lies elsewhere now, where one shifted it."""
    doc = planned(state, group_id) or {}
    steps = [step for step in doc.get("steps", ()) if step["what"] == "shift"]
    done = {_thing(step) for step in steps if step.get("done") or step.get("again")}
    return [s for s in steps if not s.get("done") and _thing(s) in done and not _is_there(state, s)]


def still_laid(state: State, group_id: str) -> list[str]:
    """Return what the steps of its planned move laid, in the words of those, and have not taken up yet."""
    doc = planned(state, group_id) or {}
    steps = doc.get("steps", ())
    laid = {step["lays"] for step in steps if step.get("lays") and step.get("done")}
    laid |= {step["takes up"] for step in steps if step.get("takes up") and step.get("lies")}
    left = dict.fromkeys(step["takes up"] for step in steps if step.get("takes up") and not step.get("done"))
    return [words for words in left if words in laid]


def lies_still(it: Situation) -> Iterator[Part]:
    """Ask that what the move planned before laid be looked at, as it lies there."""
    for words in still_laid(it.scene.state, it.body.group.id):
        text = (
            f"{words}: laid by the steps ticked of the move planned before, there still: how it lies, and "
            "that nobody stumbles over it, is looked at; taken up at the end"
        )
        said, subjects = f"{words}, still there: looked at", (*it.subjects, f"laid:{words}")
        yield LAID.only(subjects, said, text, judged=False)


def _thing(step: Step) -> str:
    return str(step.get("thing") or step.get("group"))


def _is_there(state: State, step: Step) -> bool:
    """Tell whether what a step shifts lies where that puts it, or on no place of its own."""
    if "thing" in step:
        place = state.things().get(step["thing"])
        return place is not None and [place.x_mm, place.y_mm, place.turn_deg] == list(step["at"])
    if not state.has_group(step["group"]):
        return True
    where, to = state.group(step["group"]).where, where_from(step["to"])
    return not isinstance(where, InZone) or not isinstance(to, InZone) or where[:5] == to[:5]


def goes_back(it: Situation) -> Iterator[Part]:
    """Ask that it be looked at how parts go back on that the move planned before took off."""
    for step in still_off(it.scene.state, it.body.group.id):
        if step["what"] == "put back":
            text = (
                f"{step['part']} is off by the steps ticked of the move planned before, and is put back on "
                f"in {it.goal.name}: room for that there, and who or what does it, is not checked anew"
            )
            words = f"{step['part']} back on in {it.goal.name}: looked at"
            yield BACK.only((*it.subjects, f"part:{step['part']}"), words, text, judged=False)
