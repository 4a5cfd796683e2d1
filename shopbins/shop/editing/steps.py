"""Drawing steps as edits of the shop file: carry, copy, add, rename, delete, set values.

Every function returns the edits of one step; nothing is changed. A carried thing loses the `+-` of its old
place: nobody measured the new one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from shopbins.geometry.shapes import Outline, Point, cos_sin, turn_between
from shopbins.shop.editing.splice import Append, Drop, Edit, Put, Rename, find, in_braces, parse, word
from shopbins.shop.keys import SHOP, Keys, ValueKind
from shopbins.shop.model import Shop
from shopbins.shop.nodes import Listing, Node, Scalar, Table

Move = Callable[[Point], Point]
SECTIONS: Mapping[str, Keys] = {key.name: key.keys for key in SHOP if key.kind is ValueKind.EACH}
"""Every section of things under keys of their own, and the keys of each thing."""
NAMING = ("room", "to", "swings into", "between")
"""The keys that name a room."""
IN_ROOMS = ("doors", "keep clear", "zones", "fixtures", "openings")


class CannotDraw(ValueError):  # noqa: N818 - it is an answer
    """A step that means nothing here."""


# -- carrying


def moved(dx_mm: float, dy_mm: float, turn_deg: float = 0.0, about: Point = (0.0, 0.0)) -> Move:
    """Return how a point goes along with a thing turned about a point and then shifted."""
    c, s = cos_sin(turn_deg)

    def move(point: Point) -> Point:
        x, y = point[0] - about[0], point[1] - about[1]
        return about[0] + x * c - y * s + dx_mm, about[1] + x * s + y * c + dy_mm

    return move


def carried(text: str, shop: Shop, section: str, key: str, move: Move, turn_deg: float = 0.0) -> list[Edit]:
    """Return the edits that put a thing elsewhere, turned; a room takes along what is in it."""
    root = parse(text)
    edits = _placed(root, shop, section, key, move, turn_deg)
    if section == "rooms":
        for other in IN_ROOMS:
            for name, thing in _things(shop, other).items():
                if getattr(thing, "room", None) == key:
                    edits += _placed(root, shop, other, name, move, turn_deg)
    return edits


def _placed(root: Node, shop: Shop, section: str, key: str, move: Move, turn_deg: float) -> list[Edit]:
    table, rest = find(root, (section, key))
    if rest or not isinstance(table, Table):
        raise CannotDraw(f"'{key}' is not in the shop file")
    thing = _things(shop, section)[key]
    path = (section, key)
    if "at" in table.pairs:
        edits: list[Edit] = [Put((*path, "at"), point_text(move(thing.outline[0])))]
        if turn_deg:
            edits.append(_turned(table, (*path, "turn"), _angle(table) + turn_deg))
        return edits
    for name in ("outline", "jambs", "line"):
        if name in table.pairs:
            return [Put((*path, name), points_text(move(point) for point in getattr(thing, name)))]
    raise CannotDraw(f"'{key}' has no place to be carried from")


def _angle(table: Table) -> float:
    pair = table.pairs.get("turn")
    text = pair[1].text if pair is not None and isinstance(pair[1], Scalar) else "0"
    found = re.match(r"\s*(-?\d+(?:\.\d+)?)", text)
    return float(found.group(1)) if found else 0.0


def _turned(table: Table, path: tuple[str, ...], degrees: float) -> Edit:
    degrees = turn_between(degrees, 0.0)
    if abs(degrees) < 0.005 and "turn" in table.pairs:
        return Drop(path)
    return Put(path, f"{180 if degrees == -180 else degrees:.2f}".rstrip("0").rstrip("."))


# -- copying, adding, deleting


def free_name(shop: Shop, key: str) -> str:
    """Return the next free name: rack a, rack b; bench 1, bench 2; stove, stove 2."""
    taken = {name.casefold() for section in SECTIONS for name in _things(shop, section)}
    found = re.fullmatch(r"(.*?)\s*(\d+|(?<=\s)[a-z])?", key)
    stem, end = (found.group(1), found.group(2) or "") if found else (key, "")
    if len(end) == 1 and end.isalpha():
        rest: Iterable[str] = (chr(code) for code in range(ord(end) + 1, ord("z") + 1))
    else:
        rest = (str(number) for number in range(int(end or 1) + 1, 1000))
    for each in rest:
        name = f"{stem} {each}"
        if name.casefold() not in taken:
            return name
    return free_name(shop, f"{key} 1")


def copied(text: str, shop: Shop, section: str, key: str, move: Move, turn_deg: float = 0.0) -> list[Edit]:
    """Return the edit that puts a copy of a thing elsewhere, under the next free name."""
    root = parse(text)
    table = find(root, (section, key))[0]
    assert isinstance(table, Table)
    values = {
        name: _written(text, node) for name, (_, node) in table.pairs.items() if name not in ("was", "name")
    }
    for each in _placed(root, shop, section, key, move, turn_deg):
        if isinstance(each, Put):
            values[str(each.path[-1])] = each.value
        elif isinstance(each, Drop):
            values.pop(str(each.path[-1]), None)
    return [Put((section, free_name(shop, key)), in_braces(values))]


def added(shop: Shop, section: str, key: str, values: Mapping[str, str]) -> list[Edit]:
    """Return the edit that adds a thing; CannotDraw where the name is taken."""
    if any(key in _things(shop, each) for each in SECTIONS):
        raise CannotDraw(f"there is '{key}' already: give it another name")
    return [Put((section, key), in_braces(dict(values)))]


def dropped(shop: Shop, section: str, key: str) -> list[Edit]:
    """Return the edits that delete a thing; of a room, with all that is in it."""
    edits: list[Edit] = [Drop((section, key))]
    return edits + [Drop(path) for path in with_it(shop, section, key)]


def with_it(shop: Shop, section: str, key: str) -> list[tuple[str, str]]:
    """Return what goes with a thing that is deleted: of a room, everything in it and its doors."""
    if section != "rooms":
        return []
    gone = []
    for other in (*IN_ROOMS, "walls"):
        for name, thing in _things(shop, other).items():
            named = (*getattr(thing, "between", ()), getattr(thing, "room", None), getattr(thing, "to", None))
            if key in named:
                gone.append((other, name))
    return gone


# -- names and values


def renamed(text: str, section: str, key: str, new: str, level: str = "") -> list[Edit]:
    """Return the edits that give a thing (or a level of it) another name: key, `was`, every use of it."""
    root = parse(text)
    path: tuple[str, ...] = (section, key, "levels", level) if level else (section, key)
    table, rest = find(root, path)
    if rest or not isinstance(table, Table):
        raise CannotDraw(f"'{level or key}' is not in the shop file")
    edits: list[Edit] = [Rename(path, word(new))]
    if section not in ("machines", "walls"):
        old, was = level or key, table.pairs.get("was")
        if was is not None and isinstance(was[1], Listing) and was[1].items:
            edits.append(Append((*path, "was"), word(old)))
        else:
            edits.append(Put((*path, "was"), "[" + ", ".join(map(word, [old, *_texts(table, "was")])) + "]"))
    if section == "rooms" and not level:
        edits += _uses(root, key, new)
    return edits


def _uses(root: Node, room: str, new: str) -> list[Edit]:
    edits: list[Edit] = []
    for section in (*IN_ROOMS, "walls"):
        things = find(root, (section,))[0]
        for name, (_, table) in things.pairs.items() if isinstance(things, Table) else ():
            for key in NAMING:
                value = table.pairs.get(key) if isinstance(table, Table) else None
                if value is None:
                    continue
                if isinstance(value[1], Scalar) and value[1].text == room:
                    edits.append(Put((section, name, key), word(new)))
                elif isinstance(value[1], Listing):
                    for n, item in enumerate(value[1].items):
                        if isinstance(item, Scalar) and item.text == room:
                            edits.append(Put((section, name, key, n), word(new)))
    return edits


def valued(text: str, section: str, key: str, values: Mapping[str, str]) -> list[Edit]:
    """Return the edits that set values as written; an empty one is taken out. What is the same is left."""
    root = parse(text)
    table = find(root, (section, key))[0]
    assert isinstance(table, Table)
    edits: list[Edit] = []
    for name, value in values.items():
        there = table.pairs.get(name)
        if there is not None and _written(text, there[1]) == value:
            continue
        if value:
            edits.append(Put((section, key, name), value))
        elif there is not None:
            edits.append(Drop((section, key, name)))
    return edits


def written(text: str, section: str, key: str) -> dict[str, str]:
    """Return the values of a thing as they stand in the file."""
    table = find(parse(text), (section, key))[0]
    if not isinstance(table, Table):
        return {}
    return {name: _written(text, node) for name, (_, node) in table.pairs.items()}


def _written(text: str, node: Node) -> str:
    plain = text.removeprefix("\ufeff")
    return " ".join(_flow(plain, node).split())


def _flow(text: str, node: Node) -> str:
    """Return a node as it stands, blocks in brackets and braces."""
    if isinstance(node, Scalar):
        said = text[node.start : node.end].strip()
        return word(node.text) if said.startswith(("|", ">", "&")) else said
    if isinstance(node, Listing):
        return "[" + ", ".join(_flow(text, item) for item in node.items) + "]"
    return in_braces({key: _flow(text, value) for key, (_, value) in node.pairs.items()})


def _texts(table: Table, key: str) -> list[str]:
    pair = table.pairs.get(key)
    if pair is None:
        return []
    items = pair[1].items if isinstance(pair[1], Listing) else [pair[1]]
    return [item.text for item in items if isinstance(item, Scalar)]


def _things(shop: Shop, section: str) -> Mapping[str, Any]:
    return getattr(shop, section.replace(" ", "_"))  # type: ignore[no-any-return]


def point_text(point: Point) -> str:
    """Return a point as the file has it, in whole mm where it is near one, else to 0.1."""
    return "[" + ", ".join(_mm(each) for each in point) + "]"


def points_text(points: Iterable[Point]) -> str:
    """Return a list of points as the file has it."""
    return "[" + ", ".join(point_text(point) for point in points) + "]"


def _mm(value: float) -> str:
    near = round(value)
    return str(near) if math.isclose(value, near, abs_tol=0.05) else f"{value:.1f}"


def walls_near(outline: Outline, corners: Sequence[Point]) -> float:
    """Return the angle of the wall nearest to an outline, to turn along."""
    middle = (sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline))
    best, angle = math.inf, 0.0
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        length = math.dist(a, b)
        share = ((middle[0] - a[0]) * (b[0] - a[0]) + (middle[1] - a[1]) * (b[1] - a[1])) / length**2
        foot = (a[0] + (b[0] - a[0]) * min(max(share, 0), 1), a[1] + (b[1] - a[1]) * min(max(share, 0), 1))
        if math.dist(middle, foot) < best:
            best, angle = math.dist(middle, foot), math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return angle
