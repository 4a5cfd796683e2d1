"""Whatever a ledger holds, judging and auditing answer: no exception, no endless loop, one id a finding."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from building import Pile, box, shop, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.ledger.model import CONTAINERS, Away, InGroup, InZone
from shopbins.placing.judging import judge
from shopbins.placing.places import best_places
from shopbins.rules import limits
from shopbins.rules.auditing import audit
from shopbins.rules.coverage import coverage
from shopbins.rules.finding import DANGER, GRADES, PAPERWORK
from shopbins.rules.registry import RULES
from shopbins.rules.things import walk
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Limits, Room, Walkway

TODAY = date(2026, 3, 1)
NAMES = [f"g{i}" for i in range(6)]
L_SHAPE = ((0, 0), (10_000, 0), (10_000, 3000), (4000, 3000), (4000, 8000), (0, 8000))
WAYS = (
    Walkway("way", "way", ((500, 7500), (500, 2000), (9500, 2000)), 900, exit_route=True, rooms=("hall",)),
    Walkway("short", "short", ((8000, 500), (8050, 520), (8060, 700)), 1500, least_mm=600),
)
THERE = shop(
    rooms=[
        Room("hall", "hall", L_SHAPE, headroom_mm=2500, floor_load_kn_m2=3, point_load_kn=2, hot_work=True),
        Room("yard", "yard", box(11_000, 0, 15_000, 4000)),
    ],
    zones=[
        zone("rack", (0, 0), (1800, 400), kind="shelf", levels=[Level("1", 0, load_kg=50), Level("2", 600)]),
        zone("bench", (2000, 0), (1500, 700), kind="bench", turn=10, load_kg=100),
        zone("spot", (5000, 500), (1500, 1200), turn=45),
    ],
    walkways=[
        *WAYS,
        Walkway(
            "way", "way", ((500, 7500), (500, 2000), (9500, 2000)), 900, exit_route=True, rooms=("hall",)
        ),
        Walkway(
            "short", "short", ((8000, 500), (8050, 520), (8060, 700)), 1500, least_mm=600, rooms=("hall",)
        ),
    ],
    doors=[
        Door(
            "d",
            "d",
            "hall",
            "yard",
            ((10_000, 500), (10_000, 1500)),
            900,
            None,
            "hinged",
            box(9999, 500, 11_001, 1500),
            box(9000, 500, 10_000, 1500),
            exit=True,
        ),
    ],
    keep_clear=[KeepClear("k", "k", "hall", box(0, 6000, 1000, 7000), "stop valve", height_mm=1500)],
    fixtures=[Fixture("stove", "stove", "hall", box(3000, 4000, 3600, 4600), hot=True, movable=True)],
    limits=Limits(walkway_mm=700, one_person_kg=20, lift_height_mm=500),
    rules="us",
)

number = st.one_of(st.floats(-2000, 12_000), st.sampled_from([0.0, 1e6, -1e6]))
wheres = st.one_of(
    st.none(),
    st.builds(
        InZone,
        st.sampled_from(["hall", "yard", "rack", "bench", "spot", "gone"]),
        st.sampled_from(["", "1", "2", "9"]),
        st.one_of(st.none(), number),
        number,
        st.floats(0, 360),
        st.booleans(),
    ),
    st.builds(InGroup, st.sampled_from([*NAMES, "nobody"]), st.sampled_from(["in", "on"])),
    st.sampled_from([None, "2026-01-01", "2027-01-01", "soon"]).map(lambda until: Away("the grinder", until)),
)
sizes = st.one_of(
    st.none(),
    st.tuples(st.floats(0.001, 5000), st.floats(0.001, 5000), st.floats(0.001, 5000)),
    st.just((100_000.0, 100_000.0, 100_000.0)),
)
outlines = st.one_of(
    st.none(),
    st.sampled_from(
        [
            ((0.0, 0.0), (500.0, 0.0), (250.0, 400.0)),
            ((0.0, 0.0), (0.0, 300.0), (300.0, 300.0), (300.0, 0.0)),  # clockwise
            ((0.0, 0.0), (300.0, 300.0), (300.0, 0.0), (0.0, 300.0)),  # crosses itself
            ((0.0, 0.0), (800.0, 0.0), (800.0, 200.0), (200.0, 200.0), (200.0, 800.0), (0.0, 800.0)),
            ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)),  # no area
        ]
    ),
)
groups = st.fixed_dictionaries(
    {
        "where": wheres,
        "size": sizes,
        "outline": outlines,
        "kg": st.one_of(st.none(), st.floats(0.001, 5000)),
        "container": st.sampled_from(sorted(CONTAINERS)),
        "cautions": st.sampled_from([(), ("flammable",)]),
    }
)


def pile_of(written: list[dict[str, Any]], things: bool) -> Pile:
    pile = Pile()
    for name, each in zip(NAMES, written, strict=False):
        fields = {key: value for key, value in each.items() if value is not None and key != "where"}
        fields.setdefault("size", None)
        pile.add(name, each["where"], **{**fields, "kg": each["kg"]})
    if things:
        pile.more["thing"] = {
            "stove": {"x_mm": 12_000.0, "y_mm": 500.0, "turn_deg": 30.0, "room": "yard"},
            "bench": {"x_mm": 3000.0, "y_mm": 4000.0, "turn_deg": 200.0, "room": "hall"},
            "gone": {"x_mm": 0.0, "y_mm": 0.0},
        }
    return pile


@settings(max_examples=60, deadline=None)
@given(st.lists(groups, max_size=6), st.booleans(), wheres)
def test_every_state_is_answered(written: list[dict[str, Any]], things: bool, target: object) -> None:
    scene = pile_of(written, things).scene(THERE)
    found = audit(scene, TODAY)
    assert len({f.id for f in found}) == len(found)
    assert [GRADES.index(f.grade) for f in found] == sorted(GRADES.index(f.grade) for f in found)
    for each in found:
        assert each.text and "\n" not in each.text and " nan" not in each.text and " inf" not in each.text
        assert each.as_json()["id"] == each.id
    for name in NAMES[: len(written)]:
        if isinstance(target, InZone) and scene.zone(target.zone) is not None:
            judge(scene, name, target)
        assert not any(f.grade == "stop" for s in best_places(scene, name, most=3) for f in s.findings)


@pytest.mark.parametrize("rules", ["us", "uk", "eu", "own"])
def test_what_a_rule_found_is_never_told_as_not_judged(rules: str) -> None:
    """The coverage is of the same findings as the audit: what it says of a check cannot deny one of them."""
    scene = Pile().scene(replace(THERE, rules=rules))
    looked = 0
    for rule in RULES:
        subject = next((subject for subject, _ in walk(scene, rule.each)), None) if rule.each else None
        if subject is None or rule.per == "move" or (rule.audit is None and rule.look is None):
            continue
        found = rule.found("stop", (subject,), "broken")
        (row,) = (each for each in coverage(scene, [found]) if each.check == rule.key)
        assert row.judged >= 1 and not row.no_figure, (rule.key, row)
        own = limits.rows(rule.figures or rule.key, "any")
        if rule.everywhere is None and any(each.given is not None for each in own):
            (row,) = (each for each in coverage(scene, []) if each.check == rule.key)
            assert row.judged == row.things, (rule.key, row)
        looked += 1
    assert looked >= 20


def test_every_rule_has_a_place_among_what_hurts_first() -> None:
    ranked = {*PAPERWORK, *(key for keys in DANGER for key in keys)}
    assert {rule.key for rule in RULES} <= ranked, "add it to DANGER or PAPERWORK in rules/finding.py"
