"""Every field of every record, set by command, by typed line and by a form's rows, gives one document."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from shopbins.desk import Desk
from shopbins.records import care, kinds, milestone, shortage
from shopbins.records.record import Act, Field, Record
from shopbins.records.registry import RECORDS

Run = Callable[..., Any]
DAY = date(2026, 5, 4)
TYPED = {
    kinds.TEXT: "1.5 mm copper", kinds.NOTE: "ring before noon", kinds.COUNT: "3", kinds.SPAN: "10-20 days",
    kinds.PERIOD: "30 days", kinds.EACH_HOURS: "250", kinds.HOURS: "4000", kinds.DATE: "2026-05-01",
    kinds.PAST: "2026-05-01",
    kinds.DUE: "2999-01-01", kinds.POSITION: "crank", kinds.POSITIONS: "crank", kinds.MILESTONE: "closed",
    kinds.MACHINE: "engine", kinds.NEEDED: "crank", kinds.YES: "yes",
}  # fmt: skip
"""Of each kind of value, one as it is typed."""

WORD = {("shortage", "unit"): "tubes"}
"""Where only some words are told by their shape."""

WORDS = {"shortage": ["shortage", "add"], "care": ["care"], "milestone": ["milestone"]}
ACTS = {"shortage": shortage.ADD, "care": care.ADD, "milestone": milestone.SET}
BESIDE = {("shortage", "unit"): ("qty",), ("care", "machine"): ("every_days",)}
"""What is said beside a field so that the whole makes sense."""

CASES = [
    pytest.param(record, field, id=f"{record.table}-{field.name}")
    for record in RECORDS
    for field in record.fields
    if field.option
]


def said(record: Record, field: Field) -> dict[str, Any]:
    """Values as typed that set a field, with what it needs beside it."""
    names = [field.name, *BESIDE.get((record.table, field.name), ())]
    if record.table == "care" and not {"every_days", "every_hours"} & set(names):
        names.append("every_days")
    values: dict[str, Any] = {"name": "a thing"}
    for name in names:
        each = record.field(name)
        read = each.kind.read(WORD.get((record.table, name), TYPED[each.kind]), DAY)
        values[name] = [read] if each.many else read
    return values


def line_of(record: Record, values: dict[str, Any]) -> str:
    """The line as the program says it was understood, typed again."""
    parts = record.understood(values).split(" · ")
    return ", ".join(part for part in parts if not part.endswith("not known"))


def options(record: Record, values: dict[str, Any]) -> Iterator[str]:
    for name, value in values.items():
        field = record.field(name)
        if field.kind is kinds.YES:
            yield field.option
        elif field.option:
            text = field.kind.show(value[0] if field.many else value)
            yield from (field.option, f"{text} h" if name == "every_hours" else text)


@pytest.fixture
def job(run: Run) -> Run:
    assert run("take", "crank", "--origin", "engine > bottom").status == 0
    assert run("milestone", "closed", "--needs", "crank").status == 0
    return run


def made(shop: Path, record: Record, do: Callable[[Desk], object]) -> dict[str, Any]:
    """Return the one document of the record that was made, and take it back."""
    with Desk.open(shop, by="tester") as desk:
        before = dict(desk.state.docs(record.table))
    with Desk.open(shop, by="tester") as desk:
        do(desk)
    with Desk.open(shop, by="tester") as desk:
        after = desk.state.docs(record.table)
        (key,) = after.keys() - before.keys()
        doc = dict(after[key])
        desk.undo()
        assert dict(desk.state.docs(record.table)) == before
    return doc


@pytest.mark.parametrize(("record", "field"), CASES)
def test_three_doors_make_one_document(job: Run, shop: Path, record: Record, field: Field) -> None:
    values, act = said(record, field), ACTS[record.table]

    def by_command(_desk: Desk) -> None:
        answer = job(*WORDS[record.table], "a thing", *options(record, values))
        assert answer.status == 0, answer.err

    line = line_of(record, values)
    rows = record.rows(values)
    command = made(shop, record, by_command)
    typed = made(shop, record, lambda desk: desk.do(act(**record.read_new(line, DAY))))
    form = made(shop, record, lambda desk: desk.do(act(**record.read_rows(rows, DAY))))
    assert command == typed == form
    assert {name for name in values if name not in ("needs",)} <= command.keys()


@pytest.mark.parametrize(("record", "field"), CASES)
def test_what_is_understood_is_read_back_the_same(record: Record, field: Field) -> None:
    values = said(record, field)
    line = line_of(record, values)
    assert record.read(line, DAY) == values
    assert record.read_rows(record.rows(values), DAY) == values


def test_every_record_has_its_doors() -> None:
    assert {each.table for each in RECORDS} == WORDS.keys() == ACTS.keys()
    assert all(isinstance(act, Act) and act.fields for act in ACTS.values())
