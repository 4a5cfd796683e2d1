"""What another move has halted: its gear is in use, and what it has halted on a slope is kept clear of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from shopbins.answer import Part
from shopbins.moves.body import stands
from shopbins.moves.finding import Check
from shopbins.moves.onslopes import HANDLE
from shopbins.moves.running import RUNS
from shopbins.moves.situation import Situation
from shopbins.records.acts_move import all_on_gear, planned
from shopbins.rules.slopes import is_steep
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear

IN_USE = Check(
    "gear-in-use",
    "Gear that another thing is on",
    "what is on record: the steps ticked of planned moves",
    "derived",
    "let that thing down first",
)

HALTED = Check(
    "move-past-halted",
    "What another move has halted",
    "what is on record: the steps ticked of planned moves, and what those still to come keep",
    "derived",
    "move that on first; or keep clear of it, of its line and of what is below it",
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


def past_halted(it: Situation) -> Iterator[Part]:
    """Make it a condition that what another planned move has halted on or before a slope is moved on first,
    or kept clear of, where this way goes through a room that it holds: where it stands, its slope, below it.
    """
    passed = {room.key for room in it.rooms}
    for key, asked in sorted(all_on_gear(it.scene.state).items()):
        doc = planned(it.scene.state, key)
        if key == it.body.group.id or doc is None:
            continue
        here, _ = stands(it.scene, it.scene.state.group(key))
        room = it.scene.shop.rooms.get(here or "")
        keeps = _still_kept(doc, on_slope=room is not None and is_steep(room.slope))
        held = passed & {*([here] if keeps else []), *(room for each in keeps for room in _rooms_of(each))}
        if not held:
            continue
        name, gear = it.scene.state.group(key).shown, it.scene.shop.gear.get(asked["gear"])
        on = asked["gear"] if gear is None else gear.name
        names = " and ".join(sorted(it.scene.shop.rooms[room].name for room in held))
        words = f"{name} on {on} moved on first, or kept clear of"
        kept = "; ".join(dict.fromkeys(each["text"] for each in keeps))
        text = f"{name} stands halted on {on}: in {names} what its next steps keep is kept meanwhile: {kept}"
        yield HALTED.only((*it.subjects, f"group:{key}"), words, text)


def _still_kept(doc: Mapping[str, Any], *, on_slope: bool) -> list[Mapping[str, Any]]:
    """Return the conditions of a planned move on what holds it on slopes, and on who is below it there: from
    where a line is on, or it stands on one, until it has gone its way.
    """
    left = {need for step in doc["steps"] if not step.get("done") for need in step.get("needs", ())}
    runs, below = (
        [each for each in doc.get("conditions", ()) if each["id"].partition("/")[0] == check.key]
        for check in (RUNS, HANDLE)
    )
    begun = any(each["id"] not in left for each in runs) and any(each["id"] in left for each in below)
    return [*runs, *below] if begun or on_slope else []


def _rooms_of(condition: Mapping[str, Any]) -> Iterator[str]:
    """Go through the rooms that a condition on record is about, or that are below it."""
    for subject in condition["id"].partition("/")[2].split("+"):
        kind, _, key = subject.partition(":")
        if kind in ("room", "below"):
            yield key
