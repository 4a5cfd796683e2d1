"""Who may accept what, and until when it holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from building import box, shop

from shopbins.answer import Accepted
from shopbins.ledger.state import State
from shopbins.records.accepted import Acceptable, accept
from shopbins.rules.accepting import acceptable, applied, covering
from shopbins.rules.finding import Finding, counts, status
from shopbins.rules.tally import Tally, tally
from shopbins.shop.model import KeepClear, Walkway

DAY = date(2026, 3, 1)
HERE = shop(
    keep_clear=[
        KeepClear("board", "board", "hall", box(0, 0, 900, 900), "switchgear"),
        KeepClear("ext", "ext", "hall", box(2000, 0, 2600, 600), "extinguisher"),
        KeepClear("tap", "tap", "hall", box(4000, 0, 4600, 600), "stop valve"),
    ],
    walkways=[
        Walkway("out", "out", ((0, 4000), (10_000, 4000)), 1000, exit_route=True, rooms=("hall",)),
        Walkway("in", "in", ((0, 6000), (10_000, 6000)), 1000, rooms=("hall",)),
    ],
)


def found(rule: str, grade: str, *subjects: str, **more: object) -> Finding:
    return Finding(rule, grade, subjects, "it is so", **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("finding", "only"),
    [
        (found("floor-load", "stop", "group:X", "room:hall"), True),
        (found("point-load", "stop", "group:X", "room:hall"), True),
        (found("level-load", "stop", "zone:bench"), False),
        (found("way-out", "stop", "room:hall"), True),
        (found("walkway", "stop", "walkway:out", "group:X"), True),
        (found("walkway", "stop", "walkway:in", "group:X"), False),
        (found("keep-clear", "stop", "keep clear:board", "group:X"), True),
        (found("keep-clear", "stop", "keep clear:ext", "group:X"), True),
        (found("keep-clear", "stop", "keep clear:tap", "group:X"), False),
        (found("way-out", "correct", "room:hall"), False),
    ],
)
def test_what_is_only_ever_accepted_for_now(finding: Finding, only: bool) -> None:
    what = acceptable(HERE, finding)
    assert what.only_for_now is only
    state = State()
    state.apply(accept(state, what, "it holds", by="ann", day=DAY).after, 1)
    (there,) = applied(state, [finding], 5.0)
    assert there.accepted == Accepted("ann", "it holds", DAY, None, only)


def held(finding: Finding, later: Finding, slack_mm: float = 5.0) -> bool:
    state = State()
    state.apply(accept(state, acceptable(HERE, finding), "it holds", by="ann", day=DAY).after, 1)
    return applied(state, [later], slack_mm)[0].accepted is not None


@pytest.mark.parametrize(("clear", "holds"), [(600.0, True), (640.0, True), (595.0, True), (594.9, False)])
def test_a_stop_holds_until_it_is_worse_by_more_than_the_measuring(clear: float, holds: bool) -> None:
    stop = found("walkway", "stop", "walkway:in", measured=600.0, limit=700.0, unit="mm")
    assert held(stop, replace(stop, measured=clear)) is holds


def test_what_was_to_fix_and_became_a_stop_is_asked_anew() -> None:
    fix = found("walkway", "correct", "walkway:in", measured=900.0, limit=1000.0, unit="mm")
    assert held(fix, replace(fix, measured=901.0))
    assert not held(fix, replace(fix, grade="stop"))


def test_a_note_is_dismissed_until_its_figure_is_another() -> None:
    note = found("tall-stack", "note", "group:X", measured=3.2, limit=3.0, unit="times")
    assert held(note, replace(note, measured=9.0))
    assert not held(note, replace(note, limit=4.0))
    assert not held(note, replace(note, grade="correct"))


def test_a_condition_holds_at_its_figure_for_its_own_id() -> None:
    what = Acceptable("move/mill/bay 3/skates/side", "condition", "12 mm at the door", 12.0, 10.0)
    state = State()
    state.apply(accept(state, what, "two of us watch it", by="ann", day=DAY).after, 1)
    assert covering(state, what, 0.5) == Accepted("ann", "two of us watch it", DAY, 12.0)
    assert covering(state, replace(what, measured=12.4), 0.5) is not None
    assert covering(state, replace(what, measured=13.0), 0.5) is None
    assert covering(state, replace(what, id="move/mill/bay 4/skates/side"), 0.5) is None
    assert covering(state, replace(what, measured=None), 0.5) is None


def test_what_is_accepted_is_counted_by_itself_and_a_dismissed_note_nowhere() -> None:
    yes = Accepted("ann", "it holds", DAY)
    every = [
        found("walkway", "stop", "walkway:in"), found("walkway", "correct", "walkway:in"),
        found("lift", "correct", "group:X"), found("lift", "note", "group:Y"),
        found("fit", "stop", "group:Z", accepted=yes), found("fit", "note", "group:Z", accepted=yes),
    ]  # fmt: skip
    counted = tally(every)
    assert (counted.stops, counted.to_fix, counted.notes, counted.in_findings, counted.accepted) == (
        1,
        1,
        1,
        3,
        1,
    )
    assert counts(every) == {"stop": 1, "correct": 2, "note": 1, "accepted": 1}
    assert [status(every[n:]) for n in range(7)] == [2, 2, 2, 2, 2, 0, 0] and status(every[1:3]) == 1
    assert counted.spread == "in 3 findings"
    assert Tally(stops=1, to_fix=2, in_findings=3).spread == "" == Tally().spread
