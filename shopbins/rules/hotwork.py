"""Hot work: what burns near it, through openings and metal walls, and vapours in the same air."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.exact import gap, line_gap
from shopbins.geometry.shapes import Outline, bounds
from shopbins.rules import hazards, limits
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Advice, Placement, Rule
from shopbins.rules.say import TOLERANCE_MM, mm, mm_pair, unsure
from shopbins.rules.things import outline_of, unknown_words, warned
from shopbins.scene.doorway import doorway
from shopbins.scene.scene import Scene
from shopbins.shop.model import Fixture, Opening, Room, Shop, Wall, Zone


@dataclass(frozen=True, slots=True)
class Burning:
    """Something that burns where it stands: a thing with cautions, or a zone that has some."""

    tag: str
    name: str
    word: str
    room: str
    outline: Outline
    kind: str = ""

    @property
    def flares(self) -> bool:
        """Tell whether it may catch fire at a distance or go off: gas, thin liquids, explosives, metal."""
        return self.kind in FLARES


FLARES = ("explosive", "flammable gas", "aerosol", "liquid 1", "liquid 2", "solid")


def _worst(marks: Iterable[hazards.Hazard]) -> hazards.Hazard | None:
    """Return what burns, first what flares."""
    burning = [each for each in marks if each.burns]
    return min(
        burning,
        key=lambda each: FLARES.index(each.kind) if each.kind in FLARES else len(FLARES),
        default=None,
    )


def burning_in(scene: Scene, room: str) -> list[Burning]:
    """Return what burns in a room; what lies somewhere in a zone counts as taking all of it."""
    us, found = scene.shop.rules == "us", []
    for zone in scene.zones_in(room):
        mark = _worst(hazards.of(zone.cautions, us))
        if mark is not None:
            found.append(Burning(f"zone:{zone.key}", zone.name, mark.word, room, zone.outline, mark.kind))
        for group_id in scene.ids_in(zone, None):
            there = burning(scene, group_id, zone)
            if there is not None:
                found.append(there)
    return found


def burning(scene: Scene, group_id: str, zone: Zone) -> Burning | None:
    """Return a group in a zone as something that burns, for itself or for what is in or on it."""
    us = scene.shop.rules == "us"
    top, found = scene.group(group_id), None
    for each in (group_id, *scene.under(group_id)):
        group = scene.group(each)
        mark = _worst(hazards.of(group.cautions, us)) if group.cautions else None
        if mark is None or (found is not None and (found.flares or mark.kind not in FLARES)):
            continue
        name = top.shown if each == group_id else f"{top.shown} with {group.shown} in it"
        outline = outline_of(scene, zone, top)
        found = Burning(f"group:{top.code}", name, mark.word, zone.room, outline, mark.kind)
    return found


Hot = Room | Fixture


def _tag(hot: Hot) -> str:
    return f"room:{hot.key}" if isinstance(hot, Room) else f"fixture:{hot.key}"


def _name(hot: Hot) -> str:
    return f"the hot work in {hot.name}" if isinstance(hot, Room) else hot.name


def _room(hot: Hot) -> str:
    return hot.key if isinstance(hot, Room) else hot.room


# --- in the same room -------------------------------------------------------------------------------------


def _look_hot(scene: Scene, hot: Hot) -> Iterator[Finding]:
    near = [found for each in burning_in(scene, _room(hot)) if (found := _near(scene.shop, each, hot))]
    yield from near
    unknown = unknown_words(scene, _room(hot))
    if unknown:
        yield HOT.unjudged(
            (_tag(hot),), f"what burns near {_name(hot)} is not checked wholly: cautions in no list of "
            f"hazards: {unknown}", room=_room(hot), gap="words", remedy="see the note on hazard words",
        )  # fmt: skip
    elif not near and limits.set_for(scene.shop, "hot-work") is None:
        yield HOT.no_figure(
            scene.shop, _tag(hot), f"what burns near {_name(hot)}: nothing was found within 35 ft", [], mm,
            room=_room(hot),
        )  # fmt: skip


def _near(shop: Shop, each: Burning, hot: Hot) -> Finding | None:
    by = limits.known("hot-work", "us")
    far, least = gap(each.outline, hot.outline).apart_mm, by.figure
    if far >= least - TOLERANCE_MM:
        return None
    is_far, limit = mm_pair(far, least)
    more: dict[str, Any] = {
        "room": each.room,
        "at_mm": bounds(each.outline).middle,
        "measured": far,
    }
    what = f"{each.name}, marked '{each.word}', is {is_far} from {_name(hot)}"
    if limits.set_for(shop, "hot-work") is not None:
        text = f"{what}, {limit} is the published minimum unless moved, shielded or watched"
        return HOT.breaks(
            by, "correct", (each.tag, _tag(hot)), text + unsure(shop, far, least, "there"), **more
        )
    near = limits.known("hot-work", "any", "fuel beside a flame")
    if isinstance(hot, Fixture) and each.flares and far < near.figure - TOLERANCE_MM:
        is_far, limit = mm_pair(far, near.figure)
        text = f"{what} ({limit} needed: fuel beside a flame, own figure)"
        text += unsure(shop, far, near.figure, "there")
        more["remedy"] = "move it further off, or into another room"
        return HOT.breaks(near, "correct", (each.tag, _tag(hot)), text, **more)
    advice = [Advice(by, least, far)] if "us" in limits.advisers(shop, "hot-work") else []
    own = limits.limit("hot-work", shop.rules, "advice")
    if own is not None:
        advice.append(Advice(own, own.figure, far))
    return HOT.no_figure(shop, (each.tag, _tag(hot)), what, advice, mm, unit="mm", **more)


def _judge_hot(p: Placement) -> Iterator[Finding]:
    there = burning(p.scene, p.group.id, p.zone)
    if there is None:
        return
    for room in p.shop.rooms.values():
        if room.hot_work and room.key == p.zone.room:
            found = _near(p.shop, there, room)
            if found is not None:
                yield found
    for key in p.shop.fixtures:
        fixture = p.scene.fixture(key)
        if fixture is not None and fixture.hot and fixture.room == p.zone.room:
            found = _near(p.shop, there, fixture)
            if found is not None:
                yield found


WATCH = "move it or shield it; keep a fire watch during the work and for 30 min after (60 min by insurers)"

HOT = Rule(
    key="hot-work",
    everywhere=False,
    title="What burns near hot work",
    text="Whatever its cautions mark as burning, ordinary combustibles too, is 35 ft (10.668 m) from hot "
    "work and "
    "from a hot fixture, unless moved, shielded or watched; a place with cautions counts from its outline "
    "even when "
    "it is empty; walls count as shield. To fix in 'us', elsewhere advice; "
    "but explosives, fuel gas, liquids of category 1 and 2 and metal or solids that catch fire by themselves "
    "are to fix in every set within 3 m of a hot fixture (own figure).",
    limit="35 ft (10.668 m)",
    source="29 CFR 1910.252(a)(2)(vii)",
    mark="published",
    remedy=WATCH,
    each="hot place",
    look=_look_hot,
    judge=_judge_hot,
)

# --- through openings -------------------------------------------------------------------------------------

Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class _Gap:
    """An opening in a wall of a hot place's room: its lines through the wall, and the room behind it."""

    tag: str
    name: str
    lines: tuple[Line, ...]
    to: str


