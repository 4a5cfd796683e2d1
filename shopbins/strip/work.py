"""Work before refit: short lists, and inspection, a measured value judged against its limit."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from shopbins.ledger.model import Group
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.strip.release import limits_said
from shopbins.strip.threads import is_thread, parse_thread
from shopbins.units import UnitError, parse_length

Judgement = Literal["within", "beyond", "not judged"]

LISTS: Mapping[str, Sequence[str]] = {
    "casting": ("clean", "inspect for cracks", "measure", "protect from rust"),
    "bearing": ("clean", "inspect", "measure clearance"),
    "valve": ("clean", "measure stem", "lap"),
    "fasteners": ("clean", "inspect threads", "count"),
    "electrical": ("dry out", "inspect insulation", "test"),
    "pump": ("clean", "inspect", "new seals", "test"),
}
"""Short lists to begin with, by what a thing is. Our own; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A measured value as written, against its limits as written, with what came of it.

    `doc` is what the ledger keeps: texts as written and, for lengths, mm. `margin_mm` is how far within the
    nearer limit it lies (negative: beyond), None for threads and where no limit was given.
    """

    verdict: Judgement
    margin_mm: float | None
    text: str
    doc: Mapping[str, Any]


def judge(measured: str, low: str = "", high: str = "") -> Judged:
    """Judge a measured length or thread, or what was seen; at the limit is within it. BadValue if unreadable.

    Lengths take every unit ('0.05 mm', '38 um', '1.5 thou', '1 3/8 in'); a thread is judged against one limit
    (given as either), which must be the same form.
    """
    if (seen := LOOKS.get(measured.strip().lower())) is not None:
        return _judge_looks(measured, seen, low or high)
    if is_thread(measured):
        return _judge_thread(measured, low, high)
    if not any(each.isdigit() for each in measured):
        good, bad = ([word for word, is_good in LOOKS.items() if is_good == so] for so in (True, False))
        raise BadValue(
            f"'{measured.strip()[:30]}' is no value: measured is a length or a thread, "
            f"seen is {', '.join(good)}, or {', '.join(bad)}"
        )
    check_units(measured, low, high)
    value = length_mm(measured)
    least, most = length_mm(low) if low.strip() else None, length_mm(high) if high.strip() else None
    if least is not None and most is not None and least > most:
        raise BadValue(f"the lower limit {low.strip()} is above the upper one {high.strip()}")
    doc = {
        "measured": measured.strip(), "low": low.strip() or None, "high": high.strip() or None,
        "measured_mm": value, "low_mm": least, "high_mm": most,
    }  # fmt: skip
    if least is None and most is None:
        return Judged("not judged", None, f"{measured.strip()}: not checked, no limit given", doc)
    margins = [value - least] if least is not None else []
    margins += [most - value] if most is not None else []
    margin = min(margins)
    limits = limits_said(low, high)
    if margin >= -1e-9:
        return Judged("within", max(margin, 0.0), f"{measured.strip()}: within {limits}", doc)
    side = "below" if least is not None and value < least else "above"
    by = f"{-margin:.4f}".rstrip("0").rstrip(".")
    return Judged("beyond", margin, f"{measured.strip()}: {by} mm {side} its limit ({limits})", doc)


LOOKS: Mapping[str, bool] = {
    **dict.fromkeys(("ok", "good", "sound", "fine", "pass", "passed", "none", "no cracks"), True),
    **dict.fromkeys(("bad", "not ok", "cracked", "worn", "corroded", "damaged", "fail", "failed"), False),
}
"""What is seen rather than measured, in a word: is it good? 'cracks: none', 'insulation: ok'."""


def _judge_looks(measured: str, good: bool, limit: str) -> Judged:
    if limit.strip() and limit.strip().lower() != "ok":
        raise BadValue(f"'{measured.strip()}' is seen, not measured: it has no limit")
    doc = {"measured": measured.strip(), "low": "ok"}
    text = f"{measured.strip()}: {'within' if good else 'not ok'}"
    return Judged("within" if good else "beyond", None, text, doc)


def mm_of(text: str) -> float:
    """Read a length; a bare number is mm."""
    try:
        return float(text)
    except ValueError:
        return length_mm(text)


def check_units(*texts: str) -> None:
    """Refuse a bare number beside inches or thou: which of the two it is, nobody could tell afterwards."""
    given = [each.strip() for each in texts if each.strip()]
    bare = next((each for each in given if not re.search(r"[^\d\s.,/+-]", each)), None)
    inches = next((each for each in given if re.search(r"in\b|inch|thou|mil\b|[\"\u2033]", each, re.I)), None)
    if bare is not None and inches is not None:
        raise BadValue(f"{bare} beside {inches}: say its unit ({bare} in, or {bare} mm)")


def length_mm(text: str) -> float:
    """Read a length; BadValue where it is none."""
    try:
        return parse_length(text)
    except UnitError as problem:
        raise BadValue(str(problem)) from None


def _judge_thread(measured: str, low: str, high: str) -> Judged:
    limit = low.strip() or high.strip()
    doc = {"measured": measured.strip(), "low": limit or None}
    if low.strip() and high.strip() and not parse_thread(low).same(parse_thread(high)):
        raise BadValue("a thread has one form to be, not two")
    if not limit:
        return Judged("not judged", None, f"{measured.strip()}: not checked, no thread given", doc)
    same = parse_thread(measured).same(parse_thread(limit))
    if same:
        return Judged("within", None, f"{measured.strip()}: is {limit}", doc)
    return Judged("beyond", None, f"{measured.strip()}: is not {limit}", doc)


@dataclass(frozen=True, slots=True)
class Inspection:
    """A recorded inspection of a group."""

    key: str
    group: str
    what: str
    verdict: Judgement
    on: str | None
    measured: str
    low: str = ""
    high: str = ""
    by: str = ""
    instrument: str = ""

    @property
    def told(self) -> str:
        """Say it in one line."""
        limits = f" ({limits_said(self.low, self.high)})" if self.low or self.high else ""
        told = [self.verdict, f"with {self.instrument}" if self.instrument else "", self.by, self.on or ""]
        return f"{self.what}: {self.measured}{limits}, {', '.join(filter(None, told))}"


def inspections(state: State, group: Group | None = None) -> list[Inspection]:
    """Return what was measured, of one group or of all."""
    return [
        Inspection(
            key, doc["group"], doc["what"], doc["verdict"], doc.get("on"), doc.get("measured", ""),
            doc.get("low", ""), doc.get("high", ""), doc.get("by", ""), doc.get("instrument", ""),
        )
        for key, doc in state.docs("inspection").items()
        if group is None or doc["group"] == group.id
    ]  # fmt: skip
