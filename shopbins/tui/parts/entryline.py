"""Reading the line that records what has just come off: 'inlet valves, head 2, bag, 2 kg'. No screen.

The name comes first; what follows may stand in any order, as each is told by its shape: a container, a size,
a mass, a number of pieces, '@' and a place, a caution, 'one-use', 'counted later', a blank tag's code;
anything else is where it came from. What begins with a number names no part of a machine, and a path not in
use yet is asked about before it is made. Of an origin not given the machine and assembly stay as they were
last. 'bolts x 8 @rack a/3' needs no commas, as the number and the place tell themselves from a name; so do a
mass and a size behind it. A decimal comma would make two figures of one: it is asked about, never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.ledger.codes import looks_like_code
from shopbins.ledger.model import CONTAINERS, Mass, Size
from shopbins.ledger.problems import BadValue
from shopbins.records.kinds import MASS, SIZE
from shopbins.strip.care import CAUTIONS

_QTY = re.compile(r"^(?:x\s*(\d{1,6})|(\d{1,6})\s*(?:x|off|pcs|pieces|)?)$", re.I)
_SIZE = re.compile(r"\d\s*(?:[a-z\"']+\s*)?[x*]\s*\d", re.I)
_AFTER_NAME = re.compile(
    r"^(?P<name>.*?[^\s@].*?)(?:\s+x\s*(?P<qty>\d{1,6}))?(?:\s+@\s*(?P<place>[^@]+))?$", re.I
)
_MASS = re.compile(r"\d\s*(?:kg|g|lb|lbs|t|oz)\b", re.I)

_LENGTH = r"\d[\d.]*\s?(?:mm|cm|m|in|ft|\"|')?"
_MASS_AFTER_NAME = re.compile(
    r"(?P<name>.*[^\W\d].*?)\s+(?P<told>(?:about |~ ?)?\d+(?:\.\d+)?\s?(?:kg|g|lb|lbs|t|oz))", re.I
)
_SIZE_AFTER_NAME = re.compile(
    rf"(?P<name>.*[^\W\d].*?)\s+(?P<told>(?:about |~ ?)?{_LENGTH}(?:\s?[x*]\s?{_LENGTH}){{2}})",
    re.I,
)
_DECIMAL_COMMA = re.compile(
    r"(?<![\w.,])(\d+),(\d+)(?=\s?(?:kg|g|lb|lbs|t|oz|mm|cm|m|in|ft)\b|\s?[x*]\s?\d)", re.I
)


_AFTER = ((_MASS_AFTER_NAME, _MASS), (_SIZE_AFTER_NAME, _SIZE))
"""What may stand behind a name without a comma, and how it is told where it stands elsewhere."""


@dataclass(frozen=True, slots=True)
class Came:
    """What a line says has come off. `origin` None: as before; `place` is as it was typed, '' for none."""

    name: str
    origin: tuple[str, ...] | None = None
    container: str = "bare"
    size: Size | None = None
    mass: Mass | None = None
    qty: int = 1
    place: str = ""
    tag: str = ""
    one_use: bool = False
    counted: str = ""
    cautions: tuple[str, ...] = ()
    qty_given: bool = False


def taken(came: Came, origin: tuple[str, ...]) -> dict[str, Any]:
    """Return what the desk is told of what a line says has come off; `origin` where the line names none."""
    return {
        "name": came.name,
        "origin": came.origin if came.origin is not None else origin,
        "container": came.container,
        "size": came.size,
        "mass": came.mass,
        "qty": came.qty if came.qty_given else None,
        "blank": came.tag or None,
        "one_use": came.one_use,
        "counted": came.counted,
        "cautions": came.cautions,
    }


NO_CONTAINERS = frozenset(
    ("crate", "bucket", "jar", "tin", "sack", "drawer", "basket", "barrel", "bin", "carton", "can", "case")
)
"""Words for containers that are not kept: none of them is taken for a machine."""

_CONTAINERS_SAID = ", ".join(CONTAINERS)

_COUNTED = {
    "counted later": "later",
    "not counted": "later",
    "by holes": "holes",
    "by bag": "bag",
    "counted never": "never",
}
"""How pieces are counted, as typed."""

_COUNTED_WORDS = {
    "later": "counted later",
    "holes": "counted by holes",
    "bag": "counted by the bag",
    "never": "no part of the machine",
}


def counted_as(how: str) -> str:
    """Return how pieces are counted as it is typed."""
    return next(typed for typed, kept in _COUNTED.items() if kept == how)


class Unreadable(ValueError):  # noqa: N818  (it is about a line, not the program)
    """A line that cannot be read: what is wrong with which part."""


def read_line(text: str, known: Sequence[tuple[str, ...]] = (), last: tuple[str, ...] = ()) -> Came:
    """Read a line; raises Unreadable. `known` are origins in use, `last` the one given last."""
    check_points(text)
    parts = [part.strip() for part in text.split(",")]
    if not parts or not parts[0]:
        raise Unreadable("the name comes first: 'inlet valves, head 2, bag, 2 kg, 4 off'")
    name, more = _split_name(parts[0])
    for behind, said in _AFTER * 2:
        told = behind.fullmatch(name)
        if told is not None and not any(said.search(part) for part in (*parts[1:], *more)):
            name, more = told["name"], [told["told"], *more]
    found: dict[str, object] = {}
    for part in [*more, *(each for written in parts[1:] for each in _placed(written))]:
        if not part:
            continue
        field, value = _read_part(part, known, last)
        if field == "cautions":
            found[field] = (*found.get(field, ()), value)  # type: ignore[misc]
            continue
        if field == "qty":
            found["qty_given"] = True
        if field in found:
            if field == "origin":
                raise Unreadable(
                    f"'{part}' would be a second origin: write machine > assembly > position in one"
                    f" (a container is one of {_CONTAINERS_SAID})"
                )
            raise Unreadable(f"'{part}' would be a second {field}")
        found[field] = value
    return Came(name, **found)  # type: ignore[arg-type]


def check_points(text: str) -> None:
    """Refuse '12,5 kg': 12.5 kg is meant, or 12 pieces of 5 kg."""
    if comma := _DECIMAL_COMMA.search(text):
        whole, rest = comma.groups()
        raise Unreadable(
            f"'{whole},{rest}': write {whole}.{rest} for a decimal, '{whole}, {rest}' for two figures"
        )


def _placed(part: str) -> list[str]:
    """Part 'bag @rack a/3' into what stands before the place and the place."""
    before, at, place = part.rpartition(" @")
    return [before.strip(), f"@{place.strip()}"] if at and before.strip() and place.strip() else [part]


def _split_name(text: str) -> tuple[str, list[str]]:
    """Part 'bolts x 8 @rack a/3' into the name and what stands behind it without a comma."""
    match = _AFTER_NAME.match(text)
    if match is None:
        return text, []
    more = [f"x{match['qty']}"] if match["qty"] else []
    return match["name"], [*more, f"@{match['place']}"] if match["place"] else more


def _read_part(part: str, known: Sequence[tuple[str, ...]], last: tuple[str, ...]) -> tuple[str, object]:
    lower = part.casefold()
    if part.startswith("@"):
        return "place", part[1:].strip()
    if lower in CONTAINERS:
        return "container", lower
    if (told := _read_word(part, lower)) is not None:
        return told
    if qty := _QTY.match(part):
        number = int(qty[1] or qty[2])
        if number < 1:
            raise Unreadable(f"'{part}': at least one piece")
        return "qty", number
    for name, shape in (("size", _SIZE), ("mass", _MASS)):
        if shape.search(part):
            try:
                return name, read_figure(name, part)
            except BadValue as problem:
                raise Unreadable(str(problem)) from None
    return "origin", find_origin(part, known, last)


def read_figure(key: str, text: str) -> Mass | Size | None:
    """Read a 'mass' or a 'size'; an empty text is one not known. Raises BadValue."""
    kind = MASS if key == "mass" else SIZE
    found: Mass | Size | None = kind.read(text, date.today()) if text else None
    return found


def _read_word(part: str, lower: str) -> tuple[str, object] | None:
    """Read a part that is one of a few words: how it is counted, a caution, a tag's code."""
    if lower in ("one-use", "one use"):
        return "one_use", True
    if lower in _COUNTED:
        return "counted", _COUNTED[lower]
    if lower in CAUTIONS:
        return "cautions", lower
    if lower.startswith("caution "):
        return "cautions", part[8:].strip()
    return ("tag", part.upper()) if looks_like_code(part) else None


