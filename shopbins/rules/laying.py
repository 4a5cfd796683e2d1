"""Laying down: judge and record in one go, under the ledger's lock. There is no second path."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shopbins.floor.shapes import contains
from shopbins.layout.scene import Scene, build
from shopbins.layout.standing import footprint
from shopbins.parts import acts
from shopbins.parts.events import Draft, new_id
from shopbins.parts.ledger import Ledger
from shopbins.parts.model import Group, InZone, ThingPlace
from shopbins.parts.problems import Refused
from shopbins.parts.state import State
from shopbins.rules import poses
from shopbins.rules.finding import Finding, worst_first
from shopbins.rules.judging import judge_thing, judged, placement
from shopbins.rules.places import best_places
from shopbins.rules.say import mm
from shopbins.rules.surfaces import NO_ROOM
from shopbins.shop.model import Shop, Zone

PATIENCE_S = 1.0
"""How long an arrangement of a surface is looked for before something is recorded there."""


@dataclass(frozen=True, slots=True)
class Laid:
    """What came of laying down: done or not, where, what was found, the ledger's seq afterwards.

    `group` is its id (of a blank tag's: the new group's, None where nothing was recorded); of a shifted
    thing of the shop `group` and `where` are None.
    """

    done: bool
    where: InZone | None
    findings: tuple[Finding, ...]
    seq: int
    group: str | None = None
    was_blank: bool = False

    @property
    def pose(self) -> dict[str, float] | None:
        """The pose as the command line prints it, in the zone's own frame; None where it lies unposed."""
        where = self.where
        if where is None or where.x_mm is None or where.y_mm is None:
            return None
        return {"x_mm": where.x_mm, "y_mm": where.y_mm, "turn_deg": where.turn_deg}

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The stops among the findings that no override covers."""
        return tuple(f for f in self.findings if f.grade == "stop" and f.override is None)


class _NotLaid(Refused):
    """Judged and not recorded: a dry run, or a stop without an override."""

    def __init__(self, laid: Laid) -> None:
        super().__init__(laid.stops[0].text if laid.stops else "a dry run")
        self.laid = laid


def lay_down(
    ledger: Ledger,
    shop: Shop,
    who: str,
    target: InZone,
    *,
    override: str | None = None,
    dry_run: bool = False,
    expected_seq: int | None = None,
) -> Laid:
    """Lay a group (by id), or a new unnamed one (by the code of a blank tag), down in a zone.

    On a floor spot or in a room without a pose the program chooses a free place; where a zone has several
    levels and none is named, the best one. A stop without `override` leaves the ledger as it is, `done`
    False; with it, the reason is on record for each stop in the same event. Raises Refused where the group,
    the tag or the zone does not exist, and what `Ledger.transact` raises.
    """
    kept: list[Laid] = []

    def work(state: State) -> Draft:
        laid, draft = _judge_and_draft(state, shop, who, target, override)
        if dry_run or laid.stops:
            raise _NotLaid(laid)
        kept.append(laid)
        return draft

    try:
        if dry_run:
            ledger.poll()
            work(ledger.state)
        event = ledger.transact(work, expected_seq)
    except _NotLaid as refused:
        return refused.laid
    laid = kept[-1]
    group_id = next(s.partition(":")[2] for s in event.after if s.startswith("group:"))
    return replace(laid, seq=event.seq, group=group_id)


def _judge_and_draft(
    state: State, shop: Shop, who: str, target: InZone, override: str | None
) -> tuple[Laid, Draft]:
    scene = build(shop, state)
    group, blank = _who(state, who)
    scene = scene.with_group(group) if blank else scene
    zone = scene.zone(target.zone)
    if zone is None:
        raise Refused(f"the shop file has no zone called '{target.zone}'")
    if target.level and zone.level(target.level) is None:
        raise Refused(f"{zone.key} has no level '{target.level}'")
    where, findings = best_in(scene, group, zone, replace(target, zone=zone.key))
    findings = _asked_anew(scene, group, findings)
    if override is not None:
        findings = tuple(replace(f, override=override) if _open_stop(f) else f for f in findings)
    laid = Laid(
        not any(map(_open_stop, findings)), where, findings, state.seq, None if blank else group.id, blank
    )
    given = {f.id: override for f in findings if override is not None and f.override == override}
    if blank:
        draft = acts.lay_blank(state, group.code, where, given)
    else:
        draft = acts.lay(state, group.id, where, given)
    return laid, _with_measures(state, draft, f"group:{group.code}", findings)


def _who(state: State, who: str) -> tuple[Group, bool]:
    if state.has_group(who):
        return state.group(who), False
    found = state.resolve_code(who)
    if found is not None and found[0] == "group":
        return state.group(found[1]), False
    if found is not None and found[0] == "tag":
        return Group(id=new_id(), code=who, tagged=True), True
    raise Refused(f"there is no group or blank tag {who}")


def _open_stop(found: Finding) -> bool:
    return found.grade == "stop" and found.override is None


def _asked_anew(scene: Scene, group: Group, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Take an old override off each stop that does not already stand where the group now lies."""
    if not any(f.override for f in findings):
        return tuple(findings)
    before: set[str] = set()
    if isinstance(group.where, InZone) and scene.zone(group.where.zone) is not None:
        before = {f.id for f in judged(placement(scene, group.id, group.where, group=group))}
    return tuple(worst_first(f if f.id in before else replace(f, override=None) for f in findings))


