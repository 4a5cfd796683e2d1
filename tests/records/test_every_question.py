"""Every question of every record gives an act that can be done: no type checker looks at its keywords."""

from __future__ import annotations

import inspect
from datetime import date
from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.records import care, shortage
from shopbins.records.record import About, Question, Record
from shopbins.records.registry import ACTS

DAY = date(2026, 5, 4)
TYPED = {"What does its hour counter read?": "4210", "For when is {name} promised?": "2999-01-01"}
CASES = [
    pytest.param(record, question, id=f"{record.table}-{question.label}")
    for record, questions in ((care.CARE, care.QUESTIONS), (shortage.SHORTAGE, shortage.QUESTIONS))
    for question in questions
]
SHOP = "shop: Slip\nprefix: S\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"


@pytest.mark.parametrize(("record", "question"), CASES)
def test_what_a_question_answers_is_done(tmp_path: Path, record: Record, question: Question) -> None:
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as desk:
        desk.take("crankshaft", origin=("engine", "bottom"))
        desk.do(shortage.ADD(name="shells", positions=["crankshaft"]))
        desk.do(care.ADD(name="hoses", every_days="1 year", every_hours=250.0, machine="engine"))
        (key, doc) = next(iter(desk.state.docs(record.table).items()))
        it = About(key, doc, desk.state, DAY)
        text = "" if not question.title else TYPED.get(question.title, question.example)
        assert isinstance(question.now(it), str) and question.title.format(**doc) is not None
        event = desk.do(question.answer(it, text))
        assert event.kind in ACTS and desk.undo()[1]


@pytest.mark.parametrize("kind", ACTS)
def test_every_act_says_what_it_did_and_in_which_table(kind: str) -> None:
    act = ACTS[kind]
    assert act.kind == kind and act.did and act.table
    assert len({field.name for field in act.fields}) == len(act.fields)
    takes = inspect.signature(act.draft).parameters
    assert act.signed is ({"by", "on"} <= takes.keys()), (
        "who did it, and on which day, is kept where it can be"
    )
    assert all(field.says or not field.option or field.name == "every_hours" for field in act.fields)