def find_origin(part: str, known: Sequence[tuple[str, ...]], last: tuple[str, ...]) -> tuple[str, ...]:
    """Return the origin meant: written out with '>', one in use that ends so, or new on the last machine."""
    if ">" in part:
        return tuple(each.strip() for each in part.split(">") if each.strip())
    lower = part.casefold()
    if part[:1].isdigit() and not any(lower == each.casefold() for origin in known for each in origin):
        raise Unreadable(f"'{part}' names no part of a machine: write 'x {_digits(part)}' for the pieces")
    if lower in NO_CONTAINERS and not any(lower == each.casefold() for origin in known for each in origin):
        raise Unreadable(f"'{part}' is no container here: take one of {_CONTAINERS_SAID}")
    for origin in known:
        if origin and origin[-1].casefold() == lower:
            return origin
    for origin in known:
        for deep in range(len(origin) - 1, -1, -1):
            if origin[deep].casefold() == lower:
                return origin[: deep + 1]
    return (last[0], part) if last else (part,)


def staying(origin: tuple[str, ...]) -> tuple[str, ...]:
    """Return what of an origin holds for the next part too: machine and assembly, not the position."""
    return origin[:2]


def _digits(part: str) -> str:
    found = re.match(r"\d+", part)
    return found[0] if found else "6"


