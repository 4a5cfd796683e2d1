"""What is told of a part before it goes back: what to heed, what was passed over, what it went through."""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import BENCH, Job, engine

from shopbins.answer import Verdict
from shopbins.ledger.model import InGroup
from shopbins.ledger.problems import BadValue
from shopbins.records import acts, fitting, how, matched, milestone
from shopbins.records.inspection import concede, inspect, withdraw
from shopbins.strip.count import count, stands
from shopbins.strip.fitting import against_fit, against_trial, on_trial
from shopbins.strip.heed import heed, heed_position
from shopbins.strip.order import Order
from shopbins.strip.refit import Entry, not_met, passed_over
from shopbins.strip.release import read_limits, record_lines
from shopbins.strip.shortages import _coming, _is_late, _run_out
from shopbins.strip.waits import Wait

TODAY = date(2027, 3, 1)


def after_it(job: Job, name: str) -> str:
    return passed_over(job.state, job.state.group(job.id(name)))


def row(*parts: tuple[str, int]) -> Job:
    """Return a machine off which these came, the first first, with nobody telling of their order."""
    job = Job()
    for name, qty in parts:
        job.take(name, "mill", where=BENCH, qty=qty)
    return job


def test_what_came_off_after_a_part_and_is_still_off_is_named_with_its_pieces() -> None:
    job = row(("guard", 1), ("bolts", 2), ("arbor", 1))
    told = "still off (only the order they came off in)"
    assert after_it(job, "guard") == f"arbor, bolts x2 came off after it and are {told}"
    assert after_it(job, "bolts") == f"arbor came off after it and is {told}"
    assert after_it(job, "arbor") == ""
    job.fit("arbor")
    assert after_it(job, "guard") == f"bolts x2 came off after it and are {told}"
    job.fit("bolts")
    assert after_it(job, "guard") == ""


def test_what_is_said_to_go_on_first_is_waited_for_and_not_passed_over() -> None:
    job = row(("guard", 1), ("bolts", 2), ("arbor", 1))
    job.before("guard", "bolts")  # so it waits for them
    assert after_it(job, "guard").startswith("arbor came off after it")


@pytest.mark.parametrize(("parts", "more"), [(7, ""), (8, " and 1 more"), (9, " and 2 more")])
def test_six_of_what_was_passed_over_are_named_and_the_others_counted(parts: int, more: str) -> None:
    job = row(*((f"part {n}", 1) for n in range(parts)))
    named = ", ".join(f"part {n}" for n in range(parts - 1, parts - 7, -1))  # the last off goes on first
    assert after_it(job, "part 0").startswith(f"{named}{more} came off after it and are still off")


def test_what_is_to_be_renewed_is_passed_over_like_what_lies_here() -> None:
    job = row(("guard", 1), ("seal", 1))
    job.renew("seal")
    assert after_it(job, "guard").startswith("seal came off after it and is still off")


def test_what_to_heed_is_told_gravest_first_and_of_the_place_with_what_goes_there() -> None:
    job = engine()
    head, seat = job.id("head"), job.position("head")
    job.do(acts.change(job.state, head, cautions=["asbestos gasket"], one_use=True))
    job.do(how.tell(job.state, seat, left_hand=True))
    job.do(matched.match(job.state, "head and piston", [head, job.id("piston")]))
    told = heed(job.state, job.state.group(head), TODAY)
    assert told == [
        "caution: asbestos gasket", "LEFT-HAND THREAD", "matched set 'head and piston'",
        "one use: renewed whenever it comes off",
    ]  # fmt: skip
    assert heed_position(job.state, seat, TODAY) == told
    job.do(inspect(job.state, head, "face", "0.3 mm", "", "0.1 mm", on="2027-02-01"))
    assert heed(job.state, job.state.group(head), TODAY)[-1].startswith("rejected: face 0.3 mm")
    job.do(concede(job.state, head, "thick gasket", "face <= 0.4 mm", by="ann", on="2027-02-02"))
    (let,) = (each for each in heed(job.state, job.state.group(head), TODAY) if "concession" in each)
    assert let == "under concession: face 0.3 mm (at most 0.1 mm), face <= 0.4 mm"
    assert heed_position(job.state, "no such place", TODAY) == []


def test_a_part_tells_what_it_was_measured_and_conceded_and_by_whom() -> None:
    job = engine()
    crank = job.id("crank")
    job.do(inspect(job.state, crank, "journal", "59.94 mm", "59.96 mm", instrument="micrometer 3", by="ann",
                   on="2027-02-01"))  # fmt: skip
    job.do(concede(job.state, crank, "low load", "journal >= 59.9 mm", by="bo", on="2027-02-02",
                   until="2027-02-20"))  # fmt: skip
    measured, conceded = record_lines(job.state, crank)
    assert measured == "journal: 59.94 mm (at least 59.96 mm) beyond, with micrometer 3, ann, 2027-02-01"
    assert conceded == "conceded by bo 2027-02-02: journal >= 59.9 mm, until 2027-02-20, low load"
    assert record_lines(job.state, job.id("piston")) == []
    job.do(withdraw(job.state, crank, "cracked", by="bo", on="2027-02-10"))
    assert record_lines(job.state, crank)[1] == f"{conceded}, taken back: cracked (bo, 2027-02-10)"


