"""Several acts are one event, and none where any of them cannot be."""

from __future__ import annotations

import pytest

from shopbins.desk.problems import BadInput, NotDone
from shopbins.records import care, how, shortage
from shopbins.records.registry import ACTS


@pytest.mark.parametrize(
    ("second", "problem"),
    [
        (lambda: care.ADD(name="grease it", position="no such part", every_days=5.0), NotDone),
        (lambda: care.ADD(name="grease it"), BadInput),
    ],
)
def test_nothing_is_written_where_one_is_refused(desk, second, problem) -> None:
    desk.take("crank", origin=("engine", "bottom"))
    before = desk.seq
    with pytest.raises(problem):
        desk.do(care.HOURS(machine="engine", hours=5.0, on="2026-11-25"), second())
    assert desk.seq == before and "hours" not in desk.state.tables


def test_two_acts_on_one_document_are_one_event_and_undone_as_one(desk) -> None:
    desk.take("crank", origin=("engine", "bottom"))
    crank = desk.names.one("position", "crank")
    before = dict(desk.state.docs("part").get(crank, {}))
    seq = desk.do(how.HOW(crank, trick="heat"), how.DAYS(crank, days=(1, 2))).seq
    assert desk.state.docs("part")[crank].items() >= {"days": [1.0, 2.0], "how": {"trick": "heat"}}.items()
    assert seq == desk.seq
    assert "noted how it came off: crank and noted the days for crank" in desk.undo()[1]
    assert desk.state.docs("part").get(crank, {}) == before


def test_every_act_has_words() -> None:
    assert all(act.kind == kind and act.did for kind, act in ACTS.items())
    assert shortage.ADD.kind in ACTS
