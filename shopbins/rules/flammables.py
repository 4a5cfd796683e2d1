"""Flammable liquids and gases: how much of them, in what, and where."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.ledger.model import Group
from shopbins.rules import hazards, limits
from shopbins.rules.finding import Finding
from shopbins.rules.limits import Limit
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import kg, listed
from shopbins.rules.things import IN_ZONES, outdoors, walk, warned
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.units import counted, show_volume

HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Liquid:
    """A flammable liquid: its group, where it is, its category; how much in all, and in one container."""

    group: Group
    zone: Zone
    category: int
    litres: float | None
    kg: float | None
    one_l: float | None = None

    @property
    def tag(self) -> str:
        """Its subject."""
        return f"group:{self.group.code}"

    @property
    def petrol(self) -> bool:
        """Tell whether it is petrol."""
        return any(h.word in hazards.PETROL for h in hazards.of(self.group.cautions))


def liquids(scene: Scene) -> list[Liquid]:
    """Return the flammable liquids there are."""
    return [each for _, thing in walk(scene, "liquid") if (each := _liquid(scene, thing)) is not None]


def _liquid(scene: Scene, thing: tuple[Zone, Group, Group]) -> Liquid | None:
    zone, _, group = thing
    us = scene.shop.rules == "us"
    category = hazards.liquid_category(group.cautions, group.details.get("flash point"), us)
    if category is None:
        return None
    mass = None if group.mass is None else group.mass.kg
    one = group.details.get("volume")
    return Liquid(group, zone, category, None if one is None else one * group.qty, mass, one)


def _without(rule: Rule, them: Iterable[Liquid], *, by_mass: bool) -> Iterator[Finding]:
    for each in them:
        if (each.kg if by_mass else each.litres) is None:
            if by_mass:
                write = f"its mass: shopbins set {each.group.code} --mass 4kg"
            else:
                write = f"shopbins set {each.group.code} --detail 'volume=20 L'"
            what = "mass" if by_mass else "volume"
            yield rule.lacks(each.tag, each.group.shown, what, write, room=each.zone.room)


def _names(them: Iterable[Liquid]) -> str:
    return listed(each.group.shown for each in them)


def _over(
    rule: Rule, by: Limit, them: list[Liquid], total: float, what: str, where: str, *, grade: str = "correct",
    **more: Any,
) -> Iterator[Finding]:  # fmt: skip
    show = kg if by.unit == "kg" else show_volume
    if total > by.figure + 1e-6:
        yield rule.breaks(
            by, grade, tuple(each.tag for each in them)[:12],  # type: ignore[arg-type]
            f"{show(total)} of {what} {where}, {show(by.figure)} at most: {_names(them)}",
            measured=total, **more,
        )  # fmt: skip


def _sum(them: Iterable[Liquid], *, by_mass: bool = False) -> float:
    return sum((each.kg if by_mass else each.litres) or 0.0 for each in them)


def _how_much(them: Sequence[Liquid]) -> str:
    """Say how much flammable liquid there is: what is not told is counted, never taken for nothing."""
    untold, total = sum(1 for each in them if each.litres is None), _sum(them)
    if not untold:
        return f"{show_volume(total)} of flammable liquids"
    least = f"at least {show_volume(total)}, " if total else ""
    return f"{least}{counted(untold, 'flammable liquid')} of unknown volume"


# --- outside a cabinet --------------------------------------------------------------------------------------


def _audit_open(scene: Scene, _today: date) -> Iterator[Finding]:
    shop = scene.shop
    free = [each for each in liquids(scene) if not each.zone.cabinet]
    out = [each for each in free if not outdoors(scene, each.zone)]
    if len(out) < len(free):
        yard = [each for each in free if each not in out]
        yield OPEN.unjudged(
            tuple(each.tag for each in yard)[:12],
            f"{_names(yard)}: outdoors, so not counted with the building; what is published for stores in "
            "the open is not checked",
            room=yard[0].zone.room, remedy="ask the fire brigade how far from buildings it must be",
        )  # fmt: skip
    if not out:
        return
    rules, where = limits.set_for(shop, "liquids-open"), "outside a cabinet, the whole building counted"
    ceiling = shop.limits.liquids_l
    if ceiling is not None and _sum(out) > ceiling + 1e-6:
        yield OPEN.found(
            "correct", tuple(each.tag for each in out)[:12],
            f"{show_volume(_sum(out))} of flammable liquids {where}, {show_volume(ceiling)} is your own "
            f"limit",
            measured=_sum(out), limit=ceiling, unit="L", source="limits of the shop file",
        )  # fmt: skip
    if rules is None and (shop.rules != "own" or ceiling is None):
        advice = []
        for other in limits.advisers(shop, "liquids-open"):
            if other == "us":
                advice += [Advice(by, by.figure, total, most=True, note=by.of) for by, _, total in _us(out)]
        name = f"{_how_much(out)} outside a cabinet"
        if shop.rules == "uk":
            name += " (keep out what half a day or a shift needs, the rest in a cabinet)"
        yield OPEN.no_figure(shop, "shop", name, advice, show_volume, unit="L", room=out[0].zone.room)
    if rules == "us":
        for by, them, total in _us(out):
            yield from _over(OPEN, by, them, total, f"flammable liquids of {by.of}", where)
    elif rules == "de":
        for of, wanted in (("category 1 and 2", (1, 2)), ("category 1", (1,)), ("category 3", (3,))):
            them = [each for each in out if each.category in wanted]
            german = limits.limit("liquids-open", "de", of)
            if german is not None and them:
                what = f"flammable liquids of {of}"
                yield from _over(OPEN, german, them, _sum(them, by_mass=True), what, "in workrooms")
    if rules is not None or ceiling is not None:
        yield from _without(OPEN, out, by_mass=rules == "de")


def _us(out: list[Liquid]) -> Iterator[tuple[Limit, list[Liquid], float]]:
    for of, wanted in (("category 1", (1,)), ("category 2 to 4", (2, 3, 4))):
        by = limits.limit("liquids-open", "us", of)
        them = [each for each in out if each.category in wanted]
        if by is not None and them:
            yield by, them, _sum(them)


OPEN = Rule(
    key="liquids-open",
    title="Flammable liquids outside a cabinet",
    text="Outside fire-resisting cabinets (`cabinet: flammables`) and stores no more is kept than "
    "published, the "
    "whole building counted as one fire area, yards (`outdoor`) not; category 1 and categories 2 to 4 are "
    "checked separately in "
    "'us'. To fix. "
    "Also against `limits.liquids`. In 'uk' no figure: what half a day or a shift needs.",
    limit="94.6 L of category 1, 454.2 L of 2 to 4 ('us'); 20 kg of 1 and 2, of it 10 kg of 1, 100 kg of "
    "3 ('de')",
    source="29 CFR 1910.106(e)(2)(ii)(b); TRGS 510 table 1",
    mark="published",
    remedy="into a fire-resisting cabinet, or out of the building",
    audit=_audit_open,
    each="liquid",
)

# --- in a cabinet -------------------------------------------------------------------------------------------

ROOM_C = 21.0
"""Room temperature, for flash points below it: own reading."""


def _look_cabinet(scene: Scene, zone: Zone) -> Iterator[Finding]:
    shop, tag = scene.shop, f"zone:{zone.key}"
    inside = [
        each for _, thing in IN_ZONES["liquid"](scene, zone)
        if (each := _liquid(scene, thing)) is not None
    ]  # fmt: skip
    rules, where = limits.set_for(shop, "liquids-cabinet"), f"in {zone.name}"
    if rules is None:
        advice = []
        if inside and "us" in limits.advisers(shop, "liquids-cabinet"):
            by = limits.known("liquids-cabinet", "us", "category 1 to 3")
            advice = [Advice(by, by.figure, _sum(e for e in inside if e.category < 4), most=True)]
        name = f"{_how_much(inside)} {where}"
        yield CABINET.no_figure(shop, tag, name, advice, show_volume, room=zone.room, unit="L")
        return
    if rules == "us":
        for of, wanted in (("category 1 to 3", (1, 2, 3)), ("category 4", (4,))):
            by, them = limits.known("liquids-cabinet", "us", of), [e for e in inside if e.category in wanted]
            if them:
                yield from _over(
                    CABINET, by, them, _sum(them), f"flammable liquids of {of}", where, room=zone.room
                )
    else:
        for of, cold in (("below room temperature", True), ("to 55 C", False)):
            by = limits.known("liquids-cabinet", "uk", of)
            them = [each for each in inside if _cold(each) is cold]
            if them:
                what = f"flammable liquids ({of})"
                yield from _over(CABINET, by, them, _sum(them), what, where, grade="note", room=zone.room)
        yield from _wrong_company(scene, zone, tag)
    yield from _without(CABINET, inside, by_mass=False)


def _cold(each: Liquid) -> bool:
    flash = each.group.details.get("flash point")
    return flash < ROOM_C if isinstance(flash, (int, float)) else each.category < 3


def _wrong_company(scene: Scene, zone: Zone, tag: str) -> Iterator[Finding]:
    by = limits.known("liquids-cabinet", "uk", "below room temperature")
    for _, _, group in warned(scene, zone):
        wrong = [
            h for h in hazards.of(group.cautions) if h.kind in ("oxidiser", "acid", "alkali", "corrosive")
        ]
        if wrong:
            yield CABINET.breaks(
                by, "correct", (f"group:{group.code}", tag),
                f"{group.shown}, marked '{wrong[0].word}', is in {zone.name} with flammable liquids",
                room=zone.room, limit=None, unit="", remedy="keep it elsewhere",
            )  # fmt: skip


CABINET = Rule(
    key="liquids-cabinet",
    title="How much is in a cabinet for flammables",
    text="A cabinet holds no more than published; in 'uk' the figures are recommended (a note), and no "
    "oxidiser and "
    "nothing corrosive is with them. To fix in 'us'.",
    limit="227.1 L of categories 1 to 3, 454.2 L of 4 ('us'); 50 L and 250 L ('uk')",
    source="29 CFR 1910.106(d)(3)(i); DSEAR L138",
    mark="published",
    remedy="take the rest to a store",
    each="cabinet",
    look=_look_cabinet,
)

# --- what it is kept in -------------------------------------------------------------------------------------


def _largest(shop_rules: str, each: Liquid) -> tuple[Limit | None, str]:
    """Return the figure for a container, and what is missing to tell."""
    details = each.group.details
    stuff = details.get("kept in")
    if shop_rules == "de":
        if stuff is None:
            return None, "kept in=glass"
        return limits.limit("liquids-container", "de", "breakable" if stuff == "glass" else "other"), ""
    of = {"drum": "metal drum (DOT)", "portable tank": "approved portable tank"}.get(str(stuff))
    if of is not None:
        return limits.limit("liquids-container", "us", of), ""
    if details.get("approved"):
        return limits.limit("liquids-container", "us", "approved"), ""
    if stuff is None:
        return None, "kept in=metal"
    kind = "glass or plastic" if stuff in ("glass", "plastic") else stuff
    return limits.limit("liquids-container", "us", f"{kind}, category {each.category}"), ""


def _look_container(scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    shop, (zone, _, group), each = scene.shop, thing, _liquid(scene, thing)
    if each is None:
        return
    rules = limits.set_for(shop, "liquids-container")
    if rules is None:
        by, _ = _largest("us", each)
        advice = []
        if by is not None and each.one_l is not None and limits.advisers(shop, "liquids-container"):
            advice = [Advice(by, by.figure, each.one_l, most=True, note=by.of)]
        yield CONTAINER.no_figure(
            shop, each.tag, f"the container of {group.shown}", advice, show_volume, room=zone.room, unit="L"
        )
        return
    by, write = _largest(rules, each)
    if by is None or each.one_l is None:
        missing = write or "volume=20 L"
        yield CONTAINER.lacks(
            each.tag, group.shown, "volume" if not write else "container told",
            f"shopbins set {group.code} --detail '{missing}'", room=zone.room,
        )  # fmt: skip
    elif each.one_l > by.figure + 1e-6:
        yield CONTAINER.breaks(
            by, "correct", (each.tag,),
            f"{group.shown}, {show_volume(each.one_l)}, is in too large a container: "
            f"{show_volume(by.figure)} at most "
            f"({by.of})", room=zone.room, measured=each.one_l, remedy=_smaller(rules, each),
        )  # fmt: skip


def _smaller(rules: str, each: Liquid) -> str:
    """Say what to do with too large a container: never to pour it over where it stands."""
    words = "use it up or have it taken away as it is; buy the next in smaller ones; do not pour it over here"
    drum_l = limits.figure("liquids-container", "us", "metal drum (DOT)")
    metal = each.group.details.get("kept in") == "metal"
    if rules == "us" and metal and each.one_l is not None and each.one_l <= drum_l:
        write = f"shopbins set {each.group.code} --detail 'kept in=drum'"
        words = f"where it is a metal drum to DOT specification: {write}; else {words}"
    return words


CONTAINER = Rule(
    key="liquids-container",
    title="The container of a flammable liquid",
    text="A container is no larger than published for its material and the liquid's category (`kept in`, "
    "`volume`); "
    "an approved one (`approved: yes`) to 5 gal. To fix in 'us' and 'de'.",
    limit="Table H-12: 1 pt to 1 gal glass or plastic, 1 to 5 gal metal, 2 to 5 gal safety can, 60 gal DOT "
    "drum, 660 gal approved portable tank; 'de' 2.5 L breakable, else 10 L",
    source="29 CFR 1910.106 Table H-12; TRGS 510",
    mark="published",
    remedy="use it up or have it taken away as it is; buy the next in smaller ones",
    each="liquid",
    look=_look_container,
)

# --- petrol at home, rags, heavy gas ----------------------------------------------------------------------


def _audit_home(scene: Scene, _today: date) -> Iterator[Finding]:
    shop = scene.shop
    petrol = [each for each in liquids(scene) if each.petrol]
    if not petrol or shop.premises != "home" or shop.rules not in ("uk", "eu"):
        return
    if shop.rules == "eu":
        for each in petrol:
            yield HOME.no_figure(
                shop, each.tag, f"{each.group.shown} at home", [], show_volume, room=each.zone.room
            )
        return
    total = _sum(petrol)
    more, least = (limits.known("petrol-home", "uk", of) for of in ("with notice", "without notice"))
    if total > more.figure:
        yield from _over(HOME, more, petrol, total, "petrol", "at home")
    else:
        yield from _over(HOME, least, petrol, total, "petrol", "at home without notice to the authority")
    for each in petrol:
        stuff = each.group.details.get("kept in")
        by = limits.known("petrol-home", "uk", f"{'plastic' if stuff == 'plastic' else 'metal'} container")
        if stuff is not None and each.one_l is not None:
            yield from _over(HOME, by, [each], each.one_l, "petrol", f"in one {stuff} container")
    yield from _without(HOME, petrol, by_mass=False)


HOME = Rule(
    key="petrol-home",
    title="Petrol kept at home",
    text="With `premises: home` in 'uk' to 30 L are kept without notice, to 275 L with notice, in "
    "containers of 10 L "
    "(plastic) or 20 L (metal), in a store with its own door to open air. To fix.",
    limit="30 L, with notice 275 L; 10 and 20 L a container",
    source="Petroleum (Consolidation) Regulations 2014, Schedule 2",
    mark="published",
    remedy="keep less, or give notice to the petroleum authority",
    audit=_audit_home,
    each="petrol at home",
)


NO_CAN = frozenset(("bag", "box", "crate", "pallet", "stillage", "tub"))
"""Containers that are no metal can with a lid: to say one of them is to say no."""


def _look_rags(scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    zone, _, group = thing
    can = group.details.get("metal lidded can")
    by = limits.known("rags", "us" if scene.shop.rules == "us" else "any")
    if can:
        return
    if can is None and group.container not in NO_CAN:
        write = f"shopbins set {group.code} --detail 'metal lidded can=yes'"
        yield RAGS.lacks(f"group:{group.code}", group.shown, "container told", write, room=zone.room)
        return
    yield RAGS.breaks(
        by, "correct" if scene.shop.rules == "us" else "note", (f"group:{group.code}",),
        f"{group.shown} is not in a metal can with a lid: such things catch fire by themselves",
        room=zone.room,
        limit=None, unit="",
    )  # fmt: skip


RAGS = Rule(
    key="rags",
    title="Oily and self-heating rags",
    text="They are in a covered metal can (`metal lidded can`), emptied daily. To fix in 'us', else a note.",
    limit="a metal can with a lid",
    source="29 CFR 1910.106(e)(9)(iii); common practice",
    mark="from memory",
    remedy="into a metal can with a lid, emptied daily",
    each="rags",
    look=_look_rags,
)


def _look_heavy(scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    zone, _, group = thing
    shop = scene.shop
    heavy = next(
        (h.word for h in hazards.of(group.cautions) if h.word in hazards.LIQUEFIED),
        None,
    )
    room = shop.rooms.get(zone.room)
    if heavy is None or room is None:
        return
    below = False if room.outdoor else room.below_ground
    if below is None:
        yield HEAVY.lacks(
            f"group:{group.code}", room.name, "word on its level", "below ground: yes or no", room=room.key
        )
        return
    rules = limits.set_for(shop, "heavy-gas")
    by = limits.known("heavy-gas", rules or "us")
    if below:
        yield HEAVY.breaks(
            by, "correct" if rules else "note", (f"group:{group.code}",),
            f"{group.shown}, marked '{heavy}', is below ground: the gas gathers there",
            room=room.key, limit=None,
            unit="",
        )  # fmt: skip


HEAVY = Rule(
    key="heavy-gas",
    everywhere=True,
    title="Gas heavier than air below ground",
    text="LPG, propane and butane are never kept below ground (`below ground`). To fix in 'us' and 'uk', "
    "else a note.",
    limit="above ground",
    source="UK LPG codes; elsewhere own judgement",
    mark="published",
    remedy="keep it above ground, in the open air",
    each="fuel gas",
    look=_look_heavy,
)


def _look_below(scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    zone, _, group = thing
    us, room = scene.shop.rules == "us", scene.shop.rooms.get(zone.room)
    category = hazards.liquid_category(group.cautions, group.details.get("flash point"), us)
    by = limits.known("liquids-below", "any")
    if room is None or not room.below_ground or category is None or category > 2:
        return
    yield BELOW.breaks(
        by, "note", (f"group:{group.code}",),
        f"{group.shown}, a flammable liquid of category {category}, is in {room.name} below ground: its "
        "vapour gathers there",
        room=room.key, limit=None, unit="",
    )  # fmt: skip


BELOW = Rule(
    key="liquids-below",
    title="Petrol and the like below ground",
    text="Liquids of category 1 and 2 (petrol, thinners) give a vapour heavier than air: in a room with "
    "`below "
    "ground: yes` a note, in every set.",
    limit="above ground (own figure)",
    source="own judgement",
    mark="own",
    remedy="keep it above ground",
    each="liquid",
    look=_look_below,
)

GAS_SHARE = 0.4
"""The least share of a full bottle's mass that is gas: own figure; an LPG bottle holds about half."""

