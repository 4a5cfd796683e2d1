"""Moves at the desk: which thing is meant, does it go, the plan accepted, its steps ticked off.

Every tick goes through the desk's own ways of laying down and shifting, so it is judged like any other.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import BadInput, DeskError, NotDone, StorageFailed, translated
from shopbins.ledger.docs import outline_doc, outline_from, size_from, where_doc, where_from
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused
from shopbins.records import acts, acts_move
from shopbins.records.accepted import Acceptable
from shopbins.records.group import CHANGE, DESCRIBE
from shopbins.records.moving import moving_of, resized
from shopbins.rules.accepting import covering
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.answer import Accepted, Part
    from shopbins.desk.desk import Desk
    from shopbins.ledger.events import Draft
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.moves.finding import Row
    from shopbins.moves.plan import Plan
    from shopbins.placing.recording import Laid, Reasons
    from shopbins.records.accepted import Figures
    from shopbins.records.record import Wanted, Work

Step = Mapping[str, Any]


def resolve_thing(desk: Desk, text: str) -> Group:
    """Return the group to be moved: by code or name, or what is left of a machine by its key or name.

    Raises as `Names.group`; NotDone where nothing stands for a machine.
    """
    machine = _machine_called(desk, text)
    if machine is None:
        return desk.names.group(text)
    bodies = [g for g in desk.state.groups() if moving_of(g).machine == machine]
    if len(bodies) == 1:
        return bodies[0]
    try:
        return desk.names.group(text)
    except DeskError:
        hint = f"say which part is what is left of it: shopbins set CODE --moving 'machine={machine}'"
        if bodies:
            raise BadInput(*(f"{g.code}  {introduce(desk.state, g.id)}" for g in bodies)) from None
        raise NotDone(f"nothing on the floor stands for the machine '{machine}' ({hint})") from None


def _machine_called(desk: Desk, text: str) -> str | None:
    wanted = text.strip().casefold()
    for key, machine in desk.state.machines().items():
        if wanted in (key.casefold(), machine.name.casefold()):
            return key
    return next(
        (k for k, m in desk.shop.machines.items() if wanted in (k.casefold(), m.name.casefold())), None
    )


def plan_move(
    desk: Desk,
    group_id: str,
    zone: str,
    level: str = "",
    *,
    gear: str | None = None,
    turn_deg: float | None = None,
    as_: str = "tonight",
    base: bool = True,
    at_most_s: float | None = None,
    cancelled: Callable[[], bool] = lambda: False,
    say: Callable[[str], None] = lambda _text: None,
    first: Callable[[Plan], None] = lambda _plan: None,
) -> Plan:
    """Return whether and how a group goes there; nothing is written. BadInput where it makes no sense.

    `first` gets the answer so far where other gear is still to be looked at.
    """
    from shopbins.geometry.shapes import FloorProblem
    from shopbins.moves.body import NotMovable
    from shopbins.moves.planning import LONGEST_S, plan

    try:
        return plan(
            desk.scene(),
            group_id,
            zone,
            level,
            gear=gear,
            turn_deg=turn_deg,
            as_="bare" if as_ == "bare" else "tonight",
            base=base,
            at_most_s=LONGEST_S if at_most_s is None else at_most_s,
            cancelled=cancelled,
            say=say,
            accepted=accepts(desk),
            first=first,
        )
    except NotMovable as why:
        raise BadInput(str(why)) from None
    except FloorProblem as problem:
        raise BadInput(f"the floor cannot be checked: {problem}") from None


def contradicted(desk: Desk, group_id: str) -> str:
    """Say what of all that is told of a thing cannot be so together, and how to mend it; '' where nothing."""
    from shopbins.moves.body import contradicted as said
    from shopbins.moves.body import contradiction
    from shopbins.scene.standing import footprint

    group = desk.state.group(group_id)
    told = moving_of(group)
    own = told.outline or footprint(group)
    wrong = "" if own is None else contradiction(group, told, own)
    return wrong and said(group, wrong)


def tell(desk: Desk, code: str, figures: Mapping[str, str]) -> int:
    """Record figures that a move asked for, as typed, in one event: 'mass', 'size', or keys of what is known
    for moving.
    """
    from shopbins.desk.movewords import told
    from shopbins.records.kinds import MASS, SIZE

    group = desk.names.group(code)
    own = {"mass": MASS, "size": SIZE}
    texts = [f"{key}={value}" for key, value in figures.items() if key not in own]
    with translated():
        read = {key: own[key].read(value, desk.today) for key, value in figures.items() if key in own}
    wanted: list[Wanted] = [CHANGE(group.id, **read)] if read else []
    if texts:
        before = resized(moving_of(group), group.size, read.get("size", group.size))
        moving = told(before, texts, lambda text: desk.names.group(text).id)
        wanted.append(DESCRIBE(group.id, moving=moving))
    return int(desk.do(*wanted).seq)


def tell_in_file(desk: Desk, places: Mapping[tuple[str, ...], str]) -> None:
    """Put figures that a move asked for into the shop file, by their place; BadInput where one is wrong."""
    from shopbins.desk.drawing import ShopDrawing
    from shopbins.shop.editing.splice import Put

    file = ShopDrawing(desk)
    file.step([Put(path, text) for path, text in places.items()])
    wrong = [problem.what for problem in file.problems]
    if wrong:
        file.take_back()
        raise BadInput(*wrong)


# --- planned moves ----------------------------------------------------------------------------------------


def put_on_record(desk: Desk, plan: Plan) -> int:
    """Put the steps of a plan on record, to be ticked off; NotDone where something forbids it or is open, or
    what it rests on has changed since it was worked out.

    It accepts nothing: conditions are accepted one by one.
    """
    from shopbins.moves.situation import begins_on
    from shopbins.moves.steps import gear_outlines, steps_of

    if not plan.planned:
        raise NotDone(f"{plan.headline}: there is nothing to plan")
    title = f"{plan.name} to {plan.to} on {plan.gear.shown}"
    steps = steps_of(desk.scene(), plan)
    only = [_condition_doc(p) for p in plan.conditions]
    asked = _asked(plan) | {
        "axis": plan.gear.axis_deg,
        "from": where_doc(plan.body.group.where),
        "begins on it": begins_on(desk.scene(), plan.body, plan.gear),
        "gear outlines": [outline_doc(each) for each in gear_outlines(plan)],
    }
    if packing := acts_move.on_packing(desk.state, plan.group):
        asked["packing before"] = packing
    before = acts_move.on_gear(desk.state, plan.group)
    if before is not None and not asked["begins on it"]:
        asked["on before"] = {key: before.get(key) for key in ("gear", "axis", "base", "gear outlines")}

    def work(state: State) -> Draft:
        now = _rests_now(desk, state, plan.group, asked)
        since = _since(desk, plan, now)
        if since:
            raise Refused(f"changed since it was worked out: {'; '.join(since)}: enter works it out anew")
        return acts_move.plan_move(state, plan.group, title, steps, only, asked, now)

    return desk.record(work).seq


def _asked(plan: Plan) -> dict[str, Any]:
    """Return what is kept of the question, and of the way found: enough to ask it again, and to compare what
    it rests on without working it out.
    """
    route = None if plan.attempt is None else plan.attempt.route
    return {
        "place": plan.place if plan.onto is None else plan.onto.zone.key,
        "level": plan.level if plan.onto is None else plan.onto.level.key,
        "floor": plan.place,
        "gear": plan.gear.gear.key,
        "as": plan.as_,
        "base": plan.body.base,
        "off": [part.called for part in plan.off_first],
        "rooms": [] if route is None else list(route.rooms),
        "doors": list(plan.route),
        "path": [[p.x_mm, p.y_mm, p.turn_deg] for p in plan.path],
        "hull": [] if plan.attempt is None else [list(point) for point in plan.attempt.hull],
        "lines": [[list(point) for point in area] for area in plan.lines],
    }


def outdated(desk: Desk, plan: Plan) -> list[str]:
    """Say what a plan that goes rests on that is now another than when it was worked out."""
    if not plan.planned:
        return []
    return _since(desk, plan, _rests_now(desk, desk.state, plan.group, _asked(plan)))


def _since(desk: Desk, plan: Plan, now: Figures) -> list[str]:
    before = {of: each for of, each in plan.figures.items() if not of.startswith("shift:")}
    return _changes(desk, plan.group, before, now)


def _rests_now(desk: Desk, state: State, group_id: str, asked: Mapping[str, Any]) -> Figures:
    from shopbins.moves.restson import planned_on
    from shopbins.scene.scene import build

    return planned_on(build(desk.shop, state), group_id, asked)


def _changes(desk: Desk, group_id: str, before: Figures, now: Figures) -> list[str]:
    from shopbins.moves.restson import changes

    name = desk.state.group(group_id).shown if desk.state.has_group(group_id) else "it"
    return changes(before, now, desk.state, name)


def changed(desk: Desk, group_id: str) -> list[str]:
    """Say what a planned move rests on that is now another than when it was planned or last ticked.

    A plan that does not say what it rests on (of an older ledger) is said to be such.
    """
    return _changed(desk, desk.state, group_id)


def _changed(desk: Desk, state: State, group_id: str) -> list[str]:
    doc = acts_move.planned(state, group_id)
    if doc is None or all(step.get("done") for step in doc["steps"]):
        return []
    if "rests" not in doc:
        return ["what it was planned on was not kept then"]
    return _changes(desk, group_id, doc["rests"], _rests_now(desk, state, group_id, doc["asked"]))


def _condition_doc(part: Part) -> dict[str, Any]:
    from shopbins.moves.acts import act_of
    from shopbins.moves.finding import row_of

    row, act = row_of(part), act_of(part)
    found = row.finding
    return {
        "id": found.id,
        **({} if act is None else {"act": act.key}),
        "text": part.text,
        "told": found.text,
        "measured": found.measured,
        "limit": found.limit,
        "unit": found.unit,
        "rests": row.rests,
    }


# --- conditions -------------------------------------------------------------------------------------------


def accepts(desk: Desk) -> Callable[[Row], Accepted | None]:
    """Return who accepted a condition of a move, if at the figure it has now, and on what it rests on."""
    return lambda row: _accepted(desk, condition(row), row.finding.unit)


def _accepted(desk: Desk, it: Acceptable, unit: str) -> Accepted | None:
    slack = desk.shop.measured_mm if unit == "mm" else abs(it.measured or 0.0) * SAME
    return covering(desk.state, it, slack)


def still_open(desk: Desk, group_id: str, by: int | None = None) -> list[Acceptable]:
    """Return the conditions of a planned move that nobody has accepted, nor let pass with a step of an older
    ledger; `by` a step, by its place, those to be accepted before it is ticked off.

    Of a plan that does not say which step needs which, all are needed by the first.
    """
    doc = acts_move.planned(desk.state, group_id) or {}
    steps = doc.get("steps", ())
    passed = {key for step in steps for key in step.get("open", ())}
    due = {key for step in steps[: None if by is None else by + 1] for key in step.get("needs", ())}
    every = by is None or not any("needs" in step for step in steps)
    return [
        it
        for it, unit in _planned_conditions(doc)
        if (every or it.id in due) and it.id not in passed and _accepted(desk, it, unit) is None
    ]


def due_together(desk: Desk, group_id: str, by: int) -> list[tuple[str, list[Acceptable]]]:
    """Return the open conditions that are to be accepted before a step is ticked off: what one person sees to
    at one time together, with how that is said.
    """
    from shopbins.moves.acts import ACTS

    called = {act.key: act.called for act in ACTS}
    doc = acts_move.planned(desk.state, group_id) or {}
    docs = {each["id"]: each for each in doc.get("conditions", ())}
    found: dict[str, list[Acceptable]] = {}
    for it in still_open(desk, group_id, by):
        found.setdefault(called.get(docs[it.id].get("act", ""), it.id), []).append(it)
    return [
        (every[0].text, every)
        if len(every) == 1
        else (f"{of}, {len(every)} together: {'; '.join(docs[it.id]['text'] for it in every)}", every)
        for of, every in found.items()
    ]


def _planned_conditions(doc: Mapping[str, Any]) -> Iterator[tuple[Acceptable, str]]:
    """Go through the conditions of a planned move, each with the unit of its figure."""
    figures = {of: each for of, each in doc.get("rests", {}).items() if not of.startswith("by ")}
    for each in doc.get("conditions", ()):
        at, rests = (each.get("measured"), each.get("limit")), each.get("rests", "")
        text = in_full(each["text"], each.get("told", each["text"]))
        it = Acceptable(each["id"], "condition", text, *at, rests=rests, figures=figures)
        yield it, each.get("unit", "")


def in_full(words: str, told: str) -> str:
    """Return a condition with all that is told of it: what a person reads before accepting it."""
    return told if told.startswith(words) else f"{words}: {told}"


SAME = 0.02
"""A condition was accepted at the same figure if that is within two hundredths: own figure."""


def condition(row: Row) -> Acceptable:
    """Return a condition of a move as what may be accepted."""
    found = row.finding
    return Acceptable(
        found.id, "condition", found.text, found.measured, found.limit, rests=row.rests, figures=row.figures
    )


def in_a_plan(desk: Desk, key: str, _worked: object) -> Iterator[Acceptable]:
    """Go through the conditions of planned moves whose id has a text in it, but of one that has to be asked
    anew.
    """
    for group_id, doc in planned(desk):
        there = [it for it, _ in _planned_conditions(doc) if key in it.id]
        if there and not changed(desk, group_id):
            yield from there


Worked = dict[tuple[str, ...], "Plan"]
"""The moves worked out for an id before it, so that nothing is worked out twice."""


def in_a_move(desk: Desk, key: str, worked: Worked) -> Iterator[Acceptable]:
    """Go through the conditions of the move that a condition's id is about; it is worked out once."""
    plan = _move_of(desk, key, worked)
    every = () if plan is None else plan.conditions
    yield from (each for each in (condition(part.evidence) for part in every) if each.id == key)


