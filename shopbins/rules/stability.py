"""What may tip: slender shelving, tall stacks, what leans; and shelving whose load no sign tells."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from shopbins.geometry.shapes import bounds
from shopbins.ledger.model import Group
from shopbins.records.acts_move import on_packing
from shopbins.rules import limits
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.rule import Advice, Rule
from shopbins.rules.say import kg, mm
from shopbins.scene.scene import Scene
from shopbins.scene.standing import footprint
from shopbins.shop.model import Zone

HAIR = 1e-9


def _high_mm(zone: Zone) -> float:
    return zone.total_height_mm or max(level.height_mm for level in zone.levels)


def _times(value: float) -> str:
    return f"{value:.4g} times"


def _look_slender(scene: Scene, zone: Zone) -> Iterator[Finding]:
    shop, tag = scene.shop, f"zone:{zone.key}"
    assert zone.size_mm is not None
    deep, high = min(zone.size_mm), _high_mm(zone)
    ratio = high / deep
    if zone.fixed_back:
        return
    name = f"{zone.name}, {mm(high)} high and {mm(deep)} deep ({_times(ratio)})"
    rules = limits.set_for(shop, "slender")
    bolted, tied = (limits.known("slender", "uk", of) for of in ("bolted", "tied"))
    german = limits.known("slender", "de")
    more: dict[str, Any] = {"room": zone.room, "measured": ratio}
    grade: Grade
    if rules is None:
        advice = [
            Advice(by, by.figure, ratio, most=True)
            for by in (bolted, german)
            if by.set in limits.advisers(shop, "slender")
        ]
        if zone.fixed_back is None and ratio > bolted.figure + HAIR:
            name += ", and it is not said whether it is fixed"
        if ratio > bolted.figure + HAIR and zone.fixed_floor:
            advice = [a for a in advice if a.by is not bolted]
        yield SLENDER.no_figure(
            shop, tag, name, advice, _times, room=zone.room, measured=ratio, unit="times",
            remedy="fix it and write fixed back: yes",
        )  # fmt: skip
        return
    if rules == "de":
        top = max(level.height_mm for level in zone.levels) / deep
        if top > german.figure + HAIR:
            grade = "correct" if zone.fixed_back is False and not zone.fixed_floor else "note"
            said = "" if zone.fixed_back is False else ", and it is not said whether it is fixed"
            yield SLENDER.breaks(
                german,
                grade,
                (tag,),
                f"{zone.name}: its top level is {_times(top)} as high as it is deep{said}",
                **more,
            )
        return
    if zone.for_truck and not zone.fixed_floor:
        if zone.fixed_floor is None:
            yield SLENDER.lacks(
                tag, zone.name, "word on whether it is bolted down", "fixed floor: yes", room=zone.room
            )
        else:
            yield SLENDER.breaks(
                bolted, "correct", (tag,), f"{name} is served by a truck and not bolted down", **more
            )
        return
    if ratio > tied.figure + HAIR:
        grade = "correct" if zone.fixed_back is False else "note"
        said = "is not tied to anything" if zone.fixed_back is False else "may not be tied: it is not said"
        yield SLENDER.breaks(
            tied,
            grade,
            (tag,),
            f"{name} {said}",
            remedy="tie its top to the wall or another rack, and say so",
            **more,
        )
    elif ratio > bolted.figure + HAIR and not zone.fixed_floor:
        grade = "correct" if zone.fixed_floor is False else "note"
        said = "is not bolted down" if zone.fixed_floor is False else "may not be bolted down: it is not said"
        yield SLENDER.breaks(
            bolted,
            grade,
            (tag,),
            f"{name} {said}",
            remedy="bolt the uprights round its edge down, and say so",
            **more,
        )


SLENDER = Rule(
    key="slender",
    title="Tall shelving and how it is fixed",
    text="In 'uk' shelving from 4 to 6 times as high as deep has the uprights round its edge bolted down, "
    "above 6 it is "
    "tied to something else, and what a truck serves is always fixed; in 'de' its top level is at most 5 "
    "times as "
    "high as deep. Said to be loose it is to fix, not said a note. Elsewhere advice.",
    limit="4 and 6 times the depth ('uk'), 5 times ('de')",
    source="SEMA low-rise code, section 9; DGUV Information 208-061",
    mark="published",
    remedy="fix it and say so in the shop file, and keep heavy things low",
    each="shelf",
    look=_look_slender,
)


def _look_sign(scene: Scene, zone: Zone) -> Iterator[Finding]:
    shop, tag = scene.shop, f"zone:{zone.key}"
    if zone.load_sign:
        return
    rules = limits.set_for(shop, "load-sign")
    if rules is None:
        yield SIGN.no_figure(shop, tag, f"the load sign at {zone.name}", [], mm, room=zone.room)
        return
    if rules == "de":
        shelf, bay = (limits.figure("load-sign", "de", of) for of in ("shelf", "bay"))
        loads = [level.load_kg or 0.0 for level in zone.levels]
        if max(loads, default=0.0) <= shelf and (zone.load_kg or sum(loads)) <= bay:
            return
    by = limits.known("load-sign", rules, "shelf" if rules == "de" else "")
    if zone.load_sign is None:
        yield SIGN.lacks(tag, zone.name, "word on a load sign", "load sign: yes", room=zone.room)
    else:
        yield SIGN.breaks(
            by, "note", (tag,), f"no sign tells what {zone.name} carries", room=zone.room, limit=None
        )


SIGN = Rule(
    key="load-sign",
    title="A sign that tells what shelving carries",
    text="In 'uk' shelving has a sign with its load; in 'de' from 200 kg a shelf or 1000 kg a bay. A note.",
    limit="a sign",
    source="SEMA; EN 15635; DGUV Regel 108-007",
    mark="from memory",
    remedy="put up its load: shopbins tags --zones prints one",
    each="shelf",
    look=_look_sign,
)

# --- stacks -----------------------------------------------------------------------------------------------


def _look_stack(scene: Scene, group: Group) -> Iterator[Finding]:
    outline, height = footprint(group), scene.share(group.id).height_mm
    alone = group.known_size
    if outline is None or height is None or alone is None or height <= alone.height_mm:
        return
    x0, y0, x1, y1 = bounds(outline)
    base = min(x1 - x0, y1 - y0)
    common, german = limits.known("tall-stack", "any"), limits.known("tall-stack", "de")
    if height <= common.figure * base + HAIR:
        return
    strict = "de" in limits.sets_of(scene.shop) and height > german.figure * base + HAIR
    by = german if strict else common
    body = scene.body(group.id)
    yield STACK.breaks(
        by, "correct" if strict else "note", (f"group:{group.code}",),
        f"{group.shown} with what stands on it is {mm(height)} high on a base of {mm(base)} "
        f"({_times(by.figure)} at most)", room=None if body is None else body.room,
        at_mm=None if body is None else body.centre, measured=height / base,
        remedy="make two of it; take it down if it leans more than 2 %" if strict else "",
    )  # fmt: skip


STACK = Rule(
    key="tall-stack",
    title="A stack taller than three times its base",
    text="A free stack is no higher than three times its least base: a note in every set, as what may tip "
    "depends on "
    "where the weight lies, which the program does not know. In 'de' above six times: to fix.",
    limit="3 times the least side of the base; 6 times in 'de'",
    source="common practice, no source; DGUV Information 208-048, 2.2",
    mark="common practice, no source",
    remedy="lay it in two, lash it, or lean it against nothing that can give way",
    each="stack",
    look=_look_stack,
    judge=lambda p: _look_stack(p.scene, p.group),
)

# --- what leans -------------------------------------------------------------------------------------------


def _look_leaning(_scene: Scene, thing: tuple[Zone, Group, Group]) -> Iterator[Finding]:
    zone, _, group = thing
    if group.details.get("tied"):
        return
    high, heavy = (limits.known("leaning", "any", of) for of in ("height", "mass"))
    size, mass = group.known_size, group.mass
    longest = None if size is None else max(size.length_mm, size.width_mm, size.height_mm)
    tag = f"group:{group.code}"
    if longest is not None and longest > high.figure:
        yield LEANING.breaks(
            high, "note", (tag,), f"{group.shown}, {mm(longest)} long, leans and is not tied", room=zone.room,
            measured=longest,
        )  # fmt: skip
    elif mass is not None and mass.kg > heavy.figure:
        yield LEANING.breaks(
            heavy, "note", (tag,), f"{group.shown}, {kg(mass.kg)}, leans and is not tied", room=zone.room,
            measured=mass.kg,
        )  # fmt: skip
    elif longest is None or mass is None:
        what = "size" if longest is None else "mass"
        yield LEANING.lacks(tag, group.shown, what, f"its {what}: shopbins set {group.code}", room=zone.room)


LEANING = Rule(
    key="leaning",
    title="Long stock that leans",
    text="What leans (`stands: leaning`) and is longer than 1500 mm or heavier than 25 kg is tied (`tied: "
    "yes`). A note.",
    limit="1500 mm, 25 kg (own figures)",
    source="own figures",
    mark="own",
    remedy="tie it, or put it down",
    each="leaning part",
    look=_look_leaning,
)


def _audit_packed(scene: Scene, _today: date) -> Iterator[Finding]:
    for key in scene.state.docs("plan"):
        packed = on_packing(scene.state, key) if scene.state.has_group(key) else 0.0
        if packed:
            group = scene.group(key)
            yield PACKED.found(
                "note",
                (f"group:{group.code}",),
                f"{group.shown} stands on {mm(packed)} of packing, left so by its planned move",
                measured=packed,
                unit="mm",
            )


PACKED = Rule(
    key="on-packing",
    title="Left jacked up on packing",
    text="Names what stands on packing by the steps ticked of its planned move. A note.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="go on with its move, or let it down; nobody near it before it is looked at",
    audit=_audit_packed,
    each="part",
    everywhere=True,
)

RULES = (SLENDER, STACK, LEANING, SIGN, PACKED)
