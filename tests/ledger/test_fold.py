"""Events and their fold: taking back all that was done leaves nothing, and reopening changes nothing."""

from __future__ import annotations

import random
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.ledger.events import Event, before_of, decode, encode, fold, inverse, new_id
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InGroup, InZone, Mass, Size
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.records import acts, merging
from shopbins.records import machine as machines
from shopbins.records.accepted import Acceptable, accept, accepted_doc, take_back

LET = Acceptable("load/zone:rack a", "stop", "rack a bears 140 kg", 140.0, 100.0)
DAY = date(2026, 11, 25)

values = st.sampled_from(
    (None, 0, -7, 2**70, "", "é\u2028", "弁", [], [1, 2])
)  # drawn cheaply, beside others
documents = st.none() | st.fixed_dictionaries({}, optional=dict.fromkeys("abc", values))
changes = st.fixed_dictionaries(
    {}, optional=dict.fromkeys(("group:1", "group:2", "place:rack a/3"), documents)
)


@given(st.lists(changes, max_size=8))
def test_inverses_in_reverse_order_undo_any_fold(steps: list[dict]) -> None:
    tables: dict = {}
    past = []
    for after in steps:
        past.append((before_of(tables, after), {name: dict(docs) for name, docs in tables.items()}))
        fold(tables, after)
    for before, earlier in reversed(past):
        fold(tables, before)
        assert {n: d for n, d in tables.items() if d} == {n: d for n, d in earlier.items() if d}


@given(changes)
def test_an_event_is_read_as_written(after: dict) -> None:
    event = Event(1, 7, new_id(), "2026-11-25T20:00:00.000Z", "jan", "x", tuple(after), {}, after, None)
    assert decode(encode(event)) == event
    assert inverse(event) == {}


def random_act(state: State, luck: random.Random):
    """Return a draft of something people do, by chance; Refused where it makes no sense just now."""
    ids = state.group_ids()
    tags = list(state.docs("tag"))
    any_id = luck.choice(ids) if ids else "none"
    zone = InZone(luck.choice(["bench 2", "rack a"]), luck.choice(["", "3"]), 100.0, 50.0, measured=True)
    choices = [
        lambda: acts.take(state, f"part {luck.random()}", origin=("diesel", "head"), qty=luck.randint(1, 4)),
        lambda: acts.take(state, "bag", container="bag", where=zone, mass=Mass(2.5), ordered=False),
        lambda: acts.lay(state, any_id, zone, {LET.id: accepted_doc(LET, "for now", by="jan", day=DAY)}),
        lambda: accept(state, LET, "props under it", by="jan", day=DAY),
        lambda: acts.put_into(state, any_id, luck.choice(ids or ["none"]), luck.choice(["in", "on"])),
        lambda: acts.lift_off(state, any_id),
        lambda: acts.change(state, any_id, note=str(luck.random()), size=Size(3, 2, 1, True), mass=None),
        lambda: acts.send_away(state, any_id, "grinder", "2026-12-24", "regrind"),
        lambda: acts.bring_back(state, any_id, luck.choice([None, zone])),
        lambda: acts.issue_blanks(state, 2),
        lambda: acts.lay_blank(state, luck.choice(tags or ["none"]), zone),
        lambda: acts.issue_place_codes(state, ["bench 2", "rack a/3"]),
        lambda: acts.split(state, any_id, luck.randint(1, 2)),
        lambda: merging.merge(state, luck.sample(ids, min(2, len(ids)))),
        lambda: acts.move_thing(state, "saw", luck.random(), 0.0, 90.0, "forge"),
        lambda: machines.add(state, luck.choice("ab"), name="boat diesel"),
        lambda: take_back(state, LET.id),
        lambda: acts.mark_tagged(state, [state.group(any_id).code] if ids else []),
    ]
    return luck.choice(choices)()


def filled(state: State) -> dict:
    """Return the tables that hold anything."""
    return {name: docs for name, docs in state.tables.items() if docs}


