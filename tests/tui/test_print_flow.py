"""Printing from the screen: what is due, on which labels, to a printer (a script in its place) or a file."""

import os
import re
import sys

import pytest

from shopbins.tags.due import due_tags
from shopbins.tags.settings import Last, last
from shopbins.tui.printing import ask_tags


@pytest.fixture
def spooler(tmp_path, monkeypatch):
    """Put commands lp and lpstat in front of the PATH that write down what they were given."""
    folder = tmp_path / "bin"
    folder.mkdir()
    log = tmp_path / "printed"
    scripts = {
        "lp": f"""
import sys, shutil
args = sys.argv[1:]
open({str(log)!r}, "a").write("\\n".join(args) + "\\n")
shutil.copy(args[-1], {str(tmp_path / "job.pdf")!r})
print("request id is laser-7 (1 file(s))")
""",
        "lpstat": """
import sys
print("laser\\nlabels" if sys.argv[1] == "-e" else "system default destination: laser")
""",
    }
    for name, text in scripts.items():
        (folder / name).write_text(f"#!{sys.executable}\n{text}")
        (folder / name).chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}{os.pathsep}{os.environ['PATH']}")
    return log


async def chosen(pilot, settled, value):
    """Pick the choice with this value by its digit, or by typing its name."""
    await settled(pilot)
    screen = pilot.app.screen
    at = next(n for n, each in enumerate(screen._choices) if each.value == value)
    if screen._digits:
        await pilot.press(str(at + 1))
    else:
        await pilot.press(*({"-": "minus"}.get(each, each) for each in value), "enter")
    await settled(pilot)


async def test_a_name_no_font_prints_is_named_before_anything_is_printed(bench, settled, spooler):
    bench.desk.take("पंप")
    app = bench.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("l")
        await chosen(pilot, settled, "due")
        says = " ".join(str(each.render()) for each in app.screen.query(".says"))
        assert "no font here prints all of पंप" in says
    assert not spooler.exists()


async def test_what_is_due_goes_to_the_printer_and_both_are_remembered(bench, settled, spooler, tmp_path):
    app = bench.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("l")
        await chosen(pilot, settled, "due")
        await chosen(pilot, settled, "roll-62x29")
        await chosen(pilot, settled, "to labels")
        await settled(pilot)
    words = spooler.read_text().split("\n")
    assert words[:2] == ["-d", "labels"] and "print-scaling=none" in words
    assert (tmp_path / "job.pdf").read_bytes().startswith(b"%PDF")
    assert last() == Last("labels", "roll-62x29")
    assert due_tags(bench.desk.state, bench.desk.shop) == []


async def test_nothing_due_is_said(bench, settled, tmp_path):
    bench.desk.print_tags(tmp_path / "all.pdf", "all")
    app = bench.app()
    async with app.run_test(size=(100, 30)) as pilot:
        await settled(pilot)
        await pilot.press("l")
        await chosen(pilot, settled, "due")
        assert "every label is printed" in app.said_line().plain


async def test_the_label_of_what_is_in_hand_on_a_sheet_told_by_its_size(bench, settled):
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.screen.plan.point(bench.desk.scene().body(bench.ids["block"]).centre)
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        assert app.screen.hand.hand is not None
        ask_tags(app)
        await pilot.pause()
        assert app.screen._choices[0].text == "only engine block"
        await pilot.press("1")
        await pilot.pause()
        shown = [each.beside for each in app.screen._choices]
        assert "63.5 x 38.1 mm, 21 a page, label" in shown[0]
        assert all(re.match(r"[\d.]+ x [\d.]+ mm, ", each) for each in shown)
        await pilot.press("escape", "escape")
