"""How things are said and judged at their edges: torques, limits, care, dates, what a milestone waits for."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from strip_job import Job, engine

from shopbins.ledger.docs import group_doc
from shopbins.ledger.model import Group, WorkPoint
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records import acts, corrections, fitting, how, matched, milestone, shortage
from shopbins.records import care as care_record
from shopbins.records.care import CARE
from shopbins.records.record import About
from shopbins.strip.book import Look
from shopbins.strip.care import care
from shopbins.strip.connections import connections
from shopbins.strip.count import CountLine, _posting_said, count, pooled, stands
from shopbins.strip.how import how_lines
from shopbins.strip.missing import _same
from shopbins.strip.order import Order
from shopbins.strip.release import VERIFY, limits_said
from shopbins.strip.sets import unmatched
from shopbins.strip.shortages import _sentence, due_day, expected, hold_up
from shopbins.strip.tree import assemblies, positions
from shopbins.strip.waits import shortage_state, stage, to_inspect
from shopbins.strip.work import judge

TODAY = date(2027, 3, 1)


def closed(job: Job, *parts: str, **more: str) -> None:
    ids = [job.position(each) for each in parts]
    job.do(milestone.set_milestone(job.state, "engine closed", needs=ids, **more))


def test_a_bolt_is_tightened_to_a_torque_and_on_by_an_angle() -> None:
    job = engine()
    head = job.position("head")
    job.do(how.tell(job.state, head, tighten_nm=40, angle_deg=3600, source="the maker's manual"))
    assert how_lines(job.state.docs("part")[head]["how"]) == [
        "tighten to 40 N.m and 3600 deg (the maker's manual)"
    ]
    for wrong in (0, 3601):
        with pytest.raises(BadValue, match="the angle"):
            how.tell(job.state, job.position("crank"), angle_deg=wrong)
    job.do(how.tell(job.state, job.position("crank"), tighten_nm=55, angle_deg=None))
    assert how_lines(job.state.docs("part")[job.position("crank")]["how"]) == [
        "tighten to 55 N.m, no source given"
    ]


@pytest.mark.parametrize(("low", "high", "text"), [
    ("9.5mm", "", "at least 9.5mm"), ("", "9.6mm", "at most 9.6mm"), ("", "", ""),
    ("9.5mm", "9.6mm", "9.5mm to 9.6mm"),
])  # fmt: skip
def test_limits_are_said_as_written(low: str, high: str, text: str) -> None:
    assert limits_said(low, high) == text


@pytest.mark.parametrize(("seen", "limit", "verdict"), [
    ("none", "", "within"), ("none", "ok", "within"), ("cracked", " OK ", "beyond"), ("worn", "3 mm", None),
])  # fmt: skip
def test_what_is_seen_has_no_limit(seen: str, limit: str, verdict: str | None) -> None:
    if verdict is None:
        with pytest.raises(BadValue, match="seen, not measured"):
            judge(seen, limit, "")
    else:
        assert judge(seen, limit, "").verdict == verdict


@pytest.mark.parametrize(("hours", "overdue", "said"), [
    (149.0, False, "due at 150 h, 1 h from now"), (150.0, False, "due at 150 h, 0 h from now"),
    (150.5, True, "overdue by 0.5 h"), (None, False, "due at 150 h (the machine's hours are not recorded)"),
])  # fmt: skip
def test_care_by_hours(hours: float | None, overdue: bool, said: str) -> None:
    job = engine()
    fields = {"machine": "engine", "every_hours": 100, "done_hours": 50}
    job.do(CARE.add(job.state, "oil", **fields))
    if hours is not None:
        job.do(care_record.set_hours(job.state, "engine", hours, "2027-02-01"))
    (found,) = care(job.state, TODAY)
    assert (found.overdue, found.sentence) == (overdue, f"oil: {said}")


@pytest.mark.parametrize(("today", "overdue", "said"), [
    (date(2027, 3, 31), False, "due 2027-03-31"), (date(2027, 4, 1), True, "overdue since 2027-03-31"),
])  # fmt: skip
def test_care_by_date(today: date, overdue: bool, said: str) -> None:
    job = engine()
    job.do(CARE.add(job.state, "belts", machine="engine", every_days=30, done="2027-03-01"))
    (found,) = care(job.state, today)
    assert (found.overdue, found.sentence) == (overdue, f"belts: {said}")


def test_a_shortage_that_came_says_since_when() -> None:
    job = engine()
    closed(job, "rocker cover")
    key = job.short("shells", ["crank"])
    job.do(shortage.arrive(job.state, key, "2027-02-20"))
    assert shortage.sentence(job.state, key, TODAY) == "shells: here since 20 February"
    job.do(shortage.strike(job.state, key, "the old ones are good"))
    assert shortage.sentence(job.state, key, TODAY) == "shells: not needed: the old ones are good"


def test_what_goes_on_after_a_milestone_without_a_date_has_none_itself() -> None:
    job = engine()
    job.do(milestone.set_milestone(job.state, "floor dry"))
    job.do(milestone.goes_on_after(job.state, job.position("crank"), "floor dry"))
    closed(job, "rocker cover")
    said = "crank goes on after floor dry, which has no date"
    assert said in hold_up(job.state, "engine closed", TODAY).unknown
    job.do(milestone.set_milestone(job.state, "floor dry", by="2027-04-01"))
    assert not any("no date" in each for each in hold_up(job.state, "engine closed", TODAY).unknown)


@pytest.mark.parametrize(("until", "text"), [
    (None, "crank at Moss Grinding, no date agreed"),
    ("2027-02-28", "crank overdue at Moss Grinding since 28 February"), ("2027-03-01", None),
])  # fmt: skip
def test_what_is_away_too_long(until: str | None, text: str | None) -> None:
    job = engine()
    closed(job, "rocker cover")
    job.do(acts.send_away(job.state, job.id("crank"), "Moss Grinding", until))
    told = [each for each in hold_up(job.state, "engine closed", TODAY).unknown if "Moss" in each]
    assert told == ([] if text is None else [text])
    (line,) = (each for each in count(job.state).of("left_over") if each.name == "crank")
    until_said = f" until {until}" if until else ", no date agreed"
    assert (line.why, line.still) == (f"away at Moss Grinding{until_said}", False)


def test_a_milestone_in_time_and_one_too_late() -> None:
    job = Job()
    job.take("guard", "saw")
    job.do(how.set_days(job.state, job.position("guard"), (2, 2)))
    job.do(milestone.set_milestone(job.state, "saw runs", needs=[job.position("guard")], by="2027-03-03"))
    assert (
        hold_up(job.state, "saw runs", TODAY).sentence == "saw runs: not before 3 March, in time for 3 March"
    )
    job.do(how.set_days(job.state, job.position("guard"), (2, 3)))
    late = hold_up(job.state, "saw runs", TODAY)
    asked = {each.label: each for each in milestone.QUESTIONS}
    reached, later, dropped = (asked[each] for each in ("it is reached", "give it a date", "forget it"))
    today = About("saw runs", job.state.docs("milestone")["saw runs"], job.state, date(2027, 3, 3))
    assert reached.why(today, "") == "saw runs needs guard (off): why is it reached anyway?"
    assert later.why(today, "2027-03-04") == dropped.why(today, "") == ""
    after = today._replace(today=date(2027, 3, 4))
    assert later.why(after, "2027-03-03") == "" and dropped.why(after, "").startswith("saw runs was due 2027")
    assert later.why(after, "2027-03-05") == "saw runs was due 2027-03-03: why is it 2027-03-05 now?"
    assert late.late == 1 and late.sentence == (
        "saw runs: not before 3 March to 4 March, 1 day after its date (3 March)"
    )
    job.fit("guard")
    assert hold_up(job.state, "saw runs", TODAY).sentence.startswith("saw runs: everything it needs is on")
    job.do(milestone.reached(job.state, "saw runs", "2027-02-28"))
    assert hold_up(job.state, "saw runs", TODAY).sentence == "saw runs: reached 2027-02-28"


@pytest.mark.parametrize(("over", "lacks", "left"), [
    ({"a": 2}, {"b": 2}, {}), ({"a": 3}, {"b": 1}, {("too_many", "a"): 2}),
    ({"a": 1}, {"b": 3}, {("missing", "b"): 2}), ({"a": 1, "b": 2}, {"c": 2}, {("too_many", "b"): 1}),
    ({"a": 2}, {"b": 1, "c": 2}, {("missing", "c"): 1}),
    ({"a": 1}, {"other": 1}, {("too_many", "a"): 1, ("missing", "other"): 1}),
])  # fmt: skip
def test_too_many_at_one_place_fills_what_lacks_at_another_once_they_were_mixed(
    over: dict[str, int], lacks: dict[str, int], left: dict[tuple[str, str], int]
) -> None:
    """What is over and what lacks cancel within what was put together, and the difference stays."""
    mixed = State({"part": {key: {"pool": "tub"} for key in ("a", "b", "c")}})
    lines = [CountLine("too_many", f"part:{key}", key, "", "", n) for key, n in over.items()]
    lines += [CountLine("missing", f"part:{key}", key, "", "", n) for key, n in lacks.items()]
    assert {(line.kind, line.name): line.pieces for line in pooled(mixed, lines)} == left
    assert pooled(State({}), lines) == lines


def test_what_bears_the_name_of_its_assembly_is_that_and_lies_one_up() -> None:
    job = Job()
    job.take("spring", "engine", "head", "spring")
    job.take("clip", "engine", "head", "spring")
    spring, clip = (job.position(each) for each in ("spring", "clip"))
    homes = assemblies(positions(job.state))
    assert (homes[spring], homes[clip]) == (("engine", "head"), ("engine", "head", "spring"))


@pytest.mark.parametrize(("nm", "taken"), [(1e6, True), (1_000_000.5, False), (0, False)])
@pytest.mark.parametrize("name", ["breakaway_nm", "tighten_nm"])
def test_a_torque_has_its_bounds(name: str, nm: float, taken: bool) -> None:
    job = engine()
    if taken:
        assert how.tell(job.state, job.position("head"), **{name: nm})
    else:
        with pytest.raises(BadValue, match="torque"):
            how.tell(job.state, job.position("head"), **{name: nm})


def test_what_is_on_trial_is_more_than_not_back_yet() -> None:
    job = engine()
    for each in ("crank", "belts", "piston"):
        job.fit(each)
    job.do(fitting.try_on(job.state, job.id("head"), anyway="to see"))
    told = {line.name: (line.why, line.still) for line in count(job.state).of("left_over")}
    assert told["head"] == ("on trial", False)
    assert told["valves"] == ("still to go back", True)


def test_what_was_bought_for_a_matched_seat_is_matched_with_the_others() -> None:
    job = engine()
    job.do(matched.match(job.state, "crank and its piston", [job.id("crank"), job.id("piston")]))
    key = job.renew("crank")
    job.do(shortage.arrive(job.state, key, "2026-12-01"))
    new = next(each for each in job.state.groups() if each.brought)
    (said,) = unmatched(job.state, new)
    assert said.startswith("new, to be matched with ") and "piston" in said
    assert unmatched(job.state, job.state.group(job.id("piston"))) == []
    pair = [job.id("piston"), new.id]
    with pytest.raises(Refused, match="correct its seats"):
        matched.match(job.state, "Crank and its piston", pair, ["left", "right"])
    job.do(matched.match(job.state, "Crank and its piston", pair))
    assert unmatched(job.state, new) == []
    (kept,) = job.state.docs("set").values()
    both = [job.position("crank"), job.position("piston")]
    assert (kept["name"], kept["positions"]) == ("crank and its piston", both)
    job.do(matched.match(job.state, "crank and its piston", [job.id("valves")]))
    (kept,) = job.state.docs("set").values()
    assert (kept["positions"], kept["matched"]) == ([*both, job.position("valves")], [new.id])


def test_a_matched_set_is_two_pieces_at_least() -> None:
    job = engine()
    key = job.do(matched.match(job.state, "the four", [job.id("valves")]))
    with pytest.raises(BadValue, match="two pieces"):
        corrections.fix(job.state, f"set:{key}", {"groups": [job.id("crank")]}, "the other tray")
    with pytest.raises(BadValue, match="2 seats for 1 part"):
        corrections.fix(job.state, f"set:{key}", {"seats": ["a", "b"]}, "seen")
    job.do(corrections.fix(job.state, f"set:{key}", {"groups": [job.id("belts")]}, "the other tray"))
    assert job.state.docs("set")[key]["positions"] == [job.position("belts")]
    (told,) = job.state.docs("correction").values()
    assert told["text"] == "the four: pieces valves corrected"


@pytest.mark.parametrize(("work", "of"), [
    ((), None), (("clean",), None), (("inspect",), ""), ((f"{VERIFY}bore",), "bore"),
    (("inspect", f"{VERIFY}bore"), "bore"),
])  # fmt: skip
def test_of_what_a_value_is_waited_for(work: tuple[str, ...], of: str | None) -> None:
    group = Group("1", "X", "crank", work=tuple(map(WorkPoint, work)))
    assert to_inspect(group) == of
    assert to_inspect(group._replace(work=tuple(WorkPoint(each, "2027-01-01") for each in work))) is None


@pytest.mark.parametrize(("on", "difference", "over", "lacking"), [
    (2, 0, 0, 0), (3, 0, 1, 0), (1, 0, 0, 1), (0, 0, 0, 2), (3, -1, 0, 0), (4, -1, 1, 0), (1, 1, 0, 0),
    (0, 1, 0, 1),
])  # fmt: skip
def test_pieces_on_where_two_belong(on: int, difference: int, over: int, lacking: int) -> None:
    left = {"difference": difference} if difference else {}
    look = Look(2, 0, 0, None, 0, 2, on, 0, 0, 0, (), 0, "", 1, left)
    assert (look.over, look.lacking) == (over, lacking)


@pytest.mark.parametrize(("counted", "said"), [
    ("later", ("nobody counted it yet", None)), ("assumed", ("2 not counted, number taken from the list", 2)),
])  # fmt: skip
def test_what_nobody_counted(counted: str, said: tuple[str, int | None]) -> None:
    job = engine()
    job.do(acts.change(job.state, job.id("belts"), counted=counted))
    (line,) = count(job.state).of("assumed")
    assert (line.name, line.why, line.pieces) == ("belts", *said)


@pytest.mark.parametrize(("doc", "stage_now", "said"), [
    ({}, "to ask", "to ask"), ({"promised": "2027-03-09"}, "to ask", "to ask"),
    ({"state": "asked", "asked": "2027-03-01"}, "asked", "asked"),
    ({"state": "asked", "asked": "2027-03-01", "promised": "2027-03-09"}, "promised",
     "promised for 2027-03-09"),
    ({"state": "asked", "asked": "2027-03-09", "promised": "2027-03-09"}, "promised",
     "promised for 2027-03-09"),
    ({"state": "asked", "asked": "2027-03-10", "promised": "2027-03-09"}, "asked", "asked"),
    ({"state": "here", "asked": "2027-03-01", "promised": "2027-03-09"}, "here", "here"),
])  # fmt: skip
def test_a_promise_stands_until_it_is_asked_for_anew(doc: dict[str, Any], stage_now: str, said: str) -> None:
    assert (stage(doc), shortage_state(doc)) == (stage_now, said)


@pytest.mark.parametrize(("doc", "due"), [
    ({"state": "asked", "asked": "2027-03-01", "days": (7, 14)}, date(2027, 3, 15)),
    ({"state": "asked", "asked": "2027-03-01", "days": (7, 13.5)}, date(2027, 3, 15)),
    ({"state": "asked", "asked": "2027-03-01"}, None), ({"state": "asked", "days": (7, 14)}, None),
    ({"state": "to ask", "asked": "2027-03-01", "days": (7, 14)}, None),
    ({"state": "here", "asked": "2027-03-01", "days": (7, 14)}, None),
    ({"state": "promised", "promised": "2027-03-09", "asked": "2027-03-01", "days": (7, 14)},
     date(2027, 3, 9)),
])  # fmt: skip
def test_what_was_asked_for_should_have_come_by_its_longest_time(
    doc: dict[str, Any], due: date | None
) -> None:
    assert due_day(doc) == due


def test_a_thread_is_kept_with_the_form_it_should_have_or_none() -> None:
    assert judge("M10", "", "M10").doc == {"measured": "M10", "low": "M10"}
    assert judge("M10", "", "").doc == {"measured": "M10", "low": None}


def test_what_was_told_stays_told_where_the_order_says_it_too_and_each_once() -> None:
    """The springs came out of the head after it was off: nested without a word, told with one."""
    sorts = []
    for told in (False, True):
        job = engine()
        if told:
            job.before("head", "springs")
        graph = job.state.follower(Order).graph
        sorts.append(
            graph.held.get((graph.number[job.position("head")], graph.number[job.position("springs")]))
        )
        assert all(first != then for first, then in graph.held)
        assert sorted((a, b) for a, each in enumerate(graph.succ) for b in each) == sorted(graph.held)
    assert sorts == ["nested", "told"]


def test_a_count_kept_is_that_of_the_same_ledger_read_anew() -> None:
    job = engine()

    def listing(qty: int) -> None:
        rows = [["studs", "studs", 0, qty, "", ""]]
        job.state.apply({"list:a": {"name": "a", "origins": [["engine", "top"]], "rows": rows}}, 90 + qty)

    count(job.state)
    missing = []
    for change in (
        lambda: listing(4),
        lambda: job.take("studs", "engine", "top", qty=3, parts=("studs",)),
        lambda: listing(5),
        lambda: job.state.apply({"list:a": None}, 99),
    ):
        change()
        anew = State({table: dict(docs) for table, docs in job.state.tables.items()}, prefix="T")
        assert count(job.state).lines == count(anew).lines
        missing.append([line.why for line in count(anew).of("missing")])
    assert missing == [[], ["4 listed, 3 came off: 1 missing"], ["5 listed, 3 came off: 2 missing"], []]


@pytest.mark.parametrize(("kind", "text"), [
    ("swap", "head: with the other"), ("give", "head: with the other"),
    ("fit", "head, waited for with the other"),
    ("note", None),
])  # fmt: skip
def test_what_was_accepted_is_told_beside_the_count(kind: str, text: str | None) -> None:
    job = engine()
    doc = {"kind": kind, "name": "head", "waited_for": ["with the other"], "why": "so", "by": "ann"}
    job.state.apply({"accepted:k": doc}, 99)
    assert [each.text for each in stands(job.state, TODAY) if each.kind == "accepted"] == [text] * bool(text)


def test_the_longest_way_begins_with_what_takes_the_first_day() -> None:
    job = engine()
    for name, days in (("piston", 3), ("head", 2)):
        job.do(how.set_days(job.state, job.position(name), (days, days)))
    job.do(milestone.set_milestone(job.state, "closed", needs=[job.position("rocker cover")]))
    held = hold_up(job.state, "closed", TODAY)
    assert [job.state.group(each).name for each in held.steps] == ["piston", "head"]
    assert held.last == date(2027, 3, 6)


@pytest.mark.parametrize(("parts", "shares", "seats"), [
    ((), (), {"bag": 3}), (("a",), (), {"a": 3}), (("a", "b"), (), {"a": 3, "b": 0}),
    (("a", "b", "c"), (1, 0, 2), {"a": 1, "b": 0, "c": 2}),
])  # fmt: skip
def test_untold_all_pieces_belong_to_the_first_place(parts: Any, shares: Any, seats: dict[str, int]) -> None:
    doc = group_doc({"code": "B", "name": "bag", "qty": 3, "parts": parts, "shares": shares})
    assert State({"group": {"bag": doc}}).group("bag").seats == seats


@pytest.mark.parametrize(("doc", "said"), [
    ({}, "apart"), ({"ends": {"a": "2026-11-25"}}, "end B apart"),
    ({"ends": {"b": "2026-11-25"}}, "end A apart"),
    ({"ends": {"a": "2026-11-25", "b": "2026-11-25"}}, "joined"), ({"joined": "2026-11-25"}, "joined"),
])  # fmt: skip
def test_how_a_connection_stands(doc: dict[str, Any], said: str) -> None:
    """In older ledgers both ends were joined at once."""
    whole = {"kind": "hose", "number": 1, "a": "pump", "b": "filter", **doc}
    (found,) = connections(State({"connection": {"k": whole}}))
    assert found.state == said and found.joined is (said == "joined")


@pytest.mark.parametrize(("one", "other", "same"), [
    ({"zone": "rack", "level": "1"}, {"zone": "rack", "level": "1", "x_mm": 5.0}, True),
    ({"zone": "rack", "level": "1"}, {"zone": "rack", "level": "2"}, False),
    ({"zone": "a"}, {"zone": "b"}, False),
    ({"group": "tub"}, {"group": "tub", "how": "on"}, True), ({"group": "tub"}, {"group": "box"}, False),
    ({"to": "Moss"}, {"to": "Moss"}, True), ({"to": "Moss"}, {"to": "Ann"}, False),
    (None, {"zone": "a"}, False),
])  # fmt: skip
def test_two_whereabouts_are_one_place(one: Any, other: Any, same: bool) -> None:
    assert _same(one, other) is same


@pytest.mark.parametrize(("kind", "n", "said"), [
    ("never", 1, "1 was never there"), ("never", -2, "2 were never there"), ("lost", -3, "3 lost"),
    ("found", 1, "1 found, though nobody took it off"), ("found", 2, "2 found, though nobody took them off"),
    ("taken", -1, "1 never came off"), ("taken", 1, "1 more came off"), ("another", 1, ""),
])  # fmt: skip
def test_what_became_of_pieces_is_said_of_one_and_of_more(kind: str, n: int, said: str) -> None:
    assert _posting_said({"kind": kind, "n": n}) == said


def test_a_milestone_whose_parts_are_on_holds_nobody_up_from_today() -> None:
    job = engine()
    closed(job, "belt guard")
    job.fit("belt guard", anyway="to try", by="ann")
    held = hold_up(job.state, "engine closed", TODAY)
    assert (held.first, held.last) == (TODAY, TODAY)


@pytest.mark.parametrize(("doc", "said"), [
    ({"state": "here"}, "here"), ({"state": "here", "here": "2027-02-01"}, "here since 1 February"),
])  # fmt: skip
def test_what_came_says_since_when_only_where_that_was_told(doc: dict[str, Any], said: str) -> None:
    here = expected(doc, TODAY)
    assert here is not None and _sentence(doc, None, None, None, here, TODAY) == said
