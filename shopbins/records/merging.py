"""Parts put together into one: only where all that decides about putting them back is the same.

What is said of a group is said of each of its pieces. So what differs between two groups could not be told of
the pieces any more once they lie in one, and would be lost, or made better than it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields, where_doc
from shopbins.ledger.events import Draft
from shopbins.ledger.lots import share_fields
from shopbins.ledger.model import ORDERS, OUT, Away, Doc, Fitted, Group, InGroup, Mass, WorkPoint
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records.acts import accepted_doc, known, seat_docs, subject
from shopbins.records.position import came_off
from shopbins.strip.book import Book, holders
from shopbins.strip.release import Tests, limits_said, release
from shopbins.strip.sets import parted
from shopbins.strip.waits import on_unreleased


def merge(
    state: State, group_ids: Sequence[str], *, anyway: str = "", by: str = "", on: str | None = None
) -> Draft:
    """Put groups together into the first: pieces add up, what lay in the others then lies in it.

    Each piece keeps its position on its machine. Those of two machines are put together only for a reason
    (`anyway`), which is kept. Refused where anything differs that decides about putting them back (see
    `difference`), where one is rejected or conceded, and where a matched set would be parted.

    The mass is the sum where all are known, else unknown. The others' tags go on finding it, and their notes
    and cautions are kept.
    """
    ids = list(dict.fromkeys(group_ids))
    if len(ids) < 2:
        raise BadValue("merging takes at least two parts")
    kept, *others = (known(state, each) for each in ids)
    for other in others:
        if other.id in state.chain(kept.id):
            raise Refused(
                f"{kept.shown} lies in {other.shown}: merge the other way round, or take it out first"
            )
    today = date.today()
    for group in (kept, *others):
        let = release(state, group.id, today)
        if let.nobody or let.conceded:
            what = "rejected" if let.nobody else "under concession"
            raise Refused(f"{group.shown} is {what}: it stays apart, with its label")
    for other in others:
        if apart := difference(state, kept, other, today):
            raise Refused(apart)
    for line in parted(state, [kept, *others]):
        raise Refused(line)
    machines = {group.origin[0] for group in (kept, *others) if group.origin}
    reason = reason_text(anyway)
    if len(machines) > 1 and not reason:
        raise Refused(
            f"they came off {' and '.join(sorted(machines))}: say why they lie together (--anyway REASON)"
        )
    masses = [group.mass for group in (kept, *others)]
    total = None
    if all(masses):
        total = Mass(
            sum(mass.kg for mass in masses if mass), about=any(mass.about for mass in masses if mass)
        )
    codes = (*kept.also_codes, *(code for each in others for code in (each.code, *each.also_codes)))
    qty = values.checked_qty(sum(group.qty for group in (kept, *others)))
    cautions = tuple(dict.fromkeys(caution for group in (kept, *others) for caution in group.cautions))
    fields: dict[str, Any] = {
        "qty": qty,
        "mass": total,
        "also_codes": codes,
        "cautions": cautions,
        "size": None,
        **values.checked({"note": "; ".join(dict.fromkeys(g.note for g in (kept, *others) if g.note))}),
        "details": {name: value for group in (kept, *others) for name, value in group.details.items()},
        "work": _latest(kept, others),
    }
    if any(group.disposition != kept.disposition for group in others):
        fields["disposition"] = "undecided"  # else one would say that the other is to go back
    seats: dict[str, int] = {}
    for group in (kept, *others):
        for seat, n in group.seats.items():
            seats[seat] = seats.get(seat, 0) + n
    after: dict[str, Any] = {subject(kept.id): {**group_fields(fields), **share_fields(seats, kept.id)}}
    gone = {other.id for other in others}
    if len(seats) > 1 and len(machines) < 2:
        parts = state.docs("part")
        pools = {parts[seat]["pool"] for seat in seats if parts.get(seat, {}).get("pool")}
        pooled = [*seats, *(key for key, doc in parts.items() if pools and doc.get("pool") in pools)]
        after |= {f"part:{seat}": {"pool": kept.id} for seat in pooled}
    for other in others:
        after[subject(other.id)] = None
        for each, doc in came_off(state, other.seats).items():
            after[each] = {**after.get(each, {}), **doc}
        if other.id in other.seats:
            # its position goes on, and so does what was said of it: under its own name
            for each, doc in seat_docs(state, other).items():
                after[each] = {**doc, **after.get(each, {})}
        for table in ("inspection", "concession"):
            for key, doc in state.docs(table).items():
                if doc["group"] == other.id:
                    moved = {"group": kept.id, "of": doc.get("of", other.id)}
                    after[f"{table}:{key}"] = None if _is_there(state, table, kept.id, doc) else moved
        for child in state.children(other.id):
            if child not in gone:
                how = state.group(child).where
                assert isinstance(how, InGroup)
                after[subject(child)] = {"where": where_doc(InGroup(kept.id, how.how))}
    if len(machines) > 1:
        after |= accepted_doc("merge", kept, reason, ["one machine only"], by=by, on=on)
    return Draft("merge", after)


def _latest(kept: Group, others: Sequence[Group]) -> tuple[WorkPoint, ...]:
    """Return the short list they share: each point done on the day the last of them was."""
    done = {each.what: each.done for each in kept.work}
    for other in others:
        for each in other.work:
            done[each.what] = max(filter(None, (done.get(each.what), each.done)), default=None)
    return tuple(WorkPoint(what, day) for what, day in done.items())


def _is_there(state: State, table: str, group_id: str, doc: Doc) -> bool:
    """Tell whether a group has the very same record: both were split off what it was made of."""
    own = {name: value for name, value in doc.items() if name not in ("group", "of")}
    return any(
        own == {name: value for name, value in each.items() if name not in ("group", "of")}
        for _, each in state.follower(Tests).of(table, group_id)
    )


def difference(state: State, one: Group, other: Group, today: date) -> str | None:
    """Say the first thing that decides about putting back and differs between two groups, None for nothing.

    That is what they are, where they are, what was decided, what is to be done and was, what was measured,
    what was let through, and what the checks were told.
    """
    mine, others = _decides(state, one, today), _decides(state, other, today)
    for each in dict.fromkeys((*mine, *others)):
        a, b = (facts.get(each, f"has no {each}") for facts in (mine, others))
        if a != b:
            return f"{one.shown} {a}, {other.shown} {b}: they stay apart, each with its label"
    for name in one.details.keys() & other.details.keys():
        if one.details[name] != other.details[name]:
            told = [f"{each.shown} has {name} {each.details[name]}" for each in (one, other)]
            return f"{', '.join(told)}: they stay apart, each with its label"
    return None


def _decides(state: State, group: Group, today: date) -> dict[str, str]:
    """Return all that decides about putting a group back, as 'what: what it is', in words."""
    if group.counted == "never":
        return {"part": "is no part of a machine", "where": _whereabouts(state, group)}
    used = "is of one use, and was on" if group.used else "is of one use"
    found = {
        "part": "was brought in" if group.brought else "came off a machine",
        "home": "has its place on a machine"
        if group.origin
        else "has no place: nobody said where it belongs",
        "where": _whereabouts(state, group),
        "decision": f"is to: {group.disposition}" if group.disposition in (*OUT, *ORDERS) else "may go back",
        "project": f"goes to {group.elsewhere or 'none'}",
        "use": used if group.one_use else "may be used again",
        "count": "is not counted yet" if group.counted in ("assumed", "later") else "is counted",
    }
    values_of: dict[str, list[str]] = {}
    for _, doc in state.follower(Tests).of("inspection", group.id):
        limits = limits_said(doc.get("low", ""), doc.get("high", ""))
        told = f"{doc.get('measured', '')}" + (f" ({limits})" if limits else "")
        values_of.setdefault(f"value of {doc['what'].casefold()}", []).append(told)
    found |= {what: f"has the {what} {', then '.join(told)}" for what, told in values_of.items()}
    for point in group.work:
        what = f"point of work '{point.what}'"
        found[what] = f"has the {what} {'done' if point.done else 'to do'}"
    if isinstance(group.where, Fitted | InGroup):
        open_ = list(on_unreleased(state, group.id, today).values())
        found["acceptance"] = f"waits for {', '.join(open_)}" if open_ else "waits for nothing"
    return found


def _whereabouts(state: State, group: Group) -> str:
    """Say where a group is as far as it counts: off is off, wherever in the shop it lies."""
    book, where = state.follower(Book), group.where
    _, top = state.top_of(group.id)
    if isinstance(top, Away):
        until = f" until {top.until}" if top.until else ""
        told = f"{'lent to' if top.lent else 'away at'} {top.to}{until}"
        return f"is {told}{f' for {top.reason}' if top.reason else ''}"
    if isinstance(where, Fitted):
        return f"is {'on trial' if where.trial else 'back'} on {book.on_which(group.id) or 'its machine'}"
    around = [each for each, _ in holders(state, group.id)]
    if isinstance(where, InGroup) and around:
        host = state.group(around[0])
        if where.how in ("fitted", "tried"):
            return f"is {'on trial' if where.how == 'tried' else 'fitted'} on {host.shown} ({host.code})"
        for each in map(state.group, around):
            if book.account(each.id) == "on":
                return f"lies in {each.shown} ({each.code}), which is on"
    return "is off"
