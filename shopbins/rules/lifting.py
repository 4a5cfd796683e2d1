"""Lifting by hand: the shop file's own figures and the published ones, said when a thing is laid down.

One person by the revised NIOSH equation (`niosh`), a team by its own guide or not at all (`handling`);
which level of a shelf is within them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shopbins.ledger.model import Group, InZone
from shopbins.rules import limits
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.handling import (
    FILTER,
    MAC,
    PURPLE_KG,
    SHARES,
    TEAM,
    Single,
    filter_kg,
    mac_band,
    passing_kg,
    team_kg,
)  # fmt: skip
from shopbins.rules.hoisting import HOISTS, lifted_onto
from shopbins.rules.niosh import Hands, Lift, lift, reach_mm
from shopbins.rules.niosh_tables import SOURCE, SYSTEMS, Coupling, SystemName
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import kg, mm, place
from shopbins.units import show_length, show_mass


def _judge_alone(p: Placement) -> Iterator[Finding]:
    most = p.shop.limits.one_person_kg
    share = p.scene.share(p.group.id)
    if most is None or share.mass_kg <= most + 1e-9:
        return
    more = f", {share.unweighed} in or on it not weighed" if share.unweighed else ""
    yield ALONE.found(
        "note",
        (f"group:{p.group.code}",),
        f"{p.group.shown} is {kg(share.mass_kg)}{more}, {kg(most)} is what one person lifts here",
        room=p.zone.room,
        measured=share.mass_kg,
        limit=most,
        unit="kg",
    )


ALONE = Rule(
    key="one-person",
    title="Too heavy for one person",
    text="Says when a thing is put down that it is heavier than the shop file has one person lift. A note.",
    limit="limits.one person of the shop file",
    source="shop file",
    mark="own",
    remedy="two people or a hoist; take out of it what can be taken out",
    judge=_judge_alone,
)


def _judge_high(p: Placement) -> Iterator[Finding]:
    most, limits = p.shop.limits.lift_height_mm, p.shop.limits
    share = p.scene.share(p.group.id)
    heavy = limits.one_person_kg if limits.one_person_kg is not None else HEAVY_KG
    if most is None or p.level is None or p.level.height_mm <= most or share.mass_kg <= heavy / 2:
        return
    yield HIGH.found(
        "note",
        (f"group:{p.group.code}",),
        f"{place(p.zone, p.level)} is {mm(p.level.height_mm)} up, {mm(most)} is the highest place for "
        f"anything heavy, and {p.group.shown} is {kg(share.mass_kg)}",
        room=p.zone.room,
        measured=p.level.height_mm,
        limit=most,
        unit="mm",
    )


HEAVY_KG = 25.0
"""What counts as one person's load where the file says none: HSE INDG143, men, knuckle to elbow, close."""

HIGH = Rule(
    key="lift-height",
    title="Heavy and high up",
    text="Says when a thing heavier than half of what one person lifts is laid higher than the shop file "
    "wants heavy things. A note.",
    limit="limits.lift height of the shop file",
    source="shop file; half of one person's load: own figure",
    mark="own",
    remedy="lay it lower, between knuckles and elbow",
    judge=_judge_high,
)

# --- by the published guides ------------------------------------------------------------------------------

CARRIED_MM = 750.0
"""Where the hands are taken to be before a thing is laid down: knuckle height, the equation's own level."""

DEPTH_MM = 400.0
"""How deep a thing of unknown size is taken to be, held against the body: own figure."""


def instead(mass_kg: float, single: Single | None) -> str:
    """Say what a mass takes that is too much for one: a hoist, or the least team whose figure is enough."""
    if single is not None:
        for people in SHARES:
            team = team_kg([single.kg] * people)
            if team is not None and mass_kg <= team * (1 + 1e-9):
                known = "" if single.mark == "published" else f", single figure {single.mark}"
                return f"a hoist, or a team of {people} by {TEAM} ({show_mass(team)}{known})"
    return "a hoist"


def at_height(height_mm: float) -> str:
    """Say 'at 750 mm', 'on the floor'."""
    return f"at {show_length(height_mm)}" if height_mm > 0 else "on the floor"


