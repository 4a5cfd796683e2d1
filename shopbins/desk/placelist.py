"""The places of a shop as documents, to be listed and narrowed as what is on record is."""

from __future__ import annotations

from shopbins.ledger.model import Doc
from shopbins.scene.scene import Scene


def places(scene: Scene) -> list[Doc]:
    """Return a document for every place of a shop, and every level: what it carries, may carry, its code."""
    found: list[Doc] = []
    for zone in scene.zones():
        levels = [each.key for each in zone.levels] if len(zone.levels) > 1 else [""]
        for level in levels:
            holds = scene.contents(zone.key, level or None)
            place = f"{zone.key}/{level}" if level else zone.key
            known = holds.load_kg if holds.load_kg or not holds.unweighed else None
            doc = {
                "name": f"{zone.name}/{level}" if level else zone.name,
                "kind": zone.kind,
                "room": zone.room,
                "parts": len(holds.groups) + holds.nested,
                "carries": known,
                "not_weighed": holds.unweighed or None,
                "limit": holds.limit_kg,
                "code": scene.state.place_code(place),
            }
            found.append({name: value for name, value in doc.items() if value is not None})
    return found
