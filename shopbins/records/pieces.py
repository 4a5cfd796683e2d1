"""Pieces corrected by a person's word: counted, lost, found, given, swapped, bound to a place, lent.

Every act is a balanced transfer (`ledger/lots.py`): what a group's number loses is posted with the reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.lots import lost_ones, share_fields, split_off
from shopbins.ledger.model import ORDERS, Doc, Group, InGroup, WorkPoint
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records import kinds
from shopbins.records.acts import (
    accepted_doc,
    check_here,
    corrected,
    correction,
    day_of,
    join,
    known,
    part_of,
    posted,
    seat_docs,
    send_away,
    split,
    subject,
)
from shopbins.records.branches import exchanged, keeping_up
from shopbins.records.fitting import then
from shopbins.records.measured import copied_tests, held_to
from shopbins.records.position import came_off, known_position, less_empty
from shopbins.records.record import Act, Field
from shopbins.records.relation import key_of
from shopbins.strip.book import GONE, Book
from shopbins.strip.care import machine_of
from shopbins.strip.order import Order
from shopbins.strip.release import VERIFY, Tests, release
from shopbins.strip.sets import sets_of
from shopbins.strip.tree import as_known, is_fitted, is_tried, listed, position_of

FEWER: Mapping[str, str] = {
    "lost": "lost", "never there": "never", "used up": "consumed", "on the machine": "taken"
}  # fmt: skip
MORE: Mapping[str, str] = {"found": "found", "came off": "taken"}


def _reason(reason: str | None, what: str) -> str:
    text = reason_text(reason)
    if not text:
        raise BadValue(f"say why {what} (--reason)")
    return text


def correct(
    state: State,
    group_id: str,
    qty: int,
    became: str | None = None,
    reason: str | None = None,
    *,
    by: str = "",
    on: str | None = None,
    shown: int | None = None,
) -> Draft:
    """Correct a number of pieces: what became of those there are fewer of, or where the others came from.

    `became`: fewer are lost, never there, used up (what is of one use) or still on the machine; more were
    found, or came off as well: apart from the others where anything is known of those (measured, worked on,
    put on), as it is not known of these. The number as it is explains an older change. 0 takes the group
    away. Refused where they are no longer as many as were `shown` to who says so.
    """
    group = known(state, group_id)
    if shown not in (None, group.qty):
        raise Refused(
            f"{group.shown} is of {group.qty} by now, not of {shown}: look again, then correct that"
        )
    if qty < 0:
        raise BadValue(f"{qty} pieces: there are none less than 0")
    why, became = _reason(reason, "the number changes"), became or ""
    day = day_of(on).isoformat()
    if qty == group.qty:
        return _explain(state, group, became, why, by, day)
    kind = (FEWER if qty < group.qty else MORE).get(became)
    if kind is None:
        options = ", ".join(FEWER if qty < group.qty else MORE)
        raise BadValue(f"{group.qty} to {qty} pieces: say what became of them (--as, one of: {options})")
    if kind == "consumed" and not group.one_use:
        raise Refused(f"{group.shown} is not of one use: it is lost, or decided about (set --disposition)")
    if qty < group.qty:
        return _fewer(state, group, group.qty - qty, kind, why, by, day)
    if group.counted == "never":
        raise Refused(f"{group.shown} is no part: its number is not counted")
    more = qty - group.qty
    first = next(iter(group.seats))
    if kind == "found":
        if lost := sum(
            doc["n"]
            for key in lost_ones(state.docs("posting"), group.code)
            for doc in [state.docs("posting")[key]]
        ):
            raise Refused(
                f"{lost} of {group.shown} {'is' if lost == 1 else 'are'} lost: say that it is found"
            )
        return _turned_up(state, group, kind, {first: more}, why, by, day)
    if group.brought or _something_said(state, group):
        return _turned_up(state, group, kind, {first: more}, why, by, day)
    seats = {**group.seats, first: group.seats[first] + more}
    postings = posted(group, kind, {first: more}, why, by=by, on=day)
    return Draft("correct", {subject(group_id): share_fields(seats, group_id), **postings})


def _waiting(state: State, group: Group, new: str, seats: Mapping[str, int]) -> dict[str, Any]:
    """Return the document of pieces like a group's that turned up: a group of its own, put down nowhere."""
    doc = part_of(group, group.name, sum(seats.values()), state.next_code().text)
    shares = {k: v for k, v in share_fields(seats, new).items() if v is not None}
    return {k: v for k, v in {**doc, **shares}.items() if k != "where"}


def _something_said(state: State, group: Group) -> bool:
    """Tell whether anything is known of a group's pieces that is not so of others: measured, done, put on.

    What was decided or ordered of them (renew, remachine) holds for one more as well.
    """
    judged = group.work or state.follower(Tests).of("inspection", group.id)
    return bool(judged) or state.follower(Book).account(group.id) in ("on", "trial", "joined", "away", "lent")


