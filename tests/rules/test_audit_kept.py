"""An audit kept up to date finds what a full one finds, whatever is done in between."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Any

import pytest
from building import Pile, box, shop, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.ledger.docs import where_doc
from shopbins.ledger.model import Away, InGroup, InZone
from shopbins.ledger.state import State
from shopbins.rules import auditor
from shopbins.rules.auditing import audit
from shopbins.rules.auditor import Auditor, _next_to
from shopbins.scene.scene import build
from shopbins.shop.model import Door, Fixture, KeepClear, Level, Limits, Opening, Room, Shop, Walkway, Wall

TODAY = date(2026, 3, 1)
NAMES = [f"g{i}" for i in range(6)]


def there(rules: str) -> Shop:
    """Three rooms in a row, an exit at each end, racks, a forge, oxygen's neighbours."""
    rooms = [
        Room(f"r{i}", f"room {i}", box(i * 5200, 0, i * 5200 + 5000, 5000), headroom_mm=2600,
             floor_load_kn_m2=3, hot_work=i == 0)
        for i in range(3)
    ]  # fmt: skip
    doors = [
        Door(f"d{i}", f"door {i}", f"r{i}", f"r{i + 1}",
             ((i * 5200 + 5000.0, 2000.0), (i * 5200 + 5000.0, 3000.0)), 1000, 2000, "open",
             box(i * 5200 + 4999, 2000, i * 5200 + 5201, 3000))
        for i in range(2)
    ]  # fmt: skip
    doors += [
        Door("out", "out", "r0", "outside", ((0.0, 2000.0), (0.0, 3000.0)), 1000, 2000, "sliding",
             box(-200, 2000, 1, 3000), exit=True),
        Door("back", "back", "r2", "outside", ((15_400.0, 2000.0), (15_400.0, 3000.0)), 1000, 2000, "open",
             box(15_399, 2000, 15_600, 3000), exit=True),
    ]  # fmt: skip
    way = Walkway(
        "way",
        "way",
        ((0, 2500), (15_400, 2500)),
        900,
        least_mm=700,
        exit_route=True,
        rooms=("r0", "r1", "r2"),
    )
    racks = [
        zone(f"rack {i}", (i * 5200 + 100, 100), (1500, 500), kind="shelf", room=f"r{i}",
             levels=[Level("1", 100, load_kg=60), Level("2", 900)])
        for i in range(3)
    ]  # fmt: skip
    clears = [
        KeepClear("board", "board", "r1", box(5300, 4000, 6300, 5000), "switchgear", volts=230),
        KeepClear("ext", "ext", "r0", box(2000, 4500, 2500, 5000), "extinguisher", for_classes=("A", "B")),
    ]
    forge = [Fixture("forge", "forge", "r2", box(14_000, 4000, 14_800, 4800), top_mm=900, hot=True)]
    return shop(
        rooms=rooms, doors=doors, walkways=[way], zones=racks, keep_clear=clears, fixtures=forge, rules=rules,
        limits=Limits(exit_mm=700, people=4),
    )  # fmt: skip


def test_a_room_is_next_to_those_behind_its_doors_openings_and_walls() -> None:
    hole = Opening("hole", "hole", "r0", "hatch", box(1000, 1000, 1500, 1500), to="loft")
    whole = replace(
        there("us"),
        openings=MappingProxyType({"hole": hole}),
        walls=MappingProxyType({"wall": Wall("wall", ("r0", "r2"), "metal")}),
    )
    beside = {room: sorted({*_next_to(whole, room)} - {"outside", ""}) for room in ("r0", "r1", "loft")}
    assert beside == {"r0": ["loft", "r1", "r2"], "r1": ["r0", "r2"], "loft": ["r0"]}


