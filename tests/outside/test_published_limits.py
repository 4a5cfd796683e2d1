"""The table of figures against the documents, in the units they print: every row of a document is here.

Units by NIST Handbook 44, Appendix C: an inch is 25.4 mm, a gallon 231 cubic inches, a pound 0.45359237 kg,
all exact. What a row marks as from memory was from memory here too.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from shopbins.rules.limits import TABLE, limit

INCH = Fraction(254, 10)
CUBIC_INCH_L = INCH**3 / 10**6
UNITS = {
    "mm": Fraction(1), "m": Fraction(1000), "in": INCH, "ft": 12 * INCH, "L": Fraction(1), "kg": Fraction(1),
    "": Fraction(1),
    "gal": 231 * CUBIC_INCH_L, "qt": 231 * CUBIC_INCH_L / 4, "pt": 231 * CUBIC_INCH_L / 8,
    "cu ft": 1728 * CUBIC_INCH_L, "lb": Fraction(45359237, 10**8),
}  # fmt: skip

PRINTED: dict[tuple[str, str], list[tuple[str, float, str]]] = {
    # 29 CFR 1910.36(g)(2), (1): 28 inches; 7 ft 6 in, 6 ft 8 in; 1910.36(e)(2): more than 50 people
    ("exit-width", "us"): [("", 28, "in"), ("as printed in cm", 711, "mm")],
    ("exit-height", "us"): [("ceiling", 7.5, "ft"), ("projection", 80, "in"), ("door", 80, "in")],
    ("exit-door", "us"): [("people", 50, "")],
    # Approved Document B volume 2, Table 2.3, 5.14; 3.17 of 2006; ASR A2.3 (2022)
    ("exit-width", "uk"): [("a person", 5, "mm")],
    ("exit-height", "uk"): [("ceiling", 2000, "mm"), ("projection", 2000, "mm")],
    ("exit-height", "de"): [("ceiling", 2, "m"), ("projection", 2, "m"), ("door", 1.95, "m")],
    ("exit-door", "uk"): [("people", 60, "")],
    # The guide for factories and warehouses (England); ASR A2.3
    ("way-length", "uk"): [
        ("one way, high", 12, "m"), ("one way, normal", 18, "m"), ("one way, low", 25, "m"),
        ("two ways, high", 25, "m"),
        ("two ways, normal", 45, "m"), ("two ways, low", 60, "m"), ("two ways lie apart by", 45, ""),
    ],
    ("way-length", "de"): [("straight", 35, "m"), ("straight, high", 25, "m"), ("walked", 1.5, "")],
    # 29 CFR 1910.303(g)(1), Table S-1 and its notes
    ("electrical-depth", "us"): [
        ("to 150 V", 3, "ft"), ("nothing", 3, "ft"), ("grounded", 3.5, "ft"), ("live", 4, "ft"),
        ("before 16 Apr 1981", 2.5, "ft"),
    ],
    ("electrical-width", "us"): [("", 30, "in")],
    ("electrical-height", "us"): [("since 13 Aug 2007", 6.5, "ft"), ("before 13 Aug 2007", 6.25, "ft")],
    ("electrical-way-in", "us"): [("amps", 1200, ""), ("wider than", 6, "ft")],
    # NFPA 10, 6.1.3.8; 29 CFR 1910.157(d); BS 5306-8; ASR A2.2
    ("extinguisher", "us"): [("bottom", 4, "in")],
    ("extinguisher-travel", "us"): [("A", 75, "ft"), ("B", 50, "ft"), ("D", 75, "ft")],
    ("extinguisher-travel", "uk"): [("A", 30, "m")],
    ("extinguisher-travel", "de"): [("A", 20, "m")],
    # 29 CFR 1910.252(a)(2); RC7; CFPA-E 12
    ("hot-work", "us"): [("", 35, "ft")],
    ("hot-work", "uk"): [("advice", 10, "m")],
    ("hot-work", "eu"): [("advice", 10, "m")],
    ("hot-opening", "us"): [("", 35, "ft")],
    ("fire-watch", "us"): [("", 30, "")],
    ("fire-watch", "uk"): [("", 60, "")],
    # 29 CFR 1910.106(e)(2)(ii)(b), (d)(3)(i); TRGS 510 table 1; DSEAR L138
    ("liquids-open", "us"): [("category 1", 25, "gal"), ("category 2 to 4", 120, "gal")],
    ("liquids-open", "de"): [
        ("category 1 and 2", 20, "kg"), ("category 1", 10, "kg"), ("category 3", 100, "kg"),
    ],
    ("liquids-cabinet", "us"): [("category 1 to 3", 60, "gal"), ("category 4", 120, "gal")],
    ("liquids-cabinet", "uk"): [("below room temperature", 50, "L"), ("to 55 C", 250, "L")],
    # 29 CFR 1910.106 Table H-12; OSHA letter of 22 December 1997; TRGS 510
    ("liquids-container", "us"): [
        ("glass or plastic, category 1", 1, "pt"), ("glass or plastic, category 2", 1, "qt"),
        ("glass or plastic, category 3", 1, "gal"), ("glass or plastic, category 4", 1, "gal"),
        ("metal, category 1", 1, "gal"), *((f"metal, category {n}", 5, "gal") for n in (2, 3, 4)),
        ("safety can, category 1", 2, "gal"), *((f"safety can, category {n}", 5, "gal") for n in (2, 3, 4)),
        ("metal drum (DOT)", 60, "gal"), ("approved portable tank", 660, "gal"), ("approved", 5, "gal"),
    ],
    ("liquids-container", "de"): [("breakable", 2.5, "L"), ("other", 10, "L")],
    # Petroleum (Consolidation) Regulations 2014, Schedule 2
    ("petrol-home", "uk"): [
        ("without notice", 30, "L"), ("with notice", 275, "L"), ("plastic container", 10, "L"),
        ("metal container", 20, "L"),
    ],
    # 29 CFR 1910.253(b)(3)(i), (b)(4)(iii), (b)(2)(ii); BCGA CP 44
    ("fuel-gas", "us"): [("liquefied", 300, "lb"), ("other", 2000, "cu ft")],
    ("oxygen", "us"): [("", 20, "ft"), ("barrier", 5, "ft")],
    ("oxygen", "uk"): [("", 3, "m")],
    ("cylinder", "us"): [("from what burns", 20, "ft")],
    # EN 1991-1-1 table A.4, category E1; ASCE 7: 125 psf are 5.99 kN/m2; DGUV; SEMA section 9
    ("floor-load", "any"): [("solid steel", 7850, "")],
    ("floor-load", "us"): [("advice", 5.99, "")],
    ("floor-load", "eu"): [("advice", 7.5, "")],
    ("load-sign", "de"): [("shelf", 200, "kg"), ("bay", 1000, "kg")],
    ("slender", "uk"): [("bolted", 4, ""), ("tied", 6, "")],
    ("slender", "de"): [("", 5, "")],
    ("tall-stack", "de"): [("", 6, "")],
    # 29 CFR 1910.159(c)(10); ADA Standards 405.2, 404.2.5; Approved Document M; 29 CFR 1910.28(b)
    ("sprinkler", "us"): [("", 18, "in")],
    ("ramp", "us"): [("", 1 / 12, "")],
    ("ramp", "uk"): [("", 1 / 12, "")],
    ("step", "us"): [("", 13, "mm")],
    ("step", "uk"): [("", 15, "mm")],
    ("pit", "us"): [("shallower than", 4, "ft"), ("service pit to", 10, "ft")],
    # International Building Code 1007.1.1: half the diagonal; NIOSH 94-110: 3; HSE: twice the filter
    ("two-exits", "us"): [("advice", 0.5, "")],
    ("lift", "us"): [("index to fix", 3, "")],
    ("lift", "uk"): [("times to fix", 2, "")],
    # ISO 11228-1:2021; HSE INDG143, L23, MAC and its page on pushing and pulling
    ("lift", "any"): [("lightest looked at", 3, "kg")],
    ("team", "uk"): [
        ("two", 2 / 3, ""), ("three", 1 / 2, ""), ("green for two", 35, "kg"),
        ("amber for two", 50, "kg"), ("green for three", 40, "kg"), ("amber for three", 75, "kg"),
        ("purple for two", 85, "kg"), ("purple for three", 125, "kg"),
    ],
    ("carry", "uk"): [("about as far as", 10, "m")],
    ("push", "uk"): [
        ("start, men", 200, ""), ("start, women", 150, ""), ("keep moving, men", 100, ""),
        ("keep moving, women", 70, ""),
        ("level, good wheels", 0.02, ""), ("level, uneven", 0.1, ""), ("about as far as", 20, "m"),
    ],
}  # fmt: skip

BRACKETS: dict[tuple[str, str, str], list[tuple[float | None, float, str]]] = {
    # Approved Document B volume 2, Table 2.3; ASR A2.3 (2022), people
    ("exit-width", "uk", "people"): [(60, 750, "mm"), (110, 850, "mm"), (220, 1050, "mm")],
    ("exit-width", "de", "door"): [(5, 800, "mm"), (50, 900, "mm"), (100, 1000, "mm"), (200, 1050, "mm")],
    ("exit-width", "de", "route"): [(5, 900, "mm"), (20, 1000, "mm"), (200, 1200, "mm")],
    ("two-exits", "uk", "exits"): [(60, 1, ""), (600, 2, ""), (None, 3, "")],
    # NFPA 10, 6.1.3.8.1-.2: 5 ft to 40 lb, 3.5 ft above; BS 5306-8:2012, 7.2
    ("extinguisher", "us", "top"): [(18.1436948, 5, "ft"), (None, 3.5, "ft")],
    ("extinguisher", "uk", "handle"): [(4, 1.5, "m"), (None, 1, "m")],
}


@pytest.mark.parametrize(("check", "rules", "of", "printed", "unit"), [
    (*key, *each) for key, every in PRINTED.items() for each in every
])  # fmt: skip
def test_a_figure_is_the_one_its_document_prints(
    check: str, rules: str, of: str, printed: float, unit: str
) -> None:
    found = limit(check, rules, of)
    assert found is not None and found.figure == pytest.approx(
        float(Fraction(printed) * UNITS[unit]), rel=1e-12
    )


@pytest.mark.parametrize(("key", "brackets"), BRACKETS.items())
def test_a_bracket_ends_where_its_document_ends_it(
    key: tuple[str, str, str], brackets: list[tuple[float | None, float, str]]
) -> None:
    for n, (upto, printed, unit) in enumerate(brackets):
        at = 1e9 if upto is None else upto
        found = limit(*key, at)
        assert found is not None and found.figure == pytest.approx(float(Fraction(printed) * UNITS[unit]))
        if upto is not None:
            beyond = limit(*key, upto * 1.001)
            then = brackets[n + 1][1:] if n + 1 < len(brackets) else None
            told = None if then is None else pytest.approx(float(Fraction(then[0]) * UNITS[then[1]]))
            assert (None if beyond is None else beyond.figure) == told


def test_every_figure_of_a_document_is_looked_up_here() -> None:
    told = {(*key, of) for key, every in PRINTED.items() for of, _, _ in every} | set(BRACKETS)
    own = {(each.check, each.set, each.of) for each in TABLE if each.mark in "OC" or not each.given}
    left = {(each.check, each.set, each.of) for each in TABLE} - told - own
    readings = {
        ("apart", "any", "another zone"),
        ("cylinder", "us", "heat"),
        ("hot-through", "us", "behind a metal wall"),
    }
    assert left == readings, "metres the documents do not print"
