"""The count: a trial balance of all pieces, and every line that keeps it from being clean, by name.

It is clean where every list is empty: nothing missing, left over, in the wrong place, foreign, too many,
not counted, changed without a reason, or on and rejected or not released. What somebody accepted or
conceded, what was never there and what was left empty stands beside it for ever, with reason, name and day.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal, NamedTuple

from shopbins.answer import Accepted, Answer, Part, Verdict, Words
from shopbins.ledger.events import Change
from shopbins.ledger.lots import held
from shopbins.ledger.model import ORDERS, OUT, Doc
from shopbins.ledger.snapshot import collector_off
from shopbins.ledger.state import State
from shopbins.strip.book import GONE, OPEN, Balance, Book, Look, holders, seats_in
from shopbins.strip.care import Cared
from shopbins.strip.connections import connections, parts_of
from shopbins.strip.order import Order
from shopbins.strip.release import (
    Characteristic,
    Tests,
    accepted,
    characteristics,
    is_within,
    rejected,
    release,
    terms,
    uncovered,
)
from shopbins.strip.tree import is_tried, listed, paths
from shopbins.strip.waits import Awaited, held_back, on_unreleased, shortage_state
from shopbins.units import counted

CountKind = Literal[
    "foreign",
    "rejected",
    "not_released",
    "wrong_place",
    "missing",
    "too_many",
    "difference",
    "assumed",
    "left_over",
]
KINDS: dict[CountKind, str] = {
    "foreign": "foreign",
    "rejected": "rejected, but on",
    "not_released": "on, not released",
    "wrong_place": "in the wrong place",
    "missing": "missing",
    "too_many": "too many on",
    "difference": "number changed, no reason given",
    "assumed": "not counted",
    "left_over": "left over",
}
"""The lines by gravity, and how people read them."""

WORDS = Words("nothing is missing, nothing is left over", "not clean", open="not clean")
_OPEN_KINDS = ("assumed", "difference")


class CountLine(NamedTuple):
    """One thing that is not as it should be: `pieces` None where they were not counted.

    `act` says what closes it; `still` that it is only not back on yet, as nearly all is during the job.
    `machines` are those it belongs to ('' among them: nobody knows, so all).
    """

    kind: CountKind
    subject: str
    name: str
    why: str
    act: str
    pieces: int | None = None
    code: str | None = None
    machines: tuple[str, ...] = ()
    still: bool = False

    def of_machine(self, machine: str | None) -> bool:
        """Tell whether it is a line of this machine; of all where None."""
        return machine is None or machine in self.machines or "" in self.machines


@dataclass(frozen=True, slots=True)
class Stands:
    """What stands beside the count for ever: accepted, conceded, corrected, left empty, or never there."""

    kind: Literal[
        "conceded",
        "accepted",
        "corrected",
        "struck",
        "never there",
        "moved",
        "once conceded",
        "some measured",
        "machine not named",
    ]
    text: str
    subject: str
    accepted: Accepted | None = None
    machines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Count:
    """The trial balance, the lines by gravity and name, and what stands beside it."""

    balance: Balance
    lines: tuple[CountLine, ...]
    stands: tuple[Stands, ...]
    machine: str | None = None
    unknown: bool = False

    def of(self, kind: CountKind) -> list[CountLine]:
        """Return the lines of one kind."""
        return [each for each in self.lines if each.kind == kind]

    @property
    def is_right(self) -> bool:
        """Tell whether every list is empty, and something is recorded of the machine."""
        return not self.lines and not self.unknown

    @property
    def _nothing(self) -> str:
        return "nothing is recorded" + (f" of {self.machine}" if self.machine is not None else "")

    @property
    def answer(self) -> Answer:
        """Return it as every question is answered: a part a line, what is off still summed in one, last."""
        parts = [
            Part(
                Verdict.OPEN if each.kind in _OPEN_KINDS else Verdict.NO,
                said(each),
                (each.subject,),
                None,
                each,
            )
            for each in self.lines
            if each.kind != "left_over"
        ]
        if left := self.of("left_over"):
            pieces = sum(each.pieces or 0 for each in left)
            parts.append(Part(Verdict.NO, f"{pieces} still to go back", tuple(x.subject for x in left)))
        parts += [
            Part(Verdict.ACCEPTED, each.text, (each.subject,), each.accepted)
            for each in self.stands
            if each.kind in ("accepted", "conceded")
        ]
        if self.unknown:
            parts.append(Part(Verdict.OPEN, self._nothing))
        elif not self.lines:
            parts.append(Part(Verdict.YES, WORDS.yes))
        return Answer(WORDS, tuple(parts))

    @property
    def headline(self) -> str:
        """Say how it came out in one line, and what stands: '...; 1 concession, 2 accepted'."""
        counts = {kind: sum(1 for s in self.stands if s.kind == kind) for kind in ("conceded", "accepted")}
        tail = [counted(n, "concession") for n in [counts["conceded"]] if n]
        tail += [f"{n} accepted" for n in [counts["accepted"]] if n]
        if self.unknown:
            return f"{WORDS.no}: {self._nothing}"
        if self.is_right:
            head = WORDS.yes
        else:
            numbers: dict[str, int] = {}
            for each in self.lines:
                numbers[KINDS[each.kind]] = numbers.get(KINDS[each.kind], 0) + (each.pieces or 1)
            head = f"{WORDS.no}: " + " · ".join(f"{n} {what}" for what, n in numbers.items())
        of = f"{self.machine}: " if self.machine is not None else ""
        return of + "; ".join([head, *([", ".join(tail)] if tail else [])])


def said(line: CountLine) -> str:
    """Say a line in one sentence."""
    pieces = "" if line.pieces in (None, 1) else f" x{line.pieces}"
    return f"{line.name}{pieces}: {KINDS[line.kind]}, {line.why}"


def count(
    state: State, machine: str | None = None, today: date | None = None, named: Collection[str] = ()
) -> Count:
    """Count every piece, of one machine or of all; where nothing is recorded it is not clean.

    Where the shop file names machines (`named`, their keys), what came off another stands beside.
    """
    day = today or date.today()
    found = state.follower(_Lines).all(day)
    if machine is not None:
        found = [each for each in found if each.of_machine(machine)]
    apart = [each for each in (*_unjoined(state), *_joined(state, day)) if each.of_machine(machine)]
    if apart:
        found = sorted([*found, *apart], key=_gravity)
    beside = tuple(
        s for s in stands(state, day) if machine is None or machine in s.machines or "" in s.machines
    )
    beside += tuple(_of_unnamed(state, named))
    of = {path[0] for path in paths(state)} | {each.machine for each in connections(state)}
    unknown = not (of or found) if machine is None else machine not in of
    return Count(state.follower(Book).balance(machine), tuple(found), beside, machine, unknown)


def unasked(state: State, today: date) -> list[CountLine]:
    """Return the missing pieces of positions no shortage still to come is for."""
    order = state.follower(Order)
    return [
        each
        for each in count(state, None, today).of("missing")
        if each.subject.startswith("part:")
        and all(
            doc.get("state") in ("here", "struck")
            for doc in order.needs(each.subject.removeprefix("part:")).values()
        )
    ]


_RANK = {kind: n for n, kind in enumerate(KINDS)}


def _gravity(line: CountLine) -> tuple[int, str, str, str]:
    return _RANK[line.kind], line.name, line.subject, line.why


class _Lines:
    """The lines of each position, worked out where something changed: follows a state."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._book = state.follower(Book)
        self._order = state.follower(Order)
        self._of: dict[str, tuple[CountLine, ...]] = {}
        self._lots: dict[str, tuple[CountLine, ...]] = {}
        self._day: date | None = None
        self._by_key: dict[tuple[int, str, str, str, int], CountLine] = {}
        self._sorted: list[tuple[int, str, str, str, int]] = []
        self._all: list[CountLine] | None = None
        self._dirty_lots: set[str] | None = None

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        self._all = None
        if self._dirty_lots is None:
            return
        for change in changes:
            if change.table == "group":
                self._dirty_lots.add(change.key)
                self._dirty_lots.update(self._state.descendants(change.key))
            elif change.table == "care":
                for doc in (change.old, change.new):
                    self._book.asked_of.update(() if doc is None else filter(None, [doc.get("position")]))
            elif change.table == "hours":
                self._book.asked_of.update(self._state.follower(Cared).of)
            elif change.table in ("inspection", "concession"):
                self._dirty_lots.update(doc["group"] for doc in (change.old, change.new) if doc)
            elif change.table == "posting":
                self._dirty_lots.update(
                    doc["group"] for doc in (change.old, change.new) if doc and "group" in doc
                )
            elif change.table == "shortage":
                for doc in (change.old, change.new):
                    self._book.asked_of.update(() if doc is None else doc.get("positions", ()))
            elif change.table == "list":
                self._dirty_lots = None
                return

    def all(self, today: date) -> list[CountLine]:
        """Return every line, by gravity and name. Not to be changed."""
        book, table = self._book, self._state.tables.get("group", {})
        assert book.lots is not None
        if self._day != today:
            self._all, self._day = None, today
            book.asked_of.update(self._state.follower(Cared).of)
            dated = self._state.follower(Tests).judged()
            if self._dirty_lots is not None:
                self._dirty_lots |= dated & set(table)
        if self._all is None:
            with collector_off():
                self._all = self._listed(today)
        return self._all

    def _listed(self, today: date) -> list[CountLine]:
        book, table = self._book, self._state.tables.get("group", {})
        if self._dirty_lots is None:
            self._of, self._lots, self._by_key, self._sorted = {}, {}, {}, []
            self._dirty_lots = set(table)
            seats = {*book.lots, *listed(self._state), *book.seats()}
        else:
            seats = set(book.asked_of)
            for seat in seats:
                self._dirty_lots.update(book.lots.get(seat, ()))
        book.asked_of.clear()
        measured = self._state.follower(Tests).measured() & self._dirty_lots
        for seat in {seat for key in measured if key in table for seat in held(key, table[key])}:
            self._dirty_lots.update(book.lots.get(seat, ()))  # they are held to the limits of its values
        first = not self._by_key and not self._sorted
        for key in self._dirty_lots:
            lines = _of_lot(self._state, book, key, today) if key in table else ()
            self._keep(self._lots, key, lines, sort=not first)
        self._dirty_lots = set()
        for seat in seats:
            self._keep(self._of, seat, _of_seat(self._state, book, seat), sort=not first)
        if first:
            self._sorted = sorted(self._by_key)
        found = [self._by_key[key] for key in self._sorted]
        return pooled(self._state, found)

    def _keep(
        self, into: dict[str, tuple[CountLine, ...]], key: str, lines: tuple[CountLine, ...], *, sort: bool
    ) -> None:
        """Keep the lines of one group or position; without `sort` whoever calls sorts them all."""
        old = into.get(key, ())
        if old == lines:
            return
        for n, line in enumerate(old):
            place = (*_gravity(line), n)
            del self._by_key[place]
            del self._sorted[bisect_left(self._sorted, place)]
        for n, line in enumerate(lines):
            place = (*_gravity(line), n)
            self._by_key[place] = line
            if sort:
                insort(self._sorted, place)
        if lines:
            into[key] = lines
        else:
            into.pop(key, None)


