"""Who lays the plates and ramps of a way, and takes them up again: people by the filter, else a hoist."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.answer import Part
from shopbins.moves.finding import Check
from shopbins.moves.fitted import HOISTS
from shopbins.moves.hands import short_of, team_for
from shopbins.moves.plates import Laid, Ramps
from shopbins.moves.situation import Situation
from shopbins.moves.spans import steel_kg
from shopbins.rules.handling import FILTER, TEAM
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear
from shopbins.units import show_mass

LAYS = Check(
    "move-plates-laid",
    "Laying plates and ramps, and taking them up",
    f"{FILTER}, its figure for hands at the floor, from memory; {TEAM}",
    "from memory",
    "lighter plates, more of them; a hoist",
)


def laying(it: Situation) -> Iterator[Part]:
    """Say who lays each kind of plate and ramp: a condition where more have to than are told of."""
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
        n, most = team_for(it.scene, kg, 0.0)
        more = {"measured": kg, "limit": most, "unit": "kg"}
        text += f"; {n or 3} {'person lifts' if n == 1 else 'people lift'} {show_mass(most)} off the floor"
        if n and not short_of(it.scene, n):
            yield LAYS.note(subjects, text, **more)
            continue
        words = f"{gear.name} ({show_mass(kg)}) laid, taken up{who_lays(it.scene, gear)}"
        if not n and hoist_for(it.scene, kg) is None:
            words += f", or plates of {show_mass(most)}"
        elif not n:
            text += "; how the hoist comes there is looked at first"
        yield LAYS.only(subjects, words, text, **more)


def who_lays(scene: Scene, gear: Gear) -> str:
    """Say who lays one plate or ramp: ', 2 people'; '' where one person does."""
    if gear.mass_kg is None:
        return ", weighed first"
    n = team_for(scene, gear.mass_kg, 0.0)[0]
    if n:
        return "" if n == 1 else f", {n} people{short_of(scene, n)}"
    hoist = hoist_for(scene, gear.mass_kg)
    return ", by a hoist (none told takes it)" if hoist is None else f", by {hoist.name}"


def hoist_for(scene: Scene, kg: float) -> Gear | None:
    """Return the weakest crane told of that takes so much somewhere; None where none does."""
    told = ((max((each.capacity_kg or 0.0, *(kg for _, kg in each.reach))), each) for each in _cranes(scene))
    return min((pair for pair in told if pair[0] >= kg), key=lambda pair: pair[0], default=(0.0, None))[1]


def _cranes(scene: Scene) -> Iterator[Gear]:
    yield from (gear for gear in scene.shop.gear.values() if gear.kind in HOISTS)


def _each(gear: Gear) -> str:
    """Say what one weighs."""
    if gear.mass_kg is not None:
        return f"{show_mass(gear.mass_kg)} each"
    return f"what one weighs is not told{_if_steel(gear)}"


def _if_steel(gear: Gear) -> str:
    """Say what a plate would weigh of steel; '' where not all of its sizes are told."""
    kg = steel_kg(gear)
    return "" if kg is None else f", {show_mass(round(kg))} if of steel"
