"""The heights of a shelf's boards as people type them: plain figures with ';' between, '100; 700; 1300'."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopbins import units
from shopbins.shop.editing.splice import Drop, Edit, Put, find, in_braces, parse
from shopbins.shop.editing.steps import CannotDraw
from shopbins.shop.nodes import Node, Scalar, Table

METRES_BELOW_MM = 30.0
"""No board is lower than this all over: plain figures below it were read off a tape in metres."""


@dataclass(frozen=True, slots=True)
class Heights:
    """Heights as they go into the file; `metres` where bare figures only make sense as metres: ask first."""

    written: tuple[str, ...]
    metres: bool = False


def parted(text: str) -> list[str]:
    """Return what stands between the ';' ('&' and '/' part too) of heights typed in a row."""
    return [each for each in re.split(r"\s*[;&/]\s*", text.strip()) if each]


def read_heights(text: str) -> Heights:
    """Read heights as typed, with decimal commas too; raises UnitError where one is none."""
    cells = [re.sub(r"^(\d+),(\d{1,2}|\d{4,})(?!\d)", r"\1.\2", each) for each in parted(text)]
    if not cells:
        raise units.UnitError(f"'{text}' is no height", "like 100; 700; 1300")
    found = [units.parse_length(each) for each in cells]
    if all(re.fullmatch(r"[\d.]+", each) for each in cells) and 0 < max(found) < METRES_BELOW_MM:
        return Heights(tuple(f"{each * 1000:.10g}" for each in found), metres=True)
    return Heights(tuple(cells))


def levelled(text: str, zone: str, heights: Heights) -> list[Edit]:
    """Return the edits that give a shelf its levels, or its single height where there is one.

    A level that is there keeps its key and all else of it, but a headroom that was measured between other
    heights: it reaches to the next level again. The zone's own height goes with levels.
    """
    table = find(parse(text), ("zones", zone))[0]
    if not isinstance(table, Table):
        raise CannotDraw(f"'{zone}' is not in the shop file")
    there = table.pairs.get("levels")
    levels = there[1].pairs if there is not None and isinstance(there[1], Table) else {}
    old = list(levels)
    if len(heights.written) == 1:
        return [Put(("zones", zone, "height"), heights.written[0]), *_gone(table, zone, "levels")]
    keys = [*old, *(str(n) for n in range(1, 1000) if str(n) not in old)]
    edits: list[Edit] = list(_gone(table, zone, "height", "headroom"))
    if not old:
        return [*edits, Put(("zones", zone, "levels"), levels_text(heights.written))]
    before = [_heights_text(level) for _, level in levels.values()]
    for n, (key, height) in enumerate(zip(keys, heights.written, strict=False)):
        path = ("zones", zone, "levels", key)
        level = levels[key][1] if key in levels else None
        moved = before[n : n + 2] != list(heights.written[n : n + 2])
        if moved and isinstance(level, Table) and "headroom" in level.pairs:
            edits.append(Drop((*path, "headroom")))
        edits.append(
            Put((*path, "height"), height) if key in old else Put(path, in_braces({"height": height}))
        )
    return [*edits, *(Drop(("zones", zone, "levels", key)) for key in old[len(heights.written) :])]


def levels_text(heights: Sequence[str], each: Mapping[str, str] | None = None) -> str:
    """Return levels 1, 2 and so on as the file has them; `each` is what all of them have besides."""
    return in_braces(
        {str(n): in_braces({"height": height, **(each or {})}) for n, height in enumerate(heights, 1)}
    )


def _gone(table: Table, zone: str, *keys: str) -> list[Edit]:
    return [Drop(("zones", zone, key)) for key in keys if key in table.pairs]


def _heights_text(level: Node) -> str:
    pair = level.pairs.get("height") if isinstance(level, Table) else None
    return pair[1].text if pair is not None and isinstance(pair[1], Scalar) else ""
