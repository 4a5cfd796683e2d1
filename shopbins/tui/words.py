"""What things are called on the screen: groups as rows, places, masses, what lies under the cursor."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from shopbins.geometry.shapes import Box, Point, bounds, contains
from shopbins.ledger.model import Away, Fitted, Group, InGroup, InZone, Mass, Whereabouts
from shopbins.ledger.whereabouts import HOW_WORDS, place_said
from shopbins.scene.contents import Contents
from shopbins.scene.scene import Scene
from shopbins.shop.model import Door, Fixture, KeepClear, Room, Walkway, Zone
from shopbins.tui.canvas.fullness import fullness, fullness_word
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.canvas.strips import strip_outline
from shopbins.units import counted, show_length, show_mass

if TYPE_CHECKING:
    from shopbins.rules.finding import Finding


class Under(NamedTuple):
    """One thing at a point: what sort, its key (a group's id) and the lines that explain it."""

    kind: str
    key: str
    title: str
    lines: tuple[str, ...] = ()


def mass_words(mass: Mass | None) -> str:
    """Say a mass, or that it was not weighed."""
    return "not weighed" if mass is None else mass.said


def size_words(group: Group) -> str:
    """Say a size, and where it was not measured that it is the container's or not known."""
    size = group.known_size
    if size is None:
        return "size not known"
    return size.said if group.size is not None else f"{size.said} (as a {group.container} usually is)"


def origin_words(group: Group) -> str:
    """Say where it came from, from the inside out."""
    return " > ".join(group.origin) if group.origin else "origin not known"


def where_short(scene: Scene, group: Group) -> str:
    """Say where a group is in a few words: 'rack a/3', 'in tub of studs', 'away: Anna', 'unplaced'."""
    where = group.where
    if isinstance(where, InZone):
        zone = scene.zone(where.zone)
        if zone is None:
            return f"{where.zone} (gone)"
        if spot_unknown(scene, where):
            return f"somewhere in {zone.name}"
        return place_said(zone.name, where.level if len(zone.levels) > 1 else "")
    if isinstance(where, InGroup):
        try:
            return f"{HOW_WORDS[where.how]} {scene.group(where.group).shown}"
        except KeyError:
            return f"{HOW_WORDS[where.how]} something gone"
    if isinstance(where, Fitted):
        return "on the machine, on trial" if where.trial else "on the machine"
    if isinstance(where, Away):
        return f"away: {where.to}" + (f" until {where.until}" if where.until else "")
    return "waiting"


def where_whole(scene: Scene, group: Group) -> str:
    """Say where a group is, what that is in or on, and whether its spot is not known."""
    said, where, seen = [where_short(scene, group)], group.where, {group.id}
    while isinstance(where, InGroup) and where.group not in seen:
        seen.add(where.group)
        try:
            holder = scene.group(where.group)
        except KeyError:
            break
        said.append(where_short(scene, holder))
        where = holder.where
    return ", ".join([*said, *(["spot not recorded"] if spot_unknown(scene, where) else [])])


def spot_unknown(scene: Scene, where: Whereabouts) -> bool:
    """Tell whether it is only known in which room something lies."""
    if not isinstance(where, InZone) or where.posed:
        return False
    zone = scene.zone(where.zone)
    return zone is not None and zone.kind == "room"


def load_words(contents: Contents) -> str:
    """Say what lies on a surface: '41 kg of 200 kg, 2 not weighed'."""
    if not contents.groups:
        return (
            f"nothing on it, takes {show_mass(contents.limit_kg)}" if contents.limit_kg else "nothing on it"
        )
    about = "at least " if contents.unweighed else "about " if contents.about else ""
    text = about + show_mass(contents.load_kg)
    text += f" of {show_mass(contents.limit_kg)}" if contents.limit_kg is not None else ""
    return text + (f", {contents.unweighed} not weighed" if contents.unweighed else "")


def things_words(contents: Contents) -> str:
    """Count what lies there: '4 things and 9 in them'."""
    text = counted(len(contents.groups), "thing")
    return f"{text} and {contents.nested} in or on them" if contents.nested else text


def share_words(contents: Contents) -> str:
    """Say how much of the surface is taken: '62 % of its surface', unknown sizes said."""
    text = f"{contents.fill * 100:.0f} % of the surface"
    return text + (f", {contents.unsized} not measured" if contents.unsized else "")


def under(scene: Scene, at: Point, within_mm: float) -> list[Under]:
    """Return what is at a point, the nearest at hand first: things, benches, doors, ways, room.

    A thing smaller than a cell counts if its middle is within `within_mm`.
    """
    found: list[Under] = []
    room = room_at(scene, at)
    found.extend(_groups_at(scene, room, at, within_mm))
    found.extend(zone_told(scene, z) for z in zones_at(scene, at) if z.kind != "room")
    for key in scene.shop.fixtures:
        fixture = scene.fixture(key)
        if fixture is not None and contains(fixture.outline, at):
            found.append(fixture_told(fixture))
    found.extend(door_told(d) for d in scene.shop.doors.values() if _at_door(d, at, within_mm))
    found.extend(keep_told(k) for k in scene.shop.keep_clear.values() if contains(k.outline, at))
    found.extend(way_told(w) for w in scene.shop.walkways.values() if _on_way(w, at))
    if room is not None:
        found.append(room_told(scene, room))
    return found or [Under("nothing", "", "outside the rooms")]


def room_at(scene: Scene, at: Point) -> Room | None:
    """Return the room a point is in."""
    return next((r for r in scene.shop.rooms.values() if contains(r.outline, at)), None)


def zones_at(scene: Scene, at: Point) -> list[Zone]:
    """Return the benches, shelves and floor spots at a point, the highest first, then its room's floor."""
    found = [z for z in scene.zones() if contains(z.outline, at)]
    return sorted(
        found, key=lambda z: (z.kind == "room", z.kind == "floor", -max(lv.height_mm for lv in z.levels))
    )


def _groups_at(scene: Scene, room: Room | None, at: Point, within_mm: float) -> Iterator[Under]:
    if room is None:
        return
    bodies = [b for b in scene.near(room.key, Box(*at, *at).grown(within_mm)) if b.kind == "group"]
    hit = [b for b in bodies if contains(b.outline, at)]
    if not hit:
        hit = [
            b
            for b in bodies
            if abs(b.centre[0] - at[0]) <= within_mm and abs(b.centre[1] - at[1]) <= within_mm
        ]
    for body in sorted(hit, key=lambda b: (-b.base_mm, b.box.wide_mm * b.box.deep_mm)):
        yield group_told(scene, scene.group(body.key))


def group_told(scene: Scene, group: Group) -> Under:
    """Explain a group."""
    share = scene.share(group.id)
    lines = [
        where_whole(scene, group),
        f"{mass_words(group.mass)} · {size_words(group)}",
        f"{group.code} · {group.container}" + (f" · {group.qty} pieces" if group.qty != 1 else ""),
        f"from {origin_words(group)}" if group.origin else "origin not known",
        group.disposition,
    ]
    if share.nested:
        all_in = show_mass(share.mass_kg) + (f", {share.unweighed} not weighed" if share.unweighed else "")
        lines.append(f"with {counted(share.nested, 'group')} in or on it: {all_in}")
    if group.note:
        lines.append(f"note: {group.note}")
    lines.extend(f"caution: {caution}" for caution in group.cautions)
    return Under("group", group.id, group.shown, tuple(lines))


def zone_told(scene: Scene, zone: Zone) -> Under:
    """Explain a zone: what it is, load and fullness of each level."""
    whole = scene.contents(zone.key)
    full = fullness_word(fullness(scene, zone))
    lines = [f"{full} · {things_words(whole)} · {load_words(whole)}"]
    if len(zone.levels) > 1:
        for level in reversed(zone.levels):
            each = scene.contents(zone.key, level.key)
            lines.append(f"/{level.key}: {things_words(each)} · {load_words(each)} · {share_words(each)}")
    else:
        lines.append(share_words(whole))
    lines.extend(f"caution: {caution}" for caution in zone.cautions)
    if zone.note:
        lines.append(zone.note)
    kind = {"bench": "bench", "shelf": f"shelf, {counted(len(zone.levels), 'level')}", "floor": "floor spot"}
    return Under("zone", zone.key, f"{zone.name} · {kind.get(zone.kind, 'open floor')}", tuple(lines))


def room_told(scene: Scene, room: Room) -> Under:
    """Explain a room and what stands on its open floor."""
    whole = scene.contents(room.key)
    x0, y0, x1, y1 = bounds(room.outline)
    places = [z for z in scene.zones() if z.room == room.key]
    inside = [scene.contents(z.key) for z in places]
    parts = sum(len(each.groups) + each.nested for each in inside)
    lines = [
        f"{counted(len(places) - 1, 'place')}, {counted(parts, 'part')}",
        f"on the open floor: {things_words(whole)} · {load_words(whole)}",
    ]
    facts = [f"{show_length(x1 - x0)} x {show_length(y1 - y0)}"]
    facts.append(f"headroom {show_length(room.headroom_mm)}" if room.headroom_mm else "headroom not known")
    if room.slope is not None:
        facts.append(f"floor falls 1 in {1 / room.slope.fall:.0f}" if room.slope.fall else "level")
    if room.hot_work:
        facts.append("hot work")
    lines.append(" · ".join(facts))
    if room.note:
        lines.append(room.note)
    return Under("room", room.key, f"{room.name} · room", tuple(lines))


def fixture_told(fixture: Fixture) -> Under:
    """Explain a fixture."""
    mass = f" · {show_mass(fixture.mass_kg)}" if fixture.mass_kg is not None else ""
    kind = "movable" if fixture.movable else "fixed"
    lines = (
        f"{kind}{mass}" + (" · gets hot" if fixture.hot else ""),
        *([fixture.note] if fixture.note else []),
    )
    return Under("fixture", fixture.key, fixture.name, lines)


def door_told(door: Door) -> Under:
    """Explain a door."""
    opens = {"hinged": f"opens into {door.swings_into}" if door.swings_into else "hinged"}.get(
        door.opens, door.opens
    )
    clear = f"{show_length(door.clear_width_mm)} clear"
    if door.height_mm is not None:
        clear += f", {show_length(door.height_mm)} high"
    title = f"{door.name} · {'exit' if door.exit else 'door'} to {door.to}"
    step = (f"threshold {show_length(door.threshold_mm)}",) if door.threshold_mm else ()
    return Under("door", door.key, title, (f"{opens} · {clear}", *step))


def finding_told(finding: Finding) -> Under:
    """Explain a finding: what, against which limit, what to do about it."""
    lines = [measured_words(finding), f"Fix: {finding.remedy}" if finding.remedy else ""]
    lines.append(f"Source: {finding.source}" if finding.source else "")
    return Under("finding", finding.id, told(finding), tuple(line for line in lines if line))


def told(finding: Finding) -> str:
    """Say a finding in one line, its grade as a shape and a word; of one let through, by whom."""
    if finding.accepted is not None:
        return f"□ {grade_word(finding)}, accepted {finding.accepted.said}: {finding.text}"
    return f"{GRADE_GLYPH[finding.grade]} {grade_word(finding)}: {finding.text}"


GRADE_WORDS = {"stop": "stop", "correct": "to fix", "note": "note"}


def grade_word(finding: Finding) -> str:
    """Say a finding's grade as people read it."""
    return GRADE_WORDS[finding.grade]


def measured_words(finding: Finding) -> str:
    """Say what was measured against the limit, '' where there is nothing to measure."""
    if finding.measured is None or finding.unit == "count":
        return ""
    number = _number(finding.measured, finding.unit)
    return f"{number}, limit {_number(finding.limit, finding.unit)}" if finding.limit is not None else number


def _number(value: float, unit: str) -> str:
    return f"{round(value) if unit == 'mm' else round(value, 1):g} {unit}".strip()


def keep_told(keep: KeepClear) -> Under:
    """Explain a keep-clear."""
    up_to = f" up to {show_length(keep.height_mm)}" if keep.height_mm is not None else ""
    return Under("keep-clear", keep.key, f"{keep.name} · keep clear{up_to}", (keep.why,))


def way_told(way: Walkway) -> Under:
    """Explain a walkway."""
    least = f", at least {show_length(way.least_mm)}" if way.least_mm is not None else ""
    title = f"{way.name} · walkway" + (", exit route" if way.exit_route else "")
    return Under("walkway", way.key, title, (f"keep {show_length(way.width_mm)} free{least}",))


def _at_door(door: Door, at: Point, within_mm: float) -> bool:
    if len(door.passage) >= 3 and contains(door.passage, at):
        return True
    if len(door.swing) >= 3 and contains(door.swing, at):
        return True
    half = strip_outline(*door.jambs, within_mm)
    return bool(half) and contains(half, at)


def _on_way(way: Walkway, at: Point) -> bool:
    bands = (strip_outline(a, b, way.width_mm / 2) for a, b in pairwise(way.line))
    return any(band and contains(band, at) for band in bands)
