"""What is kept while it rolls, each condition on every stretch of the way that it is about."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator

from shopbins.answer import Part
from shopbins.geometry.exact import overlap
from shopbins.geometry.shapes import Outline, bounds, placed
from shopbins.moves.crossings import crossings, is_at
from shopbins.moves.finding import row_of
from shopbins.moves.fits import ROLLERS, SWINGS
from shopbins.moves.fitted import HOISTS, JACKED
from shopbins.moves.heights import BAND, HEAD
from shopbins.moves.onslopes import HANDLE, TURNS
from shopbins.moves.overbends import GROUNDS
from shopbins.moves.plan import Plan
from shopbins.moves.pressing import EDGE, PIT
from shopbins.moves.pushing import PULL
from shopbins.moves.room import PUSHERS, SHUT_IN, STEERING
from shopbins.moves.situation import Situation
from shopbins.moves.standing import SILL_TIPS, SPEED, TIPS, ZONE
from shopbins.moves.ways_out import EXIT, LEAF

KEPT = frozenset(
    check.key
    for check in (
        *(BAND, HEAD, GROUNDS, TIPS, SILL_TIPS, SPEED, PULL, TURNS, HANDLE),
        *(STEERING, SHUT_IN, PUSHERS, EXIT, EDGE, PIT, ROLLERS),
    )
)
"""Checks whose conditions are kept while it is moved."""


def kept_rolling(plan: Plan) -> Iterator[Part]:
    """Go through the conditions that are kept while it rolls; of a leaf, unless it is off."""
    kind, leaves = plan.gear.gear.kind, () if plan.attempt is None else plan.attempt.leaves_off
    off = {f"door:{key}" for key in leaves}
    for part in plan.conditions:
        row, about = row_of(part), set(part.subjects)
        rule, of_part = row.finding.rule, any(subject.startswith("hoist:") for subject in about)
        if (
            (rule in KEPT and not about & {"stands", "jacked"})
            or row.at
            or (rule == ZONE.key and kind not in JACKED and not of_part)
            or (rule == SWINGS.key and kind in HOISTS and not of_part)
            or (rule == LEAF.key and not about & off)
        ):
            yield part


def kept_at(it: Situation, part: Part) -> Collection[int]:
    """Return the places of the way, counted over all its poses, at which a condition is kept: on the edge, in
    the doorway or room, under the beam, near the pit that it is about; all of them, where it is about none.
    """
    row, order = row_of(part), list(it.poses())
    rule, spot, every = row.finding.rule, row.finding.at_mm, range(len(order))
    if spot is not None and rule == PUSHERS.key:
        return [min(every, key=lambda n: math.dist(spot, order[n][1][:2]))]
    about = row.at or part.subjects
    if rule in (TURNS.key, HANDLE.key):  # on the floor of a room, as the way's stages are
        return [n for n in every if f"room:{order[n][0].room.key}" in about] or every
    over = [each for each in crossings(it) if is_at(each, about)]
    found = {n for each in over for n in range(each.first, each.last + 1)}
    outlines = [outline for subject in about if (outline := _outline(it, subject))]
    both = len(outlines) if rule == GROUNDS.key else 1  # where two floors meet it is over both
    hull = it.hull if outlines else ()
    for n, (_, pose) in enumerate(order if outlines else ()):
        thing = placed(hull, pose)
        if sum(overlap(thing, outline) for outline in outlines) >= both:
            found.add(n)
    return found or every


def _outline(it: Situation, subject: str) -> Outline:
    """Return the floor that a condition about a door, room, fixture or pit is kept over; () of all else."""
    kind, _, key = subject.partition(":")
    shop = it.scene.shop
    if kind == "door" and key in shop.doors:
        return shop.doors[key].passage
    if kind == "room" and key in shop.rooms:
        return shop.rooms[key].outline
    if kind == "fixture" and key in shop.fixtures:
        return shop.fixtures[key].outline
    if kind == "opening" and key in shop.openings and shop.openings[key].outline:
        x0, y0, x1, y1 = bounds(shop.openings[key].outline).grown(it.own["edge distance"])
        return (x0, y0), (x1, y0), (x1, y1), (x0, y1)
    return ()
