"""Acts about moving big things: what is known of one for a move, parts taken off it, a move planned.

Pure functions from the state to a draft, as in acts.py. A planned move is a document of the table `plan`,
keyed by the id of the group it moves: {title, steps: [{what, ...}], conditions: [{id, text, told, measured,
limit, unit, rests}], asked, rests}. A step has in `needs` the ids of the conditions to be accepted before
it is done; done it carries `done`, the date (of older ledgers `open` and `why`: what was let pass with it).
A step has in `base` that its pallet or skid comes `off` with it.
A step has in `gear` whether the thing is `on` its gear once it is done, or `off` it.
`asked` is the question, with the way found, and in `on before` what was asked of the plan in whose place it
came, while the thing stands on the gear of that; `rests` the figures it rests
on as they are after the last step ticked, by what they are of.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from shopbins.geometry.shapes import Outline, bounds
from shopbins.ledger.docs import group_fields, outline_from, where_from
from shopbins.ledger.events import Draft
from shopbins.ledger.model import Group, InGroup, InZone, Mass, Size
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.ledger.values import checked_outline, checked_place, checked_size
from shopbins.records.accepted import Figures, unused
from shopbins.records.acts import join, known, lift_off, put_into, subject, take
from shopbins.records.moving import (
    FIELD,
    ComesOff,
    Moving,
    checked_moving,
    moving_doc,
    moving_of,
    shifted,
    without_base,
)

MOST_STEPS = 200


def describe(state: State, group_id: str, moving: Moving) -> Draft:
    """Record what is known of a group for moving it; nothing known takes it back."""
    known(state, group_id)
    for part in moving.comes_off:
        if part.group and not state.has_group(part.group):
            raise Refused(f"{part.name}: that part is gone")
    return Draft("describe", {subject(group_id): {FIELD: moving_doc(checked_moving(moving))}})


def part_off(
    state: State,
    group_id: str,
    part: str,
    *,
    size: Size | None = None,
    outline: Outline | None = None,
    where: InZone | None = None,
    middle_mm: tuple[float, float] = (0.0, 0.0),
) -> Draft:
    """Take a part that projects off a thing; what is then left standing there changes in the same event.

    `size`, `outline` and `where` are of what is left, `middle_mm` the middle of its box in the frame before:
    all that is known for moving it is then counted from there. A part with a tag of its own is unplaced
    afterwards, one without is only marked (`part_recorded` makes it one of its own). Raises Refused.
    """
    host, moving, found = _part(state, group_id, part)
    if found.off:
        raise Refused(f"{part} is off {host.shown} already")
    after = _now(size, outline, where)
    left = moving if found.group else _marked(moving, part, off=True)
    after[FIELD] = moving_doc(shifted(left, -middle_mm[0], -middle_mm[1]))
    draft = Draft("part off", {subject(group_id): after})
    return join("part off", draft, lift_off(state, found.group)) if found.group else draft


def part_on(
    state: State,
    group_id: str,
    part: str,
    *,
    size: Size | None = None,
    outline: Outline | None = None,
    where: InZone | None = None,
    middle_mm: tuple[float, float] = (0.0, 0.0),
) -> Draft:
    """Put a part back on, as `part_off` took it off."""
    host, moving, found = _part(state, group_id, part)
    after = _now(size, outline, where)
    left = moving if found.group else _marked(moving, part, off=False)
    after[FIELD] = moving_doc(shifted(left, -middle_mm[0], -middle_mm[1]))
    draft = Draft("part on", {subject(group_id): after})
    if not found.group:
        return draft
    held = known(state, found.group).where
    if isinstance(held, InGroup) and held.group == group_id:
        raise Refused(f"{part} is on {host.shown} already")
    return join("part on", draft, put_into(state, found.group, group_id, "on"))


def part_recorded(state: State, group_id: str, part: str) -> Draft:
    """Draft a group of its own, its subject first, for a part without one that has been taken off: what the
    thing was weighed with it weighs less from then on. Raises Refused.
    """
    host, moving, found = _part(state, group_id, part)
    if found.group:
        raise Refused(f"{part} is on record as a part of its own already")
    box = bounds(found.outline)
    size = None if found.to_mm is None else Size(box.wide_mm, box.deep_mm, found.to_mm - found.from_mm)
    taken, lighter = _parted(state, host, part, size, found.mass)
    new = taken.subjects[0].partition(":")[2]
    own = tuple(replace(p, group=new, off=False) if p.name == part else p for p in moving.comes_off)
    fields = {FIELD: moving_doc(replace(moving, comes_off=own)), **lighter}
    return join("part off", taken, Draft("part off", {subject(group_id): fields}))


def base_off(state: State, group_id: str, size: Size | None) -> Draft:
    """Take the pallet or skid off a thing for good: it is of that size from then on, weighs less and all told
    of heights on it is so much lower; what was told of its feet and of the room under it was of the base. The
    base is a part of its own, waiting: the draft's first subject. Raises Refused.
    """
    host = known(state, group_id)
    moving = moving_of(host)
    base = moving.base
    if base is None:
        raise Refused(f"{host.shown} is on no base")
    footprint = host.known_size
    box = None if base.outline is None else bounds(base.outline)
    flat = None if footprint is None else (footprint.length_mm, footprint.width_mm)
    flat = flat if box is None else (box.wide_mm, box.deep_mm)
    its_size = None if flat is None else Size(*flat, base.height_mm, about=box is None)
    taken, lighter = _parted(state, host, base.name, its_size, base.mass)
    lower = {FIELD: moving_doc(without_base(moving)), **group_fields({"size": checked_size(size)})}
    return join("base off", taken, Draft("base off", {subject(group_id): {**lower, **lighter}}))


def _parted(
    state: State, host: Group, name: str, size: Size | None, mass: Mass | None
) -> tuple[Draft, dict[str, Any]]:
    """Draft a group of its own for what came off a thing, and return what that thing weighs without it.

    A thing weighed as the whole machine keeps its mass: its groups that came off are taken off the whole.
    """
    moving = moving_of(host)
    whole = bool(moving.whole and moving.machine)
    origin = (moving.machine,) if whole else ()
    taken = take(state, name, size=size, mass=mass, origin=origin, ordered=False)
    if whole or host.mass is None or mass is None:
        return taken, {}
    left = Mass(host.mass.kg - mass.kg, about=host.mass.about or mass.about)
    return taken, group_fields({"mass": left})


def _part(state: State, group_id: str, part: str) -> tuple[Group, Moving, ComesOff]:
    host = known(state, group_id)
    moving = moving_of(host)
    found = next((p for p in moving.comes_off if p.name == part), None)
    if found is None:
        raise Refused(f"{host.shown} has no part '{part}' that comes off")
    return host, moving, found


def _marked(moving: Moving, part: str, *, off: bool) -> Moving:
    left = tuple(replace(p, off=off) if p.name == part else p for p in moving.comes_off)
    return replace(moving, comes_off=left)


def _now(size: Size | None, outline: Outline | None, where: InZone | None) -> dict[str, Any]:
    fields: dict[str, Any] = {"size": checked_size(size), "outline": checked_outline(outline)}
    if where is not None:
        fields["where"] = checked_place(where)
    return group_fields(fields)


# --- planned moves ----------------------------------------------------------------------------------------


def plan_subject(group_id: str) -> str:
    """Return the subject of a group's planned move."""
    return f"plan:{group_id}"


