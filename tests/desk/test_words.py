"""Groups, places and deeds are said as a rebuilder would say them."""

from datetime import date
from itertools import count
from time import gmtime, strftime
from types import SimpleNamespace

import pytest

from shopbins.desk import Desk
from shopbins.ledger.whereabouts import ordinal
from shopbins.records.group import AWAY, CHANGE
from shopbins.records.inspection import INSPECT
from shopbins.records.tables import columns
from shopbins.reports.zone import zone_json, zone_text
from shopbins.strip.told import introduce


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (1, "1st"),
        (2, "2nd"),
        (3, "3rd"),
        (4, "4th"),
        (11, "11th"),
        (12, "12th"),
        (21, "21st"),
        (113, "113th"),
    ],
)
def test_ordinals(number: int, said: str) -> None:
    assert ordinal(number) == said


def test_a_group_is_introduced_by_name_order_origin_and_place(desk: Desk) -> None:
    tub = desk.take("tub 7", container="tub")
    springs = desk.take("valve springs, inlet", origin=("engine", "cylinder head 2"), container="bag", qty=6)
    desk.put(tub.id, "rack a", "1")
    desk.put_into(springs.id, tub.id)
    assert introduce(desk.state, springs.id) == (
        "valve springs, inlet x6 · 1st off, from cylinder head 2 · rack a/1, in tub 7"
    )


def test_what_is_rejected_says_so_first_and_is_found_by_it(desk: Desk) -> None:
    """ISO 9001:2015, 8.7.1: what does not conform is identified, that it is not used by mistake."""
    bush = desk.take("bush", origin=("engine", "head"))
    desk.put(bush.id, "rack a", "1")
    found = [hit.id for hit in (*desk.find("rejected", limit=5), *desk.find_once("rejected", limit=5))]
    assert (
        found == [] and columns(desk.state, "group")["release"].value(doc(desk, bush.id)) == "nothing asked"
    )

    desk.do(INSPECT(bush.id, what="dia", measured="9.8 mm", low="9.9 mm"))
    state = desk.state
    assert introduce(state, bush.id) == "REJECTED bush · 1st off, from head · rack a/1"
    assert [hit.id for hit in desk.find("rejected")] == [bush.id], "also in the index that was there before"
    assert [hit.id for hit in desk.find_once("rejected bush")] == [bush.id]
    assert columns(state, "group")["release"].value(doc(desk, bush.id)) == "rejected"
    there, groups = desk.scene().contents("rack a", "1"), [state.group(bush.id)]
    assert "REJECTED bush" in "\n".join(zone_text(state, "rack a/1", "rack a/1", there, groups))
    (said,) = zone_json(state, "rack a/1", there, groups)["groups"]
    assert said["release"] == "rejected"

    desk.do(INSPECT(bush.id, what="dia", measured="9.9 mm"))
    assert introduce(desk.state, bush.id).startswith("bush") and not desk.find("rejected")


def doc(desk: Desk, group_id: str) -> dict:
    return dict(desk.state.docs("group")[group_id])


def test_what_is_away_says_where_and_until_when(desk: Desk) -> None:
    group = desk.take("crankshaft")
    desk.do(AWAY(group.id, to="the grinder", until="2030-01-31", reason="regrind"))
    assert introduce(desk.state, group.id).endswith("away at the grinder until 2030-01-31")
    assert desk.state.away() == [group.id]
    assert date.fromisoformat(desk.history(group.id)[-1][0].after[f"group:{group.id}"]["where"]["since"])


def test_history_tells_each_step_in_a_sentence(desk: Desk) -> None:
    group = desk.take("flywheel", container="bare")
    desk.put(group.id, "bench")
    desk.do(CHANGE(group.id, note="ring gear chipped"))
    assert [said for _, said in desk.history(group.id)] == [
        "took off flywheel",
        "put down flywheel: bench",
        "changed flywheel (note)",
    ]


def test_undo_says_what_it_took_back(desk: Desk) -> None:
    group = desk.take("flywheel")
    desk.do(CHANGE(group.id, note="x"))
    _, said = desk.undo()
    assert said == "changed flywheel (note)"
    assert desk.state.group(group.id).note == ""


def test_the_origin_used_last_is_offered_first(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = (gmtime(day * 86_400) for day in count(20_000))
    told = SimpleNamespace(gmtime=lambda: next(clock), strftime=strftime)
    monkeypatch.setattr("shopbins.desk.taking.time", told)
    desk.take("rocker", origin=("engine", "head 1"))
    desk.take("piston", origin=("engine", "block"))
    desk.take("rocker shaft", origin=("engine", "head 1"))
    assert desk.origins() == [("engine", "head 1"), ("engine", "block")]


def test_of_origins_used_at_the_same_time_the_one_recorded_last_is_first(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = SimpleNamespace(gmtime=lambda: gmtime(20_000 * 86_400), strftime=strftime)
    monkeypatch.setattr("shopbins.desk.taking.time", told)
    used = [("engine", "fuel"), ("engine", "mounts"), ("winch", "brake"), ("engine", "fuel")]
    for n, origin in enumerate(used):
        desk.take(f"part {n}", origin=origin)
    assert desk.origins() == [("engine", "fuel"), ("winch", "brake"), ("engine", "mounts")]
