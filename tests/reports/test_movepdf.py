"""What the sheet for the floor says: the load, the gear, the tilt, each leg, the steps, who decides.

Items, weight, dimensions and centre of gravity, gear with its rated capacity, a sketch and the steps are what
DOE-STD-1090-96, 2.2 c asks of a lift's plan.
"""

from __future__ import annotations

import io
import re
from datetime import date
from pathlib import Path

import pdfplumber
import pypdfium2
import pytest

from shopbins.desk import Desk
from shopbins.ledger.model import Mass
from shopbins.moves.criteria import CRITERIA
from shopbins.moves.finding import row_of
from shopbins.moves.force import push, who_pushes
from shopbins.moves.plan import Plan
from shopbins.moves.stages import lines_on
from shopbins.moves.steps import situation, steps_of
from shopbins.reports import movepdf
from shopbins.reports.movepdf import _Line, _split, sheet_pdf
from shopbins.reports.movesheet import sheet_text
from tests.moves.test_covers import OPEN_PIT, SHEETS
from tests.moves.weir import FOUR, PLAIN, SKATES, TRUCK, B, move, of, shop, shop_text

RING = f"{B}, anchors: {{ring: {{at: [200, 2000], height: 300, load: 20 kN}}}}"
SLOPE = f"{B}, slope: {{fall: 1 in 15, towards: 0}}"
STEEP = {"narrow truck": TRUCK[:-1] + ", steepest: 1 in 12}"}
COVER = "fixtures: {duct: {room: b, at: [6000, 3600], size: [400, 300], height: 1, load: 700 kg}}"


def words(desk: Desk, plan: Plan) -> str:
    data = sheet_pdf(desk.scene(), plan, date(2026, 3, 1))
    with pypdfium2.PdfDocument(data) as sheet:
        assert len(sheet) <= 3
        return " ".join(w for page in sheet for w in page.get_textpage().get_text_range().split())


