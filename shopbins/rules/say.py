"""Words of findings: lengths, loads, lists of names, and what measuring cannot tell."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from shopbins.ledger.whereabouts import place_said
from shopbins.scene.contents import Contents
from shopbins.scene.standing import Standing
from shopbins.shop.model import Level, Shop, Zone
from shopbins.units import show_force, show_length, show_lengths, show_mass, shown_in_us

TOLERANCE_MM = 0.001


def mm(value: float) -> str:
    """Say a length; in US units with the metric one in brackets."""
    return f"{show_length(value)} ({show_length(value, us=False)})" if shown_in_us() else show_length(value)


def mm_pair(measured: float, limit: float) -> tuple[str, str]:
    """Say a measured length and its limit so that they look different where they differ."""
    pair = show_lengths(round(measured, 3), round(limit, 3))
    if not shown_in_us():
        return pair
    return f"{pair[0]} ({show_length(measured, us=False)})", f"{pair[1]} ({show_length(limit, us=False)})"


def kg(value: float) -> str:
    """Say a mass; in US units with the metric one in brackets."""
    return f"{show_mass(value)} ({show_mass(value, us=False)})" if shown_in_us() else show_mass(value)


def told_apart(measured: float, limit: float, show: Callable[[float], str], unit: str) -> tuple[str, str]:
    """Say a value and its limit as `show` does, with more places where they would look the same."""
    pair = show(measured), show(limit)
    for places in range(7):
        if pair[0] != pair[1] or measured == limit:
            break
        pair = f"{measured:.{places}f} {unit}", f"{limit:.{places}f} {unit}"
    return pair


def masses_apart(measured_kg: float, limit_kg: float) -> tuple[str, str]:
    """Say a mass and its limit so that they look different where they differ."""
    return told_apart(measured_kg, limit_kg, show_mass, "kg")


def forces_apart(measured_kn: float, limit_kn: float) -> tuple[str, str]:
    """Say a force and its limit, in kN, so that they look different where they differ."""
    return told_apart(measured_kn, limit_kn, show_force, "kN")


def listed(names: Iterable[str], most: int = 3) -> str:
    """Say 'a', 'a and b' or 'a, b, c and 4 more'."""
    all_names = list(names)
    shown = all_names[:most]
    rest = len(all_names) - len(shown)
    if rest:
        return f"{', '.join(shown)} and {rest} more"
    if len(shown) < 2:
        return "".join(shown)
    return f"{', '.join(shown[:-1])} and {shown[-1]}"


def place(zone: Zone, level: Level | str | None) -> str:
    """Say 'rack a/3', 'bench 2'."""
    key = level.key if isinstance(level, Level) else level
    return place_said(zone.name, key or "")


def zone_subject(zone: Zone, level: str | None) -> str:
    """Return 'zone:rack a/3' or 'zone:bench 2'."""
    return f"zone:{place_said(zone.key, level or '')}"


def load(contents: Contents, shown: str = "") -> str:
    """Say '41 kg' or 'at least 41 kg, 3 not weighed'; `shown` is the load in other words than usual."""
    words = ("about " if contents.about else "") + (shown or kg(contents.load_kg))
    if not contents.unweighed:
        return words
    if not contents.load_kg:
        return f"{contents.unweighed} not weighed"
    return f"at least {words}, {contents.unweighed} not weighed"


def load_and_limit(contents: Contents, limit_kg: float) -> str:
    """Say '41 kg (limit 40 kg)': a load and what is allowed, looking different where they differ."""
    bears, allowed = told_apart(contents.load_kg, limit_kg, kg, "kg")
    return f"{load(contents, bears)} (limit {allowed})"


def slack_mm(shop: Shop, *paths: str) -> float:
    """Return how well the named lengths of the file were measured: the worst said, else the shop's."""
    said = [shop.measured_at[path] for path in paths if path in shop.measured_at]
    return max(said, default=shop.measured_mm)


def unsure(shop: Shop, measured: float, limit: float, what: str, slack: float | None = None) -> str:
    """Return words to add where the answer flips within how well it was measured, else nothing."""
    within = shop.measured_mm if slack is None else slack
    if abs(measured - limit) > within + TOLERANCE_MM:
        return ""
    return f"; measured to {mm(within)} only, so measure {what} again"


def about_size(bodies: Sequence[Standing]) -> str:
    """Return words to add where a size is only about right, else nothing."""
    names = [b.name for b in bodies if b.size_about]
    if not names:
        return ""
    return f" (the size of {listed(names)} is only about right)"
