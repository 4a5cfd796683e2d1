"""What is closed is forgotten: an evening of keys leaves the memory as it was."""

from __future__ import annotations

import gc
from collections import Counter

import pytest

KEPT = ("StylesCache", "Page", "Palette", "Pick", "Form", "Strip", "Timer")
"""Of what was drawn, and of what is open: Textual's own, and ours."""


@pytest.mark.parametrize("opens", ["question_mark", "a", "ctrl+p"])
async def test_what_was_closed_is_forgotten(bench, settled, opens: str) -> None:
    app = bench.app()

    def kept() -> Counter[str]:
        gc.collect()
        found = Counter(type(each).__name__ for each in gc.get_objects())
        return Counter({name: found[name] for name in KEPT})

    async with app.run_test(size=(120, 40)) as pilot:

        async def evening(rounds: int) -> None:
            for _ in range(rounds):
                await pilot.press(opens)
                while len(app.screen_stack) > 1:
                    await pilot.press("escape")
            await settled(pilot)

        seq = bench.desk.seq
        await evening(2)
        before = kept()
        await evening(6)
        for _ in range(50):  # what was closed last may still be on its way out
            after = kept()
            left = {name: after[name] for name in KEPT if after[name] > before[name] * 1.2 + 5}
            if not left:
                break
            await pilot.pause(0.1)
        assert bench.desk.seq == seq
    assert not left, f"of {before}"
