"""Undo does not get round a stop."""

from types import SimpleNamespace

import pytest

from shopbins.desk import Desk, NotDone
from shopbins.ledger.model import Mass
from shopbins.placing.takingback import WouldStop
from shopbins.records.group import LIFT_OFF


def test_what_goes_back_is_judged_where_it_goes(desk: Desk, shop_path) -> None:
    first = desk.take("gear case", container="box", mass=Mass(50.0))
    desk.put(first.id, "rack a", "2")
    desk.do(LIFT_OFF(first.id))
    with Desk.open(shop_path, by="helper") as other:
        second = other.take("pump case", container="box", mass=Mass(40.0))
        assert other.put(second.id, "rack a", "2").done
    with pytest.raises(NotDone, match=r"cannot be taken back.*60 kg"):
        desk.undo()
    assert desk.state.group(first.id).where is None


def test_an_overridden_stop_comes_back_with_its_reason(desk: Desk) -> None:
    case = desk.take("gear case", container="box", mass=Mass(90.0))
    assert desk.put(case.id, "rack a", "2", override="for now").done
    desk.undo()
    assert desk.state.group(case.id).where is None and not desk.state.docs("accepted")
    desk.redo()
    assert desk.state.in_zone("rack a", "2") == [case.id] and desk.state.docs("accepted")


def test_what_would_come_back_is_told_by_the_first_and_how_many_more() -> None:
    one, two, three = (SimpleNamespace(text=each) for each in ("it blocks the exit", "too heavy", "full"))
    said = [str(WouldStop(stops)) for stops in ((one,), (one, two), (one, two, three))]
    told = "cannot be taken back: it blocks the exit"
    assert said == [told, f"{told} and 1 more", f"{told} and 2 more"]
