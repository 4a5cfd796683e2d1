"""What judging gear gives: the parts of the answer, how a gear steers, and the findings made of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, Point, cos_sin
from shopbins.kernel.steering import ON_THE_SPOT, OWN_AXIS
from shopbins.kernel.steering import Steering as Turning
from shopbins.moves.finding import DECIDE, Check, checked_against
from shopbins.moves.load import Judged, Load
from shopbins.moves.stances import Stance
from shopbins.rules import hoisting
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.supports import Stand
from shopbins.shop.model import Gear, Steering
from shopbins.units import show_length, show_mass, show_slope

Verdict = Literal["goes", "goes, measure again", "does not go", "not known"]

STEERS: dict[str, Steering] = {
    "pallet truck": "radius",
    "skates": "axis",
    "trolley": "radius",
    "engine crane": "radius",
    "gantry crane": "axis",
    "rollers and bar": "axis",
    "by hand": "on the spot",
}
"""How gear steers where the file does not say: own assumption, the worse of what is usual."""
HOISTS = hoisting.HOISTS
JACKED = ("skates", "trolley", "rollers and bar")
"""Gear that a thing has to be jacked onto."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A gear with a thing on it, before findings; see `GearAnswer`."""

    gear: Gear
    load: Load
    goes_under: Judged
    holds: Judged
    parts: tuple[Outline, ...]
    height_mm: float | None = None
    least_height_mm: float | None = None
    opening: str = ""
    cautions: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    stops: tuple[tuple[str, float | None, float | None, str], ...] = ()
    held_by: str = ""
    stand: Stand | None = None
    axis_deg: float = 0.0
    stances: tuple[Stance, ...] = ()
    up_mm: tuple[float, float] | None = None
    heel: Point | None = None
    forks_set: str = ""
    hook_mm: float | None = None
    set_round: tuple[Outline, ...] = ()


@dataclass(frozen=True, slots=True)
class GearAnswer:
    """One gear judged for one thing.

    `goes_under` and `holds` say yes, no or not known, with reason and numbers. `outline` is the convex shape
    of both on the floor in the thing's frame (what the floor kernel moves), `parts` the shapes it is made
    of; `height_mm` is of both with the gear raised as far as it goes, `least_height_mm` just off the floor;
    `steering` and `turning_radius_mm` are how it goes round.
    `unknown` names what was not judged, `again` what to measure again. `stand` is how it stands on skates
    on the level; None of other gear. `stances` are the ways it may touch the floor, one where all of it is
    told; `up_mm` the least and most the thing is raised over where it stands now; `heel` the middle
    between the heels of forks; `forks_set` says how far aside of the middle of their opening those are set,
    '' where they are not, and a `spare` answer has them in the middle where the one before it has not;
    `hook_mm` how high a crane's hook surely goes at the reach the thing is carried at, None: not told. It
    rolls along `axis_deg` of the thing's frame (the way forks point, of what it is set on along its x, 90
    where that is set across), which is what steering counts from. `set_round` is what sticks out of the thing
    where straight gear is set round, any way, besides `parts`; () where nothing does.
    """

    gear: Gear
    load: Load
    goes_under: Judged
    holds: Judged
    outline: Outline
    parts: tuple[Outline, ...]
    height_mm: float | None
    least_height_mm: float | None
    steering: Steering
    turning_radius_mm: float | None
    opening: str
    cautions: tuple[str, ...]
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]
    stand: Stand | None = None
    axis_deg: float = 0.0
    stances: tuple[Stance, ...] = ()
    up_mm: tuple[float, float] | None = None
    heel: Point | None = None
    forks_set: str = ""
    spare: bool = False
    hook_mm: float | None = None
    set_round: tuple[Outline, ...] = ()

    @property
    def turns(self) -> Turning | None:
        """How the floor kernel steers it, rolling along `axis_deg`; None where its radius is not known."""
        if self.steering == "on the spot":
            return ON_THE_SPOT
        if self.steering == "axis":
            return OWN_AXIS
        return None if self.turning_radius_mm is None else Turning(self.turning_radius_mm)

    @property
    def across(self) -> bool:
        """Whether what it is set on rolls across it, not along its x."""
        return self.gear.kind in JACKED and self.axis_deg != 0.0

    @property
    def shown(self) -> str:
        """The gear by name, and how it is set where that is not along."""
        return f"{self.gear.name} set across" if self.across else self.gear.name

    @property
    def wheels(self) -> tuple[Point, ...]:
        """Where its wheels, skates or rollers stand, of every stance; none where that is not told."""
        return tuple(p for stance in self.stances for p in stance.polygon)

    @property
    def rolls_on(self) -> Outline:
        """The convex outline of where it stands on wheels, skates or rollers; () where that is not known."""
        hull = convex_hull(self.wheels) if len(self.wheels) >= 3 else ()
        return hull if len(hull) >= 3 else ()

    @property
    def touching(self) -> Outline:
        """The convex outline of all that touches the floor on the way: wheels, skates, feet, jacks."""
        points = [p for part in (*self.parts[1:], *self.set_round) for p in part]
        points += self.wheels
        points += [foot.point for foot in (*self.load.feet, *self.load.jacking)]
        hull = convex_hull(points) if len(points) >= 3 else ()
        return hull if len(hull) >= 3 else self.load.outline

    @property
    def again(self) -> tuple[str, ...]:
        """What to measure again, because the answer flips within how well it was measured."""
        return tuple(dict.fromkeys((*self.goes_under.again, *self.holds.again)))

    @property
    def answer(self) -> Verdict:
        """All in one: the worst of going under, holding and the stops found."""
        answers = (self.goes_under.answer, self.holds.answer)
        if "no" in answers or any(f.grade == "stop" for f in self.findings):
            return "does not go"
        if "not known" in answers:
            return "not known"
        return "goes, measure again" if self.again else "goes"

    @property
    def margin_mm(self) -> float | None:
        """By how much it goes under, below 0 what it lacks; None where nothing was compared in mm."""
        it = self.goes_under
        if it.unit != "mm" or it.measured is None or it.limit is None:
            return None
        return it.measured - it.limit


