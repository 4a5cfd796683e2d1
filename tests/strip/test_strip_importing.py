"""Parts lists: columns, bad rows by line, twice doubles nothing, what came off before finds its row."""

from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strip_job import Job, engine

from shopbins.ledger.lots import unbalanced
from shopbins.ledger.problems import BadValue, ReasonWanted, Refused
from shopbins.ledger.state import State
from shopbins.records import acts, pieces, position
from shopbins.records.pieces import correct
from shopbins.strip import importing
from shopbins.strip.count import count
from shopbins.strip.importing import (
    FIELDS,
    Sheet,
    guess,
    header_of,
    import_parts,
    news,
    read,
    remembered,
    xlsx_as_csv,
)
from shopbins.strip.order import Order
from shopbins.strip.tree import listed, match, positions

LIST = b"""\
Part No,Description,Assembly,Qty,Remarks
101,Big-end bolt,bottom,12,3/8 BSF
102,Bearing shell,bottom,6,
103,"Cover, rocker",top,1,
104,Bolt,top,,
105,Bolt,top,2,
"""


def taken(data: bytes, machine: str = "engine", columns: dict[str, int] | None = None) -> Sheet:
    return read(data, columns, machine)


def test_columns_are_guessed_and_rows_read() -> None:
    sheet = taken(LIST)
    assert dict(sheet.columns) == {"name": 1, "assembly": 2, "qty": 3, "number": 0, "spec": 4}
    assert not sheet.problems
    first = sheet.rows[0]
    assert (first.line, first.name, first.origin, first.qty) == (2, "Big-end bolt", ("engine", "bottom"), 12)
    assert (first.number, first.spec) == ("101", "3/8 BSF")
    assert sheet.rows[2].name == "Cover, rocker" and sheet.rows[3].qty is None


def test_bad_rows_are_named_by_line_and_the_rest_read() -> None:
    data = b'Name,Qty,Assembly\nbolt,two,top\n,3,top\n\n"two\nlines",1,top\nnut,0,top\n'
    data += b"stud,-1,top\nwasher,4,top\n"
    sheet = taken(data)
    assert [row.name for row in sheet.rows] == ["two lines", "washer"]
    assert [(line, text.split(":")[0]) for line, text in sheet.problems] == [
        (2, "the quantity 'two' is not a whole number"),
        (3, "has no name"),
        (7, "the quantity is 0"),
        (8, "the quantity '-1' is not a whole number"),
    ]
    assert [row.line for row in sheet.rows] == [6, 9]


@pytest.mark.parametrize("comma", [",", ";", "\t", "|"])
def test_delimiters_and_encodings(comma: str) -> None:
    text = LIST.decode().replace('"Cover, rocker"', "Cover rocker ü").replace(",", comma)
    for coding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        sheet = taken(text.encode(coding))
        assert len(sheet.rows) == 5 and sheet.rows[2].name == "Cover rocker ü"
    assert len(taken(text.replace("\n", "\r\n").encode()).rows) == 5


def test_importing_twice_doubles_nothing_whatever_the_order() -> None:
    state = State()
    state.apply(import_parts(state, taken(LIST)).after, 1)
    assert len(positions(state)) == 5
    with pytest.raises(Refused, match="known already"):
        import_parts(state, taken(LIST))
    lines = LIST.splitlines(keepends=True)
    turned = b"".join([lines[0], *reversed(lines[1:])])
    assert news(state, taken(turned)).same == 5
    more = turned + b"106,Sump,bottom,1,\n101,Big-end bolt,bottom,14,3/8 BSF\n"
    found = news(state, taken(more))
    assert [row.number for row in found.new.values()] == [
        "106",
        "101",
    ]  # a row twice is two
    changed = taken(LIST.replace(b"102,Bearing shell,bottom,6,", b"102,Bearing shell,bottom,8,std"))
    state.apply(import_parts(state, changed).after, 2)
    (shell,) = (doc for doc in listed(state).values() if doc["name"] == "Bearing shell")
    assert (shell["qty"], shell["spec"]) == (8, "std") and len(positions(state)) == 5


def test_renamed_and_moved_rows_stay_known() -> None:
    job = Job()
    job.do(import_parts(job.state, taken(LIST)))
    job.do(position.rename_path(job.state, ("engine", "bottom"), ("engine", "crankcase")))
    assert match(job.state, "bearing SHELL", ("engine", "crankcase")) is not None
    assert news(job.state, taken(LIST)).same == 5
    job.undo()
    job.undo()
    assert not positions(job.state) and not listed(job.state)


