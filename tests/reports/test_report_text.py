"""Text for people is harmless, in columns, and says what is unknown."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from shopbins.answer import Accepted
from shopbins.ledger.state import State
from shopbins.reports.audit import audit_text, summary
from shopbins.reports.plain import ascii_only, cells, columns, plain, wrapped
from shopbins.reports.zone import load_words, zone_json
from shopbins.rules.finding import Finding, worst_first
from shopbins.scene.contents import Contents


@given(st.text())
def test_plain_text_has_nothing_that_steers_a_terminal(text: str) -> None:
    shown = plain(text)
    assert not [c for c in shown if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp")]
    assert not set(shown) & set(
        "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"
    )
    assert ascii_only(shown).isascii()
    if text.isascii() and text.isprintable():
        assert shown == text


def test_what_is_hidden_is_made_visible() -> None:
    assert plain("\x1b[31mred\x9b0m\u202egnp") == "\\x1b[31mred\\x9b0m\\u202egnp"
    assert plain("a\tb\nc") == "a b\\x0ac"


def test_columns_stand_in_line_with_wide_characters() -> None:
    lines = columns([("弁ばね", "8", "x"), ("pump", "1", "y"), ("é", "12", "z")])
    assert [cells(line) for line in lines] == [cells(lines[0])] * 3
    assert lines[0] == "弁ばね  8   x"


@given(
    st.lists(st.text(alphabet="ab弁", min_size=1, max_size=9), max_size=20).map(" ".join), st.integers(12, 40)
)
def test_wrapping_loses_nothing_and_keeps_the_width(text: str, width: int) -> None:
    lines = wrapped(text, width, "  ")
    assert " ".join(line.strip() for line in lines).split() == text.split()
    assert all(cells(line) <= width or " " not in line.strip() for line in lines)


def finding(grade: str, n: int, accepted: Accepted | None = None) -> Finding:
    return Finding(
        "walkway", grade, (f"walkway:{n}",), f"trouble {n}", "hall", (1.0, 2.0), 612.0, 800.0, "mm", "own",  # type: ignore[arg-type]
        "shift it", accepted=accepted,
    )  # fmt: skip


def test_audit_goes_from_worst_to_least_with_remedy_and_override() -> None:
    found = worst_first(
        [
            finding("note", 1),
            finding("stop", 2, Accepted("", "for now", for_now=True)),
            finding("correct", 3),
            finding("stop", 4),
        ]
    )
    text = "\n".join(audit_text(found, 17))
    places = [
        text.index(word)
        for word in ("STOP", "trouble 4", "trouble 2", "TO FIX", "trouble 3", "NOTE", "trouble 1")
    ]
    assert places == sorted(places)
    assert summary(found) == "1 stop, 1 to fix, 1 accepted, 1 note"
    assert "accepted for now" in text and "-> shift it" in text and "event 17" in text


def test_an_empty_audit_says_so() -> None:
    assert audit_text([], 3) == ["no stops, 0 to fix, no notes, as of event 3"]


def test_unknown_masses_are_counted_not_added() -> None:
    some = Contents(
        "rack", "1", ("a", "b", "c"), load_kg=41.0, unweighed=3, limit_kg=200.0, surface_mm2=1e6, area_mm2=4e5
    )
    assert load_words(some) == "at least 41 kg of 200 kg, 3 not weighed"
    none = Contents("rack", "1", ("a",), unweighed=1, surface_mm2=1e6)
    assert load_words(none) == "at least 0 kg, no limit stated, 1 not weighed"
    data = zone_json(State(), "rack/1", some, [])
    assert (data["load_kg"], data["unweighed"], data["limit_kg"], data["free_mm2"]) == (41.0, 3, 200.0, 6e5)


def test_what_is_put_right_together_says_in_how_many_findings_it_is_told() -> None:
    both = [
        Finding("walkway", "stop", ("walkway:w", "group:A"), "it is in w"),
        Finding("door-front", "correct", ("door:d", "group:A"), "it is before d"),
    ]
    assert summary(both) == "1 stop, 0 to fix (in 2 findings), no notes"
