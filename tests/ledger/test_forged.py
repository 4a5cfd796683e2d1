"""Records somebody forged, digits and all: named as damaged wherever they are read, never acted on."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.ledger import rescue
from shopbins.ledger.events import VERSION, Draft, Event, encode, new_id
from shopbins.ledger.journal import digits
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import BadValue, Damaged
from shopbins.ledger.shapes import FIELDS, wrong_in
from shopbins.records import acts, registry
from shopbins.records.tables import NAMES
from shopbins.tags.drawn import Drawn
from shopbins.tags.labels import Label
from shopbins.tags.picture import _names


def forged(folder: Path, after: dict, kind: str = "take") -> None:
    """Append a record whose digits are right, and forget the end mark."""
    data = (folder / "journal.log").read_bytes()
    seq = data.count(b"\n")
    at = "2026-05-01T10:00:00.000Z"
    payload = encode(
        Event(VERSION, seq, new_id(), at, "who", kind, tuple(after), dict.fromkeys(after), after)
    )
    chain = digits(data[data.rfind(b"\n", 0, -1) + 1 :][:32], payload)
    (folder / "journal.log").write_bytes(data + b"%b %b\n" % (chain, payload))
    (folder / "journal.end").unlink()


@pytest.mark.parametrize(
    "fields",
    [
        {"code": "../ESC"},
        {"code": "ZRW00019"},
        {"also_codes": ["../../ESC"]},
        {"qty": -5},
        {"qty": 10**30},
        {"taken_at": "9999-99-99"},
        {"mass": [-4]},
        {"mass": [0]},
        {"mass": ["4"]},
        {"mass": [4, "perhaps"]},
        {"mass": [1e9]},
        {"mass": 4},
        {"size": [100, 100]},
        {"size": [100, 100, 0]},
        {"size": [100, 100, -1]},
        {"size": [100, 100, 100, 100]},
        {"size": [100, None, 100]},
        {"size": {"length": 100}},
    ],
    ids=str,
)
def test_a_forged_value_is_damage_when_it_is_read_and_nothing_is_recorded_onto_it(
    tmp_path: Path, fields: dict
) -> None:
    folder = tmp_path / "shop.ledger"
    with Ledger.open(folder, prefix="RW") as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
        open_before = Ledger.open(folder, prefix="RW")
    forged(folder, {f"group:{new_id()}": {"name": "forged", **fields}})
    with pytest.raises(Damaged, match="record 2 is damaged or forged"):
        Ledger.open(folder, prefix="RW")
    with open_before, pytest.raises(Damaged, match="record 2 is damaged or forged"):
        open_before.transact(lambda s: acts.take(s, "more"))
    assert any("damaged or forged" in each for each in rescue.verify(str(folder), "RW"))
    with Ledger.open(folder, prefix="RW", readonly=True) as looking:
        assert [group.name for group in looking.state.groups()] == ["head"]
    rescue.rescue(str(folder), "jan", "RW")
    assert rescue.verify(str(folder), "RW") == []


@pytest.mark.parametrize(
    ("subject", "fields"),
    [
        ("shortage:x", {"qty": ["x", 1]}),
        ("shortage:x", {"days": [[1]]}),
        ("before:x", {"a": {"a": [1]}, "b": "y"}),
        ("part:x", {"qty": [1]}),
        ("care:x", {"done": 1e30}),
        ("care:x", {"every_days": {}}),
        ("inspection:x", {"group": {}}),
        ("list:x", {"rows": [["x", "pump", [], 1]]}),
        ("list:x", {"origins": 1e30}),
        ("milestone:x", {"by": ["x"]}),
        ("accepted:x", {"measured": [[1]]}),
        ("group:x", {"shares": ["x"]}),
        ("connection:x", {"kind": []}),
        ("connection:x", {"a": 7}),
        ("connection:x", {"number": "3"}),
        ("connection:x", {"ends": 3}),
        ("connection:x", {"ends": {"c": True}}),
        ("correction:x", {"why": ["x"]}),
        ("correction:x", {"on": "yesterday"}),
        ("tag:ZRW00018", {"blank": "yes"}),
        ("shortage:x", {"came": "2"}),
        ("set:x", {"matched": 5}),
    ],
    ids=str,
)
def test_a_record_of_another_table_that_no_reader_could_take_is_damage(
    tmp_path: Path, subject: str, fields: dict
) -> None:
    folder = tmp_path / "shop.ledger"
    with Ledger.open(folder, prefix="RW") as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
    forged(folder, {subject: fields})
    with pytest.raises(Damaged, match="record 2 is damaged or forged"):
        Ledger.open(folder, prefix="RW")


@pytest.mark.parametrize(("end", "joined", "wrong"), [
    ("a", None, False), ("b", True, False), ("a", "2026-03-01", False), ("", "2026-03-01", True),
    ("c", None, True), ("a", 3, True), ("b", "soon", True), ("a", ["2026-03-01"], True),
])  # fmt: skip
def test_an_end_is_joined_on_a_day_or_on_one_nobody_knows(end: str, joined: object, wrong: bool) -> None:
    assert bool(wrong_in("connection:x", {"ends": {end: joined}})) is wrong


def test_adding_photographs_forges_nothing_else(tmp_path: Path) -> None:
    folder = tmp_path / "shop.ledger"
    with Ledger.open(folder, prefix="RW") as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
    forged(folder, {"group:x": {"name": "forged", "qty": -5}}, kind="add photos")
    with pytest.raises(Damaged):
        Ledger.open(folder, prefix="RW")


def test_what_would_be_damage_when_it_is_read_is_never_recorded(tmp_path: Path) -> None:
    with Ledger.open(tmp_path / "shop.ledger", prefix="RW") as ledger:
        with pytest.raises(BadValue, match="cannot be recorded"):
            ledger.transact(lambda _: Draft("take", {"group:x": {"name": "heavy", "mass": [1e9]}}))
        assert ledger.seq == 0


@pytest.mark.parametrize("key", ["../ESC", "ZRW00019", ""])
def test_a_forged_blank_tag_is_damage(tmp_path: Path, key: str) -> None:
    folder = tmp_path / "shop.ledger"
    with Ledger.open(folder, prefix="RW") as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
    forged(folder, {f"tag:{key}": {"blank": True}})
    with pytest.raises(Damaged):
        Ledger.open(folder, prefix="RW")


def test_a_picture_of_a_label_is_named_within_its_folder() -> None:
    names = _names([Drawn(Label(code), 50.0, ()) for code in ("../ESC", "/etc/x", "ZRW00019")])
    assert not any("/" in name or name.startswith(".") for name in names)
    assert names[2] == "ZRW00019.png"


def test_a_document_that_lacks_what_every_reader_needs_does_not_verify(tmp_path: Path) -> None:
    folder = tmp_path / "shop.ledger"
    with Ledger.open(folder, prefix="RW") as ledger:
        ledger.transact(lambda s: acts.take(s, "head"))
    forged(folder, {"connection:x": {"kind": "hose", "a": "pump", "b": "filter"}}, "connect")
    assert any("connection:x lacks number" in each for each in rescue.verify(str(folder), "RW"))


def test_every_table_has_a_row_of_shapes() -> None:
    assert set(NAMES) - {"plan"} <= set(FIELDS), "add its fields to ledger/shapes.py"
    for table, fields in registry.FIELDS.items():
        assert {each.name for each in fields} <= set(FIELDS[table]), table
