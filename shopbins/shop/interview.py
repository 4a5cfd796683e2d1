"""A shop described by questions: rooms walked round, doors from a corner, the next room hung on a door.

The interview is a plain function of the answers it gets, so going back a question is asking anew with one
answer less. An answer of a row (a door, a bench) may be the whole row with commas, in the order of the
measuring sheet. Enter skips: what is not known is not written.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Generic, Protocol, TypeVar

from shopbins import units
from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Point, contains
from shopbins.shop import survey
from shopbins.shop.checks import LEAST_DOOR_MM, MOST_ROOM_MM, ROUNDING_MM
from shopbins.shop.editing.heights import levels_text, parted
from shopbins.shop.editing.splice import Put, edit, in_braces, word
from shopbins.shop.keys import ZONE_KINDS
from shopbins.shop.survey import NoShape, Opening, Wall

T = TypeVar("T")
TAPES = {"mm": "mm", "cm": "cm", "m": "m", "ft": "ft", "ft in": "ft", "in": "in"}
OPENS = {"h": "hinged", "s": "sliding", "u": "up-and-over", "o": "open"}
USUAL_WALL_MM = 200.0
"""How thick a wall is where nobody measured it: own figure, said where it is used."""
LEAST_TALL_MM = 300.0
"""A headroom or a door lower than this was meant in another unit: own figure."""
_MOST_ROWS = 200


class Wrong(ValueError):  # noqa: N818 - it is an answer
    """An answer that cannot be taken: what is wrong, and what enter would take instead."""

    def __init__(self, what: str, offer: str = "") -> None:
        super().__init__(what)
        self.offer = offer


class Ask(Protocol):
    """Asks until an answer can be read; None for enter. `kind` names the question, `room` its room."""

    def __call__(self, kind: str, room: str, prompt: str, read: Callable[[str], T]) -> T | None: ...


@dataclass(slots=True)
class _Room:
    """A room as measured: its corners in the shop, how far closing shifted each, what is known of it."""

    key: str
    corners: list[Point]
    shifts_mm: list[float]
    pairs: dict[str, str] = field(default_factory=dict)


@dataclass(slots=True)
class _Waiting:
    """A room behind a door, still to be walked."""

    key: str
    door: Opening
    wall_mm: float
    to_edge_mm: float


@dataclass(slots=True)
class _Anchor:
    """What a walkway may begin or end at: a door by its jambs, a place by its corners."""

    rooms: tuple[str, ...]
    corners: Sequence[Point]

    @property
    def middle(self) -> Point:
        xs, ys = zip(*self.corners, strict=True)
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2

    def reached(self, room: Sequence[Point], towards: Point, half_mm: float) -> list[Point]:
        """Return the end of a way that goes `towards` a point: a door's middle and a point before it."""
        x, y = self.middle
        if len(self.corners) > 2:
            edges = zip(self.corners, [*self.corners[1:], self.corners[0]], strict=True)
            sides = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in edges]
            open_sides = [
                (px + (px - x) / far * half_mm, py + (py - y) / far * half_mm)
                for px, py in sides
                if (far := math.dist((px, py), (x, y)))
            ]
            inside = [p for p in open_sides if contains(room, p)] or open_sides
            return [min(inside, key=lambda p: math.dist(p, towards))]
        (ax, ay), (bx, by) = self.corners
        wide = math.dist((ax, ay), (bx, by))
        nx, ny = (ay - by) / wide, (bx - ax) / wide
        before = [(x + nx * s * (half_mm + 50), y + ny * s * (half_mm + 50)) for s in (1, -1)]
        return [(x, y), next((p for p in before if contains(room, p)), (x, y))]


