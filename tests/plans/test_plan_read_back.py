"""The drawn plan read back by libraries that know nothing of us, to 0.1 mm of paper."""

from __future__ import annotations

import io
import json
import math
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import ezdxf
import pdfplumber
import pytest
import svgelements
from ezdxf.lldxf.encoding import decode_dxf_unicode

from shopbins.demo import write_demo
from shopbins.desk import Desk
from shopbins.plans.dxf import dxf
from shopbins.plans.pdf import MARGIN_MM, PAPERS, TooManySheets, pdf, sheets
from shopbins.plans.picture import CAUTION, Picture, Shape, picture
from shopbins.plans.svg import svg

PT = 72 / 25.4


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_demo(tmp_path_factory.mktemp("plan") / "d")


@pytest.fixture(scope="module")
def plan(demo: Path) -> Picture:
    with Desk.open(demo, readonly=True) as desk:
        return picture(desk.scene(), desk.audit(), date(2026, 11, 29))


def rings(plan: Picture) -> list[Shape]:
    return [shape for shape in plan.shapes if not shape.open]


def sides(points: Any) -> list[float]:
    pts = [(float(x), float(y)) for x, y in points]
    return [math.dist(a, b) for a, b in zip(pts, [*pts[1:], pts[0]], strict=True)]


def near(got: list[float], want: list[float], within: float) -> bool:
    return len(got) == len(want) and all(abs(a - b) <= within for a, b in zip(got, want, strict=True))


def test_svg_by_svgelements(plan: Picture) -> None:
    """Its lengths in mm of paper: 96 px an inch, as CSS has it."""
    read = svgelements.SVG.parse(io.BytesIO(svg(plan, 50)), ppi=96)
    mm = 25.4 / 96
    polygons = [e for e in read.elements() if isinstance(e, svgelements.Polygon)]
    assert len(polygons) == len(rings(plan))
    for got, want in zip(polygons, rings(plan), strict=True):
        points = [(p.x * mm, p.y * mm) for p in got.points]
        assert near(sides(points), [side / 50 for side in sides(want.points)], 0.1), want.name
    room = polygons[0].points
    assert (room[0].x - room[1].x) * (room[0].y - room[1].y) == pytest.approx(0, abs=1e-3)
    lines = {e.values["class"]: e for e in read.elements() if isinstance(e, svgelements.SimpleLine)}
    assert abs(lines["ruler"].x2 - lines["ruler"].x1) * mm == pytest.approx(100, abs=0.1)
    assert abs(lines["bar"].x2 - lines["bar"].x1) * mm == pytest.approx(100, abs=0.1)  # 5 m at 1:50
    circles = [e for e in read.elements() if isinstance(e, svgelements.Circle)]
    assert len(circles) == sum(1 for mark in plan.marks if mark.number)


def read_dxf(plan: Picture, tmp_path: Path) -> Any:
    (tmp_path / "plan.dxf").write_bytes(dxf(plan))
    return ezdxf.readfile(tmp_path / "plan.dxf")


def test_dxf_by_ezdxf(plan: Picture, tmp_path: Path) -> None:
    document = read_dxf(plan, tmp_path)
    assert document.units == ezdxf.units.MM
    assert not document.audit().errors
    lines = list(document.modelspace().query("POLYLINE"))
    assert len(lines) == len(plan.shapes)
    for got, want in zip(lines, plan.shapes, strict=True):
        points = [(v.dxf.location.x, v.dxf.location.y) for v in got.vertices]
        assert got.is_closed is not want.open
        assert got.dxf.layer == want.layer.upper()
        for a, b in zip(points, want.points, strict=True):
            assert math.dist(a, b) < 0.1
    numbers = [mark.number for mark in plan.marks if mark.number]
    assert len(document.modelspace().query("CIRCLE")) == len(numbers)


def test_letters_of_other_languages_in_dxf(tmp_path: Path) -> None:
    shape = Shape("zones", ((0, 0), (1000, 0), (1000, 1000)), "Łódź 部品")
    one = Picture("t", (shape,), (), (), (0, 0, 1000, 1000))
    texts = [decode_dxf_unicode(e.dxf.text) for e in read_dxf(one, tmp_path).modelspace().query("TEXT")]
    assert "Łódź 部品" in texts


