"""What the floor bears: each thing under its outline and on its feet, and all of a room together.

What stands on a floor bears on it with all that is in and on it: a part, a bench or rack with its contents,
a fixture.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from shopbins.geometry.shapes import Box, Point, bounds, centroid, placed, signed_area_mm2
from shopbins.ledger.model import Group, InZone
from shopbins.records.moving import Moving, moving_of
from shopbins.rules import limits
from shopbins.rules.covers import OnCover, bears_kn, covers_in, stood_on
from shopbins.rules.finding import Finding, Gap
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import kg, told_apart
from shopbins.rules.supports import Support, stand
from shopbins.rules.things import MOST_SUPPORTS, on_floor, points_under, stands
from shopbins.scene.contents import Share, area_of
from shopbins.scene.frames import to_shop
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import Fixture, Room, Zone
from shopbins.units import GRAVITY_M_S2, counted, show_area_load, show_force

M2 = 1e6


@dataclass(frozen=True, slots=True)
class Bearer:
    """What bears on a floor: how much is known of its weight, on what area and on how many feet.

    `lacks` says what is not weighed ('' where all is), `most_kg` what it cannot exceed even so (None: not
    known). `feet` is 0 where the weight is spread; `box` is where it stands, None where that is not known.
    `shares` are of the whole what its heaviest foot surely bears and what it may bear, where its feet and
    its centre of gravity are told.
    """

    tag: str
    name: str
    room: Room
    area_mm2: float | None
    known_kg: float
    lacks: str = ""
    write: str = ""
    most_kg: float | None = None
    feet: int = 0
    box: Box | None = None
    own: bool = False
    shares: tuple[float, float] | None = None

    @property
    def known_kn(self) -> float:
        """The weight of what was weighed."""
        return weight_kn(self.known_kg)

    @property
    def at_mm(self) -> tuple[float, float] | None:
        """Where to look."""
        box = self.box
        return None if box is None else box.middle


def weight_kn(mass_kg: float) -> float:
    """Return the weight of a mass (standard gravity 9.80665 m/s2)."""
    return mass_kg * GRAVITY_M_S2 / 1000.0


def area_load_kn_m2(mass_kg: float, area_mm2: float) -> float:
    """Return the mean load under a footprint (standard gravity 9.80665 m/s2)."""
    return weight_kn(mass_kg) / (area_mm2 / M2)


def bearer(scene: Scene, thing: Group | Zone | Fixture, zone: Zone | None = None) -> Bearer | None:
    """Return what stands there as what bears on its room's floor; None where the room is not known."""
    if isinstance(thing, Group):
        room = None if zone is None else scene.shop.rooms.get(zone.room)
        return None if room is None else _group(scene, thing, room)
    room = scene.shop.rooms.get(thing.room)
    if room is None:
        return None
    area, box = abs(signed_area_mm2(thing.outline)), bounds(thing.outline)
    own, write = thing.mass_kg, f"mass: 80 kg at {thing.key}"
    if isinstance(thing, Fixture):
        lacks = "has no mass" if own is None else ""
        return Bearer(
            f"fixture:{thing.key}", thing.name, room, area, own or 0.0, lacks, write, None, MOST_SUPPORTS,
            box, True,
        )  # fmt: skip
    contents = scene.contents(thing.key)
    lacks = "has no mass of its own" if own is None else ""
    if contents.unweighed:
        lacks, write = f"holds {contents.unweighed} not weighed", "their masses, largest first"
    return Bearer(
        f"zone:{thing.key}", thing.name, room, area, contents.load_kg + (own or 0.0), lacks, write, None,
        _feet(thing), box, True,
    )  # fmt: skip


def _feet(zone: Zone) -> int:
    """Return how many feet a bench or rack has: a pair at least every so far along it (own figure)."""
    x0, y0, x1, y1 = bounds(zone.outline)
    long = zone.size_mm[0] if zone.size_mm is not None else max(x1 - x0, y1 - y0)
    return max(MOST_SUPPORTS, 2 * (1 + math.ceil(long / limits.figure("point-load", "any", "bay"))))