def _gaps(scene: Scene, room: str) -> Iterator[_Gap]:
    shop = scene.shop
    for door in shop.doors.values():
        if room not in (door.room, door.to) or door.kept_shut:
            continue
        way = doorway(door, shop)
        other = door.beyond(room)
        if way is not None and other in shop.rooms:
            ends = ((way.at(way.low_mm, v), way.at(way.high_mm, v)) for v in (0.0, way.through_mm))
            yield _Gap(f"door:{door.key}", door.name, tuple(ends), other)
    for opening in shop.openings.values():
        if opening.jambs is not None and opening.covered is not True and room in (opening.room, opening.to):
            behind = (opening.to or "") if opening.room == room else opening.room
            if behind in shop.rooms:
                yield _Gap(f"opening:{opening.key}", opening.name, (opening.jambs,), behind)


def _look_opening(scene: Scene, hot: Hot) -> Iterator[Finding]:
    shop, by = scene.shop, limits.known("hot-opening", "us")
    least = by.figure
    in_force = limits.set_for(shop, "hot-opening") is not None
    seen = False
    for each in _gaps(scene, _room(hot)):
        far = min(line_gap(hot.outline, line).distance_mm for line in each.lines)
        if far >= least - TOLERANCE_MM:
            continue
        exposed = [b for b in burning_in(scene, each.to) if _sees(hot.outline, each, b.outline, least)]
        more: dict[str, Any] = {"room": _room(hot), "at_mm": each.lines[0][0], "remedy": f"cover it; {WATCH}"}
        what = f"{each.name} is {mm(far)} from {_name(hot)}"
        for burns in exposed:
            text = f"{what}, and {burns.name}, marked '{burns.word}', is in line behind it"
            subjects = (each.tag, burns.tag, _tag(hot))
            if in_force:
                yield OPENING.breaks(by, "correct", subjects, text, measured=far, **more)
            else:
                yield OPENING.no_figure(shop, subjects, text, [Advice(by, least, far)], mm, unit="mm", **more)
        if not exposed and in_force:
            text = f"{what}: sparks may go through it, cover it or watch ({mm(least)} is the figure)"
            yield OPENING.breaks(by, "note", (each.tag, _tag(hot)), text, measured=far, **more)
        seen = True
    for opening in shop.openings.values():
        yield from _hatch(scene, hot, opening, least, in_force)
    if not in_force and not seen:
        yield OPENING.no_figure(shop, _tag(hot), f"openings near {_name(hot)}", [], mm, room=_room(hot))


