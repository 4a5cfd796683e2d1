"""Part cautions: what is said first, before anybody handles, fits, cleans or opens such a part.

Words among the cautions only; a name asks (see `hazardwords`). Figures only where marked. Each ends alike:
ask the owner or a licensed person.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shopbins.ledger.model import Group
from shopbins.rules import hazards
from shopbins.rules.limits import SourceMark
from shopbins.shop.model import Shop

ASK = "Ask the owner or a licensed person; waste goes to a licensed taker."
ASBESTOS_BEFORE = 2000


@dataclass(frozen=True, slots=True)
class First:
    """What is said first of one word, where it stands, and how well that is known."""

    word: str
    text: str
    source: str
    mark: SourceMark


_LEAVE = "leave it: no brush, no air line, no sanding. Wet wipe or enclosed HEPA vacuum, bag the rags"
_ASBESTOS = "29 CFR 1910.1001(f)(3), App. F; HSE garage page; CAR 2012 reg. 5"
_RELEASE = "isolate, discharge and release it by the maker's way; tag it until that is done"
_LOCKED = "29 CFR 1910.147; PUWER reg. 19"

FIRST: dict[str, tuple[str, str, SourceMark]] = {
    "asbestos": (f"{_LEAVE}, have it tested if not known", _ASBESTOS, "R"),
    "brake dust": (f"{_LEAVE}: it may be asbestos", _ASBESTOS, "R"),
    "lead": ("no torch, no dry sanding; test it; wash before food", "29 CFR 1910.1025; CLAW 2002; "
    "98/24/EC", "M"),
    "lead paint": ("no torch, no dry sanding; test it; wash before food", "29 CFR 1910.1025; CLAW 2002", "M"),
    "mercury": (
        "keep it upright and closed in a sealed tub; never a vacuum cleaner", "40 CFR 273; (EU) 2017/852", "M"
    ),
    "pcb": (
        "gloves and a tray, do not open it, do not drain it: made before 2 Jul 1979 or the date not known, "
        "assume 500 ppm or more, unless its plate says 'No PCBs'",
        "40 CFR 761.2(a)(4)", "R",
    ),
    "refrigerant": ("do not open the circuit: certified recovery first", "40 CFR 82.154; (EU) 2024/573", "M"),
    "charged capacitor": (_RELEASE, _LOCKED, "M"),
    "spring under load": (_RELEASE, _LOCKED, "M"),
    "accumulator": (_RELEASE, _LOCKED, "M"),
    "beryllium": ("no grinding, no filing", "common practice, no source", "C"),
    "chromate": ("no grinding, no dry sanding", "common practice, no source", "C"),
    "radium": ("no opening of the glass", "common practice, no source", "C"),
}  # fmt: skip


def first_steps(
    cautions: Sequence[str], made: int | None = None, shop: Shop | None = None
) -> tuple[First, ...]:
    """Return what is said first of a part with these cautions, made in a year (None: not known)."""
    found = []
    for hazard in hazards.of(tuple(cautions)):
        known = FIRST.get(hazard.word)
        if known is None:
            continue
        text, source, mark = known
        european = shop is not None and shop.rules in ("uk", "eu")
        if hazard.word == "asbestos" and european and (made is None or made < ASBESTOS_BEFORE):
            text += "; made before 2000: presume it is"
        if hazard.word == "pcb" and european:
            text = text.replace("2 Jul 1979", "1987 (own figure)")
        found.append(First(hazard.word, text, source, mark))
    return tuple(found)


def lines_before(group: Group, shop: Shop | None = None) -> list[str]:
    """Return the lines shown before a part is handled, after its cautions; none where there are none."""
    made = group.details.get("made")
    return said(first_steps(group.cautions, made if isinstance(made, int) else None, shop))


def said(steps: Sequence[First]) -> list[str]:
    """Say what comes first, with its source, and whom to ask."""
    lines = []
    for each in steps:
        doubt = " (from memory, to be confirmed)" if each.mark == "M" else ""
        lines.append(f"first, {each.word}: {each.text} ({each.source}){doubt}")
    return [*lines, ASK] if lines else []
