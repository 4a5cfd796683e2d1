"""The order findings are told in, what they fold to, and which of two limits is the worse broken."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import Any

import pytest
from building import Pile, box, shop

from shopbins.answer import Accepted, Verdict
from shopbins.rules import limits
from shopbins.rules.finding import Finding, worst_first
from shopbins.rules.folding import MOST_NOTES, Folded, lines
from shopbins.rules.rule import Advice
from shopbins.rules.wayout import _between, _enough, _judged, _narrow, _worse
from shopbins.rules.ways import remedy_for
from shopbins.scene.standing import Standing
from shopbins.scene.waysout import WayOut
from shopbins.shop.model import Door, Limits
from shopbins.units import show_length

LET = Accepted("Ana", "for the day")


def finding(rule: str = "aisle", grade: Any = "stop", of: str = "a", text: str = "", **more: Any) -> Finding:
    return Finding(rule, grade, (f"group:{of}",), text or f"{rule} {of}", **more)


IN_ORDER = [
    finding("way-out"), finding("point-load", measured=9.0, limit=3.0),
    finding("point-load", of="b", measured=4.0, limit=3.0),
    finding("point-load", of="c", measured=3.5, limit=3.0), finding("point-load", of="d"),
    finding("not in the list"), finding("loose"), finding("way-out", accepted=LET),
    finding("way-out", "correct", judged=False), finding("way-out", "note"),
    finding("loose", "note", room="a"), finding("loose", "note", "b", room="b"),
    finding("loose", "note", "c", room="b"), finding("way-out", "note", judged=False),
]  # fmt: skip


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_worst_first_then_what_nobody_accepted_then_what_hurts_most(seed: int) -> None:
    mixed = list(IN_ORDER)
    random.Random(seed).shuffle(mixed)
    assert [(f.id, f.grade) for f in worst_first(mixed)] == [(f.id, f.grade) for f in IN_ORDER]


@pytest.mark.parametrize(("grade", "more", "verdict"), [
    ("stop", {}, Verdict.NO), ("correct", {}, Verdict.FIX), ("note", {}, Verdict.YES),
    ("note", {"judged": False}, Verdict.OPEN), ("stop", {"accepted": LET}, Verdict.ACCEPTED),
])  # fmt: skip
def test_a_finding_as_a_part_of_an_answer(grade: Any, more: dict[str, Any], verdict: Verdict) -> None:
    assert finding(grade=grade, **more).part.verdict is verdict


def folded(*found: Finding) -> list[Folded]:
    return lines(Pile().scene(shop()), found)


def test_an_audit_folds_to_what_hurts_then_records_then_notes() -> None:
    told = folded(
        finding("aisle"), finding("aisle", "stop", "b", accepted=LET),
        finding("aisle", "note", "c", accepted=LET), finding("aisle", "correct", "d"),
        finding("unplaced", "note"), finding("unplaced", "note", "b"), finding("for-now", "note"),
        finding("lift", "note"), finding("lift", "note", "b"), finding("seat", "note", remedy="keep it so"),
        finding("ramp", "note", judged=False, gap="breaks"),
        finding("ramp", "note", "b", judged=False, gap="missing"),
        finding("ramp", "note", "c", judged=False, gap="keeps"),
    )  # fmt: skip
    assert [(each.kind, each.text) for each in told] == [
        ("stop", "aisle a"), ("accepted", "aisle b"), ("to fix", "aisle d"),
        ("records", "2 alike, first: unplaced a"), ("note", "2 alike, first: lift a"),
        ("not checked", "ramp a"), ("not checked", "ramp b"),
    ]  # fmt: skip
    assert [len(each.findings) for each in told] == [1, 1, 1, 2, 2, 1, 1]


def test_of_what_was_not_checked_only_some_lines_are_told() -> None:
    asked = [finding(f"r{n}", "note", judged=False, gap="missing") for n in range(MOST_NOTES + 2)]
    assert [each.kind for each in folded(*asked[:-2])] == ["not checked"] * MOST_NOTES
    last = folded(*asked, finding("lift", "note"), finding("ramp", "note", judged=False, gap="breaks"))[-1]
    assert (last.kind, last.text, len(last.findings)) == ("more", "+ 4 more not checked", 4)


def test_stale_tags_are_counted_and_parts_without_a_place_said_apart() -> None:
    told = folded(
        finding("stale tags", "note", measured=2.0), finding("stale tags", "note", "b", measured=3.0)
    )
    assert [each.text for each in told] == ["5 labels out of date in 2 places"]
    assert [each.text for each in folded(finding("stale tags", "note", measured=1.0))] == [
        "1 label out of date in 1 place"
    ]


# --- advice -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("measured", "most", "said"), [
    (700.0, False, ", short by 211 mm"), (911.0, False, ""), (1000.0, False, ""), (None, False, ""),
    (1000.0, True, ", over by 89 mm"), (911.0, True, ""), (None, True, ""),
])  # fmt: skip
def test_advice_says_by_how_much_it_is_broken(measured: float | None, most: bool, said: str) -> None:
    by = limits.rows("exit-width", "us")[0]
    told = Advice(by, 911.0, measured, most).said(show_length)
    assert told == f"us 911 mm ({by.source}{', from memory' if by.doubt else ''}){said}"
    assert f"911 mm walked ({by.source}" in Advice(by, 911.0, None, note="walked").said(show_length)


# --- ways out ---------------------------------------------------------------------------------------------

WAY = Door("out", "the exit", "hall", "outside", ((0, 0), (900, 0)), 900, 2000, "open", (), exit=True)
CRATE = Standing("group:c", "group:c", "crate", "C", "hall", box(0, 0, 1, 1), 0.0, 500.0)


@pytest.mark.parametrize(("rules", "width", "there", "told"), [
    ("us", 750.0, True, ("stop", 800.0)), ("us", 750.0, False, ("correct", 800.0)),
    ("us", 800.0, True, None), ("us", 711.0, True, ("stop", 800.0)), ("us", 711.0, False, ("stop", 711.2)),
    ("us", 499.0, False, ("stop", 711.2)), ("own", 499.0, False, ("correct", 800.0)),
    ("own", 499.0, True, ("stop", 800.0)), ("own", 0.0, False, ("stop", 800.0)),
    ("bare", 500.0, True, None), ("bare", 499.0, True, ("stop", 500.0)),
    ("bare", 499.0, False, ("correct", 500.0)),
])  # fmt: skip
def test_of_two_broken_limits_the_worse_and_then_the_greater_is_told(
    rules: str, width: float, there: bool, told: tuple[str, float] | None
) -> None:
    # 29 CFR 1910.36(g)(2): 28 in; what the building itself leaves is the builder's to mend. 500 mm: own
    out = WayOut("hall", WAY, width, (CRATE if there else "wall:hall", "wall:hall"), ((0, 0), (1, 0)), 9.0)
    bare = rules == "bare"
    whole = shop(rules="own" if bare else rules, limits=Limits(exit_mm=None if bare else 800))
    found = _judged(whole, out)
    assert (found and (found[1], found[0])) == (told and (told[0], pytest.approx(told[1])))


@pytest.mark.parametrize(("then", "now", "worse"), [
    (None, ("note", 1000.0), True), (("correct", 500.0), ("stop", 500.0), True),
    (("stop", 5.0), ("correct", 5.0), False), (("stop", 500.0), ("stop", 499.0), True),
    (("stop", 500.0), ("stop", 500.0), False), (("stop", 499.0), ("stop", 500.0), False),
    (("stop", 500.0), ("stop", None), True), (("stop", None), ("stop", None), False),
    (("stop", None), ("stop", 5.0), False),
])  # fmt: skip
def test_a_way_out_is_worse_by_grade_then_by_width_and_worst_where_there_is_none(
    then: Any, now: Any, worse: bool
) -> None:
    before = None if then is None else finding("way-out", then[0], measured=then[1])
    assert _worse(finding("way-out", now[0], measured=now[1]), before) is worse


@pytest.mark.parametrize(("ends", "said"), [
    ((CRATE, "spot"), "where its largest free spot is, beside crate"),
    (("spot", "wall:hall"), "where its largest free spot is, beside the wall of the hall"),
    ((CRATE, "wall:hall"), "between crate and the wall of the hall"),
    (("door:out", "door:out"), "which is the opening of the exit"),
    (("wall:hall", "wall:hall"), "within the wall of the hall"), ((CRATE, CRATE), "within crate"),
])  # fmt: skip
def test_where_a_way_out_is_narrowest_is_said_by_its_two_ends(ends: Any, said: str) -> None:
    out = WayOut("hall", WAY, 700.0, ends, ((0, 0), (1, 0)), 9.0)
    assert _between(shop(doors=[WAY]), out) == said


@pytest.mark.parametrize(("rules", "own", "limit", "source"), [
    ("own", 650, 650, "limits of the shop file"), ("us", 650, 650, "limits of the shop file"),
    ("us", None, 711.2, "29 CFR 1910.36(g)(2)"), ("own", None, None, ""),
])  # fmt: skip
def test_a_way_that_is_wide_enough_is_kept_so(rules: str, own: float | None, limit: Any, source: str) -> None:
    out = WayOut("hall", WAY, 720.0, (CRATE, "wall:hall"), ((0, 0), (1, 0)), 9.0)
    found = _enough(shop(rules=rules, limits=Limits(exit_mm=own)), "the hall", out)
    assert (found.grade, found.measured, found.limit) == ("note", 720, limit)
    assert found.source.startswith(source) and found.judged is (limit is not None)
    kept, asked = "keep it so", "write the least width you want: limits: {exit: 800 mm}"
    assert found.remedy == (asked if limit is None else kept)


@pytest.mark.parametrize(("further", "width", "grade", "said"), [
    (False, 720.0, "stop", False), (True, 649.0, "stop", True), (True, 650.0, "correct", True),
])  # fmt: skip
def test_a_narrow_way_out_is_only_to_fix_where_another_is_wide_enough(
    further: bool, width: float, grade: str, said: bool
) -> None:
    whole = shop(limits=Limits(exit_mm=650))
    out = WayOut("hall", WAY, 600.0, (CRATE, "wall:hall"), ((0, 0), (2, 0)), 9.0)
    other = replace(out, exit=replace(WAY, key="back", name="the back"), width_mm=width)
    limit = _judged(whole, out)
    assert limit is not None
    found = _narrow(whole, "the hall", out, limit, other if further else out)
    assert (found.grade, found.limit, found.at_mm) == (grade, 650, (1, 0))
    assert (f"to the back, further, {width:g} mm" in found.text) is said
    assert found.remedy == remedy_for([CRATE])
    bare = replace(out, ends=("wall:hall", "wall:hall"))
    assert _narrow(whole, "the hall", bare, limit, bare).remedy.startswith("a wider door")


BENCH = replace(CRATE, subject="zone:b", tag="zone:b", name="the bench", zone="b", movable=True)
RACK = replace(CRATE, subject="zone:r", tag="zone:r", name="the rack", zone="r", movable=False)
HELD = replace(CRATE, subject="group:h", tag="group:h", name="the head", movable=True)


@pytest.mark.parametrize(("chain", "held", "said"), [
    ([RACK], None, "the shop file puts the rack there: move it on Draw, or correct the walkway"),
    ([BENCH], None, "shift the bench out of it"), ([BENCH, HELD], None, "shift the head out of it"),
    ([HELD, RACK], None, "shift the head out of it, or the rack on Draw"),
    ([HELD], HELD, "put the head elsewhere"), ([HELD, RACK], HELD, "put the head elsewhere"),
    ([HELD, BENCH], HELD, "put the head elsewhere, or shift the bench"),
])  # fmt: skip
def test_what_is_to_be_shifted_groups_first_and_what_is_held_before_all(
    chain: Any, held: Any, said: str
) -> None:
    assert remedy_for(chain, held) == said
