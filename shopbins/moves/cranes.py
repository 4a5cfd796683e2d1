"""Engine cranes and gantries: legs beside or under the thing, the hook high enough, the boom long enough.

A reach between two of the file's counts as the farther one: a boom is pulled out to the next hole, and
nothing is read off between them. Nearer than the nearest the crane stands back. Reach is counted from the
mast, straight out.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from shopbins.geometry.shapes import Outline, Point, bounds, cos_sin, turn_between
from shopbins.moves.fitted import Fitted, across_box, along, boxed, plus
from shopbins.moves.load import Answer, Judged, Load, holds
from shopbins.moves.stances import TRAIL, WHEEL_PLACES, Stance, Usual, both_ends, castors, placed
from shopbins.rules.hoisting import capacity_at, hook_at, hook_unsure
from shopbins.shop.figures import OWN, Moving
from shopbins.shop.model import Gear
from shopbins.units import show_length, show_lengths

_RANK: dict[Answer, int] = {"yes": 0, "not known": 1, "no": 2}
HANGS = (
    "nobody under or beside it while it hangs; carry it as low as it goes, and let it down before leaving it",
    "lift over the centre of gravity: try a hand's breadth first and look whether it hangs level",
)


@dataclass(frozen=True, slots=True)
class _From:
    """A crane come from one side: does it get there, at which reach, what it then holds; what it would hold
    were the hook needed as much farther out as lengths may be off (None: beyond its reach); and how high its
    hook surely goes there, the lower of both (None: not told).
    """

    towards_deg: float
    under: Judged
    needed_mm: float
    reach_mm: float | None
    capacity_kg: float | None
    farther_kg: float | None = None
    hook_mm: float | None = None


def fit(gear: Gear, load: Load, measured_mm: float, own: Moving = OWN) -> Fitted:
    """Fit a crane to a thing: from the side it gets there best; a gantry stands astride it."""
    return _fitted(gear, load, _sides(gear, load, measured_mm)[0], own)


def fit_sides(gear: Gear, load: Load, measured_mm: float, own: Moving = OWN) -> Iterator[Fitted]:
    """Fit a crane to a thing from the side it gets there best, then from each other it gets there from."""
    best, *others = _sides(gear, load, measured_mm)
    yield _fitted(gear, load, best, own)
    yield from (_fitted(gear, load, each, own) for each in others if each.under.answer != "no")


def _sides(gear: Gear, load: Load, measured_mm: float) -> list[_From]:
    """Return the sides a crane may come from, the best first; a gantry stands alike from two."""
    every = (0.0, 90.0) if gear.kind == "gantry crane" else (0.0, 90.0, 180.0, 270.0)
    sides = [_come_from(gear, load, towards, measured_mm) for towards in every]
    return sorted(sides, key=lambda s: (_RANK[s.under.answer], _lacks_mm(s.under), s.needed_mm))


def _fitted(gear: Gear, load: Load, best: _From, own: Moving) -> Fitted:
    """Fit a crane that comes from one side."""
    under, hook = best.under, _hook(gear, load, best.hook_mm)
    if _RANK[hook.answer] > _RANK[under.answer]:
        under = hook
    what = gear.name if best.reach_mm is None else f"{gear.name} at a reach of {show_length(best.reach_mm)}"
    unknown = [] if gear.height_mm is not None else [f"how tall {gear.name} is: doors not checked for it"]
    if gear.size_mm is None:
        unknown.append(f"how much floor {gear.name} takes: its outline is at least the thing's")
    unsure = "" if best.reach_mm is None else hook_unsure(gear, best.reach_mm)
    if unsure:
        unknown.append(f"how high the hook of {gear.name} goes{unsure}")
    if load.cg_mm is None:
        unknown.append(f"centre of gravity of {load.name}: taken over the middle of its outline")
    tall = None if gear.height_mm is None or load.height_mm is None else max(gear.height_mm, load.height_mm)
    return Fitted(
        gear=gear,
        load=load,
        goes_under=under,
        holds=_holds(gear, load, best, what),
        parts=(load.outline, *_shape(gear, load, best)),
        height_mm=plus(tall, 0.0),
        least_height_mm=tall,
        cautions=(*HANGS, *_sling_angle(best.hook_mm, load)),
        unknown=tuple(unknown),
        axis_deg=best.towards_deg,
        stances=tuple(_wheels(gear, load, best, own)),
        hook_mm=best.hook_mm,
    )


def _lacks_mm(under: Judged) -> float:
    """Return by how much legs do not go there: of sides that do not go the nearest to it is named."""
    known = under.measured is not None and under.limit is not None
    return (under.limit or 0.0) - (under.measured or 0.0) if known and under.answer == "no" else 0.0


def _holds(gear: Gear, load: Load, side: _From, what: str) -> Judged:
    """Compare the mass with what it lifts; a plate without reaches may refuse an engine crane, not pass."""
    found = holds(load, side.capacity_kg, what)
    if gear.kind != "engine crane" or found.answer != "yes":
        return found
    if gear.reach and (load.mass_kg or 0.0) > (side.farther_kg or 0.0) * (1 + 1e-9):
        return replace(found, again=(*found.again, f"how far out the hook of {gear.name} has to reach"))
    if gear.reach:
        return found
    words = f"{found.why}; at which reach is not known"
    return Judged("not known", words, found.measured, found.limit, found.unit)


def _come_from(gear: Gear, load: Load, towards: float, measured_mm: float) -> _From:
    """Judge a crane that comes from one side, its legs pointing `towards_deg`."""
    near, _, left, right = across_box(load, towards)
    needed = along(_hung(load), towards) - near
    under = goes_beside(gear, load, towards, right - left, measured_mm)
    if gear.kind == "gantry crane":
        return _From(towards, under, 0.0, None, gear.capacity_kg, hook_mm=gear.hook_mm)
    if not gear.reach:
        return _From(towards, under, needed, None, gear.capacity_kg, hook_mm=hook_at(gear, needed))
    far = capacity_at(gear, needed)
    if far is None:
        longest = gear.reach[-1][0]
        words = (
            f"the hook of {gear.name} reaches {show_length(longest)}, to the centre of gravity of "
            f"{load.name} it is {show_length(needed)}"
        )
        return _From(towards, Judged("no", words, longest, needed), needed, None, gear.capacity_kg)
    off = capacity_at(gear, needed + measured_mm)
    farther = None if off is None else min(off[1], far[1])
    hooks = [hook_at(gear, each[0]) for each in (far, off) if each is not None]
    lowest = None if None in hooks else min(high for high in hooks if high is not None)
    return _From(towards, under, needed, *far, farther, lowest)


def goes_beside(gear: Gear, load: Load, towards: float, wide_mm: float, measured_mm: float) -> Judged:
    """Say whether the legs, pointing `towards` (deg), go either side of the thing, else under it."""
    inside = gear.inside_mm
    if inside is None:
        return Judged("not known", f"the clear width between the legs of {gear.name} is not known")
    a, b = show_lengths(inside, wide_mm)
    near = abs(inside - wide_mm) <= 2 * measured_mm
    again = (f"{load.name}", f"{gear.name} between its legs") if near else ()
    if inside >= wide_mm:
        return Judged(
            "yes",
            f"{load.name} goes between the legs of {gear.name}: {b} of {a}",
            inside,
            wide_mm,
            "mm",
            again,
        )
    beside = f"{a} between the legs of {gear.name}, {load.name} is {b} wide"
    if gear.legs_mm is None or load.under_mm is None:
        which = "how high its legs are" if gear.legs_mm is None else f"how high {load.name} stands"
        if gear.kind == "gantry crane":
            return Judged("no", beside, inside, wide_mm, "mm", again)
        return Judged("not known", f"{beside}; whether they go under: {which} is not known", inside, wide_mm)
    low, under = show_lengths(gear.legs_mm, load.under_mm)
    within = measured_mm if load.under_within_mm is None else load.under_within_mm
    near = abs(gear.legs_mm - load.under_mm) <= measured_mm + within
    lower = (f"under {load.name}", f"the legs of {gear.name}") if near else ()
    if gear.legs_mm > load.under_mm:
        words = f"{beside}, and {low} of legs do not go under {under}"
        return Judged("no", words, inside, wide_mm, "mm", (*again, *lower))
    met = (each for each in load.met_by_forks() if abs(turn_between(each.towards_deg, towards)) < 1.0)
    clear = max((each.clear_mm for each in met), default=None)
    width = gear.size_mm[1] if gear.size_mm is not None else None
    if clear is None or width is None:
        return Judged(
            "not known", f"{beside}; whether its legs go between the feet is not known", inside, wide_mm
        )
    c, w = show_lengths(clear, width)
    near = abs(clear - width) <= 2 * measured_mm
    between = (f"between the feet of {load.name}", f"{gear.name} over its legs") if near else ()
    if clear < width:
        words = f"{beside}, and its legs, {w} over all, do not go between feet {c} apart"
        return Judged("no", words, clear, width, "mm", (*again, *between))
    words = f"the legs of {gear.name}, {w} over all, go under {load.name}, {c} clear"
    return Judged("yes", words, clear, width, "mm", (*lower, *between))


def _hook(gear: Gear, load: Load, goes: float | None) -> Judged:
    """Compare the hook's height at its reach with the slinging points: what is between is for slings and the
    lift.
    """
    if goes is None:
        return Judged("not known", f"how high the hook of {gear.name} goes is not known")
    if load.sling_height_mm is None:
        return Judged("not known", f"how high {load.name} is slung is not known", goes, None)
    left = goes - load.sling_height_mm
    high, slung = show_lengths(goes, load.sling_height_mm)
    if left <= 0:
        words = f"the hook of {gear.name} goes to {high}, {load.name} is slung at {slung}"
        return Judged("no", words, goes, load.sling_height_mm)
    words = f"{show_length(left)} between hook ({high}) and slinging points ({slung}) for slings and lift"
    return Judged("yes", words, goes, load.sling_height_mm)


def _sling_angle(hook_mm: float | None, load: Load) -> tuple[str, ...]:
    """Warn where slings would spread to more than 90 degrees at the hook (common practice, no source)."""
    if hook_mm is None or load.sling_height_mm is None:
        return ()
    left = hook_mm - load.sling_height_mm
    words = f"{show_length(max(left, 0.0))} from slinging points to hook, for slings, shackles and lift"
    spread = max((math.dist(a.point, b.point) for a in load.slinging for b in load.slinging), default=0.0)
    if left < spread / 2:
        words += f": slings over {show_length(spread)} would spread beyond 90 deg at the hook, use a beam"
    return (f"{words} (common practice, no source)",)


def _hung(load: Load) -> Point:
    if load.cg_mm is not None:
        return load.cg_mm
    return bounds(load.outline).middle


def middle_of(gear: Gear, load: Load, towards: float, reach_mm: float) -> Point | None:
    """Return the middle of a crane's floor, in the thing's frame: a gantry's is under its hook."""
    if gear.size_mm is None:
        return None
    hook = _hung(load)
    if gear.kind == "gantry crane":
        return hook
    c, s = cos_sin(towards)
    back = gear.body_mm or 0.0
    forward = (gear.size_mm[0] - back) / 2 - reach_mm
    return hook[0] + forward * c, hook[1] + forward * s


