"""What stands on a label: of a group, of a zone or level, or nothing but the code to write beside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal
from zlib import crc32

from shopbins.ledger.whereabouts import place_said
from shopbins.strip.release import rejected
from shopbins.strip.told import REJECTED
from shopbins.tags import TagError
from shopbins.tags.walking import walking_order
from shopbins.units import show_length, show_mass

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.shop.model import Level, Shop, Zone

LabelKind = Literal["group", "place", "blank", "flag"]


@dataclass(frozen=True, slots=True)
class Label:
    """One label: its code (drawn big, as bars and as QR), what it is, further lines, and cautions in words.

    `end` is 'A' or 'B' of a flag. `mark` is drawn big instead of the code, on flags of connections, which
    have no symbols. `along_mm` is how long the place is that a strip runs along.
    """

    code: str
    title: str = ""
    lines: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    kind: LabelKind = "group"
    end: str = ""
    mark: str = ""
    along_mm: float | None = None

    @property
    def blank(self) -> bool:
        """Tell whether its words are still to be written by hand."""
        return self.kind == "blank"


def blank_label(code: str) -> Label:
    """Return a label with only a code and lines to write on."""
    return Label(code, kind="blank")


def group_label(state: State, group: Group, shop: Shop) -> Label:
    """Return a group's label: rejected or not, name, origin, count, mass, what becomes of it, cautions.

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
    why = rejected(state, group.id, date.today())
    return Label(
        group.code,
        group.name,
        tuple(each for each in (why, origin, " · ".join(facts)) if each),
        (*([REJECTED] if why else []), *group.cautions, *_heavy(group, shop)),
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
    title = place_said(zone.name, level)
    xs, ys = [x for x, _ in zone.outline], [y for _, y in zone.outline]
    long_mm = max(zone.size_mm) if zone.size_mm else max(max(xs) - min(xs), max(ys) - min(ys))
    return Label(
        code, title, tuple(each for each in lines if each), zone.cautions, kind="place", along_mm=long_mm
    )


def _holds(level: Level | None, zone: Zone) -> str:
    """Say what a level bears and how much is clear above it, or what the whole zone bears."""
    said = []
    load = zone.load_kg if level is None or level.load_kg is None else level.load_kg
    if load is not None:
        said.append(f"carries {show_mass(load)}")
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
    walk = _Walk(state, shop)
    if zones:
        coded = ((place, state.place_code(place)) for place in places(shop))
        labels = (_place_label(shop, place, code) for place, code in coded if code is not None)
        return [label for label in labels if label is not None]
    ranked = sorted(state.groups(), key=lambda group: (*walk.of_group(group), group.code))
    return [group_label(state, group, shop) for group in ranked]


def _labels_of(state: State, shop: Shop, codes: Sequence[str]) -> list[Label]:
    """Return the labels of some codes in one walk: each place before what lies there, blanks last."""
    walk = _Walk(state, shop)
    found: dict[str, tuple[Rank, Label]] = {}
    wrong: list[str] = []
    for code in dict.fromkeys(codes):
        kind, subject = state.resolve_code(code) or ("", "")
        if kind == "group":
            group = state.group(subject)
            found[group.code] = (walk.of_group(group), group_label(state, group, shop))
        elif kind == "place":
            label = _place_label(shop, subject, code)
            if label is None:
                wrong.append(f"{code}: {subject} is no place of the shop file any more")
            else:
                found[code] = (walk.of_place(subject), label)
        elif kind == "tag":
            found[code] = ((len(walk.order) + 9, 0, "", 0), blank_label(code))
        else:
            wrong.append(f"{code}: nothing carries this code")
    if wrong:
        raise TagError(*wrong)
    return [label for _, label in sorted(found.values(), key=lambda each: (each[0], each[1].code))]


def place_of(shop: Shop, place: str) -> tuple[Zone, str] | None:
    """Return the zone and level of 'zone' or 'zone/level', None where the shop file has no such place."""
    zone = shop.zone(place)
    if zone is not None:
        return zone, ""
    key, _, level = place.rpartition("/")
    zone = shop.zone(key) if key else None
    return None if zone is None or zone.level(level) is None else (zone, level)


def _place_label(shop: Shop, place: str, code: str) -> Label | None:
    """Return the label of 'zone' or 'zone/level', None where the shop file has no such place."""
    found = place_of(shop, place)
    return None if found is None else place_label(code, *found, shop)


def flag_labels(state: State) -> list[Label]:
    """Return the two flags of every recorded wire, hose and pipe: its mark large, this end, the other end.

    They carry words only: a connection has no code of its own. `code` is then the mark.
    """
    from shopbins.strip.connections import connections, flags

    return [
        Label(
            flag.mark, flag.name, (f"here: {flag.here}", f"other end: {flag.there}"), kind="flag",
            mark=flag.mark, end=flag.mark[-1],
        )
        for connection in connections(state)
        for flag in flags(connection)
    ]  # fmt: skip


def digest_of(label: Label) -> str:
    """Return a short digest of what a label says besides its code."""
    return f"{crc32(repr((label.title, label.lines, label.cautions)).encode()):08x}"


Rank = tuple[int, int, str, int]


class _Walk:
    """Where things come in one walk through the shop: place by place, then the unplaced, then those away."""

    def __init__(self, state: State, shop: Shop) -> None:
        self.state, self.shop = state, shop
        self.order: Mapping[str, int] = {key: at for at, key in enumerate(walking_order(shop))}

    def of_group(self, group: Group) -> Rank:
        """Return a group's rank: its place, its level, its outermost carrier, how deep in that it lies."""
        from shopbins.ledger.model import Away, Fitted, InZone

        top, where = self.state.top_of(group.id)
        depth = len(self.state.chain(group.id))
        code = self.state.group(top).code
        if isinstance(where, InZone):
            return *self._level(where.zone, where.level), code, depth
        behind = 3 if isinstance(where, Fitted) else 2 if isinstance(where, Away) else 1
        return len(self.order) + behind, 0, code, depth

    def of_place(self, place: str) -> Rank:
        """Return a place's rank: before all that lies there."""
        found = place_of(self.shop, place)
        if found is None:
            return len(self.order), 0, "", 0
        return *self._level(found[0].key, found[1]), "", 0

    def _level(self, zone: str, level: str) -> tuple[int, int]:
        key = self.shop.renamed.get(zone, zone)
        known = self.shop.zone(key)
        at = (
            0
            if known is None
            else next((n for n, each in enumerate(known.levels, 1) if each.key == level), 0)
        )
        return self.order.get(key, len(self.order)), at if level else 0
