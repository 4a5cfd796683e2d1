"""The count: what is missing, left over, foreign or rejected, each by name. (The law: test_strip_book.py.)"""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import BENCH, Job, engine

from shopbins.answer import Verdict
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.lists.refit import none_left
from shopbins.records import (
    acts,
    care,
    connection,
    corrections,
    fitting,
    group,
    matched,
    merging,
    pieces,
    relation,
    shortage,
    work,
)
from shopbins.records import position as acts_of
from shopbins.records.care import CARE, set_hours
from shopbins.records.inspection import concede, inspect
from shopbins.strip.count import count
from shopbins.strip.order import Order
from shopbins.strip.refit import next_back, refit
from shopbins.strip.release import release
from shopbins.strip.tree import listed


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


def test_the_count_of_one_machine_names_it_and_of_nothing_is_not_clean() -> None:
    job = engine()
    assert count(job.state, "engine").headline.startswith("engine: not clean")
    found = count(job.state, "motor")
    assert not found.lines and not found.is_right and found.answer.status == 1
    assert found.headline == "not clean: nothing is recorded of motor"


def test_what_came_off_a_machine_is_not_said_to_be_no_part_of_it() -> None:
    with pytest.raises(BadValue, match="what came off a machine is a part of it"):
        acts.take(Job().state, "pin", origin=("press", "head"), counted="never")


def test_the_count_of_an_empty_ledger_is_not_clean() -> None:
    """As where the ledger's name was mistyped; a tub, which is no part, is nothing of a machine either."""
    job = Job()
    job.do(acts.take(job.state, "tub 1", counted="never"))
    for found in (count(Job().state), count(job.state)):
        assert not found.is_right and found.answer.status == 1
        assert found.headline == "not clean: nothing is recorded"


def test_an_assembly_waits_for_what_its_parts_wait_for_and_goes_for_no_less() -> None:
    job = engine()
    for name in ("valves", "springs"):
        job.fit(name, anyway="so it was", by="ann")
    assert job.state.group(job.id("springs")).where.group == job.id("head")
    key = job.short("keeper", parts=["springs"])
    job.do(work.listed(job.state, job.id("valves"), ["crack test"]))
    waits = {each.name: [wait.text for wait in each.waits] for each in refit(job.state)}["head"]
    assert {"crack test of valves", "shortage: keeper (to ask) of springs"} <= set(waits)
    assert refit(job.state) == refit(job.state.copy())
    with pytest.raises(Refused, match=r"crack test of valves.*keeper .to ask. of springs"):
        job.fit("head")
    job.fit("head", anyway="tried in the shop", by="ann")
    assert not count(job.state).of("not_released"), "accepted"
    late = job.short("shim", parts=["springs"])
    (line,) = count(job.state).of("not_released")
    assert (line.name, line.why) == ("springs", "waits for shortage: shim (to ask)")
    for each in (key, late):
        job.do(shortage.strike(job.state, each, "found a way", by="ann"))
    assert not count(job.state).of("not_released")


def test_a_part_whose_care_is_overdue_waits_to_be_let_through_by_name() -> None:
    job = Job()
    pin = job.take("pin", "press", "head")
    job.do(relation.before(job.state, pin, []))
    about = {"machine": "press", "position": pin}
    key = job.do(CARE.add(job.state, "overhaul life", every_hours=100, done_hours=100, **about))

    def ready(hours: float) -> bool:
        job.do(set_hours(job.state, "press", hours, "2026-11-25"))
        assert refit(job.state) == refit(job.state.copy())
        return [each.name for each in next_back(job.state)] == ["pin"]

    assert ready(199) and not ready(210)
    with pytest.raises(Refused, match="pin waits for overhaul life: overdue by 10 h"):
        job.fit("pin")
    job.do(fitting.fit(job.state, pin, anyway="next week", by="ann", on="2026-11-25"))
    assert count(job.state).is_right, "accepted as it went on"
    job.do(care.tell(job.state, key, done_hours=210))
    assert count(job.state).is_right
    ready(320)
    (line,) = count(job.state).of("not_released")
    assert line.why == "waits for overhaul life: overdue by 10 h", "due again, and of that nobody said a word"
    job.do(care.tell(job.state, key, done_hours=320))
    assert count(job.state).is_right


