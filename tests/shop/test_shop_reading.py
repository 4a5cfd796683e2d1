"""A shop file read whole: every value lands, in mm, kg, kN and degrees, and cannot be changed."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
import yaml

from shopbins.geometry.shapes import Pose
from shopbins.shop import ShopProblems, check, parse, read
from shopbins.shop.model import Level, Limits, MachineNote, Shop, Slope, Spot

SAMPLE = Path(__file__).parents[2] / "sample_shop.yaml"

FULL = """\
shop: Test shed
prefix: T1
rules: uk
measured: 10 mm
limits: {walkway: 700, exit: 80 cm, headroom: 6 ft 8 in, fill: 90 %, lift height: 1.1 m, one person: 20 kg}
note: Only for tests.
machines:
  pump: {name: Fire pump, owner: Brigade, job: 7-1, note: On its trailer.}
rooms:
  hall:
    name: Long hall
    outline: [[0, 0], [9 m, 0], [9000, 6000 +- 30 mm], [0, 6000], [0, 0]]
    headroom: 3.4 m
    floor load: 125 psf
    point load: 4.5 kN
    slope: {fall: 1 in 25, towards: -90}
    hot work: yes
    note: >
      Brick floor,
      laid dry.
    was: [old hall, 'yes']
  store: {at: [9300, 0], size: 3x4 m}
doors:
  gap: {room: hall, to: store, jambs: [[9000, 1800], [9000, 900]], opens: open, clear: 850, height: 2 m}
  gate: {room: hall, to: outside, jambs: [[0, 1000], [0, 3400]], opens: up-and-over, hang: 2 m, exit: yes,
         threshold: 15, wall: 350}
walkways:
  way: {line: [[-900, 2000], [500, 2000], [500, 1350], [10 m, 1350]], width: 800, least: 700, exit route: yes}
keep clear:
  board: {room: hall, at: [4000, 0], size: [800, 900], turn: 0, why: switchgear, height: 2 m,
          name: Switchboard}
zones:
  bench: {room: hall, kind: bench, at: [2000, 4000], size: [1500, 600], turn: 90, height: 900, load: 300 kg,
          movable: yes, mass: 60 kg, cautions: [oily, sharp], was: table}
  rack: {room: hall, kind: shelf, at: [5000, 5000], size: [1800, 500], load: 600 kg, fixed back: yes,
         levels: {low: {height: 100, load: 150 kg}, 2: {height: 700, headroom: 500}, 3: {height: 1300}}}
  spot: {room: store, kind: floor, outline: [[9400, 100], [9400, 900], [9900, 900]]}
fixtures:
  stove: {room: hall, at: [7000, 3000], size: [600, 600], base: 100, height: 1 m, mass: 180 kg, hot: yes}
  saw: {room: hall, at: [7000, 4000], size: [600, 600], movable: yes}
