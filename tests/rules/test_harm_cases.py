"""What burns, harms and is counted wrong, just inside and just outside: own figures and what is asked for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from building import TODAY, Pile, box, gaps, grades, of, row, shop

from shopbins.answer import Accepted
from shopbins.ledger.details import checked_details
from shopbins.ledger.problems import BadValue
from shopbins.records.accepted import accept
from shopbins.rules.accepting import acceptable
from shopbins.rules.auditing import audit
from shopbins.rules.folding import lines
from shopbins.shop.model import Fixture, Room

BIG = Room("hall", "the hall", box(0, 0, 60_000, 60_000), headroom_mm=3000)
FORGE = Fixture("forge", "forge", "hall", box(0, 0, 1000, 1000), top_mm=900, hot=True)


def marked(caution: str, x: float = 5000, **more: Any) -> Pile:
    pile = Pile()
    pile.add("thing", pile.at(x, 500), size=(300, 300, 300), cautions=[caution], **more)
    return pile


@pytest.mark.parametrize("rules", ["own", "uk", "eu"])
@pytest.mark.parametrize(
    ("caution", "far", "found"),
    [("lpg", 2999, 1), ("lpg", 3000, 0), ("petrol", 2999, 1), ("thinner", 2999, 1), ("Flam. Liq. 2", 2999, 1),
     ("white spirit", 145, 0), ("cardboard", 145, 0)],
)  # fmt: skip
def test_fuel_beside_a_flame_is_to_fix_in_every_set(rules: str, caution: str, far: float, found: int) -> None:
    there, pile = shop(rules=rules, rooms=[BIG], fixtures=[FORGE]), marked(caution, 1000 + far + 150)
    assert grades(there, "hot-work", pile) == ["correct"] * found
    if not found:
        assert gaps(there, "hot-work", pile) == ["breaks"]


def test_the_worse_of_two_things_in_a_crate_decides() -> None:
    from shopbins.ledger.model import InGroup

    pile = marked("cardboard", 2500)
    pile.add("bottle", InGroup("thing", "in"), cautions=["lpg"])
    assert grades(shop(rules="uk", rooms=[BIG], fixtures=[FORGE]), "hot-work", pile) == ["correct"]


@pytest.mark.parametrize(("qty", "found"), [(4, 0), (5, 1)])
def test_thirty_cans_are_thirty_times_one(qty: int, found: int) -> None:
    # 29 CFR 1910.106(e)(2)(ii)(b): 25 gal (94.6 L) of category 1; cans of 20 L
    pile = marked("petrol", qty=qty, container="pallet", details={"volume": 20.0, "kept in": "safety can"})
    found_open = of(shop(rules="us", rooms=[BIG]), "liquids-open", pile)
    assert [f.grade for f in found_open] == ["correct"] * found
    assert [f.measured for f in found_open] == [100.0] * found
    one = of(shop(rules="us", rooms=[BIG]), "liquids-container", pile)
    assert [f.measured for f in one] == [20.0]  # 7.57 L for a safety can of category 1, whatever their number


@pytest.mark.parametrize(
    ("container", "details", "found", "gap"),
    [
        ("bag", {}, ["correct"], []),
        ("bag", {"metal lidded can": True}, [], []),
        ("bare", {}, [], ["missing"]),
    ],
)
def test_rags_in_a_bag_are_told(
    container: str, details: dict[str, Any], found: list[str], gap: list[str]
) -> None:
    # 29 CFR 1910.106(e)(9)(iii), from memory
    there, pile = shop(rules="us"), marked("oily rag", container=container, details=details)
    assert grades(there, "rags", pile) == found and gaps(there, "rags", pile) == gap


HARMS = ["asbestos", "brake dust", "lead", "mercury", "PCB", "beryllium", "chromate", "radium"]
STORED = ["charged capacitor", "spring under load", "accumulator", "refrigerant"]


@pytest.mark.parametrize(
    ("word", "detail"), [(w, "sealed") for w in HARMS] + [(w, "released") for w in STORED]
)
def test_what_harms_stays_in_the_audit_until_it_is_dealt_with(word: str, detail: str) -> None:
    asked = marked(word)
    (note,) = of(shop(), "part-harm", asked)
    assert (note.grade, note.judged, note.gap) == ("note", False, "missing")
    words = {"sealed": "bagged or closed in, and marked", "released": "let down, discharged or emptied"}
    assert f"not told whether it is {words[detail]}" in note.text and f"'{detail}=yes'" in note.remedy
    assert row(shop(), "part-harm", asked).state == "not judged"
    (wrong,) = of(shop(), "part-harm", marked(word, details={detail: False}))
    assert wrong.grade == "correct" and f"is not {words[detail]}" in wrong.text
    done = marked(word, details={detail: True})
    assert of(shop(), "part-harm", done) == [] and row(shop(), "part-harm", done).state == "judged"
    other = {"sealed": "released", "released": "sealed"}[detail]
    assert gaps(shop(), "part-harm", marked(word, details={other: True})) == ["missing"]


@pytest.mark.parametrize(
    ("name", "built", "found"),
    [("pipe lagging", 1999, 1), ("pipe lagging", 2000, 0), ("pipe lagging", None, 0),
     ("brake shoes", 1962, 1),
     ("crankshaft", 1962, 0), ("lagging, no asbestos", 1962, 0)],
)  # fmt: skip
def test_old_lagging_is_asked_about(name: str, built: int | None, found: int) -> None:
    pile = Pile()
    pile.add("old", pile.at(3000, 3000))
    pile.groups["old"]["name"] = name
    assert len(gaps(shop(built=built), "part-old", pile)) == found
    pile.groups["old"]["details"] = {"made": 2005}
    assert gaps(shop(built=built), "part-old", pile) == []
    pile.groups["old"].update(details={"made": 1975}, cautions=["asbestos"])
    assert gaps(shop(built=built), "part-old", pile) == []


def test_a_dismissed_word_silences_no_other() -> None:
    pile = marked("spicy")
    pile.add("second", pile.at(9000, 500), cautions=["zesty"])
    first, second = of(shop(), "hazard-words", pile)
    assert {first.id, second.id} == {f"not-judged/hazard-words/word:{w}" for w in ("spicy", "zesty")}
    scene = pile.scene(shop())
    folded = [line for line in lines(scene, audit(scene, TODAY)) if "spicy" in line.text]
    assert [len(line.findings) for line in folded] == [2], "people see one line"
    state = pile.state()
    state.apply(accept(state, acceptable(shop(), first), "harmless", by="ann", day=date(2026, 3, 1)).after, 1)
    from shopbins.scene.scene import build

    found = audit(build(shop(), state), TODAY)
    left = [f for f in found if f.rule == "hazard-words" and f.accepted is None]
    assert [f.id for f in left] == [second.id]


@pytest.mark.parametrize(
    "word", ["explosive", "H201", "Expl. 1.1", "Flam. Liq. 2", "Flam. Gas 1", "Pyr. Sol. 1"]
)
def test_names_of_the_labels_burn(word: str) -> None:
    there, pile = shop(rules="us", rooms=[BIG], fixtures=[FORGE]), marked(word, 2500)
    assert grades(there, "hot-work", pile) == ["correct"] and of(there, "hazard-words", pile) == []


@pytest.mark.parametrize(("below", "found"), [(True, ["note"]), (False, []), (None, [])])
@pytest.mark.parametrize("caution", ["petrol", "thinner"])
def test_petrol_in_a_cellar(caution: str, below: bool | None, found: list[str]) -> None:
    there = shop(rooms=[replace(BIG, below_ground=below)])
    assert grades(there, "liquids-below", marked(caution)) == found
    assert grades(there, "liquids-below", marked("diesel")) == []


@pytest.mark.parametrize(
    ("kg", "found", "gap"),
    [(136.0, [], []), (137.0, [], ["missing"]), (340.0, [], ["missing"]), (341.0, ["correct"], []),
     (None, [], ["missing"])],
)  # fmt: skip
def test_fuel_gas_stored_inside(kg: float | None, found: list[str], gap: list[str]) -> None:
    # 29 CFR 1910.253(b)(3)(i), from memory: 300 lb are 136.08 kg; two fifths of 340.2 kg
    pile = marked("lpg", kg=kg)
    assert grades(shop(rules="us"), "fuel-gas", pile) == found
    assert gaps(shop(rules="us"), "fuel-gas", pile) == gap
    assert of(shop(rules="us"), "fuel-gas", marked("lpg", kg=kg, details={"in use": True})) == []
    assert gaps(shop(rules="uk"), "fuel-gas", pile) == ["keeps"]


@pytest.mark.parametrize(
    ("caution", "told", "qty", "found", "gap"),
    [("lpg", "136 kg", 1, 0, 0), ("lpg", "136.1 kg", 1, 1, 0), ("lpg", "300 lb", 1, 0, 0),
     ("propane", "34 kg", 4, 0, 0), ("propane", "34.1 kg", 4, 1, 0),
     ("acetylene", "2000 cu ft", 1, 0, 0), ("acetylene", "2001 cu ft", 1, 1, 0),
     ("hydrogen", "56.6 m3", 1, 0, 0), ("hydrogen", "28.4 m3", 2, 1, 0),
     ("acetylene", "", 1, 0, 1), ("flammable gas", "", 1, 0, 1), ("flammable gas", "145 cu ft", 1, 0, 0)],
)  # fmt: skip
def test_fuel_gas_by_what_is_told_of_it(caution: str, told: str, qty: int, found: int, gap: int) -> None:
    # 29 CFR 1910.253(b)(3)(i), from memory: 300 lb (136.08 kg) liquefied, 2000 cu ft (56.634 m3) of other gas
    key = "gas volume" if "cu ft" in told or "m3" in told else "gas mass"
    details = checked_details({key: told}) if told else {}
    pile = marked(caution, kg=5000.0, qty=qty, details=details)
    assert grades(shop(rules="us"), "fuel-gas", pile) == ["correct"] * found
    assert gaps(shop(rules="us"), "fuel-gas", pile) == ["missing"] * gap


@pytest.mark.parametrize("text", ["145", "40 L", "13 kg", "-1 cu ft", "0 m3"])
def test_a_volume_of_gas_says_its_unit(text: str) -> None:
    with pytest.raises(BadValue, match="gas volume"):
        checked_details({"gas volume": text})


@pytest.mark.parametrize(
    ("why", "said"),
    [("for now", "for now by Ida"), ("only tonight", "for now by Ida (only tonight)"),
     ("for now: Ida", "for now by Ida")],
)  # fmt: skip
def test_the_reason_of_what_is_accepted_for_now_is_said(why: str, said: str) -> None:
    assert Accepted("Ida", why, for_now=True).said == said
