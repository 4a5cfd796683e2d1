"""Whether the gear takes the thing: under it, strong enough, balanced, within its standard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from shopbins.answer import Part
from shopbins.moves.finding import Ask, Check
from shopbins.moves.fitted import BALANCE, HOISTS, HOLDS, SCOPE, UNDER, along, outside_standard
from shopbins.moves.hands import LookedAt
from shopbins.moves.heights import tell_opening
from shopbins.moves.load import Judged
from shopbins.moves.shares import one_bears
from shopbins.moves.situation import Situation
from shopbins.moves.standing import ask_cg
from shopbins.rules.handling import mac_band
from shopbins.rules.say import masses_apart
from shopbins.shop.model import Gear
from shopbins.units import show_length, show_rating

SIZES = Check(
    "move-gear-sizes",
    "Sizes of the gear that are not told",
    "common practice, no source",
    "common practice, no source",
    "measure the gear",
)
TIED = Check(
    "move-skates-tied",
    "Loose skates",
    "common practice, no source",
    "common practice, no source",
    "tie the skates together with their bars",
)

ROLLERS = Check(
    "move-rollers-laid",
    "Rollers laid ahead on the way",
    "a roller goes half as far as what lies on it (derived); who lays them: common practice, no source",
    "derived",
    "skates",
)
SWINGS = Check(
    "move-swings",
    "A hung load that swings",
    "EN ISO 3691-5 e) does not cover swinging loads; carried low and tied: common practice, no source",
    "common practice, no source",
    "gear that it stands on",
)

MOST_CARRY = 3
LEAST_UNDER = 4


def rollers_laid(it: Situation) -> Iterator[Part]:
    """Say that rollers are laid ahead again and again, by one more than push or pull it, while it stands."""
    far = sum(leg.length_mm for leg in it.legs)
    if it.kind == "rollers and bar" and far > 0:
        text = (
            f"{it.gear.gear.name} go half as far as {it.name}: over {show_length(far)} each comes out behind "
            "and is laid ahead, square to the way; hands are there only while it stands"
        )
        yield ROLLERS.only(it.subjects, "stopped while one more lays rollers ahead", text)


def tell_under(it: Situation) -> str:
    """Return how to tell what it is not known for whether gear goes under it: what is lacking of the gear,
    else of the thing.
    """
    gear, code = it.gear.gear, it.body.group.code
    lacks = {
        "pallet truck": (gear.over_forks_mm, "over forks: 540"),
        "trolley": (gear.size_mm, "size: [900, 600]"),
        "engine crane": (gear.inside_mm, "inside: 820"),
        "gantry crane": (gear.inside_mm, "inside: 820"),
    }
    known, tell = lacks.get(it.kind, (0.0, ""))
    if known is None:
        return f"gear: {gear.key}: {{{tell}}}"
    if it.kind == "pallet truck" and gear.lowered_mm is None and it.load.under_mm is not None:
        return f"gear: {gear.key}: {{lowered: 85, raised: 200}}"
    told = {
        "trolley": "'foot=-400,300; -400,-300; 400,-300; 400,300'",
        "rollers and bar": "runners=500mm",
        "engine crane": "'sling height=1400mm'",
        "gantry crane": "'sling height=1400mm'",
    }
    return f"shopbins set {code} --moving {told[it.kind]}" if it.kind in told else tell_opening(it)


def goes_under(it: Situation) -> Iterator[Part]:
    """Compare forks, legs, platform or rollers with what they go under."""
    code = it.body.group.code
    if it.kind == "skates" and not it.gear.stances:
        return  # `tips` asks where its feet are
    known = it.load.openings or it.load.pallet or it.load.feet
    if it.body.group.container == "pallet" and it.kind == "pallet truck" and it.body.base and not known:
        text = f"which pallet {it.name} is on is not told: whether the forks go in is not checked"
        ask = Ask(f"which pallet is {it.name} on?", f"shopbins set {code} --moving pallet=EUR", 1)
        yield UNDER.open((*it.subjects, "pallet"), text, ask)
        return
    yield from _judged(it, UNDER, it.gear.goes_under, tell_under(it))
    yield from _short_forks(it)
    if it.kind == "rollers and bar" and it.gear.across:
        text = (
            f"{it.gear.gear.name} lie along {it.name}, set across: a plate under all of its base, as runners "
            "along it go down between two of them"
        )
        yield UNDER.only((*it.subjects, "across"), "a whole plate under it, no runners", text, judged=False)
    for found in it.gear.findings:
        if found.rule == BALANCE.key:
            yield BALANCE.no(
                found.subjects, found.text, measured=found.measured, limit=found.limit, unit=found.unit
            )


def _short_forks(it: Situation) -> Iterator[Part]:
    """Make it a condition that the base bears on forks that end short of the far feet."""
    length, heel = it.gear.gear.fork_length_mm, it.gear.heel
    if it.kind != "pallet truck" or length is None or heel is None or it.load.pallet or not it.load.feet:
        return
    near = along(heel, it.gear.axis_deg)
    far = max(along(foot.point, it.gear.axis_deg) for foot in it.load.feet)
    if far > near + length:
        text = (
            f"the forks end {show_length(far - near - length)} short of the far feet of {it.name}: its base "
            f"rests on them from its near side to {show_length(length)} in"
        )
        yield UNDER.only((*it.subjects, "base"), "its base rests on the forks", text, judged=False)


OWN_WHEELS = "own wheels"
"""What a thing is kept in that rolls by itself."""


def holds(it: Situation) -> Iterator[Part]:
    """Compare the mass with the plate, of skates the most one may bear with what one holds."""
    load, gear = it.load, it.gear.gear
    if load.mass_kg is None or (it.kind == "skates" and not it.gear.stances and it.gear.holds.answer != "no"):
        return  # `mass` or `tips` asks for it
    if it.kind == "skates" and gear.capacity_kg is not None and it.gear.stances:
        yield from _skates(it, gear.capacity_kg)
        return
    if it.kind == "by hand" and it.body.group.container == OWN_WHEELS and it.gear.holds.answer == "no":
        text = (
            f"{it.name} stands on its own wheels: how it rolls on them is not looked at; {it.gear.holds.why}"
        )
        ends = ("its wheels told as gear: kind: trolley, with size, height, wheels, capacity",)
        yield HOLDS.open((*it.subjects, "own wheels"), text, ends=ends)
        return
    if it.kind == "by hand" and (team := _looked_at(it)) is not None:
        text = f"{it.gear.holds.why}: {team.said}"
        words = f"{it.name} carried by {team.people}, {team.coloured}"
        more: dict[str, Any] = {"measured": load.most_kg, "limit": it.gear.holds.limit, "unit": "kg"}
        yield HOLDS.only((*it.subjects, "team"), words, text, **more)
        return
    if it.kind == "rollers and bar" and gear.count is not None and gear.count <= LEAST_UNDER:
        text = (
            f"{gear.count} of {gear.name}: four under it and one to bring forward are needed (NAVEDTRA 14251)"
        )
        yield HOLDS.no(
            it.subjects, text, ("more rollers",), measured=gear.count, limit=LEAST_UNDER + 1, unit="count"
        )
    if it.kind in HOISTS:
        yield from travels_loaded(gear, load.name, it.subjects)
    judged = it.gear.holds
    limit = judged.limit
    if judged.answer == "no" and load.about and limit is not None and (load.least_kg or 0.0) <= limit:
        yield HOLDS.again(
            it.subjects,
            judged.why,
            (f"the mass of {it.name}",),
            measured=judged.measured,
            limit=limit,
            unit="kg",
        )
        return
    if judged.answer == "not known" and load.not_weighed:
        return
    yield from _judged(it, HOLDS, judged, f"gear: {gear.key}: {{capacity: 2 t}}")


def travels_loaded(gear: Gear, hung: str, subjects: Sequence[str], which: str = "") -> Iterator[Part]:
    """Return what has to be so where something hung from a hoist travels with it; `which` names it in few
    words where it is not what the move is about.
    """
    text = f"whether {gear.name} may travel loaded is on its plate"
    yield HOLDS.only((*subjects, "travel"), f"plate of {gear.name} allows travel loaded", text)
    text = f"{hung} hung from {gear.name} swings and pulls it over: carried low and tied to it"
    words = f"{which}{' ' if which else ''}carried low, tied to {gear.name}"
    yield SWINGS.only((*subjects, "swings"), words, text)


def _looked_at(it: Situation) -> LookedAt | None:
    """Return the team that is beyond the filter, and not beyond what a team may do by MAC."""
    people, most = min(it.gear.gear.people or 1, MOST_CARRY), it.load.most_kg
    if it.gear.holds.answer != "no" or most is None or people < 2:
        return None
    colour = mac_band(most, people)
    return None if colour == "purple" else LookedAt(people, colour)


def _skates(it: Situation, each_kg: float) -> Iterator[Part]:
    one = one_bears(it)
    if one is None:
        return
    least, most, which, n = one.least_kg, one.most_kg, one.which, one.of
    gear = it.gear.gear
    bears, holds = masses_apart(most, each_kg)
    text = f"on {n} of {gear.name} one ({which}) may bear {bears}, each holds {holds}"
    more: dict[str, Any] = {"measured": most, "limit": each_kg, "unit": "kg"}
    if least > each_kg * (1 + 1e-9):
        ends: list[str] = []
        if n > 3:
            text += "; of more than three any one may have to bear the most"
            ends.append("three skates, or pairs tied together")
        offs = [p.called for p in it.body.parts]
        yield HOLDS.no(it.subjects, text, (*ends, "stronger skates"), offs, **more)
    elif most > each_kg * (1 + 1e-9):
        if it.load.cg_told:
            yield HOLDS.again(it.subjects, text, (f"mass and centre of gravity of {it.name}",), **more)
        else:
            yield HOLDS.open(it.subjects, text, ask_cg(it), **more)
    else:
        yield HOLDS.note(it.subjects, text, **more)
    yield TIED.only(
        it.subjects, "skates tied together", f"{gear.name} are tied by their bars, plates over joints"
    )


def _judged(it: Situation, check: Check, judged: Judged, how: str) -> Iterator[Part]:
    compared = judged.measured is not None and judged.limit is not None
    more: dict[str, Any] = {}
    if compared:
        more = {"measured": judged.measured, "limit": judged.limit, "unit": judged.unit}
    if judged.answer == "not known":
        yield check.open(it.subjects, judged.why, Ask(judged.why, how, 1), **more)
    elif judged.again and not (judged.answer == "no" and _surely_too_heavy(it, judged)):
        yield check.again(it.subjects, judged.why, judged.again, **more)
    elif judged.answer == "no":
        yield check.no(it.subjects, judged.why, [_would_take(it, judged)], _lighter(it, judged), **more)
    elif judged.why:
        yield check.note(it.subjects, judged.why, **more)


def _lighter(it: Situation, judged: Judged) -> list[str]:
    """Return the parts of which each off makes it light enough."""
    measured, limit = judged.measured, judged.limit
    if measured is None or limit is None or judged.unit != "kg":
        return []
    return [p.called for p in it.body.parts if p.mass is not None and measured - p.mass.kg <= limit]


def _would_take(it: Situation, judged: Judged) -> str:
    """Say what gear would end it: that holds so much, or that is so much smaller."""
    measured, limit, kind = judged.measured, judged.limit, it.kind
    if measured is None or limit is None or judged.unit not in ("kg", "mm"):
        return "other gear"
    if judged.unit == "mm":
        return f"{show_length(abs(measured - limit))} more there, or smaller gear"
    holds = show_rating(measured)
    return f"a hoist or truck for {holds}" if kind == "by hand" else f"{kind} for at least {holds}"


def _surely_too_heavy(it: Situation, judged: Judged) -> bool:
    least = it.load.least_kg
    return judged.unit == "kg" and judged.limit is not None and least is not None and least > judged.limit


def sizes(it: Situation) -> Iterator[Part]:
    """Ask for sizes of the gear without which its outline is too small."""
    gear = it.gear.gear
    for kind, value, what, how in (
        ("pallet truck", gear.fork_length_mm, "how long are its forks", "fork length: 1150"),
        ("pallet truck", gear.body_mm, "how far does it stand out behind its forks", "body: 400"),
        ("engine crane", gear.size_mm, "how much floor does it take", "size: [1550, 1000]"),
        ("gantry crane", gear.size_mm, "how much floor does it take", "size: [2000, 1200]"),
    ):
        if it.kind == kind and value is None:
            text = f"{gear.name}: {what}?"
            yield SIZES.open(it.subjects, text, Ask(text, f"gear: {gear.key}: {{{how}}}", 1))
    if it.kind == "skates" and gear.size_mm is None:
        yield SIZES.only(it.subjects, "no skate sticks out", f"size of one of {gear.name} is not told")
    if it.gear.unknown:
        yield SIZES.note((*it.subjects, "taken"), "; ".join(it.gear.unknown))


def scope(it: Situation) -> Iterator[Part]:
    """Say what the truck's standard does not cover."""
    gear = it.gear.gear
    if it.kind != "pallet truck":
        return
    what = " or ".join(outside_standard(gear, it.load.mass_kg))
    if what:
        text = f"EN ISO 3691-5 does not cover {what}: the maker of {gear.name} is asked"
        yield SCOPE.only(it.subjects, f"maker of {gear.name} asked: {what}", text)
    if it.gear.cautions:
        yield SCOPE.note((*it.subjects, "heed"), "; ".join(it.gear.cautions))
