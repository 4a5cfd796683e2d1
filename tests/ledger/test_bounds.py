"""Bounds: what is too much is said in one line, memory stays flat, a cell is never a formula.

Classes as SQLite's testing page names them (sqlite.org/testing.html): out of memory, boundary values.
"""

from __future__ import annotations

import csv
import io
import resource
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path

import pytest

from shopbins.cli import main
from shopbins.ledger.problems import BadValue
from shopbins.records.photos import picture
from shopbins.reports.export import csv_table
from shopbins.strip import importing
from tests.ledger.test_faults import SHOP

openpyxl = pytest.importorskip("openpyxl")


def workbook(cells: dict[str, object]) -> bytes:
    book = openpyxl.Workbook()
    for place, value in cells.items():
        book.active[place] = value
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_a_workbook_is_read_as_it_stands() -> None:
    found = importing.xlsx_as_csv(
        workbook({"A1": "name", "B1": "qty", "A2": "bolt\nM8", "B2": 4, "A4": "nut"})
    )
    assert list(csv.reader(io.StringIO(found.decode()))) == [
        ["name", "qty"],
        ["bolt M8", "4"],
        [""],
        ["nut", ""],
    ]


@pytest.mark.parametrize("place", ["XFD1048576", "A1048576", "XFD1"])
def test_one_stray_cell_at_the_far_corner_is_one_line_and_little_memory(place: str) -> None:
    data = workbook({"A1": "name", "A2": "bolt", place: "x"})
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30))\n"
        "from shopbins.strip.importing import xlsx_as_csv\n"
        "from shopbins.ledger.problems import BadValue\n"
        "try: xlsx_as_csv(sys.stdin.buffer.read())\n"
        "except BadValue as problem: print(problem)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], input=data, capture_output=True, timeout=120, check=True
    )
    assert b"has a cell beyond" in ran.stdout
    assert ran.stdout.count(b"\n") == 1
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss < 1_000_000


def test_a_workbook_that_unpacks_to_more_than_it_may_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importing, "MOST_UNPACKED", 1_000_000)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 2_000_000)
    with pytest.raises(BadValue, match="unpacks to 2 MB"):
        importing.xlsx_as_csv(out.getvalue())


def test_a_list_that_is_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    with path.open("wb") as file:
        file.truncate(importing.MOST_BYTES * 50)
    with pytest.raises(BadValue, match="no parts list"):
        importing.read_list(path)


FORMULAS = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =1",
    "\u00a0=1",
    "\u200b=1",
    "\ufeff=1",
    "\uff1d1",
    "\uff0b1",
    "\uff20x",
    "bolt;=1+1",
    "bolt; @x",
    "a;b;\u200b-2",
    "=cmd|' /C calc'!A0",
]
"""OWASP, 'CSV Injection': cells that begin with = + - @ tab or CR, the wide letters; other separators."""


@pytest.mark.parametrize("text", FORMULAS, ids=repr)
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_no_cell_is_a_formula_whatever_a_spreadsheet_parts_at(text: str, delimiter: str) -> None:
    data = csv_table(["name"], [[text], [["x", text]]]).decode("utf-8-sig")
    blank = " \t\r\n\u00a0\u200b\ufeff"
    for row in list(csv.reader(io.StringIO(data, newline=""), delimiter=delimiter))[1:]:
        for cell in row:
            assert cell.lstrip(blank)[:1] not in tuple("=+-@\uff1d\uff0b\uff0d\uff20"), row


@pytest.mark.parametrize("text", ["bolt M8", "cap 3/8-16", "a + b", "x=3", "50 % off; used", "don't"])
def test_other_texts_stay_as_they_are(text: str) -> None:
    assert csv_table(["name"], [[text]]).decode("utf-8-sig").splitlines()[1] == text


def claiming(path: Path, width: int, height: int) -> Path:
    """Write a picture of a few bytes that says it is so large (PNG, ISO/IEC 15948: IHDR and one IDAT)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + body)
    return path


@pytest.mark.parametrize("side", [9_000, 12_000, 30_000])
def test_a_picture_that_claims_more_pixels_than_it_may_is_one_line(tmp_path: Path, side: int) -> None:
    pytest.importorskip("PIL")
    with (
        pytest.raises(BadValue, match="million") as caught,
        picture(claiming(tmp_path / "a.png", side, side), "RGB", 1200),
    ):
        pass
    assert "\n" not in str(caught.value)


def test_a_picture_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    pytest.importorskip("PIL")
    path = tmp_path / "a.jpg"
    with path.open("wb") as file:
        file.truncate(5_000_000_000)
    with pytest.raises(BadValue, match="5000 MB"), picture(path, "RGB", 1200):
        pass


def test_a_plan_as_a_table_that_is_too_large_is_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "shop.yaml").write_text(SHOP)
    with (tmp_path / "plan.csv").open("wb") as file:
        file.truncate(5_000_000_000)
    assert main(["import-plan", str(tmp_path / "plan.csv"), "-s", str(tmp_path / "shop.yaml")]) == 65
    assert capsys.readouterr().err.count("\n") == 1