# -- of one group


def _of_lot(state: State, book: Book, key: str, today: date) -> tuple[CountLine, ...]:
    doc = state.tables["group"][key]
    account = book.account(key)
    name, code, subject = _name(doc), doc.get("code"), f"group:{key}"
    around = holders(state, key)
    if account == "none":
        return _tool(state, book, key, doc, around)
    seats = held(key, doc)
    homes = tuple(dict.fromkeys(book.home(seat) for seat in seats)) or ("",)
    qty = doc.get("qty", 1)

    def line(
        kind: CountKind,
        why: str,
        act: str,
        pieces: int | None = qty,
        at: tuple[str, ...] = homes,
        *,
        still: bool = False,
    ) -> CountLine:
        return CountLine(kind, subject, name, why, act, pieces, code, at, still)

    found: list[CountLine] = []
    holder = next((each for each, _ in around if book.account(each) == "on"), None)
    if account == "on":
        found += _on(book, key, doc, seats, line)
        found += _unreleased(state, key, doc, today, line)
    elif holder is not None:
        lying = _inside(state, book, doc, account, holder, homes, line)
        if account not in GONE.values() and (why_not := rejected(state, key, today)):
            lying = lying._replace(why=f"{why_not}; {lying.why}", act="take it out")
        found.append(lying)
    elif account in OPEN:
        why, act, still = _why_left(state, book, doc, account, seats, homes, around)
        if why_not := rejected(state, key, today):
            first = "measure it within its limit" if qty == 1 else "split off what is beyond its limit"
            why, act = why_not if still else f"{why_not}; {why}", f"{first}, rework, concede or renew it"
            still = False
        elif still and (waits := _waits_for(state, key, doc, seats, today)):
            why, act = f"{why}; waits for {waits}", "see to that, or decide what happens to it"
        of: dict[str, int] = {}
        for seat, pieces in seats.items():
            of[book.home(seat)] = of.get(book.home(seat), 0) + pieces
        if len(of) < 2:
            found.append(line("left_over", why, act, still=still))
        for home, pieces in of.items() if len(of) > 1 else ():
            found.append(line("left_over", f"{why} ({pieces} of {home})", act, pieces, (home,), still=still))
    if doc.get("counted") in ("assumed", "later") and account not in GONE.values():
        n = None if doc["counted"] == "later" else qty
        why = "nobody counted it yet" if n is None else f"{n} not counted, number taken from the list"
        found.append(line("assumed", why, "count them", n))
    return tuple(found)


