"""The bar pattern: read back before use, and the encoder's known faults worked around."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopbins.ledger.codes import next_code
from shopbins.tags import TagError
from shopbins.tags.code128 import STOP, check_symbol, length, modules, read

PRINTABLE = st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=24)


def widths(pattern):
    """Return the widths of bars and spaces in turn."""
    runs, last = [], None
    for each in pattern:
        if each == last:
            runs[-1] += 1
        else:
            runs.append(1)
            last = each
    return runs


@given(PRINTABLE)
@settings(max_examples=150, deadline=None)
def test_every_symbol_keeps_the_rules_of_the_symbology(text):
    # Without any table: six elements of 1 to 4 modules a symbol, 11 modules, bars of even sum (the parity of
    # the symbology), the stop of 13 modules with seven elements.
    pattern = modules(text)
    assert pattern.endswith(STOP) and (len(pattern) - 13) % 11 == 0
    body = widths(pattern)[:-7]
    assert len(body) % 6 == 0
    for at in range(0, len(body), 6):
        symbol = body[at : at + 6]
        assert sum(symbol) == 11 and set(symbol) <= {1, 2, 3, 4}
        assert sum(symbol[0::2]) % 2 == 0
    assert read(pattern) == text


def test_a_leading_pair_99_is_kept():
    for text in ("9912", "99", "9999999", "99A", "991234567"):
        assert read(modules(text)) == text


def test_the_same_text_gives_the_same_bars_again():
    for text in ("A1234567B", "ZRW0042K", "12345A"):
        first = modules(text)
        modules.cache_clear()
        assert modules(text) == first


def test_length_is_eleven_a_symbol_and_thirty_five():
    # ZRW0042 and check letter: start B, three letters, switch to C, two pairs, switch to B, one letter.
    code = next_code("RW", 41).text
    assert len(code) == 8
    assert len(modules(code)) == length(8) == 123


def test_a_damaged_pattern_is_not_read():
    pattern = modules("ZRW0042K")
    for at in range(11, len(pattern) - 13):
        flipped = pattern[:at] + ("0" if pattern[at] == "1" else "1") + pattern[at + 1 :]
        with pytest.raises(TagError):
            read(flipped)


@pytest.mark.parametrize("pattern", ["", "101", STOP, "1" * 24, "0" * 11 + STOP])
def test_rubbish_is_not_read(pattern):
    with pytest.raises(TagError):
        read(pattern)


@pytest.mark.parametrize("text", ["", "Ä", "A\x1b[2J", "12\n34", "\x00"])
def test_what_is_not_plain_text_is_refused(text):
    with pytest.raises(TagError, match="cannot be a bar code"):
        modules(text)


def test_check_symbol_counts_places_from_one():
    assert check_symbol([104, 0, 0]) == 1
    assert check_symbol([103, 1, 1]) == (103 + 1 + 2) % 103
