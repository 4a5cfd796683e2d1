"""What stands on floor that is to stay free, and by how much."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shopbins.geometry.exact import gap, overlap
from shopbins.geometry.shapes import Outline, Point, bounds
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing, reaches


@dataclass(frozen=True, slots=True)
class Touch:
    """A body on floor that is to stay free: how deep in, where, and whether its height is known to matter."""

    body: Standing
    deep_mm: float
    at_mm: Point
    sure: bool

    def finding(self, rule: Rule, grade: Grade, subject: str, text: str) -> Finding:
        """Return the finding; only a note, saying so, where an unmeasured height decides."""
        found = rule.found(
            grade,
            (subject, self.body.tag),
            text,
            room=self.body.room,
            at_mm=self.at_mm,
            measured=self.deep_mm,
            limit=0.0,
            unit="mm",
        )
        if self.sure:
            return found
        return replace(
            found,
            grade="note",
            text=f"{text}; not checked, as its height is not known",
            remedy=f"measure the height of {self.body.name}",
        )


def touching(
    scene: Scene,
    room: str,
    outline: Outline,
    from_mm: float,
    to_mm: float | None,
    body: Standing | None,
) -> Iterator[Touch]:
    """Go through what stands on an outline between two heights: one body, or (None) all of the room."""
    box = bounds(outline)
    bodies = scene.near(room, box) if body is None else [body] * body.box.touches(box)
    for each in bodies:
        meet = reaches(each, from_mm, to_mm)
        if meet is not False and overlap(each.outline, outline, TOLERANCE_MM):
            between = gap(each.outline, outline)
            yield Touch(each, max(0.0, -between.distance_mm), between.point_a, meet is True)
