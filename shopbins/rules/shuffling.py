"""Would it fit after a shuffle: what lies on a surface moved as little as can be, told by name."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from shopbins.geometry.shapes import Box, FloorProblem, Outline, bounds
from shopbins.ledger.model import Group, InZone
from shopbins.rules import poses
from shopbins.rules.say import listed, place
from shopbins.scene.frames import to_zone
from shopbins.scene.scene import Scene
from shopbins.scene.standing import footprint
from shopbins.shop.model import Level, Zone
from shopbins.units import show_point

if TYPE_CHECKING:
    from shopbins.packing.rearrange import Rearranged
    from shopbins.packing.shuffle import Piece, Spot, Surface

Answer = Literal["fits", "does not fit", "not found"]

SHUFFLE_S = 0.3
"""How long a shuffle is looked for."""

HEAPED = ("bag",)
"""Containers that may lie on each other without harm: on a bench or shelf they count by area only."""

MANY = 60
"""With more rectangles than this on a surface no arrangement is looked for."""

AT_EDGE_MM = 1.0
ROUNDING_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Move:
    """One thing that is to lie elsewhere on the same surface; `aside`: it has to be lifted off meanwhile."""

    group: str
    name: str
    code: str
    where: InZone
    words: str
    aside: bool = False


@dataclass(frozen=True, slots=True)
class Shuffle:
    """Whether a group fits on a surface after a shuffle: the moves in order, and where it then lies.

    `words` say it in a line, as a remedy. 'does not fit' is proven, for quarter turns; 'not found' is only
    what the search came to in the time it had, or of obstacles that are no upright rectangles.
    """

    answer: Answer
    moves: tuple[Move, ...]
    where: InZone | None
    words: str
    seconds: float = 0.0

    def remedy(self, otherwise: str) -> str:
        """Say it as a remedy: the moves, or that there are none found and what else could be done."""
        return self.words if self.answer == "fits" else f"{otherwise}; {self.words}"


def shuffle_for(
    scene: Scene, group: Group, zone: Zone, level: Level, *, seconds: float = SHUFFLE_S
) -> Shuffle | None:
    """Look for a shuffle that makes room for a group on a level; None where that cannot be asked.

    It can be of a rectangle on a rectangular bench, shelf level or floor spot. What lies there at quarter
    turns may be moved; all else stays.
    """
    question = _ask(scene, group, zone, level)
    if question is None:
        return None
    from shopbins.packing.rearrange import rearrange  # only here: it is large and seldom needed

    try:
        found = rearrange(question.surface, question.pieces, question.spots, seconds=seconds)
    except FloorProblem:
        words = (
            f"no shuffle was looked for, as what lies on {place(zone, level)} overlaps or hangs over already"
        )
        return Shuffle("not found", (), None, words)
    return question.told(found, seconds)


class _Question:
    """Pieces, where they lie, and what is blocked, in the zone's own frame; the group is piece 0."""

    def __init__(self, zone: Zone, level: Level, gap_mm: float) -> None:
        self.zone, self.level, self.gap_mm = zone, level, gap_mm
        self.groups: list[Group] = []
        self.pieces: list[Piece] = []
        self.spots: list[Spot] = []
        self.blocked: list[Box] = []
        self.exact = True

    @property
    def surface(self) -> Surface:
        """The surface as `floor` takes it."""
        from shopbins.packing.shuffle import Surface

        assert self.zone.size_mm is not None
        return Surface(*self.zone.size_mm, self.blocked, self.gap_mm)

    def add(self, group: Group, sides: tuple[float, float], where: InZone | None) -> None:
        """Add a rectangle, at its place if it has one at quarter turns."""
        from shopbins.packing.shuffle import Piece, Spot

        if where is not None and where.x_mm is not None and where.y_mm is not None:
            turned = where.turn_deg % 180.0 != 0.0
            a, b = (sides[1], sides[0]) if turned else sides
            self.spots.append(Spot(len(self.pieces), where.x_mm - a / 2, where.y_mm - b / 2, turned))
        self.groups.append(group)
        self.pieces.append(Piece(*sides, name=group.shown))

    def block(self, outline: Outline, less_mm: float = 0.0) -> None:
        """Take a part of the surface off by its upright box in the zone's frame, made smaller all round."""
        local = tuple((p.x_mm, p.y_mm) for p in (to_zone(self.zone, x, y) for x, y in outline))
        x0, y0, x1, y1 = bounds(local)
        assert self.zone.size_mm is not None
        across, up = self.zone.size_mm
        if min(x1 - x0, y1 - y0) <= 2 * less_mm:
            less_mm = 0.0
        kept = Box(
            max(x0 + less_mm, 0.0),
            max(y0 + less_mm, 0.0),
            min(x1 - less_mm, across),
            min(y1 - less_mm, up),
        )
        if kept.left < kept.right and kept.bottom < kept.top:
            self.blocked.append(kept)
            corners = {(x, y) for x in (x0, x1) for y in (y0, y1)}
            upright = len(local) == 4 and all(
                min(math.dist(p, c) for c in corners) < ROUNDING_MM for p in local
            )
            self.exact = self.exact and upright  # else the box is more than the outline

    def told(self, found: Rearranged, seconds: float) -> Shuffle:
        """Say what came of it."""
        there = place(self.zone, self.level)
        if found.answer != "fits":
            proven = found.answer == "does not fit" and self.exact
            words = f"it would not lie on {there} even after a shuffle ({found.why})" if proven else ""
            words = words or f"no shuffle that makes room on {there} was found in {seconds:g} s"
            answer: Answer = "does not fit" if proven else "not found"
            return Shuffle(answer, (), None, words, found.seconds)
        after = {spot.piece: spot for spot in found.spots}
        before = {spot.piece: spot for spot in self.spots}
        aside = {s.piece for s in found.shifts if s.after is None}
        order = dict.fromkeys(s.piece for s in found.shifts if s.piece in before)
        moves = tuple(self._move(k, before[k], after[k], k in aside) for k in order if after[k] != before[k])
        where = self._where(0, after[0], 0.0)
        return Shuffle("fits", moves, where, self._words(moves, where), found.seconds)

    def _where(self, piece: int, spot: Spot, turn_deg: float) -> InZone:
        x, y = spot.box(self.pieces[piece]).middle
        if spot.turned != (turn_deg % 180.0 != 0.0):
            turn_deg = (turn_deg + 90.0) % 360.0
        return InZone(self.zone.key, self.level.key, round(x, 3), round(y, 3), turn_deg)

    def _move(self, piece: int, before: Spot, after: Spot, aside: bool) -> Move:
        group = self.groups[piece]
        was = group.where
        turn = was.turn_deg if isinstance(was, InZone) else 0.0
        where = self._where(piece, after, turn)
        quarter = before.turned != after.turned
        stays = isinstance(was, InZone) and _near(was, where)
        words = f"{group.shown} turns a quarter" if stays else f"{group.shown} goes {self._to(piece, after)}"
        if quarter and not stays:
            words += ", turned a quarter"
        return Move(group.id, group.shown, group.code, where, words, aside)

    def _to(self, piece: int, spot: Spot) -> str:
        """Say where a spot is: at an edge or in a corner, and its middle as `--at` takes it."""
        assert self.zone.size_mm is not None
        box = spot.box(self.pieces[piece])
        length, width = self.zone.size_mm
        along = _edge(box.left, box.right, length, ("left", "right"))
        across = _edge(box.bottom, box.top, width, ("front", "back"))
        at = show_point(*(round(v, 1) for v in box.middle))
        if along and across:
            return f"into the {along} {across} corner ({at})"
        return f"to the {along or across} edge ({at})" if along or across else f"to {at}"

    def _words(self, moves: Sequence[Move], where: InZone) -> str:
        at = show_point(round(where.x_mm or 0.0, 1), round(where.y_mm or 0.0, 1))
        turned = f", turned {where.turn_deg:g} deg" if where.turn_deg else ""
        if not moves:
            return f"fits at {at}{turned}"
        words = f"fits if {listed((m.words for m in moves), 6)}; it then lies at {at}{turned}"
        aside = [m.name for m in moves if m.aside]
        return f"{words} (lift {listed(aside)} off meanwhile)" if aside else words