def _wheels(gear: Gear, load: Load, side: _From, own: Moving) -> Iterator[Stance]:
    """Go through what a crane may stand on: its wheels as told, else at the corners of its floor or in
    from them.
    """
    at = middle_of(gear, load, side.towards_deg, side.reach_mm or side.needed_mm)
    if at is None or gear.size_mm is None:
        return
    length, width = gear.size_mm[0] + (gear.body_mm or 0.0) * (gear.kind != "gantry crane"), gear.size_mm[1]
    trails = both_ends(gear.trail_mm, (own["trail least"], own["trail most"]))
    assumed = [] if gear.trail_mm is not None else [Usual("trail of its castors", TRAIL)]
    if gear.wheel_places_mm:
        sets = [[("", x, -y) for x, y in gear.wheel_places_mm]]
    else:
        assumed.append(Usual("where its wheels are", WHEEL_PLACES))
        sets = [
            [
                ("", sx * (length / 2 - d), sy * (width / 2 - d))
                for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
            ]
            for d in (0.0, own["stems in"])
        ]
    for wheels, trail in itertools.product(sets, trails):
        points = [(p.x_mm, p.y_mm) for p in placed(at, side.towards_deg, wheels)]
        yield castors(points, trail, tuple(assumed))


def _shape(gear: Gear, load: Load, side: _From) -> tuple[Outline, ...]:
    """Return the crane on the floor: a gantry about the hook, an engine crane from behind its mast."""
    if gear.size_mm is None:
        return ()
    length, width = gear.size_mm
    hook = _hung(load)
    at, across = along(hook, side.towards_deg), along(hook, side.towards_deg - 90.0)
    if gear.kind == "gantry crane":
        return (
            boxed(side.towards_deg, at - length / 2, at + length / 2, across - width / 2, across + width / 2),
        )
    mast = at - (side.reach_mm or side.needed_mm)
    back = mast - (gear.body_mm or 0.0)
    return (boxed(side.towards_deg, back, mast + length, across - width / 2, across + width / 2),)