def is_new(origin: tuple[str, ...] | None, known: Sequence[tuple[str, ...]]) -> bool:
    """Tell whether a path is not in use yet, so that it may be a slip of the pen."""
    if not origin:
        return False
    path = [each.casefold() for each in origin]
    return not any([each.casefold() for each in one[: len(path)]] == path for one in known)


def is_origin(
    part: str,
    origin: tuple[str, ...] | None,
    known: Sequence[tuple[str, ...]],
    last: tuple[str, ...],
) -> bool:
    """Tell whether a part of a line is what was read as this origin."""
    try:
        return bool(part) and _read_part(part, known, last) == ("origin", origin)
    except Unreadable:
        return False


def asked(origin: tuple[str, ...]) -> str:
    """Ask whether a new path is meant."""
    return f"new: {' > '.join(origin)} · enter keeps it · esc clears it"


def understood(came: Came, last: tuple[str, ...], place: str = "", how: str = "stays") -> str:
    """Say how a line was understood, what is not known included; `how` the origin not typed is known."""
    origin = came.origin if came.origin is not None else last
    stays = f" ({how})" if came.origin is None and origin else ""
    size = came.size
    usual = CONTAINERS.get(came.container)
    parts = [
        came.name + (f" x{came.qty}" if came.qty > 1 else ""),
        f"from {' > '.join(origin)}{stays}" if origin else "origin not known",
        came.container,
    ]
    if size is not None:
        parts.append(size.said)
    else:
        parts.append("size as usual" if usual else "size not known")
    parts.append(came.mass.said if came.mass else "not weighed")
    parts += ["one-use"] if came.one_use else []
    parts += [_COUNTED_WORDS[came.counted]] if came.counted else []
    parts += [f"caution: {each}" for each in came.cautions]
    parts += [f"tag {came.tag}"] if came.tag else []
    parts.append(f"to {place}" if place else "waiting")
    return " · ".join(parts)


def offers(text: str, known: Sequence[tuple[str, ...]], places: Sequence[str]) -> list[str]:
    """Return what the part being typed may become: containers, origins, and places after '@'."""
    _, comma, part = text.rpartition(",")
    part = part.strip()
    if not comma or not part:
        return []
    if part.startswith("@"):
        wanted = part[1:].strip().casefold()
        return [f"@{place}" for place in places if place.casefold().startswith(wanted)][:6]
    wanted = part.casefold()
    found = [c for c in CONTAINERS if c.startswith(wanted) and c != wanted]
    written = [" > ".join(origin) for origin in known]
    found += [w for w in written if w.casefold().startswith(wanted) or f"> {wanted}" in w.casefold()]
    return list(dict.fromkeys(found))[:6]


def completed(text: str, offer: str) -> str:
    """Return the line with the part being typed replaced by an offer."""
    head, comma, _ = text.rpartition(",")
    return f"{head}{comma} {offer}" if comma else offer