def _group(scene: Scene, group: Group, room: Room) -> Bearer:
    share, area = scene.share(group.id), area_of(group)
    lacks, write, most = "", "", None
    if share.unweighed:
        lacks = "is not weighed" if not share.nested else f"has {share.unweighed} in or on it not weighed"
        write = f"its mass: shopbins set {group.code} --mass 80kg"
        if area is not None and share.height_mm is not None:
            steel = limits.figure("floor-load", "any", "solid steel")
            most = max(share.mass_kg, area * share.height_mm * 1e-9 * steel)
    body = scene.body(group.id)
    told = moving_of(group)
    box = None if body is None else body.box
    return Bearer(
        f"group:{group.code}", group.shown, room, area, share.mass_kg, lacks, write, most,
        points_under(group), box,
        shares=_on_feet(scene, group, told, share),
    )  # fmt: skip


def _on_feet(scene: Scene, group: Group, told: Moving, share: Share) -> tuple[float, float] | None:
    """Return what the heaviest foot bears of the whole where all feet carry alike, and what it may bear.

    Three feet bear exactly; of more, three may carry while the others only touch. None where the feet or the
    centre of gravity of all that is on it are not told.
    """
    at = _weight_at(scene, group, told, share) if len(told.feet) >= 3 else None
    return None if at is None else stand([Support(p.x_mm, p.y_mm) for p in told.feet], at).heaviest


def _weight_at(scene: Scene, group: Group, told: Moving, share: Share) -> Point | None:
    """Return where the weight falls: sum(m r) / sum(m) over the thing and every part that is on it."""
    if told.cg_mm is None or share.unweighed or share.mass_kg <= 0:
        return None
    parts, nested = list[tuple[float, Point]](), 0
    for part in told.comes_off:
        mass = part.mass
        if part.group:
            it = scene.part_on(part.group, group.id)
            if it is None:
                continue
            mass, nested = it.mass, nested + 1
        elif part.off:
            continue
        if mass is None:
            return None
        parts.append((mass.kg, centroid(part.outline)))
    if share.nested > nested:
        return None  # what else lies in or on it may lie anywhere
    own = max(0.0, share.mass_kg - math.fsum(kg for kg, _ in parts))
    every = [(own, told.cg_mm), *parts]
    whole = math.fsum(kg for kg, _ in every)
    return math.fsum(kg * p[0] for kg, p in every) / whole, math.fsum(kg * p[1] for kg, p in every) / whole


# --- per area -----------------------------------------------------------------------------------------------


def _presses(scene: Scene, it: Bearer, mass_kg: float, limit: float) -> tuple[float, str]:
    """Return the load per area that counts, and over what: the outline, or 1 m2 of a small light thing.

    What is small and within the point load is spread by the floor; with it counts what stands around it.
    """
    assert it.area_mm2
    load = area_load_kn_m2(mass_kg, it.area_mm2)
    if load <= limit or it.area_mm2 >= limits.figure("floor-load", "any", "small") * M2:
        return load, "under its outline"
    if weight_kn(mass_kg) > _light(it.room):
        return load, "under its outline"
    return weight_kn(mass_kg) + _around(scene, it), "as a mean over 1 m2 around it"


def _light(room: Room) -> float:
    """Return the weight (kN) a floor takes wherever it stands: its point load, else an own figure."""
    return limits.figure("floor-load", "any", "light") if room.point_load_kn is None else room.point_load_kn


def _around(scene: Scene, it: Bearer) -> float:
    """Return the mean load of what else stands in the square metre around a small thing."""
    if it.box is None:
        return 0.0
    x, y = it.box.middle
    a, b = max(1000.0, it.box.wide_mm) / 2, max(1000.0, it.box.deep_mm) / 2
    window, total = Box(x - a, y - b, x + a, y + b), 0.0
    for body in scene.near(it.room.key, window):
        if body.tag == it.tag:
            continue
        other = _of_body(scene, body)
        if other is not None and other.area_mm2:
            total += other.known_kn * _shared(body.box, window)
    return total / (4 * a * b / M2)


def _shared(box: Box, window: Box) -> float:
    """Return the share of a box that lies in a window."""
    along = min(box.right, window.right) - max(box.left, window.left)
    across = min(box.top, window.top) - max(box.bottom, window.bottom)
    return max(0.0, along) * max(0.0, across) / (box.wide_mm * box.deep_mm)