def of_a_line(desk: Desk, key: str, worked: Worked) -> list[Acceptable]:
    """Return the open conditions of the line of a move that an id is of; [] where it is of none. Raises
    NotDone where all of them are accepted.
    """
    from shopbins.moves.acts import ACTS

    if key.partition("/")[0] not in {act.key for act in ACTS}:
        return []
    plan = _move_of(desk, key, worked)
    line = None if plan is None else next((each for each in plan.to_accept if each.id == key), None)
    if line is not None and not line.open:
        raise NotDone(f"{line.called}: accepted already")
    return [] if line is None else [condition(part.evidence) for part in line.open]


def _move_of(desk: Desk, key: str, worked: Worked) -> Plan | None:
    """Return the move that an id names the thing, gear and goal of; None where it does not."""
    about = dict(s.split(":", 1) for s in reversed(re.split(r"[+/]", key)) if ":" in s)
    if not {"group", "gear", "zone"} <= set(about):
        return None
    group = next((g for g in desk.state.groups() if about["group"] in (g.code, g.id)), None)
    if group is None:
        return None
    move = group.id, about["zone"], about.get("level", ""), about["gear"]
    if move not in worked:
        worked[move] = plan_move(desk, *move[:3], gear=about["gear"])
    return worked[move]


def asked_before(desk: Desk, group_id: str) -> Mapping[str, Any]:
    """Return what was asked of a planned move (`place`, `gear`, `as`, `base` ...); {}: it was not kept."""
    return (acts_move.planned(desk.state, group_id) or {}).get("asked") or {}


