"""What the floor bears, just inside and just outside: unknown floors, furniture, small feet, whole rooms.

Weights are masses times the standard gravity 9.80665 m/s2 (ISO 80000-3), worked by hand; steel
7850 kg/m3 as in EN 1991-1-1 Annex A (from memory). 1 m2 and 150 kg are own judgement.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from building import Pile, box, gaps, grades, of, row, shop, zone

from shopbins.ledger.model import InZone
from shopbins.placing.judging import judge
from shopbins.records.moving import FIELD, At, Moving, moving_doc
from shopbins.shop.model import Fixture, Level, Room, Shop

HALL = Room("hall", "the hall", box(0, 0, 10_000, 8000), headroom_mm=3000)
FIRM = replace(HALL, floor_load_kn_m2=5.0, point_load_kn=4.5)


def on(room: Room, **more: object) -> Shop:
    return shop(rooms=[room], **more)


@pytest.mark.parametrize(("kg", "gap"), [(299.0, "keeps"), (300.0, "missing"), (2000.0, "missing")])
def test_a_floor_nobody_knows_is_not_checked(kg: float, gap: str) -> None:
    pile = Pile()
    pile.add("bed", pile.at(3000, 3000), size=(1400, 600, 900), kg=kg)
    assert gaps(on(HALL), "floor-load", pile) == [gap]
    assert row(on(HALL), "floor-load", pile).state == "not judged"
    assert row(on(HALL), "point-load", pile).state == "not judged"
    assert row(on(FIRM), "floor-load", pile).state == "judged"
    pile.add("bed", pile.at(3000, 3000), size=(1400, 600, 900), kg=152.0)  # 1.5 kN are 152.96 kg
    assert row(on(HALL), "point-load", pile).state == "judged"
    assert row(on(HALL), "floor-load", pile).state == "not judged"
    pile.add("bed", pile.at(3000, 3000), size=(1400, 600, 900), kg=kg)
    told = [f for f in judge(pile.scene(on(HALL)), "bed", pile.at(3000, 3000)) if f.rule == "floor-load"]
    assert [(f.judged, f.gap) for f in told] == ([(False, gap)] if gap == "missing" else [])
    if kg == 2000.0:
        assert "23" in told[0].text  # 19.6 kN over 0.84 m2


@pytest.mark.parametrize(("high", "found"), [(50.0, "judged"), (1000.0, "not judged")])
def test_a_thing_not_weighed_is_checked_only_as_solid_steel(high: float, found: str) -> None:
    # 1.8 x 0.7 m: 50 mm of steel are 495 kg, 3.85 kN/m2; 1 m of it 9.9 t
    pile = Pile()
    pile.add("lathe", pile.at(3000, 3000), size=(1800, 700, high), kg=None, container="crate")
    assert row(on(FIRM), "floor-load", pile).state == found
    assert gaps(on(FIRM), "floor-load", pile) == ([] if found == "judged" else ["missing"])


@pytest.mark.parametrize(("kg", "found"), [(470.0, []), (480.0, ["stop"])])
def test_a_bench_presses_with_its_own_mass_and_all_on_it(kg: float, found: list[str]) -> None:
    # 5 kN/m2 on 1.05 m2 are 535.3 kg; the bench itself 60 kg
    bench = zone("bench", (1000, 1000), (1500, 700), kind="bench", mass_kg=60.0)
    pile = Pile()
    pile.add("block", InZone("bench"), size=(600, 600, 600), kg=kg)
    assert grades(on(FIRM, zones=[bench]), "floor-load", pile) == found
    scene = pile.scene(on(FIRM, zones=[bench]))
    stops = [f for f in judge(scene, "block", InZone("bench")) if f.rule == "floor-load" and f.judged]
    assert [f.grade for f in stops] == found and all("not weighed" not in f.text for f in stops)
    pile.add("cover", InZone("bench"), kg=None)
    more = [f for f in of(on(FIRM, zones=[bench]), "floor-load", pile) if f.grade == "stop"]
    assert [("540 kg (it holds 1 not weighed), presses" in f.text) for f in more] == [True] * len(found)
    bare = on(FIRM, zones=[replace(bench, mass_kg=None)])  # more than half of what the floor takes: asked
    assert gaps(bare, "floor-load", pile) == ["missing"]


def test_a_rack_counts_all_its_levels_and_one_on_the_wall_none() -> None:
    levels = [Level("1", 100.0), Level("2", 1000.0)]
    rack = zone("rack", (1000, 1000), (1500, 600), kind="shelf", levels=levels, mass_kg=40.0)
    pile = Pile()
    pile.add("a", InZone("rack", "1"), kg=250.0)
    pile.add("b", InZone("rack", "2"), kg=250.0)
    assert grades(on(FIRM, zones=[rack]), "floor-load", pile) == ["stop"]  # 540 kg on 0.9 m2: 5.88 kN/m2
    high = replace(rack, levels=(Level("1", 1500.0), Level("2", 1900.0)))
    assert of(on(FIRM, zones=[high]), "floor-load", pile) == []


@pytest.mark.parametrize(("kg", "found"), [(642.0, []), (643.0, ["stop"])])
def test_a_fixture_presses_too(kg: float, found: list[str]) -> None:
    # 5 kN/m2 on 1.8 x 0.7 m are 642.4 kg
    lathe = Fixture("lathe", "the lathe", "hall", box(1000, 1000, 2800, 1700), top_mm=1300, mass_kg=kg)
    assert grades(on(FIRM, fixtures=[lathe]), "floor-load") == found
    unknown = replace(lathe, mass_kg=None)
    assert row(on(FIRM, fixtures=[unknown]), "floor-load").state == "not judged"
    hung = replace(lathe, base_mm=2000, top_mm=2500)
    assert row(on(FIRM, fixtures=[hung]), "floor-load").state == "not applicable"


@pytest.mark.parametrize(("kg", "found"), [(458.0, []), (460.0, ["stop"])])
def test_small_feet_within_the_point_load_are_a_mean_over_a_square_metre(kg: float, found: list[str]) -> None:
    # 4.5 kN are 458.9 kg: over 1 m2 less than 5 kN/m2, over its own 0.0529 m2 85 kN/m2
    pile = Pile()
    pile.add("pillar", pile.at(3000, 3000), size=(230, 230, 1500), kg=kg)
    assert grades(on(FIRM), "floor-load", pile) == found


@pytest.mark.parametrize(("kg", "found"), [(1376.0, []), (1377.0, ["stop"])])
def test_feet_told_of_bear_in_whatever_it_is_kept(kg: float, found: list[str]) -> None:
    # three feet bear a third each: 3 x 4.5 kN are 1376.6 kg
    feet = tuple(At(x, y) for x, y in ((-400, -300), (400, -300), (0, 600)))
    pile = Pile()
    at = pile.at(3000, 3000)
    told = moving_doc(Moving(cg_mm=(0.0, 0.0), feet=feet))
    pile.add("press", at, size=(1400, 1000, 1500), kg=kg, container="pallet")
    pile.groups["press"][FIELD] = told
    assert grades(on(FIRM), "point-load", pile) == found
    judged = judge(pile.scene(on(FIRM)), "press", at)
    assert [f.grade for f in judged if f.rule == "point-load" and f.judged] == found


@pytest.mark.parametrize(("kg", "thing", "fixture"), [
    (458.0, [], []), (460.0, ["note"], []), (1835.0, ["note"], []), (1836.0, ["stop"], ["stop"]),
])  # fmt: skip
def test_a_bare_thing_may_come_to_stand_on_one_support_and_what_is_built_in_does_not(
    kg: float, thing: list[str], fixture: list[str]
) -> None:
    # 4.5 kN are 458.9 kg; a quarter on each of four supports: 1835.5 kg
    pile = Pile()
    pile.add("press", pile.at(3000, 3000), size=(1400, 1000, 1500), kg=kg)
    assert grades(on(FIRM), "point-load", pile) == thing
    saw = Fixture("saw", "the saw", "hall", box(2000, 2000, 3400, 3000), top_mm=900, mass_kg=kg)
    assert grades(on(FIRM, fixtures=[saw]), "point-load") == fixture


@pytest.mark.parametrize(("kg", "found"), [(50.0, []), (152.9, []), (153.1, ["stop"])])
def test_without_a_point_load_only_what_people_carry_is_small(kg: float, found: list[str]) -> None:
    pile = Pile()  # 1.5 kN are 152.96 kg
    pile.add("bottle", pile.at(3000, 3000), size=(230, 230, 1500), kg=kg)
    assert grades(on(replace(FIRM, point_load_kn=None)), "floor-load", pile) == found


@pytest.mark.parametrize(("apart", "found"), [(2000.0, 0), (300.0, 2)])
def test_small_heavy_things_side_by_side_count_together(apart: float, found: int) -> None:
    pile = Pile()  # 2 x 3.92 kN in one square metre of 5 kN/m2
    pile.add("one", pile.at(3000, 3000), size=(250, 250, 400), kg=400.0)
    pile.add("two", pile.at(3000 + apart, 3000), size=(250, 250, 400), kg=400.0)
    assert len(grades(on(FIRM), "floor-load", pile)) == found
    stops = [
        f for f in judge(pile.scene(on(FIRM)), "two", pile.at(3000 + apart, 3000)) if f.rule == "floor-load"
    ]
    assert len(stops) == found


@pytest.mark.parametrize(("number", "found"), [(8, []), (9, ["stop"])])
def test_all_on_a_floor_together(number: int, found: list[str]) -> None:
    # 3 x 2.7 m at 2.5 kN/m2 take 2064.9 kg: eight slabs of 250 kg, not nine
    loft = Room("hall", "the loft", box(0, 0, 3000, 2700), headroom_mm=2200, floor_load_kn_m2=2.5)
    pile = Pile()
    for n in range(number):
        pile.add(f"s{n}", InZone("hall"), size=(1000, 1000, 100), kg=250.0, container="pallet")
    assert grades(on(loft), "floor-total", pile) == found
    assert [f for f in grades(on(loft), "floor-load", pile) if f == "stop"] == []
