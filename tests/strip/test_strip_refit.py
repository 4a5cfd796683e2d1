"""Putting back: what is waited for, where things are fitted, trial fits, work, what becomes of a part."""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import BENCH, Job, engine

from shopbins.ledger.model import Fitted, InGroup, InZone
from shopbins.ledger.problems import BadValue, Refused
from shopbins.records import acts, fitting, merging, milestone, position, shortage, work
from shopbins.records.inspection import inspect
from shopbins.records.shortage import SHORTAGE
from shopbins.strip.book import Book
from shopbins.strip.count import count
from shopbins.strip.fitting import against_fit
from shopbins.strip.order import Order
from shopbins.strip.refit import chain, next_back, refit


def now(job: Job) -> list[str]:
    return [entry.name for entry in next_back(job.state)]


def waits(job: Job, name: str) -> list[str]:
    return [wait.text for entry in refit(job.state) if entry.name == name for wait in entry.waits]


def test_what_can_go_back_now() -> None:
    job = engine()
    assert now(job) == ["crank", "valves"]  # the gasket is of one use
    job.fit("crank")
    assert now(job) == ["piston", "valves", "belts"]
    job.fit("piston")
    assert now(job) == ["valves", "belts"]


def test_waiting_is_said_and_refused_but_not_for_the_usual_order() -> None:
    job = engine()
    with pytest.raises(Refused, match="head waits for"):
        job.fit("head")
    job.fit("springs")  # valves came out later, but that is only the usual order
    job.fit("head", anyway="the piston is the old one")
    (kept,) = job.state.docs("accepted").values()
    assert kept["why"] == "the piston is the old one" and any("piston" in w for w in kept["waited_for"])


def test_fitting_to_an_assembly_that_is_off() -> None:
    job = engine()
    job.fit("valves")
    head = job.id("head")
    assert job.state.group(job.id("valves")).where == InGroup(head, "fitted")
    assert job.state.follower(Book).account(job.id("valves")) == "joined"
    assert job.state.top_of(job.id("valves"))[1] == BENCH  # its mass still lies on the bench
    job.fit("springs")
    job.fit("crank")
    job.fit("piston")
    job.fit("head")
    assert job.state.follower(Book).account(job.id("valves")) == "on"
    assert isinstance(job.state.group(head).where, Fitted)
    assert job.id("head") not in job.state.unplaced() and job.id("head") not in job.state.in_zone("bench 2")
    with pytest.raises(Refused, match="on already"):
        job.fit("head")


def test_what_lies_in_a_thing_does_not_go_on_with_it_unseen() -> None:
    job = engine()
    job.take("key", "engine", "bottom", "crank", where=InGroup(job.id("crank"), "on"), ordered=False)
    with pytest.raises(Refused, match="key would go with crank"):
        job.fit("crank")
    job.take("spanner", where=InGroup(job.id("crank"), "on"), counted="never")
    with pytest.raises(Refused, match="spanner, in it, is no part"):
        job.fit("crank", contents=True)
    job.do(acts.lift_off(job.state, job.id("spanner")))
    job.take("winch pin", "winch", where=InGroup(job.id("crank"), "on"))
    with pytest.raises(Refused, match="winch pin, in it, belongs elsewhere \\(winch\\)"):
        job.fit("crank", contents=True, anyway="so")
    job.do(acts.lift_off(job.state, job.id("winch pin")))
    job.fit("crank", contents=True)
    assert job.state.group(job.id("key")).where == InGroup(job.id("crank"), "fitted")


def test_what_goes_on_inside_another_is_waited_for_by_its_name() -> None:
    job = engine()
    job.take("key", "engine", "bottom", "crank", where=InGroup(job.id("crank"), "on"), ordered=False)
    crank, day = job.state.group(job.id("crank")), date(2027, 3, 1)
    assert against_fit(job.state, crank, day, contents=True).waits == ()
    job.do(work.listed(job.state, job.id("key"), ["inspect"]))
    told = against_fit(job.state, crank, day, contents=True)
    assert [each for each in told.waits if each.endswith(" of key")] == ["inspection of key"]
    job.do(inspect(job.state, job.id("key"), "looks", "ok", by="ann", on="2026-11-25"))
    assert against_fit(job.state, crank, day, contents=True).waits == ()


