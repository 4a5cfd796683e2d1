"""The thing as it stands tonight, or bare: what is still on it, and the mass, outline, height and centre of
gravity that follow, each 'at least' or 'about' where not all was weighed or measured.

Three things make a body: the thing itself, its base (pallet, skid), and the parts that project and may come
off. What else lies in and on it goes along tonight and counts in mass and height; bare it does not.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from shopbins.geometry.convex import convex_hull
from shopbins.geometry.shapes import Outline, Point, Pose, bounds, centroid
from shopbins.ledger.model import Away, Fitted, Group, InGroup, InZone, Mass
from shopbins.ledger.whereabouts import place_said
from shopbins.moves.forks import PALLETS, Foot, Opening, between_feet, openings_between
from shopbins.moves.load import ABOUT, Load
from shopbins.moves.tipping import Centre, centre_of
from shopbins.records.moving import At, ComesOff, Moving, moving_of
from shopbins.scene.frames import to_shop
from shopbins.scene.scene import Scene
from shopbins.scene.standing import footprint
from shopbins.units import show_length, show_mass, show_point

As = Literal["tonight", "bare"]
UNPLACED_SHARE = 0.1
"""With more than this share of the mass at no known place on it, its centre of gravity is not known: own."""


@dataclass(frozen=True, slots=True)
class Projection:
    """A part that is on the thing and may come off before the move; `code` is its tag's, '' without one.

    `cost` is what taking it off costs, in minutes: as told, else the shop's own figure.
    """

    name: str
    code: str
    group: str
    outline: Outline
    from_mm: float
    to_mm: float | None
    mass: Mass | None
    cost: float

    @property
    def called(self) -> str:
        """Its code, else its name: what an answer lists."""
        return self.code or self.name


@dataclass(frozen=True, slots=True)
class Body:
    """A thing to be moved, as gear and floor see it.

    `load` is everything together; `parts` what projects and is on it, in the order of the shop's papers;
    `along` the ids of groups that go along; `left_here` those on it that do not (bare). `notes` say what is
    at least, about or not known. `down_mm` is how much lower its parts are than told, as it is without its
    base.
    """

    group: Group
    load: Load
    room: str | None
    pose: Pose | None
    parts: tuple[Projection, ...]
    off: tuple[Projection, ...] = ()
    along: tuple[str, ...] = ()
    left_here: tuple[str, ...] = ()
    as_: As = "tonight"
    base: bool = True
    notes: tuple[str, ...] = ()
    down_mm: float = 0.0

    @property
    def outline(self) -> Outline:
        """The convex outline on the floor, in its own frame."""
        return convex_hull(self.load.outline)


class NotMovable(Exception):  # noqa: N818 - an answer to a person
    """Why a thing cannot be asked about, in one line."""


def body(
    scene: Scene,
    group_id: str,
    *,
    as_: As = "tonight",
    off: Collection[str] = (),
    base: bool = True,
) -> Body:
    """Return a thing as it stands tonight, or bare, with some projections (by what they are called) off.

    Bare is without anything lying in or on it; what projects stays until it is named in `off`. `base=False`
    is without its pallet or skid, where it has one. Raises NotMovable where its outline is not known.
    """
    group = scene.group(group_id)
    told = moving_of(group)
    own = told.outline or footprint(group)
    if own is None:
        raise NotMovable(
            f"{group.shown}: its size is not known (shopbins set {group.code} --size 1200x800x900mm)"
        )
    wrong = contradiction(group, told, own)
    if wrong:
        raise NotMovable(contradicted(group, wrong))
    base = base or not _has_base(group, told)
    every = projections(scene, group, told)
    parts = tuple(p for p in every if p.called not in off)
    gone = tuple(p for p in every if p.called in off)
    ids = list(scene.under(group_id))
    tagged = {p.group for p in every if p.group}
    lying = [i for i in ids if i not in tagged and not _fixed_on(scene, i, tagged)]
    along = lying if as_ == "tonight" else []
    mass = _Mass()
    _own_mass(scene, group, told, mass, base=base, gone=gone)
    for part in parts:
        if part.group:
            mass.add(part.mass)
    mass.add_all(scene.group(i).mass for i in along)
    outline, height, notes = _shape(scene, group, told, own, parts, base=base, along=bool(along))
    notes += mass.notes
    centred = _centre(scene, told, own, parts, along, mass, height, base=base)
    within = scene.shop.measured_mm
    load = Load(
        name=group.shown,
        outline=outline,
        height_mm=height,
        mass_kg=mass.kg,
        about=mass.about,
        not_weighed=mass.not_weighed,
        cg_mm=centred.cg_mm,
        cg_height_mm=centred.height_mm,
        cg_within_mm=within if told.cg_within_mm is None else told.cg_within_mm,
        cg_height_within_mm=within if told.cg_height_within_mm is None else told.cg_height_within_mm,
        cg_aside_mm=None if centred.cg_mm is not None else _aside(scene, outline, height),
        corners=centred.corners,
        feet=_feet(told.feet) if base else (),
        jacking=_feet(told.jacking),
        slinging=_feet(told.slinging),
        sling_height_mm=_lowered(told.sling_height_mm, told, base),
        under_mm=told.under_mm if base else None,
        under_within_mm=told.under_within_mm if base else None,
        openings=_openings(told, own) if base else (),
        pallet=told.pallet or None if base else None,
        flat_base=told.flat_base if base else None,
        runners_mm=told.runners_mm if base else None,
        subject=f"group:{group.code}",
        own=told.without_base if not base and told.without_base is not None else own,
        own_height_mm=_own_height(scene, group, told, along, base=base),
    )
    room, pose = stands(scene, group)
    return Body(
        group,
        load,
        room,
        pose,
        parts,
        gone,
        tuple(along),
        tuple(i for i in lying if i not in along),
        as_,
        base,
        (*notes, *centred.notes),
        0.0 if base or told.base is None else told.base.height_mm,
    )


def _has_base(group: Group, told: Moving) -> bool:
    """Tell whether it stands on a pallet or skid that may be off: else its feet are its own."""
    on = told.base is not None or told.without_base is not None or bool(told.pallet)
    return on or group.container == "pallet"


def contradicted(group: Group, wrong: str) -> str:
    """Say of which thing it is, and how one of both is told anew."""
    return (
        f"{group.shown}: {wrong}; tell one of both anew: shopbins set {group.code} --moving KEY=VALUE "
        f"('unknown' takes it back, shopbins show {group.code} lists them)"
    )


def contradiction(group: Group, told: Moving, own: Outline) -> str:
    """Say what of all that is told cannot be so together; '' where nothing contradicts."""
    x0, y0, x1, y1 = bounds(own)

    def outside(x: float, y: float) -> bool:
        return not (x0 - NEARLY_MM <= x <= x1 + NEARLY_MM and y0 - NEARLY_MM <= y <= y1 + NEARLY_MM)

    if told.cg_mm is not None and outside(*told.cg_mm):
        return f"its centre of gravity {show_point(*told.cg_mm)} is outside its outline"
    for what, points in (("foot", told.feet), ("jacking point", told.jacking)):
        for p in points:
            if outside(p.x_mm, p.y_mm):
                return f"the {what} at {show_point(p.x_mm, p.y_mm)} is outside its outline"
    stands_in = _in_the_opening(told)
    if stands_in is not None:
        at, opening = show_point(stands_in.x_mm, stands_in.y_mm), show_length(told.opening_mm or 0.0)
        return f"the foot at {at} stands in the opening of {opening} told to be clear between its feet"
    wide = max(x1 - x0, y1 - y0)
    if told.opening_mm is not None and told.opening_mm > wide + NEARLY_MM:
        opening = show_length(told.opening_mm)
        return f"the opening between its feet, {opening}, is wider than the thing, {show_length(wide)}"
    height = told.height_mm or (None if group.known_size is None else group.known_size.height_mm)
    if height is not None and told.cg_height_mm is not None and told.cg_height_mm > height:
        return f"its centre of gravity is {show_length(told.cg_height_mm)} high, it is {show_length(height)}"
    whole = told.whole or group.mass
    on = [p for p in told.comes_off if not p.off and not p.group and p.mass is not None]
    parts = math.fsum(p.mass.kg for p in on if p.mass is not None)
    if whole is not None and not whole.about and parts > whole.kg:
        return f"the parts on it weigh {show_mass(parts)}, it weighs {show_mass(whole.kg)} with them"
    for a, b in itertools.combinations((p for p in told.comes_off if not p.off and p.to_mm is not None), 2):
        apart = (abs(m - n) for m, n in zip(_box(a), _box(b), strict=True))
        if max(apart) <= SAME_BOX_MM:
            at = show_point(*bounds(a.outline).middle)
            return f"{a.name} and {b.name} fill the same space, {at} and {show_length(a.from_mm)} up"
    return ""


def _box(part: ComesOff | Projection) -> tuple[float, ...]:
    """Return the box round a part: x, y and height, its lows and its highs; as high as low where not told."""
    x0, y0, x1, y1 = bounds(part.outline)
    return x0, y0, part.from_mm, x1, y1, part.from_mm if part.to_mm is None else part.to_mm


def in_one_place(parts: Iterable[Projection]) -> list[tuple[Projection, Projection]]:
    """Return the pairs of parts of which the boxes share more than half of the smaller one."""
    found = []
    for a, b in itertools.combinations(parts, 2):
        p, q = _box(a), _box(b)
        shared = [min(p[k + 3], q[k + 3]) - max(p[k], q[k]) for k in range(3)]
        smaller = min(math.prod(box[k + 3] - box[k] for k in range(3)) for box in (p, q))
        if min(shared) > 0 and math.prod(shared) > ONE_PLACE * smaller:
            found.append((a, b))
    return found


SAME_BOX_MM = 2.0
"""Two parts of which no face is farther apart than this are told in the same place: own figure."""
ONE_PLACE = 0.5
"""From this share of the smaller on, two parts told in one place may be one told twice: own figure."""


def _in_the_opening(told: Moving) -> At | None:
    """Return a foot that stands where forks were told to go in, in the middle of the thing along its x."""
    if told.opening_mm is None or told.pallet:
        return None
    half = told.opening_mm / 2 - TOUCHES_MM
    return next(
        (p for p in told.feet if abs(p.y_mm) - (0.0 if p.pad_mm is None else p.pad_mm[1] / 2) < half), None
    )


TOUCHES_MM = 5.0
"""A foot so far in the opening still counts as beside it: own figure, as lengths are measured."""
NEARLY_MM = 50.0
"""A foot so far outside the outline still counts as at its edge: own figure."""


def _fixed_on(scene: Scene, group_id: str, tagged: set[str]) -> bool:
    """Tell whether something lies in or on a part that projects: it comes off with that."""
    where = scene.group(group_id).where
    seen: set[str] = set()
    while isinstance(where, InGroup) and where.group not in seen:
        if where.group in tagged:
            return True
        seen.add(where.group)
        where = scene.group(where.group).where
    return False


def projections(scene: Scene, group: Group, told: Moving) -> tuple[Projection, ...]:
    """Return the parts that project and are still on the thing."""
    found, usual = [], scene.shop.limits.moving["minutes part off"]
    for part in told.comes_off:
        tagged = scene.part_on(part.group, group.id)
        if part.off or (part.group and tagged is None):
            continue
        found.append(
            Projection(
                part.name,
                "" if tagged is None else tagged.code,
                part.group,
                part.outline,
                part.from_mm,
                part.to_mm,
                part.mass if tagged is None else tagged.mass,
                usual if part.minutes is None else part.minutes,
            )
        )
    return tuple(found)


def stands(scene: Scene, group: Group) -> tuple[str | None, Pose | None]:
    """Return the room and pose (shop frame) in which it stands, None where it has none."""
    where = group.where
    if not isinstance(where, InZone) or where.x_mm is None or where.y_mm is None:
        return None, None
    zone = scene.zone(where.zone)
    if zone is None:
        return None, None
    return zone.room, to_shop(zone, where.x_mm, where.y_mm, where.turn_deg)


# --- mass -------------------------------------------------------------------------------------------------


class _Mass:
    """A sum of masses of which some may be guessed or unknown."""

    def __init__(self) -> None:
        self.known = 0.0
        self.any = False
        self.about = False
        self.not_weighed = 0
        self.notes: list[str] = []

    def add(self, mass: Mass | None) -> None:
        if mass is None:
            self.not_weighed += 1
            return
        self.known += mass.kg
        self.any = True
        self.about = self.about or mass.about

    def add_all(self, masses: Iterable[Mass | None]) -> None:
        for mass in masses:
            self.add(mass)

    def take_away(self, mass: Mass | None, what: str) -> None:
        """Subtract what is no longer on it; unknown stays on, so that the sum is 'at most'."""
        if mass is None:
            self.about = True
            self.notes.append(f"{what} is not weighed: the mass is counted with it, so at most")
            return
        self.known -= mass.kg
        self.about = self.about or mass.about

    @property
    def kg(self) -> float | None:
        return self.known if self.any and self.known > 0 else None


def _own_mass(
    scene: Scene, group: Group, told: Moving, mass: _Mass, *, base: bool, gone: Sequence[Projection]
) -> None:
    """Count the thing itself: its own mass, or the whole machine's less what came off."""
    if told.whole is not None and told.machine:
        mass.add(told.whole)
        off = came_off(scene, group, told)
        unknown = [g for g in off if g.mass is None]
        for each in off:
            if each.mass is not None:
                mass.take_away(each.mass, each.shown)
        if unknown:
            mass.about = True
            mass.notes.append(
                f"{len(unknown)} parts taken off are not weighed and counted as if still on it: at most"
            )
    else:
        mass.add(group.mass)
    if not base and told.base is not None:
        mass.take_away(told.base.mass, told.base.name)
    for part in gone:
        if not part.group:
            mass.take_away(part.mass, part.name)
    for untagged in told.comes_off:
        if untagged.off and not untagged.group:
            mass.take_away(untagged.mass, untagged.name)


