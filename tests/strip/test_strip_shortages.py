"""Shortages: latest days to ask, sentences, what holds a milestone up."""

from __future__ import annotations

from datetime import date

import pytest
from strip_job import Job, engine

from shopbins.ledger.problems import BadValue, Refused
from shopbins.records import acts, how, milestone, shortage
from shopbins.records.shortage import SHORTAGE
from shopbins.strip.shortages import Lack, hold_up, shortages

TODAY = date(2027, 3, 1)


def due(job: Job, day: str = "2027-06-01", *parts: str) -> None:
    ids = [job.position(each) for each in parts or ("rocker cover",)]
    job.do(milestone.set_milestone(job.state, "engine closed", needs=ids, by=day))


def one(job: Job) -> Lack:
    (found,) = shortages(job.state, TODAY)
    return found


def test_ask_by_a_day_or_the_step_must_wait() -> None:
    job = engine()
    due(job)
    key = job.short("bearing shells", ["crank"], days=(10, 20))
    lack = one(job)
    assert (lack.needed_before, lack.needed_by, lack.ask_by) == ("crank", date(2027, 6, 1), date(2027, 5, 12))
    assert lack.sentence == "ask by 12 May or crank must wait"
    # steps behind it that take time bring the day forward: piston 2 days, head 3 at the most
    job.do(how.set_days(job.state, job.position("piston"), (1, 2)))
    job.do(how.set_days(job.state, job.position("head"), (3, 3)))
    job.do(how.set_days(job.state, job.position("crank"), (1, 5)))
    assert one(job).ask_by == date(2027, 5, 2)
    job.do(SHORTAGE.change(job.state, key, days=(10, 90)))
    assert one(job).sentence == "should have been asked for by 21 February, 8 days ago: crank must wait"


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({}, "ask how long it takes: crank must wait, needed by 1 June"),
        ({"asked": "2027-02-20"}, "asked, no date promised: crank must wait"),
        (
            {"asked": "2027-02-20", "days": (10, 30), "ask_of": "Moss"},
            "asked of Moss, expected 2 March to 22 March, needed by 1 June: in time",
        ),
        (
            {"asked": "2027-02-20", "days": (100, 110)},
            "asked, expected 31 May to 10 June, needed by 1 June: 9 days late at the worst, crank must wait",
        ),
        ({"promised": "2027-06-04"}, "promised for 4 June, needed by 1 June: 3 days late, crank must wait"),
        ({"promised": "2027-02-04"}, "promised for 4 February and not here: ask again, crank must wait"),
        (
            {"promised": "2028-02-04"},
            "promised for 4 February 2028, needed by 1 June: 248 days late, crank must wait",
        ),
    ],
)
def test_what_is_said(fields: dict, said: str) -> None:
    job = engine()
    due(job)
    key = job.short("shells", ["crank"])
    if fields:
        job.do(SHORTAGE.change(job.state, key, **fields))
    assert one(job).sentence == said


def test_without_a_date_nothing_is_invented() -> None:
    job = engine()
    job.short("shells", ["crank"], days=(10, 20))
    lack = one(job)
    assert lack.ask_by is None and lack.needed_by is None
    assert "no date is set" in lack.sentence
    job.short("paint", days=(1, 2))
    assert {each.needed_before for each in shortages(job.state, TODAY)} == {"crank", None}


def test_needed_by_a_milestone_only() -> None:
    job = engine()
    due(job)
    job.short("coolant", milestone="engine closed", days=(3, 3))
    lack = one(job)
    assert (lack.needed_before, lack.ask_by) == ("engine closed", date(2027, 5, 29))


def test_a_step_and_its_milestone_of_one_day_are_told_by_the_step() -> None:
    job = engine()
    guard = job.position("belt guard")  # the first off goes on last: nothing is after it but the milestone
    job.do(milestone.set_milestone(job.state, "all closed", needs=[guard], by="2027-06-01"))
    job.short("bolts", ["belt guard"], milestone="all closed", days=(3, 3))
    assert one(job).needed_before == "belt guard"


def test_a_renewed_part_names_what_waits_for_it() -> None:
    job = engine()
    due(job)
    job.renew("crank", days=(5, 5))
    assert one(job).needed_before == "piston"


def test_the_late_one_holds_up_the_milestone() -> None:
    job = engine()
    due(job)
    job.short("shells", ["crank"], days=(10, 20))
    late = job.short("head studs", ["head"], days=(60, 100))
    job.short("paint for the guard", ["belt guard"], days=(300, 300))  # not in front of the milestone
    held = hold_up(job.state, "engine closed", TODAY)
    assert held.shortages == (late,)
    assert (held.first, held.last, held.late) == (date(2027, 4, 30), date(2027, 6, 9), 8)
    assert held.sentence == (
        "engine closed: cannot say: gasket waits for a new one: it is of one use, and was on; 7 steps have "
        "no days; not before 30 April to 9 June, held up by head studs, 8 days after its date (1 June)"
    )
    job.do(shortage.strike(job.state, late, "the old ones are good"))
    assert hold_up(job.state, "engine closed", TODAY).last == date(2027, 3, 21)


def test_what_is_away_holds_up_and_what_has_no_time_is_named() -> None:
    job = engine()
    due(job)
    job.do(acts.send_away(job.state, job.id("crank"), "Moss Grinding", "2027-04-01"))
    job.short("gaskets", ["head"])
    held = hold_up(job.state, "engine closed", TODAY)
    assert held.last == date(2027, 4, 1) and "no time known for gaskets" in held.unknown
    assert "held up by crank (away)" in held.sentence and "no time known for gaskets" in held.sentence
    job.do(acts.bring_back(job.state, job.id("crank")))
    job.do(acts.send_away(job.state, job.id("crank"), "Moss Grinding"))
    unknown = hold_up(job.state, "engine closed", TODAY).unknown
    assert {"no time known for gaskets", "crank at Moss Grinding, no date agreed"} <= set(unknown)


def test_a_date_goes_through_a_move() -> None:
    job = engine()
    job.take("feet", "engine", "base")
    job.do(milestone.set_milestone(job.state, "moved", needs=[job.position("crank")], move=True))
    job.do(milestone.goes_on_after(job.state, job.position("feet"), "moved"))
    job.do(milestone.set_milestone(job.state, "runs", needs=[job.position("feet")], by="2027-06-01"))
    job.do(how.set_days(job.state, job.position("feet"), (2, 2)))
    job.short("shells", ["crank"], days=(10, 20))
    assert one(job).needed_by == date(2027, 5, 30)


def test_values_are_checked() -> None:
    job = engine()
    for wrong in ({"qty": 0}, {"days": (5, 2)}, {"asked": "12 May"}, {"stage": "lost"}, {"colour": "red"}):
        with pytest.raises(BadValue):
            SHORTAGE.add(job.state, "x", **wrong)
    with pytest.raises(BadValue):
        SHORTAGE.add(job.state, " ")
    with pytest.raises(Refused):
        SHORTAGE.change(job.state, "no such", qty=2)
    with pytest.raises(Refused, match="no milestone"):
        SHORTAGE.add(job.state, "x", milestone="never")


def test_dates_at_the_end_of_the_calendar_do_no_harm() -> None:
    job = engine()
    due(job, "9999-12-31")
    key = job.short("shells", ["crank"], days=(3660, 3660))
    job.do(SHORTAGE.change(job.state, key, asked="9999-01-01"))
    assert one(job).here == (date(9999, 12, 31), date(9999, 12, 31))
