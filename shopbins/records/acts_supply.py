"""Acts about what is lacking or kept in order: shortages, renewals, inspections, sets, connections, care.

Pure functions from the state to a draft, as in acts.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.records import acts_refit
from shopbins.ledger import values
from shopbins.records.acts import known, subject, take
from shopbins.records.acts_strip import checked_days, known_milestone, known_position
from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.model import Group, Whereabouts, Work
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.strip.order import Order
from shopbins.strip.shortages import STATES
from shopbins.strip.waits import DECIDE
from shopbins.ledger.text import NOTE_LIMIT, clean_text

# -- shortages


def add_shortage(
    state: State,
    name: str,
    *,
    positions: Sequence[str] = (),
    milestone: str | None = None,
    replaces: str | None = None,
    **fields: Any,
) -> Draft:
    """Record something to be bought, made or borrowed, and which positions (or milestone) wait for it.

    `replaces` is a group whose place it takes. `fields` as for `set_shortage`. The draft's first subject is
    the shortage.
    """
    for each in positions:
        known_position(state, each)
    doc = {
        "name": _named(name),
        "state": "to ask",
        "positions": list(dict.fromkeys(positions)) or None,
        "milestone": None if milestone is None else known_milestone(state, milestone),
        "replaces": replaces,
        **_shortage_fields(fields),
    }
    after = {f"shortage:{new_id()}": {name: value for name, value in doc.items() if value is not None}}
    return Draft("add shortage", after, _groups_of(state, positions))


def set_shortage(state: State, key: str, **fields: Any) -> Draft:
    """Change a shortage: name, spec, qty, unit, price, ask_of, asked, promised (dates), days (least, most),
    stage (one of STATES), note; `positions` and `milestone` replace what waits for it.

    A date of asking makes it 'asked', one promised 'promised'. 'here' is `arrive`.
    """
    doc = known_shortage(state, key)
    if not fields:
        raise BadValue("nothing to change was given")
    after = _shortage_fields(fields)
    if "positions" in fields:
        for each in fields["positions"]:
            known_position(state, each)
        after["positions"] = list(dict.fromkeys(fields["positions"])) or None
    if "milestone" in fields:
        wanted = fields["milestone"]
        after["milestone"] = None if not wanted else known_milestone(state, wanted)
    about = after.get("positions") or doc.get("positions", ())
    return Draft("set shortage", {f"shortage:{key}": after}, _groups_of(state, about))


def known_shortage(state: State, key: str) -> Any:
    """Return a shortage's document; raises Refused where there is none."""
    found = state.docs("shortage").get(key)
    if found is None:
        raise Refused("there is no such shortage any more")
    return found


def _named(name: str) -> str:
    clean = clean_text(name, "what is lacking")
    if not clean:
        raise BadValue("say what is lacking")
    return clean


def _shortage_fields(fields: dict[str, Any]) -> dict[str, Any]:
    """Check a shortage's fields, as in its document; an empty one is absent."""
    doc: dict[str, Any] = {}
    for name, value in fields.items():
        if name == "name":
            doc[name] = _named(value)
        elif name == "qty":
            doc[name] = values.checked_qty(value)
        elif name in ("asked", "promised"):
            doc[name] = values.checked_date(value, f"'{name}'")
            if doc[name]:
                doc["state"] = name
        elif name == "days":
            doc[name] = None if value is None else list(checked_days(*value))
        elif name == "stage":
            if value not in STATES:
                raise BadValue(f"a shortage is not {str(value)[:20]!r} (one of: {', '.join(STATES)})")
        elif name == "note":
            doc[name] = clean_text(value, "the note", NOTE_LIMIT, lines=True) or None
        elif name in ("spec", "unit", "price", "ask_of"):
            doc[name] = clean_text(value, f"a shortage's {name}") or None
        elif name not in ("positions", "milestone"):
            raise BadValue(f"a shortage has no {name!r} that could be set")
    if fields.get("stage") in STATES:
        doc["state"] = fields["stage"]
    return doc


def _groups_of(state: State, positions: Sequence[str]) -> tuple[str, ...]:
    return tuple(subject(each) for position in positions for each in known_position(state, position).groups)


