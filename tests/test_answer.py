"""One answer: its worst part decides, nothing judged is no yes, what was accepted is always said."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins.answer import Accepted, Answer, Part, Verdict, Words

GOES = Words("goes", "does not go", "depends", "not decided", "goes only with")
LIES = Words("put down", "not put down", open_is_yes=True)
ADA = Accepted("Ada", "props under it", date(2026, 3, 4))
PARTS = st.lists(
    st.sampled_from(Verdict).map(
        lambda v: Part(v, f"{v.name} thing", accepted=ADA if v is Verdict.ACCEPTED else None)
    )
)


@given(PARTS, st.sampled_from([GOES, LIES]))
def test_an_answer_is_its_worst_part(parts: list[Part], words: Words) -> None:
    answer = Answer(words, tuple(parts))
    worst = max((p.verdict for p in parts), default=Verdict.OPEN)
    assert answer.verdict is worst
    assert answer.status == (0 if answer.yes else 1)
    if worst is Verdict.NO:
        assert not answer.yes and answer.headline.startswith(words.no)
    if answer.yes:
        assert answer.headline.startswith(words.yes)


@given(PARTS, PARTS)
def test_more_parts_never_make_an_answer_better(parts: list[Part], more: list[Part]) -> None:
    before = Answer(GOES, tuple(parts))
    after = before + more
    assert not parts or after.verdict >= before.verdict
    assert not (parts and after.yes) or before.yes


def test_nothing_judged_is_never_a_yes() -> None:
    assert not Answer(GOES).yes
    assert Answer(GOES).headline == "not decided: nothing was checked"
    assert Answer(GOES).foot == "not checked"


@pytest.mark.parametrize("verdict", [Verdict.ASKED, Verdict.AGAIN, Verdict.OPEN, Verdict.NO])
def test_a_move_goes_only_without_anything_open(verdict: Verdict) -> None:
    assert not Answer(GOES, (Part(Verdict.YES, "fits"), Part(verdict, "it tips on the ramp"))).yes


def test_what_is_unknown_does_not_forbid_laying_down_but_is_said() -> None:
    answer = Answer(LIES, (Part(Verdict.YES, "fits"), Part(Verdict.OPEN, "mass not known")))
    assert answer.yes
    assert answer.headline == "put down, 1 not checked"


def test_no_stops_is_never_said_over_an_accepted_one() -> None:
    answer = Answer(LIES, (Part(Verdict.ACCEPTED, "crate in the walkway", accepted=ADA),))
    assert answer.foot == "0 stops, 1 accepted"
    assert answer.headline == "put down, accepted: crate in the walkway, by Ada (props under it)"
    assert answer.as_json()["accepted"][0]["by"] == "Ada"


def test_the_foot_counts_worst_first() -> None:
    parts = [Part(v, "x") for v in (Verdict.FIX, Verdict.NO, Verdict.FIX, Verdict.NO, Verdict.OPEN)]
    assert Answer(LIES, tuple(parts)).foot == "2 stops, 2 to fix, 1 not checked"


def test_a_headline_names_the_worst_and_counts_the_others() -> None:
    parts = tuple(Part(Verdict.NO, f"thing {n}") for n in range(4))
    assert Answer(GOES, parts).headline == "does not go: thing 0; thing 1 and 2 more"
