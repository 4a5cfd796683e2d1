"""With --json what was not done is JSON on stderr: {"error": {"status", "text", "hint"}}."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

Run = Callable[..., Any]


@pytest.mark.parametrize(
    ("line", "status", "text", "hint"),
    [
        (["show", "nobody"], 1, "nobody", ""),
        (["put", "flywhel", "bench"], 1, "no part is called 'flywhel'", "did you mean 'flywheel'?"),
        (["show", "studs"], 65, "'studs' may be any of 2", "M8 studs"),
        (["put", "flywheel"], 64, "give one of PLACE", "see shopbins put --help"),
        (["put", "flywheel", "rack/1", "--turn", "x"], 65, "", ""),
        (["set", "flywheel", "--colour", "red"], 64, "no option --colour", ""),
        (["find", "nosuch thing"], 1, "nothing matches", ""),
        (["put", "flywheel", "rack/1"], 1, "not put down", ""),
        (["list", "--where", "mass > heavy"], 65, "", ""),
        (["export", "--format", "json", "-o", "/nosuch/place.json"], 74, "", ""),
        (["--ledger", "/proc/nosuch", "take", "x"], 74, "", ""),
        (["nosuchcommand"], 64, "", ""),
    ],
)
def test_an_error_is_json(run: Run, line: list[str], status: int, text: str, hint: str) -> None:
    for name in ("flywheel", "M8 studs", "M10 studs"):
        assert run("take", name, "--mass", "130 kg").status == 0
    answer = run(*line, "--json")
    assert answer.status == status
    said = json.loads(answer.err)
    assert set(said) == {"error"} and set(said["error"]) == {"status", "text", "hint"}
    assert said["error"]["status"] == status
    assert text in said["error"]["text"] and said["error"]["text"]
    assert hint in said["error"]["hint"]
    plain = run(*line)
    assert plain.status == status and not plain.err.startswith("{")
    assert said["error"]["text"] in plain.err


def test_a_wrong_shop_file(run: Run, shop: Any) -> None:
    shop.write_text("shop: x\nrooms: 3\nzones: 4\n", encoding="utf-8")
    answer = run("find", "x", "--json")
    assert answer.status == 65 and "shop.yaml:2" in json.loads(answer.err)["error"]["text"]


def test_what_was_done_is_no_error(run: Run) -> None:
    assert run("take", "flywheel").status == 0
    assert run("take", "studs", "--mass", "1 kg").status == 0
    answer = run("list", "--where", "mass > 0.1 kg", "--json")
    assert answer.status == 0 and answer.err == "1 not weighed, so not compared\n"