def _turned_up(
    state: State, group: Group, kind: str, seats: Mapping[str, int], why: str, by: str, day: str
) -> Draft:
    """Return the draft that has more pieces like a group's: a group of their own, waiting.

    Of them nothing was measured or done yet: what was asked of the others is asked of them anew.
    """
    new = new_id()
    asked = [each.what for each in group.work]
    values_of = state.follower(Tests).of("inspection", group.id)
    asked += [f"{VERIFY}{doc['what'].lower()}"[:80] for _, doc in values_of]
    decided = group.disposition if group.disposition in ORDERS else "undecided"
    like = group._replace(
        work=tuple(WorkPoint(what) for what in dict.fromkeys(asked)), disposition=decided, elsewhere="",
        brought=False,
    )  # fmt: skip
    postings = posted(like, kind, seats, why, by=by, on=day)
    docs = {subject(new): _waiting(state, like, new, seats), **postings, **less_empty(state, seats)}
    return Draft("correct", docs, (subject(group.id),))


def _check_unjudged(state: State, group: Group, what: str, *, whole: bool) -> None:
    """Refuse to have pieces leave the books as if they had never come off, where something is known of them.

    Else they would come back uninspected, unlimited, as new. `whole`: all of the group leaves.
    """
    account = state.follower(Book).account(group.id)
    if account in GONE.values():
        raise Refused(f"{group.shown}: it was decided what happens to it; decide anew before it is {what}")
    if account in ("away", "lent"):
        raise Refused(f"{group.shown} is {account}: it cannot be {what}")
    if account == "trial":
        raise Refused(f"{group.shown} is on trial: take it off first")
    if isinstance(group.where, InGroup) and group.where.how in ("in", "on"):
        raise Refused(
            f"{group.shown} lies in {state.group(group.where.group).shown}: take it out before it is {what}"
        )
    if group.one_use:
        raise Refused(f"{group.shown} is of one use and came off: it is used up or renewed, not {what}")
    let = release(state, group.id, day_of(None))
    if let.nobody or let.conceded:
        raise Refused(f"{group.shown} is {let.why or 'under concession'}: it came off, and is not {what}")
    tests = state.follower(Tests)
    if whole and (measured := tests.of("inspection", group.id)):
        raise Refused(
            f"{group.shown} was inspected ({measured[-1][1]['what']}): it came off, and is not {what}"
        )


def _fewer(
    state: State, group: Group, n: int, kind: str, why: str, by: str, day: str, *, seen: str = ""
) -> Draft:
    if group.counted == "never":
        raise Refused(f"{group.shown} is no part: its number is not counted")
    if kind in ("taken", "never"):
        what = "on the machine" if kind == "taken" else "never there"
        _check_unjudged(state, group, what, whole=n == group.qty)
    where = state.docs("group")[group.id].get("where")
    gone = kind in ("lost", "consumed") or (kind == "never" and n == group.qty)
    if gone and (is_fitted(where) or is_tried(where)):
        raise Refused(f"{group.shown} is on: take it off first")
    goes, stays = split_off(group.seats, n)
    sign = -1 if kind == "taken" else 1
    more: dict[str, Any] = {}
    tests: dict[str, Any] = {}
    if kind == "lost" and any(stays.values()):  # a lot of its own from now on, with what was measured of it
        lot = new_id()
        doc = _waiting(state, group, lot, goes)
        more = {"group": lot, "of": group.id, "whole": {**doc, "code": group.code}}
        tests = copied_tests(state, group.id, lot, n, group.qty - n)
    if not any(stays.values()):
        lying = state.children(group.id)
        if lying:
            raise Refused(f"{state.group(lying[0]).shown} lies in {group.shown}: take it out first")
        doc = {k: v for k, v in state.docs("group")[group.id].items() if k not in ("where", "printed")}
        more = {"whole": doc}
    if seen:
        more["seen"] = seen
    postings = posted(group, kind, {seat: sign * n for seat, n in goes.items()}, why, by=by, on=day, **more)
    fields = share_fields(stays, group.id) if any(stays.values()) else None
    kept = seat_docs(state, group) if group.id in goes and group.id not in stays else {}
    about = (subject(group.where.group),) if isinstance(group.where, InGroup) else ()
    return Draft(
        "lose" if kind == "lost" else "correct",
        {subject(group.id): fields, **postings, **kept, **tests},
        about,
    )


def _explain(state: State, group: Group, became: str, why: str, by: str, day: str) -> Draft:
    """Give the reason for a change an older ledger has without one."""
    key = f"number {group.id}"
    old = state.docs("posting").get(key)
    if old is None:
        raise Refused(f"{group.shown} has {group.qty} pieces already")
    n = old["n"]
    kind = "never" if group.counted == "never" else (FEWER if n > 0 else MORE).get(became)
    if kind is None:
        raise BadValue(f"say what became of them (--as, one of: {', '.join(FEWER if n > 0 else MORE)})")
    postings = posted(
        group, kind, {old["seat"]: n if kind in ("lost", "never", "consumed") else -n}, why, by=by, on=day
    )
    return Draft("correct", {f"posting:{key}": None, **postings}, (subject(group.id),))


