"""How high a bench is for what is done on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM, mm
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone

HEIGHTS_MM: Mapping[str, tuple[float, float]] = {
    "precision": (1020.0, 1320.0),
    "light": (870.0, 1170.0),
    "heavy": (720.0, 1120.0),
}
"""Working heights for 90 % of workers, related to the elbow (after Pheasant, Bodyspace)."""


def suits(work: str, height_mm: float) -> bool:
    """Tell whether a working height is within the published range for a kind of work (KeyError: no kind)."""
    low, high = HEIGHTS_MM[work]
    return low - TOLERANCE_MM <= height_mm <= high + TOLERANCE_MM


def _look_bench(_scene: Scene, zone: Zone) -> Iterator[Finding]:
    assert zone.work is not None
    height = max(level.height_mm for level in zone.levels)
    if not suits(zone.work, height):
        low, high = HEIGHTS_MM[zone.work]
        yield BENCH.found(
            "note",
            (f"zone:{zone.key}",),
            f"{zone.name} is {mm(height)} high, {mm(low)} to {mm(high)} is published for {zone.work} work",
            room=zone.room,
            measured=height,
            limit=low if height < low else high,
            unit="mm",
        )


BENCH = Rule(
    key="bench-height",
    title="A bench too low or too high for its work",
    text="A bench with `work` in the shop file is within the height published for that kind of work. A note.",
    limit="precision 1020-1320 mm, light 870-1170 mm, heavy 720-1120 mm",
    source="elbow-related working heights of 90 % of workers, after Pheasant",
    mark="published",
    remedy="raise or lower it, or do that work elsewhere",
    look=_look_bench,
    each="bench",
)

RULES = (BENCH,)