def test_the_list_knows_what_came_off_and_what_comes_off_finds_its_row() -> None:
    job = engine()
    job.take("Bearing shell", "engine", "bottom", qty=6)
    shell = job.id("Bearing shell")
    job.do(import_parts(job.state, taken(LIST)))
    position = job.position("Bearing shell")
    assert position in job.state.group(shell).positions and position != shell
    order = job.state.follower(Order)
    assert order.look(position).status == "off"
    assert order.look(job.position("Big-end bolt")).status == "on"
    assert match(job.state, "Big-end bolt", ("engine", "bottom")) == job.position("Big-end bolt")
    assert match(job.state, "bolt", ("engine", "top")) is None  # two of that name
    assert not count(job.state).of("missing")
    with pytest.raises(Refused, match="say why"):
        acts.change(job.state, shell, qty=5)
    job.do(correct(job.state, shell, 5, "lost", "rolled away", by="ann", on="2026-11-25"))
    assert {line.why for line in count(job.state).of("missing")} == {"1 lost: rolled away"}


@pytest.mark.parametrize("list_first", [True, False])
@pytest.mark.parametrize(("deed", "missing"), [("found", 1), ("split", 2), ("some lost", 3), ("given", 3)])
def test_a_list_read_after_the_deed_comes_to_the_same(deed: str, missing: int, list_first: bool) -> None:
    """Four listed, two came off: hand reckoning."""
    told: dict[str, str] = {"by": "ann", "on": "2026-11-25"}
    sheet = taken(b"Machine,Assembly,Name,Qty\nengine,top,nut,4\nspare,top,cap,1\n")
    job = Job()
    if list_first:
        job.do(import_parts(job.state, sheet))
    row = match(job.state, "nut", ("engine", "top"))
    nuts = job.take("nut", "engine", "top", qty=2, **({"parts": (row,)} if row else {}))
    if deed == "found":
        job.do(correct(job.state, nuts, 3, "found", "in the tray", **told))
    elif deed == "split":
        job.do(acts.split(job.state, nuts, 1))
    elif deed == "some lost":
        job.do(pieces.lose(job.state, nuts, "in the drain", 1, **told))
    elif deed == "given":
        job.do(pieces.give(job.state, nuts, ("spare", "side"), "it runs first", 1, **told))
    if not list_first:
        draft = import_parts(job.state, sheet)
        assert unbalanced(job.state.tables, draft.after) is None
        job.do(draft)
    assert sum(each.pieces or 0 for each in count(job.state, "engine").of("missing")) == missing
    assert "filled" not in " ".join(each.why for each in count(job.state).of("left_over"))
    assert count(job.state, "spare").balance["found"] == 0
    if deed == "some lost":
        job.do(pieces.find(job.state, "nut", **told))
        assert sum(each.pieces or 0 for each in count(job.state).of("missing")) == 2


@pytest.mark.parametrize(("parts", "more"), [(3, ""), (4, " and 1 more"), (6, " and 3 more")])
def test_three_of_the_numbers_a_list_has_anew_are_named_and_the_others_counted(parts: int, more: str) -> None:
    def sheet(qty: int) -> Sheet:
        rows = "".join(f"stud {n},{qty}\n" for n in range(parts))
        return taken(f"Name,Qty\n{rows}".encode())

    job = Job()
    job.do(import_parts(job.state, sheet(2)))
    for n in range(parts):
        job.take(f"stud {n}", "engine", qty=2, parts=(job.position(f"stud {n}"),))
    with pytest.raises(ReasonWanted) as caught:
        import_parts(job.state, sheet(5))
    assert str(caught.value).count(" to 5") == 3
    assert (f"to 5{more}" in str(caught.value)) and (" more" in str(caught.value)) is bool(more)


def test_what_was_said_of_a_group_stays_true_when_a_list_names_it() -> None:
    job = engine()
    job.take("Cover, rocker", "engine", "top")
    job.before("rocker cover", "Cover, rocker")
    old = job.id("Cover, rocker")
    job.do(import_parts(job.state, taken(LIST)))
    assert len(job.state.group(old).positions) == 2
    graph = job.state.follower(Order).graph
    assert job.id("rocker cover") in graph.before(old)


def test_columns_are_remembered_by_the_heading() -> None:
    data = b"Benennung;Stk;Baugruppe\nSchraube;4;oben\n"
    state = State()
    assert remembered(state, header_of(data)) is None
    with pytest.raises(BadValue, match="no column is the part's name"):
        taken(data)
    sheet = taken(data, columns={"name": 0, "qty": 1, "assembly": 2})
    state.apply(import_parts(state, sheet).after, 1)
    assert remembered(state, header_of(b"benennung;STK;Baugruppe\n")) == {"name": 0, "qty": 1, "assembly": 2}


