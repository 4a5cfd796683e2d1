"""Verify, backup and rescue as they are typed: photographs that are lost, copies that fail, ends unknown."""

from __future__ import annotations

import os
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
