"""Every act of strip and refit is taken back by one undo, and done again by one redo, on a real ledger."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopbins.desk import Desk, NotDone
from shopbins.records import (
    care,
    connection,
    how,
    inspection,
    matched,
    milestone,
    position,
    relation,
    shortage,
    work,
)
from shopbins.records.fitting import FIT, TRY
from shopbins.records.group import CHANGE, MERGE, SPLIT
from shopbins.records.pieces import FIND, LOSE
from shopbins.strip.refit import next_back, refit

LIST = b"Name,Assembly,Qty\nbolt,bottom,12\njet,bottom,1\n"


def prepared(desk: Desk) -> None:
    """An engine of four groups, something lacking, something that can be changed by every act."""
    for name, *origin in (
        ("cover", "engine", "top"),
        ("head", "engine"),
        ("springs", "engine", "head"),
        ("crank", "engine", "bottom"),
    ):
        desk.take(name, origin=origin, qty=8 if name == "springs" else 1)
    desk.do(relation.BEFORE("head", firsts=["cover"]))
    desk.do(shortage.ADD(name="shells", positions=["crank"]))
    desk.do(milestone.SET(name="closed", needs=["cover"], by="2999-01-01"))
    desk.do(connection.CONNECT(name="feed", kind="hose", a="pump", b="filter"))
    desk.do(care.ADD(name="hoses", every_days=365.0))
    desk.do(position.ADD_ASSEMBLY(path=("engine", "fuel")))
    desk.do(work.LIST("crank", points=["clean"]))


def at(desk: Desk, name: str) -> str:
    return desk.names.one("position", name)


def gid(desk: Desk, name: str) -> str:
    return desk.names.group(name).id


def first(desk: Desk, table: str) -> str:
    return next(iter(desk.state.docs(table)))


ACTS: dict[str, Callable[[Desk], Any]] = {
    "before": lambda d: d.do(relation.BEFORE("crank", firsts=["head"], why="hides it")),
    "before nothing": lambda d: d.do(relation.BEFORE("crank", firsts=[])),
    "not before": lambda d: d.do(relation.NOT_BEFORE("head", first="cover", why="mixed up")),
    "how": lambda d: d.do(how.HOW("crank", left_hand=True, shims=[(2, 0.05, "front")])),
    "strike": lambda d: d.do(position.STRIKE("cover", reason="not needed")),
    "days": lambda d: d.do(how.DAYS("crank", days=(1.0, 2.0))),
    "milestone": lambda d: d.do(milestone.SET(name="moved", move=True)),
    "milestone done": lambda d: d.do(
        milestone.REACHED("closed", on="today", reason="closed up for the winter")
    ),
    "drop milestone": lambda d: d.do(milestone.DROP("closed")),
    "goes on after": lambda d: d.do(milestone.AFTER("closed", parts=["crank"])),
    "rename": lambda d: d.do(position.RENAME(path=("engine", "head"), to=("engine", "cylinder head"))),
    "assembly": lambda d: d.do(position.ADD_ASSEMBLY(path=("engine", "air"))),
    "fit": lambda d: d.do(FIT(gid(d, "springs"))),
    "trial": lambda d: d.do(TRY(gid(d, "head"))),
    "work": lambda d: d.do(work.LIST("crank", points=["clean", "inspect"])),
    "work done": lambda d: d.do(work.DONE("crank", what="clean", on="today")),
    "dispose": lambda d: d.do(CHANGE(gid(d, "crank"), disposition="reuse elsewhere", elsewhere="winch")),
    "inspect": lambda d: d.do(inspection.INSPECT("crank", what="journal", measured="59.97mm", low="59.96mm")),
    "shortage": lambda d: d.do(shortage.ADD(name="paint", qty=2, unit="tins", days=(1.0, 2.0))),
    "set shortage": lambda d: d.do(shortage.SET("shells", promised="2999-01-01", price="12.50")),
    "strike shortage": lambda d: d.do(shortage.STRIKE("shells", reason="found some")),
    "arrive": lambda d: d.do(shortage.ARRIVE("shells", on="2026-11-25")),
    "renew": lambda d: d.do(shortage.RENEW("crank", days="3-5")),
    "match": lambda d: d.do(matched.MATCH(name="top", groups=["head", "cover"])),
    "connect": lambda d: d.do(connection.CONNECT(name="start", kind="wire", a="board", b="solenoid")),
    "joined": lambda d: d.do(connection.SET("H1", joined=True)),
    "care": lambda d: d.do(care.ADD(name="filter", every_hours=250.0)),
    "care done": lambda d: d.do(care.SET("hoses", done="2026-11-25")),
    "hours": lambda d: d.do(care.HOURS(machine="engine", hours=4210.0, on="2026-11-25")),
    "import": lambda d: d.import_parts(d.read_parts(LIST, None, "engine")),
    "merge": lambda d: d.do(MERGE(group_ids=[gid(d, "cover"), gid(d, "head")])),
    "split": lambda d: d.do(SPLIT(gid(d, "springs"), qty=3)),
}


def documents(desk: Desk) -> dict[str, Any]:
    """Every document, tables that are empty left out."""
    return {name: dict(docs) for name, docs in desk.state.tables.items() if docs}


@pytest.mark.parametrize("name", ACTS)
def test_undo_and_redo(name: str, desk: Desk) -> None:
    prepared(desk)
    next_back(desk.state)  # so that the order is kept up, not made anew
    before, listed = documents(desk), refit(desk.state)
    ACTS[name](desk)
    after = documents(desk)
    assert after != before
    ordered = name in (
        "work",
        "dispose",
        "renew",
        "before",
        "goes on after",
    )  # only for a reason, which is kept
    _, said = desk.undo(reason="a slip" if ordered else "")
    assert said and "-4" not in said  # a sentence, no id
    told = documents(desk)
    assert bool(told.pop("correction", None)) == ordered and told == before
    assert refit(desk.state) == listed == refit(desk.state.copy())
    desk.redo()
    assert documents(desk) == after
    assert refit(desk.state) == refit(desk.state.copy())


def test_reopened_it_is_the_same(shop_path: Path) -> None:
    with Desk.open(shop_path, by="tester") as desk:
        prepared(desk)
        for act in ("import", "fit", "renew", "match", "inspect", "rename"):
            ACTS[act](desk)
        before, listed = documents(desk), [(e.name, e.waits) for e in refit(desk.state)]
        desk.ledger.snapshot()
    with Desk.open(shop_path, by="tester") as desk:
        assert documents(desk) == before
        assert [(e.name, e.waits) for e in refit(desk.state)] == listed


def test_a_fit_is_done_again_only_where_it_would_be_taken_now(shop_path: Path) -> None:
    with Desk.open(shop_path, by="jan") as one, Desk.open(shop_path, by="eva") as two:
        prepared(one)
        springs = gid(one, "springs")
        one.do(FIT(springs))
        one.undo()
        two.refresh()
        two.do(care.ADD(name="peen", every_days=30.0, done="2026-01-01", position=springs))
        with pytest.raises(NotDone, match="not redone: springs waits for peen: overdue"):
            one.redo()
        one.refresh()
        assert one.state.group(springs).where is None
        one.do(FIT(springs, anyway="next month"))
        one.undo()
        one.redo()
        assert one.state.group(springs).where is not None, "accepted then, and no more since"


def test_a_place_is_left_empty_again_only_while_it_lacks(shop_path: Path) -> None:
    with Desk.open(shop_path, by="jan") as one, Desk.open(shop_path, by="eva") as two:
        prepared(one)
        one.do(LOSE(gid(one, "springs"), qty=1))
        one.do(position.STRIKE(gid(one, "springs"), reason="seven will do"))
        one.undo()
        two.refresh()
        two.do(FIND(what="springs"))
        with pytest.raises(NotDone, match="another number of pieces"):
            one.redo()


def test_another_terminal_sees_each_tick(shop_path: Path) -> None:
    with Desk.open(shop_path, by="jan") as one, Desk.open(shop_path, by="eva") as two:
        prepared(one)
        two.refresh()
        assert [e.name for e in next_back(two.state)] == [e.name for e in next_back(one.state)]
        one.do(FIT(gid(one, "springs")))
        two.refresh()
        assert [e.name for e in next_back(two.state)] == [e.name for e in next_back(one.state)]
        two.do(FIT(gid(two, "head")))
        with pytest.raises(NotDone, match="on already"):
            one.do(FIT(gid(one, "head")))
