"""Floors and heads: slopes, sills, low things over walkways, and pits."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.geometry.exact import overlap
from shopbins.rules import limits
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import TOLERANCE_MM, mm, mm_pair
from shopbins.rules.ways import floor_of
from shopbins.scene.scene import Scene
from shopbins.shop.model import Door, Fixture, Opening, Room, Walkway
from shopbins.units import show_slope


def _look_ramp(scene: Scene, room: Room) -> Iterator[Finding]:
    shop, tag = scene.shop, f"room:{room.key}"
    assert room.slope is not None
    fall, rules = room.slope.fall, limits.set_for(shop, "ramp")
    by = limits.known("ramp", rules or "us")
    if rules is None:
        advice = [Advice(by, by.figure, fall, most=True)] if limits.advisers(shop, "ramp") else []
        beyond = fall > by.figure * (1 + 1e-9)
        yield RAMP.unjudged(
            (tag,), f"the floor of {room.name} falls {show_slope(fall)}: not checked, no figure for "
            f"{limits.set_name(shop)}" + (f". Advice: us 1 in 12 ({by.source})" if advice else ""),
            room=room.key, measured=fall, unit="mm/mm",
            gap="breaks" if advice and beyond else "keeps",
        )  # fmt: skip
        return
    if fall > by.figure * (1 + 1e-9):
        yield RAMP.breaks(
            by, "note", (tag,),
            f"the floor of {room.name} falls {show_slope(fall)}, 1 in 12 is the published most for a ramp",
            room=room.key, measured=fall,
        )  # fmt: skip


RAMP = Rule(
    key="ramp",
    title="A floor steeper than a ramp",
    text="A floor that falls more than 1 in 12 is steeper than a ramp may be (the figure is about "
    "accessible routes). "
    "A note in every set.",
    limit="1 in 12",
    source="ADA Standards 405.2",
    mark="published",
    remedy="keep loads on wheels off it, or hold them by winch or tackle",
    each="sloping floor",
    look=_look_ramp,
)


def _look_step(scene: Scene, door: Door) -> Iterator[Finding]:
    shop, high = scene.shop, door.threshold_mm or 0.0
    own, rules = limits.known("step", "any"), limits.set_for(shop, "step")
    by = limits.known("step", rules) if rules else own
    if high < own.figure - TOLERANCE_MM:
        return
    beyond = high > by.figure + TOLERANCE_MM
    at_most = f", {mm(by.figure)} at most" if beyond and rules else ""
    yield STEP.breaks(
        by if beyond and rules else own, "note", (f"door:{door.key}",),
        f"the sill of {door.name} stands {mm(high)} high{at_most}: feet and wheels catch on it",
        room=door.room,
        at_mm=door.jambs[0], measured=high,
    )  # fmt: skip


STEP = Rule(
    key="step",
    title="A sill that feet and wheels catch on",
    text="From 6 mm on a sill is told in a note, with the published figure where it is higher than that.",
    limit="13 mm in 'us', 15 mm in 'uk'; told from 6 mm (own figure)",
    source="ADA Standards 404.2.5; Approved Document M",
    mark="from memory",
    remedy="a wedge on both sides, or paint its edge",
    each="sill",
    look=_look_step,
)


def _over(scene: Scene, fixture: Fixture) -> Iterator[Walkway]:
    for way in scene.shop.walkways.values():
        if fixture.room in (way.rooms or (fixture.room,)) and any(
            overlap(piece, fixture.outline) for piece in floor_of(way).pieces
        ):
            yield way


def _look_low(scene: Scene, fixture: Fixture) -> Iterator[Finding]:
    shop = scene.shop
    own = shop.limits.headroom_mm
    by = limits.known("low-head", "any")
    least = own if own is not None else by.figure
    for way in _over(scene, fixture):
        if fixture.base_mm < least - TOLERANCE_MM:
            low, wanted = mm_pair(fixture.base_mm, least)
            whose = "your own least" if own is not None else "pad and mark it below that"
            yield LOW.found(
                "correct" if own is not None else "note", (f"fixture:{fixture.key}", f"walkway:{way.key}"),
                f"{fixture.name} begins {low} above {way.name}, {wanted}: {whose}", room=fixture.room,
                at_mm=fixture.outline[0], measured=fixture.base_mm, limit=least, unit="mm",
                source="limits of the shop file" if own is not None else by.source,
            )  # fmt: skip
            return


LOW = Rule(
    key="low-head",
    title="Something low over a walkway",
    text="What hangs over any walkway is as high as `limits.headroom` (to fix); without it, below 1950 mm "
    "a note to pad "
    "and mark it. Exit routes have a check of their own.",
    limit="limits.headroom, else 1950 mm (own figure)",
    source="shop file; own figure",
    mark="own",
    remedy="hang it higher, or pad and mark it",
    each="fixture overhead",
    look=_look_low,
)


def _look_pit(scene: Scene, opening: Opening) -> Iterator[Finding]:
    shop, tag = scene.shop, f"opening:{opening.key}"
    if opening.kind == "drain" or opening.covered or opening.guarded:
        return
    if opening.covered is None:
        yield PIT.lacks(tag, opening.name, "word on a cover", "covered: yes or no", room=opening.room)
        return
    ways = [
        way
        for way in shop.walkways.values()
        if any(overlap(piece, opening.outline) for piece in floor_of(way).pieces)
    ]
    rules = limits.set_for(shop, "pit") or "us"
    deep = opening.depth_mm
    shallow, service = (limits.limit("pit", rules, of) for of in ("shallower than", "service pit to"))
    by = limits.known("pit", rules)
    more = ""
    if shallow is not None and deep is not None and deep < shallow.figure:
        yield PIT.breaks(
            shallow, "stop" if ways else "note", (tag, *(f"walkway:{way.key}" for way in ways[:1])),
            f"{opening.name} is open, {mm(deep)} deep: somebody may trip into it", room=opening.room,
            at_mm=opening.outline[0], measured=deep,
        )  # fmt: skip
        return
    if opening.kind == "pit" and service is not None and (deep is None or deep < service.figure):
        by = service
        more = (
            ". A repair, service or assembly pit needs no rail where only trained people come within 6 ft, "
        )
        more += "the floor is marked and signs are up"
        more += "" if deep is not None else f" (its depth is not told: to {mm(service.figure)})"
    where = f" in {ways[0].name}" if ways else ""
    subjects = (tag, *(f"walkway:{way.key}" for way in ways[:1]))
    yield PIT.breaks(
        by, "stop" if ways else "correct", subjects, f"{opening.name} is open{where}: somebody may fall "
            f"into it{more}",
        room=opening.room, at_mm=opening.outline[0], limit=None, unit="",
    )  # fmt: skip


PIT = Rule(
    key="pit",
    everywhere=True,
    title="An open pit or hatch",
    text="Pits and hatches (`openings`) are covered or guarded: open within a walkway a stop, elsewhere "
    "to fix. In 'us' one less than 4 ft (`depth`) is a note unless a walkway leads over it, and of a pit for "
    "repair or service under 10 ft its own rule is cited.",
    limit="a cover (`covered`) or a guard (`guarded`)",
    source="29 CFR 1910.28(b)(3), (b)(8); Workplace Regulations 1992 reg. 13; 89/654/EEC Annex I 12.5",
    mark="from memory",
    remedy="cover it or put a rail round it",
    each="pit",
    look=_look_pit,
)

RULES = (PIT, LOW, RAMP, STEP)
