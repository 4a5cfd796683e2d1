"""Room made by a shuffle: the moves can be made in their order, each to a free spot; perfect fillings."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from building import HERE, Pile, box, elsewhere, shop, zone
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.geometry.exact import gap, inside
from shopbins.geometry.shapes import Outline, Pose
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.placing.judging import judge
from shopbins.placing.laying import best_in, lay_down
from shopbins.records import acts
from shopbins.rules.shuffling import Shuffle, shuffle_for
from shopbins.scene.scene import Scene, build
from shopbins.shop.model import KeepClear, Limits, Shop

SPOT = zone("spot", (2000, 1000), (2000, 820), turn=30)


def lying(x: float, y: float, turn: float = 0.0, on: str = "spot") -> InZone:
    return InZone(on, "", x, y, turn, measured=True)


def two_in_the_way(pose: Pose = HERE) -> Scene:
    """A tub and a box in the middle of a spot that would hold them and a crate side by side."""
    pile = Pile(pose)
    pile.add("Tub 3", lying(700, 400), size=(600, 400, 300))
    pile.add("Box of pumps", lying(1400, 400), size=(500, 400, 300))
    pile.add("crate", None, size=(800, 800, 300))
    return build(elsewhere(shop(zones=[SPOT]), pose), pile.state())


def asked(scene: Scene, who: str = "crate", on: str = "spot", seconds: float = 2.0) -> Shuffle | None:
    there = scene.zone(on)
    assert there is not None
    return shuffle_for(scene, scene.group(who), there, there.levels[0], seconds=seconds)


def played(scene: Scene, found: Shuffle, who: str, spare: float) -> None:
    """Make the moves one by one: each thing goes to a free place, unless it was to be lifted off first."""
    held = scene
    for move in found.moves:
        if move.aside:
            held = held.with_group_at(move.group, None)
    for group, where in [*((m.group, m.where) for m in found.moves), (who, found.where)]:
        assert where is not None
        held = held.with_group_at(group, where)
    names = [who, *(m.group for m in found.moves)]
    for name in names:
        body, there = held.body(name), held.zone("spot")
        assert body is not None and there is not None
        assert inside(body.outline, there.outline)
        for other in held.standing(body.room):
            if other.subject != body.subject and other.kind != "zone":
                assert gap(body.outline, other.outline).distance_mm >= spare - 1e-6


def test_the_moves_are_told_by_name_and_make_room() -> None:
    scene = two_in_the_way()
    found = asked(scene)
    assert found is not None and found.answer == "fits"
    assert {m.name for m in found.moves} <= {"Tub 3", "Box of pumps"} and found.moves
    assert found.words.startswith("fits if ") and all(m.name in found.words for m in found.moves)
    assert re.search(r"it then lies at \d+,\d+", found.words)
    played(scene, found, "crate", 4.99)


@settings(max_examples=6, deadline=None)
@given(st.builds(Pose, st.floats(-9000, 9000), st.floats(-9000, 9000), st.floats(0, 360)))
def test_a_shop_turned_and_shifted_gets_the_same_moves(pose: Pose) -> None:
    here, there = asked(two_in_the_way()), asked(two_in_the_way(pose))
    assert here is not None and there is not None
    assert (here.answer, here.words) == (there.answer, there.words)


def test_refused_for_want_of_a_place_the_remedy_names_the_moves() -> None:
    scene = two_in_the_way()
    there = scene.zone("spot")
    assert there is not None
    where, findings = best_in(scene, scene.group("crate"), there, InZone("spot"))
    (stop,) = [f for f in findings if f.grade == "stop"]
    assert stop.rule == "no-room" and "at the turns tried: 0 and 90 deg" in stop.text
    assert stop.remedy.startswith("fits if ") and not where.posed


def test_what_cannot_fit_is_said_to_be_so_only_with_a_proof() -> None:
    scene = two_in_the_way()
    large = scene.with_group(scene.group("crate")._replace(size=Size(1500, 810, 300)))
    found = asked(large)
    assert found is not None and found.answer == "does not fit" and "even after a shuffle" in found.words
    assert found.remedy("clear a place").startswith("clear a place; ")
    askew = Pile()
    askew.add("bar", lying(1000, 410, 20), size=(1200, 200, 300))
    askew.add("crate", None, size=(1300, 700, 300))
    found = asked(askew.scene(shop(zones=[SPOT])))
    assert found is not None and found.answer == "not found", "a bar at 20 deg was never tried elsewhere"
    assert "was found in 2 s" in found.words


def test_floor_to_keep_free_is_kept_free() -> None:
    clear = KeepClear("board", "the board", "hall", box(0, 0, 900, 820), "switchgear")
    pile = Pile()
    pile.add("tub", lying(1200, 400), size=(500, 700, 300))
    pile.add("crate", None, size=(500, 800, 300))
    scene = pile.scene(shop(zones=[zone("spot", (0, 0), (2000, 820))], keep_clear=[clear]))
    found = asked(scene)
    assert found is not None and found.answer == "fits"
    for where in (found.where, *(m.where for m in found.moves)):
        assert where is not None and where.x_mm is not None and where.x_mm >= 900 + 250 - 1e-6
    played(scene, found, "crate", 4.99)


@pytest.mark.parametrize(("kept_free", "answer"), [
    (box(0, 0, 900, 820), "does not fit"), (((0, 0), (900, 0), (0, 820)), "not found"),
    (((0, 0), (900, 0), (900, 410), (900, 820), (0, 820)), "not found"),
])  # fmt: skip
def test_only_of_upright_boxes_to_keep_free_there_is_a_proof(kept_free: Outline, answer: str) -> None:
    """Of a wedge its whole box is taken off: what finds no place then may yet have one."""
    clear = KeepClear("board", "the board", "hall", kept_free, "switchgear")
    pile = Pile()
    pile.add("crate", None, size=(1300, 700, 300))
    scene = pile.scene(shop(zones=[zone("spot", (0, 0), (2000, 820))], keep_clear=[clear]))
    found = asked(scene)
    assert found is not None and found.answer == answer


def test_it_is_not_asked_of_open_floors_odd_shapes_and_unknown_sizes() -> None:
    scene = two_in_the_way()
    assert asked(scene, on="hall") is None
    assert asked(scene.with_group(scene.group("crate")._replace(size=None))) is None
    wedge = scene.group("crate")._replace(outline=((0, 0), (900, 0), (0, 700)))
    assert asked(scene.with_group(wedge)) is None


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_strewn_spots_are_put_right_without_a_clash(seed: int) -> None:
    pick = random.Random(seed)
    pile = Pile()
    taken: list[tuple[float, float, float, float]] = []
    for i in range(pick.randint(1, 6)):
        a, b, turn = pick.uniform(200, 700), pick.uniform(150, 500), pick.choice((0.0, 90.0, 180.0, 270.0))
        w, h = (b, a) if turn % 180 else (a, b)
        x, y = pick.uniform(w / 2, 2000 - w / 2), pick.uniform(h / 2, 820 - h / 2)
        mine = (x - w / 2 - 6, y - h / 2 - 6, x + w / 2 + 6, y + h / 2 + 6)
        if any(mine[0] < t[2] and t[0] < mine[2] and mine[1] < t[3] and t[1] < mine[3] for t in taken):
            continue
        taken.append(mine)
        pile.add(f"g{i}", lying(x, y, turn), size=(a, b, 200))
    pile.add("crate", None, size=(pick.uniform(400, 1200), pick.uniform(300, 800), 200))
    scene = pile.scene(shop(zones=[SPOT]))
    found = asked(scene, seconds=0.3)
    assert found is not None
    if found.answer == "fits":
        played(scene, found, "crate", 4.99)


# --- on a bench -------------------------------------------------------------------------------------------


def test_on_a_bench_what_has_a_stated_place_is_what_would_move() -> None:
    """Two boxes stand apart in the middle of 1000 x 600; the third needs half the bench."""
    bench = zone("bench", (0, 0), (1000, 600), kind="bench")
    pile = Pile()
    pile.add("left box", lying(350, 300, on="bench"), size=(200, 300, 100))
    pile.add("right box", lying(650, 300, on="bench"), size=(200, 300, 100))
    pile.add("plate", None, size=(600, 500, 50))
    scene = pile.scene(shop(zones=[bench], limits=Limits(fill=1.0)))
    quick = [f for f in judge(scene, "plate", InZone("bench")) if f.rule == "no-layout"]
    assert [f.grade for f in quick] == ["stop"] and "fits if" not in quick[0].remedy
    (stop,) = [f for f in judge(scene, "plate", InZone("bench"), thorough=True) if f.rule == "no-layout"]
    assert stop.grade == "stop" and stop.id == quick[0].id
    assert stop.remedy.startswith("fits if ") and "box goes" in stop.remedy


# --- perfect squares, laid down ---------------------------------------------------------------------------

MORON = (33, 32, (18, 15, 7, 8, 14, 4, 10, 1, 9))
"""Z. Moroń, Przegląd Matematyczno-Fizyczny 3 (1925); sides from memory, checked by their area."""
DUIJVESTIJN = (112, 112, (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50))
"""A. J. W. Duijvestijn, J. Combin. Theory B 25 (1978) 240-243; sides as OEIS A014530."""


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with Ledger.open(tmp_path / "x.ledger", by="jan", prefix="T") as opened:
        yield opened


def filled(ledger: Ledger, filling: tuple[int, int, tuple[int, ...]], grown: int | None) -> tuple[Shop, str]:
    """A bench with all squares on it but the last, in centimetres; one of them a millimetre longer."""
    length, width, sides = filling
    assert sum(side * side for side in sides) == length * width
    last = ""
    for i, side in enumerate(sides):
        size = Size(side * 10.0 + (1.0 if i == grown else 0.0), side * 10.0, 50)
        event = ledger.transact(
            lambda s, i=i, size=size: acts.take(s, f"square {i}", size=size, mass=Mass(1))
        )  # type: ignore[misc]
        last = event.subjects[0].partition(":")[2]
        if i < len(sides) - 1:
            ledger.transact(lambda s, last=last: acts.lay(s, last, InZone("bench"), {}))  # type: ignore[misc]
    bench = zone("bench", (0, 0), (length * 10.0, width * 10.0), kind="bench")
    return shop(zones=[bench], limits=Limits(fill=1.0)), last


@pytest.mark.parametrize("filling", [MORON, DUIJVESTIJN], ids=["order 9", "order 21"])
def test_the_last_square_of_a_perfect_filling_is_laid_down(ledger: Ledger, filling: tuple) -> None:
    there, last = filled(ledger, filling, None)
    laid = lay_down(ledger, there, last, InZone("bench"))
    assert laid.done and laid.stops == ()
    assert ledger.state.group(last).where == InZone("bench", "")


@pytest.mark.parametrize("filling", [MORON, DUIJVESTIJN], ids=["order 9", "order 21"])
@pytest.mark.parametrize("grown", [0, -1])
def test_with_one_side_a_millimetre_longer_it_is_refused(ledger: Ledger, filling: tuple, grown: int) -> None:
    there, last = filled(ledger, filling, grown % len(filling[2]))
    seq = ledger.seq
    laid = lay_down(ledger, there, last, InZone("bench"))
    assert not laid.done and ledger.seq == seq
    assert {f.rule for f in laid.stops} & {"full", "no-layout"}
