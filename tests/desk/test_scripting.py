"""The door for scripts, and that every example of docs/scripting.md runs on the demo."""

from __future__ import annotations

import re
import shlex
import warnings
from pathlib import Path

import pytest

import shopbins
from shopbins.cli import main
from shopbins.demo import write_demo
from shopbins.desk import BadInput, Desk, NotDone, StorageFailed
from shopbins.desk.scripting import Incomplete
from shopbins.ledger.problems import LedgerProblem
from shopbins.records import how, shortage

DOCS = Path(__file__).parents[2] / "docs" / "scripting.md"
EXAMPLES = re.findall(r"```python\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.S)
COMMANDS = [
    line for line in DOCS.read_text(encoding="utf-8").splitlines() if line.startswith("shopbins list")
]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_demo(tmp_path_factory.mktemp("demo"))


def test_every_example_runs(demo: Path, monkeypatch, capsys) -> None:
    monkeypatch.chdir(demo.parent)
    names: dict[str, object] = {}
    for example in EXAMPLES:
        exec(compile(example, str(DOCS), "exec"), names)
    said = capsys.readouterr().out.splitlines()
    assert "tubs: " in said[0] and not said[0].startswith("0")
    assert any("Engine block" in line for line in said)
    assert any("not weighed, so not compared" in line for line in said)
    assert "promised 2999-12-24 [10.0, 20.0]" in said
    assert "no part is called 'no such part'" in said[-1]


@pytest.mark.parametrize("line", COMMANDS)
def test_every_command_runs(demo: Path, line: str, monkeypatch, capsys) -> None:
    monkeypatch.chdir(demo.parent)
    assert main(shlex.split(line)[1:]) in (0, 1)
    assert "no condition" not in capsys.readouterr().err


def test_what_is_done_is_one_event_or_none(shop_path: Path) -> None:
    with shopbins.open(shop_path, by="Ida") as shop:
        shop.desk.take("crank", origin=("engine", "bottom"), mass=None)
        event = shop.do(how.HOW("crank", trick="heat"), how.DAYS("crank", days="1-2"))
        assert (event.kind, event.by, shop.desk.seq) == ("how it came off + set days", "Ida", event.seq)
        with pytest.raises(NotDone):
            shop.do(shortage.ADD(name="shells"), how.HOW("nosuch", trick="heat"))
        with pytest.raises(BadInput):
            shop.do(shortage.ADD(name="shells", days="soon"))
        with pytest.raises(BadInput):
            shop.search("group", "weight > 3 kg")
        with pytest.raises(LedgerProblem):
            shop.table("group").insert({"name": "by hand"})
        assert shop.desk.seq == event.seq


def test_others_are_taken_in_and_nothing_is_made_by_looking(shop_path: Path) -> None:
    with shopbins.open(shop_path, readonly=True) as shop:
        assert shop.search("group", "mass > 1 kg") == [] and not shop_path.with_name("shop.ledger").exists()
    with Desk.open(shop_path, by="Jan") as desk:
        desk.take("crank")
        with shopbins.open(shop_path, readonly=True) as shop:
            desk.take("piston", qty=4)
            assert [doc["name"] for doc in shop.search("group", "qty >= 2")] == ["piston"]
            assert shop.search("group", "mass < 1 kg") == []
            assert shop.not_compared == ["2 not weighed, so not compared"]


def test_a_script_is_told_of_damage_and_of_an_unfinished_record(shop_path: Path) -> None:
    with Desk.open(shop_path, by="Jan") as desk:
        desk.take("crank")
        desk.take("piston")
        desk.take("springs")
    journal = shop_path.with_name("shop.ledger") / "journal.log"
    whole = journal.read_bytes()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with shopbins.open(shop_path, readonly=True) as shop:
            assert shop.incomplete == ()
    journal.write_bytes(whole.replace(b'"name":"piston"', b'"name":"pistol"'))
    with pytest.warns(Incomplete, match=r"journal\.log:3: this record is damaged") as told:
        shop = shopbins.open(shop_path, readonly=True)
    assert told[0].filename == __file__
    with shop:
        assert [doc["name"] for doc in shop.search("group")] == ["crank", "springs"]
        assert "record is damaged" in shop.incomplete[0] and "pistol" in shop.incomplete[1]
    with pytest.raises(StorageFailed), shopbins.open(shop_path):
        pass
    journal.write_bytes(whole + whole[-150:-20])
    (journal.parent / "journal.end").unlink()
    for readonly in (True, False, True):
        with pytest.warns(Incomplete, match="unfinished record that may have been recorded"):
            shop = shopbins.open(shop_path, readonly=readonly)
        with shop:
            assert len(shop.incomplete) == 1 and len(shop.search("group")) == 3
