"""A pose of the shop frame as a place in a zone."""

from __future__ import annotations

from shopbins.geometry.shapes import Pose
from shopbins.ledger.model import InZone
from shopbins.scene.frames import to_zone
from shopbins.shop.model import Zone


def where_at(goal: Zone, level: str, pose: Pose) -> InZone:
    """Return a pose of the shop frame as a place in a zone."""
    there = to_zone(goal, pose.x_mm, pose.y_mm, pose.turn_deg)
    return InZone(
        goal.key,
        level or (goal.levels[0].key if goal.levels else ""),
        round(there.x_mm, 1),
        round(there.y_mm, 1),
        round(there.turn_deg, 3) % 360.0,
        measured=True,
    )
