"""Every key of the Audit: from a finding to its spot, to putting it right, or to letting it stand."""

import re
import threading
import time
from dataclasses import replace

import pytest

from shopbins.ledger.model import Mass, Size
from shopbins.records.group import CHANGE
from shopbins.rules import auditor
from shopbins.tui.dialogs.page import Page
from shopbins.tui.dialogs.stopbox import StopBox
from shopbins.tui.widgets.detail import Told


@pytest.fixture
async def audit(bench, opened):
    """The block laid across the main way with a reason 'for now'... then counted again."""
    bench.desk.put(bench.ids["block"], "hall", x_mm=4600, y_mm=2600, turn_deg=0, override="for now")
    async with opened(bench, "3") as pilot:
        yield pilot


async def to_way(pilot):
    """Put the cursor on the walkway's finding."""
    screen = pilot.app.screen
    screen.lines.cursor = next(
        i
        for i, row in enumerate(screen._shown)
        if row.finding is not None and "walkway:main way" in row.finding.subjects
    )
    await pilot.pause()
    return screen.current()


async def test_worst_first_with_word_and_shape(audit, rows):
    shown = rows(audit.app.screen.lines)
    signs = [r[0][:1] for r in shown]
    assert signs == sorted(signs, key="■□▲…●?".index)
    assert "□" in signs and "…" in signs, "what is accepted has its own line, records are folded"


async def test_a_folded_line_opens_and_closes(audit):
    screen = audit.app.screen
    before = len(screen._shown)
    screen.lines.cursor = next(i for i, row in enumerate(screen._shown) if row.held)
    await audit.press("enter")
    await audit.pause()
    assert len(screen._shown) == before + len(screen._shown[screen.lines.cursor].held)
    await audit.press("enter")
    await audit.pause()
    assert len(screen._shown) == before


async def test_what_was_not_checked_is_one_key_away(audit):
    await audit.press("v")
    await audit.pause()
    assert isinstance(audit.app.screen, Page)


async def test_the_numbers_are_those_of_the_plan(audit):
    """The list of the Plan, its marks and the Audit share numbers and order."""
    await to_way(audit)
    await audit.press("a", "a")
    await audit.settled()
    listed = [row.sign for row in audit.app.screen._shown if row.kind in ("stop", "to fix")]
    await audit.press("1")
    await audit.settled()
    signs = [t.sign for t in audit.app.screen._troubles if not t.accepted]
    assert list(dict.fromkeys(listed)) == signs and signs[0] == "■1"


async def test_detail_tells_limit_source_and_remedy(audit):
    finding = await to_way(audit)
    text = str(audit.app.screen.query_one("#detail").render())
    assert finding.text in text and "Fix:" in text and f"rule: {finding.rule}" in text
    assert finding.source in text


async def test_enter_shows_the_spot_marked_with_its_thing_at_hand(audit):
    finding = await to_way(audit)
    await audit.press("enter", "enter")
    await audit.settled()
    screen = audit.app.screen
    assert audit.app.current_mode == "plan"
    assert screen.plan.at == pytest.approx(finding.at_mm)
    assert screen.plan.marks == ((finding.at_mm, finding.grade),)
    assert finding.text in "\n".join(line for line, _ in screen.query_one(Told)._lines(200))
    assert screen.current_group() == audit.bench.ids["block"]


async def test_put_right_from_there(audit):
    """Enter, c, up until the way is clear, enter: the finding is gone."""
    finding = await to_way(audit)
    await audit.press("enter", "enter", "c")
    await audit.settled()
    for _ in range(9):
        await audit.press("up")
    await audit.press("enter")
    await audit.settled()
    assert finding.id not in {f.id for f in audit.app.findings}


async def test_carry_straight_from_the_audit(audit):
    await to_way(audit)
    await audit.press("c")
    await audit.settled()
    assert audit.app.screen.hand.hand.key == audit.bench.ids["block"]
    await audit.press("escape")


async def test_let_stand_and_count_again(audit):
    finding = await to_way(audit)
    assert finding.accepted is not None and finding.accepted.for_now
    await audit.press("a", "a")
    await audit.settled()
    finding = await to_way(audit)
    assert finding.accepted is None
    await audit.press("a", "a")
    await audit.pause()
    assert isinstance(audit.app.screen, StopBox)
    await audit.press("3")
    await audit.settled()
    finding = await to_way(audit)
    assert finding.accepted is not None and finding.accepted.why == "I measured it: it fits"
    assert "accepted by Ida (I measured it" in str(audit.app.screen.query_one("#detail").render())


async def test_only_stops_only_correct_only_for_now(audit):
    screen = audit.app.screen
    await audit.press("f")
    assert {row.finding.grade for row in screen._shown} == {"stop"}
    await audit.press("f")
    assert {row.kind for row in screen._shown} <= {"to fix"}
    for _ in range(2):
        await audit.press("f")
        assert [row.finding.accepted.for_now for row in screen._shown] == [True]
    await audit.press("f")
    assert screen._shown[-1].kind == "coverage"


