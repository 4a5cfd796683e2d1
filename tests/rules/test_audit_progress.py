"""How far an audit is, and stopping it."""

from datetime import date

import pytest
from building import Pile, box, shop, zone

from shopbins.rules.auditing import AuditStopped, audit
from shopbins.scene.scene import Scene
from shopbins.shop.model import Room


@pytest.fixture
def cluttered() -> Scene:
    """Six things on top of each other by a bench: enough findings to ask in between."""
    there = shop(
        rooms=[Room("hall", "hall", box(0, 0, 6000, 4000))], zones=[zone("bench", (0, 0), (1500, 700))]
    )
    pile = Pile()
    for number in range(6):
        pile.add(f"g{number}", size=(600, 500, 400), where=pile.at(2000.0 + number * 50, 2000.0))
    return pile.scene(there)


def test_the_share_grows_to_the_whole_and_changes_nothing_found(cluttered: Scene) -> None:
    shares: list[float] = []

    def heard(share: float) -> bool:
        shares.append(share)
        return True

    day = date(2026, 3, 1)
    assert audit(cluttered, day, heard) == audit(cluttered, day)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0 and shares[0] < 0.1


def test_it_stops_at_once_when_nobody_wants_it(cluttered: Scene) -> None:
    asked = []

    def heard(share: float) -> bool:
        asked.append(share)
        return len(asked) < 3

    with pytest.raises(AuditStopped):
        audit(cluttered, date(2026, 3, 1), heard)
    assert len(asked) == 3
