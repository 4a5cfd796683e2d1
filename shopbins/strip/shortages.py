"""What is lacking, when it must be asked for, and which of it holds up a milestone.

Dates are calendar days. A latest date is worked out with the longest times known and with the usual order
where nobody was asked, so that it errs on the early side; where the time a thing takes to come is not known
nothing is assumed, the answer says so. A step whose duration is not known counts as none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil, floor, inf, isinf

from shopbins.answer import Answer, Part, Verdict, Words
from shopbins.ledger.model import Away, Doc
from shopbins.ledger.state import State
from shopbins.strip.book import GONE, Book
from shopbins.strip.connections import connections
from shopbins.strip.order import Order
from shopbins.strip.path import Times, schedule
from shopbins.strip.refit import chain, members, not_met
from shopbins.strip.release import VERIFY, characteristics, release
from shopbins.strip.waits import on_unreleased, open_work, stage, work_words
from shopbins.units import counted

WORDS = Words("in time", "too late", open="cannot say")
STATES = ("to ask", "asked", "promised", "here", "struck")


@dataclass(frozen=True, slots=True)
class Lack:
    """A shortage, and what its dates come to.

    `needed_before` is the step (or milestone) that waits for it; `needed_by` the latest day it must be here,
    `ask_by` the latest day to ask for it (None: not known), `here` the first and last day it is expected.
    `sentence` says what to do about it, `late` that a day for it has passed or will be missed.
    """

    key: str
    name: str
    qty: int
    unit: str
    state: str
    needed_before: str | None
    needed_by: date | None
    ask_by: date | None
    here: tuple[date, date] | None
    sentence: str
    doc: Doc = field(default_factory=dict)
    late: bool = False

    @property
    def quantity(self) -> str:
        """How much of it, as people say it."""
        return f"{self.qty} {self.unit}".strip()


@dataclass(frozen=True, slots=True)
class HoldUp:
    """What a milestone comes to: the first and last day it can be reached, as far as times are known.

    `by` is its date, `late` by how many days it is missed at the worst, `shortages` the ids of what holds it
    up, `steps` the positions on the way from there. What is said of it anywhere is made from `answer`.
    """

    name: str
    first: date
    last: date
    by: date | None
    late: int
    shortages: tuple[str, ...]
    steps: tuple[str, ...]
    answer: Answer

    @property
    def unknown(self) -> tuple[str, ...]:
        """Name what is not settled, so that it may be worse."""
        return tuple(part.text for part in self.answer.of(Verdict.OPEN))

    @property
    def sentence(self) -> str:
        """Say every part of the answer: what is not settled first, then days, then what was left empty."""
        rest = [part.text for part in self.answer.parts if part.verdict is not Verdict.OPEN]
        unsure = [f"{WORDS.open}: {'; '.join(self.unknown)}"] if self.unknown else []
        return f"{self.name}: {'; '.join([*unsure, *rest])}"


def shortages(state: State, today: date, *, all_of_them: bool = False) -> list[Lack]:
    """Return what is lacking, most pressing first; with what is here or struck out too if asked for."""
    latest = _latest_starts(state, today)
    found = [
        _lack(state, key, doc, latest, today)
        for key, doc in state.docs("shortage").items()
        if all_of_them or stage(doc) not in ("here", "struck")
    ]
    return sorted(found, key=lambda each: (each.ask_by or each.needed_by or date.max, each.name))


def _lack(state: State, key: str, doc: Doc, latest: Mapping[str, float], today: date) -> Lack:
    needed = _needed(state, doc, latest)
    name, day = (None, inf) if needed is None else needed
    by = None if isinf(day) else _day(today, floor(day))
    lead = doc.get("days")
    asks = stage(doc) == "to ask"
    ask_by = None if by is None or lead is None else by - timedelta(days=ceil(lead[1]))
    here = expected(doc, today)
    said = _sentence(doc, name, by, ask_by if asks else None, here, today)
    return Lack(
        key, doc["name"], doc.get("qty", 1) - doc.get("came", 0), doc.get("unit", ""), stage(doc),
        name, by, ask_by, here, said, doc, _is_late(doc, by, ask_by if asks else None, here, today),
    )  # fmt: skip


def _is_late(
    doc: Doc, by: date | None, ask_by: date | None, here: tuple[date, date] | None, today: date
) -> bool:
    """Tell whether it should have been asked for, has not come when promised, or may come too late."""
    if ask_by is not None and here is not None:
        return ask_by < today
    if stage(doc) not in ("asked", "promised"):
        return False
    due = due_day(doc)
    passed = due is not None and due < today
    return passed or (by is not None and here is not None and here[1] > by)


def _day(today: date, days: float) -> date:
    """Return a day so many days on, kept within what a calendar has."""
    return date.fromordinal(min(max(today.toordinal() + int(days), 1), date.max.toordinal()))


def _needed(state: State, doc: Doc, latest: Mapping[str, float]) -> tuple[str, float] | None:
    """Return the step that waits for a shortage first, and the latest day it must start."""
    graph = state.follower(Order).graph
    steps = [
        (latest.get(each, inf), -graph.rank[graph.number[each]], _step_name(state, doc, each))
        for each in doc.get("positions", ())
        if each in graph.number
    ]
    milestone = state.docs("milestone").get(doc.get("milestone", ""))
    if milestone is not None:
        by = latest.get(f"milestone:{doc['milestone']}", inf)
        steps.append((by, 1, milestone["name"]))  # after every step of that day
    if not steps:
        return None
    day, _, name = min(steps)
    return name, day


def _step_name(state: State, doc: Doc, position: str) -> str:
    """Return what waits: the position, or for one that is itself renewed the next that goes on after it."""
    order = state.follower(Order)
    graph = order.graph
    place = graph.places[position]
    if place.name.casefold() != doc["name"].casefold():
        return place.name
    behind = [n for n in graph.pred[graph.number[position]] if not order.look(graph.ids[n]).done]
    return graph.places[graph.ids[max(behind, key=graph.rank.__getitem__)]].name if behind else place.name


def _latest_starts(state: State, today: date) -> dict[str, float]:
    """Return, in days from today, when each open position must be begun for every milestone to be in time."""
    due: dict[str, float] = {}
    latest: dict[str, float] = {}
    wanted: set[str] = set()
    for key, doc in state.docs("milestone").items():
        if doc.get("by") and not doc.get("done"):
            day = float((date.fromisoformat(doc["by"]) - today).days)
            latest[f"milestone:{key}"] = day
            wanted |= set(chain(state, key))
            for each in members(state, key):
                due[each] = min(due.get(each, inf), day)
    if due:
        times = _times(state, wanted, today, due=due, longest=True)
        latest |= {each: time.latest_start for each, time in times.items()}
    return latest


def _times(
    state: State,
    wanted: set[str],
    today: date,
    *,
    due: Mapping[str, float] | None = None,
    longest: bool,
) -> dict[str, Times]:
    """Return the times of the open positions among `wanted`, in days from today."""
    order = state.follower(Order)
    graph = order.graph
    days: dict[str, float] = {}
    waits: dict[str, list[str]] = {}
    ready: dict[str, float] = {}
    for each in wanted:
        if order.look(each).done:
            continue
        given = graph.places[each].days
        days[each] = 0.0 if given is None else given[1 if longest else 0]
        waits[each] = _waits_for(state, order, each)
        ready[each] = _ready(state, order, each, today, longest=longest)
    try:
        return schedule(days, waits, ready=ready, due=due)
    except ValueError:  # a relation told after a move was: then the relations alone
        certain = {each: _waits_for(state, order, each, moves=False) for each in days}
        return schedule(days, certain, ready=ready, due=due)


def _waits_for(state: State, order: Order, position: str, *, moves: bool = True) -> list[str]:
    """Return what goes on before a position, and what any move needs that it goes on after."""
    graph = order.graph
    waits = [graph.ids[then] for then in graph.succ[graph.number[position]]]
    for key in graph.places[position].after if moves else ():
        if key in state.docs("milestone") and not state.docs("milestone")[key].get("done"):
            waits += members(state, key)
    return waits


def _ready(state: State, order: Order, position: str, today: date, *, longest: bool) -> float:
    """Return the first day a position's own parts are all there, as far as that is known."""
    day = 0.0
    for doc in order.needs(position).values():
        here = expected(doc, today)
        if here is not None and doc.get("state") not in ("here", "struck"):
            day = max(day, float((here[1 if longest else 0] - today).days))
    for group_id in order.look(position).lying:
        where = state.top_of(group_id)[1]
        if isinstance(where, Away) and where.until:
            day = max(day, float((date.fromisoformat(where.until) - today).days))
    return day


