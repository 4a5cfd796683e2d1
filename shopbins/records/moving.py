"""What is known of a group for moving it: its feet, its centre of gravity, what may come off it first.

Kept in the group's document under `move`, absent where nobody said anything, so ledgers written before stay
readable. Everything is in the group's own frame: mm from the middle of its footprint's box at turn 0, heights
from the floor it stands on. None: not measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from shopbins.geometry.shapes import Outline, Point
from shopbins.ledger.docs import mass_doc, mass_from, outline_doc, outline_from, size_doc, size_from
from shopbins.ledger.model import Group, Mass, Size
from shopbins.ledger.problems import BadValue
from shopbins.ledger.text import clean_text
from shopbins.ledger.values import checked_outline, number

FIELD = "move"
MOST_POINTS, MOST_PARTS = 24, 12
MOST_MM = 20_000.0
SHAPED: Mapping[str, str] = {
    "outline": "outline", "height": "height_mm", "alone": "without_base", "cg": "cg_mm",
    "cg height": "cg_height_mm", "foot": "feet", "jack": "jacking", "sling": "slinging",
    "sling height": "sling_height_mm", "under": "under_mm", "opening": "opening_mm", "pallet": "pallet",
    "runners": "flat_base", "base": "base", "comes off": "comes_off", "strap": "straps",
}  # fmt: skip
"""What is another when a thing lies on its side, as people type it, and its field."""


@dataclass(frozen=True, slots=True)
class At:
    """A foot, jacking or slinging point: where, and how long its pad is along x and y."""

    x_mm: float
    y_mm: float
    pad_mm: tuple[float, float] | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class ComesOff:
    """A projection that may come off before a move: its outline, from and to which height, its mass.

    `group` is the id of the group it is, where it has a tag of its own (then the ledger says whether it is
    still on, and its mass is that group's); `off` where a part without a tag has been taken off.
    """

    name: str
    outline: Outline
    from_mm: float = 0.0
    to_mm: float | None = None
    mass: Mass | None = None
    minutes: float | None = None
    group: str = ""
    off: bool = False


@dataclass(frozen=True, slots=True)
class Base:
    """The pallet, skid or frame a thing stands on, when it is counted in its size: how high, its mass."""

    name: str
    height_mm: float
    mass: Mass | None = None
    outline: Outline | None = None


@dataclass(frozen=True, slots=True)
class Moving:
    """What is known of a thing for moving it.

    `outline` and `height_mm` are without what comes off (None: as recorded for the group). `without_base` is
    the outline of the thing alone. `cg_within_mm` and `cg_height_within_mm` say how well the centre of
    gravity is known. `opening_mm` is clear between the feet, `under_mm` clear under its base, each
    with how well that was measured,
    `runners_mm` how wide its runners, or the plate under it, stand over all.
    `whole` is the mass of the complete machine `machine`, whose groups taken off are then subtracted.
    `straps` are points to lash it by, `drain` what runs or slides in it and is emptied or made fast first.
    `told_at` has what was told before its size or outline was changed (a key of `SHAPED`), and its size then.
    """

    outline: Outline | None = None
    height_mm: float | None = None
    without_base: Outline | None = None
    cg_mm: Point | None = None
    cg_height_mm: float | None = None
    cg_height_within_mm: float | None = None
    cg_within_mm: float | None = None
    feet: tuple[At, ...] = ()
    jacking: tuple[At, ...] = ()
    slinging: tuple[At, ...] = ()
    sling_height_mm: float | None = None
    under_mm: float | None = None
    under_within_mm: float | None = None
    opening_mm: float | None = None
    opening_within_mm: float | None = None
    pallet: str = ""
    flat_base: bool | None = None
    runners_mm: float | None = None
    base: Base | None = None
    comes_off: tuple[ComesOff, ...] = ()
    machine: str = ""
    whole: Mass | None = None
    straps: tuple[At, ...] = ()
    drain: str = ""
    told_at: tuple[tuple[str, Size], ...] = ()

    @property
    def told(self) -> bool:
        """Tell whether anything is known."""
        return self != Moving()

    @property
    def in_doubt(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """What was told at another size, those of one size together: as typed, and that it is asked anew."""
        at: dict[Size, list[str]] = {}
        for key, size in self.told_at:
            at.setdefault(size, []).append(key)
        return tuple((tuple(keys), f"told when it was {size.said}: still so?") for size, keys in at.items())


def shifted(it: Moving, dx_mm: float, dy_mm: float) -> Moving:
    """Return it with every point moved: when the middle of the footprint's box is elsewhere."""
    if not dx_mm and not dy_mm:
        return it

    def points(outline: Outline | None) -> Outline | None:
        return None if outline is None else tuple((x + dx_mm, y + dy_mm) for x, y in outline)

    def each(at: At) -> At:
        return replace(at, x_mm=at.x_mm + dx_mm, y_mm=at.y_mm + dy_mm)

    return replace(
        it,
        outline=points(it.outline),
        without_base=points(it.without_base),
        cg_mm=None if it.cg_mm is None else (it.cg_mm[0] + dx_mm, it.cg_mm[1] + dy_mm),
        feet=tuple(map(each, it.feet)),
        jacking=tuple(map(each, it.jacking)),
        slinging=tuple(map(each, it.slinging)),
        straps=tuple(map(each, it.straps)),
        base=None if it.base is None else replace(it.base, outline=points(it.base.outline)),
        comes_off=tuple(replace(p, outline=points(p.outline) or ()) for p in it.comes_off),
    )


OF_BASE = ("alone", "foot", "under", "opening", "pallet", "runners", "base")
"""What is told of the base a thing stands on, as people type it: gone once that is off."""


def without_base(it: Moving) -> Moving:
    """Return it once its base is off: what was told of the base is gone, all heights are so much lower."""
    if it.base is None:
        return it
    down = it.base.height_mm

    def lower(mm: float | None) -> float | None:
        return None if mm is None else max(mm - down, 0.0)

    parts = tuple(
        replace(each, from_mm=max(each.from_mm - down, 0.0), to_mm=lower(each.to_mm)) for each in it.comes_off
    )
    return replace(
        it,
        outline=it.without_base or it.outline,
        height_mm=lower(it.height_mm),
        without_base=None,
        cg_height_mm=lower(it.cg_height_mm),
        feet=(),
        sling_height_mm=lower(it.sling_height_mm),
        under_mm=None,
        under_within_mm=None,
        opening_mm=None,
        opening_within_mm=None,
        pallet="",
        flat_base=None,
        runners_mm=None,
        base=None,
        comes_off=parts,
        told_at=tuple((key, size) for key, size in it.told_at if key not in OF_BASE),
    )


def resized(it: Moving, was: Size | None, now: Size | None, *, outline: bool = False) -> Moving:
    """Return it with what was told at another size noted as such; `outline`: that was changed too.

    At the size it was told at again it counts as before. Where no size was known there is nothing to doubt.
    """
    if was is None or (not outline and now is not None and now[:3] == was[:3]):
        return it
    at = dict(it.told_at)
    for key, field in SHAPED.items():
        if getattr(it, field) not in (None, (), ""):
            at.setdefault(key, was)
    kept = at.items() if outline or now is None else ((k, v) for k, v in at.items() if v[:3] != now[:3])
    return replace(it, told_at=tuple(kept))


def resized_doc(group: Group, changed: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a change of a group (checked fields) makes of what is known for moving it: its document."""
    if FIELD not in group.extra or not {"size", "outline"} & changed.keys():
        return {}
    outline = changed.get("outline", group.outline) != group.outline
    before = moving_of(group)
    after = resized(before, group.size, changed.get("size", group.size), outline=outline)
    return {} if after == before else {FIELD: moving_doc(after)}


def moving_of(group: Group) -> Moving:
    """Return what is known of a group for moving it."""
    return moving_from(group.extra.get(FIELD))


# --- documents --------------------------------------------------------------------------------------------


def moving_from(doc: Any) -> Moving:
    """Read the field; what is not understood is left out."""
    if not isinstance(doc, Mapping):
        return Moving()
    get = doc.get
    base, cg = get("base"), get("cg")
    return Moving(
        outline=outline_from(get("outline")),
        height_mm=get("height"),
        without_base=outline_from(get("alone")),
        cg_mm=None if cg is None else (cg[0], cg[1]),
        cg_height_mm=get("cg_height"),
        cg_height_within_mm=get("cg_height_within"),
        cg_within_mm=get("cg_within"),
        feet=_points(get("feet")),
        jacking=_points(get("jacking")),
        slinging=_points(get("slinging")),
        sling_height_mm=get("sling_height"),
        under_mm=get("under"),
        under_within_mm=get("under_within"),
        opening_mm=get("opening"),
        opening_within_mm=get("opening_within"),
        pallet=get("pallet", ""),
        flat_base=get("flat"),
        runners_mm=get("runners"),
        base=None
        if base is None
        else Base(
            base["name"], base["height"], mass_from(base.get("mass")), outline_from(base.get("outline"))
        ),
        comes_off=tuple(_comes_off(each) for each in get("comes_off", ())),
        machine=get("machine", ""),
        whole=mass_from(get("whole")),
        straps=_points(get("straps")),
        drain=get("drain", ""),
        told_at=tuple((key, size) for key, doc in get("told_at", {}).items() if (size := size_from(doc))),
    )


def _points(docs: Any) -> tuple[At, ...]:
    found = []
    for each in docs or ():
        pad = each.get("pad")
        found.append(
            At(each["x"], each["y"], None if pad is None else (pad[0], pad[1]), each.get("name", ""))
        )
    return tuple(found)


def _comes_off(doc: Mapping[str, Any]) -> ComesOff:
    return ComesOff(
        doc["name"],
        outline_from(doc["outline"]) or (),
        doc.get("from", 0.0),
        doc.get("to"),
        mass_from(doc.get("mass")),
        doc.get("minutes"),
        doc.get("group", ""),
        doc.get("off", False),
    )


def moving_doc(it: Moving) -> dict[str, Any] | None:
    """Write the field; None where nothing is known."""
    doc = {
        "outline": outline_doc(it.outline),
        "height": it.height_mm,
        "alone": outline_doc(it.without_base),
        "cg": None if it.cg_mm is None else list(it.cg_mm),
        "cg_height": it.cg_height_mm,
        "cg_height_within": it.cg_height_within_mm,
        "cg_within": it.cg_within_mm,
        "straps": _points_doc(it.straps),
        "drain": it.drain or None,
        "feet": _points_doc(it.feet),
        "jacking": _points_doc(it.jacking),
        "slinging": _points_doc(it.slinging),
        "sling_height": it.sling_height_mm,
        "under": it.under_mm,
        "under_within": it.under_within_mm,
        "opening": it.opening_mm,
        "opening_within": it.opening_within_mm,
        "pallet": it.pallet or None,
        "flat": it.flat_base,
        "runners": it.runners_mm,
        "base": None if it.base is None else _base_doc(it.base),
        "comes_off": [_off_doc(each) for each in it.comes_off] or None,
        "machine": it.machine or None,
        "whole": mass_doc(it.whole),
        "told_at": {key: size_doc(size) for key, size in it.told_at} or None,
    }
    return _without_none(doc) or None


def _without_none(doc: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in doc.items() if value is not None}


def _points_doc(points: tuple[At, ...]) -> list[dict[str, Any]] | None:
    return [
        _without_none(
            {
                "x": p.x_mm,
                "y": p.y_mm,
                "pad": None if p.pad_mm is None else list(p.pad_mm),
                "name": p.name or None,
            }
        )
        for p in points
    ] or None


def _base_doc(base: Base) -> dict[str, Any]:
    return _without_none(
        {
            "name": base.name,
            "height": base.height_mm,
            "mass": mass_doc(base.mass),
            "outline": outline_doc(base.outline),
        }
    )


def _off_doc(part: ComesOff) -> dict[str, Any]:
    return _without_none(
        {
            "name": part.name,
            "outline": outline_doc(part.outline),
            "from": part.from_mm or None,
            "to": part.to_mm,
            "mass": mass_doc(part.mass),
            "minutes": part.minutes,
            "group": part.group or None,
            "off": part.off or None,
        }
    )


# --- checking ---------------------------------------------------------------------------------------------


def checked_moving(it: Moving) -> Moving:
    """Return it with every value checked; raises BadValue."""
    for what, values in (
        ("feet", it.feet),
        ("jacking points", it.jacking),
        ("slinging points", it.slinging),
        ("strap points", it.straps),
    ):
        if len(values) > MOST_POINTS:
            raise BadValue(f"{len(values)} {what}: at most {MOST_POINTS}")
        for each in values:
            _lengths(what, each.x_mm, each.y_mm)
            if each.pad_mm is not None:
                _above(what, *each.pad_mm)
    if len(it.comes_off) > MOST_PARTS:
        raise BadValue(f"{len(it.comes_off)} parts that come off: at most {MOST_PARTS}")
    for value, what in (
        (it.height_mm, "the height"),
        (it.under_mm, "the height under the base"),
        (it.opening_mm, "the opening between the feet"),
        (it.sling_height_mm, "the height of the slinging points"),
        (it.cg_height_mm, "the height of the centre of gravity"),
        (it.runners_mm, "the width of its runners"),
        (None if it.base is None else it.base.height_mm, "the height of the base"),
    ):
        if value is not None:
            _above(what, value)
    for value in (it.cg_within_mm, it.cg_height_within_mm, it.under_within_mm, it.opening_within_mm):
        if value is not None and not 0 <= number(value, "how well it was measured") <= MOST_MM:
            raise BadValue(f"how well it was measured: {value:g} must be 0 to {MOST_MM:g} mm")
    if it.cg_mm is not None:
        _lengths("the centre of gravity", *it.cg_mm)
    parts = tuple(_checked_part(each) for each in it.comes_off)
    names = [each.name.casefold() for each in parts]
    if len(set(names)) < len(names):
        raise BadValue("two parts that come off have the same name")
    return replace(
        it,
        outline=checked_outline(it.outline),
        without_base=checked_outline(it.without_base),
        comes_off=parts,
    )


def _checked_part(part: ComesOff) -> ComesOff:
    name = clean_text(part.name, "a part that comes off")
    if not name:
        raise BadValue("a part that comes off needs a name")
    outline = checked_outline(part.outline)
    if outline is None:
        raise BadValue(f"{name}: a part that comes off needs an outline")
    if not 0 <= number(part.from_mm, f"{name}: from") <= MOST_MM:
        raise BadValue(f"{name}: it begins {part.from_mm:g} mm above the floor")
    if part.to_mm is not None and number(part.to_mm, f"{name}: to") <= part.from_mm:
        raise BadValue(f"{name}: it ends below where it begins")
    if part.minutes is not None:
        _above(f"{name}: minutes", part.minutes)
    return replace(part, name=name, outline=outline)


def _lengths(what: str, *values: float) -> None:
    for value in values:
        if abs(number(value, what)) > MOST_MM:
            raise BadValue(f"{what}: {value:g} mm cannot be right")


def _above(what: str, *values: float) -> None:
    for value in values:
        if not 0 < number(value, what) <= MOST_MM:
            raise BadValue(f"{what}: {value:g} must be more than 0 and at most {MOST_MM:g}")
