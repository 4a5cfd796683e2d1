"""What is said of the leaves of the doors on a way, and of where a part is laid that comes off first."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from building import Pile, shop, zone

from shopbins.answer import Verdict
from shopbins.ledger.model import InZone
from shopbins.moves.finding import row_of
from shopbins.moves.steps import _laid_on
from shopbins.moves.ways_out import leaves
from shopbins.shop.model import Door, Level


def door(key: str, opens: str) -> Door:
    jambs = ((0.0, 0.0), (0.0, 1000.0))
    return Door(key, f"the {key}", "hall", "outside", jambs, 950.0, 2000.0, opens, (), opens_deg=100.0)  # type: ignore[arg-type]


def test_what_is_done_with_each_leaf_is_said_and_only_a_leaf_that_can_hurt_is_a_condition() -> None:
    doors = [door("gate", "hinged"), door("flap", "up-and-over"), door("slide", "sliding"),
             door("gap", "open"), door("hatch", "hinged")]  # fmt: skip
    off, scene = SimpleNamespace(leaves_off=("hatch",)), SimpleNamespace(shop=shop())
    it = SimpleNamespace(doors=doors, subjects=("group:X",), attempt=off, scene=scene)
    said = {part.subjects[-1]: (part.verdict, row_of(part).finding.text) for part in leaves(it)}  # type: ignore[arg-type]
    assert said == {
        "door:gate": (Verdict.YES, "the gate hooked or wedged open to 100 deg"),
        "door:flap": (Verdict.ASKED, "the leaf of the flap is propped: it must not come down on anybody"),
        "door:slide": (Verdict.YES, "the slide slid all the way and kept there"),
        "door:hatch": (
            Verdict.ASKED,
            "the leaf of the hatch (not weighed) off its hinges first (50 mm), 2 people or more, by its "
            "weight, and back on after; where it (1000 mm by 2000 mm) lies, off the way and the "
            "ways out, is looked at",
        ),
    }  # fmt: skip
    it.attempt = None
    assert [part.verdict for part in leaves(it)] == [Verdict.YES, Verdict.ASKED, Verdict.YES, Verdict.YES]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kg", "verdict", "words"),
    [
        (35.0, Verdict.ASKED, "leaf of the hatch off, 2 people"),
        (95.0, Verdict.ASKED, "leaf of the hatch off, 3 people, red by HSE MAC, team handling"),
        (126.0, Verdict.NO, None),
        (None, Verdict.ASKED, "leaf of the hatch weighed, then off"),
    ],
)
def test_who_takes_a_leaf_off_goes_by_its_mass(kg: float | None, verdict: Verdict, words: str | None) -> None:
    """HSE MAC, team handling (from memory): green to 35 kg for two, purple above 125 for three."""
    hatch = replace(door("hatch", "hinged"), leaf_kg=kg)
    off, scene = SimpleNamespace(leaves_off=("hatch",)), SimpleNamespace(shop=shop())
    it: Any = SimpleNamespace(doors=[hatch], subjects=("group:X",), attempt=off, scene=scene)
    (part,) = leaves(it)
    assert part.verdict is verdict and words in (None, part.text)


def test_where_a_part_is_laid_is_said_by_its_level_or_where_on_the_floor() -> None:
    rack = zone("rack", (0, 0), (1800, 500), kind="shelf", levels=[Level("1", 100), Level("2", 900)])
    scene = Pile().scene(shop(zones=[rack]))
    said = [_laid_on(scene, each) for each in (
        InZone("rack", "2"), InZone("hall"), InZone("hall", "", 1234.4, 567.6), InZone("gone", "1"),
    )]  # fmt: skip
    bed = zone("bed", (500, 700), (3000, 2500), turn=90)  # a quarter turn: its x is up, its y to the left
    spot = InZone("bed", "", 750, 100)
    assert _laid_on(Pile().scene(shop(zones=[bed])), spot) == "the floor of bed at 400,1450"
    assert said == [
        "rack/2",
        "the floor of the hall",
        "the floor of the hall at 1234,568",
        "gone/1",
    ]
