"""The statics of moving: each figure worked out by hand in closed form, the source named beside it.

The thing of most cases: 1660 kg at (20, 0), 820 mm high, with a part of 240 kg at (625, 0), 1165 to 1365
mm high.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from shopbins.moves.gear import judge_gear
from shopbins.moves.grounding import crest_mm, foot_mm
from shopbins.moves.heights import band, tilted_mm
from shopbins.moves.load import Load
from shopbins.moves.running import force_on
from shopbins.moves.stances import (
    castors,
    jack_bears_kg,
    pads,
    sling_deg,
    sling_share,
    truck,
)  # fmt: skip
from shopbins.moves.tipping import (
    Centre,
    centre_of,
    falls_across,
    fastest_m_s,
    highest_line_mm,
    hung,
    reserve,
    step_deg,
    worst,
)  # fmt: skip
from shopbins.rules.supports import Support
from shopbins.shop.model import Gear

T3 = ((450.0, 0.0), (-400.0, 300.0), (-400.0, -300.0))
BODY, HEAD = Centre(20.0, 0.0, 820.0), Centre(625.0, 0.0, 1265.0)
MASS, CG = centre_of([(1660.0, BODY), (240.0, HEAD)])
UP = CG.z_mm + 110.0  # on skates of 110 mm


def narrow(track: float | None = None) -> tuple[tuple[float, float], ...]:
    return truck(
        (0.0, 0.0), 0.0, over_forks_mm=400, fork_width_mm=140, fork_length_mm=1150, steering_axle_mm=100,
        load_rollers_mm=175, steering_track_mm=track,
    ).polygon  # fmt: skip


WIDE = truck(
    (0.0, 0.0), 0.0, over_forks_mm=540, fork_width_mm=160, fork_length_mm=1150, steering_axle_mm=100,
    load_rollers_mm=175,
)  # fmt: skip


# --- centre of gravity: sum(m r) / sum(m) -----------------------------------------------------------------


def test_a_part_that_is_on_it_moves_the_centre_of_gravity() -> None:
    assert pytest.approx(1900) == MASS
    assert (CG.x_mm, CG.y_mm) == pytest.approx((96.421, 0), abs=0.001)
    assert CG.z_mm == pytest.approx(876.211, abs=0.001)


@pytest.mark.parametrize(("part", "x", "z"), [(180.0, 79.185, 863.533), (300.0, 112.602, 888.112)])
def test_a_part_weighed_only_about(part: float, x: float, z: float) -> None:
    _, cg = centre_of([(1660.0, BODY), (part, HEAD)])
    assert (cg.x_mm, cg.z_mm) == pytest.approx((x, z), abs=0.001)


# --- tipping: atan(d / H) - atan(fall cos b) --------------------------------------------------------------


def test_three_skates_on_one_in_eight_tip_at_the_worst_heading() -> None:
    found = reserve(T3, (CG.x_mm, 0), UP, 1 / 8)
    assert found is not None
    assert found.deg == pytest.approx(-0.320, abs=0.001)
    assert found.inside_mm == pytest.approx(117.678, abs=0.001)
    assert min(found.outward_deg, 360 - found.outward_deg) == pytest.approx(70.56, abs=0.01)
    low = reserve(
        T3, (CG.x_mm, 0), CG.z_mm, 1 / 8
    )  # the height of the skate left out: wrong, and not tipping
    assert low is not None and low.deg == pytest.approx(0.524, abs=0.001)


@pytest.mark.parametrize(
    ("downhill", "deg"), [(0, 5.533), (45, 3.363), (90, 3.207), (135, 5.157), (180, 8.076)]
)
def test_the_same_on_one_in_fifteen_by_heading(downhill: float, deg: float) -> None:
    found = reserve(T3, (CG.x_mm, 0), UP, 1 / 15, (downhill, downhill))
    assert found is not None and found.deg == pytest.approx(deg, abs=0.001)


def test_a_turn_is_judged_over_its_whole_arc() -> None:
    found = reserve(T3, (CG.x_mm, 0), UP, 1 / 15, (0, 90))
    assert found is not None and found.downhill_deg is not None
    assert found.deg == pytest.approx(2.991, abs=0.001)
    assert found.downhill_deg == pytest.approx(70.56, abs=0.01)


def test_four_supports() -> None:
    four = ((-400.0, -300.0), (400.0, -300.0), (400.0, 300.0), (-400.0, 300.0))
    level, falling = reserve(four, (100, 50), 900), reserve(four, (100, 50), 900, 1 / 12, (90, 90))
    assert level is not None and falling is not None
    assert level.deg == pytest.approx(15.524, abs=0.001)
    assert level.outward_deg == pytest.approx(90)
    assert falling.deg == pytest.approx(10.760, abs=0.001)


def test_one_roller_up_a_sill() -> None:
    level = reserve(WIDE.polygon, (500, 0), 966)
    assert level is not None and level.deg == pytest.approx(6.170, abs=0.001)
    assert level.deg - step_deg(18, 380) == pytest.approx(3.458, abs=0.001)


def test_how_high_a_winch_may_pull() -> None:
    assert highest_line_mm(1900, 200, 5000) == pytest.approx(745.6, rel=1e-3)
    assert 150 < highest_line_mm(1900, 200, 5000) < 900


def test_stopped_dead_a_point_mass_goes_over_when_it_is_lifted_over_the_edge() -> None:
    """Energy: the speed left after the blow, v H / r0, lifts it by r0 - H (worked out here by itself)."""
    d, h = 0.3, 0.9
    r0 = math.hypot(d, h)
    v = fastest_m_s(300, 900)
    assert (v * h / r0) ** 2 / 2 == pytest.approx(9.81 * (r0 - h))


def test_downhill_less_is_left_to_lift_when_it_stops_dead() -> None:
    """Energy on 1 in 15 (3.81 deg): the centre of gravity, 300 behind and 900 over the edge, stands
    r0 sin(atan(900 / 300) + 3.81 deg) over it and goes over at r0; 0.787 of the speed on the level.
    """
    d, h = 0.3, 0.9
    r0, t = math.hypot(d, h), math.atan(1 / 15)
    stands = r0 * math.sin(math.atan2(h, d) + t)
    v = fastest_m_s(300, 900, 1 / 15)
    assert (v * h / r0) ** 2 / 2 == pytest.approx(9.81 * (r0 - stands))
    assert v / fastest_m_s(300, 900) == pytest.approx(0.794, abs=0.01)
    assert falls_across(1 / 15, (0.0, 0.0), 60.0) == pytest.approx(1 / 30)
    assert falls_across(1 / 15, (40.0, 80.0), 60.0) == pytest.approx(1 / 15)


@pytest.mark.parametrize(("run", "deg"), [(None, 13.647), (20, 10.784), (12, 8.883), (8, 6.522)])
def test_a_hung_load_counts_at_the_height_it_hangs_from(run: float | None, deg: float) -> None:
    cg = hung(500, Centre(0, 0, 1900), 110, Centre(0, 0, 500))
    assert cg.z_mm == pytest.approx(1647.5, abs=0.1)
    four = ((-600.0, -400.0), (600.0, -400.0), (600.0, 400.0), (-600.0, 400.0))
    found = reserve(four, (0, 0), cg.z_mm, 0.0 if run is None else 1 / run, (90, 90))
    assert found is not None and found.deg == pytest.approx(deg, abs=0.001)


def test_on_a_line_nothing_stands() -> None:
    assert reserve(((0, 0), (500, 0)), (100, 0), 500) is None
    assert worst((((0.0, 0.0), (500.0, 0.0)),), (CG,), 0.0) == (None, None)


# --- what a gear stands on --------------------------------------------------------------------------------


def test_a_narrow_truck_is_a_triangle_that_narrows_towards_the_handle() -> None:
    level, falling = reserve(narrow(), (500, 0), 966), reserve(narrow(), (500, 0), 966, 1 / 15)
    assert level is not None and falling is not None
    assert level.inside_mm == pytest.approx(72.03, abs=0.01)
    assert (level.deg, falling.deg) == pytest.approx((4.265, 0.451), abs=0.001)


def test_steering_wheels_on_a_stiff_axle_are_two_points() -> None:
    level, falling = reserve(narrow(120), (500, 0), 966), reserve(narrow(120), (500, 0), 966, 1 / 15)
    assert level is not None and falling is not None
    assert level.inside_mm == pytest.approx(98.86, abs=0.01)
    assert (level.deg, falling.deg) == pytest.approx((5.843, 2.029), abs=0.001)


def test_it_is_the_rollers_that_count_and_not_the_tips_of_the_forks() -> None:
    beyond, within = reserve(WIDE.polygon, (1050, 0), 966), reserve(WIDE.polygon, (900, 0), 966)
    assert beyond is not None and beyond.inside_mm == pytest.approx(-75) and beyond.deg < 0
    assert within is not None and within.deg == pytest.approx(4.440, abs=0.001)


@pytest.mark.parametrize(("aside", "inside"), [(150, -25.88), (100, 23.36)])
def test_beside_the_middle_half_the_track_there_counts(aside: float, inside: float) -> None:
    found = reserve(WIDE.polygon, (600, aside), 966)
    assert found is not None and found.inside_mm == pytest.approx(inside, abs=0.01)


def test_what_rollers_and_steering_wheels_bear_by_moments() -> None:
    kg = [r.most * 1660 for r in WIDE.bears((500, 60))]
    whole = 1660.0
    x = 600 / 1075
    assert sum(kg) == pytest.approx(whole)
    assert kg[1] + kg[2] == pytest.approx(whole * x)
    assert kg[2] - kg[1] == pytest.approx(-whole * 60 / 190)  # moments about the middle line


def test_any_one_of_four_skates_may_bear_the_most_of_every_way_to_stand() -> None:
    four = pads([(-400, -300), (400, -300), (400, 300), (-400, 300)])
    kg = [r.most * 1900 for r in four.bears((CG.x_mm, 0))]
    assert sorted(kg) == pytest.approx([721.0, 721.0, 950.0, 950.0], abs=0.1)


def test_three_skates_bear_by_barycentric_coordinates() -> None:
    kg = [r.most * MASS for r in pads(T3).bears((CG.x_mm, 0))]
    assert kg == pytest.approx([1109.6, 395.2, 395.2], abs=0.1)
    assert next(r.most * 1660 for r in pads(T3).bears((20, 0))) == pytest.approx(820.2, abs=0.1)


def test_swivel_castors_turn_inwards_and_each_bears_a_third_at_least() -> None:
    """Castor makers: divide by three, not by four."""
    four = [(-400.0, -250.0), (400.0, -250.0), (400.0, 250.0), (-400.0, 250.0)]
    found = reserve(castors(four, 40).polygon, (0, 60), 700)
    stems = reserve(four, (0, 60), 700)
    assert found is not None and stems is not None
    assert found.deg == pytest.approx(12.095, abs=0.001)
    assert stems.deg == pytest.approx(15.186, abs=0.001)
    assert all(r.most * 1230 >= 410 for r in castors(four, 40).bears((0, 60)))


@pytest.mark.parametrize(("jacks", "kg"), [(1, 1048.0), (2, 524.0)])
def test_what_a_toe_jack_bears_by_moments_about_the_feet_left_down(jacks: int, kg: float) -> None:
    assert jack_bears_kg(1900, 96.421, 500, -400, jacks) == pytest.approx(kg, abs=0.1)


@pytest.mark.parametrize(
    ("jacks", "inside", "level"),
    [(((500.0, 0.0),), 127.6, 8.287), (((500.0, -250.0), (500.0, 250.0)), 272.0, 17.246)],
)
def test_raised_on_jacks_it_stands_on_them_and_the_feet_left_down(
    jacks: tuple[tuple[float, float], ...], inside: float, level: float
) -> None:
    found = reserve((*jacks, (-400.0, -300.0), (-400.0, 300.0)), (CG.x_mm, 0), CG.z_mm)
    assert found is not None
    assert found.inside_mm == pytest.approx(inside, abs=0.1)
    assert found.deg == pytest.approx(level, abs=0.002)
    if len(jacks) == 1:
        falling = reserve((*jacks, (-400.0, -300.0), (-400.0, 300.0)), (CG.x_mm, 0), CG.z_mm, 1 / 25)
        assert falling is not None and falling.deg == pytest.approx(5.996, abs=0.001)


@pytest.mark.parametrize(("up", "deg"), [(300, 33.69), (250, 29.05)])
def test_the_angle_of_slings_from_hook_and_points(up: float, deg: float) -> None:
    assert sling_deg(900, up) == pytest.approx(deg, abs=0.01)


# --- measuring --------------------------------------------------------------------------------------------


def test_the_height_of_the_centre_of_gravity_flips_it() -> None:
    """1 in 15 on the narrow truck: 1.231, 0.451 and -0.121 at heights of 816, 966 and 1116 mm."""
    for height, deg in ((816, 1.231), (966, 0.451), (1116, -0.121)):
        found = reserve(narrow(), (500, 0), height, 1 / 15)
        assert found is not None and found.deg == pytest.approx(deg, abs=0.001)
    least, most = worst((narrow(),), (Centre(500, 0, 816), Centre(500, 0, 1116)), 0.0, 1 / 15)
    assert least is not None and most is not None and least.deg < 0 < most.deg
    assert Support(0, 0).name == ""


# --- heights, crests --------------------------------------------------------------------------------------


def test_a_beam_over_a_sill_leaves_less_than_is_certain() -> None:
    """Beam 1750, sill 45, thing 1700, each +- 5: carried 45 to 50, 5 to spare and 15 uncertain."""
    found = band(1750, 1700, 45, 5)
    assert (found.lowest_mm, found.highest_mm) == (45, 50)
    assert (found.spare_mm, found.uncertain_mm) == (5, 15)
    free = band(1750, 1700, 0, 5)
    assert (free.spare_mm, free.uncertain_mm) == (50, 10)


def test_on_a_slope_the_top_corner_is_higher() -> None:
    """1870 high and 1250 long on 1 in 8: H cos t + L sin t = 2010.6."""
    assert tilted_mm(1870, 1250, 1 / 8) == pytest.approx(2010.6, abs=0.1)


@pytest.mark.parametrize(("run", "rise"), [(8, 21.88), (12, 14.58)])
def test_fork_tips_at_the_foot_of_a_slope(run: float, rise: float) -> None:
    """175 mm beyond the rollers: o tan t."""
    assert foot_mm(175, 1 / run) == pytest.approx(rise, abs=0.01)


def test_a_crest_comes_up_between_the_wheels() -> None:
    """A chord of the wheelbase over a corner: its middle lies (b/2) tan(t/2) below the corner."""
    b, t = 1000.0, math.radians(10)
    corner = (b / 2) / math.cos(t / 2)  # along the slope from each wheel to the corner
    assert crest_mm(b / 2, b / 2, math.tan(t)) == pytest.approx(corner * math.sin(t / 2), rel=1e-9)


@pytest.mark.parametrize(("truck_kg", "newtons", "at_least"), [(None, 39.24, True), (90.0, 56.90, False)])
def test_a_truck_that_is_not_weighed_makes_it_at_least(
    truck_kg: float | None, newtons: float, at_least: bool
) -> None:
    # derived: m g mu, 200 kg and the truck on 2 % (HSE L23), g = 9.81
    load = SimpleNamespace(mass_kg=200.0, most_kg=200.0)
    gear = SimpleNamespace(mass_kg=truck_kg, kind="pallet truck")
    leg = SimpleNamespace(heading_deg=0.0, length_mm=1000.0, fall=0.0, room=SimpleNamespace(even=None))
    found = force_on(load, gear, leg)  # type: ignore[arg-type]
    assert found is not None and found.steady_n == pytest.approx(newtons, abs=0.03)
    assert found.at_least is at_least and found.words.startswith("at least") is at_least


def test_rollers_and_runners_are_under_what_stands_not_under_what_overhangs() -> None:
    """A base of 1000 on four rollers, a head 300 beyond it 1165 high: the last rollers are a pitch of 250 in
    from the ends of the base, so a centre of gravity 200 out is 50 from the edge (not 125 and more).
    """
    base = ((-500.0, -350.0), (500.0, -350.0), (500.0, 350.0), (-500.0, 350.0))
    whole = (*base[:1], (500.0, -350.0), (800.0, -150.0), (800.0, 150.0), *base[2:])
    load = Load("it", whole, 1400.0, 1200.0, cg_mm=(200.0, 0.0), flat_base=True, runners_mm=700.0, own=base)
    rollers = Gear("r", "the rollers", "rollers and bar", 3000.0, count=4, height_mm=48.0)
    (stance,) = judge_gear(rollers, load).stances
    assert max(x for x, _ in stance.polygon) == pytest.approx(250)
    level = reserve(stance.polygon, (200.0, 0.0), 900.0)
    assert level is not None and level.deg == pytest.approx(math.degrees(math.atan(50 / 900)))
    assert max(x for x, _ in load.stands_at) == 500


@pytest.mark.parametrize(
    ("runs", "up", "share"),
    [
        (((450.0, 450.0),), 450.0 * math.tan(math.radians(60)), 1.155 / 2),  # printed sling tables: 1.155
        (((450.0, 450.0),), 450.0, 1.414 / 2),
        (((360.0, 640.0),), 1600.0, 0.64 * math.hypot(360, 1600) / 1600),  # 9.65 of 14.71 kN, not 7.71
        (((640.0, 360.0), (500.0, 500.0)), 1600.0, 0.64 * math.hypot(360, 1600) / 1600),
        (((0.0, 1000.0),), 1600.0, 1.0),  # all of it straight down on one
    ],
)
def test_of_two_slings_the_nearer_to_the_centre_of_gravity_bears_more(
    runs: tuple[tuple[float, float], ...], up: float, share: float
) -> None:
    """Moments about the hook: upright each bears by how far the other is, b / (a + b), along itself more."""
    assert sling_share(runs, up) == pytest.approx(share, rel=5e-4)
