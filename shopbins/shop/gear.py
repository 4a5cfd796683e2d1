"""Moving gear of the file: pallet trucks, skates, trolleys, cranes, rollers and bar, hands."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from typing import cast

from shopbins import units
from shopbins.shop.fields import Fields
from shopbins.shop.keys import GEAR, GEAR_KINDS, STEERING, names
from shopbins.shop.model import Gear, GearKind, Steering
from shopbins.shop.nodes import Listing, Node, Table
from shopbins.shop.problems import listed, shown
from shopbins.units import show_length, show_lengths

ALWAYS = tuple(key.name for key in GEAR if not key.of)
OF_KIND: Mapping[str, tuple[str, ...]] = {
    kind: tuple(key.name for key in GEAR if kind in key.of) for kind in GEAR_KINDS
}
MOST_COUNT = 100
MOST_REACHES = 20


def read_gear(root: Fields) -> dict[str, Gear]:
    """Return the moving gear that could be read."""
    found = {}
    for key, fields in root.each("gear", names(GEAR), "gear"):
        gear = _gear(key, fields)
        if gear is not None:
            found[key] = gear
    return found


def _gear(key: str, fields: Fields) -> Gear | None:
    """Read one piece of gear; None where its kind is not clear (noted)."""
    fields.missing("kind", "pallet truck, or one of the others")
    kind = cast("GearKind | None", fields.choice("kind", GEAR_KINDS))
    if kind is not None:
        _note_foreign(fields, kind)
    over, between, width = _forks(fields)
    hook, hook_at = _hook(fields)
    gear = Gear(
        key=key,
        name=fields.text("name", key),
        kind=kind or "by hand",
        capacity_kg=fields.mass("capacity"),
        mass_kg=fields.mass("mass"),
        count=_count(fields, "count"),
        over_forks_mm=over,
        between_forks_mm=between,
        fork_width_mm=width,
        fork_length_mm=fields.length("fork length"),
        lowered_mm=fields.length("lowered"),
        raised_mm=fields.length("raised"),
        body_mm=fields.length("body"),
        turning_radius_mm=fields.length("turning radius"),
        height_mm=fields.length("height"),
        size_mm=fields.size("size"),
        steering=cast("Steering | None", fields.choice("steering", STEERING)),
        inside_mm=fields.length("inside"),
        legs_mm=fields.length("legs"),
        hook_mm=hook,
        hook_at=hook_at,
        reach=_reach(fields),
        people=_count(fields, "people"),
        wheels=_count(fields, "wheels"),
        wheel_mm=fields.length("wheel"),
        wheel_load_kg=fields.mass("wheel load"),
        clearance_mm=fields.length("clearance", zero=True),
        steering_axle_mm=fields.length("steering axle", zero=True),
        load_rollers_mm=fields.length("load rollers", zero=True),
        steering_track_mm=fields.length("steering track"),
        handle_mm=fields.length("handle"),
        steepest=fields.quantity("steepest", units.parse_slope, "a slope, like 1 in 25"),
        brake=fields.said("brake"),
        brakes_itself=fields.said("brakes itself"),
        wheel_rating_kg=fields.mass("wheel rating"),
        wheel_places_mm=_places(fields),
        cg_mm=_centre(fields),
        trail_mm=fields.length("trail", zero=True),
        boom_tip_mm=fields.length("boom tip"),
        toe_kg=fields.mass("toe"),
        roller_length_mm=fields.length("roller length"),
        rise_mm=fields.length("rise"),
        span_mm=fields.length("span"),
        pads_mm=fields.length("pads", zero=True),
        beams_mm=fields.length("beams", zero=True),
        line_kn=fields.quantity("line", units.parse_force, "a force, like 20 kN"),
        note=fields.note(),
        was=fields.texts("was"),
        at=fields.spot,
    )
    _note_heights(fields, gear)
    return None if kind is None else gear


def _note_foreign(fields: Fields, kind: str) -> None:
    """Note keys that mean nothing for this kind of gear."""
    for key in fields.table.pairs:
        if key in names(GEAR) and key not in ALWAYS and key not in OF_KIND[kind]:
            kinds = [each for each in GEAR_KINDS if key in OF_KIND[each]]
            what = f"'{key}' says nothing of a gear of kind '{kind}'"
            fields.notes.add(fields.where(key), what, f"it is for {listed(kinds)}")
            fields.notes.settle(fields.where(key))


def _forks(fields: Fields) -> tuple[float | None, float | None, float | None]:
    """Return the widths over both forks, between them and of one; the third follows from two."""
    over, between = fields.length("over forks"), fields.length("between forks")
    width = fields.length("fork width")
    if over is not None and between is not None:
        if between >= over:
            a, b = show_lengths(between, over)
            what = f"between the forks {a}, over both forks {b}"
            fields.notes.add(fields.where("between forks"), what, "over both is measured outside to outside")
            return over, None, width
        if width is None:
            return over, between, (over - between) / 2
        if abs(between + 2 * width - over) > 5.0:
            what = f"two forks of {show_length(width)} and {show_length(between)} between them are not "
            fields.notes.add(
                fields.where("fork width"),
                what + f"{show_length(over)} over both",
                "measure again, or leave one of the three out",
            )
        return over, between, width
    if width is not None:
        if over is not None:
            if 2 * width >= over:
                what = f"two forks of {show_length(width)} are wider than {show_length(over)} over both"
                fields.notes.add(fields.where("fork width"), what, "measure again")
                return over, None, width
            return over, over - 2 * width, width
        if between is not None:
            return between + 2 * width, between, width
    return over, between, width


def _count(fields: Fields, key: str) -> int | None:
    """Return a small whole number."""
    value = fields.scalar(key, "a whole number")
    if value is None:
        return None
    text = value.text
    if (
        text.isascii()
        and text.isdigit()
        and len(text) < 4
        and 1 <= int(text) <= MOST_COUNT
        and text[0] != "0"
    ):
        return int(text)
    fields.notes.add(
        value, f"'{shown(text)}' is no number of things", f"a whole number from 1 to {MOST_COUNT}"
    )
    return None


def _places(fields: Fields) -> tuple[tuple[float, float], ...]:
    """Read where the wheels are, from the middle of the gear's floor."""
    read = fields.points("wheel places")
    if read is None:
        return ()
    if len(read) < 3:
        fields.notes.add(fields.where("wheel places"), "three wheels at least", "like [[500, 300], ...]")
        return ()
    return tuple(point for point, _ in read)


