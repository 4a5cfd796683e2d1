"""Reading the lines typed about refit: what was measured, how something came off. No screen.

Each is told by its parts, in any order after the first: 'journal 2, 59.93 mm, at least 59.96 mm'; 'trick heat
the boss; left-hand; shims 2 x 0.05 mm'.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from shopbins.strip.how import TEXTS
from shopbins.tui.parts.entryline import Unreadable
from shopbins.units import UnitError, parse_length


def read_date(text: str, today: date) -> str:
    """Return a date as the ledger has it; nothing typed, or 'today', is today. Raises Unreadable."""
    if text.strip().lower() in ("", "today"):
        return today.isoformat()
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise Unreadable(f"'{text.strip()}' is no date: write year-month-day, as 2026-12-24") from None


@dataclass(frozen=True, slots=True)
class Measured:
    """What a line says was measured: as `Desk.inspect` takes it, all as typed."""

    what: str
    measured: str
    low: str = ""
    high: str = ""


_LIMITS = (
    (re.compile(r"^(?:at least|min(?:imum)?|not under|>=?)\s*(.+)$", re.I), "low"),
    (re.compile(r"^(?:at most|max(?:imum)?|not over|<=?)\s*(.+)$", re.I), "high"),
    (re.compile(r"^(?:is|must be)\s+(.+)$", re.I), "low"),
)
_RANGE = re.compile(r"^(.+?)\s*(?:\bto\b|\.\.)\s*(.+)$", re.I)


def read_inspection(text: str) -> Measured:
    """Read 'journal 2, 59.93 mm, at least 59.96 mm' or 'bore, 95.04 mm, 95 mm to 95.03 mm' (Unreadable)."""
    what, *more = [part.strip() for part in text.split(",")]
    if not what or not more or not more[0]:
        raise Unreadable("what was measured, the value, its limits: 'journal 2, 59.93 mm, at least 59.96 mm'")
    limits: dict[str, str] = {}
    for part in filter(None, more[1:]):
        _read_limit(part, limits)
    return Measured(what, more[0], limits.get("low", ""), limits.get("high", ""))


def _read_limit(part: str, limits: dict[str, str]) -> None:
    for shape, end in _LIMITS:
        if found := shape.match(part):
            limits[end] = found[1].strip()
            return
    both = _RANGE.match(part)
    if both is None:
        raise Unreadable(
            f"'{part}': say which limit it is: at least, at most, '95 mm to 95.03 mm', or is M10"
        )
    limits["low"], limits["high"] = both[1], both[2]


_BROKE = re.compile(r"^(?:broke(?: away)?(?: at)?|breakaway)\s+([\d.]+)\s*(?:N\.?m)?$", re.I)
_TIGHTEN = re.compile(r"^tighten(?:ed)?(?: to)?\s+([\d.]+)\s*(?:N\.?m)?\s*(.*)$", re.I)
_SHIMS = re.compile(r"^shims?\s+(\d{1,4})\s*(?:x|of)\s*([\d./]+\s*(?:mm|um|thou|in)?)\s*(.*)$", re.I)
_SCREW = re.compile(r"^screws?\s+(\S+)\s+(\?|[\d./ ]+\s*(?:mm|in))\s*(.*)$", re.I)


def read_how(text: str) -> dict[str, Any]:
    """Read how something came off, parts divided by ';', as `Desk.tell_how` takes it; raises Unreadable."""
    found: dict[str, Any] = {}
    for part in (each.strip() for each in text.split(";")):
        if part:
            _read_how(part, found)
    if not found:
        raise Unreadable(
            "as: trick heat the boss; left-hand; broke away at 45; tighten 65 N.m sheet 12; "
            "shims 2 x 0.05 mm front; screw 3 45 mm M8"
        )
    return found


def _read_how(part: str, found: dict[str, Any]) -> None:
    head, _, rest = part.partition(" ")
    name = head.lower().rstrip(":")
    name = {"tool": "tools", "mark": "marks"}.get(name, name)
    if part.lower().replace(" ", "-") in ("left-hand", "left-hand-thread", "lh"):
        found["left_hand"] = True
    elif name == "torque":
        raise Unreadable(f"'{part}': tighten to, or broke away at? As 'tighten 65 N.m sheet 12, oiled'")
    elif broke := _BROKE.match(part):
        found["breakaway_nm"] = _number(broke[1], part)
    elif tighten := _TIGHTEN.match(part):
        found["tighten_nm"] = _number(tighten[1], part)
        if tighten[2].strip():
            found["source"] = tighten[2].strip()
    elif shims := _SHIMS.match(part):
        found.setdefault("shims", []).append((int(shims[1]), _mm(shims[2], part), shims[3].strip()))
    elif screw := _SCREW.match(part):
        length = None if screw[2] == "?" else _mm(screw[2], part)
        found.setdefault("screws", []).append((screw[1], length, screw[3].strip()))
    elif name in TEXTS and rest.strip():
        found[name] = rest.strip()
    else:
        known = ", ".join((*TEXTS, "left-hand", "broke away at", "tighten", "shims", "screw"))
        raise Unreadable(f"'{part}': begin with one of: {known}")


def _number(text: str, part: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise Unreadable(f"'{part}': '{text}' is no number") from None


def _mm(text: str, part: str) -> float:
    try:
        return parse_length(text if text.rstrip()[-1:].isalpha() else f"{text} mm")
    except UnitError as problem:
        raise Unreadable(f"'{part}': {problem}") from None