class Interview:
    """Asks for a whole shop; `text` is the shop file. `tell` is given what is worth saying on the way.

    With `again` somebody is there to be asked: which of two places that lie over each other is said anew.
    """

    def __init__(self, ask: Ask, tell: Callable[[str], None], *, again: bool = False) -> None:
        self.ask = ask
        self.tell = tell
        self.again = again
        self.tape = "mm"
        self.measured_mm = 5.0
        self.rooms: dict[str, _Room] = {}
        self.sections: dict[str, dict[str, dict[str, str]]] = {}
        self.waiting: list[_Waiting] = []
        self.anchors: dict[str, _Anchor] = {}
        self.top: dict[str, str] = {}

    def run(self) -> str:
        """Ask everything and return the text of the shop file."""
        name = self.ask("shop", "", "What is the shop called?", _text)
        self.top["shop"] = word(name or "My shop")
        tape = self.ask("tape", "", "What does the tape read: mm, cm, m or ft? (enter: mm)", Choice(TAPES))
        self.tape = tape or "mm"
        measured = self.ask("measured", "", "How well do you measure? (enter: 5 mm)", self._length)
        if measured is not None:
            self.measured_mm = measured.mm
            self.top["measured"] = measured.text
        self._room(self.ask("room", "", "First room: its name? (enter: shed)", _text) or "shed", None)
        self._rooms_behind()
        for _ in range(_MOST_ROWS):
            key = self.ask("room", "", "Another room that no door leads to? its name (enter: no more)", _text)
            if key is None:
                break
            if key not in self.rooms:
                corner = self.ask(
                    "corner", key, f"{key}: its corner 1, from that of the first room: x, y?", self._point
                )
                self._room(key, None, corner or (0.0, 0.0))
                self._rooms_behind()
        self._walkways()
        return self._written()

    def _rooms_behind(self) -> None:
        """Describe the rooms that doors named so far lead to."""
        while self.waiting:
            following = self.waiting.pop(0)
            if following.key not in self.rooms:
                self._room(following.key, following)

    def _point(self, text: str) -> Point:
        cells = [cell.strip() for cell in text.split(",")]
        if len(cells) != 2:
            raise Wrong("two lengths with a comma between, like 7200, 0")
        x, y = (self._signed(cell) for cell in cells)
        return x, y

    def _signed(self, text: str) -> float:
        below = text.startswith("-")
        mm = typed_length(text.removeprefix("-"), self.tape, zero=True).mm
        return -mm if below else mm

    # -- a room

    def _room(self, key: str, behind: _Waiting | None, corner: Point = (0.0, 0.0)) -> None:
        corners, shifts_mm = self._outline(key, behind is not None)
        if behind is not None:
            corners = survey.hung_on(corners, behind.door, behind.wall_mm, behind.to_edge_mm)
        corners = [(x + corner[0], y + corner[1]) for x, y in corners]
        room = self.rooms[key] = _Room(key, corners, shifts_mm)
        for name, prompt, read in (
            ("headroom", "from the floor to the lowest beam", self._tall),
            ("floor load", "what the floor carries, like 5 kN/m2", _checked(units.parse_area_load)),
            ("hot work", "welding or grinding in it: yes or no", _yes_no),
        ):
            said: Any = self.ask(name, key, f"{key}: {name}, {prompt}?", read)
            if said is not None:
                room.pairs[name] = said if isinstance(said, str) else said.text
        fall = self.ask("slope", key, f"{key}: floor falls, as '1 in 25 wall 3'?", self._slope(corners))
        if fall is not None:
            room.pairs["slope"] = fall
        self._rows("door", key, "a door", lambda first: self._door(room, first))
        self._rows("place", key, "a place for parts", lambda first: self._place(room, first))
        self._rows(
            "keep clear", key, "an area to keep clear", lambda first: self._area(room, first, "keep clear")
        )
        self._rows("fixed", key, "something fixed", lambda first: self._area(room, first, "fixtures"))

    def _rows(self, kind: str, room: str, what: str, take: Callable[[list[str]], None]) -> None:
        for number in range(_MOST_ROWS):
            more = f"another {what.partition(' ')[2]}" if number else what
            first = self.ask(kind, room, f"{room}: name of {more}? (enter: no more)", _cells)
            if first is None:
                return
            take(first)

    # -- walls

    def _outline(self, key: str, hung: bool) -> tuple[list[Point], list[float]]:
        start = "the corner where the wall with that door is wall 1" if hung else "a corner"
        walls: list[Wall] = []
        towards = 0.0
        for number in range(1, _MOST_ROWS):
            if number == 1:
                prompt = f"{key}: start in {start}, the wall on your right. Length of wall 1?"
            else:
                closes = {2: "", 3: " (enter: a rectangle)"}.get(number, " (enter: closed)")
                prompt = f"{key}: wall {number}: l left, r right, s straight on, and its length{closes}?"
            wall = self.ask("wall", key, prompt, self._wall(number))
            if wall is None:
                if number > 2:
                    break
                raise Wrong(f"{key}: a room needs two walls")
            turn, length = wall
            towards += turn
            walls.append((length, towards))
        return self._closed(key, walls)

    def _closed(self, key: str, walls: list[Wall]) -> tuple[list[Point], list[float]]:
        """Return the corners and how far closing shifted each, after asking what makes the walls meet."""
        if len(walls) == 2:
            walls += [(length, towards + 180.0) for length, towards in walls]
        diagonals = self._diagonals(key, walls)
        if diagonals:
            return self._by_diagonals(key, walls, diagonals), [0.0] * len(walls)
        self._implied(walls)
        while True:
            miss = survey.walked(walls)[1]
            allowed = survey.allowed_miss(walls, self.measured_mm)
            around = sum(length for length, _ in walls) / 1000
            said = (
                f"the walls miss each other by {abs(miss[0]):.0f} mm along and {abs(miss[1]):.0f} mm across"
            )
            if all(abs(m) <= most for m, most in zip(miss, allowed, strict=True)):
                if math.hypot(*miss) >= 1:
                    self.tell(f"{key}: {said}, over {around:.1f} m: spread")
                return _spread(walls)
            first = next(iter(survey.suspects(walls, miss)), 0)
            answer = self.ask(
                "closing",
                key,
                f"{key}: {said}, over {around:.1f} m. Measure wall {first + 1} again: '{first + 1} LENGTH'"
                " · s spreads it · l: the last wall takes it",
                self._mend(len(walls)),
            )
            if answer == "s":
                return _spread(walls)
            if answer == "l":
                return survey.walked(walls)[0], [0.0] * len(walls)
            if not isinstance(answer, tuple):
                raise Wrong(f"{key}: {said}, over {around:.1f} m: measure again, or say s to spread it")
            walls[answer[0]] = (answer[1], walls[answer[0]][1])

    def _implied(self, walls: list[Wall]) -> None:
        """Add the last wall where it was not walked: straight back to the first corner."""
        (x, y), allowed = survey.walked(walls)[1], survey.allowed_miss(walls, self.measured_mm)
        far = [abs(x) > 10 * allowed[0], abs(y) > 10 * allowed[1]]
        if not any(far) or (survey.is_square(walls) and all(far)):
            return
        if survey.is_square(walls):
            length, towards = (
                (abs(x), 180.0 if x > 0 else 0.0) if far[0] else (abs(y), 270.0 if y > 0 else 90.0)
            )
        else:
            length, towards = math.hypot(x, y), math.degrees(math.atan2(-y, -x))
        walls.append((length, towards))

    def _diagonals(self, key: str, walls: list[Wall]) -> dict[tuple[int, int], float]:
        found: dict[tuple[int, int], float] = {}
        prompt = f"{key}: corners not square? A diagonal as '1 3 7190' (enter: all are as walked)"
        for _ in range(_MOST_ROWS):
            said = self.ask("diagonal", key, prompt, self._diagonal(walls))
            if said is None:
                return found
            found[said[0]] = said[1]
            prompt = f"{key}: another diagonal? (enter: no more)"
        return found

    def _by_diagonals(
        self, key: str, walls: list[Wall], diagonals: dict[tuple[int, int], float]
    ) -> list[Point]:
        try:
            corners = survey.by_diagonals(walls, diagonals)
        except NoShape as problem:
            raise Wrong(f"{key}: {problem}") from None
        for corner in survey.sharp_or_flat(corners, list(diagonals)):
            self.tell(
                f"{key}: the angle at corner {corner + 1} is under 30 or over 120 degrees: measure it well"
            )
        if len(walls) == 4 and len(diagonals) == 1:
            a, b = (1, 3) if (0, 2) in diagonals else (0, 2)
            expected = math.dist(corners[a], corners[b])
            check = self.ask(
                "check",
                key,
                f"{key}: then corner {a + 1} to {b + 1} must be {expected:.0f} mm. What does the tape say?",
                self._length,
            )
            if check is not None and abs(check.mm - expected) > 4 * self.measured_mm:
                self.tell(f"{key}: {check.mm:.0f} mm, not {expected:.0f}: one of the five lengths is wrong")
        return corners

    # -- doors

    def _door(self, room: _Room, cells: list[str]) -> None:
        name = cells[0]
        row = _Row(self, "door", room.key, name, cells[1:])
        wall = row.needed("in which wall?", self._wall_number(room))
        start = row.asked("measured from which of its corners? (enter: its first)", self._corner(room, wall))
        near = row.needed("from that corner to the door's near edge?", self._length)
        width = row.needed("how wide, or 'to' the far edge?", self._width(near.mm))
        door = survey.opening(room.corners, wall, near.mm, near.mm + width, from_end=start == 1)
        pairs = {"room": word(room.key), "to": "", "jambs": _points(door.jambs)}
        height = row.asked("how high?", self._tall)
        opens = (
            row.asked("h hinged, s sliding, u up-and-over, o open? (enter: open)", Choice(OPENS)) or "open"
        )
        hinged = opens == "hinged"
        hand = row.asked("hinges left or right, seen from the room it swings into?", _HAND, when=hinged)
        swings = row.asked("swings in or out? (enter: in)", _IN_OUT, when=hinged)
        to = row.asked("where to: a room, or enter for outside?", _text) or "outside"
        exit_ = row.asked("is it a way out: yes or no?", _yes_no)
        sill = row.asked("how high is the sill?", self._length)
        pairs["to"] = word(to)
        if height:
            pairs["height"] = height.text
        pairs["opens"] = opens
        if hinged:
            pairs["hand"] = str(hand or "left")
            if swings == "out":
                pairs["swings into"] = word(to)
        if exit_ is not None:
            pairs["exit"] = exit_
        if sill:
            pairs["threshold"] = sill.text
        if to != "outside" and to not in self.rooms and all(each.key != to for each in self.waiting):
            thick = row.asked("how thick is the wall there? (enter: 200 mm)", self._length)
            if thick is None:
                self.tell(f"{name}: the wall is taken to be {USUAL_WALL_MM:g} mm thick there")
            edge = row.needed(f"in {to}: from its first corner to the door's edge?", self._length)
            self.waiting.append(_Waiting(to, door, thick.mm if thick else USUAL_WALL_MM, edge.mm))
        self._add("doors", name, pairs)
        self.anchors[name] = _Anchor((room.key, to), door.jambs)

    # -- places and areas

    def _place(self, room: _Room, cells: list[str]) -> None:
        name = cells[0]
        row = _Row(self, "place", room.key, name, cells[1:])
        kinds = {kind[0]: kind for kind in ZONE_KINDS}
        kind = row.needed("b bench, s shelf or f floor spot? (back goes back)", Choice(kinds))
        rectangle, corners = self._rectangle(room, row)
        pairs = {"room": word(room.key), "kind": kind, **rectangle}
        height = row.asked("height of its surface?", self._heights(kind), when=kind != "floor")
        load = row.asked("what it carries?", _checked(units.parse_mass))
        if height and len(height) > 1:
            each = {"load": load} if load else {}
            pairs["levels"] = levels_text([h.text for h in height], each)
        else:
            if height:
                pairs["height"] = height[0].text
            if load:
                pairs["load"] = load
        if kind != "floor" and not height:
            raise Wrong(f"{name}: a {kind} needs the height of its surface")
        self._add("zones", name, pairs)
        self.anchors[name] = _Anchor((room.key,), corners)
        if self.again:
            self._apart(room.key, name)

    def _apart(self, room: str, name: str) -> None:
        """Where a place lies over another, ask which of them is said anew: it is forgotten till then."""
        for other in [each for each in self.sections["zones"] if each != name]:
            anchor = self.anchors[other]
            if room not in anchor.rooms or len(anchor.corners) < 3:
                continue
            if not overlap(tuple(anchor.corners), tuple(self.anchors[name].corners), ROUNDING_MM):
                continue
            wrong = self.ask(
                "overlap", room,
                f"{name} lies over {other}: which is wrong, 1 {name}, 2 {other} or 3 both? (enter: {name})",
                Choice({"1": "1", "2": "2", "3": "3"}),
            )  # fmt: skip
            for each in {"2": (other,), "3": (name, other)}.get(wrong or "", (name,)):
                del self.sections["zones"][each], self.anchors[each]
                self.tell(f"{each}: not taken, say it anew as a place (from which walls, which corner?)")
            if name not in self.anchors:
                return

    def _area(self, room: _Room, cells: list[str], section: str) -> None:
        name = cells[0]
        row = _Row(self, "keep clear" if section == "keep clear" else "fixed", room.key, name, cells[1:])
        pairs = {"room": word(room.key), **self._rectangle(room, row)[0]}
        if section == "keep clear":
            pairs["why"] = word(row.asked("why: switchgear, extinguisher, valve ...?", _text) or name)
        for key, prompt in (("height", "how tall?"), ("base", "how high above the floor does it begin?")):
            if key == "height" or section == "fixtures":
                said = row.asked(prompt, self._length)
                if said:
                    pairs[key] = said.text
        self._add(section, name, pairs)

    def _rectangle(self, room: _Room, row: _Row) -> tuple[dict[str, str], list[Point]]:
        first = row.needed(
            "its nearest corner: from which wall? (its length runs along it)", self._wall_number(room)
        )
        by = row.needed("how far from that wall?", self._zero_length)
        second = row.needed("and from which other wall?", self._wall_number(room))
        off = row.needed("how far from that one?", self._zero_length)
        length = row.needed("its length, along the first wall?", self._length)
        depth = row.needed("its depth?", self._length)
        at, turn = survey.by_two_walls(room.corners, (first, by.mm), (second, off.mm), (length.mm, depth.mm))
        pairs = {"at": f"[{_mm(at[0])}, {_mm(at[1])}]", "size": f"[{length.text}, {depth.text}]"}
        if abs(turn) > 0.005:
            pairs["turn"] = f"{turn:.2f}".rstrip("0").rstrip(".")
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        ends = ((0.0, 0.0), (length.mm, 0.0), (length.mm, depth.mm), (0.0, depth.mm))
        return pairs, [(at[0] + x * c - y * s, at[1] + x * s + y * c) for x, y in ends]

    # -- walkways

    def _walkways(self) -> None:
        """Ask for the ways to keep free, from door to door or place; without one nothing can block one."""
        if not self.sections.get("doors"):
            return
        for number in range(_MOST_ROWS):
            more = "Another walkway" if number else "A walkway to keep free"
            stops = self.ask(
                "walkway", "", f"{more}: its doors and places in turn, as 'gate, bench'? (enter: no more)",
                self._stops,
            )  # fmt: skip
            if stops is None:
                break
            name = f"way {stops[0]} to {stops[-1]}"
            width = self.ask(
                "walkway field", "", f"{name}: how wide is it to be? (enter: 800 mm)", self._length
            )
            wide = width or Typed(800.0, "800")
            least = self.ask(
                "walkway field", "", f"{name}: from which clear width down is it a stop? (enter: not known)",
                self._at_most(wide),
            )  # fmt: skip
            out = self.ask("walkway field", "", f"{name}: is it the way out: yes or no?", _yes_no)
            pairs = {"line": _points(self._way(stops, wide.mm / 2)), "width": wide.text}
            if least is not None:
                pairs["least"] = least.text
            if out == "yes":
                pairs["exit route"] = out
            self._add("walkways", name, pairs)
        if not self.sections.get("walkways"):
            self.tell("no walkway described: nothing can block one (Draw adds one: a, walkway)")

    def _at_most(self, wide: Typed) -> Callable[[str], Typed]:
        def read(text: str) -> Typed:
            found = self._length(text)
            if found.mm > wide.mm:
                raise Wrong(f"not more than the way is wide, {wide.text}")
            return found

        return read

    def _stops(self, text: str) -> list[str]:
        """Read the doors and places a way leads along; each must be in one room with the one before."""
        names = [cell.strip() for cell in text.split(",") if cell.strip()]
        for name in names:
            if name not in self.anchors:
                raise Wrong(f"no door or place is called '{name}': {', '.join(self.anchors)}")
        if len(names) < 2:
            raise Wrong("two at least, with a comma between, like gate, bench")
        for a, b in pairwise(names):
            if a == b or not self._shared(a, b):
                raise Wrong(f"no room has both {a} and {b}: name the doors between them, too")
        return names

    def _shared(self, a: str, b: str) -> str:
        """Return the room two stops are in, '' for none."""
        both = [room for room in self.anchors[a].rooms if room in self.anchors[b].rooms]
        return both[0] if both else ""

    def _way(self, names: list[str], half_mm: float) -> list[Point]:
        """Return the middle of a way: through doors square to their wall, up to the near side of a place."""
        line: list[Point] = []
        for a, b in pairwise(names):
            room = self.rooms[self._shared(a, b)]
            for name, other in ((a, b), (b, a)):
                points = self.anchors[name].reached(room.corners, self.anchors[other].middle, half_mm)
                line += points if name == a else points[::-1]
        return [p for n, p in enumerate(line) if not n or math.dist(p, line[n - 1]) >= 1.0]

    # -- reading answers

    def _length(self, text: str) -> Typed:
        return typed_length(text, self.tape)

    def _tall(self, text: str) -> Typed:
        """Read a height a person goes under: so low as nobody does is a slip of the unit."""
        found = typed_length(text, self.tape)
        _in_range(found, LEAST_TALL_MM, math.inf)
        return found

    def _zero_length(self, text: str) -> Typed:
        return typed_length(text, self.tape, zero=True)

    def _heights(self, kind: str) -> Callable[[str], list[Typed]]:
        def read(text: str) -> list[Typed]:
            parts = parted(text)
            if len(parts) > 1 and kind != "shelf":
                raise Wrong(f"a {kind} has one height")
            return [typed_length(part, self.tape, zero=True) for part in parts]

        return read

    def _wall(self, number: int) -> Callable[[str], tuple[float, float]]:
        def read(text: str) -> tuple[float, float]:
            if re.match(r"\s*([slrSLR](\s+[\d.]+\s*deg)?)?\s*,", text):  # a row of the sheet
                cells = [cell.strip() for cell in text.split(",")]
                text = " ".join((cells[0], cells[1])) + (f" +- {cells[2]}" if cells[2:] and cells[2] else "")
            found = re.fullmatch(r"\s*([slrSLR])?\s*(?:(\d+(?:\.\d+)?)\s*deg)?\s*(.*)", text.strip())
            assert found is not None
            side, angle, rest = (found.group(1) or "").lower(), found.group(2), found.group(3)
            if number > 1 and not side:
                raise Wrong(f"say where wall {number} turns: l, r or s, then its length", f"l {text.strip()}")
            turn = f"{side} {f'{angle} deg ' if angle else ''}" if side else ""
            try:
                length = typed_length(rest, self.tape)
            except Wrong as problem:
                raise Wrong(str(problem), problem.offer and f"{turn}{problem.offer}") from None
            _in_range(length, LEAST_SIDE_MM, MOST_ROOM_MM, turn)
            size = 0.0 if side == "s" else float(angle) if angle else 90.0
            return (0.0 if number == 1 else -size if side == "r" else size), length.mm

        return read

    def _mend(self, count: int) -> Callable[[str], str | tuple[int, float]]:
        def read(text: str) -> str | tuple[int, float]:
            if text in ("s", "l"):
                return text
            found = re.fullmatch(r"(\d+)\s+(.+)", text)
            if found is None or not 1 <= int(found.group(1)) <= count:
                raise Wrong(f"s, l, or the number of a wall (1 to {count}) and its length")
            return int(found.group(1)) - 1, typed_length(found.group(2), self.tape).mm

        return read

    def _diagonal(self, walls: list[Wall]) -> Callable[[str], tuple[tuple[int, int], float]]:
        count = len(walls)

        def read(text: str) -> tuple[tuple[int, int], float]:
            words = text.replace(",", " ").split()
            if words[:1] == ["k"] and len(words) == 5:
                return self._at_corner(walls, words[1:])
            found = re.fullmatch(r"(\d+)\s+(\d+)\s+(.+)", " ".join(words))
            if found is None:
                raise Wrong("two corners and the length, like 1 3 7190; or k CORNER ARM ARM ACROSS")
            a, b = int(found.group(1)) - 1, int(found.group(2)) - 1
            if not (0 <= a < count and 0 <= b < count) or (a - b) % count in (0, 1, count - 1):
                raise Wrong(f"corners 1 to {count}, not next to each other: wall 1 begins at corner 1")
            return (min(a, b), max(a, b)), typed_length(found.group(3), self.tape).mm

        return read

    def _at_corner(self, walls: list[Wall], words: list[str]) -> tuple[tuple[int, int], float]:
        """Read a corner taken by a length along both its walls and the one across."""
        count = len(walls)
        if not words[0].isdigit() or not 1 <= int(words[0]) <= count:
            raise Wrong(f"corners 1 to {count}")
        corner = int(words[0]) - 1
        first, second, across = (typed_length(each, self.tape).mm for each in words[1:])
        before, after = walls[corner - 1][0], walls[corner][0]
        try:
            angle = survey.corner_angle(first, second, across)
        except NoShape as problem:
            raise Wrong(str(problem)) from None
        off = survey.off_at(min(first, second), max(before, after))
        self.tell(
            f"corner {corner + 1} is {angle:.1f} degrees; 1 mm across moves the wall's end by {off:.1f} mm"
        )
        a, b = (corner - 1) % count, (corner + 1) % count
        return (min(a, b), max(a, b)), survey.diagonal_at(before, after, angle)

    def _wall_number(self, room: _Room) -> Callable[[str], int]:
        def read(text: str) -> int:
            if not text.isdigit() or not 1 <= int(text) <= len(room.corners):
                raise Wrong(f"a wall of {room.key}: 1 to {len(room.corners)}")
            return int(text) - 1

        return read

    def _corner(self, room: _Room, wall: int) -> Callable[[str], int]:
        count = len(room.corners)
        ends = (wall + 1, (wall + 1) % count + 1)

        def read(text: str) -> int:
            if text not in (str(ends[0]), str(ends[1])):
                raise Wrong(f"wall {wall + 1} runs from corner {ends[0]} to corner {ends[1]}")
            return 0 if text == str(ends[0]) else 1

        return read

    def _width(self, near_mm: float) -> Callable[[str], float]:
        def read(text: str) -> float:
            far = text.lower().startswith("to ")
            width = typed_length(text[3:] if far else text, self.tape)
            mm = width.mm - near_mm if far else width.mm
            if mm < LEAST_DOOR_MM:
                _in_range(Typed(mm, width.text), LEAST_DOOR_MM, math.inf, "to " if far else "")
            return mm

        return read

    def _slope(self, corners: list[Point]) -> Callable[[str], str]:
        def read(text: str) -> str:
            found = re.fullmatch(r"(.+?)(?:\s*,\s*|\s+(?:towards\s+)?wall\s+)(\d+)", text.strip())
            if found is None or not 1 <= int(found.group(2)) <= len(corners):
                raise Wrong(f"like '1 in 25 wall 3': how much, and towards which wall (1 to {len(corners)})")
            fall = _checked(units.parse_slope)(found.group(1).strip())
            ux, uy = survey.along(corners, int(found.group(2)) - 1)
            towards = math.degrees(math.atan2(-ux, uy)) % 360  # out of that wall
            return f"{{fall: {fall}, towards: {towards:.4g}}}"

        return read

    # -- the file

    def _add(self, section: str, name: str, pairs: dict[str, str]) -> None:
        found = self.sections.setdefault(section, {})
        if name in found:
            raise Wrong(f"there is a {name} already: give it another name")
        found[name] = pairs

    def _outline_pairs(self, room: _Room) -> dict[str, str]:
        """Return corner and size of an upright rectangle, else the outline."""
        withins = [f" +- {_mm(each)}" if each > self.measured_mm else "" for each in room.shifts_mm]
        xs, ys = ({round(corner[axis], 1) for corner in room.corners} for axis in (0, 1))
        if len(room.corners) == 4 and len(xs) == len(ys) == 2:
            within = max(withins, key=len)
            size = f"[{_mm(max(xs) - min(xs))}{within}, {_mm(max(ys) - min(ys))}{within}]"
            return {"at": f"[{_mm(min(xs))}, {_mm(min(ys))}]", "size": size}
        return {"outline": _points(room.corners, withins)}

    def _written(self) -> str:
        lines = [f"{key}: {value}" for key, value in self.top.items()]
        text = "\n".join([*lines, "rooms: {}", ""])
        puts = [
            Put(("rooms", room.key), in_braces({**self._outline_pairs(room), **room.pairs}))
            for room in self.rooms.values()
        ]
        for section in ("doors", "walkways", "keep clear", "zones", "fixtures"):
            puts += [
                Put((section, name), in_braces(pairs))
                for name, pairs in self.sections.get(section, {}).items()
            ]
        for put in puts:
            text = edit(text, [put])
        return text


