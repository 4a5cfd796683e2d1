"""One zone or level, as JSON and as text: what it carries, what is left, what lies there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.reports.plain import columns, counted, plain
from shopbins.units import show_area, show_mass, show_share

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.scene.contents import Contents

Listed = Sequence[tuple["Group", str]]
"""Groups, each with its place in words."""


def zone_json(key: str, contents: Contents, groups: Listed) -> dict[str, Any]:
    """Return a zone: `load_kg` is at least that, with `unweighed` groups not in it."""
    return {
        "key": key,
        "load_kg": round(contents.load_kg, 6),
        "unweighed": contents.unweighed,
        "limit_kg": contents.limit_kg,
        "free_mm2": round(contents.free_mm2, 3),
        "unsized": contents.unsized,
        "groups": [
            {
                "id": group.id,
                "code": group.code,
                "name": group.name,
                "place": place,
                "mass_kg": None if group.mass is None else group.mass.kg,
            }
            for group, place in groups
        ],
    }


def zone_text(key: str, name: str, contents: Contents, groups: Listed) -> list[str]:
    """Describe a zone in lines."""
    title = plain(key) if name == key else f"{plain(key)} ({plain(name)})"
    lines = [title, *columns(_facts(contents))]
    if not groups:
        return [*lines, "", "  nothing lies here"]
    return [*lines, "", *columns(_rows(groups))]


def load_words(contents: Contents) -> str:
    """Say what lies on a surface: 'at least 41 kg of 200 kg, 3 not weighed'."""
    load = show_mass(contents.load_kg, about=contents.about) if contents.load_kg else "0 kg"
    limit = f" of {show_mass(contents.limit_kg)}" if contents.limit_kg is not None else ", no limit stated"
    unknown = contents.unweighed
    return f"{'at least ' if unknown else ''}{load}{limit}" + (f", {unknown} not weighed" if unknown else "")


def _facts(contents: Contents) -> Iterable[tuple[str, str]]:
    unknown = f", {contents.unsized} not measured" if contents.unsized else ""
    least = "at most " if contents.unsized else ""
    nested = f", and {contents.nested} in and on them" if contents.nested else ""
    return [
        ("  holds", f"{counted(len(contents.groups), 'group')}{nested}"),
        ("  load", load_words(contents)),
        (
            "  free",
            f"{least}{show_area(contents.free_mm2)} of {show_area(contents.surface_mm2)}, "
            f"{show_share(min(contents.fill, 9.99))} taken{unknown}",
        ),
    ]


def _rows(groups: Listed) -> Iterable[tuple[str, str, str, str]]:
    for group, place in groups:
        name = f"{group.shown} x{group.qty}" if group.qty > 1 else group.shown
        mass = show_mass(
            None if group.mass is None else group.mass.kg, about=bool(group.mass and group.mass.about)
        )
        yield f"  {group.code}", name, mass, place