def test_the_sheet_has_what_a_plan_of_a_lift_has(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0", more=COVER), mass=Mass(1200, True))
    plan = move(desk)
    said = words(desk, plan)
    for text in (
        "press (",
        "900 kg to 1.5 t",  # a guessed mass, a quarter either way
        "1000 mm by 700 mm",
        "centre of gravity 500 mm from its left and 350 mm from its lower face, 700 mm up",
        "plate 2.3 t, 52% of it used",
        "deg of tilt left",
        "seen from the handle",
        "duct, 700 kg",
        "who steers",
        "mid, 2200 high",
        "out, way out",  # not on its way, and a gap in the wall for all that
        "else statics and geometry",
        "Planned by",
        "Nobody under it",
        "One person commands; anybody stops it",
        "a competent rigger decide",
        "2026-03-01",
    ):
        assert text in said, text
    assert "safe" not in said.lower()


@pytest.mark.parametrize("sloping", [False, True])
def test_headline_condition_sheet_and_json_say_the_same_figure(tmp_path: Path, sloping: bool) -> None:
    text = shop_text(mid="height: 2.2 m, threshold: 0", more=COVER)
    if sloping:
        text = shop_text(a=RING, b=SLOPE, mid="height: 2.2 m, threshold: 0", gear=STEEP)
    desk = shop(tmp_path, text, PLAIN)
    plan = move(desk)
    sheet, data = words(desk, plan), plan.as_json()
    texts = {f["text"] for f in data["findings"]}
    for part in plan.conditions:
        assert part.text in plan.headline
        assert " ".join(part.text.split()) in sheet
        assert row_of(part).finding.text in texts
        assert " ".join(row_of(part).finding.text.split()) in sheet  # why it is one
    for each in plan.cautions[:-1]:  # the last: all sources; on paper those published
        assert " ".join(each.split()) in sheet
    marks = {check.key: check.mark for each in CRITERIA for check in each.checks}
    published = {f.source for p in plan.answer.parts if marks[(f := row_of(p).finding).rule] == "published"}
    assert published and all(each in sheet for each in published)
    assert all(some in plan.cautions[-1] for each in published for some in each.split("; "))
    (tips,) = of(plan, "move-tips")[:1]
    assert row_of(tips).finding.text in sheet
    assert len(plan.conditions) >= 1


def test_what_forbids_and_what_is_asked_stands_there_once(tmp_path: Path) -> None:
    """What is said once leaves room for figures: no brake and no line on 1 in 15, then no `steepest` told."""
    anchored = {"a": RING, "b": SLOPE, "mid": "height: 2.2 m, threshold: 0"}
    for n, text in enumerate((shop_text(b=SLOPE), shop_text(**anchored))):
        (tmp_path / str(n)).mkdir()
        desk = shop(tmp_path / str(n), text, PLAIN)
        plan = move(desk)
        said = words(desk, plan)
        found = [row_of(p).finding.text for p in plan.stops] or [p.text for p in plan.asks[:3]]
        assert found and bool(plan.stops) == (n == 0)
        assert [said.count(" ".join(each.split())) for each in found] == [1] * len(found)


def test_who_pushes_is_no_surer_than_it_was_judged(tmp_path: Path) -> None:
    """1270 kg: 249 N on 2 %, 1.25 kN on 10 % (HSE L23), 100 N kept up by one: 3 men or 13."""
    found = push(1270.0)
    assert who_pushes(found, None).startswith(
        "3 men by the guideline on a good floor, 13 on an uneven one; no figure"
    )
    assert "uneven" not in who_pushes(push(1270.0, rolling=(0.02, 0.02)), True)
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0"), mass=Mass(300))
    said = words(desk, move(desk))
    assert "1 man by the guideline on a good floor, 4 on an uneven one; no figure for starting" in said
    assert "one person" not in said.lower().replace("one person commands", "")


def test_the_points_that_steps_name_are_on_the_plan_by_letter_and_said_from_jambs_and_corners(
    tmp_path: Path,
) -> None:
    """A door of 1150 mm with its jambs at 1500 and 2650; from the one at 1400 of the far wall 600 to 2000."""
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0"), mass=Mass(2200))
    plan = move(desk)
    named = [tuple(spot) for step in steps_of(desk.scene(), plan) for spot in step.get("spots", ())]
    said = words(desk, plan)
    assert named and "point near 10400,2000 (on the plan: A)" in said
    assert "A 10400,2000, at the wall, 600 mm from the upper jamb of out" in said
    for x, y in named:
        assert len(re.findall(rf"\b[A-Z] {round(x)},{round(y)}, ", said)) == 1  # each once below the plan


def test_where_it_is_set_down_is_told_on_paper_in_the_text_and_as_data(tmp_path: Path) -> None:
    """The spot is also where the kept step records it: counted in far, which begins at 7000,600."""
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0"))
    plan = move(desk)
    spot = plan.goal
    assert spot is not None
    at = f"its middle at {spot.x_mm:.0f},{spot.y_mm:.0f}, turned {spot.turn_deg:.0f} deg"
    (step,) = (s for s in steps_of(desk.scene(), plan) if s["what"] == "move")
    assert step["title"].endswith(f"to far, {at}")
    assert f"to     {at}" in sheet_text(desk.scene(), plan)
    assert plan.as_json()["set_down"] == step["pose"]
    assert step["pose"]["x_mm"] - 7000 == pytest.approx(step["to"]["x_mm"], abs=0.1)
    assert step["pose"]["y_mm"] - 600 == pytest.approx(step["to"]["y_mm"], abs=0.1)
    said = words(desk, plan)
    (letter,) = set(re.findall(rf"turned {spot.turn_deg:.0f} deg \(on the plan: ([A-Z])\)", said))
    assert re.search(
        rf"\b{letter} {spot.x_mm:.0f},{spot.y_mm:.0f}, \d+ mm from the \w+.*?, \d+ mm from the ", said
    )


def test_many_points_run_on_to_the_next_page_and_an_open_pit_gone_over_is_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gear = {"skates": SKATES, "sheet": f"{SHEETS}2 t}}"}
    desk = shop(
        tmp_path, shop_text(gear=gear, mid="height: 2.2 m, threshold: 0", more=OPEN_PIT), (*PLAIN, *FOUR)
    )
    plan = move(desk)
    assert "pit, open" in words(desk, plan)
    letters = {(100.0 * n, 1000.0): letter for n, letter in enumerate("ABCDEFGHIJKLMNOPQRSTUVWXYZ")}
    assert plan.goal is not None
    letters[round(plan.goal.x_mm), round(plan.goal.y_mm)] = "A1"
    monkeypatch.setattr(movepdf, "_spots", lambda plan, steps: letters)
    seen = []
    with pdfplumber.open(io.BytesIO(sheet_pdf(desk.scene(), plan, date(2026, 3, 1)))) as sheet:
        for page in sheet.pages:
            lines = page.extract_text_lines()
            foot = next(line["top"] for line in lines if line["text"].startswith("Worked out from"))
            body = [line for line in lines if line["top"] < foot]
            assert len(lines) - len(body) == 3 and max(line["bottom"] for line in body) <= foot
            seen += [line["text"][0] for line in body if re.match(r"[A-Z] +\d+,1000", line["text"])]
    assert "".join(seen) == "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def test_a_line_is_drawn_to_its_ring_from_where_it_holds_it(tmp_path: Path) -> None:
    text = shop_text(a=RING, b=SLOPE, mid="height: 2.2 m, threshold: 0", gear=STEEP)
    desk = shop(tmp_path, text, PLAIN)
    plan = move(desk)
    it = situation(desk.scene(), plan)
    assert it is not None
    ((line, legs),) = [each for each in lines_on(it) if each[1][0].slope is not None]
    assert line.named == "ring" and {leg.room.key for leg in legs} == {"b"}
    with pdfplumber.open(io.BytesIO(sheet_pdf(desk.scene(), plan, date(2026, 3, 1)))) as sheet:
        drawn = [each for each in sheet.pages[0].lines if len((each["dash"] or ((),))[0]) == 4]
    assert len(drawn) == 2  # to where it first and where it last holds it


def test_each_condition_stands_under_the_step_before_which_it_is_accepted(tmp_path: Path) -> None:
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0"), mass=Mass(2200))
    plan = move(desk)
    steps, said = steps_of(desk.scene(), plan), words(desk, plan)
    under = said.partition("Conditions, and why")[2].partition(" Watch ")[0]
    due = [(n, key) for n, step in enumerate(steps, 1) for key in step.get("needs", ())]
    texts = {row_of(p).finding.id: p.text for p in plan.conditions}
    at = [under.find(f" {n} {texts[key]}: ") for n, key in due]
    assert len({n for n, _ in due}) > 1 and len(due) == len(texts)
    assert -1 not in at
    assert [n for _, (n, _) in sorted(zip(at, due, strict=True))] == [n for n, _ in due]


def test_a_step_and_what_is_kept_meanwhile_stay_on_one_page() -> None:
    """Four lines of 1.32 mm in a height for three: the step goes over with what is kept."""
    lines = [_Line("first"), _Line("step", box=True), _Line("keep: a", indent=True), _Line("b", indent=True)]
    here, left = _split(lines, 3 * 1.32, 1.0)
    assert (here, left) == (lines[:1], lines[1:])
    assert _split(lines, 4 * 1.32, 1.0) == (lines, [])


def test_a_name_with_no_room_on_the_plan_is_whole_below_it_and_other_gear_has_its_reason(
    tmp_path: Path,
) -> None:
    """A column of 100 mm is some 2 mm wide on the page: a letter stands on it, its name under the plan."""
    column = "fixtures: {pillar of the crane: {room: b, at: [6000, 3700], size: [100, 100], height: 2000}}"
    weak = {**STEEP, "weak truck": TRUCK.replace("2.3 t", "100 kg")}
    desk = shop(tmp_path, shop_text(mid="height: 2.2 m, threshold: 0", more=column, gear=weak), PLAIN)
    plan = move(desk)
    said = words(desk, plan)
    assert "On the plan: a pillar of the crane" in said
    others = [each for each in plan.tried if each.name != plan.gear.gear.name]
    assert others and all(f"{each.name}: {each.answer}" in said.partition("Other gear")[2] for each in others)
