"""Extinguishers: how they hang, whether they are seen, and how far it is to one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date

from shopbins.geometry.exact import line_gap
from shopbins.geometry.shapes import Point, bounds
from shopbins.ledger.model import Group
from shopbins.rules import limits
from shopbins.rules.finding import Finding
from shopbins.rules.limits import Limit
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import TOLERANCE_MM, listed, mm, mm_pair, slack_mm, unsure
from shopbins.rules.things import is_extinguisher, walk
from shopbins.rules.ways import walks_of
from shopbins.scene.scene import Scene
from shopbins.scene.walkout import Far, Walks
from shopbins.shop.model import KeepClear, Mounted, Shop, Zone

# --- how it hangs -----------------------------------------------------------------------------------------


def _us(mounted: Mounted) -> list[tuple[Limit, float, str, bool]]:
    """Return (figure, measured, which edge, at most) of what is told and can be compared."""
    found: list[tuple[Limit, float, str, bool]] = []
    light, heavy = (limits.known("extinguisher", "us", "top", kg) for kg in (0.0, math.inf))
    low = limits.known("extinguisher", "us", "bottom")
    top, bottom, mass = mounted.top_mm, mounted.bottom_mm, mounted.mass_kg
    if top is not None:
        if mass is not None:
            found.append((limits.known("extinguisher", "us", "top", mass), top, "top", True))
        elif top > light.figure + TOLERANCE_MM:
            found.append((light, top, "top", True))
        elif top <= heavy.figure + TOLERANCE_MM:
            found.append((heavy, top, "top", True))
    if bottom is not None:
        found.append((low, bottom, "bottom", False))
    return found


def _uk(mounted: Mounted) -> list[tuple[Limit, float, str, bool]]:
    if mounted.handle_mm is None or mounted.mass_kg is None:
        return []
    by = limits.known("extinguisher", "uk", "handle", mounted.mass_kg)
    return [(by, mounted.handle_mm, "handle", True)]


def _wanted(mounted: Mounted, rules: str) -> list[str]:
    """Return what is not told and needed."""
    if rules == "uk":
        told = {"handle": mounted.handle_mm, "mass": mounted.mass_kg}
    else:
        told = {"top": mounted.top_mm, "bottom": mounted.bottom_mm}
        light, heavy = (limits.figure("extinguisher", "us", "top", kg) for kg in (0.0, math.inf))
        between = (
            mounted.top_mm is not None
            and heavy + TOLERANCE_MM < mounted.top_mm <= light + TOLERANCE_MM
        )  # fmt: skip
        if between:
            told["mass"] = mounted.mass_kg
    return [name for name, value in told.items() if value is None]


def _look_hung(scene: Scene, clear: KeepClear) -> Iterator[Finding]:
    shop, tag, mounted = scene.shop, f"keep clear:{clear.key}", clear.mounted
    rules = limits.set_for(shop, "extinguisher")
    if mounted is not None and mounted.wheeled and rules == "us":
        return
    if rules is None:
        advice = []
        for other in limits.advisers(shop, "extinguisher"):
            if mounted is not None and not mounted.wheeled:
                known = _us(mounted) if other == "us" else _uk(mounted)
                advice += [
                    Advice(by, by.figure, measured, most=most, note=edge)
                    for by, measured, edge, most in known
                ]
        yield HUNG.no_figure(
            shop,
            tag,
            f"how {clear.name} hangs",
            advice,
            mm,
            room=clear.room,
            at_mm=clear.outline[0],
            unit="mm",
        )
        return
    if mounted is None:
        write = (
            "mounted: {handle: 1 m, mass: 9 kg}" if rules == "uk" else "mounted: {top: 1.4 m, bottom: 900 mm}"
        )
        yield HUNG.lacks(tag, clear.name, "height of its own", write, room=clear.room)
        return
    about = limits.figure("extinguisher", "uk", "about") if rules == "uk" else 0.0
    beyond = []
    for by, measured, edge, most in _uk(mounted) if rules == "uk" else _us(mounted):
        limit = by.figure
        off = (
            abs(measured - limit) - about
            if rules == "uk"
            else (measured - limit if most else limit - measured)
        )
        if off > TOLERANCE_MM:
            beyond.append((off, by, measured, edge))
    if beyond:
        _, by, measured, _ = max(beyond, key=lambda each: each[0])
        said = "; ".join(_told(shop, clear, by, measured, edge) for _, by, measured, edge in beyond)
        yield HUNG.breaks(
            by, "note" if rules == "uk" else "correct", (tag,), f"{clear.name}: {said}", room=clear.room,
            at_mm=clear.outline[0], measured=measured,
        )  # fmt: skip
        return
    unknown = _wanted(mounted, rules)
    if unknown:
        what = " and ".join(unknown)
        yield HUNG.lacks(tag, clear.name, what, f"mounted: {{{unknown[0]}: ...}}", room=clear.room)


def _told(shop: Shop, clear: KeepClear, by: Limit, measured: float, edge: str) -> str:
    high, allowed = mm_pair(measured, by.figure)
    what = {"top": "its top is", "bottom": "its lower edge is", "handle": "its handle is"}[edge]
    bound = {"top": "at most", "bottom": "at least", "handle": "about"}[edge]
    slack = slack_mm(shop, f"keep clear/{clear.key}/mounted/{edge}")
    again = unsure(shop, measured, by.figure, "it", slack)
    return f"{what} {high} above the floor ({allowed} {bound}){again}"


HUNG = Rule(
    key="extinguisher",
    title="How an extinguisher hangs",
    text="The top of one up to 40 lb (18.1 kg) is at most 5 ft (1524 mm) above the floor, of a heavier "
    "one 3.5 ft "
    "(1066.8 mm), the lower edge at least 4 in (101.6 mm); one on wheels stands anyhow. To fix in 'us'. "
    "In 'uk' the "
    "handle is about 1500 mm up to 4 kg, about 1000 mm above (taken as 100 mm either way). A note.",
    limit="5 ft or 3.5 ft; 4 in; in 'uk' 1500 or 1000 mm",
    source="NFPA 10, 6.1.3.8; BS 5306-8:2012, 7.2",
    mark="published",
    remedy="hang it lower or higher; ask those who look after it",
    each="extinguisher",
    look=_look_hung,
)

# --- is it seen -------------------------------------------------------------------------------------------


def _look_seen(scene: Scene, clear: KeepClear) -> Iterator[Finding]:
    shop, tag = scene.shop, f"keep clear:{clear.key}"
    room = shop.rooms.get(clear.room)
    if clear.sign or room is None:
        return
    top = (None if clear.mounted is None else clear.mounted.top_mm) or 1500.0
    here, there = bounds(room.outline).middle, bounds(clear.outline).middle
    line = (here, there)
    hiding = [
        body.name
        for body in scene.standing(clear.room)
        if body.top_mm is not None and body.top_mm > top and line_gap(body.outline, line).distance_mm <= 0
    ]
    by = limits.known("extinguisher-seen", limits.set_for(shop, "extinguisher-seen") or "us")
    if hiding:
        yield SEEN.breaks(
            by, "note", (tag,), f"{clear.name} is hidden from the middle of {room.name} by {listed(hiding)}",
            room=clear.room, at_mm=there, limit=None, unit="",
        )  # fmt: skip
        return
    yield SEEN.unjudged(
        (tag,), f"whether {clear.name} is seen from everywhere is not checked", room=clear.room,
        remedy="write sign: yes where a sign shows it", gap="keeps",
    )  # fmt: skip


SEEN = Rule(
    key="extinguisher-seen",
    title="Is the extinguisher seen",
    text="An extinguisher is not obstructed and not hidden. What stands in its keep-clear is a stop of "
    "its own; a "
    "note where something taller stands between it and the middle of the room; `sign: yes` settles it.",
    limit="nothing taller between",
    source="NFPA 10, 6.1.3.3.1; 89/654/EEC Annex I 5.2",
    mark="published",
    remedy="move what hides it, or put up a sign",
    each="extinguisher",
    look=_look_seen,
)

# --- how far ----------------------------------------------------------------------------------------------


def _audit_travel(scene: Scene, _today: date) -> Iterator[Finding]:
    shop = scene.shop
    there = [clear for clear in shop.keep_clear.values() if is_extinguisher(clear)]
    rules = limits.set_for(shop, "extinguisher-travel")
    if not there:
        yield TRAVEL.unjudged(
            ("shop",), "how far it is to an extinguisher is not checked: none is in the shop file",
            gap="keeps" if rules is None else "missing",
            remedy="draw it: keep clear: {ext: {room: .., at: .., size: .., why: extinguisher, for: [A, B]}}",
        )  # fmt: skip
        return
    for clear in there:
        if not clear.for_classes and (rules is not None or limits.advisers(shop, "extinguisher-travel")):
            yield TRAVEL.lacks(f"keep clear:{clear.key}", clear.name, "class", "for: [A, B]", room=clear.room)
    for_a = [clear for clear in there if "A" in clear.for_classes]
    for_b = [clear for clear in there if "B" in clear.for_classes]
    walks = walks_of(scene)
    known = list(_measured(scene, walks, for_a, for_b))
    for tag, room, of, name, far, clear in known:
        if rules is not None:
            by = limits.limit("extinguisher-travel", rules, of)
            if by is not None and far.length_mm > by.figure + 0.5:
                yield _too_far(by, by.figure, tag, room, name, far, clear)
            continue
        advice = [
            Advice(by, by.figure, far.length_mm, most=True)
            for other in limits.advisers(shop, "extinguisher-travel")
            if (by := limits.limit("extinguisher-travel", other, of)) is not None
        ]
        said = f"the way from {name} to {clear.name}, {mm(far.length_mm)}"
        subjects = (f"keep clear:{clear.key}", tag)
        yield TRAVEL.no_figure(shop, subjects, said, advice, mm, room=room, unit="mm")


def _measured(
    scene: Scene, walks: Walks, for_a: list[KeepClear], for_b: list[KeepClear]
) -> Iterator[tuple[str, str, str, str, Far, KeepClear]]:
    """Go through what is walked: subject, room, class, from what, how far, to which extinguisher."""
    if for_a:
        for key, room in scene.shop.rooms.items():
            worst: tuple[Far, KeepClear] | None = None
            for spot in walks.far_spots(key):
                near = _nearest(walks, key, spot, for_a)
                if near is not None and (worst is None or near[0].length_mm > worst[0].length_mm):
                    worst = near
            if worst is not None:
                yield f"room:{key}", key, "A", f"the farthest corner of {room.name}", *worst
    if for_b:
        for tag, thing in walk(scene, "liquid"):
            zone, top, group = thing
            assert isinstance(zone, Zone) and isinstance(group, Group) and isinstance(top, Group)
            body = scene.body(top.id)
            spot = bounds(zone.outline).middle if body is None else body.centre
            near = _nearest(walks, zone.room, spot, for_b)
            if near is not None:
                yield tag, zone.room, "B", group.shown, *near


def _nearest(walks: Walks, room: str, spot: Point, among: list[KeepClear]) -> tuple[Far, KeepClear] | None:
    found = [
        (far, clear)
        for clear in among
        if (far := walks.to(room, spot, clear.room, bounds(clear.outline).middle)) is not None
    ]
    return min(found, key=lambda each: each[0].length_mm, default=None)


def _too_far(by: Limit, most: float, tag: str, room: str, name: str, far: Far, clear: KeepClear) -> Finding:
    walked, limit = mm_pair(far.length_mm, most)
    names = dict.fromkeys(body.name for body in far.round)
    around = f", round {listed(names)}" if names else ""
    return TRAVEL.breaks(
        by, "correct", (tag, f"keep clear:{clear.key}"),
        f"it is {walked} to walk from {name} to {clear.name}{around}, {limit} at most for class {by.of}",
        room=room, measured=far.length_mm, limit=most,
    )  # fmt: skip


TRAVEL = Rule(
    key="extinguisher-travel",
    title="How far it is to an extinguisher",
    text="Walked round what stands there: to one for class A from the farthest corner of free floor of "
    "every room, to "
    "one for class B from each flammable liquid. One whose class is not written is not counted. To fix in "
    "'us' and "
    "'uk', and 'de'; elsewhere advice. What a hazard needs otherwise is not checked.",
    limit="75 ft (A), 50 ft (B) in 'us'; 30 m (A) in 'uk', 20 m in 'de'",
    source="29 CFR 1910.157(d); BS 5306-8; ASR A2.2",
    mark="published",
    remedy="another extinguisher, or move what has to be walked round",
    audit=_audit_travel,
    each="extinguisher",
)

RULES = (TRAVEL, SEEN, HUNG)