def _sees(hot: Outline, through: _Gap, burns: Outline, least: float) -> bool:
    """Tell whether a straight line leads from the hot place through the opening to what burns, near enough.

    The straight lines between two convex outlines fill the hull of both: one goes through the opening just
    where that hull meets it.
    """
    both = convex_hull([*hot, *burns])
    if any(line_gap(both, line).distance_mm > 0.0 for line in through.lines):
        return False
    line = through.lines[0]
    there = line_gap(hot, line).distance_mm + line_gap(burns, line).distance_mm
    return there < least - TOLERANCE_MM


def _hatch(scene: Scene, hot: Hot, opening: Opening, least: float, in_force: bool) -> Iterator[Finding]:
    """Look at a hole in the floor near hot work, and at what burns in the room below."""
    shop, by = scene.shop, limits.known("hot-opening", "us")
    if not opening.outline or opening.room != _room(hot) or opening.covered:
        return
    far = gap(hot.outline, opening.outline).apart_mm
    if far >= least - TOLERANCE_MM or opening.to not in shop.rooms:
        return
    tag = f"opening:{opening.key}"
    more: dict[str, Any] = {"room": opening.room, "at_mm": bounds(opening.outline).middle}
    if opening.covered is None:
        yield OPENING.unjudged(
            (tag, _tag(hot)), f"{opening.name}, {mm(far)} from {_name(hot)}: whether it is covered is not "
            "said",
            remedy="write covered: yes or no", **more,
        )  # fmt: skip
        return
    for burns in burning_in(scene, opening.to or ""):
        if gap(hot.outline, burns.outline).distance_mm >= least - TOLERANCE_MM:
            continue
        text = f"{opening.name} is open {mm(far)} from {_name(hot)}, "
        text += f"and {burns.name}, marked '{burns.word}', is below"
        subjects = (tag, burns.tag, _tag(hot))
        if in_force:
            yield OPENING.breaks(by, "correct", subjects, text, measured=far, **more)
        else:
            advice = [Advice(by, least, far)]
            yield OPENING.no_figure(shop, subjects, text, advice, mm, unit="mm", **more)


OPENING = Rule(
    key="hot-opening",
    title="Openings near hot work",
    text="A doorway, window or hole within 35 ft of hot work is covered or watched where it exposes what "
    "burns: to "
    "fix where a straight line leads through it to such a thing, or where one lies below an open hatch; "
    "else a note. "
    "A door counts as a wall only where it is `kept: shut`.",
    limit="35 ft (10.668 m) in all",
    source="29 CFR 1910.252(a)(2)(i)",
    mark="published",
    remedy=WATCH,
    each="hot place",
    look=_look_opening,
)

