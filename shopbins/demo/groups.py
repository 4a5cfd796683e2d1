"""The demo's groups as data: read from groups.yaml, checked, and turned into values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shopbins.ledger.model import InZone, Mass, Size

GROUPS = Path(__file__).with_name("groups.yaml")
KEYS = frozenset(
    (
        *("name", "id", "machine", "from", "as", "size", "about", "kg", "guess", "qty", "do"),
        *("at", "pose", "in", "on", "away", "note", "cautions", "tag", "anyway", "outline", "move"),
    )
)


@dataclass(frozen=True, slots=True)
class Going:
    """Out of the shop: to whom, due in so many days from today (may be past; None: no date), what for."""

    to: str
    days: int | None
    reason: str


@dataclass(frozen=True, slots=True)
class Item:
    """One group as the data has it. `fields` are what `acts.take` takes besides name and whereabouts."""

    name: str
    fields: Mapping[str, Any] = field(default_factory=dict)
    ref: str = ""
    at: InZone | None = None
    held: tuple[str, str] | None = None
    going: Going | None = None
    tagged: bool = True
    anyway: str = ""
    move: Mapping[str, Any] | None = None


@dataclass(frozen=True, slots=True)
class Evening:
    """What was done on one evening, so many days before today."""

    days_ago: int
    items: tuple[Item, ...]
    blanks: tuple[InZone, ...] = ()
    catch_up: bool = False


def evenings(path: Path = GROUPS) -> list[Evening]:
    """Return the evenings in order; ValueError where the data has something it should not."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    data = yaml.load(path.read_text(encoding="utf-8"), Loader=loader)
    return [_evening(each) for each in data["evenings"]]


def _evening(given: Mapping[str, Any]) -> Evening:
    machine = given["machine"]
    return Evening(
        given["days_ago"],
        tuple(_item(machine, each) for each in given["groups"]),
        tuple(_place(each) for each in given.get("blanks", ())),
        given.get("catch_up", False),
    )


def _item(machine: str, given: Mapping[str, Any]) -> Item:
    unknown = given.keys() - KEYS
    if unknown:
        raise ValueError(f"{given.get('name')}: {', '.join(sorted(unknown))}?")
    origin = tuple(given["from"])
    fields: dict[str, Any] = {
        "origin": (machine, *origin) if origin else (),
        "container": given.get("as", "bare"),
        "qty": given.get("qty", 1),
        "disposition": given.get("do", "undecided"),
        "note": given.get("note", ""),
        "cautions": tuple(given.get("cautions", ())),
    }
    if "size" in given:
        length, width, height = map(float, given["size"])
        fields["size"] = Size(length, width, height, given.get("about", False))
    if "kg" in given or "guess" in given:
        fields["mass"] = Mass(float(given.get("kg", given.get("guess"))), about="guess" in given)
    if "outline" in given:
        fields["outline"] = tuple((float(x), float(y)) for x, y in given["outline"])
    held = next(((how, given[how]) for how in ("in", "on") if how in given), None)
    return Item(
        name=given["name"],
        fields=fields,
        ref=given.get("id", ""),
        at=_place(given["at"], given.get("pose")) if "at" in given else None,
        held=held,
        going=Going(*given["away"]) if "away" in given else None,
        tagged=given.get("tag", True),
        anyway=given.get("anyway", ""),
        move=given.get("move"),
    )


def _place(text: str, pose: list[float] | None = None) -> InZone:
    """Read 'zone' or 'zone/level' with an optional measured pose."""
    zone, _, level = text.partition("/")
    if pose is None:
        return InZone(zone, level)
    x, y, turn = map(float, pose)
    return InZone(zone, level, x, y, turn, measured=True)