def _name(doc: Doc) -> str:
    return doc.get("name") or f"unnamed {doc.get('code', '')}"


def _waits_for(state: State, key: str, doc: Doc, seats: Iterable[str], today: date) -> str:
    """Say what keeps a group from going back on besides the order, '' where nothing does."""
    awaited, cared = state.follower(Awaited), state.follower(Cared).of
    known = state.follower(Tests).of("inspection", key) or doc.get("work") or doc.get("one_use")
    if not (known or doc.get("disposition") in ORDERS or any(awaited.of(s) or s in cared for s in seats)):
        return ""
    return ", ".join(dict.fromkeys(held_back(state, key, today).values()))


_Make = Callable[..., CountLine]


def _unreleased(state: State, key: str, doc: Doc, today: date, line: _Make) -> Iterable[CountLine]:
    """Return the line of what is on and rejected, or not released and not accepted as it was put on."""
    judged = state.follower(Tests).of("inspection", key) or doc.get("work") or doc.get("one_use")
    awaited = state.follower(Awaited)
    cared = state.follower(Cared).of
    waits = key in awaited.for_now or any(awaited.of(seat) or seat in cared for seat in held(key, doc))
    if not (judged or waits or doc.get("disposition") in ORDERS):
        return
    let = release(state, key, today)
    if let.nobody:
        yield line("rejected", let.why, "take it off, then renew, rework or concede it")
    elif left := on_unreleased(state, key, today):
        lacks = all(each.startswith("shortage:") for each in left)
        act = "say it is here, or not needed" if lacks else "do it and say it is done"
        act = "do it and say so (care)" if all(each.startswith("care:") for each in left) else act
        act = "record a value within its limit" if let.asked else act
        act = "take it off, and put it back for good" if "for now" in left else act
        act = "take it off and renew it" if "used" in left else f"{act}, or take it off"
        yield line("not_released", f"waits for {', '.join(dict.fromkeys(left.values()))}", act)