COMPRESSED = frozenset(("acetylene", "hydrogen", "natural gas", "methane", "ethylene"))


def _gas_kind(group: Group) -> str:
    """Tell by what figure a fuel gas is judged: 'liquefied', 'other', or '' where that is not known."""
    if "gas mass" in group.details or "gas volume" in group.details:
        return "liquefied" if "gas mass" in group.details else "other"
    words = {h.word for h in hazards.of(group.cautions) if h.kind == "flammable gas"}
    return "liquefied" if words & hazards.LIQUEFIED else "other" if words & COMPRESSED else ""


def _cubic(litres: float) -> str:
    """Say a volume of gas: '56.6 m3 (2000 cu ft)'."""
    return f"{litres / 1000:.3g} m3 ({litres / limits.CU_FT:.4g} cu ft)"


def _audit_gas(scene: Scene, _today: date) -> Iterator[Finding]:
    """Look at all fuel gas that is stored inside; what is in use is not in storage."""
    stored = [
        (zone, group)
        for _, (zone, _, group) in walk(scene, "fuel gas")
        if not group.details.get("in use") and (room := scene.shop.rooms.get(zone.room)) and not room.outdoor
    ]
    if not stored:
        return
    if limits.set_for(scene.shop, "fuel-gas") is None:
        known = [group.mass.kg for _, group in stored if group.mass is not None]
        told = [f"{kg(sum(known))} with its bottles"] if known else []
        told += [f"{len(stored) - len(known)} not weighed"] if len(known) < len(stored) else []
        text = f"fuel gas stored inside, {', '.join(told)}"
        yield GAS.no_figure(scene.shop, "shop", text, [], kg, unit="kg", room=stored[0][0].room)
        return
    yield from _liquefied([each for each in stored if _gas_kind(each[1]) == "liquefied"])
    yield from _compressed([each for each in stored if _gas_kind(each[1]) != "liquefied"])