def test_trial_fits_do_not_upset_the_count_and_say_what_they_are() -> None:
    job = engine()
    before = count(job.state)
    for _ in range(3):
        job.do(fitting.try_on(job.state, job.id("head"), machine=True))
        assert job.state.group(job.id("head")).where == Fitted(None, True)
        tried = count(job.state)
        assert (tried.balance["came"], tried.balance["on"]) == (before.balance["came"], before.balance["on"])
        assert tried.balance["trial"] == 1
        assert "on trial" in {line.why for line in tried.of("left_over")}
        with pytest.raises(Refused, match="on already"):
            fitting.try_on(job.state, job.id("head"))
        job.do(fitting.come_off(job.state, job.id("head")))
    assert count(job.state).balance == before.balance
    with pytest.raises(Refused, match="is not on"):
        fitting.come_off(job.state, job.id("head"))


@pytest.mark.parametrize("first", ["fit", "trial"])
def test_what_is_fitted_in_an_assembly_on_trial_is_in_it(first: str) -> None:
    job = Job()
    job.take("box", "engine")
    job.take("pin", "engine", "box")
    if first == "fit":
        job.fit("pin")
    job.do(fitting.try_on(job.state, job.id("box")))
    if first == "trial":
        job.fit("pin")
    told = count(job.state)
    assert (told.balance["trial"], told.balance["joined"], told.is_right) == (1, 1, False)
    job.fit("box")
    assert count(job.state).is_right


def test_what_is_on_before_a_part_comes_off_first_or_it_is_said_why() -> None:
    job = engine()
    job.fit("crank")
    job.fit("piston")
    job.fit("belts")
    with pytest.raises(Refused, match="crank comes off after piston, belts: take that off first"):
        fitting.come_off(job.state, job.id("crank"))
    job.do(fitting.come_off(job.state, job.id("belts")))
    job.do(fitting.come_off(job.state, job.id("crank"), anyway="it knocks", by="ann"))
    (kept,) = job.state.docs("accepted").values()
    assert (kept["why"], kept["waited_for"]) == ("it knocks", ["piston"])
    job.do(fitting.come_off(job.state, job.id("piston")))
    job.before("belt guard", "belts")
    job.do(merging.merge(job.state, [job.id("belts"), job.id("belt guard")]))
    job.fit("belts", anyway="the belts first, out of the same crate")
    job.do(fitting.come_off(job.state, job.id("belts")))  # one lot: it is not in its own way
    assert len(job.state.docs("accepted")) == 2


@pytest.mark.parametrize(("fate", "free"), [("renew", True), ("scrap", False), ("sell", False)])
def test_what_is_to_be_renewed_is_tried_freely_what_is_to_go_only_with_a_reason(
    fate: str, free: bool
) -> None:
    job = engine()
    crank = job.id("crank")
    job.do(fitting.dispose(job.state, crank, fate))
    if not free:
        with pytest.raises(Refused, match="is to be"):
            fitting.try_on(job.state, crank)
    job.do(fitting.try_on(job.state, crank, anyway=None if free else "to measure the float", by="ann"))
    kept = [doc["why"] for doc in job.state.docs("accepted").values()]
    assert kept == ([] if free else ["to measure the float"])


def test_work_is_waited_for_until_it_is_ticked_off() -> None:
    job = engine()
    crank = job.id("crank")
    job.do(acts.change(job.state, crank, disposition="clean"))
    assert waits(job, "crank") == ["cleaning"]
    job.do(work.listed(job.state, crank, ["clean", "Inspect", "balance"]))
    assert waits(job, "crank") == ["inspection", "cleaning", "balance"]
    job.do(work.done(job.state, crank, "clean", "2026-11-25"))
    with pytest.raises(Refused, match="not by a tick"):
        work.done(job.state, crank, "inspect", "2026-11-25")
    job.do(inspect(job.state, crank, "looks", "ok", by="ann", on="2026-11-25"))
    assert waits(job, "crank") == ["balance"]
    job.do(work.done(job.state, crank, "balance", "2026-11-25"))
    assert "crank" in now(job)
    job.do(work.again(job.state, crank, "balance"))
    assert "crank" not in now(job)