def _spread(walls: list[Wall]) -> tuple[list[Point], list[float]]:
    """Return the corners with the closing error spread, and how far each is shifted."""
    corners = survey.spread(walls)
    return corners, [math.dist(a, b) for a, b in zip(corners, survey.walked(walls)[0], strict=True)]


class _Row:
    """The answers of one row: those typed with it, then those asked for."""

    def __init__(self, interview: Interview, kind: str, room: str, name: str, cells: list[str]) -> None:
        self._interview, self._kind, self._room, self._name = interview, kind, room, name
        self._cells = iter(cells)
        self._typed = bool(cells)

    def asked(self, prompt: str, read: Callable[[str], T], *, when: bool = True) -> T | None:
        """Return the next answer, None where it is left out or, not `when`, means nothing here."""
        if self._typed:
            cell = next(self._cells, "").strip()
            if not cell or not when:
                return None
            try:
                return read(cell)
            except ValueError as problem:
                raise Wrong(f"{self._name}: {problem}") from None
        if not when:
            return None
        return self._interview.ask(f"{self._kind} field", self._room, f"{self._name}: {prompt}", read)

    def needed(self, prompt: str, read: Callable[[str], T]) -> T:
        """Return the next answer; asked again until there is one."""
        for _ in range(3):
            said = self.asked(prompt, Needed(read))
            if said is not None:
                return said
            if not self._typed:
                self._interview.tell(f"{self._name}: this is needed")
            self._typed = False  # what the row left out is asked for
        raise Wrong(f"{self._name}: {prompt}")


