"""A real, published place entered from a filled-in measuring sheet: data/double_garage.yaml.

Sources of its dimensions stand there. What is compared was written by hand from the same sources.
"""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from shopbins.cli import main
from shopbins.geometry.exact import overhang_mm
from shopbins.shop import read

BY_HAND = read(Path(__file__).parent / "data" / "double_garage.yaml")
SHEET = """\
shop,Double garage and container
tape,mm
measured,5
room,garage
wall,,6000
wall,l,6000
headroom,2400
floor load,5 kN/m2
door,vehicle door,1,,900,4200,2100,s
door,side door,4,,362,838,1981,h,l,out,,yes
place,bench,b,4,600,1,1200,1800,600,900,300
place,rack,s,3,0,2,1300,1000,400,100;500;900;1300;1700,150
place,drum corner,f,1,200,2,0,1300,1300
keep clear,consumer unit,3,0,2,0,800,1000,switchgear
keep clear,extinguisher,4,0,1,4200,500,500,extinguisher
fixed,compressor,1,3200,2,200,700,500,1200
room,container
corner,7200,0
wall,,2330
wall,l,5867
headroom,2350
door,container doors,1,,22,2286,2261,o,,,,yes
"""


def same(a: tuple[tuple[float, float], ...], b: tuple[tuple[float, float], ...]) -> bool:
    return max(overhang_mm(a, b), overhang_mm(b, a)) < 0.2


def check(path: Path) -> None:
    made = read(path)
    for section in ("rooms", "doors", "zones", "keep_clear"):
        by_hand, entered = getattr(BY_HAND, section), getattr(made, section)
        assert set(entered) == set(by_hand)
        for key, thing in by_hand.items():
            attribute = "passage" if section == "doors" else "outline"
            if section == "doors":
                assert set(entered[key].jambs) == set(thing.jambs), key
                assert (entered[key].opens, entered[key].hand, entered[key].exit) == (
                    thing.opens,
                    thing.hand,
                    thing.exit,
                )
                assert entered[key].height_mm == thing.height_mm
            elif key != "bench":
                assert same(getattr(entered[key], attribute), getattr(thing, attribute)), key
    assert [each.height_mm for each in made.zones["rack"].levels] == [100, 500, 900, 1300, 1700]
    bench = made.zones["bench"]
    assert {round(x) for x, _ in bench.outline} == {600, 1200}
    assert {round(y) for _, y in bench.outline} == {1200, 3000}


def test_by_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    Path("sheet.csv").write_text(SHEET)
    assert main(["new", "--from", "sheet.csv"]) == 0, capsys.readouterr().err
    check(tmp_path / "shop.yaml")


def test_by_keys_as_a_person_types_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same sheet answered question by question. Names aside it takes at most 700 keys, enter included."""
    monkeypatch.chdir(tmp_path)
    kinds = ("headroom", "floor load", "hot work", "slope", "door", "place", "keep clear", "fixed")
    rows = [line.split(",", 1) for line in SHEET.splitlines()]
    answers = [rest for kind, rest in rows if kind in ("shop", "tape", "measured")]
    rooms = [n for n, (kind, _) in enumerate(rows) if kind == "room"]
    for start, end in zip(rooms, [*rooms[1:], len(rows)], strict=True):
        part = rows[start:end]
        answers += [rest for kind, rest in part if kind in ("room", "corner")]
        walls = [rest.strip(",").replace("l,", "l ") for kind, rest in part if kind == "wall"]
        answers += [*walls, "", ""]  # a rectangle, square
        for kind in kinds:
            said = [rest for which, rest in part if which == kind]
            one = kind in ("headroom", "floor load", "hot work", "slope")
            answers += (said or [""]) if one else [*said, ""]
    typed = "\n".join(answers) + "\n"
    names = [
        cell
        for _, rest in rows
        for cell in rest.split(",")
        if len(cell) > 4 and cell.isascii() and not cell[0].isdigit()
    ]
    keys = len(typed) - sum(map(len, names))
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    assert main(["new"]) == 0, capsys.readouterr().err
    check(tmp_path / "shop.yaml")
    assert keys <= 700, keys
