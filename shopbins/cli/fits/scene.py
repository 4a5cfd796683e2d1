"""Answer scenes: a floor and one of five questions as JSON, the answer as JSON, or one line of what is wrong.

The format is described in docs/floor.md. The heavy modules are loaded only for the questions that need them.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shopbins.cli.fits import read
from shopbins.cli.fits.read import FloorScene
from shopbins.geometry.exact import gap, overlap
from shopbins.geometry.shapes import Box, FloorProblem, Outline, Point, Pose, placed

if TYPE_CHECKING:
    from shopbins.kernel.goes_answer import Certificate
    from shopbins.kernel.pinch import Floor

LONGEST_S = 60.0
MOST_BYTES = 64_000_000
NO_WAY_MM = 1e-6


def fits(path: str | Path) -> tuple[list[dict[str, Any]], int]:
    """Answer the scenes of a file; return one object a scene, and 1 where any had a problem, else 0."""
    file = Path(path)
    try:
        scenes = _scenes(file)
    except FloorProblem as problem:
        return [{"id": file.name, "seconds": 0.0, "problem": str(problem)}], 1
    answers = [answer_scene(scene, number=i) for i, scene in enumerate(scenes)]
    return answers, int(any("problem" in a for a in answers))


def answer_scene(scene: Any, *, number: int = 0) -> dict[str, Any]:
    """Answer one scene. The object has `id`, `seconds`, and either the answer or a `problem` in one line."""
    name = scene.get("id") if isinstance(scene, Mapping) else None
    told: dict[str, Any] = {"id": name if isinstance(name, (str, int)) else number}
    began = time.perf_counter()
    try:
        question = _question(read.mapping(scene, f"scene {number}", read.SCENE_KEYS))
        began = time.perf_counter()  # loading is no part of the answer
        answer = question(scene)
    except FloorProblem as problem:
        answer = {"problem": " ".join(str(problem).split())}
    except Exception as fault:  # the last resort of a batch: no scene may take the others down
        answer = {
            "problem": f"not checked, the program failed: {type(fault).__name__}: {read.shown(str(fault))}"
        }
    told["seconds"] = round(time.perf_counter() - began, 6)
    return told | answer


def _scenes(file: Path) -> list[Any]:
    try:
        if file.stat().st_size > MOST_BYTES:
            raise FloorProblem(f"{file.name}: larger than {MOST_BYTES // 1_000_000} MB")
        value = json.loads(file.read_text("utf-8-sig"))
    except OSError as problem:
        raise FloorProblem(f"{file.name}: {problem.strerror or 'cannot be read'}") from None
    except UnicodeDecodeError:
        raise FloorProblem(f"{file.name}: not UTF-8 text") from None
    except json.JSONDecodeError as problem:
        raise FloorProblem(f"{file.name}:{problem.lineno}:{problem.colno}: no JSON: {problem.msg}") from None
    except (RecursionError, ValueError):
        raise FloorProblem(f"{file.name}: nested too deeply, or a number too long") from None
    return value if isinstance(value, list) else [value]


def _question(scene: Mapping[str, Any]) -> Callable[[Mapping[str, Any]], dict[str, Any]]:
    """Return the function that answers a scene's question, its modules loaded."""
    question = read.needed(scene, "question")
    if question not in read.QUESTIONS:
        raise FloorProblem(f"question: {read.shown(question)} is none of {', '.join(read.QUESTIONS)}")
    import_module("shopbins.packing.rearrange" if question == "shuffle" else f"shopbins.kernel.{question}")
    answers = {"goes": _goes, "pinch": _pinch, "shift": _shift, "stand": _stand, "shuffle": _shuffle}
    return answers[question]


def _time(scene: Mapping[str, Any]) -> float:
    return read.number(scene.get("at_most_s", LONGEST_S), "at_most_s", least=0.0, most=86400.0)


def _posed(p: Pose) -> dict[str, float]:
    return {"x_mm": p.x_mm, "y_mm": p.y_mm, "turn_deg": p.turn_deg}