def test_away_is_waited_for_also_inside_another() -> None:
    job = engine()
    job.take("crate", where=BENCH)
    job.do(acts.put_into(job.state, job.id("crank"), job.id("crate")))
    assert "crank" in now(job)
    job.do(acts.send_away(job.state, job.id("crate"), "Moss Grinding", "2026-12-24"))
    assert waits(job, "crank") == ["away at Moss Grinding until 2026-12-24"]
    job.do(acts.bring_back(job.state, job.id("crate")))
    assert "crank" in now(job)


def test_scrap_leaves_the_order_and_its_place_is_filled_or_struck_out() -> None:
    job = engine()
    job.do(fitting.dispose(job.state, job.id("crank"), "scrap"))
    (entry,) = (each for each in refit(job.state) if each.name == "crank")
    assert entry.group is None and [w.kind for w in entry.waits] == ["unfilled"]
    assert "piston" not in now(job)
    job.do(position.strike(job.state, job.position("crank"), "runs without"))
    assert "piston" in now(job)
    assert "crank" not in {each.name for each in refit(job.state)}
    job.do(position.unstrike(job.state, job.position("crank")))
    assert "piston" not in now(job)
    with pytest.raises(BadValue, match="say why"):
        position.strike(job.state, job.position("crank"), " ")


def test_a_renewal_waits_for_its_shortage_then_takes_the_place() -> None:
    job = engine()
    key = job.renew("crank", name="new crank")
    assert waits(job, "crank") == ["shortage: new crank (to ask)"]
    job.do(SHORTAGE.change(job.state, key, promised="2026-12-01"))
    assert waits(job, "crank") == ["shortage: new crank (promised for 2026-12-01)"]
    job.do(shortage.arrive(job.state, key, "2026-12-02", InZone("rack", "1")))
    assert now(job)[0] == "new crank"
    job.fit("new crank")
    assert "piston" in now(job)
    assert job.state.group(job.id("new crank")).positions == (job.position("crank"),)


def test_part_of_a_bag_scrapped() -> None:
    job = engine()
    job.do(acts.split(job.state, job.id("springs"), qty=2))
    two = next(g.id for g in job.state.groups() if g.name == "springs" and g.qty == 2)
    job.do(fitting.dispose(job.state, two, "scrap"))
    look = job.state.follower(Order).look(job.position("springs"))
    assert (look.need, look.lacking, look.lying_pieces, look.status) == (8, 2, 6, "off")
    assert count(job.state).balance["scrapped"] == 2
    assert [line.pieces for line in count(job.state).of("missing")] == [2]


def test_material_that_takes_no_place_is_only_here() -> None:
    job = engine()
    key = job.short("sealant", ["crank"])
    assert waits(job, "crank") == ["shortage: sealant (to ask)"]
    groups = len(job.state.group_ids())
    job.do(shortage.arrive(job.state, key, "2026-12-02"))
    assert len(job.state.group_ids()) == groups and "crank" in now(job)
    with pytest.raises(Refused, match="here already"):
        shortage.arrive(job.state, key, "2026-12-02")


def test_feet_go_on_after_the_move() -> None:
    job = engine()
    job.take("feet", "engine", "base", qty=4)
    job.do(milestone.set_milestone(job.state, "To the test bed", move=True))
    job.do(milestone.goes_on_after(job.state, job.position("feet"), "to the test bed"))
    assert waits(job, "feet") == ["the move 'To the test bed'"]
    with pytest.raises(Refused, match="waits for the move"):
        job.fit("feet")
    job.do(milestone.reached(job.state, "to the test bed", "2026-12-01"))
    job.fit("feet")