def planned(desk: Desk) -> list[tuple[str, Mapping[str, Any]]]:
    """Return the planned moves: the group moved, and the plan with its steps."""
    return list(desk.state.docs("plan").items())


def steps(desk: Desk, group_id: str) -> Sequence[Step]:
    """Return the steps of a planned move, () where none is planned."""
    doc = acts_move.planned(desk.state, group_id)
    return () if doc is None else tuple(doc["steps"])


def next_step(desk: Desk, group_id: str) -> int | None:
    """Return the place of the first step not yet ticked."""
    return next((n for n, step in enumerate(steps(desk, group_id)) if not step.get("done")), None)


def lays_down(step: Step) -> bool:
    """Tell whether a step lays something down, so that it is judged and may be stopped: no halt on the way,
    which the move itself has judged.
    """
    return step["what"] != "do" and (step["what"] in ("shift", "move") or bool(step.get("to")))


def tick(desk: Desk, group_id: str, number: int, *, override: Reasons = None) -> Laid | None:
    """Record that a step was done, as what it does to the ledger; then tick it off.

    Returns what laying down found, None for a step that lays nothing down. A stop without `override` leaves
    the step open and the ledger as it is. Raises NotDone for a step already ticked, naming each condition
    that is to be accepted by then and is not, and where what the move rests on has changed but by the steps
    themselves.
    """
    from shopbins.records.record import together

    every = steps(desk, group_id)
    if not 0 <= number < len(every):
        raise NotDone("the planned move has no such step")
    step = every[number]
    if step.get("done"):
        raise NotDone(f"done already on {step['done']}: {step['title']}")
    first = next_step(desk, group_id)
    if first is not None and first < number:
        raise NotDone(f"first: {every[first]['title']}")
    left = still_open(desk, group_id, number)
    if left:
        raise NotDone(*(f"not accepted yet: {each.text}" for each in left))
    if step["what"] != "shift" and (on := _still_on(desk, group_id)):
        thing = desk.state.group(group_id).shown
        raise NotDone(f"on record as on {thing}, which is planned bare: {on}: put it where it lies first")
    today = date.today().isoformat()

    parts = [_part(desk, group_id, step)] if step["what"] in ("take off", "put back") else []
    if step.get("base") == "off":
        parts = [lambda state: acts_move.base_off(state, group_id, size_from(step.get("size")))]

    def ticked(state: State) -> Draft:
        doc = acts_move.planned(state, group_id)
        now = None if doc is None else _rests_now(desk, state, group_id, doc["asked"])
        return acts_move.tick(state, group_id, number, today, now)

    def whole(state: State, *laid: Work) -> Draft:
        since = _changed(desk, state, group_id)
        if since:
            raise Refused(f"changed since it was planned: {'; '.join(since)}. {ASK_ANEW}")
        return together(state, (*parts, *laid, ticked))

    return _do(desk, group_id, step, override, whole)