def came_off(scene: Scene, group: Group, told: Moving) -> list[Group]:
    """Return what came off a machine of which a group is what is left; [] where that is not told."""
    if told.whole is None or not told.machine:
        return []
    return [g for g in scene.groups() if _came_off(g, told.machine, group.id)]


def _came_off(group: Group, machine: str, body_id: str) -> bool:
    return (
        group.id != body_id
        and group.origin[:1] == (machine,)
        and not isinstance(group.where, Fitted)
        and not group.brought
    )


# --- outline and height -----------------------------------------------------------------------------------


def _shape(
    scene: Scene,
    group: Group,
    told: Moving,
    own: Outline,
    parts: Sequence[Projection],
    *,
    base: bool,
    along: bool,
) -> tuple[Outline, float | None, list[str]]:
    """Return the convex outline and height of everything together."""
    notes: list[str] = []
    if not base and told.without_base is not None:
        own = told.without_base
    elif not base and told.base is None:
        notes.append("nothing is known of its base: as with it")
    hull = convex_hull([*own, *(point for part in parts for point in part.outline)])
    size = group.known_size
    core = told.height_mm if told.height_mm is not None else None if size is None else size.height_mm
    heights: list[float | None] = [core]
    heights += [part.to_mm for part in parts]
    if along:
        share = scene.share(group.id).height_mm
        fixed = 0.0 if size is None else size.height_mm
        heights.append(None if share is None or core is None else core + max(0.0, share - fixed))
    known = [h for h in heights if h is not None]
    height: float | None = max(known) if len(known) == len(heights) else None
    if height is None:
        notes.append("its height with what is on it is not known")
    elif not base and told.base is not None:
        height -= told.base.height_mm
    if size is not None and size.about:
        notes.append("its size is only about right")
    return hull, height, notes


