"""Every command in docs/ does on the demo what the page says, as written, one after the other.

The commands of one heading run in one copy of the demo. What they read beside the shop (a table, a drawing, a
folder of photographs) is laid ready; nothing else is done for them, but for what BEFORE says.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopbins.cli import main
from shopbins.demo import write_demo

DOCS = Path(__file__).parents[2] / "docs"
LINE = re.compile(r"^(?:    )?((?:printf .* \| )?shopbins\b.*)$")

# What asks at the keyboard, opens the app or stays is run by tests of its own.
ELSEWHERE = {
    "shopbins new": "tests/cli/test_cli_new.py",
    "shopbins demo ropewalk --open": "tests/e2e/test_readme.py",
    "shopbins serve": "tests/serve",
    'shopbins move "Engine block on its skid" "test bed"': "tests/moves, as every gear takes seconds",
}

# What must have been done before, as the command only makes sense then.
LISTED = ["import", "listed.csv", "--machine", "winch"]
WORN = ["inspect", "winch main shaft", "journal 2", "59.94mm", "--min", "59.96mm"]
SHORT = ["shortage", "add", "gasket paper", "--days", "5"]
BEFORE = {
    "undo": [["set", "flywheel", "--mass", "131 kg"]],
    "redo": [["set", "flywheel", "--mass", "131 kg"], ["undo"]],
    "off": [["fit", "front pulley"]],
    "found": [["lost", "sump bolts", "--qty", "1", "--reason", "rolled away"]],
    "bind": [LISTED],
    "correct": [LISTED, WORN, ["how", "flywheel", "--trick", "no heat"]],
    "concede": [WORN],
    "shortages": [SHORT],
    "strike": [SHORT],
}

# A status that is an answer: stops stand in the demo (2), pieces of it are missing (1), and so on.
ANSWERS = {
    "audit": {2},
    "count": {1},
    "move": {0, 1},
    "inspect": {0, 1},
    "fits": {0},
}


def blocks() -> list[tuple[str, list[str]]]:
    """Return the commands of each heading of each page."""
    found: dict[str, list[str]] = {}
    for page in sorted(DOCS.glob("*.md")):
        heading = page.stem
        for line in page.read_text(encoding="utf-8").splitlines():
            if line.startswith("## "):
                heading = f"{page.stem}: {line[3:].strip()}"
            elif match := LINE.match(line):
                found.setdefault(heading, []).append(match[1])
    return list(found.items())


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo in it, and what the pages' commands read beside it."""
    import ezdxf
    from PIL import Image

    home = tmp_path_factory.mktemp("pages")
    shop = home / "ropewalk"
    write_demo(shop)
    (home / "phone" / "2026-05-12").mkdir(parents=True)
    (home / "copies").mkdir()
    assert main(["-s", str(shop / "shop.yaml"), "tags", "oil strainer", "--png", str(home)]) == 0
    (label,) = home.glob("*.png")
    assert (
        main(["-s", str(shop / "shop.yaml"), "export", "--format", "csv", "-o", str(shop / "exported.csv")])
        == 0
    )
    Image.open(label).convert("RGB").save(home / "phone" / "2026-05-12" / "0001.jpg")
    (shop / "zones.csv").write_text(
        "key,room,kind,x,y,length,depth\nnew bay,forge room,floor,11200,5300,300,300\n"
    )
    (shop / "rows.csv").write_text("shop,A\nroom,shed\nwall,,6000\nwall,l,4000\nwall,l,6000\nwall,l,4000\n")
    (shop / "parts.csv").write_text("name,Benennung,qty,Stk\nsea cock,sea cock,1,1\n")
    (shop / "listed.csv").write_text('name,qty\nrelief valve,1\n"anodes, stern",24\n')
    (shop / "scenes.json").write_text(
        '{"id": "a box", "question": "goes", "outline_mm": [[0, 0], [3000, 0], [3000, 2000], [0, 2000]],'
        ' "body": {"length_mm": 800, "width_mm": 600}, "start": {"x_mm": 600, "y_mm": 600},'
        ' "goal": {"x_mm": 2300, "y_mm": 1300}}'
    )
    drawing = ezdxf.new("R2010", units=4)
    corners = [(30000, 0), (36000, 0), (36000, 4000), (30000, 4000)]
    drawing.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "A-WALL"})
    drawing.saveas(shop / "hall.dxf")
    printer = home / "bin" / "lp"
    printer.parent.mkdir()
    printer.write_text("#!/bin/sh\ncat >/dev/null\n")
    printer.chmod(0o755)
    return home


@pytest.mark.parametrize(("heading", "lines"), blocks(), ids=[heading for heading, _ in blocks()])
def test_the_commands_of_a_page_run_on_the_demo(
    heading: str,
    lines: list[str],
    demo: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    home = tmp_path / "home"
    shutil.copytree(demo, home)
    for name in ("SHOPBINS_SHOP", "SHOPBINS_BY", "SHOPBINS_TRACE"):
        monkeypatch.delenv(name, raising=False)
    for name, value in {"HOME": str(home), "USER": "reader", "LOGNAME": "reader"}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setenv("PATH", f"{home / 'bin'}{os.pathsep}{os.environ['PATH']}")
    run = runner(monkeypatch, capsys)
    begun = False
    for line in lines:
        if any(
            line == each or (line.startswith(f"{each} ") and each != "shopbins new") for each in ELSEWHERE
        ):
            continue
        typed, _, command = line.rpartition(" | ")
        words = [word.replace("~/", f"{home}/", 1) for word in shlex.split(command, comments=True)[1:]]
        monkeypatch.chdir(home if "-s" in words else home / "ropewalk")
        name = words[2] if words[0] == "-s" else words[0]
        if not begun:
            begun = True
            for before in BEFORE.get(name, []):
                assert run(before)[0] in ANSWERS.get(before[0], {0}), before
        stdin = shlex.split(typed)[1].encode().decode("unicode_escape") if typed else ""
        status, said = run(words, stdin)
        assert status in ANSWERS.get(name, {0}), f"{line}\n{status}: {said}"


def runner(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[Any, str]]:
    """Run the command line here; return its status and what it said."""

    def run(words: list[str], stdin: str = "") -> tuple[Any, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(stdin))
        capsys.readouterr()
        status = main(words)
        out, err = capsys.readouterr()
        return status, (err or out)[:600]

    return run


def test_there_are_commands_to_run() -> None:
    assert sum(len(lines) for _, lines in blocks()) > 140