def _is_floor(zone: Zone) -> bool:
    return zone.kind in ("floor", "room")


def _of_body(scene: Scene, body: Standing) -> Bearer | None:
    """Return a body that stands on the floor as what bears on it."""
    if body.kind == "group":
        zone = scene.zone(body.zone or "")
        if zone is None or not _is_floor(zone):
            return None
        return bearer(scene, scene.group(body.key), zone)
    thing = scene.fixture(body.key) if body.kind == "fixture" else scene.zone(body.key)
    return None if thing is None or not stands(thing) else bearer(scene, thing)


def _look_floor(scene: Scene, thing: tuple[Zone, Group] | Zone | Fixture) -> Iterator[Finding]:
    it = _told(scene, thing)
    yield from _floor(scene, it)
    yield from _on_covers(scene, it, thing[1] if isinstance(thing, tuple) else thing)


def _told(scene: Scene, thing: tuple[Zone, Group] | Zone | Fixture) -> Bearer | None:
    return bearer(scene, thing[1], thing[0]) if isinstance(thing, tuple) else bearer(scene, thing)


def _placed(p: Placement) -> Bearer | None:
    """Return what bears on the floor once the thing lies there: itself, or the bench or rack it lies on."""
    if _is_floor(p.zone):
        return bearer(p.scene, p.group, p.zone)
    return bearer(p.scene, p.zone) if stands(p.zone) else None


def _judge_floor(p: Placement) -> Iterator[Finding]:
    yield from _told_at_once(_floor(p.scene, _placed(p)))
    yield from _told_at_once(_on_covers(p.scene, _placed(p), p.group if _is_floor(p.zone) else p.zone))
    if p.body is None or not _is_floor(p.zone):
        return
    for body in p.scene.near(p.body.room, p.body.box.grown(500.0)):
        if body.tag != p.body.tag:
            yield from (f for f in _floor(p.scene, _of_body(p.scene, body)) if f.grade == "stop")


def _stand_floor(scene: Scene, body: Standing) -> Iterator[Finding]:
    if body.kind != "group":
        it = _of_body(scene, body)
        yield from _told_at_once(_floor(scene, it))
        thing = scene.fixture(body.key) if body.kind == "fixture" else scene.zone(body.key)
        yield from _told_at_once(_on_covers(scene, it, thing))


def _told_at_once(found: Iterable[Finding]) -> Iterator[Finding]:
    """Leave to the audit what need not be asked while something is put down."""
    yield from (each for each in found if each.gap != "keeps")


def _floor(scene: Scene, it: Bearer | None) -> Iterator[Finding]:
    if it is None:
        return
    limit = it.room.floor_load_kn_m2
    if limit is None:
        yield _no_limit(it)
        return
    if not it.area_mm2:
        if it.known_kg or it.lacks:
            yield _not_told(
                FLOOR, it, "has no size", f"its size: {it.write or 'shopbins set ... --size'}", "keeps"
            )
        return
    measured, over = _presses(scene, it, it.known_kg, limit)
    if measured <= limit * (1 + 1e-9):
        if it.lacks and not (
            it.most_kg is not None and _presses(scene, it, it.most_kg, limit)[0] <= limit * (1 + 1e-9)
        ):
            yield _not_told(FLOOR, it, it.lacks, it.write, _matters(it, measured > limit / 2))
        return
    more = f" (it {it.lacks})" if it.lacks else ""
    presses, allowed = told_apart(measured, limit, show_area_load, "kN/m2")
    spread = it.known_kn / limit
    own = " with all on it" if it.tag.startswith("zone:") else ""
    yield FLOOR.found(
        "stop",
        (it.tag, f"room:{it.room.key}"),
        f"{it.name}{own}, {kg(it.known_kg)}{more}, presses {presses} on the floor of {it.room.name} {over}, "
        f"{allowed} allowed",
        room=it.room.key,
        at_mm=it.at_mm,
        measured=measured,
        limit=limit,
        unit="kN/m2",
        remedy=f"spread it over at least {spread:.2f} m2 with bearers or plates, or stand it elsewhere",
    )


