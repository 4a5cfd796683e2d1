"""Which spots of a goal are looked at, in which order, and when all of them were."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from building import box

from shopbins.answer import Verdict
from shopbins.geometry.shapes import Pose
from shopbins.ledger.model import Mass, Size
from shopbins.moves import attempt as attempts
from shopbins.moves.attempt import Attempt, Job, spots
from shopbins.moves.body import body
from shopbins.moves.gearsearch import Search
from shopbins.moves.option import Worked
from shopbins.moves.room import JACK_ROOM
from shopbins.moves.route import Ground, Route
from tests.moves.weir import shop, shop_text

Goal = tuple[float, float, float, float]


def offered(
    kind: str,
    steering: str,
    floor: Goal,
    goal: Goal,
    start: Pose,
    refused: tuple[Pose, ...] = (),
    turn: float | None = 0.0,
    **how: Any,
) -> list[Pose | str]:
    """Return what is offered to a thing of 1600 x 900, turned 0, on gear of its own size."""
    x0, y0, x1, y1 = goal
    zone: Any = SimpleNamespace(
        name="end",
        kind="floor",
        outline=box(*goal),
        size_mm=(x1 - x0, y1 - y0),
        frame=SimpleNamespace(turn_deg=0.0),
    )
    job = Job(SimpleNamespace(), zone, turn, 5.0, frozenset(), float("inf"), **how)  # type: ignore[arg-type]
    ground = Ground(Route(("a",), (), 0.0), (box(*floor),), (), (), ())
    thing = box(-800, -450, 800, 450)
    its_body: Any = SimpleNamespace(outline=thing)
    gear: Any = SimpleNamespace(gear=SimpleNamespace(name=kind, kind=kind), steering=steering)
    base = Attempt(Verdict.NO, its_body, gear, ground=ground, start=start)
    return list(spots(job, base, ground, thing, refused))


LANE, END = (0, 0, 14000, 2400), (10800, 0, 13800, 2400)


@pytest.fixture(autouse=True)
def nothing_speaks_against_a_spot(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(attempts, "against", lambda *_asked, **_how: "")
    monkeypatch.setattr(attempts, "new_at", lambda *_asked: ())


@pytest.mark.parametrize("steering", ["axis", "radius"])
def test_where_a_jack_finds_no_room_a_spot_straight_before_it_is_next(steering: str) -> None:
    """The end wall is at 14000; the roomiest spot of 10800 to 13800 is its middle, 12300, the one nearest to
    where it comes from 10800 + 1600 / 2.
    """
    start = Pose(2300, 1200, 0)
    first = offered("skates", steering, LANE, END, start)[0]
    assert isinstance(first, Pose) and first.x_mm == 12300
    back = offered("skates", steering, LANE, END, start, (first,))
    assert back[0] == Pose(11600, 1200, 0) and first not in back
    assert len(back) == len(set(back)) >= 20  # and others all over the goal


@pytest.mark.parametrize(("steering", "first"), [("axis", [90, 0, 180, 270]), ("radius", [0, 180, 90, 270])])
def test_straight_gear_is_offered_each_turn_the_one_it_stands_at_first(
    steering: str, first: list[float]
) -> None:
    """What ends turned as it began may be rolled there without being set round (definition)."""
    start = Pose(2300, 2000, 90)
    found = offered("skates", steering, (0, 0, 9000, 4000), (5000, 0, 9000, 4000), start, turn=None)
    assert [spot.turn_deg for spot in found[:4] if isinstance(spot, Pose)] == first


def test_where_the_roomiest_spot_is_refused_one_straight_ahead_comes_before_the_corners(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(
        attempts, "against", lambda _job, _base, goal, **_how: "forks" if goal.x_mm > 12200 else ""
    )
    start = Pose(2500, 2000, 0)
    first, then, *_ = offered("pallet truck", "radius", (0, 0, 15000, 4000), (11000, 500, 14000, 3500), start)
    assert first == "forks" and then == Pose(11800, 2000, 0)


def test_spots_without_a_way_are_no_proof_that_none_of_the_goal_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only where there is no other spot at all were all of them looked at (definition)."""
    option: Any = SimpleNamespace(gear=SimpleNamespace(name="skates"))
    jack = (JACK_ROOM.no(("group:A",), "a jack takes 1000 mm, 900 mm is free", measured=900.0, limit=1000.0),)
    first: Any = SimpleNamespace(
        goal=Pose(0, 0, 0), steers=(), found=SimpleNamespace(path=(1,), clearance_mm=9.0)
    )
    for goal, verdict in ((Pose(9, 0, 0), Verdict.OPEN), (None, Verdict.NO)):
        other: Any = SimpleNamespace(goal=goal, steers=(), found=SimpleNamespace(path=(), clearance_mm=None))
        monkeypatch.setattr(
            Search, "_tried", lambda *_asked, to=other: SimpleNamespace(turned_down=True, attempt=to)
        )
        search: Any = object.__new__(Search)
        search.goal = SimpleNamespace(name="end")
        search.job = SimpleNamespace(
            missed={}, say=lambda _text: None, stop=lambda: False, out_of_time=lambda _what: False
        )
        (part,) = search._elsewhere(option, None, Worked(option, first, jack, 0.0), ()).parts
        assert part.verdict is verdict
        assert ("1 spots of end were looked at, not all" in part.text) == (verdict is Verdict.OPEN)


