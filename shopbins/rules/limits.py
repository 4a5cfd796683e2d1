"""Every figure the checks compare with: one table, each row with its document, clause and mark.

To correct a figure, change its row; no other code knows it. `of` says which figure of a check a row is,
`upto` is the end of its bracket (people, kg, volts ...), None without end. A row without a figure is a duty
in law that gives none. Lengths are mm, masses kg, volumes L, forces N. docs/rules.md shows the table.

Marks: R read in the text or in a page quoting it; M from memory, confirm it; C common practice, no source;
O own figure or reading; D derived. Those who may judge a building or an installation, and local codes, come
first: these figures are a help, not a survey.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, NamedTuple

from shopbins.shop.model import Shop

SourceMark = Literal["R", "M", "C", "O", "D"]
MARKS: dict[str, str] = {
    "R": "read in the text or in a page quoting it",
    "M": "from memory, to be confirmed",
    "C": "common practice, no source",
    "O": "own figure or reading",
    "D": "derived",
}

FT, INCH, LB, GAL = 304.8, 25.4, 0.45359237, 3.785411784
CU_FT = 28.316846592
"""Litres in a cubic foot."""


class Limit(NamedTuple):
    """One figure: of which check and set, and where it comes from."""

    check: str
    set: str
    of: str
    given: float | None
    unit: str
    document: str
    clause: str
    mark: SourceMark
    upto: float | None = None

    @property
    def figure(self) -> float:
        """The figure. A duty in law has none: ValueError; only `rows` and `law` return those."""
        if self.given is None:
            raise ValueError(f"{self.check} in {self.set} is a duty without a figure")
        return self.given

    @property
    def source(self) -> str:
        """Where it stands; what is not from a document says so."""
        if not self.document:
            return MARKS[self.mark]
        return f"{self.document} {self.clause}".strip()

    @property
    def doubt(self) -> str:
        """Words to add where it was not read in its source."""
        return f" ({MARKS['M']})" if self.mark == "M" else ""


CFR = "29 CFR"
ADB = "Approved Document B volume 2 (England)"
EEC = "89/654/EEC"
ASR = "ASR A2.3 (2022)"
FSO = "Fire Safety Order 2005"
NFPA = "NFPA 10"
BS5306 = "BS 5306-8:2012"
GUIDE = "Fire safety guide, factories and warehouses (England)"
EAWR = "Electricity at Work Regulations 1989"
L138 = "DSEAR L138"
TRGS = "TRGS 510"
SEMA = "SEMA low-rise static shelving code"
FILTER = "HSE INDG143, lifting filter"
PUSH = "HSE L23 and its page on pushing and pulling"
IMDG = "UN/IMDG general segregation table"
PETROL = "Petroleum (Consolidation) Regulations 2014"

_SWITCH = "1910.303(g)(1)(i)(A), Table S-1"
_OLD = "1910.303(g)(1)(i)(A), Table S-1 note 1"
_VI = "1910.303(g)(1)(vi)"
_H12 = "1910.106 Table H-12"
_CLASS_1 = IMDG + "; another room: own reading"
_HEAT = "1910.253(b)(2)(i); the 3 m are an own figure"

TABLE: tuple[Limit, ...] = (
    # A. Ways out
    Limit("exit-width", "us", "", 28 * INCH, "mm", CFR, "1910.36(g)(2), (4)", "R"),
    Limit("exit-width", "us", "as printed in cm", 711.0, "mm", CFR, "1910.36(g)(2)", "R"),
    Limit("exit-width", "uk", "people", 750, "mm", ADB, "Table 2.3", "R", 60),
    Limit("exit-width", "uk", "people", 850, "mm", ADB, "Table 2.3", "R", 110),
    Limit("exit-width", "uk", "people", 1050, "mm", ADB, "Table 2.3", "R", 220),
    Limit("exit-width", "uk", "a person", 5, "mm", ADB, "Table 2.3", "R"),
    Limit("exit-width", "de", "door", 800, "mm", ASR, "", "R", 5),
    Limit("exit-width", "de", "door", 900, "mm", ASR, "", "R", 50),
    Limit("exit-width", "de", "door", 1000, "mm", ASR, "", "R", 100),
    Limit("exit-width", "de", "door", 1050, "mm", ASR, "", "R", 200),
    Limit("exit-width", "de", "route", 900, "mm", ASR, "", "R", 5),
    Limit("exit-width", "de", "route", 1000, "mm", ASR, "", "R", 20),
    Limit("exit-width", "de", "route", 1200, "mm", ASR, "", "R", 200),
    Limit("exit-width", "any", "a body", 500, "mm", "", "", "O"),
    Limit("exit-width", "eu", "", None, "mm", EEC, "Annex I 4.3", "R"),
    Limit("exit-narrower", "us", "", 0, "mm", CFR, "1910.36(g)(2), second sentence", "R"),
    Limit("exit-narrower", "uk", "", None, "mm", ADB, "", "M"),
    Limit("exit-narrower", "eu", "", None, "mm", EEC, "Annex I 4.3", "R"),
    Limit("exit-height", "us", "ceiling", 90 * INCH, "mm", CFR, "1910.36(g)(1)", "R"),
    Limit("exit-height", "us", "projection", 80 * INCH, "mm", CFR, "1910.36(g)(1)", "R"),
    Limit("exit-height", "us", "door", 80 * INCH, "mm", "OSHA letter of 8 December 1975", "", "R"),
    Limit("exit-height", "uk", "ceiling", 2000, "mm", "Approved Document B (2006)", "3.17", "R"),
    Limit("exit-height", "uk", "projection", 2000, "mm", "Approved Document B (2006)", "3.17", "R"),
    Limit("exit-height", "de", "ceiling", 2000, "mm", ASR, "", "R"),
    Limit("exit-height", "de", "projection", 2000, "mm", ASR, "", "R"),
    Limit("exit-height", "de", "door", 1950, "mm", ASR, "", "R"),
    Limit("exit-height", "eu", "", None, "mm", EEC, "Annex I 4.3", "R"),
    Limit("exit-door", "us", "kind", 0, "", CFR, "1910.36(e)(1)", "R"),
    Limit("exit-door", "us", "people", 50, "people", CFR, "1910.36(e)(2)", "R"),
    Limit("exit-door", "us", "room", 0, "", CFR, "1910.36(e)(1), (2)", "R"),
    Limit("exit-door", "uk", "people", 60, "people", "Approved Document B (2006)", "5.14", "R"),
    Limit("exit-door", "uk", "emergency", 0, "", FSO, "art. 14(2)(d), (e)", "R"),
    Limit("exit-door", "eu", "swing", 0, "", EEC, "Annex I 4.4", "R"),
    Limit("exit-door", "eu", "kind", 0, "", EEC, "Annex II", "R"),
    Limit("two-exits", "us", "", None, "exits", CFR, "1910.36(b)(1), (3)", "R"),
    Limit(
        "two-exits", "us", "advice", 0.5, "of the diagonal", "International Building Code", "1007.1.1", "M"
    ),
    Limit("two-exits", "uk", "exits", 1, "exits", ADB, "", "M", 60),
    Limit("two-exits", "uk", "exits", 2, "exits", ADB, "", "M", 600),
    Limit("two-exits", "uk", "exits", 3, "exits", ADB, "", "M"),
    Limit("two-exits", "eu", "", None, "exits", EEC, "Annex I 4.3", "R"),
    Limit("way-length", "uk", "one way, high", 12_000, "mm", GUIDE, "", "R"),
    Limit("way-length", "uk", "one way, normal", 18_000, "mm", GUIDE, "", "R"),
    Limit("way-length", "uk", "one way, low", 25_000, "mm", GUIDE, "", "R"),
    Limit("way-length", "uk", "two ways, high", 25_000, "mm", GUIDE, "", "R"),
    Limit("way-length", "uk", "two ways, normal", 45_000, "mm", GUIDE, "", "R"),
    Limit("way-length", "uk", "two ways, low", 60_000, "mm", GUIDE, "", "R"),
    Limit("way-length", "uk", "two ways lie apart by", 45, "degrees", ADB, "", "M"),
    Limit("way-length", "de", "straight", 35_000, "mm", ASR, "", "R"),
    Limit("way-length", "de", "straight, high", 25_000, "mm", ASR, "", "R"),
    Limit("way-length", "de", "walked", 1.5, "times the straight one", ASR, "", "R"),
    Limit("way-length", "us", "", None, "mm", CFR, "1910 subpart E", "R"),
    Limit("way-length", "eu", "", None, "mm", EEC, "Annex I 4.3", "R"),
    Limit("exit-free", "us", "", 0, "mm", CFR, "1910.37(a)(2)", "M"),
    Limit("exit-free", "uk", "", 0, "mm", FSO, "art. 14(1)", "R"),
    Limit("exit-free", "eu", "", 0, "mm", EEC, "Annex I 4.1, 4.6", "R"),
    Limit("exit-free", "any", "what burns, from the only way out", 3000, "mm", "", "", "O"),
    Limit("aisle", "us", "", None, "mm", CFR, "1910.176(a)", "R"),
    Limit("aisle", "uk", "", None, "mm", "Workplace Regulations 1992", "reg. 17", "M"),
    Limit("aisle", "eu", "", None, "mm", EEC, "Annex I 12", "M"),
    # B. Switchgear, to 600 V
    Limit("electrical-depth", "us", "to 150 V", 3 * FT, "mm", CFR, _SWITCH, "R", 150),
    Limit("electrical-depth", "us", "nothing", 3 * FT, "mm", CFR, _SWITCH, "R", 600),
    Limit("electrical-depth", "us", "grounded", 3.5 * FT, "mm", CFR, _SWITCH, "R", 600),
    Limit("electrical-depth", "us", "live", 4 * FT, "mm", CFR, _SWITCH, "R", 600),
    Limit("electrical-depth", "us", "before 16 Apr 1981", 30 * INCH, "mm", CFR, _OLD, "R"),
    Limit("electrical-depth", "uk", "", None, "mm", EAWR, "reg. 15", "M"),
    Limit("electrical-depth", "eu", "", None, "mm", EEC, "Annex I 3", "R"),
    Limit("electrical-width", "us", "", 30 * INCH, "mm", CFR, "1910.303(g)(1)(i)(B)", "R"),
    Limit("electrical-width", "uk", "", None, "mm", EAWR, "reg. 15", "M"),
    Limit("electrical-width", "eu", "", None, "mm", EEC, "Annex I 3", "R"),
    Limit("electrical-height", "us", "since 13 Aug 2007", 78 * INCH, "mm", CFR, _VI, "M"),
    Limit("electrical-height", "us", "before 13 Aug 2007", 75 * INCH, "mm", CFR, _VI, "M"),
    Limit("electrical-height", "uk", "", None, "mm", EAWR, "reg. 15", "M"),
    Limit("electrical-height", "eu", "", None, "mm", EEC, "Annex I 3", "R"),
    Limit("electrical-way-in", "us", "amps", 1200, "A", CFR, "1910.303(g)(1)(iv)", "M"),
    Limit("electrical-way-in", "us", "wider than", 6 * FT, "mm", CFR, "1910.303(g)(1)(iv)", "M"),
    Limit("electrical-way-in", "uk", "", None, "", EAWR, "reg. 15", "M"),
    Limit("electrical-way-in", "eu", "", None, "", EEC, "Annex I 3", "R"),
    # C. Extinguishers
    Limit("extinguisher", "us", "top", 5 * FT, "mm", NFPA, "6.1.3.8.1", "R", 40 * LB),
    Limit("extinguisher", "us", "top", 3.5 * FT, "mm", NFPA, "6.1.3.8.2", "R"),
    Limit("extinguisher", "us", "bottom", 4 * INCH, "mm", NFPA, "6.1.3.8.3", "M"),
    Limit("extinguisher", "uk", "handle", 1500, "mm", BS5306, "7.2", "R", 4),
    Limit("extinguisher", "uk", "handle", 1000, "mm", BS5306, "7.2", "R"),
    Limit("extinguisher", "uk", "about", 100, "mm", "", "", "O"),
    Limit("extinguisher", "eu", "", None, "mm", EEC, "Annex I 5.2", "R"),
    Limit("extinguisher-travel", "us", "A", 75 * FT, "mm", CFR, "1910.157(d)(2)", "R"),
    Limit("extinguisher-travel", "us", "B", 50 * FT, "mm", CFR, "1910.157(d)(4)", "R"),
    Limit("extinguisher-travel", "us", "D", 75 * FT, "mm", CFR, "1910.157(d)(6)", "M"),
    Limit("extinguisher-travel", "uk", "A", 30_000, "mm", "BS 5306-8", "", "R"),
    Limit("extinguisher-travel", "de", "A", 20_000, "mm", "ASR A2.2", "", "R"),
    Limit("extinguisher-travel", "eu", "", None, "mm", EEC, "Annex I 5.2", "R"),
    Limit("extinguisher-seen", "us", "", 0, "mm", NFPA, "6.1.3.3.1", "R"),
    Limit("extinguisher-seen", "uk", "", None, "mm", FSO, "art. 13", "M"),
    Limit("extinguisher-seen", "eu", "", 0, "mm", EEC, "Annex I 5.2", "R"),
    # D. Hot work
    Limit("hot-work", "us", "", 35 * FT, "mm", CFR, "1910.252(a)(2)(vii)", "R"),
    Limit("hot-work", "uk", "advice", 10_000, "mm", "RC7", "", "M"),
    Limit("hot-work", "eu", "advice", 10_000, "mm", "CFPA-E 12", "", "M"),
    Limit("hot-work", "uk", "", None, "mm", "Fire Safety Order 2005", "art. 8", "M"),
    Limit("hot-work", "eu", "", None, "mm", "89/391/EEC", "art. 6", "M"),
    Limit("hot-work", "any", "fuel beside a flame", 3000, "mm", "", "", "O"),
    Limit("hot-opening", "us", "", 35 * FT, "mm", CFR, "1910.252(a)(2)(i)", "R"),
    Limit("hot-through", "us", "behind a metal wall", 1000, "mm", CFR, "1910.252(a)(2)(iii)(A)(4)", "M"),
    Limit("fire-watch", "us", "", 30, "min", CFR, "1910.252(a)(2)(iii)", "R"),
    Limit("fire-watch", "uk", "", 60, "min", "RC7", "", "M"),
    Limit("hot-vapour", "us", "", 0, "", CFR, "1910.252(a)(3), (c)(11)", "M"),
    Limit("hot-vapour", "uk", "", 0, "", "DSEAR", "", "M"),
    Limit("hot-vapour", "eu", "", 0, "", "1999/92/EC", "", "M"),
    # E. Flammable liquids and gases
    Limit("liquids-open", "us", "category 1", 25 * GAL, "L", CFR, "1910.106(e)(2)(ii)(b)", "R"),
    Limit("liquids-open", "us", "category 2 to 4", 120 * GAL, "L", CFR, "1910.106(e)(2)(ii)(b)", "R"),
    Limit("liquids-open", "de", "category 1 and 2", 20, "kg", TRGS, "table 1", "R"),
    Limit("liquids-open", "de", "category 1", 10, "kg", TRGS, "table 1", "R"),
    Limit("liquids-open", "de", "category 3", 100, "kg", TRGS, "table 1", "R"),
    Limit("liquids-open", "uk", "", None, "L", L138, "", "R"),
    Limit("liquids-open", "eu", "", None, "L", "98/24/EC", "", "R"),
    Limit("liquids-cabinet", "us", "category 1 to 3", 60 * GAL, "L", CFR, "1910.106(d)(3)(i)", "R"),
    Limit("liquids-cabinet", "us", "category 4", 120 * GAL, "L", CFR, "1910.106(d)(3)(i)", "R"),
    Limit("liquids-cabinet", "uk", "below room temperature", 50, "L", L138, "", "R"),
    Limit("liquids-cabinet", "uk", "to 55 C", 250, "L", L138, "", "R"),
    Limit("liquids-cabinet", "eu", "", None, "L", "98/24/EC", "", "R"),
    Limit("liquids-container", "us", "glass or plastic, category 1", GAL / 8, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "glass or plastic, category 2", GAL / 4, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "glass or plastic, category 3", GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "glass or plastic, category 4", GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "metal, category 1", GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "metal, category 2", 5 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "metal, category 3", 5 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "metal, category 4", 5 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "safety can, category 1", 2 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "safety can, category 2", 5 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "safety can, category 3", 5 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "safety can, category 4", 5 * GAL, "L", CFR, _H12, "R"),
    Limit("liquids-container", "us", "metal drum (DOT)", 60 * GAL, "L", CFR, _H12, "M"),
    Limit("liquids-container", "us", "approved portable tank", 660 * GAL, "L", CFR, _H12, "M"),
    Limit("liquids-container", "us", "approved", 5 * GAL, "L", "OSHA letter of 22 December 1997", "", "R"),
    Limit("liquids-container", "de", "breakable", 2.5, "L", TRGS, "", "R"),
    Limit("liquids-container", "de", "other", 10, "L", TRGS, "", "R"),
    Limit("petrol-home", "uk", "without notice", 30, "L", PETROL, "Schedule 2", "R"),
    Limit("petrol-home", "uk", "with notice", 275, "L", PETROL, "Schedule 2", "R"),
    Limit("petrol-home", "uk", "plastic container", 10, "L", PETROL, "Schedule 2", "R"),
    Limit("petrol-home", "uk", "metal container", 20, "L", PETROL, "Schedule 2", "R"),
    Limit("petrol-home", "eu", "", None, "L", "national law", "", "R"),
    Limit("rags", "us", "", 0, "", CFR, "1910.106(e)(9)(iii)", "M"),
    Limit("rags", "any", "", 0, "", "", "", "C"),
    Limit("heavy-gas", "us", "", 0, "", "", "", "O"),
    Limit("liquids-below", "any", "", 0, "", "", "", "O"),
    Limit("fuel-gas", "us", "liquefied", 300 * LB, "kg", CFR, "1910.253(b)(3)(i)", "M"),
    Limit("fuel-gas", "us", "other", 2000 * CU_FT, "L", CFR, "1910.253(b)(3)(i)", "M"),
    Limit("heavy-gas", "uk", "", 0, "", "UK LPG codes", "", "R"),
    Limit("heavy-gas", "eu", "", None, "", "national law", "", "R"),
    # F. Keeping apart
    Limit("apart", "any", "another zone", 3000, "mm", IMDG + "; metres and rooms: own reading", "7.2.4", "R"),
    Limit("apart", "any", "explosives", 0, "", _CLASS_1, "7.2.4, class 1", "M"),
    Limit("oxygen", "any", "", 3000, "mm", "", "", "O"),
    Limit("oxygen", "us", "", 20 * FT, "mm", CFR, "1910.253(b)(4)(iii)", "R"),
    Limit("oxygen", "us", "barrier", 5 * FT, "mm", CFR, "1910.253(b)(4)(iii)", "R"),
    Limit("oxygen", "uk", "", 3000, "mm", "BCGA CP 44", "", "M"),
    Limit("cylinder", "us", "acetylene", 0, "", CFR, "1910.253(b)(3)(ii)", "R"),
    Limit("cylinder", "us", "chained", 0, "", CFR, "1910.253(b)(2)(ii)", "R"),
    Limit("cylinder", "us", "from what burns", 20 * FT, "mm", CFR, "1910.253(b)(2)(ii)", "R"),
    Limit("cylinder", "us", "cap", 0, "", CFR, "1910.253(b)(2)(iv)", "R"),
    Limit("cylinder", "us", "heat", 3000, "mm", CFR, _HEAT, "R"),
    Limit("cylinder", "us", "cabinet", 0, "", CFR, "1910.253(b)(2)(ii)", "R"),
    Limit("cylinder", "uk", "", 0, "", "HSE guidance on cylinders", "", "R"),
    Limit("cylinder", "eu", "", None, "", "national law", "", "R"),
    Limit("cylinder", "any", "from a way", 1000, "mm", "", "", "O"),
    Limit("cylinder", "any", "upright", 0, "", "", "", "C"),
    Limit("cylinder", "any", "heat", 3000, "mm", "", "", "O"),
    Limit("cylinder", "any", "cabinet", 0, "", "", "", "O"),
    # G. Loads and heights
    Limit("level-load", "any", "asked from", 100, "kg", "", "", "O"),
    Limit("floor-load", "any", "small", 1.0, "m2", "", "", "O"),
    Limit("floor-load", "any", "light", 1.5, "kN", "", "", "O"),
    Limit("floor-load", "any", "asked from", 300, "kg", "", "", "O"),
    Limit("floor-load", "any", "asked from, unweighed", 1000, "kg", "", "", "O"),
    Limit("floor-load", "any", "solid steel", 7850, "kg/m3", "EN 1991-1-1", "Annex A, table A.4", "M"),
    Limit("floor-load", "us", "advice", 5.99, "kN/m2", "ASCE 7, light storage, 125 psf", "", "M"),
    Limit("floor-load", "eu", "advice", 7.5, "kN/m2", "EN 1991-1-1, category E1", "table 6.4", "M"),
    Limit("point-load", "any", "bay", 1500, "mm", "", "", "O"),
    Limit("load-sign", "uk", "", 0, "", "SEMA; EN 15635", "", "M"),
    Limit("load-sign", "de", "shelf", 200, "kg", "DGUV Regel 108-007", "", "M"),
    Limit("load-sign", "de", "bay", 1000, "kg", "DGUV Regel 108-007", "", "M"),
    Limit("slender", "uk", "bolted", 4, "times", SEMA, "section 9", "R"),
    Limit("slender", "uk", "tied", 6, "times", SEMA, "section 9", "R"),
    Limit(
        "slender", "de", "", 5, "times", "DGUV Information 208-061 (was DGUV Regel 108-007, 4.2.1)", "", "R"
    ),
    Limit("tall-stack", "any", "", 3, "times", "", "", "C"),
    Limit("tall-stack", "de", "", 6, "times", "DGUV Information 208-048", "2.2", "R"),
    Limit("leaning", "any", "height", 1500, "mm", "", "", "O"),
    Limit("leaning", "any", "mass", 25, "kg", "", "", "O"),
    Limit("sprinkler", "us", "", 18 * INCH, "mm", CFR, "1910.159(c)(10)", "M"),
    # H. Floors and heads
    Limit("ramp", "us", "", 1 / 12, "mm/mm", "ADA Standards", "405.2", "R"),
    Limit("ramp", "uk", "", 1 / 12, "mm/mm", "Approved Document M", "", "M"),
    Limit("ramp", "eu", "", None, "mm/mm", EEC, "Annex I 9.1", "R"),
    Limit("step", "us", "", 13, "mm", "ADA Standards", "404.2.5", "M"),
    Limit("step", "uk", "", 15, "mm", "Approved Document M", "", "M"),
    Limit("step", "eu", "", None, "mm", EEC, "Annex I 9.1", "R"),
    Limit("step", "any", "", 6, "mm", "", "", "O"),
    Limit("low-head", "any", "", 1950, "mm", "", "", "O"),
    Limit("pit", "us", "", 0, "mm", CFR, "1910.28(b)(3)", "M"),
    Limit("pit", "us", "shallower than", 4 * FT, "mm", CFR, "1910.28(b)(3)(i)", "M"),
    Limit("pit", "us", "service pit to", 10 * FT, "mm", CFR, "1910.28(b)(8)", "M"),
    Limit("pit", "uk", "", 0, "mm", "Workplace Regulations 1992", "reg. 13", "M"),
    Limit("pit", "eu", "", 0, "mm", EEC, "Annex I 12.5", "M"),
    # I. Lifting by hand
    Limit("lift", "any", "lightest looked at", 3, "kg", "ISO 11228-1:2021", "scope", "R"),
    Limit("lift", "any", "always by hoist", 75, "kg", "", "", "O"),
    Limit(
        "lift", "us", "index to fix", 3, "", "revised NIOSH lifting equation, DHHS (NIOSH) 94-110", "", "R"
    ),
    Limit("lift", "uk", "times to fix", 2, "", FILTER, "", "M"),
    Limit("lift", "eu", "", None, "kg", "90/269/EEC", "", "R"),
    Limit("team", "uk", "two", 2 / 3, "of the sum", "HSE L23, guidance on team handling", "", "R"),
    Limit("team", "uk", "three", 1 / 2, "of the sum", "HSE L23, guidance on team handling", "", "R"),
    Limit("team", "uk", "green for two", 35, "kg", "HSE MAC, team handling", "INDG383", "M"),
    Limit("team", "uk", "amber for two", 50, "kg", "HSE MAC, team handling", "INDG383", "M"),
    Limit("team", "uk", "green for three", 40, "kg", "HSE MAC, team handling", "INDG383", "M"),
    Limit("team", "uk", "amber for three", 75, "kg", "HSE MAC, team handling", "INDG383", "M"),
    Limit("team", "uk", "purple for two", 85, "kg", "HSE MAC, team handling", "", "R"),
    Limit("team", "uk", "purple for three", 125, "kg", "HSE MAC, team handling", "", "M"),
    Limit("team", "us", "", None, "kg", "DHHS (NIOSH) 94-110 does not cover teams", "", "R"),
    Limit("team", "eu", "", None, "kg", "90/269/EEC", "", "R"),
    Limit("carry", "uk", "about as far as", 10_000, "mm", FILTER, "", "R"),
    Limit("carry", "us", "", None, "kg", "DHHS (NIOSH) 94-110 does not cover carrying", "", "R"),
    Limit("carry", "eu", "", None, "kg", "90/269/EEC", "", "R"),
    # J. Pushing
    Limit("push", "uk", "start, men", 200, "N", PUSH, "", "R"),
    Limit("push", "uk", "start, women", 150, "N", PUSH, "", "R"),
    Limit("push", "uk", "keep moving, men", 100, "N", PUSH, "", "R"),
    Limit("push", "uk", "keep moving, women", 70, "N", PUSH, "", "R"),
    Limit("push", "uk", "level, good wheels", 0.02, "of the weight", PUSH, "", "R"),
    Limit("push", "uk", "level, uneven", 0.10, "of the weight", PUSH, "", "R"),
    Limit("push", "uk", "about as far as", 20_000, "mm", PUSH, "", "R"),
)

ADVICE: dict[str, tuple[str, ...]] = {
    "exit-width": ("us", "uk", "de"),
    "exit-narrower": ("us",),
    "exit-height": ("us", "uk", "de"),
    "way-length": ("uk", "de"),
    "electrical-depth": ("us",),
    "electrical-width": ("us",),
    "electrical-height": ("us",),
    "electrical-way-in": ("us",),
    "extinguisher": ("us", "uk"),
    "extinguisher-travel": ("us", "uk", "de"),
    "hot-work": ("us",),
    "hot-opening": ("us",),
    "hot-through": ("us",),
    "liquids-open": ("us", "de"),
    "liquids-cabinet": ("us", "uk"),
    "liquids-container": ("us",),
    "oxygen": ("us", "uk"),
    "cylinder": ("us",),
    "heavy-gas": ("us", "uk"),
    "load-sign": ("uk",),
    "slender": ("uk", "de"),
    "sprinkler": ("us",),
    "ramp": ("us",),
    "step": ("us", "uk"),
    "pit": ("us",),
    "lift": ("us",),
    "team": ("uk",),
    "carry": ("uk",),
    "push": ("uk",),
}
"""Whose figure is offered as advice where a set has none; not where the two laws differ in kind."""


@cache
def rows(check: str, rules: str) -> tuple[Limit, ...]:
    """Return the rows of one check in one set, in their order."""
    return tuple(each for each in TABLE if each.check == check and each.set == rules)


@cache
def limit(check: str, rules: str, of: str = "", value: float | None = None) -> Limit | None:
    """Return one figure; of a bracketed one the first whose bracket holds `value`. None: the set has none."""
    for each in rows(check, rules):
        if (
            each.of == of
            and each.given is not None
            and (each.upto is None or value is None or value <= each.upto * (1 + 1e-9))
        ):
            return each
    return None


def known(check: str, rules: str, of: str = "", value: float | None = None) -> Limit:
    """Return a row that must be in the table; KeyError where it is not."""
    found = limit(check, rules, of, value)
    if found is None:
        raise KeyError((check, rules, of))
    return found


def figure(check: str, rules: str, of: str = "", value: float | None = None) -> float:
    """Return a figure that must be in the table; KeyError where it is not."""
    return known(check, rules, of, value).figure


def sets_of(shop: Shop) -> tuple[str, ...]:
    """Return the sets in force, the more exact first."""
    if shop.rules == "eu":
        return ("de", "eu") if shop.country == "de" else ("eu",)
    return (shop.rules,)


def set_name(shop: Shop) -> str:
    """Say whose rules are in force."""
    return {"own": "your own rules"}.get(shop.rules, "de" if "de" in sets_of(shop) else shop.rules)


def set_for(shop: Shop, check: str) -> str | None:
    """Return the set in force that has figures of a check; None where none has."""
    for each in sets_of(shop):
        if any(row.given is not None and row.of != "advice" for row in rows(check, each)):
            return each
    return None


def law(shop: Shop, check: str) -> Limit | None:
    """Return the duty in law that gives no figure, where the sets in force have one."""
    for each in sets_of(shop):
        found = next((row for row in rows(check, each) if row.given is None), None)
        if found is not None:
            return found
    return None


def advisers(shop: Shop, check: str) -> tuple[str, ...]:
    """Return the sets whose figures are offered as advice here."""
    there = sets_of(shop)
    return tuple(each for each in ADVICE.get(check, ()) if each not in there)