"""


@pytest.fixture(scope="module")
def shop() -> Shop:
    """The test shed."""
    return parse(FULL, "t.yaml")


def test_head(shop: Shop) -> None:
    assert (shop.name, shop.prefix, shop.rules, shop.measured_mm) == ("Test shed", "T1", "uk", 10.0)
    assert shop.limits == Limits(700.0, 800.0, 2032.0, 0.9, 1100.0, 20.0)
    pump = MachineNote("pump", "Fire pump", "Brigade", "7-1", "On its trailer.", Spot("t.yaml", 8, 3))
    assert shop.machines["pump"] == pump
    assert shop.note == "Only for tests."


def test_room(shop: Shop) -> None:
    hall = shop.rooms["hall"]
    assert hall.outline == ((0, 0), (9000, 0), (9000, 6000), (0, 6000))
    assert (hall.name, hall.headroom_mm, hall.point_load_kn, hall.hot_work) == ("Long hall", 3400, 4.5, True)
    assert hall.floor_load_kn_m2 == pytest.approx(5.985, abs=1e-3)
    assert hall.slope == Slope(0.04, 270.0)
    assert hall.note == "Brick floor, laid dry."
    store = shop.rooms["store"]
    assert store.outline == ((9300, 0), (12300, 0), (12300, 4000), (9300, 4000))
    assert (store.name, store.headroom_mm, store.slope) == ("store", None, None)


def test_outlines_run_counter_clockwise_however_they_are_written(shop: Shop) -> None:
    assert shop.zones["spot"].outline == ((9900, 900), (9400, 900), (9400, 100))


def test_measuring_uncertainty_is_kept_where_it_is_said(shop: Shop) -> None:
    assert dict(shop.measured_at) == {"rooms/hall/outline/3": 30.0}


def test_doors(shop: Shop) -> None:
    gap, gate = shop.doors["gap"], shop.doors["gate"]
    assert gap.jambs == ((9000, 900), (9000, 1800))
    assert gap.passage == ((9301, 900), (9301, 1800), (8999, 1800), (8999, 900))
    assert (gap.clear_width_mm, gap.height_mm, gap.exit, gap.swing) == (850, 2000, False, ())
    assert gate.passage == ((-350, 3400), (-350, 1000), (1, 1000), (1, 3400))
    assert (gate.clear_width_mm, gate.hang_mm, gate.threshold_mm, gate.exit) == (2400, 2000, 15, True)


def test_ways(shop: Shop) -> None:
    way = shop.walkways["way"]
    assert (way.rooms, way.width_mm, way.least_mm, way.exit_route) == (("hall", "store"), 800, 700, True)
    assert way.line[-1] == (10_000, 1350)
    board = shop.keep_clear["board"]
    assert (board.name, board.why, board.height_mm) == ("Switchboard", "switchgear", 2000)


def test_zones(shop: Shop) -> None:
    bench, rack, spot = shop.zones["bench"], shop.zones["rack"], shop.zones["spot"]
    assert bench.outline == ((2000, 4000), (2000, 5500), (1400, 5500), (1400, 4000))
    assert bench.frame == Pose(2000, 4000, 90)
    assert bench.size_mm == (1500, 600)
    assert (bench.movable, bench.mass_kg, bench.cautions) == (True, 60, ("oily", "sharp"))
    assert bench.levels == (Level("", 900, 2500, 300, bench.at),)
    assert [(x.key, x.height_mm, x.headroom_mm, x.load_kg) for x in rack.levels] == [
        ("low", 100, 600, 150),
        ("2", 700, 500, None),
        ("3", 1300, 2100, None),
    ]
    assert (rack.fixed_back, rack.load_kg) == (True, 600)
    assert (spot.frame, spot.size_mm) == (Pose(0.0, 0.0), None)
    assert spot.levels[0].headroom_mm is None


def test_fixtures(shop: Shop) -> None:
    stove, saw = shop.fixtures["stove"], shop.fixtures["saw"]
    assert (stove.base_mm, stove.top_mm, stove.mass_kg, stove.hot, stove.movable) == (
        100,
        1100,
        180,
        True,
        False,
    )
    assert (saw.base_mm, saw.top_mm, saw.mass_kg, saw.movable) == (0, None, None, True)


def test_old_keys_lead_to_the_new(shop: Shop) -> None:
    assert dict(shop.renamed) == {"old hall": "hall", "yes": "hall", "table": "bench"}
    assert shop.zone("table") is shop.zones["bench"]
    assert shop.zone("old hall") is not None
    assert shop.zone("nowhere") is None
    assert [zone.key for zone in shop.all_zones()] == ["bench", "rack", "spot", "hall", "store"]


def test_nothing_read_can_be_changed(shop: Shop) -> None:
    with pytest.raises(TypeError):
        shop.zones["more"] = shop.zones["rack"]  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        shop.name = "Other"  # type: ignore[misc]


def test_five_lines_are_enough() -> None:
    small = parse("shop: My little shed\nrooms:\n  shed:\n    at: [0, 0]\n    size: [6000, 4000]\n")
    assert (small.prefix, small.rules, small.measured_mm, small.limits) == ("MLS", "own", 5.0, Limits())
    assert list(small.rooms) == ["shed"]


def test_the_pure_python_parser_reads_the_same(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    sample = SAMPLE.read_text(encoding="utf-8")
    quick = parse(sample)
    monkeypatch.delattr(yaml, "CSafeLoader", raising=False)
    assert parse(FULL, "t.yaml") == shop
    assert parse(sample) == quick


def test_shape_of_writing_does_not_matter(shop: Shop) -> None:
    """Windows line ends, a byte order mark and a written-out 'null' document end change nothing."""
    assert parse("\ufeff" + FULL.replace("\n", "\r\n"), "t.yaml") == shop


def test_the_sample_is_read_from_disk_without_a_problem() -> None:
    sample = read(SAMPLE)
    assert check(SAMPLE) == []
    assert sample.path == SAMPLE
    assert sample.name == "Ropewalk Shed"
    assert set(sample.walkways["long way"].rooms) == {"lean-to", "slip hall", "rope gallery"}
    assert sum(door.exit for door in sample.doors.values()) == 3
    assert {door.opens for door in sample.doors.values()} == {"hinged", "sliding", "up-and-over"}


@pytest.mark.parametrize(
    ("data", "place", "what"),
    [
        (b"", (1, 1), "the file is empty"),
        (b"shop: a\nrooms: \xe9t\xe9\n", (2, 8), "byte 0xe9 is not UTF-8"),
        ("shop: a\n".encode("utf-16"), (1, 1), "UTF-16"),
        (b"shop: a\n\x7fELF\x00\x00", (2, 5), "binary"),
        (b"x" * 4_000_001, (1, 1), "larger than 4 MB"),
    ],
)
def test_a_file_that_is_no_text_is_said_to_be_none(
    tmp_path: Path, data: bytes, place: tuple[int, int], what: str
) -> None:
    path = tmp_path / "shop.yaml"
    path.write_bytes(data)
    (problem,) = check(path)
    assert (problem.line, problem.column) == place
    assert what in problem.what
    assert problem.file == str(path)


def test_a_file_that_cannot_be_had(tmp_path: Path) -> None:
    (missing,) = check(tmp_path / "none.yaml")
    assert "no such file" in missing.what
    (folder,) = check(tmp_path)
    assert "is a folder" in folder.what
    (device,) = check("/dev/null")
    assert "not a plain file" in device.what
    (odd,) = check("a\0b")
    assert "cannot be read" in odd.what
    (long,) = check("x" * 5000)
    assert "cannot be read" in long.what


def test_a_file_without_permission_is_said_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's refusal is put in by hand, as root may read everything."""

    def refuse(self: Path, *args: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "shop.yaml"
    path.write_text("shop: a\n")
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(ShopProblems, match="may not be read"):
        read(path)
