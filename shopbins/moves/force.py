"""Pushing and holding back: force from mass, gradient and rolling resistance, against what people push.

Level: force = mass x g x rolling resistance; a slope adds mass x g x sin(angle) uphill and takes it off
downhill. No table of forces is quoted: none was at hand that is published.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shopbins.moves.finding import DECIDE, Check
from shopbins.moves.load import Load
from shopbins.rules.finding import Finding
from shopbins.shop.model import Slope
from shopbins.units import show_force, show_slope

G_M_S2 = 9.81
"""As the published figures that this is checked against are worked out; standard gravity is 0.03 % less."""

ROLLING = (0.02, 0.10)
"""Rolling resistance: good wheels on a good floor, and an uneven floor (HSE guidance on pushing and pulling,
L23). Other values are from memory only and are not used."""

ONE_MAN_N = 200.0
ONE_WOMAN_N = 150.0
"""HSE guideline for starting or stopping a load by pushing or pulling (INDG143, L23)."""

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
    it would run. `people` is how many by the guideline's men, None beyond two: then `pull` is what winch,
    tackle or tug must give, towards `pull_deg` in the shop frame (back along the way where it has to be held
    back more than driven; None where the heading was not given).
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
    men, women = _people(greatest.most_n, ONE_MAN_N), _people(greatest.most_n, ONE_WOMAN_N)
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


def _people(force_n: float, each_n: float) -> int | None:
    """Return how many it takes if each gives the guideline's force; None beyond two."""
    needed = max(1, math.ceil(force_n / each_n - 1e-9))
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


# --- words and findings -----------------------------------------------------------------------------------


def towards_words(deg: float) -> str:
    """Say a direction in the shop frame: 'down the plan (270 deg)'."""
    names = ("to the right of the plan", "up the plan", "to the left of the plan", "down the plan")
    return f"{names[round(deg / 90.0) % 4]} ({deg % 360:.0f} deg)"


def who_pushes(found: Push) -> str:
    """Say who can push or hold it: 'one person', 'two people', or winch, tackle or tug and its pull."""
    at_least = "at least " if found.at_least else ""
    if found.people is None:
        way = "" if found.pull_deg is None else f" {towards_words(found.pull_deg)}"
        pull = f"{at_least}{newtons(found.greatest_n)}{way}"
        return f"beyond two people: winch, tackle or tug with a pull of {pull}"
    men = "one man" if found.people == 1 else f"{found.people} men"
    if found.people_women is None:
        return f"{men} by the guideline, more than two women"
    women = "one woman" if found.people_women == 1 else f"{found.people_women} women"
    return f"{men} or {women} by the guideline"


FORCE = Check(
    key="push",
    title="Pushing and holding back",
    source=SOURCE,
    mark="published",
    remedy="winch, tackle or tug; better wheels, plates on the floor, a lighter thing",
)
RUNS = Check(
    key="runs-downhill",
    title="Runs downhill",
    source="mass x g x sin(slope) against the rolling resistance of HSE L23",
    mark="derived",
    remedy="a line to a fixed point above it before the chocks come out; nobody below it; chocks at halts",
)


def force_findings(
    found: Push | None, load: Load, room: str | None = None, subjects: Sequence[str] = ()
) -> tuple[Finding, ...]:
    """Return what is found of the forces: a stop where it runs downhill, else who can push it."""
    about = tuple(subjects) or load.subjects
    if found is None:
        text = f"forces on {load.name} not checked: it is not weighed"
        return (FORCE.found("note", about, text, room=room, remedy="weigh it"),)
    at_least = "at least " if found.at_least else ""
    said = []
    if found.push is not None:
        said.append(f"push {at_least}{found.push.shown}")
    if found.hold_back is not None:
        said.append(f"hold back {at_least}{found.hold_back.shown}")
    if found.fall:
        way = "down" if found.fall > 0 else "up"
        said.append(f"{way} {show_slope(abs(found.fall))}")
    text = f"{load.name}: {', '.join(said)}; {who_pushes(found)}; starting takes more than keeping it going"
    beyond = found.people is None
    results = [
        FORCE.found(
            "correct" if beyond else "note",
            about,
            f"{text}. {DECIDE[0].upper()}{DECIDE[1:]}",
            room=room,
            measured=found.greatest_n,
            limit=ONE_MAN_N,
            unit="N",
        )
    ]
    runs = runs_finding(found, load, room, about)
    return tuple(results if runs is None else [runs, *results])


def runs_finding(found: Push, load: Load, room: str | None, about: Sequence[str]) -> Finding | None:
    """Return the stop of a thing that rolls by itself when let go on a slope, with where it would run."""
    hold = found.let_go
    if hold is None:
        return None
    surely = "runs" if found.runs == "yes" else "runs on good wheels"
    where = "" if found.runs_towards_deg is None else f" {towards_words(found.runs_towards_deg)}"
    return RUNS.found(
        "stop",
        about,
        f"{load.name} on wheels {surely} downhill by itself{where}: it has to be held with "
        f"{'at least ' if found.at_least else ''}{newtons(hold.most_n)} "
        f"({kgf_words(hold.most_n, hold.most_n)})",
        room=room,
        measured=hold.most_n,
        limit=0.0,
        unit="N",
    )
