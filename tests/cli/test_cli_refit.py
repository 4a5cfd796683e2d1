"""Strip and refit from the command line: the contract's shapes, a whole job, what is refused and why."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]


@pytest.fixture
def job(run: Run) -> Run:
    """Five groups off an engine: cover, head, springs out of the head, piston, crank."""
    for name, origin, *more in (
        ("rocker cover", "engine > top"),
        ("cylinder head", "engine"),
        ("springs", "engine > cylinder head", "--qty", "8", "--container", "bag"),
        ("piston", "engine > bottom"),
        ("crank", "engine > bottom"),
    ):
        assert run("take", name, "--origin", origin, *more).status == 0
    assert run("before", "rocker cover", "cylinder head").status == 0
    assert run("before", "cylinder head", "piston", "--why", "hides it").status == 0
    return run


def test_reach(job: Run) -> None:
    found = job("reach", "crank", "--json")
    assert found.status == 0
    assert [sorted(step) for step in found.data] == [["already_off", "code", "name"]] * 3
    assert [(step["name"], step["already_off"]) for step in found.data] == [
        ("rocker cover", True),
        ("cylinder head", True),
        ("piston", True),
    ]
    assert job("fit", "crank").status == job("fit", "piston").status == 0
    assert [step["already_off"] for step in job("reach", "crank", "--json").data] == [True, True, False]
    assert "1 thing still to come off, 2 off already" in job("reach", "crank").out
    assert job("reach", "no such part").status == 1
    nothing = job("reach", "rocker cover")
    assert nothing.status == 0 and "nothing is recorded" in nothing.out


def test_reach_names_positions_nothing_came_off_yet(job: Run, tmp_path: Path) -> None:
    (tmp_path / "parts.csv").write_text("Name,Assembly\noil jet,bottom\nsump,bottom\n", encoding="utf-8")
    assert job("import", "parts.csv", "--machine", "engine").status == 0
    assert job("before", "sump", "oil jet").status == 0
    (step,) = job("reach", "oil jet", "--json").data
    assert sorted(step) == ["already_off", "name", "position"]
    assert (step["name"], step["already_off"]) == ("sump", False)
    taken = job("take", "sump", "--origin", "engine > bottom", "--json")
    *_, step = job("reach", "oil jet", "--json").data
    assert (step["code"], step["already_off"]) == (taken.data["code"], True)


def test_fit_says_what_was_passed_over_in_the_order_of_coming_off(job: Run) -> None:
    early = job("fit", "piston")
    assert early.status == 0
    assert "crank came off after it and is still off (only the order they came off in)" in early.out
    assert "still off" not in job("fit", "crank").out


def test_fit_names_what_was_to_go_on_before_and_is_to_be_renewed(job: Run) -> None:
    """What lacks altogether is no less off than what lies in the shop."""
    assert job("renew", "crank").status == 0
    early = job("fit", "piston")
    assert early.status == 0
    assert "crank came off after it and is still off (only the order they came off in)" in early.out
    (line,) = [each for each in job("count", "--json").data["missing"] if each["name"] == "crank"]
    assert line["act"] == "put it on when it comes, or leave its place empty"


def test_what_was_never_there_counts_nowhere_and_what_is_on_is_not_never_there(job: Run) -> None:
    def off() -> int:
        return sum(each["off"] + each["back"] for each in job("assembly", "--json").data)

    before = off()
    assert job("fit", "crank").status == 0
    gone = ("correct", "crank", "--qty", "0", "--as", "never there", "--reason", "a drawing mistaken")
    assert (job(*gone).status, job(*gone).err) == (1, "crank is on: take it off first\n")
    assert job("off", "crank").status == 0
    assert off() == before
    assert job(*gone).status == 0
    assert off() < before


def test_what_has_no_home_is_listed_as_it_came_off_and_no_more(run: Run) -> None:
    """Nothing says that parts of unknown home are of one machine: the list says what its order is."""
    for name in ("guard", "bearing"):
        assert run("take", name).status == 0
    listed = run("refit").out
    assert "bearing (only as it came off, home not known)" in listed
    early = run("fit", "guard", "--anyway", "the saw is all there is")
    assert "bearing came off after it and is still off" in early.out


def test_a_circle_is_refused_and_named(job: Run) -> None:
    refused = job("before", "piston", "rocker cover")
    assert refused.status == 1
    assert refused.err == (
        "that would be a circle: piston before rocker cover before cylinder head before piston\n"
    )
    assert "say why" in job("before", "--not", "cylinder head", "piston").err
    assert job("before", "--not", "cylinder head", "piston", "--why", "mixed up").status == 0
    assert job("before", "piston", "rocker cover").status == 0
    assert job("before", "crank").status == 64
    assert job("before", "--nothing", "crank").status == 0


def test_refit_and_next(job: Run) -> None:
    every = job("refit", "--json")
    assert every.status == 0
    assert all(sorted(line) == ["code", "name", "place", "waits_for"] for line in every.data)
    assert [line["name"] for line in every.data] == [
        "crank", "piston", "springs", "cylinder head", "rocker cover"
    ]  # fmt: skip
    ready = job("refit", "--next", "--json").data
    assert [line["name"] for line in ready] == ["crank", "springs"]
    assert all(line["waits_for"] == [] for line in ready)
    waits = {line["name"]: line["waits_for"] for line in every.data}
    assert len(waits["cylinder head"]) == 2 and "piston" in waits["cylinder head"][0]
    refused = job("fit", "cylinder head")
    assert refused.status == 1 and "waits for" in refused.err


def test_the_whole_job_back_to_zero(job: Run) -> None:
    start = job("count", "--json")
    assert start.status == 1
    assert (start.data["off"], start.data["on"], start.data["missing"]) == (12, 0, [])
    assert len(start.data["left_over"]) == 5
    for _ in range(10):
        ready = job("refit", "--next", "--json")
        if ready.status == 1:
            break
        assert job("fit", ready.data[0]["code"]).status == 0
    end = job("count", "--json")
    assert (end.status, end.data["off"], end.data["on"], end.data["yes"]) == (0, 12, 12, True)
    assert end.data["missing"] == end.data["left_over"] == end.data["foreign"] == []
    assert job("refit").status == 1
    assert job("undo").status == 0
    again = job("count", "--json")
    assert again.status == 1 and [each["name"] for each in again.data["left_over"]] == ["rocker cover"]
    assert job("redo").status == 0 and job("count").status == 0


def test_scrapped_is_missing_until_filled_or_struck_out(job: Run) -> None:
    assert job("set", "piston", "--disposition", "scrap").status == 0
    found = job("count", "--json").data
    assert [(each["name"], each["pieces"]) for each in found["missing"]] == [("piston", 1)]
    line = next(each for each in job("refit", "--json").data if each["name"] == "piston")
    assert line["code"] is None and line["waits_for"][-1].startswith("nothing to put there")
    assert job("strike", "piston").status == 64
    assert job("strike", "piston", "two cylinders will do").status == 0
    assert job("count", "--json").data["missing"] == []
    assert job("undo").status == 0
    assert len(job("count", "--json").data["missing"]) == 1


def test_shortages(job: Run) -> None:
    assert job("shortages").status == 1
    assert job("milestone", "engine closed", "--needs", "rocker cover", "--due", "2999-06-01").status == 0
    added = job("shortage", "add", "bearing shells", "--for", "crank", "--days", "10-20", "--qty", "6")
    assert added.status == 0 and "ask by 12 May 2999 or crank must wait" in added.out
    (lack,) = job("shortages", "--json").data
    assert lack == {
        "name": "bearing shells",
        "quantity": 6,
        "state": "to ask",
        "needed_before": "crank",
        "ask_by": "2999-05-12",
    }
    assert job("shortage", "set", "bearing shells", "--asked", "2026-11-25", "--of", "Moss").status == 0
    assert job("shortages", "--json").data[0]["state"] == "asked"
    assert "shortage: bearing shells (asked)" in job("refit", "--for", "engine closed").out
    assert job("shortage", "here", "bearing shells").status == 0
    assert job("shortages").status == 1
    for wrong in (["--days", "20-10"], ["--days", "soon"], ["--qty", "0"], ["--asked", "12 May"]):
        assert job("shortage", "add", "x", *wrong).status == 65
    assert job("shortage", "add", "x", "--for", "no such part").status == 1


def test_a_renewed_part_comes_back_as_a_group_with_a_tag(job: Run) -> None:
    assert job("renew", "piston", "piston, oversize", "--days", "5").status == 0
    here = job("shortage", "here", "piston, oversize", "bench", "--json")
    assert here.status == 0 and here.data["code"]
    assert job("fit", "crank").status == 0
    assert job("fit", here.data["code"]).status == 0
    found = job("count", "--json").data
    assert (found["off"], found["on"], found["missing"]) == (12, 2, [])


def test_trial_fits(job: Run) -> None:
    assert job("trial").status == 1
    assert job("trial", "crank").status == 0
    assert "on the machine, on trial" in job("trial").out
    assert job("count", "--json").data["on"] == 0
    assert [step["name"] for step in job("reach", "crank", "--json").data][-1] == "piston"
    assert job("trial", "crank", "--off").status == 0
    assert job("off", "crank").status == 1
    assert job("put", "crank", "bench").status == 0


def test_a_failed_inspection(job: Run) -> None:
    found = job("inspect", "crank", "journal 2", "59.94mm", "--min", "59.96mm", "--json")
    assert (found.status, found.data["verdict"]) == (1, "beyond")
    assert "rejected" in job("refit", "--json").data[0]["waits_for"][0]
    assert job("set", "crank", "--disposition", "remachine").status == 0
    assert job("refit", "--json").data[0]["waits_for"] == [
        "rejected, in rework: journal 2 59.94mm (at least 59.96mm)",
        "remachining",
    ]
    assert job("work", "crank", "--done", "remachine").status == 0
    assert "measure it again" in job("refit", "--json").data[0]["waits_for"][0]
    assert job("inspect", "crank", "journal 2", "59.97mm").status == 0
    assert job("refit", "--next", "--json").data[0]["name"] == "crank"
    assert job("inspect", "crank", "journal 2", "wide").status == 65


def test_import_lists_bad_rows_and_does_all_or_the_rest(job: Run, tmp_path: Path) -> None:
    (tmp_path / "p.csv").write_text("Name;Assembly;Qty\nbolt;top;12\nnut;top;some\n", encoding="utf-8")
    refused = job("import", "p.csv", "--machine", "engine")
    assert refused.status == 65
    assert "p.csv:3: the quantity 'some' is not a whole number" in refused.err
    assert job("assembly", "--json").data == job("assembly", "--json").data
    done = job("import", "p.csv", "--machine", "engine", "--skip-bad", "--json")
    assert (done.status, done.data["new"], len(done.data["bad"])) == (0, 1, 1)
    again = job("import", "p.csv", "--machine", "engine", "--skip-bad", "--json")
    assert (again.status, again.data["new"], again.data["same"]) == (0, 0, 1)
    assert job("take", "bolt", "--origin", "engine > top", "--json").status == 0
    assert job("count", "--json").data["off"] == 24  # the list says twelve
    assert job("import", "nowhere.csv", "--machine", "engine").status == 74
    assert job("import", "p.csv").status == 65


def test_missing(job: Run) -> None:
    assert job("missing", "springs").status == 1
    for name in ("springs", "piston"):
        assert job("put", name, "bench").status == 0
    assert job("off", "springs").status == 1
    assert job("put", "piston", "corner").status == 0
    found = job("missing", "springs", "--json")
    assert found.status == 0 and found.data["last_seen"] == "bench"
    assert [each["name"] for each in found.data["moved_since"]] == ["piston"]
    assert "last seen: bench" in job("missing", "springs").out


def test_the_other_records(job: Run) -> None:
    assert job("how", "crank", "--left-hand", "--shim", "2,0.05mm,front", "--screw", "1,45mm,M8").status == 0
    assert "LEFT-HAND THREAD" in job("fit", "crank").out
    assert job("match", "bore", "piston", "cylinder head").status == 0
    assert "matched set" in job("merge", "piston", "springs").err
    assert "matched set" in job("set", "cylinder head", "--origin", "engine > top").err
    assert "matched set" in job("renew", "piston").err
    made = job("connect", "hose", "lift pump", "filter", "--name", "fuel feed", "--json").data
    assert made["mark"] == "H1"
    assert any(each["name"].startswith("H1 fuel feed") for each in job("count", "--json").data["missing"])
    assert job("connect", "H1A", "--joined").status == 0
    assert job("care", "hoses", "--machine", "engine", "--every", "365d", "--done", "2020-01-01").status == 0
    assert job("care", "--json").data[0]["overdue"]
    assert job("assembly", "engine > bottom", "--to", "engine > crankcase").status == 0
    assert job("show", "crank", "--json").data["origin"] == ["engine", "crankcase"]
    for wrong in (
        ["connect", "hose", "a"],
        ["care", "--done", "2020-01-01"],
    ):
        assert job(*wrong).status == 64
    assert job("how", "crank", "--shim", "two").status == 65


def test_every_act_is_said_in_the_history(job: Run) -> None:
    job("set", "crank", "--disposition", "clean")
    job("work", "crank", "--done", "clean")
    job("trial", "crank")
    job("off", "crank")
    job("fit", "crank")
    texts = [step["text"] for step in job("show", "crank", "--json").data["history"]]
    assert texts == [
        "took off crank",
        "changed crank (disposition)",
        "work done on crank",
        "tried crank: on the machine, on trial",
        "took off again: crank: waiting",
        "put back crank: on the machine",
    ]


def test_fetch_says_where_in_a_short_way_round(job: Run) -> None:
    job("put", "crank", "corner")
    job("put", "springs", "bench")
    found = job("refit", "--next", "--fetch", "--json").data
    assert {each["name"] for each in found} == {"crank", "springs"}
    assert all({"on_top", "in_front", "metres", "place"} <= set(each) for each in found)


def test_written_files_are_what_a_spreadsheet_reads(job: Run, tmp_path: Path) -> None:
    job("shortage", "add", "=cmd()", "--for", "crank")
    assert job("shortages", "--csv", "ask.csv").status == 0
    text = (tmp_path / "ask.csv").read_bytes().decode("utf-8-sig")
    assert "'=cmd()" in text and text.startswith("name,specification,quantity")
    assert job("count", "--csv", "left.csv").status == 1
    assert (tmp_path / "left.csv").read_bytes().count(b"left over") == 5