def _stands(ground: FloorScene, body: Outline, at: Pose, where: str, things: bool) -> None:
    """Raise a problem where a body cannot stand at an end of its way."""
    shape = placed(body, at)
    for i, thing in enumerate(ground.things if things else ()):
        if overlap(shape, thing.outline):
            depth = -gap(shape, thing.outline).distance_mm
            raise FloorProblem(f"{where}: the body stands {depth:.3g} mm deep in things[{i}]")
    for i, hole in enumerate(ground.holes):
        if overlap(shape, hole):
            raise FloorProblem(f"{where}: the body stands in holes_mm[{i}]")


def _ways(scene: Mapping[str, Any]) -> tuple[FloorScene, Outline, Pose, Pose]:
    ground, body = read.floor(scene), read.body(scene)
    start = read.pose(read.needed(scene, "start"), "start")
    return ground, body, start, read.pose(read.needed(scene, "goal"), "goal")


def _goes(scene: Mapping[str, Any]) -> dict[str, Any]:
    from shopbins.kernel.goes import goes
    from shopbins.kernel.goes_answer import NOT_DECIDED, TOO_CLOSE
    from shopbins.kernel.steering import Steering

    ground, body, start, goal = _ways(scene)
    _stands(ground, body, start, "start", things=True)
    _stands(ground, body, goal, "goal", things=True)
    found = goes(
        ground.outlines,
        ground.holes,
        [t.outline for t in ground.things],
        body,
        start,
        goal,
        steering=Steering(read.least_radius_mm(scene)),
        either_way=read.truth(scene, "either_way", True),
        time_limit_s=_time(scene),
    )
    if found.answer in (TOO_CLOSE, NOT_DECIDED) and read.least_radius_mm(scene) == 0.0:
        left_s = max(0.0, _time(scene) - found.seconds)
        found = _off_what_it_touches(scene, ground, body, start, goal, left_s) or found
    told: dict[str, Any] = {"answer": found.answer, "steering": found.steering}
    if found.path:
        told |= {"path": [_posed(p) for p in found.path], "clearance_mm": found.clearance_mm}
    if found.tightest is not None:
        told["tightest"] = {
            "pose": _posed(found.tightest.pose),
            "beside": found.tightest.name,
            "points": [list(p) for p in found.tightest.points],
        }
    if found.within_mm is not None:
        told["within_mm"] = found.within_mm
    if found.certificate is not None:
        told["certificate"] = _certificate(found.certificate)
    if found.reason:
        told["reason"] = found.reason
    return told


def _off_what_it_touches(
    scene: Mapping[str, Any], ground: FloorScene, body: Outline, start: Pose, goal: Pose, left_s: float
) -> Any:
    """Return a `goes` for a body that touches where it stands and nowhere else; None where that is not so."""
    from shopbins.kernel.goes_ends import goes_from_touching
    from shopbins.kernel.planner import Planner

    planner = Planner(ground.outlines, ground.holes, body, either_way=read.truth(scene, "either_way", True))
    things = [t.outline for t in ground.things]
    return goes_from_touching(planner, things, start, goal, time_limit_s=left_s)


def _certificate(certificate: Certificate) -> dict[str, Any]:
    """Tell the regions the body cannot leave; docs/floor.md says how they are checked."""
    return {
        "centre_mm": list(certificate.centre_mm),
        "inset_mm": certificate.inset_mm,
        "period_deg": certificate.period_deg,
        "pieces_mm": [_ring(p) for p in certificate.pieces],
        "cells": [
            {
                "from_deg": r.from_deg,
                "to_deg": r.to_deg,
                "outline_mm": _ring(r.outline),
                "holes_mm": [_ring(h) for h in r.holes],
            }
            for r in certificate.regions()
        ],
    }


def _ring(outline: Outline) -> list[list[float]]:
    return [[x, y] for x, y in outline]