def plan_move(
    state: State,
    group_id: str,
    title: str,
    steps: Sequence[Mapping[str, Any]],
    conditions: Sequence[Mapping[str, Any]] = (),
    asked: Mapping[str, Any] | None = None,
    rests: Figures | None = None,
) -> Draft:
    """Put a move, its steps and its conditions on record as planned, in place of one planned before; what was
    `asked`, and the figures it rests on.
    """
    known(state, group_id)
    if not 0 < len(steps) <= MOST_STEPS:
        raise BadValue(f"a planned move has {len(steps)} steps: must be 1 to {MOST_STEPS}")
    doc = {
        "title": clean_text(title, "the move"),
        "steps": [dict(step) for step in steps],
        "conditions": [dict(each) for each in conditions] or None,
        "asked": asked,
        "rests": rests,
    }
    return Draft("plan", {plan_subject(group_id): doc}, (subject(group_id),))


def planned(state: State, group_id: str) -> Mapping[str, Any] | None:
    """Return the planned move of a group, None where there is none."""
    return state.docs("plan").get(group_id)


def on_gear(state: State, group_id: str) -> Mapping[str, Any] | None:
    """Return what was asked of the planned move on whose gear a group is by the steps ticked, as at a
    halt; None where it is on none, or was put elsewhere since.
    """
    return _left(state, group_id)[0]


