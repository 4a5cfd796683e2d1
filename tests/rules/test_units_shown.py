"""Inches, feet and pounds where the shop is shown so, with mm and kg in brackets in findings."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest
from building import Pile, box, shop

from shopbins.rules.auditing import audit
from shopbins.shop.model import KeepClear
from shopbins.units import show_in, show_length, show_lengths, show_mass, show_volume


@pytest.fixture(autouse=True)
def in_us() -> Iterator[None]:
    show_in("us")
    yield
    show_in("metric")


def test_where_nobody_says_otherwise() -> None:
    assert show_length(914.4) == "3 ft" and show_length(914.4, us=False) == "914 mm"
    assert show_mass(45.359237) == "100 lb"
    assert show_volume(18.92705892) == "5 gal"  # the US gallon is 231 cubic inches
    assert show_volume(0.473176473) == "1 pt" and show_volume(3.785411784) == "1 gal"
    assert show_lengths(711.2, 711.1) == ("28 in", "27.996 in")
    show_in("metric")
    assert (show_length(914.4), show_mass(20)) == ("914 mm", "20 kg")


def test_a_finding_has_both() -> None:
    panel = KeepClear("p", "the panel", "hall", box(3000, 0, 4000, 900), "switchgear", volts=120)
    there = shop(keep_clear=[panel], rules="us", units="us")
    (found,) = [f for f in audit(Pile().scene(there), date(2026, 3, 1)) if f.rule == "electrical-depth"]
    assert "2 ft 11 7/16 in (900 mm) deep" in found.text and "3 ft (914 mm)" in found.text
    assert (found.measured, found.limit, found.unit) == (900, 914.4, "mm")  # figures for programs stay metric
