"""What to fetch, in an order with few steps: where each is, what lies on it or stands in front of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from shopbins.ledger.model import Group
from shopbins.ledger.whereabouts import whereabouts
from shopbins.lists.listing import Column, List
from shopbins.scene.fetching import fetch_order
from shopbins.scene.scene import Scene


class Stop(NamedTuple):
    """One stop of the way round; `in_front` None: not looked at, `metres` None: how far is not known."""

    number: int
    group: Group
    place: str
    on_top: tuple[Group, ...]
    in_front: tuple[Group, ...] | None
    metres: float | None


def stops(scene: Scene, group_ids: Iterable[str]) -> list[Stop]:
    """Return the way round some groups, each once."""
    return [
        Stop(
            n,
            scene.group(each.group),
            whereabouts(scene.state, scene.group(each.group).where),
            tuple(map(scene.group, each.on_top)),
            None if each.in_front is None else tuple(map(scene.group, each.in_front)),
            None if each.metres is None else round(each.metres, 1),
        )
        for n, each in enumerate(fetch_order(scene, list(dict.fromkeys(group_ids))), 1)
    ]


def _codes(groups: Iterable[Group] | None) -> list[str] | None:
    return None if groups is None else [each.code for each in groups]


def _line(stop: Stop) -> str:
    far = "" if stop.metres is None else f" · {stop.metres:.0f} m on"
    head = f"{stop.number:3d}  {stop.group.code}  {stop.group.shown} · {stop.place}{far}"
    below = [f"on top: {each.shown}" for each in stop.on_top]
    below += [f"in front: {each.shown}" for each in stop.in_front or ()]
    below += [f"caution: {each}" for each in stop.group.cautions]
    return "\n       ".join((head, *below))


FETCH: List[Stop] = List(
    "Fetch, with few steps",
    "nothing is to be fetched",
    "",
    (
        Column("code", "code", lambda stop: stop.group.code, "code", paper=1.2),
        Column("name", "name", lambda stop: stop.group.name, "part", paper=2.6),
        Column("place", "place", lambda stop: stop.place, "lies", paper=2.4),
        Column("on_top", "on top", lambda stop: _codes(stop.on_top)),
        Column("in_front", "in front", lambda stop: _codes(stop.in_front)),
        Column("metres", "metres on", lambda stop: stop.metres, "m on", paper=0.8),
    ),
    _line,
)