def _own_height(
    scene: Scene, group: Group, told: Moving, along: Sequence[str], *, base: bool
) -> float | None:
    """Return how high it is without the parts that project, with what lies on it; None where not known."""
    size = group.known_size
    own = told.height_mm if told.height_mm is not None else None if size is None else size.height_mm
    if own is not None and along:
        share = scene.share(group.id).height_mm
        own = None if share is None else own + max(0.0, share - (0.0 if size is None else size.height_mm))
    return _lowered(own, told, base)


def _lowered(height: float | None, told: Moving, base: bool) -> float | None:
    return height if base or height is None or told.base is None else height - told.base.height_mm


def _feet(points: Sequence[At]) -> tuple[Foot, ...]:
    return tuple(Foot(p.x_mm, p.y_mm, p.pad_mm, p.name) for p in points)


def _openings(told: Moving, outline: Outline) -> tuple[Opening, ...]:
    """Return what forks meet from all sides: of the pallet, as told, else from the feet; () if not known."""
    found: tuple[Opening, ...]
    if told.pallet in PALLETS and PALLETS[told.pallet].openings:
        within = PALLET_WITHIN_MM
        made = PALLETS[told.pallet].openings
        found = tuple(replace(o, wide_within_mm=within, high_within_mm=within) for o in made)
    elif told.opening_mm is not None:
        measured = (told.opening_within_mm, told.under_within_mm)
        between = between_feet(told.opening_mm, told.under_mm)
        aside = openings_between(_feet(told.feet), outline, told.under_mm)[1:]  # told for one side alone
        found = (replace(between, wide_within_mm=measured[0], high_within_mm=measured[1]), *aside)
    else:
        found = openings_between(_feet(told.feet), outline, told.under_mm)
    return tuple(o for each in found for o in (each, from_behind(each)))


