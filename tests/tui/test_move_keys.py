"""Every key of the Move: asked in three keys, worked out in a process of its own, played, ticked off."""

from __future__ import annotations

import asyncio
import shutil
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import ClassVar

import pytest
from textual.widgets import Static

from shopbins.desk import Desk, moveworker, moving
from shopbins.desk.movewords import told
from shopbins.ledger.model import InZone, Mass, Size
from shopbins.moves.finding import row_of
from shopbins.moves.restson import asked_anew
from shopbins.records.accepted import TAKE_BACK
from shopbins.records.group import CHANGE, DESCRIBE
from shopbins.records.moving import Moving, moving_of
from shopbins.reports.movepdf import _why_and_watch
from shopbins.reports.movesheet import sheet_text
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.pick import Pick
from shopbins.tui.move.progress import frames_of
from shopbins.tui.move.rows import rows_of, told_in_full

from .conftest import Bench

GEAR = """
gear:
  wide truck: {kind: pallet truck, over forks: 680, between forks: 360, fork length: 1000,
               lowered: 85, raised: 200, body: 300, capacity: 1 t, mass: 70 kg, turning radius: 1100,
               wheel: 80, clearance: 30}
  dolly: {kind: trolley, size: [1000, 700], height: 150, capacity: 600 kg, mass: 20 kg, steering: on the spot,
          wheel: 100, trail: 30, wheel places: [[430, 280], [430, -280], [-430, 280], [-430, -280]]}
"""


@pytest.fixture(scope="module")
def yard_kept(tmp_path_factory: pytest.TempPathFactory, quay):
    """The small shop with gear, a lathe head in the hall and a crate before the inner door; made once."""
    made = Bench(tmp_path_factory.mktemp("yard"), quay)
    made.desk.close()
    text = made.path.read_text(encoding="utf-8")
    text = text.replace("    headroom: 2.6 m", "    headroom: 2.6 m\n    void: no", 1)
    text = text.replace("floor load: 10 kN/m2}", "floor load: 10 kN/m2, void: no}", 1)
    made.path.write_text(text + GEAR, encoding="utf-8")
    with Desk.open(made.path, by="Ida") as desk:
        lump = desk.take("lathe bed", size=Size(900, 700, 600), mass=Mass(300)).id
        crate = desk.take("crate of bolts", size=Size(700, 700, 500), mass=Mass(45)).id
        desk.put(lump, "hall", x_mm=5600, y_mm=1000)
        desk.put(crate, "hall", x_mm=7000, y_mm=2500, override="for now")
        known = ["opening=500", "under=110", "cg=0,0", "cg height=250", "runners=700mm"]
        desk.do(DESCRIBE(lump, moving=told(Moving(), known, str)))
    return made.path.parent, {**made.ids, "lump": lump, "crate": crate}


@pytest.fixture
def yard(bench, yard_kept):
    """A copy of that shop, with the same ids, to work in."""
    kept, ids = yard_kept
    bench.desk.close()
    shutil.rmtree(bench.desk.ledger.folder)
    shutil.copytree(kept, bench.path.parent, dirs_exist_ok=True)
    bench.desk = Desk.open(bench.path, by="Ida")
    bench.desk.remarks()
    bench.ids = dict(ids)
    return bench


class InHere(moveworker.Asked):
    """A question worked out in the tests' own process, which has loaded what it takes; of the same shop and
    ledger once.
    """

    said: ClassVar[dict[object, bytes]] = {}

    def __init__(self, question: moveworker.Question, waiting: object) -> None:
        self.question = question
        self.stopped = False

    def answer(self, say, first=lambda _plan: None):
        journal = [p.read_bytes() for p in sorted(Path(self.question.ledger).rglob("journal.log"))]
        assert journal
        key = replace(self.question, shop="", ledger=""), Path(self.question.shop).read_bytes(), *journal
        if key not in self.said:
            out = BytesIO()
            moveworker.work(self.question, out)
            self.said[key] = out.getvalue()
        self._process = SimpleNamespace(stdout=BytesIO(self.said[key]), wait=lambda: 0)
        return super().answer(say, first)

    def stop(self) -> None:
        self.stopped = True


@pytest.fixture
def own_process() -> None:
    """Have the question worked out as it is for people: in a process of its own that was started ahead."""


@pytest.fixture(autouse=True)
def asked_once(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    if "own_process" not in request.fixturenames:
        waiting = SimpleNamespace(poll=lambda: None, kill=lambda: None, communicate=lambda: None)
        monkeypatch.setattr(moveworker, "started", lambda *_words: waiting)
        monkeypatch.setattr(moveworker, "Asked", InHere)


@pytest.fixture
async def move(yard, opened):
    async with opened(yard, "4") as pilot:
        yield pilot


async def asked(pilot) -> None:
    """Say what is to be moved and where to, and wait for the answer."""
    await pilot.press("c")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Pick)
    await pilot.press(*"lathe", "enter")
    await pilot.pause()
    await pilot.press("g")
    await pilot.pause()
    await pilot.press(*"store", "enter")
    await worked_out(pilot)


def to_steps(screen) -> None:
    """Put the cursor on the first step."""
    screen.lines.cursor = next(i for i, row in enumerate(screen._rows) if row.mark.strip() == "·")


def to_the_question(screen) -> None:
    """Put the cursor on the form's last row: does it go?"""
    screen.state_changed()
    screen.lines.cursor = len(screen._rows) - 1


async def worked_out(pilot) -> None:
    await pilot.pause()
    for _ in range(1200):
        if pilot.app.screen.plan is not None and not pilot.app.screen._busy:
            break
        await asyncio.sleep(0.05)
    await pilot.settled()


async def test_before_anything_is_asked_it_says_which_keys_to_begin_with(move, frame):
    shown = frame(move.app)
    assert "[4 Move]" in shown and "w" in shown and "g" in shown
    await move.press("enter")
    await move.pause()
    assert isinstance(move.app.screen, Pick)  # the first row asks what is to be moved


async def test_asked_by_the_form_enter_gives_each_row_its_list(move):
    screen = move.app.screen
    assert [row.asks for row in screen._rows] == ["thing", "goal", "gear", "turn", "bare", "base"]
    await move.press("enter")
    await move.pause()
    assert isinstance(move.app.screen, Pick)
    await move.press(*"lathe", "enter")
    await move.pause()
    assert screen.lines.cursor == 1  # on to where to
    await move.press("enter")
    await move.pause()
    assert isinstance(move.app.screen, Pick)
    await move.press(*"store", "enter")
    await worked_out(move)
    assert screen.plan is not None and screen.plan.gear.gear.key == "dolly"


async def test_two_keys_and_the_answer_is_there_with_its_margin(move, frame):
    await asked(move)
    plan = move.app.screen.plan
    assert plan is not None and plan.word == "goes only with", plan.headline
    assert plan.gear.gear.key == "dolly" and plan.route == ("inner door",)
    assert [s.name for s in plan.shift] == ["crate of bolts"]
    shown = frame(move.app)
    assert "goes only with" in shown
    rows = {(row.mark.strip(), row.text) for row in move.app.screen._rows}
    assert ("✗", "wide truck · does not go") in rows  # 680 mm over the forks, 500 clear
    assert "1 shift crate of bolts (45 kg)" in shown


async def test_the_way_is_played_forward_and_back(move):
    await asked(move)
    screen = move.app.screen
    start = screen.way.carried.at
    await move.press("right", "right")
    assert screen.way.carried.at != start
    await move.press("left", "left")
    assert screen.way.carried.at == start
    await move.press(*["shift+right"] * 30)
    end = screen.plan.path[-1]
    assert screen.way.carried.at == pytest.approx((end.x_mm, end.y_mm))
    assert "100% of the way" in screen.head_note()
    await move.press(*["shift+left"] * 30)
    assert screen.way.carried.at == start


async def test_x_shows_the_tightest_pose_and_what_is_nearest(move, said):
    await asked(move)
    screen = move.app.screen
    await move.press("n")
    await move.pause()
    tight = screen.plan.tightest
    assert screen.way.carried.at == pytest.approx((tight.x_mm, tight.y_mm))
    assert screen.way.marks[0][0] == screen.plan.attempt.found.points[1]
    assert screen.plan.between[1] in said(move.app)


async def ticked(move, group: str, n: int) -> None:
    """Tick a step off: each condition due by it is named, and accepted first, what goes together at once."""
    desk = move.bench.desk
    left, due = len(moving.still_open(desk, group, n)), moving.due_together(desk, group, n)
    assert sum(len(every) for _, every in due) == left
    await move.press("space")
    await move.pause()
    for said, every in due:
        assert move.app.screen._title.startswith(f"Accept first ({left} due by this step): {said}.")
        left -= len(every)
        assert not moving.steps(desk, group)[n].get("done")
        await move.press(*"seen", "enter")
        await move.settled()
    assert moving.steps(desk, group)[n].get("done")


async def test_accepted_steps_are_ticked_off_and_the_ledger_and_the_audit_follow(move, said):
    await asked(move)
    screen, desk, ids = move.app.screen, move.bench.desk, move.bench.ids
    before = {f.id for f in desk.audit()}
    to_steps(screen)
    await move.press("a", "plus")
    await move.settled()
    steps = moving.steps(desk, ids["lump"])
    assert [s["what"] for s in steps if s["what"] != "do"] == ["shift", "move"]
    await ticked(move, ids["lump"], 0)
    where = desk.state.group(ids["crate"]).where
    assert isinstance(where, InZone) and where == screen.plan.shift[0].where
    assert "done: shift crate of bolts" in said(move.app)
    for n in range(1, len(steps)):
        await ticked(move, ids["lump"], n)
    assert desk.state.group(ids["lump"]).where.zone == "store"
    await move.press("space")
    assert "every step is done" in said(move.app)
    # 'loose' counts what lies untagged in a zone, and two untagged things are now in others.
    after = [f for f in desk.audit() if f.id not in before and f.grade != "note" and f.rule != "loose"]
    assert after == []
    await move.press("a", "minus")
    await move.settled()
    assert moving.planned(desk) == []


async def test_conditions_are_accepted_with_a_reason_and_nothing_that_forbids(move, said):
    await asked(move)
    screen, desk = move.app.screen, move.bench.desk
    lines, left = screen.plan.to_accept, len(screen.plan.conditions)
    assert len(lines) < left == sum(len(line.parts) for line in lines)
    for done, line in enumerate(lines):
        rows = [i for i, row in enumerate(screen._rows) if row.open_parts]
        assert len(rows) == len(lines) - done
        assert sum(len(screen._rows[i].open_parts) for i in rows) == left
        left -= len(line.parts)
        screen.lines.cursor = rows[0]
        await move.press("a", "a")
        await move.pause()
        await move.press(*"seen", "enter")
        await move.settled()
    assert screen.plan.answer.status == 0
    assert all(p.accepted.by == "Ida" and p.accepted.why == "seen" for p in screen.plan.conditions)
    assert "worked out before" not in screen._answer_words()
    await move.press("a", "g", "2")
    await worked_out(move)
    screen.lines.cursor = next(i for i, row in enumerate(screen._rows) if row.part in screen.plan.stops)
    seq = desk.seq
    await move.press("a", "a")
    await move.settled()
    assert desk.seq == seq
    assert "nobody may accept" in str(move.app.screen.query_one(".hint").render())


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_condition_is_read_in_full_and_the_reason_just_given_accepts_it_with_one_key(
    yard, opened, frame, size
):
    async with opened(yard, "4", size=size) as move:
        await accept_all(move, frame, size)


def open_ones(screen) -> int:
    """How many conditions nobody has accepted, a row each."""
    return len([row for row in screen._rows if row.part is not None and row.open_parts])


async def unfolded(move):
    """Show each condition on a row of its own: enter on each line of several."""
    screen = move.app.screen
    for n in range(len(screen.plan.to_accept)):
        lines = [i for i, row in enumerate(screen._rows) if row.line is not None]
        if n < len(lines):
            screen.lines.cursor = lines[n]
            await move.press("enter")
            await move.settled()


async def accept_all(move, frame, size):
    """Accept each condition of the move, the first with a reason, the others for the same."""
    await asked(move)
    screen = move.app.screen
    first = next(i for i, row in enumerate(screen._rows) if row.open_parts)
    screen.lines.cursor = first - 1  # the line above them: a a goes to the first, which is named
    await move.press("a", "a")
    await move.pause()
    line = screen._rows[first].line
    assert move.app.screen._title.startswith(
        f"Accept: {line.called}, {len(line.parts)} together: {line.words}."
    )
    await move.press("escape")
    await move.settled()
    await unfolded(move)
    rows = [i for i, row in enumerate(screen._rows) if row.part is not None and row.open_parts]
    assert len(rows) == len(screen.plan.conditions)
    screen.lines.cursor = rows[0]
    await move.press("a", "a")
    await move.pause()
    assert move.app.screen._title.startswith(f"Accept: {told_in_full(screen._rows[rows[0]].part)}")
    await move.press("escape")
    await move.settled()
    assert screen.lines.cursor == rows[0]
    await move.press("full_stop")  # no reason was given yet
    assert open_ones(screen) == len(rows)
    await move.press("a", "a")
    await move.pause()
    await move.press(*"orders of the day", "enter")
    await move.settled()
    rule, alike = row_of(screen._rows[rows[0]].part).finding.rule, 0
    for left in range(len(rows) - 1, 0, -1):
        if screen._row().line is not None:  # of the next line, each by itself
            await move.press("down")
            await move.settled()
        row = screen._row()
        before, rule = rule, row_of(row.part).finding.rule
        assert open_ones(screen) == left
        assert row.open_parts == (row.part,)
        if size == (80, 24):  # list and text stand under each other
            assert "".join(row_of(row.part).finding.text.split()) in "".join(frame(move.app).split())
        await move.press("full_stop")
        await move.settled()
        alike += rule == before
        if rule != before:  # of another kind: shown in full, and asked
            asks = move.app.screen
            assert asks._title.startswith(f"Accept: {told_in_full(row.part)}")
            assert open_ones(screen) == left
            await move.press(*"orders of the day", "enter")
            await move.settled()
    assert alike and screen.plan.answer.status == 0
    assert {p.accepted.why for p in screen.plan.conditions} == {"orders of the day"}
    assert f"goes only with {len(rows)} conditions, accepted" in screen._answer_words()
    assert screen.plan.headline.startswith("lathe bed goes only with, accepted: ")
    assert screen.plan.as_json()["answer"] == "goes only with"


async def test_a_figure_asked_for_is_typed_in_right_there(move):
    desk, lump = move.bench.desk, move.bench.ids["lump"]
    desk.do(DESCRIBE(lump, moving=told(moving_of(desk.state.group(lump)), ["cg=unknown"], str)))
    desk.do(CHANGE(lump, mass=None))
    move.app.changed()
    await asked(move)
    screen = move.app.screen
    assert screen.plan.word == "not decided"
    screen.lines.cursor = next(i for i, row in enumerate(screen._rows) if row.part in screen.plan.asks)
    await move.press("enter")
    await move.pause()
    await move.press(*"310 kg", "enter")
    await worked_out(move)
    assert desk.state.group(lump).mass.kg == 310
    assert not any(row_of(p).finding.rule == "move-mass" for p in screen.plan.asks)


async def test_one_undo_opens_a_step_again_and_takes_back_what_it_recorded(move):
    await asked(move)
    desk, ids = move.bench.desk, move.bench.ids
    stood = desk.state.group(ids["crate"]).where
    to_steps(move.app.screen)
    await move.press("a", "plus")
    await move.settled()
    await move.press("space")
    await move.pause()
    await move.press(*"seen", "enter")
    await move.settled()
    assert moving.steps(desk, ids["lump"])[0].get("done") and desk.state.group(ids["crate"]).where != stood
    await move.press("u")
    await move.settled()
    assert not moving.steps(desk, ids["lump"])[0].get("done")
    assert desk.state.group(ids["crate"]).where == stood


async def test_a_tick_is_refused_once_what_the_plan_rests_on_is_another_until_it_is_planned_anew(move, said):
    await asked(move)
    screen, desk, lump = move.app.screen, move.bench.desk, move.bench.ids["lump"]
    to_steps(screen)
    await move.press("a", "plus")
    await move.settled()
    assert "of before" not in screen._answer_words()
    desk.do(CHANGE(lump, mass=Mass(320)))
    move.app.changed()
    await move.settled()
    assert "of before lathe bed: mass 300 kg, now 320 kg: enter works it out anew" in screen._answer_words()
    seq = desk.seq
    await move.press("space")
    await move.settled()
    assert desk.seq == seq and "changed since it was planned: lathe bed: mass 300 kg" in said(move.app)
    screen.lines.cursor = 0
    await move.press("enter")
    await worked_out(move)
    assert "a + plans it as below" in screen._answer_words()
    to_steps(screen)
    await move.press("a", "plus")
    await move.settled()
    assert moving.changed(desk, lump) == [] and moving.steps(desk, lump)
    assert "changed" not in screen._answer_words()


async def test_a_condition_asked_anew_says_what_is_another_since_it_was_accepted(move, frame):
    await asked(move)
    screen, desk, lump = move.app.screen, move.bench.desk, move.bench.ids["lump"]
    await unfolded(move)
    part = next(p for p in screen.plan.conditions if row_of(p).rests)
    screen.lines.cursor = next(n for n, row in enumerate(screen._rows) if row.part is part)
    await move.press("a", "a")
    await move.pause()
    await move.press(*"seen", "enter")
    await move.settled()
    desk.do(CHANGE(lump, mass=Mass(320)))
    move.app.changed()
    await move.settled()
    screen.lines.cursor = 0
    await move.press("enter")
    await worked_out(move)
    said = [row.text for row in screen._rows if row.part and row.open_parts and "asked anew" in row.text]
    assert len(said) == 1
    folded = [row.text for row in rows_of(desk, None, screen.plan) if "asked anew" in row.text]
    assert len(folded) == 1
    assert (
        "accepted by Ida (seen) on " in said[0] and "since then lathe bed: mass 300 kg, now 320 kg" in said[0]
    )
    sheet = " ".join(" ".join(sheet_text(desk.scene(), screen.plan)).split())
    assert "asked anew: accepted by Ida (seen)" in sheet and "mass 300 kg, now 320 kg" in sheet
    plan = screen.plan
    answer = plan.as_json(lambda row: asked_anew(desk.state, row, plan.name))
    (anew,) = [each["asked_anew"] for each in answer["conditions"] if "asked_anew" in each]
    paper = [line.text for line in _why_and_watch(plan, desk.state, [], {})]
    assert anew in said[0] and anew in paper


async def test_what_is_accepted_in_another_terminal_is_accepted_on_the_open_screen_too(move):
    await asked(move)
    screen, desk = move.app.screen, move.bench.desk
    await unfolded(move)
    row = row_of(screen.plan.conditions[0])
    acts = {
        "[x]": lambda: desk.accept(moving.condition(row), "seen"),
        "[ ]": lambda: desk.do(TAKE_BACK(row.finding.id)),
    }
    for mark, act in acts.items():
        act()
        move.app.changed()  # as where the journal is read again
        await move.settled()
        (shown,) = (r for r in screen._rows if r.part is not None and r.part is screen.plan.conditions[0])
        assert shown.mark == mark and "asked anew" not in shown.text


async def test_a_planned_move_is_there_after_opening_again(move, settled):
    await asked(move)
    to_steps(move.app.screen)
    await move.press("a", "plus")
    await move.settled()
    move.bench.desk.do(CHANGE(move.bench.ids["lump"], mass=Mass(320)))
    again = move.bench.app()
    async with again.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("4")
        await settled(pilot)
        assert again.screen.asking.group == move.bench.ids["lump"]
        assert any(row.step == 0 for row in again.screen._rows)
        assert again.screen.asking.zone == "store"  # enter asks it anew
        assert "mass 300 kg, now 320 kg: enter asks it anew" in again.screen._answer_words()


async def test_gear_by_key_and_on_a_row(move):
    await asked(move)
    screen = move.app.screen
    await move.press("a", "g")
    await move.pause()
    await move.press("2")
    await worked_out(move)
    assert screen.asking.gear == "wide truck" and screen.plan.word == "does not go"
    assert "680" in screen.plan.headline
    await move.press("a", "g", "1")
    await worked_out(move)
    row = next(i for i, row in enumerate(screen._rows) if row.gear == "dolly")
    screen.lines.cursor = row
    await move.press("enter")
    await worked_out(move)
    assert screen.asking.gear == "dolly" and screen.plan.planned


async def test_gear_and_goal_that_leave_the_shop_file_are_asked_for_again(move, said):
    screen, path = move.app.screen, move.bench.path
    screen.asking.group, screen.asking.zone, screen.asking.gear = move.bench.ids["lump"], "store", "dolly"
    to_the_question(screen)
    await move.press("enter")
    await worked_out(move)
    assert screen.plan is not None
    path.write_text(path.read_text().replace("  dolly: {", "  low dolly: {"))
    move.app.poll()
    await move.settled()
    assert screen.asking.gear is None and screen.plan is None and screen.asking.zone == "store"
    assert "no longer in the shop file: dolly" in said(move.app)