def _matters(it: Bearer, near: bool) -> Gap:
    """Say whether an unknown is asked for by name, or only kept in the coverage."""
    heavy = limits.figure("floor-load", "any", "asked from")
    if it.own:
        return "missing" if near or it.known_kg >= heavy else "keeps"
    could = it.most_kg is not None and it.most_kg >= limits.figure(
        "floor-load", "any", "asked from, unweighed"
    )
    return "missing" if could or it.known_kg >= heavy else "keeps"


def _weighs(it: Bearer) -> str:
    """Say what is known of a weight, and what is not."""
    lacks = it.lacks.removeprefix("is ")
    return ", ".join(each for each in (kg(it.known_kg) if it.known_kg else "", lacks) if each)


def _no_limit(it: Bearer) -> Finding:
    weighs, presses = _weighs(it), ""
    if it.area_mm2 and it.known_kg:
        presses = f" presses {show_area_load(area_load_kn_m2(it.known_kg, it.area_mm2))} under its outline"
    what = f"{it.name}, {weighs},{presses}" if presses else f"{it.name}, {weighs}"
    text = f"{it.room.name} has no floor load, so not checked: {what}"
    heavy = _matters(it, False) == "missing"
    if heavy:
        advice = [by for other in ("us", "eu") if (by := limits.limit("floor-load", other, "advice"))]
        told = (f"{by.set} {show_area_load(by.figure)} ({by.source})" for by in advice)
        text += f". Light storage is built for about {' or '.join(told)}, both from memory"
    return FLOOR.unjudged(
        (it.tag, f"room:{it.room.key}"), text, room=it.room.key, at_mm=it.at_mm, unit="kN/m2",
        gap="missing" if heavy else "keeps",
        remedy=f"write floor load: 5 kN/m2 at {it.room.key}, from the plans or an engineer",
    )  # fmt: skip


def _not_told(rule: Rule, it: Bearer, lacks: str, write: str, gap: Gap) -> Finding:
    what = "its feet do" if rule is POINT else "it does"
    text = f"{it.name} {lacks}, so what {what} to the floor of {it.room.name} is not checked"
    if it.known_kg:
        text += f": at least {kg(it.known_kg)}"
    return rule.unjudged(
        (it.tag, f"room:{it.room.key}"), text, room=it.room.key, at_mm=it.at_mm, gap=gap,
        remedy=f"write {write}",
    )  # fmt: skip


def _on_covers(scene: Scene, it: Bearer | None, thing: Group | Zone | Fixture | None) -> Iterator[Finding]:
    """Compare what of a thing stands on the covers in a floor with what they take."""
    if it is None or thing is None or not (it.known_kg or it.lacks):
        return
    covers = [cover for cover in covers_in(scene.shop) if cover.subject != it.tag]
    if not covers:
        return
    feet: list[tuple[Point, float]] = []
    cg = None
    if isinstance(thing, Group):
        body, where = scene.body(thing.id), thing.where
        zone = scene.zone(where.zone) if isinstance(where, InZone) else None
        if body is None or zone is None or where.x_mm is None or where.y_mm is None:  # type: ignore[union-attr]
            return
        outline, told = body.outline, moving_of(thing)
        pose = to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)  # type: ignore[union-attr]
        points = placed(tuple((p.x_mm, p.y_mm) for p in told.feet), pose)
        pads = (max(p.pad_mm or (0.0, 0.0)) / 2 for p in told.feet)
        feet = list(zip(points, pads, strict=True))
        at = _weight_at(scene, thing, told, scene.share(thing.id))
        cg = None if at is None else placed((at,), pose)[0]
    else:
        outline = thing.outline
    for found in stood_on(covers, outline, feet, cg):
        yield from _on_cover(scene, it, found)


