"""Areas that must stay free, and why."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shopbins.geometry.exact import gap
from shopbins.rules.finding import Finding, Grade
from shopbins.rules.overlap import touching
from shopbins.rules.rule import Rule
from shopbins.rules.say import about_size, mm, unsure
from shopbins.rules.things import SWITCH_WORDS, is_extinguisher, is_switchgear
from shopbins.scene.scene import Scene
from shopbins.scene.standing import Standing
from shopbins.shop.model import KeepClear

URGENT = re.compile(
    rf"\b({SWITCH_WORDS}|extinguish|hydrant|fire|valve|stop ?cock|stair"
    r"|ladder|exit|escape|eye ?wash|shower|first aid|stop button|emergency|gas\b|meter)",
    re.IGNORECASE,
)
"""Words in a reason that are about getting out, shutting off or putting out: never mere working room."""

SOURCES = (
    (("exit", "escape", "stair"), "29 CFR 1910.37(a)(3): exit routes unobstructed"),
    (("extinguish",), "29 CFR 1910.157(c)(1): readily accessible (from memory)"),
)


def is_working_room(clear: KeepClear) -> bool:
    """Tell whether an area is only the working room of a tool or bench."""
    return "work" in clear.why.casefold() and URGENT.search(clear.why) is None


def is_urgent_gear(clear: KeepClear) -> bool:
    """Tell whether an area is that before switchgear or an extinguisher."""
    return is_switchgear(clear) or is_extinguisher(clear)


def source_of(clear: KeepClear) -> str:
    """Return the published reason for a keep-clear, where there is one."""
    why = clear.why.casefold()
    if is_switchgear(clear):
        return "shop file; 29 CFR 1910.303(g)(1)(ii): not for storage"
    for words, source in SOURCES:
        if any(word in why for word in words):
            return f"shop file; {source}"
    return "shop file"


def _blocked(scene: Scene, body: Standing | None, only: KeepClear | None = None) -> Iterator[Finding]:
    for clear in scene.shop.keep_clear.values() if only is None else (only,):
        if body is not None and body.room != clear.room:
            continue
        owner = f"fixture:{clear.key}"
        grade: Grade = "correct" if is_working_room(clear) else "stop"
        for touch in touching(scene, clear.room, clear.outline, 0.0, clear.height_mm, body):
            if touch.body.subject == owner:
                continue
            why = f" ({clear.why})" if clear.why and clear.why.casefold() not in clear.name.casefold() else ""
            found = touch.finding(
                KEEP_CLEAR,
                grade,
                f"keep clear:{clear.key}",
                f"{touch.body.name} is {mm(touch.deep_mm)} inside {clear.name}{why}"
                f"{about_size((touch.body,))}"
                f"{unsure(scene.shop, touch.deep_mm, 0.0, f'{touch.body.name} and {clear.name}')}",
            )
            yield _with_source(found, source_of(clear))
        if body is not None:
            yield from _nearly(scene, clear, body)


def _nearly(scene: Scene, clear: KeepClear, body: Standing) -> Iterator[Finding]:
    """Say where a thing is clear of an area by less than the shop was measured to."""
    if clear.height_mm is not None and body.base_mm >= clear.height_mm:
        return
    between = gap(body.outline, clear.outline).distance_mm
    if 0.0 < between <= scene.shop.measured_mm:
        yield KEEP_CLEAR.found(
            "note",
            (f"keep clear:{clear.key}", body.tag),
            f"{body.name} is clear of {clear.name} by {mm(between)}"
            f"{unsure(scene.shop, between, 0.0, 'between them')}",
            room=body.room,
            at_mm=body.centre,
            measured=between,
            limit=0.0,
            unit="mm",
            remedy="measure between them, or give it more room",
        )


def _with_source(found: Finding, source: str) -> Finding:
    from dataclasses import replace

    return replace(found, source=source)


KEEP_CLEAR = Rule(
    key="keep-clear",
    title="An area to be kept clear is not",
    text="Nothing stands in a keep-clear below its height. A stop; to fix where the reason is only "
    "the working room of a tool or bench.",
    limit="0 mm",
    source="shop file; electrical: 29 CFR 1910.303(g)(1)(ii); exits: 29 CFR 1910.37(a)(3)",
    mark="own",
    remedy="shift it out of the area",
    look=lambda scene, clear: _blocked(scene, None, clear),
    stand=_blocked,
    each="keep clear",
)

RULES = (KEEP_CLEAR,)