# --- through metal, and vapours ---------------------------------------------------------------------------


def _metal(shop: Shop, room: str) -> Iterator[tuple[Wall, str]]:
    for wall in shop.walls.values():
        if wall.of == "metal" and room in wall.between:
            yield wall, wall.between[1] if wall.between[0] == room else wall.between[0]


def _look_through(scene: Scene, hot: Hot) -> Iterator[Finding]:
    by = limits.known("hot-through", "us", "behind a metal wall")
    room = scene.shop.rooms.get(_room(hot))
    if room is None or not any(True for _ in _metal(scene.shop, room.key)):
        return
    if limits.set_for(scene.shop, "hot-through") is None:
        yield THROUGH.no_figure(
            scene.shop, _tag(hot), f"the metal wall behind {_name(hot)}", [], mm, room=room.key
        )
        return
    for wall, other in _metal(scene.shop, room.key):
        for burns in burning_in(scene, other):
            far = gap(room.outline, burns.outline).apart_mm
            if far < by.figure:
                yield THROUGH.breaks(
                    by, "note", (burns.tag, _tag(hot)),
                    f"{burns.name}, marked '{burns.word}', is {mm(far)} behind the metal wall {wall.key} of "
                    f"{_name(hot)}: heat goes through", room=other, at_mm=bounds(burns.outline).middle,
                    measured=far,
                )  # fmt: skip


THROUGH = Rule(
    key="hot-through",
    title="What burns behind a metal wall of hot work",
    text="Heat goes through a metal partition (`walls`): what burns within 1 m behind it is watched or "
    "moved. A note.",
    limit="1 m behind the wall (own figure)",
    source="29 CFR 1910.252(a)(2)(iii)(A)(4); the metre is an own figure",
    mark="from memory",
    remedy=WATCH,
    each="hot place by a metal wall",
    look=_look_through,
)

CHLORINATED = (
    "chlorinated solvent", "tri", "perc", "trichloroethylene", "perchloroethylene", "dichloromethane",
    "methylene chloride",
)  # fmt: skip


def _look_vapour(scene: Scene, hot: Hot) -> Iterator[Finding]:
    shop = scene.shop
    rules = limits.set_for(shop, "hot-vapour") or "us"
    by = limits.known("hot-vapour", rules)
    for zone in scene.zones_in(_room(hot)):
        for _, _, group in warned(scene, zone):
            word = next((h.word for h in hazards.of(group.cautions) if h.word in CHLORINATED), None)
            if word is not None:
                yield VAPOUR.breaks(
                    by, "correct", (f"group:{group.code}", _tag(hot)),
                    f"{group.shown}, marked '{word}', is in one room with {_name(hot)}: its vapour turns "
                    "into poison at an arc or flame", room=zone.room, at_mm=bounds(zone.outline).middle,
                    limit=None, unit="",
                )  # fmt: skip


VAPOUR = Rule(
    key="hot-vapour",
    everywhere=True,
    title="Solvent vapour in the air of hot work",
    text="No chlorinated solvent is in the air of an arc or a flame, at whatever distance. To fix. Closed "
    "drums and "
    "tanks are cleaned before heat is put to them, which the program cannot see.",
    limit="another room",
    source="29 CFR 1910.252(a)(3), (c)(11)",
    mark="from memory",
    remedy="take it to another room before any arc or flame",
    each="hot place",
    look=_look_vapour,
)


def _look_watch(scene: Scene, hot: Hot) -> Iterator[Finding]:
    del scene
    yield FIRE_WATCH.unjudged(
        (_tag(hot),), f"whether anybody watches {_name(hot)} during and 30 min after is never checked",
        room=_room(hot), gap="keeps",
    )  # fmt: skip


FIRE_WATCH = Rule(
    key="fire-watch",
    title="The fire watch",
    text="Somebody watches during hot work and for 30 min after (60 min by insurers in 'uk'). Always said "
    "in the "
    "remedy, never checked.",
    limit="30 min",
    source="29 CFR 1910.252(a)(2)(iii)",
    mark="published",
    remedy=WATCH,
    each="hot place",
    look=_look_watch,
)

RULES = (HOT, OPENING, THROUGH, VAPOUR, FIRE_WATCH)