# -- what people type

LEAST_SIDE_MM = 50.0


@dataclass(frozen=True, slots=True)
class Typed:
    """A length in mm, and as it goes into the file."""

    mm: float
    text: str


def typed_length(text: str, tape: str, *, zero: bool = False) -> Typed:
    """Read a length as typed with a tape that reads mm, cm, m, ft or in; raises Wrong with an offer."""
    value, plus_minus, within = (_pointed(part.strip(), tape) for part in text.partition("+-"))
    shown = _with_unit(value, tape)
    if plus_minus:
        shown = f"{shown} +- {_with_unit(within, tape)}"
    try:
        found = units.parse_measured(shown, zero=zero)
    except units.UnitError as problem:
        offer = re.search(r"^write (.+)$", problem.hint)
        raise Wrong(str(problem), offer.group(1) if offer else "") from None
    if tape in ("ft", "in"):
        return Typed(found.mm, shown)
    mm = _mm(found.mm)
    return Typed(found.mm, mm if found.within_mm is None else f"{mm} +- {_mm(found.within_mm)}")


def _pointed(text: str, tape: str) -> str:
    """Write a decimal comma as a point; three digits behind one may be thousands, unless the tape reads m."""
    found = re.fullmatch(r"(\d+),(\d+)(\D*)", text)
    if found is None or (
        len(found.group(2)) == 3 and (tape != "m" or found.group(3).strip() not in ("", "m"))
    ):
        return text
    return f"{found.group(1)}.{found.group(2)}{found.group(3)}"


