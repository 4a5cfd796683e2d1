"""Thread forms as people write them: 'M10', 'M10x1.25', '3/8-16 UNC', '1/2 BSW', 'G 1/4', '3/8-24'.

What stands in a table is the coarse pitch where none was written: metric ISO 261, UNC and UNF ASME B1.1,
BSW and BSF BS 84, BSP (G) ISO 228 [from memory].
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from shopbins.ledger.problems import BadValue

MM_PER_IN = Fraction(254, 10)

_COARSE_MM = {
    "1.6": "0.35", "2": "0.4", "2.5": "0.45", "3": "0.5", "4": "0.7", "5": "0.8", "6": "1", "8": "1.25",
    "10": "1.5", "12": "1.75", "14": "2", "16": "2", "18": "2.5", "20": "2.5", "22": "2.5", "24": "3",
    "27": "3", "30": "3.5", "33": "3.5", "36": "4", "39": "4", "42": "4.5", "48": "5", "56": "5.5", "64": "6",
}  # fmt: skip
_PER_INCH = {
    "UNC": {"1/4": 20, "5/16": 18, "3/8": 16, "7/16": 14, "1/2": 13, "9/16": 12, "5/8": 11, "3/4": 10,
            "7/8": 9, "1": 8},
    "UNF": {"1/4": 28, "5/16": 24, "3/8": 24, "7/16": 20, "1/2": 20, "9/16": 18, "5/8": 18, "3/4": 16,
            "7/8": 14, "1": 12},
    "BSW": {"1/8": 40, "3/16": 24, "1/4": 20, "5/16": 18, "3/8": 16, "7/16": 14, "1/2": 12, "9/16": 12,
            "5/8": 11, "3/4": 10, "7/8": 9, "1": 8},
    "BSF": {"3/16": 32, "1/4": 26, "5/16": 22, "3/8": 20, "7/16": 18, "1/2": 16, "9/16": 16, "5/8": 14,
            "3/4": 12, "7/8": 11, "1": 10},
    "G": {"1/8": 28, "1/4": 19, "3/8": 19, "1/2": 14, "3/4": 14, "1": 11},
}  # fmt: skip
_FAMILY = {"BSP": "G", "BSPP": "G", "WHIT": "BSW", "WHITWORTH": "BSW"}

_METRIC = re.compile(r"^M\s*(\d+(?:\.\d+)?)(?:\s*[X*]\s*(\d+(?:\.\d+)?))?$")
_INCH = re.compile(
    r"^(?:(G|BSPP?)\s*)?((?:\d+\s+)?\d+(?:/\d+)?)\s*(?:IN|\")?(?:\s*[-X]\s*(\d+))?"
    r"\s*(UNC|UNF|UNEF|UN|BSW|BSF|BSPP?|WHITWORTH|WHIT|G)?$"
)


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread: its family ('M', 'UNC', ...; '' where only size and pitch were written), and sizes in mm.

    For G the size is the nominal one, not the diameter.
    """

    family: str
    size_mm: Fraction
    pitch_mm: Fraction

    def same(self, other: Thread) -> bool:
        """Tell whether they are the same form as far as both say it."""
        families = {self.family, other.family} - {""}
        return len(families) < 2 and self.size_mm == other.size_mm and self.pitch_mm == other.pitch_mm


def is_thread(text: str) -> bool:
    """Tell whether a text is written as a thread."""
    try:
        parse_thread(text)
    except BadValue:
        return False
    return True


def parse_thread(text: str) -> Thread:
    """Read a thread; raises BadValue. A bare fraction is none: it needs its threads per inch or family."""
    plain = text.strip().upper().replace("×", "X").replace("”", '"')
    metric = _METRIC.match(plain)
    if metric:
        size = metric[1]
        pitch = metric[2] or _COARSE_MM.get(f"{float(size):g}")
        if pitch is None:
            raise BadValue(f"'{text.strip()[:30]}' has no coarse pitch known here (write it as M{size}x1.25)")
        if not Fraction(size) or not Fraction(pitch):
            raise BadValue(f"'{text.strip()[:30]}' is no thread")
        return Thread("M", Fraction(size), Fraction(pitch))
    inch = _INCH.match(plain)
    if inch is None or not (inch[1] or inch[3] or inch[4]):
        raise BadValue(f"'{text.strip()[:30]}' is no thread (write M10x1.25, 3/8-16 UNC, 1/2 BSW, G 1/4)")
    family = _FAMILY.get(inch[1] or inch[4] or "", inch[1] or inch[4] or "")
    if "/0" in inch[2].replace(" ", "") or not any(c in "123456789" for c in inch[2]):
        raise BadValue(f"'{text.strip()[:30]}' is no thread")
    whole = sum(map(Fraction, inch[2].split()), Fraction(0))
    per_inch = int(inch[3]) if inch[3] else _PER_INCH.get(family, {}).get(str(whole))
    if not per_inch:
        raise BadValue(f"'{text.strip()[:30]}' needs its threads per inch (write it as 3/8-16 UNC)")
    return Thread(family, whole * MM_PER_IN, MM_PER_IN / per_inch)
