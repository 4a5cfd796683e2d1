"""Asking and recording work, inspections and what is lacking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import DeskError
from shopbins.records import shortage, work
from shopbins.records.group import CHANGE, SPLIT
from shopbins.records.how import CAME_OFF, HOW
from shopbins.records.inspection import CONCEDE, CONCESSION, INSPECT, INSPECTION
from shopbins.records.matched import MATCH, MATCHED
from shopbins.records.measured import bad_pieces
from shopbins.records.position import STRIKE, UNSTRIKE
from shopbins.strip.care import CAUTIONS
from shopbins.strip.release import VERIFY, as_conceded, release, state_said
from shopbins.strip.waits import open_work
from shopbins.strip.work import LISTS, inspections, judge
from shopbins.tui.asking import ask_new, quick_of, row_of, with_reason, wrong
from shopbins.tui.canvas.inks import GRADE_GLYPH
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick
from shopbins.tui.dialogs.several import Several

if TYPE_CHECKING:
    from shopbins.ledger.model import Group
    from shopbins.records.record import Values
    from shopbins.tui.host import Host


def strike(app: Host, position: str) -> None:
    """Let the place of a position stay empty, with the reason, or take that back."""
    place = app.desk.position(position)
    if app.desk.state.docs("part").get(position, {}).get("struck"):
        app.attempt(lambda: app.desk.do(UNSTRIKE(position)), f"{place.name}: to be filled after all")
        return

    def given(reason: str | None) -> None:
        if reason:
            app.attempt(
                lambda: app.desk.do(STRIKE(position, reason=reason)),
                f"{place.name} stays empty: {reason}",
            )

    app.push_screen(
        Ask(f"Why does the place of {place.name} stay empty?", example="not fitted to later engines"),
        given,
    )


def ask_how(app: Host, position: str) -> None:
    """Ask how a position came off."""
    title = f"How did {app.desk.position(position).name} come off?"
    ask_new(app, CAME_OFF, partial(HOW, position), title, lambda _, values: f"noted how it came off: {CAME_OFF.understood(values)}")  # noqa: E501  # fmt: skip


def ask_match(app: Host, ids: list[str]) -> None:
    """Have groups be a matched set, each with its seat where given."""
    names = ", ".join(app.desk.state.group(each).shown for each in ids[:3]) + (" ..." if len(ids) > 3 else "")

    def matched() -> None:
        app.marked.clear()
        app.changed()

    ask_new(
        app, MATCHED, partial(MATCH, groups=ids), f"A matched set: what are {names}?",
        lambda _, values: f"matched set: {values['name']}", then=matched,
    )  # fmt: skip


def show_last_seen(app: Host, group: Group) -> None:
    """Say where a group was last seen, and what was moved from there afterwards."""
    from shopbins.reports.strip import missing_text

    try:
        found = app.desk.last_seen(group.id)
    except DeskError as problem:
        app.tell(*problem.lines, bad=True)
        return
    app.open_page(f"Last seen: {group.shown}", missing_text(app.desk.state, group.shown, found))


def ask_cautions(app: Host, group: Group) -> None:
    """Ask for the cautions of a group; what is typed is as good as what is offered."""
    offered = [*group.cautions, *(each for each in CAUTIONS if each not in group.cautions)]
    choices = [Choice(each, each, "as it is" if each in group.cautions else "") for each in offered]

    def chosen(picked: tuple[str, ...] | None) -> None:
        if picked is not None:
            kept = tuple(dict.fromkeys((*group.cautions, *picked))) if picked else ()
            said = ", ".join(kept) or "none"
            app.attempt(
                lambda: app.desk.do(CHANGE(group.id, cautions=kept)), f"{group.shown}: cautions {said}"
            )

    app.push_screen(
        Several(f"Warnings for whoever handles {group.shown}", choices, nothing="nothing", free=True),
        chosen,
    )


# -- work


def jot(app: Host, group: Group) -> None:
    """Take a typed note; with nothing typed, show its jobs: enter ticks one off, or begins a list."""
    left = open_work(group)
    done = [each.what for each in group.work if each.done]
    jobs = [Choice(f"done {what}", what, "job to do: done today") for what in left]
    jobs += [Choice(f"again {what}", what, "job done: to do again") for what in done]
    if not left:
        jobs += [Choice(f"list {name}", f"jobs: {name}", ", ".join(LISTS[name])) for name in LISTS]
    jobs.append(Choice("write", "write its list of jobs", "divided by commas"))
    if group.note:
        jobs.append(Choice("edit", "change the note", group.note))

    def source(typed: str) -> list[Choice]:
        text = typed.strip()
        if not text:
            return jobs
        fit = [job for job in jobs if text.casefold() in job.text.casefold()]
        return [Choice(f"note {text}", f"note: {text}", "enter keeps it"), *fit]

    def chosen(answer: str | None) -> None:
        if answer is None:
            return
        what, _, rest = answer.partition(" ")
        if what == "note":
            note = f"{group.note}; {rest}" if group.note else rest
            app.attempt(lambda: app.desk.do(CHANGE(group.id, note=note)), f"{group.shown}: noted")
        elif what == "edit":
            _edit_note(app, group)
        elif what == "write":
            _write_list(app, group, [*done, *left])
        elif what == "list":
            points = [*done, *LISTS[rest]]
            with_reason(
                app,
                lambda why: app.desk.do(work.LIST(group.id, points=points, reason=why)),
                f"{group.shown}: {rest}",
            )
        else:
            if what == "done" and (rest == "inspect" or rest.startswith(VERIFY)):
                ask_inspection(app, group)  # done by what was found, not by a tick
                return
            said = f"{group.shown}: {rest} {'done' if what == 'done' else 'to do again'}"
            day = app.day().isoformat()
            wanted = (
                work.DONE(group.id, what=rest, on=day) if what == "done" else work.AGAIN(group.id, what=rest)
            )
            app.attempt(lambda: app.desk.do(wanted), said)

    says = [f"noted: {group.note}"] if group.note else []
    title = f"Jot a note on {group.shown}, or tick a job off"
    app.push_screen(Pick(title, source, says=says, placeholder="type a note"), chosen)


def _edit_note(app: Host, group: Group) -> None:
    def given(text: str | None) -> None:
        if text is not None:
            app.attempt(lambda: app.desk.do(CHANGE(group.id, note=text)), f"{group.shown}: noted")

    app.push_screen(Ask(f"Note on {group.shown}", group.note, example="what the next one must know"), given)


def _write_list(app: Host, group: Group, points: list[str]) -> None:
    def read(text: str) -> list[str]:
        return work.WORK.read(text, app.today())["points"] if text else []

    def given(text: str | None) -> None:
        if text is not None:
            listed = read(text)
            with_reason(
                app,
                lambda why: app.desk.do(work.LIST(group.id, points=listed, reason=why)),
                f"{group.shown}: {text or 'no work'}",
            )

    app.push_screen(
        Ask(f"Work on {group.shown}", ", ".join(points), example=work.WORK.example, wrong=wrong(read)), given
    )


INSPECTED_GLYPH = {"within": "✓", "beyond": GRADE_GLYPH["stop"], "not judged": "?"}
MOST_BEFORE = 5
"""So many values measured before are shown."""


def ask_inspection(app: Host, group: Group, what: str = "") -> None:
    """Ask for what was measured or seen, `what` where that is known; where it is rejected, ask what now.

    Judged as it is typed: by the limits given, else by those the same was judged by the last time.
    """
    before = inspections(app.desk.state, group)

    def told(values: Values) -> str:
        if "what" not in values or "measured" not in values:
            return ""
        name = values["what"].casefold()
        last = next((each for each in reversed(before) if each.what.casefold() == name), None)
        low, high = values.get("low", ""), values.get("high", "")
        if last is not None and not low and not high:
            low, high = last.low, last.high
        found = judge(values["measured"], low, high)
        of = "is of one of" if found.verdict == "beyond" else "counts for all"
        return f"{INSPECTED_GLYPH[found.verdict]} {found.text}" + (
            f" · {of} {group.qty} pieces" if group.qty > 1 else ""
        )

    ask_new(
        app, INSPECTION, partial(INSPECT, group.id), f"Inspection of {group.shown}",
        lambda *_: f"{group.shown}: recorded", then=partial(_inspected, app, group), told=told,
        says=[f"  {INSPECTED_GLYPH[each.verdict]} {each.told}" for each in before[-MOST_BEFORE:]],
        known={"what": what} if what else {},
    )  # fmt: skip


def _inspected(app: Host, group: Group) -> None:
    """Say what an inspection came to, or ask what happens to what it rejected."""
    let = release(app.desk.state, group.id, app.today())
    if not let.nobody:
        app.tell(f"{group.shown}: recorded, {state_said(let.state)}" + (f" ({let.why})" if let.why else ""))
        return
    part = Choice("split", "split off what is beyond", "the rest is without its value")
    choices = [
        *([part] if 0 < bad_pieces(app.desk.state, group)[0] < group.qty else []),
        Choice("renew", "renew it", "a shortage takes its place"),
        Choice("again", "measure again", "only a value within its limit releases it"),
        Choice("remachine", "rework: remachine", "then it is measured again"),
        Choice("repair", "rework: repair", "then it is measured again"),
        Choice("concede", "concession", "by name, reason, limits and date"),
        Choice("later", "later", "rejected until then: it does not go back"),
    ]

    def chosen(answer: str | None) -> None:
        if answer == "again":
            ask_inspection(app, group)
        elif answer == "split":
            split_beyond(app, group)
        elif answer == "renew":
            renew(app, group)
        elif answer == "concede":
            ask_concession(app, group)
        elif answer not in (None, "later"):
            with_reason(
                app,
                lambda why: app.desk.do(CHANGE(group.id, disposition=answer, reason=why)),
                f"{group.shown}: {answer}",
            )

    app.bell()
    title = f"{group.shown} is beyond its limit"
    app.push_screen(Pick(title, choices, says=[f"{let.why}. What now?"], digits=True), chosen)


def split_beyond(app: Host, group: Group) -> None:
    """Split off what is beyond its limit; of how many pieces that is, is asked where it is not known."""
    least, most = bad_pieces(app.desk.state, group)

    def split(qty: int | None, label: str | None) -> None:
        app.attempt(
            lambda: app.desk.do(SPLIT(group.id, qty=qty, beyond=True, label=label)),
            f"{group.shown}: what is beyond its limit is a part of its own, with its own label",
        )

    def go(qty: int | None) -> None:
        if not group.also_codes:
            split(qty, None)
            return
        labels = [Choice(each, each) for each in (group.code, *group.also_codes)]
        asked = Pick(
            "Which label is on the pieces that go?", [*labels, Choice("new", "none of these", "a new one")],
            digits=True,
        )  # fmt: skip
        app.push_screen(asked, lambda label: split(qty, label) if label else None)

    def wrong(text: str) -> str | None:
        good = text.isascii() and text.isdigit() and least <= int(text[:9]) <= most
        return None if good else f"a whole number from {least} to {most}"

    if least == most:
        go(None)
        return
    title = (
        f"{group.shown}: of how many pieces are the values beyond their limit, {least} to {most}? "
        f"Where fewer than {most} go, the rest is to be inspected"
    )
    app.push_screen(Ask(title, example=str(most), wrong=wrong), lambda text: go(int(text)) if text else None)


def ask_concession(app: Host, group: Group) -> None:
    """Ask for a concession: the reason, within what, until when."""
    let = release(app.desk.state, group.id, app.today())
    limit = as_conceded(let.beyond[0].doc) if let.beyond else "d >= 8.95mm"

    def conceded(_key: str, values: Mapping[str, Any]) -> str:
        still = release(app.desk.state, group.id, app.today()).still
        said = f"{group.shown}: conceded by {app.desk.by}, {values.get('limits', '')}"
        return "; ".join(filter(None, (said, still)))

    ask_new(
        app, replace(CONCESSION, example=f"good for one season; {limit}; 2027-10-31"),
        partial(CONCEDE, group.id), f"Why may {group.shown} be used, within what limits, until when?",
        conceded,
    )  # fmt: skip


# -- what is lacking


def renew(app: Host, group: Group) -> None:
    """Have a group renewed; what is still on is to be got at first, and that is shown."""
    from shopbins.strip.tree import is_fitted

    desk = app.desk
    if is_fitted(desk.state.docs("group")[group.id].get("where")):
        from shopbins.tui.dialogs.reach import show_reach

        app.tell(f"{group.shown} is on: this comes off first, a o takes it off, a n renews it", bad=True)
        show_reach(app, group.positions[0])
        return
    warned = desk.set_warnings([group.id], "gone")
    lost = f" · {warned[0]}" if warned else ""
    app.attempt(
        lambda: desk.do(shortage.RENEW(group.id)),
        f"{group.shown} x{group.qty}: to be renewed, shortage raised{lost}",
    )


def add_shortage(app: Host, position: str | None = None) -> None:
    """Ask for what is lacking; `position` is what waits for it unless something else is said to."""

    def whole(values: dict[str, Any]) -> dict[str, Any]:
        unsaid = position is not None and not {"positions", "milestone"} & values.keys()
        return {**values, "positions": [position]} if unsaid else values

    waits = "" if position is None else f" before {app.desk.position(position).name} can go back"
    ask_new(
        app, shortage.SHORTAGE, shortage.ADD, f"What is lacking{waits}?",
        lambda key, _: shortage.sentence(app.desk.state, key, app.today()), stays=True, whole=whole,
        told=shortage.SHORTAGE.understood,
    )  # fmt: skip


LACKING = ("days", "ask_of", "price")
"""What is asked of a shortage where it stands: by the first one knows when to ask for it."""


def ask_shortage_facts(app: Host, key: str) -> None:
    """Ask how long a shortage takes to come, of whom and for how much; what is known stands there."""
    from shopbins.tui.dialogs.form import Form

    record, day = shortage.SHORTAGE, app.today()
    doc = record.known(app.desk.state, key)
    shown = record.rows(doc)

    def save(rows: Mapping[str, str]) -> str:
        if values := record.read_rows({n: t for n, t in rows.items() if t != shown[n]}, day):
            app.desk.do(shortage.SET(key, **values))
            app.changed()
        return shortage.sentence(app.desk.state, key, day)

    rows = [row_of(app, record, name, shown[name]) for name in LACKING]
    quick = quick_of(record, record.read_more, day)
    at = next((name for name in LACKING if not shown[name]), LACKING[0])
    said = f"What is known of {doc['name']}?"
    app.push_screen(Form(said, rows, quick, "10-20 days, of Hansen, 84 EUR", at=at, save=save))
