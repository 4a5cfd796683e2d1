"""ISO/IEC 7064:2003, MOD 37-2, against an independent implementation (python-stdnum, stdnum.iso7064)."""

from __future__ import annotations

import itertools

from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from shopbins.ledger.codes import ALPHABET, check_character, check_holds, make_code

bodies = st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=30)


@given(bodies)
def test_check_characters_are_those_of_the_other_implementation(body: str) -> None:
    assert check_character(body) == mod_37_2.calc_check_digit(body)


@given(bodies, st.sampled_from(ALPHABET))
def test_both_accept_the_same_texts(body: str, check: str) -> None:
    assert check_holds(body + check) == mod_37_2.is_valid(body + check)


def test_published_examples() -> None:
    # python-stdnum's documentation of stdnum.iso7064.mod_37_2: G123489654321 has the check character Y.
    assert check_character("G123489654321") == "Y"
    # Donation numbers of ISBT 128 use this very scheme; G123 98 654321 with H is its example (from memory).
    assert check_character("G123498654321") == "H"


def test_exhaustive_single_errors_and_swaps_on_three_characters() -> None:
    # The standard promises all single substitutions and all neighbouring transpositions for MOD 37-2.
    characters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    for pair in itertools.product(characters, repeat=2):
        text = "".join(pair) + check_character("".join(pair))
        for place, char in itertools.product(range(3), ALPHABET):
            if char != text[place]:
                assert not check_holds(text[:place] + char + text[place + 1 :])
        for place in range(2):
            if text[place] != text[place + 1]:
                swapped = text[:place] + text[place + 1] + text[place] + text[place + 2 :]
                assert not check_holds(swapped)


def test_a_thousand_codes_of_a_shop_are_valid_to_the_other_implementation() -> None:
    assert all(mod_37_2.is_valid(make_code("RW", serial)) for serial in range(1, 1001))