def _shift(scene: Mapping[str, Any]) -> dict[str, Any]:
    from shopbins.kernel.shift import least_shift

    if read.least_radius_mm(scene) != 0.0:
        raise FloorProblem("steering: the least to shift is found for turning on the spot only")
    ground, body, start, goal = _ways(scene)
    _stands(ground, body, start, "start", things=True)
    _stands(ground, body, goal, "goal", things=False)
    found = least_shift(
        ground.outlines,
        ground.holes,
        [t.outline for t in ground.things],
        body,
        start,
        goal,
        [t.cost for t in ground.things],
        either_way=read.truth(scene, "either_way", True),
        time_limit_s=_time(scene),
    )
    told: dict[str, Any] = {
        "answer": found.answer,
        "cost": found.cost,
        "cost_at_least": found.cost_at_least,
        "shift": None if found.shift is None else list(found.shift),
        "optimal": found.optimal,
        "steering": found.steering,
    }
    if found.path:
        told |= {"path": [_posed(p) for p in found.path], "clearance_mm": found.clearance_mm}
    if found.reason:
        told["reason"] = found.reason
    return told


def _pinch(scene: Mapping[str, Any]) -> dict[str, Any]:
    from shopbins.geometry.features import thing_features, wall_features
    from shopbins.kernel.pinch import Floor

    began = time.perf_counter()
    ground = read.floor(scene)
    start = _free_point(ground, scene, "start")
    goals = [_free_point(ground, scene, "goal")] if scene.get("goals") is None else _goals(ground, scene)
    features = wall_features(ground.outlines, ground.holes)
    floor = Floor(features + thing_features((f"thing {i}", t.outline) for i, t in enumerate(ground.things)))
    found = floor.best(start, goals)
    told: dict[str, Any] = {
        "width_mm": found.width_mm,
        "between": list(found.between),
        "points": [list(p) for p in found.points],
    }
    if len(goals) > 1:
        told["goal"] = found.goal
    wanted, until = read.truth(scene, "route", False), began + _time(scene)
    if wanted and found.width_mm > NO_WAY_MM:
        told |= _route(floor, start, goals[found.goal], found.width_mm, until)
    return told


def _route(floor: Floor, start: Point, goal: Point, width_mm: float, until: float) -> dict[str, Any]:
    """Tell a way for the disc, or why none is drawn."""
    from shopbins.kernel.route import route

    try:
        way = route(floor.gaps, start, goal, width_mm, lambda: time.perf_counter() >= until)
    except TimeoutError:
        return {"reason": "no route is drawn: the time was up"}
    if way is None:
        return {"reason": "no route is drawn: none was found for a disc as wide"}
    return {"route_mm": [list(p) for p in way.points], "route_width_mm": way.width_mm}


def _goals(ground: FloorScene, scene: Mapping[str, Any]) -> list[Point]:
    raw = read.listing(scene["goals"], "goals", 1000)
    if not raw:
        raise FloorProblem("goals: none given")
    return [_free_at(ground, read.point(g, f"goals[{i}]"), f"goals[{i}]") for i, g in enumerate(raw)]


def _free_point(ground: FloorScene, scene: Mapping[str, Any], key: str) -> Point:
    return _free_at(ground, read.point(read.needed(scene, key), key), key)


def _free_at(ground: FloorScene, p: Point, where: str) -> Point:
    from shopbins.geometry.shapes import contains

    if not ground.holds(p):
        raise FloorProblem(f"{where}: it lies off the floor")
    for i, thing in enumerate(ground.things):
        if contains(thing.outline, p):
            raise FloorProblem(f"{where}: it lies in things[{i}]")
    return p


def _stand(scene: Mapping[str, Any]) -> dict[str, Any]:
    from shopbins.kernel.stand import stand

    ground, body = read.floor(scene), read.body(scene)
    near = None if scene.get("near") is None else read.point(scene["near"], "near")
    most = read.whole(scene.get("most", 12), "most", least=1, most=1000)
    never = [(f"hole {i}", h) for i, h in enumerate(ground.holes)]
    never += [(t.name, t.outline) for t in ground.things]
    marked = [(m.name, m.outline) for m in ground.marked]
    found = stand(ground.outlines, never, marked, body, read.turns(scene), near=near, most=most)
    places = [
        _posed(p.pose) | {"cost": p.cost, "reason": p.reason, "marked": list(p.marked)} for p in found.places
    ]
    return {"places": places, "none_for_certain": found.none_for_certain}