def expected(doc: Doc, today: date) -> tuple[date, date] | None:
    """Return the first and last day a shortage is expected, None where nothing says; never in the past."""
    lead = doc.get("days")
    state = stage(doc)
    if state == "here":
        day = date.fromisoformat(doc["here"]) if doc.get("here") else today
        return day, day
    if state == "promised" and doc.get("promised"):
        day = max(today, date.fromisoformat(doc["promised"]))
        return day, day
    if lead is None or state == "struck":
        return None
    start = date.fromisoformat(doc["asked"]) if state != "to ask" and doc.get("asked") else today
    return max(today, _plus(start, floor(lead[0]))), max(today, _plus(start, ceil(lead[1])))


def due_day(doc: Doc) -> date | None:
    """Return the last day what was asked for should have come, whether it has passed or not."""
    if stage(doc) == "promised" and doc.get("promised"):
        return date.fromisoformat(doc["promised"])
    if stage(doc) == "asked" and doc.get("asked") and doc.get("days"):
        return _plus(date.fromisoformat(doc["asked"]), ceil(doc["days"][1]))
    return None


def _plus(day: date, days: int) -> date:
    return date.fromordinal(min(day.toordinal() + days, date.max.toordinal()))


# -- in words


def said(day: date, today: date) -> str:
    """Say a day: '12 May', with the year where it is another."""
    text = f"{day.day} {day:%B}"
    return text if day.year == today.year else f"{text} {day.year}"