def _with_unit(text: str, tape: str) -> str:
    """Give a bare number the tape's unit; '6 2' on a tape of feet is 6 ft 2 in."""
    if tape == "ft":
        feet = re.fullmatch(r"(\d+)(?:[ ]+(\d+(?:\.\d+)?(?:[ ]+\d+/\d+)?|\d+/\d+))?", text)
        if feet:
            return f"{feet.group(1)} ft" + (f" {feet.group(2)} in" if feet.group(2) else "")
        signs = re.fullmatch(r"(\d+)'\s*(?:([\d ./]+?)\s*(?:\"|''))?", text)
        if signs:
            return f"{signs.group(1)} ft" + (f" {signs.group(2)} in" if signs.group(2) else "")
    if re.fullmatch(r"\d+\.?\d*|\.\d+|(\d+ )?\d+/\d+", text) and tape != "mm":
        return f"{text} {tape}"
    return text


def _in_range(length: Typed, least: float, most: float, before: str = "") -> None:
    if length.mm < least:
        unit = "m" if length.mm < 30 else "cm"
        raise Wrong(
            f"{length.text} is {length.mm:g} mm; did you mean {length.mm:g} {unit}?",
            f"{before}{length.mm:g} {unit}",
        )
    if length.mm > most:
        raise Wrong(f"{length.text} is {length.mm / 1000:g} m: over {most / 1000:g} m")


