"""Every field of every record, set by command, by typed line and by a form's rows, gives one document."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from shopbins.desk import Desk, moving
from shopbins.desk.movewords import KEYS, told
from shopbins.desk.movewords import said as moving_said
from shopbins.records import (
    care,
    connection,
    how,
    inspection,
    kinds,
    machine,
    matched,
    milestone,
    position,
    shortage,
    work,
)
from shopbins.records.group import CHANGE, GROUP
from shopbins.records.moving import Moving, moving_from
from shopbins.records.record import Act, Field, Record, Wanted
from shopbins.records.registry import RECORDS
from shopbins.strip.tree import listed
from shopbins.tui.parts.entryline import read_figure, read_line, taken
from shopbins.tui.parts.entryrows import line_of as line_of_rows
from shopbins.tui.parts.entryrows import rows_of
from shopbins.tui.parts.measuring import read_measures

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


# -- what has no line made of its fields: a part, a machine, a place on it, what is known for moving

CAME = {
    "origin": (["--origin", "engine > top"], "engine > top"),
    "container": (["--container", "bag"], "bag"),
    "size": (["--size", "about 300x200x150mm"], "about 300x200x150 mm"),
    "mass": (["--mass", "about 2.5 kg"], "about 2.5 kg"),
    "qty": (["--qty", "3"], "x 3"),
    "cautions": (["--caution", "sharp", "--caution", "lapped face"], "caution sharp, caution lapped face"),
    "one_use": (["--one-use"], "one-use"),
    "counted": (["--counted", "holes"], "by holes"),
}
"""Of a part that comes off, by field: as an option, as a part of the line."""

LATER = {"name": "main jet", "disposition": "repair", "note": "ring before noon", "elsewhere": "winch"}
"""What no line says, as it is typed; `details` are pairs."""


def test_every_field_of_a_part_has_its_doors() -> None:
    assert {*CAME, *LATER, "details"} == {field.name for field in GROUP.fields}


def without_tag(made: dict[str, Any]) -> dict[str, Any]:
    """What differs from one to the next: the code given out, and the second it came off."""
    return {**made, "group": {k: v for k, v in made["group"].items() if k not in ("code", "taken_at")}}


@pytest.mark.parametrize("field", CAME)
def test_three_doors_take_one_part_off(job: Run, shop: Path, field: str) -> None:
    options, part = CAME[field]

    def by_command(_desk: Desk) -> None:
        answer = job("--by", "tester", "take", "oil jet", *options)
        assert answer.status == 0, answer.err

    came = read_line(f"oil jet, {part}")
    rows = {key: each.text for key, each in rows_of(came).items()}
    command = made(shop, by_command)
    typed = made(shop, lambda desk: desk.take(**taken(came, ())))
    form = made(shop, lambda desk: desk.take(**taken(read_line(line_of_rows(rows)), ())))
    assert without_tag(command) == without_tag(typed) == without_tag(form)
    assert field in command["group"]


@pytest.mark.parametrize(("field", "text"), [("mass", "about 2.5 kg"), ("size", "300x200x150 mm")])
def test_three_doors_measure_one_part(job: Run, shop: Path, field: str, text: str) -> None:
    command = made(shop, lambda _: job("--by", "tester", "set", "crank", f"--{field}", text))
    rows = read_measures(text)
    line = made(shop, lambda desk: desk.do(CHANGE("crank", **{field: read_figure(field, rows[field].text)})))
    form = made(shop, lambda desk: desk.do(CHANGE("crank", **{field: read_figure(field, text)})))
    assert command == line == form and command["group"][field]


@pytest.mark.parametrize(("field", "text"), LATER.items())
def test_what_is_said_of_a_part_later_is_kept_alike(job: Run, shop: Path, field: str, text: str) -> None:
    command = made(shop, lambda _: job("--by", "tester", "set", "crank", GROUP.field(field).option, text))
    script = made(shop, lambda desk: desk.do(CHANGE("crank", **GROUP.read_rows({field: text}, DAY))))
    assert command == script and field in command["group"]


@pytest.mark.parametrize("field", [each.name for each in machine.ADD.fields])
def test_a_machine_is_kept_alike(job: Run, shop: Path, field: str) -> None:
    text = f"a {field}"
    words = ["--by", "tester", "machine", "winch", f"--{field}", text]
    command = made(shop, lambda _: job(*words))
    script = made(shop, lambda desk: desk.do(machine.ADD("winch", **{field: text})))
    assert command == script and command["machine"][field] == text
    assert job("--by", "tester", "machine", "winch", "--name", "the winch").status == 0
    command = made(shop, lambda _: job(*words))
    script = made(shop, lambda desk: desk.do(machine.SET("winch", **{field: text})))
    assert command == script and command["machine"][field] == text


PLACED = {"qty": "3", "number": "ED 1", "spec": "M12 x 40"}
"""Of a place on the machine that a list names: what it says beside name and origin."""


@pytest.mark.parametrize("field", PLACED)
def test_a_listed_place_is_kept_alike(job: Run, shop: Path, field: str) -> None:
    (shop.parent / "parts.csv").write_text(f"Machine,Name,What\nengine,sump,{PLACED[field]}\n", "utf-8")
    columns = ("--column", "machine=Machine", "--column", "name=Name", "--column", f"{field}=What")
    value = int(PLACED[field]) if field == "qty" else PLACED[field]

    def kept(do: Callable[[Desk], object]) -> dict[str, Any]:
        found: dict[str, Any] = {}

        def work(desk: Desk) -> None:
            do(desk)
            desk.refresh()
            found.update(listed(desk.state))

        made(shop, work)
        return {key: doc for key, doc in found.items() if doc.get("name") == "sump"}

    by_list = kept(lambda _: job("--by", "tester", "import", "parts.csv", *columns))
    script = kept(lambda desk: desk.do(position.ADD("sump", origin=("engine",), **{field: value})))
    (doc,) = by_list.values()
    assert by_list == script and doc[field] == value


MOVED = {
    "outline": "1600x900mm", "height": "900", "alone": "0,0 1500x800mm", "cg": "20,0 +- 15 mm",
    "cg height": "400 +- 20 mm", "foot": "-700,300 100x100mm; 700,300", "jack": "0,10 a", "sling": "0,400",
    "sling height": "800", "under": "110", "opening": "500", "pallet": "EUR", "runners": "700 mm",
    "base": "skid; 170 mm; about 48 kg", "comes off": "beam; 560,0 120x1460mm; 260 to 400; 34kg",
    "machine": "engine", "whole": "about 1600 kg", "strap": "100,0", "drain": "oil",
}  # fmt: skip
"""What is known of a part for moving it, each as it is typed."""


@pytest.mark.parametrize("key", KEYS)
def test_what_is_known_for_moving_is_kept_alike_and_said_as_it_is_typed(
    job: Run, shop: Path, key: str
) -> None:
    command = made(shop, lambda _: job("--by", "tester", "set", "crank", "--moving", f"{key}={MOVED[key]}"))
    row = made(shop, lambda desk: moving.tell(desk, "crank", {key: MOVED[key]}))
    assert command == row
    known = moving_from(command["group"]["move"])
    if key != "comes off":  # of which the name only is said
        assert told(Moving(), moving_said(known), str) == known


def test_what_is_found_lying_there_has_the_number_of_its_list_until_it_is_counted(job: Run) -> None:
    """As what comes off has; a number that is typed is a count."""
    Path("parts.csv").write_text("Machine,Name,Qty\nengine,studs,8\nengine,nuts,8\n", "utf-8")
    assert job("import", "parts.csv").status == 0
    assert job("catchup", "bench", stdin="studs\nnuts x 6\n").status == 0
    with Desk.open("shop.yaml", readonly=True) as desk:
        found = {each.name: (each.qty, each.counted) for each in desk.state.groups()}
    assert (found["studs"], found["nuts"]) == ((8, "assumed"), (6, ""))