def _still_on(desk: Desk, group_id: str) -> str:
    """Say what is on record as on a thing whose move is planned bare; '' where nothing is."""
    from shopbins.moves.body import NotMovable, body
    from shopbins.moves.lying import still_on

    asked = (acts_move.planned(desk.state, group_id) or {}).get("asked") or {}
    if asked.get("as") != "bare":
        return ""
    scene = desk.scene()
    try:
        return ", ".join(still_on(scene, body(scene, group_id, as_="bare", base=asked["base"])))
    except NotMovable:  # said as what has changed
        return ""


ASK_ANEW = "Ask the move anew, and plan it"
"""What is done where something has changed that a planned move rests on."""


def _do(desk: Desk, group_id: str, step: Step, override: Reasons, whole: Callable[..., Draft]) -> Laid | None:
    """Record what a step does and its tick as one event, as `whole` joins them."""
    what, where = step["what"], where_from(step.get("to"))
    if "thing" in step:
        x, y, turn = step["at"]
        return desk.move_thing(step["thing"], x, y, turn, override=override, around=whole)
    if isinstance(where, InZone) and what == "do":  # a halt: where it is, whatever it stands in meanwhile
        desk.record(lambda state: whole(state, lambda now: acts.lay(now, step["group"], where)))
        return None
    if isinstance(where, InZone) and step.get("group") and what != "put back":
        return desk.put(
            step["group"], where.zone, where.level,
            x_mm=where.x_mm, y_mm=where.y_mm, turn_deg=where.turn_deg, override=override, around=whole,
        )  # fmt: skip
    if isinstance(where, InZone) and what == "take off":
        return _recorded(desk, group_id, step, where, override, whole)
    if what in ("shift", "move"):
        raise NotDone(f"{step['title']}: the plan does not say where to")
    desk.record(whole)
    return None