def _liquefied(stored: list[tuple[Zone, Group]]) -> Iterator[Finding]:
    """Judge liquefied gas by its mass: as told, else between a share of its bottle's mass and all of it."""
    by = limits.known("fuel-gas", "us", "liquefied")
    if not stored:
        return
    told = sum(g.details["gas mass"] * g.qty for _, g in stored if "gas mass" in g.details)
    bottles = [(zone, g) for zone, g in stored if "gas mass" not in g.details]
    whole = sum(g.mass.kg for _, g in bottles if g.mass is not None)
    least, most = told + whole * GAS_SHARE, told + whole
    names, tags = listed(g.shown for _, g in stored), tuple(f"group:{g.code}" for _, g in stored)[:12]
    weighs = f"{kg(told)} as told" if told else ""
    if whole:
        weighs += f"{' and ' if told else ''}{kg(whole)} with its bottles"
    if least > by.figure * (1 + 1e-9):
        of_it = f", of it gas about {kg(least)} at least" if whole else ""
        yield GAS.breaks(
            by, "correct", tags,
            f"liquefied fuel gas stored inside weighs {weighs}{of_it}, {kg(by.figure)} of gas at most: "
            f"{names}",
            measured=least,
        )  # fmt: skip
        return
    for zone, group in bottles:
        if group.mass is None:
            write = f"shopbins set {group.code} --detail 'gas mass=13 kg'"
            yield GAS.lacks(f"group:{group.code}", group.shown, "mass of gas", write, room=zone.room)
    if most > by.figure * (1 + 1e-9):
        write = f"shopbins set {bottles[0][1].code} --detail 'gas mass=13 kg'"
        yield GAS.unjudged(
            ("shop",), f"liquefied fuel gas stored inside weighs {weighs}, {kg(by.figure)} of gas at "
            f"most: how much of it is gas is not told: {names}", unit="kg",
            measured=most, limit=by.figure,
            source=by.source, remedy=f"read it off the bottles: {write}, or keep some outside",
        )  # fmt: skip