def _on(book: Book, key: str, doc: Doc, seats: dict[str, int], line: _Make) -> Iterable[CountLine]:
    here = book.on_which(key)
    for seat, n in seats.items():
        home = book.home(seat)
        if not n:
            continue
        if not home:
            yield line(
                "left_over", "on, but nobody said where it belongs", "say where it came from", n, ("",)
            )
        elif here and home != here:
            yield line("foreign", f"{n} of {home} on {here}", "take it off", n, (home, here))
    if doc.get("disposition") in OUT:
        yield line("foreign", f"{_decided(doc)}, and on", "take it off, or decide anew")


def _tool(
    state: State, book: Book, key: str, doc: Doc, around: list[tuple[str, str]]
) -> tuple[CountLine, ...]:
    """Return the line of what is no part: foreign in or on something that is on, or on itself."""
    found: list[CountLine] = []
    name, code = _name(doc), doc.get("code")
    holder = next((each for each, _ in around if book.account(each) == "on"), None)
    where = doc.get("where") or {}
    if holder is not None or ("fitted" in where and not where.get("trial")):
        at = "the machine" if holder is None else f"{_name(state.tables['group'][holder])}, which is on"
        machines = (book.on_which(holder or key),)
        why = f"no part, {'on' if holder is None else 'in'} {at}"
        found.append(
            CountLine("foreign", f"group:{key}", name, why, "take it out", doc.get("qty", 1), code, machines)
        )
    difference = state.tables.get("posting", {}).get(f"number {key}")
    if difference is not None:
        why = "came off, but recorded as no part"
        home = tuple(doc.get("origin", ("",))[:1])
        found.append(
            CountLine(
                "difference",
                f"group:{key}",
                name,
                why,
                "correct it with a reason",
                difference["n"],
                code,
                home,
            )
        )
    return tuple(found)