UNDER = Check(
    "gear-under",
    "Gear does not go under",
    "sizes of the thing and of the gear; the opening between feet against the width over the forks: common "
    "practice, no source",
    "common practice, no source",
    "other gear; jack it up onto bearers; take off what is in the way",
)
HOLDS = Check(
    "gear-holds", "Gear does not hold it", "the gear's plate, as the shop file has it", "own", "stronger gear"
)
BALANCE = Check(
    "gear-balance",
    "Not balanced on its gear",
    "statics: the weight falls between what carries it",
    "derived",
    "other gear, or shift it until its centre of gravity lies between the supports",
)

SCOPE = Check(
    "gear-scope",
    "Outside what the gear's standard covers",
    "EN ISO 3691-5: pallet trucks to 2,300 kg and 300 mm lift; no requirements for gradients or rough floors",
    "published",
    "ask the truck's maker what it may do there",
)
ISO_TRUCK_KG = 2300.0
ISO_TRUCK_MM = 300.0


def with_findings(fitted: Fitted, fall: float) -> GearAnswer:
    """Add steering, cautions that depend on the floor, and the findings."""
    gear, load = fitted.gear, fitted.load
    steering = steering_of(gear)
    cautions, unknown = list(fitted.cautions), list(fitted.unknown)
    if gear.steering is None and gear.turning_radius_mm is None and gear.kind != "by hand":
        unknown.append(f"steering of {gear.name} is not said: taken as '{steering}'")
    if steering == "radius" and gear.turning_radius_mm is None:
        unknown.append(f"turning radius of {gear.name} is not known")
    if fall > 0 and gear.kind != "pallet truck":
        cautions.append(_on_slope(gear, fall))
    findings = [
        *_of(UNDER, fitted, fitted.goes_under),
        *_of(HOLDS, fitted, fitted.holds),
        *(
            BALANCE.found("stop", _subjects(fitted), text, measured=measured, limit=limit, unit=unit)
            for text, measured, limit, unit in fitted.stops
        ),
    ]
    if gear.kind == "pallet truck":
        findings += _outside_scope(fitted, fall)
    hull = convex_hull([p for part in fitted.parts for p in part])
    return GearAnswer(
        gear=gear,
        load=load,
        goes_under=fitted.goes_under,
        holds=fitted.holds,
        outline=hull,
        parts=fitted.parts,
        height_mm=fitted.height_mm,
        least_height_mm=fitted.least_height_mm,
        steering=steering,
        turning_radius_mm=gear.turning_radius_mm,
        opening=fitted.opening,
        cautions=tuple(dict.fromkeys([*cautions, _who_decides(fitted)])),
        unknown=tuple(unknown),
        findings=tuple(findings),
        stand=fitted.stand,
        axis_deg=fitted.axis_deg,
        stances=fitted.stances,
        up_mm=fitted.up_mm,
        heel=fitted.heel,
        forks_set=fitted.forks_set,
        hook_mm=fitted.hook_mm,
        set_round=fitted.set_round,
    )