def test_care_that_falls_due_by_its_day_is_seen_on_that_day() -> None:
    job = Job()
    pin = job.take("pin", "press", "head")
    job.do(CARE.add(job.state, "renew", every_days=30, done="2026-11-25", position=pin))
    job.do(fitting.fit(job.state, pin, on="2026-11-25"))
    days = (date(2026, 12, 25), date(2026, 12, 26), date(2026, 12, 25))
    assert [len(count(job.state, None, day).lines) for day in days] == [0, 1, 0]


def test_the_hours_of_a_part_are_those_of_its_machine_and_its_care_goes_with_it() -> None:
    job = Job()
    pins = [job.take("pin", "press", where) for where in ("left", "right")]
    job.do(set_hours(job.state, "press", 400, "2026-11-25"))
    with pytest.raises(BadValue, match="pin is of press, not of saw"):
        CARE.add(job.state, "grease", every_hours=250, done_hours=100, position=pins[0], machine="saw")
    job.do(CARE.add(job.state, "grease", every_hours=250, done_hours=100, position=pins[0]))
    with pytest.raises(Refused, match="grease: overdue by 50 h"):
        job.do(fitting.fit(job.state, pins[0], on="2026-11-25"))
    job.do(pieces.swap(job.state, *pins, "wear", by="ann"))
    job.do(fitting.fit(job.state, pins[1], on="2026-11-25"))
    with pytest.raises(Refused, match="grease: overdue by 50 h"):
        job.do(fitting.fit(job.state, pins[0], on="2026-11-25"))


def test_what_is_rejected_and_tried_on_an_assembly_keeps_it_off() -> None:
    job = engine()
    job.fit("springs", anyway="so it was", by="ann")
    valves = job.id("valves")
    job.do(inspect(job.state, valves, "stem", "cracked", by="ann", on="2026-11-25"))
    job.do(fitting.try_on(job.state, valves, to=job.id("head"), anyway="a look", by="ann", on="2026-11-25"))
    with pytest.raises(Refused, match="valves, in it, is rejected: stem cracked"):
        job.fit("head", anyway="so be it", by="ann")
    (line,) = [each for each in count(job.state).of("left_over") if each.name == "valves"]
    assert line.why.startswith("rejected: stem cracked")
    job.do(fitting.come_off(job.state, valves, on="2026-11-25"))
    job.fit("head", anyway="so be it", by="ann")
    job.do(fitting.try_on(job.state, valves, to=job.id("head"), anyway="a look", by="ann", on="2026-11-25"))
    (line,) = count(job.state).of("wrong_place")
    assert line.why.startswith("rejected: stem cracked") and line.act == "take it out"


@pytest.mark.parametrize(
    "how", [{"anyway": "closed up", "for_now": True}, {"anyway": "for now"}, {"for_now": True}]
)
def test_what_is_on_for_now_is_not_back(how: dict[str, object]) -> None:
    job = Job()
    pin = job.take("pin", "press", "head")
    job.do(work.listed(job.state, pin, ["crack test"]))
    job.fit("pin", by="ann", **how)
    (line,) = count(job.state).lines
    assert (line.kind, line.why) == ("not_released", "waits for coming off again (it is on for now)")
    (stands,) = count(job.state).stands
    assert stands.accepted is not None and stands.accepted.for_now
    job.do(fitting.come_off(job.state, pin, on="2026-11-25"))
    job.fit("pin", anyway="tested", by="ann")
    assert count(job.state).is_right


