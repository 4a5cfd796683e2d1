"""What a move rests on, as figures: what was accepted or planned counts while they are the same.

Another weight, spot, gear, goal, door or floor is another move; what is only written about them (a note, a
name, where in the file) is not. Figures are kept by what they are of ('thing', 'gear:winch', 'room:drive'):
numbers, words, and of what is long (outlines, feet) a mark that is another where that is.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.exact import gap, overlap
from shopbins.geometry.shapes import Outline, Pose, bounds, placed
from shopbins.ledger.state import State
from shopbins.moves.body import Body, NotMovable, body
from shopbins.moves.finding import Row
from shopbins.moves.gear import CARRIES
from shopbins.moves.inuse import borne
from shopbins.moves.situation import Situation
from shopbins.records.accepted import RESTS as TABLE
from shopbins.records.accepted import Figures, acceptance
from shopbins.scene.scene import Scene
from shopbins.units import show_angle, show_area_load, show_force, show_length, show_mass, show_slope

ONLY_WORDS = ("at", "key", "name", "note", "subject", "was")
"""Fields that say where a thing is written, and how it is called."""
BESIDE_MM = 1000.0
"""What stands so near the way counts as standing by it, a person and a handle between: own figure."""
LONG = "~"
"""How the mark of a long value begins."""


def rests_on(it: Situation) -> tuple[str, Figures]:
    """Return a word for all that a condition rests on, and its figures: the thing and where it stands, gear,
    goal, doors and floors passed, what is shifted, tools and limits.
    """
    goal = it.goal.key, *(() if it.onto is None else (it.onto.zone.key,))
    rooms, doors = (room.key for room in it.rooms), (door.key for door in it.doors)
    found = dict(_figures(it.scene, it.body, it.gear.gear.key, goal, rooms, doors))
    for each in () if it.attempt is None else it.attempt.shifted:
        found[f"shift:{each.code}"] = dict(_leaves({"mass_kg": each.mass_kg}))
    return word_of(found, it.level), found


def word_of(figures: Figures, *more: str) -> str:
    """Return a short word for figures: of others it is another."""
    text = json.dumps([figures, more], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def planned_on(scene: Scene, group_id: str, asked: Mapping[str, Any]) -> Figures:
    """Return the figures a planned move rests on as they are now, what stands by its way among them.

    `asked` is what the plan keeps of the question (as `desk.moving` writes it).
    """
    on: Body | str
    try:
        on = body(scene, group_id, as_=asked["as"], off=asked["off"], base=asked["base"])
    except NotMovable as why:
        on = str(why)
    goal = asked["floor"], asked["place"]
    found = dict(_figures(scene, on, asked["gear"], goal, asked["rooms"], asked["doors"]))
    path, hull = [Pose(*pose) for pose in asked["path"]], tuple((x, y) for x, y in asked["hull"])
    lines = [tuple((x, y) for x, y in area) for area in asked.get("lines", ())]
    return found | dict(beside(scene, group_id, asked["rooms"], path, hull, lines))


def _figures(
    scene: Scene, it: Body | str, gear: str, goal: Iterable[str], rooms: Iterable[str], doors: Iterable[str]
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    shop, rooms = scene.shop, tuple(rooms)
    if isinstance(it, str):
        yield "thing", {"cannot be moved": it}
    else:
        pose = it.pose
        stands = None if pose is None else (pose.x_mm, pose.y_mm, pose.turn_deg % 360)
        yield "thing", dict(_leaves({**_fields(it.load), "stands at": stands, "room": it.room}))
    for each in shop.gear.values():
        if each.key == gear or each.kind not in CARRIES or each.kind == "by hand":
            on = borne(scene, each, "" if isinstance(it, str) else it.group.id)
            yield f"gear:{each.key}", dict(_leaves(each)) | ({"what is on it": on} if on else {})
    floors = [shop.rooms[key] for key in rooms if key in shop.rooms]
    yield from ((f"room:{each.key}", dict(_leaves(each))) for each in floors)
    yield from ((f"door:{key}", dict(_leaves(shop.doors[key]))) for key in doors if key in shop.doors)
    zones = filter(None, map(scene.zone, dict.fromkeys(goal)))
    yield from ((f"zone:{each.key}", dict(_leaves(each))) for each in zones)
    flat = [scene.fixture(each.key) or each for each in shop.fixtures.values()]
    for kind, every in (("fixture", flat), ("opening", shop.openings.values())):
        yield from ((f"{kind}:{each.key}", dict(_leaves(each))) for each in every if each.room in rooms)
    yield "limits", {"figures": _mark(_plain(shop.limits)), "measured_mm": shop.measured_mm}


def beside(
    scene: Scene,
    group_id: str,
    rooms: Iterable[str],
    path: Sequence[Pose],
    hull: Outline,
    lines: Sequence[Outline] = (),
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Go through the figures of what stands by a way, or where lines to points go over it (`lines`), but for
    the thing itself and all on it.
    """
    by, own, passed = _by(tuple(path), hull), {group_id, *scene.under(group_id)}, set(rooms)
    for room in scene.shop.rooms:
        for each in scene.standing(room):
            if each.key in own or (each.kind == "fixture" and room in passed):
                continue
            by_way = room in passed and by(each.outline)
            if not by_way and not any(overlap(area, each.outline) for area in lines):
                continue
            where = {"stands at": each.centre, "outline": each.outline, "from_mm": each.base_mm}
            yield f"by {each.tag}", dict(_leaves({**where, "top_mm": each.top_mm, "mass_kg": each.mass_kg}))


