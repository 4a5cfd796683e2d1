"""What is rejected lies apart. ISO 9001:2015, 8.7.1: segregation of what does not conform [from memory]."""

from __future__ import annotations

from dataclasses import replace

import pytest
from building import Pile, gaps, grades, of, shop, zone

from shopbins.ledger.model import InGroup, InZone

RACK = zone("rack", (0, 0), (1500, 500))
CAGE = replace(zone("cage", (3000, 0), (1500, 500)), quarantine=True)


def pile(where: str, **more: str) -> Pile:
    """A rejected bush in a tub, in a place."""
    found = Pile()
    found.add("tub", InZone(where), counted="never")
    found.add("bush", InGroup("tub"), **more)
    found.more["inspection"] = {
        "1": {"group": "bush", "what": "face", "measured": "cracked", "verdict": "beyond"}
    }
    return found


def test_among_what_is_not_it_is_to_fix_with_the_place_for_it() -> None:
    there = shop(zones=[RACK, CAGE])
    (found,) = of(there, "quarantine", pile("rack"))
    assert found.grade == "correct" and found.subjects == ("group:BUSH", "zone:rack")
    assert found.remedy == "put it in cage" and found.text.startswith("bush is rejected: face cracked")
    assert grades(there, "quarantine", pile("cage")) == []


@pytest.mark.parametrize(("disposition", "found"), [("undecided", ["correct"]), ("scrap", [])])
def test_a_good_part_does_not_lie_there_but_what_goes_for_good_may(
    disposition: str, found: list[str]
) -> None:
    good = Pile()
    good.add("nut", InZone("cage"), disposition=disposition)
    assert grades(shop(zones=[RACK, CAGE]), "quarantine", good) == found


def test_where_no_place_is_for_it_that_is_said_of_each_rejected_part() -> None:
    assert gaps(shop(zones=[RACK]), "quarantine", pile("rack")) == ["missing"]
    good = Pile()
    good.add("nut", InZone("rack"))
    assert of(shop(zones=[RACK]), "quarantine", good) == []
