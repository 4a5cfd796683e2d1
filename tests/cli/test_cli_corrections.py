"""Anything recorded is put right with a reason; what cannot be so is one line, and nothing is recorded.

All names and values invented.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run, Steps

TOMORROW = (date.today() + timedelta(days=1)).isoformat()
WEEK_AGO = (date.today() - timedelta(days=7)).isoformat()


class Bench(Steps):
    """A ledger with two listed places, what came off there, and one record of every kind."""

    REFUSED = (1, 64, 65)

    def docs(self, table: str) -> list[dict[str, Any]]:
        return list(self.run("list", table, "--json").data)


@pytest.fixture
def bench(run: Run, tmp_path: Path) -> Bench:
    bench = Bench(run, tmp_path)
    rows = "Name,Assembly,Qty\nstop screw,carriage,1\nstop screw,tailstock,1\nquill,tailstock,1\n"
    (tmp_path / "list.csv").write_text(rows, encoding="utf-8")
    bench.ok("import", "list.csv", "--machine", "shaper")
    bench.ok("take", "stop screw", "--origin", "shaper > carriage", "--qty", "1")
    bench.ok("take", "ram", "--origin", "shaper > head")
    bench.ok("take", "gib", "--origin", "shaper > head")
    bench.ok("take", "bolts", "--origin", "shaper > head", "--qty", "4")
    return bench


# -- set wants a reason


def test_another_origin_wants_a_reason_and_keeps_the_old_one(bench: Bench) -> None:
    bench.refused("set", "ram", "--origin", "shaper > table", status=64)
    bench.ok("set", "ram", "--origin", "shaper > table", "--reason", "typed the wrong assembly")
    shown = bench.run("show", "ram").out
    assert "table" in shown and "head" in shown and "typed the wrong assembly" in shown
    bench.ok("set", "gib", "--origin", "shaper > head > slide")  # what was open of it is filled freely


def test_another_listed_place_is_a_seat_and_is_bound_with_its_reason(bench: Bench) -> None:
    bench.refused("set", "stop screw", "--origin", "shaper > tailstock", status=64)
    bench.ok("set", "stop screw", "--origin", "shaper > tailstock", "--reason", "mixed them up")
    bench.ok("fit", "stop screw")
    found = bench.run("count", "--machine", "shaper", "--json").data
    assert not [each for each in found["left_over"] if each["name"] == "stop screw"]
    back = bench.run("strip", "--json").data
    assert [each["origin"] for each in back if each["name"] == "stop screw"] == [["shaper", "tailstock"]]
    bench.refused("set", "stop screw", "--origin", "shaper > head", "--reason", "no list has it there")


def test_every_field_that_is_a_correction_wants_a_reason(bench: Bench) -> None:
    for args in (
        ("--qty", "3"),
        ("--origin", "planer > bed"),
        ("--origin", "shaper > table"),
        ("--origin", ""),
        ("--counted", "never"),
    ):
        bench.refused("set", "bolts", *args, status=64)


# -- correct


def test_what_came_off_before_is_corrected(bench: Bench) -> None:
    bench.ok("before", "ram", "bolts")
    bench.ok("correct", "bolts", "--after", "gib", "--reason", "it was the gib that hid them")
    ids = {each["id"]: each["name"] for each in bench.docs("group")}
    assert [(ids[each["a"]], ids[each["b"]]) for each in bench.docs("before")] == [("gib", "bolts")]
    assert "the gib that hid them" in bench.run("count").out
    bench.refused("correct", "bolts", "--after", "gib", "--reason", "so already")
    bench.refused("correct", "gib", "--after", "bolts", "--reason", "a circle")
    bench.ok("correct", "bolts", "--after", "", "--reason", "nothing hid them")
    assert not bench.docs("before")


def test_a_matched_set_is_corrected(bench: Bench) -> None:
    bench.ok("match", "ram and gib", "ram", "gib", "--seat", "left", "--seat", "right")
    bench.ok("correct", "ram and gib", "--seat", "right", "--seat", "left", "--reason", "seen from the back")
    assert bench.docs("set")[0]["seats"] == ["right", "left"]
    bench.refused("correct", "ram and gib", "--seat", "right", "--reason", "one seat for two")
    bench.refused("correct", "ram and gib", "--piece", "ram", "--reason", "one is no set")
    bench.ok("correct", "ram and gib", "--piece", "ram", "--piece", "stop screw", "--reason", "not the gib")
    assert "not the gib" in bench.run("count").out


def test_care_and_hours_are_corrected_not_written_over(bench: Bench) -> None:
    bench.ok("care", "oil the ways", "--every", "30d", "--machine", "shaper", "--done", WEEK_AGO)
    bench.refused("care", "oil the ways", "--every", "60d")
    bench.refused("care", "oil the ways", "--done", "2020-01-01")
    bench.ok("correct", "oil the ways", "--every", "60d", "--reason", "the sheet says two months")
    assert bench.docs("care")[0]["every_days"] == 60.0
    bench.ok("care", "oil the ways", "--done", "today")
    bench.ok("care", "--machine", "shaper", "--hours", "5000")
    bench.refused("care", "--machine", "shaper", "--hours", "500")
    bench.ok("correct", "shaper", "--hours", "500", "--reason", "read one wheel too many")
    assert "read one wheel too many" in bench.run("count").out
    bench.ok("care", "--machine", "shaper", "--hours", "501")


def test_a_shim_and_a_hand_of_thread_are_corrected(bench: Bench) -> None:
    bench.ok("how", "ram", "--shim", "2,0.05mm,front", "--shim", "1,0.1mm,rear", "--left-hand")
    bench.ok("correct", "ram", "--shim", "1: 3,0.05mm,front", "--reason", "counted again")
    out = bench.ok("correct", "ram", "--left-hand", "no", "--reason", "that was the gib").out
    told = bench.run("how", "ram").out
    assert "3 shims 0.050 mm at front" in told and "1 shim 0.100 mm at rear" in told
    assert "2 shims 0.050 mm" in told and "counted again" in told, "the old one is kept"
    assert told.count("LEFT-HAND") == 1, ("only as what was wrong", told, out)
    bench.refused("correct", "ram", "--shim", "3: 1,0.1mm", "--reason", "there is no third")
    bench.refused("correct", "ram", "--shim", "2,0.1mm", "--reason", "which one?")


def test_a_photograph_is_of_another_part(bench: Bench) -> None:
    from shopbins.desk import Desk
    from shopbins.ledger.events import Draft

    code = bench.run("find", "ram", "--json").data[0]["code"]
    doc = {"name": "IMG_0007.jpg", "file": f"ab/{'ab' * 32}.jpg", "codes": [code]}
    with Desk.open(bench.folder / "shop.yaml") as desk:
        desk.record(lambda _state: Draft("add photos", {"photo:" + "ab" * 32: doc}))
    bench.refused("correct", "IMG_0007.jpg", "--shows", "nosuch", "--reason", "x")
    bench.ok(
        "correct", "IMG_0007.jpg", "--shows", "gib", "--reason", "the label before was not in the picture"
    )
    other = bench.run("find", "gib", "--json").data[0]["code"]
    assert bench.docs("photo")[0]["codes"] == [other]


# -- bad input


LATE = [
    ("care", "oil", "--every", "30d", "--done", TOMORROW),
    ("shortage", "set", "felt", "--asked", TOMORROW),
    ("shortage", "add", "wick", "--asked", TOMORROW),
    *(
        (*command, "--day", TOMORROW)
        for command in (
            ("take", "key"),
            ("fit", "ram"),
            ("inspect", "ram", "d", "9mm"),
            ("lost", "bolts"),
            ("work", "ram", "--list", "clean"),
            ("shortage", "here", "felt"),
            ("care", "--machine", "shaper", "--hours", "9"),
            ("milestone", "closed", "--done"),
            ("away", "ram", "Moss", "--until", "2999-01-01"),
            ("before", "ram", "gib"),
            ("how", "ram", "--trick", "heat"),
            ("correct", "bolts", "--qty", "3", "--as", "lost", "--reason", "x"),
            ("match", "pair", "ram", "gib"),
        )
    ),
]
NEGATIVE = [
    ("take", "key", "--qty", "-1"),
    ("take", "key", "--mass", "-4kg"),
    ("take", "key", "--size", "-1x2x3mm"),
    ("set", "bolts", "--qty", "-1", "--as", "lost", "--reason", "x"),
    ("set", "bolts", "--counted", "pieces", "--qty", "-1", "--as", "lost", "--reason", "x"),
    ("split", "bolts", "--qty", "-1"),
    ("fit", "bolts", "--qty", "-1"),
    ("off", "bolts", "--qty", "0"),
    ("renew", "bolts", "--qty", "-1"),
    ("lost", "bolts", "--qty", "-1"),
    ("found", "bolts", "--qty", "-1"),
    ("give", "bolts", "planer > bed", "--qty", "-1", "--reason", "x"),
    ("swap", "bolts", "ram", "--qty", "-1", "--reason", "x"),
    ("correct", "bolts", "--qty", "-1", "--as", "lost", "--reason", "x"),
    ("correct", "quill", "--listed", "-1", "--reason", "x"),
    ("correct", "ram", "--shim", "1: -2,0.05mm", "--reason", "x"),
    ("correct", "ram", "--tighten", "-5 N.m", "--reason", "x"),
    ("correct", "oil the ways", "--every", "-30d", "--reason", "x"),
    ("shortage", "add", "wick", "--qty", "-1"),
    ("shortage", "add", "wick", "--days", "-3"),
    ("shortage", "here", "felt", "--qty", "-1"),
    ("how", "ram", "--shim", "-2,0.05mm"),
    ("how", "ram", "--shim", "2,-0.05mm"),
    ("how", "ram", "--screw", "3,-45mm"),
    ("how", "ram", "--tighten", "-65"),
    ("how", "ram", "--breakaway", "-5"),
    ("how", "ram", "--tighten", "65", "--angle", "-90"),
    ("how", "ram", "--days", "-2"),
    ("how", "ram", "--days", "5-2"),
    ("care", "oil", "--every", "-30d"),
    ("care", "oil", "--every", "250h", "--at-hours", "-1"),
    ("care", "--machine", "shaper", "--hours", "-1"),
]
MACHINES = [
    ("count", "--machine", "nosuch"),
    ("refit", "--machine", "nosuch"),
    ("strip", "--machine", "nosuch"),
    ("report", "refit", "--machine", "nosuch", "-o", "r.pdf"),
    ("care", "oil", "--every", "30d", "--machine", "nosuch"),
    ("care", "--machine", "nosuch", "--hours", "5"),
    ("connect", "hose", "pump", "tank", "--machine", "nosuch"),
    ("give", "bolts", "nosuch > bed", "--reason", "x"),
    ("set", "bolts", "--origin", "nosuch > bed", "--reason", "x"),
    ("correct", "nosuch", "--hours", "5", "--reason", "x"),
    ("correct", "oil the ways", "--machine", "nosuch", "--reason", "x"),
]
LIMITS = [
    ("inspect", "ram", "d", "9mm", "--min", "9mm", "--max", "8mm"),
    ("concede", "ram", "so", "--limits", "d >= 9.2mm, d <= 9.1mm"),
    ("concede", "ram", "so", "--limits", "d >= 8mm", "--until", "2020-01-01"),
    ("correct", "ram", "--min", "9.6mm", "--max", "9.2mm", "--reason", "x"),
]


def prepared(bench: Bench) -> None:
    bench.ok("shortage", "add", "felt", "--for", "ram")
    bench.ok("milestone", "closed", "--needs", "quill")
    bench.ok("how", "ram", "--shim", "2,0.05mm,front")
    bench.ok("care", "oil the ways", "--every", "30d", "--machine", "shaper")
    bench.run("inspect", "ram", "d", "9mm", "--min", "9.5mm")


@pytest.mark.parametrize(
    "lines", [LATE, NEGATIVE, MACHINES, LIMITS], ids=["late", "negative", "machine", "limits"]
)
def test_what_cannot_be_is_a_line_and_nothing_recorded(bench: Bench, lines: list[tuple[str, ...]]) -> None:
    prepared(bench)
    before = bench.kept()
    for args in lines:
        answer = bench.run(*args, "--by", "ann")
        assert answer.status in (1, 64, 65), (args, answer)
        assert 1 <= answer.err.count("\n") <= 2 and "Traceback" not in answer.err, (args, answer.err)
        assert bench.kept() == before, args


def test_running_hours_never_run_backwards(bench: Bench) -> None:
    bench.ok("care", "change oil", "--every", "250h", "--machine", "shaper", "--at-hours", "300")
    bench.refused("care", "--machine", "shaper", "--hours", "200")  # below what it was done at
    bench.ok("care", "--machine", "shaper", "--hours", "400")
    bench.refused("care", "--machine", "shaper", "--hours", "399")
    bench.refused("care", "--machine", "shaper", "--hours", "500", "--day", "yesterday")
    bench.refused("care", "change oil", "--at-hours", "401")
    bench.refused("correct", "shaper", "--hours", "299", "--reason", "x")
    bench.ok("care", "change oil", "--at-hours", "400")


def test_an_act_of_another_day_is_recorded_for_that_day(bench: Bench) -> None:
    bench.ok("milestone", "bare", "--needs", "ram")
    bench.ok("fit", "ram")
    yesterday = (date.today() - timedelta(days=1)).isoformat()
    bench.ok("care", "--machine", "shaper", "--hours", "12", "--day", "yesterday")
    bench.ok("work", "gib", "--list", "clean")
    done = bench.run("work", "gib", "--done", "clean", "--day", "yesterday", "--by", "ann")
    assert done.status == 1 and "is before" in done.err
    assert bench.docs("hours")[0]["on"] == yesterday


def test_what_is_said_of_a_name_nobody_gave_is_about_the_options_given(bench: Bench) -> None:
    said = bench.refused("correct", "nosuch", "--reason", "misread", "--note", "y")
    assert said.startswith("--note is of recurring care: no recurring care is called 'nosuch'"), said