@lru_cache(maxsize=4)
def _by(path: Sequence[Pose], hull: Outline) -> Callable[[Outline], bool]:
    """Return what tells whether an outline is by a way; after each step the same is asked of the same."""
    at = [placed(hull, pose) for pose in path]
    way = [convex_hull((*a, *b)) for a, b in pairwise(at)] or at
    near = [(bounds(outline).grown(BESIDE_MM), outline) for outline in way]

    @lru_cache(maxsize=1024)
    def by(outline: Outline) -> bool:
        box = bounds(outline)
        return any(b.touches(box) and gap(o, outline).distance_mm < BESIDE_MM for b, o in near)

    return by


def _fields(of: Any) -> dict[str, Any]:
    return {f.name: getattr(of, f.name) for f in fields(of) if f.name not in ONLY_WORDS}


def _leaves(of: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Go through all that is told of something, each by the names on the way to it."""
    if is_dataclass(of):
        of = _fields(of)
    if isinstance(of, Mapping):
        for name, value in of.items():
            yield from _leaves(value, f"{path} {name}".strip())
    elif isinstance(of, tuple | list) and of and all(hasattr(each, "key") for each in of):
        for each in of:
            yield from _leaves(_fields(each), f"{path} {each.key}".strip())
    elif isinstance(of, tuple | list):
        plain = _plain(of)
        short = len(of) <= 3 and all(isinstance(each, int | float) for each in of)
        if plain:
            yield path, ", ".join(f"{each:g}" for each in plain) if short else _mark(plain)
    elif of is not None and of != "":
        yield path, _plain(of)


def _plain(of: Any) -> Any:
    """Return a value as JSON has it, without what is only written about it."""
    if is_dataclass(of):
        return _plain(_fields(of))
    if isinstance(of, Mapping):
        return {str(key): _plain(value) for key, value in of.items()}
    if isinstance(of, tuple | list):
        return [_plain(each) for each in of]
    if isinstance(of, bool | int) or of is None:
        return of
    return round(of, 3) + 0.0 if isinstance(of, float) else str(of)


def _mark(plain: Any) -> str:
    return LONG + hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()[:8]


# --- what changed -----------------------------------------------------------------------------------------


SHOWN: Mapping[str, Callable[[float], str]] = {
    "_kg": show_mass,
    "_mm": show_length,
    "_kn": show_force,
    "_kn_m2": show_area_load,
    "_deg": show_angle,
    "fall": show_slope,
    "steepest": show_slope,
}
"""How a figure is printed, by the end of its name."""


def asked_anew(state: State, row: Row, name: str) -> str:
    """Say of a condition that is open although it was accepted who did so, and what is another since then.

    `name` is what the thing moved is called; '' where nobody accepted it before, or it holds.
    """
    found, on_record = row.finding, acceptance(state, row.finding.id)
    if on_record is None or on_record.kind != "condition" or found.accepted is not None:
        return ""
    known, measured = state.docs(TABLE).get(on_record.rests), on_record.accepted.measured
    since = [] if known is None else changes(known["figures"], row.figures, state, name)
    if measured is not None and found.measured is not None and measured != found.measured:
        since.append(f"{measured:.4g} {found.unit}, now {found.measured:.4g} {found.unit}")
    day = "" if on_record.accepted.since is None else f" on {on_record.accepted.since.isoformat()}"
    why = "; ".join(since) or "what it rested on then was not kept"
    return f"asked anew: accepted {on_record.accepted.said}{day}; since then {why}"


def changes(before: Figures, now: Figures, state: State, name: str) -> list[str]:
    """Say what is another than before, a line a thing: 'drive: gallery ring load 10 kN, now 300 N'.

    `name` is what the thing moved is called.
    """
    said = []
    for of in dict.fromkeys((*before, *now)):
        old, new = before.get(of), now.get(of)
        if old == new:
            continue
        what = name if of == "thing" else _called(state, of)
        if old is None or new is None:
            said.append(f"{what}: {'new there' if old is None else 'no longer there'}")
            continue
        names = [each for each in dict.fromkeys((*old, *new)) if old.get(each) != new.get(each)]
        said.append(f"{what}: {'; '.join(_change(each, old.get(each), new.get(each)) for each in names)}")
    return said


def _called(state: State, of: str) -> str:
    """Return the name of what figures are of."""
    kind, _, key = of.removeprefix("by ").partition(":")
    found = state.resolve_code(key) if kind in ("group", "shift") else None
    if found is not None and found[0] == "group":
        return state.group(found[1]).shown
    return key or "limits of the shop file"


def _change(figure: str, old: Any, new: Any) -> str:
    ends = [end for end in SHOWN if figure.endswith(end)]
    end = max(ends, key=len, default="")
    name = (figure.removesuffix(end) if end.startswith("_") else figure).replace("_", " ")
    if any(isinstance(each, str) and each.startswith(LONG) for each in (old, new)):
        return (
            f"{name} {'not told before' if old is None else 'no longer told' if new is None else 'another'}"
        )
    return f"{name} {_shown(old, end)}, now {_shown(new, end)}"


def _shown(value: Any, end: str) -> str:
    if value is None:
        return "not told"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return SHOWN[end](value) if end and isinstance(value, int | float) else str(value)