@dataclass(frozen=True, slots=True)
class LevelLift:
    """Laying a mass down at one height: one person's limit and index, and the other guide's figure.

    `within` is None where the mass is not known; `single` where the guide for teams has no figure there.
    """

    name: str
    height_mm: float
    lift: Lift
    within: bool | None
    single: Single | None
    assumed: tuple[str, ...]

    @property
    def limit_kg(self) -> float:
        """One person's recommended limit there."""
        return self.lift.rwl_kg or 0.0

    def text(self, mass_kg: float | None) -> str:
        """Say it: 'at 750 mm within the limit for one person (15.6 kg)', or what else it takes."""
        here = at_height(self.height_mm)
        limit = show_mass(self.limit_kg)
        if self.limit_kg <= 0:
            return f"{here} do not lift it to this height by hand: use a hoist"
        if mass_kg is None or self.within is None:
            return f"{here} one person's limit is {limit}; not weighed, not checked"
        if self.within:
            return f"{here} within the limit for one person ({limit})"
        return f"{here} not ({limit} for one person): {self.instead(mass_kg)}"

    def instead(self, mass_kg: float) -> str:
        """Say what else it takes: a hoist, or a team where its guide has a figure that is enough."""
        return instead(mass_kg, self.single)


def choose_level(
    mass_kg: float | None,
    levels: Sequence[tuple[str, float]],
    *,
    depth_mm: float | None = None,
    coupling: Coupling | None = None,
    origin: Hands | None = None,
    system: SystemName = "metric",
) -> tuple[LevelLift, ...]:
    """Judge laying a mass down by hand at each level: (name, height in mm) as given.

    `depth_mm` is how deep it is, held against the body; `origin` where the hands are before. What is not
    given is assumed and said in `assumed`.
    """
    return tuple(_level(mass_kg, name, height, depth_mm, coupling, origin, system) for name, height in levels)


def _level(
    mass_kg: float | None,
    name: str,
    height_mm: float,
    depth_mm: float | None,
    coupling: Coupling | None,
    origin: Hands | None,
    system: SystemName,
) -> LevelLift:
    constants = SYSTEMS[system]
    assumed = ["hands under it at the level's height", "now and then, for an hour, in front of the body"]
    if depth_mm is None:
        assumed.append(f"{show_length(DEPTH_MM)} deep")
    if origin is None:
        assumed.append(f"held at {show_length(CARRIED_MM)} before")
    if coupling is None:
        assumed.append("a fair grip")
    deep = DEPTH_MM if depth_mm is None else depth_mm
    start = origin or Hands(reach_mm(constants, deep, CARRIED_MM), CARRIED_MM)
    end = Hands(reach_mm(constants, deep, height_mm), height_mm)
    found = lift(mass_kg, start, end, coupling=coupling or "fair", system=system)
    single = filter_kg(height_mm)
    limit = found.rwl_kg or 0.0
    within = None if mass_kg is None else mass_kg <= limit * (1 + 1e-9)
    return LevelLift(name, height_mm, found, within, single, tuple(assumed))


GRIPS: dict[str, Coupling] = {"bag": "poor", "bare": "poor", "box": "fair", "tray": "fair", "tub": "good"}
"""How a container is taken to be gripped: own judgement; a tub has handles, a casting has none."""

NOT_BY_HAND = ("pallet", "own wheels")

LEAST_KG = limits.figure("lift", "any", "lightest looked at")
"""Lighter things are not looked at: where ISO 11228-1 on lifting begins."""

HOISTED_KG = limits.figure("lift", "any", "always by hoist")
"""Heavier things go by hoist anyway: own figure."""


def _hands(p: Placement) -> tuple[float, float, str]:
    """Return how high the hands begin and end, and what is assumed: the start is where the ledger has it."""
    assert p.level is not None
    grip = float(p.group.details.get("grip height", 0.0))
    try:
        before = p.before.top_of(p.group.id)
    except KeyError:
        before = None
    where = None if before is None else before.where
    if isinstance(where, InZone):
        zone = p.before.zone(where.zone)
        level = None if zone is None else zone.level(where.level)
        if level is not None:
            return level.height_mm + grip, p.level.height_mm + grip, ""
    return CARRIED_MM, p.level.height_mm + grip, f"held at {show_length(CARRIED_MM)} before"