PALLET_WITHIN_MM = 3.0
"""How far off the openings of a standard pallet may be: own figure."""


BEHIND = ", from behind"
"""What an opening entered from the other side has after its name."""


def from_behind(opening: Opening) -> Opening:
    """Return the same opening entered from the other side."""
    free = tuple(sorted((-b, -a) for a, b in opening.free))
    name = f"{opening.name}{BEHIND}" if opening.name else ""
    return replace(opening, free=free, towards_deg=(opening.towards_deg + 180.0) % 360.0, name=name)


# --- centre of gravity ------------------------------------------------------------------------------------


def _aside(scene: Scene, outline: Outline, height_mm: float | None) -> Point | None:
    """Return how far off its middle the centre of gravity of a low load is taken; None of a high one."""
    x0, y0, x1, y1 = bounds(outline)
    own = scene.shop.limits.moving
    if height_mm is None or height_mm > own["low load"] * min(x1 - x0, y1 - y0):
        return None
    return own["cg aside"] * (x1 - x0), own["cg aside"] * (y1 - y0)


@dataclass(frozen=True, slots=True)
class _Centred:
    """A centre of gravity and where else it may be."""

    cg_mm: Point | None
    height_mm: float | None
    corners: tuple[Centre, ...] = ()
    notes: tuple[str, ...] = ()


