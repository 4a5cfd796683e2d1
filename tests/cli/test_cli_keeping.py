"""Verify, backup and rescue as they are typed: photographs that are lost, copies that fail, ends unknown."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from hashlib import sha256
from pathlib import Path

import pytest

from shopbins.ledger.events import Draft
from shopbins.ledger.ledger import Ledger


@pytest.fixture
def folder(run, shop: Path) -> Path:
    """A ledger with two parts and two photographs."""
    assert run("take", "flywheel").status == 0
    assert run("take", "gear case").status == 0
    found = shop.with_name("shop.ledger")
    with Ledger.open(found, prefix="LB") as ledger:
        for data in (b"one", b"two"):
            key = sha256(data).hexdigest()
            path = found / "photos" / key[:2] / f"{key}.jpg"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            code = next(ledger.state.groups()).code
            doc = {
                "name": f"IMG_{data.decode()}.jpg",
                "file": str(path.relative_to(found / "photos")),
                "codes": [code],
            }
            ledger.transact(lambda _, k=key, d=doc: Draft("add photos", {f"photo:{k}": d}))
    return found


def photo(folder: Path, data: bytes) -> Path:
    key = sha256(data).hexdigest()
    return folder / "photos" / key[:2] / f"{key}.jpg"


@pytest.mark.parametrize("how", ["missing", "damaged", "a pipe", "a link"])
def test_a_lost_photograph_is_named_everything_else_is_copied_and_rescue_puts_it_on_record(
    run, folder: Path, tmp_path: Path, how: str
) -> None:
    path = photo(folder, b"one")
    path.unlink()
    if how == "damaged":
        path.write_bytes(b"onf")
    elif how == "a pipe":
        os.mkfifo(path)
    elif how == "a link":
        path.symlink_to(tmp_path / "shop.yaml")
    told = run("verify")
    assert told.status == 74 and "IMG_one.jpg" in told.err and "IMG_two" not in told.err
    copied = run("backup", "copy")
    assert copied.status == 74 and "IMG_one.jpg" in copied.err
    assert (tmp_path / "copy/shop.yaml").read_bytes() == (tmp_path / "shop.yaml").read_bytes()
    assert photo(tmp_path / "copy/shop.ledger", b"two").read_bytes() == b"two"
    with Ledger.open(tmp_path / "copy/shop.ledger", readonly=True, strict=True) as ledger:
        assert len(ledger.state.group_ids()) == 2
    before = (folder / "journal.log").read_bytes()
    looked = run("rescue")
    assert looked.status == 0 and "IMG_one.jpg" in looked.out
    assert (folder / "journal.log").read_bytes() == before
    assert run("rescue", "--yes").status == 0
    assert run("verify").status == 0
    assert run("backup", "copy 2").status == 0
    with Ledger.open(folder, readonly=True) as ledger:
        assert [doc["name"] for doc in ledger.state.docs("photo").values()] == ["IMG_two.jpg"]
        assert "IMG_one.jpg" in str(list(ledger.state.docs("rescue").values()))
    assert "nothing is damaged" in run("rescue").out


def test_a_torn_last_record_without_an_end_mark_is_damage_that_rescue_names(run, folder: Path) -> None:
    journal = folder / "journal.log"
    whole = journal.read_bytes()
    journal.write_bytes(whole[:-30])
    (folder / "journal.end").unlink()
    told = run("verify")
    assert told.status == 74 and "unfinished" in told.err
    assert "gone: record" in run("rescue").out
    assert run("rescue", "--yes").status == 0
    assert run("rescue", "--yes").status == 0
    assert run("verify").status == 0


def test_a_missing_end_mark_is_no_pass(run, folder: Path) -> None:
    (folder / "journal.end").unlink()
    told = run("verify")
    assert told.status == 74 and "journal.end: is missing" in told.err
    assert run("take", "one more").status == 0
    assert run("verify").status == 0


def test_a_copy_that_fails_leaves_nothing_behind(run, folder: Path, tmp_path: Path, monkeypatch) -> None:
    def full(*_: object, **__: object) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as during:
        during.setattr("shopbins.ledger.rescue.written", full)
        told = run("backup", "copy")
        assert told.status == 74 and "No space left" in told.err
    assert not (tmp_path / "copy").exists()
    assert run("backup", "copy").status == 0


def test_what_goes_to_stdout_by_its_name_is_not_written_over_by_what_is_said(shop: Path, tmp_path) -> None:
    found = tmp_path / "found.json"
    with found.open("wb") as out:
        done = subprocess.run(
            [sys.executable, "-m", "shopbins", "export", "--format", "json", "-o", "/dev/stdout"],
            stdout=out,
            check=False,
        )
    assert done.returncode == 0
    assert "groups" in json.loads(found.read_bytes())


def test_no_output_lands_on_a_journal_under_another_name(folder: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    os.link(folder / "journal.log", elsewhere / "sheet.pdf")
    before = (folder / "journal.log").read_bytes()
    words = [sys.executable, "-m", "shopbins", "new", "--sheet", "sheet.pdf"]
    told = subprocess.run(words, cwd=elsewhere, capture_output=True, text=True, check=False)
    assert told.returncode == 74 and "journal" in told.stderr
    assert (elsewhere / "sheet.pdf").samefile(folder / "journal.log")
    assert (folder / "journal.log").read_bytes() == before


def test_no_demo_is_written_into_a_ledger(run, folder: Path) -> None:
    before = sorted(folder.rglob("*"))
    told = run("demo", str(folder))
    assert told.status != 0 and "is in a ledger" in told.err
    assert sorted(folder.rglob("*")) == before


def test_a_lock_that_is_a_link_is_said_to_be_one(run, folder: Path, tmp_path: Path) -> None:
    (folder / "lock").unlink(missing_ok=True)
    (folder / "lock").symlink_to(tmp_path / "elsewhere")
    told = run("take", "lost")
    assert told.status == 74 and "is a link, not the file itself" in told.err


@pytest.mark.parametrize("to", [["-o", "labels.pdf"], ["--png", "labels"]])
def test_no_blank_codes_are_given_out_where_the_disk_takes_no_file(
    run, folder: Path, monkeypatch: pytest.MonkeyPatch, to: list[str]
) -> None:
    before = (folder / "journal.log").read_bytes()

    def full(*_: object) -> int:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as during:
        during.setattr("shopbins.outputs.os.write", full)
        told = run("tags", "--blank", "3", *to)
    assert told.status == 74 and "No space left" in told.err
    assert (folder / "journal.log").read_bytes().rstrip(b"\0") == before
    assert run("tags", "--blank", "3", *to).status == 0
    assert not list(folder.parent.rglob("*.part"))


def test_every_file_in_the_ledger_is_for_its_owner_and_group_only(run, folder: Path, shop: Path) -> None:
    old = time.time() - 100
    os.utime(shop, (old, old))  # long enough ago to be noted as read
    run("audit")
    run("find", "flywheel")
    names = {each.name for each in folder.iterdir() if each.is_file()}
    assert {"audits.json", "shop-was-read", "journal.log"} <= names
    assert {each.name for each in folder.iterdir() if each.is_file() and each.stat().st_mode & 0o007} == set()