def lose(
    state: State,
    group_id: str,
    reason: str = "",
    qty: int | None = None,
    *,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Record that pieces are not to be found; `find` takes that back.

    Last seen in or on something that is on, they may be in there still: only with a reason, which is told.
    """
    group = known(state, group_id)
    n = group.qty if qty is None else values.checked_qty(qty)
    if n > group.qty:
        raise Refused(f"{group.shown} has {group.qty} pieces: {n} cannot be lost")
    why, book = reason_text(reason), state.follower(Book)
    seen = next(
        (state.group(each).shown for each in state.chain(group_id)[1:] if book.account(each) == "on"), ""
    )
    if seen and not why:
        text = (
            f"{group.shown} was last seen in {seen}, which is on: take it out, or say why it is not in there"
        )
        raise ReasonWanted(text, "--reason WHY")
    return _fewer(state, group, n, "lost", why, by, day_of(on).isoformat(), seen=seen)


def find(
    state: State, what: str, qty: int | None = None, reason: str = "", *, by: str = "", on: str | None = None
) -> Draft:
    """Have back what was lost, by its code or name: a group of its own for each loss, waiting.

    It does not go back among the others by itself: those may be on, away or decided about. What was measured
    and conceded when it was lost holds for it.
    """
    table = state.docs("posting")
    keys = lost_ones(table, what)
    if not keys:
        raise Refused(
            f"nothing lost is called '{what.strip()}' (what nobody took off is taken: take, or correct)"
        )
    left = sum(table[key]["n"] for key in keys) if qty is None else values.checked_qty(qty)
    if left > sum(table[key]["n"] for key in keys):
        raise Refused(f"{sum(table[key]['n'] for key in keys)} of it are lost: {left} cannot be found")
    after: dict[str, Any] = {}
    found: dict[str, dict[str, int]] = {}
    for key in keys:
        doc = table[key]
        n = min(left, doc["n"])
        if n:
            left -= n
            seats = found.setdefault(doc["group"], {})
            seats[doc["seat"]] = seats.get(doc["seat"], 0) + n
            after[f"posting:{key}"] = None if n == doc["n"] else {"n": doc["n"] - n}
    groups: dict[str, Any] = {}
    codes: set[str] = set()
    for lot, seats in found.items():
        first = next(table[key] for key in keys if table[key]["group"] == lot)
        new = new_id() if state.has_group(lot) else lot
        groups[subject(new)] = doc = _again(state, first, new, seats)
        if state.resolve_code(doc.get("code", "")) is not None or doc["code"] in codes:
            serial = state.last_serial
            code = state.next_code(serial)
            while code.text in codes:
                code = state.next_code(code.serial)
            doc["code"] = code.text
        codes.add(doc["code"])
        if new != lot:
            after |= copied_tests(state, lot, new, sum(seats.values()), state.group(lot).qty)
    if why := reason_text(reason):
        lost = sum(table[key]["n"] for key in keys)
        first_id = next(iter(groups)).partition(":")[2]
        n = sum(sum(seats.values()) for seats in found.values())
        text = f"{what.strip()}: lost {lost} corrected to {lost - n}"
        kept = {"field": "lost", "old": lost, "new": lost - n}
        after |= correction("part", first_id, text, why, by=by, on=on, **kept)
    coming: dict[str, int] = {}
    for seats in found.values():
        for seat, n in seats.items():
            coming[seat] = coming.get(seat, 0) + n
    return Draft("find", {**groups, **after, **less_empty(state, coming)})


def _again(state: State, lost: Mapping[str, Any], new: str, seats: Mapping[str, int]) -> dict[str, Any]:
    """Return the document of a lost lot that is there again: as it was, waiting."""
    if "whole" in lost:
        whole = {k: v for k, v in lost["whole"].items() if k not in ("qty", "parts", "shares")}
    elif state.has_group(lost["group"]):  # as older ledgers kept it
        whole = _waiting(state, state.group(lost["group"]), new, seats)
        whole = {k: v for k, v in whole.items() if k not in ("qty", "parts", "shares")}
    else:  # the group it was lost from went into another since
        place = position_of(state, lost["seat"])
        origin = list(place.origin) if place is not None else []
        whole = {"name": lost["name"], "origin": origin, "code": state.next_code().text}
        whole |= {"brought": True} if lost.get("brought") else {}
    return {**whole, **{k: v for k, v in share_fields(seats, new).items() if v is not None}}


def count_pieces(
    state: State,
    group_id: str,
    qty: int | None = None,
    became: str = "",
    reason: str = "",
    *,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Record that a group's pieces were counted; where the number is another, what became of the rest."""
    group = known(state, group_id)
    counted = Draft("count", {subject(group_id): {"counted": None}})
    if group.counted == "never":
        raise Refused(f"{group.shown} is no part: say that it is one first")
    if qty is None or qty == group.qty:
        return counted
    if not became:
        rest = abs(group.qty - qty)
        raise BadValue(
            f"{qty} counted where {group.qty} were: say what became of {rest} (--as), and why (--reason)"
        )
    why = reason or "counted"
    return join("count", counted, correct(state, group_id, qty, became, why, by=by, on=on))


def never_a_part(state: State, group_id: str, reason: str, *, by: str = "", on: str | None = None) -> Draft:
    """Record that what came off is no part of the machine after all: a tool, a tub."""
    group = known(state, group_id)
    why = _reason(reason, "it is no part")
    if state.docs("posting").get(f"number {group_id}") is not None and group.counted == "never":
        return _explain(state, group, "never there", why, by, day_of(on).isoformat())
    if group.counted == "never":
        raise Refused(f"{group.shown} is no part already")
    _check_unjudged(state, group, "no part", whole=True)
    if place := next(
        (p for p in map(listed(state).get, group.seats) if p and p.get("qty") is not None), None
    ):
        raise Refused(
            f"the list has {place.get('name') or group.shown}: it is a part (correct the list first)"
        )
    postings = posted(group, "never", group.seats, why, by=by, on=day_of(on).isoformat(), no_part=True)
    kept = seat_docs(state, group) if group_id in group.seats else {}
    return Draft("correct", {subject(group_id): {"counted": "never"}, **postings, **kept})


def give(
    state: State,
    group_id: str,
    to: Sequence[str] | str,
    reason: str,
    qty: int | None = None,
    *,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Give pieces to another machine: `to` is an origin there, or a position (by id) that lacks pieces.

    Where they came from lacks them then, until something takes their place. They are held to the limits of
    the place they go to where those are narrower, and what was conceded was for where they came from. What
    came out of an assembly, or is in it, goes with it.
    """
    group = known(state, group_id)
    if qty is not None and qty != group.qty:
        return then(
            state, split(state, group_id, qty), lambda s, new: give(s, new, to, reason, by=by, on=on), "give"
        )
    inside = _inside(state, group)
    where = state.docs("group")[group_id].get("where")
    if is_fitted(where) or is_tried(where):
        raise Refused(f"{group.shown} is on: take it off first")
    draft = _given(state, group, to, reason, by, on)
    ahead = state.copy()
    ahead.apply(draft.after, state.seq)
    if not inside:
        return draft
    graph = state.follower(Order).graph
    at = graph.places[next(iter(group.seats))].path
    seat = next(iter(ahead.group(group_id).seats))
    there = ahead.follower(Order).graph.places[seat].path
    after = dict(draft.after)
    for each in inside:
        inner = ahead.group(each)
        path = (*there, *graph.places[next(iter(inner.seats))].origin[len(at) :])
        more = _given(ahead, inner, path, reason, by, on).after
        ahead.apply(more, ahead.seq)
        for key, doc in more.items():
            after[key] = None if doc is None else {**(after.get(key) or {}), **doc}
        new = next(iter(ahead.group(each).seats))
        after[key_of(seat, new)] = {"a": seat, "b": new}
    return draft._replace(after=after)


def _inside(state: State, group: Group) -> list[str]:
    """Return the groups of what came out of a group, to go along; Refused where that is not known."""
    own, *more = group.seats
    book, found = state.follower(Book), dict[str, None]()
    if more or list(book.lots.get(own, ())) != [group.id]:
        return []
    positions = came_out(state, own)
    for each in positions:
        name = state.follower(Order).graph.places[each].name
        if n := book.look(each).lacking:
            raise Refused(
                f"{n} of {name}, which came out of {group.shown}, lack: say first what happens to that place"
            )
        for key in book.groups(each):
            if book.account(key) in GONE.values():
                continue
            if not {*state.group(key).seats} <= {*positions}:
                raise Refused(f"{state.group(key).shown} is not only of {group.shown}: split it first")
            found[key] = None
    return list(found)


def _given(
    state: State, group: Group, to: Sequence[str] | str, reason: str, by: str, on: str | None
) -> Draft:
    """Give one group to another machine, wherever it lies."""
    group_id = group.id
    why = _reason(reason, "it goes to another machine")
    book = state.follower(Book)
    if group.counted == "never":
        raise Refused(
            f"{group.shown} is no part of a machine: say first that it is one (set --counted pieces)"
        )
    more: dict[str, Any] = {}
    if isinstance(to, str):
        place = known_position(state, to)
        seat, origin = to, place.origin
        brought = bool(group.brought or book.look(seat).came)
    else:
        origin = as_known(state, values.checked({"origin": to})["origin"])
        if (there := _called_so(state, group, origin)) is not None:
            return _given(state, group, there, why, by, on)
        seat = new_id()
        more[f"part:{seat}"] = {"name": group.shown, "origin": list(origin), "new": True}
        brought = False
    if not origin:
        raise BadValue("say which machine it goes to: 'machine > assembly'")
    day = day_of(on).isoformat()
    moved = state.docs("posting").get(f"machine {group_id}")
    if moved is not None and group.origin[:1] == origin[:1]:
        return _explain_machine(group, moved, why, by, day)
    homes = {book.home(each) for each in group.seats}
    if homes == {""}:
        raise Refused(f"nobody said where {group.shown} came from: say that first (set --origin)")
    if origin[0] in homes:
        raise Refused(f"{group.shown} belongs to {origin[0]} already: bind or swap it there")
    after = _conceded_there(state, group, f"given to {origin[0]}", by, day)
    if home := _home_again(state, group, origin[0], why, by, day):
        return home._replace(after={**home.after, **after})
    for key, fields in held_to(state, group, [seat]).items():
        after[key] = {**after.get(key, {}), **fields}
    seats = {seat: sum(group.seats.values())}
    doc = {**share_fields(seats, group_id), **group_fields({"origin": origin})}
    doc["brought"] = brought or None
    after |= _care_along(state, group, seat)
    postings = posted(group, "given", group.seats, why, by=by, on=day, to=seat)
    kept = seat_docs(state, group) if group_id in group.seats else {}
    parted = _parted(state, "give", (group,), set(group.seats), why, by, on)
    doc = {**after.pop(subject(group_id), {}), **doc}
    return Draft("give", {subject(group_id): doc, **postings, **more, **kept, **parted, **after})


def _care_along(state: State, group: Group, to: str) -> dict[str, Any]:
    """Return what has the care of a part go with it to another position, where it is all of its own."""
    (own, *more), book = group.seats, state.follower(Book)
    if more or list(book.lots.get(own, ())) != [group.id]:
        return {}
    return {
        f"care:{key}": {"position": to, "machine": machine_of(state, doc) or None}
        for key, doc in state.docs("care").items()
        if doc.get("position") == own
    }


def _conceded_there(state: State, group: Group, what: str, by: str, day: str) -> dict[str, Any]:
    """Return what ends the concessions of a group that goes to another machine: each was for that use."""
    return {
        f"concession:{key}": {"withdrawn": f"{what} ({by}, {day})"}
        for key, doc in state.follower(Tests).of("concession", group.id)
        if not doc.get("withdrawn")
    }


def _called_so(state: State, group: Group, origin: tuple[str, ...]) -> str | None:
    """Return the position called like a group at this origin that lacks its pieces; None where none is.

    So does one that was only made for what was given there, once that has left again. Refused where all that
    are called so have theirs.
    """
    order, filled = state.follower(Order), ""
    for seat, place in order.graph.places.items():
        there = (place.origin, (*place.origin, place.name))
        alike = place.name.casefold() == group.name.casefold() and origin in there
        if alike and seat not in group.seats:
            look = order.look(seat)
            emptied = listed(state).get(seat, {}).get("new") and not (look.touched or look.need)
            if look.lacking >= group.qty or emptied:
                return seat
            filled = " > ".join((*place.origin, place.name))
    if filled:
        raise Refused(
            f"{filled} does not lack {group.qty}: decide first about what is there, or name another place"
        )
    return None


def _home_again(state: State, group: Group, machine: str, why: str, by: str, day: str) -> Draft | None:
    """Return the draft that has pieces given away back where they came from; None where they did not.

    What was bought for the place they were given to is not they, while they are there themselves.
    """
    book = state.follower(Book)
    left, seats, after = group.qty, dict[str, int](), dict[str, Any]()
    brought = False
    for key, doc in state.docs("posting").items():
        if doc["kind"] != "given" or doc.get("to") not in group.seats:
            continue
        still = 0 if doc["group"] == group.id else book.lots[doc["to"]].get(doc["group"], 0)
        if book.home(doc["seat"]) == machine and (n := max(0, min(left, doc["n"] - still))):
            left -= n
            seats[doc["seat"]] = seats.get(doc["seat"], 0) + n
            after[f"posting:{key}"] = None if n == doc["n"] else {"n": doc["n"] - n}
            brought = brought or bool(doc.get("brought"))
    if left or len(group.seats) != 1:
        return None
    place = position_of(state, next(iter(seats)))
    origin = list(place.origin) if place is not None else [machine]
    doc = {**share_fields(seats, group.id), "origin": origin, "brought": brought or None}
    text = f"came back from {book.machine_of(group.id)} to {' > '.join(origin)}"
    kept = corrected(group, "origin", list(group.origin), origin, text, why, by=by, on=day)
    return Draft("give", {subject(group.id): doc, **after, **kept})


def correct_origin(
    state: State,
    group_id: str,
    origin: Sequence[str],
    reason: str,
    *,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Correct where a group came off: to another machine it is given, to a listed part it is bound.

    Else its own place on the machine is moved; the old origin is kept with the reason, and what is of a
    matched set is to be matched anew.
    """
    group = known(state, group_id)
    path = as_known(state, values.checked({"origin": origin})["origin"])
    why = _reason(reason, "where it came off is corrected")
    if not group.origin or path[:1] != group.origin[:1]:
        return give(state, group_id, path, why, by=by, on=on)
    if path == group.origin:
        raise Refused(f"{group.shown} is recorded so already")
    if seat := _listed_at(state, group, path):
        return bind(state, group_id, seat, why, by=by, on=on)
    had = next((p for p in map(listed(state).get, group.seats) if p and p.get("qty") is not None), None)
    if had is not None:
        raise Refused(
            f"{group.shown} is {had.get('name')} of the list, and no list has it in {' > '.join(path)}: "
            "bind it to the part it is"
        )
    was, now = " > ".join(group.origin), " > ".join(path)
    text = f"origin {was} corrected to {now}"
    kept = corrected(group, "origin", was, now, text, why, by=by, on=on)
    parted = _parted(state, "swap", (group,), set(group.seats), why, by, on)
    below = keeping_up(state, group, {"origin": path})
    return Draft("correct", {**below, subject(group_id): group_fields({"origin": path}), **kept, **parted})


def _listed_at(state: State, group: Group, path: tuple[str, ...]) -> str:
    """Return the listed position called as a group in an assembly, or by its whole path; '' for none."""
    wanted = [each.casefold() for each in path]
    for key, doc in listed(state).items():
        if doc.get("qty") is None or key in group.seats:
            continue
        origin, name = [each.casefold() for each in doc.get("origin", ())], doc.get("name", "").casefold()
        if wanted == [*origin, name] or (wanted == origin and name == group.name.casefold()):
            return key
    return ""


def _explain_machine(group: Group, moved: Mapping[str, Any], why: str, by: str, day: str) -> Draft:
    """Give the reason for an older change of machine: the place it came off lacks it."""
    seat = new_id()
    old = moved["seat"]
    postings = posted(group, "given", {old: group.qty}, why, by=by, on=day, to=seat)
    return Draft(
        "give",
        {
            subject(group.id): share_fields({seat: group.qty}, group.id),
            f"part:{seat}": {"name": group.shown, "origin": list(group.origin)},
            f"part:{old}": {"name": group.shown, "origin": list(moved["origin"])},
            f"posting:machine {group.id}": None,
            **postings,
        },
    )


def swap(
    state: State,
    group_id: str,
    other_id: str,
    reason: str = "",
    qty: int | None = None,
    *,
    by: str = "",
    on: str | None = None,
) -> Draft:
    """Have pieces of two groups of one machine change places: each goes back where the other came from.

    Of matched sets, of marked parts and of parts that are not alike only with a reason. Each is held to the
    limits of the place it goes to where those are narrower. Where only some pieces go, they are split off;
    what came out of an assembly, or is in it, goes with it.
    """
    one, other = known(state, group_id), known(state, other_id)
    n = min(one.qty, other.qty) if qty is None else values.checked_qty(qty)
    if one.id == other.id:
        raise Refused(f"{one.shown} cannot change places with itself")
    if n > min(one.qty, other.qty):
        raise Refused(f"{n} pieces are more than there are")
    book = state.follower(Book)
    machines = {book.home(seat) for each in (one, other) for seat in each.seats}
    if len(machines) > 1:
        raise Refused(
            "they are of different machines: a part is given to another machine, not swapped (give)"
        )
    if one.brought != other.brought:
        raise Refused("one came off and the other was brought: they are counted apart")
    for each in (one, other):
        if each.counted == "never" or is_fitted(state.docs("group")[each.id].get("where")):
            raise Refused(
                f"{each.shown} is {'no part' if each.counted == 'never' else 'on: take it off first'}"
            )
        if is_tried(state.docs("group")[each.id].get("where")):
            raise Refused(f"{each.shown} is on trial: take it off first")
    why = reason_text(reason)
    if not why and (need := _not_alike(state, one, other)):
        raise BadValue(f"{need}: say why they change places (--reason)")
    if one.qty != n:
        split_one = split(state, one.id, n)
        return then(state, split_one, lambda s, new: swap(s, new, other_id, reason, n, by=by, on=on), "swap")
    if other.qty != n:
        split_other = split(state, other.id, n)
        return then(
            state, split_other, lambda s, new: swap(s, group_id, new, reason, n, by=by, on=on), "swap"
        )
    after: dict[str, Any] = {}
    for each, there in ((one, other), (other, one)):
        after[subject(each.id)] = {**share_fields(there.seats, each.id), **_origin_at(state, there)}
    after |= _inside_along(state, one, other)
    for each, there in ((one, other), (other, one)):
        if each.id in each.seats:
            after |= seat_docs(state, each)
        for key, fields in (*came_off(state, each.seats).items(), *held_to(state, each, there.seats).items()):
            after[key] = {**after.get(key, {}), **fields}
    after |= _care_along(state, one, next(iter(other.seats))) | _care_along(
        state, other, next(iter(one.seats))
    )
    if why:
        text = f"{one.shown} and {other.shown} swapped"
        after |= correction("group", one.id, text, why, by=by, on=on, group=one.id, field="seat")
    after |= _parted(state, "swap", (one, other), {*one.seats, *other.seats}, why, by, on)
    return Draft("swap", after)


def _origin_at(state: State, there: Group) -> dict[str, Any]:
    """Return the origin of what goes where a group's pieces belong, where that is one place."""
    places, (seat, *more) = state.follower(Order).graph.places, there.seats
    return {} if more or seat not in places else {"origin": list(places[seat].origin) or None}


def _inside_along(state: State, one: Group, other: Group) -> dict[str, Any]:
    """Return what has all that came out of two parts, or is in them, change places with them.

    What came out of one goes on first wherever that one goes now: said, where the order does not say it.
    """
    graph, (own, *more), (there, *others) = state.follower(Order).graph, one.seats, other.seats
    if more or others or own not in graph.number or there not in graph.number:
        return {}
    paths = graph.places[own].path, graph.places[there].path
    if paths[0] == paths[1]:
        return {}
    short, long = sorted(paths, key=len)
    if long[: len(short)] == short:
        raise Refused(f"{one.shown} and {other.shown}: one is in the other")
    book = state.follower(Book)
    themselves = {f"part:{own}", f"part:{there}"}
    themselves |= {subject(each) for seat in (own, there) for each in book.groups(seat)}
    after = exchanged(state, *paths, themselves)
    for seat, to in ((own, there), (there, own)):
        for each in came_out(state, seat):
            if graph.rank[graph.number[to]] > graph.rank[graph.number[each]]:
                after[key_of(to, each)] = {"a": to, "b": each}
    return after


def came_out(state: State, seat: str) -> list[str]:
    """Return the positions of what came out of an assembly once it was off, also out of one in it."""
    graph, found = state.follower(Order).graph, []
    for each in graph.ids if seat in graph.number else ():
        host = graph.host(each)
        while host not in (None, seat):
            host = graph.host(host) if host else None
        if host == seat and graph.rank[graph.number[seat]] < graph.rank[graph.number[each]]:
            found.append(each)
    return found


def _parted(
    state: State, kind: str, groups: Sequence[Group], seats: set[str], why: str, by: str, on: str | None
) -> dict[str, Any]:
    """Return what keeps that pieces left the place they were matched in: they are to be matched anew.

    A set is of the pieces as they were worn in, each in its place; another piece there is not the one.
    """
    after: dict[str, Any] = {}
    for group in groups:
        told = []
        for each in sets_of(state, group):
            if parted := [p for p in each.positions if p in seats]:
                known_before = state.docs("set")[each.key].get("parted", ())
                after[f"set:{each.key}"] = {"parted": list(dict.fromkeys((*known_before, *parted)))}
                told.append(f"it left its place in the matched set '{each.name}'")
        if told:
            after |= accepted_doc(kind, group, why, told, by=by, on=day_of(on).isoformat())
    return after


def _not_alike(state: State, one: Group, other: Group) -> str:
    for each in (one, other):
        if sets := sets_of(state, each):
            return f"{each.shown} is of the matched set '{sets[0].name}'"
        for seat in each.seats:
            if listed(state).get(seat, {}).get("how", {}).get("marks"):
                return f"{each.shown} is marked for its place"
    return "" if one.name.casefold() == other.name.casefold() else "they are not called alike"


def bind(
    state: State, group_id: str, seat: str, reason: str = "", *, by: str = "", on: str | None = None
) -> Draft:
    """Have a group be the pieces of a listed position, where it came off with no home said, or a wrong one.

    From one listed position to another only with a reason, which is kept; so is that more came off a place
    than was said. What was said of its own position (relations, how, shortages) is then said of that one.
    """
    group = known(state, group_id)
    place = known_position(state, seat)
    book = state.follower(Book)
    if group.counted == "never":
        raise Refused(
            f"{group.shown} is no part of a machine: say first that it is one (set --counted pieces)"
        )
    if seat in group.seats:
        raise Refused(f"{group.shown} is {place.name} already")
    homes = {book.home(each) for each in group.seats} - {""}
    if homes and homes != {book.home(seat)}:
        raise Refused(
            f"{place.name} is of {book.home(seat)}, {group.shown} of {homes.pop()}: give it, with a reason"
        )
    why = reason_text(reason)
    had = next((p for p in map(listed(state).get, group.seats) if p and p.get("qty") is not None), None)
    if had is not None and not why:
        raise BadValue(f"{group.shown} is {had.get('name')} of the list: say why it is another (--reason)")
    look = book.look(seat)
    if (
        look.listed is not None
        and look.came + group.qty > look.listed - look.never_listed
        and not group.brought
    ):
        raise Refused(f"{place.name} is {look.listed} on the list, and {look.came} came off: it is full")
    if look.listed is None and look.came and not group.brought and not why:
        raise ReasonWanted(f"{look.came} came off {place.name}: say why {group.qty} more did", "--reason WHY")
    after: dict[str, Any] = {
        subject(group_id): {**share_fields({seat: group.qty}, group_id), "origin": list(place.origin) or None}
    }
    after |= posted(group, "bound", group.seats, why, by=by, on=day_of(on).isoformat(), to=seat)
    old = next(iter(group.seats))
    if len(group.seats) == 1 and list(book.lots[old]) == [group_id] and not book.postings(old):
        after |= _said_of(state, old, seat)
    elif group_id in group.seats:
        after |= seat_docs(state, group)
    return Draft("bind", after, (f"part:{seat}",))


def _said_of(state: State, old: str, new: str) -> dict[str, Any]:
    """Return what carries all that was said of one position over to another."""
    after: dict[str, Any] = {}
    for key, doc in state.docs("before").items():
        if old in (doc["a"], doc["b"]):
            a, b = (new if each == old else each for each in (doc["a"], doc["b"]))
            after[f"before:{key}"] = None
            if a != b:
                after[f"before:{a}|{b}"] = {**doc, "a": a, "b": b}
    said = state.docs("part").get(old)
    if said:
        after[f"part:{old}"] = None
        known_there = state.docs("part").get(new, {})
        moved = {k: v for k, v in said.items() if k not in ("name", "origin", "qty", "order", *known_there)}
        if "how" in said and "how" in known_there:
            moved["how"] = _both_told(known_there["how"], said["how"])
        after[f"part:{new}"] = moved
    for table in ("shortage", "milestone", "set"):
        for key, doc in state.docs(table).items():
            if old in doc.get("positions", ()):
                after[f"{table}:{key}"] = {"positions": [new if p == old else p for p in doc["positions"]]}
    for key, doc in state.docs("care").items():
        if doc.get("position") == old:
            after[f"care:{key}"] = {"position": new}
    return after


def _both_told(there: Doc, more: Doc) -> dict[str, Any]:
    """Return how something came off, told of two positions that are one; where they differ, the first."""
    lists = {name: [*there.get(name, ()), *more.get(name, ())] for name in ("shims", "screws")}
    return {**more, **there, **{name: each for name, each in lists.items() if each}}


def lend(
    state: State,
    group_id: str,
    to: str,
    until: str | None = None,
    *,
    by: str = "",  # noqa: ARG001 - every signed act takes it
    on: str | None = None,
) -> Draft:
    """Lend a group: it comes back as it is; a date need not be agreed."""
    group = known(state, group_id)
    _check_not_on(state, group)
    check_here(state, group, itself=True)
    draft = send_away(state, group_id, to, until, since=day_of(on).isoformat())
    fields = draft.after[subject(group_id)] or {}
    return Draft("lend", {subject(group_id): {"where": {**fields["where"], "lent": True}}})


def _check_not_on(state: State, group: Group) -> None:
    if state.follower(Book).account(group.id) in ("on", "trial"):
        raise Refused(f"{group.shown} is on: take it off first")


def correct_list(
    state: State, position: str, qty: int, reason: str, *, by: str = "", on: str | None = None
) -> Draft:
    """Correct how many pieces a list says belong at a position; the old number is kept."""
    place = position_of(state, position)
    if place is None or place.qty is None:
        raise Refused("no list says how many belong there")
    why = _reason(reason, "the list is wrong")
    number = values.checked_qty(qty)
    off_by = state.follower(Book).look(position).never_listed
    was = place.qty - off_by
    if number == was:
        raise Refused(f"{place.name} is listed with {number} already")
    after: dict[str, Any] = {}
    more = number - was
    for key, doc in state.follower(Book).postings(position).items():
        if doc.get("listed") and more > 0:  # what was said to be listed too many is there after all
            n = min(more, doc["n"])
            more -= n
            after[f"posting:{key}"] = None if n == doc["n"] else {"n": doc["n"] - n}
    if more > 0:
        after[f"part:{position}"] = {"qty": place.qty + more}
    if number < was:
        seat = {"kind": "never", "listed": True, "seat": position, "n": was - number, "why": why,
                "by": by or None, "on": day_of(on).isoformat(), "name": place.name}  # fmt: skip
        after = {f"posting:{new_id()}": {k: v for k, v in seat.items() if v is not None}}
    text = f"{place.name}: qty {was} corrected to {number}"
    kept = correction("part", position, text, why, by=by, on=on, field="qty", old=was, new=number)
    return Draft("correct", {**after, **kept})


_ON = Field("on", kinds.PAST, "on which day")
_QTY = Field("qty", kinds.COUNT, "how many pieces (else all)", "--qty")
_EACH = Field("qty", kinds.COUNT, "how many pieces of each (else as many as the smaller has)", "--qty")
_NUMBER = Field("qty", kinds.COUNT, "how many pieces there are", "--qty")
_BECAME = Field("became", kinds.WORD, f"what became of them: {', '.join((*FEWER, *MORE))}", "--as", "WORD")
_UNTIL = Field("until", kinds.DATE, "when it comes back, where that is agreed", "--until")
_WHY = Field("reason", kinds.TEXT, "why; it is kept", "--reason", "WHY")


def _act(kind: str, did: str, draft: Any, *fields: Field, thing: Any = kinds.GROUP) -> Act:
    return Act(kind, did, draft, "group", (*fields, _ON), thing, signed=True)


CORRECT = _act("correct", "corrected", correct, _NUMBER, _BECAME, _WHY)
LOSE = _act("lose", "lost", lose, _QTY, _WHY)
FIND = _act("find", "found again", find, _QTY, _WHY, thing=None)
COUNT = _act("count", "counted", count_pieces, _NUMBER, _BECAME, _WHY)
NO_PART = _act("no part", "corrected", never_a_part, _WHY)
GIVE = _act("give", "gave to another machine:", give, _QTY, _WHY)
SWAP = _act("swap", "swapped", swap, _EACH, _WHY)
BIND = _act("bind", "bound to its place:", bind, _WHY)
ORIGIN = _act("correct", "corrected", correct_origin, _WHY)
LEND = _act("lend", "lent", lend, _UNTIL)
CORRECT_LIST = _act("correct list", "corrected", correct_list, _WHY, thing=kinds.POSITION)
