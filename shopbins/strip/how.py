"""How a position came off: what the hands knew then, for the hands that put it back months later."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shopbins.ledger import values
from shopbins.ledger.model import Doc
from shopbins.ledger.problems import BadValue
from shopbins.ledger.text import NOTE_LIMIT, clean_text
from shopbins.units import counted

TEXTS: Mapping[str, str] = {
    "tools": "tools",
    "puller": "puller",
    "trick": "trick",
    "marks": "match marks",
    "way": "which way round",
}
"""Details that are one text, and how they are called."""

MOST = 50


def checked_how(details: Mapping[str, Any]) -> dict[str, Any]:
    """Check details: texts (see TEXTS), left_hand (bool), breakaway_nm, tighten_nm, source, angle_deg, shims
    and screws. What it broke away at says nothing of what it is tightened to: neither is taken for the other.

    `shims` is a list of (count, thickness_mm, where), thickness to 0.001 mm; `screws` of (hole, length_mm,
    thread), length None where not measured. Raises BadValue.
    """
    found: dict[str, Any] = {}
    for name, value in details.items():
        if name in TEXTS:
            found[name] = clean_text(value or "", TEXTS[name], NOTE_LIMIT, lines=True)
        elif name == "left_hand":
            found[name] = bool(value)
        elif name == "breakaway_nm":
            found[name] = None if value is None else _positive(value, "the breakaway torque", 1e6)
        elif name == "tighten_nm":
            found[name] = None if value is None else _positive(value, "the tightening torque", 1e6)
        elif name == "angle_deg":
            found[name] = None if value is None else _positive(value, "the angle", 3600.0)
        elif name == "source":
            found[name] = clean_text(value or "", "the source")
        elif name == "shims":
            found[name] = [_shim(*each) for each in _few(value, "shims")]
        elif name == "screws":
            found[name] = [_screw(*each) for each in _few(value, "screws")]
        else:
            raise BadValue(f"how something came off has no {name!r}")
    return found


def _few(value: Any, what: str) -> list[Any]:
    listed = list(value or ())
    if len(listed) > MOST:
        raise BadValue(f"{len(listed)} {what}: at most {MOST}")
    return listed


def _positive(value: Any, what: str, most: float) -> float:
    found = values.number(value, what)
    if not 0 < found <= most:
        raise BadValue(f"{what} is {found:g}: must be more than 0 and at most {most:g}")
    return found


def _shim(count: Any, thickness_mm: Any, where: Any = "") -> list[Any]:
    thickness = round(_positive(thickness_mm, "a shim's thickness in mm", 1000.0), 3)
    if thickness == 0:
        raise BadValue("a shim's thickness is given to 0.001 mm: less is none")
    return [values.checked_qty(count), thickness, clean_text(where or "", "where a shim was")]


def _screw(hole: Any, length_mm: Any = None, thread: Any = "") -> list[Any]:
    length = None if length_mm is None else _positive(length_mm, "a screw's length in mm", 10_000.0)
    return [clean_text(str(hole), "a hole"), length, clean_text(thread or "", "a thread")]


def how_lines(how: Doc) -> list[str]:
    """Say how something came off, a line for each detail."""
    lines = [f"{TEXTS[name]}: {how[name]}" for name in TEXTS if how.get(name)]
    if how.get("left_hand"):
        lines.insert(0, "LEFT-HAND THREAD")
    if how.get("tighten_nm"):
        angle = f" and {how['angle_deg']:g} deg" if how.get("angle_deg") else ""
        said = f" ({how['source']})" if how.get("source") else ", no source given"
        lines.append(f"tighten to {how['tighten_nm']:g} N.m{angle}{said}")
    if how.get("breakaway_nm"):
        lines.append(f"broke away at {how['breakaway_nm']:g} N.m")
    for count, thickness, where in how.get("shims", ()):
        at = f" at {where}" if where else ""
        lines.append(f"{counted(count, 'shim')} {thickness:.3f} mm{at}")
    for hole, length, thread in how.get("screws", ()):
        size = " ".join(
            part for part in (thread, f"{length:g} mm long" if length else "length not measured") if part
        )
        lines.append(f"hole {hole}: {size}")
    return lines