def arrive(
    state: State, key: str, on: str, where: Whereabouts = None, *, container: str = "bare", code: str = ""
) -> Draft:
    """Have a shortage here. Where it takes a place that lacks pieces it becomes a group, tagged like others.

    Anything else (sealant, a borrowed tool) only counts as here; `where` is then of no account.
    """
    doc = known_shortage(state, key)
    if doc.get("state") == "here":
        raise Refused(f"{doc['name']} is here already")
    after: dict[str, Any] = {
        f"shortage:{key}": {"state": "here", "here": values.checked_date(on, "the date")}
    }
    order = state.follower(Order)
    lacking = [each for each in doc.get("positions", ()) if each in order.graph.number]
    lacking = [each for each in lacking if order.look(each).lacking]
    if not lacking:
        return Draft("shortage here", after, _groups_of(state, doc.get("positions", ())))
    origin = order.graph.places[lacking[0]].origin
    draft = take(
        state, doc["name"], origin=origin, container=container, qty=doc.get("qty", 1), code=code, where=where,
        ordered=False, disposition="refit", parts=tuple(lacking), brought=True,
    )  # fmt: skip
    return Draft("shortage here", {**draft.after, **after}, draft.also)


def renew(state: State, group_id: str, name: str = "", **fields: Any) -> Draft:
    """Have a group renewed: it leaves the refit order, and a shortage takes its place."""
    group = known(state, group_id)
    gone = acts_refit.dispose(state, group_id, "renew")
    short = add_shortage(
        state,
        name or group.shown,
        positions=group.positions,
        replaces=group_id,
        **{"qty": group.qty, **fields},
    )
    return Draft("renew", {**gone.after, **short.after}, short.also)


def strike_shortage(state: State, key: str, reason: str) -> Draft:
    """Let a shortage be: it is not needed after all, with the reason."""
    known_shortage(state, key)
    text = clean_text(reason, "the reason")
    if not text:
        raise BadValue("say why it is not needed")
    return Draft("strike shortage", {f"shortage:{key}": {"state": "struck", "struck": text}})


# -- inspection


def record_inspection(
    state: State, group_id: str, what: str, doc: dict[str, Any], verdict: str, on: str
) -> Draft:
    """Record a measured value against its limit (`strip.work` judges).

    Within its limit the inspection is done; beyond it the group waits until somebody decides about it;
    not judged, it goes on waiting for inspection.
    """
    group = known(state, group_id)
    date = values.checked_date(on, "the date")
    label = clean_text(what, "what was measured")
    if not label:
        raise BadValue("say what was measured")
    points = {each.what: each for each in group.work}
    if verdict == "beyond":
        points["inspect"] = Work("inspect", date)
        points[DECIDE] = Work(DECIDE)
    elif verdict == "within":
        points["inspect"] = Work("inspect", date)
    else:
        points.setdefault("inspect", Work("inspect"))
    record = {"group": group_id, "what": label, "verdict": verdict, "on": date, **doc}
    after = {
        subject(group_id): group_fields({"work": values.checked_work(list(points.values()))}),
        f"inspection:{new_id()}": {name: value for name, value in record.items() if value is not None},
    }
    return Draft("inspect", after)


# -- sets, connections, care


def add_set(state: State, group_ids: Sequence[str], name: str, seats: Sequence[str] = ()) -> Draft:
    """Record groups as a matched set (bearing and cap, valve and seat), each with its seat where given."""
    ids = list(dict.fromkeys(group_ids))
    if not ids:
        raise BadValue("a matched set has at least one group (of several pieces) in it")
    groups = [known(state, each) for each in ids]
    if len(ids) == 1 and groups[0].qty < 2:
        raise BadValue("a matched set has at least two pieces")
    if seats and len(seats) != len(ids):
        raise BadValue(f"{len(seats)} seats were given for {len(ids)} groups")
    doc: dict[str, Any] = {"name": clean_text(name, "the set's name"), "positions": _seats(groups)}
    if not doc["name"]:
        raise BadValue("a matched set needs a name")
    if seats:
        doc["seats"] = [clean_text(each, "a seat") for each in seats]
    return Draft("match", {f"set:{new_id()}": doc}, tuple(map(subject, ids)))


def _seats(groups: Sequence[Group]) -> list[str]:
    return [position for group in groups for position in group.positions]


def drop_set(state: State, key: str) -> Draft:
    """Have a matched set no longer be one."""
    if key not in state.docs("set"):
        raise Refused("there is no such matched set any more")
    return Draft("no longer matched", {f"set:{key}": None})