def _centre(
    scene: Scene,
    told: Moving,
    own: Outline,
    parts: Sequence[Projection],
    along: Sequence[str],
    mass: _Mass,
    height_mm: float | None,
    *,
    base: bool,
) -> _Centred:
    """Return the centre of gravity: of the thing alone as told, moved by every part that is on it.

    Its own mass is the whole less every part on it, whether that has a record of its own or not. A part not
    weighed leaves the centre unknown, and what lies loose may lie anywhere over the thing: corners say
    where else the centre may then be, as they do where a mass is only about right.
    """
    whole_kg = mass.kg
    if told.cg_mm is None or whole_kg is None:
        why = () if told.cg_mm is not None else ("its centre of gravity is not known",)
        return _Centred(told.cg_mm, _lowered(told.cg_height_mm, told, base), (), why)
    unweighed = [p.name for p in parts if p.mass is None]
    if unweighed:
        return _Centred(
            None, None, (), (f"not weighed: {', '.join(unweighed)}; centre of gravity not known",)
        )
    lying = [m for i in along if (m := scene.group(i).mass) is not None]
    loose = math.fsum(m.kg for m in lying)
    parts_kg = math.fsum(p.mass.kg for p in parts if p.mass is not None)
    own_kg = max(0.0, whole_kg - parts_kg - loose)
    z = told.cg_height_mm
    if z is None or any(p.to_mm is None for p in parts):
        moved = [(own_kg, Centre(*told.cg_mm, 0.0)), *((p.mass.kg, _placed(p)) for p in parts if p.mass)]
        x, y = _plan(moved)
        return _Centred((x, y), None, (), ("the height of its centre of gravity is not known",))
    at = Centre(*told.cg_mm, z)
    placed = [(p.mass, _placed(p)) for p in parts if p.mass is not None]
    _, now = centre_of([(own_kg, at), *((m.kg, c) for m, c in placed)]) if own_kg + parts_kg else (0.0, at)
    corners = _corners(own_kg, at, placed)
    notes: tuple[str, ...] = ()
    if loose:
        notes = (f"{show_mass(loose)} lies loose on it: taken at its worst place",)
        corners = [
            centre_of([(own_kg + parts_kg, c), (loose, Centre(px, py, pz))])[1]
            for c in (now, *corners)
            for px, py in convex_hull(own)
            for pz in (0.0, height_mm or z)
        ]
    if loose > UNPLACED_SHARE * whole_kg:
        return _Centred(None, None, (), (f"{show_mass(loose)} lies on it at no known place", *notes))
    down = 0.0 if base or told.base is None else told.base.height_mm
    lowered = tuple(Centre(c.x_mm, c.y_mm, max(0.0, c.z_mm - down)) for c in corners)
    return _Centred((now.x_mm, now.y_mm), max(0.0, now.z_mm - down), lowered, notes)


