"""The count: what is missing, left over, foreign or rejected, each by name. (The law: test_strip_book.py.)"""

from __future__ import annotations

import pytest
from strip_job import BENCH, Job, engine

from shopbins.ledger.problems import Refused
from shopbins.records import acts, connection, fitting, shortage
from shopbins.records import position as acts_of
from shopbins.strip.count import count
from shopbins.strip.order import Order
from shopbins.strip.refit import next_back, refit


def whys(job: Job) -> dict[str, str]:
    return {line.name: line.why for line in count(job.state).lines}


def test_everything_back_is_clean() -> None:
    job = engine()
    assert count(job.state).balance["came"] == 20 and not count(job.state).is_right
    while entries := next_back(job.state):
        job.do(fitting.fit(job.state, entries[0].group.id))
    job.fit("gasket", anyway="none to be had", by="ann")
    job.fit("rocker cover")
    found = count(job.state)
    assert (found.balance["came"], found.balance["on"]) == (20, 20) and found.is_right
    assert found.answer.status == 0 and found.headline.endswith("; 1 accepted")
    (stands,) = found.stands
    assert stands.accepted is not None and (stands.accepted.by, stands.accepted.why) == (
        "ann",
        "none to be had",
    )


def test_exceptions_by_name() -> None:
    job = engine()
    job.do(fitting.dispose(job.state, job.id("crank"), "scrap"))
    job.do(acts.change(job.state, job.id("belts"), counted="later"))
    key = job.do(acts_of.add(job.state, "studs", ("engine", "top"), qty=24))
    job.take("studs", "engine", "top", qty=23, parts=(key,))
    found = count(job.state)
    missing = {line.name: line.why for line in found.of("missing")}
    assert missing == {
        "crank": "1 scrapped, nothing takes its place",
        "studs": "24 listed, 23 came off: 1 missing",
    }
    assert [(line.name, line.pieces) for line in found.of("assumed")] == [("belts", None)]
    job.short("crank, second-hand", ["crank"])
    missing = {line.name: line.why for line in count(job.state).of("missing")}
    assert missing["crank"].startswith("waits for crank, second-hand: to ask")


def test_a_part_too_many_is_left_over() -> None:
    job = engine()
    key = job.renew("crank")
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    new = next(g.id for g in job.state.groups() if g.brought)
    job.do(fitting.dispose(job.state, job.id("crank"), "refit"))  # the old one goes back after all
    job.do(fitting.fit(job.state, job.id("crank"), anyway="the new one is wrong"))
    left = {line.subject: line.why for line in count(job.state).of("left_over")}
    assert left[f"group:{new}"] == "its place is filled"


def test_a_bag_left_in_what_is_on_is_in_the_wrong_place() -> None:
    job = engine()
    job.fit("crank")
    job.do(acts.put_into(job.state, job.id("belts"), job.id("crank")))
    (line,) = count(job.state).of("wrong_place")
    assert (line.name, line.why) == ("belts", "lies in crank, which is on")


def test_connections_count_end_by_end() -> None:
    job = Job()
    key = job.do(connection.connect(job.state, "hose", "lift pump", "filter", "fuel feed"))
    assert whys(job) == {"H1 fuel feed: lift pump to filter": "end A (lift pump) and end B (filter) apart"}
    job.do(connection.change(job.state, key, ends={"a": "2026-11-25"}))
    assert whys(job) == {"H1 fuel feed: lift pump to filter": "end B (filter) apart"}
    job.do(connection.change(job.state, key, joined=True))
    assert count(job.state).is_right


def test_one_machine_only() -> None:
    job = engine()
    job.take("winch drum", "winch")
    assert [count(job.state, m).balance["came"] for m in ("winch", "engine", None)] == [1, 20, 21]


def test_what_is_no_part_of_a_machine_is_not_counted() -> None:
    job = engine()
    job.take("tub", where=BENCH, counted="never")
    assert count(job.state).balance["came"] == 20 and "tub" not in {entry.name for entry in refit(job.state)}
    with_it = job.state.follower(Order).graph
    assert job.id("tub") not in with_it.places


def test_a_part_whose_place_is_filled_is_not_put_on_unasked() -> None:
    job = engine()
    key = job.renew("crank")
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    new = next(g.id for g in job.state.groups() if g.brought)
    job.do(fitting.fit(job.state, new))
    job.do(fitting.dispose(job.state, job.id("crank"), "refit"))
    with pytest.raises(Refused, match="its place is filled"):
        job.fit("crank")
