"""What wheels, feet and blocks press on the floor, against what each room's floor is said to take.

Two checks, never added: the mean under the whole outline against the floor's load per area, and each contact
against its load on one point. What a floor takes is the builder's word in the shop file; unknown is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.geometry.exact import area_mm2
from shopbins.moves.finding import DECIDE, Check
from shopbins.moves.fitted import GearAnswer
from shopbins.moves.load import Load
from shopbins.moves.supports import Stand
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.load import area_load_kn_m2
from shopbins.shop.model import Room
from shopbins.units import GRAVITY_M_S2, show_area_load, show_force, show_mass

USUAL_WHEELS = {"pallet truck": 4, "trolley": 4, "engine crane": 4, "gantry crane": 4}
"""How many wheels touch the floor where the file does not say (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Contact:
    """One contact with the floor: what it bears from least to most, and the area that touches (mm2)."""

    name: str
    least_kg: float
    most_kg: float
    area_mm2: float | None = None

    @property
    def most_kn(self) -> float:
        """The greatest force on it."""
        return weight_kn(self.most_kg)

    @property
    def pressure_n_mm2(self) -> float | None:
        """The greatest pressure under it; None where its area is not known."""
        return None if not self.area_mm2 else self.most_kn * 1000.0 / self.area_mm2


def weight_kn(mass_kg: float) -> float:
    """Return the weight of a mass (standard gravity 9.80665 m/s2)."""
    return mass_kg * GRAVITY_M_S2 / 1000.0


def mass_per_m2(load_kn_m2: float) -> float:
    """Return the mass per m2 that a floor load stands for: 1 kN/m2 is 101.97 kg/m2."""
    return load_kn_m2 * 1000.0 / GRAVITY_M_S2


def spread_mm2(mass_kg: float, allowed_kn_m2: float) -> float:
    """Return the area over which a mass must be spread to stay within a floor load."""
    return weight_kn(mass_kg) / allowed_kn_m2 * 1e6


# --- contacts ---------------------------------------------------------------------------------------------


def blocks(found: Stand, mass_kg: float) -> tuple[Contact, ...]:
    """Return the contacts of a thing that stands on blocks, skates or feet."""
    return tuple(
        Contact(r.support.name or f"support {n}", *r.kg(mass_kg), r.support.contact_mm2)
        for n, r in enumerate(found.reactions, 1)
    )


def wheels(answer: GearAnswer) -> tuple[Contact, ...]:
    """Return the wheel of the gear that bears most, as a range; () where that is not known.

    Of skates, each one as statics has it. Else from the maker's greatest wheel load, in proportion to the
    mass; else between an even share and half of all: two wheels of one axle may carry nearly everything.
    """
    gear, mass = answer.gear, answer.load.mass_kg
    if mass is None or gear.kind in ("by hand", "rollers and bar"):
        return ()
    if gear.kind == "skates":
        return () if answer.stand is None else blocks(answer.stand, mass)
    whole = mass + (gear.mass_kg or 0.0)
    count = gear.wheels or USUAL_WHEELS[gear.kind]
    least = whole / count
    most = max(whole / 2, least)
    if gear.wheel_load_kg is not None and gear.capacity_kg:
        full = gear.capacity_kg + (gear.mass_kg or 0.0)
        most = max(gear.wheel_load_kg * whole / full, least)
    return (Contact(f"one wheel of {gear.name}", least, most),)


# --- findings ---------------------------------------------------------------------------------------------

AREA = Check(
    "move-floor-load",
    "More than the floor takes per area, moving over it",
    "shop file; imposed loads as in EN 1991-1-1 6.3 are means over an area",
    "own",
    "another way, or a lighter thing; plates spread it only as far as they are stiff",
)
POINT = Check(
    "move-point-load",
    "More than the floor takes on one point, moving over it",
    "shop file; concentrated loads are a check of their own, not added (as in EN 1991-1-1 6.3)",
    "own",
    "plates under the wheels all along, more or wider wheels, or another way",
)


def floor_findings(
    load: Load,
    rooms: Sequence[Room],
    contacts: Sequence[Contact],
    *,
    outline_mm2: float | None = None,
    gear_kg: float = 0.0,
) -> tuple[Finding, ...]:
    """Compare a thing, with its gear, with the floor of each room it passes.

    `outline_mm2` is the area of both on the floor (without it, of the thing). An unknown floor, or an
    unknown mass, is a note: 'not judged'.
    """
    area = outline_mm2 or area_mm2(load.outline)
    found: list[Finding] = []
    for room in dict.fromkeys(r.key for r in rooms):
        here = next(r for r in rooms if r.key == room)
        found += _area(load, here, area, gear_kg)
        found += _points(load, here, contacts)
    return tuple(found)


def _area(load: Load, room: Room, area: float, gear_kg: float) -> list[Finding]:
    subjects = (*load.subjects, f"room:{room.key}")
    if room.floor_load_kn_m2 is None:
        text = f"floor of {room.name} not judged: what it takes per area is not known"
        return [AREA.found("note", subjects, text, room=room.key, remedy="ask who built it, or an engineer")]
    if load.mass_kg is None:
        text = f"floor of {room.name} not judged: {load.name} is not weighed"
        return [AREA.found("note", subjects, text, room=room.key, remedy="weigh it")]
    mass, limit = load.mass_kg + gear_kg, room.floor_load_kn_m2
    measured = area_load_kn_m2(mass, area)
    at_least = "at least " if load.not_weighed else ""
    words = (
        f"{load.name}{' on its gear' if gear_kg else ''}, {at_least}{show_mass(mass)}, presses "
        f"{show_area_load(measured)} on the floor of {room.name}, {show_area_load(limit)} allowed"
    )
    if measured > limit * (1 + 1e-9):
        spread = spread_mm2(mass, limit) / 1e6
        return [
            AREA.found(
                "stop",
                subjects,
                f"{words}; {DECIDE}",
                room=room.key,
                measured=measured,
                limit=limit,
                unit="kN/m2",
                remedy=f"spread it over at least {spread:.2f} m2, or another way",
            )
        ]
    if not load.not_weighed:
        return []
    text = f"not judged: {words}, {load.not_weighed} not weighed"
    return [AREA.found("note", subjects, text, room=room.key, measured=measured, limit=limit, unit="kN/m2")]


def _points(load: Load, room: Room, contacts: Sequence[Contact]) -> list[Finding]:
    subjects = (*load.subjects, f"room:{room.key}")
    if room.point_load_kn is None:
        text = f"floor of {room.name} not judged: what it takes on one point is not known"
        return [POINT.found("note", subjects, text, room=room.key, remedy="ask who built it, or an engineer")]
    if not contacts:
        text = (
            f"load on one point of the floor of {room.name} not judged: what each contact bears is not known"
        )
        return [POINT.found("note", subjects, text, room=room.key, remedy="weigh it; say the gear's wheels")]
    worst = max(contacts, key=lambda c: (c.least_kg, c.most_kg))
    most = max(contacts, key=lambda c: c.most_kg)
    limit = room.point_load_kn
    grade: Grade = "stop"
    if weight_kn(worst.least_kg) > limit * (1 + 1e-9):
        contact, kn, words = worst, weight_kn(worst.least_kg), "at least "
    elif most.most_kn > limit * (1 + 1e-9):
        contact, kn, words, grade = most, most.most_kn, "up to ", "correct"
    elif load.not_weighed:
        contact, kn, words, grade = most, most.most_kn, "at least ", "note"
    else:
        return []
    text = (
        f"{contact.name} under {load.name} bears {words}{show_force(kn)}{_pressure(contact)}; the floor of "
        f"{room.name} takes {show_force(limit)} on one point; {DECIDE}"
    )
    if grade == "note":
        text = f"not judged, {load.not_weighed} not weighed: {text}"
    return [POINT.found(grade, subjects, text, room=room.key, measured=kn, limit=limit, unit="kN")]


def _pressure(contact: Contact) -> str:
    pressure = contact.pressure_n_mm2
    return "" if pressure is None else f" ({pressure:.2g} N/mm2 under it)"
