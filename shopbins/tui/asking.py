"""Asking for what a record says: its line typed, or one of its questions. Made from the records' data."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import DeskError, WhyWanted
from shopbins.ledger.problems import BadValue
from shopbins.records.record import About
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.form import Form, Guess, Row
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.records.record import Act, Question, Record
    from shopbins.tui.host import Host


def wrong(read: Callable[[Any], Any]) -> Callable[[Any], str | None]:
    """Return what says in a line what cannot be read."""

    def said(text: Any) -> str | None:
        try:
            read(text)
        except BadValue as problem:
            return str(problem)
        return None

    return said


def with_reason(app: Host, do: Callable[[str], Any], done: str) -> None:
    """Do it; where only a reason is wanted, ask for that and do it with the reason."""
    try:
        do("")
    except WhyWanted as problem:

        def given(reason: str | None) -> None:
            if reason:
                app.attempt(lambda: do(reason), done)

        app.push_screen(Ask(f"Why? {problem.what}", example="it is kept, with your name"), given)
    except DeskError as problem:
        app.tell(*problem.lines, bad=True)
    else:
        app.changed()
        app.tell(done)


def ask_new(
    app: Host, record: Record, act: Act, title: str, said: Callable[[str], str], *, stays: bool = False,
    whole: Callable[[dict[str, Any]], dict[str, Any]] = lambda values: values,
) -> None:  # fmt: skip
    """Ask for a new one by a form, filled by its typed line; `said` says by its key how it stands then.

    `whole` adds what goes without saying; with `stays` one is asked for after the other.
    """
    day = app.today()
    recorded: list[str] = []

    def quick(text: str) -> dict[str, Guess]:
        try:
            values = record.read(text, day)
        except BadValue as problem:
            raise ValueError(str(problem)) from None
        return {name: Guess(shown) for name, shown in record.rows(values).items()}

    def save(rows: Mapping[str, str]) -> str:
        event = app.desk.do(act(**whole(record.read_rows(rows, day))))
        app.changed()
        recorded.append(said(event.subjects[0].partition(":")[2]))
        return recorded[-1]

    def given(rows: dict[str, str] | None) -> None:
        if rows is not None:
            app.tell(recorded[-1])

    rows = [
        Row(field.name, field.option.lstrip("-") or field.name, example=field.says,
            wrong=wrong(lambda text, field=field: record.read_rows({field.name: text}, day)))  # type: ignore[misc]
        for field in record.fields
        if field.option or field.name == "name"
    ]  # fmt: skip
    lacks = wrong(lambda rows: record.check_whole(record.read_rows(rows, day)))
    form = Form(title, rows, quick, record.example, whole=lacks, save=save, stays=stays)
    app.push_screen(form, given)


def ask_about(
    app: Host, record: Record, questions: Sequence[Question], key: str, said: Callable[[str], str],
    then: Callable[[Event], None] = lambda _event: None,
) -> None:  # fmt: skip
    """Ask what there is to say of one: a digit picks the question; `then` is told what was recorded."""
    it = About(key, record.known(app.desk.state, key), app.desk.state, app.today())

    recorded: list[Event] = []

    def answer(question: Question, text: str = "") -> None:
        recorded.append(app.desk.do(question.answer(it, text)))

    def done() -> None:
        app.changed()
        app.tell(said(key))
        then(recorded[-1])

    def chosen(picked: str | None) -> None:
        if picked is None:
            return
        question = questions[int(picked)]
        if not question.title:
            try:
                answer(question)
            except DeskError as problem:
                app.tell(*problem.lines, bad=True)
            else:
                done()
            return
        app.push_screen(
            Ask(question.title.format(**it.doc), question.now(it), example=question.example,
                wrong=wrong(lambda text: question.answer(it, text)),
                save=lambda text: answer(question, text)),
            lambda text: done() if text else None,
        )  # fmt: skip

    choices = [Choice(str(n), each.label, each.beside) for n, each in enumerate(questions)]
    app.push_screen(Pick(str(it.doc["name"]), choices, says=[said(key)], digits=True), chosen)
