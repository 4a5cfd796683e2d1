"""How many people lift a part, by the published filter and shares of a team."""

from __future__ import annotations

from dataclasses import dataclass

from shopbins.rules.handling import (
    GREEN_KG,
    MAC,
    PURPLE_KG,
    SHOULDER_MM,
    Band,
    Who,
    mac_band,
    mac_team,
    passing_kg,
    team_kg,
)
from shopbins.scene.scene import Scene
from shopbins.units import show_mass


def told_of(scene: Scene) -> int | None:
    """Return how many people the shop file tells of (the most of its gear 'by hand'); None where none."""
    told = [g.people for g in scene.shop.gear.values() if g.kind == "by hand" and g.people is not None]
    return max(told, default=None)


def short_of(scene: Scene, n: int) -> str:
    """Say that more people are needed than are told of: ' (2 told)'; '' where they are or nobody told."""
    told = told_of(scene)
    return f" ({told} told)" if told is not None and n > told else ""


def people_of(scene: Scene, n: int) -> str:
    """Say how many people, and how many are told of where those are fewer: '3 people (2 told)'."""
    return f"{n} people{short_of(scene, n)}"


def single_kg(scene: Scene, *heights_mm: float, who: Who = "men") -> float:
    """Return what one person lifts from one height to another by the filter, or by the shop's own figure if
    that is less: the least of every zone that the hands pass through counts.
    """
    alone, own = passing_kg(min(heights_mm), max(heights_mm), who=who), scene.shop.limits.one_person_kg
    return 0.0 if alone is None else alone.kg if own is None else min(alone.kg, own)


def team_for(scene: Scene, kg: float, *heights_mm: float) -> tuple[int, float]:
    """Return how many people lift so much from one height to another, and what they lift; 0 beyond three:
    none published. Between knuckles and elbow what is green by MAC counts too.
    """
    one = single_kg(scene, *heights_mm)
    limits = [(1, one), *((n, team_limit_kg(one, n, *heights_mm)) for n in GREEN_KG)]
    return next(((n, limit) for n, limit in limits if kg <= limit + 1e-9), (0, limits[-1][1]))


def off_the_floor(scene: Scene, kg: float) -> tuple[int, Band]:
    """Return how many people lift so much off the floor, and its colour for them: one by the filter, as the
    shop says who lifts, else two or three by HSE's MAC.
    """
    who: Who = "men" if scene.shop.limits.who_lifts == "men" else "women"
    return (1, "green") if kg <= single_kg(scene, 0.0, who=who) + 1e-9 else mac_team(kg)


KNUCKLES_TO_ELBOW_MM = (720.0, 1090.0)
"""Where hands lift best: HSE INDG143, heights of most workers."""


def team_limit_kg(one_kg: float, people: int, *heights_mm: float) -> float:
    """Return what a team of two or three lifts, of whom one lifts so much."""
    low, high = KNUCKLES_TO_ELBOW_MM
    easy = one_kg > 0 and all(low <= height <= high for height in heights_mm)
    return max(team_kg([one_kg] * people) or 0.0, GREEN_KG[people] if easy else 0.0)


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A team beyond the filter: how many, and the colour of the weight for them by HSE's MAC. `high`: with
    hands above the shoulder, where that colour alone is no help.
    """

    people: int
    colour: Band
    high: bool = False

    @property
    def coloured(self) -> str:
        """The colour in few words: 'amber by MAC: looked at first'."""
        return f"{self.colour} by MAC: looked at first"

    def beyond(self, limit_kg: float) -> str:
        """Say what the guide for teams has at that height, and the colour of the weight; no green, which is
        of hands at a good height.
        """
        guide = f"guide {show_mass(limit_kg)}"
        green = self.colour == "green" or self.high
        return f"{guide}: looked at first" if green else f"{guide}, {self.coloured}"

    @property
    def said(self) -> str:
        """Say what MAC has of it, and that there is more to it than the weight."""
        if self.high:
            return (
                f"hands above the shoulder are red by {MAC} whatever it weighs (from memory): looked at first"
            )
        if self.colour == "green":
            return f"beyond the guide at that height, where no colour of {MAC} helps: looked at first"
        to = show_mass(PURPLE_KG[self.people])
        return f"{self.colour} for {self.people} by {MAC} (from memory; purple above {to}): looked at first"


TIMES = 2.0
"""More than about twice its guideline figures: under very close scrutiny even of those who are fit and
trained (HSE L23, from memory). With hands above the shoulder no people lift more than that.
"""


def looked_at(scene: Scene, kg: float, *heights_mm: float) -> LookedAt | None:
    """Return the team for whom a weight has the best colour, three where hands go above the shoulder; None
    where it is purple for all, or more than twice what the guide has above the shoulder.
    """
    people, colour = mac_team(kg)
    if colour == "purple":
        return None
    if max(heights_mm, default=0.0) <= SHOULDER_MM:
        return LookedAt(people, colour)
    most = TIMES * team_limit_kg(single_kg(scene, *heights_mm), 3, *heights_mm)
    return LookedAt(3, mac_band(kg, 3), high=True) if kg <= most * (1 + 1e-9) else None


def nobody_lifts(kg: float) -> str:
    """Say why no team lifts a weight that nobody is to look at (`looked_at`)."""
    if mac_team(kg)[1] == "purple":
        return f"purple by {MAC} at any"
    return (
        "more than twice that is under very close scrutiny (HSE L23, from memory), above the shoulder no lift"
    )