def test_a_concession_holds_through_its_last_day_and_is_told_once_it_is_over() -> None:
    """ISO 9000:2015, 'concession': generally limited to a quantity or a period."""
    job = engine()
    crank = job.id("crank")
    job.do(inspect(job.state, crank, "journal", "59.94 mm", "59.96 mm", on="2027-02-01"))
    job.do(concede(job.state, crank, "low load", "journal >= 59.9 mm", by="bo", on="2027-02-02",
                   until="2027-03-01"))  # fmt: skip
    kinds = [stands(job.state, date(2027, 3, day))[0].kind for day in (1, 2)]
    assert kinds == ["conceded", "once conceded"]
    assert "ran out 2027-03-01" in stands(job.state, date(2027, 3, 2))[0].text
    order = job.state.follower(Order)
    for reached, named in (((2027, 3, 1), 0), ((2027, 3, 2), 1)):
        found = list(_run_out(job.state, order, {job.position("crank")}, TODAY, date(*reached)))
        assert len(found) == named


@pytest.mark.parametrize(("text", "found"), [
    ("d >= 8.95", [("d", ">=", "8.95")]), ("d > 8.95mm", [("d", ">=", "8.95mm")]),
    ("d at least 8.95mm, d at most 9.1mm", [("d", ">=", "8.95mm"), ("d", "<=", "9.1mm")]),
    ("bore max 9 mm and face => 1mm;", [("bore", "<=", "9 mm"), ("face", ">=", "1mm")]),
    ("d =< 9", [("d", "<=", "9")]), ("d < 9", [("d", "<=", "9")]), ("d MIN 9", [("d", ">=", "9")]),
    ("d min. 9mm", [("d", ">=", "9mm")]), ("d maximum 9mm", [("d", "<=", "9mm")]),
    ("min9", [("", ">=", "9")]),
    ("minor diameter >= 8.9mm", [("minor diameter", ">=", "8.9mm")]),  # a term of ISO 5408
    ("minor diameter at least 8.9mm", [("minor diameter", ">=", "8.9mm")]),
    ("max run-out < 0.02mm", [("max run-out", "<=", "0.02mm")]),
])  # fmt: skip
def test_limits_of_a_concession_are_read_as_people_write_them(
    text: str, found: list[tuple[str, str, str]]
) -> None:
    assert read_limits(text) == found


