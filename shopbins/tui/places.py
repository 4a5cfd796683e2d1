"""The places to choose from: every zone and level with what lies there, rooms last."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from shopbins.ledger.model import InGroup
from shopbins.scene.scene import Scene
from shopbins.shop.model import Shop
from shopbins.tui.canvas.fullness import fullness, fullness_word
from shopbins.tui.words import load_words

if TYPE_CHECKING:
    from shopbins.tui.dialogs.pick import Choice

NO_PLACE = "no place of that name · esc, then / finds a part"


def place_key(zone: str, level: str = "") -> str:
    """Return a place as one text: zone and level."""
    return f"{zone}\t{level}"


def split_place(key: str) -> tuple[str, str]:
    """Return zone and level of such a text."""
    zone, _, level = key.partition("\t")
    return zone, level


def every_place(shop: Shop) -> list[tuple[str, str]]:
    """Return zone and level of every place; the level of one that has but one is ''."""
    return [(zone.key, level) for zone in shop.all_zones() for level in zone.level_keys]


def place_named(shop: Shop, text: str) -> str:
    """Return the place a text is the whole name of, as "rack a/3", in its own spelling; else ""."""
    wanted = text.strip().casefold()
    for zone in shop.all_zones():
        for name in (zone.key, zone.name):
            if name.casefold() == wanted:
                return name
            for level in zone.levels:
                if f"{name}/{level.key}".casefold() == wanted:
                    return f"{name}/{level.key}"
    return ""


def place_choices(scene: Scene, *, levels: bool = True) -> Iterator[Choice]:
    """Go through the places, each with fullness and load."""
    from shopbins.tui.dialogs.pick import Choice

    for zone in scene.zones():
        called = zone.name if zone.kind != "room" else f"{zone.name}, floor"
        if levels and len(zone.levels) > 1:
            for level in zone.levels:
                beside = load_words(scene.contents(zone.key, level.key))
                yield Choice(place_key(zone.key, level.key), f"{zone.name}/{level.key}", beside)
        else:
            full = fullness_word(fullness(scene, zone)) if zone.kind != "room" else ""
            words = load_words(scene.contents(zone.key))
            yield Choice(
                place_key(zone.key), called, f"{full} · {words}" if full and full != "empty" else words
            )


def holder_choices(scene: Scene, ids: list[str], moving: str) -> Iterator[Choice]:
    """Go through the groups something may be put in or on: not itself, not what is in or on it."""
    from shopbins.tui.dialogs.pick import Choice

    barred = {moving, *scene.under(moving)}
    for group_id in ids:
        if group_id in barred:
            continue
        group = scene.group(group_id)
        where = "in another" if isinstance(group.where, InGroup) else group.container
        yield Choice(group_id, group.shown, f"{group.code} · {where}")
