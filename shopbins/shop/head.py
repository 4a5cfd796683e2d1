"""The top of the file: the shop's name, prefix, rule set, own limits, and the machines announced."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Literal, cast

from shopbins import units
from shopbins.shop.fields import Fields
from shopbins.shop.figures import FIGURES, OWN, Moving
from shopbins.shop.keys import LIMITS, MACHINE, RELEASE, RULE_SETS, UNITS, WHO_LIFTS, names
from shopbins.shop.model import Asked, Limits, MachineNote, RuleSet, UnitsShown
from shopbins.shop.problems import shown


def read_prefix(root: Fields, name: str) -> str:
    """Return the letters on every code; without any given, the initials of the shop's name."""
    value = root.scalar("prefix", "one to three letters or digits")
    if value is None:
        words = re.findall(r"[A-Z0-9]+", name.upper())
        return "".join(word[0] for word in words)[:3] or "S"
    if re.fullmatch(r"[A-Z0-9]{1,3}", value.text):
        return value.text
    upper = value.text.upper()
    hint = f"write {upper}" if re.fullmatch(r"[A-Z0-9]{1,3}", upper) else "like RW"
    root.notes.add(value, f"prefix '{shown(value.text)}' is not one to three of A-Z and 0-9", hint)
    return "S"


def read_rules(root: Fields) -> RuleSet:
    """Return which published limits apply."""
    return cast(RuleSet, root.choice("rules", RULE_SETS) or "own")


def read_country(root: Fields) -> str:
    """Return the two letters of a country, '' where not said."""
    value = root.scalar("country", "two letters, like de")
    if value is None:
        return ""
    if re.fullmatch(r"[A-Za-z]{2}", value.text, re.ASCII):
        return value.text.lower()
    root.notes.add(value, f"'{shown(value.text)}' is no country", "two letters, like de")
    return ""


def read_units(root: Fields, rules: RuleSet) -> UnitsShown | None:
    """Return what people read: as said, else US units where the rules are; None: as most of the file."""
    said = root.choice("units", UNITS)
    return cast("UnitsShown | None", said or ("us" if rules == "us" else None))


def read_limits(root: Fields) -> Limits:
    """Return the shop's own limits."""
    fields = root.sub("limits", names(LIMITS), "{walkway: 700 mm}")
    if fields is None:
        return Limits()
    fill = fields.quantity("fill", units.parse_share, "a share, like 85 %")
    if fill == 0:
        fields.notes.add(fields.where("fill"), "a fill of 0 % leaves no room for anything", "like 85 %")
    return Limits(
        walkway_mm=fields.length("walkway"),
        exit_mm=fields.length("exit"),
        headroom_mm=fields.length("headroom"),
        fill=fill or Limits().fill,
        lift_height_mm=fields.length("lift height"),
        one_person_kg=fields.mass("one person"),
        people=fields.whole("people", "a number of people", "a whole number, like 12"),
        who_lifts=cast(Literal["anyone", "men"], fields.choice("who lifts", WHO_LIFTS) or "anyone"),
        liquids_l=fields.volume("liquids"),
        moving=_moving(fields),
    )


def read_asked(root: Fields) -> Asked:
    """Return what is asked of a part before it goes back on."""
    fields = root.sub("release", names(RELEASE), "{concede by another: yes}")
    if fields is None:
        return Asked()
    return Asked(
        two_persons=fields.texts("two persons", 80),
        concede_by_another=fields.flag("concede by another"),
        look_at_what_comes=fields.flag("look at what comes"),
    )


def _moving(limits: Fields) -> Moving:
    """Return the figures of `limits: {moving: {...}}`."""
    fields = limits.sub("moving", tuple(FIGURES), "{tip reserve: 5 deg}")
    if fields is None:
        return OWN
    found = {}
    for name, figure in FIGURES.items():
        value = _figure(fields, name, figure.unit)
        if value is not None:
            found[name] = value
    return Moving(found)


def _figure(fields: Fields, name: str, unit: str) -> float | None:
    if unit == "mm":
        return fields.length(name, zero=True)
    if unit == "deg":
        return fields.quantity(name, units.parse_angle, "an angle, like 5 deg")
    return fields.quantity(name, _number(unit), f"a number{f' of {unit}' if unit else ''}")


def _number(unit: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        number = text.strip().removesuffix(unit).strip() if unit else text.strip()
        try:
            value = float(number)
        except ValueError:
            value = -1.0
        if not 0 <= value < 1e6:
            raise units.UnitError(f"'{text}' is no number", f"like 2 {unit}".rstrip())
        return value

    return read


def read_machines(root: Fields) -> dict[str, MachineNote]:
    """Return the machines that are being stripped."""
    found = {}
    for key, fields in root.each("machines", names(MACHINE), "machine"):
        found[key] = MachineNote(
            key=key,
            name=fields.text("name", key),
            owner=fields.text("owner"),
            job=fields.text("job"),
            note=fields.note(),
            at=fields.spot,
        )
    return found
