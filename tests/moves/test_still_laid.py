"""What the steps ticked of a planned move laid lies there until one takes it up, whatever is asked next."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.ledger.state import State
from shopbins.moves.steps import _lay, _taken_up, _up_besides
from shopbins.moves.stilloff import lies_still, still_laid

RAMPS = "2 of ramps at d2"
LAY, GO, UP = {"what": "do", "lays": RAMPS}, {"what": "move"}, {"what": "do", "takes up": RAMPS}
DONE = {"done": "2026-12-01"}


@pytest.mark.parametrize(("steps", "there"), [
    ([LAY, GO, UP], []), ([LAY | DONE, GO, UP], [RAMPS]), ([LAY | DONE, GO | DONE, UP | DONE], []),
    ([GO, UP | {"lies": True}], [RAMPS]), ([GO | DONE, UP | {"lies": True} | DONE], []), ([], []),
])  # fmt: skip
def test_it_lies_there_until_it_is_taken_up(steps: list[dict[str, Any]], there: list[str]) -> None:
    state = State({"plan": {"x": {"title": "it", "steps": steps}}})
    assert still_laid(state, "x") == there
    it: Any = SimpleNamespace(
        scene=SimpleNamespace(state=state), body=SimpleNamespace(group=SimpleNamespace(id="x")), subjects=()
    )
    assert [part.text for part in lies_still(it)] == [f"{each}, still there: looked at" for each in there]


def test_what_lies_there_is_looked_at_and_taken_up_at_the_end() -> None:
    lies: Any = SimpleNamespace(pieces=(), where="100 mm from the jamb")
    lying = (RAMPS, lies, ", by 2 people", [])
    laid, again = next(_lay([lying])), next(_lay([lying], [RAMPS]))
    assert laid["title"].startswith(f"lay {RAMPS}") and again["title"].startswith(f"{RAMPS} lie there still")
    assert laid["lays"] == again["lays"] == RAMPS
    assert next(_taken_up([lying], [RAMPS]))["lies"] and not next(_taken_up([lying]))["lies"]
    assert not list(_up_besides([[lying]], [RAMPS]))
    (besides,) = _up_besides([], [RAMPS])  # it goes over none of them
    assert (
        besides["title"].startswith(f"take up {RAMPS}") and besides["takes up"] == RAMPS and besides["lies"]
    )
