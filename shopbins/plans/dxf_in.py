"""Outlines from a DXF: closed rings, and lines that meet end to end, by layer. Needs ezdxf, the extra 'dxf'.

What a drawing is measured in stands in it, or has to be said. Arcs and curves become corners that are off by
at most 5 mm; ends within 10 mm of each other meet.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from shopbins.geometry.exact import overhang_mm
from shopbins.geometry.shapes import Point, counter_clockwise
from shopbins.geometry.simple import simple_problem
from shopbins.plans.csv_in import CannotRead
from shopbins.shop.editing.splice import Put, in_braces, word
from shopbins.shop.fields import MOST_POINTS

SAGITTA_MM, GAP_MM = 5.0, 10.0
MOST_BYTES, MOST_ENTITIES = 20_000_000, 10_000
UNITS_MM: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
DRAWN = frozenset({"LINE", "LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "SPLINE", "ELLIPSE"})
_SECTIONS = (
    (re.compile(r"wall|room|wand|raum|mur", re.I), "rooms", ""),
    (re.compile(r"bench|table", re.I), "zones", "bench"),
    (re.compile(r"rack|shelf|shelv", re.I), "zones", "shelf"),
    (re.compile(r"zone|floor|spot|bay", re.I), "zones", "floor"),
    (re.compile(r"keep.?clear|clear", re.I), "keep clear", ""),
    (re.compile(r"fix|column|machine|equip", re.I), "fixtures", ""),
)
AS = ("rooms", "bench", "shelf", "floor", "keep clear", "fixtures", "nothing")


@dataclass(frozen=True, slots=True)
class Ring:
    """A closed outline in mm, and the layer it is on."""

    layer: str
    outline: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a drawing gave: edits of the shop file, and what could not be used."""

    puts: tuple[Put, ...]
    told: tuple[str, ...]


def rings(path: Path, unit: str | None = None) -> tuple[list[Ring], list[str]]:
    """Return the closed outlines of a drawing, and a line for what was left; raises CannotRead."""
    try:
        from ezdxf.enums import InsertUnits
        from ezdxf.filemanagement import readfile
        from ezdxf.lldxf.const import DXFError
        from ezdxf.units import conversion_factor
    except ImportError:
        raise CannotRead("a drawing needs the package ezdxf: pip install 'shopbins[dxf]'") from None
    if path.stat().st_size > MOST_BYTES:
        raise CannotRead(f"is larger than {MOST_BYTES // 1_000_000} MB")
    try:
        document = readfile(path)
    except (OSError, DXFError, UnicodeDecodeError, ValueError, IndexError) as problem:
        raise CannotRead(f"is no DXF that can be read: {' '.join(str(problem).split())[:100]}") from None
    if unit is None:
        if not document.header.get("$INSUNITS", 0):
            raise CannotRead(f"does not say what it is measured in: --unit {', '.join(UNITS_MM)}")
        factor = float(conversion_factor(InsertUnits(document.units), InsertUnits.Millimeters))
    else:
        factor = UNITS_MM[unit]
    return _closed(_lines(document.modelspace(), factor))


def _lines(space: Any, factor: float) -> Iterator[tuple[str, list[Point]]]:
    """Yield every line, arc and curve as points in mm, blocks taken apart."""
    from ezdxf.disassemble import recursive_decompose
    from ezdxf.path import make_path

    pairs = ((each, part) for each in space for part in recursive_decompose([each]))
    for count, (whole, entity) in enumerate(pairs, 1):
        if count > MOST_ENTITIES:
            raise CannotRead(f"has more than {MOST_ENTITIES} things in it")
        layer = (
            whole.dxf.layer if entity.dxf.layer == "0" else entity.dxf.layer
        )  # as drawing programs have it
        if entity.dxftype() in DRAWN:
            try:
                flat = make_path(entity).flattening(SAGITTA_MM / factor)
                points = [(p.x * factor, p.y * factor) for p in flat]
            except (TypeError, ValueError, ZeroDivisionError):
                continue
            if all(math.isfinite(c) for point in points for c in point) and len(points) > 1:
                yield layer, points


