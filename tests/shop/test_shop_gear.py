"""Gear of the shop file: values as written, what follows from others, and what is noted as wrong."""

from __future__ import annotations

import pytest

from shopbins.shop import ShopProblems, parse

HEAD = "shop: My shed\nrooms: {shed: {at: [0, 0], size: [6000, 4000]}}\ngear:\n  it: "


def gear(text: str):
    return parse(f"{HEAD}{{{text}}}\n").gear["it"]


def said(text: str) -> str:
    with pytest.raises(ShopProblems) as caught:
        parse(f"{HEAD}{{{text}}}\n", "shop.yaml")
    return str(caught.value)


def test_a_truck_as_written() -> None:
    found = gear(
        "kind: pallet truck, over forks: 540, between forks: 220, capacity: 2.2 t, wheel load: 700 kg, "
        "raised: 20 cm"
    )
    assert (found.over_forks_mm, found.fork_width_mm, found.capacity_kg) == (540, 160, 2200)
    assert (found.wheel_load_kg, found.raised_mm, found.lowered_mm, found.steering) == (700, 200, None, None)


@pytest.mark.parametrize(
    "text",
    [
        "over forks: 540, fork width: 160",
        "between forks: 220, fork width: 160",
        "over forks: 540, between forks: 220",
    ],
)
def test_the_third_width_follows_from_two(text: str) -> None:
    found = gear(f"kind: pallet truck, {text}")
    assert (found.over_forks_mm, found.between_forks_mm, found.fork_width_mm) == (540, 220, 160)


def test_reach_in_order_and_any_unit() -> None:
    found = gear("kind: engine crane, reach: {1.2 m: 700 kg, 900 mm: 1 t, 4 ft: 1000 lb}")
    assert [round(far, 1) for far, _ in found.reach] == [900, 1200, 1219.2]
    assert found.reach[0][1] == 1000


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("kind: pallet turck", "did you mean 'pallet truck'?"),
        ("capacity: 2 t", "has no 'kind'"),
        (
            "kind: skates, over forks: 540",
            "'over forks' says nothing of a gear of kind 'skates' (it is for 'pallet truck')",
        ),
        ("kind: skates, capasity: 1 t", "did you mean 'capacity'?"),
        ("kind: skates, count: 0", "is no number of things"),
        ("kind: skates, count: four", "is no number of things"),
        ("kind: skates, steering: sideways", "is not one of 'on the spot', 'radius' or 'axis'"),
        ("kind: skates, steering: axis, turning radius: 900", "steering: radius, or leave it out"),
        ("kind: pallet truck, over forks: 220, between forks: 540", "outside to outside"),
        ("kind: pallet truck, over forks: 540, between forks: 220, fork width: 200", "measure again"),
        ("kind: pallet truck, over forks: 540, fork width: 280", "wider than 540 mm over both"),
        ("kind: pallet truck, lowered: 200, raised: 85", "swapped?"),
        ("kind: engine crane, reach: {900: 500 kg, 1200: 600 kg}", "farther out a boom lifts less"),
        ("kind: engine crane, reach: 900", "'reach' is a mapping"),
        ("kind: engine crane, reach: {900: 5 m}", "where a mass is meant"),
    ],
)
def test_what_is_wrong_is_one_line(text: str, problem: str) -> None:
    words = said(text)
    assert problem in words
    assert "\n" not in words and words.startswith("shop.yaml:4:")


def test_gear_is_no_place_and_its_key_may_be_that_of_a_zone() -> None:
    parse(HEAD + "{kind: trolley}\nzones: {it: {room: shed, kind: floor, at: [0, 0], size: [500, 500]}}\n")
