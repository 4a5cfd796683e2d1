"""What somebody let through: one record, older ledgers read alike, never without a name or a reason."""

from __future__ import annotations

from datetime import date

import pytest

from shopbins.answer import Accepted
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records.accepted import Acceptable, accept, acceptance, acceptances, take_back

DAY = date(2026, 3, 1)
STOP = Acceptable("walkway/walkway:a+group:X", "stop", "shut", 0.0, 700.0)


def after(state: State, draft: object) -> State:
    new = state.copy()
    new.apply(draft.after, state.seq + 1)  # type: ignore[attr-defined]
    return new


def test_one_record_with_name_reason_day_and_figures() -> None:
    state = after(State(), accept(State(), STOP, " props under it ", by="ann", day=DAY))
    found = acceptance(state, STOP.id)
    assert found is not None
    assert found.accepted == Accepted("ann", "props under it", DAY, 0.0)
    assert (found.kind, found.text, found.limit) == ("stop", "shut", 700.0)
    assert found.as_json() == {
        "id": STOP.id, "kind": "stop", "text": "shut", "by": "ann", "why": "props under it",
        "for_now": False, "since": "2026-03-01", "measured": 0.0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("why", "flag", "only", "for_now"),
    [("for now", False, False, True), ("it holds", True, False, True), ("it holds", False, True, True),
     ("it holds", False, False, False)],
)  # fmt: skip
def test_for_now(why: str, flag: bool, only: bool, for_now: bool) -> None:
    what = Acceptable("a/b", "stop", only_for_now=only)
    state = after(State(), accept(State(), what, why, by="ann", day=DAY, for_now=flag))
    assert acceptances(state)["a/b"].accepted.for_now is for_now
    assert acceptances(state)["a/b"].accepted.why == why


def test_accepting_anew_leaves_nothing_of_the_old() -> None:
    first = after(State(), accept(State(), STOP, "for now", by="ann", day=DAY))
    again = after(first, accept(first, Acceptable(STOP.id, "stop"), "it holds", by="bo", day=DAY))
    assert acceptances(again)[STOP.id].accepted == Accepted("bo", "it holds", DAY)


def test_older_ledgers_are_read_alike() -> None:
    state = State({"override": {"x/y": {"reason": "for now", "for_now": True, "measured": 3.0}}})
    assert acceptances(state)["x/y"].accepted == Accepted("", "for now", None, 3.0, True)
    new = after(state, accept(state, Acceptable("x/y", "stop"), "it holds", by="ann", day=DAY))
    assert not new.docs("override") and acceptances(new)["x/y"].accepted.by == "ann"
    assert not acceptances(after(state, take_back(state, "x/y")))


def test_what_cannot_be_recorded() -> None:
    with pytest.raises(BadValue, match="a reason"):
        accept(State(), STOP, "  ", by="ann", day=DAY)
    with pytest.raises(BadValue, match="who"):
        accept(State(), STOP, "it holds", by=" ", day=DAY)
    with pytest.raises(Refused, match="nothing is accepted"):
        take_back(State(), "x")


def test_for_now_with_a_name_is_by_that_name() -> None:
    from datetime import date

    from shopbins.records.accepted import Acceptable, accepted_doc

    what = Acceptable("walkway:a", "stop", "shut", only_for_now=True)
    doc = accepted_doc(what, "for now: Anselm", by="somebody", day=date(2026, 1, 2))
    assert (doc["by"], doc["why"], doc["for_now"]) == ("Anselm", "for now", True)
    doc = accepted_doc(what, "measured: fits", by="Ida", day=date(2026, 1, 2))
    assert (doc["by"], doc["why"]) == ("Ida", "measured: fits")
