"""Loads on floors against unit conversions worked by hand and the codes' figures.

EN 1991-1-1 and ASCE 7 values are from memory; that a concentrated load is a check of its own, not added, too.
British practice for workshops, 5.0 kN/m2 and 4.5 kN, was read.
"""

from __future__ import annotations

import pytest

from shopbins.moves.floorload import (
    Contact,
    blocks,
    floor_findings,
    mass_per_m2,
    spread_mm2,
    weight_kn,
    wheels,
)
from shopbins.moves.gear import judge_gear
from shopbins.moves.load import Load
from shopbins.moves.supports import Support, stand
from shopbins.rules.load import area_load_kn_m2
from shopbins.shop.model import Gear, Room
from shopbins.units import parse_area_load

PALLET = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 800.0), (0.0, 800.0))


def room(area: float | None = 5.0, point: float | None = 4.5) -> Room:
    return Room("hall", "the hall", PALLET, floor_load_kn_m2=area, point_load_kn=point)


def test_a_pallet_of_800_kg_weighs_7_8_kn() -> None:
    assert weight_kn(800) == pytest.approx(7.848, abs=0.05)


def test_125_psf_in_kg_per_m2() -> None:
    # ASCE 7, light manufacturing: 125 psf.
    assert mass_per_m2(parse_area_load("125 psf")) == pytest.approx(610.30, abs=0.01)
    assert mass_per_m2(1.0) == pytest.approx(101.97, abs=0.01)


def test_1200_kg_on_a_pallet_are_too_much_for_5_kn_per_m2() -> None:
    assert area_load_kn_m2(1200, 1.2e3 * 0.8e3) == pytest.approx(12.26, abs=0.01)
    found = floor_findings(Load("the crate", PALLET, 900, 1200), [room()], [])
    stops = [f for f in found if f.grade == "stop"]
    assert [f.rule for f in stops] == ["move-floor-load"]
    assert stops[0].measured == pytest.approx(12.26, abs=0.01)
    assert stops[0].limit == 5.0
    assert "2.35 m2" in stops[0].remedy  # 11.768 kN over 5 kN/m2
    assert spread_mm2(1200, 5.0) / 1e6 == pytest.approx(11.768 / 5, abs=1e-3)


@pytest.mark.parametrize(("mass", "grade"), [(489, None), (490, "stop")])
def test_the_mean_load_at_its_limit(mass: float, grade: str | None) -> None:
    # 5 kN/m2 over 0.96 m2 is 4.8 kN, 489.46 kg.
    found = floor_findings(Load("it", PALLET, 900, mass), [room()], [Contact("foot", 100, 100)])
    assert [f.grade for f in found] == ([] if grade is None else [grade])


@pytest.mark.parametrize(
    ("least", "most", "grade"), [(458, 458, None), (400, 459, "correct"), (459, 900, "stop")]
)
def test_one_contact_is_compared_by_itself(least: float, most: float, grade: str | None) -> None:
    # 4.5 kN is 458.87 kg.
    found = floor_findings(Load("it", PALLET, 900, 480), [room()], [Contact("foot", least, most)])
    assert [(f.rule, f.grade) for f in found] == ([] if grade is None else [("move-point-load", grade)])


def test_unknown_floors_and_masses_are_said() -> None:
    found = floor_findings(Load("it", PALLET, 900, 100), [room(None, None)], [Contact("foot", 25, 50)])
    assert [(f.rule, f.grade) for f in found] == [("move-floor-load", "note"), ("move-point-load", "note")]
    assert all("not known" in f.text for f in found)
    found = floor_findings(Load("it", PALLET, 900, None), [room()], [])
    assert all(f.grade == "note" and "not judged" in f.text for f in found)
    assert len(found) == 2
    found = floor_findings(Load("it", PALLET, 900, 100, not_weighed=3), [room()], [Contact("foot", 25, 50)])
    assert all(f.grade == "note" and "3 not weighed" in f.text for f in found)
    assert len(found) == 2


def test_blocks_bear_what_moments_give_and_press_on_what_touches() -> None:
    three = [Support(0, 0, "a", 10_000.0), Support(1000, 0, "b", 10_000.0), Support(500, 800, "c", 10_000.0)]
    found = blocks(stand(three, (450, 200)), 2000)
    assert [c.most_kg for c in found] == pytest.approx([850, 650, 500])
    assert found[0].pressure_n_mm2 == pytest.approx(850 * 9.80665 / 10_000)


def test_the_wheel_of_a_truck_bears_between_an_even_share_and_half() -> None:
    truck = Gear("t", "the truck", "pallet truck", 2000.0, 70.0, wheels=4, over_forks_mm=540.0)
    (one,) = wheels(judge_gear(truck, Load("it", PALLET, 900, 930)))
    assert (one.least_kg, one.most_kg) == (250, 500)
    said = Gear("t", "the truck", "pallet truck", 2000.0, 70.0, wheels=4, wheel_load_kg=700.0)
    (one,) = wheels(judge_gear(said, Load("it", PALLET, 900, 965)))
    assert one.most_kg == pytest.approx(700 / 2)
    assert wheels(judge_gear(truck, Load("it", PALLET, 900, None))) == ()


def test_each_skate_bears_what_statics_gives() -> None:
    from shopbins.moves.forks import Foot

    feet = (Foot(0, 0, name="a"), Foot(1000, 0, name="b"), Foot(500, 800, name="c"))
    skates = Gear("s", "the skates", "skates", capacity_kg=1000.0, count=3, height_mm=110.0)
    found = wheels(judge_gear(skates, Load("it", PALLET, 900, 2000, cg_mm=(450, 200), feet=feet)))
    assert {c.name: c.most_kg for c in found} == pytest.approx({"a": 850, "b": 650, "c": 500})
