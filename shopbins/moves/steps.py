"""A plan as steps to tick off, as kept in the ledger, in the order of work.

What stands in the way is cleared, what only a hoist takes off comes off and the hoist goes out again, the
other parts come off (none before what is over it; all that is judged is judged without them), the way is
made ready (leaf off, plates, then ramps at them), it is lifted onto its gear and lashed, then held by its
line (first chocked and held where it is lifted on a slope), it is moved (lines changed, straight gear set
round, plates and ramps taken up and laid again in the order of the way), let down, the gear comes out, on a
slope its line comes off, what was laid is taken up, parts and leaf go back on, what was shifted goes back
where that is free.

A step is a plain document: `what` (shift, take off, move, put back; 'do' where nothing is recorded but the
tick), `title`, `keep` (conditions to keep meanwhile), `needs` (ids of those to be accepted before the tick),
`spots` (points of the shop's floor that get a letter on the plan), `pose` (where it is set down, in the shop
frame), and what is then recorded, in the frame of the zone named.
"""

from __future__ import annotations

import itertools
from bisect import bisect_right
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shopbins.answer import Part
from shopbins.geometry.shapes import Outline, Point, Pose, bounds, placed, turned
from shopbins.ledger.docs import outline_doc, size_doc, where_doc, where_from
from shopbins.ledger.model import InZone, ThingPlace
from shopbins.ledger.whereabouts import place_said
from shopbins.moves.body import BEHIND, Projection
from shopbins.moves.crests import CREST
from shopbins.moves.crossings import (
    Together,
    between_halts,
    changed_at,
    crossings,
    is_at,
    places,
    rest_before,
    rounds,
    short_of_it,
)
from shopbins.moves.finding import row_of
from shopbins.moves.fits import SWINGS
from shopbins.moves.fitted import HOISTS, JACKED
from shopbins.moves.halts import HALT
from shopbins.moves.hands import looked_at, people_of
from shopbins.moves.hangs import HANGS
from shopbins.moves.heads import HEADS, JACKS
from shopbins.moves.hoisted import Lift
from shopbins.moves.kept import kept_at, kept_rolling
from shopbins.moves.laying import AT_ONCE, LAYS, UNDER_LEAF, who_lays
from shopbins.moves.layouts import with_laid
from shopbins.moves.legs import Turn
from shopbins.moves.lifting import ON_PACKING, PACKED_OVER_MM, loose_on
from shopbins.moves.lying import LIES
from shopbins.moves.offfirst import top_first
from shopbins.moves.onslopes import HANDLE
from shopbins.moves.overedges import LOOSE, SILL
from shopbins.moves.partsoff import (
    by_one,
    comes_back,
    hung_back_mm,
    lying_on,
    taken_kg,
    team_of,
    who_takes_off,
)
from shopbins.moves.plan import Plan, pose_json, pose_words
from shopbins.moves.plates import AT_PLATE, Laid, Ramps, to_5_mm
from shopbins.moves.pressing import BY_PLATE, COVER, PIT, rests_words
from shopbins.moves.remainder import left_of, moved_reference, where_left
from shopbins.moves.running import Hitch
from shopbins.moves.shiftlist import Shifted, shifted_scene
from shopbins.moves.situation import Situation, begins_on
from shopbins.moves.stages import PAST, Stage, halt_between, hitches, lacking, stages
from shopbins.moves.standing import UNEVEN, ZONE
from shopbins.moves.stilloff import BACK, LAID, still_laid, still_off, still_shifted
from shopbins.moves.ways_out import leaf_team
from shopbins.moves.where import where_at
from shopbins.placing.judging import judge, judge_thing
from shopbins.records.acts_move import on_gear, on_packing, planned
from shopbins.records.moving import moving_of
from shopbins.rules.finding import Finding
from shopbins.rules.say import listed
from shopbins.rules.slopes import is_steep
from shopbins.scene.frames import to_shop
from shopbins.scene.scene import Scene
from shopbins.shop.model import Anchor, Door, Room
from shopbins.units import show_length, show_mass, show_point

Step = dict[str, Any]


def steps_of(scene: Scene, plan: Plan) -> list[Step]:
    """Return the steps of a plan that goes, in the order to do them.

    Each has in `needs` the conditions, by id, that are to be accepted before it is ticked off: those written
    on it, and what else has to be so by then.
    """
    hoisted = [part for part in plan.off_first if part.called in plan.lifts]
    parts = top_first(plan.off_first, sooner=lambda part: part in hoisted)
    steps = [*(_shift(scene, each) for each in plan.shift), *_bared(scene, plan)]
    for part in parts:
        if part not in hoisted:
            steps.append(_off(scene, plan, part, last=part is parts[-1]))
            continue
        lift = plan.lifts[part.called]
        mine = [p for p in _conditions(plan, "move-part-off") if f"part:{part.called}" in p.subjects]
        hung = [
            p
            for p in _conditions(plan, *HUNG)
            if f"hoist:{lift.gear.key}" in p.subjects and "high" not in p.subjects
        ]
        steps.append(_do(f"{lift.gear.name} in to {part.name}, {_lift_words(lift)}", mine))
        steps += _hung_high(plan, part, f"lift {part.name} off", "back", ", then let it down low")
        off = _off(scene, plan, part, last=part is parts[-1])
        keep = f", then wheeled: {_words(hung)}" if hung else ""
        steps.append({**off, "title": f"{off['title']}{keep}", "needs": _ids(hung)})
        steps.append(_do(f"{lift.gear.name} out, to wait in {lift.waits_in} off the way"))
    it = situation(scene, plan)
    laid = _laid(plan, it)
    there = still_laid(scene.state, plan.group)
    steps += _ready(scene, plan, laid, there)
    lines, onto, lifted = _lines(it, plan, laid), list(_onto(scene, plan)), len(steps)
    on_slope = bool(plan.legs) and plan.legs[0].slope is not None  # lifted there, it is held first
    steps += lines.seen
    steps += [*_chocked(plan, 0), *lines.first, *onto] if on_slope else [*onto, *lines.first]
    moves = [*(_halted(scene, plan, halt) for halt in lines.halts), _move(scene, plan, lines.halts)]
    # set round where it starts, it does not roll yet
    rolls = sum(halt.place == (0, 0) for halt in lines.halts)
    for kept_on in kept_rolling(plan):
        for at in [rolls] if it is None else _rolls_with(it, lines.halts, kept_on):
            moves[at]["keep"] = [*moves[at].get("keep", ()), kept_on.text]
            moves[at]["needs"] = [*moves[at].get("needs", ()), *_ids([kept_on])]
    put_in = ["wedges"] if _wedged(plan, "start") else []
    put_in += ["chocks"] if lines.chocked or _chocks(plan, 0) else []
    out = _out_before(lines.halts, rolls, put_in)
    moves = [{**move, "title": f"{first}{move['title']}"} for first, move in zip(out, moves, strict=True)]
    rolling = len(steps) + rolls
    steps += moves
    first, last = lines.ends
    steps += [*_chocked(plan, -1), *([_do(first)] if first else [])]
    steps += [{**step, "gear": "off"} for step in _from(plan)]
    steps += [_do(last)] if last else []
    steps += [*_taken_up(laid[-1] if laid else (), there), *_up_besides(laid, there)]
    steps += _up_onto(plan)
    stays = [part for part in hoisted if not plan.lifts[part.called].back]
    backs = [part for part in reversed(parts) if part not in stays]
    for part in backs:
        for_it = {"for": part.name}
        steps += [{**s, **for_it} for s in (*_there(scene, plan, part), *_hoist_in(scene, plan, part))]
        steps.append(_back(scene, plan, part, first=part is parts[-1]))
        steps += [{**step, **for_it} for step in _hoist_out(plan, part)]
    steps += _still_off(scene, plan)
    steps += [_do(f"hang the leaf of {door.name} again, {leaf_team(scene, door)}") for door in _leaves(plan)]
    steps += [*_shifted_back(scene, plan), *_still_shifted(scene, plan)]
    _due(plan, steps, lifted, rolling)
    return [{key: value for key, value in step.items() if value} for step in steps]


