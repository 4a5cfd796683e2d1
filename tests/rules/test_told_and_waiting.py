"""What is read from few words: switchgear without volts, parts that wait, pits guarded or shallow."""

from __future__ import annotations

import pytest
from building import TODAY, Pile, box, gaps, grades, of, row, shop

from shopbins.rules.accepting import only_for_now
from shopbins.rules.auditing import audit
from shopbins.shop.model import KeepClear, Opening, Walkway

EQUIPMENT = ["load center", "load centre", "consumer unit", "disconnect", "MCC", "motor control center",
             "transformer", "isolator", "fuse board", "distribution board", "inverter", "busbar"]  # fmt: skip


@pytest.mark.parametrize("why", EQUIPMENT)
def test_a_reason_without_volts_is_asked_about(why: str) -> None:
    # 29 CFR 1910.303(g): electric equipment; the words are those of the trade (own list)
    clear = KeepClear("k", "k", "hall", box(1000, 1000, 2000, 2000), why, height_mm=2000)
    there = shop(rules="us", keep_clear=[clear])
    assert "missing" in gaps(there, "electrical-depth")
    pile = Pile()
    pile.add("crate", pile.at(1500, 1500))
    (found,) = of(there, "keep-clear", pile)
    assert found.grade == "stop" and only_for_now(there, found)
    assert "1910.303(g)(1)(ii)" in found.source


@pytest.mark.parametrize("why", ["work at the lathe", "eyewash", "the stairs"])
def test_other_reasons_are_no_switchgear(why: str) -> None:
    clear = KeepClear("k", "k", "hall", box(1000, 1000, 2000, 2000), why, height_mm=2000)
    assert row(shop(rules="us", keep_clear=[clear]), "electrical-depth").state == "not applicable"


def test_parts_that_wait_are_counted_as_not_checked() -> None:
    pile = Pile()
    for name, word in (("can", "petrol"), ("bottle", "propane"), ("jar", "spicy")):
        pile.add(name, None, cautions=[word])
    there = shop(rules="us")
    for check, things in (("apart", 2), ("liquids-open", 1), ("cylinder", 1)):
        found = row(there, check, pile)
        assert (found.state, found.things, found.judged) == ("not judged", things, 0), check
        assert "wait" in found.why
    words = row(there, "hazard-words", pile)
    assert (words.state, words.things, words.judged) == ("partly", 3, 2)
    pile.add("oxy", pile.at(1000, 1000), cautions=["peroxide"])
    assert row(there, "apart", pile).state == "partly"


def pit(**more: object) -> Opening:
    return Opening(
        "pit", "the pit", "hall", "pit", outline=box(3000, 3000, 5000, 4000), covered=False, **more
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(("more", "found", "clause"), [
    ({}, ["correct"], "(b)(8)"), ({"guarded": True}, [], ""), ({"guarded": False}, ["correct"], "(b)(8)"),
    ({"depth_mm": 1218.0}, ["note"], "(b)(3)(i)"), ({"depth_mm": 1219.2}, ["correct"], "(b)(8)"),
    ({"depth_mm": 3047.0}, ["correct"], "(b)(8)"), ({"depth_mm": 3048.0}, ["correct"], "(b)(3)"),
])  # fmt: skip
def test_a_pit_by_depth_and_guard(more: dict[str, object], found: list[str], clause: str) -> None:
    # 29 CFR 1910.28(b)(3): 4 ft; (b)(8): repair, service and assembly pits under 10 ft; from memory
    there = shop(rules="us", openings={"pit": pit(**more)})
    assert grades(there, "pit") == found
    if found:
        (each,) = of(there, "pit")
        assert each.source.endswith(clause) and "from memory" in each.text


def test_a_shallow_pit_in_a_walkway_is_a_stop() -> None:
    way = Walkway("w", "the way", ((0, 3500), (9000, 3500)), 900, rooms=("hall",))
    there = shop(rules="us", openings={"pit": pit(depth_mm=300.0)}, walkways=[way])
    assert grades(there, "pit") == ["stop"]
    assert audit(Pile().scene(there), TODAY)