def _on_cover(scene: Scene, it: Bearer, found: OnCover) -> Iterator[Finding]:
    cover, weight = found.cover, it.known_kn
    gap: Gap
    more: dict[str, Any] = {"room": it.room.key, "at_mm": it.at_mm, "unit": "kN"}
    subjects, stands = (it.tag, cover.subject), f"{it.name}, {_weighs(it)}, stands on {cover.name}"
    stands += f" with {found.what}"
    takes = bears_kn(cover, scene.shop.limits.moving["cover of test"])
    if takes is None:
        if it.lacks or weight > _light(it.room):
            gap = "missing" if it.lacks or _matters(it, False) == "missing" else "keeps"
            text = f"{stands}: what it takes is not told, so not checked"
            yield FLOOR.unjudged(subjects, text, gap=gap, remedy=f"write {cover.asked}", **more)
        return
    counts, limit = takes
    least, most = found.least * weight, found.most * weight
    if least > limit * (1 + 1e-9) or most > counts * (1 + 1e-9):
        over = least > limit * (1 + 1e-9)
        kn = least if over else most
        text = f"{stands}, {'' if over else 'up to '}{show_force(kn)}; it takes {show_force(counts)}"
        text += " (own figure: a share of the test load of its class)" if counts < limit else ""
        more |= {"measured": kn, "limit": limit if over else counts}
        remedy = "stand it beside the cover, or on bearers that rest on the floor on both sides of it"
        yield FLOOR.found("stop" if over else "correct", subjects, text, remedy=remedy, **more)
    elif it.lacks and (it.most_kg is None or found.most * weight_kn(it.most_kg) > counts):
        text = f"{stands}: whether that takes it is not checked"
        yield FLOOR.unjudged(
            subjects, text, gap=_matters(it, most > counts / 2), remedy=f"write {it.write}", **more
        )


FLOOR = Rule(
    key="floor-load",
    title="More than the floor takes per area",
    text="The weight of what stands on the floor, with all in and on it, over its outline stays within the "
    "room's floor load: a part, a bench or rack with its own mass and all it carries, a fixture. A stop. "
    "What is smaller than 1 m2 and within the point load (150 kg where the room has none) is a mean over "
    "1 m2, with what stands around it. An unknown mass is bounded by solid steel of its size. What has "
    "no figure to compare with is a note from 300 kg, or where solid steel of its size would be 1 t. "
    "What stands on a cover in the floor, over a pit or a duct, stays within what that takes: a stop by what "
    "surely stands on it, to fix by what may, as its feet and its centre of gravity are told; without "
    "feet all of it may. Of a class counts a third of its test load; one for people on foot "
    "takes 150 kg (own figures).",
    limit="floor load of the room in the shop file",
    source="shop file; imposed loads as in EN 1991-1-1 6.3 are means over an area",
    mark="own",
    remedy="spread it with bearers or plates, or stand it elsewhere",
    look=_look_floor,
    judge=_judge_floor,
    stand=_stand_floor,
    each="on the floor",
)


# --- on one point -------------------------------------------------------------------------------------------


def _stand_point(scene: Scene, body: Standing) -> Iterator[Finding]:
    if body.kind != "group":
        yield from _told_at_once(_point(_of_body(scene, body)))


def _point(it: Bearer | None) -> Iterator[Finding]:
    if it is None or not it.feet:
        return
    limit = it.room.point_load_kn
    if limit is None and not it.lacks and it.known_kn <= _light(it.room):
        return  # no more than people and what they carry
    if limit is None:
        asked = it.room.floor_load_kn_m2 is not None and _matters(it, False) == "missing"
        yield POINT.unjudged(
            (it.tag, f"room:{it.room.key}"),
            f"{it.room.name} has no point load, so not checked: the feet of {it.name}, {_weighs(it)}",
            room=it.room.key, at_mm=it.at_mm, unit="kN", gap="missing" if asked else "keeps",
            remedy=f"write point load: 4.5 kN at {it.room.key}",
        )  # fmt: skip
        return
    weight = it.known_kn
    if weight <= limit * (1 + 1e-9):
        if it.lacks and (it.most_kg is None or weight_kn(it.most_kg) > limit):
            yield _not_told(POINT, it, it.lacks, it.write, "keeps")
        return
    alike, one = it.shares or (1.0 / it.feet, 1.0)
    least, most = weight * alike, weight * one
    over = least > limit * (1 + 1e-9)
    if not over and (it.own or most <= limit * (1 + 1e-9)):
        return  # a bench or machine does not stand on one foot
    told, allowed = told_apart(least if over else most, limit, show_force, "kN")
    if over and it.shares:
        words = f"of its {it.feet} feet one carries {told}"
    elif over:
        words = f"even on {it.feet} supports one of them carries at least {told}"
    elif it.shares:
        words = f"one of its {it.feet} feet may carry {told} unless it is shimmed until every foot carries"
    else:
        words = "on a single support all of it"
    yield POINT.found(
        "stop" if over else "note",
        (it.tag, f"room:{it.room.key}"),
        f"{it.name} weighs {show_force(weight) if over or it.shares else told}, {words}; the floor of "
        f"{it.room.name} takes {allowed} on one point",
        room=it.room.key,
        at_mm=it.at_mm,
        measured=least if over else most,
        limit=limit,
        unit="kN",
    )


