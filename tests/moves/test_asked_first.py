"""What is asked first: what is cheapest to find out for some gear, not the feet for gear that is dearer."""

from __future__ import annotations

from pathlib import Path

import pytest

from shopbins.desk import Desk
from shopbins.ledger.model import Mass, Size
from shopbins.moves.finding import row_of
from tests.moves.weir import SKATES, TRUCK, move, shop_text

DOLLY = (
    "{kind: trolley, size: [1000, 600], height: 260, capacity: 350 kg, mass: 31 kg, steering: on the spot}"
)


@pytest.mark.parametrize(
    ("gear", "asked", "named"),
    [
        ({"s": SKATES}, "where are the feet or jacking points of press?", "s"),
        ({"s": SKATES, "dolly": DOLLY}, "where are the feet of press?", "dolly"),
        (
            {"s": SKATES, "dolly": DOLLY, "truck": TRUCK},
            "the clear opening between the feet of press is not measured",
            "truck",
        ),
    ],
)
def test_a_light_thing_is_asked_what_its_nearest_gear_needs(
    tmp_path: Path, gear: dict[str, str], asked: str, named: str
) -> None:
    """120 kg that nobody told more of: a truck needs one width, a dolly its feet, skates jacking points."""
    (tmp_path / "shop.yaml").write_text(shop_text(mid="height: 2.2 m, threshold: 0", gear=gear))
    desk = Desk.open(tmp_path / "shop.yaml", by="x")
    key = desk.take("press", size=Size(600, 400, 800), mass=Mass(120)).id
    desk.put(key, "a", x_mm=1800, y_mm=2000, turn_deg=0, override="x")
    plan = move(desk)
    assert [p.text for p in plan.asks] == [asked] and plan.gear.gear.key == named
    assert plan.headline.count(asked) == 1  # though it is asked from each side
    assert all(row_of(p).ask is not None for p in plan.asks)
