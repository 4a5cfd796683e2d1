"""The places of a shop as documents, to be listed and narrowed as what is on record is."""

from __future__ import annotations

from shopbins.ledger.model import Doc
from shopbins.ledger.whereabouts import place_said
from shopbins.scene.scene import Scene


def places(scene: Scene) -> list[Doc]:
    """Return a document for every place of a shop, and every level: what it carries, may carry, its code."""
    found: list[Doc] = []
    for zone in scene.zones():
        for level in zone.level_keys:
            holds = scene.contents(zone.key, level or None)
            known = holds.load_kg if holds.load_kg or not holds.unweighed else None
            doc = {
                "name": place_said(zone.name, level),
                "kind": zone.kind,
                "room": zone.room,
                "parts": len(holds.groups) + holds.nested,
                "carries": known,
                "not_weighed": holds.unweighed or None,
                "limit": holds.limit_kg,
                "code": scene.state.place_code(place_said(zone.key, level)),
            }
            found.append({name: value for name, value in doc.items() if value is not None})
    return found
