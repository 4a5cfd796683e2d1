"""The program's own CSV edited in a spreadsheet and taken in again: codes, one event, nothing new made."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from tests.cli.conftest import Run


@pytest.fixture
def codes(run: Run) -> list[str]:
    made = [
        run("take", "shaft", "--mass", "4 kg", "--size", "300x80x80 mm", "--json").data["code"],
        run("take", "lever", "--note", "=as it was", "--json").data["code"],
        run("take", "Größe \u0416", "--mass", "1250 kg", "--json").data["code"],
    ]
    run("export", "--format", "csv", "-o", "out.csv")
    return made


def edited(tmp: Path, *, name: str = "out.csv", parted: str = ",", encoding: str = "utf-8-sig", **cells: str):
    """Rewrite the export as a spreadsheet does: `row_column` is the cell's new text."""
    text = (tmp / "out.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    for at, value in cells.items():
        row, _, column = at.partition("_")
        rows[int(row[1:])][column] = value
    if parted == ";":  # decimals as the country writes them
        for each in rows:
            for column in ("mass_kg", "length_mm", "width_mm", "height_mm"):
                each[column] = each[column].replace(".", ",")
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, list(rows[0]), delimiter=parted)
    writer.writeheader()
    writer.writerows(rows)
    (tmp / name).write_bytes(out.getvalue().encode(encoding, "replace"))


def test_what_was_not_edited_is_the_same_and_makes_nothing(run: Run, codes, tmp_path: Path) -> None:
    for parted, encoding in ((",", "utf-8-sig"), (";", "utf-8-sig"), (";", "cp1252"), ("\t", "utf-16")):
        edited(tmp_path, parted=parted, encoding=encoding)
        answer = run("import", "out.csv", "--machine", "engine", "--json")
        assert (answer.status, answer.data["changed"], answer.data["same"]) == (0, [], 3), answer.err
        assert answer.data["seq"] == 3 and not answer.data["left"]
        run("export", "--format", "csv", "-o", "out.csv")


def test_masses_sizes_and_notes_are_taken_as_one_event(run: Run, codes, tmp_path: Path) -> None:
    edited(tmp_path, parted=";", r0_mass_kg="12.5", r0_length_mm="310", r1_mass_kg="0.75",
           r1_mass_about="yes", r1_note="bent; look at it", r2_mass_kg="unknown")  # fmt: skip
    assert ";12,5;" in (tmp_path / "out.csv").read_text(encoding="utf-8-sig")
    dry = run("import", "out.csv", "--dry-run", "--json").data
    assert [(each["line"], each["fields"]) for each in dry["changed"]] == [
        (2, ["mass", "size"]), (3, ["mass", "note"]), (4, ["mass"]),
    ]  # fmt: skip
    assert dry["seq"] == 3
    assert run("import", "out.csv", "--json").data["seq"] == 4  # one event
    shaft, lever, last = (run("show", code, "--json").data for code in codes)
    assert shaft["mass_kg"] == 12.5 and shaft["size_mm"] == [310, 80, 80]
    assert lever["mass_kg"] == 0.75 and lever["note"] == "bent; look at it"
    assert last["mass_kg"] is None
    assert "and 2 more" in run("undo").out
    assert run("show", codes[0], "--json").data["mass_kg"] == 4


def test_bad_rows_are_named_by_their_line_and_nothing_is_taken(run: Run, codes, tmp_path: Path) -> None:
    edited(tmp_path, r0_mass_kg="12.Mai", r1_code="ZLB9999K", r2_mass_kg="0")
    answer = run("import", "out.csv")
    assert answer.status == 65
    assert [line.split(": ")[0] for line in answer.err.splitlines()[:3]] == [
        "out.csv:2", "out.csv:3", "out.csv:4",
    ]  # fmt: skip
    run("export", "--format", "csv", "-o", "out.csv")
    edited(tmp_path, r0_mass_kg="12,500", r1_code="", r2_mass_kg="7")
    answer = run("import", "out.csv", "--skip-bad", "--json")
    assert [each["line"] for each in answer.data["bad"]] == [2, 3]
    assert "12500 kg" in answer.data["bad"][0]["problem"]
    assert len(answer.data["changed"]) == 1
    assert len(run("list", "group", "--json").data) == 3  # nothing new


def test_what_is_decided_in_a_spreadsheet_is_taken_or_told_why_not(run: Run, codes, tmp_path: Path) -> None:
    edited(tmp_path, parted=";", r0_disposition="Clean", r1_disposition="scrap", r2_disposition="renew")
    answer = run("import", "out.csv", "--json")
    assert answer.status == 0 and answer.data["left"] == {"disposition": [4]}, "a new one is asked for"
    now = [run("show", code, "--json").data["disposition"] for code in codes]
    assert now == ["clean", "scrap", "undecided"]
    run("export", "--format", "csv", "-o", "out.csv")
    edited(tmp_path, r0_disposition="refit", r1_disposition="burn")
    answer = run("import", "out.csv")
    assert answer.status == 65, "cleaning not done wants a reason, and there is no such word"
    assert [line.split(": ")[0] for line in answer.err.splitlines()[:2]] == ["out.csv:2", "out.csv:3"]
    assert run("show", codes[0], "--json").data["disposition"] == "clean"


def test_other_columns_are_told_and_left(run: Run, codes, tmp_path: Path) -> None:
    edited(tmp_path, r0_qty="9", r1_name="other", r2_place="bench")
    answer = run("import", "out.csv", "--json")
    assert answer.data["left"] == {"qty": [2], "name": [3], "place": [4]}
    assert run("show", codes[0], "--json").data["qty"] == 1


def test_a_parts_list_of_somebody_else_is_still_one(run: Run, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("code,name,qty,note\nA1,valve,2,new\n")
    assert run("import", "list.csv", "--machine", "engine", "--json").data["new"] == 1
