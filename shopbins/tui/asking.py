"""Asking for what a record says: its line typed, or one of its questions. Made from the records' data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.ledger.problems import BadValue
from shopbins.records.record import About
from shopbins.tui.dialogs.ask import Ask
from shopbins.tui.dialogs.pick import Choice, Pick

if TYPE_CHECKING:
    from shopbins.ledger.events import Event
    from shopbins.records.record import Act, Question, Record
    from shopbins.tui.host import Host


def wrong(read: Callable[[str], Any]) -> Callable[[str], str | None]:
    """Return what says in a line what cannot be read."""

    def said(text: str) -> str | None:
        try:
            read(text)
        except BadValue as problem:
            return str(problem)
        return None

    return said


def ask_new(app: Host, record: Record, act: Act, title: str, said: Callable[[str], str]) -> None:
    """Ask for a new one in one line; `said` says by its key how it stands then."""

    def given(text: str | None) -> None:
        if text:
            app.attempt(
                lambda: app.desk.do(act(**record.read_new(text, app.today()))),
                lambda event: said(event.subjects[0].partition(":")[2]),
            )

    read = wrong(lambda text: record.read_new(text, app.today()))
    app.push_screen(Ask(title, example=record.example, wrong=read), given)


def ask_about(
    app: Host, record: Record, questions: Sequence[Question], key: str, said: Callable[[str], str],
    then: Callable[[Event], None] = lambda _event: None,
) -> None:  # fmt: skip
    """Ask what there is to say of one: a digit picks the question; `then` is told what was recorded."""
    it = About(key, record.known(app.desk.state, key), app.desk.state, app.today())

    def answer(question: Question, text: str = "") -> None:
        event = app.attempt(lambda: app.desk.do(question.answer(it, text)), lambda _: said(key))
        if event is not None:
            then(event)

    def chosen(picked: str | None) -> None:
        if picked is None:
            return
        question = questions[int(picked)]
        if not question.title:
            answer(question)
            return
        app.push_screen(
            Ask(question.title.format(**it.doc), question.now(it), example=question.example,
                wrong=wrong(lambda text: question.answer(it, text))),
            lambda text: answer(question, text) if text else None,
        )  # fmt: skip

    choices = [Choice(str(n), each.label, each.beside) for n, each in enumerate(questions)]
    app.push_screen(Pick(str(it.doc["name"]), choices, says=[said(key)], digits=True), chosen)
