"""A scanner told from fingers by its speed, a code by its check character."""

import pytest

from shopbins.ledger.codes import make_code
from shopbins.tui.keys.scanner import LONGEST_PAUSE_S, Burst

CODE = make_code("RW", 17)


def typed(text: str, pause_s: float) -> tuple[Burst, float]:
    burst, at = Burst(), 100.0
    for character in text:
        at += pause_s
        burst.hear(character, at)
    return burst, at


def test_without_a_pause_it_is_a_code_whatever_was_typed_before():
    burst, at = typed(f"valve{CODE}", 0.005)
    assert burst.code("RW", at + 0.005) == CODE
    assert burst.code("RW", at + 1.0) is None, "enter comes later: a person"


@pytest.mark.parametrize("pause_s", [LONGEST_PAUSE_S * 1.01, 0.2])
def test_with_pauses_it_is_typed_by_hand(pause_s):
    burst, at = typed(CODE, pause_s)
    assert burst.code("RW", at + 0.005) is None


def test_a_wrong_check_another_shop_or_a_key_in_between_is_none():
    last = "A" if CODE[-1] != "A" else "B"
    burst, at = typed(CODE[:-1] + last, 0.005)
    assert burst.code("RW", at) is None
    burst, at = typed(CODE, 0.005)
    assert burst.code("QX", at) is None
    burst, at = typed(CODE[:4], 0.005)
    burst.hear(None, at)
    for character in CODE[4:]:
        burst.hear(character, at)
    assert burst.code("RW", at) is None