def _inside(
    state: State, book: Book, doc: Doc, account: str, holder: str, homes: tuple[str, ...], line: _Make
) -> CountLine:
    """Return the line of what lies in or on, or is tried on, something that is on."""
    at = _name(state.tables["group"][holder])
    there = book.on_which(holder)
    if account in GONE.values():
        return line("foreign", f"{_decided(doc)}, in {at}, which is on", "take it out", at=(*homes, there))
    if there not in homes and "" not in homes:
        return line("foreign", f"of {homes[0]}, in {at}, which is on", "take it out", at=(*homes, there))
    how = "tried on" if is_tried(doc.get("where")) else "lies in"
    return line(
        "wrong_place", f"{how} {at}, which is on", "take it out, or put it back on", at=(*homes, there)
    )


def _decided(doc: Doc) -> str:
    return {"renew": "to be renewed", "scrap": "scrapped", "sell": "to be sold"}.get(
        doc.get("disposition", ""), "for another project"
    )


def _why_left(
    state: State,
    book: Book,
    doc: Doc,
    account: str,
    seats: Iterable[str],
    homes: tuple[str, ...],
    around: list[tuple[str, str]],
) -> tuple[str, str, bool]:
    """Say why a group is left over, what closes it, and whether it only is not back on yet."""
    back = "put it back on, or decide what happens to it"
    looks = [book.look(seat) for seat in seats]
    outermost = state.tables["group"][around[-1][0]] if around else doc
    where = outermost.get("where")
    if not any(homes):
        return "nobody said where it belongs", "say where it came from", False
    if account == "trial":
        return "on trial", "take it off, or put it back on for good", False
    if struck := next((look.struck for look in looks if look.struck and look.done), ""):
        return f"its place is left empty: {struck}", "decide what happens to it", False
    if all(look.on + look.as_found >= look.need for look in looks) and account != "joined":
        return "its place is filled", "decide what happens to it", False
    if account in ("away", "lent"):
        to, until = (where or {}).get("to", ""), (where or {}).get("until")
        return (
            f"{account} at {to}" + (f" until {until}" if until else ", no date agreed"),
            "have it back",
            False,
        )
    if account == "joined":
        return f"on {_name(outermost)}, which is not on", back, True
    if account == "inside" and around:
        return f"in {_name(state.tables['group'][around[0][0]])}", back, True
    return ("still to go back" if where is not None else "waiting: put down nowhere"), back, True


# -- of one position


def _of_seat(state: State, book: Book, seat: str) -> tuple[CountLine, ...]:
    look = book.look(seat)
    postings = book.postings(seat)
    says = None if look.listed is None else look.listed - look.never_listed
    came = look.came - look.left.get("never", 0)
    if look.tied or not (look.touched or postings):
        return ()
    if not postings and not look.lacking and not look.over and (says is None or says >= came):
        return ()  # as nearly always
    doc = listed(state).get(seat, {})
    table = state.tables.get("group", {})
    groups = book.groups(seat)
    own = table.get(seat) or (table[groups[0]] if groups else {})
    name = (
        doc.get("name")
        or own.get("name")
        or next((p["name"] for p in postings.values() if p.get("name")), "?")
    )
    code = next((table[each].get("code") for each in groups), None)
    home = (book.home(seat),)

    def line(kind: CountKind, why: str, act: str, pieces: int, at: tuple[str, ...] = home) -> CountLine:
        return CountLine(kind, f"part:{seat}", name, why, act, pieces, code, at)

    found = []
    if look.lacking:
        why = "; ".join(_why_missing(state, book, seat, look))
        first = "put it on when it comes" if _coming(state, seat) else "add a shortage, find it"
        found.append(line("missing", why, f"{first}, or leave its place empty", look.lacking))
    if look.over:
        on = look.on + look.as_found
        why = f"{on} on where {look.need} belong{'s' if look.need == 1 else ''}"
        found.append(line("too_many", why, "take the spare off", look.over))
    for posting in postings.values():
        if posting["kind"] == "difference" and posting.get("group") in table:
            group = table[posting["group"]]
            if group.get("counted") == "never":
                continue  # said with the group
            found.append(_difference(state, book, posting, line))
    if says is not None and says < came:
        why = f"{came} came off, {says} listed"
        found.append(line("difference", why, "correct the list or the number", came - says))
    return tuple(found)