def _closed(lines: Iterable[tuple[str, list[Point]]]) -> tuple[list[Ring], list[str]]:
    found: list[Ring] = []
    loose: dict[str, list[list[Point]]] = defaultdict(list)
    for layer, points in lines:
        if len(points) > 3 and math.dist(points[0], points[-1]) <= GAP_MM:
            found.append(Ring(layer, tuple(points[:-1])))
        else:
            loose[layer].append(points)
    told = []
    for layer, parts in loose.items():
        joined, left = _joined(parts)
        found += [Ring(layer, tuple(ring)) for ring in joined]
        if left:
            told.append(f"layer {layer}: {left} lines close nothing and are left out")
    return found, told


def _joined(parts: list[list[Point]]) -> tuple[list[list[Point]], int]:
    """Join lines end to end; return the rings, and how many lines were in none."""
    rings, left = [], 0
    while parts:
        chain, used = parts.pop(), 1
        while True:
            if len(chain) > 3 and math.dist(chain[0], chain[-1]) <= GAP_MM:
                rings.append(chain[:-1])
                break
            following = _following(chain[-1], parts)
            if following is None:
                left += used
                break
            chain += following[1:]
            used += 1
    return rings, left


def _following(end: Point, parts: list[list[Point]]) -> list[Point] | None:
    for n, part in enumerate(parts):
        if math.dist(part[0], end) <= GAP_MM:
            return parts.pop(n)
        if math.dist(part[-1], end) <= GAP_MM:
            return parts.pop(n)[::-1]
    return None


def drawn(found: Iterable[Ring], rooms: Mapping[str, tuple[Point, ...]], layers: Mapping[str, str]) -> Drawn:
    """Return what rings become: rooms, places and so on, by their layers' names or as `layers` says."""
    puts: list[Put] = []
    told: list[str] = []
    known = dict(rooms)
    counts: dict[str, int] = defaultdict(int)
    ordered = sorted(found, key=lambda ring: _meaning(ring.layer, layers)[0] != "rooms")
    for ring in ordered:
        section, kind = _meaning(ring.layer, layers)
        if section == "nothing":
            continue
        if not section:
            told.append(
                f"layer {ring.layer}: what is it? --layer '{ring.layer}={AS[0]}' (or {', '.join(AS[1:])})"
            )
            continue
        counts[ring.layer] += 1
        key = f"{_name(ring.layer)} {counts[ring.layer]}"
        outline = _tidy(ring.outline)
        if len(outline) < 3 or len(outline) > MOST_POINTS or simple_problem(outline) is not None:
            told.append(
                f"layer {ring.layer}: outline {counts[ring.layer]} crosses itself or has too many corners"
            )
            continue
        pairs = {"outline": _points(outline)}
        if section == "rooms":
            known[key] = outline
        else:
            room = _room_of(outline, known)
            if room is None:
                told.append(f"{key} lies in no room and is left out")
                continue
            pairs = {"room": word(room), **({"kind": kind} if kind else {}), **pairs}
            if kind in ("bench", "shelf"):
                pairs["height"] = "900"
                told.append(f"{key}: its height is not in the drawing, 900 mm was written: measure it")
            if section == "keep clear":
                pairs["why"] = word(_name(ring.layer))
        puts.append(Put((section, key), in_braces(pairs)))
    return Drawn(tuple(puts), tuple(dict.fromkeys(told)))


def _meaning(layer: str, layers: Mapping[str, str]) -> tuple[str, str]:
    said = layers.get(layer)
    if said is not None:
        return ("zones", said) if said in ("bench", "shelf", "floor") else (said, "")
    return next(((section, kind) for form, section, kind in _SECTIONS if form.search(layer)), ("", ""))


def _name(layer: str) -> str:
    return re.sub(r"[^\w -]", " ", layer).strip().lower()[:40] or "drawn"


def _tidy(outline: Iterable[Point]) -> tuple[Point, ...]:
    """Round to 0.1 mm and leave out corners less than 1 mm from the one before."""
    kept: list[Point] = []
    for x, y in outline:
        point = (round(x, 1), round(y, 1))
        if not kept or math.dist(kept[-1], point) >= 1.0:
            kept.append(point)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) < 1.0:
        kept.pop()
    return counter_clockwise(kept) if len(kept) > 2 else tuple(kept)


def _room_of(outline: tuple[Point, ...], rooms: Mapping[str, tuple[Point, ...]]) -> str | None:
    return next((key for key, room in rooms.items() if overhang_mm(outline, room) <= 1.0), None)


def _points(outline: Iterable[Point]) -> str:
    return "[" + ", ".join(f"[{x:g}, {y:g}]" for x, y in outline) + "]"
