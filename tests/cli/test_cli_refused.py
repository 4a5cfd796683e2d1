"""A command that does not exit 0 has recorded nothing, and one that does has recorded one event."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopbins.cli import COMMANDS

Run = Callable[..., Any]

REFUSED: dict[str, list[list[str]]] = {
    "take": [
        ["take", "x", "--mass", "heavy"],
        ["take", "x", "--code", "ZLB0001A"],
        ["take", "x", "--qty", "0"],
    ],
    "set": [
        ["set", "crank", "--name", "shaft", "--moving", "nosuch=1"],
        ["set", "crank", "--name", "shaft", "--qty", "0"],
        ["set", "crank", "--mass", "3kg", "--moving", "comes_off=nobody"],
        ["set", "rocker cover", "--disposition", "scrapped"],
    ],
    "split": [["split", "springs", "--qty", "8"], ["split", "springs", "--into", "a", "--into", ""]],
    "merge": [["merge", "crank", "piston", "nosuch"], ["merge", "crank", "crank"]],
    "machine": [["machine", "engine", "--owner", "Ida", "--note", "x" * 5000]],
    "how": [
        ["how", "crank", "--trick", "heat", "--days", "x"],
        ["how", "crank", "--trick", "heat", "--days", "20-10"],
        ["how", "crank", "--trick", "heat", "--shim", "0,0.05mm"],
        ["how", "nosuch", "--trick", "heat"],
    ],
    "before": [
        ["before", "springs", "crank", "piston", "--not"],
        ["before", "rocker cover", "nosuch", "cylinder head", "--not"],
        ["before", "springs", "nosuch", "crank"],
        ["before", "crank", "crank"],
    ],
    "put": [
        ["put", "crank", "nowhere"],
        ["put", "crank", "rack/2", "--at", "9,9,9"],
        ["put", "crank", "rack/3"],
    ],
    "away": [
        ["away", "crank", "the grinder", "--until", "soon"],
        ["away", "crank", "", "--until", "2999-01-01"],
    ],
    "back": [["back", "crank"], ["back", "piston", "nowhere"]],
    "undo": [["undo", "twice"]],
    "redo": [["redo"]],
    "tags": [["tags", "nosuch", "-o", "t.pdf"], ["tags", "--zones", "-o", "t.pdf", "--sheet", "nosuch"]],
    "fit": [["fit", "crank", "--to", "nosuch"], ["fit", "springs", "--to", "springs"]],
    "trial": [["trial", "crank", "--off"], ["trial", "crank", "--to", "nosuch"]],
    "off": [["off", "crank"]],
    "strike": [
        ["strike", "crank", " "],
        ["strike", "crank", "--back"],
        ["strike", "nosuch", "why", "--shortage"],
    ],
    "milestone": [
        ["milestone", "new", "--needs", "crank", "--then", "nosuch"],
        ["milestone", "new", "--needs", "crank", "--needs", "nosuch"],
        ["milestone", "new", "--due", "2999-13-01", "--done"],
        ["milestone", "closed", "--then", "rocker cover", "--then", "crank"],
        ["milestone", "nosuch", "--done"],
    ],
    "shortage": [
        ["shortage", "add", "oil", "--for", "nosuch"],
        ["shortage", "add", "oil", "--milestone", "nosuch"],
        ["shortage", "add", "oil", "--for", "crank", "--days", "x"],
        ["shortage", "set", "shells", "--of", "Moss", "--promised", "soon"],
        ["shortage", "here", "shells", "nowhere"],
        ["shortage", "here", "shells", "--container", "hat"],
    ],
    "renew": [["renew", "crank", "--days", "x"], ["renew", "crank", " \x1b"], ["renew", "nosuch"]],
    "work": [
        ["work", "crank", "--list", "wash,measure", "--done", "meaure"],
        ["work", "crank", "--as", "casting", "--done", "clean", "--again", "paint"],
        ["work", "crank", "--list", " , "],
    ],
    "inspect": [
        ["inspect", "crank", "journal", "59.9mm", "--min", "thin"],
        ["inspect", "crank", " ", "59.9mm"],
    ],
    "match": [["match", "pair", "crank", "nosuch"], ["match", "pair", "crank", "piston", "--seat", "one"]],
    "connect": [
        ["connect", "hose", "pump", "tank", "--machine", "nosuch"],
        ["connect", "hose", "pump", " "],
        ["connect", "H9", "--joined"],
    ],
    "care": [
        ["care", "grease", "--every", "30d", "--for", "nosuch", "--machine", "engine", "--hours", "5"],
        ["care", "grease", "--machine", "engine", "--hours", "5"],
        ["care", "grease", "--every", "30d", "--machine", "engine", "--hours", "x"],
        ["care", "hoses", "--every", "30d", "--done", "soon"],
    ],
    "assembly": [
        ["assembly", "engine > top", "--to", "engine > top > more"],
        ["assembly", "engine > top > "],
    ],
    "import": [["import", "bad.csv", "--machine", "engine"], ["import", "nosuch.csv"]],
    "photos": [["photos", "nosuch"]],
}
"""Of each command that records, lines that are refused, those first that are refused late."""

READS = {
    "check", "new", "plan", "serve", "fits", "demo", "export", "find", "show", "list", "audit", "strip",
    "reach", "refit", "shortages", "count", "missing", "report", "rescue", "backup", "verify",
    "import-plan", "completion",
}  # fmt: skip
"""Commands that record nothing in the ledger."""

ELSEWHERE = {
    "catchup",  # records line by line, and says which could not be
    "move", "accept",  # beside what they are about
    "correct", "concede", "lost", "found", "give", "swap", "bind", "lend",
}  # fmt: skip


JOB: tuple[list[str], ...] = (
    ["take", "rocker cover", "--origin", "engine > top"],
    ["take", "cylinder head", "--origin", "engine"],
    ["take", "springs", "--origin", "engine > cylinder head", "--qty", "8", "--container", "bag"],
    ["take", "piston", "--origin", "engine > bottom"],
    ["take", "crank", "--origin", "engine > bottom"],
    ["before", "rocker cover", "cylinder head"],
    ["milestone", "closed", "--needs", "crank", "--due", "2999-01-01"],
    ["shortage", "add", "shells", "--for", "crank"],
    ["care", "hoses", "--every", "365d"],
    ["away", "piston", "the grinder", "--until", "2999-01-01"],
)


@pytest.fixture
def job(run: Run, shop: Path) -> Run:
    """Five groups off an engine, one away, a milestone, a shortage, care, a parts list with a bad row."""
    for line in JOB:
        answer = run(*line)
        assert answer.status == 0, answer.err
    (shop.parent / "bad.csv").write_text("Name,Assembly,Qty\noil jet,bottom,1\nsump,bottom,many\n")
    return run


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_has_written_nothing(job: Run, shop: Path, name: str) -> None:
    journal = shop.with_name("shop.ledger") / "journal.log"
    before = journal.read_bytes()
    for line in REFUSED[name]:
        answer = job(*line)
        assert answer.status in (1, 64, 65, 74), line
        assert journal.read_bytes() == before, line
        assert answer.err.strip(), line


def test_every_command_is_accounted_for() -> None:
    """A new command that records has a line here that is refused, the later the better."""
    assert not set(COMMANDS) - REFUSED.keys() - READS - ELSEWHERE


@pytest.mark.parametrize(
    "line",
    [
        ["how", "crank", "--trick", "heat", "--left-hand", "--days", "1-2"],
        ["set", "crank", "--mass", "20kg", "--moving", "under=100mm"],
        ["set", "crank", "--disposition", "inspect", "--note", "n"],
        [
            "milestone",
            "moved",
            "--move",
            "--due",
            "2999-01-01",
            "--then",
            "crank",
            "--then",
            "springs",
            "--done",
        ],
        ["work", "crank", "--list", "wash, measure", "--done", "wash"],
        ["before", "springs", "piston", "crank"],
        ["care", "oil", "--every", "250h", "--machine", "engine", "--hours", "4210"],
        ["shortage", "here", "shells"],
        ["renew", "crank", "new crank", "--days", "10-20"],
        ["put", "crank", "bench"],
        ["back", "piston", "bench"],
    ],
    ids=lambda line: line[0],
)
def test_a_command_is_one_event_and_one_undo(job: Run, line: list[str]) -> None:
    before = job("export", "--format", "json", "-o", "-").data
    assert job(*line).status == 0
    after = job("export", "--format", "json", "-o", "-").data
    assert after["seq"] == before["seq"] + 1
    undone = job("undo", "--reason", "a slip")  # an order is undone only for one
    assert undone.status == 0 and undone.out.strip()
    now = job("export", "--format", "json", "-o", "-").data
    assert now["groups"] == before["groups"]


def test_another_size_says_what_was_told_of_it_before(run: Callable[..., Any]) -> None:
    """Its feet and its centre of gravity are elsewhere then; what is told with the size is of it so."""
    run("take", "press", "--size", "1400x1000x2000mm")
    assert not run("set", "press", "--moving", "cg=0,0", "--moving", "foot=-600,0; 600,0").err
    laid = run("set", "press", "--size", "2000x1000x1400mm", "--moving", "cg=300,0")
    assert (laid.status, laid.err.strip()) == (
        0, "foot of press told when it was 1400 x 1000 x 2000 mm: still so?"
    )  # fmt: skip
    assert "foot told when it was 1400 x 1000 x 2000 mm: still so?" in run("show", "press").out
    assert not run("set", "press", "--moving", "foot=-900,0; 900,0").err
    assert "still so?" not in run("show", "press").out
