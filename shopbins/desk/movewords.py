"""What is known of a thing for moving it, as people type it: 'opening=500', 'foot=-700,300 100x100'.

Each text is KEY=VALUE; `unknown` takes a value back. Points are in the thing's own frame, mm from the middle
of its box; see docs/moves.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from shopbins.desk.names import hint
from shopbins.desk.problems import BadInput
from shopbins.geometry.shapes import Outline
from shopbins.ledger.model import Mass
from shopbins.moves.forks import PALLETS
from shopbins.records.moving import At, Base, ComesOff, Moving
from shopbins.units import (
    UnitError,
    parse_length,
    parse_mass_about,
    parse_measured,
    parse_point,
    parse_size,
    pointed,
    show_length,
)

UNKNOWN = ("unknown", "?", "none")
KEYS = (
    *("outline", "height", "alone", "cg", "cg height", "foot", "jack", "sling", "sling height"),
    *("under", "opening", "pallet", "runners", "base", "comes off", "machine", "whole", "strap", "drain"),
)
_LENGTHS = {
    "height": "height_mm",
    "cg height": "cg_height_mm",
    "sling height": "sling_height_mm",
    "under": "under_mm",
    "opening": "opening_mm",
}
_WITHIN = {"cg height": "cg_height_within_mm", "under": "under_within_mm", "opening": "opening_within_mm"}
_POINTS = {"foot": "feet", "jack": "jacking", "sling": "slinging", "strap": "straps"}


def told(moving: Moving, texts: Iterable[str], tag: Callable[[str], str]) -> Moving:
    """Return what is known with each text taken in; `tag` turns a code or name into a group's id.

    Feet and other points, and parts that come off, told alone are one more; several in one go are all.

    Raises BadInput, or UnitError from reading a value.
    """
    every = [text.partition("=") for text in texts]
    keys = [key.strip().casefold() for key, _, _ in every]
    several = {key for key in keys if keys.count(key) > 1}  # told in one go they are all there are
    for key in several & {*_POINTS, "comes off"}:
        moving = _set(moving, _POINTS.get(key, "comes_off"), ())
    for key, (told_key, eq, value) in zip(keys, every, strict=True):
        text, value = f"{told_key}{eq}{value}", value.strip()
        if not eq or key not in KEYS:
            raise BadInput(
                f"--moving '{text}': {key or 'nothing'} is not known{hint(key, list(KEYS))}"
                f" (one of {', '.join(KEYS)}; as opening=500mm)"
            )
        moving = _with(moving, key, value, tag, several)
        if key in several or _all_told(moving, key, value):
            moving = replace(moving, told_at=tuple(each for each in moving.told_at if each[0] != key))
    return moving


def _all_told(moving: Moving, key: str, value: str) -> bool:
    """Tell whether a text said all there is of its key: one point or part alone is one of them."""
    if key in _POINTS:
        return ";" in value or len(getattr(moving, _POINTS[key])) < 2
    return key != "comes off" or len(moving.comes_off) < 2


def said(moving: Moving) -> list[str]:
    """Say what is told, each as KEY=VALUE as it is typed."""
    found = [
        f"{key}={show_length(value)}{_within(getattr(moving, _WITHIN[key])) if key in _WITHIN else ''}"
        for key, field in _LENGTHS.items()
        if (value := getattr(moving, field)) is not None
    ]
    for key, field in _POINTS.items():
        points: tuple[At, ...] = getattr(moving, field)
        if points:
            found.append(f"{key}={'; '.join(_point_said(p) for p in points)}")
    for key, outline in (("outline", moving.outline), ("alone", moving.without_base)):
        if outline:
            found.append(f"{key}={'; '.join(f'{x:g},{y:g}' for x, y in outline)}")
    if moving.cg_mm is not None:
        found.append(f"cg={moving.cg_mm[0]:g},{moving.cg_mm[1]:g}{_within(moving.cg_within_mm)}")
    if moving.runners_mm is not None or moving.flat_base is not None:
        wide = None if moving.runners_mm is None else show_length(moving.runners_mm)
        found.append(f"runners={wide or ('yes' if moving.flat_base else 'no')}")
    if moving.base is not None:
        weighs = moving.base.mass
        mass = "" if weighs is None else f"; {weighs.said}"
        found.append(f"base={moving.base.name}; {show_length(moving.base.height_mm)}{mass}")
    found += [f"comes off={p.name}" for p in moving.comes_off]
    if moving.whole is not None:
        found.append(f"whole={moving.whole.said}")
    words = (("pallet", moving.pallet), ("machine", moving.machine), ("drain", moving.drain))
    return [*found, *(f"{key}={word}" for key, word in words if word)]


def _within(within_mm: float | None) -> str:
    return "" if within_mm is None else f" +- {within_mm:g} mm"


def _point_said(at: At) -> str:
    pad = "" if at.pad_mm is None else f" {at.pad_mm[0]:g}x{at.pad_mm[1]:g}mm"
    return f"{at.x_mm:g},{at.y_mm:g}{pad}{' ' if at.name else ''}{at.name}"


def _with(moving: Moving, key: str, value: str, tag: Callable[[str], str], several: set[str]) -> Moving:
    gone = value.casefold() in UNKNOWN
    if key in _WITHIN:
        measured = None if gone else parse_measured(pointed(value), zero=False)
        moving = _set(moving, _LENGTHS[key], None if measured is None else measured.mm)
        return _set(moving, _WITHIN[key], None if measured is None else measured.within_mm)
    if key in _LENGTHS:
        return _set(moving, _LENGTHS[key], None if gone else _length(value))
    if key in _POINTS:
        return _points(moving, key, "" if gone else value)
    if key == "comes off":
        if gone:
            return replace(moving, comes_off=())
        part = _comes_off(value, tag)
        kept = tuple(p for p in moving.comes_off if key in several or p.name != part.name)
        return replace(moving, comes_off=(*kept, part))
    if key == "cg":
        return _cg(moving, "" if gone else value)
    if key in ("outline", "alone"):
        outline = None if gone else _outline(value)
        return _set(moving, "outline" if key == "outline" else "without_base", outline)
    if key == "runners":
        return _runners(moving, "" if value.casefold() in UNKNOWN[:2] else value)
    if key == "pallet":
        return replace(moving, pallet="" if gone else _pallet(value))
    if key == "base":
        return replace(moving, base=None if gone else _base(value))
    if key == "whole":
        return replace(moving, whole=None if gone else _mass(value))
    return _set(moving, key, "" if gone else value)


def _points(moving: Moving, key: str, value: str) -> Moving:
    """Take in a foot or other point: several between `;` are all there are, one alone is one more.

    One at the same spot replaces that.
    """
    name = _POINTS[key]
    every = tuple(_at(each.strip()) for each in value.split(";") if each.strip())
    before: tuple[At, ...] = getattr(moving, name) if len(every) == 1 else ()
    spots = {(p.x_mm, p.y_mm) for p in every}
    return _set(moving, name, (*(p for p in before if (p.x_mm, p.y_mm) not in spots), *every))


def _cg(moving: Moving, value: str) -> Moving:
    """Read '20,0', or with how well it is known '20,0 +- 15 mm'."""
    if not value:
        return replace(moving, cg_mm=None, cg_within_mm=None)
    point, plus_minus, within = value.partition("+-")
    spread = parse_length(pointed(within)) if plus_minus else None
    return replace(moving, cg_mm=parse_point(point.strip()), cg_within_mm=spread)


def _set(moving: Moving, field: str, value: Any) -> Moving:
    """Return it with one field changed, by name; checked as a whole before it is recorded."""
    changed: dict[str, Any] = {field: value}
    return replace(moving, **changed)


def _runners(moving: Moving, value: str) -> Moving:
    """Read how wide runners or a plate stand over all, or only 'yes' or 'no'."""
    word = value.casefold()
    if word in ("", "yes", "no", "none"):
        flat = None if not word else word == "yes"
        return replace(moving, flat_base=flat, runners_mm=None)
    try:
        return replace(moving, flat_base=True, runners_mm=_length(value))
    except UnitError as problem:
        raise BadInput(f"--moving runners={value}: yes, no, or how wide they stand, as 500mm") from problem


def _pallet(value: str) -> str:
    """Read a pallet by its key, in any case, with or without the word 'pallet'."""
    word = value.casefold().replace("pallet", "").replace(" ", "")
    found = next((key for key in PALLETS if key.casefold() == word), None)
    if found is None:
        raise BadInput(f"--moving pallet={value}: one of {', '.join(PALLETS)}, or tell opening and under")
    return found


def _length(text: str) -> float:
    return parse_length(pointed(text), zero=False)


def _mass(text: str) -> Mass:
    amount = parse_mass_about(pointed(text))
    return Mass(amount.value, amount.about)


def _at(value: str) -> At:
    """Read 'x,y', then a pad '100x80', then a name."""
    first, _, rest = value.partition(" ")
    x, y = parse_point(first)
    pad, name = None, rest.strip()
    if name[:1].isdigit():
        size, _, name = name.partition(" ")
        lengths = parse_size(pointed(size))
        if len(lengths) != 2:
            raise BadInput(f"--moving '{value}': a pad has two lengths, as 100x80mm")
        pad = lengths[0], lengths[1]
    return At(x, y, pad, name.strip())


def _outline(value: str) -> Outline:
    """Read 'LxW' about the middle, 'x,y LxW' about a point, or points 'x,y; x,y; x,y'."""
    if ";" in value:
        return tuple(parse_point(each) for each in value.split(";") if each.strip())
    first, _, rest = value.strip().partition(" ")
    x, y = (0.0, 0.0) if not rest else parse_point(first)
    lengths = parse_size(pointed(rest or first))
    if len(lengths) != 2:
        raise BadInput(
            f"--moving '{value}': an outline is two lengths, as 1600x900mm, or points 'x,y; x,y; x,y'"
        )
    a, b = lengths[0] / 2, lengths[1] / 2
    return ((x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b))


def _base(value: str) -> Base:
    """Read 'skid; 170mm; about 48kg'."""
    name, *rest = (each.strip() for each in value.split(";"))
    if not name or not rest or len(rest) > 2:
        raise BadInput(f"--moving base={value}: name; height; mass, as 'skid; 170mm; 48kg'")
    return Base(name, _length(rest[0]), _mass(rest[1]) if len(rest) > 1 else None)


def _comes_off(value: str, tag: Callable[[str], str]) -> ComesOff:
    """Read 'beam; 560,0 120x1460mm; 260 to 400; 34kg; 25 min; tag ZRW02674' (what is not known left out)."""
    pieces = [each.strip() for each in value.split(";") if each.strip()]
    if len(pieces) < 2:
        raise BadInput(
            f"--moving 'comes off={value}': name; where and size; heights; mass; minutes; tag, "
            "as 'beam; 560,0 120x1460mm; 260 to 400; 34kg; 25 min'"
        )
    part = ComesOff(pieces[0], _outline(pieces[1]))
    for piece in pieces[2:]:
        words = piece.split()
        if words[0] == "tag" and len(words) > 1:
            part = replace(part, group=tag(piece[3:].strip()))
        elif words[-1] in ("min", "minutes"):
            part = replace(part, minutes=_number(words[0]))
        elif " to " in piece:
            low, _, high = piece.partition(" to ")
            part = replace(part, from_mm=parse_length(pointed(low)), to_mm=_length(high))
        else:
            part = replace(part, mass=_mass(piece))
    return part


def _number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise BadInput(f"--moving: '{text}' is no number of minutes") from None
