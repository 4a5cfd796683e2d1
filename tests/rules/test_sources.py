"""Each set names its own documents: nothing of another country's law as the source of what is judged."""

from __future__ import annotations

import re

import pytest
from building import TODAY, Pile, box, of, shop, zone

from shopbins.rules.auditing import audit
from shopbins.rules.coverage import coverage
from shopbins.shop.model import Door, Fixture, KeepClear, Limits, Opening, Shop, Walkway


def crowded(rules: str) -> tuple[Shop, Pile]:
    """A hall in which something stands in everything."""
    door = Door(
        "out", "out", "hall", "outside", ((0.0, 3000.0), (0.0, 4000.0)), 1000, 2000, "hinged",
        box(-200, 3000, 1, 4000), swing=box(0, 3000, 1000, 4000), hand="left", swings_into="hall", exit=True,
    )  # fmt: skip
    clears = [
        KeepClear("board", "board", "hall", box(3000, 0, 3900, 900), "switchgear", volts=230),
        KeepClear("ext", "ext", "hall", box(5000, 0, 5600, 600), "extinguisher"),
    ]
    way = Walkway("way", "way", ((0, 3500), (9000, 3500)), 1000, exit_route=True, rooms=("hall",))
    pit = Opening("pit", "pit", "hall", "pit", box(7000, 3200, 7600, 3800), covered=False)
    forge = Fixture("forge", "forge", "hall", box(8000, 6000, 9000, 7000), top_mm=900, hot=True)
    pile = Pile()
    for n, (x, y) in enumerate([(500, 3500), (3400, 400), (5300, 300), (4000, 3500)]):
        pile.add(f"crate{n}", pile.at(x, y), size=(500, 500, 500), kg=50.0)
    details = {"upright": False, "chained": False}
    pile.add("gas", pile.at(7500, 6500), cautions=["acetylene"], details=details)
    whole = shop(
        rules=rules, doors=[door], keep_clear=clears, walkways=[way], openings={"pit": pit}, fixtures=[forge],
        zones=[zone("s", (0, 7000), (1000, 400))], limits=Limits(people=4),
    )  # fmt: skip
    return whole, pile


@pytest.mark.parametrize(("rules", "american"), [("us", True), ("uk", False), ("eu", False), ("own", False)])
def test_no_set_is_judged_by_the_law_of_another(rules: str, american: bool) -> None:
    there, pile = crowded(rules)
    judged = [f for f in audit(pile.scene(there), TODAY) if f.judged and f.grade != "note"]
    assert {"walkway", "keep-clear", "door-swing", "pit", "cylinder"} <= {f.rule for f in judged}
    cited = [f for f in judged if "29 CFR" in f.source or "NFPA" in f.source]
    assert bool(cited) is american
    assert all(f.source for f in judged)


@pytest.mark.parametrize(("rules", "american"), [("us", True), ("uk", False), ("eu", False), ("own", False)])
def test_what_was_looked_at_names_the_law_in_force_too(rules: str, american: bool) -> None:
    there, pile = crowded(rules)
    scene = pile.scene(there)
    rows = coverage(scene, audit(scene, TODAY))
    cited = [row.check for row in rows if "29 CFR" in row.source or "NFPA" in row.source]
    assert bool(cited) is american, cited


def test_a_whole_figure_is_told_as_one() -> None:
    there, pile = crowded("own")
    assert {repr(each.limit) for each in of(there, "walkway", pile)} == {"500"}


@pytest.mark.parametrize("rules", ["us", "uk", "eu", "own"])
def test_no_sentence_has_a_comma_twice(rules: str) -> None:
    there, pile = crowded(rules)
    for each in audit(pile.scene(there), TODAY):
        assert not re.search(r",\s*,|\s,|  |\.\.(?!,)", each.text), each.text


def test_each_wrong_of_a_cylinder_has_its_clause() -> None:
    # 29 CFR 1910.253(b)(3)(ii) valve end up; (b)(2)(ii) where they cannot be knocked over
    there, pile = crowded("us")
    (found,) = [f for f in of(there, "cylinder", pile) if f.grade == "correct"]
    assert "(b)(3)(ii)" in found.source and "(b)(2)(ii)" in found.source
