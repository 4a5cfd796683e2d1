"""Keeping apart: dangerous classes, oxygen from what burns, and gas cylinders."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache

from shopbins.geometry.exact import gap, line_gap
from shopbins.geometry.shapes import Outline, bounds
from shopbins.ledger.model import Group
from shopbins.rules import hazards, limits
from shopbins.rules.finding import Finding
from shopbins.rules.limits import Limit
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import TOLERANCE_MM, mm, mm_pair, unsure
from shopbins.rules.things import outline_of, unknown_words, walk, warned
from shopbins.rules.ways import floor_of
from shopbins.scene.scene import Scene
from shopbins.shop.model import Fixture, Zone

# --- classes ----------------------------------------------------------------------------------------------

_COLUMNS = ("gas fl.", "liquid", "solid", "self-heat", "water", "oxidiser", "toxic", "corrosive")
_MATRIX = {
    "gas fl.": ". 2 1 2 . 2 . 1",
    "liquid": "2 . . 2 1 2 . .",
    "self-heat": "2 2 1 . 1 2 1 1",
    "oxidiser": "2 2 1 2 2 . 1 2",
    "explosive": "3 3 3 3 3 3 3 3",
}
"""How far apart classes are kept: 3 another room, 2 that or a closed cabinet of its own, 1 another zone and
3 m or a wall. Numbers: UN/IMDG general segregation table 7.2.4 (a ships' table); metres and rooms: own
reading."""

_COLUMN_OF = {
    "flammable gas": "gas fl.", "aerosol": "gas fl.", "liquid 1": "liquid", "liquid 2": "liquid",
    "liquid 3": "liquid", "liquid 4": "liquid", "solid": "solid", "self-heating": "self-heat",
    "with water": "water", "oxidiser": "oxidiser", "toxic": "toxic", "acid": "corrosive",
    "alkali": "corrosive", "corrosive": "corrosive", "explosive": "explosive",
}  # fmt: skip
_WORDS = (("acid", "alkali"), ("acid", "bleach"), ("cyanide", "acid"))
"""Beside the table: these never meet (common practice, no source)."""


@cache
def level_between(a: str, b: str) -> int:
    """Return 0 to 3 for two classes of the table."""
    for row, column in ((a, b), (b, a)):
        if row in _MATRIX and column in _COLUMNS:
            word = _MATRIX[row].split()[_COLUMNS.index(column)]
            if word != ".":
                return int(word)
    return 0


@dataclass(frozen=True, slots=True)
class Kept:
    """A dangerous thing: its zone, the outermost group it is in, itself, and where it is."""

    zone: Zone
    top: Group
    group: Group
    hazards: tuple[hazards.Hazard, ...]
    outline: Outline

    @property
    def tag(self) -> str:
        """Its subject."""
        return f"group:{self.group.code}"


def kept(scene: Scene, kind: str) -> list[Kept]:
    """Return things of a kind with where they are: as posed, else anywhere in their zone."""
    us, found = scene.shop.rules == "us", []
    for _, (zone, top, group) in walk(scene, kind):
        marks = hazards.of(group.cautions, us)
        found.append(Kept(zone, top, group, marks, outline_of(scene, zone, top)))
    return found


def _level(a: Kept, b: Kept) -> tuple[int, str, str]:
    """Return how far apart two things are to be, and the words that say so."""
    worst = (0, "", "")
    for first, second in itertools.product(a.hazards, b.hazards):
        level = 0
        if first.kind in _COLUMN_OF and second.kind in _COLUMN_OF:
            level = level_between(_COLUMN_OF[first.kind], _COLUMN_OF[second.kind])
        for x, y in _WORDS:
            for p, q in ((first, second), (second, first)):
                if (x in (p.kind, p.word) and y in (q.kind, *q.word.split())) or (
                    x == "acid"
                    and y == "bleach"
                    and p.kind == "acid"
                    and q.word in ("pool chlorine", "bleach powder")
                ):
                    level = 2
        if level > worst[0]:
            worst = (level, first.word, second.word)
    return worst


def _audit_apart(scene: Scene, _today: date) -> Iterator[Finding]:
    by = limits.known("apart", "any", "another zone")
    highest = limits.known("apart", "any", "explosives")
    rooms: dict[str, list[Kept]] = {}
    for each in kept(scene, "dangerous part"):
        rooms.setdefault(each.zone.room, []).append(each)
    for room, there in rooms.items():
        there.sort(key=lambda each: each.group.code)  # the same finding whatever came first
        for a, b in itertools.combinations(there, 2):
            level, first, second = _level(a, b)
            if not level:
                continue
            if level < 3 and not hazards.FEEDS.isdisjoint((first, second)):
                continue  # oxygen has a check of its own
            same = a.top.id == b.top.id
            own_cabinet = a.zone.key != b.zone.key and (_shut_away(a) or _shut_away(b)) and level < 3
            names = f"{a.group.shown} ('{first}') and {b.group.shown} ('{second}')"
            if level >= 2 or same:
                if not own_cabinet:
                    where = f"are kept in one {a.top.container}" if same else "are in one room"
                    yield APART.breaks(
                        highest if level == 3 else by, "correct", (a.tag, b.tag), f"{names} {where}",
                        room=room, limit=None, unit="", remedy=_where_to(a, b, level),
                    )  # fmt: skip
                continue
            far = gap(a.outline, b.outline).apart_mm
            if a.zone.key == b.zone.key or far < by.figure - TOLERANCE_MM:
                is_far, wanted = mm_pair(far, by.figure)
                yield APART.breaks(
                    by, "note", (a.tag, b.tag), f"{names} are {is_far} apart, {wanted} and another place "
                        f"wanted",
                    room=room, measured=far, remedy="another place 3 m away, or a wall between",
                )  # fmt: skip
        unknown = unknown_words(scene, room)
        if unknown:
            yield _unknown_beside(APART, f"room:{room}", "what is kept apart", room, unknown)


def _gas(each: Kept) -> bool:
    """Tell whether it is a bottle of gas, which no closed cabinet is for."""
    return any(h.kind in ("flammable gas", "gas") or h.word in hazards.FEEDS for h in each.hazards)


def _shut_away(each: Kept) -> bool:
    return each.zone.cabinet and not _gas(each)


def _where_to(a: Kept, b: Kept, level: int) -> str:
    if level == 3:
        return "another room for what may explode, of which its licence and local rules tell more"
    if _gas(a) and _gas(b):
        return "another room, or outside"
    if _gas(a) or _gas(b):
        other = b if _gas(a) else a
        return f"another room, or a closed cabinet for {other.group.shown}, never the gas"
    return "another room, or a closed cabinet of its own for one of them"


def _unknown_beside(rule: Rule, tag: str, what: str, room: str, unknown: int) -> Finding:
    """Return that a caution in the same room is in no list, so that nothing is known of it."""
    return rule.unjudged(
        (tag,), f"{what} is not checked wholly: cautions in no list of hazards: {unknown}",
        room=room, gap="words", remedy="see the note on hazard words",
    )  # fmt: skip


APART = Rule(
    key="apart",
    title="What is kept apart",
    text="Classes of dangerous things are kept apart by the segregation table: 2 is another room or a "
    "closed cabinet "
    "of its own (to fix), 1 another place 3 m away or a wall (a note). In one container or tub the higher "
    "counts. "
    "Acid with alkali or bleach, cyanide with acid: 2. Explosives and every other class: another room, no "
    "cabinet will do; which explosives agree with each other is not looked at. No bottle of gas goes into a "
    "closed cabinet. In every set.",
    limit="another room, or 3 m",
    source="UN/IMDG general segregation table, 7.2.4; metres and rooms: own reading",
    mark="published",
    remedy="keep them apart",
    audit=_audit_apart,
    each="dangerous part",
)

# --- oxygen -----------------------------------------------------------------------------------------------


def _burns(each: Kept) -> str | None:
    return next((h.word for h in each.hazards if h.burns), None)


def _lights(each: Kept) -> bool:
    """Tell whether oxygen lights it easily: oil and grease, and what burns but for ordinary combustibles."""
    return any((h.burns and h.kind != "combustible") or h.word in hazards.GREASE for h in each.hazards)


def _burning(scene: Scene, room: str) -> list[Kept]:
    us, found = scene.shop.rules == "us", []
    for zone in scene.zones_in(room):
        for _, group, inner in warned(scene, zone):
            marks = hazards.of(inner.cautions, us)
            if any(h.burns for h in marks):
                found.append(Kept(zone, group, inner, marks, outline_of(scene, zone, group)))
    return found


def _barrier(scene: Scene, a: Kept, b: Kept, high: float) -> bool:
    """Tell whether a fire barrier high enough stands between two things, across the line between them."""
    line = tuple(bounds(each.outline).middle for each in (a, b))
    for key in scene.shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is None or not fixture.fire_barrier or fixture.room != a.zone.room:
            continue
        tall = fixture.base_mm <= 0 and (fixture.top_mm is None or fixture.top_mm >= high - TOLERANCE_MM)
        if tall and line_gap(fixture.outline, (line[0], line[1])).distance_mm <= 0:
            return True
    return False


def _audit_oxygen(scene: Scene, _today: date) -> Iterator[Finding]:
    shop = scene.shop
    rules = limits.set_for(shop, "oxygen")
    for oxygen in kept(scene, "oxygen"):
        tag = oxygen.tag
        near = lit = None
        own = limits.known("oxygen", "any")
        in_use = bool(oxygen.group.details.get("in use"))
        for other in _burning(scene, oxygen.zone.room):
            if other.group.id == oxygen.group.id:
                continue
            if in_use and (other.group.details.get("in use") or not _lights(other)):
                continue
            far = gap(oxygen.outline, other.outline).apart_mm
            if _barrier(scene, oxygen, other, limits.figure("oxygen", "us", "barrier")):
                continue
            if near is None or far < near[0]:
                near = far, other
            if _lights(other) and (lit is None or far < lit[0]):
                lit = far, other
        unknown = unknown_words(scene, oxygen.zone.room)
        if (rules is None or in_use) and lit is not None and lit[0] < own.figure - TOLERANCE_MM:
            is_far, least = mm_pair(lit[0], own.figure)
            yield OXYGEN.breaks(
                own, "correct", (tag, lit[1].tag),
                f"{oxygen.group.shown} is {is_far} from {lit[1].group.shown}, marked '{_burns(lit[1])}' "
                f"({least} needed: own figure){unsure(shop, lit[0], own.figure, 'there')}",
                room=oxygen.zone.room, measured=lit[0],
            )  # fmt: skip
            continue
        if unknown and rules is not None:
            yield _unknown_beside(
                OXYGEN, tag, f"what is near {oxygen.group.shown}", oxygen.zone.room, unknown
            )
        if in_use:
            continue
        if rules is None:
            advice = []
            if near is not None:
                advice = [
                    Advice(by, by.figure, near[0])
                    for other_set in limits.advisers(shop, "oxygen")
                    if (by := limits.limit("oxygen", other_set)) is not None
                ]
            name = f"oxygen in {oxygen.group.shown}"
            name += "" if near is None else f", {mm(near[0])} from {near[1].group.shown}"
            yield OXYGEN.no_figure(shop, tag, name, advice, mm, room=oxygen.zone.room, unit="mm")
            continue
        by = limits.known("oxygen", rules)
        if near is None or near[0] >= by.figure - TOLERANCE_MM:
            continue
        far, other = near
        is_far, least = mm_pair(far, by.figure)
        high = f" {mm(limits.figure('oxygen', 'us', 'barrier'))} high"
        yield OXYGEN.breaks(
            by, "correct", (tag, other.tag),
            f"{oxygen.group.shown} is {is_far} from {other.group.shown}, marked '{_burns(other)}', "
            f"{least} is the "
            f"published minimum without a barrier{high}{unsure(shop, far, by.figure, 'there')}",
            room=oxygen.zone.room, measured=far,
        )  # fmt: skip


OXYGEN = Rule(
    key="oxygen",
    everywhere=False,
    title="Oxygen near what burns",
    text="Stored oxygen is 20 ft (6096 mm) in 'us', 3 m in 'uk', from fuel gas, oil, grease and what "
    "burns, or behind "
    "a fire barrier (`fire barrier: yes`) 1524 mm high; other gases that feed a fire (nitrous oxide, H270) "
    "likewise. Oxygen `in use` is not in storage. Where the set has no figure, and for oxygen in use, 3 m "
    "from oil, grease and all that burns but ordinary combustibles and gas in use (own figure). To fix.",
    limit="6096 mm, or a barrier 1524 mm high; 3 m in 'uk'",
    source="29 CFR 1910.253(b)(4)(iii); OSHA letter of 8 July 1999; BCGA CP 44",
    mark="published",
    remedy="move one of them, or put a fire-resisting barrier between",
    audit=_audit_oxygen,
    each="oxygen",
)

# --- cylinders --------------------------------------------------------------------------------------------


def _look_cylinder(scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    zone, top, group = thing
    shop, tag, details = scene.shop, f"group:{group.code}", group.details
    rules = limits.set_for(shop, "cylinder")
    acetylene = any(h.word == "acetylene" for h in hazards.of(group.cautions))
    liquefied = any(h.word in hazards.LIQUEFIED for h in hazards.of(group.cautions))
    spray = any(h.kind == "aerosol" for h in hazards.of(group.cautions))
    if spray:
        return
    wrong: list[str] = []
    lacking: list[str] = []
    if details.get("upright") is False or details.get("stands") == "lying":
        wrong.append("upright")
    elif details.get("upright") is None and (acetylene or liquefied):
        lacking.append("upright")
    for name in ("chained", "cap") if rules == "us" else ("chained",):
        if name == "cap" and details.get("in use"):
            continue
        if details.get(name) is None:
            lacking.append(name)
        elif not details[name]:
            wrong.append(name)
    words = {
        "upright": "lies: stand it up" + (", and wait before it is used" if acetylene else ""),
        "chained": "is not secured: it may be knocked over and its valve break off",
        "cap": "has no cap on its valve",
    }
    if wrong:
        by = _how(wrong[0], acetylene)
        if rules == "uk":
            by = limits.known("cylinder", "uk")
        elif len(wrong) > 1:
            of = [each for word in wrong if (each := _how(word, acetylene)).document]
            by = of[0]._replace(clause=", ".join(each.clause for each in of)) if of else by
        text = f"{group.shown} {' and '.join(words[each] for each in wrong)}"
        more = {"upright": "stand it up", "chained": "secure it", "cap": "put the cap on"}
        yield CYLINDER.breaks(
            by,
            "correct" if rules or wrong != ["cap"] else "note",
            (tag,),
            text,
            room=zone.room,
            limit=None,
            unit="",
            remedy=" and ".join(more[each] for each in wrong),
        )
    if lacking:
        write = "; ".join(f"--detail '{each}=yes'" for each in lacking)
        yield CYLINDER.lacks(
            tag,
            group.shown,
            f"word on {' and '.join(lacking)}",
            f"shopbins set {group.code} {write}",
            room=zone.room,
        )
    yield from _by_a_way(scene, zone, top, group)
    yield from _by_heat(scene, zone, top, group)
    yield from _in_a_cabinet(scene, zone, group)
    if rules == "us" and not details.get("in use"):
        yield from _by_what_burns(scene, zone, top, group)
        unknown = 0 if lacking else unknown_words(scene, zone.room)
        if unknown:
            yield _unknown_beside(CYLINDER, tag, f"what is near {group.shown}", zone.room, unknown)


def _how(wrong: str, acetylene: bool) -> Limit:
    """Return the figure for how a cylinder stands; upright is published for acetylene only."""
    if wrong == "upright" and not acetylene:
        return limits.known("cylinder", "any", "upright")
    return limits.known("cylinder", "us", {"upright": "acetylene"}.get(wrong, wrong))


def _own_or_us(scene: Scene, of: str) -> Limit:
    return limits.known("cylinder", "us" if scene.shop.rules == "us" else "any", of)


def _by_heat(scene: Scene, zone: Zone, top: Group, group: Group) -> Iterator[Finding]:
    """Look at hot fixtures near a cylinder; fuel gas beside a flame is looked at as hot work."""
    by, body = _own_or_us(scene, "heat"), scene.body(top.id)
    outline = outline_of(scene, zone, top)
    if any(h.kind == "flammable gas" for h in hazards.of(group.cautions)):
        return
    for _, hot in walk(scene, "hot place"):
        if not isinstance(hot, Fixture) or hot.room != zone.room:
            continue
        far = gap(outline, hot.outline).apart_mm
        if far < by.figure - TOLERANCE_MM:
            is_far, wanted = mm_pair(far, by.figure)
            yield CYLINDER.breaks(
                by, "correct", (f"group:{group.code}", f"fixture:{hot.key}"),
                f"{group.shown}, a gas under pressure, is {is_far} from {hot.name} ({wanted} needed, own "
                f"figure){unsure(scene.shop, far, by.figure, 'there')}", room=zone.room,
                at_mm=None if body is None else body.centre, measured=far,
                remedy="move it away from the heat",
            )  # fmt: skip


def _in_a_cabinet(scene: Scene, zone: Zone, group: Group) -> Iterator[Finding]:
    by = _own_or_us(scene, "cabinet")
    if not zone.cabinet:
        return
    fuel = any(h.kind == "flammable gas" for h in hazards.of(group.cautions))
    yield CYLINDER.breaks(
        by, "correct" if fuel or scene.shop.rules == "us" else "note",
        (f"group:{group.code}", f"zone:{zone.key}"),
        f"{group.shown}, a gas, is in the closed cabinet {zone.name}: what leaks out gathers there",
        room=zone.room, limit=None, unit="", remedy="keep it in the open air, or where air goes through",
    )  # fmt: skip


HIGHLY = hazards.GREASE | {"excelsior", "rag", "straw", "hay"}
"""Words of what is highly combustible, 'such as oil or excelsior' (29 CFR 1910.253(b)(2)(ii))."""


def _by_what_burns(scene: Scene, zone: Zone, top: Group, group: Group) -> Iterator[Finding]:
    by, outline = limits.known("cylinder", "us", "from what burns"), outline_of(scene, zone, top)
    if any(h.word in hazards.FEEDS for h in hazards.of(group.cautions)):
        return  # oxygen has a check of its own
    near = [
        (gap(outline, other.outline).apart_mm, other.group.code, word, other)
        for other in _burning(scene, zone.room)
        if (word := next((h.word for h in other.hazards if h.word in HIGHLY), None)) is not None
    ]
    near = [each for each in near if each[0] < by.figure - TOLERANCE_MM]
    if near:
        far, _, word, other = min(near, key=lambda each: each[:2])
        is_far, wanted = mm_pair(far, by.figure)
        more = f", {len(near) - 1} more such too" if len(near) > 1 else ""
        yield CYLINDER.breaks(
                by, "correct", (f"group:{group.code}", other.tag),
                f"{group.shown} is {is_far} from {other.group.shown}, marked '{word}' ({wanted} needed)"
                f"{more}",
                room=zone.room, measured=far, remedy="move one of them",
            )  # fmt: skip


def _by_a_way(scene: Scene, zone: Zone, top: Group, group: Group) -> Iterator[Finding]:
    body, by = scene.body(top.id), limits.known("cylinder", "any", "from a way")
    if body is None:
        return
    for way in scene.shop.walkways.values():
        far = min(gap(body.outline, piece).distance_mm for piece in floor_of(way).pieces)
        if 0 <= far < by.figure and zone.room in (way.rooms or (zone.room,)):
            yield CYLINDER.breaks(
                by, "note", (f"group:{group.code}", f"walkway:{way.key}"),
                f"{group.shown} is {mm(far)} from {way.name}", room=zone.room, at_mm=body.centre,
                measured=far, remedy="keep it 1 m from ways",
            )  # fmt: skip


CYLINDER = Rule(
    key="cylinder",
    title="How a gas cylinder stands",
    text="Acetylene stands valve end up, every cylinder is secured against falling, in 'us' with its cap "
    "on while it "
    "is not in use: said with `upright`, `chained`, `cap`, `in use`. What is told as no is to fix, what "
    "is not told "
    "not checked. In 'us' one in storage is 20 ft (6096 mm) from oil, oily rags, excelsior: to fix. 3 m from "
    "a hot fixture (own figure), fuel gas as said under hot work: to fix in every set; where hot work moves "
    "about in a room is not looked at. In a closed cabinet for flammables: to fix in 'us' and for fuel gas, "
    "else a note. Within 1 m of a walkway: a note.",
    limit="upright, secured, cap on; 3 m from heat, 1 m from ways (own figures); in no closed cabinet",
    source="29 CFR 1910.253(b)(2), (b)(3)(ii)",
    mark="published",
    remedy="stand it up and chain it",
    each="cylinder",
    look=_look_cylinder,
)

RULES = (APART, OXYGEN, CYLINDER)
