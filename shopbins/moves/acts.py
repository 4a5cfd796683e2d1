"""The conditions of a move gathered into acts: what one person sees to at one time is one line to accept.

Every condition stays what it is, with its figures and its own id; an act only says which are looked at, and
accepted, together. What belongs to no act stands by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shopbins.answer import Part, Verdict
from shopbins.moves import (
    bedding,
    crests,
    fits,
    fitted,
    halts,
    hangs,
    heads,
    heights,
    inuse,
    laying,
    lifting,
    lying,
    onslopes,
    onto,
    overbends,
    overedges,
    pressing,
    pushing,
    room,
    running,
    stages,
    standing,
    stilloff,
    ways_out,
)  # fmt: skip
from shopbins.moves.finding import Check, row_of
from shopbins.units import counted


@dataclass(frozen=True, slots=True)
class Act:
    """What one person sees to at one time: how it is called, and the checks whose conditions belong to it."""

    key: str
    called: str
    checks: tuple[Check, ...]


ACTS = (
    Act("measured", "measured and weighed", (standing.MASS, standing.CENTRE, standing.RESIZED, fits.SIZES)),
    Act(
        "floors",
        "floors looked at",
        (
            *(running.EVEN, standing.UNEVEN, overedges.LOOSE, onslopes.LEVEL, onslopes.OUTDOORS),
            *(pressing.AREA, pressing.POINT, pressing.STANDS, pressing.EDGE, pressing.PIT),
        ),
    ),
    Act("cleared", "cleared out of the way", (lifting.SHIFT,)),
    Act(
        "bared",
        "parts off and back on",
        (lifting.PART, lifting.PLACE, stilloff.BACK, lying.LIES, standing.RUNS_IN, halts.HALT),
    ),
    Act(
        "laid",
        "plates, ramps and doors",
        (
            *(overedges.SILL, pressing.COVER, laying.LAYS, laying.UNDER_LEAF, laying.AT_ONCE),
            *(bedding.LIES_ON, bedding.CLEAR, ways_out.LEAF, stilloff.LAID),
        ),
    ),
    Act(
        "rigged",
        "lines and chocks",
        (running.RUNS, onslopes.TURNS, overedges.PUSH, pushing.PULL, stages.LINES, stages.PAST, crests.CREST),
    ),
    Act(
        "lifted",
        "lifted on and off",
        (
            *(lifting.BASE, lifting.JACK, lifting.LIFT_TIPS, lifting.ON_PACKING, lifting.SLINGS, hangs.HANGS),
            *(room.JACK_ROOM, heads.JACKS, onslopes.ROUND, onto.ONTO),
        ),
    ),
    Act(
        "on-gear",
        "made fast on its gear",
        (
            *(fitted.UNDER, fitted.HOLDS, fitted.SCOPE, fits.TIED, fits.SWINGS, inuse.IN_USE),
            *(onslopes.SLOPE_GEAR, pressing.WHEELS, standing.LASH),
        ),
    ),
    Act("manned", "people and room for them", (heads.HEADS, room.PUSHERS, room.PERSON)),
    Act(
        "kept-clear",
        "kept clear of people",
        (onslopes.HANDLE, inuse.HALTED, standing.ZONE, room.SHUT_IN, room.GAPS, ways_out.EXIT),
    ),
    Act(
        "rolled",
        "how it is rolled",
        (
            *(standing.SPEED, standing.TIPS, standing.SILL_TIPS, room.STEERING, room.FORKS, room.OUT),
            *(overbends.GROUNDS, heights.BAND, heights.HEAD, heights.TILTED, fits.ROLLERS),
        ),
    ),
)
"""In the order they are seen to: what is measured, what is made ready, as it is lifted, while it rolls."""
TAKEN = "measure:"
"""How the subject begins that says that a figure was taken as usual: that is measured, whatever the check."""
_BY_RULE = {check.key: act for act in ACTS for check in act.checks}


def act_of(condition: Part) -> Act | None:
    """Return the act that a condition belongs to; None where it stands by itself."""
    taken = any(each.startswith(TAKEN) for each in condition.subjects)
    return ACTS[0] if taken else _BY_RULE.get(row_of(condition).finding.rule)


@dataclass(frozen=True, slots=True)
class Line:
    """Conditions that are accepted together: those of one act, or one that stands by itself."""

    id: str
    called: str
    parts: tuple[Part, ...]

    @property
    def open(self) -> tuple[Part, ...]:
        """Those that nobody has accepted."""
        return tuple(part for part in self.parts if part.verdict is Verdict.ASKED)

    @property
    def text(self) -> str:
        """Say it: the condition itself, of several what they are and how many."""
        if len(self.parts) == 1:
            return self.parts[0].text
        left = (
            f", {len(self.parts) - len(self.open)} accepted" if 0 < len(self.open) < len(self.parts) else ""
        )
        return f"{self.called}, {counted(len(self.parts), 'condition')}{left}: {self.words}"

    @property
    def words(self) -> str:
        """Say each of its conditions in its few words."""
        return "; ".join(dict.fromkeys(part.text for part in self.parts))


def lines_of(conditions: Sequence[Part], about: Iterable[str]) -> tuple[Line, ...]:
    """Gather conditions of one move into lines, in the order of the acts; `about` is the subjects of the move
    (thing, gear, goal), from which the id of a line is made.
    """
    order = {act: n for n, act in enumerate(ACTS)}
    found: dict[str, list[Part]] = {}
    named: dict[str, tuple[int, str]] = {}
    of_move = "+".join(about)
    for part in conditions:
        finding = row_of(part).finding
        act = act_of(part)
        key = finding.id if act is None else f"{act.key}/{of_move}"
        named.setdefault(key, (len(ACTS), part.text) if act is None else (order[act], act.called))
        found.setdefault(key, []).append(part)
    every = sorted(found, key=lambda key: named[key][0])
    return tuple(
        Line(
            row_of(found[key][0]).finding.id if len(found[key]) == 1 else key,
            named[key][1],
            tuple(found[key]),
        )
        for key in every
    )
