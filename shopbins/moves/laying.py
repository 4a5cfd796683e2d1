"""Who lays the plates and ramps of a way, and takes them up again: people by the filter and HSE's MAC, beyond
those a hoist, where it finds level floor without a sill.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.exact import overlap
from shopbins.moves.crossings import Crossing, again, between_halts, crossings, lacking
from shopbins.moves.finding import Check
from shopbins.moves.fitted import HOISTS
from shopbins.moves.hands import off_the_floor, people_of, short_of
from shopbins.moves.inuse import borne
from shopbins.moves.plates import Laid, Ramps
from shopbins.moves.situation import Situation
from shopbins.moves.spans import steel_kg
from shopbins.rules.handling import FILTER, MAC, MOST_KG
from shopbins.rules.hoisting import most_kg
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear
from shopbins.units import show_length, show_mass, show_slope

LAYS = Check(
    "move-plates-laid",
    "Laying plates and ramps, and taking them up",
    f"{FILTER}, its figure for hands at the floor, from memory; {MAC} (INDG383), from memory",
    "from memory",
    "lighter plates, more of them; a third person; a hoist, where it finds room on level floor",
)

UNDER_LEAF = Check(
    "move-plates-under-leaf",
    "Plates and ramps under an open leaf",
    "geometry: where the leaf stands open, and how high what is laid there is; common practice, no source",
    "common practice, no source",
    "the leaf off; narrower plates or ramps; the door opened before they are laid and left so",
)

AT_ONCE = Check(
    "move-plates-at-once",
    "Plates and ramps that lie at once",
    "shop file (`count`); taken up behind it where it halts with every wheel on the floor: common practice, "
    "no source; an open pit guarded: 29 CFR 1910.28(b)(3), from memory",
    "common practice, no source",
    "more of them; others for one of the places; a way over fewer",
)


def laying(it: Situation) -> Iterator[Part]:
    """Say who lays each kind of plate and ramp: a condition where more have to than are told of, or it is
    more than green for them.
    """
    every: list[Laid | Ramps] = [*it.laid, *it.ramps]
    for gear in dict.fromkeys(each.gear for each in every):
        places = [each.words for each in every if each.gear is gear]
        subjects = (*it.subjects, f"gear:{gear.key}", "laid")
        kg, text = gear.mass_kg, f"{'; '.join(places)}: {_each(gear)}"
        if kg is None:
            words = f"{gear.name} weighed before it is laid{_if_steel(gear)}"
            yield LAYS.only(
                subjects, words, f"{text}; gear: {gear.key}: {{mass: 20 kg}} tells it", judged=False
            )
            continue
        n, band = off_the_floor(it.scene, kg)
        more: dict[str, Any] = {"measured": kg, "limit": MOST_KG, "unit": "kg"}
        if n > 1:
            text += f"; {band} for {n} people by {MAC}, hands at the floor"
        if band == "green" and not short_of(it.scene, n):
            yield LAYS.note(subjects, text, **more)
            continue
        if band == "purple":
            text += f", who lift {show_mass(MOST_KG)} at the most{_no_hoist(it, gear)}"
        words = f"{gear.name} ({show_mass(kg)}) laid, taken up{who_lays(it, gear)}"
        yield LAYS.only(subjects, words, text, **more)


def under_leaves(it: Situation) -> Iterator[Part]:
    """Make it a condition that an open leaf clears what is laid under it: how high it hangs is not told."""
    if it.attempt is None or it.attempt.ground is None:
        return
    every: list[Laid | Ramps] = [*it.laid, *it.ramps]
    for key, leaf in it.attempt.ground.leaves:
        over = [each for each in every if any(overlap(piece.outline, leaf) for piece in each.pieces)]
        for each in over:
            high = each.high_mm
            if high is None:  # how thick it is is asked
                continue
            door = it.scene.shop.doors[key].name
            text = f"{each.words} lies under the open leaf of {door}, at the most {show_length(high)} high: "
            text += "so much is free under that, measured, and it is open before; else off its hinges"
            subjects = (*it.subjects, f"gear:{each.gear.key}", f"door:{key}", "leaf")
            words = f"{show_length(high)} free under leaf of {door}, or off"
            yield UNDER_LEAF.only(subjects, words, text, measured=high, unit="mm")


def at_once(it: Situation) -> Iterator[Part]:
    """Compare the plates and ramps that lie at once with how many there are; what is taken up behind it and
    laid again before the next, where there is room to halt between, is a condition, and so is that there are
    as many, where nobody told.
    """
    every = crossings(it) if it.laid or it.ramps else ()
    yield from _not_counted(it, every)
    for gear, needed, there in lacking(every):
        told = gear.count or 0
        text = (
            f"{_words_of(gear, there)}: {needed} needed at once, {told} told of; it cannot halt between with "
        )
        text += "every wheel on the floor"
        if len(between_halts(there)) > 1:
            level = show_slope(it.own["jack on slope"])
            text += f" and none on more than {level}, where let go it runs over who lays them, and "
            text += f"with {show_length(it.own['person'])} beside it for who brings them past"
        text += ", where they would be taken up behind it and laid again"
        subjects, ends = (*it.subjects, f"gear:{gear.key}"), (f"{needed - told} more of {gear.name}",)
        yield AT_ONCE.no(subjects, text, ends, measured=told, limit=needed, unit="count")
    for gear, behind, then in again(every):
        text = f"{_words_of(gear, every)}: {gear.count} told of; it halts before {then.name}, chocked, every "
        text += "wheel on the floor, and what lies behind it is taken up and laid again"
        pits = [p.name for each in behind for p in each.lies if isinstance(p, Laid) and p.over_open]
        text += (
            f"; a barrier all round {' and '.join(pits)}, open again, or somebody to guard it" if pits else ""
        )
        where = (then.name,) if then.edge is None else then.edge.subjects
        subjects = (*it.subjects, f"gear:{gear.key}", *where)
        guarded = f"; {' and '.join(pits)} guarded" if pits else ""
        words = f"{gear.name} taken up behind it, laid before {then.name}{guarded}"
        yield AT_ONCE.only(subjects, words, text, measured=gear.count, unit="count")


def _not_counted(it: Situation, every: Sequence[Crossing]) -> Iterator[Part]:
    """Say how many are needed of each kind that nobody counted; one is told of by its name."""
    lies = [lies for each in every for lies in each.lies]
    for gear in dict.fromkeys(each.gear for each in lies if each.gear.count is None):
        needed = sum(each.count for each in lies if each.gear is gear)
        if needed > 1:
            text = f"{_words_of(gear, every)}: {needed} at once; how many there are is not told; "
            text += f"gear: {gear.key}: {{count: {needed}}} tells it"
            subjects = (*it.subjects, f"gear:{gear.key}", "count")
            words = f"{needed} of {gear.name} at hand"
            yield AT_ONCE.only(subjects, words, text, measured=needed, unit="count", judged=False)


def _words_of(gear: Gear, every: Sequence[Crossing]) -> str:
    """Say where plates or ramps of a kind lie: '2 of plate over pit; 2 of plate over duct'."""
    return "; ".join(lies.words for each in every for lies in each.lies if lies.gear is gear)


def who_lays(it: Situation, gear: Gear) -> str:
    """Say who lays one plate or ramp: ', by 2 people'."""
    if gear.mass_kg is None:
        return ", weighed first"
    n, band = off_the_floor(it.scene, gear.mass_kg)
    if band != "purple":
        looked = "" if band == "green" else f", {band} by MAC: looked at first"
        return f", by {'1 person' if n == 1 else people_of(it.scene, n)}{looked}"
    hoist = hoist_for(it.scene, gear.mass_kg)
    if hoist is None or _off_level(it, gear):
        lighter = f"ones to {show_mass(MOST_KG)} by {people_of(it.scene, n)}"
        return f", by a hoist yet to be found (none told of gets there), or {lighter}"
    return f", by {hoist.name}, its way there looked at first"


def _no_hoist(it: Situation, gear: Gear) -> str:
    """Say where a hoist may not go to lay a plate or ramp; '' where it may go to each."""
    off = _off_level(it, gear)
    return f"; no hoist goes {off}" if off else ""


def _off_level(it: Situation, gear: Gear) -> str:
    """Say where a plate or ramp lies on a slope or at a sill: 'onto the slope of yard'; '' on neither."""
    laid = [each for each in it.laid if each.gear is gear]
    rooms = dict.fromkeys(each.room for each in laid)
    said: list[str] = []
    for edge in (each.edge for each in it.ramps if each.gear is gear):
        rooms |= dict.fromkeys(edge.rooms)
        said += [f"over the sill of {edge.name}"] if edge.is_sill else []
    floors = [it.scene.shop.rooms[key] for key in rooms if key in it.scene.shop.rooms]
    sloping = [
        room for room in floors if room.slope is not None and room.slope.fall > it.own["jack on slope"]
    ]
    return ", nor ".join([*(f"onto the slope of {room.name}" for room in sloping), *dict.fromkeys(said)])


def hoist_for(scene: Scene, kg: float) -> Gear | None:
    """Return the weakest crane told of that takes so much somewhere; None where none does."""
    cranes = (g for g in scene.shop.gear.values() if g.kind in HOISTS and not borne(scene, g))
    able = ((most, each) for each in cranes if (most := most_kg(each)) is not None and most >= kg)
    return min(able, key=lambda pair: pair[0], default=(0.0, None))[1]


def _each(gear: Gear) -> str:
    """Say what one weighs."""
    if gear.mass_kg is not None:
        return f"{show_mass(gear.mass_kg)} each"
    return f"what one weighs is not told{_if_steel(gear)}"


def _if_steel(gear: Gear) -> str:
    """Say what a plate would weigh of steel; '' where not all of its sizes are told."""
    kg = steel_kg(gear)
    return "" if kg is None else f", {show_mass(round(kg))} if of steel"
