"""Gear that is in use: another thing stands on it, or hangs from it, where its planned move halted."""

from __future__ import annotations

from collections.abc import Iterator

from shopbins.answer import Part
from shopbins.moves.finding import Check
from shopbins.moves.situation import Situation
from shopbins.records.acts_move import all_on_gear
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear

IN_USE = Check(
    "gear-in-use",
    "Gear that another thing is on",
    "what is on record: the steps ticked of planned moves",
    "derived",
    "let that thing down first",
)

LEAST = {"skates": 3, "rollers and bar": 4}
"""So many at least are under a thing: of twice as many told of another set may be left. Own figures."""


def borne(scene: Scene, gear: Gear, but: str = "") -> str:
    """Return the names of the things that are on a gear where they halted, but of one; '' where none."""
    every = all_on_gear(scene.state).items()
    on = (scene.state.group(key).shown for key, asked in every if key != but and asked["gear"] == gear.key)
    return ", ".join(sorted(on))


def in_use(it: Situation) -> Iterator[Part]:
    """Say what else is on the gear, as where its planned move halted; of skates and rollers there may be
    enough for two.
    """
    gear, least = it.gear.gear, LEAST.get(it.kind)
    on = "" if it.kind == "by hand" else borne(it.scene, gear, it.body.group.id)
    if not on:
        return
    text = f"{gear.name}: {on} is on it where it halted"
    if least is not None and gear.count is not None and gear.count >= 2 * least:
        words = f"{gear.name} counted: {on} is on some"
        yield IN_USE.only((*it.subjects, "count"), words, f"{text}: are enough of the {gear.count} left")
        return
    yield IN_USE.no(it.subjects, text, (f"{on} let down first", "other gear"))
