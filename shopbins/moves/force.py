"""Pushing and holding back: force from mass, gradient and rolling resistance, against what people push.

Level: force = mass x g x rolling resistance; a slope adds mass x g x sin(angle) uphill and takes it off
downhill. No table of forces is quoted: none was at hand that is published.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from shopbins.moves.load import Load
from shopbins.shop.model import Slope
from shopbins.units import show_force

G_M_S2 = 9.81
"""As the published figures that this is checked against are worked out; standard gravity is 0.03 % less."""

ROLLING = (0.02, 0.10)
"""Rolling resistance: good wheels on a good floor, and an uneven floor (HSE guidance on pushing and pulling,
L23). Other values are from memory only and are not used."""

ONE_MAN_N = 200.0
ONE_WOMAN_N = 150.0
"""HSE guideline for starting or stopping a load by pushing or pulling (INDG143, L23)."""

ONE_MAN_KEEP_N = 100.0
ONE_WOMAN_KEEP_N = 70.0
"""The same guideline for keeping a load moving, or holding it back on the way."""

MOST_PEOPLE = 2
"""More than these do not find room at one load: own figure. No rule for teams that push was at hand."""

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


def rolling_n(mass_kg: float, resistance: float) -> float:
    """Return the force in N to keep a mass rolling on the level."""
    return mass_kg * G_M_S2 * resistance


def downhill_n(mass_kg: float, fall: float) -> float:
    """Return the pull in N of a slope that falls `fall` mm per mm run, along it."""
    return mass_kg * G_M_S2 * math.sin(math.atan(fall))


def fall_along(slope: Slope | None, heading_deg: float) -> float:
    """Return how much the floor falls per mm run in a direction; below 0 it rises."""
    if slope is None:
        return 0.0
    along = slope.fall * math.cos(math.radians(slope.towards_deg - heading_deg))
    return 0.0 if abs(along) < 1e-12 else along


@dataclass(frozen=True, slots=True)
class Push:
    """What it takes to move a thing in one direction on one floor.

    `fall` is along the direction, below 0 uphill. `push` is what drives it (None where it runs by itself on
    either floor), `hold_back` what has to hold it back on the way (None where it never runs ahead). `runs`
    is how surely it runs downhill when let go, `let_go` what then has to hold it, `runs_towards_deg` where
    it would run. `people` is how many by the guideline's men on a good floor, None beyond two: then `pull`
    is what winch, tackle or tug must give, towards `pull_deg` in the shop frame (back along the way where
    it has to be held back more than driven; None where the heading was not given).
    """

    fall: float
    push: Range | None
    hold_back: Range | None
    runs: Literal["no", "may", "yes"]
    let_go: Range | None
    runs_towards_deg: float | None
    people: int | None
    people_women: int | None
    pull: Range | None
    pull_deg: float | None = None
    at_least: bool = False

    @property
    def greatest_n(self) -> float:
        """The greatest force that may be needed, to drive or to hold back."""
        return max((r.most_n for r in (self.push, self.hold_back) if r is not None), default=0.0)


def push(
    mass_kg: float,
    fall: float = 0.0,
    *,
    rolling: tuple[float, float] = ROLLING,
    steepest: float | None = None,
    downhill_deg: float | None = None,
    heading_deg: float | None = None,
    at_least: bool = False,
) -> Push:
    """Return the forces on a mass that moves where the floor falls `fall` (below 0: uphill).

    `rolling` is from the best to the worst resistance. `steepest` is how much the floor falls straight
    downhill (without it, along the way), `downhill_deg` where to and `heading_deg` where it goes, in the shop
    frame; `at_least` where not all was weighed.
    """
    low, high = rolling
    slope_n = downhill_n(mass_kg, fall)
    least, most = rolling_n(mass_kg, low), rolling_n(mass_kg, high)
    drive = None if most - slope_n <= 0 else Range(max(0.0, least - slope_n), most - slope_n)
    back = None if slope_n - least <= 0 else Range(max(0.0, slope_n - most), slope_n - least)
    steep_n = downhill_n(mass_kg, abs(fall) if steepest is None else max(steepest, abs(fall)))
    let_go = None if steep_n <= least else Range(max(0.0, steep_n - most), steep_n - least)
    runs: Literal["no", "may", "yes"] = "no" if let_go is None else "yes" if let_go.least_n > 0 else "may"
    greatest = max(
        (r for r in (drive, back) if r is not None), key=lambda r: r.most_n, default=Range(0.0, 0.0)
    )
    turned = (heading_deg or 0.0) + (180.0 if greatest is back else 0.0)
    steady = max(0.0 if drive is None else drive.least_n, 0.0 if back is None else back.most_n)
    men = _people(steady, ONE_MAN_N, ONE_MAN_KEEP_N)
    women = _people(steady, ONE_WOMAN_N, ONE_WOMAN_KEEP_N)
    return Push(
        fall=fall,
        push=drive,
        hold_back=back,
        runs=runs,
        let_go=let_go,
        runs_towards_deg=downhill_deg if runs != "no" else None,
        people=men,
        people_women=women,
        pull=greatest if men is None else None,
        pull_deg=None if men is not None or heading_deg is None else turned % 360.0,
        at_least=at_least,
    )


def pushers(force_n: float, start_n: float, keep_n: float) -> int:
    """Return how many it takes to start and to keep a load going if each gives the guideline's forces.

    No force for starting is published but keeping: where both are alike, keeping governs.
    """
    return max(1, math.ceil(force_n / start_n - 1e-9), math.ceil(force_n / keep_n - 1e-9))


def _people(force_n: float, start_n: float, keep_n: float) -> int | None:
    """Return how many it takes; None beyond two."""
    needed = pushers(force_n, start_n, keep_n)
    return needed if needed <= MOST_PEOPLE else None


def on_floor(
    load: Load,
    slope: Slope | None,
    heading_deg: float,
    *,
    rolling: tuple[float, float] = ROLLING,
    gear_kg: float = 0.0,
) -> Push | None:
    """Return the forces on a thing that goes in a direction over a room's floor; None: not weighed.

    `gear_kg` is what the gear weighs itself.
    """
    if load.mass_kg is None:
        return None
    sloping = slope is not None and slope.fall > 0
    return push(
        load.mass_kg + gear_kg,
        fall_along(slope, heading_deg),
        rolling=rolling,
        steepest=slope.fall if slope is not None and sloping else None,
        downhill_deg=slope.towards_deg if slope is not None and sloping else None,
        heading_deg=heading_deg,
        at_least=load.not_weighed > 0,
    )


# --- steps and chocks -------------------------------------------------------------------------------------


def step_share(wheel_mm: float, step_mm: float) -> float | None:
    """Return the push that lifts a wheel over a step, as a share of the load on it; None where it cannot.

    Moments about the edge of the step, pushed at the axle: sqrt(h (2r - h)) / (r - h) for h below r. A
    chock of that height holds as much.
    """
    r = wheel_mm / 2
    return None if step_mm >= r else math.sqrt(step_mm * (2 * r - step_mm)) / (r - step_mm)


def pull_n(force_n: float, aside_deg: float) -> tuple[float, float]:
    """Return the pull of a line at an angle to the way, and how hard it drags sideways: F / cos a, F tan
    a.
    """
    a = math.radians(aside_deg)
    return force_n / math.cos(a), force_n * math.tan(a)


# --- words ------------------------------------------------------------------------------------------------


def towards_words(deg: float) -> str:
    """Say a direction in the shop frame: 'down the plan (270 deg)'."""
    names = ("to the right of the plan", "up the plan", "to the left of the plan", "down the plan")
    return f"{names[round(deg / 90.0) % 4]} ({deg % 360:.0f} deg)"
