"""How an extinguisher hangs, against the published heights."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from shopbins.rules import published
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import TOLERANCE_MM, mm_pair, slack_mm, unsure
from shopbins.scene.scene import Scene
from shopbins.shop.model import KeepClear, Mounted, Shop

_LEAST_MM = published.EXTINGUISHER_LOW_MM


def _audit(scene: Scene, _today: date) -> Iterator[Finding]:
    for clear in scene.shop.keep_clear.values():
        if clear.mounted is not None:
            yield from _hung(scene.shop, clear, clear.mounted)


def _hung(shop: Shop, clear: KeepClear, mounted: Mounted) -> Iterator[Finding]:
    grade = published.grade_in(shop.rules, "us", "correct")
    if grade is None:
        return
    top, bottom, most, least = mounted.top_mm, mounted.bottom_mm, _most_mm(mounted), _LEAST_MM
    beyond: list[tuple[float, float, str]] = []
    if top is not None and most is not None and top > most + TOLERANCE_MM:
        beyond.append((top, most, "top"))
    if bottom is not None and bottom < least - TOLERANCE_MM:
        beyond.append((bottom, least, "bottom"))
    unknown = [
        *(["top"] if top is None else []),
        *(["mass"] if top is not None and most is None else []),
        *(["lower edge"] if bottom is None else []),
    ]
    words = [_told(shop, clear, *each) for each in beyond]
    if unknown:
        words.append(f"not judged for want of its {' and its '.join(unknown)}")
    if words:  # one finding: an audit keeps one of a rule about the same thing
        measured, limit = beyond[0][:2] if beyond else (None, None)
        text = f"{clear.name}: {'; '.join(words)}"
        yield HUNG.found(
            grade if beyond else "note",
            (f"keep clear:{clear.key}",),
            text,
            room=clear.room,
            at_mm=clear.outline[0],
            measured=None if measured is None else round(measured, 3),
            limit=limit,
            unit="mm",
            remedy="" if beyond else "measure it",
        )


def _most_mm(mounted: Mounted) -> float | None:
    """Return how high the top may be; None where that hangs on a mass that is not known."""
    light, heavy = published.EXTINGUISHER_LIGHT_TOP_MM, published.EXTINGUISHER_HEAVY_TOP_MM
    if mounted.mass_kg is not None:
        return light if mounted.mass_kg <= published.EXTINGUISHER_LIGHT_KG * (1 + 1e-9) else heavy
    if mounted.top_mm is not None and heavy < mounted.top_mm <= light + TOLERANCE_MM:
        return None
    return light


def _told(shop: Shop, clear: KeepClear, measured: float, limit: float, edge: str) -> str:
    high, allowed = mm_pair(measured, limit)
    what, bound = ("top", "most") if edge == "top" else ("lower edge", "least")
    slack = slack_mm(shop, f"keep clear/{clear.key}/mounted/{edge}")
    again = unsure(shop, measured, limit, "it", slack)
    return f"its {what} is {high} above the floor, {allowed} is the published {bound}{again}"


HUNG = Rule(
    key="extinguisher",
    title="An extinguisher hung too high or too low",
    text="Where a keep-clear says how an extinguisher is `mounted`: the top of one up to 40 lb (18.1 kg) is "
    "at most 5 ft (1524 mm) above the floor, of a heavier one 3.5 ft (1066.8 mm), the lower edge at least "
    "4 in (101.6 mm). To correct under 'us', advice under 'own'; what is not known is not judged. How far it "
    "is to it is not looked at.",
    limit="5 ft or 3.5 ft; 4 in",
    source="NFPA 10",
    mark="published",
    remedy="hang it lower or higher; ask those who look after it",
    audit=_audit,
)

RULES = (HUNG,)
