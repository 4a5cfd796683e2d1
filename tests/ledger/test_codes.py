"""Codes: every single error and every swap is caught, whoever's tag it is is said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins.ledger.codes import (
    ALPHABET,
    SKIPPED_CHECKS,
    Code,
    CodeProblem,
    check_character,
    looks_like_code,
    make_code,
    next_code,
    parse_code,
    prefix_problem,
    serial_of,
)

prefixes = st.from_regex(r"[A-Z0-9]{0,2}[A-Z]", fullmatch=True)
serials = st.integers(1, 10**9)


def kind_of(text: str, prefix: str | None = None) -> str:
    """Return why a text is refused, 'ok' if it is not."""
    try:
        parse_code(text, prefix)
    except CodeProblem as problem:
        assert "\n" not in str(problem)
        return problem.kind
    return "ok"


@given(prefixes, serials)
def test_a_code_given_out_is_read_back(prefix: str, last: int) -> None:
    code = next_code(prefix, last)
    assert parse_code(code.text, prefix) == code
    assert code.serial > last
    assert code.text[-1] not in SKIPPED_CHECKS
    assert serial_of(code.text) == code.serial


@given(prefixes, serials)
def test_a_scanner_with_caps_lock_and_a_carriage_return_is_understood(prefix: str, last: int) -> None:
    code = next_code(prefix, last)
    assert parse_code(f"  {code.text.lower()}\r\n", prefix) == code


@pytest.mark.parametrize("code", [next_code("RW", 41).text, next_code("S", 0).text, make_code("9ZQ", 123456)])
def test_every_single_wrong_character_is_caught(code: str) -> None:
    for place in range(len(code)):
        for char in ALPHABET:
            if char != code[place]:
                assert kind_of(code[:place] + char + code[place + 1 :]) != "ok"


@given(prefixes, serials)
def test_every_swap_of_neighbours_is_caught(prefix: str, serial: int) -> None:
    code = make_code(prefix, serial)
    for place in range(len(code) - 1):
        if code[place] != code[place + 1]:
            swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
            assert kind_of(swapped) != "ok"


def test_skipped_checks_leave_most_serials() -> None:
    given_out, serial = 0, 0
    while serial < 9999:
        serial = next_code("RW", serial).serial
        given_out += 1
    assert given_out > 0.75 * 9999


def test_the_reasons() -> None:
    code = next_code("RW", 41).text
    assert kind_of(code, "RW") == "ok"
    assert kind_of(code, "KL") == "other shop"
    with pytest.raises(CodeProblem, match=r"of another shop \(RW; this one is KL\)"):
        parse_code(code, "KL")
    assert kind_of(code[:-1] + ("1" if code[-1] != "1" else "2"), "RW") == "wrong check"
    for text in (
        "",
        " ",
        "Z",
        "ZRW",
        "ZRW12A",
        "ARW0042X",
        "ZRW00-42X",
        "piston 3",
        "Z" * 10_000,
        "\x1b[31m",
        "ZRW٠٠٤٢X",
    ):
        assert kind_of(text, "RW") == "not a code", text
        assert not looks_like_code(text)


def test_a_prefix_ends_in_a_letter_so_that_the_serial_is_never_in_doubt() -> None:
    for prefix in ("R", "RW", "R2D", "9A"):
        assert prefix_problem(prefix) is None
        assert parse_code(make_code(prefix, 10001)) == Code(make_code(prefix, 10001), prefix, 10001)
    for prefix in ("", "R2", "rw", "RWXY", "Ä", "*", "R W"):
        assert prefix_problem(prefix) is not None
        with pytest.raises(ValueError, match="prefix"):
            make_code(prefix, 1)


def test_check_character_may_be_the_star() -> None:
    assert any(check_character(f"ZRW{n:04d}") == "*" for n in range(1, 200))
