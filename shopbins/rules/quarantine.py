"""What is rejected lies apart from what is not, where the shop has a place for it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from shopbins.ledger.model import OUT, Group
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import listed
from shopbins.rules.things import groups_in
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.strip.release import rejected


def _look(scene: Scene, zone: Zone) -> Iterator[Finding]:
    for group in groups_in(scene, zone):
        yield from _of(scene, zone, group)


def _judge(placement: Placement) -> Iterator[Finding]:
    scene, group = placement.scene, placement.group
    for each in (group.id, *scene.under(group.id)):
        yield from _of(scene, placement.zone, scene.group(each))


def _of(scene: Scene, zone: Zone, group: Group) -> Iterator[Finding]:
    """Judge one part in one place; what is no part (a tub), and what goes for good, may lie anywhere.

    Of what is only just recorded as it is put down nothing was measured yet.
    """
    why = rejected(scene.state, group.id, date.today()) if scene.state.has_group(group.id) else ""
    subjects = (f"group:{group.code}", f"zone:{zone.key}")
    if zone.quarantine:
        if not why and group.counted != "never" and group.disposition not in OUT:
            text = f"{group.shown} is not rejected: {zone.name} is for what is"
            yield QUARANTINE.found("correct", subjects, text, room=zone.room, remedy="put it elsewhere")
        return
    if not why:
        return
    kept = [each.name for each in scene.shop.zones.values() if each.quarantine]
    if kept:
        text = f"{group.shown} is {why}: it lies in {zone.name}, among what is not"
        yield QUARANTINE.found("correct", subjects, text, room=zone.room, remedy=f"put it in {listed(kept)}")
        return
    yield QUARANTINE.unjudged(
        (f"group:{group.code}",),
        f"{group.shown} is {why}: whether it lies apart is not checked, no place is for what is rejected",
        room=zone.room,
        remedy="write at a place: quarantine: yes",
    )


QUARANTINE = Rule(
    key="quarantine",
    title="What is rejected, kept apart",
    text="Where the shop file has a place for what is rejected (`quarantine: yes`), what is rejected lies "
    "there and nothing else does, but what goes for good. To fix. Without such a place each rejected part is "
    "a note.",
    limit="0",
    source="ISO 9001:2015, 8.7.1 (segregation of what does not conform)",
    mark="from memory",
    remedy="keep it apart",
    look=_look,
    judge=_judge,
    per="zone",
    each="group",
    everywhere=True,
)

RULES = (QUARANTINE,)
