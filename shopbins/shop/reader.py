"""Reading a shop file: all of it typed and immutable, or every problem in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal, TypeVar, cast

from shopbins.shop import checks, head
from shopbins.shop.doors import read_doors
from shopbins.shop.fields import Fields, Reading
from shopbins.shop.fixtures import read_fixtures
from shopbins.shop.gear import read_gear
from shopbins.shop.keys import PREMISES, SHOP, ValueKind, names
from shopbins.shop.model import Shop
from shopbins.shop.nodes import Scalar, Table, tree
from shopbins.shop.openings import read_openings, read_walls
from shopbins.shop.problems import Notes, Problem, ShopProblems
from shopbins.shop.rooms import read_rooms
from shopbins.shop.source import load
from shopbins.shop.ways import Placed, read_keep_clears, read_walkways
from shopbins.shop.zones import read_zones

K = TypeVar("K")
V = TypeVar("V")
_EXAMPLE = "begin with 'shop: My shed' and 'rooms:'"


def read(path: str | Path) -> Shop:
    """Read a shop file.

    Raises ShopProblems with every problem found (unreadable files included), in file order.
    """
    notes = Notes(str(path))
    text = load(Path(path), notes)
    if text is None:
        raise ShopProblems(notes.in_order())
    return read_text(text, Path(path))


def parse(text: str, file: str = "shop.yaml") -> Shop:
    """Read a shop from text; `file` is what problems call it. Raises ShopProblems."""
    return _parsed(text, Notes(file), None)


@lru_cache(maxsize=2)
def read_text(text: str, path: Path) -> Shop:
    """Read the text of a shop file that is, or is to be, at a path; raises ShopProblems.

    The last ones are kept: what is drawn is read before it is saved, and found again on the disk after.
    """
    return _parsed(text, Notes(str(path)), path)


def check(path: str | Path) -> list[Problem]:
    """Return every problem of a shop file, in file order; none if it can be used."""
    try:
        read(path)
    except ShopProblems as error:
        return list(error.problems)
    return []


def _parsed(text: str, notes: Notes, path: Path | None) -> Shop:
    root = tree(text, notes)
    shop = None
    if isinstance(root, Table):
        shop = _shop(root, notes, path)
    elif not len(notes):
        if root is None or (isinstance(root, Scalar) and not root.text):
            notes.add_at(1, 1, "the file is empty", _EXAMPLE)
        else:
            notes.add(root, "a shop file is keys and values", _EXAMPLE)
    if shop is None or len(notes):
        whole = shop is not None and isinstance(root, Table) and _whole(root, shop)
        raise ShopProblems(notes.in_order(), shop if whole else None)
    return shop


def _whole(root: Table, shop: Shop) -> bool:
    """Tell whether everything that is written became part of the shop."""
    for key in SHOP:
        written = root.pairs.get(key.name)
        if key.kind is ValueKind.EACH and written is not None:
            named = written[1].pairs if isinstance(written[1], Table) else {}
            if set(named) != set(getattr(shop, key.name.replace(" ", "_"))):
                return False
    return True


def _shop(table: Table, notes: Notes, path: Path | None) -> Shop:
    """Read every section, then look at them together."""
    reading = Reading(notes)
    top = next(iter(table.pairs.values()))[0] if table.pairs else table
    root = Fields(table, names(SHOP), reading, "the shop", "", top)
    root.missing("shop", "My shed")
    name = root.text("shop")
    measured = root.length("measured", zero=True)
    rules = head.read_rules(root)
    units = head.read_units(root, rules)
    shop = Shop(
        name=name,
        prefix=head.read_prefix(root, name),
        rooms={},
        path=path,
        rules=rules,
        country=head.read_country(root),
        premises=cast('Literal["work", "home"] | None', root.choice("premises", PREMISES)),
        built=root.year("built"),
        units=units or "metric",
        measured_mm=5.0 if measured is None else measured,
        limits=head.read_limits(root),
        asked=head.read_asked(root),
        machines=_fixed(head.read_machines(root)),
        note=root.note(),
    )
    shop = _with_sections(shop, root, reading)
    return shop if units or reading.feet <= reading.metric else replace(shop, units="us")


def _with_sections(shop: Shop, root: Fields, reading: Reading) -> Shop:
    """Add rooms, doors, ways, zones, fixtures and gear, and check them against each other."""
    notes = reading.notes
    placed: list[Placed] = []
    zones_placed: list[Placed] = []
    rooms = read_rooms(root)
    doors = read_doors(root, rooms, shop.measured_mm)
    walkways = read_walkways(root)
    keep_clear = read_keep_clears(root, rooms, placed)
    zones = read_zones(root, rooms, zones_placed)
    fixtures = read_fixtures(root, rooms, placed)
    openings = read_openings(root, rooms, placed)
    walls = read_walls(root, rooms)
    gear = read_gear(root)
    checks.sizes(rooms, doors, notes)
    checks.rooms_apart(rooms, notes)
    checks.inside_rooms([*placed, *zones_placed], rooms, doors, notes)
    checks.zones_apart(list(zones.values()), zones_placed, notes)
    named: list[checks.Named] = [
        *(("room", room) for room in rooms.good.values()),
        *(("door", door) for door in doors.values()),
        *(("walkway", walkway) for walkway, _ in walkways.values()),
        *(("keep-clear", each) for each in keep_clear.values()),
        *(("zone", zone) for zone in zones.values()),
        *(("fixture", fixture) for fixture in fixtures.values()),
        *(("opening", each) for each in openings.values()),
        *(("gear", each) for each in gear.values()),
    ]
    checks.names_apart(named, notes)
    return replace(
        shop,
        rooms=_fixed(rooms.good),
        doors=_fixed(doors),
        walkways=_fixed(checks.walkways_in_rooms(walkways, rooms, doors, notes)),
        keep_clear=_fixed(keep_clear),
        zones=_fixed(zones),
        fixtures=_fixed(fixtures),
        openings=_fixed(openings),
        walls=_fixed(walls),
        gear=_fixed(gear),
        renamed=_fixed({old: thing.key for _, thing in named for old in thing.was}),
        measured_at=_fixed(reading.measured),
    )


def _fixed(mapping: Mapping[K, V]) -> Mapping[K, V]:
    return MappingProxyType(dict(mapping))
