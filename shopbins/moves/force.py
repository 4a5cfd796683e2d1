"""Pushing and holding back: force from mass, gradient and rolling resistance, against what people push.

Level: force = mass x g x rolling resistance; on a slope that is times cos(angle), and mass x g x sin(angle)
is added uphill and taken off downhill. No table of forces is quoted: none was at hand that is published.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from shopbins.units import show_force

G_M_S2 = 9.81
"""As the published figures that this is checked against are worked out; standard gravity is 0.03 % less."""

ROLLING = (0.02, 0.10)
"""Rolling resistance: good wheels on a good floor, and an uneven floor (HSE guidance on pushing and pulling,
L23). Other values are from memory only and are not used."""

STARTING = ROLLING[1]
"""What starts a load from where it stands, as a share of its weight: no figure is published, so points,
blocks and winches are judged by that of an uneven floor, on any floor. Taking it so is our own choice."""

ONE_MAN_N = 200.0
"""HSE guideline for starting or stopping a load by pushing or pulling (INDG143, L23)."""

ONE_MAN_KEEP_N = 100.0
"""The same guideline for keeping a load moving, or holding it back on the way."""

SOURCE = "HSE L23 and INDG143: 2 % and 10 % of the weight; 200 N (men), 150 N (women) to start or stop"


@dataclass(frozen=True, slots=True)
class Range:
    """A force in N, from good wheels on a good floor to an uneven floor."""

    least_n: float
    most_n: float

    @property
    def shown(self) -> str:
        """Say '392 N to 1.96 kN (40 to 200 kgf)'."""
        low, high = newtons(self.least_n), newtons(self.most_n)
        kgf = kgf_words(self.least_n, self.most_n)
        return f"{low} ({kgf})" if low == high else f"{low} to {high} ({kgf})"


def newtons(force_n: float) -> str:
    """Say a force: '392 N', '1.96 kN'."""
    return show_force(force_n / 1000) if force_n > 0 else "0 N"


def kgf_words(least_n: float, most_n: float) -> str:
    """Say forces in kgf, by which people think of pulls."""
    low, high = (f"{n / G_M_S2:.3g}" if n / G_M_S2 < 100 else f"{n / G_M_S2:.0f}" for n in (least_n, most_n))
    return f"{low} kgf" if low == high else f"{low} to {high} kgf"


def rolling_n(mass_kg: float, resistance: float, fall: float = 0.0) -> float:
    """Return the force in N to keep a mass rolling on a floor that falls so much: m g mu cos(t)."""
    return mass_kg * G_M_S2 * resistance * math.cos(math.atan(fall))


def downhill_n(mass_kg: float, fall: float) -> float:
    """Return the pull in N of a slope that falls `fall` mm per mm run, along it."""
    return mass_kg * G_M_S2 * math.sin(math.atan(fall))


@dataclass(frozen=True, slots=True)
class Push:
    """What it takes to move a thing in one direction on one floor.

    `fall` is along the direction, below 0 uphill. `push` is what drives it (None where it runs by itself on
    either floor), `hold_back` in N what has to hold it back on the way (0 where it does not go down): all
    that the slope pulls, as no wheel resists for certain. `start_n` is what starts it at the most, from
    where it stands (0 where it runs by itself even so). `at_least` where not all was weighed.
    """

    fall: float
    push: Range | None
    hold_back: float
    start_n: float
    at_least: bool = False

    @property
    def greatest_n(self) -> float:
        """The greatest force that may be needed, to drive or to hold back."""
        return max(self.hold_back, 0.0 if self.push is None else self.push.most_n)

    @property
    def steady_n(self) -> float:
        """What people have to keep up on a good floor: to drive it, or to hold it back."""
        return max(self.hold_back, 0.0 if self.push is None else self.push.least_n)

    @property
    def by_one(self) -> bool:
        """Whether one person keeps it going and holds it by the guideline, on a good floor."""
        return men_for(self.steady_n) == 1

    @property
    def words(self) -> str:
        """Say it: 'hold back 829 N (84.5 kgf), push 0 N to 411 N (0 to 41.9 kgf)'."""
        said = []
        if self.hold_back > 0:
            said.append(f"hold back {newtons(self.hold_back)} ({kgf_words(self.hold_back, self.hold_back)})")
        if self.push is not None:
            said.append(f"push {self.push.shown}")
        return ("at least: " if self.at_least else "") + ", ".join(said)


def push(
    mass_kg: float, fall: float = 0.0, *, rolling: tuple[float, float] = ROLLING, at_least: bool = False
) -> Push:
    """Return the forces on a mass that moves where the floor falls `fall` (below 0: uphill).

    `rolling` is from the best to the worst resistance: it adds to what drives. Of what holds it back
    nothing is taken off, so that sheet, line and anchor say one figure: m g sin(t).
    """
    slope_n = downhill_n(mass_kg, fall)
    least, most = (rolling_n(mass_kg, mu, fall) - slope_n for mu in rolling)
    drive = None if most <= 0 else Range(max(0.0, least), most)
    start_n = max(0.0, rolling_n(mass_kg, STARTING, fall) - slope_n)
    return Push(fall, drive, max(0.0, slope_n), start_n, at_least)


def pushers(force_n: float, start_n: float, keep_n: float) -> int:
    """Return how many it takes to start and to keep a load going if each gives the guideline's forces.

    No force for starting is published but keeping: where both are alike, keeping governs.
    """
    return max(1, math.ceil(force_n / start_n - 1e-9), math.ceil(force_n / keep_n - 1e-9))


def men_for(force_n: float) -> int:
    """Return how many men it takes by the guideline."""
    return pushers(force_n, ONE_MAN_N, ONE_MAN_KEEP_N)


def who_pushes(found: Push, even: bool | None) -> str:
    """Say how many men it takes: on a good floor and, where nobody told that it is one, on an uneven one."""
    n, worst = men_for(found.steady_n), men_for(found.greatest_n)
    floor = "an uneven floor" if even is False else "a good floor"
    said = f"{n} {'man' if n == 1 else 'men'} by the guideline on {floor}"
    if even is None and worst > n:
        said += f", {worst} on an uneven one"
    return f"{said}; no figure for starting is published: it takes more"


# --- steps and chocks -------------------------------------------------------------------------------------


def step_share(wheel_mm: float, step_mm: float) -> float | None:
    """Return the push that lifts a wheel over a step, as a share of the load on it; None where it cannot.

    Moments about the edge of the step, pushed at the axle: sqrt(h (2r - h)) / (r - h) for h below r. A
    chock of that height holds as much.
    """
    r = wheel_mm / 2
    return None if step_mm >= r else math.sqrt(step_mm * (2 * r - step_mm)) / (r - step_mm)


def roller_share(roller_mm: float, step_mm: float) -> float | None:
    """Return the push that takes a loose roller over a step, as a share of the load on it; None where it
    cannot.

    Only what lies on it pushes it, at its top, and the edge holds it: two forces in one line, from edge to
    top, sqrt(h / (2r - h)) aside of upright. The grip at both has to be as much, or it stops and slides.
    """
    return None if step_mm >= roller_mm / 2 else math.sqrt(step_mm / (roller_mm - step_mm))


class InLine(NamedTuple):
    """What is in a line, in N: along it, dragging sideways, lifting (below 0: pressing down)."""

    pull_n: float
    aside_n: float
    up_n: float


def in_line(force_n: float, aside_deg: float, rise_deg: float = 0.0) -> InLine:
    """Return what is in a line that gives a force along the way, so far aside of it and so steep.

    Statics of a force in parts: F / (cos a cos r) in it, F tan a sideways, F tan r / cos a upwards.
    """
    a, r = math.radians(aside_deg), math.radians(rise_deg)
    flat = force_n / math.cos(a)
    return InLine(flat / math.cos(r), force_n * math.tan(a), flat * math.tan(r))


# --- words ------------------------------------------------------------------------------------------------


def towards_words(deg: float) -> str:
    """Say a direction in the shop frame: 'down the plan (270 deg)'."""
    names = ("to the right of the plan", "up the plan", "to the left of the plan", "down the plan")
    return f"{names[round(deg / 90.0) % 4]} ({deg % 360:.0f} deg)"