def _mm(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".") if abs(value) >= 0.05 else "0"


def _points(points: Sequence[Point], withins: Sequence[str] = ()) -> str:
    said = zip(points, withins or [""] * len(points), strict=True)
    return "[" + ", ".join(f"[{_mm(x)}{within}, {_mm(y)}{within}]" for (x, y), within in said) + "]"


def _text(text: str) -> str:
    if "/" in text or len(text) > 60:
        raise Wrong("a short name without '/'")
    return text


def _cells(text: str) -> list[str]:
    cells = [cell.strip() for cell in text.split(",")]
    _text(cells[0])
    return cells


@dataclass(frozen=True, slots=True)
class Choice:
    """Reads one of a few words, each also by its short form."""

    words: dict[str, str]

    def __call__(self, text: str) -> str:
        """Return the whole word meant; raises Wrong for another."""
        low = text.strip().lower()
        for short, whole in self.words.items():
            if low in (short, whole):
                return whole
        raise Wrong(f"one of {', '.join(self.words)}")


@dataclass(frozen=True, slots=True)
class Needed(Generic[T]):
    """Reads an answer that cannot be left out: where somebody is there to be asked, enter is none."""

    read: Callable[[str], T]

    def __call__(self, text: str) -> T:
        """Return what the answer says."""
        return self.read(text)


def _checked(parse: Callable[[str], Any]) -> Callable[[str], str]:
    """Read what a parser of units takes, keeping it as typed."""

    def read(text: str) -> str:
        try:
            parse(text)
        except units.UnitError as problem:
            offer = re.search(r"^write (.+)$", problem.hint)
            raise Wrong(str(problem), offer.group(1) if offer else "") from None
        return text

    return read


_yes_no = Choice({"y": "yes", "n": "no"})
_HAND = Choice({"l": "left", "r": "right"})
_IN_OUT = Choice({"in": "in", "out": "out", "i": "in", "o": "out"})
