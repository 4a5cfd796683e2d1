"""What burns near hot work."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date

from shopbins.geometry.exact import gap
from shopbins.geometry.shapes import Outline
from shopbins.ledger.model import Group
from shopbins.rules import published
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Placement, Rule
from shopbins.rules.say import TOLERANCE_MM, mm_pair, unsure
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import Zone

BURNS = re.compile(
    r"\b(flammable|combustible|burns|fuel|petrol|gasoline|solvent|thinner|paraffin)", re.IGNORECASE
)
"""Words among a group's cautions that mark it as burning; nothing is guessed from its name."""


def burning(scene: Scene, group_id: str) -> Group | None:
    """Return the group itself, or the first in or on it, that is marked as burning."""
    for each in (group_id, *scene.under(group_id)):
        group = scene.group(each)
        if any(BURNS.search(caution) for caution in group.cautions):
            return group
    return None


def _hot_places(scene: Scene, room: str) -> Iterator[tuple[str, str, Outline]]:
    """Go through what is hot in a room: fixtures, and the whole room where hot work is done in it."""
    there = scene.shop.rooms.get(room)
    if there is not None and there.hot_work:
        yield f"room:{room}", f"the hot work in {there.name}", there.outline
    for key in scene.shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is not None and fixture.hot and fixture.room == room:
            yield f"fixture:{key}", fixture.name, fixture.outline


def _audit_hot(scene: Scene, _today: date) -> Iterator[Finding]:
    for room in scene.shop.rooms:
        hot = list(_hot_places(scene, room))
        if hot:
            for body in scene.standing(room):
                if body.kind == "group":
                    yield from _near(scene, body, hot)
            yield from _unposed(scene, room, hot)


def _unposed(scene: Scene, room: str, hot: list[tuple[str, str, Outline]]) -> Iterator[Finding]:
    """Look at what lies somewhere in a zone of the room, as if it took all of the zone."""
    for zone in scene.zones():
        if zone.room != room:
            continue
        for group_id in scene.ids_in(zone, None):
            group = scene.group(group_id)
            if scene.body(group_id) is None and burning(scene, group_id) is not None:
                yield from _near(scene, _somewhere_in(zone, group), hot)


def _somewhere_in(zone: Zone, group: Group) -> Standing:
    """Return a body that takes all of the zone a group lies in."""
    tag = f"group:{group.code}"
    return Standing(f"group:{group.id}", tag, group.shown, group.code, zone.room, zone.outline, 0.0, 0.0)


def _near(scene: Scene, body: Standing, hot: list[tuple[str, str, Outline]]) -> Iterator[Finding]:
    grade = published.grade_in(scene.shop.rules, "us", "correct")
    burns = burning(scene, body.key) if grade is not None else None
    if grade is None or burns is None:
        return
    marked = next(c for c in burns.cautions if BURNS.search(c))
    inside = "" if burns.code == body.code else f" with {burns.shown} in it"
    for subject, name, outline in hot:
        far = max(0.0, gap(body.outline, outline).distance_mm)
        if far >= published.US_HOT_WORK_MM - TOLERANCE_MM:
            continue
        is_far, least = mm_pair(far, published.US_HOT_WORK_MM)
        yield HOT.found(
            grade,
            (body.tag, subject),
            f"{body.name}{inside}, marked '{marked}', is {is_far} from {name}, {least} is the "
            f"published least unless shielded{unsure(scene.shop, far, published.US_HOT_WORK_MM, 'there')}",
            room=body.room,
            at_mm=body.centre,
            measured=round(far, 3),
            limit=published.US_HOT_WORK_MM,
            unit="mm",
        )


def _judge_hot(p: Placement) -> Iterator[Finding]:
    hot = list(_hot_places(p.scene, p.zone.room))
    if not hot:
        return
    if p.body is not None:
        yield from _near(p.scene, p.body, hot)
    else:
        yield from _near(p.scene, _somewhere_in(p.zone, p.group), hot)


HOT = Rule(
    key="hot-work",
    title="What burns near hot work",
    text="A group whose cautions mark it as burning (flammable, fuel, solvent ...) stands 35 ft (10.7 m) "
    "from a hot fixture, and not in a room where hot work is done, unless shielded; walls between rooms "
    "count as shield. To correct under 'us', advice under 'own'. Vapours "
    "and watching afterwards are not judged.",
    limit="35 ft (10.668 m)",
    source="29 CFR 1910.252(a)(2)(vii) (paragraph from memory)",
    mark="published",
    remedy="take it to another room, or shield it; keep a fire watch for 30 min after",
    audit=_audit_hot,
    judge=_judge_hot,
)

RULES = (HOT,)