def _sentence(
    doc: Doc,
    step: str | None,
    by: date | None,
    ask_by: date | None,
    here: tuple[date, date] | None,
    today: date,
) -> str:
    state = stage(doc)
    waits = f"{step} must wait" if step else "nothing said to wait for it"
    if state == "struck":
        return f"not needed: {doc.get('struck', '')}"
    if state == "here":
        return f"here since {said(here[0], today)}" if here and doc.get("here") else "here"
    if state == "to ask":
        return _to_ask(waits, step, by, ask_by, known=here is not None, today=today)
    return _coming(doc, waits, by, here, today)


def _to_ask(
    waits: str, step: str | None, by: date | None, ask_by: date | None, *, known: bool, today: date
) -> str:
    if not known:
        need = f", needed by {said(by, today)}" if by else ""
        return f"ask how long it takes: {waits}{need}"
    if ask_by is None:
        return f"ask for it: {waits}, but no date is set for any milestone that needs it"
    if ask_by < today:
        late = (today - ask_by).days
        return f"should have been asked for by {said(ask_by, today)}, {counted(late, 'day')} ago: {waits}"
    return f"ask by {said(ask_by, today)} or {waits}" if step else f"ask by {said(ask_by, today)}"


def _coming(doc: Doc, waits: str, by: date | None, here: tuple[date, date] | None, today: date) -> str:
    of = f" of {doc['ask_of']}" if doc.get("ask_of") else ""
    if here is None:
        return f"asked{of}, no date promised: {waits}"
    first, last = here
    due = due_day(doc)
    if stage(doc) == "promised":
        passed = date.fromisoformat(doc["promised"]) < today
        head = f"promised{of} for {said(date.fromisoformat(doc['promised']), today)}"
        if passed:
            return f"{head} and not here: ask again, {waits}"
    elif due is not None and due < today:
        return f"asked{of}, due {said(due, today)} and not here: ask again, {waits}"
    else:
        span = said(first, today) if first == last else f"{said(first, today)} to {said(last, today)}"
        head = f"asked{of}, expected {span}"
    if by is None:
        return f"{head}: {waits}"
    if last <= by:
        return f"{head}, needed by {said(by, today)}: in time"
    maybe = "" if first > by else " at the worst"
    return f"{head}, needed by {said(by, today)}: {counted((last - by).days, 'day')} late{maybe}, {waits}"


# -- what holds it up


def hold_up(state: State, milestone: str, today: date) -> HoldUp:
    """Return when a milestone can be reached and which shortages (or what is away) hold it up.

    KeyError where there is no such milestone.
    """
    doc = state.docs("milestone")[milestone]
    if doc.get("done"):
        return _was_reached(state, milestone, doc, today)
    wanted = set(chain(state, milestone))
    soon = _times(state, wanted, today, longest=False)
    late = _times(state, wanted, today, longest=True)
    first = max((each.earliest_finish for each in soon.values()), default=0.0)
    last = max((each.earliest_finish for each in late.values()), default=0.0)
    steps = _way(state, late)
    order = state.follower(Order)
    holding = _holding(order, steps, late, today)
    names = [state.docs("shortage")[key]["name"] for key in holding]
    if steps and not names and late[steps[0]].earliest_start > 0:
        names = [f"{state.group(each).shown} (away)" for each in order.look(steps[0]).lying]
    first, last = _for_itself(state, milestone, today, first, last, holding, names)
    by = date.fromisoformat(doc["by"]) if doc.get("by") else None
    first_day, last_day = _day(today, ceil(first)), _day(today, ceil(last))
    reached_on = last_day if by is None else max(last_day, by)
    unknown = (
        *_unknown(state, order, wanted, milestone, today),
        *_run_out(state, order, wanted, today, reached_on),
        *_apart(state, order, wanted, milestone),
    )
    over = 0 if by is None else max(0, (last_day - by).days)
    parts = [Part(Verdict.OPEN, each) for each in unknown]
    if wanted and not unknown and all(order.look(each).done for each in wanted):
        parts.append(Part(Verdict.YES, "everything it needs is on; mark it reached"))
    parts += _days_said(names, first_day, last_day, by, over, today, sure=not parts)
    parts += _left_empty(order, wanted)
    answer = Answer(WORDS, tuple(parts))
    return HoldUp(doc["name"], first_day, last_day, by, over, tuple(holding), tuple(steps), answer)


