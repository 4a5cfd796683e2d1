"""A newcomer's evening on the demo, key by key, and what the guide says it costs in keys."""

from __future__ import annotations

import re
from pathlib import Path

import pypdfium2
import pytest

GUIDE = Path(__file__).parents[2] / "docs" / "guide.md"
SIZES = [(24, 80), (40, 120), (60, 200)]


def promised() -> dict[str, int]:
    """Return the guide's table of tasks and keys."""
    table = GUIDE.read_text(encoding="utf-8").partition("## What it costs in keys")[2]
    return {task.strip(): int(keys) for task, keys in re.findall(r"^\| ([^|]+) \| (\d+) \|", table, re.M)}


def task(terminal, name, counted):
    """Note how many keys have been pressed since the last task ended."""
    counted[name] = terminal.pressed - sum(counted.values())


def open_demo(demo, rows, cols):
    terminal = demo.open(rows, cols)
    terminal.wait_for("The last evening")
    terminal.escape("The last evening")
    terminal.wait_for("to fix")
    return terminal


def open_stops(demo) -> int:
    """Return how many stops nobody has accepted, by the command line."""
    findings = demo.json("audit", status=2)["findings"]
    return sum(1 for f in findings if f["grade"] == "stop" and f["override"] is None)


def codes_in(pdf: Path) -> list[str]:
    """Return the codes printed on a sheet of tags."""
    document = pypdfium2.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    return list(dict.fromkeys(re.findall(r"\bZRW[0-9]{4}[0-9A-Z]\b", text)))


@pytest.mark.parametrize(("rows", "cols"), SIZES)
def test_the_evening(demo, rows, cols):
    counted: dict[str, int] = {}
    stops = open_stops(demo)
    terminal = open_demo(demo, rows, cols)
    terminal.wait_for(f"{stops} stops")
    terminal.wait_for("3 waiting")
    task(terminal, "close the page of the last evening", counted)

    terminal.keys("/", "oil p")
    terminal.wait_for("3 parts")
    terminal.keys("enter")
    terminal.wait_for(demo.json("find", "oil", "pump")[0]["code"])
    task(terminal, "find the oil pump and see where it lies", counted)

    terminal.keys("w", "hous", "enter")
    terminal.wait_for("Oil filter housing ·")
    terminal.keys("b")
    terminal.wait_for("best of 8")
    terminal.keys("enter")
    terminal.wait_for("put down")
    terminal.wait_for("2 waiting")
    task(terminal, "put the oil filter housing down at its best place", counted)

    terminal.keys("w", "dip", "enter", "g", "rack a/2", "enter")
    terminal.wait_for("Dipstick and tube ·")
    terminal.wait_for("150 kg")
    terminal.keys("enter")
    refused = terminal.wait_for("STOP: not put down")
    assert "rack a/2 carries 158 kg (limit 150 kg)" in terminal.flat(), refused
    assert "take off Cylinder liner 3 (19.4 kg)" in terminal.flat(), refused
    task(terminal, "be refused: one more on a shelf that carries too much", counted)
    terminal.escape("STOP: not put down")
    assert "2 waiting" in terminal.now()
    terminal.keys("g", "rack a/3", "enter")
    terminal.wait_for("rack a/3, no exact spot")
    terminal.keys("enter")
    terminal.wait_for("1 waiting")
    task(terminal, "and put it on the next shelf", counted)

    terminal.keys("w", "enter", "g", "lean", "enter")
    terminal.wait_for("lean-to, no exact spot")
    terminal.keys("left", "left", "s", "right", "t")
    terminal.wait_for("turned 90 deg · step 10 mm")
    terminal.keys("enter")
    terminal.wait_for("nothing waiting")
    task(terminal, "carry the third to the floor by arrows, turn it, put it down", counted)

    terminal.keys("3")
    terminal.wait_for("[3 Audit]")
    terminal.wait_for("Instrument panel in its box is 600 mm inside")
    terminal.wait_for("Fix: shift Crate of cooling pipes out of it")
    task(terminal, "read the audit", counted)

    terminal.wait_for("Crate of cooling pipes narrows gallery way to 560 mm (700 mm needed)")
    terminal.keys("enter")
    terminal.wait_for("carry its part to the best place")
    terminal.keys("b")
    terminal.wait_for("best of 8")
    terminal.keys("enter")
    terminal.wait_for(f"{stops - 1} stops")
    task(terminal, "clear a blocked way", counted)

    terminal.keys("l", "5")
    terminal.wait_for("21")
    terminal.keys("enter")
    terminal.wait_for("a4-3x7")
    terminal.keys("enter")
    terminal.wait_for("first free label")
    terminal.keys("enter")
    terminal.wait_for("PDF file")
    terminal.keys("enter")
    terminal.wait_for("21 labels on 1 page")
    task(terminal, "print a sheet of blank labels", counted)
    (pdf,) = demo.folder.glob("tags-*.pdf")
    blanks = codes_in(pdf)
    assert len(blanks) == 21
    (shelf,) = demo.json("tags", "rack c/3", "-o", "shelf.pdf")["codes"]

    by_hand = terminal.pressed
    terminal.keys(shelf, "enter")
    terminal.wait_for("HERE here is rack c/3")
    terminal.keys(blanks[4].lower(), "enter")
    terminal.wait_for("NEW unnamed")
    terminal.pressed = by_hand  # the scanner typed all this
    terminal.escape("NEW unnamed")
    task(terminal, "bind a blank label to what lies on a shelf (two scans, and)", counted)

    terminal.keys("/", blanks[4][-4:].lower(), "enter")
    terminal.wait_for(blanks[4])
    terminal.keys("a", "e")
    terminal.wait_for("called")
    terminal.keys("sea cock", "enter")
    terminal.wait_for("sea cock")
    task(terminal, "give it its name, later", counted)

    terminal.keys("e")
    terminal.wait_for("What has just come off?")
    terminal.keys("gauge glass, 300 g, @rack c/3", "enter")
    terminal.wait_for("✓ gauge glass")
    terminal.keys("and half a li")
    terminal.wait_for("and half a li")
    terminal.kill()

    again = demo.open(rows, cols)
    again.wait_for(f"{stops - 1} stops")
    assert "nothing waiting" in again.now()
    again.keys("/", "gauge g")
    again.wait_for("1 part")
    assert "rack c/3" in again.now()
    where = {
        name: demo.json("find", *name.split())[0]["place"] for name in ("dipstick", "sea cock", "housing")
    }
    assert where["dipstick"] == "rack a/3" and where["sea cock"] == "rack c/3"
    crate = demo.json("show", "Crate of cooling pipes")
    assert crate["place"] != "rope gallery"
    again.close()

    if (rows, cols) == (24, 80):
        assert counted == promised()
