"""Every key of the shop file, once: what may be written, what it means, an example.

The reader, the forms of Draw, the tables of docs/shop-file.md (docs/make_pages.py) and the JSON Schema
(`shopbins check --schema`) are made from these rows. A key more is a row more here and a line in the reader.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import get_args

from shopbins.shop.figures import FIGURES
from shopbins.shop.model import (
    FireHazard,
    GearKind,
    Hand,
    OpeningKind,
    Opens,
    Opposite,
    RuleSet,
    Steering,
    UnitsShown,
    WallOf,
    WorkKind,
)


class ValueKind(StrEnum):
    """What is written for a key; the value says it in words."""

    LENGTH = "length"
    MASS = "mass"
    FORCE = "force"
    AREA_LOAD = "load on a floor"
    ANGLE = "angle"
    SLOPE = "slope"
    SHARE = "share"
    VOLTS = "volts to ground"
    AMPS = "amps"
    VOLUME = "volume"
    BEARING = "mass or force"
    DATE = "day"
    YEAR = "year"
    COUNT = "whole number"
    FLAG = "yes or no"
    EXIT = "yes, no or emergency"
    TEXT = "text"
    NOTE = "remark"
    TEXTS = "list of texts"
    ROOM = "room"
    CHOICE = "one of"
    POINT = "point"
    SIZE = "size"
    POINTS = "list of points"
    POINT3 = "x, y and height"
    REACH = "lengths, each with a mass"
    HOOK = "length, or lengths, each with a length"
    TABLE = "keys of its own"
    EACH = "each under its own key"


@dataclass(frozen=True, slots=True)
class Key:
    """One key: `example` is a value as it stands in the file.

    `words` are those of a CHOICE, `keys` those inside a TABLE or of each thing of an EACH. `of` names the
    kinds of gear it says something of; none: of all.
    """

    name: str
    kind: ValueKind
    meaning: str
    example: str = ""
    needed: bool = False
    words: tuple[str, ...] = ()
    keys: tuple[Key, ...] = ()
    of: tuple[str, ...] = ()


Keys = tuple[Key, ...]


def names(keys: Keys) -> tuple[str, ...]:
    """Return the names of some keys."""
    return tuple(key.name for key in keys)


_K = ValueKind
NAME = Key("name", _K.TEXT, "what people call it; may be changed freely", "Long bench")
NOTE = Key("note", _K.NOTE, "a remark for whoever reads the file", "the far wall is crooked")
WAS = Key("was", _K.TEXTS, "old keys, so that what lies there stays there", "[old bay]")
FOOTPRINT: Keys = (
    Key("at", _K.POINT, "of a rectangle: its first corner", "[0, 0]"),
    Key("size", _K.SIZE, "of a rectangle: length, then depth", "[2000, 700]"),
    Key("turn", _K.ANGLE, "how the rectangle is turned about that corner, counter-clockwise", "90"),
    Key(
        "outline",
        _K.POINTS,
        "any other shape, in place of `at` and `size`: its corners in order; it may not cross itself",
        "[[0, 0], [4000, 0], [4000, 3000]]",
    ),
)

# -- the top of the file -------------------------------------------------------------------------------------

RULE_SETS: tuple[str, ...] = get_args(RuleSet)
PREMISES = ("work", "home")
UNITS: tuple[str, ...] = get_args(UnitsShown)
WHO_LIFTS = ("anyone", "men")
_FIGURE_KINDS = {"mm": _K.LENGTH, "deg": _K.ANGLE}
MOVING: Keys = tuple(
    Key(f.name, _FIGURE_KINDS.get(f.unit, _K.TEXT), f.says, f"{f.value:g} {f.unit}".rstrip())
    for f in FIGURES.values()
)
LIMITS: Keys = (
    Key("walkway", _K.LENGTH, "least clear width of a walkway that says none of its own", "700 mm"),
    Key("exit", _K.LENGTH, "least clear width on the way to an exit", "800 mm"),
    Key("headroom", _K.LENGTH, "least headroom over a walkway", "2 m"),
    Key("fill", _K.SHARE, "how full a place may be, by area; without it 85 %", "85 %"),
    Key("lift height", _K.LENGTH, "highest place for anything heavy", "1.1 m"),
    Key("one person", _K.MASS, "what one person lifts alone", "20 kg"),
    Key(
        "people",
        _K.COUNT,
        "how many may have to get out by one way, where the room does not say; widths and doors go by it",
        "12",
    ),
    Key(
        "who lifts",
        _K.CHOICE,
        "by whose figures lifting is checked: `anyone` (without it), or `men`",
        "men",
        words=WHO_LIFTS,
    ),
    Key("liquids", _K.VOLUME, "the most flammable liquid you want outside cabinets", "40 L"),
    Key(
        "moving",
        _K.TABLE,
        "our own figures for moves, each under its name in moves.md",
        "{tip reserve: 6 deg}",
        keys=MOVING,
    ),
)
RELEASE: Keys = (
    Key(
        "two persons",
        _K.TEXTS,
        "words: what has one in its name is inspected, and released by the values of two persons",
        "[brake, sling]",
    ),
    Key(
        "concede by another",
        _K.FLAG,
        "`yes`: who measured a value beyond its limit does not concede it",
        "yes",
    ),
    Key(
        "look at what comes",
        _K.FLAG,
        "`yes`: what was bought or made is inspected before it goes on",
        "yes",
    ),
)
MACHINE: Keys = (
    NAME,
    Key("owner", _K.TEXT, "whose it is", "Canal Trust"),
    Key("job", _K.TEXT, "your job number", "26-014"),
    NOTE,
)

# -- the floor -----------------------------------------------------------------------------------------------

SLOPE: Keys = (
    Key("fall", _K.SLOPE, "how much the floor falls", "1 in 25", needed=True),
    Key("towards", _K.ANGLE, "in which direction it goes down", "270", needed=True),
)
ANCHOR: Keys = (
    Key("at", _K.POINT, "where it is", "[300, 2000]", needed=True),
    Key("height", _K.LENGTH, "how high above the floor", "400"),
    Key("load", _K.FORCE, "what it holds", "10 kN"),
)
HAZARDS: tuple[str, ...] = get_args(FireHazard)
ROOM: Keys = (
    NAME,
    *FOOTPRINT,
    Key("headroom", _K.LENGTH, "from the floor to the lowest beam", "2.4 m"),
    Key(
        "sprinklers",
        _K.LENGTH,
        "where there are any: from the floor to the lowest sprinkler's deflector",
        "2.3 m",
    ),
    Key("floor load", _K.AREA_LOAD, "what the floor carries, spread", "5 kN/m2"),
    Key("point load", _K.FORCE, "what it carries on one small spot", "4.5 kN"),
    Key(
        "slope",
        _K.TABLE,
        "`fall` and `towards`; `none` where it is known to be level",
        "{fall: 1 in 25, towards: 270}",
        keys=SLOPE,
    ),
    Key("hot work", _K.FLAG, "`yes` where there is welding, forging, grinding", "yes"),
    Key("people", _K.COUNT, "how many may be in it, for its own ways out", "12"),
    Key(
        "fire hazard",
        _K.CHOICE,
        "`low`, `normal` or `high`: how far it may be to a way out, how doors swing",
        "normal",
        words=HAZARDS,
    ),
    Key(
        "outdoor",
        _K.FLAG,
        "`yes` for a yard: it has no ceiling, so a thing of unknown height there is not checked for height",
        "yes",
    ),
    Key("below ground", _K.FLAG, "`yes` for a cellar: heavy gases gather there", "yes"),
    Key("built", _K.YEAR, "the year, if it is not that of the shop", "1998"),
    Key(
        "even",
        _K.FLAG,
        "`yes` where its floor is even and kept clean to roll on, `no` where it is not",
        "yes",
    ),
    Key("void", _K.FLAG, "`yes` where a cellar, duct or hole is below it, `no` where nothing is", "no"),
    Key(
        "anchors",
        _K.EACH,
        "what a line may be made fast to when something heavy is moved",
        "{ring: {at: [300, 2000], height: 400, load: 10 kN}}",
        keys=ANCHOR,
    ),
    NOTE,
    WAS,
)

OPENS: tuple[str, ...] = get_args(Opens)
HANDS: tuple[str, ...] = get_args(Hand)
KEPT = ("shut", "open")
DOOR: Keys = (
    NAME,
    Key("room", _K.ROOM, "a room whose wall it is in", "hall", needed=True),
    Key("to", _K.ROOM, "the other room, or `outside`", "outside", needed=True),
    Key(
        "jambs",
        _K.POINTS,
        "the two edges of the finished opening, both on one wall of `room`",
        "[[0, 1000], [0, 1900]]",
        needed=True,
    ),
    Key("clear", _K.LENGTH, "clear width, if you measured it; else it is worked out, see below", "860"),
    Key("height", _K.LENGTH, "clear height of the opening", "2 m"),
    Key(
        "opens",
        _K.CHOICE,
        "`hinged`, `sliding`, `up-and-over`, or `open` (no leaf, or lifted out)",
        "hinged",
        needed=True,
        words=OPENS,
    ),
    Key(
        "hand",
        _K.CHOICE,
        "hinged only: `left` or `right`. Stand in the room it swings into, face the door: where are the "
        "hinges?",
        "left",
        words=HANDS,
    ),
    Key(
        "swings into",
        _K.ROOM,
        "hinged only: the room (or `outside`) it swings into; without it, `room`",
        "hall",
    ),
    Key("opens to", _K.ANGLE, "hinged only: how far, in degrees from shut; without it 90", "110"),
    Key("leaf", _K.LENGTH, "thickness of the leaf; without it 40 mm", "45 mm"),
    Key("leaf mass", _K.MASS, "what the leaf weighs: how many take it off for a move", "60 kg"),
    Key("hang", _K.LENGTH, "up-and-over only: clear height under the leaf where it hangs open", "2.05 m"),
    Key(
        "threshold",
        _K.LENGTH,
        "how high the sill stands, `0` where there is none; where nobody told, a move asks",
        "15 mm",
    ),
    Key(
        "wall",
        _K.LENGTH,
        "to outside only: how thick the wall is; without it 200 mm. "
        "Between rooms the outlines say it, up to 1.5 m",
        "350 mm",
    ),
    Key("exit", _K.EXIT, "`yes` if it counts as a way out, `emergency` if it is for emergencies only", "yes"),
    Key(
        "kept",
        _K.CHOICE,
        "`shut` or `open`: how it stands when nobody goes through; a shut one holds sparks back",
        "shut",
        words=KEPT,
    ),
    NOTE,
    WAS,
)

WALKWAY: Keys = (
    NAME,
    Key(
        "line",
        _K.POINTS,
        "the middle of the way, point by point. It may pass through doors, and end outside beyond one",
        "[[500, 500], [5000, 500]]",
        needed=True,
    ),
    Key("width", _K.LENGTH, "what should stay free", "800 mm", needed=True),
    Key("least", _K.LENGTH, "what must be left at the tightest place; without it the limit `walkway`", "700"),
    Key("exit route", _K.FLAG, "`yes` if it is a way out", "yes"),
    NOTE,
    WAS,
)

OPPOSITE: tuple[str, ...] = get_args(Opposite)
MOUNTED: Keys = (
    Key("top", _K.LENGTH, "its top above the floor", "1.4 m"),
    Key("bottom", _K.LENGTH, "its lower edge above the floor", "850 mm"),
    Key("handle", _K.LENGTH, "its handle above the floor", "1.2 m"),
    Key("mass", _K.MASS, "what it weighs", "9 kg"),
    Key("wheeled", _K.FLAG, "`yes` if it stands on wheels", "no"),
)
EQUIPMENT: Keys = (
    Key("width", _K.LENGTH, "how wide it is", "900"),
    Key("height", _K.LENGTH, "how high it reaches", "1.8 m"),
    Key("door width", _K.LENGTH, "the width of its door leaf", "600"),
    Key("amps", _K.AMPS, "what it is rated for", "200"),
)
FIRE_CLASSES = ("A", "B", "C", "D", "F", "K")
KEEP_CLEAR: Keys = (
    NAME,
    Key("room", _K.ROOM, "where it is", "hall", needed=True),
    *FOOTPRINT,
    Key(
        "why",
        _K.TEXT,
        "switchgear, extinguisher, stop valve, stairs, working room of the lathe ...",
        "switchgear",
        needed=True,
    ),
    Key("height", _K.LENGTH, "up to where; without it, to the ceiling", "2 m"),
    Key(
        "volts",
        _K.VOLTS,
        "at electrical equipment: volts to ground (earth), not between phases: 120 for 208Y/120, "
        "277 for 480Y/277, 230 for 400",
        "230",
    ),
    Key(
        "opposite",
        _K.CHOICE,
        "what faces it across that space: `nothing` (bare, not grounded), "
        "`grounded` (brick, concrete, tile) or `live`",
        "grounded",
        words=OPPOSITE,
    ),
    Key(
        "equipment",
        _K.TABLE,
        "of the electrical equipment, see below",
        "{width: 900, height: 1.8 m}",
        keys=EQUIPMENT,
    ),
    Key("installed", _K.DATE, "when that was", "2005-06-01"),
    Key("worked on live", _K.FLAG, "`no` where nobody ever does", "no"),
    Key("entrances", _K.COUNT, "how many ways lead into the space", "1"),
    Key(
        "mounted",
        _K.TABLE,
        "how an extinguisher hangs, see below",
        "{top: 1.4 m, bottom: 850 mm, mass: 9 kg}",
        keys=MOUNTED,
    ),
    Key("for", _K.TEXTS, "which fires an extinguisher is for", "[A, B]"),
    Key("sign", _K.FLAG, "`yes` if a sign shows where it is", "yes"),
    NOTE,
    WAS,
)

# -- where parts lie, and what stands fixed ------------------------------------------------------------------

ZONE_KINDS = ("bench", "shelf", "floor")
CABINETS = ("flammables",)
WORK: tuple[str, ...] = get_args(WorkKind)
LEVEL: Keys = (
    Key("height", _K.LENGTH, "of the board above the floor", "650", needed=True),
    Key("headroom", _K.LENGTH, "free height above it; without it, to the next level or the ceiling", "500"),
    Key("load", _K.MASS, "what the level carries", "150 kg"),
    WAS,
)
ZONE: Keys = (
    NAME,
    Key("room", _K.ROOM, "where it is", "hall", needed=True),
    Key(
        "kind",
        _K.CHOICE,
        "`bench`, `shelf` or `floor` (a spot on the floor)",
        "bench",
        needed=True,
        words=ZONE_KINDS,
    ),
    *FOOTPRINT,
    Key("height", _K.LENGTH, "of the surface above the floor (a floor spot needs none)", "900 mm"),
    Key(
        "headroom",
        _K.LENGTH,
        "free height above the surface; without it, to the next level or to the ceiling",
        "600",
    ),
    Key("load", _K.MASS, "what the whole place carries", "300 kg"),
    Key(
        "levels",
        _K.EACH,
        "of a shelf: each level under its own key, with `height`, `headroom` and `load`",
        "{1: {height: 100}, 2: {height: 650}}",
        keys=LEVEL,
    ),
    Key("movable", _K.FLAG, "`yes` for a bench on wheels", "yes"),
    Key("mass", _K.MASS, "what it weighs empty", "45 kg"),
    Key(
        "fixed back",
        _K.FLAG,
        "`yes` if it is fixed to the wall, `no` if it is not; left out, nobody said",
        "yes",
    ),
    Key(
        "fixed floor",
        _K.FLAG,
        "`yes` if it is bolted to the floor, `no` if it is not; left out, nobody said",
        "yes",
    ),
    Key("total height", _K.LENGTH, "to the top of the uprights; without it, to the top level", "2.2 m"),
    Key("cabinet", _K.CHOICE, "`flammables` for a closed, fire-resisting one", "flammables", words=CABINETS),
    Key("for truck", _K.FLAG, "`yes` if a truck or hand truck serves it", "yes"),
    Key("load sign", _K.FLAG, "`yes` if a sign tells its load", "yes"),
    Key("quarantine", _K.FLAG, "`yes` if only what is rejected lies there", "yes"),
    Key(
        "work",
        _K.CHOICE,
        "what is done on a bench: `precision`, `light` or `heavy`, to check its height",
        "light",
        words=WORK,
    ),
    Key("cautions", _K.TEXTS, "a list of words: `[flammable]`", "[flammable]"),
    NOTE,
    WAS,
)

COVER: Keys = (
    Key("load", _K.BEARING, "of a flat cover in the floor: what it bears", "1.5 t"),
    Key("class", _K.TEXT, "of a flat cover in the floor: the class cast into it", "B125"),
)
FIXTURE: Keys = (
    NAME,
    Key("room", _K.ROOM, "where it stands", "hall", needed=True),
    *FOOTPRINT,
    Key("height", _K.LENGTH, "how tall it is; without it, it reaches the ceiling", "1.1 m"),
    Key("base", _K.LENGTH, "how high above the floor it begins; without it 0", "2.2 m"),
    Key("movable", _K.FLAG, "`yes` if it may be shifted to make way", "yes"),
    Key("mass", _K.MASS, "what it weighs", "180 kg"),
    Key("hot", _K.FLAG, "`yes` for a stove, a hearth", "yes"),
    Key("fire barrier", _K.FLAG, "`yes` for a wall or screen that holds fire back", "yes"),
    *COVER,
    NOTE,
    WAS,
)

OPENING_KINDS: tuple[str, ...] = get_args(OpeningKind)
OPENING: Keys = (
    NAME,
    Key("room", _K.ROOM, "where it is", "hall", needed=True),
    Key(
        "kind",
        _K.CHOICE,
        "`hatch`, `pit`, `grating`, `drain`, `window` or `pipe hole`",
        "hatch",
        needed=True,
        words=OPENING_KINDS,
    ),
    *FOOTPRINT,
    Key(
        "jambs",
        _K.POINTS,
        "in a wall, in place of an outline: the two edges of the hole",
        "[[9000, 2000], [9000, 2150]]",
    ),
    Key("to", _K.ROOM, "the room below or behind it, or `outside`", "outside"),
    Key("covered", _K.FLAG, "`yes` or `no`", "yes"),
    Key("guarded", _K.FLAG, "a rail round it: `yes` or `no`", "yes"),
    Key("depth", _K.LENGTH, "how far one falls", "1.4 m"),
    *COVER,
    NOTE,
    WAS,
)
WALL_OF: tuple[str, ...] = get_args(WallOf)
WALL: Keys = (
    Key("between", _K.TEXTS, "the two rooms", "[hall, store]", needed=True),
    Key("of", _K.CHOICE, "`metal` or `masonry`", "metal", needed=True, words=WALL_OF),
    NOTE,
)

# -- moving gear ---------------------------------------------------------------------------------------------

GEAR_KINDS: tuple[str, ...] = get_args(GearKind)
STEERING: tuple[str, ...] = get_args(Steering)
_ROLLING = ("pallet truck", "skates", "trolley", "engine crane", "gantry crane")
_HELPS = ("toe jack", "winch", "plate", "ramp")
_WITH_PLATE = (*_ROLLING, "rollers and bar", *_HELPS)
_CRANES = ("engine crane", "gantry crane")
_FORKS = ("pallet truck",)
_LIFTS = ("pallet truck", "toe jack")
GEAR: Keys = (
    NAME,
    Key(
        "kind",
        _K.CHOICE,
        "`pallet truck`, `skates`, `trolley`, `engine crane`, `gantry crane`, `rollers and bar`, `by hand`; "
        "`toe jack`, `winch`, `plate` and `ramp` help",
        "pallet truck",
        needed=True,
        words=GEAR_KINDS,
    ),
    Key(
        "capacity",
        _K.MASS,
        "what it holds by its plate; of skates, each one; of an engine crane, see `reach`",
        "2 t",
        of=_WITH_PLATE,
    ),
    Key(
        "mass",
        _K.MASS,
        "what it weighs itself; of skates, all together; of plates and ramps, each one",
        "70 kg",
        of=_WITH_PLATE,
    ),
    Key(
        "steering",
        _K.CHOICE,
        "`on the spot`, `radius` (it needs a circle to turn in) or `axis` (straight on, lifted round)",
        "axis",
        words=STEERING,
        of=_ROLLING,
    ),
    Key("turning radius", _K.LENGTH, "the circle it needs", "1350", of=_ROLLING),
    Key("wheels", _K.COUNT, "how many wheels touch the floor; of skates, all together", "4", of=_ROLLING),
    Key("wheel", _K.LENGTH, "the diameter of the smallest wheel", "85", of=_ROLLING),
    Key(
        "wheel load",
        _K.MASS,
        "what one wheel carries with the full load on, if the maker says",
        "600 kg",
        of=_ROLLING,
    ),
    Key("clearance", _K.LENGTH, "what is free under the gear itself", "30", of=_ROLLING),
    Key("over forks", _K.LENGTH, "width over both forks, outside to outside", "540", of=_FORKS),
    Key("between forks", _K.LENGTH, "width between the forks; this or `fork width`", "220", of=_FORKS),
    Key("fork width", _K.LENGTH, "width of one fork", "160", of=_FORKS),
    Key("fork length", _K.LENGTH, "from heel to tip", "1150", of=_FORKS),
    Key("lowered", _K.LENGTH, "how high forks are lowered all the way, or a jack's toe", "85", of=_LIFTS),
    Key("raised", _K.LENGTH, "how high forks are raised all the way, or a jack's toe", "200", of=_LIFTS),
    Key(
        "body",
        _K.LENGTH,
        "how far it stands out: a pallet truck behind the forks, its handle upright; "
        "an engine crane behind its mast",
        "400",
        of=("pallet truck", "engine crane"),
    ),
    Key(
        "count",
        _K.COUNT,
        "how many there are",
        "4",
        of=("skates", "rollers and bar", *_HELPS[:1], *_HELPS[2:]),
    ),
    Key(
        "height",
        _K.LENGTH,
        "of a skate, of a roller (its diameter), of a platform; of a crane, how tall it is; "
        "of a plate, how thick it is",
        "110",
        of=("skates", "trolley", *_CRANES, "rollers and bar", "plate"),
    ),
    Key(
        "size",
        _K.SIZE,
        "of one skate, of a platform; of a crane, the floor it takes: "
        "from the mast to the ends of the legs, and over both legs",
        "[900, 600]",
        of=("skates", "trolley", *_CRANES, "toe jack", "plate", "ramp"),
    ),
    Key("inside", _K.LENGTH, "clear width between a crane's legs", "820", of=_CRANES),
    Key("legs", _K.LENGTH, "how high the legs are", "150", of=("engine crane",)),
    Key(
        "hook",
        _K.HOOK,
        "how high the hook goes; of an engine crane at each reach: `{900 mm: 2.1 m, 1200 mm: 2.3 m}`",
        "2.3 m",
        of=_CRANES,
    ),
    Key(
        "reach",
        _K.REACH,
        "how far out the hook is from the mast, and what it then lifts",
        "{900 mm: 1 t, 1200 mm: 700 kg}",
        of=("engine crane",),
    ),
    Key("people", _K.COUNT, "by hand: how many are there; more are said to lack", "2", of=("by hand",)),
    Key(
        "steering axle", _K.LENGTH, "from the heel of the forks back to the steering wheels", "100", of=_FORKS
    ),
    Key(
        "load rollers",
        _K.LENGTH,
        "from the fork tips in to the load rollers; of tandem rollers, to their pin",
        "175",
        of=_FORKS,
    ),
    Key(
        "steering track",
        _K.LENGTH,
        "how far apart the steering wheels are, only if their axle does not rock",
        "120",
        of=_FORKS,
    ),
    Key("handle", _K.LENGTH, "how far out behind the forks the handle reaches when pulled", "600", of=_FORKS),
    Key("steepest", _K.SLOPE, "the slope its handbook allows with a load", "1 in 25", of=_ROLLING),
    Key("brake", _K.FLAG, "`yes` if it has a brake that holds it loaded", "yes", of=_ROLLING),
    Key(
        "brakes itself",
        _K.FLAG,
        "`yes` if its brake comes on by itself when it is let go, and holds it loaded",
        "yes",
        of=_ROLLING,
    ),
    Key("wheel rating", _K.MASS, "what one wheel or castor is rated for", "500 kg", of=_ROLLING),
    Key(
        "wheel places",
        _K.POINTS,
        "where its wheels are, from the middle of its floor",
        "[[500, 300], [500, -300], [-500, 300], [-500, -300]]",
        of=_ROLLING,
    ),
    Key("cg", _K.POINT3, "its own centre of gravity: x, y, height", "[-200, 0, 500]", of=_ROLLING),
    Key(
        "trail",
        _K.LENGTH,
        "of a swivel castor: from its stem to where the wheel touches",
        "40",
        of=("trolley", "engine crane", "gantry crane"),
    ),
    Key("boom tip", _K.LENGTH, "how high the tip is that the load hangs from", "2.4 m", of=("engine crane",)),
    Key("toe", _K.MASS, "what a jack lifts on its toe", "1 t", of=("toe jack",)),
    Key("roller length", _K.LENGTH, "how long a roller is", "900", of=("rollers and bar",)),
    Key("rise", _K.LENGTH, "what a ramp rises, or a plate bent to be one", "40", of=("plate", "ramp")),
    Key("span", _K.LENGTH, "over what span a plate holds its capacity in the middle", "500", of=("plate",)),
    Key(
        "pads",
        _K.LENGTH,
        "how thick the wood or rubber between it and the thing is; `0` for none",
        "15",
        of=("skates", "trolley"),
    ),
    Key(
        "beams",
        _K.LENGTH,
        "how thick the beams on it are, for feet beyond its platform, or packed clear of it; `0` for none, "
        "as where a crane lifts it on",
        "120",
        of=("trolley",),
    ),
    Key("line", _K.FORCE, "what the line of a winch holds", "20 kN", of=("winch",)),
    NOTE,
    WAS,
)

# -- the whole -----------------------------------------------------------------------------------------------

SHOP: Keys = (
    Key("shop", _K.TEXT, "the shop's name. The only one needed besides `rooms`", "My shed", needed=True),
    Key(
        "prefix",
        _K.TEXT,
        "one to three of A-Z and 0-9, printed on every label; without it, the initials of the name",
        "MS",
    ),
    Key(
        "rules",
        _K.CHOICE,
        "whose published limits apply: `own` (they are advice), `us`, `uk`, `eu`",
        "own",
        words=RULE_SETS,
    ),
    Key("country", _K.TEXT, "two letters; `de` adds German technical rules to `eu`", "de"),
    Key(
        "premises",
        _K.CHOICE,
        "`work` or `home`: for petrol kept in the United Kingdom",
        "home",
        words=PREMISES,
    ),
    Key(
        "built",
        _K.YEAR,
        "the year it was built, for old installations and asbestos; a room may differ",
        "1998",
    ),
    Key(
        "units",
        _K.CHOICE,
        "what is shown: `metric` or `us`. Left out, `us` where the rules are or most lengths here are in "
        "feet or inches",
        "metric",
        words=UNITS,
    ),
    Key(
        "measured",
        _K.LENGTH,
        "how well lengths were measured, unless one says its own; without it 5 mm",
        "10 mm",
    ),
    Key("limits", _K.TABLE, "your own limits, see below", "{walkway: 700 mm}", keys=LIMITS),
    Key(
        "release",
        _K.TABLE,
        "what is asked of a part before it goes back on, see below; without it nothing of this",
        "{concede by another: yes}",
        keys=RELEASE,
    ),
    Key("machines", _K.EACH, "what is being stripped, see below", "{engine: {job: 26-014}}", keys=MACHINE),
    Key("rooms", _K.EACH, "outlined pieces of floor", needed=True, keys=ROOM),
    Key("doors", _K.EACH, "between rooms, and to outside", keys=DOOR),
    Key("walkways", _K.EACH, "ways that must stay free", keys=WALKWAY),
    Key("keep clear", _K.EACH, "areas that must stay free", keys=KEEP_CLEAR),
    Key("zones", _K.EACH, "where parts may lie", keys=ZONE),
    Key("fixtures", _K.EACH, "what stands there and is no part", keys=FIXTURE),
    Key("openings", _K.EACH, "holes in floors and walls", keys=OPENING),
    Key("walls", _K.EACH, "what the walls between rooms are made of", keys=WALL),
    Key("gear", _K.EACH, "what you have to move something heavy with", keys=GEAR),
    NOTE,
)
