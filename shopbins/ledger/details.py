"""What may be told of a part for the checks: how much is in it, how it stands, what it is kept in.

Each detail has a name as typed (`--detail 'flash point=40 C'`), a reader that gives what is kept in its
document, and a sentence. Units inside: L, degrees C, mm, kg. What nobody told is absent: unknown, never 'no'.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from shopbins.ledger.problems import BadValue
from shopbins.units import (
    UnitError,
    parse_gas_volume,
    parse_length,
    parse_mass,
    parse_temperature,
    parse_volume,
)

UNKNOWN = ("", "?", "unknown")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}


def _flag(text: str) -> bool:
    known = _FLAGS.get(text.lower())
    if known is None:
        raise UnitError(f"'{text}' is neither yes nor no", "write yes or no")
    return known


def _stands(text: str) -> str:
    word = text.lower()
    if word not in ("leaning", "lying", "upright"):
        raise UnitError(f"'{text}' is no way to stand", "leaning, lying or upright")
    return word


STUFFS = (
    "metal", "plastic", "glass", "safety can", "drum", "portable tank", "wood", "card", "cloth"
)  # fmt: skip


def _stuff(text: str) -> str:
    word = text.lower()
    if word not in STUFFS:
        raise UnitError(f"'{text}' is no container", f"{', '.join(STUFFS[:-1])} or {STUFFS[-1]}")
    return word


def _year(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1700 <= int(text) <= 2100):
        raise UnitError(f"'{text}' is no year", "like 1975")
    return int(text)


@dataclass(frozen=True, slots=True)
class Detail:
    """One detail: its name, how it is read from what is typed, what it says."""

    name: str
    read: Callable[[str], Any]
    says: str


DETAILS: dict[str, Detail] = {
    each.name: each
    for each in (
        Detail(
            "volume",
            parse_volume,
            "how much liquid is in it, in one of them where there are several, like 20 L",
        ),
        Detail("flash point", parse_temperature, "of a liquid, like 40 C"),
        Detail(
            "kept in",
            _stuff,
            "what a liquid is kept in: metal, plastic, glass, safety can, drum (DOT), portable tank",
        ),
        Detail("approved", _flag, "its container is approved for flammable liquids"),
        Detail("upright", _flag, "a gas cylinder stands valve end up"),
        Detail("chained", _flag, "it cannot fall over"),
        Detail("cap", _flag, "the cap is on its valve"),
        Detail("in use", _flag, "gas was drawn from it within a day"),
        Detail("gas mass", parse_mass, "how much liquefied gas one of them holds full, like 13 kg"),
        Detail("gas volume", parse_gas_volume, "how much other gas one of them gives, like 145 cu ft"),
        Detail("metal lidded can", _flag, "oily rags are in a metal can with a lid"),
        Detail("sealed", _flag, "what is in it cannot get out: bagged or in a closed tub, and marked"),
        Detail("released", _flag, "it holds no energy or gas any more: discharged, let down, emptied"),
        Detail("stands", _stands, "leaning, lying or upright"),
        Detail("tied", _flag, "what leans is tied"),
        Detail("grip height", parse_length, "how high on it the hands hold it; 0: under it"),
        Detail("made", _year, "the year it was made"),
    )
}


def checked_details(given: Mapping[str, Any]) -> dict[str, Any]:
    """Return details as kept; None takes one back. Raises BadValue of one there is not, or a bad value."""
    found: dict[str, Any] = {}
    for name, value in given.items():
        detail = DETAILS.get(name)
        if detail is None:
            raise BadValue(f"there is no detail '{name}' (known: {', '.join(DETAILS)})")
        if isinstance(value, str):
            text = value.strip()
            try:
                found[name] = None if text.lower() in UNKNOWN else detail.read(text)
            except UnitError as problem:
                raise BadValue(f"{name}: {problem}") from None
        else:
            found[name] = value
    return found
