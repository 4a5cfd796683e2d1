"""A dip that takes the tilt left, against what a floor has that is not even: span x tan(tilt left)."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.moves.finding import row_of
from shopbins.moves.standing import uneven
from shopbins.moves.tipping import Reserve
from shopbins.shop.model import Room


@pytest.mark.parametrize(("even", "deg", "words"), [
    (False, 2.7, "boards all along yard: 18 mm dip tips"), (True, 2.7, ""), (False, -1.0, ""),
    (None, 2.7, "looked at: no 18 mm dip in yard"), (False, 4.52, ""),
    (False, 4.51, "boards all along yard: 30 mm dip tips"),
])  # fmt: skip
def test_a_small_dip_counts_where_a_floor_is_not_told_to_be_even(
    even: bool | None, deg: float, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rollers 380 mm apart: 380 x tan 2.7 deg = 17.9 mm; 30 mm (own figure) are 4.514 deg."""
    edge = ((0.0, 0.0), (1000.0, 0.0))
    left = Reserve(deg, 52.3, edge, -90.0, None, 1110.0)
    monkeypatch.setattr("shopbins.moves.standing.reserve_of", lambda *_asked: (left, left))
    leg = SimpleNamespace(room=Room("yard", "yard", (), even=even), slope=None, downhill=None)
    stance = SimpleNamespace(polygon=(*edge, (1000.0, 380.0), (0.0, 380.0)), on_it=())
    it: Any = SimpleNamespace(
        kind="pallet truck", legs=(leg, leg), gear=SimpleNamespace(stances=(stance,)), name="cabinet",
        own={"dip on uneven": 30.0}, subjects=("group:X",),
    )  # fmt: skip
    parts = list(uneven(it))
    assert [(part.verdict, part.text) for part in parts] == ([(Verdict.ASKED, words)] if words else [])
    assert all(row_of(part).finding.limit == 30.0 for part in parts)
