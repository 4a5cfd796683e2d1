"""What is kept apart, from heat, in what and where: what an officer looks for first, in every rule set."""

from __future__ import annotations

from typing import Any

import pytest
from building import Pile, box, gaps, grades, of, row, shop, zone

from shopbins.ledger.model import InZone
from shopbins.rules import hazards
from shopbins.shop.model import Fixture, Level, Room

SETS = ("us", "uk", "eu", "own")
BIG = Room("hall", "the hall", box(0, 0, 60_000, 60_000), headroom_mm=3000)
FORGE = Fixture("forge", "the hearth", "hall", box(0, 0, 1000, 1000), base_mm=0, top_mm=900, hot=True)
UPRIGHT = {"upright": True, "chained": True, "cap": True}
GAL = 3.785411784  # litres in a US gallon (NIST Handbook 44, Appendix C)


def two(first: str, second: str, far: float = 0.0, **details: Any) -> Pile:
    """Two things so far apart, the first with these details."""
    pile = Pile()
    pile.add("a", pile.at(5000, 5000), size=(200, 200, 200), cautions=[first], details=details)
    pile.add("b", pile.at(5200 + far, 5000), size=(200, 200, 200), cautions=[second])
    return pile


def beside(far: float, caution: str, **details: Any) -> Pile:
    """One thing so far from the hearth."""
    pile = Pile()
    where = pile.at(1100 + far, 500)
    pile.add("a", where, size=(200, 200, 1500), cautions=[caution], details={**UPRIGHT, **details})
    return pile


@pytest.mark.parametrize("far", [-100.0, 0.0, 0.5, 2999.0])
def test_how_far_apart_two_are_is_measured_and_never_below_nothing(far: float) -> None:
    (found,) = (
        f for f in of(shop(rooms=[BIG]), "apart", two("oily rag", "trichloroethylene", far)) if f.judged
    )
    assert (found.measured, found.limit) == (max(0.0, far), 3000)


# --- explosives -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("rules", "word", "other"), [
    *((rules, "gunpowder", "petrol") for rules in SETS), ("own", "H201", "peroxide"),
    *(("own", "detonators", each) for each in ("LPG", "oily rags", "oxygen", "magnesium", "acid", "H260")),
])  # fmt: skip
def test_explosives_are_kept_from_every_class(rules: str, word: str, other: str) -> None:
    # UN/IMDG general segregation table 7.2.4, class 1 (from memory): the highest number with every class
    found = [f for f in of(shop(rules=rules, rooms=[BIG]), "apart", two(word, other, 9000)) if f.judged]
    assert [f.grade for f in found] == ["correct"] and "from memory" in found[0].text
    assert "cabinet" not in found[0].remedy  # no closed cabinet will do


@pytest.mark.parametrize("rules", SETS)
@pytest.mark.parametrize(("far", "found"), [(3000, 0), (2999, 1)])
@pytest.mark.parametrize("word", ["gunpowder", "magnesium swarf"])
def test_explosives_and_burning_metal_beside_a_flame(rules: str, far: float, found: int, word: str) -> None:
    # 3 m: own figure, in every set; in 'us' 35 ft, 29 CFR 1910.252(a)(2)(vii)
    there = shop(rules=rules, rooms=[BIG], fixtures=[FORGE])
    assert grades(there, "hot-work", beside(far, word)) == ["correct"] * (1 if rules == "us" else found)


# --- oxygen -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("rules", "far", "found"), [
    ("own", 2999, 1), ("own", 3000, 0), ("eu", 2999, 1), ("eu", 3000, 0), ("uk", 2999, 1), ("us", 6095, 1),
])  # fmt: skip
@pytest.mark.parametrize("other", ["petrol", "oil", "LPG"])
def test_oxygen_beside_what_burns(rules: str, far: float, found: int, other: str) -> None:
    # own figure 3 m in every set; 29 CFR 1910.253(b)(4)(iii): 20 ft; BCGA CP 44 3 m, from memory
    pile = two("oxygen", other, far)
    assert grades(shop(rules=rules, rooms=[BIG]), "oxygen", pile) == ["correct"] * found


@pytest.mark.parametrize(("other", "found"), [("wood", 0), ("acetylene", 1), ("oil", 1)])
def test_oxygen_in_use_is_not_in_storage(other: str, found: int) -> None:
    # OSHA letter of 8 July 1999; oil, and gas not in use, within 3 m: own figure
    pile = two("oxygen", other, 500, **{"in use": True})
    assert grades(shop(rules="us", rooms=[BIG]), "oxygen", pile) == ["correct"] * found


@pytest.mark.parametrize("rules", SETS)
def test_nitrous_oxide_is_kept_as_oxygen_is(rules: str) -> None:
    # H270, oxidising gas: the CLP list
    for word in ("nitrous oxide", "H270"):
        assert grades(shop(rules=rules, rooms=[BIG]), "oxygen", two(word, "petrol")) == ["correct"]
        assert gaps(shop(rules=rules), "cylinder", two(word, "sharp")) == ["missing"]


