"""Shifting what the shop has: a movable fixture, or a bench with all that lies on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from shopbins.geometry.shapes import contains
from shopbins.ledger.events import Draft
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import ThingPlace
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.placing.judging import judge_thing
from shopbins.placing.recording import Around, Drafted, Laid, Reasons, alone, record
from shopbins.records import acts
from shopbins.scene.scene import build
from shopbins.shop.model import Shop


def shift_thing(
    ledger: Ledger,
    shop: Shop,
    key: str,
    centre_mm: tuple[float, float],
    turn_deg: float = 0.0,
    *,
    override: Reasons = None,
    dry_run: bool = False,
    day: date | None = None,
    around: Around = alone,
) -> Laid:
    """Shift a movable fixture or bench, with what lies on it, and judge it as a laying-down is judged.

    The centre is that of its outline's bounding box in the shop frame; the turn counts from the way the
    shop file puts it. Raises Refused where the thing is not movable or would stand in no room.
    """
    key = shop.renamed.get(key, key)
    place = _place(shop, key, centre_mm, turn_deg)
    tag = f"zone:{key}" if key in shop.zones else f"fixture:{key}"

    def judge(state: State) -> tuple[Laid, Drafted, str]:
        scene = build(shop, state)
        before = scene.shifted.get(key)
        known = {f.id for f in judge_thing(scene, before, thorough=True)} if before is not None else set()
        found = judge_thing(scene, place, thorough=True)
        findings = tuple(f if f.id in known else replace(f, accepted=None) for f in found)

        def draft(given: Mapping[str, Mapping[str, Any]]) -> Draft:
            return acts.move_thing(state, key, *centre_mm, turn_deg, place.room, given)

        return Laid(False, None, findings, state.seq), draft, tag

    return record(ledger, shop, judge, override=override, dry_run=dry_run, day=day, around=around)


def _place(shop: Shop, key: str, centre_mm: tuple[float, float], turn_deg: float) -> ThingPlace:
    thing = shop.zones.get(key) or shop.fixtures.get(key)
    if thing is None:
        raise Refused(f"the shop file has no fixture or bench called '{key}'")
    if not thing.movable:
        raise Refused(f"{thing.name} is not marked movable in the shop file")
    room = next((r.key for r in shop.rooms.values() if contains(r.outline, centre_mm)), None)
    if room is None:
        raise Refused(f"{thing.name} would stand in no room there")
    return ThingPlace(key, centre_mm[0], centre_mm[1], turn_deg, room)