def _hung_high(plan: Plan, part: Projection, lifted: str, way: str, then: str = "") -> list[Step]:
    """Say how a part hung from a hoist goes over the thing, as high as it sits there."""
    mine = [p for p in _conditions(plan, SWINGS.key) if {f"part:{part.called}", "high"} <= set(p.subjects)]
    if not mine:
        return []
    far = hung_back_mm(plan.body, part, plan.lifts[part.called])
    over = show_length(part.from_mm)
    return [_do(f"{lifted}, {way} {show_length(far)} with it hung over {over}{then}", keep=mine)]


def _due(plan: Plan, steps: Sequence[Step], lifted: int, rolling: int) -> None:
    """Let each condition be accepted by the first step it is written on; what is written on none by the step
    it is about: things shifted and parts by theirs, what is about the way before it rolls, all else before
    it is lifted.
    """
    left = dict.fromkeys(_ids(plan.conditions))
    for step in steps:
        step["needs"] = [each for each in dict.fromkeys(step.get("needs", ())) if each in left]
        for each in step["needs"]:
            del left[each]
    for part in plan.conditions:
        key, rule = row_of(part).finding.id, row_of(part).finding.rule
        if key in left:
            at = next((n for n, step in enumerate(steps) if _about(part, step)), None)
            if at is None:
                at = rolling if rule in ROLLS else lifted
            steps[min(at, len(steps) - 1)]["needs"].append(key)


def _rolls_with(it: Situation, halts: Sequence[Halt], part: Part) -> list[int]:
    """Return which of the rolls between halts, the last to the goal, go where a condition is kept."""
    order, ends = places(it), [halt.place for halt in halts]
    return sorted({bisect_right(ends, order[n]) for n in kept_at(it, part)})


def _about(part: Part, step: Step) -> bool:
    """Tell whether a condition is about what a step shifts, takes off or puts back."""
    rule, about = row_of(part).finding.rule, part.subjects
    if rule == "move-shift":
        return bool(step["what"] == "shift")
    if rule in ("move-part-off", "move-part-place", HALT.key):
        what = "put back" if {"back", "brought"} & set(about) else "take off"
        return step["what"] == what and f"part:{step.get('called')}" in about
    return False


def _ids(parts: Sequence[Part]) -> list[str]:
    return [row_of(part).finding.id for part in parts]


def keep_words(step: Mapping[str, Any], *others: str) -> str:
    """Say what is kept while a step is done, then what else is said of it: '' where nothing is."""
    keep = f"keep: {'; '.join(step['keep'])}" if step.get("keep") else ""
    return ". ".join(filter(None, (keep, *others)))


def shift_numbers(plan: Plan) -> dict[str, int]:
    """Return which step shifts what, by the subject of the thing: what stands in the way is cleared first."""
    found: dict[str, int] = {}
    for n, each in enumerate(plan.shift, 1):
        found.setdefault(each.subject, n)
    return found


def situation(scene: Scene, plan: Plan) -> Situation | None:
    """Return what a plan is about, with what is laid on its way."""
    zone = scene.zone(plan.place)
    if zone is None:
        return None
    route = None if plan.attempt is None else plan.attempt.route
    return with_laid(Situation(scene, plan.body, plan.gear, zone, plan.level, route, plan.attempt, plan.legs))


def _do(
    title: str, parts: Sequence[Part] = (), spots: Iterable[Point] = (), keep: Sequence[Part] = ()
) -> Step:
    """Return a step of which nothing is recorded but the tick, with the conditions that are written on it,
    the points it names besides theirs, and the conditions kept meanwhile.
    """
    named = dict.fromkeys((*spots, *(spot for part in parts for spot in row_of(part).spots)))
    return {
        "what": "do",
        "title": title,
        "keep": [p.text for p in keep],
        "needs": _ids([*parts, *keep]),
        "spots": [list(spot) for spot in named],
    }


def _words(parts: Sequence[Part]) -> str:
    return "; ".join(dict.fromkeys(p.text for p in parts))


def _conditions(plan: Plan, *rules: str) -> list[Part]:
    """Return the conditions of some checks."""
    return [p for p in plan.conditions if row_of(p).finding.rule in rules]


def _leaves(plan: Plan) -> list[Door]:
    if plan.attempt is None or plan.attempt.ground is None:
        return []
    off = plan.attempt.leaves_off
    return [d for d in plan.doors if d.key in off]


def _ready(
    scene: Scene, plan: Plan, laid: Sequence[Sequence[Lying]], there: Collection[str] = ()
) -> Iterator[Step]:
    """Say what is made ready before it is lifted."""
    leaves = _conditions(plan, "move-door-leaf")
    for door in _leaves(plan):
        who = leaf_team(scene, door)
        yield _do(f"take the leaf of {door.name} off, {who}, off the way and the ways out", leaves)
    yield from _lay(laid[0] if laid else (), there)
    for part in _conditions(plan, LAID.key):
        yield _do(f"see to: {part.text}", [part])
    said = [part for some in laid for *_, mine in some for part in mine]
    rules = ("door-sill", "move-cover", "move-outdoors", "move-edge", "move-loose-inside", "move-floor-even")
    for part in _conditions(plan, *rules, PIT.key, UNEVEN.key, LOOSE.key, LIES.key, "move-told-before"):
        if part not in said and not _pulls_over(part) and "bare" not in part.subjects:
            yield _do(f"see to: {part.text}", [part])


Lying = tuple[str, Laid | Ramps, str, list[Part]]
"""What is laid on the way, in words and as it lies, who lays it and the conditions that it is."""