def _compressed(stored: list[tuple[Zone, Group]]) -> Iterator[Finding]:
    """Judge what is not liquefied by its volume of gas, as told; a bottle's mass says nothing of it."""
    by = limits.known("fuel-gas", "us", "other")
    told = [(g.details["gas volume"] * g.qty, g) for _, g in stored if "gas volume" in g.details]
    total = sum(litres for litres, _ in told)
    if total > by.figure * (1 + 1e-9):
        yield GAS.breaks(
            by, "correct", tuple(f"group:{g.code}" for _, g in told)[:12],
            f"{_cubic(total)} of fuel gas stored inside, {_cubic(by.figure)} at most: "
            f"{listed(g.shown for _, g in told)}", measured=total,
        )  # fmt: skip
    for zone, group in stored:
        if "gas volume" not in group.details:
            known = "'gas volume=145 cu ft'"
            write = f"shopbins set {group.code} --detail {known}"
            if not _gas_kind(group):
                write += ", or 'gas mass=13 kg' where it is liquefied"
            yield GAS.lacks(f"group:{group.code}", group.shown, "volume of gas", write, room=zone.room)


GAS = Rule(
    key="fuel-gas",
    title="Fuel gas stored inside",
    text="In 'us' to 300 lb (136 kg) of liquefied fuel gas (LPG, propane, butane, MAPP) and to 2000 cu ft "
    "(56.6 m3) of other fuel gas (acetylene, hydrogen, methane) are stored inside a building, each checked "
    "by itself; what is in use (`in use`) is not counted. How much gas a bottle holds is told by "
    "`gas mass` and `gas volume`. Liquefied gas not told is within where even the whole "
    "bottle is, to fix where two fifths of it (own figure) are more, between them not checked.",
    limit="300 lb, 2000 cu ft of gas in 'us'",
    source="29 CFR 1910.253(b)(3)(i)",
    mark="from memory",
    remedy="keep the rest outside",
    audit=_audit_gas,
    each="fuel gas",
)

RULES = (OPEN, CABINET, CONTAINER, HOME, RAGS, HEAVY, BELOW, GAS)
