"""The short list of work on a group: what is to be done to it before it goes back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import Draft
from shopbins.ledger.model import Group, WorkPoint
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text, reason_text
from shopbins.records import kinds
from shopbins.records.acts import corrected, day_of, known, no_longer_accepted, subject
from shopbins.records.measured import beyond_in
from shopbins.records.record import Act, Field, Record
from shopbins.strip.release import OLD_DECISION, REWORK, VERIFY, Tests, characteristics
from shopbins.strip.waits import open_work


def listed(
    state: State,
    group_id: str,
    points: Sequence[str],
    reason: str = "",
    *,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Give a group its short list: points already done stay done, and those somebody asked for stay on it.

    Asked for are the inspections, and the work its disposition is. An open point is dropped only for a
    reason, which is kept.
    """
    group = known(state, group_id)
    done = {each.what: each for each in group.work}
    clean = _clean(points)
    work = values.checked_work(
        [*(done.get(what, WorkPoint(what)) for what in clean), *kept_points(group, clean)]
    )
    kept: dict[str, Any] = {}
    if gone := dropped(group, points):
        why = reason_text(reason)
        if not why:
            raise ReasonWanted(drop_said(group, gone), "--reason WHY")
        old, new = [each.what for each in group.work], [each.what for each in work]
        text = f"work dropped: {', '.join(gone)}"
        kept = corrected(group, "work", old, new, text, why, by=by, on=on)
    return Draft("set work", {subject(group_id): group_fields({"work": work}), **kept})


def _clean(points: Sequence[str]) -> list[str]:
    return [clean_text(point, "a point of work", 80).lower() for point in points]


def dropped(group: Group, points: Sequence[str]) -> list[str]:
    """Return the open points of a group a new short list drops."""
    clean = _clean(points)
    stay = {*clean, *(each.what for each in kept_points(group, clean))}
    return [each.what for each in group.work if each.done is None and each.what not in stay]


def drop_said(group: Group, gone: Sequence[str]) -> str:
    """Say what a new short list would drop."""
    return f"{', '.join(gone)} of {group.shown} {'is' if len(gone) == 1 else 'are'} not done: say why not"


def kept_points(group: Group, points: Sequence[str]) -> list[WorkPoint]:
    """Return the open points of a group that a new short list does not take away."""
    asked = ("inspect", group.disposition, OLD_DECISION)
    return [
        each
        for each in group.work
        if each.what not in points
        and each.done is None
        and (each.what in asked or each.what.startswith(VERIFY))
    ]


def done(state: State, group_id: str, what: str, on: str | None) -> Draft:
    """Tick a point of the short list off, with the date.

    An inspection is done by its value, never by a tick. Repaired or remachined, what was measured before is
    to be measured again (each value says since when: `reworked`), of each piece where any was beyond its
    limit; where nothing was, it is to be inspected.
    """
    group = known(state, group_id)
    date = values.checked_date(on, "the date")
    if date is None:
        raise BadValue("say when it was done")
    point = _point(group, what)
    measured = {f"{VERIFY}{c.what.lower()}"[:80] for c in characteristics(state, group_id, day_of(on))}
    if point in ("inspect", OLD_DECISION, *measured):
        value = point.removeprefix(VERIFY) if point in measured else "looks"
        raise Refused(
            f"{group.shown} is inspected by what was found, not by a tick: record a value, or '{value} ok'"
        )
    again = tuple(map(WorkPoint, sorted(measured) or ["inspect"])) if point in REWORK else ()
    draft = _with(group, WorkPoint(point, date), "work done", again)
    before = {
        f"inspection:{key}": {"reworked": date}
        for key, doc in state.follower(Tests).of("inspection", group_id)
        if point in REWORK and "reworked" not in doc
    }
    after = {**draft.after, **before, **no_longer_accepted(state, group_id, [point])}
    if point in REWORK and (beyond := beyond_in(state, group)) and group.qty > 1:
        after[subject(group_id)] = {**(after[subject(group_id)] or {}), "each": [*beyond]}
    return draft._replace(after=after)


def again(state: State, group_id: str, what: str) -> Draft:
    """Have a point of the short list to do again."""
    group = known(state, group_id)
    return _with(group, WorkPoint(_point(group, what)), "work again")


def _with(group: Group, point: WorkPoint, kind: str, more: Sequence[WorkPoint] = ()) -> Draft:
    points = {each.what: each for each in (*group.work, point, *more)}
    work = values.checked_work(list(points.values()))
    return Draft(kind, {subject(group.id): group_fields({"work": work})})


def _point(group: Group, text: str) -> str:
    """Return the point of a group's list that is meant; Refused where it has none such."""
    wanted = clean_text(text, "a point of work", 80).lower()
    if not wanted:
        raise BadValue("say what was done")
    points = list(dict.fromkeys((*(each.what for each in group.work), *open_work(group))))
    if wanted not in points:
        said = f"its points are: {', '.join(points)}" if points else "it has none: give it a list first"
        raise Refused(f"'{wanted}' is no point of work on {group.shown} ({said})")
    return wanted


WORK = Record(
    "group",
    "work",
    "clean, measure, new seals",
    (Field("points", kinds.TEXT, "its short list of work, in order", many=True),),
    (r"(?P<points>.+)",),
    lead=(),
)  # fmt: skip
LIST = Act(
    "set work", "listed the work on", listed, "group",
    (*WORK.fields, Field("reason", kinds.TEXT, "why an open point is dropped", "--reason", "WHY")),
    kinds.GROUP, signed=True,
)  # fmt: skip
DONE = Act(
    "work done", "work done on", done, "group",
    (Field("what", kinds.TEXT, "the point that is done"), Field("on", kinds.PAST, "on which day")),
    kinds.GROUP,
)  # fmt: skip
AGAIN = Act(
    "work again", "work to do again on", again, "group",
    (Field("what", kinds.TEXT, "the point that is to do again"),), kinds.GROUP,
)  # fmt: skip