def _laid(plan: Plan, it: Situation | None) -> list[list[Lying]]:
    """Return what is laid at once on the way, each time: plates over covers, then ramps, as they lean on
    those, both in the order of the way.
    """
    if it is None:
        return []
    over = _conditions(plan, COVER.key, SILL.key)
    by = [*_conditions(plan, LAYS.key, UNDER_LEAF.key), *_at_once(plan, counted=False)]

    def lying(lies: Laid | Ramps) -> Lying:
        mine = [p for p in by if f"gear:{lies.gear.key}" in p.subjects]
        if isinstance(lies, Laid):
            about = {*it.subjects, *lies.covers, BY_PLATE}
            words = f"{lies.words}, {rests_words(lies)}"
        else:
            about = {*it.subjects, *lies.edge.subjects, f"gear:{lies.gear.key}"}
            words = f"{lies.words}{lies.packing}"
        return words, lies, who_lays(it, lies.gear), [p for p in over if _told_of(p) == about] + mine

    def then(lies: Laid | Ramps) -> tuple[bool, bool]:
        return isinstance(lies, Ramps), isinstance(lies, Ramps) and lies.edge.is_sill

    every = ([lies for each in some for lies in each.lies] for some in rounds(crossings(it)))
    return [[lying(lies) for lies in sorted(some, key=then)] for some in every]


def _at_once(plan: Plan, *, counted: bool) -> list[Part]:
    """Return what is asked of plates and ramps that are laid again, or of those that nobody counted."""
    return [p for p in _conditions(plan, AT_ONCE.key) if ("count" not in p.subjects) is counted]


def _lay(some: Iterable[Lying], there: Collection[str] = ()) -> Iterator[Step]:
    """Say how what lies at once is laid, or, of what lies `there` already, that it is looked at."""
    for words, lies, who, mine in some:
        corners = [to_5_mm(piece.corner) for piece in lies.pieces]
        title = f"lay {words}, held from creeping{who}: {lies.where}"
        if words in there:
            title = f"{words} lie there still: looked at, held from creeping: {lies.where}"
        yield {**_do(title, mine, corners), "lays": words}


def _taken_up(some: Sequence[Lying], there: Collection[str] = ()) -> Iterator[Step]:
    """Say how what lies at once is taken up, the other way round, and that an open pit is guarded then."""
    for words, lies, who, _ in reversed(some):
        guarded = ""
        if isinstance(lies, Laid) and lies.over_open:
            guarded = f"; {lies.name} is open again: a barrier all round it, or somebody to guard it"
        yield {**_do(f"take up {words}{who}{guarded}"), "takes up": words, "lies": words in there}


def _up_besides(laid: Sequence[Sequence[Lying]], there: Sequence[str]) -> Iterator[Step]:
    """Say that what the move planned before laid, and this one does not go over, is taken up."""
    here = {words for some in laid for words, *_ in some}
    for words in there:
        if words not in here:
            yield {
                **_do(f"take up {words}, laid for the move planned before"),
                "takes up": words,
                "lies": True,
            }


def _told_of(part: Part) -> set[str]:
    """Return what a condition is about, but for where it goes."""
    return {subject for subject in part.subjects if subject.partition(":")[0] not in ("zone", "level")}


def _pulls_over(part: Part) -> bool:
    """Tell whether a condition is what pulls wheels over an edge."""
    found = row_of(part).finding
    return found.rule == SILL.key and found.unit == "N"


def _chocked(plan: Plan, end: int) -> Iterator[Step]:
    """Say how it is chocked where the first (0) or the last leg (-1) lies on a slope, before it is lifted or
    let down there.
    """
    yield from (_do(f"make fast: {p.text}", [p]) for p in _chocks(plan, end))


def _chocks(plan: Plan, end: int) -> list[Part]:
    """Return how it stands on a slope at the first (0) or the last leg (-1)."""
    slope = plan.legs[end].slope if plan.legs else None
    return [p for p in _conditions(plan, "move-turns-on-slope") if is_steep(slope) and "stands" in p.subjects]


def _wedged(plan: Plan, end: str) -> list[Part]:
    """Return what has to be so where it is jacked on a fall: at its start, at its goal or on its way; and who
    is not below it there.
    """
    wedged = [p for p in _conditions(plan, "move-turns-on-slope") if {"jacked", end} <= set(p.subjects)]
    rooms = {each for p in wedged for each in p.subjects if each.startswith("room:")}
    return wedged + [p for p in _conditions(plan, HANDLE.key) if rooms & set(p.subjects)]


@dataclass(frozen=True, slots=True)
class Halt:
    """Where something is done on the way: before which leg of it, or before a pose on that; in which room
    (its key), and what; of two there, the lower `rank` first. `rest` is where it comes to stand by that step
    (None: where it stands already): recorded with its tick. `stands`: it does not roll for it. `out` is what
    is put under its wheels there: who leaves off leaves it so, as it comes out with the next step that rolls.
    """

    before: int
    rank: int
    room: str
    step: Step
    pose: int = 0
    rest: Pose | None = None
    stands: bool = False
    out: tuple[str, ...] = ()

    @property
    def place(self) -> tuple[int, int]:
        """The leg and the pose on it."""
        return self.before, self.pose


CHOCKS = ("chocks",)


def _out_before(halts: Sequence[Halt], rolls: int, put_in: Sequence[str]) -> Iterator[str]:
    """Say what comes out from under its wheels before it rolls to each halt, and to the goal; `put_in` is
    what it stands on from its start, before the halt with the number `rolls`.
    """
    under: set[str] = set()
    for n, halt in enumerate((*halts, None)):
        under |= set(put_in) if n == rolls else set()
        if halt is not None and halt.stands:
            yield ""
        else:
            yield f"{' and '.join(sorted(under, reverse=True))} out; " if under else ""
            under = set()
        under |= set() if halt is None else set(halt.out)


@dataclass(frozen=True, slots=True)
class Lines:
    """What is said of lines: what is seen to before it is lifted; what is made fast before it goes; where it
    halts on the way, in order; where it ends on a slope, before it is let down there and after, '' where that
    is nothing.

    `chocked` tells that it stands chocked from its start, on a slope, until it rolls.
    """

    seen: tuple[Step, ...]
    first: tuple[Step, ...]
    halts: tuple[Halt, ...]
    ends: tuple[str, str]
    chocked: bool = False


