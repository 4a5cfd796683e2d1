"""Every field of every record, set by command, by typed line and by a form's rows, gives one document."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from shopbins.desk import Desk
from shopbins.records import care, connection, how, inspection, kinds, matched, milestone, shortage, work
from shopbins.records.record import Act, Field, Record, Wanted
from shopbins.records.registry import RECORDS

Run = Callable[..., Any]
DAY = date(2026, 5, 4)
TYPED = {
    kinds.TEXT: "1.5 mm copper", kinds.NOTE: "ring before noon", kinds.COUNT: "3", kinds.SPAN: "10-20 days",
    kinds.PERIOD: "30 days", kinds.EACH_HOURS: "250", kinds.HOURS: "4000", kinds.DATE: "2026-05-01",
    kinds.PAST: "2026-05-01",
    kinds.DUE: "2999-01-01", kinds.POSITION: "crank", kinds.POSITIONS: "crank", kinds.MILESTONE: "closed",
    kinds.MACHINE: "engine", kinds.NEEDED: "crank", kinds.YES: "yes", kinds.TORQUE: "65 N.m",
    kinds.ANGLE: "90", how.SHIM: "2 x 0.05 mm front", how.SCREW: "3 45 mm M8",
}  # fmt: skip
"""Of each kind of value, one as it is typed."""

WORD = {
    ("shortage", "unit"): "tubes", ("connection", "kind"): "hose", ("part", "no_shims"): "1",
    ("inspection", "measured"): "59.97 mm", ("inspection", "low"): "59.96 mm",
    ("inspection", "high"): "59.99 mm", ("concession", "limits"): "journal 1 >= 59.8 mm",
    ("concession", "until"): "2999-01-01",
}  # fmt: skip
"""Where only some words are told by their shape, or make sense."""


class Door(NamedTuple):
    """A record: the act that makes one, the words its command begins with, what is always said of one."""

    record: Record
    act: Callable[..., Wanted]
    words: Callable[[dict[str, Any]], list[str]]
    always: tuple[str, ...] = ("name",)


def positional(record: Record, values: dict[str, Any]) -> list[str]:
    """What a command takes without an option, in its order."""
    return [values[field.name] for field in record.fields if not field.option and field.name in values]


def _crank(record: Record, act: Act, *words: str) -> Door:
    return Door(record, partial(act, "crank"), lambda values: [*words, *positional(record, values)])


DOORS = (
    Door(shortage.SHORTAGE, shortage.ADD, lambda values: ["shortage", "add", values["name"]]),
    Door(care.CARE, care.ADD, lambda values: ["care", values["name"]]),
    Door(milestone.MILESTONE, milestone.SET, lambda values: ["milestone", values["name"]], ("name", "by")),
    _crank(how.CAME_OFF, how.HOW, "how", "crank")._replace(always=()),
    _crank(inspection.INSPECTION, inspection.INSPECT, "inspect", "crank")._replace(
        always=("what", "measured", "low")
    ),
    _crank(inspection.CONCESSION, inspection.CONCEDE, "concede", "crank")._replace(
        always=("reason", "limits")
    ),
    Door(connection.CONNECTION, connection.CONNECT,
         lambda values: ["connect", values["kind"], values["a"], values["b"]], ("kind", "a", "b")),
    Door(matched.MATCHED, partial(matched.MATCH, groups=["crank", "rod"]),
         lambda values: ["match", values["name"], "crank", "rod"]),
    Door(work.WORK, partial(work.LIST, "crank"),
         lambda values: ["work", "crank", "--list", ", ".join(values["points"])], ()),
)  # fmt: skip
BESIDE = {
    ("shortage", "unit"): ("qty",), ("care", "machine"): ("every_days",), ("part", "no_shims"): ("reason",),
    ("set", "seats"): ("seats",),
}  # fmt: skip
"""What is said beside a field so that the whole makes sense."""


def shown(field: Field) -> bool:
    """Whether a person says it: the rest is the program's, or is pointed at."""
    return bool(field.says or field.option) and (bool(field.option) or not field.kind.thing)


CASES = [
    pytest.param(door, field, id=f"{door.record.table}-{field.name}")
    for door in DOORS
    for field in door.record.fields
    if shown(field)
]


def said(door: Door, field: Field) -> dict[str, Any]:
    """Values as typed that set a field, with what it needs beside it."""
    record = door.record
    names = [*door.always, field.name, *BESIDE.get((record.table, field.name), ())]
    if record.table == "care" and not {"every_days", "every_hours"} & set(names):
        names.append("every_days")
    values: dict[str, Any] = {}
    for each in record.fields:
        if each.name in names:
            text = "a thing" if each.name == "name" else WORD.get((record.table, each.name), "")
            read = each.kind.read(text or TYPED[each.kind], DAY)
            values[each.name] = [read] * (2 if each.name == "seats" else 1) if each.many else read
    return values


def line_of(record: Record, values: dict[str, Any]) -> str:
    """The line as the program says it was understood, typed again."""
    parts = record.understood(values).split(" · ")
    return f"{record.divider} ".join(part for part in parts if not part.endswith("not known"))


def options(record: Record, values: dict[str, Any]) -> Iterator[str]:
    for name, value in values.items():
        field = record.field(name)
        if field.kind is kinds.YES:
            yield field.option
        elif field.option:
            for each in value if field.many else [value]:
                text = field.kind.show(each)
                yield from (field.option, f"{text} h" if name == "every_hours" else text)


@pytest.fixture
def job(run: Run) -> Run:
    for line in (
        ["take", "crank", "--origin", "engine > bottom"],
        ["take", "rod", "--origin", "engine > bottom"],
        ["milestone", "closed", "--needs", "crank"],
        ["how", "crank", "--shim", "4,1mm"],
    ):
        assert run(*line).status == 0
    assert run("inspect", "crank", "journal 1", "59.9 mm", "--min", "59.96 mm").status == 1
    return run


def made(shop: Path, do: Callable[[Desk], object]) -> dict[str, Any]:
    """Return what an act changed, by table, and take it back."""
    with Desk.open(shop, by="tester") as desk:
        before = desk.seq
    with Desk.open(shop, by="tester") as desk:
        do(desk)
    with Desk.open(shop, by="tester") as desk:
        assert desk.seq == before + 1
        ((event, _),) = desk.last_steps(1)
        desk.undo(reason="measured again")
    changed: dict[str, Any] = {}
    for subject, fields in event.after.items():
        changed[subject.partition(":")[0]] = {**(fields or {}), "by": None}
    return changed


@pytest.mark.parametrize(("door", "field"), CASES)
def test_three_doors_make_one_document(job: Run, shop: Path, door: Door, field: Field) -> None:
    record, values = door.record, said(door, field)

    def by_command(_desk: Desk) -> None:
        answer = job("--by", "tester", *door.words(values), *options(record, values))
        assert answer.status == 0, answer.err

    line, rows = line_of(record, values), record.rows(values)
    command = made(shop, by_command)
    typed = made(shop, lambda desk: desk.do(door.act(**record.read_new(line, DAY))))
    form = made(shop, lambda desk: desk.do(door.act(**record.read_rows(rows, DAY))))
    assert command == typed == form
    assert record.table in command


@pytest.mark.parametrize(("door", "field"), CASES)
def test_what_is_understood_is_read_back_the_same(door: Door, field: Field) -> None:
    record, values = door.record, said(door, field)
    assert record.read(line_of(record, values), DAY) == values
    assert record.read_rows(record.rows(values), DAY) == values


def test_every_record_has_its_doors() -> None:
    assert {each.table for each in RECORDS} == {door.record.table for door in DOORS}
