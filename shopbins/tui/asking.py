"""Asking for what a record says: its line typed, or one of its questions. Made from the records' data."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import DeskError, WhyWanted
from shopbins.ledger.problems import BadValue
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.base import refusal
from shopbins.tui.dialogs.form import Form, Guess, Quick, Row
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from datetime import date

    from shopbins.ledger.events import Event
    from shopbins.records.record import Question, Record, Values, Wanted
    from shopbins.tui.host import Host


NOTHING: Mapping[str, str] = MappingProxyType({})


def wrong(read: Callable[[Any], Any]) -> Callable[[Any], str | None]:
    """Return what says in a line what cannot be read."""

    def said(text: Any) -> str | None:
        try:
            read(text)
        except (BadValue, DeskError) as problem:
            return refusal(problem)
        return None

    return said


def with_reason(app: Host, do: Callable[[str], Any], done: str) -> None:
    """Do it; where only a reason is wanted, ask for that and do it with the reason."""
    try:
        do("")
    except WhyWanted as problem:
        ask_reason(app, problem, lambda reason: app.attempt(lambda: do(reason), done))
    except DeskError as problem:
        app.tell(*problem.lines, bad=True)
    else:
        app.changed()
        app.tell(done)


def ask_reason(app: Host, wanted: WhyWanted, given: Callable[[str], object]) -> None:
    """Ask for the reason that is wanted; `given` hears it."""

    def typed(reason: str | None) -> None:
        if reason:
            given(reason)

    app.push_screen(Ask(f"Why? {wanted.what}", example="it is kept, with your name"), typed)


def row_of(app: Host, record: Record, name: str, value: str = "") -> Row:
    """Return the row of a field, which says what cannot be read in it, or what nothing is called."""
    field, day = record.field(name), app.day()
    example = field.says.replace(" (may be repeated)", "") + (
        " (several: with ; between)" if field.many else ""
    )

    def read(text: str) -> None:
        for part in record.parts(name, text):
            known = field.kind.read(part, day)
            if field.kind.thing:
                app.desk.names.called(field.kind.thing, known)

    return Row(name, field.label or field.option.lstrip("-") or name, value, example, wrong(read))


def quick_of(record: Record, read: Callable[[str, date], Values], day: date) -> Quick:
    """Return what fills the rows from a line; what the line does not say stays as it was."""

    def quick(text: str) -> dict[str, Guess]:
        try:
            values = read(text, day)
        except BadValue as problem:
            raise ValueError(str(problem)) from None
        return {name: Guess(shown) for name, shown in record.rows(values).items() if shown}

    return quick


def ask_new(
    app: Host, record: Record, act: Callable[..., Wanted], title: str, said: Callable[[str, Values], str], *,
    stays: bool = False, whole: Callable[[dict[str, Any]], dict[str, Any]] = lambda values: values,
    then: Callable[[], None] = lambda: None, says: Sequence[str] = (),
    told: Callable[[Values], str] | None = None, known: Mapping[str, str] = NOTHING,
) -> None:  # fmt: skip
    """Ask for a new one by a form, filled by its typed line.

    `act` is called with what was given, `whole` adds what goes without saying; `said` says by its key, and by
    what was given, how it stands then. With `stays` one is asked for after the other. `says` stands under the
    title, `told` says what is typed comes to (it may raise BadValue), `known` is what rows hold already: the
    first one empty is begun in.
    """
    day = app.day()
    recorded: list[str] = []

    def save(rows: Mapping[str, str]) -> str:
        values = whole(record.read_rows(rows, day))
        event = app.desk.do(act(**values))
        app.changed()
        recorded.append(said(event.subjects[0].partition(":")[2], values))
        return recorded[-1]

    def given(rows: dict[str, str] | None) -> None:
        if rows is not None:
            app.tell(recorded[-1])
            then()

    def come_to(rows: Mapping[str, str]) -> str:
        assert told is not None
        try:
            return told(record.read_rows(rows, day)) if any(rows.values()) else ""
        except BadValue:
            return ""  # enter says what is wrong

    rows = [
        row_of(app, record, field.name, known.get(field.name, ""))
        for field in record.fields
        if (field.says or field.option) and not (field.kind.thing and not field.option)
    ]
    lacks = wrong(lambda rows: record.check_whole(record.read_rows(rows, day)))
    form = Form(
        title, rows, quick_of(record, record.read, day), record.example,
        whole=lacks, save=save, stays=stays, says=says,
        at=next((row.key for row in rows if known and not row.value), ""),
        told=None if told is None else come_to,
    )  # fmt: skip
    app.push_screen(form, given)


def ask_about(
    app: Host, record: Record, questions: Sequence[Question], key: str, said: Callable[[str], str],
    then: Callable[[Event], None] = lambda _event: None,
    first: Sequence[tuple[Choice, Callable[[], None]]] = (),
) -> None:  # fmt: skip
    """Ask what there is to say of one: a digit picks the question; `then` is told what was recorded.

    `first` are choices before the questions, each with what it does.
    """
    from shopbins.records.record import About

    it = About(key, record.known(app.desk.state, key), app.desk.state, app.day())
    asked = [each for each in questions if each.when(it)]
    recorded: list[Event] = []

    def answer(question: Question, text: str = "", **reason: str) -> None:
        wanted = question.answer(it, text)
        recorded.append(app.desk.do(replace(wanted, values={**wanted.values, **reason})))

    def done(question: Question) -> None:
        app.changed()
        app.tell(it.say(question.done) if question.done else said(key))
        then(recorded[-1])

    def ask_why(question: Question, text: str, why: str) -> None:
        app.push_screen(
            Ask(why, save=lambda reason: answer(question, text, reason=reason)),
            lambda reason: done(question) if reason else None,
        )

    def at_once(question: Question) -> None:
        if why := question.why(it, ""):
            ask_why(question, "", why)
            return
        try:
            answer(question)
        except DeskError as problem:
            app.tell(*problem.lines, bad=True)
        else:
            done(question)

    def typed(question: Question, text: str | None) -> None:
        if text and (why := question.why(it, text)):
            ask_why(question, text, why)
        elif text:
            done(question)

    def chosen(picked: str | None) -> None:
        if picked is None:
            return
        if int(picked) < len(first):
            first[int(picked)][1]()
            return
        question = asked[int(picked) - len(first)]
        if not question.title:
            at_once(question)
            return
        app.push_screen(
            Ask(it.say(question.title), question.now(it), example=question.example,
                wrong=wrong(lambda text: question.answer(it, text)),
                save=lambda text: None if question.why(it, text) else answer(question, text)),
            lambda text: typed(question, text),
        )  # fmt: skip

    choices = [replace(choice, value=str(n)) for n, (choice, _) in enumerate(first)]
    choices += [Choice(str(n), each.label, it.say(each.beside)) for n, each in enumerate(asked, len(first))]
    app.push_screen(Pick(str(it.doc["name"]), choices, says=[said(key)], digits=True), chosen)
