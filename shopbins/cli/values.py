"""Values as typed on the command line, turned into those the desk takes; BadInput says what is wrong."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import BadInput
from shopbins.ledger.details import DETAILS
from shopbins.ledger.model import CONTAINERS, DISPOSITIONS, Mass, Size

if TYPE_CHECKING:
    from shopbins.cli.arguments import Arguments
    from shopbins.cli.command import Parser

UNKNOWN = ("unknown", "?")


def add_group_options(parser: Parser, *, changing: bool = False) -> None:
    """Add the options that say what a group is; with `changing`, those that are only set later too."""
    also = "; 'unknown' takes it back" if changing else ""
    if changing:
        parser.add_argument("--name", metavar="NAME", help="what it is called")
    parser.add_argument(
        "--origin", metavar='"M > A > P"', help="where it came off: machine > assembly > position"
    )
    parser.add_argument("--container", metavar="KIND", help=f"what it is kept in: {', '.join(CONTAINERS)}")
    parser.add_argument("--size", metavar="LxWxH", help=f"length, width, height, as 300x200x150mm{also}")
    parser.add_argument("--mass", metavar="MASS", help=f"with all units, as 4kg or 'about 12 lb'{also}")
    parser.add_argument("--qty", metavar="N", help="how many pieces")
    parser.add_argument(
        "--disposition", metavar="WORD", help=f"what happens to it: {', '.join(DISPOSITIONS)}"
    )
    parser.add_argument("--note", metavar="TEXT", help="anything else worth knowing")
    parser.add_argument(
        "--caution", metavar="TEXT", action="append", help="what to beware of (may be repeated)"
    )
    parser.add_argument("--one-use", action="store_true", help="it is renewed whenever it comes off")
    parser.add_argument(
        "--counted",
        metavar="HOW",
        help="how it is counted: pieces, holes, bag, later (not yet), never (no part: a tub)",
    )
    parser.add_argument(
        "--detail", metavar="KEY=VALUE", action="append",
        help=f"what checks ask for: {', '.join(DETAILS)} (may be repeated)",
    )  # fmt: skip
    if changing:
        parser.add_argument("--elsewhere", metavar="PROJECT", help="the project it is reused in")


def group_fields(args: Arguments) -> dict[str, Any]:
    """Return what the options of `add_group_options` say, only what was given."""
    fields: dict[str, Any] = {}
    if getattr(args, "name", None) is not None:
        fields["name"] = args.name
    for name in ("container", "disposition", "note", "elsewhere"):
        if getattr(args, name, None) is not None:
            fields[name] = getattr(args, name)
    if args.counted is not None:
        fields["counted"] = "" if args.counted == "pieces" else args.counted
    if args.one_use:
        fields["one_use"] = True
    if args.origin is not None:
        fields["origin"] = origin(args.origin)
    if args.size is not None:
        fields["size"] = size(args.size)
    if args.mass is not None:
        fields["mass"] = mass(args.mass)
    if args.qty is not None:
        fields["qty"] = whole(args.qty, "--qty")
    if getattr(args, "detail", None) is not None:
        fields["details"] = details(args.detail)
    if args.caution is not None:
        fields["cautions"] = tuple(each for each in args.caution if each.strip())
    return fields


def details(given: list[str]) -> dict[str, Any]:
    """Read 'KEY=VALUE' pairs; 'unknown' takes one back."""
    from shopbins.ledger.details import checked_details

    pairs = {}
    for each in given:
        name, equals, value = each.partition("=")
        if not equals:
            raise BadInput(f"--detail '{each}' has no '=' (write it as 'volume=20 L')")
        pairs[" ".join(name.lower().split())] = value
    return checked_details(pairs)


def origin(text: str) -> tuple[str, ...]:
    """Read 'machine > assembly > position'; an empty text is no origin."""
    if not text.strip():
        return ()
    parts = tuple(part.strip() for part in text.split(">"))
    if not all(parts):
        raise BadInput(f"--origin '{text}' has an empty part (write it as \"machine > assembly > position\")")
    return parts


def size(text: str) -> Size | None:
    """Read a size; 'unknown' is none. Two lengths are refused: the height decides what fits under a shelf."""
    from shopbins.units import parse_size_about

    if text.strip().lower() in UNKNOWN:
        return None
    amount = parse_size_about(text)
    if len(amount.mm) != 3:
        raise BadInput(f"--size '{text}' has no height (write length x width x height, as 300x200x150mm)")
    return Size(*amount.mm, about=amount.about)


def mass(text: str) -> Mass | None:
    """Read a mass; 'unknown' is none."""
    from shopbins.units import parse_mass_about

    if text.strip().lower() in UNKNOWN:
        return None
    amount = parse_mass_about(text)
    return Mass(amount.value, amount.about)


def amount(text: str, what: str) -> float:
    """Read a plain number."""
    plain = text.strip()
    if not re.fullmatch(r"\d{1,12}(\.\d{1,6})?", plain, re.ASCII):
        raise BadInput(f"{what} {plain[:20]!r} is not a number")
    return float(plain)


def torque(text: str, what: str) -> float:
    """Read a torque in N.m; what says it is needed, as 'torque 220' alone says neither."""
    from datetime import date

    from shopbins.ledger.problems import BadValue
    from shopbins.records.kinds import TORQUE

    try:
        found: float = TORQUE.read(text, date.today())
    except BadValue as problem:
        raise BadInput(f"{what}: {problem}") from None
    return found


def millimetres(text: str) -> float:
    """Read a length."""
    from shopbins.units import parse_length

    return parse_length(text)


def whole(text: str, what: str) -> int:
    """Read a whole number."""
    plain = text.strip()
    if not (plain.isascii() and plain.removeprefix("-").isdigit()) or len(plain) > 12:
        raise BadInput(f"{what} {plain[:20]!r} is not a whole number")
    return int(plain)
