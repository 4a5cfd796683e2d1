"""How a position came off, and how long putting it back takes. What is kept of it is `strip/how.py`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Any

from shopbins.ledger.events import Draft
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.ledger.text import reason_text
from shopbins.records import kinds
from shopbins.records.acts import correction
from shopbins.records.position import known_position
from shopbins.records.record import Act, Field, Record
from shopbins.strip.how import TEXTS, checked_how, how_lines
from shopbins.strip.work import length_mm


def tell(
    state: State,
    position: str,
    *,
    no_shims: Sequence[int] = (),
    reason: str | None = None,
    by: str = "",
    on: str | None = None,
    **details: Any,
) -> Draft:
    """Record how a position came off (see strip/how.py): shims and screws are added to those there are.

    `no_shims` takes shims back by their number, 1 first; that, and another screw for a hole, want a `reason`,
    which is kept with the old value. What is recorded already is not written over (Refused): it is
    corrected, with a reason.
    """
    why = reason_text(reason)
    undone: list[str] = []
    place = known_position(state, position)
    old = dict(state.docs("part").get(position, {}).get("how", {}))
    new = checked_how(details)
    shims = [list(each) for each in old.get("shims", ())]
    for n in no_shims:
        if not 1 <= n <= len(shims):
            raise Refused(f"{place.name} has no shim {n} on record")
    undone += [_shown("shims", each) for n, each in enumerate(shims, 1) if n in no_shims]
    shims = [each for n, each in enumerate(shims, 1) if n not in no_shims]
    old["shims"] = checked_how({"shims": [*shims, *new.pop("shims", [])]})["shims"]
    screws = [list(each) for each in old.get("screws", ())]
    for screw in new.pop("screws", []):
        for had in [each for each in screws if each[0].casefold() == screw[0].casefold()]:
            screws.remove(had)
            undone += [_shown("screws", had)] if had != list(screw) else []
        screws.append(list(screw))
    old["screws"] = checked_how({"screws": screws})["screws"]
    if undone and not why:
        raise BadValue(f"{place.name} has {', '.join(undone)} on record: say why that was wrong (--reason)")
    for name, value in new.items():
        if old.get(name) and (value or value is None) and value != old[name]:
            raise Refused(
                f"{place.name}: {name.partition('_')[0]} is '{old[name]}' already: correct it, with a reason"
            )
        if value:
            old[name] = value
    how = {name: value for name, value in old.items() if value}
    after: dict[str, Any] = {f"part:{position}": {"how": how or None}}
    if undone:
        text = f"{place.name}: {', '.join(undone)} taken back"
        after |= correction("part", position, text, why, by=by, on=on, field="how")
    return Draft("how it came off", after, (f"group:{position}",))


def _shown(name: str, each: Sequence[Any]) -> str:
    return " ".join(how_lines({name: [list(each)]}))


def set_days(state: State, position: str, days: tuple[float, float] | None) -> Draft:
    """Say how many days putting a position back takes, least and most (None: unknown again)."""
    known_position(state, position)
    kept = None if days is None else kinds.SPAN.check(days, "the days")
    return Draft("set days", {f"part:{position}": {"days": kept}}, (f"group:{position}",))


_LENGTH = r"[\d./ ]*\d\s*(?:mm|um|thou|in)?"


def _parts_of(text: str, shape: str, example: str) -> list[str]:
    """Return the three parts of a text, divided by commas or by their shape."""
    if "," in text:
        parts = [part.strip() for part in text.split(",", 2)]
        return [*parts, ""][:3]
    if (found := re.fullmatch(shape, text.strip(), re.I)) is None:
        raise BadValue(f"'{text.strip()}' cannot be read, as '{example}'")
    return [part.strip() for part in found.groups()]


def _read_shim(text: str, today: date) -> tuple[int, float, str]:
    count, thickness, where = _parts_of(text, rf"(\d+)\s*(?:x|of)\s*({_LENGTH})(.*)", "2 x 0.05 mm front")
    return kinds.COUNT.read(count, today), length_mm(thickness), where


def _read_screw(text: str, _today: date) -> tuple[str, float | None, str]:
    hole, length, thread = _parts_of(text, rf"(\S+)\s+(\?|{_LENGTH})(.*)", "3 45 mm M8")
    return hole, None if length in ("", "?") else length_mm(length), thread


def _show_screw(screw: tuple[str, float | None, str]) -> str:
    hole, length, thread = screw
    return f"{hole} {'?' if length is None else f'{length:.10g} mm'} {thread}".strip()


SHIM = kinds.Kind(
    "N,THICKNESS[,WHERE]", lambda value, _what: checked_how({"shims": [value]})["shims"][0], _read_shim,
    show=lambda shim: "{} x {:.10g} mm {}".format(*shim).strip(),
)  # fmt: skip
SCREW = kinds.Kind(
    "HOLE,LENGTH[,THREAD]", lambda value, _what: checked_how({"screws": [value]})["screws"][0], _read_screw,
    show=_show_screw,
)  # fmt: skip

CAME_OFF = Record(
    "part",
    "how something came off",
    "trick heat the boss; left-hand; broke away at 45; tighten 65 N.m sheet 12; shims 2 x 0.05 mm front; "
    "screw 3 45 mm M8",
    (
        Field("tools", kinds.NOTE, "tools it took", "--tools", said="tools {}"),
        Field("puller", kinds.NOTE, "which puller, on what", "--puller", said="puller {}"),
        Field("trick", kinds.NOTE, "what made it come", "--trick", said="trick {}"),
        Field("marks", kinds.NOTE, "match marks, and where", "--marks", said="marks {}"),
        Field("way", kinds.NOTE, "which way round it goes", "--way", said="way {}"),
        Field("left_hand", kinds.YES, "its thread is left-hand", "--left-hand", said="left-hand",
              label="left-hand thread"),
        Field("tighten_nm", kinds.TORQUE, "what it is tightened to, as '65 N.m'", "--tighten",
              said="tighten {:.10g} N.m", label="tighten to"),
        Field("source", kinds.TEXT, "what says so, and the condition: 'sheet 12, oiled'", "--source",
              said="source {}"),
        Field("angle_deg", kinds.ANGLE, "and then by how many degrees", "--angle", said="angle {:.10g}",
              label="then by degrees"),
        Field("breakaway_nm", kinds.TORQUE, "what it broke away at: that is no value to tighten to",
              "--breakaway", said="broke away at {:.10g} N.m", label="broke away at"),
        Field("shims", SHIM, "shims, as '2,0.05mm,front' (may be repeated); added to those on record",
              "--shim", many=True, said="shims {shown}", label="shims"),
        Field("no_shims", kinds.COUNT, "take the Nth shim on record back", "--no-shim", many=True,
              said="no shim {}", label="take back a shim"),
        Field("screws", SCREW, "which screw went in which hole (may be repeated)", "--screw", many=True,
              said="screw {shown}", label="screws"),
        Field("reason", kinds.TEXT, "why a shim, or another screw of a hole, was wrong", "--reason", "WHY",
              said="because {}"),
    ),
    (
        r"(?P<left_hand>left[- ]hand(?:[- ]thread)?|lh)",
        r"(?:broke(?: away)?(?: at)?|breakaway)\s+(?P<breakaway_nm>[\d.]+\s*(?:N\.?m|lbf[. ]ft)?)",
        r"tighten(?:ed)?(?: to)?\s+(?P<tighten_nm>[\d.]+\s*(?:N\.?m|lbf[. ]ft)?)(?:\s+(?P<source>\S.*))?",
        r"angle\s+(?P<angle_deg>.+)",
        r"source:?\s+(?P<source>.+)",
        r"no shim\s+(?P<no_shims>\d+)",
        r"shims?\s+(?P<shims>\d.*)",
        r"screws?\s+(?P<screws>\S+\s.*)",
        r"because\s+(?P<reason>.+)",
        *(rf"{name.removesuffix('s')}{'s?' * name.endswith('s')}:?\s+(?P<{name}>.+)" for name in TEXTS),
    ),
    lead=(),
    divider=";",
    slips=((r"torque\b.*", "tighten to, or broke away at? As 'tighten 65 N.m sheet 12, oiled'"),),
)  # fmt: skip
HOW = Act(
    "how it came off", "noted how it came off:", tell, "part", CAME_OFF.fields, kinds.POSITION, signed=True
)
DAYS = Act(
    "set days", "noted the days for", set_days, "part",
    (Field("days", kinds.SPAN, "how many days putting it back takes", "--days"),), kinds.POSITION,
)  # fmt: skip