async def test_judged_again_after_a_change(audit):
    await audit.press("f5")
    await audit.settled()
    before = {f.id for f in audit.app.findings}
    audit.bench.desk.put(audit.bench.ids["block"], "hall", x_mm=4600, y_mm=3900, turn_deg=0)
    audit.app.changed()
    assert audit.app.auditing
    assert "checking again" in audit.app.screen.query_one("#state").text
    await audit.settled()
    assert {f.id for f in audit.app.findings} != before
    assert audit.app.findings_seq == audit.bench.desk.seq


async def test_a_later_change_cancels_the_audit_before(audit):
    """The answer that comes is always of the newest state."""
    for i in range(5):
        audit.bench.desk.do(CHANGE(audit.bench.ids["block"], note=f"note {i}"))
        audit.app.judge_now()
    await audit.settled()
    assert audit.app.findings_seq == audit.bench.desk.seq


async def test_leaving_asks_again_about_what_stands_for_now(audit):
    await audit.press("1", "q")
    await audit.pause()
    assert type(audit.app.screen).__name__ == "Leaving"
    await audit.press("3")
    await audit.settled()
    assert audit.app.current_mode == "audit"
    await audit.press("q", "escape")
    await audit.pause()
    assert audit.app.is_running
    await audit.press("q", "enter")
    await audit.pause()
    assert audit.app.return_code == 0


@pytest.fixture
def slow_rules(monkeypatch):
    """Every rule waits until it is let go on."""
    go_on, looked = threading.Event(), []

    def slowed(rule):
        def look(scene, today):
            looked.append(rule.key)
            if len(looked) > 6:
                go_on.wait(20)
            else:
                time.sleep(0.06)
            return rule.audit(scene, today)

        return replace(rule, audit=look)

    rules = [slowed(rule) for rule in auditor.RULES if rule.audit is not None]
    monkeypatch.setattr(auditor, "RULES", rules)
    yield go_on
    go_on.set()


async def test_a_long_audit_says_how_far_it_is_and_escape_stops_it(audit, slow_rules):
    before = audit.app.findings
    await audit.press("f5")
    for _ in range(100):
        await audit.pause(0.05)
        state = audit.app.screen.query_one("#state").text
        if " %" in state:
            break
    share = int(re.search(r"checking again (\d+) %", state)[1])
    assert 0 < share < 50
    assert "esc stop" in audit.app.screen.query_one("#keys").text
    await audit.press("escape")
    await audit.pause()
    assert not audit.app.auditing
    assert "judging" not in audit.app.screen.query_one("#state").text
    assert "esc stop" not in audit.app.screen.query_one("#keys").text
    slow_rules.set()
    await audit.settled()
    assert audit.app.findings is before, "the one stopped gives no answer"
    await audit.press("f5")
    await audit.settled()
    assert audit.app.findings is not before


async def test_stopped_after_a_change_it_is_said_that_it_is_not_of_the_last(audit, slow_rules):
    audit.bench.desk.do(CHANGE(audit.bench.ids["block"], note="changed"))
    audit.app.changed()
    await audit.press("escape")
    await audit.pause()
    assert "before the last change" in audit.app.screen.query_one("#state").text
    slow_rules.set()


async def test_what_an_overload_says_to_take_off_is_at_hand(bench, settled):
    """The finding is about the level; its fix names a part, and that part is carried from there."""
    desk = bench.desk
    desk.put(bench.ids["head"], "rack a", "2")
    ballast = desk.take("ballast", mass=Mass(120), size=Size(300, 200, 100)).id
    desk.put(ballast, "rack a", "2", override="for now")
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("3")
        await settled(pilot)
        screen = app.screen
        screen.lines.cursor = next(
            i
            for i, row in enumerate(screen._shown)
            if row.finding is not None and row.finding.rule == "level-load" and row.kind == "accepted"
        )
        await pilot.pause()
        finding = screen.current()
        assert finding.subjects == ("zone:rack a/2",), "its id is what it always was"
        (moved,) = [desk.state.by_code(each.partition(":")[2]) for each in finding.moves]
        assert desk.state.group(moved).name in finding.remedy
        await pilot.press("enter", "c")
        await settled(pilot)
        assert app.screen.hand.hand.key == moved
        await pilot.press("escape")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_the_heading_counts_findings_and_notes_and_no_word_of_a_row_is_cut(bench, opened, size):
    async with opened(bench, "3", size=size) as pilot:
        lines = pilot.app.screen.lines
        findings = pilot.app.findings
        notes = sum(1 for each in findings if each.grade == "note" and each.accepted is None)
        assert f"{notes} notes, worst first" in lines.render_line(0).text
        for number, row in enumerate(pilot.app.screen._shown[: lines.size.height - 1]):
            drawn = lines.render_line(number + 1).text.partition("…")[0].removeprefix(row.sign).strip()
            if drawn and row.kind in ("stop", "to fix"):
                assert set(drawn.split()) <= {*row.text.split(), *pilot.bench.desk.shop.rooms}


async def test_an_audit_that_ends_while_the_app_closes_is_no_fault(audit, monkeypatch):
    app = audit.app
    await app.screen.query_one("#head").remove()  # as closing does, before the thread that judges has ended
    with monkeypatch.context() as closing:
        closing.setattr(app, "_running", False)
        app.auditing = True
        app._audit_at(0.5)
        app._judged(app.findings, app.desk.seq)