def _lines(it: Situation | None, plan: Plan, laid: Sequence[Sequence[Lying]]) -> Lines:
    """Say what holds and pulls it in each stage of the way, and where it halts: chocked, for a line to be
    changed, or set round.

    None pulls while it stands on jacks on the level. Before a slope, every wheel still off it, the line that
    holds it is on and tight; past it, every wheel off it again, it is chocked before that comes off. Where it
    ends on a slope the line comes off last. What pulls it over an edge is on before that, once another line
    was. It halts on the floor, on nothing laid there, where there is room for that; where there is none
    between two edges, what is for the second is on before the first. Common practice, no source.
    """
    if it is None:
        return Lines((), (), (), ("", ""))
    every, over_all, order = stages(it), crossings(it), places(it)
    left = _conditions(plan, "runs-downhill", "move-push", "move-lines", HEADS.key, PAST.key, CREST.key)
    left += [p for p in _conditions(plan, SILL.key) if _pulls_over(p)]
    said: list[Step] = []
    halts: list[Halt] = []
    tied: tuple[Anchor, ...] = ()
    for n, stage in enumerate(every):
        mine = [p for p in left if _serves(p, stage)]
        left = [p for p in left if p not in mine]
        words, pulls = _words(mine), hitches(it, stage)
        lacks = [[p for p in left if lacking(it, pull) in p.subjects] for pull in pulls]
        left = [p for p in left if not any(p in some for some in lacks)]
        spots: tuple[Point, ...] = ()
        mine += lacks[0] if lacks else []
        held = () if stage.line is None else stage.line.anchors
        fast = pulls[0].line.anchors if pulls and pulls[0].line is not None else ()
        stays = bool(fast) and fast == tied and fast != held
        if pulls and pulls[0].words not in words and not (fast and fast == held):
            pulled = f"{pulls[0].words} stays on" if stays else pulls[0].words
            words, spots = "; ".join(filter(None, (words, pulled))), pulls[0].spots
        tied = pulls[-1].line.anchors if pulls and pulls[-1].line is not None else held
        said.append(_do(_stage_words(every[n - 1] if n else None, stage, words, stays), mine, spots))
        halts += [_changed(it, stage, *each, over_all) for each in zip(pulls[1:], lacks[1:], strict=True)]
    for (before, stage), step in zip(itertools.pairwise(every), said[1:], strict=True):
        past = before.held and not stage.held
        at = before.at[1] + 1 if past else stage.at[0]
        if step["title"]:
            step["title"] += _on_the_floor(it, over_all, at)
            room = it.legs[at if past else at - 1].room
            out = CHOCKS if before.held or stage.held else ()
            halts.append(_between(it, at, step, room, before, stage, out=out))
    ends = ("", "")
    if every and every[-1].held:
        last, at = every[-1], every[-1].at[1] + 1
        if at < len(it.legs) and not it.on(last.legs[0].room, it.path[-1:]):
            title = f"{_past(last, 'line off')}{_on_the_floor(it, over_all, at)}"
            halts.append(_between(it, at, _do(title), it.legs[at].room, last, out=CHOCKS))
        elif last.line:
            ends = "chock both ways where it ends, line on", "line off, once it stands chocked on the floor"
    halts += _set_round(it, plan, every)
    halts += _laid_again(it, _at_once(plan, counted=True), laid, every, over_all)
    laid_before = {some[0] for some in rounds(over_all)[1:]}
    for some in between_halts(over_all):
        over = [[p for p in left if is_at(each, p.subjects)] for each in some]
        asked = [p for mine in over for p in mine]
        again = some[0] in laid_before
        if not some[0].first:
            continue
        at = (rest_before if again else short_of_it)(it, over_all, some)
        leg, pose = order[at]
        on = bool(asked) and any(halt.place <= order[some[0].first] for halt in halts)
        if on:
            left = [p for p in left if p not in asked]
        if on:
            title = f"on: {'; '.join(_over_edges(some, over))}"
            chock = _chock(next((s for s in every if s.at[0] <= leg <= s.at[1]), None))
            title = title if again else f"{_before(it, some, at)}: {chock}; {title}"
            spots = () if again else (it.legs[leg].poses[pose][:2],)
            same = next((h for h in halts if h.place == (leg, pose) and h.rank == CHANGED), None)
            if same is not None and not again:  # one halt: chocked once, all on
                halts.remove(same)
                on_too = "; ".join(_over_edges(some, over))
                step = _do(f"{same.step['title']}; {on_too}", asked, [(x, y) for x, y in same.step["spots"]])
                step["needs"] = [*same.step["needs"], *step["needs"]]
                halts.append(replace(same, step=step))
                continue
            rest = None if again else it.legs[leg].poses[pose]
            room_key = it.legs[leg].room.key
            halts.append(Halt(leg, 4, room_key, _do(title, asked, spots), pose, rest, again, CHOCKS))
    first = [_do(f"see to: {p.text}", [p]) for p in left]
    halts.sort(key=lambda halt: (*halt.place, halt.rank))
    chocked = bool(every) and every[0].held and every[0].at[0] == 0
    made_fast = bool(every) and every[0].line is not None
    begins = tuple(step for step in said[:1] if step["title"])
    if made_fast:
        return Lines(tuple(first), begins, tuple(halts), ends, chocked)
    return Lines((*first, *begins), (), tuple(halts), ends, chocked)


def _between(
    it: Situation,
    leg: int,
    step: Step,
    room: Room,
    before: Stage,
    then: Stage | None = None,
    *,
    out: tuple[str, ...],
) -> Halt:
    """Say what is done before a leg, between two stages, and where it stands then."""
    at = halt_between(it, before, then)
    if at is None:
        return Halt(leg, 0, room.key, step, out=out)
    there, pose = places(it)[at]
    return Halt(leg, 0, it.legs[there].room.key, step, rest=it.legs[there].poses[pose], out=out)


def _changed(it: Situation, stage: Stage, pull: Hitch, lacks: Sequence[Part], over_all: Together) -> Halt:
    """Say where another line pulls it than before, in one stage."""
    here, entering = changed_at(it, over_all, pull.at)
    at, pose = places(it)[here]
    leg = it.legs[at]
    spot = (leg.poses[pose].x_mm, leg.poses[pose].y_mm)
    where = show_point(round(spot[0]), round(spot[1]))
    title = f"roll it to {where}: {_chock(stage)}, then change the line: {pull.words}"
    on_it = "" if entering else _on_the_floor(it, over_all, pull.at)
    step = _do(f"{title}{on_it}", lacks, (spot, *pull.spots))
    return Halt(at, CHANGED, leg.room.key, step, pose, leg.poses[pose], out=CHOCKS)


CHANGED = 2
"""The rank of a halt at which a line is changed."""


def _chock(stage: Stage | None) -> str:
    """Say how it is chocked at a halt in a stage of the way."""
    if stage is None or not stage.held:
        return "chock"
    return f"chock both ways, {'line' if stage.line else 'brake'} on"


def _on_the_floor(it: Situation, every: Together, leg: int) -> str:
    """Say what it has to be off besides where it halts before a leg; '' where it is over nothing there."""
    place = places(it).index((leg, 0))
    near = [each.name for each in every if each.first <= place <= each.last]
    return f"; it halts on the floor, no wheel on {' or '.join(near)}" if near else ""


def _laid_again(
    it: Situation,
    asked: Sequence[Part],
    laid: Sequence[Sequence[Lying]],
    every: Sequence[Stage],
    over_all: Together,
) -> Iterator[Halt]:
    """Say where what lies behind it is taken up and laid again before it goes on."""
    order = places(it)
    for some, (behind, ahead) in zip(rounds(over_all)[1:], itertools.pairwise(laid), strict=True):
        at = rest_before(it, over_all, some)
        leg, pose = order[at]
        chock = _chock(next((s for s in every if s.at[0] <= leg <= s.at[1]), None))
        off = " and off the slope" if some[0].halt + 1 < some[0].first else ""
        halt = _do(f"{_before(it, some, at)}{off}: {chock}", asked, [it.legs[leg].poses[pose][:2]])
        steps = [halt, *_taken_up(behind), *_lay(ahead)]
        rests = [it.legs[leg].poses[pose], *(None for _ in steps[1:])]
        room = it.legs[leg].room.key
        for each, rest in zip(steps, rests, strict=True):
            yield Halt(leg, 3, room, each, pose, rest, rest is None, CHOCKS)


