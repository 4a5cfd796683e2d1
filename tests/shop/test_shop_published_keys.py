"""The keys that published rules need: volts and what is opposite of a keep-clear, the work of a bench."""

from __future__ import annotations

import pytest

from shopbins.shop.problems import ShopProblems
from shopbins.shop.reader import parse

HEAD = "shop: My shed\nprefix: MS\nrooms:\n  shed: {at: [0, 0], size: [6000, 4000]}\n"
SPACE = "keep clear:\n  board: {{room: shed, at: [0, 0], size: [900, 1000], why: switchgear, {}}}\n"
BENCH = "zones:\n  b: {{room: shed, kind: bench, at: [0, 0], size: [900, 600], height: 900, {}}}\n"


@pytest.mark.parametrize("written", ["230", "230 V", "230V"])
def test_volts_and_what_is_opposite(written: str) -> None:
    clear = parse(HEAD + SPACE.format(f"volts: {written}, opposite: grounded"), "shop.yaml").keep_clear[
        "board"
    ]
    assert (clear.volts, clear.opposite) == (230.0, "grounded")


def test_without_them_they_are_unknown() -> None:
    clear = parse(HEAD + SPACE.format("note: old"), "shop.yaml").keep_clear["board"]
    assert (clear.volts, clear.opposite) == (None, None)


def test_the_work_of_a_bench() -> None:
    assert parse(HEAD + BENCH.format("work: heavy"), "shop.yaml").zones["b"].work == "heavy"


def test_how_an_extinguisher_hangs() -> None:
    written = "mounted: {top: 5 ft, bottom: 0, mass: 30 lb}"
    hung = parse(HEAD + SPACE.format(written), "shop.yaml").keep_clear["board"].mounted
    assert hung is not None
    assert (hung.top_mm, hung.bottom_mm) == (1524.0, 0.0)
    assert hung.mass_kg == pytest.approx(13.6078, abs=1e-4)


def test_how_many_people() -> None:
    assert parse(HEAD + "limits: {people: 61}\n", "shop.yaml").limits.people == 61
    assert parse(HEAD, "shop.yaml").limits.people is None


@pytest.mark.parametrize("written", ["0", "-3", "2.5", "many", "012"])
def test_no_number_of_people(written: str) -> None:
    with pytest.raises(ShopProblems, match=r"shop.yaml:5:18: '.*' is no number of people"):
        parse(HEAD + f"limits: {{people: {written}}}\n", "shop.yaml")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (SPACE.format("mounted: {top: 1 m, bottom: 1 m}"), "the lower edge is not below the top"),
        (SPACE.format("mounted: {tip: 1 m}"), "did you mean 'top'?"),
        (SPACE.format("mounted: 1 m"), "'mounted' is a mapping"),
        (SPACE.format("volts: lots"), "'lots' is no voltage (volts to ground, like 230 or 230 V)"),
        (SPACE.format("volts: -5"), "'-5' is no voltage"),
        (SPACE.format("volts: 0"), "'0' is no voltage"),
        (SPACE.format("opposite: brick"), "'brick' is not one of 'nothing', 'grounded' or 'live'"),
        (BENCH.format("work: hevy"), "did you mean 'heavy'?"),
    ],
)
def test_what_is_wrong_is_said_at_its_place(text: str, said: str) -> None:
    with pytest.raises(ShopProblems) as caught:
        parse(HEAD + text, "shop.yaml")
    assert "shop.yaml:6:" in str(caught.value)
    assert said in str(caught.value)
