"""What an older ledger changed with no reason is said once, each line with the command that closes it."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest

from shopbins.desk import Desk
from shopbins.ledger.events import Draft

SHOP = (
    "shop: Bell loft\nprefix: BL\nrooms:\n  loft: {outline: [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]}\n"
)


@pytest.fixture
def old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A ledger with changes as older versions recorded them: no reason, no posting."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SHOPBINS_BY", "ann")
    (tmp_path / "shop.yaml").write_text(SHOP, encoding="utf-8")
    with Desk.open(tmp_path / "shop.yaml") as desk:
        screws = desk.take("screws", origin=("grinder", "head"), qty=8).id
        cap = desk.take("cap", origin=("grinder", "head")).id
        guard = desk.take("guard", origin=("grinder", "head")).id
        desk.take("belt", origin=("borer", "left"))
        ledger = desk.ledger
        for group, fields in (
            (screws, {"qty": 7}), (cap, {"counted": "never"}), (guard, {"origin": ["borer", "right"]}),
        ):  # fmt: skip
            ledger._exclusively(
                lambda group=group, fields=fields: ledger._record(Draft("change", {f"group:{group}": fields}))
            )
    return tmp_path / "shop.yaml"


def test_said_once_and_closed_by_what_it_names(old: Path, capsys: Any) -> None:
    from shopbins.cli import main

    def run(*args: str) -> tuple[int, str]:
        status = main(list(args))
        return status, capsys.readouterr().err

    status, told = run("list")
    assert status == 0 and "screws: 8 came off, 7 since" in told and "cap" in told and "guard" in told
    assert "not clean" not in run("list")[1], "once is enough"
    for command in re.findall(r"closed by: (shopbins .*)\)", told):
        words = shlex.split(command.replace("WORD", "lost").replace("WHY", "'the old notes'"))
        assert run(*words[1:])[0] == 0, command
    with Desk.open(old) as desk:
        assert not [d for d in desk.state.docs("posting").values() if d["kind"] == "difference"]
        assert not desk.remarks()
