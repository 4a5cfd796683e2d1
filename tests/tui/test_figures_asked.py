"""A figure the audit asks for is typed in where the audit asks."""

import pytest

from shopbins.records.group import CHANGE
from shopbins.rules.finding import Finding
from shopbins.tui.dialogs.form import Form
from shopbins.tui.dialogs.stopbox import StopBox, reasons
from shopbins.tui.plan.laying import lacking_figures


@pytest.fixture
async def asked(bench, opened):
    """The Audit with its records unfolded, the cursor on the rack, where the tub of studs is not weighed."""
    async with opened(bench, "3") as pilot:
        screen = pilot.app.screen
        screen._unfolded |= {row.fold for row in screen._shown if row.held}
        screen.findings_changed()
        studs = f"group:{bench.code('studs')}"
        screen.lines.cursor = next(
            i
            for i, row in enumerate(screen._shown)
            if not row.held and row.finding is not None and studs in row.finding.subjects
            and row.finding.rule == "loose"
        )  # fmt: skip
        await pilot.press("enter")
        await pilot.settled()
        yield pilot


async def test_enter_opens_the_rows_of_what_is_lacking_and_what_is_typed_is_recorded_once(asked):
    form = asked.app.screen
    assert isinstance(form, Form)
    seq = asked.bench.desk.seq
    await asked.press(*"7")
    await asked.press("space", *"kg", "enter")
    while isinstance(asked.app.screen, Form):
        await asked.press("enter")
    await asked.settled()
    assert asked.bench.group("studs").mass.kg == 7
    assert asked.bench.desk.seq == seq + 1
    await asked.press("u")
    await asked.settled()
    assert asked.bench.group("studs").mass is None


async def test_what_is_no_mass_stays_in_its_row_and_nothing_is_recorded(asked):
    seq = asked.bench.desk.seq
    await asked.press(*"heavy")
    for _ in range(4):
        await asked.press("enter")
    await asked.settled()
    assert isinstance(asked.app.screen, Form), "it says what it takes and stays open"
    assert asked.bench.desk.seq == seq
    await asked.press("escape", "escape", "escape")
    await asked.settled()
    assert asked.bench.desk.seq == seq


async def test_what_is_carried_is_measured_in_hand_and_checked_again(bench, settled):
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["studs"])
        await settled(pilot)
        panel = app.screen.hand
        told = " ".join(line for line, _ in panel.lines(200))
        assert "not weighed, not measured: m asks for it" in told
        await pilot.press("m")
        await settled(pilot)
        assert isinstance(app.screen, Form)
        await pilot.press(*"7 kg, 300x200x150 mm", "enter")
        await settled(pilot)
        assert bench.group("studs").mass.kg == 7 and bench.group("studs").size.length_mm == 300
        assert panel.hand is not None, "it is still carried"
        told = " ".join(line for line, _ in panel.lines(200))
        assert "not weighed" not in told


async def test_the_stop_box_takes_the_figure_it_is_about_and_judges_again(bench, settled):
    """Of a width the size, not the mass, with m; no size stays; once recorded the stop asks anew."""
    bench.desk.do(CHANGE(bench.ids["block"], mass=None, size=None, container="pallet"))
    app = bench.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.screen.pick_up(bench.ids["block"])
        await settled(pilot)
        for _ in range(14):
            await pilot.press("down")
        await pilot.press("enter")
        await pilot.pause()
        box = app.screen
        assert isinstance(box, StopBox)
        hint = str(box.query(".hint").last().render())
        assert "m the figure" in hint and hint.endswith("esc cancels") and len(hint) <= 72
        assert not box.query("#row-mass"), "how much it weighs says nothing of a width"
        fix = next(str(each.render()) for each in box.query(".says") if "Fix:" in str(each.render()))
        assert fix == "Fix: put engine block elsewhere", "what is in the hand cannot be shifted out"
        seq = bench.desk.seq
        await pilot.press("m", *"heavy", "enter")
        await pilot.pause()
        assert app.screen is box and bench.desk.seq == seq
        assert str(box.query_one("#wrong").render()).startswith("! length x width x height:")
        await pilot.press(*["backspace"] * 5, *"1600x900x1000 mm", "enter")
        await settled(pilot)
        assert bench.group("block").size.length_mm == 1600
        again = app.screen
        assert isinstance(again, StopBox) and again is not box, "it is judged again, and still held"
        assert not again.query("#row-size"), "nothing lacks any more"
        await pilot.press("1")
        await settled(pilot)
        assert bench.group("block").where.y_mm == pytest.approx(2500)
        assert "□ stop, accepted for now by Ida" in app.said_line().plain


def test_a_load_is_not_said_to_be_measured_with_a_tape():
    load = Finding("level-load", "stop", ("zone:a/1",), "a/1 carries 90 kg", measured=90, limit=80, unit="kg")
    way = Finding("walkway", "stop", ("walkway:a",), "narrow", measured=560, limit=700, unit="mm")
    assert reasons(load)[2][0] == "I weighed it: it carries less"
    assert reasons(way)[2][0] == "I measured it: it fits"


def test_the_figure_offered_is_the_one_the_stop_is_about(bench):
    load = Finding("level-load", "stop", ("zone:a/1",), "a/1 carries 90 kg", measured=90, limit=80, unit="kg")
    way = Finding("walkway", "stop", ("walkway:a",), "narrow", measured=560, limit=700, unit="mm")

    def offered(word: str, stop: Finding) -> list[str]:
        figures = lacking_figures(bench.app(), bench.ids[word], stop, lambda: None)
        return [] if figures is None else [row.key for row in figures.rows]

    assert offered("studs", load) == ["mass"] and offered("studs", way) == ["size"], "it lacks both"
    assert offered("valves", load) == [] and offered("pump", way) == [], "it is weighed; it is measured"
