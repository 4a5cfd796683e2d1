"""The rows of the Move screen: the steps, as planned or as they would be, then the gear side by side."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shopbins.answer import Part, Verdict
from shopbins.desk import moving
from shopbins.moves.finding import row_of
from shopbins.moves.plan import SHOWN_ASKS
from shopbins.moves.restson import asked_anew
from shopbins.tui.move.progress import Asking, Showing
from shopbins.units import counted

if TYPE_CHECKING:
    from shopbins.desk import Desk
    from shopbins.moves.acts import Line
    from shopbins.moves.plan import Plan, Tried

SIGNS = {
    Verdict.YES: "✓",
    Verdict.FIX: "✓",
    Verdict.ACCEPTED: "✓",
    Verdict.ASKED: "!",
    Verdict.AGAIN: "≈",
    Verdict.OPEN: "?",
    Verdict.NO: "✗",
}
"""One sign an answer; the word stands beside it."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row; `step` is the planned step it is, `gear` the gear it stands for, `part` what holds it back.

    `asks` is the action that enter does on a row of the form, '' of every other row; `line` the conditions
    that are accepted together on it.
    """

    mark: str
    text: str
    detail: str = ""
    look: str = ""
    step: int | None = None
    gear: str = ""
    part: Part | None = None
    asks: str = ""
    line: Line | None = None

    @property
    def open_parts(self) -> tuple[Part, ...]:
        """The conditions of the row that nobody has accepted."""
        if self.line is not None:
            return self.line.open
        return (self.part,) if self.part is not None and self.part.verdict is Verdict.ASKED else ()


def form_of(desk: Desk, asking: Asking) -> list[Row]:
    """Return the form: what, where to, on what, how; enter on a row gives its list."""
    what = "?" if asking.group is None else desk.state.group(asking.group).shown
    zone = None if asking.zone is None else desk.shop.zone(asking.zone)
    gear = (
        "each gear in turn, the one of least work"
        if asking.gear is None
        else desk.shop.gear[asking.gear].name
    )
    turn = "as it fits" if asking.turn_deg is None else f"{asking.turn_deg:g} deg"
    as_ = "with all on it tonight" if asking.as_ == "tonight" else "bare, what lies on it stays here"
    rows = [
        ("what", what, "thing", "enter lists what is big or told of for moving"),
        ("where to", "?" if zone is None else zone.name, "goal", "enter lists the places and floors"),
        ("on what", gear, "gear", "enter lists the gear of the shop file"),
        ("stands there", turn, "turn", "enter asks for its angle"),
        ("as it is", as_, "bare", "enter changes it"),
        ("its base", "stays under it" if asking.base else "comes off first", "base", "enter changes it"),
    ]
    found = [Row("", f"{name:<14}{value}", says, asks=asks) for name, value, asks, says in rows]
    if asking.whole:
        found.append(Row(" → ", "does it go?", "enter works it out", "strong"))
    return found


def rows_of(desk: Desk, group: str | None, plan: Plan | None, unfolded: Collection[str] = ()) -> list[Row]:
    """Return the rows; each condition has one of its own where its line, by its id, is `unfolded`."""
    found = [] if plan is None else list(_holds_back(desk, plan, unfolded))
    found += _planned(desk, group) or _would_be(desk, plan)
    if plan is not None:
        found += [Row("", "gear, side by side", look="dim"), *(_gear(plan, each) for each in plan.tried)]
    return found


def _holds_back(desk: Desk, plan: Plan, unfolded: Collection[str]) -> Iterator[Row]:
    """Go through what forbids, what is asked, what to measure again, and the conditions."""
    for part in plan.stops:
        row = row_of(part)
        said = f"{row.finding.text}{_ends_words(part)} ({row.finding.source})"
        yield Row(" ✗ ", part.text, said, "stop", part=part)
    for part in plan.undecided:
        said = f"{row_of(part).finding.text}: no question would decide it{_ends_words(part)}"
        yield Row(" ? ", part.text, said, "correct", part=part)
    for part in plan.asks[:SHOWN_ASKS]:
        text = row_of(part).finding.text
        how = f"{'' if text.endswith('?') else '.'} Enter asks for it"
        yield Row(" ? ", part.text, f"{text}{how}", "correct", part=part)
    for each in plan.measure_again:
        yield Row(" ≈ ", f"measure again: {each}", "the answer turns on it", "correct")
    if plan.conditions:
        done = sum(part.accepted is not None for part in plan.conditions)
        says = f"only with these, {done} of {len(plan.conditions)} conditions accepted"
        why = "what one person sees to at one time stands on one row: a a accepts it, enter says each of it"
        yield Row("", says, why, "dim")
    for line in plan.to_accept:
        if len(line.parts) == 1:
            yield _condition(desk, plan, line.parts[0])
            continue
        how = f"a a accepts {'these' if line.open else 'them'}, by name; enter says each of them by itself"
        mark, look = ("[ ]", "strong") if line.open else ("[x]", "dim")
        anew = any(asked_anew(desk.state, row_of(part), plan.name) for part in line.open)
        said = f"{line.text}{', asked anew: enter says why' if anew else ''}"
        yield Row(mark, said, f"{line.words}. {how}", look, line=line)
        if line.id in unfolded:
            yield from (_condition(desk, plan, part, "  ") for part in line.parts)


def _condition(desk: Desk, plan: Plan, part: Part, within: str = "") -> Row:
    """Return one condition, with all that is said of it."""
    if part.accepted is not None:
        said = f"Accepted {part.accepted.said}. {told_in_full(part)}"
        return Row("[x]", f"{within}{part.text}", said, "dim", part=part)
    anew = asked_anew(desk.state, row_of(part), plan.name)
    says = ". ".join(filter(None, (anew, told_in_full(part), "a a accepts it, by name")))
    said = f"{part.text}, {anew}" if anew else part.text
    return Row("[ ]", f"{within}{said}", says, "strong", part=part)


def _ends_words(part: Part) -> str:
    ends = row_of(part).ends
    return f". What would end it: {'; '.join(ends)}" if ends else ""


def told_in_full(part: Part) -> str:
    """Return a condition with all that is said of it: what a person reads before accepting it."""
    return moving.in_full(part.text, row_of(part).finding.text)


def _planned(desk: Desk, group: str | None) -> list[Row]:
    if group is None:
        return []
    from shopbins.moves.steps import keep_words

    rows: list[Row] = []
    for n, step in enumerate(moving.steps(desk, group)):
        done = step.get("done", "")
        mark = "[x]" if done else "[ ]"
        detail = f"done on {done}" if done else "space ticks it off: it is then recorded"
        if step.get("open"):
            detail += f", with {counted(len(step['open']), 'condition')} not accepted: {step.get('why', '')}"
        if not done:
            left = len(moving.still_open(desk, group, n))
            detail += f"; {counted(left, 'condition')} to be accepted before" if left else ""
            detail = keep_words(step, detail)
        rows.append(Row(mark, f"{n + 1} {step['title']}", detail, "dim" if done else "", n))
        rows += [] if done else _kept(step, detail, n)
    return rows


def _kept(step: moving.Step, detail: str, number: int | None = None) -> list[Row]:
    """Return what is kept while a step is done, a row each."""
    return [Row("", f"  keep: {each}", detail, "dim", number) for each in step.get("keep") or ()]


def _would_be(desk: Desk, plan: Plan | None) -> list[Row]:
    """Return the steps of a plan not yet accepted."""
    if plan is None or not plan.planned:
        return []
    from shopbins.moves.steps import keep_words, steps_of
    from shopbins.reports.movesheet import shift_words

    scene = desk.scene()
    says = "a + puts these steps on record, to be ticked off"
    rows = [Row("", f"steps: {shift_words(plan, scene)}", says, "dim")]
    for n, step in enumerate(steps_of(scene, plan), 1):
        detail = keep_words(step, says)
        rows += [Row(" · ", f"{n} {step['title']}", detail), *_kept(step, detail)]
    return rows


def _gear(plan: Plan, each: Tried) -> Row:
    said = [each.name, each.answer, *each.figures]
    chosen = plan.gear.gear.key == each.gear
    detail = f"{each.reason}. Enter works it out on this gear" if each.reason else "enter works it out anew"
    return Row(
        f" {SIGNS[each.verdict]} ", " · ".join(said), detail, "strong" if chosen else "", gear=each.gear
    )


def detail_words(row: Row | None, showing: Showing | None) -> list[str]:
    """Say more of a row, then where it is tightest."""
    said = []
    if row is not None and (row.gear or row.step is not None):
        said.append(row.text)
    if row is not None and row.detail:
        said.append(row.detail)
    if showing is not None and (row is None or row.part is None):
        from shopbins.reports.movesheet import tightest_words

        tight = tightest_words(showing.plan)
        if tight:
            said.append(f"tightest: {tight}")
    return said
