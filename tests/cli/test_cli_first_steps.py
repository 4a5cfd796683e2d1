"""What a part caution asks for is said first: before the act, every time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from shopbins.ledger.model import Group
from shopbins.rules.partcautions import FIRST, first_steps, lines_before
from shopbins.shop.model import Shop

Run = Callable[..., Any]
STEPS = ("no air line", "HEPA")  # 29 CFR 1910.1001 App. F; HSE garage page: never an air line, in all cases


def test_before_it_is_taken_put_worked_on_fitted_and_taken_off_again(run: Run) -> None:
    taken = run("take", "Lining", "--caution", "brake dust", "--origin", "truck > axle")
    assert taken.status == 0 and all(word in taken.err for word in STEPS)
    code = taken.out.split()[0]
    for act in (
        ("put", code, "bench"), ("work", code, "--list", "clean"), ("work", code, "--done", "clean"),
        ("away", code, "the relining shop", "--until", "2099-01-01"), ("back", code),
        ("fit", code), ("off", code),
    ):  # fmt: skip
        said = run(*act)
        assert said.status == 0, said.err
        assert all(word in said.out + said.err for word in STEPS), act


def test_reach_says_it_before_the_act(run: Run) -> None:
    # 29 CFR 1910.1001 App. F and the HSE garage page: no air line, wet or enclosed vacuum
    run("take", "cover", "--origin", "press > top", "--caution", "brake dust")
    run("take", "Lining", "--origin", "press > brake", "--caution", "asbestos")
    run("before", "cover", "Lining")
    out = run("reach", "Lining").out
    assert all(word in out for word in STEPS)
    assert out.index("first, brake dust") < out.index("first, asbestos")


def test_a_refused_act_has_said_it_too(run: Run) -> None:
    code = run("take", "Lining", "--caution", "asbestos", "--mass", "400kg").out.split()[0]
    refused = run("put", code, "rack/1")
    assert refused.status == 1 and all(word in refused.err for word in STEPS)


@pytest.mark.parametrize(("caution", "found"), [("mercury", 1), ("mercury-free", 0), ("sharp", 0)])
def test_mercury_by_caution_with_negation(caution: str, found: int) -> None:
    steps = first_steps((caution,))
    assert len(steps) == found
    if found:
        assert "upright" in steps[0].text and "never a vacuum cleaner" in steps[0].text


def test_a_name_alone_decides_nothing() -> None:
    assert lines_before(Group("1", "X", "switch, mercury")) == []


def test_the_year_and_the_set() -> None:
    uk = Shop(name="s", prefix="S", rooms={}, rules="uk")
    assert "presume" in first_steps(("asbestos",), None, uk)[0].text  # made before 2000: presume
    assert "presume" not in first_steps(("asbestos",), 2001, uk)[0].text
    for made, presumed in ((1999, True), (2000, False), ("1999", True), (None, True)):
        lining = Group(
            "1", "X", "lining", cautions=("asbestos",), details={} if made is None else {"made": made}
        )
        assert ("presume" in lines_before(lining, uk)[0]) is presumed, made
        assert "presume" not in lines_before(lining)[0]
    assert "2 Jul 1979" in first_steps(("PCB",))[0].text  # 40 CFR 761.2(a)(4)
    assert "1987" in first_steps(("PCB",), None, uk)[0].text


def test_every_word_ends_with_whom_to_ask() -> None:
    for word in FIRST:
        lines = lines_before(Group("1", "X", "part", cautions=(word,)))
        assert lines[-1].startswith("Ask the owner or a licensed person"), word