def test_what_was_reworked_is_inspected_though_nothing_of_it_was_measured() -> None:
    job = engine()
    crank = job.id("crank")
    job.do(fitting.dispose(job.state, crank, "remachine"))
    job.do(work.done(job.state, crank, "remachine", "2026-11-25"))
    assert release(job.state, crank, date(2026, 11, 25)).state == "to inspect"
    job.do(inspect(job.state, crank, "looks", "ok", by="ann", on="2026-11-25"))
    assert release(job.state, crank, date(2026, 11, 25)).goes


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
    job.do(fitting.dispose(job.state, job.id("crank"), "refit", reason="the new one is wrong"))
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
    job.do(fitting.dispose(job.state, job.id("crank"), "refit", reason="it was good"))
    with pytest.raises(Refused, match="its place is filled"):
        job.fit("crank")


def bolts() -> Job:
    job = Job()
    job.take("bolts", "grinder", "head", qty=4)
    return job


def test_a_place_left_empty_is_of_the_pieces_lacking_that_day() -> None:
    job = bolts()
    job.do(fitting.fit(job.state, job.id("bolts"), qty=3))
    job.do(pieces.lose(job.state, job.id("bolts"), "rolled away", by="ann", on="2026-11-25"))
    seat = next(iter(job.state.docs("posting").values()))["seat"]
    job.do(acts_of.strike(job.state, seat, "runs with 3", by="ann", on="2026-11-25"))
    found = count(job.state)
    assert found.is_right
    (left,) = (s for s in found.stands if s.kind == "struck")
    assert left.text == "bolts: 1 of 4 left empty" and left.accepted is not None
    assert (left.accepted.why, left.accepted.by, str(left.accepted.since)) == (
        "runs with 3", "ann", "2026-11-25",
    )  # fmt: skip
    with pytest.raises(Refused, match="no piece of bolts is missing"):
        acts_of.strike(job.state, seat, "again")
    job.do(fitting.come_off(job.state, job.id("bolts")))
    assert [(line.kind, line.pieces) for line in count(job.state).lines] == [("left_over", 3)]
    job.do(pieces.lose(job.state, job.id("bolts"), "so", by="ann", on="2026-11-25"))
    (line,) = count(job.state).lines
    assert (line.kind, line.pieces) == ("missing", 3) and "1 of 4 left empty (runs with 3)" in line.why


def test_a_place_left_empty_and_filled_is_empty_no_more() -> None:
    job = bolts()
    job.do(pieces.lose(job.state, job.id("bolts"), "so", 1, by="ann", on="2026-11-25"))
    seat = job.position("bolts")
    job.do(acts_of.strike(job.state, seat, "runs with 3"))
    job.do(pieces.find(job.state, "bolts", by="ann", on="2026-11-25"))
    for each in job.state.group_ids():
        job.do(fitting.fit(job.state, each, anyway="it turned up", by="ann"))
    assert not [s for s in count(job.state).stands if s.kind == "struck"]
    job.do(fitting.come_off(job.state, job.id("bolts")))
    job.do(pieces.lose(job.state, job.id("bolts"), "so", 1, by="ann", on="2026-11-25"))
    assert [line.pieces for line in count(job.state).of("missing")] == [1]


def test_what_turns_up_ends_the_strike_for_what_is_lost_later() -> None:
    job = bolts()
    job.do(pieces.lose(job.state, job.id("bolts"), "so", 1, by="ann", on="2026-11-25"))
    job.do(acts_of.strike(job.state, job.position("bolts"), "runs with 3"))
    job.do(pieces.find(job.state, "bolts", by="ann", on="2026-11-25"))
    assert not [s for s in count(job.state).stands if s.kind == "struck"]
    job.do(pieces.lose(job.state, job.id("bolts"), "down the drain", 1, by="ann", on="2026-11-25"))
    assert [line.pieces for line in count(job.state).of("missing")] == [1]


