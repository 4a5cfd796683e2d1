"""What shifts a thing out of the way: hands, or gear of the shop judged for it as it stands.

What goes onto its gear by jacks only, or over a slope or sill, is no short shift: it is moved first, a move
of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shopbins.answer import Verdict
from shopbins.geometry.shapes import contains
from shopbins.moves.attempt import Attempt, Job
from shopbins.moves.body import NotMovable, body
from shopbins.moves.finding import row_of
from shopbins.moves.fitted import JACKED
from shopbins.moves.gear import CARRIES, judge_sides
from shopbins.moves.hands import looked_at, team_for
from shopbins.moves.route import level_between
from shopbins.moves.shiftlist import HANDS_MM, By, Shifted, ShiftList
from shopbins.moves.situation import Situation
from shopbins.rules.hoisting import most_kg
from shopbins.rules.slopes import is_steep
from shopbins.scene.scene import Scene
from shopbins.shop.model import Gear, Zone
from shopbins.units import show_mass


def carried(job: Job, it: Attempt) -> Attempt:
    """Return an attempt in which everything that is shifted has what shifts it."""
    if it.shift is None:
        return it
    items = tuple(replace(each, by=shifted_by(job.scene, each, job.goal)) for each in it.shift.items)
    return replace(it, shift=ShiftList(items, it.shift.no_place))


def shifted_by(scene: Scene, each: Shifted, goal: Zone) -> By | None:
    """Return what shifts a thing: so many people, else the gear that surely takes it, else gear that may.

    Beyond those a team that somebody looks at, where HSE's MAC allows that; else nothing does. None where
    it is not weighed.
    """
    kg = each.mass_kg
    if kg is None or each.not_weighed:
        return None
    people = team_for(scene, kg, HANDS_MM)[0]
    if people:
        return By("hands", people=people)
    short, own, why = [], [], []
    crosses = _crosses(scene, each)
    for gear in scene.shop.gear.values():
        if gear.kind not in CARRIES or gear.kind == "by hand":
            continue
        verdict, said = _takes(scene, each, kg, gear, goal)
        if verdict is Verdict.NO:
            why.append(f"{gear.name}: {said}")
        elif crosses or gear.kind in JACKED:
            own.append((verdict, gear, said))
        else:
            short.append((verdict, gear, said))
    if short:
        verdict, gear, said = min(short, key=lambda found: max(found[0], Verdict.ASKED))
        sure = verdict <= Verdict.ASKED
        return By("gear" if sure else "looked at", gear=gear.name, why=said)
    if (team := looked_at(scene, kg)) is not None:
        return By("team", people=team.people)
    if own:
        why.append(crosses)
        return By(
            "own move", gear=min(own, key=lambda found: found[0])[1].name, why="; ".join(w for w in why if w)
        )
    return By("nothing", why="; ".join(why))


def _crosses(scene: Scene, each: Shifted) -> str:
    """Say which slope or sill lies between where a thing stands and its place; '' where none does."""
    shop = scene.shop
    kind, _, key = each.subject.partition(":")
    stands = scene.body(key) if kind == "group" else None
    zone = scene.zone(each.zone)
    start = None if stands is None else stands.room
    goal = None if zone is None else zone.room
    passed = {k for at in each.path for k, r in shop.rooms.items() if contains(r.outline, (at.x_mm, at.y_mm))}
    passed |= {key for key in (start, goal) if key is not None}
    for room in (shop.rooms[key] for key in sorted(passed)):
        if is_steep(room.slope):
            return f"it goes over the slope of {room.name}"
    if start is None or goal is None or level_between(shop, start, goal):
        return ""
    return f"a slope or sill lies between it and {shop.rooms[goal].name}"


def _takes(scene: Scene, each: Shifted, kg: float, gear: Gear, goal: Zone) -> tuple[Verdict, str]:
    """Return how surely a gear takes a thing as it stands, with what is said about that; its way aside."""
    kind, _, key = each.subject.partition(":")
    if kind == "group":
        known: dict[tuple[str, str, str], tuple[Verdict, str]] = scene.memo.setdefault("taken by", {})
        if (key, gear.key, goal.key) not in known:
            known[key, gear.key, goal.key] = _taken(scene, key, gear, goal)
        return known[key, gear.key, goal.key]
    most = most_kg(gear)
    each_of = gear.count or 1 if gear.kind == "skates" else 1
    if most is not None and kg > most * each_of * (1 + 1e-9):
        return Verdict.NO, f"it holds {show_mass(most * each_of)}"
    return Verdict.OPEN, "how it goes under, and where its centre of gravity is"


def _taken(scene: Scene, key: str, gear: Gear, goal: Zone) -> tuple[Verdict, str]:
    """Return how surely a gear takes a group from its best side, with what is said about that."""
    try:
        found = list(_sides(scene, key, gear, goal))
    except NotMovable as problem:
        return Verdict.OPEN, str(problem)
    return min(found, key=lambda side: max(side[0], Verdict.ASKED))


def _sides(scene: Scene, key: str, gear: Gear, goal: Zone) -> Iterator[tuple[Verdict, str]]:
    """Judge a gear with a group by all that needs no way, from every side that it goes in."""
    from shopbins.moves.criteria import judged

    it, own = body(scene, key), scene.shop.limits.moving
    for answer in judge_sides(gear, it.load, measured_mm=scene.shop.measured_mm, own=own):
        parts = list(judged(Situation(scene, it, answer, goal, ""), "gear"))
        worst = max((p.verdict for p in parts), default=Verdict.YES)
        told = [row_of(p).finding.text for p in parts if p.verdict is worst and worst > Verdict.YES]
        yield worst, "; ".join(dict.fromkeys(told))