@pytest.mark.parametrize(("text", "said"), [("as it is", "cannot be read"), (" , ; ", "say to what")])
def test_a_concession_without_a_limit_is_none(text: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        read_limits(text)


def judged(job: Job, name: str, to: str | None = None) -> tuple[str, ...]:
    return against_fit(job.state, job.state.group(job.id(name)), TODAY, to and job.id(to)).nobody


def test_what_is_away_is_told_with_where_it_is_and_what_it_went_with() -> None:
    job = engine()
    job.take("shim", "engine", "head", where=InGroup(job.id("springs"), "in"))
    assert judged(job, "springs") == judged(job, "shim") == ()
    job.do(acts.send_away(job.state, job.id("head"), "the grinder"))
    assert judged(job, "head") == ("is not here: away at the grinder",)
    assert judged(job, "springs") == judged(job, "shim") == ()
    job.do(acts.send_away(job.state, job.id("springs"), "the grinder"))
    assert judged(job, "springs") == ("is not here: away at the grinder",)
    assert judged(job, "shim") == ("is not here: away at the grinder, with springs",)


def test_a_part_goes_back_on_its_own_machine_and_on_nothing_thrown_out() -> None:
    job = engine()
    job.take("bed", "mill", where=BENCH)
    job.take("broom", where=BENCH, counted="never")
    assert judged(job, "valves", "head") == ()
    assert judged(job, "valves", "bed") == ("is of another machine: belongs to engine, not to mill",)
    assert judged(job, "valves", "broom")[0] == "cannot go on broom: that is no part of a machine"
    job.do(fitting.dispose(job.state, job.id("head"), "scrap"))
    assert judged(job, "valves", "head") == ("cannot go on head, which is to be scrapped",)


def test_a_rejected_part_may_be_tried_by_leave_and_never_goes_back_for_good() -> None:
    job = engine()
    crank = job.state.group(job.id("crank"))
    job.do(inspect(job.state, crank.id, "journal", "59.94 mm", "59.96 mm", on="2027-02-01"))
    fit, trial = against_fit(job.state, crank, TODAY), against_trial(job.state, crank, TODAY)
    assert fit.answer.verdict is Verdict.NO and trial.answer.verdict is Verdict.ASKED
    assert fit.nobody == trial.waits and "rejected" in fit.nobody[0]
    free = job.state.group(job.id("belt guard"))
    assert against_trial(job.state, free, TODAY).answer.verdict is Verdict.YES


def test_only_what_was_put_on_to_be_tried_is_on_trial() -> None:
    job = engine()
    job.fit("crank")
    assert on_trial(job.state) == []
    job.do(fitting.try_on(job.state, job.id("belts")))
    assert [each.name for each in on_trial(job.state)] == ["belts"]


def test_a_milestone_is_not_met_by_what_is_off_nor_by_what_is_on_though_rejected() -> None:
    job = engine()
    ids = [job.position(each) for each in ("crank", "belts", "piston")]
    job.do(milestone.set_milestone(job.state, "turns", needs=ids))
    for each in ("crank", "belts"):
        job.fit(each)
    assert not_met(job.state, "turns", TODAY) == ["piston (off)"]
    job.do(inspect(job.state, job.id("crank"), "journal", "59.94 mm", "59.96 mm", on="2027-02-01"))
    assert sorted(not_met(job.state, "turns", TODAY)) == ["crank (rejected)", "piston (off)"]


def test_a_line_is_free_where_only_the_usual_order_stands_before_it() -> None:
    told, usual = Wait("part", "piston", "part:p"), Wait("part", "belts (as it came off)", "part:b")
    line = Entry("h", "head", None, 1, (told, usual), (usual,))
    assert not line.ready and not line.free
    only = Entry("h", "head", None, 1, (usual,), (usual,))
    assert not only.ready and only.free
    assert Entry("h", "head", None, 1, ()).ready
    assert line.heeded(["caution: hot", "piston"]) == ["caution: hot"]


def test_the_headline_counts_what_is_wrong_by_kind_and_what_stands() -> None:
    job = engine()
    assert count(job.state, today=TODAY).headline == "not clean: 20 left over"
    job.do(inspect(job.state, job.id("crank"), "journal", "59.94 mm", "59.96 mm", on="2027-02-01"))
    job.do(concede(job.state, job.id("crank"), "low load", "journal >= 59.9 mm", by="bo", on="2027-02-02"))
    assert count(job.state, today=TODAY).headline.endswith("; 1 concession")


YESTERDAY = date(2027, 2, 28)
SOON, LATER = date(2027, 3, 10), date(2027, 3, 20)


@pytest.mark.parametrize(("doc", "by", "ask_by", "here", "late"), [
    ({}, LATER, TODAY, (SOON, SOON), False), ({}, LATER, YESTERDAY, (SOON, SOON), True),
    ({}, SOON, None, (LATER, LATER), False),  # nobody asked yet, and no day by which to ask is known
    ({"state": "asked", "asked": "2027-02-20"}, None, None, None, False),
    ({"state": "asked", "asked": "2027-02-20"}, SOON, None, (TODAY, SOON), False),
    ({"state": "asked", "asked": "2027-02-20"}, SOON, None, (TODAY, LATER), True),  # at the worst
    ({"state": "asked", "asked": "2027-02-20"}, None, None, (TODAY, LATER), False),
    ({"state": "asked", "asked": "2027-02-20", "days": [5, 8]}, LATER, None, (TODAY, TODAY), True),
    ({"state": "asked", "asked": "2027-02-20", "days": [5, 9]}, LATER, None, (TODAY, TODAY), False),
    ({"state": "asked", "asked": "2027-02-01", "promised": "2027-02-28"}, None, None, None, True),
    ({"state": "asked", "asked": "2027-02-01", "promised": "2027-03-01"}, None, None, None, False),
    ({"state": "here"}, YESTERDAY, None, (LATER, LATER), False),
])  # fmt: skip
def test_a_shortage_is_late_once_its_day_is_over_or_it_may_come_after_it_is_needed(
    doc: dict, by: date | None, ask_by: date | None, here: tuple[date, date] | None, late: bool
) -> None:
    assert _is_late(doc, by, ask_by, here, TODAY) is late


@pytest.mark.parametrize(("first", "last", "told"), [
    (9, 10, "in time"), (10, 10, "in time"), (10, 11, "1 day late at the worst"),
    (9, 12, "2 days late at the worst"), (11, 12, "2 days late, the head waits"),
])  # fmt: skip
def test_what_is_expected_is_late_for_certain_only_where_its_first_day_is_after_the_day_it_is_needed(
    first: int, last: int, told: str
) -> None:
    here = date(2027, 3, first), date(2027, 3, last)
    said = _coming({"state": "asked", "asked": "2027-02-20"}, "the head waits", SOON, here, TODAY)
    assert said.startswith("asked, expected ") and told in said
    assert ("at the worst" in said) is ("worst" in told)