def _was_reached(state: State, milestone: str, doc: Doc, today: date) -> HoldUp:
    """Return a milestone that was reached, with what it needs and has no more; a move is over."""
    day = date.fromisoformat(doc["done"])
    lapsed = [] if doc.get("move") else not_met(state, milestone, today)
    parts = [Part(Verdict.YES, f"reached {doc['done']}")]
    parts += [Part(Verdict.NO, f"not so now: {', '.join(lapsed)}")] if lapsed else []
    by = date.fromisoformat(doc["by"]) if doc.get("by") else None
    return HoldUp(doc["name"], day, day, by, 0, (), (), Answer(WORDS, tuple(parts)))


def _days_said(
    holding: list[str], first: date, last: date, by: date | None, over: int, today: date, *, sure: bool
) -> list[Part]:
    """Say when it can be reached, and what comes of its date; `sure`: nothing else was said of it yet."""
    text = ""
    if last > today:
        span = said(last, today) if first == last else f"{said(first, today)} to {said(last, today)}"
        text = f"not before {span}" + (f", held up by {' and '.join(holding)}" if holding else "")
    elif sure and not over:
        text = "nothing dated holds it up"
    if over and by is not None:
        late = f"{counted(over, 'day')} after its date ({said(by, today)})"
        return [Part(Verdict.NO, f"{text}, {late}" if text else late)]
    if sure and by is not None:
        text += f", in time for {said(by, today)}"
    return [Part(Verdict.YES, text)] if text else []


def _run_out(state: State, order: Order, wanted: set[str], today: date, day: date) -> Iterator[str]:
    """Name the concessions that are over by the day a milestone is reached: what they let through is not."""
    for each in sorted(wanted, key=order.graph.number.__getitem__):
        for group_id in order.graph.places[each].groups:
            for value in characteristics(state, group_id, today):
                until = (value.concession or {}).get("until")
                if until and until < day.isoformat():
                    since = said(date.fromisoformat(until), today)
                    yield f"{state.group(group_id).shown}: its concession ({value.what}) runs out {since}"


def _apart(state: State, order: Order, wanted: set[str], milestone: str) -> Iterator[str]:
    """Name the hoses, wires and pipes that are apart: at a part it needs, or of a machine it needs whole."""
    graph = order.graph
    places = [graph.places[each] for each in wanted]
    machines = {place.path[0] for place in places if place.path}
    whole = {
        machine
        for machine in machines
        if all(key in wanted for key, each in graph.places.items() if each.path[:1] == (machine,))
    }
    names = {place.name.casefold() for place in places if place.name}
    for each in connections(state):
        ends = [end for end in ("a", "b") if not each.is_joined(end)]
        at = f"{each.a} {each.b}".casefold()
        if ends and (
            each.machine in whole
            or (each.machine in (*machines, "") and any(name in at for name in names))
            or milestone == each.machine.casefold()
        ):
            which = " and ".join(f"end {end.upper()}" for end in ends)
            yield f"{each.mark} {each.name or each.kind}: {which} apart"


def _left_empty(order: Order, wanted: set[str]) -> list[Part]:
    """Say how many places a milestone needs are left empty: somebody said why."""
    looks = [order.look(each) for each in wanted]
    n = sum(1 for look in looks if look.struck or (look.touched and not look.need))
    return [Part(Verdict.ACCEPTED, f"{counted(n, 'place')} left empty")] if n else []


def _holding(order: Order, steps: list[str], times: Mapping[str, Times], today: date) -> list[str]:
    """Return the shortages the first step of the longest way waits for longest."""
    if not steps or times[steps[0]].earliest_start <= 0:
        return []
    found = []
    for key, doc in order.needs(steps[0]).items():
        here = None if doc.get("state") in ("here", "struck") else expected(doc, today)
        if here is not None and (here[1] - today).days >= times[steps[0]].earliest_start:
            found.append(key)
    return found