def test_what_was_last_seen_in_what_is_on_is_lost_only_with_a_reason_which_is_told() -> None:
    job = bolts()
    pump = job.take("pump", "grinder", "head")
    bolt = job.id("bolts")
    job.do(fitting.fit(job.state, pump, anyway="so", by="ann"))
    job.do(acts.put_into(job.state, bolt, pump))
    assert count(job.state).of("wrong_place")
    with pytest.raises(ReasonWanted, match="last seen in pump, which is on"):
        pieces.lose(job.state, bolt)
    job.do(pieces.lose(job.state, bolt, "looked with the endoscope", by="ann", on="2026-11-25"))
    (told,) = (s.text for s in count(job.state).stands if "lost" in s.text)
    assert told == "bolts: 4 lost, last seen in pump, which was on"


@pytest.mark.parametrize(("how", "lines"), [({"for_now": True}, 2), ({"anyway": "clean enough"}, 0)])
def test_what_was_accepted_as_it_went_on_is_so_of_each_piece_split_off(how: dict, lines: int) -> None:
    job = bolts()
    if not lines:
        job.do(work.listed(job.state, job.id("bolts"), ["clean"]))
    job.do(fitting.fit(job.state, job.id("bolts"), by="ann", on="2026-11-25", **how))
    job.do(acts.split(job.state, job.id("bolts"), 1))
    assert len(count(job.state).lines) == lines
    job.do(fitting.come_off(job.state, job.id("bolts")))
    job.do(fitting.fit(job.state, job.id("bolts"), by="ann", on="2026-11-25", anyway="so"))
    assert len(count(job.state).lines) == lines // 2, "of the others nobody said anything since"


def test_what_turns_up_beside_what_was_brought_lowers_nothing_that_came_off() -> None:
    job = Job()
    job.take("pin", "saw", "arm", qty=2)
    job.do(fitting.dispose(job.state, job.id("pin"), "scrap"))
    key = job.short("new pin", ["pin"])
    job.do(shortage.arrive(job.state, key, "2026-11-25"))
    job.do(fitting.fit(job.state, job.id("new pin"), on="2026-11-25"))
    job.do(pieces.correct(job.state, job.id("new pin"), 2, "found", "in the drawer", by="ann"))
    balance = count(job.state).balance
    assert (balance["came"], balance["supplied"], balance["found"]) == (2, 1, 1)
    assert [(line.kind, line.pieces) for line in count(job.state).lines] == [("left_over", 1)]
    loose = next(g.id for g in job.state.groups() if g.where is None and g.disposition != "scrap")
    job.do(fitting.dispose(job.state, loose, "scrap"))
    assert [(line.kind, line.pieces) for line in count(job.state).lines] == [("missing", 1)]


def test_what_cannot_go_back_yet_is_not_said_to_be_put_back() -> None:
    job = bolts()
    (line,) = count(job.state).lines
    assert line.act == "put it back on, or decide what happens to it"
    job.do(work.listed(job.state, job.id("bolts"), ["crack test"]))
    (line,) = count(job.state).lines
    assert "waits for crack test" in line.why and "put it back" not in line.act
    assert none_left(job.state, None, date.today()).startswith("nothing is left to put back; not clean")
    job.fit("bolts", anyway="so", by="ann")
    assert none_left(job.state, None, date.today()) == "everything is back on"


def test_what_comes_by_the_litre_fills_no_place() -> None:
    job = bolts()
    job.do(pieces.lose(job.state, job.id("bolts"), "so", 1, by="ann", on="2026-11-25"))
    key = job.short("thread lock", ["bolts"], unit="ml", qty=50)
    job.do(shortage.arrive(job.state, key, "2026-11-25"))
    job.fit("bolts")
    assert [(line.kind, line.pieces) for line in count(job.state).lines] == [("missing", 1)]


def test_a_place_left_empty_in_an_older_ledger_is_the_whole_of_it() -> None:
    job = bolts()
    job.state.apply({f"part:{job.position('bolts')}": {"struck": "not needed"}}, job.state.seq + 1)
    job.do(pieces.lose(job.state, job.id("bolts"), "so", by="ann", on="2026-11-25"))
    assert count(job.state).is_right


