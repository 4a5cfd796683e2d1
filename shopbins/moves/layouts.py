"""Which plates and ramps are laid on a way: what lacks least at each place, so that all lies at once."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from shopbins.answer import Verdict
from shopbins.moves.bedding import beds, on_each_other
from shopbins.moves.crossings import Crossing, Together, crossing, enough, in_order, rounds, short
from shopbins.moves.overedges import by_lack, ramps
from shopbins.moves.plates import Edge, Laid, Ramps, edge_of
from shopbins.moves.pressing import bridges, runs_over
from shopbins.moves.situation import Situation

MOST_LAYOUTS = 500
"""So many ways to lay all of it together are compared: own figure."""


def with_laid(it: Situation) -> Situation:
    """Return the same with what is laid on its way: plates over covers that do not take its wheels, ramps at
    edges.

    What plates hold, told or not, is part of the condition; none lie where none is long, wide or strong
    enough, or they are too few. Of all that may lie at the places of the way that comes first which forbids
    least: nothing lacks, nothing lies on anything else; then that with ramps wherever some meet it, then
    that of which least is laid again on the way; then what lacks least at each place by itself.
    """
    at = replace(it, laid=(), ramps=())
    if not it.legs:
        return replace(at, ramps=ramps(at))
    best = _of_all(at)
    laid, lean = (each.laid for each in best), (each.ramps for each in best)
    return replace(at, laid=tuple(filter(None, laid)), ramps=tuple(filter(None, lean)))


def _of_all(it: Situation) -> tuple[Layout, ...]:
    """Return the best of all that may lie on a way: over each cover by itself; in one run over those near one
    another only where that lacks less.
    """
    sills = [_at_sill(it, edge) for edge in it.edges]
    over = [_over_cover(it, some) for some in bridges(it) if some]
    runs = runs_over(it)
    if not runs and all(len(each) == 1 for each in (*sills, *over)):
        return tuple(each[0] for each in (*sills, *over))
    best, lacks = _best(it, [*sills, *over])
    near = {cover for covers, _ in runs for cover in covers}
    bare = not near <= set(_lain_over(best))
    if not runs or (lacks <= Verdict.ASKED and not bare):
        return best
    alone = [each for each in over if not near & set(_lain_over(each))]
    in_runs, lacks_then = _best(it, [*sills, *alone, *(_over_cover(it, some) for _, some in runs)])
    return in_runs if bare or lacks_then <= lacks else best


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """One way to lay plates and ramps at one place: the edge there (None: of plates that nobody told the
    thickness of), the worst of what is judged of it, and whether it is bare though ramps meet it.
    """

    edge: Edge | None
    laid: Laid | None
    ramps: Ramps | None
    verdict: Verdict
    bare: bool

    @property
    def lies(self) -> tuple[Laid | Ramps, ...]:
        """What lies there, plates before ramps."""
        return (*filter(None, (self.laid,)), *filter(None, (self.ramps,)))


def _lain_over(some: Iterable[Layout]) -> Iterator[str]:
    """Go through the covers that layouts lie over, by subject."""
    return (cover for each in some if each.laid is not None for cover in each.laid.covers)


def _at_sill(it: Situation, edge: Edge, laid: Laid | None = None) -> list[Layout]:
    found = by_lack(it, edge)
    meets = found[0][1] is not None
    return [Layout(edge, laid, lean, verdict, meets and lean is None) for verdict, lean in found]


def _over_cover(it: Situation, every: Sequence[Laid]) -> list[Layout]:
    """Return how each kind of plates lies over a cover: that over whose edge wheels lack least first, then
    that which bends as it may, then the lowest.
    """

    def lay(laid: Laid) -> list[Layout]:
        edge = edge_of(laid)
        if edge is None:
            return [Layout(None, laid, None, Verdict.OPEN, bare=False)]
        return _at_sill(replace(it, laid=(laid,)), edge, laid)

    def lacks(some: list[Layout]) -> tuple[Verdict, bool, float]:
        laid = some[0].laid
        assert laid is not None
        return some[0].verdict, bool(laid.bridged.words), laid.high_mm or float("inf")

    return [each for some in sorted(map(lay, every), key=lacks) for each in some]


def _best(it: Situation, places: Sequence[Sequence[Layout]]) -> tuple[tuple[Layout, ...], Verdict]:
    """Return the best of all ways to lay what lies at some places together, the first of those alike, and the
    worst of what is so of them.
    """

    @cache
    def judged(layout: Layout) -> Verdict:
        laid = () if layout.laid is None else (layout.laid,)
        at = replace(it, laid=laid, ramps=() if layout.ramps is None else (layout.ramps,))
        parts = (part for lies in layout.lies for part in beds(at, lies))
        return max([Verdict.ASKED, layout.verdict, *(part.verdict for part in parts)])

    @cache
    def over(layout: Layout) -> Crossing:
        return crossing(it, layout.edge, layout.laid, layout.ramps)

    at_best = [min(map(judged, _until_asked(each, judged)), default=Verdict.ASKED) for each in places]
    least = (max(at_best, default=Verdict.ASKED), 0, 0)
    best, lacks = tuple(each[0] for each in places), (Verdict.NO, len(places) + 1, 0)
    for some in itertools.islice(itertools.product(*places), MOST_LAYOUTS):
        worst, again = _together(some, over)
        here = max([worst, *map(judged, some)]), sum(each.bare for each in some), again
        if here < lacks:
            best, lacks = some, here
        if here <= least:
            break
    return best, lacks[0]


def _until_asked(layouts: Sequence[Layout], judged: Callable[[Layout], Verdict]) -> Iterator[Layout]:
    for each in layouts:
        yield each
        if judged(each) <= Verdict.ASKED:
            return


def _together(some: Sequence[Layout], over: Callable[[Layout], Crossing]) -> tuple[Verdict, int]:
    """Return the worst of what is so of layouts at once, and how often some of it is laid again."""
    lies = [lies for each in some for lies in each.lies]
    at_once: list[Together] = []
    if short(lies):
        every = in_order(map(over, some))
        if not enough(every):
            return Verdict.NO, 0
        at_once = rounds(every)
        lots = [[lies for each in group for lies in each.lies] for group in at_once]
    else:
        lots = [lies]
    on = any(on_each_other(a, b) for lot in lots for a, b in itertools.combinations(lot, 2))
    return Verdict.OPEN if on else Verdict.ASKED, max(0, len(at_once) - 1)
