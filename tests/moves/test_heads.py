"""Who is at work at once: at the jacks, at each winch, steering, guiding; against who is told of.

Common practice, no source: one at each. How many push: HSE INDG143, 100 N for a man who keeps it going.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.moves import heads
from shopbins.shop.model import Gear, Room


def situation(told: int | None, kind: str = "skates", steering: str = "axis", *, tight: bool = False) -> Any:
    team = {} if told is None else {"team": Gear("team", "team", "by hand", people=told)}
    own = {"pushers": 2}
    gear = SimpleNamespace(gear=SimpleNamespace(name=kind, kind=kind), up_mm=(110, 110), steering=steering)
    return SimpleNamespace(
        scene=SimpleNamespace(shop=SimpleNamespace(gear=team)), kind=kind, gear=gear, own=own, load=None,
        is_tight=tight, subjects=("group:X",),
    )  # fmt: skip


@pytest.mark.parametrize(("told", "kind", "found"), [
    (1, "skates", ["2 people (1 told) at jack and packing"]), (2, "skates", []), (None, "skates", []),
    (1, "pallet truck", []),
])  # fmt: skip
def test_one_jacks_and_one_packs(told: int | None, kind: str, found: list[str]) -> None:
    assert [part.text for part in heads.at_jacks(situation(told, kind))] == found


@pytest.mark.parametrize(("it", "force_n", "winches", "words"), [
    (situation(1), 303, 0, ""),  # four men or one at a winch, as `forces` says
    (situation(1, tight=True), 303, 0, "2 people (1 told) at a winch and guiding"),
    (situation(2, tight=True), 303, 0, ""),
    (situation(4, tight=True), 303, 0, "5 people (4 told) pushing and guiding"),
    (situation(2, tight=True), 150, 0, "3 people (2 told) pushing and guiding"),
    (situation(2), 150, 0, ""),
    (situation(1, steering="on the spot"), 303, 0, "2 people (1 told) at a winch and steering"),
    (situation(1, steering="on the spot", tight=True), 303, 0, "2 people (1 told) at a winch and steering"),
    (situation(2, "pallet truck", "arc", tight=True), 900, 1,
     "3 people (2 told) at a winch, steering, guiding"),
    (situation(2, "rollers and bar"), 150, 0, "3 people (2 told) pushing and laying rollers"),
    (situation(3, "rollers and bar"), 150, 0, ""),
    (situation(1), 900, 2, "2 people (1 told) at 2 winches"),
    (situation(None, tight=True), 900, 2, ""),
])  # fmt: skip
def test_who_is_at_work_at_once_along_the_way(
    it: Any, force_n: float, winches: int, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stage = SimpleNamespace(legs=(SimpleNamespace(room=Room("hall", "hall", ())),), winch_n=0.0)
    monkeypatch.setattr(heads, "stages", lambda _it: (stage,))
    monkeypatch.setattr(heads, "winches_of", lambda _it, _stage: winches)
    monkeypatch.setattr(heads, "force_on", lambda *_: SimpleNamespace(steady_n=force_n))
    assert [part.text for part in heads.on_the_way(it)] == ([words] if words else [])
