"""Zones from tables, outlines from drawings made by ezdxf: what comes in, is told, is refused whole."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest

from shopbins.cli import main
from shopbins.plans.dxf_in import rings
from shopbins.shop import read

SHOP = "shop: A   # mine\nrooms:\n  hall: {at: [0, 0], size: [9000, 6000]}\n"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "shop.yaml"
    path.write_text(SHOP)
    return path


def test_a_table_of_zones(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("z.csv").write_text(
        "Key;Room;Kind;X;Y;Length;Depth;Turn;Height;Load;Note\n"
        "bench 1;hall;bench;100;5200;2000;700;;900;300 kg;by the window\n"
        "rack a;hall;Shelf;5 m;4 m;1800;500;90;1200;;\n"
    )
    assert main(["import-plan", "z.csv"]) == 0
    assert shop.read_text().startswith(SHOP)
    found = read(shop).zones
    assert (found["bench 1"].load_kg, found["bench 1"].note) == (300, "by the window")
    assert found["rack a"].frame.turn_deg == 90
    assert "2 added" in capsys.readouterr().out


def test_a_dry_run_writes_nothing(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("z.csv").write_text("key,room,kind,x,y,length,depth\nbay,hall,floor,100,100,900,900\n")
    assert main(["--json", "import-plan", "z.csv", "--dry-run"]) == 0
    added = json.loads(capsys.readouterr().out)
    assert added == {"added": [{"section": "zones", "key": "bay"}], "written": False}
    assert shop.read_text() == SHOP


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("key,room,kind,x,y,length\nb,hall,floor,1,1,9\n", "z.csv:1: no column 'depth'"),
        ("key,room,kind,x,y,length,depth\nb,hall,desk,1,1,9,9\n", "z.csv:2: 'desk' is not one of"),
        (
            'key,room,kind,x,y,length,depth\nb,hall,floor,1,1,"2,4 m",9\n',
            "z.csv:2: 'b': '2,4 m' has a decimal comma",
        ),
        (
            "key,room,kind,x,y,length,depth\nb,hall,floor,1,1,9,9\nb,hall,floor,1,1,9,9\n",
            "z.csv:3: 'b' is on line 2",
        ),
        ("key,room,kind,x,y,length,depth\nb,hall,floor,1,1,99 m,9\n", "outside its room"),
        ("key,room,kind,x,y,length,depth\nb,Hall,floor,1,1,9,9\n", "did you mean 'hall'"),
        ("key,room,kind,x,y,length,depth\n", "nothing to add"),
        ("", "no column 'key'"),
    ],
)
def test_a_table_with_anything_wrong_is_refused_whole(
    shop: Path, capsys: pytest.CaptureFixture[str], table: str, said: str
) -> None:
    Path("z.csv").write_text(table)
    assert main(["import-plan", "z.csv"]) in (1, 65)
    assert said in capsys.readouterr().err
    assert shop.read_text() == SHOP


def drawing(units: int) -> ezdxf.document.Drawing:
    """240 x 120 in of walls drawn line by line, a bench as a block turned by 90 degrees, one stray line."""
    document = ezdxf.new("R2010", units=units)
    space = document.modelspace()
    for a, b in (((0, 0), (240, 0)), ((240, 120), (240, 0)), ((0, 120), (240, 120)), ((0, 0), (0, 120.1))):
        space.add_line(a, b, dxfattribs={"layer": "WALLS"})
    block = document.blocks.new("BENCH")
    block.add_lwpolyline([(0, 0), (72, 0), (72, 24), (0, 24)], close=True)
    space.add_blockref("BENCH", (40, 10), dxfattribs={"rotation": 90, "layer": "BENCHES"})
    space.add_lwpolyline(
        [(100, 20, 0, 0, 1), (140, 20, 0, 0, 0)], format="xyseb", close=True, dxfattribs={"layer": "FIXED"}
    )
    space.add_line((0, 500), (50, 500), dxfattribs={"layer": "STRAY"})
    space.add_text("hall")
    return document


def test_outlines_are_the_drawings_to_a_tenth_of_a_millimetre(tmp_path: Path) -> None:
    """An inch is 25.4 mm (1959); arcs within 5 mm."""
    drawing(1).saveas(tmp_path / "in.dxf")
    found, told = rings(tmp_path / "in.dxf")
    walls = next(ring for ring in found if ring.layer == "WALLS")
    xs, ys = [x for x, _ in walls.outline], [y for _, y in walls.outline]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((240 * 25.4, 120 * 25.4), abs=3)
    assert told == ["layer STRAY: 1 lines close nothing and are left out"]
    fixed = next(ring for ring in found if ring.layer == "FIXED")
    assert all(
        ((x - 120 * 25.4) ** 2 + (y - 20 * 25.4) ** 2) ** 0.5 <= 20 * 25.4 + 0.3 for x, y in fixed.outline
    )


def test_a_drawing_comes_in_and_the_rest_is_told(
    tmp_path: Path, shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop.write_text("shop: A\nrooms:\n  far: {at: [50000, 0], size: [5000, 5000]}\n")
    drawing(1).saveas("in.dxf")
    assert main(["import-plan", "in.dxf"]) == 0
    found = read(shop)
    assert "walls 1" in found.rooms
    bench = next(iter(found.zones.values()))
    xs, ys = [x for x, _ in bench.outline], [y for _, y in bench.outline]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((24 * 25.4, 72 * 25.4), abs=0.1)
    assert len(found.fixtures) == 1
    err = capsys.readouterr().err
    assert "measure it" in err
    assert "STRAY" in err


def test_a_drawing_that_says_no_unit_is_asked_about(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing(0).saveas("in.dxf")
    assert main(["import-plan", "in.dxf"]) == 65
    assert "does not say what it is measured in: --unit mm" in capsys.readouterr().err


def test_our_own_drawing_comes_back(tmp_path: Path, shop: Path) -> None:
    """Written by `plan --dxf`, read by ezdxf: every closed outline to 0.1 mm."""
    bench = "{room: hall, kind: bench, at: [1000, 1000], size: [2000, 700], turn: 15, height: 900}"
    shop.write_text(f"{SHOP}zones:\n  bench: {bench}\n")
    want = read(shop).zones["bench"].outline
    assert main(["plan", "--dxf", "-o", "own.dxf"]) == 0
    got = next(ring for ring in rings(tmp_path / "own.dxf")[0] if ring.layer == "ZONES")
    for a, b in zip(got.outline, want, strict=True):
        assert a == pytest.approx(b, abs=0.1)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: path.write_bytes(b"0\nSECTION\n" * 3_000_000), "is larger than 20 MB"),
        (lambda path: path.write_bytes(b"\x00\x01\x02 not a drawing"), "is no DXF that can be read"),
        (lambda path: path.write_text("0\nSECTION\n2\nENTITIES\n0\n"), "is no DXF that can be read"),
        (lambda path: None, "there is no such file"),
    ],
)
def test_what_is_no_drawing_is_refused_in_a_line(
    shop: Path, capsys: pytest.CaptureFixture[str], make, said: str
) -> None:
    make(Path("x.dxf"))
    assert main(["import-plan", "x.dxf", "--unit", "mm"]) == 65
    err = capsys.readouterr().err
    assert said in err
    assert len(err.splitlines()) == 1
    assert shop.read_text() == SHOP
