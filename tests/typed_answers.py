"""`shopbins new` in a pseudo-terminal, answered from the rows of a measuring sheet as a person types them."""

from __future__ import annotations

import csv
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import pexpect

ASKED = ("door", "place", "keep clear", "fixed")
SAID = ("headroom", "floor load", "hot work", "slope")


@dataclass(frozen=True)
class Entered:
    """What it took: `keys` with enter, those of names apart; `seconds` is what the program took."""

    keys: int
    name_keys: int
    seconds: float
    screen: str


def answers(sheet: str) -> list[str]:
    """The lines a person types for the rows of a sheet, an empty one for enter, in the order asked."""
    rows = [line.split(",", 1) for line in sheet.splitlines()]

    def said(kinds: tuple[str, ...], among: list[list[str]]) -> list[str]:
        return [rest for kind, rest in among if kind in kinds]

    found = [*said(("shop",), rows), *(said(("tape",), rows) or [""]), *(said(("measured",), rows) or [""])]
    rooms = [n for n, (kind, _) in enumerate(rows) if kind == "room"]
    for start, end in zip(rooms, [*rooms[1:], len(rows)], strict=True):
        part = rows[start:end]
        walls = [rest.strip(",").replace("l,", "l ") for rest in said(("wall",), part)]
        found += [*said(("room",), part), *said(("corner",), part), *walls, "", ""]  # a rectangle, square
        for kind in SAID:
            found += said((kind,), part) or [""]
        for kind in ASKED:
            found += [*said((kind,), part), ""]
    found.append("")  # no room more
    for stops, *fields in _walkways(rows):
        found += [stops, *fields]
    return [*found, ""]


def _walkways(rows: list[list[str]]) -> list[list[str]]:
    """The stops of each walkway with its three fields."""
    found: list[list[str]] = []
    for kind, rest in rows:
        if kind == "walkway":
            found.append([rest])
        elif kind == "walkway field":
            found[-1].append(rest)
    return found


def enter(folder: Path, sheet: str) -> Entered:
    """Answer every question as soon as it stands there; shop.yaml is then in the folder."""
    lines = answers(sheet)
    command = ["-m", "shopbins", "new"]
    begun = time.perf_counter()
    child = pexpect.spawn(
        sys.executable, command, cwd=str(folder), timeout=20, encoding="utf-8", dimensions=(24, 80)
    )
    screen = ""
    for line in lines:
        child.expect([r"\? $", r"\) $", r"\] $"])
        screen += child.before
        child.sendline(line)
    child.expect("Open it now")
    child.sendline("n")
    child.expect(pexpect.EOF)
    taken = time.perf_counter() - begun
    names = [cell for line in csv.reader(sheet.splitlines()) for cell in line[1:] if cell[:1].isalpha()]
    names = [each for each in names if len(each) > 4]
    return Entered(
        sum(len(line) + 1 for line in [*lines, "n"]), sum(map(len, names)), taken, screen + child.before
    )
