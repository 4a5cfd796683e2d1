"""A real, published place entered from a filled-in measuring sheet: data/double_garage.yaml.

Sources of its dimensions stand there. What is compared was written by hand from the same sources.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from typed_answers import enter

from shopbins.cli import main
from shopbins.geometry.exact import overhang_mm
from shopbins.shop import read

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
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


def test_by_keys_at_a_terminal(tmp_path: Path) -> None:
    """The same sheet answered question by question. Names aside it takes at most 700 keys, enter included."""
    entered = enter(tmp_path, SHEET)
    check(tmp_path / "shop.yaml")
    assert entered.keys - entered.name_keys <= 700, entered


README_SHEET = """\
shop,My shed
tape,m
room,shed
wall,,6
wall,l,4
headroom,2.4
door,front door,4,,1.6,0.9,2.1,s,,,,y
place,bench,b,3,0,2,2,2,0.7,0.9,300
place,rack,s,1,0,2,0.2,1.8,0.5,0.1;0.65,150
keep clear,switchboard,4,0,3,0,1,0.9,switchgear
walkway,front door,rack
walkway field,0.8
walkway field,0.7
walkway field,y
"""


def test_the_shop_of_the_readme_by_keys_at_a_terminal(tmp_path: Path) -> None:
    """At most 250 keys besides names."""
    (tmp_path / "by_hand.yaml").write_text(README.split("```yaml\n")[1].split("```")[0])
    by_hand = read(tmp_path / "by_hand.yaml")
    entered = enter(tmp_path, README_SHEET)
    made = read(tmp_path / "shop.yaml")
    assert (made.name, set(made.zones)) == (by_hand.name, set(by_hand.zones))
    for section in ("rooms", "zones", "keep_clear"):
        for key, thing in getattr(by_hand, section).items():
            assert same(getattr(made, section)[key].outline, thing.outline), key
    door, wanted = made.doors["front door"], by_hand.doors["front door"]
    assert set(door.jambs) == set(wanted.jambs)
    assert (door.opens, door.exit, door.height_mm) == (wanted.opens, wanted.exit, wanted.height_mm)
    for key, zone in by_hand.zones.items():
        assert [(e.height_mm, e.load_kg) for e in made.zones[key].levels] == [
            (e.height_mm, e.load_kg) for e in zone.levels
        ]
    ((way,), (wanted_way,)) = (tuple(each.walkways.values()) for each in (made, by_hand))
    assert (way.width_mm, way.least_mm, way.exit_route) == (
        wanted_way.width_mm,
        wanted_way.least_mm,
        wanted_way.exit_route,
    )
    assert entered.keys - entered.name_keys <= 250, entered