def _difference(state: State, book: Book, posting: Doc, line: _Make) -> CountLine:
    if "origin" in posting:
        now = book.machine_of(posting["group"])
        why = f"came off {posting['origin'][0]}, now of {now}, no reason"
        pieces = state.tables["group"][posting["group"]].get("qty", 1)
        return line("difference", why, "give it, with a reason", pieces, (posting["origin"][0], now))
    was, now_n = posting["was"], posting["now"]
    why = f"difference {abs(posting['n'])}: {was} came off, {now_n} since, no reason"
    return line("difference", why, "correct it with a reason", abs(posting["n"]))


def _coming(state: State, seat: str) -> list[Doc]:
    """Return the shortages that are to fill a position: neither here yet nor struck out."""
    needs = state.follower(Order).needs(seat).values()
    return [doc for doc in needs if doc.get("state") not in ("here", "struck")]


def _why_missing(state: State, book: Book, seat: str, look: Look) -> Iterable[str]:
    """Say what became of what is lacking."""
    coming = [f"{doc['name']}: {shortage_state(doc)}" for doc in _coming(state, seat)]
    if coming:
        yield f"waits for {', '.join(coming)}"
    for posting in book.postings(seat).values():
        if posting["kind"] == "lost":
            name, place = posting.get("name"), listed(state).get(seat, {}).get("name")
            what = f" {name}" if name and place and name != place else ""  # swapped since
            yield f"{posting['n']}{what} lost" + (f": {posting['why']}" if posting.get("why") else "")
        elif posting["kind"] == "given" and posting["seat"] == seat:
            yield f"{posting['n']} given to another machine"
    says = (look.listed or 0) - look.never_listed
    fewer = says - (look.came - look.left.get("never", 0))
    if fewer > 0 and look.came:
        yield f"{says} listed, {look.came} came off: {fewer} missing"
    if look.left_empty:
        yield f"{look.left_empty} of {look.need} left empty ({look.struck})"
    gone = [f"{n} {account}" for account, n in look.left.items() if account in GONE.values()]
    if gone and not coming:
        yield f"{', '.join(gone)}, nothing takes its place"
    elif not coming and not fewer > 0 and not look.left.get("lost") and not look.left.get("given"):
        yield "nothing takes its place"


def pooled(state: State, lines: list[CountLine]) -> list[CountLine]:
    """Judge positions whose pieces were ever merged as one: too many at one fills what lacks at another."""
    pools = {key: doc["pool"] for key, doc in state.tables.get("part", {}).items() if doc.get("pool")}
    if not pools:
        return lines
    spare: dict[str, int] = {}
    for each in lines:
        pool = pools.get(each.subject.removeprefix("part:"))
        if pool is not None and each.kind == "too_many":
            spare[pool] = spare.get(pool, 0) + (each.pieces or 0)
    filled = dict.fromkeys(spare, 0)
    kept = []
    for each in lines:
        pool = pools.get(each.subject.removeprefix("part:"), "")
        if each.kind == "missing" and spare.get(pool):
            n = min(spare[pool], each.pieces or 0)
            spare[pool] -= n
            filled[pool] += n
            if n < (each.pieces or 0):
                kept.append(each._replace(pieces=(each.pieces or 0) - n))
        elif each.kind != "too_many" or pool not in filled:
            kept.append(each)
    for each in lines:
        pool = pools.get(each.subject.removeprefix("part:"), "")
        if each.kind == "too_many" and pool in filled:
            n = min(filled[pool], each.pieces or 0)
            filled[pool] -= n
            if n < (each.pieces or 0):
                kept.append(each._replace(pieces=(each.pieces or 0) - n))
    return kept


