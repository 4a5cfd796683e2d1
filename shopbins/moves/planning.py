"""Does it go? Gear, route, what comes off first, what is shifted, each criterion judged.

What may be tried is put in order by the work it takes at least: parts off and on, lifts, pallet off. Each is
judged whole; the one that goes with least work is the answer. Gear that takes more work is worked out after
it, as long as there is time, to stand beside it with its work and what it lacks.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from shopbins.answer import Accepted, Answer, Part, Verdict
from shopbins.geometry.shapes import Outline
from shopbins.moves.attempt import Attempt, Job, nearest_pair
from shopbins.moves.body import As, Body, NotMovable, body, movable_whereabouts
from shopbins.moves.finding import MOVE, Row
from shopbins.moves.gear import CARRIES
from shopbins.moves.gearsearch import REST_S, Search
from shopbins.moves.nearest import nearest, with_offs
from shopbins.moves.onto import floor_before
from shopbins.moves.option import Option, Worked, with_off_words
from shopbins.moves.plan import Plan, Tried
from shopbins.moves.restson import beside
from shopbins.moves.situation import Onto
from shopbins.moves.stages import under_lines
from shopbins.rules.auditing import audit
from shopbins.scene.scene import Scene
from shopbins.shop.model import Door, Gear, Zone

LONGEST_S = 60.0


def plan(
    scene: Scene,
    group_id: str,
    zone_key: str,
    level: str = "",
    *,
    gear: str | None = None,
    turn_deg: float | None = None,
    as_: As = "tonight",
    base: bool = True,
    today: date | None = None,
    at_most_s: float = LONGEST_S,
    cancelled: Callable[[], bool] = lambda: False,
    say: Callable[[str], None] = lambda _text: None,
    accepted: Callable[[Row], Accepted | None] = lambda _row: None,
    first: Callable[[Plan], None] = lambda _plan: None,
) -> Plan:
    """Return whether and how a group goes to a zone of a floor or room, or onto a bench or shelf.

    `gear` is a key: only that one. `accepted` tells who accepted a condition, if anybody did. Where it goes
    and gear that takes more work is still to be looked at, `first` gets the answer so far. Raises NotMovable
    where the question makes no sense (no size, no place, no level named, no gear in the file).
    """
    began = time.perf_counter()
    whole = body(scene, group_id, as_=as_, base=base)
    goal, onto = _goal(scene, zone_key, level, whole.outline)
    level = "" if onto is not None else level
    why = movable_whereabouts(scene, whole)
    if why:
        raise NotMovable(why)
    day = today or date.today()
    say("what is found in the shop as it is")
    known = frozenset(f.id for f in audit(scene, day))
    job = Job(
        scene, goal, turn_deg, 2 * scene.shop.measured_mm, known, began + at_most_s, level, cancelled, say
    )
    search = Search(scene, group_id, goal, level, as_, base, job, day, accepted, onto)
    gears = _gears(scene, gear)
    best, of_gear, left = _best(search, gears)
    if best.verdict is Verdict.NO:
        best = with_offs(search, nearest(search, of_gear))

    def made(looking: Sequence[str] = ()) -> Plan:
        for each in of_gear.values():
            if each.option.answer.steering == "axis" and each.gains_across:
                sideways = "set across on the way, or askew, to go sideways unturned"
                job.missed[with_off_words(f"{each.option.gear.name}: {sideways}", each.option)] = None
        tried = _side_by_side(gears, of_gear, left, best)
        return _made(search, whole, best, tried, time.perf_counter() - began, looking)

    dearer = {} if best.verdict > Verdict.ASKED else _dearer(job, of_gear, left)
    if dearer:
        first(made([options[0].gear.name for options in dearer.values()]))
    for key, options in dearer.items():
        found = _rest(search, options)
        if found is not None:
            of_gear[key] = found
            best = min(best, found, key=lambda w: w.rank)
    return made()


def _dearer(
    job: Job, of_gear: Mapping[str, Worked], left: Mapping[str, list[Option]]
) -> dict[str, list[Option]]:
    """Return what is left of gear of which nothing was worked out and nothing forbids it at once. What lacks
    figures cannot be better than what goes: it is named, and no way looked for.
    """
    every = {key: [o for o in options if o.verdict is not Verdict.NO] for key, options in left.items()}
    every = {key: options for key, options in every.items() if options and key not in of_gear}
    told = {key: [o for o in options if o.verdict is not Verdict.OPEN] for key, options in every.items()}
    for key in every:
        if not told[key]:
            job.missed[f"{every[key][0].gear.name}: its way, as figures lack (--gear tells)"] = None
    return {key: options for key, options in told.items() if options}


def _rest(search: Search, options: Sequence[Option]) -> Worked | None:
    """Work gear that takes more work out, by its cheapest way first, as all stands: what would have to be
    shifted for it is more work still. None where there is no time for it.
    """
    job = replace(search.job.no_longer_than(REST_S), stands=True)
    search = replace(search, job=job)
    best: Worked | None = None
    for option in options:
        if search.no_nearer(option) or (option.answer.across and not search.gains_across(option)):
            continue
        if job.stop() or (best is not None and best.settles and not option.answer.across):
            break
        if best is not None and best.verdict <= Verdict.ASKED and option.minutes > best.option.minutes:
            break
        job.say(f"{option.gear.name}: does it go, too")
        found = search.work(option)
        best = found if best is None else min(best, found, key=lambda w: w.on_its_gear)
    if best is None or (best.verdict > Verdict.ASKED and job.stop()):
        job.missed[f"{options[0].gear.name}: time was up"] = None
    return best


def _goal(scene: Scene, zone_key: str, level: str, thing: Outline) -> tuple[Zone, Onto | None]:
    """Return the floor a move ends on, and the bench or shelf it is lifted onto from there."""
    goal = scene.zone(zone_key)
    if goal is None:
        raise NotMovable(f"the shop file has no place called '{zone_key}'")
    if goal.kind in ("floor", "room"):
        return goal, None
    there = goal.level(level)
    if there is None:
        raise NotMovable(
            f"which level of {goal.name}? ({', '.join(f'{goal.key}/{k}' for k in goal.level_keys)})"
        )
    onto = Onto(goal, there)
    before = floor_before(scene, onto, thing)
    if before is None:
        raise NotMovable(f"there is no floor of {goal.room} before {goal.name}")
    return before, onto


def _gears(scene: Scene, key: str | None) -> list[Gear]:
    every = [g for g in scene.shop.gear.values() if g.kind in CARRIES]
    if not every:
        raise NotMovable(
            "no truck or hoist is described yet: add yours on Move ('gear' in the menu of a)"
            " or in the shop file, as gear: {truck: {kind: pallet truck, capacity: 2 t}}"
        )
    if key is None:
        return every
    renamed = scene.shop.renamed.get(key, key)
    found = [g for g in every if g.key == renamed]
    found = found or [g for g in every if g.name.casefold() == key.casefold()]
    if len(found) != 1:
        raise NotMovable(
            f"the shop file has no gear called '{key}' to move on (it has {', '.join(g.key for g in every)})"
        )
    return found


def _best(search: Search, gears: Sequence[Gear]) -> tuple[Worked, dict[str, Worked], dict[str, list[Option]]]:
    """Work out options by the work they take at least, until none left could take less than the best.

    Returns the best, the best of each gear, and the options left of each.
    """
    options = [o for g in gears for o in search.options(g)]
    options.sort(key=lambda o: (max(o.verdict, Verdict.ASKED), o.hung, o.minutes))
    best: Worked | None = None
    looked = 0

    def so_far(text: str) -> None:
        goes = best is not None and best.verdict <= Verdict.ASKED
        first = f"it goes on {best.option.gear.name}" if goes and best is not None else "nothing goes so far"
        say(f"{first}, {looked} of {len(options)} ways looked at; {text}")

    say = search.job.say
    job = replace(search.job, say=so_far)
    search = replace(search, job=job)
    of_gear: dict[str, Worked] = {}
    goes_with: dict[tuple[str, float], Worked] = {}
    left: dict[str, list[Option]] = {}
    for (key, minutes), alike in itertools.groupby(options, key=lambda o: (o.gear.key, o.minutes)):
        sides = list(alike)
        goes = best is not None and best.verdict <= Verdict.ASKED
        hung = sides[0].hung
        dearer = goes and best is not None and (hung, minutes) >= (best.option.hung, best.minutes)
        firsts = [o for o in sides if not (o.answer.spare or o.answer.across or _settled(o, best))]
        if len(sides) > 1 and firsts and not dearer and not job.stop():
            job.say(f"{sides[0].gear.name}: from which side")
            first = search.first_side(firsts)
            sides.sort(key=lambda o: o is not first)
        for option in sides:
            looked += 1
            same = goes_with.get((key, minutes))
            enough = same is not None and (same.settles or search.never_level(option))
            if option.answer.across:
                enough = not search.gains_across(option)
            spared = dearer or _settled(option, best) or enough or search.no_nearer(option)
            if best is not None and (spared or job.out_of_time(option.gear.name)):
                left.setdefault(key, []).append(option)
                continue
            if option.verdict is not Verdict.NO:
                job.say(f"{option.gear.name}: does it go")
            found = search.work(option)
            if found.verdict <= Verdict.ASKED and (same is None or found.on_its_gear < same.on_its_gear):
                goes_with[key, minutes] = found
            if key not in of_gear or found.on_its_gear < of_gear[key].on_its_gear:
                of_gear[key] = found
            best = min(of_gear.values(), key=lambda w: w.rank)
    assert best is not None
    return best, of_gear, left


def _settled(option: Option, best: Worked | None) -> bool:
    """Tell whether an option cannot be better than what was worked out, whatever its way."""
    return best is not None and max(option.verdict, Verdict.ASKED) > max(best.verdict, Verdict.ASKED)


def _side_by_side(
    gears: Sequence[Gear], of_gear: Mapping[str, Worked], left: Mapping[str, list[Option]], best: Worked
) -> list[Tried]:
    return [_tried(of_gear[g.key], best) if g.key in of_gear else _left(left[g.key][0], best) for g in gears]


def _tried(it: Worked, best: Worked) -> Tried:
    gear = it.option.gear
    route = () if it.attempt is None or it.attempt.route is None else it.attempt.route.doors
    margin = None if it.attempt is None else it.attempt.found.clearance_mm
    shift = None if it.attempt is None or it.attempt.shift is None else len(it.attempt.shift.items)
    off = tuple(p.called for p in it.option.body.off)
    why = reasons(it.parts, it.verdict) if it.verdict > Verdict.YES else ""
    if it is not best and it.verdict <= Verdict.ASKED:
        more = f"{it.minutes:.0f} min of work, {best.minutes:.0f} with {best.option.gear.name}"
        why = f"{more}; {why}" if why else more
    name = it.option.answer.shown
    return Tried(gear.key, name, it.verdict, why, margin, off, shift, route, it.minutes)


def reasons(parts: Iterable[Part], verdict: Verdict) -> str:
    """Say what of parts is of a verdict, each once: one question may stand open for several checks."""
    return "; ".join(dict.fromkeys(part.text for part in parts if part.verdict is verdict))


def _left(option: Option, best: Worked) -> Tried:
    gear = option.gear
    why = reasons(option.parts, option.verdict) if option.verdict > Verdict.ASKED else ""
    looked = option.verdict is Verdict.NO
    if not looked:
        more = f"at least {option.minutes:.0f} min of work, {best.minutes:.0f} as chosen"
        why = f"{why}; {more}" if why else more
    return Tried(gear.key, gear.name, option.verdict, why, minutes=option.minutes, looked=looked)


def _made(
    search: Search,
    whole: Body,
    best: Worked,
    tried: Sequence[Tried],
    seconds: float,
    looking: Sequence[str],
) -> Plan:
    group, attempt = whole.group, best.attempt
    figures, lines = dict(best.figures), tuple[Outline, ...]()
    if attempt is not None and attempt.route is not None:
        about = search.situation(best.option.body, best.option.answer, attempt.route, attempt)
        lines = under_lines(replace(about, legs=best.legs))
        way = attempt.found.path, attempt.hull, lines
        figures |= beside(search.scene, group.id, attempt.route.rooms, *way)
    return Plan(
        answer=Answer(MOVE, best.parts),
        group=group.id,
        code=group.code,
        name=group.shown,
        place=search.goal.key,
        level=search.level,
        as_=search.as_,
        body=best.option.body,
        gear=best.option.answer,
        attempt=best.attempt,
        legs=best.legs,
        doors=_doors(search.scene, best.attempt),
        minutes=best.minutes,
        between=None if best.attempt is None else nearest_pair(search.scene, best.attempt),
        tried=tuple(tried),
        not_looked=tuple(search.job.missed),
        seq=search.scene.state.seq,
        seconds=seconds,
        looking=tuple(looking),
        onto=search.onto,
        figures=figures,
        lines=lines,
    )


def _doors(scene: Scene, it: Attempt | None) -> tuple[Door, ...]:
    return () if it is None or it.route is None else tuple(scene.shop.doors[key] for key in it.route.doors)