def _before(it: Situation, some: Together, at: int) -> str:
    leg, pose = places(it)[at]
    here = it.legs[leg].poses[pose]
    where = show_point(round(here.x_mm), round(here.y_mm))
    return f"roll it to {where}, before {some[0].name}, every wheel on the floor"


def _over_edges(some: Together, over: Sequence[Sequence[Part]]) -> Iterator[str]:
    """Say what is put on for edges with no room to halt between, where a line came off before."""
    if over[0]:
        yield _words(over[0])
    for before, each, mine in zip(some, some[1:], over[1:], strict=False):
        if mine:
            yield f"for {each.name}, no halt before it, the rear still on {before.name}: {_words(mine)}"


def _holds(part: Part) -> bool:
    return row_of(part).finding.rule == "runs-downhill"


def _serves(part: Part, stage: Stage) -> bool:
    """Tell whether a condition is about what holds or pulls it in a stage, not at a sill or plate of it."""
    if any(subject.startswith("door:") or subject == AT_PLATE for subject in part.subjects):
        return False
    found = row_of(part).finding
    room = found.room
    if found.rule == CREST.key:
        return any(leg.room.key == room for leg in stage.legs)
    if _holds(part):
        return stage.held and room == stage.legs[0].room.key
    alike = [leg for leg in stage.legs if f"leg:{leg.way}" in part.subjects]
    return bool(alike) and (stage.winch_n > 0 or any(leg.room.key == room for leg in alike))


def _stage_words(before: Stage | None, stage: Stage, words: str, stays: bool) -> str:
    """Say what is done before a stage: '' where that is nothing. `stays`: the line that was on stays on."""
    room = stage.legs[0].room.name
    if before is None:
        return words and f"{'make fast' if stage.line else 'see to'}: {words}"
    past = before.legs[0].room.name
    if stage.held and before.held:
        return f"between {past} and {room}: chock both ways; {words}; line on and tight"
    if stage.held:
        tight = "line on and tight" if stage.line else "tried"
        return f"roll it as far as {room}, every wheel off it: chock; {words}; {tight}"
    if before.held:
        then = f"change the line: {words}" if words else "change the line" if stage.winch_n else "line off"
        then = words if stays else then
        return _past(before, then)
    return words and f"see to: {words}"


def _past(before: Stage, then: str) -> str:
    """Say where what held it on a slope comes off."""
    way, past = "down" if before.down else "up", before.legs[0].room.name
    off = f", then {then}" if before.line else ""
    return f"{way} {past} until every wheel is off it: chock{off}"


JACKING = ("move-jacking", JACKS.key)
"""Checks whose conditions are of the jacking itself, wherever it is jacked."""
MEANWHILE = ("move-tips-jacked", "move-fall-zone")
"""Checks whose conditions are kept while it is jacked or hung."""
HUNG = ("gear-holds", "move-swings", "move-fall-zone")
"""Checks whose conditions are kept while a part hangs from a hoist."""


def _meanwhile(plan: Plan, *rules: str) -> list[Part]:
    """Return the conditions of the thing itself, and of no part, that are kept while it is jacked or hung."""
    every = _conditions(plan, *rules, *MEANWHILE)
    return [p for p in every if not any(subject.startswith("hoist:") for subject in p.subjects)]


def _onto(scene: Scene, plan: Plan) -> Iterator[Step]:
    """Say how it comes onto its gear, or that it stands on it already, as where it halted."""
    tied = _conditions(plan, "move-skates-tied")
    before = on_gear(scene.state, plan.group)
    hung, base = plan.gear.gear.kind in HOISTS, moving_of(plan.body.group).base
    if begins_on(scene, plan.body, plan.gear):
        if not hung:
            left = "chocks out before it rolls, its line never slack, lashing off before it is let down"
            yield _do(f"it stands on {plan.gear.shown} where it halted: looked at; {left}", tied)
        else:
            yield _do(f"it hangs from {plan.gear.shown} where it halted: looked at", keep=_slung(plan))
            if not plan.body.base and base is not None:
                yield from _base_out(plan, _slung(plan))
                yield _do(f"let it down {_low(plan)}", keep=_slung(plan))
    else:
        if before is not None:
            onto = "the floor or packing"
            if base is not None and not before["base"]:  # hung over it, unbolted
                onto = f"{base.name}, bolted on again"
            yield {**_do(f"off {before['gear']} first, down onto {onto}"), "gear": "off"}
        packed = on_packing(scene.state, plan.group)
        mine = _conditions(plan, ON_PACKING.key)
        if packed:
            yield _do(f"it stands on {show_length(packed)} of packing where it was left: looked at", mine)
        if packed and plan.gear.gear.kind not in JACKED:
            yield {**_do("jack one end at a time, 25 mm each, off the packing"), "gear": "off"}
        steps = list(_lifted_onto(plan, tied, packed))
        on = 0 if hung else len(steps) - 1  # what is slung hangs from the first step on
        yield from steps[:on]
        yield from ({**step, "gear": "on"} for step in steps[on:])
    for part in _conditions(plan, "move-lashing"):
        yield _do(f"make fast: {part.text}", [part])


def _lifted_onto(plan: Plan, tied: Sequence[Part], packed_mm: float) -> Iterator[Step]:
    """Say how it comes onto its gear from the floor, or from packing of some height."""
    gear, kind = plan.gear.gear.name, plan.gear.gear.kind
    if not plan.body.base:
        for step in _off_its_base(plan):
            packed_mm = step.get("packing", packed_mm)
            yield step
    if kind in JACKED:
        high = 0.0 if plan.gear.up_mm is None else plan.gear.up_mm[1]
        mine = [*_wedged(plan, "start"), *_meanwhile(plan, *JACKING)]
        how = "" if mine else ": packing follows at once"
        if packed_mm < high + 10:
            up = f"jack one end at a time, 25 mm each, to {high + 10:.0f} mm{how}"
            yield {**_do(up, keep=mine), "packing": high + 10}
        bears = "plate" if plan.gear.across else "runners"
        under = {
            "skates": "under its points, let down onto them, tied together",
            "trolley": "under it, its middle below the centre of gravity, let down onto it",
        }.get(kind, f"under its {bears}, let down onto them, square to the way")
        if plan.gear.across:
            box = bounds(plan.body.outline)
            first = "long side" if box.wide_mm >= box.deep_mm else "short end"
            under = f"set across, to roll {first} first: {under}"
        yield _do(f"{gear} {under}", tied)
    elif kind == "pallet truck":
        opening = plan.gear.opening.removesuffix(BEHIND)
        side = f" ({', '.join(filter(None, (opening, _entered_from(plan))))})"
        aside = f", forks {plan.gear.forks_set}" if plan.gear.forks_set else ""
        yield _do(f"{gear} in{side} up to the heels{aside}, lift just off the ground, look, then go")
    elif kind in HOISTS:
        low, keep = _low(plan), _slung(plan)
        if plan.body.base:
            yield _do(f"sling it to {gear}, lift it {low}, look whether it hangs level", keep=keep)
        else:
            yield _do(f"let it down {low}", keep=keep)
    elif kind == "by hand":
        yield _do("grip it, lift together on one word")


