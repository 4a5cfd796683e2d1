"""The figures of this program's own that moves are judged by, and the file's `limits: {moving: {...}}`.

Each is our own figure, no source: none of them forbids anything alone, it only makes a condition that
somebody accepts by name. docs/moves.md lists them all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: its name in the file, its value, unit, and what it is for."""

    name: str
    value: float
    unit: str
    says: str


FIGURES: Mapping[str, Figure] = {
    each.name: each
    for each in (
        Figure("tip reserve", 5.0, "deg", "less reserve than this: dead slow, nobody beside it"),
        Figure("tip least", 1.5, "deg", "less reserve than this is no yes: measure again"),
        Figure("tip notice", 10.0, "deg", "less than this is told"),
        Figure("dip on uneven", 30.0, "mm", "how deep a dip a floor has that is not even"),
        Figure("low load", 1.25, "", "times its shorter side a thing is high at most that counts as low"),
        Figure("cg aside", 0.1, "", "of length and width, how far off its middle a low load's centre may be"),
        Figure("walking speed", 1.4, "m/s", "where it tips when stopped dead below this, a speed is set"),
        Figure("speed share", 0.5, "", "of that speed, what it may be moved at"),
        Figure("carry clear", 10.0, "mm", "the least it is carried over floor, sill and cover"),
        Figure("turn on slope", 15.0, "deg", "a turn beyond this counts as turning on a slope"),
        Figure("jack on slope", 0.01, "", "mm a mm a floor falls: more is a condition where it is jacked"),
        Figure("handle aside", 45.0, "deg", "how far from straight downhill the handle must keep"),
        Figure("pushers", 2.0, "people", "how many find room to push or hold"),
        Figure("men before winch", 4.0, "people", "more on a good level floor are not named before a winch"),
        Figure("person", 500.0, "mm", "room for a person at the handle, deep and wide (ISO 13854: body)"),
        Figure("person easy", 600.0, "mm", "less depth than this is a condition"),
        Figure("person high", 1900.0, "mm", "how high who steers, and the handle, may be"),
        Figure("steering by hand", 50.0, "mm", "room on each side where it is steered by hand"),
        Figure("steering guided", 20.0, "mm", "room on each side where somebody guides it"),
        Figure("lift at an end", 25.0, "mm", "how far one end is jacked before the other follows"),
        Figure("edge distance", 300.0, "mm", "a wheel nearer than this to an open edge is told"),
        Figure("wheel half width", 40.0, "mm", "half of a wheel's track on a cover"),
        Figure("pads", 25.0, "mm", "as thick as pads between steel may be where nobody told"),
        Figure("cover of test", 0.33, "", "of the test load of its EN 124 class, what a cover may carry"),
        Figure("line allowance", 2.0, "", "times what it holds a line is sized for, to catch it moving"),
        Figure("line aside", 60.0, "deg", "a line farther aside of straight than this is looked at first"),
        Figure("pull aside", 15.0, "deg", "a line farther aside of the way is named to pull nothing"),
        Figure("line rise", 30.0, "deg", "a line steeper to its point than this is looked at first"),
        Figure("anchor in wall", 150.0, "mm", "how deep in a wall's face a point for a line may be told"),
        Figure("plate rests", 100.0, "mm", "of a plate over a cover, on the floor on each side at least"),
        Figure("sill aside", 10.0, "deg", "a sill met farther from square than this is squared up to first"),
        Figure("ramp lip", 5.0, "mm", "a ramp that ends so much over or under a sill still meets it"),
        Figure("roller grip", 0.15, "", "of its load, what a loose roller grips: a step for more stops it"),
        Figure("runs out", 2000.0, "mm", "let go on a ramp it comes to rest so near: held without a point"),
        Figure("narrow turn", 1000.0, "mm", "radius of a turn, where the gear's is not told"),
        Figure("hook below tip", 300.0, "mm", "how far a hook hangs below its boom's tip, where not told"),
        Figure("hung lift", 100.0, "mm", "how far a hung load is lifted to see how it hangs"),
        Figure("room height", 2000.0, "mm", "what is lower than this needs no height of a room"),
        Figure("open room", 2.0, "m2", "floor beside the load that counts as not shut in"),
        Figure("moving speed", 0.1, "m/s", "how fast a load goes, for how long a way is shut"),
        Figure("minutes part off", 20.0, "min", "to take a part off and put it back, where nobody told"),
        Figure("minutes lift", 10.0, "min", "to lift or lower one end on jacks"),
        Figure("minutes shift", 5.0, "min", "to shift one thing, and one more for each 20 kg"),
        Figure("minutes leaf", 15.0, "min", "to take a door's leaf off and hang it again"),
        Figure("minutes ramp", 10.0, "min", "to lay a plate or ramp and take it up"),
        Figure("handle reach", 600.0, "mm", "a pallet truck's handle, pulled, where the file does not say"),
        Figure("steering axle least", 50.0, "mm", "forks to the steering axle, where not told"),
        Figure("steering axle most", 150.0, "mm", "the same, the other end of what is usual"),
        Figure("load rollers least", 120.0, "mm", "fork tips to the load rollers, where not told"),
        Figure("load rollers most", 220.0, "mm", "the same, the other end of what is usual"),
        Figure("truck on steering", 1.0, "", "of a truck's own mass, what may stand at its steering end"),
        Figure("truck on roller", 0.25, "", "of a truck's own mass, what may stand on one load roller"),
        Figure("trail least", 20.0, "mm", "trail of a swivel castor, where the file does not say"),
        Figure("trail most", 60.0, "mm", "the same, the other end of what is usual"),
        Figure("stems in", 100.0, "mm", "how far castors stand in from a platform, where not told"),
        Figure("hangs level", 5.0, "deg", "what hangs no farther from level than this hangs level"),
        Figure("jack length", 500.0, "mm", "a toe jack with its lever, where no size is told"),
        Figure("toe reach", 150.0, "mm", "a point farther in than this is looked at for a jack's toe"),
        Figure("jack lowest", 25.0, "mm", "lowest toe of a toe jack, where no jack is told of"),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Moving:
    """The figures in force: the file's where it gives one, else our own."""

    own: Mapping[str, float]

    def __getitem__(self, name: str) -> float:
        """Return a figure by its name."""
        return self.own.get(name, FIGURES[name].value)


OWN = Moving({})