def _recorded(
    desk: Desk, group_id: str, step: Step, where: InZone, override: Reasons, whole: Callable[..., Draft]
) -> Laid:
    """Put a part that was on no record of its own on record where it is laid."""
    from shopbins.placing.laying import lay_new

    def taking(state: State) -> Draft:
        return acts_move.part_recorded(state, group_id, step["part"])

    with translated():
        return lay_new(desk.ledger, desk.shop, taking, where, override=override, around=whole)


def _part(desk: Desk, group_id: str, step: Step) -> Work:
    """Return how a part comes off, or goes back on."""
    size = step.get("size")
    outline = step.get("outline")
    group = desk.state.group(group_id)
    changes = "middle" in step
    x, y = step.get("middle", (0.0, 0.0))
    where = _where(desk, group, step)
    act = acts_move.part_off if step["what"] == "take off" else acts_move.part_on
    return lambda state: act(
        state,
        group_id,
        step["part"],
        size=size_from(size) if changes else group.size,
        outline=outline_from(outline) if changes else group.outline,
        where=where,
        middle_mm=(x, y),
    )


def _where(desk: Desk, group: Group, step: Step) -> InZone | None:
    """Return where what is left of a group lies: as the step has it, or its middle moved where it stands."""
    from shopbins.moves.remainder import Left, where_left

    where = where_from(step.get("where"))
    if isinstance(where, InZone):
        return where
    middle = step.get("middle")
    if not middle or tuple(middle) == (0.0, 0.0):
        return None
    return where_left(desk.scene(), group, Left(None, None, (middle[0], middle[1])))


