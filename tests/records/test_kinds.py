"""Kinds of value: how each is typed, and that what is shown is read back."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins.ledger.events import fold
from shopbins.ledger.model import Mass, Size
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.records import kinds, milestone
from shopbins.records.corrections import _how_said
from shopbins.records.kinds import Kind

DAY = date(2026, 3, 1)


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (kinds.SPAN, "10", (10.0, 10.0)),
        (kinds.SPAN, "10-20 days", (10.0, 20.0)),
        (kinds.SPAN, "1 to 2 weeks", (7.0, 14.0)),
        (kinds.SPAN, "1-2 months", (30.4, 60.9)),
        (kinds.PERIOD, "1 year", 365.2),  # a Julian year is 365.25 days (IAU); kept to a tenth
        (kinds.PERIOD, "2 months", 60.9),
        (kinds.DATE, "", "2026-03-01"),
        (kinds.DATE, "today", "2026-03-01"),
        (kinds.DATE, "yesterday", "2026-02-28"),
        (kinds.COUNT, " 12 ", 12),
        (kinds.YES, "no", False),
        (kinds.YES, "move", True),
        # NIST SP 811 (2008), app. B.8: 1 lbf.ft = 1.355818 N.m
        (kinds.TORQUE, "48 lbf.ft", pytest.approx(48 * 1.355818, abs=1e-3)),
        (kinds.TORQUE, "65 N.m", 65.0),
        (kinds.TORQUE, "65", 65.0),
        (kinds.MASS, "4,5 kg", Mass(4.5)),
        (kinds.MASS, "about 0,250 t", Mass(250.0, about=True)),
        (kinds.SIZE, "1,2x0,8x0,05 m", Size(1200.0, 800.0, 50.0)),
    ],
)
def test_as_typed(kind: Kind, text: str, value: object) -> None:
    assert kind.read(text, DAY) == value


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        (kinds.SPAN, "soon"), (kinds.SPAN, "-3"), (kinds.SPAN, "3 moons"), (kinds.DATE, "0000-00-00"),
        (kinds.DATE, "2026-02-30"), (kinds.DUE, ""), (kinds.COUNT, "2.5"), (kinds.HOURS, "1e3"),
        (kinds.TORQUE, "hand tight"),
        (kinds.MASS, "1,200 kg"), (kinds.MASS, "4,5"), (kinds.MASS, "1.200,5 kg"),  # thousands, or which?
    ],
)  # fmt: skip
def test_what_cannot_be_read(kind: Kind, text: str) -> None:
    with pytest.raises(BadValue):
        kind.read(text, DAY)


@pytest.mark.parametrize(
    ("kind", "value"),
    [(kinds.SPAN, (20.0, 10.0)), (kinds.SPAN, (-1.0, 2.0)), (kinds.SPAN, (0.0, 3661.0)), (kinds.PERIOD, 0.0),
     (kinds.EACH_HOURS, 0.0), (kinds.HOURS, -1.0), (kinds.HOURS, 1e6 + 1), (kinds.COUNT, 0)],
)  # fmt: skip
def test_what_is_not_kept(kind: Kind, value: object) -> None:
    with pytest.raises(BadValue):
        kind.check(value, "it")


def test_the_edges_are_kept() -> None:
    assert kinds.NOTE.check("one line\nand another", "it") == "one line\nand another"
    assert kinds.SPAN.check((0.0, 3660.0), "it") == [0.0, 3660.0]
    assert kinds.HOURS.check(0, "it") == 0.0 and kinds.HOURS.check(1e6, "it") == 1e6
    assert kinds.PERIOD.check(1e-9, "it") == 1e-9


@given(st.floats(0.1, 3660), st.floats(0, 100), st.integers(1, 10**6))
def test_what_is_shown_is_read_back(low: float, more: float, count: int) -> None:
    low, high = round(low, 1), round(low + more, 1)
    assert kinds.SPAN.read(kinds.SPAN.show((low, high)), DAY) == (low, high)
    assert kinds.PERIOD.read(kinds.PERIOD.show(low), DAY) == low
    assert kinds.HOURS.read(kinds.HOURS.show(high), DAY) == high
    assert kinds.COUNT.read(kinds.COUNT.show(count), DAY) == count


def test_a_milestone_dropped_leaves_the_others_waited_for() -> None:
    tables: dict[str, dict[str, dict[str, object]]] = {
        "milestone": {"moved": {"name": "moved"}, "closed": {"name": "closed"}},
        "part": {"feet": {"after": ["moved", "closed"]}, "guard": {"after": ["moved"]}, "sump": {}},
    }
    draft = milestone.drop(State(tables), "Moved")
    assert set(draft.after) == {"milestone:moved", "part:feet", "part:guard"}
    fold(tables, draft.after)
    assert tables["part"]["feet"] == {"after": ["closed"]} and tables["part"]["guard"] == {}
    assert list(tables["milestone"]) == ["closed"]


@pytest.mark.parametrize(("name", "was", "said"), [
    ("tighten_nm", 40, "tighten 40"), ("tighten_nm", None, "tighten nothing"),
    ("angle_deg", 90, "angle 90"), ("source", "manual", "source manual"),
    ("shims", [(2, 0.05, "front")], "2 shims 0.050 mm at front"), ("shims", None, "shims nothing"),
    ("left_hand", True, "LEFT-HAND THREAD"), ("left_hand", None, "left hand nothing"),
    ("left_hand", False, "left hand no"),
])  # fmt: skip
def test_a_wrong_value_of_how_it_came_off_is_said_as_it_was_told(name: str, was: object, said: str) -> None:
    assert _how_said(name, was) == said
