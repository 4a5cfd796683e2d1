"""One way to try a move, and what came of it: which of them is nearer to going."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from shopbins.answer import Part, Verdict
from shopbins.moves.attempt import Attempt
from shopbins.moves.body import Body
from shopbins.moves.finding import FAR_OFF, lack_of, row_of
from shopbins.moves.fitted import HOISTS, HOLDS, GearAnswer
from shopbins.moves.legs import Leg, turns_of
from shopbins.moves.offfirst import names
from shopbins.moves.standing import TIPS
from shopbins.records.accepted import Figures
from shopbins.rules.finding import Finding
from shopbins.rules.say import listed
from shopbins.shop.model import Gear


@dataclass(frozen=True, slots=True)
class Option:
    """One way to try: this gear from this side, with these parts off; `minutes` is the work it takes at
    least.
    """

    gear: Gear
    body: Body
    answer: GearAnswer
    minutes: float
    parts: tuple[Part, ...]

    @property
    def side(self) -> tuple[object, ...]:
        """What gear it is on, from which side, and what comes off first."""
        how = self.answer
        return self.gear.key, names(self.body.off), self.body.base, how.axis_deg, how.heel

    @property
    def alike(self) -> tuple[str, frozenset[str], bool]:
        """What options alike in gear and parts off have in common."""
        return self.gear.key, names(self.body.off), self.body.base

    @property
    def hung(self) -> bool:
        """Tell whether it hangs as it travels: dearer than any work of gear that it stands on."""
        return self.gear.kind in HOISTS

    @property
    def verdict(self) -> Verdict:
        """The worst of what can be said without a way."""
        return max((p.verdict for p in self.parts), default=Verdict.YES)


@dataclass(frozen=True, slots=True)
class Worked:
    """An option worked out: its attempt, all its parts, and the work it takes. `turned`: on a slope."""

    option: Option
    attempt: Attempt | None
    parts: tuple[Part, ...]
    minutes: float
    legs: tuple[Leg, ...] = ()
    figures: Figures = field(default_factory=dict)
    turned: bool = False

    @property
    def verdict(self) -> Verdict:
        """The worst of its parts."""
        return max((p.verdict for p in self.parts), default=Verdict.OPEN)

    @property
    def settles(self) -> bool:
        """Tell whether it goes, turned on no slope, with tilt enough: no other side need be looked at."""
        return self.verdict <= Verdict.ASKED and not self.turned and not self.leans_deg

    @property
    def leans_deg(self) -> float:
        """How much tilt lacks of what lets people be beside it (`tip reserve`), where it goes with less."""
        asked = (row_of(p).finding for p in self.parts if p.verdict in (Verdict.ASKED, Verdict.ACCEPTED))
        tilts = (f for f in asked if f.rule == TIPS.key and f.limit and f.measured is not None)
        return max((f.limit - f.measured for f in tilts if f.limit and f.measured is not None), default=0.0)

    @property
    def gains_across(self) -> bool:
        """Tell whether straight gear may do better set across: it is set round on the way, or none was found
        and that there is none is not proved of it turned and slid anyhow, or only of skates set along.
        """
        it = self.attempt
        return it is not None and (
            bool(turns_of(self.legs))
            or (not self.legs and (it.verdict is Verdict.OPEN or bool(it.gear.set_round)))
        )

    @property
    def turned_down(self) -> bool:
        """Tell whether a way was found and only what hangs on its spot or turn speaks against it."""
        against = [p for p in self.parts if p.verdict is Verdict.NO or gave_up(p) or _over_a_slope(p)]
        found = self.attempt is not None and bool(self.attempt.found.path)
        return found and bool(against) and all(by_its_spot(row_of(p).finding) for p in against)

    @property
    def rank(self) -> tuple[object, ...]:
        """Best is what goes, standing rather than hung, with least work, fewest conditions, most room."""
        return *self._short_of_going, *self._takes

    @property
    def on_its_gear(self) -> tuple[object, ...]:
        """As `rank`, among ways on one gear: one that turns it on no slope, and then one with more tilt left
        where that is little, comes before one of less work; of what does not go, a side it goes under comes
        first: of the others the way was not looked for.
        """
        verdict, *lacks = self._short_of_going
        not_looked_for = self.verdict is Verdict.NO and self.attempt is None
        return verdict, not_looked_for, *lacks, self.turned, self.leans_deg, *self._takes

    @property
    def _takes(self) -> tuple[float, int, float]:
        """What it takes: least work is best, then fewest conditions, most room."""
        clear = None if self.attempt is None else self.attempt.found.clearance_mm
        return self.minutes, sum(p.verdict is Verdict.ASKED for p in self.parts), -(clear or 0.0)

    @property
    def _short_of_going(self) -> tuple[int, bool, bool, int, float, bool]:
        """How far it is from going; alike in that, hung from a crane comes after standing.

        Of what does not go, best is no hands beyond what a team carries and nothing that lacks half of what
        it has to hold; of that or what is not decided, what has a way; then what lacks least: fewest things,
        the smallest share of each. Of what is not decided, what is cheapest to find out for it.
        """
        verdict = max(self.verdict, Verdict.ASKED)
        worst = sum(p.verdict is verdict for p in self.parts) if verdict > Verdict.ASKED else 0
        if verdict is Verdict.OPEN:
            worst = _dear(self.parts)
        has_way = self.attempt is not None and bool(self.attempt.found.path)
        against = [p for p in self.parts if p.verdict is verdict is Verdict.NO]
        by_hand = self.option.gear.kind == "by hand"
        lacks = sum(lack_of(p) for p in against)
        shut = any(row_of(p).finding.rule == "move-room-forks" for p in against)
        lost = verdict >= Verdict.OPEN and (shut or not has_way)  # a way is none where forks do not go in
        if shut and not has_way:  # it was not looked for: it may lack one, too
            worst, lacks = worst + 1, lacks + 1.0
        holds = [p for p in against if row_of(p).finding.rule == HOLDS.key]
        far = any(by_hand or lack_of(p) >= FAR_OFF for p in holds)
        return int(verdict), far, lost, worst, lacks, self.option.hung


def with_off_words(text: str, option: Option) -> str:
    """Say what was not looked at, and with which parts off that was."""
    off = [part.name for part in option.body.off]
    return f"{text}, with {listed(off, len(off))} off" if off else text


def closeness(option: Option) -> float:
    """Return how near an option is to fitting, without a way: greater is nearer."""
    margin = option.answer.margin_mm
    stops = sum(p.verdict is Verdict.NO for p in option.parts)
    return -1e6 * int(option.verdict) - 1e4 * stops + (margin if margin is not None else -1e3)


BY_ITS_SPOT = (
    *("move-room-forks", "move-room-person", "move-shut-in", "move-handle-uphill", "move-turns-on-slope"),
    "move-comes-out",
    *("move-at-goal", "move-room-jack", "stands", "move-plates-clear"),
)
"""What another spot or turn of the goal may end."""


def _dear(parts: Sequence[Part]) -> int:
    """Return how dear it is to find out what is asked, each question once; what no figure decides is
    the dearest.
    """
    opens = [row_of(p).ask for p in parts if p.verdict is Verdict.OPEN]
    asks = {ask.text: ask.cost for ask in opens if ask is not None}
    return sum(asks.values()) + DEAREST * sum(ask is None for ask in opens)


DEAREST = 5
"""The dearest of a question's costs."""


def gave_up(part: Part) -> bool:
    """Tell whether it is not decided for want of a way alone: nothing that anybody could tell decides it."""
    return part.verdict is Verdict.OPEN and row_of(part).ask is None


def _over_a_slope(part: Part) -> bool:
    """Tell whether it is jacked over the edge of a slope at its goal, where another spot may spare that."""
    return {"jacked", "goal", "over"} <= set(row_of(part).finding.subjects)


def by_its_spot(found: Finding) -> bool:
    """Tell whether another spot or turn of the goal may end it."""
    return found.rule in BY_ITS_SPOT and "start" not in found.subjects
