"""A move of the demo's engine block: worked out, accepted, ticked off; each tick a ledger event."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from shopbins.answer import Verdict
from shopbins.cli import main
from shopbins.demo import write_demo
from shopbins.desk import Desk, movewords
from shopbins.desk import moving as at_desk
from shopbins.desk.movewords import told
from shopbins.desk.problems import BadInput, NotDone
from shopbins.ledger.model import InGroup, InZone, Mass
from shopbins.moves.finding import row_of
from shopbins.moves.plan import Plan
from shopbins.moves.shiftlist import shifted_scene
from shopbins.records.group import DESCRIBE
from shopbins.records.moving import At, Moving, moving_of
from shopbins.reports.movesheet import answer_line, sheet_text, shift_words
from tests.moves.weir import tick

BLOCK, BED = "Engine block on its skid", "test bed"
STOOD: dict[str, object] = {}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with Desk.open(write_demo(tmp_path_factory.mktemp("moving")), by="rigger") as opened:
        yield opened


@pytest.fixture(scope="module")
def said() -> list[str]:
    return []


@pytest.fixture(scope="module")
def plan(desk: Desk, said: list[str]) -> Plan:
    return at_desk.plan_move(desk, desk.names.group(BLOCK).id, BED, at_most_s=300, say=said.append)


def test_while_it_is_worked_out_it_says_how_many_have_to_be_shifted(plan: Plan, said: list[str]) -> None:
    assert plan.shift
    assert any(
        re.fullmatch(
            r".*: (at least )?\d+ to shift(, \d+ would do|, or lighter ones| would do, perhaps fewer)?", s
        )
        for s in said
    )


def test_the_gear_that_does_not_go_says_why_and_the_one_that_does_is_chosen(plan: Plan) -> None:
    by = {each.gear: each for each in plan.tried}
    # Common practice, no source: 500 mm between the runners do not take 540 mm over the forks.
    assert by["pallet truck"].verdict is Verdict.NO
    assert "500 mm does not take pallet truck, 540 mm over its forks" in by["pallet truck"].reason
    assert plan.word == "goes only with" and plan.gear.gear.key == "narrow pallet truck"
    # Hung or on rollers on 1 in 25: never.
    assert {by[k].verdict for k in ("engine crane", "rollers and bar")} == {Verdict.NO}
    # What its handbook allows is not told: its way is not looked for, and that is said.
    assert by["skates"].answer == "not looked at further"
    assert by["skates"].reason.startswith("what slope does the handbook of skates allow?")
    assert "skates: its way, as figures lack (--gear tells)" in plan.not_looked


def test_one_part_comes_off_and_things_are_shifted(plan: Plan, desk: Desk) -> None:
    assert [part.name for part in plan.off_first] == ["Mounting beam"]
    assert plan.shift
    assert plan.route == ("gallery door",)
    assert plan.margin_mm is not None and plan.margin_mm > 2 * desk.shop.measured_mm
    weighed = sum(each.mass_kg or 0 for each in plan.shift)
    assert f"{weighed:.0f} kg in all" in shift_words(plan, desk.scene())


def test_the_way_begins_where_it_stands_and_ends_in_the_test_bed(plan: Plan, desk: Desk) -> None:
    import shapely

    from shopbins.geometry.shapes import placed

    start, end = plan.path[0], plan.path[-1]
    assert (start.x_mm, start.y_mm) == pytest.approx((4960, 2080))
    bed = shapely.Polygon(desk.shop.zones[BED].outline)
    assert bed.buffer(0.01).contains(shapely.Polygon(placed(plan.body.outline, end)))


def test_it_keeps_clear_of_everything_along_the_way(plan: Plan, desk: Desk) -> None:
    """Sampled with shapely: the hull of block and truck against walls, fixed things, and all as shifted."""
    import itertools

    import shapely

    from shopbins.geometry.shapes import Pose, placed

    assert plan.attempt is not None and plan.attempt.ground is not None and plan.attempt.shift is not None
    after = shifted_scene(desk.scene(), plan.shift)
    rooms = plan.attempt.route.rooms if plan.attempt.route else ()
    walls = shapely.union_all([shapely.Polygon(o) for o in plan.attempt.ground.outlines])
    bodies = [
        shapely.Polygon(b.outline)
        for room in rooms
        for b in after.standing(room)
        if b.key != plan.group and b.base_mm < (plan.gear.height_mm or 1e9 if plan.gear else 1e9)
    ]
    least = 1e9
    for a, b in itertools.pairwise(plan.path):
        for k in range(6):
            t = k / 5
            pose = Pose(
                a.x_mm + (b.x_mm - a.x_mm) * t,
                a.y_mm + (b.y_mm - a.y_mm) * t,
                a.turn_deg + (b.turn_deg - a.turn_deg) * t,
            )
            shape = shapely.Polygon(placed(plan.attempt.hull, pose))
            assert walls.buffer(1e-6).contains(shape)
            least = min(least, *(shape.distance(each) for each in bodies))
    assert plan.margin_mm is not None
    assert least >= plan.margin_mm * 0.98 - 0.5


def test_everything_is_a_part_of_the_answer(plan: Plan) -> None:
    assert not plan.stops and not plan.asks
    rules = {row_of(p).finding.rule: p for p in plan.conditions}
    line = rules[
        "runs-downhill"
    ]  # 1 in 25 and good wheels: 392 kg and 66 of the truck, nothing taken to hold it
    expected = (plan.body.load.mass_kg or 0) + 66
    assert row_of(line).finding.measured == pytest.approx(
        expected * 9.81 * math.sin(math.atan(1 / 25)), rel=1e-3
    )
    assert {"move-handle-uphill", "move-turns-on-slope", "move-lashing", "move-push"} <= set(rules)
    assert any("gallery" in p.text and "shut" in p.text for p in plan.conditions)
    text = " ".join(plan.cautions)
    assert "local rules and a competent rigger decide" in text and "handbook" in text
    said = f"{text} {' '.join(f.text + f.remedy for f in plan.findings)}".lower()
    assert "safe" not in said
    for part in plan.conditions:
        assert part.text in plan.headline and len(part.text.split()) <= 12


def test_handle_and_who_steers_are_never_below_it(plan: Plan) -> None:
    for leg in plan.legs:
        if leg.slope is None:
            continue
        for pose in leg.poses:
            handle = pose.turn_deg + plan.gear.axis_deg + 180.0
            assert abs((handle - leg.slope.towards_deg + 180) % 360 - 180) >= 45


def test_the_sheet_says_the_answer_and_has_a_box_for_every_step_and_condition(plan: Plan, desk: Desk) -> None:
    lines = sheet_text(desk.scene(), plan)
    text = "\n".join(lines)
    assert " ".join(answer_line(plan, 5.0).split()) in " ".join(text.split())
    from shopbins.moves.steps import steps_of

    assert "tonight: 430 kg without Mounting beam, 464 kg with it," in text
    assert text.count("[ ]") == len(steps_of(desk.scene(), plan)) + len(plan.conditions)
    assert max(map(len, lines)) <= 100


def test_json_is_as_the_contract_has_it(plan: Plan) -> None:
    data = plan.as_json()
    assert {
        "answer", "headline", "margin_mm", "conditions", "ask", "would_go", "route", "gear", "off_first",
        "shift", "tightest", "measure_again", "findings", "not_judged", "cautions",
    } <= set(data)  # fmt: skip
    assert data["off_first"] == [plan.off_first[0].code]
    assert set(data["tightest"]) == {"pose", "between"}
    assert set(data["shift"][0]) == {"code", "place", "pose", "mass_kg"}
    assert set(data["conditions"][0]) == {
        "id", "text", "measured", "limit", "unit", "source", "accepted"
    }  # fmt: skip


def test_ticked_off_one_by_one_the_ledger_follows_and_the_audit_is_clean(plan: Plan, desk: Desk) -> None:
    before = {f.id for f in desk.audit()}
    block = desk.names.group(BLOCK)
    STOOD.update({each.code: desk.names.group(each.code).where for each in plan.shift})
    at_desk.put_on_record(desk, plan)
    assert at_desk.planned(desk)[0][0] == block.id
    steps = at_desk.steps(desk, block.id)
    recorded = [s["what"] for s in steps if s["what"] != "do"]
    there = [*["shift"] * len(plan.shift), "take off", "move", "put back"]
    put_on = next(n for n, s in enumerate(steps) if s["what"] == "put back")
    back = [s for s in steps[put_on:] if s["what"] == "shift"]
    assert recorded == [*there, *["shift"] * len(back)]  # what narrowed a way where it stood stays
    assert back and all(" back" in s["title"] for s in back)
    titles = [s["title"] for s in steps]
    line = next(i for i, t in enumerate(titles) if "gallery ring" in t)
    lift = next(i for i, t in enumerate(titles) if "up to the heels" in t)
    assert len(plan.shift) <= line < lift < recorded.index("move") + line  # ready, then lifted, then moved
    off, chocked = titles.index(next(t for t in titles if t.startswith("take off"))), "chocked both ways at"
    assert off < next(i for i, t in enumerate(titles) if chocked in t) < lift  # common practice, no source
    assert not any(chocked in words for s in steps for words in s.get("keep", ()))
    with pytest.raises(NotDone, match="first: shift"):
        at_desk.tick(desk, block.id, 1)
    for n in range(len(steps)):
        needs = {each.id for each in at_desk.still_open(desk, block.id, n)}
        assert needs == {key for step in steps[: n + 1] for key in step.get("needs", ())}
    last = next(n for n, s in enumerate(steps) if s["what"] == "put back")
    for n in range(last):
        assert at_desk.next_step(desk, block.id) == n
        seq = desk.seq
        tick(desk, block.id, n)
        assert desk.seq > seq
    moved = desk.state.group(block.id)
    assert isinstance(moved.where, InZone) and moved.where.zone == BED
    assert moved.size is not None and moved.size.width_mm == 900
    for each in plan.shift:
        where = desk.names.group(each.code).where
        assert isinstance(where, InZone) and each.where is not None
        assert where == each.where._replace(measured=True)
    after = [f for f in desk.audit() if f.id not in before and f.grade != "note"]
    assert after == []
    mine = {f"group:{code}" for code in (block.code, *(s.code for s in plan.shift))}
    assert not [f for f in desk.audit() if f.grade != "note" and mine & set(f.subjects)]


def test_a_step_done_is_not_done_twice_and_the_part_goes_back_on(plan: Plan, desk: Desk) -> None:
    block = desk.names.group(BLOCK)
    with pytest.raises(NotDone, match="done already"):
        at_desk.tick(desk, block.id, 0)
    tick(desk, block.id, at_desk.next_step(desk, block.id) or 0)
    beam = desk.names.group("Mounting beam")
    assert beam.where == InGroup(block.id, "on")
    whole = desk.state.group(block.id)
    assert whole.size is not None and whole.size.width_mm == 1460
    assert whole.outline is not None and len(whole.outline) == 12
    desk.undo()  # the tick with the part
    assert desk.names.group("Mounting beam").where != InGroup(block.id, "on")
    tick(desk, block.id, at_desk.next_step(desk, block.id) or 0)
    for n in range(at_desk.next_step(desk, block.id) or 0, len(at_desk.steps(desk, block.id))):
        laid = tick(desk, block.id, n)
        assert laid is None or laid.done, [f.text for f in laid.findings]
    home = [each for each in plan.shift if desk.names.group(each.code).where == STOOD[each.code]]
    assert home
    at_desk.drop(desk, block.id)
    assert at_desk.planned(desk) == []
    assert plan.planned


# --- asking ------------------------------------------------------------------------------------------------


def test_what_makes_no_sense_is_one_clear_line(desk: Desk) -> None:
    block = desk.names.group(BLOCK).id
    with pytest.raises(BadInput, match="which level of rack b"):
        at_desk.plan_move(desk, block, "rack b")
    with pytest.raises(BadInput, match="no gear called 'crane'"):
        at_desk.plan_move(desk, block, BED, gear="crane")
    with pytest.raises(BadInput, match="not known"):
        at_desk.plan_move(desk, desk.names.group("Dipstick and tube").id, BED)


def test_in_no_time_nothing_is_decided(desk: Desk) -> None:
    block = desk.names.group(BLOCK).id
    plan = at_desk.plan_move(desk, block, "engine bay", gear="narrow pallet truck", at_most_s=0.0)
    assert plan.word == "not decided" and plan.answer.status == 1
    assert "time was up" in plan.headline or "decided in" in plan.headline


def test_a_machine_is_what_stands_for_it(desk: Desk) -> None:
    with pytest.raises(NotDone, match="machine=engine"):
        at_desk.resolve_thing(desk, "engine")
    block = desk.names.group(BLOCK)
    desk.do(DESCRIBE(block.id, moving=told(moving_of(block), ["machine=engine", "whole=about 1.6t"], str)))
    assert at_desk.resolve_thing(desk, "engine").id == block.id
    assert at_desk.resolve_thing(desk, BLOCK).id == block.id
    desk.undo()


# --- typed --------------------------------------------------------------------------------------------------


def test_what_people_type_is_taken_in() -> None:
    it = told(
        Moving(),
        [
            "opening=500mm", "under=110 +- 2 mm",
            "cg=20,0", "cg height=470", "foot=-700,300 100x80mm port aft",
            "foot=700,300", "pallet=EUR", "runners=no", "whole=about 1.6 t", "base=skid; 170mm; 48kg",
            "comes off=beam; 560,0 120x1460mm; 260 to 400mm; about 34kg; 25 min; tag beam 1",
            "alone=1440x680mm",
        ],
        lambda text: f"id of {text}",
    )  # fmt: skip
    assert it.opening_mm == 500 and it.under_mm == 110 and it.cg_mm == (20, 0)
    assert it.under_within_mm == 2 and it.opening_within_mm is None
    assert "under=110 mm +- 2 mm" in movewords.said(it)
    assert it.feet == (At(-700, 300, (100, 80), "port aft"), At(700, 300))
    assert it.pallet == "EUR" and it.flat_base is False
    assert it.whole == Mass(1600, True)
    assert it.base is not None and it.base.height_mm == 170 and it.base.mass == Mass(48)
    (part,) = it.comes_off
    assert part.group == "id of beam 1" and part.minutes == 25 and part.mass == Mass(34, True)
    assert (part.from_mm, part.to_mm) == (260, 400)
    assert part.outline == ((500, -730), (620, -730), (620, 730), (500, 730))
    again = told(it, ["foot=0,0", "opening=unknown", "comes off=none"], str)
    assert again.feet == (*it.feet, At(0, 0)) and again.opening_mm is None and again.comes_off == ()


@pytest.mark.parametrize(
    "text", ["opening", "width=3", "runners=perhaps", "comes off=beam", "base=skid", "outline=1x2x3mm"]
)
def test_what_cannot_be_read_is_said(text: str) -> None:
    with pytest.raises(BadInput):
        told(Moving(), [text], str)


def test_the_pdf_is_one_page_with_the_plan(plan: Plan, desk: Desk, tmp_path: Path) -> None:
    import pypdfium2

    at_desk.write_sheet(desk, plan, tmp_path / "sheet.pdf")
    with pypdfium2.PdfDocument(tmp_path / "sheet.pdf") as sheet:
        assert len(sheet) <= 3  # behind the first: why each condition is one, and what to watch
        text = " ".join(word for page in sheet for word in page.get_textpage().get_text_range().split())
    assert "Goes only with" in text and "1 : " in text and "take off Mounting beam" in text
    at_desk.write_sheet(desk, plan, tmp_path / "sheet.txt")
    assert "goes only with" in (tmp_path / "sheet.txt").read_text(encoding="utf-8")


def test_a_sheet_that_cannot_be_written_is_said_before_anything_is_worked_out_or_recorded(
    desk: Desk, tmp_path: Path
) -> None:
    with pytest.raises(BadInput, match=r"ends in \.pdf or \.txt"):
        at_desk.check_sheet(tmp_path / "sheet.png")
    journal = desk.shop_path.parent / "shop.ledger" / "journal.log"
    before = journal.read_bytes()
    command = ["move", "Engine block on its skid", "test bed", "--plan", "-o", str(tmp_path / "no" / "s.pdf")]
    assert main(["-s", str(desk.shop_path), *command]) == 74
    assert journal.read_bytes() == before
