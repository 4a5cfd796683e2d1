"""One zone or level, as JSON and as text: what it carries, what is left, what lies there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.ledger.whereabouts import whereabouts
from shopbins.reports.plain import columns, counted, plain
from shopbins.strip.release import release, state_said
from shopbins.strip.told import marked
from shopbins.units import show_area, show_mass, show_share

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.scene.contents import Contents


def zone_json(state: State, key: str, contents: Contents, groups: Sequence[Group]) -> dict[str, Any]:
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
                "place": whereabouts(state, group.where),
                "mass_kg": None if group.mass is None else group.mass.kg,
                "release": state_said(release(state, group.id, date.today()).state),
            }
            for group in groups
        ],
    }


def zone_text(state: State, key: str, name: str, contents: Contents, groups: Sequence[Group]) -> list[str]:
    """Describe a zone in lines."""
    title = plain(key) if name == key else f"{plain(key)} ({plain(name)})"
    lines = [title, *columns(_facts(contents))]
    if not groups:
        return [*lines, "", "  nothing lies here"]
    return [*lines, "", *columns(_rows(state, groups))]


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


def _rows(state: State, groups: Sequence[Group]) -> Iterable[tuple[str, str, str, str]]:
    for group in groups:
        name = marked(state, group.id, f"{group.shown} x{group.qty}" if group.qty > 1 else group.shown)
        mass = show_mass(
            None if group.mass is None else group.mass.kg, about=bool(group.mass and group.mass.about)
        )
        yield f"  {group.code}", name, mass, whereabouts(state, group.where)