def _slung(plan: Plan) -> list[Part]:
    """Return what is kept while it hangs."""
    return _meanwhile(plan, "move-slings", HANGS.key, "move-swings")


def _low(plan: Plan) -> str:
    """Say how low it is carried: slings that stand too flat so high carry it lower."""
    flat = any("beam" in part.subjects for part in _slung(plan))
    return "just off the floor" if flat else "a hand's breadth (100 mm) off the floor"


def _off_its_base(plan: Plan) -> Iterator[Step]:
    """Say how it is lifted off its pallet or skid, by its hoist, which is the lift that tries how it hangs,
    or on jacks, and that this comes out: ticked, it is off the record.
    """
    gear, kind, down = plan.gear.gear.name, plan.gear.gear.kind, plan.body.down_mm
    base, high = _conditions(plan, "move-base-off"), down + PACKED_OVER_MM
    if kind in HOISTS:
        mine = _slung(plan)
        up = f"lift it just clear of it, {high:.0f} mm over the floor, look whether it hangs level"
        yield _do(f"unbolt its base, sling it to {gear}, {up}", base, keep=mine)
    else:
        mine = [*_wedged(plan, "start"), *_meanwhile(plan, *JACKING)]
        up = f"unbolt its base, jack one end at a time, 25 mm each, to {high:.0f} mm, packing follows at once"
        yield {**_do(up, base, keep=mine), "packing": high}
    yield from _base_out(plan, mine)


def _base_out(plan: Plan, keep: Sequence[Part]) -> Iterator[Step]:
    """Say that its pallet or skid comes out from under it: ticked, it is off the record."""
    down, told = plan.body.down_mm, moving_of(plan.body.group).base
    if told is None:
        yield _do("base out, nobody under it", keep=keep)
        return
    size, group = left_of(plan.body).size, plan.body.group.known_size
    if not plan.body.off and group is not None:
        size = group._replace(height_mm=group.height_mm - down)
    yield {
        **_do(f"{told.name} out, nobody under it", keep=keep),
        "base": "off",
        "size": size_doc(size),
    }


def _entered_from(plan: Plan) -> str:
    """Say from which side of the plan forks go in where it starts."""
    if plan.gear.heel is None or not plan.path:
        return ""
    start = plan.path[0]
    x, y = turned((plan.gear.heel,), start.turn_deg)[0]
    side = ("left", "right")[x > 0] if abs(x) >= abs(y) else ("bottom", "top")[y > 0]
    return f"from the {side} of the plan"


def _set_round(it: Situation, plan: Plan, every: Sequence[Stage]) -> Iterator[Halt]:
    """Say where gear that only rolls straight on is set round: with what holds it on, where any of it stands
    on a slope, and wedged where it is jacked on a fall; all that is kept while it is jacked is kept there.
    """
    asked, wedged = _conditions(plan, "move-set-round"), _wedged(plan, "way")
    jacked = it.kind in JACKED[:2]
    keep = _meanwhile(plan, *JACKING) if jacked else []
    gear, set_so = it.gear.gear.name, "across" if it.gear.across else "along"
    for turn in it.set_round:
        at = show_point(round(turn.pose.x_mm), round(turn.pose.y_mm))
        by = f"{abs(turn.by_deg):.0f} deg {'left' if turn.by_deg > 0 else 'right'}"
        on = next((s for s in every if s.held and _turns_in(it, turn, s)), None)
        chock = "chock" if it.legs[turn.at].slope is None else "chock both ways"
        chock = chock if on is None else _chock(on)
        mine = [p for p in wedged if it.on(it.scene.shop.rooms[row_of(p).finding.room or ""], turn.poses)]
        if jacked:
            how = f"{chock}, {''.join(f'{p.text}, ' for p in mine)}jack one end at a time, {gear} round its "
            how += f"middle, turn it {by}, {gear} {set_so} again"
        else:
            how = f"{chock}, turn it {by} on {gear} by the bar"
        before, rank = turn.at, 1
        if on is not None and turn.at > on.at[1]:
            before, rank = on.at[1] + 1, -1
        elif on is not None:
            before = max(turn.at, on.at[0])
        rolled = "at" if turn.at == 0 else "roll it to"
        step = _do(f"{rolled} {at}: {how}", [*asked, *mine], [(turn.pose.x_mm, turn.pose.y_mm)], keep)
        step["spots"] = step["spots"][:1]  # the condition names every turn
        out = (*(["wedges"] if mine else []), *CHOCKS)
        room = it.legs[turn.at].room.key
        yield Halt(before, rank, room, step, rest=turn.pose, stands=turn.at == 0, out=out)


def _turns_in(it: Situation, turn: Turn, stage: Stage) -> bool:
    """Tell whether any of it stands on the floor of a stage while it turns."""
    within = stage.at[0] <= turn.at <= stage.at[1]
    return within or bool(it.on(stage.legs[0].room, turn.poses))


def _from(plan: Plan) -> Iterator[Step]:
    """Say how it comes off its gear."""
    gear, kind = plan.gear.gear.name, plan.gear.gear.kind
    stood = [p for p in _conditions(plan, "stands", "move-at-goal") if "start" not in p.subjects]
    if _conditions(plan, "move-lashing"):
        held = f"what holds it now on {plan.name} itself; " if _wedged(plan, "goal") else ""
        yield _do(f"{held}lashing off, once it stands chocked", keep=_wedged(plan, "goal"))
    if kind in JACKED:
        keep = [*_wedged(plan, "goal"), *_meanwhile(plan, *JACKING)]
        shim = "shim until every foot carries"
        title = f"jack one end at a time, {gear} out, down onto the floor or packing, {shim}"
        yield _do(title, stood, keep=keep)
    elif kind == "pallet truck":
        yield _do(f"let it down, {gear} out straight backwards", stood)
    elif kind in HOISTS:
        yield _do(f"let it down, slings off, {gear} out", stood)


def _up_onto(plan: Plan) -> Iterator[Step]:
    """Say how it is lifted onto the bench or shelf it goes to; it is then recorded there."""
    if plan.onto is None:
        return
    mine = _conditions(plan, "move-lift-onto")
    keep = [p for p in _conditions(plan, ZONE.key) if "onto" in p.subjects]
    yield {
        "what": "move",
        "title": f"lift {plan.name} onto {plan.onto.name}: {_words(mine) or 'one person'}, nobody under it",
        "keep": [p.text for p in keep],
        "needs": _ids([*mine, *keep]),
        "group": plan.group,
        "to": where_doc(plan.onto.where),
    }


