"""Two masses or forces of a 'no' never read alike where they differ."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.moves import fits, lifting, pressing
from shopbins.moves.pressing import G, _takes_kn, ratings
from shopbins.moves.shares import OneBears
from shopbins.rules.covers import Cover
from shopbins.rules.say import forces_apart, masses_apart
from shopbins.shop.model import Gear


@pytest.mark.parametrize(("pair", "said"), [
    (masses_apart(1000.4, 1000.0), ("1000.4 kg", "1000.0 kg")),
    (masses_apart(900.0, 600.0), ("900 kg", "600 kg")),
    (forces_apart(7.8424, 7.84), ("7.842 kN", "7.840 kN")),
    (forces_apart(9.12, 7.85), ("9.12 kN", "7.85 kN")),
])  # fmt: skip
def test_a_figure_and_its_limit_read_apart(pair: tuple[str, str], said: tuple[str, str]) -> None:
    assert pair == said


def test_each_no_about_a_plate_says_both_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.4 kg over what a wheel, a skate and the toe of a jack are for."""
    skates = Gear("g", "the gear", "trolley", capacity_kg=1000.0, wheel_rating_kg=1000.0)
    it: Any = SimpleNamespace(
        gear=SimpleNamespace(gear=skates), kind="trolley", subjects=("group:X",), name="mill",
        load=SimpleNamespace(under_mm=100.0, jacking=(), feet=(), cg_told=True),
        body=SimpleNamespace(parts=()),
    )  # fmt: skip
    monkeypatch.setattr(pressing, "wheel_range_kg", lambda _it: (1000.4, 1000.4, "castor 1"))
    (wheel,) = ratings(it)
    monkeypatch.setattr(fits, "one_bears", lambda _it: OneBears(1000.4, 1000.4, "skate 1", 3))
    skate = next(fits._skates(it, 1000.0))
    monkeypatch.setattr(lifting, "end_kg", lambda *_asked: 1000.4)
    toe = lifting._on_toe(it, Gear("j", "the jack", "toe jack", toe_kg=1000.0, count=2), 2000.0)
    for part in (wheel, skate, toe):
        assert part.verdict is Verdict.NO and "1000.4 kg" in part.text and "1000.0 kg" in part.text


@pytest.mark.parametrize(("klass", "load_kg", "takes"), [
    ("A15", None, 1.5), ("a 15", 900.0, 1.5), ("B125", None, 125.0), ("", 800.0, 800 * G), ("", None, None),
])  # fmt: skip
def test_a_cover_takes_as_much_under_a_wheel_as_under_a_jack(
    klass: str, load_kg: float | None, takes: float | None
) -> None:
    """One judgement: class A15 is for people on foot and cycles (EN 124-1:2015), 150 kg (own figure)."""
    cover = Cover("opening:lid", "lid", "b", (), load_kg, klass)
    it: Any = SimpleNamespace(own={"cover of test": 0.33})
    assert _takes_kn(it, cover) == (takes if takes is None else pytest.approx(takes))
