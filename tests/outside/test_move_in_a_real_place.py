"""A move in a real place, by the command line only: a pallet from a 20 ft container into a double garage.

Where each dimension comes from stands in data/garage_yard.yaml. EUR pallet 1200 x 800 x 144 mm, UIC 435-2 and
EN 13698-1; that a truck 680 mm over its forks does not enter its 800 side was read on a maker's page.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

SHOP = Path(__file__).parent / "data" / "garage_yard.yaml"
Run = Callable[..., tuple[int, Any, str]]


def a_pallet(run: Run, height: str = "900mm") -> None:
    """A EUR pallet of 480 kg at the back of the container, along it."""
    assert run("take", "gearbox on its pallet", "--size", f"1200x800x{height}", "--mass", "480kg")[0] == 0
    place = ("put", "gearbox on its pallet", "back of the container", "--at", "1165,1500", "--turn", "90")
    assert run(*place)[0] == 0
    assert run("set", "gearbox on its pallet", "--moving", "pallet=EUR", "--moving", "cg=0,0",
               "--moving", "cg height=450mm")[0] == 0  # fmt: skip


def test_the_file_is_sound(run: Run) -> None:
    status, answer, _ = run("check", "shop.yaml")
    assert status == 0 and answer == []


def test_it_goes_by_both_doors_with_the_truck_that_enters(run: Run) -> None:
    a_pallet(run)
    status, answer, _ = run("move", "gearbox on its pallet", "garage bay")
    assert status == 1, answer["headline"]
    assert answer["answer"] == "goes only with" and answer["ask"] == []
    assert answer["route"] == ["container doors", "vehicle door"]
    assert answer["gear"] == "pallet truck"
    # 2286 mm clear for 800: nothing can leave more than half the difference on both sides.
    assert 10 <= answer["margin_mm"] <= (2286 - 800) / 2
    assert answer["off_first"] == [] and answer["shift"] == []
    said = " ".join(answer["cautions"])
    assert "a competent rigger decide" in said
    # What the yard bears is not told, only that nothing is hollow below: that is a condition.
    assert any("yard carries" in each["text"] for each in answer["conditions"])
    for each in answer["conditions"]:
        assert run("accept", each["id"], "looked at on the spot")[0] == 0
    status, again, _ = run("move", "gearbox on its pallet", "garage bay")
    assert status == 0 and again["yes"]
    assert {c["accepted"]["by"] for c in again["conditions"]} == {"tester"}


def test_a_truck_of_685_does_not_enter_the_800_side_and_the_other_is_not_tried_for_it(run: Run) -> None:
    a_pallet(run)
    _, answer, _ = run(
        "move", "gearbox on its pallet", "garage bay", "--gear", "wide pallet truck", "--turn", "0"
    )
    # By the 1200 side it would: astride the block of 145, each fork in its own 382.5.
    crossing = any("cross boards" in each for each in answer["cautions"])
    assert crossing or answer["answer"] == "does not go"


def test_what_is_higher_than_the_door_does_not_go_and_says_so(run: Run) -> None:
    a_pallet(run, "2150mm")
    status, answer, _ = run("move", "gearbox on its pallet", "garage bay", "--gear", "pallet truck")
    assert status == 1
    assert answer["answer"] == "does not go"
    assert any(
        f["rule"] == "move-height" and f["grade"] == "stop" and "2150" in f["text"] and "2100" in f["text"]
        for f in answer["findings"]
    ), answer


def test_lowered_it_goes_under_a_door_it_would_not_pass_raised(run: Run) -> None:
    a_pallet(run, "2050mm")  # raised by 100 mm it would be 2150
    status, answer, _ = run("move", "gearbox on its pallet", "garage bay", "--gear", "pallet truck")
    assert status == 1 and answer["answer"] == "goes only with"
    # 2100 - 2050 = 50, less 5 and 5 of measuring.
    assert any(
        "10 to 40 mm off the floor under vehicle door" in each["text"] for each in answer["conditions"]
    )


def test_a_drum_in_the_container_has_to_be_shifted(run: Run) -> None:
    """585 mm of drum (ISO 15750, from memory) in 2330 leave 1745 beside it: enough; two leave too little."""
    a_pallet(run)
    for n, at in enumerate(("700,900", "1700,900"), 1):
        assert run("take", f"drum {n}", "--size", "585x585x880mm", "--mass", "187kg")[0] == 0
        where = f"{7200 + int(at.split(',')[0])},{int(at.split(',')[1]) + 900}"
        assert run("put", f"drum {n}", "container", "--at", where, "--override", "for now")[0] == 0
    status, answer, _ = run("move", "gearbox on its pallet", "garage bay", "--gear", "pallet truck")
    assert status == 1 and answer["answer"] == "goes only with", answer
    said = [each["text"] for each in answer["conditions"]]  # 187 kg are beyond three people
    assert any("pallet truck shifts 2 things" in each for each in said), said
    assert 1 <= len(answer["shift"]) <= 2
    assert all(each["mass_kg"] == 187 for each in answer["shift"])
    assert {"code", "place", "pose", "mass_kg"} == set(answer["shift"][0])


def test_the_sheet_has_its_steps_on_two_pages(run: Run, tmp_path: Path) -> None:
    import pypdfium2

    a_pallet(run)
    assert run("move", "gearbox on its pallet", "garage bay", "-o", str(tmp_path / "sheet.pdf"))[0] == 1
    with pypdfium2.PdfDocument(tmp_path / "sheet.pdf") as sheet:
        assert len(sheet) <= 3
        text, second = (sheet[n].get_textpage().get_text_range() for n in (0, 1))
    assert "gearbox on its pallet" in text and "1 : " in text and "oes only with" in text
    assert "Steps, in this order" in text + second and "Conditions, and why" in text + second
