"""What stands in the way is shifted by what takes it: hands, gear judged for it, or a move of its own.

Teams of one to three: HSE INDG143 and L23 paragraph 120, 25 x 3 x 1/2 = 37.5 kg; up to 125 kg for three is
looked at by HSE's MAC. What a plate says is not exceeded: the gear's plate, as the shop file has it.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Verdict
from shopbins.desk import Desk
from shopbins.desk.movewords import told
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.moves.carriers import shifted_by
from shopbins.moves.finding import row_of
from shopbins.moves.lifting import shifts
from shopbins.moves.shiftlist import By, Shifted
from shopbins.moves.steps import _shift, steps_of
from shopbins.records import acts_move
from shopbins.records.moving import Moving
from tests.moves.weir import PLAIN, SKATES, TRUCK, B, move, of, shop, shop_text

JACK = "{kind: toe jack, count: 2, capacity: 5 t, toe: 2.5 t, lowered: 25, raised: 230}"
LOW = "under=60mm"
"""Lower than the 85 mm of the truck's forks."""
FEET = ("foot=-400,-300", "foot=400,-300", "foot=400,300", "foot=-400,300")
KNOWN = ("opening=420mm", "under=110mm", "cg=0,0", "cg height=300mm")
SHUT = (6200.0, 2000.0)
"""In the way behind the door, across all of it."""


def _shop(
    folder: Path, gear: dict[str, str], kg: float | None, words: tuple[str, ...], b: str = B
) -> tuple[Desk, str]:
    desk = shop(folder, shop_text(gear=gear, b=b, mid="height: 2.2 m, threshold: 0"), PLAIN)
    mass = None if kg is None else Mass(kg)
    key = desk.take("crate", size=Size(1000, 800, 700), mass=mass).id
    desk.put(key, "b", x_mm=SHUT[0], y_mm=SHUT[1], turn_deg=90, override="x")
    known = told(Moving(), words, lambda code: code)
    desk.record(lambda state: acts_move.describe(state, key, known))
    return desk, key


def _by(
    folder: Path, gear: dict[str, str], kg: float | None, words: tuple[str, ...] = (), b: str = B
) -> By | None:
    desk, key = _shop(folder, gear, kg, words, b)
    scene = desk.scene()
    it = Shifted(f"group:{key}", "", "crate", "b", "", None, kg, int(kg is None))
    goal = scene.zone("far")
    assert goal is not None
    return shifted_by(scene, it, goal)


TRUCK_ONLY = {"narrow truck": TRUCK}
BOTH = {**TRUCK_ONLY, "skates": SKATES, "jack": JACK}


@pytest.mark.parametrize(
    ("gear", "kg", "words", "how", "people"),
    [
        (TRUCK_ONLY, 25.0, (), "hands", 1),
        (TRUCK_ONLY, 37.5, (), "hands", 3),
        (TRUCK_ONLY, 600.0, KNOWN, "gear", 0),
        (TRUCK_ONLY, 600.0, (), "looked at", 0),  # whether its forks go under is not told
        (TRUCK_ONLY, 2400.0, KNOWN, "nothing", 0),  # 2.3 t on its plate
        (TRUCK_ONLY, 600.0, (*KNOWN, LOW), "nothing", 0),
        (TRUCK_ONLY, 100.0, (*KNOWN, LOW), "team", 3),
        (BOTH, 600.0, (*KNOWN, LOW, *FEET), "own move", 0),
        (BOTH, 600.0, (*KNOWN, *FEET), "gear", 0),
    ],
)
def test_what_shifts_a_thing(
    tmp_path: Path, gear: dict[str, str], kg: float, words: tuple[str, ...], how: str, people: int
) -> None:
    by = _by(tmp_path, gear, kg, words)
    assert by is not None and (by.how, by.people) == (how, people), by


def test_what_is_not_weighed_is_asked(tmp_path: Path) -> None:
    assert _by(tmp_path, TRUCK_ONLY, None) is None


def test_more_gear_never_makes_it_worse(tmp_path: Path) -> None:
    """Metamorphic: whatever takes it still takes it with another gear in the shop file."""
    order = ("hands", "gear", "looked at", "team", "own move", "nothing")
    for n, words in enumerate(((), KNOWN, (*KNOWN, LOW, *FEET))):
        for m, kg in enumerate((60.0, 600.0, 2400.0)):
            ranks = []
            for k, gear in enumerate((TRUCK_ONLY, BOTH)):
                folder = tmp_path / f"{n}{m}{k}"
                folder.mkdir()
                by = _by(folder, gear, kg, words)
                assert by is not None
                ranks.append(order.index(by.how))
            assert ranks[1] <= ranks[0], (words, kg)


@pytest.mark.parametrize(
    ("words", "word", "said"),
    [
        ((*KNOWN, LOW, *FEET), "does not go", "a move of its own on skates"),
        (KNOWN, "goes only with", "truck"),
    ],
)
def test_a_thing_in_the_way_that_no_gear_takes_forbids_the_move(
    tmp_path: Path, words: tuple[str, ...], word: str, said: str
) -> None:
    desk, _ = _shop(tmp_path, BOTH, 900.0, words)
    plan = move(desk, gear="narrow truck")
    assert plan.shift and plan.word == word
    (part,) = of(plan, "move-shift")
    ends = row_of(part).ends
    assert said in (ends[0] if ends else part.text)
    first = steps_of(desk.scene(), plan)[0]["title"]
    assert word == "does not go" or first.endswith("on narrow truck")


@pytest.mark.parametrize(("slope", "how"), [("none", "gear"), ("{fall: 1 in 15, towards: 0}", "own move")])
def test_over_a_slope_it_is_a_move_of_its_own(tmp_path: Path, slope: str, how: str) -> None:
    """No truck moves anything down a slope in one line: EN ISO 3691-5 1 h) sets no requirements there."""
    braked = {"truck": TRUCK.replace("}", ", brake: yes, steepest: 1 in 12}")}
    by = _by(tmp_path, braked, 600.0, KNOWN, b=f"{B}, slope: {slope}")
    assert by is not None and by.how == how


def test_what_lies_loose_on_a_thing_in_the_way_is_off_or_made_fast_before_it_is_shifted(
    tmp_path: Path,
) -> None:
    desk, key = _shop(tmp_path, TRUCK_ONLY, 20.0, ())
    for name, how in (("vice", "on"), ("nut", "in")):
        desk.put_into(desk.take(name, size=Size(200, 200, 200), mass=Mass(4)).id, key, how)
    scene = desk.scene()
    crate = Shifted(
        f"group:{key}", "", "crate", "b", "", None, 28.0, 0, InZone("b"), by=By("hands", people=1)
    )
    attempt = SimpleNamespace(shift=SimpleNamespace(items=(crate,)))
    it: Any = SimpleNamespace(scene=scene, attempt=attempt, subjects=("group:1",))
    (loose,) = shifts(it)
    assert loose.verdict is Verdict.ASKED and loose.text == "what lies on crate made fast, or off"
    assert "vice" in row_of(loose).finding.text and "nut" not in row_of(loose).finding.text
    assert "crate (28 kg), vice off it first, or made fast, to" in _shift(scene, crate)["title"]
