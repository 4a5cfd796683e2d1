"""What comes nearest where none goes: by how much it does not, and which parts off would end that."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from shopbins.answer import Part, Verdict
from shopbins.moves.attempt import in_the_way, low_top_mm, nearest_pair
from shopbins.moves.body import Projection
from shopbins.moves.finding import Row, row_of
from shopbins.moves.gearsearch import Search, told_once, without_way
from shopbins.moves.heights import too_low
from shopbins.moves.hoisted import Lift, No
from shopbins.moves.lifting import PART
from shopbins.moves.option import Worked
from shopbins.moves.partsoff import taken_kg, who_takes_off
from shopbins.moves.trying import attempt

NEAREST = 3
"""Of so many gears that do not go it is looked at by how much: own figure."""


def nearest(search: Search, of_gear: dict[str, Worked]) -> Worked:
    """Return what lacks least of gear that none goes on, said by how much each of the nearest lacks.

    What its plate or its size forbids is asked for its way, too: it may be no nearer than gear without one.
    """
    for key in sorted(of_gear, key=lambda key: of_gear[key].rank)[:NEAREST]:
        found = _asked_for_its_way(search, of_gear[key])
        of_gear[key] = _too_wide(search, _too_low(search, found))
    return min(of_gear.values(), key=lambda w: w.rank)


def with_offs(search: Search, best: Worked) -> Worked:
    """Say of each part off that would end what forbids it who takes it off and what comes of the move then:
    judged whole, as everything.
    """

    def told(part: Part) -> Part:
        row = row_of(part)
        if part.verdict is not Verdict.NO or not row.offs:
            return part
        ends = (*_off_words(search, best, row), *row.ends)
        return replace(part, evidence=replace(row, ends=ends))

    return replace(best, parts=tuple(told(p) for p in best.parts))


def _off_words(search: Search, best: Worked, row: Row) -> list[str]:
    """Say which parts off end what forbids it, one at a time; where none makes it go, which two do, else
    which two end this at least. What does not even end this is said where nothing better is.
    """
    every = {p.called: p for p in best.option.body.parts}
    ones: list[tuple[Projection, ...]] = [(every[called],) for called in row.offs]
    said = {off: search.with_off(best, off) for off in ones}
    if not any(then is not None and then.verdict <= Verdict.ASKED for then in said.values()):
        two = itertools.combinations(sorted(every.values(), key=lambda p: (p.cost, p.called)), 2)
        pairs = [pair for pair in two if any(p.called in row.offs for p in pair)]
        for pair in pairs[:MOST_PAIRS]:
            then = said[pair] = search.with_off(best, pair)
            if then is not None and then.verdict <= Verdict.ASKED:
                break
    goes = [off for off, then in said.items() if then is not None and then.verdict <= Verdict.ASKED]
    ends = [off for off, then in said.items() if then is not None and not _lacks(then, row)]
    chosen = goes or [off for off in ends if not any(set(less) < set(off) for less in ends)] or ones
    return [_then_words(search, off, said[off]) for off in chosen]


MOST_PAIRS = 6
"""So many pairs of parts are tried off where one is not enough, the cheapest first: own figure."""


def _lacks(then: Worked, row: Row) -> bool:
    """Tell whether the same check of the same things still forbids it, or it was not looked so far."""
    about = {s for s in row.finding.subjects if s.partition(":")[0] not in ("part", "gear")}
    same = (row_of(p).finding for p in then.parts if p.verdict is Verdict.NO)
    return any(f.rule == row.finding.rule and about <= set(f.subjects) for f in same)


def _then_words(search: Search, off: Sequence[Projection], then: Worked | None) -> str:
    """Say of parts off together what that takes and who does it, and what is still lacking then."""
    who = [f"{p.name} {by}" if len(off) > 1 else by for p in off if (by := _by_whom(search, p, then))]
    work = ", ".join((f"{sum(p.cost for p in off):.0f} min", *who))
    said = f"{' and '.join(p.name for p in off)} off ({work})"
    if then is None:
        return f"{said}, not looked at further"
    if then.verdict <= Verdict.ASKED:
        return said
    asked = {f"part:{p.called}" for p in off if taken_kg(p) is None}  # said with the part
    lacks = [
        p.text
        for p in then.parts
        if p.verdict is then.verdict
        and not (row_of(p).finding.rule == PART.key and asked & set(row_of(p).finding.subjects))
    ]
    if not lacks:
        return said
    more = f", and {len(lacks) - 1} more" if len(lacks) > 1 else ""
    return f"{said}, and then it {'still ' if then.verdict is Verdict.NO else ''}lacks: {lacks[0]}{more}"


def _by_whom(search: Search, part: Projection, then: Worked | None) -> str:
    """Say who takes a part off: the hoist that does where a way was found, else who might; '' where none."""
    lifts = {} if then is None or then.attempt is None else then.attempt.lifts
    lift = lifts.get(part.called)
    if isinstance(lift, Lift):
        return f"by {lift.gear.name}"
    return "" if isinstance(lift, No) else who_takes_off(search.scene, part)


def _asked_for_its_way(search: Search, it: Worked) -> Worked:
    """Add that there is no way even were nothing loose on the floor, where it was not looked for."""
    route = next(iter(search.routes(it.option)), None)
    if it.attempt is not None or route is None or search.job.stop():
        return it
    body, proves = it.option.body, replace(search.job, proves=True)
    sides = search.sides_of(it.option.gear, body, it.option.minutes)
    for side in sides:  # forks from the others, too
        tried = attempt(proves, body, side.answer, route)
        if tried.verdict is not Verdict.NO:
            return it
    parts = (*it.parts, *without_way(search.situation(body, tried.gear, route, tried)))
    return replace(it, attempt=tried, parts=tuple(told_once(parts)))


def _too_low(search: Search, best: Worked) -> Worked:
    """Name the beams that refuse what the floor kernel refuses: asked again as if they were not there."""
    from shopbins.moves.tolerance import Asker
    from shopbins.moves.ways_out import WAY

    it = best.attempt
    if it is None or it.verdict is not Verdict.NO or it.ground is None or it.start is None or it.goal is None:
        return best
    low = [each for each in it.ground.fixed if each.base_mm > 0]
    top = low_top_mm(it.body, it.gear)
    if not low or top is None:
        return best
    job = search.job
    bare = replace(it.ground, fixed=tuple(each for each in it.ground.fixed if each not in low))
    way = Asker(bare, it.moving, it.start, it.goal, job.until, job.cancelled).goes(())
    if way.answer != "goes":
        return best
    met = [low[i] for i in in_the_way(it.moving, (), [each.outline for each in low], way.path)]
    about = search.situation(best.option.body, it.gear, it.route, it)
    rest = [p for p in best.parts if row_of(p).finding.rule != WAY.key]
    return replace(best, parts=(*rest, *(too_low(about, each, top) for each in met))) if met else best


def _too_wide(search: Search, best: Worked) -> Worked:
    """Say of what the floor kernel refuses by how much it is too wide, and where: asked again of a smaller
    body.
    """
    from shopbins.moves.tolerance import Asker, lacking
    from shopbins.moves.ways_out import WAY

    it = best.attempt
    if it is None or it.verdict is not Verdict.NO or it.ground is None or it.start is None or it.goal is None:
        return best
    job = search.job
    job.say(f"{best.option.gear.name}: by how much does it not go")
    found = lacking(Asker(it.ground, it.moving, it.start, it.goal, job.until, job.cancelled))
    pair = None if found is None else nearest_pair(search.scene, replace(it, found=found))
    if found is None or pair is None:
        return best
    lacks = -2 * found.grown_mm

    def told(part: Part) -> Part:
        row = row_of(part)
        if row.finding.rule != WAY.key or part.verdict is not Verdict.NO:
            return part
        text = f"{part.text}; about {lacks:.0f} mm too wide, at {pair[1]}"
        ends = f"{lacks:.0f} mm less at {pair[1]}", "another way"
        offs = tuple(p.called for p in it.body.parts)
        finding = replace(row.finding, text=text, measured=lacks, limit=0.0, unit="mm")
        return replace(part, text=text, evidence=replace(row, finding=finding, ends=ends, offs=offs))

    return replace(best, parts=tuple(told(p) for p in best.parts))
