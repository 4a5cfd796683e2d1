"""What lies at once on a way, what is laid again on it, and where it halts between: each class by itself."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from shopbins.answer import Part, Verdict
from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline, Pose, placed, rectangle
from shopbins.moves import laying, layouts, overbends, overedges, running, steps
from shopbins.moves.crossings import Crossing, again, between_halts, crossings, lacking, rounds
from shopbins.moves.finding import row_of
from shopbins.moves.kept import kept_at
from shopbins.moves.plates import Edge, Laid, Piece, Ramps
from shopbins.moves.room import PUSHERS
from shopbins.moves.route import Ground, Route
from shopbins.moves.running import Hitch
from shopbins.moves.spans import Bridged
from shopbins.moves.standing import TIPS
from shopbins.shop.figures import OWN
from shopbins.shop.model import Gear, Slope

BIG = Gear("big", "big plates", "plate", count=2, height_mm=20.0)
THIN = Gear("thin", "thin plates", "plate", count=2, height_mm=10.0)
RAMP = Gear("wedge", "wedges", "ramp", count=8)


def _laid(name: str, y0: float, y1: float, gear: Gear = BIG, count: int = 2) -> Laid:
    outline = ((0.0, y0), (1000.0, y0), (1000.0, y1), (0.0, y1))
    return Laid(
        gear, f"opening:{name}", name, "hall", count, 300.0, outline, Bridged("", "", 0.0), 1.0, (), 1.0
    )


def _at(name: str, first: int, last: int, *lies: Any) -> Crossing:
    edge = Edge(name, name, (f"opening:{name}", "plate edge"), "hall", 20.0, ((0.0, 0.0),))
    return Crossing(name, edge, lies, first, last, first - 1)


def _over(*laid: Laid, sill: Outline | None = None, fall: float = 0.0, slope: Outline = ()) -> Any:
    """Wheels 1000 apart along the way, from y 0 to 8000 in poses 100 apart, some of it on a slope."""
    poses = tuple(Pose(500.0, 100.0 * n, 0.0) for n in range(81))
    wheels = ((-300.0, -500.0), (300.0, -500.0), (300.0, 500.0), (-300.0, 500.0))
    leg = SimpleNamespace(poses=poses, room=SimpleNamespace(key="hall"), slope=None)
    edges = () if sill is None else (Edge("door", "the sill of door", ("door:d",), "hall", 20.0, sill),)
    room = SimpleNamespace(outline=slope, slope=Slope(fall, 90.0) if fall else None)
    return SimpleNamespace(
        rooms=(room,),
        on=lambda room, poses: [pose for pose in poses if overlap(placed(wheels, pose), room.outline)],
        own=OWN,
        laid=laid,
        ramps=(),
        ramps_at=lambda edge: None,
        edges=edges,
        kind="trolley",
        gear=SimpleNamespace(rolls_on=wheels, touching=wheels),
        legs=(leg,),
        poses=lambda: ((leg, pose) for pose in poses),
        subjects=("group:1",),
        attempt=None,
    )


@pytest.mark.parametrize(("bare", "groups"), [(1000.0, 2), (950.0, 1)])
def test_it_halts_between_where_all_its_wheels_have_room(bare: float, groups: int) -> None:
    """Wheels 1000 apart stand on 1000 of bare floor between plates, and on no less; told in any order."""
    pit, duct = _laid("pit", 2000.0, 3000.0), _laid("duct", 3000.0 + bare, 5000.0)
    every = crossings(_over(duct, pit))
    assert [each.name for each in every] == ["2 of big plates over pit", "2 of big plates over duct"]
    assert (every[0].first, every[0].last) == (16, 34)  # front wheels past 2000 at 1600, rear off at 3500
    assert len(between_halts(every)) == groups


def test_a_bare_sill_is_no_floor_to_halt_on() -> None:
    pit, duct = _laid("pit", 2000.0, 3000.0), _laid("duct", 4200.0, 5000.0)
    sill = ((0.0, 3500.0), (1000.0, 3500.0), (1000.0, 3600.0), (0.0, 3600.0))
    assert len(between_halts(crossings(_over(pit, duct)))) == 2
    assert len(between_halts(crossings(_over(pit, duct, sill=sill)))) == 1


def test_plates_are_counted_over_all_places_where_they_lie_at_once() -> None:
    """2 told: 2 and 2 with no halt between are 4; with one they are laid again, nothing lacks."""
    pit, duct = (_laid(name, 0.0, 1.0) for name in ("pit", "duct"))
    near = (_at("pit", 10, 20, pit), _at("duct", 15, 30, duct))
    far = (_at("pit", 10, 20, pit), _at("duct", 22, 30, duct))
    assert [(gear.key, needed) for gear, needed, _ in lacking(near)] == [("big", 4)]
    assert not list(lacking(far)) and [len(some) for some in rounds(far)] == [1, 1]
    assert [(gear.key, then.name) for gear, _, then in again(far)] == [("big", "duct")]


@pytest.mark.parametrize(
    ("fall", "y1", "lacks"),
    [(0.01, 5000.0, 0), (1 / 40, 5000.0, 2), (1 / 40, 4200.0, 0), (1 / 40, 4210.0, 2)],
)
def test_plates_are_not_laid_again_where_let_go_it_runs_over_who_lays_them(
    fall: float, y1: float, lacks: int
) -> None:
    """2,415 kg on 1 in 40 runs with 2415 x 9.81 x sin(1.43 deg) = 592 N; jacked it counts as level to 1 in
    100 (own figure). Plates to 3000 and from 5200, wheels 1000 apart, in steps of 100: at the last place with
    its front short of 5200 its rear is at 4200, off a slope that ends there.
    """
    pit, duct = _laid("pit", 2000.0, 3000.0), _laid("duct", 5200.0, 6200.0)
    slope = ((0.0, 0.0), (1000.0, 0.0), (1000.0, y1), (0.0, y1))
    it = _over(pit, duct, fall=fall, slope=slope)
    (part,) = laying.at_once(it)
    if not lacks:
        assert part.verdict is Verdict.ASKED
        return
    assert part.verdict is Verdict.NO and row_of(part).ends == (f"{lacks} more of big plates",)
    assert "none on more than 1 in 100" in row_of(part).finding.text
    assert len(between_halts(crossings(it))) == 2  # for a line it may halt there, chocked both ways


@pytest.mark.parametrize(("beside", "halt"), [(499.0, 7), (501.0, 21)])
def test_it_halts_to_lay_plates_again_where_people_get_past_it_with_them(beside: float, halt: int) -> None:
    """1000 x 1000 from a lane through a doorway at y 1000, 2000 thick, `beside` free on one side of it there:
    a body of 500 (ISO 13854) gets past or not. At place 7 it stands within 250 of all it has gone over.
    """
    lane = ((-1000.0, -3000.0), (2000.0, -3000.0), (2000.0, 1000.0), (-1000.0, 1000.0))
    door = ((0.0, 1000.0), (1000.0 + beside, 1000.0), (1000.0 + beside, 3000.0), (0.0, 3000.0))
    hall = ((-1000.0, 3000.0), (2000.0, 3000.0), (2000.0, 9000.0), (-1000.0, 9000.0))
    ground = Ground(Route((), ("hall",), 0.0), (lane, door, hall), (), (), ())
    it = _over(_laid("duct", 2600.0, 5000.0))
    it.attempt = SimpleNamespace(ground=ground, then=None)
    it.hull = rectangle(1000.0, 1000.0)
    (duct,) = crossings(it)
    assert (duct.first, duct.halt) == (22, halt)


def test_it_halts_to_lay_plates_again_before_the_slope_they_lie_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """All wheels short of a slope from 3800 to y 3300 of its middle (its front 500 ahead), place 33; the
    plates from 5200 are first touched at place 48.
    """
    pit, duct = _laid("pit", 1000.0, 2000.0), _laid("duct", 5200.0, 6200.0)
    slope = ((0.0, 3800.0), (1000.0, 3800.0), (1000.0, 8000.0), (0.0, 8000.0))
    it = _over(pit, duct, fall=1 / 40, slope=slope)
    assert [(each.halt, each.first) for each in crossings(it)] == [(5, 6), (33, 48)]
    monkeypatch.setattr(steps, "stages", lambda it: ())
    monkeypatch.setattr(steps, "_set_round", lambda *_: [])
    monkeypatch.setattr(steps, "_conditions", lambda *_: [])
    monkeypatch.setattr(steps, "who_lays", lambda it, gear: "")
    plan: Any = None
    halts = steps._lines(it, plan, steps._laid(plan, it)).halts
    assert {halt.place for halt in halts} == {(0, 33)}
    first, *laying_again = (halt.step["title"] for halt in halts)
    there = (
        "roll it to 500,3300, before 2 of big plates over duct, every wheel on the floor and off the slope"
    )
    assert first == f"{there}: chock"
    assert list(steps._out_before(halts, 0, [])) == [*[""] * len(halts), "chocks out; "], "with the next roll"
    assert laying_again and not any("chock" in title for title in laying_again)


@pytest.mark.parametrize(("told", "words"), [(None, ["4 of big plates at hand"]), (4, [])])
def test_how_many_there_are_is_a_condition_where_nobody_told(told: int | None, words: list[str]) -> None:
    """2 over a pit and 2 over a duct lie at once: 4. One alone is told of by its name."""
    big = replace(BIG, count=told)
    pit, duct = _laid("pit", 2000.0, 3000.0, big), _laid("duct", 4000.0, 5000.0, big)
    parts = list(laying.at_once(_over(pit, duct)))
    assert [(part.verdict, part.text) for part in parts] == [(Verdict.ASKED, each) for each in words]
    assert not list(laying.at_once(_over(replace(pit, count=1))))


def test_what_there_is_enough_of_lies_from_the_start() -> None:
    one = (_at("pit", 1, 2, _laid("pit", 0, 1, count=1)), _at("duct", 5, 6, _laid("duct", 0, 1, count=1)))
    other = (_at("pit", 1, 2, _laid("pit", 0, 1)), _at("duct", 2, 6, _laid("duct", 0, 1, THIN)))
    for every in (one, other):
        assert [len(some) for some in rounds(every)] == [2]
        assert not list(lacking(every)) and not list(again(every))


def test_ramps_are_counted_too_and_what_lacks_at_one_place_is_told_there() -> None:
    ramps: list[Any] = [SimpleNamespace(gear=RAMP, count=n) for n in (4, 5, 9)]
    assert not list(lacking((_at("a", 1, 5, ramps[0]), _at("b", 5, 9, ramps[0]))))
    assert [n for _, n, _ in lacking((_at("a", 1, 5, ramps[0]), _at("b", 5, 9, ramps[1])))] == [9]
    assert not list(lacking((_at("a", 1, 5, ramps[2]),)))


def test_it_is_said_what_lacks_or_where_it_is_laid_again() -> None:
    pit = _laid("pit", 2000.0, 3000.0)
    (no,) = laying.at_once(_over(pit, _laid("duct", 3900.0, 5000.0)))
    assert no.verdict is Verdict.NO and row_of(no).ends == ("2 more of big plates",)
    assert (row_of(no).finding.measured, row_of(no).finding.limit) == (2, 4)
    (only,) = laying.at_once(_over(pit, _laid("duct", 4000.0, 5000.0)))
    assert only.verdict is Verdict.ASKED
    assert only.text == "big plates taken up behind it, laid before 2 of big plates over duct"


@pytest.mark.parametrize(
    ("thin", "gap", "laid"),
    [
        (Verdict.ASKED, 500.0, ["thin", "big"]),
        (Verdict.NO, 500.0, ["big", "big"]),
        (Verdict.ASKED, 1500.0, ["thin", "big"]),
        (Verdict.OPEN, 1500.0, ["big", "big"]),
    ],
)
def test_others_that_go_are_laid_at_one_place_before_any_are_laid_again(
    monkeypatch: pytest.MonkeyPatch, thin: Verdict, gap: float, laid: list[str]
) -> None:
    """2 of the big ones told, 2 needed at each of two places: 4 at once, or laid again where wheels
    1000 apart halt on 1500 between. Thin ones do at the pit, laid there only where nothing forbids them.
    """
    kinds = [
        [_laid("pit", 2000.0, 3000.0), _laid("pit", 2000.0, 3000.0, THIN)],
        [_laid("duct", 3000.0 + gap, 6000.0)],
    ]

    def by_lack(it: Any, edge: Edge) -> list[tuple[Verdict, None]]:
        return [(thin if it.laid[0].gear is THIN else Verdict.YES, None)]

    monkeypatch.setattr(layouts, "replace", lambda it, **more: SimpleNamespace(**{**vars(it), **more}))
    monkeypatch.setattr(layouts, "bridges", lambda it: kinds)
    monkeypatch.setattr(layouts, "runs_over", lambda it: [])
    monkeypatch.setattr(layouts, "by_lack", by_lack)
    monkeypatch.setattr(layouts, "beds", lambda it, lies: ())
    assert [each.gear.key for each in layouts.with_laid(_over()).laid] == laid


@pytest.mark.parametrize("told", [4, 6])
def test_more_plates_told_of_never_lack(monkeypatch: pytest.MonkeyPatch, told: int) -> None:
    """At a sill 4 lie along the way or 2 across it, over the pit 2: of 4 told the 2 across and 2 are all,
    of 6 the 4 and 2.
    """
    big = replace(BIG, count=told)
    sill: Outline = ((0.0, 3500.0), (1000.0, 3500.0), (1000.0, 3600.0), (0.0, 3600.0))
    along, across = (
        Ramps(big, _over(sill=sill).edges[0], n, 500.0, 900.0, 90.0, (0.0,), 800.0, 0.05) for n in (2, 1)
    )

    def by_lack(it: Any, edge: Edge) -> list[tuple[Verdict, Ramps | None]]:
        if not edge.is_sill:
            return [(Verdict.ASKED, None)]
        return [(Verdict.ASKED, along), (Verdict.ASKED, across), (Verdict.NO, None)]

    monkeypatch.setattr(layouts, "replace", lambda it, **more: SimpleNamespace(**{**vars(it), **more}))
    monkeypatch.setattr(layouts, "bridges", lambda it: [[_laid("pit", 4200.0, 5000.0, big)]])
    monkeypatch.setattr(layouts, "runs_over", lambda it: [])
    monkeypatch.setattr(layouts, "by_lack", by_lack)
    monkeypatch.setattr(layouts, "beds", lambda it, lies: ())
    at = layouts.with_laid(_over(sill=sill))
    assert [each.count for each in at.ramps] == [told - 2]


@pytest.mark.parametrize(("x", "told"), [(999.0, True), (1001.0, False)])
def test_what_lies_under_an_open_leaf_has_to_be_free_under_it(x: float, told: bool) -> None:
    """A plate 1000 wide, 20 thick on 5 of packing, a leaf that stands open over its last mm, or beside."""
    leaf = ((x, 2000.0), (x + 40, 2000.0), (x + 40, 3000.0), (x, 3000.0))
    laid = _laid("pit", 2000.0, 3000.0)
    piece = Piece(laid.outline, (0.0, 2000.0), 0.0, 1000.0)
    laid = replace(laid, pieces=(piece,), bridged=Bridged("", "", 5.0))
    it: Any = _over(laid)
    it.attempt = SimpleNamespace(ground=SimpleNamespace(leaves=(("mid", leaf),)))
    it.scene = SimpleNamespace(shop=SimpleNamespace(doors={"mid": SimpleNamespace(name="mid")}))
    parts = list(laying.under_leaves(it))
    assert [(p.verdict, p.text) for p in parts] == [
        (Verdict.ASKED, "25 mm free under leaf of mid, or off")
    ] * told
    lean: Any = SimpleNamespace(edge=SimpleNamespace(height_mm=18.0), over_mm=10.0, foot_mm=10.0)
    assert Ramps.high_mm.fget(lean) == 28.0  # type: ignore[attr-defined]


class _Way(SimpleNamespace):
    """A way on which what lies at an edge is looked up."""

    def ramps_at(self, edge: Edge) -> Any:
        return next((each for each in self.ramps if each.edge is edge), None)


@pytest.mark.parametrize(
    ("iron", "few", "laid"),
    [
        (Verdict.ASKED, 4, ["wedge", "iron"]),  # the wedges for one sill, which do at both, are all there is
        (Verdict.NO, 4, ["wedge", "wedge"]),
        (Verdict.ASKED, 8, ["wedge", "wedge"]),
    ],
)
def test_another_kind_of_ramp_is_laid_at_one_edge_where_there_are_too_few(
    monkeypatch: pytest.MonkeyPatch, iron: Verdict, few: int, laid: list[str]
) -> None:
    """Sills 600 apart under wheels 1000 apart: four wedges at each lie at once, eight in all."""

    def sill(name: str, y: float) -> Edge:
        outline = ((0.0, y), (1000.0, y), (1000.0, y + 100), (0.0, y + 100))
        return Edge(name, name, (f"door:{name}",), "hall", 20.0, outline)

    kinds = [replace(RAMP, count=few), replace(RAMP, key="iron")]

    def meeting(_it: Any, edge: Edge) -> list[Any]:
        return [SimpleNamespace(gear=gear, count=4, edge=edge, run_mm=200.0, pieces=()) for gear in kinds]

    def judged(at: Any, edge: Edge) -> list[Part]:
        there = at.ramps_at(edge)
        bare = there is None
        return [Part(Verdict.NO if bare else iron if there.gear.key == "iron" else Verdict.YES, "", ())]

    for module in (overedges, layouts):
        monkeypatch.setattr(module, "replace", lambda it, **more: _Way(**{**vars(it), **more}))
    monkeypatch.setattr(layouts, "bridges", lambda it: [])
    monkeypatch.setattr(layouts, "runs_over", lambda it: [])
    monkeypatch.setattr(layouts, "beds", lambda it, lies: ())
    monkeypatch.setattr(overedges, "meeting", meeting)
    monkeypatch.setattr(overedges, "leaning", lambda *_: [])
    monkeypatch.setattr(overedges, "_sill", judged)
    monkeypatch.setattr(overedges, "pull_n", lambda _part: 0.0)
    monkeypatch.setattr(overedges, "tips_at", lambda *_: [])
    way = vars(_over()) | {"edges": (sill("one", 3500.0), sill("two", 4100.0))}
    del way["ramps_at"]
    assert [each.gear.key for each in layouts.with_laid(_Way(**way)).ramps] == laid  # type: ignore[arg-type]


FLOOR = ", every wheel on the floor"


def _in_two_legs(it: Any, at: int) -> Any:
    """The same way in two legs, from a pose on in another room."""
    poses, rooms = it.legs[0].poses, (SimpleNamespace(key="hall"), SimpleNamespace(key="far"))
    it.legs = tuple(
        SimpleNamespace(poses=some, room=room, slope=None)
        for some, room in zip((poses[: at + 1], poses[at:]), rooms, strict=True)
    )
    it.poses = lambda: ((leg, pose) for leg in it.legs for pose in leg.poses)
    return it


@pytest.mark.parametrize(("leg_at", "place", "where"), [(20, (0, 15), "500,1500"), (33, (1, 0), "500,3300")])
def test_a_line_is_changed_before_the_crossing_it_serves(
    leg_at: int, place: tuple[int, int], where: str
) -> None:
    """Plates from 2000 to 3000, wheels 1000 apart: on them from y 1600 to 3400 of its middle. A straight that
    begins at 2000 pulls it over them, its line on at 1500; one that begins at 3300 does not.
    """
    it = _in_two_legs(_over(_laid("pit", 2000.0, 3000.0)), leg_at)
    stage: Any = None
    halt = steps._changed(it, stage, Hitch(1, "line to ring", 2000.0), (), crossings(it))
    assert halt.place == place
    assert halt.step["title"].startswith(f"roll it to {where}: chock, then change the line: line to ring")
    assert halt.rest is not None and f"{halt.rest.x_mm:.0f},{halt.rest.y_mm:.0f}" == where
    assert ("it halts on the floor" in halt.step["title"]) is (place == (1, 0))


def test_what_is_about_one_place_is_kept_there() -> None:
    """1000 long: over both floors, which meet at 4000, with its middle from 3500 to 4500, places 36 to 44 of
    81; with a wheel on a sill from 6000 to 6100 from 5500 to 6600, between wheels too.
    """
    it = _over(sill=((0.0, 6000.0), (1000.0, 6000.0), (1000.0, 6100.0), (0.0, 6100.0)))
    it.hull = rectangle(600.0, 1000.0)
    floors = {"hall": (0.0, 4000.0), "far": (4000.0, 9000.0)}
    rooms = {
        key: SimpleNamespace(outline=((0.0, a), (1000.0, a), (1000.0, b), (0.0, b)))
        for key, (a, b) in floors.items()
    }
    it.scene = SimpleNamespace(shop=SimpleNamespace(rooms=rooms, doors={}))
    met = ("room:hall", "room:far")
    lifted = overbends.GROUNDS.only(("group:1",), "lifted 19 mm where far meets hall", "", at=met)
    few = PUSHERS.only(("group:1",), "winch where 4 find no room", "", at_mm=(510.0, 5010.0))
    worst = TIPS.only(("group:1",), "dead slow", "", room="far")  # the worst of the whole way
    ahead = running.RUNS.only(("group:1", "ahead"), "nobody ahead down ramp", "", at=("door:d",))
    kept = [sorted(kept_at(it, part)) for part in (lifted, few, worst, ahead)]
    assert kept == [list(range(36, 45)), [50], list(range(81)), list(range(56, 66))]


def _titles(monkeypatch: pytest.MonkeyPatch, *every: Crossing) -> list[str]:
    """What is done at each halt of a way with a turn at its start, after which lines are on again."""
    asked = {
        "move-push": [
            Part(Verdict.ASKED, f"winch at {each.name}", each.edge.subjects) for each in every if each.edge
        ],
    }
    turn = steps.Halt(0, 1, "hall", {"title": "turn"})
    monkeypatch.setattr(steps, "stages", lambda it: ())
    monkeypatch.setattr(steps, "crossings", lambda it: every)
    monkeypatch.setattr(steps, "_set_round", lambda *_: [turn])
    monkeypatch.setattr(
        steps, "_conditions", lambda plan, *rules: [p for r in rules for p in asked.get(r, ())]
    )
    monkeypatch.setattr(steps, "_do", lambda title, *_: {"title": title})
    monkeypatch.setattr(steps, "who_lays", lambda it, gear: "")
    plan: Any = None
    it = _over()
    return [halt.step["title"] for halt in steps._lines(it, plan, steps._laid(plan, it)).halts]


def test_what_is_under_its_wheels_comes_out_with_the_next_step_that_rolls() -> None:
    """Common practice, no source: who leaves off after any step leaves it chocked."""
    halts = [
        steps.Halt(0, 0, "a", {}, out=("chocks",)),
        steps.Halt(0, 0, "a", {}, stands=True, out=("wedges", "chocks")),
        steps.Halt(1, 0, "a", {}),
    ]
    assert list(steps._out_before(halts, 0, ["wedges"])) == [
        "wedges out; ",
        "",
        "wedges and chocks out; ",
        "",
    ]
    assert list(steps._out_before(halts[1:2], 1, ["chocks"])) == ["", "wedges and chocks out; "]


def test_halts_come_in_the_order_of_the_way_and_only_where_there_is_room(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    pit, duct = _laid("pit", 2000.0, 3000.0, THIN), _laid("duct", 4000.0, 5000.0)
    assert _titles(monkeypatch, _at("pit", 16, 34, pit), _at("duct", 36, 54, duct)) == [
        "turn",
        f"roll it to 500,1500, before pit{FLOOR}: chock; on: winch at pit",
        f"roll it to 500,3500, before duct{FLOOR}: chock; on: winch at duct",
    ]
    assert _titles(monkeypatch, _at("pit", 16, 34, pit), _at("duct", 35, 54, duct)) == [
        "turn",
        f"roll it to 500,1500, before pit{FLOOR}: chock; on: winch at pit; for duct, no halt before it, the "
        "rear still on pit: winch at duct",
    ]


def test_what_is_laid_again_is_taken_up_first_at_the_halt_before(monkeypatch: pytest.MonkeyPatch) -> None:
    pit, duct = _laid("pit", 2000.0, 3000.0), _laid("duct", 4000.0, 5000.0)
    titles = _titles(monkeypatch, _at("pit", 16, 34, pit), _at("duct", 36, 54, duct))
    assert [title.split(",")[0] for title in titles] == [
        "turn",
        "roll it to 500",
        "roll it to 500",
        "take up 2 of big plates over pit",
        "lay 2 of big plates over duct",
        "on: winch at duct",
    ]


def test_an_open_pit_is_guarded_once_its_plates_are_taken_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """29 CFR 1910.28(b)(3), from memory: nobody falls or steps into a hole: a cover or guardrails."""
    pit, duct = replace(_laid("pit", 2000.0, 3000.0), over_open=True), _laid("duct", 4000.0, 5000.0)
    titles = _titles(monkeypatch, _at("pit", 16, 34, pit), _at("duct", 36, 54, duct))
    (up,) = (title for title in titles if title.startswith("take up"))
    assert up.endswith("; pit is open again: a barrier all round it, or somebody to guard it")
    (only,) = laying.at_once(_over(pit, duct))
    assert only.text == "big plates taken up behind it, laid before 2 of big plates over duct; pit guarded"
    assert "a barrier all round pit, open again, or somebody to guard it" in row_of(only).finding.text
    steps_up = list(steps._taken_up([("2 of big plates over pit", pit, "", [])]))
    assert "pit is open again" in steps_up[0]["title"]