def on_packing(state: State, group_id: str) -> float:
    """Return how high (mm) a group stands on packing by the steps ticked of its planned move; 0 where on
    none, or put elsewhere since.
    """
    return _left(state, group_id)[1]


def _left(state: State, group_id: str) -> tuple[Mapping[str, Any] | None, float]:
    """Return on which gear and how high on packing the steps ticked left a group."""
    doc = planned(state, group_id)
    asked: Mapping[str, Any] = (doc or {}).get("asked") or {}
    if doc is None or not asked.get("from"):
        return None, 0.0
    on: Mapping[str, Any] | None = asked if asked.get("begins on it") else asked.get("on before")
    at, packing = asked["from"], float(asked.get("packing before") or 0.0)
    for step in doc["steps"]:
        if not step.get("done"):
            break
        if "gear" in step:
            on = asked if step["gear"] == "on" else None
        packing = 0.0 if "gear" in step else step.get("packing", packing)
        rolled = step["what"] in ("do", "move") and step.get("group") == group_id
        at = step.get("to") if rolled else step.get("where") or at
    there, now = where_from(at), known(state, group_id).where
    stands = isinstance(there, InZone) and isinstance(now, InZone) and now[:5] == there[:5]
    return (on, packing) if stands else (None, 0.0)


def gear_under(state: State, group_id: str) -> tuple[str, tuple[Outline, ...]]:
    """Return the gear a group is on by the steps ticked, and its outlines, handle up, in the group's frame as
    it stands there; ('', ()) where it is on none, and no outlines where they were not kept.
    """
    asked = on_gear(state, group_id) or {}
    outlines = (outline_from(each) for each in asked.get("gear outlines") or ())
    return asked.get("gear", ""), tuple(each for each in outlines if each is not None)


def all_on_gear(state: State) -> dict[str, Mapping[str, Any]]:
    """Return of every group that is on gear by the steps ticked what was asked of its planned move."""
    found = ((key, on_gear(state, key)) for key in state.docs("plan") if state.has_group(key))
    return {key: asked for key, asked in found if asked is not None}


def tick(
    state: State,
    group_id: str,
    step: int,
    done: str,
    rests: Figures | None = None,
) -> Draft:
    """Tick off a step of a planned move; `rests` are the figures it rests on once the step is done.

    With the last step the move is done: what was accepted for it counts no more.
    """
    doc = planned(state, group_id)
    if doc is None:
        raise Refused("no move of this is planned any more")
    steps = [dict(each) for each in doc["steps"]]
    if not 0 <= step < len(steps):
        raise Refused(f"the planned move has no step {step + 1}")
    steps[step]["done"] = done
    after: dict[str, Any] = {plan_subject(group_id): {"steps": steps}}
    if rests is not None and rests != doc.get("rests"):
        after[plan_subject(group_id)]["rests"] = rests
    if all(each.get("done") for each in steps):
        mine = {each["id"] for each in doc.get("conditions", ())} & state.docs("accepted").keys()
        after |= {f"accepted:{key}": None for key in sorted(mine)} | unused(state, mine)
    return Draft("tick", after, (subject(group_id),))


def drop_plan(state: State, group_id: str) -> Draft:
    """Take a planned move off the list."""
    if planned(state, group_id) is None:
        raise Refused("no move of this is planned")
    return Draft("unplan", {plan_subject(group_id): None}, (subject(group_id),))