def steering_of(gear: Gear) -> Steering:
    """Return how gear is steered: as told, else the worse of what is usual."""
    return gear.steering or ("radius" if gear.turning_radius_mm is not None else STEERS[gear.kind])


def outside_standard(gear: Gear, mass_kg: float | None) -> list[str]:
    """Say what of a pallet truck and its load is beyond its standard: the plate counts, a light load too."""
    said = []
    mass = max(mass_kg or 0.0, gear.capacity_kg or 0.0)
    if mass > ISO_TRUCK_KG:
        said.append(f"a truck or load of {show_mass(mass)}")
    if gear.raised_mm is not None and gear.raised_mm > ISO_TRUCK_MM:
        said.append(f"a lift to {show_length(gear.raised_mm)}")
    return said


def _outside_scope(fitted: Fitted, fall: float) -> list[Finding]:
    """Say what of a pallet truck's work its standard does not cover: to correct, never a plain 'goes'."""
    said = outside_standard(fitted.gear, fitted.load.mass_kg)
    if fall > 0:
        said.append(f"a floor that falls {show_slope(fall)}")
    if not said:
        return []
    text = f"EN ISO 3691-5 does not cover {' or '.join(said)}: {DECIDE}"
    return [SCOPE.found("correct", _subjects(fitted), text)]


def _on_slope(gear: Gear, fall: float) -> str:
    if gear.kind == "by hand":
        return f"the floor falls {show_slope(fall)}: carrying on a slope is outside the lifting guides"
    if gear.kind in HOISTS:
        return f"the floor falls {show_slope(fall)}: a hung load swings downhill, the crane tips sooner"
    return f"the floor falls {show_slope(fall)}: a line above it and chocks before it is let go"


def _who_decides(fitted: Fitted) -> str:
    against = [(fitted.held_by or HOLDS.source) if fitted.holds.limit is not None else ""]
    against.append("the sizes given" if fitted.goes_under.measured is not None else "")
    if fitted.gear.kind == "pallet truck":
        against.append("EN ISO 3691-5's scope")
    return checked_against(against)


def _of(check: Check, fitted: Fitted, judged: Judged) -> list[Finding]:
    if judged.answer == "yes" and not judged.again:
        return []
    grade: Grade = "stop" if judged.answer == "no" else "note"
    text = judged.why
    if judged.answer == "not known":
        text = f"not checked: {text}"
    if judged.again:
        text += f"; within how well it was measured: measure {' and '.join(judged.again)} again"
    compared = judged.measured is not None and judged.limit is not None
    return [
        check.found(
            grade,
            _subjects(fitted),
            f"{text}. {DECIDE[0].upper()}{DECIDE[1:]}",
            measured=judged.measured if compared else None,
            limit=judged.limit if compared else None,
            unit=judged.unit if compared else "",
        )
    ]


def _subjects(fitted: Fitted) -> tuple[str, ...]:
    return (*fitted.load.subjects, f"gear:{fitted.gear.key}")


def across_box(load: Load, towards_deg: float) -> tuple[float, float, float, float]:
    """Return the thing's box seen along a direction: nearest, farthest, leftmost, rightmost (mm).

    Along is counted in the direction, across to its right hand.
    """
    c, s = cos_sin(towards_deg)
    along = [x * c + y * s for x, y in load.outline]
    across = [x * s - y * c for x, y in load.outline]
    return min(along), max(along), min(across), max(across)


def boxed(towards_deg: float, near: float, far: float, left: float, right: float) -> Outline:
    """Return a rectangle given along and across a direction, in the thing's frame, counter-clockwise."""
    c, s = cos_sin(towards_deg)
    corners = ((near, right), (far, right), (far, left), (near, left))
    return tuple((a * c + t * s, a * s - t * c) for a, t in corners)


def along(point: Point, towards_deg: float) -> float:
    """Return how far along a direction a point is."""
    c, s = cos_sin(towards_deg)
    return point[0] * c + point[1] * s


def plus(a: float | None, b: float | None) -> float | None:
    """Add two lengths; unknown stays unknown."""
    return None if a is None or b is None else a + b
