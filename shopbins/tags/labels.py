"""What stands on a label: of a group, of a zone or level, or nothing but the code to write beside."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from shopbins.tags import TagError
from shopbins.tags.walking import walking_order
from shopbins.units import show_length, show_mass

if TYPE_CHECKING:
    from shopbins.parts.model import Group
    from shopbins.parts.state import State
    from shopbins.shop.model import Level, Shop, Zone

Kind = Literal["group", "place", "blank"]


@dataclass(frozen=True, slots=True)
class Label:
    """One label: its code (drawn big, and as bars), what it is, further lines, and cautions in words."""

    code: str
    title: str = ""
    lines: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    kind: Kind = "group"

    @property
    def blank(self) -> bool:
        """Tell whether its words are still to be written by hand."""
        return self.kind == "blank"


def blank_label(code: str) -> Label:
    """Return a label with only a code and lines to write on."""
    return Label(code, kind="blank")


def group_label(group: Group, shop: Shop) -> Label:
    """Return a group's label: name, origin, count, mass, what is to become of it, cautions.

    A group without a name yet gets the label of a blank tag, to be written on.
    """
    if not group.name:
        return blank_label(group.code)
    origin = " > ".join(group.origin)
    mass = None if group.mass is None else group.mass.kg
    weighed = "not weighed" if mass is None else show_mass(mass, about=bool(group.mass and group.mass.about))
    facts = [f"{group.qty} off", weighed]
    if group.container != "bare":
        facts.append(group.container)
    if group.disposition != "undecided":
        facts.append(group.disposition)
    return Label(
        group.code,
        group.name,
        tuple(each for each in (origin, " · ".join(facts)) if each),
        (*group.cautions, *_heavy(group, shop)),
    )


def _heavy(group: Group, shop: Shop) -> tuple[str, ...]:
    """Return a caution where what is lifted at once is above what the shop file lets one person lift.

    Loose pieces are lifted one by one, each taken as its share of the mass.
    """
    limit = shop.limits.one_person_kg
    if group.mass is None or limit is None:
        return ()
    at_once = group.mass.kg / group.qty if group.container == "bare" else group.mass.kg
    if at_once <= limit:
        return ()
    return (f"{show_mass(at_once)}: more than one person lifts here ({show_mass(limit)})",)


def place_label(code: str, zone: Zone, level: str, shop: Shop) -> Label:
    """Return the label of a zone, or of one of its levels."""
    room = shop.rooms.get(zone.room)
    lines = [] if room is None or room.key == zone.key else [room.name]
    found = zone.level(level) if level else None
    whole = len(zone.levels) == 1 and not level
    lines.append(_holds(found if found is not None else (zone.levels[0] if whole else None), zone))
    title = f"{zone.name}/{level}" if level else zone.name
    return Label(code, title, tuple(each for each in lines if each), zone.cautions, kind="place")


def _holds(level: Level | None, zone: Zone) -> str:
    """Say what a level bears and how much is clear above it, or what the whole zone bears."""
    said = []
    load = zone.load_kg if level is None or level.load_kg is None else level.load_kg
    if load is not None:
        said.append(f"bears {show_mass(load)}")
    if level is not None and level.headroom_mm is not None:
        said.append(f"{show_length(level.headroom_mm)} clear above")
    return " · ".join(said)


def places(shop: Shop) -> list[str]:
    """Return every place that gets a tag in walking order: 'rack a', then its levels 'rack a/1' ..."""
    found: list[str] = []
    for key in walking_order(shop):
        zone = shop.zone(key)
        if zone is None:
            continue
        found.append(key)
        if len(zone.levels) > 1:
            found += [f"{key}/{level.key}" for level in zone.levels]
    return found


def labels_for(
    state: State, shop: Shop, codes: Sequence[str] | None = None, *, zones: bool = False
) -> list[Label]:
    """Return labels in walking order: of these codes, else of every zone and level, else of every group.

    Codes are canonical and may be of groups, places or blank tags. TagError where nothing carries one. Zones
    and levels without a code yet are left out: codes are given under the ledger's lock before.
    """
    if codes is not None:
        return _labels_of(state, shop, codes)
    if zones:
        coded = ((place, state.place_code(place)) for place in places(shop))
        labels = (_place_label(shop, place, code) for place, code in coded if code is not None)
        return [label for label in labels if label is not None]
    return _in_order(state, shop, state.groups())


def _labels_of(state: State, shop: Shop, codes: Sequence[str]) -> list[Label]:
    """Return the labels of some codes: places first, then groups, both in walking order, then blanks."""
    groups: list[Group] = []
    standing: dict[str, str] = {}
    blanks: list[Label] = []
    wrong: list[str] = []
    for code in dict.fromkeys(codes):
        kind, subject = state.resolve_code(code) or ("", "")
        if kind == "group":
            groups.append(state.group(subject))
        elif kind == "place":
            standing[subject] = code
        elif kind == "tag":
            blanks.append(blank_label(code))
        else:
            wrong.append(f"{code}: nothing carries this code")
    found = [_place_label(shop, place, code) for place, code in standing.items()]
    wrong += [
        f"{code}: {place} is no place of the shop file any more"
        for (place, code), label in zip(standing.items(), found, strict=True)
        if label is None
    ]
    if wrong:
        raise TagError(*wrong)
    order = {place: at for at, place in enumerate(places(shop))}
    by_place = sorted(standing, key=lambda place: order.get(place, len(order)))
    labels = dict(zip(standing, found, strict=True))
    return [
        *(label for place in by_place if (label := labels[place]) is not None),
        *_in_order(state, shop, groups),
        *blanks,
    ]


def _place_label(shop: Shop, place: str, code: str) -> Label | None:
    """Return the label of 'zone' or 'zone/level', None where the shop file has no such place."""
    zone = shop.zone(place)
    if zone is not None:
        return place_label(code, zone, "", shop)
    key, _, level = place.rpartition("/")
    zone = shop.zone(key) if key else None
    if zone is None or zone.level(level) is None:
        return None
    return place_label(code, zone, level, shop)


def _in_order(state: State, shop: Shop, groups: Iterable[Group]) -> list[Label]:
    """Return groups' labels in walking order: place by place, then the unplaced, then those away."""
    order = {key: at for at, key in enumerate(walking_order(shop))}
    ranked = sorted(groups, key=lambda group: (*_stands(state, shop, order, group), group.code))
    return [group_label(group, shop) for group in ranked]


def _stands(state: State, shop: Shop, order: Mapping[str, int], group: Group) -> tuple[int, str, str, int]:
    """Return where a group comes in the walk: its place's rank, level, outermost carrier, how deep in it."""
    from shopbins.parts.model import Away, InZone

    top, where = state.top_of(group.id)
    depth = len(state.chain(group.id)) - 1
    if isinstance(where, InZone):
        key = shop.renamed.get(where.zone, where.zone)
        return order.get(key, len(order)), where.level, state.group(top).code, depth
    return len(order) + (2 if isinstance(where, Away) else 1), "", state.group(top).code, depth