def _centre(fields: Fields) -> tuple[float, float, float] | None:
    """Read a gear's own centre of gravity: x, y and height."""
    value = fields.node("cg")
    if value is None:
        return None
    if not isinstance(value, Listing) or len(value.items) != 3:
        fields.notes.add(value, "'cg' of gear is x, y and height", "like [-200, 0, 500]")
        return None
    words = [fields.as_scalar(item, "a length") for item in value.items]
    read = [
        None if w is None else fields.as_length(w, f"{fields.path}/cg", zero=True, signed=True) for w in words
    ]
    x, y, z = read
    return None if x is None or y is None or z is None else (x, y, z)


def _reach(fields: Fields) -> tuple[tuple[float, float], ...]:
    """Read what a boom lifts at which reach, nearest first; farther out it never lifts more."""
    value = fields.node("reach")
    if value is None:
        return ()

    def mass(node: Node) -> float | None:
        word = fields.as_scalar(node, "a mass")
        return None if word is None else fields.as_quantity(word, units.parse_mass, "a mass")

    found = _by_reach(fields, "reach", value, mass, "like {900 mm: 1 t, 1200 mm: 700 kg}")
    for (near, less, _), (far, more, at) in itertools.pairwise(found):
        if more > less:
            what = f"it lifts more at {show_length(far)} than at {show_length(near)}"
            fields.notes.add(at, what, "farther out a boom lifts less: swapped?")
    return tuple((far, holds) for far, holds, _ in found)


def _hook(fields: Fields) -> tuple[float | None, tuple[tuple[float, float], ...]]:
    """Read how high a hook goes at the most, and at each reach where that is told, nearest first."""
    value = fields.node("hook")
    if value is None:
        return None, ()

    def length(node: Node) -> float | None:
        word = fields.as_scalar(node, "a length")
        return None if word is None else fields.as_length(word, f"{fields.path}/hook")

    if not isinstance(value, Table):
        return length(value), ()
    found = _by_reach(fields, "hook", value, length, "2.3 m, or like {900 mm: 2.1 m, 1200 mm: 2.3 m}")
    at = tuple((far, high) for far, high, _ in found)
    return max((high for _, high in at), default=None), at


def _by_reach(
    fields: Fields, key: str, value: Node, read: Callable[[Node], float | None], example: str
) -> list[tuple[float, float, Node]]:
    """Read figures told for each reach of a boom, nearest first, each with where it stands."""
    if not isinstance(value, Table) or not value.pairs:
        fields.notes.add(value, f"'{key}' is a mapping", example)
        return []
    if len(value.pairs) > MOST_REACHES:
        fields.notes.add(value, f"'{key}' has {len(value.pairs)} values", f"at most {MOST_REACHES}")
        return []
    found = []
    for word, node in value.pairs.values():
        far, figure = fields.as_length(word, f"{fields.path}/{key}"), read(node)
        if far is not None and figure is not None:
            found.append((far, figure, node))
    return sorted(found, key=lambda each: each[0])


def _note_heights(fields: Fields, gear: Gear) -> None:
    """Note forks that are not higher raised than lowered, and a turning radius that is not steered."""
    low, high = gear.lowered_mm, gear.raised_mm
    if low is not None and high is not None and high <= low:
        a, b = show_lengths(high, low)
        fields.notes.add(fields.where("raised"), f"raised {a}, lowered {b}", "swapped?")
    if gear.turning_radius_mm is not None and gear.steering not in (None, "radius"):
        what = f"'turning radius' and steering '{gear.steering}'"
        fields.notes.add(fields.where("turning radius"), what, "steering: radius, or leave it out")