POINT = Rule(
    key="point-load",
    title="More than the floor takes on one point",
    text="Of what stands bare or on its own wheels, the heaviest of four supports carries at least a quarter "
    "of the weight: a stop where that is more than the room's point load, a note where the whole weight is. "
    "Where its feet are told for moving it, they count: three bear what statics has it, of more a stop is by "
    "all bearing alike, a note by three that may carry while the others touch. "
    "A fixture stands on four feet, a bench or rack on a pair at least every 1.5 m. "
    "Where the room has no point load, 150 kg are what people weigh (own figure), more is not checked.",
    limit="point load of the room in the shop file",
    source="shop file; concentrated loads are a check of their own, not added (as in EN 1991-1-1 6.3)",
    mark="own",
    remedy="put plates or bearers under the supports, or stand it elsewhere",
    look=lambda scene, thing: _point(_told(scene, thing)),
    judge=lambda p: _told_at_once(_point(_placed(p))),
    stand=_stand_point,
    each="on feet",
)


# --- a room's floor together --------------------------------------------------------------------------------


def _look_total(scene: Scene, room: Room) -> Iterator[Finding]:
    every = [it for thing in on_floor(scene, room.key) if (it := _told(scene, thing)) is not None]
    yield from _total(room, every)


def _judge_total(p: Placement) -> Iterator[Finding]:
    room = p.shop.rooms.get(p.zone.room)
    if p.thorough and room is not None:
        yield from (f for f in _look_total(p.scene, room) if f.judged)


def _total(room: Room, every: Iterable[Bearer]) -> Iterator[Finding]:
    there = list(every)
    if not there:
        return
    limit, area = room.floor_load_kn_m2, abs(signed_area_mm2(room.outline))
    more: dict[str, Any] = {"room": room.key, "unit": "kN/m2"}
    unknown = sum(1 for it in there if it.lacks)
    known = math.fsum(it.known_kg for it in there)
    measured = area_load_kn_m2(known, area)
    least = f"at least {kg(known)}, " if known else ""
    weighs = f"{least}{counted(unknown, 'thing')} not weighed" if unknown else kg(known)
    if limit is None:
        yield TOTAL.unjudged(
            (f"room:{room.key}",), f"{room.name} has no floor load, so what stands on it, {weighs}, is not "
            "checked", gap="keeps", remedy=f"write floor load: 5 kN/m2 at {room.key}", **more,
        )  # fmt: skip
    elif measured > limit * (1 + 1e-9):
        presses, allowed = told_apart(measured, limit, show_area_load, "kN/m2")
        first = max(there, key=lambda it: it.known_kg)
        yield TOTAL.found(
            "stop", (f"room:{room.key}",),
            f"all that stands on the floor of {room.name}, {kg(known)}, is {presses} over its whole area, "
            f"{allowed} allowed; heaviest is {first.name}, {kg(first.known_kg)}",
            measured=measured, limit=limit, remedy="take something out of the room", **more,
        )  # fmt: skip
    elif unknown:
        yield TOTAL.unjudged(
            (f"room:{room.key}",), f"what stands on the floor of {room.name} is not checked: {weighs}",
            gap="keeps", remedy="weigh them, largest first", measured=measured,
            limit=limit, **more,
        )  # fmt: skip


TOTAL = Rule(
    key="floor-total",
    title="More than the whole floor takes",
    text="All that stands on a room's floor together, over the floor's area, stays within its floor load, "
    "even where each thing does by itself. A stop.",
    limit="floor load of the room in the shop file",
    source="shop file; a load per area holds for the whole area too",
    mark="own",
    remedy="take something out of the room",
    look=_look_total,
    judge=_judge_total,
    per="room",
    each="laden room",
)

RULES = (FLOOR, POINT, TOTAL)
