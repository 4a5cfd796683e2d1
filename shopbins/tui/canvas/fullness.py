"""How full a place is: one number, the levels over their limit, a word, a bar."""

from __future__ import annotations

from typing import NamedTuple

from shopbins.scene.contents import Contents
from shopbins.scene.scene import Scene
from shopbins.shop.model import Zone
from shopbins.units import show_mass

FULL_FROM = 0.85
"""From this share on a place is drawn as full."""


class LevelFull(NamedTuple):
    """How full one level is: its key, its share (1 is the limit), what it carries, whether it is too much."""

    key: str
    share: float
    said: str
    over: bool = False


class Fullness(NamedTuple):
    """How full a place is: the greater of area and load of the whole, 1 being the limit.

    `over` says for each level beyond its own limit which one and by what: 'level 2, 157 of 150 kg'; `levels`
    have each level by itself, the lowest first.
    """

    share: float
    over: tuple[str, ...] = ()
    levels: tuple[LevelFull, ...] = ()


def fullness(scene: Scene, zone: Zone) -> Fullness | None:
    """Return how full a place is; None where nothing lies there."""
    whole = scene.contents(zone.key)
    if not whole.groups:
        return None
    most = scene.shop.limits.fill
    over: list[str] = []
    levels: list[LevelFull] = []
    for level in zone.levels:
        each = scene.contents(zone.key, level.key)
        name = f"level {level.key}, " if len(zone.levels) > 1 else ""
        if each.limit_kg and each.load_kg > each.limit_kg:
            load = show_mass(each.load_kg).removesuffix(" kg")
            over.append(f"{name}{load} of {show_mass(each.limit_kg)}")
        elif each.fill > most:
            over.append(f"{name}{each.fill * 100:.0f} % of the surface, {most * 100:.0f} % at most")
        load, more = show_mass(each.load_kg), f", {each.unweighed} not weighed" if each.unweighed else ""
        of = f" of {show_mass(each.limit_kg)}" if each.limit_kg else ""
        said = f"{load.removesuffix(' kg') if of.endswith(' kg') else load}{of}{more}"
        its = _share(each, most)
        levels.append(LevelFull(level.key, its, said, its > 1 + 1e-9))
    return Fullness(_share(whole, most), tuple(over), tuple(levels))


def _share(what: Contents, most: float) -> float:
    """Return the greater of area and load, 1 being the limit; `most` is the share of the area allowed."""
    return max(what.fill / most, what.load_kg / what.limit_kg if what.limit_kg else 0.0)


def fullness_word(full: Fullness | None) -> str:
    """Say how full a place is."""
    if full is None:
        return "empty"
    if full.over:
        return f"overfull: {', '.join(full.over)}"
    for below, word in (
        (0.25, "nearly empty"),
        (0.45, "filling"),
        (0.65, "half full"),
        (1.0, "nearly full"),
    ):
        if full.share < below:
            return word
    return "full" if full.share <= 1.05 else "overfull"


BARS = "▁▂▃▄▅▆▇█"
EIGHTHS = " ▏▎▍▌▋▊▉█"


def fullness_glyph(full: Fullness | None) -> str:
    """Return a one-cell measure of fullness; '!' when over."""
    if full is None:
        return ""
    return "!" if full.over or full.share > 1.05 else BARS[min(7, int(full.share * 8))]


def fullness_bar(full: Fullness | LevelFull, cells: int) -> str:
    """Return a bar of so many cells in eighths on a base line."""
    eighths = min(cells * 8, max(1, round(full.share * cells * 8)))
    return "".join(EIGHTHS[max(0, min(8, eighths - 8 * k))] for k in range(cells)).replace(" ", "▁")