# --- cylinders --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rules", SETS)
@pytest.mark.parametrize(("word", "far", "found"), [
    ("argon", 2999, 1), ("argon", 3000, 0), ("oxygen", 200, 1), ("nitrous oxide", 200, 1), ("helium", 200, 1),
])  # fmt: skip
def test_a_cylinder_by_heat(rules: str, word: str, far: float, found: int) -> None:
    # 29 CFR 1910.253(b)(2)(i): away from radiators and other sources of heat; 3 m: own figure
    there = shop(rules=rules, rooms=[BIG], fixtures=[FORGE])
    assert grades(there, "cylinder", beside(far, word)) == ["correct"] * found


@pytest.mark.parametrize("rules", SETS)
@pytest.mark.parametrize(("word", "found"), [("propane", "correct"), ("argon", "")])
def test_gas_in_a_closed_cabinet(rules: str, word: str, found: str) -> None:
    # 29 CFR 1910.253(b)(2)(ii): not in unventilated enclosures such as lockers and cupboards
    cabinet = zone("c", (0, 0), (1000, 500), kind="shelf", levels=[Level("1", 300)], cabinet=True)
    pile = Pile()
    pile.add("a", InZone("c", "1"), cautions=[word], details=UPRIGHT)
    found = found or ("correct" if rules == "us" else "note")
    assert grades(shop(rules=rules, zones=[cabinet]), "cylinder", pile) == [found]


def test_no_remedy_sends_a_gas_into_a_cabinet() -> None:
    for words in (("propane", "petrol"), ("petrol", "propane"), ("propane", "peroxide")):
        (found,) = of(shop(rules="us"), "apart", two(*words))
        assert "cabinet" not in found.remedy or "never the gas" in found.remedy
    cabinet = zone("c", (0, 0), (1000, 500), kind="shelf", levels=[Level("1", 300)], cabinet=True)
    pile = Pile()
    pile.add("gas", InZone("c", "1"), cautions=["propane"])
    pile.add("can", pile.at(5000, 5000), cautions=["petrol"])
    assert grades(shop(rules="own", zones=[cabinet]), "apart", pile) == ["correct"]


@pytest.mark.parametrize("rules", SETS)
@pytest.mark.parametrize("word", ["propane", "acetylene", "argon"])
def test_a_cylinder_told_as_lying(rules: str, word: str) -> None:
    # 29 CFR 1910.253(b)(3)(ii): acetylene valve end up; other gases: common practice, no source
    pile = Pile()
    details = {**UPRIGHT, "upright": False}
    pile.add("a", pile.at(5000, 5000), cautions=[word], details=details)
    assert grades(shop(rules=rules), "cylinder", pile) == ["correct"]


def test_whether_a_bottle_of_liquefied_gas_stands_is_asked() -> None:
    pile = Pile()
    pile.add("a", pile.at(5000, 5000), cautions=["propane"], details={"chained": True, "cap": True})
    assert gaps(shop(rules="us"), "cylinder", pile) == ["missing"]


# --- words ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("caution", "kind"), [
    ("Flammable liquid category 1", "liquid 1"), ("flammable liquid, cat. 2", "liquid 2"),
    ("flammable liquids, category 3", "liquid 3"), ("Category 1 flammable liquid", "liquid 1"),
    ("flammable liquid category 4", "liquid 4"), ("class IB flammable", "liquid 2"),
    ("extremely flammable liquid and vapour", "liquid 1"), ("extremely flammable gas", "flammable gas"),
    ("extremely flammable aerosol", "aerosol"), ("flammable gas category 2", "flammable gas"),
    ("oil", "combustible"), ("oily", "combustible"), ("quench oil", "combustible"), ("grease", "combustible"),
    ("coal", "combustible"), ("charcoal", "combustible"), ("tyres", "combustible"), ("tires", "combustible"),
    ("rags", "combustible"), ("paint", "liquid 3"), ("propylene", "flammable gas"), ("naphtha", "liquid 2"),
    ("white gas", "liquid 2"), ("magnesium", "solid"), ("nitrous oxide", "oxidiser"), ("helium", "gas"),
    ("shielding gas", "gas"), ("bleach", "oxidiser"), ("gas oil", "liquid 3"), ("H227", "liquid 4"),
    ("oily rags", "self-heating"),
    ("gas", "liquid 1"), ("gas can", "liquid 1"),
    ("contains gas under pressure; may explode if heated", "gas"),
])  # fmt: skip
def test_words_of_the_trade_and_of_labels(caution: str, kind: str) -> None:
    # categories and statements: CLP/GHS; which everyday word belongs where: own judgement
    assert {h.kind for h in hazards.read(caution, us=True).hazards} == {kind}


@pytest.mark.parametrize("caution", ["forming gas", "exhaust gas", "gas tight"])
def test_gas_of_another_kind_is_not_petrol(caution: str) -> None:
    assert "liquid 1" not in {h.kind for h in hazards.read(caution, us=True).hazards}


@pytest.mark.parametrize("caution", ["oil-free", "no oil", "grease free", "not an explosive"])
def test_words_that_are_cancelled(caution: str) -> None:
    assert not hazards.read(caution).hazards