def test_what_is_on_can_still_be_struck_by_nobody() -> None:
    job = bolts()
    job.fit("bolts")
    with pytest.raises(Refused, match="no piece of bolts is missing"):
        acts_of.strike(job.state, job.position("bolts"), "so")


@pytest.mark.parametrize("was", ["scrap", "sell", "renew", "repair", "inspect", "remachine", "clean"])
def test_a_decision_is_left_only_for_a_reason_that_stands_beside_the_count(was: str) -> None:
    job = bolts()
    job.do(group.change(job.state, job.id("bolts"), disposition=was))
    with pytest.raises(ReasonWanted):
        group.change(job.state, job.id("bolts"), disposition="refit")
    job.do(group.change(job.state, job.id("bolts"), disposition="refit", reason="good", by="ann"))
    (told,) = (s for s in count(job.state).stands if s.kind == "corrected")
    assert told.text == f"bolts: disposition {was} corrected to refit" and told.accepted is not None
    assert (told.accepted.by, told.accepted.why, told.machines) == ("ann", "good", ("grinder",))
    inspected_first = was not in ("inspect", "clean")
    assert (release(job.state, job.id("bolts"), date.today()).state == "to inspect") == inspected_first


def test_an_order_that_was_done_is_left_freely() -> None:
    job = bolts()
    job.do(group.change(job.state, job.id("bolts"), disposition="clean"))
    job.do(work.done(job.state, job.id("bolts"), "clean", "2026-11-25"))
    job.do(group.change(job.state, job.id("bolts"), disposition="refit"))
    assert not job.state.docs("correction")


def test_a_point_of_work_is_dropped_only_for_a_reason_that_stays_told() -> None:
    job = bolts()
    job.do(work.listed(job.state, job.id("bolts"), ["clean", "inspect"]))
    with pytest.raises(ReasonWanted, match="clean of bolts is not done"):
        work.listed(job.state, job.id("bolts"), ["inspect", "paint"])
    job.do(work.listed(job.state, job.id("bolts"), ["inspect"], "they are new", by="ann"))
    assert "bolts: work dropped: clean" in [s.text for s in count(job.state).stands]


def test_what_is_on_and_not_released_is_told_until_it_is() -> None:
    job = bolts()
    job.fit("bolts")
    key = job.id("bolts")
    for make, why, undo in (
        (lambda s: inspect(s, key, "bore", "5mm", by="ann", on="2026-11-25"), "inspection of bore", None),
        (lambda s: group.change(s, key, one_use=True), "of one use", None),
        (
            lambda s: work.listed(s, key, ["clean"]),
            "cleaning",
            lambda s: work.done(s, key, "clean", "2026-11-25"),
        ),
        (lambda s: group.change(s, key, disposition="repair"), "repair", None),
    ):
        job.do(make(job.state))
        (line,) = count(job.state).lines
        assert (line.kind, line.pieces) == ("not_released", 4) and why in line.why and line.act
        if undo is None:
            job.undo()
        else:
            job.do(undo(job.state))
        assert count(job.state).is_right


def test_what_was_accepted_as_it_went_on_is_not_told_twice_and_covers_nothing_later() -> None:
    job = bolts()
    key = job.id("bolts")
    job.do(work.listed(job.state, key, ["clean"]))
    job.fit("bolts", anyway="clean enough", by="ann")
    assert count(job.state).is_right
    job.do(work.listed(job.state, key, ["clean", "paint"]))
    assert [line.why for line in count(job.state).of("not_released")] == ["waits for paint"]


