"""Assemblies moved in the tree keep what is beside them; what was used once stays apart from what was not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopbins.desk import Desk, NotDone
from shopbins.records.group import CHANGE, MERGE
from shopbins.records.position import ADD_ASSEMBLY, RENAME

SHOP = "shop: Slip\nprefix: S\nrooms:\n  hall: {at: [0, 0], size: [6000, 4000], headroom: 3 m}\n"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    with Desk.open(tmp_path / "shop.yaml", by="Ida") as opened:
        yield opened


def tree(desk: Desk, machine: str) -> list[object]:
    return list(desk.state.docs("machine")[machine].get("tree", []))


def test_an_assembly_moved_within_a_machine_leaves_the_rest_of_its_tree(desk: Desk) -> None:
    for path in (("engine", "fuel", "filter"), ("engine", "cooling"), ("boat", "hull")):
        desk.do(ADD_ASSEMBLY(path=path))
    desk.do(RENAME(path=("engine", "fuel"), to=("engine", "air", "fuel")))
    assert tree(desk, "engine") == [["cooling", []], ["air", [["fuel", [["filter", []]]]]]]
    desk.do(RENAME(path=("engine", "air", "fuel"), to=("boat", "hull", "fuel")))
    assert tree(desk, "engine") == [["cooling", []], ["air", []]]
    assert tree(desk, "boat") == [["hull", [["fuel", [["filter", []]]]]]]
    with pytest.raises(NotDone, match="no assembly"):
        desk.do(RENAME(path=("engine", "fuel"), to=("engine", "x")))


def test_what_is_of_one_use_stays_apart(desk: Desk) -> None:
    washers, plain = (desk.take(name, origin=("engine",), qty=2).id for name in ("washers", "plain ones"))
    desk.do(CHANGE(washers, one_use=True))
    with pytest.raises(NotDone, match="stay apart"):
        desk.do(MERGE(group_ids=[plain, washers]))
    desk.do(CHANGE(plain, one_use=True))
    desk.do(MERGE(group_ids=[plain, washers]))
    assert desk.state.group(plain).qty == 4