def _lift_words(lift: Lift) -> str:
    reach = f"hook {lift.reach_mm:.0f} mm out from its mast, " if lift.reach_mm else ""
    return f"{reach}{show_mass(lift.holds_kg)} at most there"


def _there(scene: Scene, plan: Plan, part: Projection) -> Iterator[Step]:
    """Say what comes to the goal by itself: what people carry there from another room, and what hangs from a
    hoist where that would have to go over a slope or sill.
    """
    goal, lift = scene.zone(plan.place), plan.lifts.get(part.called)
    place = plan.resting.get(part.called)
    zone = None if place is None else scene.zone(place.zone)
    brought = _conditions(plan, "move-part-place")
    mine = [p for p in brought if {f"part:{part.called}", "brought"} <= set(p.subjects)]
    if goal is None:
        return
    if lift is None and zone is not None and zone.room != goal.room:
        yield _do(f"bring {part.name} to {goal.name}{_who(scene, plan, part)}", mine)
    elif lift is not None and not comes_back(scene, place, plan.body.room, goal.room):
        yield _do(f"bring {part.name} to {goal.name}, a move of its own, and {lift.puts_on.name} empty", mine)


def _hoist_in(scene: Scene, plan: Plan, part: Projection) -> Iterator[Step]:
    """Say how the hoist that puts a part on again comes in: with it, from where that lies, or empty."""
    goal, lift, place = scene.zone(plan.place), plan.lifts.get(part.called), plan.resting.get(part.called)
    if goal is None or lift is None:
        return
    comes, by = f"in to {plan.name} in {goal.name}", lift.puts_on.name
    if place is None or not comes_back(scene, place, plan.body.room, goal.room):
        yield _do(f"{by} {comes}")
    else:
        yield _do(f"{by} in to {part.name}, {_laid_on(scene, place)}; with it, hung low, {comes}")
    yield from _hung_high(plan, part, f"lift {part.name} again", "in")


def _hoist_out(plan: Plan, part: Projection) -> Iterator[Step]:
    """Say that the hoist that puts a part on again goes out."""
    lift = plan.lifts.get(part.called)
    if lift is not None:
        yield _do(f"{lift.puts_on.name} out, once {part.name} is bolted on")


def _who(scene: Scene, plan: Plan, part: Projection, *, back: bool = False) -> str:
    """Say who takes a part off or puts it on: a hoist by name, or how many people."""
    lift = plan.lifts.get(part.called)
    if lift is not None:
        return f", by {lift.puts_on.name if back else lift.gear.name}"
    team = team_of(scene, part, plan.resting.get(part.called))
    if team is None or team.people == 1:
        return ""
    if not team.people:
        by = looked_at(scene, taken_kg(part) or 0.0, *team.between_mm)
        if by is None:
            return ", by a hoist (none told takes it)"
        return f", {people_of(scene, by.people)}, {by.beyond(team.limit_kg)}"
    return f", {people_of(scene, team.people)}{team.words}"


def _laid_on(scene: Scene, place: InZone) -> str:
    """Say where a part is laid: on a level, or where on a floor."""
    zone = scene.zone(place.zone)
    if zone is None or zone.kind not in ("floor", "room"):
        return place_said(place.zone, place.level)
    spots = _lies_at(scene, place)
    at = "".join(f" at {show_point(round(x), round(y))}" for x, y in spots)
    return f"the floor of {zone.name}{at}"


def _lies_at(scene: Scene, place: InZone | None) -> list[Point]:
    """Return the point of the shop's floor where a part is laid; none on a level or where no spot is told."""
    zone = None if place is None else scene.zone(place.zone)
    if place is None or zone is None or zone.kind not in ("floor", "room"):
        return []
    if place.x_mm is None or place.y_mm is None:
        return []
    at = to_shop(zone, place.x_mm, place.y_mm)
    return [(at.x_mm, at.y_mm)]


def _off(scene: Scene, plan: Plan, part: Projection, *, last: bool) -> Step:
    place = plan.resting.get(part.called)
    left = left_of(plan.body)
    where = where_left(scene, plan.body.group, left)
    mass = "not weighed" if part.mass is None else part.mass.said
    to = "" if place is None else f", lay it on {_laid_on(scene, place)}"
    step: Step = {
        "what": "take off",
        "title": f"take off {part.name} ({mass}){_who(scene, plan, part)}{to}",
        "spots": [list(spot) for spot in _lies_at(scene, place)],
        "part": part.name,
        "called": part.called,
        "group": part.group or None,
        "to": None if place is None else where_doc(place),
    }
    if last:  # what is left is recorded once, with the last part; its base is on still
        size = left.size and left.size._replace(height_mm=left.size.height_mm + plan.body.down_mm)
        step |= {
            "size": size_doc(size),
            "outline": outline_doc(left.outline),
            "where": None if where is None else where_doc(where),
            "middle": list(left.middle_mm),
        }
    return step


def _shift(scene: Scene, it: Shifted) -> Step:
    mass = "not weighed" if it.mass_kg is None else show_mass(it.mass_kg)
    by = it.by
    who = ""
    if by is not None and by.people != 1:
        who = f", {people_of(scene, by.people)}" if by.people else f", on {by.gear}"
    team = looked_at(scene, it.mass_kg or 0.0) if by is not None and by.how == "team" else None
    who += "" if team is None else f", {team.coloured}"
    at = ""
    if it.pose is not None:
        at = f" at {show_point(round(it.pose['x_mm']), round(it.pose['y_mm']))}"
        if it.pose["turn_deg"]:
            at += f", turned {it.pose['turn_deg']:.0f} deg"
    loose = loose_on(scene, it)
    first = f", {listed(loose, 2)} off it first, or made fast," if loose else ""
    title = f"shift {it.name} ({mass}){first} to {it.place_words}{at}{who}"
    step: Step = {"what": "shift", "title": title, "pose": it.pose}
    if it.where is not None:
        return {**step, "group": it.subject.partition(":")[2], "to": where_doc(it.where)}
    assert it.place is not None
    place = it.place
    return {
        **step,
        "thing": place.key,
        "at": [place.x_mm, place.y_mm, place.turn_deg],
    }


def _shifted_back(scene: Scene, plan: Plan) -> Iterator[Step]:
    """Shift things back to where they stood, where no rule stops that by then."""
    zone = scene.zone(plan.place)
    if not plan.shift or zone is None or plan.goal is None:
        return
    now = shifted_scene(scene, plan.shift).with_group_at(plan.group, where_at(zone, plan.level, plan.goal))
    for each in reversed(plan.shift):
        key = each.subject.partition(":")[2]
        if each.where is not None:
            before = scene.group(key).where
            if not isinstance(before, InZone) or _stopped(judge(now, key, before)):
                continue
            now = now.with_group_at(key, before)
            title = f"shift {each.name} back to {place_said(before.zone, before.level)}"
            yield {"what": "shift", "title": title, "group": key, "to": where_doc(before)}
        elif each.place is not None:
            stood = _stood(scene, each.place)
            if stood is None or _stopped(judge_thing(now, stood)):
                continue
            now = now.with_thing_at(stood)
            at = [stood.x_mm, stood.y_mm, stood.turn_deg]
            yield {"what": "shift", "title": f"shift {each.name} back", "thing": stood.key, "at": at}