def _edge(low: float, high: float, whole: float, names: tuple[str, str]) -> str:
    """Return the name of the edge that something lies at on its way across a surface, or ''."""
    return names[0] if low < AT_EDGE_MM else names[1] if high > whole - AT_EDGE_MM else ""


def _near(a: InZone, b: InZone) -> bool:
    if a.x_mm is None or a.y_mm is None or b.x_mm is None or b.y_mm is None:
        return False
    return abs(a.x_mm - b.x_mm) < AT_EDGE_MM and abs(a.y_mm - b.y_mm) < AT_EDGE_MM


def _ask(scene: Scene, group: Group, zone: Zone, level: Level) -> _Question | None:
    """Put the question for a surface; None where it is none of rectangles, or there are too many."""
    sides = rectangle_of(group)
    if sides is None or zone.size_mm is None or zone.kind == "room":
        return None
    on_floor = zone.kind == "floor"
    asked = _Question(zone, level, scene.shop.measured_mm if on_floor else 0.0)
    asked.add(group, sides, None)
    moving = set()
    for other in _others(scene, group, zone, level):
        where = other.where
        own = rectangle_of(other)
        posed = isinstance(where, InZone) and where.posed
        if not posed and (on_floor or other.container in HEAPED or footprint(other) is None):
            continue  # where it stands on the floor is not known, or it needs no place of its own
        if own is None or (isinstance(where, InZone) and posed and where.turn_deg % 90.0):
            body = scene.body(other.id)
            if body is None:
                return None
            if not on_floor:
                asked.block(body.outline)
            continue
        asked.add(other, own, where if isinstance(where, InZone) and posed else None)
        moving.add(f"group:{other.id}")
    if len(asked.pieces) + len(asked.blocked) > MANY:
        return None
    if on_floor:
        _block_floor(scene, asked, group, moving)
    return asked


def _others(scene: Scene, group: Group, zone: Zone, level: Level) -> Iterator[Group]:
    return (scene.group(each) for each in scene.ids_in(zone, level.key) if each != group.id)


def _block_floor(scene: Scene, asked: _Question, group: Group, moving: set[str]) -> None:
    """Take off what a thing on the floor may not stand on, but for the things that may be moved."""
    held = scene
    for subject in moving:
        held = held.with_group(held.group(subject.partition(":")[2])._replace(where=None))
    on = poses.site(held, asked.zone, asked.level, group)
    for taken in on.taken:
        # The surface keeps the gap to a blocked part itself; floor to keep free may be touched.
        asked.block(taken.outline, 0.0 if taken.spare_mm > 0.0 else asked.gap_mm)


def rectangle_of(group: Group) -> tuple[float, float] | None:
    """Return the sides of a group whose footprint is a rectangle; None of any other and of an unknown one."""
    outline = footprint(group)
    if outline is None or not is_rectangle(outline):
        return None
    x0, y0, x1, y1 = bounds(outline)
    return x1 - x0, y1 - y0


def is_rectangle(outline: Outline) -> bool:
    """Tell whether an outline is an upright rectangle."""
    x0, y0, x1, y1 = bounds(outline)
    return len(outline) == 4 and all(x in (x0, x1) and y in (y0, y1) for x, y in outline)
