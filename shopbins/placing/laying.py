"""Laying down: judge and record in one go, under the ledger's lock. There is no second path."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from shopbins.ledger.docs import group_from
from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import Group, InZone
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.placing.judging import judged, placement
from shopbins.placing.places import best_places, turns_tried
from shopbins.placing.recording import Around, Drafted, Laid, Reasons, alone, open_stop, record
from shopbins.records import acts
from shopbins.rules import poses
from shopbins.rules.finding import Finding, worst_first
from shopbins.rules.say import mm
from shopbins.rules.shuffling import shuffle_for
from shopbins.rules.surfaces import NO_ROOM
from shopbins.rules.wayout import WAY_OUT
from shopbins.scene.scene import Scene, build
from shopbins.scene.standing import footprint
from shopbins.shop.model import Level, Shop, Zone

PATIENCE_S = 1.0
"""How long an arrangement of a surface is looked for before something is recorded there."""

PLACES_TRIED = 8


def lay_down(
    ledger: Ledger,
    shop: Shop,
    who: str,
    target: InZone,
    *,
    override: Reasons = None,
    dry_run: bool = False,
    day: date | None = None,
    around: Around = alone,
) -> Laid:
    """Lay a group (by id), or a new unnamed one (by the code of a blank tag), down in a zone.

    On a floor spot or in a room without a pose the program chooses a free place; where a zone has several
    levels and none is named, the best one. A stop without `override` leaves the ledger as it is, `done`
    False; with it, the reason is on record for each stop in the same event. Raises Refused where the group,
    the tag or the zone does not exist, and what `Ledger.transact` raises.
    """

    def judge(state: State) -> tuple[Laid, Drafted, str]:
        group, blank = _who(state, who)
        where, findings = _judged(build(shop, state), group, blank, target)

        def draft(given: Mapping[str, Mapping[str, Any]]) -> Draft:
            if blank:
                return acts.lay_blank(state, group.code, where, given)
            return acts.lay(state, group.id, where, given)

        laid = Laid(False, where, findings, state.seq, None if blank else group.id, blank)
        return laid, draft, f"group:{group.code}"

    return record(ledger, shop, judge, override=override, dry_run=dry_run, day=day, around=around)


def lay_new(
    ledger: Ledger,
    shop: Shop,
    taking: Callable[[State], Draft],
    target: InZone,
    *,
    override: Reasons = None,
    dry_run: bool = False,
    around: Around = alone,
) -> Laid:
    """Record a group that comes off and lay it down in one event, judged as `lay_down` judges.

    `taking` drafts the new group, its subject first. With a stop and no `override` nothing is recorded, the
    group neither. `around` may record more in the same event. Raises as `lay_down` does, and what `taking`
    raises.
    """

    def judge(state: State) -> tuple[Laid, Drafted, str]:
        taken = taking(state)
        new = taken.subjects[0]
        group = group_from(new.partition(":")[2], taken.after[new] or {})
        where, findings = _judged(build(shop, state), group, True, target)

        def draft(given: Mapping[str, Mapping[str, Any]]) -> Draft:
            return acts.laid_down(taken, where, given)

        return Laid(False, where, findings, state.seq), draft, f"group:{group.code}"

    return record(ledger, shop, judge, override=override, dry_run=dry_run, around=around)


def _judged(scene: Scene, group: Group, new: bool, target: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    scene = scene.with_group(group) if new else scene
    zone = scene.zone(target.zone)
    if zone is None:
        raise Refused(f"the shop file has no place called '{target.zone}'")
    if target.level and zone.level(target.level) is None:
        raise Refused(f"{zone.key} has no level '{target.level}'")
    where, findings = best_in(scene, group, zone, target._replace(zone=zone.key))
    return where, _asked_anew(scene, group, findings)


def _who(state: State, who: str) -> tuple[Group, bool]:
    if state.has_group(who):
        return state.group(who), False
    found = state.resolve_code(who)
    if found is not None and found[0] == "group":
        return state.group(found[1]), False
    if found is not None and found[0] == "tag":
        return Group(id=new_id(), code=who, tagged=True), True
    raise Refused(f"there is no part or blank label {who}")


def _asked_anew(scene: Scene, group: Group, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Take an old override off each stop that does not already stand where the group now lies."""
    if not any(f.accepted for f in findings):
        return tuple(findings)
    before: set[str] = set()
    if isinstance(group.where, InZone) and scene.zone(group.where.zone) is not None:
        before = {f.id for f in judged(placement(scene, group.id, group.where, group=group, thorough=True))}
    return tuple(worst_first(f if f.id in before else replace(f, accepted=None) for f in findings))


# --- where exactly ----------------------------------------------------------------------------------------


def best_in(scene: Scene, group: Group, zone: Zone, target: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    """Return where in the zone to lay a group, and what is found there."""
    if target.level or len(zone.levels) == 1 or target.posed:
        return _on_level(scene, group, zone, target)
    best = best_places(scene, group.id, zone=zone.key, most=1)[0]
    return best.where, _thoroughly(scene, group, best.where)


def _on_level(scene: Scene, group: Group, zone: Zone, target: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    level = zone.level(target.level)
    where = target if level is None else target._replace(level=level.key)
    if zone.kind not in ("floor", "room") or level is None or where.posed or footprint(group) is None:
        return where, _thoroughly(scene, group, where)
    chosen = poses.choose(scene, group, zone, level, thorough=True)
    if chosen is None:
        return _no_room(scene, group, zone, where)
    findings = _thoroughly(scene, group, chosen)
    if not any(open_stop(f) and f.rule == WAY_OUT.key for f in findings):
        return chosen, findings
    return _elsewhere(scene, group, zone, level) or (chosen, findings)


def _elsewhere(
    scene: Scene, group: Group, zone: Zone, level: Level
) -> tuple[InZone, tuple[Finding, ...]] | None:
    """Return a free place that is no stop, where the one chosen for its closeness shuts the way out."""
    for where, _ in poses.several(scene, group, zone, level, PLACES_TRIED):
        findings = _thoroughly(scene, group, where)
        if not any(map(open_stop, findings)):
            return where, findings
    return None


def _thoroughly(scene: Scene, group: Group, where: InZone) -> tuple[Finding, ...]:
    """Judge as is done before something is recorded."""
    there = placement(scene, group.id, where, group=group, patience_s=PATIENCE_S, thorough=True)
    return tuple(judged(there))


def _no_room(scene: Scene, group: Group, zone: Zone, where: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    """Say that no place is free, and what an override would then do: the best place in the ways, or none."""
    level = zone.levels[0]
    anyway = poses.choose(scene, group, zone, level, keep_ways=False, thorough=True)
    size = group.known_size
    sides = f", {mm(size.length_mm)} by {mm(size.width_mm)}," if size is not None else ""
    if anyway is None:
        text = (
            f"no free place for {group.shown}{sides} in {zone.name} at the turns tried: {turns_tried(zone)}"
        )
        others = _thoroughly(scene, group, where)
    else:
        text = f"{zone.name} has a free place for {group.shown}{sides} only in ways, doors or keep-clears"
        others = _thoroughly(scene, group, anyway)
    shuffled = shuffle_for(scene, group, zone, level)
    remedy = "" if shuffled is None else shuffled.remedy(NO_ROOM.remedy)
    subjects = (f"group:{group.code}", f"zone:{zone.key}")
    stop = NO_ROOM.found("stop", subjects, text, room=zone.room, remedy=remedy)
    return anyway or where, tuple(worst_first([stop, *others]))