def _outlines(page: Any) -> list[list[tuple[float, float]]]:
    found = [curve["pts"] for curve in page.curves]
    found += [
        [(r["x0"], r["top"]), (r["x1"], r["top"]), (r["x1"], r["bottom"]), (r["x0"], r["bottom"])]
        for r in page.rects
    ]
    return [[(x / PT, y / PT) for x, y in points] for points in found]


@pytest.mark.parametrize(("paper", "scale"), [("a4", 50), ("letter", 50), ("a3", 100), ("a4", None)])
def test_pdf_by_pdfplumber(plan: Picture, paper: str, scale: int | None) -> None:
    cut = sheets(plan, paper, scale)
    with pdfplumber.open(io.BytesIO(pdf(plan, cut))) as read:
        drawn = read.pages[: cut.columns * cut.rows]
        first = drawn[0]
        assert (float(first.width) / PT, float(first.height) / PT) == pytest.approx(cut.paper, abs=0.1)
        for page in drawn:
            ruler = [
                line
                for line in page.lines
                if abs(float(line["x1"]) - float(line["x0"])) / PT == pytest.approx(100, abs=0.1)
            ]
            assert any(abs(float(line["x1"]) / PT - (cut.paper[0] - MARGIN_MM)) < 0.1 for line in ruler)
            text = page.extract_text()
            assert f"1:{cut.scale}" in text
            assert "if this line is not 100 mm, the scale is wrong" in text
        outlines = [sorted(sides(points)) for points in _outlines(first)]
        for shape in rings(plan):
            want = sorted(side / cut.scale for side in sides(shape.points))
            assert any(near(got, want, 0.1) for got in outlines) or any(
                near(got[:-1], want, 0.1) or near(got[1:], want, 0.1) for got in outlines
            ), shape.name
        listed = read.pages[len(drawn)]
        wanted = PAPERS["letter" if paper == "letter" else "a4"]
        assert (float(listed.width) / PT, float(listed.height) / PT) == pytest.approx(wanted, abs=0.1)
        last = "\n".join(page.extract_text() for page in read.pages[len(drawn) :])
        assert CAUTION[:40] in last.replace("\n", " ")
        for mark in plan.marks:
            assert mark.text[:30] in last


def test_sheets_overlap_and_cover_the_shop(plan: Picture) -> None:
    cut = sheets(plan, "a4", 50)
    room_x, room_y = cut.room
    wide, high = (side / 50 for side in plan.size_mm)
    assert cut.columns * (room_x - 10) + 10 >= wide
    assert cut.rows * (room_y - 10) + 10 >= high
    assert cut.columns * cut.rows == 3
    assert sheets(plan, "a3", 50).columns * sheets(plan, "a3", 50).rows == 2
    with pytest.raises(TooManySheets, match="choose a smaller scale"):
        sheets(plan, "a4", 2)


def test_the_same_plan_gives_the_same_bytes(plan: Picture) -> None:
    cut = sheets(plan, "a4", 100)
    assert pdf(plan, cut) == pdf(plan, cut)
    assert svg(plan, 50) == svg(plan, 50)


def test_what_was_not_checked_is_named(plan: Picture, demo: Path) -> None:
    with Desk.open(demo, readonly=True) as desk:
        unjudged = [each for each in desk.audit() if not each.judged]
    said = [line for line in plan.words if line.startswith("Not checked: ")]
    assert bool(said) == bool(unjudged)
    if unjudged:
        assert unjudged[0].text in said[0]


def test_the_command(demo: Path, tmp_path: Path) -> None:
    for form, start in (("pdf", b"%PDF"), ("svg", b"<?xml"), ("dxf", b"0\r\nSECTION")):
        out = tmp_path / f"plan.{form}"
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "shopbins",
                "-s",
                str(demo),
                "--json",
                "plan",
                f"--{form}",
                "-o",
                str(out),
            ],
            capture_output=True,
            check=True,
        )
        assert json.loads(done.stdout)["path"] == str(out)
        assert out.read_bytes().startswith(start)


@pytest.mark.parametrize(
    ("args", "status"),
    [
        (["-o", "x.doc"], 64),
        (["--pdf", "-o", "x.pdf", "--scale", "2"], 64),
        (["--pdf", "-o", "x.pdf", "--scale", "0"], 64),
        (["--pdf", "-o", "nowhere/x.pdf"], 74),
    ],
)
def test_the_command_refused(demo: Path, tmp_path: Path, args: list[str], status: int) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "shopbins", "-s", str(demo), "plan", *args],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stdout) == (status, "")
    assert len(done.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []
