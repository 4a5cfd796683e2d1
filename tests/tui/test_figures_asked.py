"""A figure the audit asks for is typed in where the audit asks."""

import pytest

from shopbins.tui.dialogs.form import Form


@pytest.fixture
async def asked(bench, settled):
    """The Audit with its records unfolded, the cursor on the rack, where the tub of studs is not weighed."""
    app = bench.app()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await pilot.press("3")
        await settled(pilot)
        pilot.bench = bench
        pilot.settled = lambda: settled(pilot)
        screen = app.screen
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
        await settled(pilot)
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
        await pilot.press(*"7", "space", *"kg", "enter")
        while isinstance(app.screen, Form):
            await pilot.press("enter")
        await settled(pilot)
        assert bench.group("studs").mass.kg == 7
        assert panel.hand is not None, "it is still carried"
        told = " ".join(line for line, _ in panel.lines(200))
        assert "not weighed" not in told