def test_another_spot_is_looked_for_over_the_covers_that_the_way_goes_over(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A drain from wall to wall: no way leads off it to any spot."""
    over: Any = SimpleNamespace(
        attempt=SimpleNamespace(steers=(), verdict=Verdict.YES), on_its_gear=1, parts=(), legs=(1,)
    )
    around: Any = SimpleNamespace(attempt=None, on_its_gear=2, parts=(), legs=())
    kept_off: list[object] = []

    def elsewhere(_search: Search, _option: Any, _route: Any, best: Any, avoid: Any) -> Any:
        kept_off.append(list(avoid))
        return best

    monkeypatch.setattr(Search, "_steers", lambda *_asked: ())
    monkeypatch.setattr(Search, "_to_avoid", lambda *_asked: ["drain"])
    monkeypatch.setattr(Search, "_straight", lambda *_asked: iter(()))
    monkeypatch.setattr(Search, "_elsewhere", elsewhere)
    monkeypatch.setattr("shopbins.moves.gearsearch._spared", lambda it, _over: it)
    search: Any = object.__new__(Search)
    search.glanced = {}
    option: Any = SimpleNamespace(side=())
    for off, wanted in ((around, []), (SimpleNamespace(**{**vars(around), "on_its_gear": 0}), ["drain"])):
        monkeypatch.setattr(
            Search, "_tried", lambda _s, _o, _r, avoid, *_more, off=off: off if avoid else over
        )
        search._by(option, None)
        assert kept_off[-1] == wanted


def test_a_spot_seen_to_be_refused_at_a_glance_is_one_that_the_audit_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against every rule of the audit with the thing there, at 60 spots on and off a walkway and a crate."""
    monkeypatch.undo()
    way = "walkways:\n  aisle: {line: [[7000, 2000], [10000, 2000]], width: 900 mm, least: 800 mm}\n"
    desk = shop(tmp_path, shop_text(more=way))
    crate = desk.take("crate", size=Size(500, 500, 500), mass=Mass(15)).id
    desk.put(crate, "far", x_mm=9400, y_mm=1000, override="stored there")
    scene, zone = desk.scene(), desk.scene().zone("far")
    assert zone is not None
    press = next(g for g in desk.state.groups() if g.name == "press").id
    it = body(scene, press, as_="tonight", off=(), base=True)
    gear: Any = SimpleNamespace(gear=SimpleNamespace(name="skates", kind="skates"), steering="axis")
    base = Attempt(Verdict.NO, it, gear)
    seen = set()
    for x, y, turn in itertools.product(range(7600, 9600, 400), range(1100, 3100, 500), (0, 45, 90)):
        job, goal = Job(scene, zone, None, 5.0, frozenset(), float("inf")), Pose(x, y, turn)
        told = attempts.against(job, base, goal, worst=True)
        every = [f.text for f in attempts.new_at(job, base, goal) if f.grade == "stop"]
        assert bool(attempts.against(job, base, goal)) == bool(every), (x, y, turn)
        assert told == (every[0] if every else "")
        seen.add(told.split(" narrows ")[-1][:5] if " narrows " in told else told[:5])
    assert {"", "aisle"} < seen  # and what overlaps the crate


def test_how_many_spots_were_looked_at_is_said_while_none_does(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    monkeypatch.setattr(attempts, "against", lambda *_asked, **_how: "forks")
    monkeypatch.setattr(attempts, "SAID_EACH_S", 0.0)
    every = offered("skates", "axis", LANE, END, Pose(2300, 1200, 0), say=said.append)
    assert set(every) == {"forks"}
    counts = [re.search(r"(\d+) of (\d+) spots of end looked at", text) for text in said]
    found = [(int(each[1]), int(each[2])) for each in counts if each is not None]
    assert found == sorted(found) and {of for _, of in found} == {len(every)} and len(found) >= 10