def _unjoined(state: State) -> list[CountLine]:
    """Return hoses, wires and pipes with an end apart: which end, and where it goes."""
    found = []
    for each in connections(state):
        apart = [end for end in ("a", "b") if not each.is_joined(end)]
        if apart:
            ends = " and ".join(f"end {end.upper()} ({getattr(each, end)})" for end in apart)
            found.append(
                CountLine(
                    "missing", f"connection:{each.key}", each.told, f"{ends} apart", "join it and say so",
                    None, None, (each.machine,),
                )
            )  # fmt: skip
    return found


def _joined(state: State, today: date) -> list[CountLine]:
    """Return hoses, wires and pipes that are joined though the part of that name is rejected."""
    found = []
    for each in connections(state):
        if not (each.name and (each.is_joined("a") or each.is_joined("b"))):
            continue
        against = [rejected(state, key, today) for key in parts_of(state, state.docs("connection")[each.key])]
        if against and all(against):
            act = "take it apart, then renew, rework or concede it"
            at = (each.machine,)
            line = CountLine("rejected", f"connection:{each.key}", each.told, against[0], act, None, None, at)
            found.append(line)
    return found


# -- what stands beside it


def _of_unnamed(state: State, named: Collection[str]) -> Iterable[Stands]:
    """Say how many parts came off a machine that neither the shop file nor the ledger names."""
    of: dict[str, int] = {}
    known = {"", *named, *state.machines()}
    for doc in state.docs("group").values() if named else ():
        key = next(iter(doc.get("origin", ())), "")
        if doc.get("counted") != "never" and key not in known:
            of[key] = of.get(key, 0) + 1
    for key, n in of.items():
        text = f"{n} part{'s' if n > 1 else ''} came off '{key}', which the shop file does not name: "
        text += f"'assembly {key} --to KEY' has {'them' if n > 1 else 'it'} be of a machine it names"
        yield Stands("machine not named", text, f"machine:{key}", None, (key,))


def stands(state: State, today: date) -> list[Stands]:
    """Return what was conceded, accepted, corrected, left empty, lost, never there, or measured of some."""
    book = state.follower(Book)
    table = state.tables.get("group", {})
    found: list[Stands] = []
    last: dict[tuple[str, str], Characteristic] = {}
    let_through: dict[int, Characteristic] = {}
    for key in state.follower(Tests).judged():
        for each in characteristics(state, key, today) if key in table else ():
            if each.concession is not None:
                let_through[id(each.concession)] = each
            if (key, each.what.casefold()) not in last or each.concession is not None:
                last[key, each.what.casefold()] = each
    for key in state.follower(Tests).measured() & set(table):
        found += _some_measured(state, book, key)
    for doc in state.tables.get("concession", {}).values():
        group = doc["group"]
        name = _name(table[group]) if group in table else "a part since lost, or put with others"
        homes: tuple[str, ...] = (book.machine_of(group) if group in table else "",)
        now = let_through.get(id(doc)) or last.get((group, doc["what"].casefold()))
        if now is not None and doc is now.concession:
            text = f"{name}, {now.said}, conceded: {terms(doc)}"
            found.append(Stands("conceded", text, f"group:{group}", accepted(doc), homes))
            continue
        limit = f" ({doc['limit']})" if doc.get("limit") else ""
        value = f"{doc['what']} {doc.get('value', '')}{limit}"
        pieces = sum(held(group, table[group]).values()) if group in table else 0
        measured = {"what": doc["what"], "measured": doc.get("value")} if now is None else now.doc
        replaced = now is not None and now.concession is not None
        ended = uncovered(doc, measured, today, pieces) or (
            "another took its place" if replaced else "measured anew since"
        )
        text = f"{name}, {value}, was conceded: {terms(doc)}; {ended}"
        found.append(Stands("once conceded", text, f"group:{group}", accepted(doc), homes))
    for key, doc in state.tables.get("accepted", {}).items():
        if doc.get("kind") in ("fit", "trial", "merge", "renew", "swap", "give"):
            what = doc.get("name", "")
            waited = "; ".join(doc.get("waited_for", ()))
            if waited:
                waited = f": {waited}" if doc["kind"] in ("swap", "give") else f", waited for {waited}"
            homes = tuple(dict.fromkeys(book.home(seat) for seat in doc.get("positions", ()))) or ("",)
            who = _who(doc, "why", "by", "since")
            found.append(Stands("accepted", f"{what}{waited}", f"accepted:{key}", who, homes))
    for key, doc in state.tables.get("part", {}).items():
        if doc.get("anyway"):  # as older ledgers kept it
            name = doc.get("name") or _name(table.get(key, {}))
            who = Accepted("", doc["anyway"])
            found.append(Stands("accepted", name, f"part:{key}", who, (book.home(key),)))
        if doc.get("struck"):
            own = next((table[each] for each in book.groups(key)), table.get(key, {}))
            name, look = listed(state).get(key, {}).get("name") or _name(own), book.look(key)
            text = f"{name}: {look.left_empty} of {look.need} left empty"
            who = _who(doc, "struck", "struck_by", "struck_on")
            found.append(Stands("struck", text, f"part:{key}", who, (book.home(key),)))
    places = state.follower(Order).graph.places
    for key, doc in state.tables.get("shortage", {}).items():
        for_ = [each for each in doc.get("positions", ()) if each in places]
        if doc.get("state") == "struck" and for_:
            homes = tuple(dict.fromkeys(map(book.home, for_)))
            text = f"{doc['name']}: not needed for {', '.join(places[each].name for each in for_)}"
            who = _who(doc, "struck", "struck_by", "struck_on")
            found.append(Stands("struck", text, f"shortage:{key}", who, homes))
    for key, doc in state.tables.get("posting", {}).items():
        if text := _posting_said(doc):
            kind: Literal["never there", "moved"] = "never there" if doc["kind"] == "never" else "moved"
            homes = tuple(dict.fromkeys(map(book.home, seats_in(doc))))
            who = _who(doc, "why", "by", "on")
            found.append(Stands(kind, f"{doc.get('name', '')}: {text}", f"posting:{key}", who, homes))
    for key, doc in state.tables.get("correction", {}).items():
        if doc.get("field") != "lost":  # that is told with what was lost
            who, of = _who(doc, "why", "by", "on"), doc.get("group", "")
            homes = (book.machine_of(of),) if of in table else ("",)
            found.append(Stands("corrected", doc.get("text", ""), f"correction:{key}", who, homes))
    return sorted(found, key=lambda each: _IN_FORCE.index(each.kind))


