"""The count: pieces off = on + decided + lying; exceptions by name. Conserved whatever is done."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strip_job import BENCH, Job, engine

from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused
from shopbins.records import acts, acts_refit, acts_strip, acts_supply, shortage
from shopbins.strip.count import count
from shopbins.strip.order import Order
from shopbins.strip.refit import next_back, refit


def whys(job: Job) -> dict[str, str]:
    found = count(job.state)
    return {odd.name: odd.why for odd in (*found.missing, *found.left_over)}


def test_everything_back_is_zero() -> None:
    job = engine()
    assert count(job.state).off == 20 and not count(job.state).is_right
    while entries := next_back(job.state):
        job.do(acts_refit.fit(job.state, entries[0].group.id))
    found = count(job.state)
    assert (found.off, found.on, found.lying) == (20, 20, 0) and found.is_right


def test_exceptions_by_name() -> None:
    job = engine()
    job.do(acts_refit.dispose(job.state, job.id("crank"), "scrap"))
    job.do(acts.change(job.state, job.id("belts"), counted="later"))
    key = job.do(acts_strip.add_part(job.state, "studs", ("engine", "top"), qty=24))
    job.take("studs", "engine", "top", qty=23, parts=(key,))
    found = whys(job)
    assert found["crank"] == "nothing takes its place"
    assert [odd.why for odd in count(job.state).missing if odd.name == "belts"] == ["not counted yet"]
    assert "24 belong there, 23 came off" in {odd.why for odd in count(job.state).missing}
    job.short("crank, second-hand", ["crank"])
    assert whys(job)["crank"] == "waits for crank, second-hand: to ask"


def test_a_part_too_many_is_left_over() -> None:
    job = engine()
    key = job.renew("crank")
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    new = next(g.id for g in job.state.groups() if g.brought)
    job.do(acts_refit.dispose(job.state, job.id("crank"), "refit"))  # the old one goes back after all
    job.do(acts_refit.fit(job.state, job.id("crank"), anyway="the new one is wrong"))
    left = {odd.subject: odd.why for odd in count(job.state).left_over}
    assert left[f"group:{new}"] == "its place is filled"


def test_a_bag_left_in_what_is_on_is_left_over() -> None:
    job = engine()
    job.fit("crank")
    job.do(acts.put_into(job.state, job.id("belts"), job.id("crank")))
    assert whys(job)["belts"] == "not fitted: lies in, or is tried on, crank"


def test_connections_not_joined_are_missing() -> None:
    job = Job()
    key = job.do(acts_supply.connect(job.state, "fuel feed", "hose", "lift pump", "filter"))
    assert whys(job) == {"H1 fuel feed: lift pump to filter": "not joined again"}
    job.do(acts_supply.set_connection(job.state, key, joined=True))
    assert count(job.state).is_right


def test_one_machine_only() -> None:
    job = engine()
    job.take("winch drum", "winch")
    assert (count(job.state, "winch").off, count(job.state, "engine").off) == (1, 20)


KINDS = (
    *("take", "split", "merge", "lay", "into", "scrap", "refit", "renew", "arrive", "try", "fit", "off"),
    *("away", "back", "strike", "before", "undo"),
)
ACTS = st.lists(
    st.tuples(st.sampled_from(KINDS), st.integers(0, 1000), st.integers(0, 1000)), min_size=10, max_size=60
)


class Tally:
    """What happened, kept apart from the program: pieces that ever came off, and were ever brought."""

    def __init__(self) -> None:
        self.job = Job()
        self.off = self.brought = 0
        self.past: list[tuple[int, int]] = []

    def step(self, what: str, a: int, b: int) -> None:
        job, state = self.job, self.job.state
        ids = state.group_ids()
        if what == "undo":
            if job.past:
                job.undo()
                self.off, self.brought = self.past.pop()
            return
        if what != "take" and not ids:
            return
        one, other = (ids[a % len(ids)], ids[b % len(ids)]) if ids else ("", "")
        new_off = new_brought = 0
        try:
            if what == "take":
                qty = 1 + b % 9
                draft = acts.take(state, f"part {a % 7}", origin=("m", f"a{a % 3}"), qty=qty)
                new_off = qty
            elif what == "arrive":
                keys = list(state.docs("shortage"))
                if not keys:
                    return
                key = keys[a % len(keys)]
                draft = shortage.arrive(state, key, "2026-12-01")
                made = [fields for key, fields in draft.after.items() if key.startswith("group:")]
                new_brought = sum(fields.get("qty", 1) for fields in made if fields)
            else:
                draft = self._draft(what, one, other, b)
        except Refused:
            return
        self.past.append((self.off, self.brought))
        self.off += new_off
        self.brought += new_brought
        job.do(draft)

    def _draft(self, what: str, one: str, other: str, b: int):
        state = self.job.state
        position = state.group(one).positions[0]
        return {
            "split": lambda: acts.split(state, one, qty=1 + b % 5),
            "merge": lambda: acts.merge(state, [one, other]),
            "lay": lambda: acts.lay(state, one, InZone("rack", str(b % 3))),
            "into": lambda: acts.put_into(state, one, other, "on" if b % 2 else "in"),
            "scrap": lambda: acts_refit.dispose(state, one, "scrap"),
            "refit": lambda: acts_refit.dispose(state, one, "refit"),
            "renew": lambda: shortage.renew(state, one),
            "try": lambda: acts_refit.try_on(state, one, contents=bool(b % 2)),
            "fit": lambda: acts_refit.fit(
                state, one, contents=bool(b % 2), anyway="so" if b % 3 == 0 else ""
            ),
            "off": lambda: acts_refit.come_off(state, one),
            "away": lambda: acts.send_away(state, one, "Moss"),
            "back": lambda: acts.bring_back(state, one, BENCH),
            "strike": lambda: acts_strip.strike(state, position, "not needed"),
            "before": lambda: acts_strip.before(state, position, state.group(other).positions[0]),
        }[what]()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ACTS)
def test_pieces_are_conserved_whatever_is_done(steps: list[tuple[str, int, int]]) -> None:
    tally = Tally()
    state = tally.job.state
    state.follower(Order).now()
    for what, a, b in steps:
        tally.step(what, a, b)
        found = count(state)
        assert (found.off, found.brought) == (tally.off, tally.brought)
        assert found.off + found.brought == found.on + found.disposed + found.lying
        assert found.lying == sum(odd.pieces or 0 for odd in found.left_over)
    # what was kept up act by act is what a fresh look finds
    fresh = state.copy()
    assert count(state) == count(fresh)
    assert refit(state) == refit(fresh) and next_back(state) == next_back(fresh)
    assert not state.circles() and not state.adrift()
    for entry in next_back(state):
        assert entry.group is not None and not entry.waits


def test_what_is_no_part_of_a_machine_is_not_counted() -> None:
    job = engine()
    job.take("tub", where=BENCH)
    assert count(job.state).off == 21
    job.do(acts.change(job.state, job.id("tub"), counted="never"))
    assert count(job.state).off == 20 and "tub" not in {entry.name for entry in refit(job.state)}
    with_it = job.state.follower(Order).graph
    assert job.id("tub") not in with_it.places


def test_a_part_whose_place_is_filled_is_not_put_on_unasked() -> None:
    job = engine()
    key = job.renew("crank")
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    new = next(g.id for g in job.state.groups() if g.brought)
    job.do(acts_refit.fit(job.state, new))
    job.do(acts_refit.dispose(job.state, job.id("crank"), "refit"))
    try:
        job.fit("crank")
    except Refused as refused:
        assert "its place is filled" in str(refused)
    else:
        raise AssertionError("two cranks are on")