def _judge_lift(p: Placement) -> Iterator[Finding]:
    if p.level is None or p.group.container in NOT_BY_HAND:
        return
    share = p.scene.share(p.group.id)
    if share.mass_kg < LEAST_KG:
        return
    if share.mass_kg > HOISTED_KG:
        purple = f"; {MAC}: purple above {PURPLE_KG[2]:g} kg for two"
        how, remedy = _by_hoist(p, share.mass_kg)
        yield LIFT.found(
            "note",
            (f"group:{p.group.code}",),
            f"{p.group.shown}, {kg(share.mass_kg)}, goes by hoist: too heavy for one person and for a team"
            f"{how}",
            room=p.zone.room,
            measured=share.mass_kg,
            limit=HOISTED_KG,
            unit="kg",
            source="own figure" + (purple if mac_band(share.mass_kg, 2) == "purple" else ""),
            remedy=remedy,
        )
        return
    start, end, assumed = _hands(p)
    if p.shop.rules == "uk":
        yield from _by_filter(p, share.mass_kg, start, end, assumed)
        return
    system: SystemName = "us" if p.shop.rules == "us" else "metric"
    constants, depth = SYSTEMS[system], _depth(p.group)
    deep = DEPTH_MM if depth is None else depth
    (here,) = choose_level(
        share.mass_kg,
        [(place(p.zone, p.level), end)],
        depth_mm=depth,
        coupling=GRIPS.get(p.group.container),
        origin=Hands(reach_mm(constants, deep, start), start),
        system=system,
    )
    if here.within:
        return
    more = (*here.assumed, *([assumed] if assumed else [f"lifted from {show_length(start)}"]))
    index = here.lift.index
    words = "lifting index undefined" if index is None else f"lifting index {index:.2g}"
    words += f"; {_ends(here.lift)}, by the {'US' if system == 'us' else 'metric'} constants"
    if p.shop.rules == "eu":
        by = limits.law(p.shop, "lift")
        none = "" if by is None else f" ({by.source} gives none)"
        yield LIFT.unjudged(
            (f"group:{p.group.code}",),
            f"{p.group.shown}, {kg(share.mass_kg)}: lifting is not checked, no figure for "
            f"{limits.set_name(p.shop)}{none}. Advice: {SOURCE}: {here.text(share.mass_kg)} ({words})",
            room=p.zone.room, measured=share.mass_kg, unit="kg", gap="breaks", remedy=LIFT.remedy,
        )  # fmt: skip
        return
    far = p.shop.rules == "us" and (index is None or index > limits.figure("lift", "us", "index to fix"))
    grade: Grade = "correct" if far else "note"
    yield _lift_finding(p, grade, share.mass_kg, here.limit_kg, here.text(share.mass_kg), words, more)


def _by_hoist(p: Placement, mass_kg: float) -> tuple[str, str]:
    """Say which hoist of the shop lifts it up there, or why none does, and what would; of a floor nothing."""
    size, level = p.group.known_size, p.level
    hoists = any(gear.kind in HOISTS for gear in p.shop.gear.values())
    if size is None or level is None or not hoists or p.zone.kind in ("floor", "room"):
        return "", "a hoist"
    up = lifted_onto(p.shop, p.zone, level, mass_kg, min(size.length_mm, size.width_mm), size.height_mm)
    return (f"; {up.said}", "a hoist") if up.gear is not None else (f"; by none here: {up.said}", up.ends)


def _ends(found: Lift) -> str:
    """Say both ends with their multipliers."""
    said = []
    for name, each in (("start", found.origin), ("end", found.destination)):
        if each is not None:
            said.append(
                f"{name} {show_mass(each.rwl_kg)} (HM {each.hm:.2f} VM {each.vm:.2f} DM {each.dm:.2f} "
                f"FM {each.fm:.2f} CM {each.cm:.2f})"
            )
    return ", ".join(said)


def _depth(group: Group) -> float | None:
    size = group.known_size
    return None if size is None else min(size.length_mm, size.width_mm)


