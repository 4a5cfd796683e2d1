"""Lifting by hand: the shop file's own figures, said when a thing is laid down."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import kg, mm, place


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
        measured=round(share.mass_kg, 3),
        limit=most,
        unit="kg",
    )


ALONE = Rule(
    key="one-person",
    title="Too heavy for one person",
    text="Says when a thing is laid down that it is heavier than the shop file has one person lift. A note.",
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

RULES = (ALONE, HIGH)