def test_what_is_away_with_another_stays_with_it() -> None:
    job = Job()
    job.take("rotor", "grinder")
    job.take("hub", "grinder", "rotor")
    job.take("bolts", "grinder", "rotor")
    hub, rotor, bolts_id = job.id("hub"), job.id("rotor"), job.id("bolts")
    job.do(fitting.fit(job.state, hub, to=rotor, anyway="so", by="ann"))
    job.do(acts.put_into(job.state, bolts_id, rotor))
    job.do(acts.send_away(job.state, rotor, "Plating"))
    for refused in (
        lambda: fitting.come_off(job.state, hub),
        lambda: acts.lay(job.state, bolts_id, BENCH),
        lambda: acts.lift_off(job.state, bolts_id),
        lambda: acts.send_away(job.state, bolts_id, "Moss"),
        lambda: pieces.lend(job.state, bolts_id, "Bob"),
    ):
        with pytest.raises(Refused, match="away with rotor at Plating"):
            refused()
    with pytest.raises(Refused, match="rotor is away at Plating"):
        pieces.lend(job.state, rotor, "Bob")
    job.take("nuts", "grinder")
    with pytest.raises(Refused, match="rotor is away at Plating"):
        acts.put_into(job.state, job.id("nuts"), rotor)
    job.do(acts.bring_back(job.state, rotor))
    job.do(fitting.come_off(job.state, hub))


def test_what_was_given_away_comes_home_and_fills_what_lacks() -> None:
    job = Job()
    for machine in ("heron", "corvid"):
        job.take(f"{machine} nuts", machine, "head")
        job.take("bolts", machine, "body", qty=2)
    first, second = (each.id for each in job.state.groups() if each.name == "bolts")
    job.do(pieces.lose(job.state, second, "so", by="ann", on="2026-11-25"))
    job.do(pieces.give(job.state, first, ("corvid", "body"), "it runs first", by="ann", on="2026-11-25"))
    assert [line.machines for line in count(job.state).of("missing")] == [("heron",)]
    job.do(pieces.give(job.state, first, ("heron", "body"), "it came back", by="ann", on="2026-11-25"))
    assert [line.machines for line in count(job.state).of("missing")] == [("corvid",)]
    assert job.state.group(first).origin == ("heron", "body")
    found = count(job.state)
    assert found.balance["given"] == 0
    assert "bolts: came back from corvid to heron > body" in [s.text for s in found.stands]


def test_what_was_given_and_came_home_may_be_given_again_to_the_place_made_for_it() -> None:
    job = Job()
    pin = job.take("pin", "heron", "head")
    for to in ("corvid", "heron", "corvid"):
        job.do(pieces.give(job.state, pin, (to, "head"), "by turns", by="ann", on="2026-11-25"))
    (seat,) = job.state.group(pin).positions
    assert [key for key, doc in listed(job.state).items() if doc["origin"] == ["corvid", "head"]] == [seat]
    assert [line.machines for line in count(job.state).of("missing")] == [("heron",)]
    other = job.take("pin", "owl", "head")
    with pytest.raises(Refused, match="corvid > head > pin does not lack 1"):
        pieces.give(job.state, other, ("corvid", "head"), "a second", by="ann", on="2026-11-25")


def test_nothing_is_given_to_a_listed_place_whose_own_part_is_still_on() -> None:
    job = Job()
    pin = job.take("pin", "heron", "head")
    job.do(acts_of.add(job.state, "pin", ("corvid", "head")))
    with pytest.raises(Refused, match="corvid > head > pin does not lack 1"):
        pieces.give(job.state, pin, ("corvid", "head"), "it runs first", by="ann", on="2026-11-25")


def test_what_is_given_away_leaves_its_concession_and_takes_the_limits_there() -> None:
    """ISO 9000:2015, 'concession': for a use. The same name at another machine has limits of its own."""
    job = Job()
    first, second = (job.take("pin", machine, "head") for machine in ("heron", "corvid"))
    on: dict[str, str] = {"by": "ann", "on": "2026-11-25"}

    def give(to: str) -> None:
        job.do(pieces.give(job.state, first, (to, "head"), "it runs first", **on))

    job.do(inspect(job.state, first, "d", "9.8mm", "9.9mm", **on))
    job.do(concede(job.state, first, "half load", "d >= 9.7mm", **on))
    job.do(inspect(job.state, second, "d", "9.8mm", "9.95mm", **on))
    with pytest.raises(Refused, match="corvid > head > pin does not lack 1"):
        give("corvid")
    job.do(fitting.dispose(job.state, second, "scrap"))
    give("corvid")
    let = release(job.state, first, date(2026, 11, 25))
    assert (let.state, let.why) == ("rejected", "rejected: d 9.8mm (at least 9.95mm)")
    (ended,) = [each.text for each in count(job.state).stands if each.kind == "once conceded"]
    assert "taken back: given to corvid (ann, 2026-11-25)" in ended
    give("heron")
    assert release(job.state, first, date(2026, 11, 25)).state == "rejected", "conceded anew, or not at all"