def connect(
    state: State, name: str, kind: str, end_a: str, end_b: str, machine: str = "", note: str = ""
) -> Draft:
    """Record a wire, hose or pipe by its two ends; numbers for its flag tags are given out in order."""
    from shopbins.strip.connections import KINDS, next_number

    if kind not in KINDS:
        raise BadValue(f"a connection is no {kind[:20]!r} (one of: {', '.join(KINDS)})")
    ends = clean_text(end_a, "end A"), clean_text(end_b, "end B")
    if not all(ends):
        raise BadValue("a connection has two ends: say where each goes")
    doc = {
        "name": clean_text(name, "the name") or None,
        "kind": kind,
        "number": next_number(state, kind),
        "a": ends[0],
        "b": ends[1],
        "machine": clean_text(machine, "the machine") or None,
        "note": clean_text(note, "the note", NOTE_LIMIT, lines=True) or None,
    }
    return Draft("connect", {f"connection:{new_id()}": {k: v for k, v in doc.items() if v is not None}})


def set_connection(state: State, key: str, **fields: Any) -> Draft:
    """Change a connection: name, a, b, note, `joined` (True once made again), `tagged` (flags printed)."""
    if key not in state.docs("connection"):
        raise Refused("there is no such connection any more")
    doc: dict[str, Any] = {}
    for name, value in fields.items():
        if name in ("joined", "tagged"):
            doc[name] = bool(value) or None
        elif name in ("name", "a", "b", "note"):
            doc[name] = clean_text(value, f"a connection's {name}", NOTE_LIMIT, lines=name == "note") or None
        else:
            raise BadValue(f"a connection has no {name!r} that could be set")
    if not doc or any(doc.get(end, "") is None for end in ("a", "b")):
        raise BadValue("a connection has two ends: say where each goes")
    return Draft("set connection", {f"connection:{key}": doc})


def add_care(state: State, name: str, **fields: Any) -> Draft:
    """Record care that comes round again; see `set_care` for what may be given."""
    clean = clean_text(name, "what is to be done")
    if not clean:
        raise BadValue("say what is to be done")
    doc = {"name": clean, **_care_fields(state, fields)}
    if not doc.get("every_days") and not doc.get("every_hours"):
        raise BadValue("say how often: every so many days, running hours, or both")
    return Draft("add care", {f"care:{new_id()}": {k: v for k, v in doc.items() if v is not None}})


def set_care(state: State, key: str, **fields: Any) -> Draft:
    """Change recurring care: machine, position, every_days, every_hours, done (date), done_hours, note;
    `gone` and `instead`: something its procedure names that is no longer to be had, and what is used; `why`.
    """
    if key not in state.docs("care"):
        raise Refused("there is no such care any more")
    return Draft("set care", {f"care:{key}": _care_fields(state, fields)})


def _care_fields(state: State, fields: dict[str, Any]) -> dict[str, Any]:
    doc: dict[str, Any] = {}
    for name, value in fields.items():
        if name in ("every_days", "every_hours", "done_hours"):
            doc[name] = (
                None if value is None else _amount(value, name, least=0 if name == "done_hours" else 1e-9)
            )
        elif name == "done":
            doc[name] = values.checked_date(value, "the date")
        elif name == "position":
            doc[name] = None if not value else known_position(state, value).id
        elif name in ("machine", "gone", "instead", "why"):
            doc[name] = clean_text(value, name) or None
        elif name == "note":
            doc[name] = clean_text(value, "the note", NOTE_LIMIT, lines=True) or None
        else:
            raise BadValue(f"care has no {name!r} that could be set")
    return doc


def _amount(value: Any, what: str, least: float) -> float:
    found = values.number(value, what.replace("_", " "))
    if not least <= found <= 1e6:
        raise BadValue(f"{what.replace('_', ' ')} is {found:g}: must be more than 0 and at most 1000000")
    return found


def set_hours(state: State, machine: str, hours: float, on: str) -> Draft:  # noqa: ARG001
    """Record what a machine's hour counter reads."""
    key = clean_text(machine, "the machine")
    if not key:
        raise BadValue("say which machine")
    doc = {"hours": _amount(hours, "hours", 0), "on": values.checked_date(on, "the date")}
    return Draft("set hours", {f"hours:{key}": doc})
