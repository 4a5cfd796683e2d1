"""How many people are at work at once, at the jacks and along the way, against who is told of."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from shopbins.answer import Part
from shopbins.moves.finding import Check
from shopbins.moves.fitted import JACKED
from shopbins.moves.force import men_for
from shopbins.moves.hands import people_of, short_of
from shopbins.moves.legs import Leg
from shopbins.moves.running import force_on
from shopbins.moves.situation import Situation
from shopbins.moves.stages import is_another, stages, winches_of

HEADS = Check(
    "move-people",
    "Fewer people than are at work at once",
    "one at each jack or winch, one at what follows it: common practice, no source",
    "common practice, no source",
    "more people",
)

JACKS = Check(
    "move-people-at-jack",
    "Fewer people than jack and pack",
    HEADS.source,
    HEADS.mark,
    HEADS.remedy,
)

AT_JACKS = 2
"""Who jacks one end with packing that follows at once: one at each; common practice, no source."""


def at_jacks(it: Situation) -> Iterator[Part]:
    """Count who jacks and who packs, where it is jacked onto its gear, against who is told of."""
    up = it.gear.up_mm
    if it.kind in JACKED and up is not None and up[1] > 0 and short_of(it.scene, AT_JACKS):
        words = f"{people_of(it.scene, AT_JACKS)} at jack and packing"
        yield JACKS.only(it.subjects, words, f"one jacks, one packs at once behind it: {words}")


def on_the_way(it: Situation) -> Iterator[Part]:
    """Count who works each winch or pushes, who steers and who guides, where most are at work at once,
    against who is told of.
    """
    every = stages(it)
    found = [(_at_work(it, winches_of(it, stage), stage.legs), stage.legs[0].room, "in") for stage in every]
    for before, then in itertools.pairwise(every):
        if before.winch_n and then.winch_n and then.line is not None and is_another(before, then):
            found.append((_at_work(it, 2, then.legs), then.legs[0].room, "before"))
    work, room, where = max(found, key=lambda each: sum(each[0].values()), default=({}, None, ""))
    people = sum(work.values())
    if room is None or not short_of(it.scene, people) or set(work) == {"pushing"}:
        return
    doing = list(work)
    words = f"{people_of(it.scene, people)} {', '.join(doing) if len(doing) > 2 else ' and '.join(doing)}"
    said = {"pushing": "who pushes guides nothing", "steering": f"one steers {it.gear.gear.name}"}
    said["laying rollers"] = "one lays rollers ahead"
    said["guiding"] = "one guides it where it is tight"
    each = ", ".join(said.get(does, "one works each winch or tackle") for does in doing)
    subjects = (*it.subjects, f"room:{room.key}", "people")
    yield HEADS.only(subjects, words, f"{each}: {words} {where} {room.name}", room=room.key)


def _at_work(it: Situation, winches: int, legs: Sequence[Leg]) -> dict[str, int]:
    """Return how many are at work at once on legs, by what they do there.

    That not all are there who push is for `forces` to say: the winch instead of them counts here. Who steers
    behind a winch guides it too, but not from the handle of a truck.
    """
    some = [n for leg in legs if (n := force_on(it.load, it.gear.gear, leg)) is not None]
    men = 0 if winches else max((men_for(n.steady_n) for n in some), default=0)
    if men > it.own["pushers"] and short_of(it.scene, men):
        men, winches = 0, 1
    truck = it.kind == "pallet truck"
    steers = winches > 0 and (truck or it.gear.steering != "axis")
    guides = it.is_tight and (men > 0 or (winches > 0 and (truck or not steers)))
    pulls = "at a winch" if winches == 1 else f"at {winches} winches"
    work = {pulls: winches, "pushing": men, "steering": int(steers), "guiding": int(guides)}
    work["laying rollers"] = int(it.kind == "rollers and bar" and bool(men or winches))
    return {does: n for does, n in work.items() if n}