def _some_measured(state: State, book: Book, key: str) -> Iterable[Stands]:
    """Say of what values of fewer pieces than there are were taken for all."""
    doc = state.tables["group"][key]
    qty = doc.get("qty", 1)
    if qty < 2 or book.account(key) in GONE.values():
        return
    for those in state.follower(Tests).counting(key).values():
        within = [each for _, each in those if is_within(each)]
        if within and len(those) == len(within) < qty:
            text = f"{_name(doc)} x{qty}: {within[0]['what']} of {len(within)} measured, taken for all"
            yield Stands("some measured", text, f"group:{key}", None, (book.machine_of(key),))


_IN_FORCE = (
    "conceded", "accepted", "struck", "some measured", "corrected", "moved", "never there", "once conceded"
)  # fmt: skip
"""What stands beside the count in the order it is told: what is in force first."""


def _who(doc: Doc, why: str, by: str, on: str) -> Accepted:
    """Return who said something, why and when, by the names its document keeps them under."""
    day = doc.get(on)
    since = date.fromisoformat(day) if day else None
    return Accepted(doc.get(by) or "", doc.get(why) or "", since, for_now=bool(doc.get("for_now")))


def _posting_said(doc: Doc) -> str:
    """Say what became of pieces that left the groups, or where they came from: '1 lost'."""
    n, kind = abs(doc["n"]), doc["kind"]
    verb = "was" if n == 1 else "were"
    return {
        "never": f"{n} {verb} {'no part' if doc.get('no_part') else 'never there'}",
        "lost": f"{n} lost" + (f", last seen in {doc['seen']}, which was on" if doc.get("seen") else ""),
        "found": f"{n} found, though nobody took {'it' if n == 1 else 'them'} off",
        "consumed": f"{n} used up",
        "given": f"{n} given to another machine",
        "bound": f"{n} said to be of another place" if doc.get("why") else "",
        "taken": f"{n} never came off" if doc["n"] < 0 else f"{n} more came off",
    }.get(kind, "")