def _shuffle(scene: Mapping[str, Any]) -> dict[str, Any]:
    from shopbins.packing.shuffle import Surface, shuffle

    raw = read.mapping(read.needed(scene, "surface"), "surface", ("length_mm", "width_mm"))
    blocked = [
        _box(b, f"blocked_mm[{i}]")
        for i, b in enumerate(read.listing(scene.get("blocked_mm") or [], "blocked_mm"))
    ]
    surface = Surface(
        read.size(read.needed(raw, "length_mm", "surface"), "surface.length_mm"),
        read.size(read.needed(raw, "width_mm", "surface"), "surface.width_mm"),
        blocked,
        read.number(scene.get("gap_mm", 0.0), "gap_mm", least=0.0),
    )
    pieces = _pieces(scene)
    seconds = read.number(scene.get("at_most_s", 1.0), "at_most_s", least=0.001, most=86400.0)
    if scene.get("present") is not None:
        return _rearrange(scene, surface, pieces, seconds)
    found = shuffle(surface, pieces, seconds=seconds)
    told: dict[str, Any] = {"answer": found.answer, "fill": found.fill, "positions": _positions(found.spots)}
    return told | ({"reason": found.why} if found.why else {})


def _rearrange(
    scene: Mapping[str, Any], surface: Any, pieces: Sequence[Any], seconds: float
) -> dict[str, Any]:
    from shopbins.packing.rearrange import rearrange
    from shopbins.packing.shuffle import Spot

    present = []
    for i, raw in enumerate(read.listing(scene["present"], "present")):
        where = f"present[{i}]"
        spot = read.mapping(raw, where, read.PRESENT_KEYS)
        k = read.whole(read.needed(spot, "piece", where), f"{where}.piece")
        if not 0 <= k < len(pieces):
            raise FloorProblem(f"{where}.piece: there is no piece {k}")
        x, y = read.point(spot, where, read.PRESENT_KEYS)
        turn = read.number(spot.get("turn_deg", 0.0), f"{where}.turn_deg")
        if turn % 90.0 != 0.0:
            raise FloorProblem(f"{where}.turn_deg: {turn:g} is no quarter turn")
        present.append(Spot(k, x, y, turn % 180.0 == 90.0))
    found = rearrange(surface, pieces, present, seconds=seconds)
    moves = [
        {"piece": s.piece, "from": _spot(s.before), "to": _spot(s.after) or "set aside"} for s in found.shifts
    ]
    told: dict[str, Any] = {
        "answer": found.answer,
        "positions": _positions(found.spots),
        "moves": moves,
        "moved": found.moved,
        "fewest": found.fewest,
    }
    return told | ({"reason": found.why} if found.why else {})


def _pieces(scene: Mapping[str, Any]) -> list[Any]:
    from shopbins.packing.shuffle import Piece

    found = []
    for i, raw in enumerate(read.listing(read.needed(scene, "pieces"), "pieces", 2000)):
        where = f"pieces[{i}]"
        piece = read.mapping(raw, where, ("name", "length_mm", "width_mm", "may_turn"))
        length = read.size(read.needed(piece, "length_mm", where), f"{where}.length_mm")
        width = read.size(read.needed(piece, "width_mm", where), f"{where}.width_mm")
        found.append(
            Piece(
                length,
                width,
                read.truth(piece, "may_turn", True, where),
                read.text(piece, "name", "", where)[:80],
            )
        )
    return found


def _box(raw: Any, where: str) -> Box:
    values = read.listing(raw, where)
    if len(values) != 4:
        raise FloorProblem(f"{where}: four numbers are needed: least x, least y, greatest x, greatest y")
    a, b, c, d = (read.number(v, where) for v in values)
    if a >= c or b >= d:
        raise FloorProblem(f"{where}: least x, least y, greatest x, greatest y leave no area")
    return Box(a, b, c, d)


def _spot(s: Any) -> dict[str, Any] | None:
    return None if s is None else {"x_mm": s.x_mm, "y_mm": s.y_mm, "turn_deg": 90.0 if s.turned else 0.0}


def _positions(spots: Sequence[Any]) -> list[dict[str, Any]]:
    return [{"piece": s.piece} | (_spot(s) or {}) for s in spots]