def drop(desk: Desk, group_id: str) -> int:
    """Take a planned move off the list."""
    return desk.record(lambda state: acts_move.drop_plan(state, group_id)).seq


# --- the sheet --------------------------------------------------------------------------------------------


def check_sheet(path: str | os.PathLike[str]) -> None:
    """Say before a move is worked out where its sheet cannot be written. Raises BadInput, StorageFailed."""
    from shopbins.outputs import check_room

    if Path(path).suffix.lower() not in (".pdf", ".txt"):
        raise BadInput(f"{path}: a move sheet is a file that ends in .pdf or .txt")
    try:
        check_room(path)
    except OSError as problem:
        raise StorageFailed(f"{path}: {problem.strerror or problem}") from None


def write_sheet(desk: Desk, plan: Plan, path: str | os.PathLike[str]) -> None:
    """Write the move sheet: a PDF of one page or two, or plain text where the name ends in .txt."""
    from shopbins.outputs import write_output
    from shopbins.reports.movepdf import sheet_pdf
    from shopbins.reports.movesheet import sheet_text

    check_sheet(path)
    target = Path(path)
    done = steps(desk, plan.group) or None
    try:
        if target.suffix.lower() == ".txt":
            lines = sheet_text(desk.scene(), plan, 100, [dict(s) for s in done] if done else None)
            write_output(target, ("\n".join(lines) + "\n").encode())
        else:
            write_output(target, sheet_pdf(desk.scene(), plan))
    except OSError as problem:
        raise StorageFailed(f"{path}: {problem.strerror or problem}") from None
