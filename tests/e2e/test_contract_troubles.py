"""Disks full or read-only, readers that go away, files that are none: a line each, nothing lost."""

from __future__ import annotations

import ctypes
import os
import resource
import signal
import unicodedata
from pathlib import Path
from typing import Any

import pytest

PR_CAPBSET_DROP, CAP_DAC_OVERRIDE = 24, 1  # linux/prctl.h, linux/capability.h


def heed_permissions() -> None:
    """Let file permissions bind the program to be started, be it root's."""
    if os.geteuid() == 0:
        assert ctypes.CDLL(None, use_errno=True).prctl(PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, 0, 0, 0) == 0


def limited(bytes_: int) -> dict[str, Any]:
    """Return how to run a command so that no file may grow beyond so many bytes, as on a full disk."""

    def set_limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # so that the write fails instead, with EFBIG
        resource.setrlimit(resource.RLIMIT_FSIZE, (bytes_, bytes_))

    # Python 3.11 itself leaves half a compiled file where its own write is cut short
    return {"preexec_fn": set_limit, "env": {"PYTHONDONTWRITEBYTECODE": "1"}}


def test_a_disk_that_fills_up_is_74_and_what_was_said_stays(shed):
    for n in range(12):
        shed.json("take", f"part {n}")
    journal = shed.folder / "shop.ledger" / "journal.log"
    before = journal.read_bytes().rstrip(b"\0")
    full = shed.run("take", "one too many", **limited(len(before) + 60))
    assert full.status == 74 and full.out == "", full
    assert len(full.problems) == 1
    assert journal.read_bytes().rstrip(b"\0") == before
    after = shed.json("take", "thirteenth")
    assert after["seq"] == 13
    assert len(shed.json("find", "part")) == 12


@pytest.mark.parametrize(
    "args",
    [["tags", "--all", "-o", "tags.pdf"], ["export", "--format", "json", "-o", "all.json"], ["demo", "new"]],
)
def test_a_file_that_cannot_be_written_whole_is_not_written(shed, args):
    for n in range(3):
        shed.json("take", f"part {n}")
    full = shed.run(*args, **limited(500))
    assert full.status == 74, full
    assert full.out == "" and full.problems
    assert not list(shed.folder.glob("*.pdf")) and not list(shed.folder.glob("*.json"))
    assert shed.run(*args).status == 0


@pytest.mark.parametrize("args", [["find", "part", "--json"], ["audit"], ["show", "part 1"]])
def test_stdout_on_a_full_device_is_74(shed, args):
    shed.json("take", "part 1", "--origin", "lathe > head")
    with Path("/dev/full").open("w") as full:
        ran = shed.run(*args, stdout=full)
    assert ran.status == 74 and len(ran.problems) == 1, ran


def test_what_was_taken_is_kept_though_its_answer_could_not_be_printed(shed):
    with Path("/dev/full").open("w") as full:
        ran = shed.run("take", "pump", stdout=full)
    assert ran.status == 0 and "it is recorded, but could not be said" in ran.err
    assert [hit["name"] for hit in shed.json("find", "pump")] == ["pump"]


def test_a_reader_that_goes_away_is_no_trouble(shed):
    shed.json("take", "pump")
    reading, writing = os.pipe()
    os.close(reading)
    try:
        ran = shed.run("find", "pump", stdout=writing)
    finally:
        os.close(writing)
    assert ran.err == ""


def test_a_read_only_folder_can_be_looked_at(shed):
    shed.json("take", "pump")
    ledger = shed.folder / "shop.ledger"
    for path in (*ledger.iterdir(), ledger, shed.folder):
        path.chmod(0o555 if path.is_dir() else 0o444)
    try:
        assert shed.run("find", "pump", preexec_fn=heed_permissions).status == 0
        refused = shed.run("take", "lamp", preexec_fn=heed_permissions)
        assert (refused.status, len(refused.problems)) == (74, 1), refused
    finally:
        for path in (shed.folder, ledger, *ledger.iterdir()):
            path.chmod(0o755 if path.is_dir() else 0o644)
    assert shed.json("take", "lamp")["seq"] == 2


def test_a_ledger_that_is_a_file_is_74(shed):
    (shed.folder / "shop.ledger").write_text("not a folder")
    ran = shed.run("take", "pump")
    assert (ran.status, len(ran.problems)) == (74, 1), ran
    assert (shed.folder / "shop.ledger").read_text() == "not a folder"


@pytest.mark.parametrize(
    "content",
    [b"", b"\0\1\2\3" * 1000, "shop: Bär".encode("latin-1"), b"[" * 5000, b"rooms: [", b"a: b: c"],
    ids=["empty", "binary", "latin-1", "deep", "half", "not yaml"],
)
def test_a_shop_file_that_is_none_is_65_with_its_place(shed, content):
    shed.json("take", "pump")
    good = shed.shop.read_bytes()
    shed.shop.write_bytes(content)
    ran = shed.run("find", "pump")
    assert ran.status == 65 and ran.problems[0].startswith("shop.yaml:"), ran
    assert shed.run().status == 65
    shed.shop.write_bytes(good)
    assert shed.json("find", "pump")


@pytest.mark.parametrize(
    "name",
    ["\x1b]0;x\x07", "a\u202eb", "x" * 10_000, "line\nbreak", " "],
    ids=["escape", "bidi", "long", "line", "blank"],
)
def test_names_that_would_harm_a_terminal_are_refused(shed, name):
    ran = shed.run("take", name)
    assert ran.status == 65 and len(ran.problems) == 1
    assert ran.problems[0].isprintable()


def test_wide_and_combining_names_come_back_composed(shed):
    for name in ("冷却水ポンプ", "Zylinderkopfdichtung für Möwe", "e\u0301tau", "vis à tête №5"):
        code = shed.json("take", name)["code"]
        assert shed.json("show", code)["name"] == unicodedata.normalize("NFC", name)
        assert [hit["code"] for hit in shed.json("find", name.split()[0])][:1] == [code]