@pytest.mark.parametrize(
    ("data", "columns", "machine", "said"),
    [
        (b"", None, "engine", "no heading"),
        (b"\n\n", None, "engine", "no heading"),
        (b"Name\nbolt\n", None, "", "which machine"),
        (b"Name\nbolt\n", {"name": 7}, "engine", "no column 8"),
        (b"Name\nbolt\n", {"name": 1}, "engine", "no column 2"),
        (b"Name\nbolt\n", {"name": -1}, "engine", "no column 0"),
        (b"Name\nbolt\n", {"name": 0, "colour": 0}, "engine", "colour"),
        (b"\xff\xfe\x00", None, "engine", "UTF-16"),
    ],
)
def test_files_nothing_can_be_made_of(data: bytes, columns: dict | None, machine: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        read(data, columns, machine)


def test_an_assembly_written_with_its_machine_is_not_doubled() -> None:
    sheet = taken(b"Name,Assembly\nbolt,engine > top > cover\nnut,\n")
    assert [row.origin for row in sheet.rows] == [("engine", "top", "cover"), ("engine",)]


def test_of_two_parts_called_alike_the_one_not_yet_off_is_meant() -> None:
    job = Job()
    job.take("Bolt", "engine", "top")
    job.do(import_parts(job.state, taken(LIST)))
    bolts = {key for key, doc in listed(job.state).items() if doc["name"] == "Bolt"}
    assert len(bolts) == 2
    off = job.state.group(job.id("Bolt")).positions[0]
    assert bolts - {off} == {match(job.state, "bolt", ("engine", "top"))} and off in bolts


def test_a_list_larger_than_any_is_named_by_its_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    import openpyxl

    def workbook(cell: str) -> bytes:
        book, out = openpyxl.Workbook(), io.BytesIO()
        book.active[cell] = "bolt"
        book.save(out)
        return out.getvalue()

    monkeypatch.setattr(importing, "MOST_ROWS", 5)
    monkeypatch.setattr(importing, "MOST_COLUMNS", 3)
    assert not taken(LIST).problems and xlsx_as_csv(workbook("C5"))
    sheet = taken(LIST + b"106,Nut,top,2,\n")
    assert len(sheet.rows) == 5 and sheet.problems[-1][1] == "more than 5 rows: the rest was not read"
    with pytest.raises(BadValue, match="beyond column 3"):
        xlsx_as_csv(workbook("D1"))
    with pytest.raises(BadValue, match="beyond row 5"):
        xlsx_as_csv(workbook("A6"))


def test_every_heading_offered_is_found() -> None:
    for name, headings in FIELDS.items():
        for heading in headings:
            assert guess([heading.upper()]) == {name: 0}


def test_a_workbook_is_read_row_by_row() -> None:
    import openpyxl

    book = openpyxl.Workbook()
    for row in (
        ["Name", "Qty", "Assembly"],
        ["bolt", 4, "top"],
        [None, None, None],
        ["cover\nplate", 1.0, "top"],
    ):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    sheet = taken(xlsx_as_csv(out.getvalue()))
    assert [(row.line, row.name, row.qty) for row in sheet.rows] == [(2, "bolt", 4), (4, "cover plate", 1)]
    with pytest.raises(BadValue, match="no workbook"):
        xlsx_as_csv(b"PK not one")


@settings(max_examples=80, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_answered(rest: bytes) -> None:
    state = State()
    try:
        sheet = taken(b"Name,Qty,Assembly\n" + rest)
        state.apply(import_parts(state, sheet).after, 1)
    except (BadValue, Refused):
        return
    assert len(positions(state)) == len(sheet.rows)
    assert news(state, sheet).same == len(sheet.rows)


@pytest.mark.parametrize(("parts", "more"), [(3, ""), (5, " and 2 more")])
def test_another_number_of_what_came_off_wants_a_reason_and_names_three(parts: int, more: str) -> None:
    job = Job()
    names = [f"part {n}" for n in range(parts)]

    def rows(qty: int) -> Sheet:
        return taken(("Name,Qty,Assembly\n" + "".join(f"{name},{qty},top\n" for name in names)).encode())

    for name in names:
        job.take(name, "engine", "top", qty=2)
    job.do(import_parts(job.state, rows(2)))
    with pytest.raises(ReasonWanted) as asked:
        import_parts(job.state, rows(3))
    assert f"part 0 2 to 3, part 1 2 to 3, part 2 2 to 3{more}" in str(asked.value)
    assert str(asked.value).count("part 3") == 0