def test_more_pieces_of_a_place_than_came_off_want_a_reason() -> None:
    job = Job()
    nuts = job.take("nuts", "heron", "head", qty=4)
    odd = job.take("mystery", qty=2)
    seat = job.state.group(nuts).positions[0]
    with pytest.raises(ReasonWanted, match="4 came off nuts: say why 2 more did"):
        pieces.bind(job.state, odd, seat, by="ann", on="2026-11-25")
    job.do(pieces.bind(job.state, odd, seat, "two were in my pocket", by="ann", on="2026-11-25"))
    told = [(each.text, each.accepted.why) for each in count(job.state).stands if each.accepted]
    assert ("mystery: 2 said to be of another place", "two were in my pocket") in told


def test_a_list_corrected_and_taken_back_says_its_own_number() -> None:
    job = Job()
    key = job.do(acts_of.add(job.state, "studs", ("grinder", "head"), qty=4))
    job.take("studs", "grinder", "head", qty=3, parts=(key,))
    for n, missing in (
        (3, []),
        (4, ["4 listed, 3 came off: 1 missing"]),
        (5, ["5 listed, 3 came off: 2 missing"]),
    ):
        job.do(pieces.correct_list(job.state, key, n, "counted", by="ann", on="2026-11-25"))
        assert [line.why for line in count(job.state).of("missing")] == missing
        there = [s for s in count(job.state).stands if s.kind == "never there"]
        assert len(there) == (n == 3)


def test_pieces_merged_from_two_machines_are_told_under_their_own() -> None:
    job = Job()
    kept = job.take("bolts", "heron", "body", qty=4)
    other = job.take("studs", "corvid", "body", qty=8)
    job.do(merging.merge(job.state, [kept, other], anyway="one tin", by="ann"))
    assert sum(line.pieces for line in count(job.state, "corvid").of("left_over")) == 8
    assert sum(line.pieces for line in count(job.state).of("left_over")) == 12
    job.do(acts.split(job.state, kept, qty=4))
    origins = {group.qty: group.origin for group in job.state.groups()}
    assert origins == {4: ("heron", "body"), 8: ("corvid", "body")}


def test_a_corrected_set_is_told_without_ids() -> None:
    job = Job()
    ids = [job.take(name, "grinder", "head") for name in ("cap", "rotor", "cover")]
    key = job.do(matched.match(job.state, "pair", ids[:2]))
    draft = corrections.fix(job.state, f"set:{key}", {"groups": [ids[0], ids[2]]}, "misread", by="ann")
    job.do(draft)
    (told,) = (s.text for s in count(job.state).stands)
    assert told == "pair: pieces cap, rotor corrected"


def test_what_nobody_counted_is_open_and_what_is_missing_is_a_no() -> None:
    job = engine()
    job.do(acts.change(job.state, job.id("belts"), counted="later"))
    job.do(pieces.lose(job.state, job.id("gasket"), reason="blew away"))
    verdicts = {p.evidence.kind: p.verdict for p in count(job.state).answer.parts if p.evidence is not None}
    assert verdicts == {"assumed": Verdict.OPEN, "missing": Verdict.NO}


