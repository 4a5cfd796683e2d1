"""What was recorded of a part by mistake is put right on the screen: pieces, container, the part itself."""

import pytest

from shopbins.tui.dialogs.form import Form


@pytest.fixture
async def parts(bench, opened):
    async with opened(bench, "2", size=(80, 24)) as pilot:
        yield pilot


async def at(pilot, word: str) -> Form:
    screen = pilot.app.screen
    screen.lines.cursor = screen._ids.index(pilot.bench.ids[word])
    await pilot.pause()
    await pilot.press("a", "q")
    await pilot.settled()
    assert isinstance(pilot.app.screen, Form)
    return pilot.app.screen


def wrong(form: Form) -> str:
    told = [each for each in form.query(".fault") if each.display] or [form.query_one("#wrong")]
    return " ".join(str(each.render()) for each in told)


async def test_pieces_and_container_in_one_event(parts):
    """Twelve valves are eleven, one lost: asked what became of it and why; u takes both back."""
    await at(parts, "valves")
    seq = parts.bench.desk.seq
    await parts.press(*"11, box", "enter")
    await parts.pause()
    assert "what became of the others" in wrong(parts.app.screen) and parts.bench.desk.seq == seq
    await parts.press(*"lost", "enter", "enter")
    await parts.pause()
    assert "why the number" in wrong(parts.app.screen) and parts.bench.desk.seq == seq
    await parts.press(*"rolled under the lathe", "enter")
    await parts.settled()
    valves = parts.bench.group("valves")
    assert (valves.qty, valves.container) == (11, "box") and parts.bench.desk.seq == seq + 1
    await parts.press("u")
    await parts.settled()
    valves = parts.bench.group("valves")
    assert (valves.qty, valves.container) == (12, "bag")


async def test_an_emptied_container_of_what_is_bare_changes_nothing(parts):
    await at(parts, "pump")
    seq = parts.bench.desk.seq
    await parts.press("tab", "tab", "ctrl+u", "enter", "enter", "enter")
    await parts.settled()
    assert "nothing is changed" in wrong(parts.app.screen) and parts.bench.desk.seq == seq


async def test_what_was_recorded_by_mistake_is_taken_away_and_comes_back_by_u(parts):
    form = await at(parts, "studs")
    await parts.press(*"0, typed twice", "enter")
    await parts.settled()
    assert parts.app.screen is not form and not parts.bench.desk.state.has_group(parts.bench.ids["studs"])
    await parts.press("u")
    await parts.settled()
    assert parts.bench.desk.state.has_group(parts.bench.ids["studs"])


async def test_a_decimal_comma_in_the_measure_line_records_nothing(parts):
    """'12,5 kg' is not 5 kg: asked about, as where a part is recorded."""
    screen = parts.app.screen
    screen.lines.cursor = screen._ids.index(parts.bench.ids["pump"])
    await parts.pause()
    seq = parts.bench.desk.seq
    await parts.press("m", *"12,5 kg", "enter")
    await parts.settled()
    assert "write 12.5 for a decimal" in wrong(parts.app.screen) and parts.bench.desk.seq == seq
