"""What lies in and beside a ledger by its names but is somebody else's, unreadable, or all there is left."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from shopbins.cli import main
from shopbins.ledger import rescue
from shopbins.ledger.events import VERSION, Event, encode, new_id
from shopbins.ledger.files import write_cache
from shopbins.ledger.journal import digits
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import Damaged
from shopbins.records.photos import PhotosFound, Picture, Run, keep
from shopbins.tags import TagError
from shopbins.tags.layoutfile import read_layouts
from tests.ledger.test_faults import SHOP
from tests.ledger.test_in_place import begun, names, took


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.yaml"
    path.write_text(SHOP)
    begun(tmp_path / "shop.ledger", "alpha cog", "beta cog")
    return path


@pytest.mark.parametrize("whose", ["shop.yaml", "shop.ledger/journal.log", "mine.txt"])
def test_nothing_is_written_through_a_lock_that_is_a_hard_link(shop: Path, whose: str) -> None:
    folder, other = shop.with_name("shop.ledger"), shop.parent / whose
    if not other.exists():
        other.write_text("mine " * 100)
    before = other.read_bytes()
    (folder / "lock").unlink()
    os.link(other, folder / "lock")
    with Ledger.open(folder, prefix="RW", timeout_s=0.3) as ledger:
        took(ledger, "gamma cog")
        assert names(ledger) == {"alpha cog", "beta cog", "gamma cog"}
    assert other.read_bytes().startswith(before)
    assert rescue.verify(str(folder), "RW") == []


def test_a_file_put_in_the_lock_s_place_is_not_written_over(shop: Path) -> None:
    folder = shop.with_name("shop.ledger")
    (folder / "lock").unlink()
    (folder / "lock").write_text("mine " * 100)
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "gamma cog")
    assert (folder / "lock").read_text() == "mine " * 100


@pytest.mark.parametrize("name", ["shop.ledger/journal.end", "shop.ledger.labels"])
def test_a_mark_that_is_a_hard_link_is_replaced_not_written_through(shop: Path, name: str) -> None:
    other = shop.with_name("kept.end")
    mark = shop.parent / name
    os.link(mark, other)
    before = other.read_bytes()
    with Ledger.open(shop.with_name("shop.ledger"), prefix="RW") as ledger:
        took(ledger, "gamma cog")
    assert other.read_bytes() == before != mark.read_bytes()


@pytest.mark.parametrize(
    "name", ["zz.ledger.labels", "ZZ.Ledger.Labels", "new.ledger.labels", "copy.txt", "link"]
)
def test_no_output_lands_on_another_shop_s_mark_of_labels(shop: Path, name: str) -> None:
    other = shop.parent / "other"
    other.mkdir()
    shutil.copy(shop.with_name("shop.ledger.labels"), other / "zz.ledger.labels")
    shutil.copy(shop.with_name("shop.ledger.labels"), other / "ZZ.Ledger.Labels")
    shutil.copy(shop.with_name("shop.ledger.labels"), other / "copy.txt")
    (other / "link").symlink_to(other / "zz.ledger.labels")
    before = {each.name: each.read_bytes() for each in other.iterdir()}
    assert main(["list", "--csv", str(other / name), "-s", str(shop)]) == 74
    assert {each.name: each.read_bytes() for each in other.iterdir()} == before


@pytest.mark.parametrize("broken", [b"", b"garbage\n", None])
def test_a_mark_of_labels_that_cannot_be_read_is_said(shop: Path, broken: bytes | None) -> None:
    folder, mark = shop.with_name("shop.ledger"), shop.with_name("shop.ledger.labels")
    mark.unlink()
    if broken is None:
        mark.mkdir()
    else:
        mark.write_bytes(broken)
    (wrong,) = rescue.verify(str(folder), "RW")
    assert wrong.startswith(f"{mark}: cannot be read") and "highest label" in wrong
    with Ledger.open(folder, prefix="RW") as ledger:
        assert ledger.notes == [wrong]
        took(ledger, "gamma cog")
    if broken is not None:
        assert rescue.verify(str(folder), "RW") == []


@pytest.mark.parametrize("readonly", [False, True])
def test_no_new_ledger_is_begun_where_the_mark_of_labels_tells_of_one(shop: Path, readonly: bool) -> None:
    folder = shop.with_name("shop.ledger")
    with Ledger.open(folder, prefix="RW") as ledger:
        codes = {group.code for group in ledger.state.groups()}
    folder.rename(shop.with_name("away"))
    with pytest.raises(Damaged, match=r"is not there, though .*shop\.ledger\.labels tells of it"):
        Ledger.open(folder, prefix="RW", readonly=readonly)
    assert not folder.exists()
    shop.with_name("away").rename(folder)
    with Ledger.open(folder, prefix="RW", readonly=readonly) as ledger:
        assert names(ledger) == {"alpha cog", "beta cog"} and ledger.notes == []
    shutil.rmtree(folder)
    told = rescue.look(str(folder), "RW")
    assert not folder.exists() and [str(each) for each in told.gone] == [
        "records 1 to 2: nothing of it is left"
    ]
    rescue.rescue(str(folder), "jan", "RW")
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "anew")
        assert names(ledger) == {"anew"}
        assert codes.isdisjoint(group.code for group in ledger.state.groups())
    assert rescue.verify(str(folder), "RW") == []


def test_a_command_neither_begins_a_ledger_that_is_away_nor_says_that_nothing_is_there(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.with_name("shop.ledger").rename(shop.with_name("away"))
    for words in (["take", "gamma cog"], ["find", "cog"], ["verify"]):
        assert main([*words, "-s", str(shop)]) == 74
        assert "put it back" in capsys.readouterr().err
    assert main(["rescue", "-s", str(shop)]) == 0
    assert "records 1 to 2" in capsys.readouterr().out
    assert main(["rescue", "--yes", "-s", str(shop)]) == 0
    assert main(["take", "gamma cog", "-s", str(shop)]) == 0


def test_a_record_that_changes_what_was_not_there_is_named_and_can_be_rescued(shop: Path) -> None:
    folder = shop.with_name("shop.ledger")
    with Ledger.open(folder, prefix="RW") as ledger:
        key = ledger.state.group_ids()[0]
    subject = f"group:{key}"
    data = (folder / "journal.log").read_bytes().rstrip(b"\0")
    event = Event(
        VERSION, 3, new_id(), "2026-05-01T10:00:00.000Z", "who", "set", (subject,),
        {subject: {"qty": 50}}, {subject: {"qty": 99}},
    )  # fmt: skip
    payload = encode(event)
    line = digits(data[data.rfind(b"\n", 0, -1) + 1 :][:32], payload) + b" " + payload + b"\n"
    (folder / "journal.log").write_bytes(data + line)
    wrong = rescue.verify(str(folder), "RW")
    assert wrong[0].startswith(
        f"{folder}/journal.log: record 3 is damaged or forged: it changes qty of {subject}"
    )
    assert not any("snapshot" in each for each in wrong)
    rescue.rescue(str(folder), "jan", "RW")
    assert rescue.verify(str(folder), "RW") == []
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "gamma cog")
    assert rescue.verify(str(folder), "RW") == []


def test_a_number_given_while_the_folder_was_away_is_not_given_again_when_it_is_back(shop: Path) -> None:
    folder, old, newer = (shop.with_name(name) for name in ("shop.ledger", "old", "newer"))
    shutil.copytree(folder, old)
    with Ledger.open(folder, prefix="RW") as ledger:
        took(ledger, "app three")
        folder.rename(newer)
        shutil.copytree(old, folder)
        with Ledger.open(folder, prefix="RW") as other:
            took(other, "while away")
            (code,) = (group.code for group in other.state.groups() if group.name == "while away")
        folder.rename(old.with_name("older"))
        newer.rename(folder)
        took(ledger, "app four")
        assert code not in {group.code for group in ledger.state.groups()}


CACHES = ("shop-was-read", "audits.json")


@pytest.mark.parametrize("name", CACHES)
@pytest.mark.parametrize("how", ["pipe", "endless"])
def test_what_is_no_file_in_the_place_of_a_cache_is_neither_waited_for_nor_read(
    shop: Path, name: str, how: str
) -> None:
    path = shop.with_name("shop.ledger") / name
    path.unlink(missing_ok=True)
    if how == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("/dev/zero")
    command = [sys.executable, "-m", "shopbins", "-s", str(shop)]
    for words in (["find", "cog"], ["audit"]):
        ran = subprocess.run([*command, *words], capture_output=True, text=True, timeout=30, check=False)
        assert ran.returncode in (0, 1), ran.stderr


def test_a_cache_is_written_through_no_link_somebody_prepared(shop: Path) -> None:
    victim = shop.with_name("victim")
    victim.write_text("mine")
    path = shop.with_name("shop.ledger") / "audits.json"
    path.with_name(f".audits.json.{os.getpid()}").symlink_to(victim)
    write_cache(str(path), b"{}")
    assert victim.read_text() == "mine" and path.read_bytes() == b"{}"


@pytest.mark.parametrize("how", ["pipe", "endless", "link"])
def test_a_layout_that_is_no_file_of_its_own_is_named_not_read(tmp_path: Path, how: str) -> None:
    path, secret = tmp_path / "a.yaml", tmp_path / "secret"
    secret.write_text("postgres:!:20593\n")
    if how == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("/dev/zero" if how == "endless" else secret)
    with pytest.raises(TagError) as told:
        read_layouts(path)
    assert "is no ordinary file" in str(told.value) or "is a link" in str(told.value)


def test_photographs_are_not_put_through_a_link(shop: Path) -> None:
    folder, victim = shop.with_name("shop.ledger"), shop.with_name("victim")
    victim.mkdir()
    (folder / "photos").symlink_to(victim)
    picture = shop.with_name("one.png")
    picture.write_bytes(b"picture")
    found = PhotosFound((Run((), (Picture(picture, "a4" + "0" * 62, ""),)),), (), (), 0)
    with Ledger.open(folder, prefix="RW") as ledger, pytest.raises(OSError, match="link"):
        keep(found, ledger.state, folder)
    assert list(victim.iterdir()) == []
