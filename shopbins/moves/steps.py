"""A plan as steps to tick off, as kept in the ledger: parts off, things shifted, the move, parts back on.

A step is a plain document: `what` (take off, shift, move, put back), `title`, and what is then recorded.
Poses are in the frame of the zone named.
"""

from __future__ import annotations

from typing import Any

from shopbins.ledger.docs import outline_doc, size_doc, where_doc
from shopbins.ledger.model import InZone
from shopbins.moves.body import Projection
from shopbins.moves.plan import Plan
from shopbins.moves.remainder import left_of, moved_reference, where_left
from shopbins.moves.shiftlist import Shifted
from shopbins.moves.where import where_at
from shopbins.scene.scene import Scene
from shopbins.units import show_mass, show_point

Step = dict[str, Any]


def steps_of(scene: Scene, plan: Plan) -> list[Step]:
    """Return the steps of a plan that goes, in the order to do them."""
    steps = [_off(scene, plan, part) for part in plan.off_first]
    steps += [_shift(each) for each in plan.shift]
    steps.append(_move(scene, plan))
    steps += [_back(plan, part) for part in reversed(plan.off_first)]
    return [{key: value for key, value in step.items() if value is not None} for step in steps]


def _off(scene: Scene, plan: Plan, part: Projection) -> Step:
    place = plan.resting.get(part.called)
    last = plan.off_first[-1] is part
    left = left_of(plan.body)
    where = where_left(scene, plan.body.group, left)
    mass = "not weighed" if part.mass is None else show_mass(part.mass.kg, about=part.mass.about)
    to = "" if place is None else f", lay it on {place.zone}{f'/{place.level}' if place.level else ''}"
    step: Step = {
        "what": "take off",
        "title": f"take off {part.name} ({mass}){to}",
        "part": part.name,
        "group": part.group or None,
        "to": None if place is None else where_doc(place),
    }
    if last:  # what is left is recorded once, with the last part
        step |= {
            "size": size_doc(left.size),
            "outline": outline_doc(left.outline),
            "where": None if where is None else where_doc(where),
            "middle": list(left.middle_mm),
        }
    return step


def _shift(it: Shifted) -> Step:
    mass = "not weighed" if it.mass_kg is None else show_mass(it.mass_kg)
    at = ""
    if it.pose is not None:
        at = f" at {show_point(it.pose['x_mm'], it.pose['y_mm'])}"
        if it.pose["turn_deg"]:
            at += f", turned {it.pose['turn_deg']:g} deg"
    step: Step = {"what": "shift", "title": f"shift {it.name} ({mass}) to {it.place_words}{at}"}
    if it.where is not None:
        return {**step, "group": it.subject.partition(":")[2], "to": where_doc(it.where)}
    assert it.place is not None
    place = it.place
    return {
        **step,
        "thing": place.key,
        "at": [place.x_mm, place.y_mm, place.turn_deg],
    }


def goal_place(scene: Scene, plan: Plan) -> InZone | None:
    """Return where the thing is to be recorded, for the middle of what is left of it."""
    zone = scene.zone(plan.place)
    if zone is None or plan.goal is None:
        return None
    return where_at(zone, plan.level, moved_reference(plan.goal, left_of(plan.body).middle_mm))


def _move(scene: Scene, plan: Plan) -> Step:
    where = goal_place(scene, plan)
    gear = "" if plan.gear is None else f" on {plan.gear.gear.name}"
    doors = f" by {', '.join(plan.route)}" if plan.route else ""
    return {
        "what": "move",
        "title": f"move {plan.name}{gear}{doors} to {plan.place}",
        "group": plan.group,
        "to": None if where is None else where_doc(where),
    }


def _back(plan: Plan, part: Projection) -> Step:
    first = plan.off_first[-1] is part  # the first to go back: the box grows again with it
    group = plan.body.group
    step: Step = {
        "what": "put back",
        "title": f"put {part.name} back on",
        "part": part.name,
        "group": part.group or None,
    }
    if first:
        middle = left_of(plan.body).middle_mm
        step |= {
            "size": size_doc(group.size),
            "outline": outline_doc(group.outline),
            "middle": [-middle[0], -middle[1]],
        }
    return step