def _way(state: State, times: Mapping[str, Times]) -> list[str]:
    """Return the positions on the longest way, from what it starts with."""
    if not times:
        return []
    order = state.follower(Order)
    at = max(times, key=lambda each: times[each].earliest_finish)
    way = [at]
    while True:
        begin = times[at].earliest_start
        before = [each for each in _waits_for(state, order, at) if each in times]
        found = [each for each in before if abs(times[each].earliest_finish - begin) < 1e-9]
        if not found or begin == 0:
            return way[::-1]
        at = found[0]
        way.append(at)


def _for_itself(
    state: State,
    milestone: str,
    today: date,
    first: float,
    last: float,
    holding: list[str],
    names: list[str],
) -> tuple[float, float]:
    """Return the first and last day with what the milestone itself waits for; what holds up more replaces."""
    for key, doc in state.docs("shortage").items():
        here = expected(doc, today) if doc.get("milestone") == milestone else None
        if here is None or doc.get("state") in ("here", "struck"):
            continue
        first = max(first, float((here[0] - today).days))
        if (here[1] - today).days > last:
            last = float((here[1] - today).days)
            holding[:], names[:] = [key], [doc["name"]]
    return first, last


def _unknown(state: State, order: Order, wanted: set[str], milestone: str, today: date) -> tuple[str, ...]:
    """Name all that makes a milestone's days no more than a guess: undated, overdue, not released."""
    names: dict[str, None] = {}
    for doc in state.docs("shortage").values():
        if doc.get("milestone") == milestone:
            names |= dict.fromkeys(_undated(doc, today))
    dayless = 0
    for each in sorted(wanted, key=order.graph.number.__getitem__):
        place, look = order.graph.places[each], order.look(each)
        for group_id in place.groups:
            names |= dict.fromkeys(_not_sure(state, group_id, today))
        if look.done:
            continue
        dayless += place.days is None
        for doc in order.needs(each).values():
            names |= dict.fromkeys(_undated(doc, today))
        for wait in order.waits(each):
            if wait.kind == "unfilled":
                names[f"{place.name}: {wait.text}"] = None
            elif wait.kind == "milestone" and not _dated(state, wait.subject.partition(":")[2]):
                names[f"{place.name} goes on after {wait.text}, which has no date"] = None
    if dayless:
        names["1 step has no days" if dayless == 1 else f"{dayless} steps have no days"] = None
    return tuple(names)


def _dated(state: State, milestone: str) -> bool:
    return bool(state.docs("milestone").get(milestone, {}).get("by"))


def _undated(doc: Doc, today: date) -> Iterator[str]:
    """Say that a shortage has no day it comes on, or that the day has passed."""
    if doc.get("state") in ("here", "struck"):
        return
    here = expected(doc, today)
    if here is None:
        yield f"no time known for {doc['name']}"
        return
    due = due_day(doc)
    if due is not None and due < today:
        yield f"{doc['name']} overdue since {said(due, today)}"


def _not_sure(state: State, group_id: str, today: date) -> Iterator[str]:
    """Say what is not settled of one group: away too long, not released, work with no date, not counted."""
    group = state.group(group_id)
    account = state.follower(Book).account(group_id)
    if account in GONE.values():
        return
    let = release(state, group_id, today)
    if let.nobody:
        yield f"{group.shown} {let.why}"
    if group.counted == "assumed":
        yield f"{group.shown}: {group.qty} not counted"
    elif group.counted == "later":
        yield f"{group.shown}: to be counted, and nobody did"
    if account in ("on", "joined"):
        held = {} if let.nobody else on_unreleased(state, group_id, today)
        if held:
            yield f"{group.shown} is on, not released: {', '.join(dict.fromkeys(held.values()))}"
        return
    if let.why and not let.nobody:
        yield f"{group.shown} waits for {let.why}"
    where = state.top_of(group_id)[1]
    if isinstance(where, Away):
        if not where.until:
            yield f"{group.shown} at {where.to}, no date agreed"
        elif where.until < today.isoformat():
            since = said(date.fromisoformat(where.until), today)
            yield f"{group.shown} overdue at {where.to} since {since}"
    work = [what for what in open_work(group) if what != "inspect" and not what.startswith(VERIFY)]
    if work:
        yield f"{group.shown}: {', '.join(map(work_words, work))}, no date"