def test_what_is_found_again_after_its_group_went_into_another_keeps_its_origin() -> None:
    job = engine()
    seat = job.position("crank")
    lost = {"group": "gone", "seat": seat, "name": "crank"}  # as older ledgers kept it: without the whole
    found = pieces._again(job.state, lost, "new", {seat: 1})
    assert (found["name"], found["origin"]) == ("crank", ["engine", "bottom"])


def of_a_list(says: int | None, *then: str) -> Job:
    """Four bolts came off, a list says how many there are; then some were lost, scrapped, ordered."""
    job = Job()
    key = job.do(acts_of.add(job.state, "bolts", ("grinder", "head"), qty=says)) if says else ""
    job.take("bolts", "grinder", "head", qty=4, parts=(key,) if key else ())
    for each in then:
        if each == "lost":
            job.do(pieces.lose(job.state, job.id("bolts"), "rolled away", 1, by="ann", on="2026-11-25"))
        elif each == "scrap":
            job.do(fitting.dispose(job.state, job.id("bolts"), "scrap"))
        else:
            job.short("new bolts", ["bolts"])
    return job


@pytest.mark.parametrize(("says", "then", "lacking", "why"), [
    (None, ("lost",), 1, "1 lost: rolled away"),
    (None, ("scrap",), 4, "4 scrapped, nothing takes its place"),
    (None, ("scrap", "order"), 4, "waits for new bolts: to ask"),
    (5, (), 1, "5 listed, 4 came off: 1 missing"),
    (5, ("lost",), 2, "1 lost: rolled away; 5 listed, 4 came off: 1 missing"),
    (5, ("scrap",), 5, "5 listed, 4 came off: 1 missing; 4 scrapped, nothing takes its place"),
    (5, ("order",), 1, "waits for new bolts: to ask; 5 listed, 4 came off: 1 missing"),
    (None, ("lost", "scrap"), 4, "1 lost: rolled away; 3 scrapped, nothing takes its place"),
])  # fmt: skip
def test_what_became_of_each_piece_that_is_missing_is_said(
    says: int | None, then: tuple[str, ...], lacking: int, why: str
) -> None:
    (line,) = count(of_a_list(says, *then).state).of("missing")
    assert (line.pieces, line.why) == (lacking, why)


@pytest.mark.parametrize(("says", "found"), [(4, []), (3, [("difference", 1, "4 came off, 3 listed")])])
def test_more_than_a_list_says_is_a_difference_and_as_many_is_none(says: int, found: list[object]) -> None:
    lines = count(of_a_list(says).state).lines
    assert [(each.kind, each.pieces, each.why) for each in lines if each.kind != "left_over"] == found


def test_the_place_of_what_is_no_part_keeps_its_name() -> None:
    """Where a group's own place is told nowhere else, it is written down as it is taken for no part."""
    job = Job()
    tub = job.take("tub", "engine", "top", where=BENCH)
    kept = pieces.never_a_part(job.state, tub, "it held the bolts").after[f"part:{tub}"]
    assert kept is not None and (kept["name"], kept["origin"]) == ("tub", ["engine", "top"])
    job.state.apply({f"part:{tub}": {"name": "tub", "origin": ["engine"]}}, job.state.seq + 1)
    assert f"part:{tub}" not in pieces.never_a_part(job.state, tub, "it held the bolts").after


def test_parts_of_a_machine_the_shop_file_does_not_name_are_told_beside_every_count() -> None:
    job = Job()
    job.take("pin", "engine", "A")
    job.take("cap", "motor", "A")
    job.fit("cap")
    for machine in (None, "motor"):
        (told,) = count(job.state, machine, named=("motor", "spare")).stands
        assert (told.kind, told.machines) == ("machine not named", ("engine",))
        assert told.text.startswith("1 part came off 'engine', which the shop file does not name")
    assert not count(job.state).stands, "a file that names none"
    assert not count(job.state, named=("motor", "engine")).stands
    job.do(acts_of.rename_path(job.state, ("engine",), ("motor",)))
    found = count(job.state, "motor", named=("motor",))
    assert not found.stands and found.balance["off"] == 1
