"""`shopbins list`: any table, narrowed by conditions; what is not known never meets one, and is counted."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins.cli import COMMANDS, command
from shopbins.cli.command import parser_for
from shopbins.records.tables import MASS, TableColumn
from shopbins.records.where import Term, split

Run = Callable[..., Any]


@pytest.fixture
def shed(run: Run) -> Run:
    """Five parts: three weighed, one of them about; two in tubs; one shortage promised."""
    for name, *more in (
        ("block", "--mass", "430 kg", "--origin", "diesel > bottom"),
        ("head", "--mass", "about 95 lb", "--origin", "diesel"),
        ("springs", "--container", "tub", "--qty", "8", "--mass", "800 g", "--origin", "diesel > head"),
        ("rods", "--container", "tub", "--qty", "6"),
        ("old shaft", "--size", "2000x80x80mm", "--caution", "heavy on one end", "--caution", "sharp"),
    ):
        assert run("take", name, *more).status == 0
    assert run("put", "rods", "rack/1").status == 0
    assert run("shortage", "add", "shells", "--promised", "2026-12-24", "--days", "10-20").status == 0
    assert run("shortage", "add", "gasket").status == 0
    return run


def names(answer: Any) -> list[str]:
    return [row["name"] for row in answer.data]


@pytest.mark.parametrize(
    ("conditions", "found", "said"),
    [
        (["mass > 20 kg"], ["block", "head"], "2 not weighed, so not compared"),
        (["mass>43kg", "mass < 100 kg"], ["head"], "2 not weighed, so not compared"),  # 95 lb are 43.09 kg
        (["mass <= 0.8 kg"], ["springs"], "2 not weighed, so not compared"),
        (["mass = 430 kg"], ["block"], "2 not weighed, so not compared"),
        (["mass != 430 kg"], ["head", "springs"], "2 not weighed, so not compared"),
        (["mass_kg > 1000 lb"], [], "2 not weighed, so not compared"),
        (["mass = unknown"], ["rods", "old shaft"], ""),
        (["mass != unknown"], ["block", "head", "springs"], ""),
        (["container = TUB"], ["springs", "rods"], ""),
        (["container=tub", "mass > 1 g"], ["springs"], "1 not weighed, so not compared"),
        (["container != tub"], ["block", "head", "old shaft"], ""),
        (["qty >= 6", "qty < 8"], ["rods"], ""),
        (["length > 1.5 m"], ["old shaft"], "4 not measured, so not compared"),
        (["machine = diesel"], ["block", "head", "springs"], "2 of origin not known, so not compared"),
        (["origin = bottom"], ["block"], "2 of origin not known, so not compared"),
        (["cautions ~ one end"], ["old shaft"], "4 with cautions not known, so not compared"),
        (["place ~ rack"], ["rods"], ""),
        (["name ~ s", "tagged = no"], ["springs", "rods", "old shaft"], ""),
    ],
)
def test_conditions(shed: Run, conditions: list[str], found: list[str], said: str) -> None:
    options = [each for condition in conditions for each in ("--where", condition)]
    answer = shed("list", "--json", *options)
    assert sorted(names(answer)) == sorted(found)
    assert answer.status == (0 if found else 1)
    assert said in answer.err and (bool(said) or not answer.err)


def test_columns_order_and_forms(shed: Run, tmp_path: Path) -> None:
    listed = shed("list", "--columns", "name,mass,length", "--sort", "-mass", "--json")
    assert [(row["name"], row["mass_kg"]) for row in listed.data[:3]] == [
        ("block", 430.0), ("head", pytest.approx(43.0912, abs=1e-3)), ("springs", 0.8),
    ]  # fmt: skip
    assert [row["mass_kg"] for row in listed.data[3:]] == [None, None], "what is not known comes last"
    assert names(shed("list", "--sort", "mass", "--json"))[:3] == ["springs", "head", "block"]
    assert set(listed.data[0]) == {"id", "name", "mass_kg", "length_mm"}
    text = shed("list", "--columns", "name,mass", "--where", "mass != unknown").out.splitlines()
    assert text[0].split() == ["name", "mass"] and text[1].split() == ["block", "430", "kg"]
    assert shed("list", "--columns", "name,cautions", "--csv", "out.csv").status == 0
    with (tmp_path / "out.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["name", "cautions"] and ["old shaft", "heavy on one end; sharp"] in rows


def test_other_tables(shed: Run) -> None:
    assert names(shed("list", "shortages", "--where", "promised < 2027-01-01", "--json")) == ["shells"]
    late = shed("list", "shortage", "--where", "days > 15", "--json")
    assert names(late) == ["shells"] and "1 with days not known, so not compared" in late.err
    assert shed("list", "machines").status == 1
    assert shed("list", "milestones", "--json").data == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["list", "--where", "weight > 3 kg"], "there is no column 'weight'"),
        (["list", "--where", "masss > 3 kg"], "did you mean 'mass'?"),
        (["list", "--where", "mass > heavy"], "heavy"),
        (["list", "--where", "mass"], "is no condition"),
        (["list", "--where", "mass > unknown"], "unknown goes with = or != only"),
        (["list", "--where", "name < b"], "name goes with =, != or ~ only"),
        (["list", "--where", "until < someday"], "is no date"),
        (["list", "--where", "tagged = maybe"], "neither yes nor no"),
        (["list", "tools"], "there is no table 'tools'"),
        (["list", "--columns", "name,colour"], "there is no column 'colour'"),
        (["list", "--columns", "name,size"], "there is no column 'size'"),
        (["list", "--sort", "colour"], "there is no column 'colour'"),
    ],
)
def test_what_cannot_be_read(shed: Run, line: list[str], said: str) -> None:
    answer = shed(*line)
    assert answer.status == 65 and said in answer.err and not answer.out


MASSES = TableColumn("mass", MASS, lambda doc: doc.get("kg"), "kg")


@given(
    st.one_of(st.none(), st.floats(0, 1e5)),
    st.sampled_from(["<", "<=", ">", ">=", "=", "!="]),
    st.floats(0, 1e5),
)
def test_a_comparison_is_true_false_or_not_known(kg: float | None, by: str, value: float) -> None:
    """As three-valued logic has it (ISO/IEC 9075, SQL): what is not known is neither."""
    verdict = Term(MASSES, by, value).verdict({} if kg is None else {"kg": kg})
    opposite = {"<": ">=", "<=": ">", ">": "<=", ">=": "<", "=": "!=", "!=": "="}[by]
    other = Term(MASSES, opposite, value).verdict({} if kg is None else {"kg": kg})
    assert (verdict, other) == (None, None) if kg is None else verdict is not other


def test_export_takes_conditions(shed: Run) -> None:
    whole = shed("export", "--format", "json", "-o", "-").data
    some = shed("export", "--format", "json", "-o", "-", "--where", "mass > 20 kg")
    assert [each["name"] for each in some.data["groups"]] == ["block", "head"]
    assert {event["kind"] for event in some.data["events"]} == {"take"} and len(some.data["events"]) == 2
    assert len(whole["groups"]) == 5 and "2 not weighed, so not compared" in some.err
    assert shed("export", "--format", "csv", "-o", "-", "--where", "weight > 1").status == 65


@pytest.mark.parametrize(
    ("line", "terms", "words"),
    [
        ("mass > 20 kg gasket", ["mass > 20 kg"], "gasket"),
        ("gasket mass>20kg qty=2", ["mass> 20kg", "qty= 2"], "gasket"),
        ('place="rack a/2" ring', ["place= rack a/2"], "ring"),
        ("mass = unknown", ["mass = unknown"], ""),
        ("old mass >", [], "old"),
        ("the mass of it", [], "the mass of it"),
        ("one_use=yes 3/8 in bolt", ["one_use= yes"], "3/8 in bolt"),
        ("colour=red", [], "colour=red"),
    ],
)
def test_conditions_among_words(line: str, terms: list[str], words: str) -> None:
    assert split(line, ("mass", "qty", "place", "one_use")) == (terms, words)


LISTING = {name: parser_for(command(name))._option_string_actions for name in COMMANDS}
TO_A_FILE = [
    [name, *flag]
    for name, options in LISTING.items()
    if "--csv" in options
    for flag in ([], *([each] for each, action in options.items() if each[:2] == "--" and action.nargs == 0))
    if flag != ["--help"]
]


@pytest.mark.parametrize("line", TO_A_FILE, ids=" ".join)
def test_what_is_to_go_to_a_file_goes_there_whatever_else_is_asked(
    shed: Run, tmp_path: Path, line: list[str]
) -> None:
    shed(*line, "--csv", "out.csv")
    assert (tmp_path / "out.csv").read_bytes().count(b"\n") >= 1


def test_places_are_listed_by_name_with_what_they_carry(shed: Run) -> None:
    """Before any label is printed: the name, the room, what it carries and may carry."""
    assert shed("put", "block", "rack/1", "--override", "x").status in (0, 1)
    found = {row["name"]: row for row in shed("list", "place", "--json").data}
    assert {"rack/1"} <= set(found)
    row = found["rack/1"]
    assert row["room"] and row["parts"] >= 1
    assert row["not_weighed"] == 1, "the rods: what it carries is known in part, and says so"
    (only,) = shed("list", "places", "--where", "name = rack/1", "--json").data
    assert only["name"] == "rack/1"
    assert shed("list", "place", "--where", "carries > 1 t", "--json").status == 1


def test_part_lists_the_parts_and_position_what_the_machine_has(shed: Run) -> None:
    parts = names(shed("list", "parts", "--json"))
    assert parts == names(shed("list", "group", "--json"))
    assert "rods" in parts
    wrong = shed("list", "nails")
    assert "part" in wrong.err and "position" in wrong.err and "group" not in wrong.err