def _still_off(scene: Scene, plan: Plan) -> Iterator[Step]:
    """Take over how parts go back on that the move planned before took off; what hoists do for that only
    where it goes to the same place.
    """
    asked = (planned(scene.state, plan.group) or {}).get("asked") or {}
    same = (asked.get("floor"), asked.get("level")) == (plan.place, plan.level)
    for step in still_off(scene.state, plan.group):
        if step["what"] == "put back":
            mine = [p for p in _conditions(plan, BACK.key) if f"part:{step['part']}" in p.subjects]
            yield {**_anew(step), "needs": _ids(mine)}
        elif same:
            yield _anew(step)


def _still_shifted(scene: Scene, plan: Plan) -> Iterator[Step]:
    """Take over how things go back that the move planned before shifted, where no rule stops that by then."""
    zone = scene.zone(plan.place)
    if zone is None or plan.goal is None:
        return
    now = shifted_scene(scene, plan.shift).with_group_at(plan.group, where_at(zone, plan.level, plan.goal))
    for step in still_shifted(scene.state, plan.group):
        where = where_from(step.get("to"))
        if isinstance(where, InZone) and _stopped(judge(now, step["group"], where)):
            continue
        yield {**_anew(step), "again": True}


def _anew(step: Mapping[str, Any]) -> Step:
    return {key: value for key, value in step.items() if key not in ("needs", "keep")}


def _stopped(found: Sequence[Finding]) -> bool:
    return any(f.grade == "stop" for f in found)


def _stood(scene: Scene, now: ThingPlace) -> ThingPlace | None:
    """Return where a thing of the shop stood before it was shifted."""
    told = scene.shifted.get(now.key)
    if told is not None:
        return told
    there = next((b for room in scene.shop.rooms for b in scene.standing(room) if b.code == now.key), None)
    if there is None:
        return None
    x0, y0, x1, y1 = there.box
    return ThingPlace(now.key, (x0 + x1) / 2, (y0 + y1) / 2, 0.0, there.room)


def goal_place(scene: Scene, plan: Plan) -> InZone | None:
    """Return where the thing is to be recorded, for the middle of what is left of it."""
    zone = scene.zone(plan.place)
    if zone is None or plan.goal is None:
        return None
    return where_at(zone, plan.level, moved_reference(plan.goal, left_of(plan.body).middle_mm))


def gear_outlines(plan: Plan) -> list[Outline]:
    """Return what its gear takes on the floor, in the frame of the thing as it is moved, parts off."""
    x, y = left_of(plan.body).middle_mm
    return [placed(each, Pose(-x, -y, 0.0)) for each in plan.gear.parts[1:]]


ROLLS = (
    *("move-way", "move-push", "runs-downhill", "move-lines", "move-height-on-slope", "move-room-person"),
    *(CREST.key, HALT.key, "move-gaps", "move-door-leaf", "move-set-round", "move-pull-height"),
)
"""Checks whose other conditions are about the way: they have to be so before it rolls."""


def _floor_words(plan: Plan) -> str:
    return plan.place if plan.onto is None else f"the floor before {plan.onto.name}"


def _halted(scene: Scene, plan: Plan, halt: Halt) -> Step:
    """Return the step of a halt, with where it then stands: what others lay down goes round it there."""
    room = scene.zone(halt.room)
    if halt.rest is None or room is None:
        return halt.step
    where = where_at(room, "", moved_reference(halt.rest, left_of(plan.body).middle_mm))
    return {**halt.step, "group": plan.group, "to": where_doc(where)}


def _doors_left(plan: Plan, halts: Sequence[Halt]) -> tuple[str, ...]:
    """Return the doors still to go by after the last halt."""
    if not halts or plan.attempt is None or plan.attempt.route is None:
        return plan.route
    route = plan.attempt.route
    return route.doors[route.rooms.index(halts[-1].room) :]


def _move(scene: Scene, plan: Plan, halts: Sequence[Halt]) -> Step:
    """Move it the whole way, or what is left of it after the last halt."""
    where = goal_place(scene, plan)
    gear = f" on {plan.gear.shown}"
    left = _doors_left(plan, halts)
    doors = f" by {', '.join(left)}" if left else ""
    goal = plan.goal
    at = "" if goal is None else f", its middle at {pose_words(goal)}"
    return {
        "what": "move",
        "title": f"move {plan.name}{gear}{doors} to {_floor_words(plan)}{at}",
        "spots": [] if goal is None else [[goal.x_mm, goal.y_mm]],
        "pose": None if goal is None else pose_json(goal),
        "group": plan.group,
        "to": None if where is None else where_doc(where),
    }


def _bared(scene: Scene, plan: Plan) -> Iterator[Step]:
    """Say who takes off what lies on a thing asked bare, and where to: no other step is ticked before it is
    off on record, too.
    """
    on = lying_on(scene, plan.body) if plan.body.left_here else []
    few = [part for part in on if by_one(scene, part)]
    by_hand = []
    for part in on:
        place, who = plan.resting.get(part.called), who_takes_off(scene, part)
        if part in few:
            continue
        mine = [p for p in _conditions(plan, LIES.key) if f"part:{part.called}" in p.subjects]
        title = f"take off {part.name} ({'not weighed' if part.mass is None else part.mass.said}), {who}"
        if place is None:
            by_hand.append(_do(f"{title}; {ON_RECORD}", mine))
            continue
        lies = {"group": part.group, "to": where_doc(place)}
        step = _do(f"{title}, lay it on {_laid_on(scene, place)}", mine, _lies_at(scene, place))
        yield {**step, "what": "shift", **lies}
    yield from by_hand
    if few:
        mine = [p for p in _conditions(plan, LIES.key) if "bare" in p.subjects and not _of_part(p)]
        yield _do(f"take off {', '.join(p.name for p in few)}; {ON_RECORD}", mine)


ON_RECORD = "put on record where it lies before the tick"


def _of_part(part: Part) -> bool:
    return any(subject.startswith("part:") for subject in part.subjects)


def _back(scene: Scene, plan: Plan, part: Projection, *, first: bool) -> Step:
    """Put a part back on; with the first to go back the box grows again."""
    group = plan.body.group
    step: Step = {
        "what": "put back",
        "title": f"put {part.name} back on{_who(scene, plan, part, back=True)}",
        "part": part.name,
        "called": part.called,
        "group": part.group or None,
    }
    if first:
        middle, size = left_of(plan.body).middle_mm, group.size
        if size is not None:  # its base is off by now
            size = size._replace(height_mm=size.height_mm - plan.body.down_mm)
        step |= {
            "size": size_doc(size),
            "outline": outline_doc(group.outline),
            "middle": [-middle[0], -middle[1]],
        }
    return step