def assert_indexes_true(state: State) -> None:
    """Check the kept-up indexes against ones built from nothing."""
    fresh = State({name: dict(docs) for name, docs in state.tables.items()}, state.seq, state.prefix)
    one, other = state.index, fresh.index
    assert one.codes == other.codes
    assert {z: {k: set(v) for k, v in ls.items()} for z, ls in one.places.items()} == {
        z: {k: set(v) for k, v in ls.items()} for z, ls in other.places.items()
    }
    assert {k: set(v) for k, v in one.children.items()} == {k: set(v) for k, v in other.children.items()}
    assert one.inside == other.inside
    assert set(one.unplaced) == set(other.unplaced)
    assert set(one.away) == set(other.away)
    for machine in ("", "diesel"):
        assert state.last_order(machine) == fresh.last_order(machine)
    assert list(state.groups()) == list(fresh.groups())


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.integers(1, 40))
def test_everything_done_can_be_taken_back(memory_disk, seed: int, count: int) -> None:
    luck = random.Random(seed)
    disk = memory_disk()
    ledger = Ledger.open("/shop.ledger", by="jan", prefix="RW", files=disk)
    states = [filled(ledger.state.copy())]
    for _ in range(count):
        try:
            ledger.transact(lambda state: random_act(state, luck))
        except Refused:
            continue
        states.append(filled(ledger.state.copy()))
        assert not ledger.state.circles()
        assert not ledger.state.adrift()
    assert_indexes_true(ledger.state)
    again = Ledger.open("/shop.ledger", readonly=True, files=disk)
    assert filled(again.state) == states[-1]
    assert again.state.last_serial == ledger.state.last_serial
    for earlier in reversed(states[:-1]):
        ledger.undo()
        assert filled(ledger.state) == earlier
    assert filled(ledger.state) == {}
    for later in states[1:]:
        ledger.redo()
        assert filled(ledger.state) == later
    assert_indexes_true(ledger.state)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**9), st.integers(1, 60))
def test_two_people_working_and_undoing_leave_a_whole_ledger(memory_disk, seed: int, count: int) -> None:
    luck = random.Random(seed)
    disk = memory_disk()
    people = [Ledger.open("/shop.ledger", by=name, prefix="RW", files=disk) for name in ("jan", "mia")]
    for _ in range(count):
        ledger = luck.choice(people)
        deed = luck.choice(["act", "act", "act", "undo", "redo", "snapshot"])
        try:
            if deed == "act":
                ledger.transact(lambda state: random_act(state, luck))
            elif deed == "snapshot":
                ledger.snapshot()
            else:
                getattr(ledger, deed)()
        except Refused:
            continue
        assert not ledger.state.circles()
        assert not ledger.state.adrift()
    for ledger in people:
        ledger.poll()
        assert_indexes_true(ledger.state)
    third = Ledger.open("/shop.ledger", readonly=True, files=disk)
    tables: dict = {}
    for event in third.events():
        assert event.before == before_of(tables, event.after)
        fold(tables, event.after)
    for state in (people[0].state, people[1].state, third.state):
        assert filled(state) == {name: docs for name, docs in tables.items() if docs}


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 40), st.integers(0, 10**9))
def test_splitting_and_merging_keep_every_piece(memory_disk, qty: int, seed: int) -> None:
    luck = random.Random(seed)
    ledger = Ledger.open("/shop.ledger", prefix="RW", files=memory_disk())
    taken = ledger.transact(lambda s: acts.take(s, "studs", qty=qty, mass=Mass(8.0)))
    first = taken.subjects[0].removeprefix("group:")
    for _ in range(5):
        ids = ledger.state.group_ids()
        chosen = ledger.state.group(luck.choice(ids))
        if chosen.qty > 1:
            names = ["stud"] * luck.randint(0, min(chosen.qty, 3))
            part = None if names else luck.randint(1, chosen.qty - 1)
            ledger.transact(lambda s, g=chosen.id, p=part, n=names: acts.split(s, g, p, n))
        assert sum(group.qty for group in ledger.state.groups()) == qty
        assert abs(sum(group.mass.kg for group in ledger.state.groups() if group.mass) - 8.0) < 1e-9
        assert len({group.code for group in ledger.state.groups()}) == len(ledger.state.group_ids())
    if len(ledger.state.group_ids()) > 1:
        codes = [group.code for group in ledger.state.groups()]
        ledger.transact(lambda s: merging.merge(s, [first, *(g for g in s.group_ids() if g != first)]))
        assert [group.qty for group in ledger.state.groups()] == [qty]
        assert all(ledger.state.by_code(code) == first for code in codes)


def test_merging_moves_what_lay_in_the_others(memory_disk) -> None:
    ledger = Ledger.open("/shop.ledger", prefix="RW", files=memory_disk())
    tub, other, bag = (
        ledger.transact(lambda s, n=name: acts.take(s, n)).subjects[0].removeprefix("group:")
        for name in ("tub 7", "tub 8", "bag")
    )
    ledger.transact(lambda s: acts.put_into(s, bag, other))
    ledger.transact(lambda s: merging.merge(s, [tub, other]))
    assert ledger.state.group(bag).where == InGroup(tub)
    assert ledger.state.group(tub).mass is None