def _with_measures(state: State, draft: Draft, mine: str, findings: Sequence[Finding]) -> Draft:
    """Keep with each override what was measured, and drop the thing's overrides that no longer apply."""
    after = dict(draft.after)
    found = {f.id: f for f in findings}
    for subject, fields in draft.after.items():
        table, _, key = subject.partition(":")
        if table == "override" and fields is not None:
            after[subject] = {**fields, "measured": found[key].measured}
    for key in state.docs("override"):
        if key not in found and mine in key.partition("/")[2].split("+"):
            after[f"override:{key}"] = None
    return replace(draft, after=after)


# --- shifting what the shop has --------------------------------------------------------------------------


def shift_thing(
    ledger: Ledger,
    shop: Shop,
    key: str,
    centre_mm: tuple[float, float],
    turn_deg: float = 0.0,
    *,
    override: str | None = None,
    dry_run: bool = False,
) -> Laid:
    """Shift a movable fixture or bench, with what lies on it, and judge it as a laying-down is judged.

    The centre is that of its outline's bounding box in the shop frame; the turn counts from the way the
    shop file puts it. Raises Refused where the thing is not movable or would stand in no room.
    """
    key = shop.renamed.get(key, key)
    place = _thing_place(shop, key, centre_mm, turn_deg)
    kept: list[Laid] = []

    def work(state: State) -> Draft:
        scene = build(shop, state)
        findings = tuple(judge_thing(scene, place))
        before = scene.shifted.get(key)
        known = {f.id for f in judge_thing(scene, before)} if before is not None else set()
        findings = tuple(f if f.id in known else replace(f, override=None) for f in findings)
        if override is not None:
            findings = tuple(replace(f, override=override) if _open_stop(f) else f for f in findings)
        laid = Laid(not any(map(_open_stop, findings)), None, findings, state.seq)
        if dry_run or laid.stops:
            raise _NotLaid(laid)
        kept.append(laid)
        given = {f.id: override for f in findings if override is not None and f.override == override}
        draft = acts.move_thing(state, key, *centre_mm, turn_deg, place.room, given)
        return _with_measures(state, draft, _tag_of(shop, key), findings)

    try:
        if dry_run:
            ledger.poll()
            work(ledger.state)
        event = ledger.transact(work)
    except _NotLaid as refused:
        return refused.laid
    return replace(kept[-1], seq=event.seq)


def _tag_of(shop: Shop, key: str) -> str:
    return f"zone:{key}" if key in shop.zones else f"fixture:{key}"


def _thing_place(shop: Shop, key: str, centre_mm: tuple[float, float], turn_deg: float) -> ThingPlace:
    thing = shop.zones.get(key) or shop.fixtures.get(key)
    if thing is None:
        raise Refused(f"the shop file has no fixture or bench called '{key}'")
    if not thing.movable:
        raise Refused(f"{thing.name} is not marked movable in the shop file")
    room = next((r.key for r in shop.rooms.values() if contains(r.outline, centre_mm)), None)
    if room is None:
        raise Refused(f"{thing.name} would stand in no room there")
    return ThingPlace(key, centre_mm[0], centre_mm[1], turn_deg, room)


# --- where exactly ----------------------------------------------------------------------------------------


def best_in(scene: Scene, group: Group, zone: Zone, target: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    """Return where in the zone to lay a group, and what is found there."""
    if target.level or len(zone.levels) == 1 or target.posed:
        return _on_level(scene, group, zone, target)
    best = best_places(scene, group.id, zone=zone.key, most=1)[0]
    return best.where, best.findings


def _on_level(scene: Scene, group: Group, zone: Zone, target: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    level = zone.level(target.level)
    where = target if level is None else replace(target, level=level.key)
    if zone.kind not in ("floor", "room") or level is None or where.posed or footprint(group) is None:
        return where, tuple(judged(placement(scene, group.id, where, group=group, patience_s=PATIENCE_S)))
    chosen = poses.choose(scene, group, zone, level, thorough=True)
    if chosen is not None:
        return chosen, tuple(judged(placement(scene, group.id, chosen, group=group)))
    return _no_room(scene, group, zone, where)


def _no_room(scene: Scene, group: Group, zone: Zone, where: InZone) -> tuple[InZone, tuple[Finding, ...]]:
    """Say that no place is free, and what an override would then do: the best place in the ways, or none."""
    level = zone.levels[0]
    anyway = poses.choose(scene, group, zone, level, keep_ways=False, thorough=True)
    size = group.known_size
    sides = f", {mm(size.length_mm)} by {mm(size.width_mm)}," if size is not None else ""
    if anyway is None:
        text = f"no free place for {group.shown}{sides} in {zone.name}, along its walls or across"
        others = judged(placement(scene, group.id, where, group=group, patience_s=PATIENCE_S))
    else:
        text = f"{zone.name} has a free place for {group.shown}{sides} only in ways, doors or keep-clears"
        others = judged(placement(scene, group.id, anyway, group=group))
    stop = NO_ROOM.found("stop", (f"group:{group.code}", f"zone:{zone.key}"), text, room=zone.room)
    return anyway or where, tuple(worst_first([stop, *others]))