def _placed(part: Projection) -> Centre:
    x, y = centroid(part.outline)
    return Centre(x, y, part.from_mm if part.to_mm is None else (part.from_mm + part.to_mm) / 2)


def _plan(masses: Sequence[tuple[float, Centre]]) -> Point:
    if not math.fsum(m for m, _ in masses):
        return masses[0][1].x_mm, masses[0][1].y_mm
    _, found = centre_of(masses)
    return found.x_mm, found.y_mm


def _corners(own_kg: float, at: Centre, parts: Sequence[tuple[Mass, Centre]]) -> list[Centre]:
    """Return the centre with every mass that is only about right at each of its ends."""
    about = [m for m, _ in parts if m.about][:MOST_CORNERS]
    if not about:
        return []
    found = []
    for ends in itertools.product((2 - ABOUT, ABOUT), repeat=len(about)):
        by = {id(m): m.kg * end for m, end in zip(about, ends, strict=True)}
        found.append(centre_of([(own_kg, at), *((by.get(id(m), m.kg), c) for m, c in parts)])[1])
    return found


MOST_CORNERS = 6
"""Of more parts only about weighed, the first six are tried at both ends."""


# --- words ------------------------------------------------------------------------------------------------


def introduced(it: Body) -> str:
    """Say the body: '430 kg, 1600 x 900 mm, 950 mm high, with 2 things on it'."""
    x0, y0, x1, y1 = bounds(it.load.outline)
    mass, off = it.load.mass_words(), [part.mass for part in it.off]
    if off:
        mass += f" without {', '.join(part.name for part in it.off)}"
    weighed = [each.kg for each in off if each is not None]
    if weighed and len(weighed) == len(off) and it.load.mass_kg is not None:
        whole = show_mass(it.load.mass_kg + math.fsum(weighed))
        mass += f", {whole} with {'it' if len(off) == 1 else 'them'}"
    said = [mass, f"{show_length(x1 - x0)} by {show_length(y1 - y0)}"]
    high = it.load.height_mm
    said.append("height not known" if high is None else f"{show_length(high)} high")
    if it.along:
        said.append(f"{len(it.along)} on it go along" if len(it.along) > 1 else "1 on it goes along")
    if it.left_here:
        said.append(f"{len(it.left_here)} on it taken off first")
    if not it.base:
        said.append("without its base")
    return ", ".join(said)


def movable_whereabouts(scene: Scene, it: Body) -> str:
    """Say why a thing has no place to start from; '' where it has one: how it comes down off a bench or shelf
    is not judged.
    """
    where = it.group.where
    zone = scene.zone(where.zone) if isinstance(where, InZone) else None
    level = zone.level(where.level) if zone is not None and isinstance(where, InZone) else None
    high = level is None or level.height_mm > 0
    if isinstance(where, InZone) and zone is not None and zone.kind in ("bench", "shelf") and high:
        lies = f"{it.group.shown} lies on {place_said(zone.name, where.level)}"
        first = f"have it on the floor first: shopbins put {it.group.code} {zone.room} --at X,Y"
        return f"{lies}: how it is lifted down is not checked; {first}"
    if it.pose is not None:
        return ""
    if isinstance(where, InZone):
        return f"where exactly {it.group.shown} stands in {where.zone} is not known: put it there with --at"
    if isinstance(where, InGroup):
        return f"{it.group.shown} lies in or on another part: move that, or put it on the floor first"
    if isinstance(where, Away):
        return f"{it.group.shown} is away at {where.to}"
    return f"{it.group.shown} does not stand anywhere: put it where it is first"
