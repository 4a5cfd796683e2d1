"""Putting back for good or to try, taking off again; and what becomes of a part."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields, where_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.model import OUT, Away, Fitted, Group, How, InGroup, WorkPoint
from shopbins.ledger.problems import ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records import kinds
from shopbins.records.accepted import FOR_NOW
from shopbins.records.acts import (
    accepted_doc,
    as_written,
    check_here,
    corrected,
    day_of,
    join,
    known,
    needs_reason,
    order_left,
    split,
    subject,
)
from shopbins.records.record import Act, Field
from shopbins.strip.book import Book
from shopbins.strip.fitting import against_fit, against_trial
from shopbins.strip.order import Order
from shopbins.strip.release import REWORK
from shopbins.strip.tree import NOT_STRUCK, is_fitted, is_tried
from shopbins.strip.waits import WORK_WORDS, held_back


def fit(
    state: State,
    group_id: str,
    *,
    on: str | None = None,
    to: str | None = None,
    machine: bool | None = None,
    contents: bool | None = None,
    anyway: str | None = None,
    by: str = "",
    qty: int | None = None,
    shown: Collection[str] | None = None,
    for_now: bool | None = None,
) -> Draft:
    """Put a group back for good: on its machine, or to the assembly it belongs to where that is off.

    `on` is the date, `to` a group to fit it to (`machine`: the machine itself, whatever it belongs to), `qty`
    how many of its pieces go (they are split off). What lies in or on it must be out first, or goes with it
    (`contents`). Refused while it waits for anything but the usual order; `anyway` gives the reason why a
    named person (`by`) lets it go on all the same, and is kept; where they were `shown` what it waits for, it
    lets through no more than that. What nobody may let through is refused. What goes on only `for_now` comes
    off again: until then the count is not clean.
    """
    group = known(state, group_id)
    if qty is not None and qty != group.qty:
        return then(
            state,
            split(state, group_id, qty),
            lambda ahead, new: fit(
                ahead,
                new,
                on=on,
                to=to,
                machine=machine,
                contents=contents,
                anyway=anyway,
                by=by,
                shown=shown,
                for_now=for_now,
            ),
            "fit",
        )
    where = state.docs("group")[group_id].get("where")
    if is_fitted(where):
        raise Refused(f"{group.shown} is on already")
    day = day_of(on)
    onto = _host(state, group) if to is None and not machine else to
    found = against_fit(state, group, day, onto, contents=bool(contents))
    if found.nobody:
        raise Refused(f"{group.shown} {'; '.join(found.nobody)}")
    after = _put_on(state, group, on, onto, contents=bool(contents), trial=False)
    reason = reason_text(anyway) or (FOR_NOW if for_now else "")
    elsewhere = list(_elsewhere(state, group, onto))
    waits = (*found.waits, *elsewhere)
    if waits and not reason:
        raise Refused(f"{group.shown} waits for {'; '.join(waits)}")
    _check_shown(group, waits, shown)
    about = _about(after)
    again = {"for_now": True} if for_now or reason.lower() == FOR_NOW else {}
    if waits or again:
        put_on = (group_id, *state.descendants(group_id))
        held = {each: list(open_) for each in put_on if (open_ := held_back(state, each, day))}
        after |= accepted_doc(
            "fit",
            group,
            reason,
            waits,
            by=by,
            on=day.isoformat(),
            open=held,
            lacks=True,
            **again,
            **({"elsewhere": True} if elsewhere else {}),
        )
    return Draft("fit", _fills(state, group, after), about)


def _fills(state: State, group: Group, after: dict[str, Any]) -> dict[str, Any]:
    """Return the changes with a place left empty said less empty, as far as the group fills it."""
    book = state.follower(Book)
    for seat, n in group.seats.items():
        look = book.look(seat)
        filled = look.on + look.joined + look.as_found + n + look.left_empty - look.need
        if look.left_empty and n and filled > 0:
            rest = max(0, look.left_empty - filled)
            after[f"part:{seat}"] = {"left_empty": rest} if rest else dict(NOT_STRUCK)
    return after


def then(state: State, draft: Draft, work: Callable[[State, str], Draft], kind: str) -> Draft:
    """Return one draft of a split and what is done with the pieces split off (their id)."""
    ahead = state.copy()
    ahead.apply(draft.after, state.seq)
    new = next(s for s in draft.after if s.startswith("group:") and s not in _old(state, draft))
    return join(kind, draft, work(ahead, new.partition(":")[2]))


def _old(state: State, draft: Draft) -> set[str]:
    return {s for s in draft.after if s.startswith("group:") and state.has_group(s.partition(":")[2])}


def try_on(
    state: State,
    group_id: str,
    *,
    on: str | None = None,
    to: str | None = None,
    machine: bool | None = None,
    contents: bool | None = None,
    anyway: str | None = None,
    by: str = "",
    shown: Collection[str] | None = None,
) -> Draft:
    """Put a group on for a trial fit: the count goes on knowing it as off.

    What is rejected, or to be scrapped or given away, is tried only for a reason (`anyway`), which is kept
    and lets through no more than was `shown`; what is to be renewed may be tried, what is away, no part or of
    another machine may not.
    """
    group = known(state, group_id)
    where = state.docs("group")[group_id].get("where")
    if is_fitted(where) or is_tried(where):
        raise Refused(f"{group.shown} is on already")
    onto = _host(state, group) if to is None and not machine else to
    found = against_trial(state, group, day_of(on), onto, contents=bool(contents))
    if found.nobody:
        raise Refused(f"{group.shown} {'; '.join(found.nobody)}")
    reason = reason_text(anyway)
    if found.waits and not reason:
        raise Refused(f"{group.shown} {'; '.join(found.waits)} (to try it anyway, say why: --anyway)")
    _check_shown(group, found.waits, shown)
    after = _put_on(state, group, on, onto, contents=bool(contents), trial=True)
    about = _about(after)
    if found.waits:
        after |= accepted_doc("trial", group, reason, found.waits, by=by, on=day_of(on).isoformat())
    return Draft("trial fit", after, about)


def _check_shown(group: Group, waits: Sequence[str], shown: Collection[str] | None) -> None:
    """Refuse where a reason was given without seeing all there is: it came since."""
    if shown is not None and (more := [each for each in waits if each not in shown]):
        raise Refused(f"{group.shown}, new since: {'; '.join(more)}")


def _put_on(
    state: State, group: Group, on: str | None, onto: str | None, *, contents: bool, trial: bool
) -> dict[str, Any]:
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
    return next((each for each in lying if each != group.id and group.id not in state.chain(each)), None)


def _elsewhere(state: State, group: Group, onto: str | None) -> Iterable[str]:
    """Say that a group would go on elsewhere than in the assembly it belongs to."""
    own, places = _host(state, group), state.follower(Order).graph.places
    if onto is None:
        if own is not None:
            yield f"its own place: it belongs in {state.group(own).shown}, which is off"
        return
    mine = [places[each].path for each in group.positions if each in places]
    there = [places[each].path for each in state.group(onto).positions if each in places]
    if mine and not any(path[: len(at)] == at for path in mine for at in there):
        yield f"its own place: it does not belong in {state.group(onto).shown}"


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


def come_off(
    state: State,
    group_id: str,
    *,
    anyway: str | None = None,
    by: str = "",
    on: str | None = None,
    qty: int | None = None,
) -> Draft:
    """Take off again what was fitted, or tried: it is then unplaced, whatever was fitted to it with it.

    Refused while something known to go on after it is still on; `anyway` says why all the same. What is of
    one use was used once it comes off.
    """
    group = known(state, group_id)
    if qty is not None and qty != group.qty:
        return then(
            state,
            split(state, group_id, qty),
            lambda ahead, new: come_off(ahead, new, anyway=anyway, by=by, on=on),
            "take off again",
        )
    where = state.docs("group")[group_id].get("where")
    if not is_fitted(where) and not is_tried(where):
        raise Refused(f"{group.shown} is not on")
    check_here(state, group)
    also = (subject(group.where.group),) if isinstance(group.where, InGroup) else ()
    fields: dict[str, Any] = {"where": None}
    after: dict[str, Any] = {subject(group_id): fields}
    if is_fitted(where):
        if group.one_use and group.brought:
            fields["used"] = True
        in_the_way = over_it(state, group)
        reason = reason_text(anyway)
        if in_the_way and not reason:
            raise Refused(f"{group.shown} comes off after {', '.join(in_the_way)}: take that off first")
        if in_the_way:
            after |= accepted_doc(
                "fit", group, reason, in_the_way, by=by, on=day_of(on).isoformat(), open={}, lacks=True
            )
        after |= {
            f"accepted:{key}": {"for_now": None}
            for key, doc in state.docs("accepted").items()
            if doc.get("for_now") and doc.get("group") == group_id
        }
    return Draft("take off again", after, also)


def over_it(state: State, group: Group) -> list[str]:
    """Return the names of what is on and is known to come off before a group."""
    order = state.follower(Order)
    graph, book = order.graph, state.follower(Book)
    if book.account(group.id) != "on":
        return []
    found: dict[str, None] = {}
    for position in group.positions:
        for n in graph.certain[1][graph.number[position]] if position in graph.number else ():
            first = graph.ids[n]
            if order.look(first).on and first not in group.positions:
                found[graph.places[first].name] = None
    return list(found)


# -- what becomes of it


def dispose(
    state: State,
    group_id: str,
    disposition: str,
    *,
    elsewhere: str | None = None,
    reason: str = "",
    by: str = "",
    on: str | None = None,
    **more: Any,
) -> Draft:
    """Decide what happens to a group; `elsewhere` names the project it is reused in, `more` changes more.

    What is on, or on trial, stays so until it comes off again: it cannot be scrapped or given away from
    there. To be worked on is an order of that work anew: what was ticked before does not count. What was to
    go for good, or an order not done, is left only for a reason, which is kept; unless it goes for good now,
    what was to go or to be reworked is then inspected first.
    """
    group = known(state, group_id)
    fields = as_written(
        state, values.checked({"disposition": disposition, "elsewhere": elsewhere or "", **more})
    )
    if (why := needs_reason(group, fields)) is not None:
        raise ReasonWanted(why, f"correct {group.shown} says how")
    kept: dict[str, Any] = {}
    was, verb, why_left = group.disposition, fields["disposition"], reason_text(reason)
    if left := order_left(group, verb):
        if not why_left:
            raise ReasonWanted(left, "--reason WHY")
        text = f"disposition {was} corrected to {verb}"
        kept = corrected(group, "disposition", was, verb, text, why_left, by=by, on=on)
        if verb != "inspect" and was in (*OUT, *REWORK) and not (was in REWORK and verb in REWORK):
            again = [each for each in group.work if each.what != "inspect"]
            fields["work"] = (*again, WorkPoint("inspect"))
    if verb in OUT:
        _check_not_on(state, group)
    if verb == "reuse elsewhere" and elsewhere is None:
        del fields["elsewhere"]  # as it was
    elif verb != "reuse elsewhere":
        fields["elsewhere"] = ""
    if fields.get("elsewhere") == group.elsewhere:
        del fields["elsewhere"]
    work = fields.get("work", group.work)
    if verb in WORK_WORDS and any(each.what == verb for each in work):
        fields["work"] = tuple(WorkPoint(verb) if each.what == verb else each for each in work)
    return Draft("change", {subject(group_id): group_fields(fields), **kept})


def _check_not_on(state: State, group: Group) -> None:
    where = state.docs("group")[group.id].get("where")
    if is_fitted(where):
        raise Refused(f"{group.shown} is on: take it off first")
    if is_tried(where):
        raise Refused(f"{group.shown} is on trial: take it off first")


def _anyway(says: str) -> Field:
    return Field("anyway", kinds.TEXT, f"{says}, with the reason kept", "--anyway", "REASON")


_ON = Field("on", kinds.PAST, "on which day")
_ONTO = (
    Field("to", kinds.GROUP, "fit it to this part rather than where it belongs", "--to", "PART"),
    Field("machine", kinds.YES, "fit it to the machine itself, not to its assembly", "--machine"),
    Field("contents", kinds.YES, "what lies in or on it goes on with it", "--with-contents"),
)
FIT = Act(
    "fit", "put back", fit, "group",
    (_ON, *_ONTO, Field("qty", kinds.COUNT, "how many of its pieces go back (else all)", "--qty"),
     _anyway("put it back though it waits for something"),
     Field("for_now", kinds.YES, "it comes off again: until then it is not counted as back", "--for-now")),
    kinds.GROUP, signed=True,
)  # fmt: skip
TRY = Act(
    "trial fit", "tried", try_on, "group",
    (_ON, *_ONTO, _anyway("try it though it is rejected or decided about")), kinds.GROUP, signed=True,
)  # fmt: skip
OFF = Act(
    "take off again", "took off again:", come_off, "group",
    (_ON, Field("qty", kinds.COUNT, "how many of its pieces come off (else all)", "--qty"),
     _anyway("though something that goes on after it is still on")),
    kinds.GROUP, signed=True,
)  # fmt: skip