places = st.one_of(
    st.none(),
    st.just(Away("the works")),
    st.sampled_from([InZone(f"rack {rack}", level) for rack in range(3) for level in "12"]),
    st.builds(
        lambda room, x, y, turn: InZone(f"r{room}", "", room * 5200 + x, y, turn, measured=True),
        st.integers(0, 2), st.integers(200, 4800), st.integers(200, 4800), st.sampled_from([0.0, 30.0, 90.0]),
    ),
    st.builds(InGroup, st.sampled_from(NAMES), st.sampled_from(["in", "on"])),
)  # fmt: skip
cautions = st.sampled_from([[], ["petrol"], ["oxygen"], ["acetylene"], ["oily rags"], ["spicy"], ["sharp"]])
changes = st.one_of(
    st.tuples(st.just("where"), places),
    st.tuples(st.just("mass"), st.one_of(st.none(), st.integers(1, 90).map(lambda kg: [float(kg)]))),
    st.tuples(st.just("cautions"), cautions),
    st.tuples(st.just("name"), st.sampled_from(["crate", "petrol tank", ""])),
)


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(["us", "uk", "eu", "own"]),
    st.lists(st.tuples(st.sampled_from(NAMES), changes), min_size=1, max_size=8),
)
def test_kept_up_to_date_is_as_judged_anew(rules: str, steps: list[tuple[str, tuple[str, Any]]]) -> None:
    whole, pile = there(rules), Pile()
    for n, name in enumerate(NAMES):
        pile.add(name, InZone(f"rack {n % 3}", "1"), size=(500, 400, 600), kg=20.0)
    state = pile.state()
    auditor = Auditor()
    assert auditor.audit(build(whole, state.copy()), TODAY, None) == audit(build(whole, state), TODAY)
    for seq, (name, (field, value)) in enumerate(steps, 1):
        written = where_doc(value) if field == "where" else value
        state.apply({f"group:{name}": {field: written}}, seq)
        kept = auditor.audit(build(whole, state.copy()), TODAY, {f"group:{name}"})
        assert kept == audit(build(whole, state), TODAY), (name, field, value)


def test_what_others_changed_at_once(rules: str = "us") -> None:
    whole, state, auditor = there(rules), State({"group": {}}), Auditor()
    auditor.audit(build(whole, state.copy()), TODAY, None)
    after = {
        f"group:{n}": {
            "code": n,
            "where": {"zone": "r1", "x_mm": 7000, "y_mm": 2500},
            "size": [900, 900, 900],
        }
        for n in "ab"
    }
    state.apply(after, 1)
    assert auditor.audit(build(whole, state.copy()), TODAY, set(after)) == audit(build(whole, state), TODAY)
    state.apply(dict.fromkeys(after), 2)
    assert auditor.audit(build(whole, state.copy()), TODAY, set(after)) == audit(build(whole, state), TODAY)


@settings(max_examples=10, deadline=None)
@given(
    st.sampled_from(["us", "own"]),
    st.lists(st.tuples(places, cautions, st.sampled_from(["crate", "petrol tank", ""])), min_size=6,
             max_size=6),
    st.randoms(use_true_random=False),
)  # fmt: skip
def test_the_order_of_the_records_is_no_matter(
    rules: str, things: list[tuple[Any, list[str], str]], chance: random.Random
) -> None:
    whole, groups = there(rules), {}
    for n, (where, cautions, name) in enumerate(things):
        groups[f"g{n}"] = {"code": f"G{n}", "name": name, "where": where_doc(where), "cautions": cautions,
                           "size": [500, 400, 600], "mass": [20.0]}  # fmt: skip
    shuffled = list(groups)
    chance.shuffle(shuffled)
    one, other = (State({"group": {k: dict(groups[k]) for k in keys}}) for keys in (groups, shuffled))
    assert audit(build(whole, one), TODAY) == audit(build(whole, other), TODAY)


def test_only_what_a_change_touches_is_judged_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    units, judged = auditor._units, list[frozenset[str]]()

    def counted(rule: Any, scene: Any) -> Any:
        for unit in units(rule, scene):
            yield replace(unit, judge=lambda unit=unit: (judged.append(unit.rooms), unit.judge())[1])

    monkeypatch.setattr(auditor, "_units", counted)
    whole, state, kept = there("us"), State({"group": {}}), Auditor()
    kept.audit(build(whole, state.copy()), TODAY, None)
    every = len(judged)
    judged.clear()
    kept.audit(build(whole, state.copy()), TODAY, set())
    assert judged == [], "nothing changed"
    put = {"code": "A", "where": {"zone": "r2", "x_mm": 12_000, "y_mm": 2500}, "size": [900, 900, 900]}
    state.apply({"group:a": put}, 1)
    kept.audit(build(whole, state.copy()), TODAY, {"group:a"})
    assert 0 < len(judged) < every and all("r2" in rooms for rooms in judged)