async def test_another_enter_lets_the_answer_be_worked_out(own_process, move):
    screen = move.app.screen
    await move.press("c")
    await move.pause()
    await move.press(*"lathe", "enter")
    await move.pause()
    await move.press("g")
    await move.pause()
    await move.press(*"store", "enter", "enter", "enter")
    assert not isinstance(move.app.screen, Pick)
    await worked_out(move)
    assert screen.plan is not None and screen.lines.cursor == 0


async def test_keys_go_on_while_it_is_worked_out_and_escape_stops_it(own_process, move):
    screen = move.app.screen
    screen.asking.group, screen.asking.zone = move.bench.ids["lump"], "store"
    to_the_question(screen)
    await move.press("enter")
    assert screen._busy and screen._asked is not None
    process = screen._asked._process
    await move.press("down", "up")
    await move.press("escape")
    await move.settled()
    assert screen.plan is None and not screen._busy
    assert process.wait(10) != 0  # it was ended, not waited for


async def test_bare_base_and_angle_are_asked_anew(move):
    await asked(move)
    screen = move.app.screen
    await move.press("a", "b")
    await worked_out(move)
    assert screen.asking.as_ == "bare"
    await move.press("a", "o")
    await worked_out(move)
    assert not screen.asking.base
    await move.press("t")
    await move.pause()
    await move.press(*"90", "enter")
    await worked_out(move)
    assert screen.asking.turn_deg == 90
    assert screen.plan.goal is None or screen.plan.goal.turn_deg % 360 == pytest.approx(90)


async def test_found_and_sheet(move, tmp_path: Path, frame):
    await asked(move)
    await move.press("v")
    await move.pause()
    assert isinstance(move.app.screen, Page)
    assert "MOVE  lathe bed" in frame(move.app)
    await move.press("escape")
    await move.pause()
    await move.press("l", "1")
    await move.pause()
    await move.press(*["backspace"] * 8, *str(tmp_path / "m.txt"), "enter")
    await move.settled()
    assert "goes only with" in (tmp_path / "m.txt").read_text(encoding="utf-8")


async def test_what_is_no_longer_so_is_said_to_be_old(move, frame):
    await asked(move)
    move.bench.desk.do(CHANGE(move.bench.ids["pump"], note="new"))
    move.app.changed()
    await move.settled()
    assert "worked out before the last change" in " ".join(frame(move.app).split())


def test_frames_of_a_way_are_steps_and_keep_its_ends():
    from shopbins.geometry.shapes import Pose

    path = (Pose(0, 0, 0), Pose(1000, 0, 0), Pose(1000, 0, 90))
    found = frames_of(path)
    assert found[0] == path[0] and found[-1] == path[-1]
    assert len(found) == pytest.approx(1 + 4 + 9, abs=1)
    assert frames_of(()) == []


# --- frames -----------------------------------------------------------------------------------------------


@pytest.fixture(params=[(80, 24), (120, 40), (200, 60)], ids=lambda s: f"{s[0]}x{s[1]}")
async def look(yard, opened, compare, request):
    size = request.param
    async with opened(yard, "4", size=size) as pilot:

        async def same(name):
            await pilot.settled()
            pilot.app.hush()
            await pilot.pause()
            compare(pilot.app, f"{name}-{size[0]}x{size[1]}")

        pilot.same = same
        yield pilot


async def test_move_frame(look):
    """The answer with its margin, the way as dots, the thing at its tightest, steps, gear side by side."""
    screen = look.app.screen
    screen.asking.group, screen.asking.zone = look.bench.ids["lump"], "store"
    to_the_question(screen)
    await look.press("enter")
    await worked_out(look)
    await look.press("n")
    await look.same("move")


async def test_move_empty_frame(look):
    """Nothing asked yet: which keys to begin with."""
    await look.same("move-empty")


async def test_a_menu_whose_lines_are_cut_says_the_one_under_the_cursor_whole(move):
    """At 80 columns 'accept the condition at hand, by name; else the first that is open' is cut."""
    await move.press("a", "down", "down")
    (foot,) = move.app.screen.query("#more").results(Static)
    assert "else the first that is open" in " ".join(str(foot.content).split())
