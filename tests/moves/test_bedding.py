"""What plates and ramps lie on: floor, not another cover, a pit, a sill, a wall, each other, or feet."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Part, Verdict
from shopbins.geometry.shapes import Outline, Pose
from shopbins.moves import bedding
from shopbins.moves.bedding import bedded, beds
from shopbins.moves.finding import row_of
from shopbins.moves.forks import Foot
from shopbins.moves.plates import Edge, Laid, Piece, Ramps
from shopbins.moves.route import Ground
from shopbins.moves.spans import Bridged
from shopbins.scene.standing import Standing
from shopbins.shop.figures import OWN
from shopbins.shop.model import Fixture, Gear, Opening

PLATE = Gear("plates", "plates", "plate", size_mm=(800.0, 600.0), height_mm=15.0)
RAMP = Gear("ramps", "ramps", "ramp", size_mm=(300.0, 500.0))


def _box(x0: float, x1: float, y0: float = 0.0, y1: float = 600.0) -> Outline:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _drain(key: str, x0: float, load_kg: float | None = 300.0) -> Fixture:
    return Fixture(key, key, "lane", _box(x0, x0 + 400, 0.0, 2400.0), 0.0, 5.0, load_kg=load_kg)


def _laid(key: str, x0: float, x1: float, y0: float = 0.0) -> Laid:
    at = _box(x0, x1, y0, y0 + 600)
    told = f"fixture:{key}", key, "lane"
    return Laid(PLATE, *told, 1, 100.0, at, Bridged("", "", 0.0), 800.0, (Piece(at, at[0], 0, 600),), 1250.0)


def _ramps(of: Laid, top: float, foot: float, y0: float = 0.0) -> Ramps:
    """One ramp from its top at the edge of plates to its foot."""
    edge = Edge(of.words, "edge", (of.cover, "plate edge"), "lane", 15.0, of.outline)
    at = ((top, y0), (foot, y0), (foot, y0 + 600), (top, y0 + 600))
    run = abs(foot - top)
    piece = Piece(at, at[0], 0.0, 500.0)
    return Ramps(RAMP, edge, 1, 500.0, 500.0, 90.0, (0.0,), run, 15.0 / run, pieces=(piece,))


def _in(
    *laid: Laid, fixtures: Any = (), openings: Any = (), doors: Any = (), stands: Any = (), ramps: Any = ()
) -> Any:
    """A lane 14 m long and 2.4 m wide, with what else is in it."""
    poses = tuple(Pose(100.0 * n, 1200.0, 0.0) for n in range(141))
    wheels = ((-700.0, -350.0), (700.0, -350.0), (700.0, 350.0), (-700.0, 350.0))
    leg = SimpleNamespace(poses=poses, room=SimpleNamespace(key="lane"), slope=None)
    lane = SimpleNamespace(outline=_box(0.0, 14000.0, 0.0, 2400.0))
    shop = SimpleNamespace(
        rooms={"lane": lane},
        doors={each.key: each for each in doors},
        fixtures={each.key: each for each in fixtures},
        openings={each.key: each for each in openings},
    )
    route: Any = None
    ground = Ground(route, (lane.outline,), stands, (), ())
    return SimpleNamespace(
        scene=SimpleNamespace(shop=shop),
        laid=laid,
        ramps=ramps,
        edges=(),
        ramps_at=lambda edge: None,
        rooms=(),
        floors=(lane.outline,),
        own=OWN,
        attempt=SimpleNamespace(then=None, ground=ground),
        kind="skates",
        hull=_box(-835, 835, -465, 465),
        gear=SimpleNamespace(rolls_on=wheels, touching=wheels, wheels=wheels, axis_deg=0.0, gear=RAMP),
        legs=(leg,),
        poses=lambda: ((leg, pose) for pose in poses),
        subjects=("group:1",),
        name="planer",
        load=SimpleNamespace(feet=(), jacking=(), own=(), outline=_box(-800, 800, -450, 450)),
        body=SimpleNamespace(pose=None),
        goal_pose=None,
        measured_mm=5.0,
    )


def _against(it: Any) -> list[tuple[Verdict, str]]:
    found: list[Part] = [part for part in bedded(it) if part.verdict > Verdict.YES]
    return [(part.verdict, row_of(part).finding.text) for part in found]


@pytest.mark.parametrize(
    ("x0", "load_kg", "verdict"),
    [
        (4500.0, 300.0, Verdict.OPEN),
        (4500.0, 1250.0, None),
        (4500.0, 1249.0, Verdict.OPEN),
        (4500.0, None, Verdict.OPEN),
        (4599.5, 300.0, None),
        (4598.0, 300.0, Verdict.OPEN),
    ],
)
def test_a_plate_rests_on_no_other_cover_weaker_than_what_comes_on_it(
    x0: float, load_kg: float | None, verdict: Verdict | None
) -> None:
    """A plate over a drain from 4000 to 4400 reaches to 4600, the next drain from 4500: 1250 kg at that end
    is 1250 x 9.81 = 12.3 kN on what takes 300 x 9.81 = 2.94 kN. To 1 mm it only touches (own figure).
    """
    it = _in(_laid("one", 3800, 4600), fixtures=(_drain("one", 4000), _drain("two", x0, load_kg)))
    found = _against(it)
    assert [v for v, _ in found] == ([verdict] if verdict else [])
    if load_kg == 300.0 and verdict:
        assert (
            found[0][1]
            == "plates over one would lie in part on two, up to 12.3 kN on one of them; it takes 2.94 kN"
        )


def test_plates_and_ramps_that_lie_at_once_lie_on_no_other() -> None:
    """From 3800 to 4600 and from 4500 to 5300 are 100 on each other; from 4600 on they meet. A ramp from 4600
    to 4900 is on the second of them.
    """
    drains = (_drain("one", 4000), _drain("two", 4900))
    one = _laid("one", 3800, 4600)
    for x0, often in ((4500, 1), (4600, 0)):
        assert len(_against(_in(one, _laid("two", x0, x0 + 800), fixtures=drains))) == often
    two, ramps = _laid("two", 4700, 5500), _ramps(one, 4600, 4900)
    assert bedding.on_each_other(two, ramps) and not bedding.on_each_other(one, ramps)


@pytest.mark.parametrize(("y0", "walls"), [(-50.0, True), (-0.5, False), (0.0, False), (1850.0, True)])
def test_plates_lie_within_the_walls(y0: float, walls: bool) -> None:
    """600 wide from -50 of a lane 2400 wide is 50 in its wall, from 1850 on the other side."""
    it = _in(_laid("one", 3800, 4600, y0), fixtures=(_drain("one", 4000),))
    assert [text for _, text in _against(it)] == ["plates over one would lie in part on a wall"] * walls


def test_plates_lie_on_no_sill_no_open_pit_and_nothing_that_stands_there() -> None:
    door = SimpleNamespace(key="d", name="sill door", threshold_mm=40.0, passage=_box(4550, 4800), swing=())
    flat = SimpleNamespace(key="d", name="flat door", threshold_mm=0.0, passage=_box(4550, 4800), swing=())
    pit = Opening("pit", "pit", "lane", "pit", _box(4500, 5000), covered=False)
    post = Standing("fixture:post", "post", "post", "post", "lane", _box(4500, 4550), 0.0, 2000.0)
    beam = Standing("fixture:beam", "beam", "beam", "beam", "lane", _box(4500, 4550), 1500.0, 2000.0)
    laid, own = _laid("one", 3800, 4600), (_drain("one", 4000),)
    for more, on in (
        ({"doors": (door,)}, ["the sill of sill door"]),
        ({"doors": (flat,)}, []),
        ({"openings": (pit,)}, ["pit, open"]),
        ({"stands": (post,)}, ["post"]),
        ({"stands": (beam,)}, []),
    ):
        found = _against(_in(laid, fixtures=own, **more))  # type: ignore[arg-type]
        assert found == [(Verdict.OPEN, f"plates over one would lie in part on {name}") for name in on]


@pytest.mark.parametrize(("x", "near"), [(2900.0, 240.0), (2665.0, 0.0), (2670.0, 10.0)])
def test_ramps_lie_where_no_foot_stands_and_no_skate_is_let_down(
    monkeypatch: pytest.MonkeyPatch, x: float, near: float
) -> None:
    """Skates 270 long at 700 from its middle reach to 2900 + 835 = 3735, feet of 120 to 3660; the foot of a
    ramp is at 3500: 235 too near, with 5 of measuring 240. At 3500 - 835 = 2665 they only touch it.
    """
    monkeypatch.setattr(bedding, "half_track_mm", lambda it: 115.0)
    monkeypatch.setattr(bedding, "pad_long_mm", lambda it: 270.0)
    monkeypatch.setattr(bedding, "together_kg", lambda it: 1250.0)
    monkeypatch.setattr(bedding, "one_bears", lambda it: None)
    of = _laid("one", 3800, 4600, 600.0)
    it = _in(fixtures=(_drain("one", 4000),))
    it.load.feet = tuple(Foot(a, b, (120.0, 120.0)) for a in (-700.0, 700.0) for b in (-350.0, 350.0))
    it.body.pose = Pose(x, 1200.0, 0.0)
    found = list(beds(it, _ramps(of, 3800, 3500, 600.0)))
    assert [part.verdict for part in found] == ([Verdict.NO] if near else [])
    if near:
        assert row_of(found[0]).finding.measured == -near
        assert row_of(found[0]).ends == (f"planer {near:.0f} mm farther from plates over one at its start",)


@pytest.mark.parametrize(
    ("y0", "on_its_side"), [(500.0, False), (400.0, True), (1200.0, False), (1320.0, True), (0.0, False)]
)
def test_no_wheel_comes_onto_the_side_of_a_ramp(y0: float, on_its_side: bool) -> None:
    """Tracks 500 wide in the middle of 850 and 1550, so from 600 to 1100 and 1300 to 1800; a ramp of 600 from
    500 to 1100 carries the first whole, one from 1200 to 1800 the second; from 400, or from 1320 on, not.
    """
    duct = _laid("duct", 4000.0, 4800.0)
    it = _in(duct, fixtures=[_drain("duct", 4200.0)], ramps=(_ramps(duct, 4000.0, 3400.0, y0),))
    found = [p for p in bedding._wheels_beside(it, it.ramps[0]) if "beside" in p.subjects]
    assert bool(found) is on_its_side and all(p.verdict is Verdict.OPEN for p in found)


@pytest.mark.parametrize(("y1", "overlap"), [(600.0, False), (590.0, True)])
def test_ramps_abreast_do_not_lie_on_each_other(y1: float, overlap: bool) -> None:
    """600 wide each: the second from 600 on, or 10 on the first."""
    duct = _laid("duct", 4000.0, 4800.0)
    one, two = (_ramps(duct, 4000.0, 3400.0, y) for y in (0.0, y1))
    both = replace(one, pieces=(*one.pieces, *two.pieces))
    it = _in(duct, fixtures=[_drain("duct", 4200.0)], ramps=(both,))
    assert any("abreast" in p.subjects for p in bedding._wheels_beside(it, both)) is overlap