def test_the_chain_in_front_of_a_milestone() -> None:
    job = engine()
    job.do(milestone.set_milestone(job.state, "closed", needs=[job.position("rocker cover")]))
    names = [job.state.group(each).name for each in chain(job.state, "closed")]
    assert names == ["crank", "piston", "valves", "springs", "head", "gasket", "rocker cover"]
    with pytest.raises(Refused, match="circle"):
        milestone.goes_on_after(job.state, job.position("piston"), "closed")
    for name in ("crank", "piston", "valves", "springs", "head"):
        job.fit(name)
    with pytest.raises(Refused, match="one use"):
        job.fit("gasket")
    job.fit("gasket", anyway="none to be had")
    job.fit("rocker cover")
    book = job.state.follower(Book)
    assert {book.account(each) for each in chain(job.state, "closed")} == {"on"}


def test_a_failed_inspection_is_left_only_by_a_value_within() -> None:
    job = engine()
    crank = job.id("crank")
    job.do(inspect(job.state, crank, "journal", "59.94mm", "59.96mm", by="ann", on="2026-11-25"))
    assert waits(job, "crank") == ["rejected: journal 59.94mm (at least 59.96mm)"]
    job.do(fitting.dispose(job.state, crank, "refit"))
    assert waits(job, "crank") == ["rejected: journal 59.94mm (at least 59.96mm)"]
    with pytest.raises(Refused, match="is rejected"):
        job.fit("crank", anyway="so")
    with pytest.raises(Refused, match="concession"):
        inspect(job.state, crank, "journal", "59.94mm", "59.90mm", on="2026-11-26")
    job.do(inspect(job.state, crank, "journal", "59.97mm", by="ann", on="2026-11-26"))
    assert waits(job, "crank") == []


def test_a_limit_given_later_stands_beside_the_other_and_blanks_make_no_second_characteristic() -> None:
    job = engine()
    crank = job.id("crank")
    job.do(inspect(job.state, crank, "journal 2", "59.97mm", "59.96mm", by="ann", on="2026-11-25"))
    job.do(inspect(job.state, crank, "Journal  2 ", "59.99mm", high="59.98mm", by="ann", on="2026-11-26"))
    assert waits(job, "crank") == ["rejected: Journal 2 59.99mm (59.96mm to 59.98mm)"]
    job.do(inspect(job.state, crank, "journal 2", "59.95mm", by="ann", on="2026-11-27"))
    assert waits(job, "crank") == ["rejected: journal 2 59.95mm (59.96mm to 59.98mm)"]


def test_what_is_on_is_not_scrapped_from_there() -> None:
    job = engine()
    job.fit("crank")
    with pytest.raises(Refused, match="take it off first"):
        fitting.dispose(job.state, job.id("crank"), "scrap")


def test_merging_must_not_blur_the_count() -> None:
    job = engine()
    job.fit("crank")
    with pytest.raises(Refused, match="crank is back on engine, piston is off: they stay apart"):
        merging.merge(job.state, [job.id("crank"), job.id("piston")])
    key = job.renew("belts")
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    brought = next(g.id for g in job.state.groups() if g.brought)
    with pytest.raises(Refused, match="belts was brought in, belts came off a machine: they stay apart"):
        merging.merge(job.state, [brought, job.id("belts")])


def test_a_lot_does_not_wait_for_what_goes_on_with_it_but_for_all_else() -> None:
    job = engine()
    job.do(merging.merge(job.state, [job.id("piston"), job.id("crank")]))
    job.fit("piston")
    assert isinstance(job.state.group(job.id("piston")).where, Fitted)
    job = engine()
    job.do(merging.merge(job.state, [job.id("head"), job.id("piston")]))
    with pytest.raises(Refused, match="crank"):
        job.fit("head")


def test_what_nobody_knows_waits_and_comes_last() -> None:
    job = engine()
    job.take("brass valve", where=BENCH, ordered=False)
    assert waits(job, "brass valve") == ["somebody who knows where it belongs"]
    assert [entry.name for entry in refit(job.state)][-1] == "brass valve"
    job.do(acts.change(job.state, job.id("brass valve"), origin=("engine", "bottom")))
    assert "brass valve" in now(job)
