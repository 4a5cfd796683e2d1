"""Acts of putting back: fit for good or on trial, take off again, work done, what becomes of a part.

Pure functions from the state to a draft, as in acts.py.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields, where_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.model import Away, Fitted, Group, How, InGroup
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import clean_text
from shopbins.records.acts import known, subject
from shopbins.strip import refit
from shopbins.strip.order import Order
from shopbins.strip.tree import OUT, is_fitted, is_tried
from shopbins.strip.waits import DECIDE


def fit(
    state: State,
    group_id: str,
    *,
    on: str | None = None,
    to: str | None = None,
    contents: bool = False,
    anyway: str = "",
) -> Draft:
    """Put a group back for good: on its machine, or to the assembly it belongs to where that is off.

    `on` is the date, `to` a group to fit it to ('' the machine itself, whatever it belongs to). What lies in
    or on it must be out first, or goes with it (`contents`). Refused while it waits for anything but the
    usual order; `anyway` gives the reason why it goes on all the same, and is kept.
    """
    group = known(state, group_id)
    where = state.docs("group")[group_id].get("where")
    if is_fitted(where):
        raise Refused(f"{group.shown} is on already")
    if group.disposition in OUT:
        raise Refused(f"{group.shown} is to {_verb(group)}: say first that it goes back (disposition refit)")
    reason = clean_text(anyway, "the reason")
    waits = must_wait(state, group)
    if waits and not reason:
        raise Refused(f"{group.shown} waits for {'; '.join(waits)}")
    after = _put_on(state, group, on, to, contents=contents, trial=False)
    if waits:
        for position in group.positions:
            after[f"part:{position}"] = {"anyway": f"{reason} (waited for {'; '.join(waits)})"}
    return Draft("fit", after, _about(after))


def must_wait(state: State, group: Group) -> list[str]:
    """Return what a group waits for, in words, each once; the usual order is no reason to wait."""
    found: dict[str, None] = {}
    order = state.follower(Order)
    places = [each for each in group.positions if each in order.graph.number]
    for position in places:
        for line in refit.entry(state, position):
            found |= {wait.text: None for wait in line.waits if wait not in line.usual}
    looks = [order.look(each) for each in places]
    if looks and all(look.done and look.needed for look in looks):
        struck = any(look.struck for look in looks)
        found["nothing: its place was struck out" if struck else "nothing: its place is filled"] = None
    return list(found)


def try_on(
    state: State, group_id: str, *, on: str | None = None, to: str | None = None, contents: bool = False
) -> Draft:
    """Put a group on for a trial fit: the count goes on knowing it as off."""
    group = known(state, group_id)
    where = state.docs("group")[group_id].get("where")
    if is_fitted(where) or is_tried(where):
        raise Refused(f"{group.shown} is on already")
    if isinstance(state.top_of(group_id)[1], Away):
        raise Refused(f"{group.shown} is away")
    after = _put_on(state, group, on, to, contents=contents, trial=True)
    return Draft("trial fit", after, _about(after))


def _put_on(
    state: State, group: Group, on: str | None, to: str | None, *, contents: bool, trial: bool
) -> dict[str, Any]:
    onto = _host(state, group) if to is None else to
    how: How = "tried" if trial else "fitted"
    if onto:
        host = known(state, onto)
        if group.id in state.chain(host.id):
            raise Refused(f"{group.shown} cannot go to {host.shown}: that is in or on it")
        if isinstance(state.top_of(host.id)[1], Away):
            raise Refused(f"{host.shown}, which it belongs to, is away")
        where: InGroup | Fitted = InGroup(host.id, how)
    else:
        where = Fitted(values.checked_date(on, "the date"), trial)
    after: dict[str, Any] = {subject(group.id): {"where": where_doc(where)}}
    lying = list(_lying_in(state, group.id))
    if lying and not contents:
        names = ", ".join(state.group(each).shown for each in lying[:3])
        more = f" and {len(lying) - 3} more" if len(lying) > 3 else ""
        raise Refused(f"{names}{more} would go with {group.shown}: take out first, or say that it goes too")
    for each in lying:
        inside = state.group(each).where
        assert isinstance(inside, InGroup)
        after[subject(each)] = {"where": where_doc(InGroup(inside.group, how))}
    return after


def _host(state: State, group: Group) -> str | None:
    """Return the group that is the assembly a group belongs to, if that is off and to go back."""
    order = state.follower(Order)
    known_there = group.positions[0] in order.graph.number
    host = order.graph.host(group.positions[0]) if known_there else None
    lying = () if host is None else order.look(host).lying
    chosen = next((each for each in lying if each != group.id and group.id not in state.chain(each)), None)
    if chosen is None and host is not None:  # on the machine already: then what it belongs to is there
        return None
    return chosen


def _lying_in(state: State, group_id: str) -> Iterable[str]:
    """Go through what lies in or on a group, at any depth, and is not fitted to it."""
    for each in state.descendants(group_id):
        where = state.group(each).where
        if isinstance(where, InGroup) and where.how in ("in", "on"):
            yield each


def _about(after: dict[str, Any]) -> tuple[str, ...]:
    """Return the subjects of the groups things are fitted to, so that their history shows it."""
    about = []
    for fields in after.values():
        holder = (fields.get("where") or {}).get("group")
        if holder:
            about.append(subject(holder))
    return tuple(about)


def come_off(state: State, group_id: str) -> Draft:
    """Take off again what was fitted, or tried: it is then unplaced, whatever was fitted to it with it."""
    group = known(state, group_id)
    where = state.docs("group")[group_id].get("where")
    if not is_fitted(where) and not is_tried(where):
        raise Refused(f"{group.shown} is not on")
    also = (subject(group.where.group),) if isinstance(group.where, InGroup) else ()
    return Draft("take off again", {subject(group_id): {"where": None}}, also)


# -- what becomes of it


def _verb(group: Group) -> str:
    return {"scrap": "be scrapped", "renew": "be renewed", "sell": "be sold"}.get(
        group.disposition, f"be reused elsewhere{f' ({group.elsewhere})' if group.elsewhere else ''}"
    )


def dispose(
    state: State, group_id: str, disposition: str, *, elsewhere: str | None = None, **more: Any
) -> Draft:
    """Decide what becomes of a group; `elsewhere` names the project it is reused in, `more` changes more.

    What is fitted stays on until it comes off again, so it cannot be scrapped or given away from there.
    """
    group = known(state, group_id)
    fields = values.checked({"disposition": disposition, "elsewhere": elsewhere or "", **more})
    if fields["disposition"] in OUT:
        _check_not_on(state, group)
    if fields["disposition"] == "reuse elsewhere" and elsewhere is None:
        del fields["elsewhere"]  # as it was
    elif fields["disposition"] != "reuse elsewhere":
        fields["elsewhere"] = ""
    if fields.get("elsewhere") == group.elsewhere:
        del fields["elsewhere"]
    return Draft("change", {subject(group_id): group_fields(settled(group, fields))})


def _check_not_on(state: State, group: Group) -> None:
    if is_fitted(state.docs("group")[group.id].get("where")):
        raise Refused(f"{group.shown} is on: take it off first")


def settled(group: Group, fields: dict[str, Any]) -> dict[str, Any]:
    """Return the fields with the question a failed inspection left taken as answered."""
    if any(each.what == DECIDE and each.done is None for each in group.work):
        return {**fields, "work": tuple(each for each in group.work if each.what != DECIDE)}
    return fields