def test_category_1_in_plastic_is_judged_as_category_1() -> None:
    # 29 CFR 1910.106 Table H-12: 1 pt
    pile = Pile()
    details = {"volume": 3.0, "kept in": "plastic"}
    pile.add("a", pile.at(5000, 5000), cautions=["Flammable liquid category 1"], details=details)
    (found,) = of(shop(rules="us"), "liquids-container", pile)
    assert found.limit == pytest.approx(0.473176, abs=1e-6)


@pytest.mark.parametrize("dismissed", [False, True])
@pytest.mark.parametrize(
    ("check", "first"), [("oxygen", "oxygen"), ("apart", "petrol"), ("cylinder", "argon")]
)
def test_nothing_is_wholly_checked_beside_an_unknown_word(check: str, first: str, dismissed: bool) -> None:
    pile = two(first, "spicy", 300, **UPRIGHT)
    if dismissed:
        doc = {"kind": "note", "why": "a sauce", "by": "ann", "since": "2026-02-01"}
        pile.more["accepted"] = {"not-judged/hazard-words/word:spicy": doc}
    there = shop(rules="us", rooms=[BIG])
    assert row(there, check, pile).state in ("partly", "not judged")
    words = row(there, "hazard-words", pile)
    assert words.state == "partly" and words.judged == 1
    assert ("dismissed by ann" in words.why) is dismissed
    pile.groups.pop("b")
    assert row(there, check, pile).state == "judged"


# --- containers -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("caution", "stuff", "gallons"), [
    ("gasoline", "safety can", 2.0), ("H224", "plastic", 1 / 8), ("acetone", "glass", 1 / 4),
    ("kerosene", "plastic", 1.0), ("H227", "glass", 1.0), ("gasoline", "metal", 1.0),
    ("acetone", "metal", 5.0),
    ("acetone", "safety can", 5.0), ("gasoline", "drum", 60.0), ("diesel", "drum", 60.0),
    ("gasoline", "portable tank", 660.0),
])  # fmt: skip
def test_table_h_12_as_printed(caution: str, stuff: str, gallons: float) -> None:
    # 29 CFR 1910.106 Table H-12 in pints, quarts and gallons: the sizes printed are allowed
    there = shop(rules="us")
    for litres, found in ((gallons * GAL, 0), (gallons * GAL + 0.002, 1)):
        pile = Pile()
        details = {"volume": litres, "kept in": stuff}
        pile.add("a", pile.at(5000, 5000), cautions=[caution], details=details)
        assert grades(there, "liquids-container", pile) == ["correct"] * found


@pytest.mark.parametrize(("flash", "limit"), [(None, 60), (54.0, 60), (61.0, 120)])
def test_diesel_is_category_3_until_its_flash_point_is_told(flash: float | None, limit: float) -> None:
    # GHS: to 60 C category 3; 29 CFR 1910.106(d)(3)(i): 60 gal of 1 to 3, 120 gal of 4 in a cabinet
    cabinet = zone("c", (0, 0), (1000, 500), kind="shelf", levels=[Level("1", 300)], cabinet=True)
    details = {"volume": 121 * GAL} | ({} if flash is None else {"flash point": flash})
    pile = Pile()
    pile.add("a", InZone("c", "1"), cautions=["diesel"], details=details)
    (found,) = of(shop(rules="us", zones=[cabinet]), "liquids-cabinet", pile)
    assert found.limit == pytest.approx(limit * GAL)


@pytest.mark.parametrize(("flash", "category"), [(22.9, 2), (23.0, 3), (60.0, 3), (60.1, 4), (None, 3)])
def test_a_flash_point_told_is_the_category(flash: float | None, category: int) -> None:
    # GHS (UN, rev. 9) table 2.6.1: below 23 C 1 (boiling at 35 C or below) or 2, to 60 C 3, to 93 C 4
    assert hazards.liquid_category(("white spirit",), flash) == category
    assert hazards.liquid_category(("H224",), flash) == (1 if flash in (None, 22.9) else category)
    assert hazards.liquid_category(("oily",), flash) is None


def test_of_many_greasy_things_the_nearest_is_told_once() -> None:
    pile = Pile()
    pile.add("a", pile.at(5000, 5000), size=(200, 200, 200), cautions=["argon"], details=UPRIGHT)
    for n in range(5):
        pile.add(f"tub{n}", pile.at(5300 + 300 * n, 5000), size=(200, 200, 200), cautions=["grease"])
    (found,) = [f for f in of(shop(rules="us", rooms=[BIG]), "cylinder", pile) if f.judged]
    assert found.measured == 100 and "4 more" in found.text


def test_a_55_gallon_drum_is_not_sent_to_be_poured_out() -> None:
    pile = Pile()
    details = {"volume": 55 * GAL, "kept in": "metal"}
    pile.add("a", pile.at(5000, 5000), cautions=["gasoline"], details=details)
    (found,) = of(shop(rules="us"), "liquids-container", pile)
    assert "do not pour" in found.remedy and "kept in=drum" in found.remedy