def _by_filter(p: Placement, mass: float, start: float, end: float, assumed: str) -> Iterator[Finding]:
    """Judge by the British filter: the smallest figure of what the hands pass through, men's and women's."""
    men, women = passing_kg(start, end, who="men"), passing_kg(start, end, who="women")
    judged = men if p.shop.limits.who_lifts == "men" else women
    limit = 0.0 if judged is None else judged.kg
    if mass <= limit * (1 + 1e-9):
        return
    way = f"from {show_length(start)} to {show_length(end)}" if start != end else at_height(end)
    if men is None or women is None or judged is None:
        text, words = f"{way} do not lift it to this height by hand: above the filter, use a hoist", ""
    else:
        whose = f"men {show_mass(men.kg)}, women {show_mass(women.kg)}"
        text = f"{way} more than one person's figure ({whose}): {instead(mass, judged)}"
        words = judged.zone if judged.mark == "published" else f"{judged.zone}, figure {judged.mark}"
    grade: Grade = (
        "correct" if mass > limits.figure("lift", "uk", "times to fix") * limit * (1 + 1e-9) else "note"
    )
    told = ("close to the body, now and then", *([assumed] if assumed else []))
    yield _lift_finding(p, grade, mass, limit, text, words, told, FILTER)


def _lift_finding(
    p: Placement,
    grade: Grade,
    mass: float,
    limit: float,
    text: str,
    words: str,
    assumed: Sequence[str],
    source: str | None = None,
) -> Finding:
    more = p.scene.share(p.group.id).unweighed
    at_least = f"at least {kg(mass)}, {more} not weighed" if more else kg(mass)
    brackets = "; ".join([*([words] if words else []), f"assumed: {', '.join(assumed)}"])
    single = filter_kg(0.0 if p.level is None else p.level.height_mm)
    by_hand = single is not None and mass <= (team_kg([single.kg] * 3) or 0.0)
    how, remedy = ("", "") if by_hand else _by_hoist(p, mass)
    return LIFT.found(
        grade,
        (f"group:{p.group.code}",),
        f"{p.group.shown}, {at_least}, {text}{how} ({brackets})",
        room=p.zone.room,
        measured=mass,
        limit=limit,
        unit="kg",
        source=source,
        remedy=remedy if how else LIFT.remedy,
    )


LIFT = Rule(
    key="lift",
    everywhere=False,
    title="Beyond one person's lift at that height",
    text="Compares the mass of what is put down with what one person lifts from where it lies to where it "
    "goes by "
    "the revised NIOSH equation, with what is not known assumed and said; in 'uk' with HSE's lifting "
    "filter, the "
    "smallest figure the hands pass through, men's and women's, of which the women's counts unless "
    "`who lifts: men`. A "
    "note; to fix in 'us' above a lifting index of 3 or where the limit is 0, in 'uk' above twice the "
    "filter's "
    "figure; in 'eu' advice. Pallets, what has its own wheels and less than 3 kg are not looked at; more "
    "than "
    "75 kg is taken to be hoisted. Teams by HSE L23. Carrying there is outside the method.",
    limit="recommended weight limit at origin and destination, the lower",
    source=SOURCE,
    mark="published",
    remedy="a hoist, a lower level, or take out of it what can be taken out",
    judge=_judge_lift,
    each="group",
)

# --- looked at where a move is worked out -------------------------------------------------------------------

TEAM_LIFT = Rule(
    key="team",
    title="Lifted by several",
    text="Two people together lift two thirds of the sum of their figures, three half of it, men's and "
    "women's side by side; more than three are not checked. Looked at when something is moved "
    "(`shopbins move`).",
    limit="2/3 of the sum for two, 1/2 for three; 85 kg for two",
    source=TEAM,
    mark="published",
    remedy="a hoist",
    each="group",
    per="move",
)

CARRY = Rule(
    key="carry",
    title="Carried by hand",
    text="What is carried is compared with the lifting filter at the height of the hands; it holds to about "
    "10 m with the hands not below the knuckles. How far it is carried is not looked at. Looked at when "
    "something is moved (`shopbins move`).",
    limit="the filter's figure, to about 10 m",
    source=FILTER,
    mark="published",
    remedy="a barrow or a hoist",
    each="group",
    per="move",
)

PUSH = Rule(
    key="push",
    title="Pushed or pulled on wheels",
    text="The force to start and to keep a load moving is compared with what one person gives: 200 and 100 N "
    "(men), 150 and 70 N (women), to about 20 m; more than two need a winch. Looked at when something is "
    "moved (`shopbins move`).",
    limit="200 and 100 N, 150 and 70 N",
    source="HSE L23 and its page on pushing and pulling",
    mark="published",
    remedy="better wheels, a winch or a tug",
    each="group",
    per="move",
)

RULES = (ALONE, HIGH, LIFT, TEAM_LIFT, CARRY, PUSH)
