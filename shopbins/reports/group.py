"""One part group, as JSON and as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from shopbins.ledger.model import Away, Fitted, Group, InGroup, InZone, Whereabouts
from shopbins.ledger.whereabouts import ordinal, whereabouts
from shopbins.reports.plain import columns, padded, plain_lines
from shopbins.strip.told import marked
from shopbins.units import show_point

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.ledger.state import State


@dataclass(frozen=True, slots=True)
class ToldEvent:
    """An event with the sentence that says what it did."""

    event: Event
    text: str


def group_json(state: State, group: Group) -> dict[str, Any]:
    """Return everything known of a group; unknown is null."""
    size = group.size
    return {
        "id": group.id,
        "code": group.code,
        "name": group.name,
        "qty": group.qty,
        "origin": list(group.origin),
        "order": group.order,
        "taken_at": group.taken_at,
        "container": group.container,
        "size_mm": None if size is None else [size.length_mm, size.width_mm, size.height_mm],
        "size_about": size is not None and size.about,
        "outline_mm": None if group.outline is None else [list(point) for point in group.outline],
        "mass_kg": None if group.mass is None else group.mass.kg,
        "mass_about": group.mass is not None and group.mass.about,
        "disposition": group.disposition,
        "note": group.note,
        "cautions": list(group.cautions),
        "tagged": group.tagged,
        "also_codes": list(group.also_codes),
        "work": [{"what": each.what, "done": each.done} for each in group.work],
        "brought": group.brought,
        "counted": group.counted or None,
        "one_use": group.one_use,
        "elsewhere": group.elsewhere or None,
        "details": dict(group.details),
        "place": whereabouts(state, group.where),
        "where": where_json(state, group.where),
    }


def where_json(state: State, where: Whereabouts) -> dict[str, Any] | None:
    """Return where a group is, by kind: a zone, another group, away, fitted; null when not laid down."""
    if isinstance(where, InZone):
        return {
            "zone": where.zone,
            "level": where.level,
            "x_mm": where.x_mm,
            "y_mm": where.y_mm,
            "turn_deg": where.turn_deg,
            "measured": where.measured,
        }
    if isinstance(where, InGroup):
        code = state.group(where.group).code if state.has_group(where.group) else None
        return {"group": where.group, "code": code, "how": where.how}
    if isinstance(where, Fitted):
        return {"fitted": True, "trial": where.trial, "since": where.since}
    if isinstance(where, Away):
        return {"to": where.to, "until": where.until, "since": where.since, "for": where.reason}
    return None


def event_json(told: ToldEvent) -> dict[str, Any]:
    """Return one step of a history."""
    event = told.event
    day = event.day or local_time(event.at)[:10]
    return {
        "seq": event.seq, "at": event.at, "day": day, "by": event.by, "kind": event.kind, "text": told.text
    }  # fmt: skip


def group_text(
    state: State,
    group: Group,
    inside: Sequence[str],
    history: Iterable[ToldEvent],
    width: int,
    record: Sequence[str] = (),
) -> list[str]:
    """Describe a group in lines: what it is, where it is, what becomes of it, what happened to it.

    `record` is what was measured, conceded and let through.
    """
    title = marked(state, group.id, f"{group.shown} x{group.qty}" if group.qty > 1 else group.shown)
    lines = [*columns([(padded(*_title(title, group.code, width)), group.code)]), ""]
    facts = [(label, text) for label, text in _facts(group, whereabouts(state, group.where)) if text]
    lines += columns([("  " + label, text) for label, text in facts])
    for name, value in group.details.items():
        told = {True: "yes", False: "no"}.get(value, value) if isinstance(value, bool) else value
        lines.append(f"  {name:11s}{told}")
    for number, note in enumerate(plain_lines(group.note) if group.note else ()):
        lines.append(f"  {'' if number else 'note':11s}{note}")
    if record:
        lines += ["", *(f"  {each}" for each in record)]
    if inside:
        lines += ["", "  in and on it:", *columns([("   ", each) for each in inside])]
    steps = [(f"  {when_done(each.event)}", each.event.by, each.text) for each in history]
    return [*lines, "", *columns(steps)] if steps else lines


def _title(title: str, code: str, width: int) -> tuple[str, int]:
    return title, max(0, min(width, 78) - len(code) - 2)


def _facts(group: Group, place: str) -> list[tuple[str, str]]:
    where = group.where
    pose = show_point(where.x_mm, where.y_mm) if _posed(where) else ""  # type: ignore[union-attr, arg-type]
    turn = f", turned {where.turn_deg:g} deg" if isinstance(where, InZone) and where.turn_deg else ""
    exact = f" at {pose} mm{turn}" if pose else ""
    assumed = "" if not pose or (isinstance(where, InZone) and where.measured) else " (place assumed)"
    came = f"{ordinal(group.order)} off" if group.order is not None else ""
    return [
        ("lies", f"{place}{exact}{assumed}"),
        ("from", ", ".join(part for part in (" > ".join(group.origin), came) if part)),
        ("container", group.container if group.container != "bare" else ""),
        ("size", _size(group)),
        ("mass", "not weighed" if group.mass is None else group.mass.said),
        ("becomes", f"{group.disposition}: {group.elsewhere}" if group.elsewhere else group.disposition),
        ("to do", ", ".join(each.what for each in group.work if each.done is None)),
        ("done", ", ".join(f"{each.what} {each.done}" for each in group.work if each.done)),
        ("one use", "renewed whenever it comes off" if group.one_use else ""),
        ("count", _counted(group)),
        ("caution", ", ".join(group.cautions)),
        ("for", where.reason if isinstance(where, Away) else ""),
        ("tag", "printed" if group.tagged else "not printed"),
        ("also labelled", ", ".join(group.also_codes)),
    ]


def _counted(group: Group) -> str:
    brought = "brought in, did not come off" if group.brought else ""
    how = {"holes": "by its holes", "bag": "by the bag", "later": "not counted yet", "never": "no part of it"}
    return ", ".join(part for part in (how.get(group.counted, ""), brought) if part)


def _posed(where: Whereabouts) -> bool:
    return isinstance(where, InZone) and where.posed


def _size(group: Group) -> str:
    size = group.known_size
    if size is None:
        return "not measured"
    return size.said if group.size is not None else f"{size.said} (as a {group.container} usually is)"


def local_time(at: str) -> str:
    """Show a UTC time as the local one, to the minute."""
    try:
        return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M}"
    except ValueError:
        return at


def when_done(event: Event) -> str:
    """Say when an event was done: the day it was recorded for, else the local time."""
    return event.day or local_time(event.at)
