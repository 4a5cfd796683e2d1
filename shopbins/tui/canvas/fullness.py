"""How full a zone is: one number, a word, a one-cell measure."""

from __future__ import annotations

from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone

FULL_FROM = 0.85
"""From this share on a zone is drawn as full."""


def fullness(scene: Scene, zone: Zone) -> float | None:
    """Return the greater of surface taken and load used, 1 being the limit; None where nothing lies there."""
    whole = scene.contents(zone.key)
    if not whole.groups:
        return None
    shares = [whole.fill / scene.shop.limits.fill]
    if whole.limit_kg:
        shares.append(whole.load_kg / whole.limit_kg)
    for level in zone.levels:
        each = scene.contents(zone.key, level.key)
        shares.append(each.fill / scene.shop.limits.fill)
        if each.limit_kg:
            shares.append(each.load_kg / each.limit_kg)
    return max(shares)


def fullness_word(share: float | None) -> str:
    """Say how full a zone is."""
    if share is None:
        return "empty"
    for below, word in (
        (0.25, "a little in it"),
        (0.45, "filling"),
        (0.65, "half full"),
        (1.0, "nearly full"),
    ):
        if share < below:
            return word
    return "full" if share <= 1.05 else "over full"


BARS = "▁▂▃▄▅▆▇█"


def fullness_glyph(share: float | None) -> str:
    """Return a one-cell measure of fullness; '!' when over."""
    if share is None:
        return ""
    return "!" if share > 1.05 else BARS[min(7, int(share * 8))]
