"""What a record is: its fields, its acts and the line it is typed in, as data.

The command's options, the typed line and how it was understood, the dialogs, the checks and the words of the
history are made from these. An act called with values as typed gives a `Wanted`; `Desk.do` has its names
understood, judges several together and records one event of them, or nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest
from typing import Any, NamedTuple

from shopbins.ledger.events import Draft, new_id
from shopbins.ledger.problems import BadValue, Refused
from shopbins.ledger.state import State
from shopbins.records.kinds import TEXT, Kind, Names

Values = Mapping[str, Any]
Work = Callable[[State], Draft]


@dataclass(frozen=True, slots=True)
class Field:
    """One thing known of a record: its name in the document, its kind, the sentence that explains it.

    `option` is how the command line calls it ('' where only the program sets it), `label` the row of a form
    where that is no plain word; `said` how an understood line repeats it ('{shown}' as its kind shows it;
    with a blank first: joined to what stands before it; '' never), `unsaid` what that says where it was not
    given.
    """

    name: str
    kind: Kind
    says: str = ""
    option: str = ""
    metavar: str = ""
    many: bool = False
    said: str = "{}"
    unsaid: str = ""
    default: Any = None
    label: str = ""

    def read(self, value: Any, names: Names, today: date) -> Any:
        """Return a value as a document has it, before its check: text is read, a name understood.

        None and an empty text take it back.
        """
        if value is None or value == "":
            return None
        if not self.many:
            found = self._one(value, names, today)
            return found[0] if self.kind.thing else found
        each = [self._one(item, names, today) for item in ([value] if isinstance(value, str) else value)]
        return [key for keys in each for key in keys] if self.kind.thing else each

    def _one(self, value: Any, names: Names, today: date) -> Any:
        if not isinstance(value, str):
            return [value] if self.kind.thing else value
        read = self.kind.read(value, today)
        return names.called(self.kind.thing, read) if self.kind.thing else read


@dataclass(frozen=True, slots=True)
class Act:
    """One thing people do: the kind of its event, how the history says it, its draft, the table it is about.

    `draft(state, key, **values)` judges and gives the change; without `key` where something new is made.
    `thing` is the kind of what the key names, so that a script or a command may give a name; `fields` say how
    its values are typed. A `signed` act keeps who did it and on which day: `draft` takes `by` and `on` too.
    """

    kind: str
    did: str
    draft: Callable[..., Draft]
    table: str
    fields: tuple[Field, ...] = ()
    thing: Kind | None = None
    signed: bool = False

    def __call__(self, key: str | None = None, **values: Any) -> Wanted:
        """Return the act with its values as typed: nothing is looked up yet."""
        return Wanted(self, key, values)


@dataclass(frozen=True, slots=True)
class Wanted:
    """An act somebody wants done, its key and its values as typed."""

    act: Act
    key: str | None
    values: Values

    def meant(self, names: Names, today: date) -> Work:
        """Return what drafts it, with every name understood; raises BadValue and what `names` does."""
        fields = {each.name: each for each in self.act.fields}
        known = {
            name: fields[name].read(value, names, today) if name in fields else value
            for name, value in self.values.items()
        }
        if self.act.signed:
            known = {"by": names.by, "on": today.isoformat(), **known}
        if self.key is None:
            return lambda state: self.act.draft(state, **known)
        key = names.called(self.act.thing.thing, self.key)[0] if self.act.thing else self.key
        return lambda state: self.act.draft(state, key, **known)


@dataclass(frozen=True, slots=True)
class Record:
    """A kind of record: its table, fields, and the shapes its typed line is read by, first match first.

    A line is parts, divided by `divider`. `lead` has the shapes of those it begins with, in their order
    (`begins` says so where one is missing); the others are told by the first of `shapes` they have. A shape's
    named groups are fields. `slips` are shapes that are easily mistaken, each with what is said of it.

    `lacks` says what a whole document still needs; `settle` judges what is set by the state and the document
    as it was, and completes it; `about` says which subjects an act also concerns.
    """

    table: str
    noun: str
    example: str
    fields: tuple[Field, ...]
    shapes: tuple[str, ...]
    lacks: Callable[[Values], str] = lambda _doc: ""
    settle: Callable[[State, dict[str, Any], Values], dict[str, Any]] = lambda _state, new, _old: new
    about: Callable[[State, Values], tuple[str, ...]] = lambda _state, _doc: ()
    lead: tuple[str, ...] = (r"(?P<name>.+)",)
    begins: str = "the name comes first"
    divider: str = ","
    slips: tuple[tuple[str, str], ...] = ()

    def field(self, name: str) -> Field:
        """Return the field with this name; BadValue where there is none."""
        for each in self.fields:
            if each.name == name:
                return each
        raise BadValue(f"{self.noun} has no {name!r} that could be set")

    def checked(self, given: Values) -> dict[str, Any]:
        """Return values as they are kept; None, or an empty text, is absent."""
        doc: dict[str, Any] = {}
        for name, value in given.items():
            field = self.field(name)
            what = f"{self.noun}'s {name.replace('_', ' ')}"
            if value is None:
                doc[name] = None
            elif field.many:
                doc[name] = [field.kind.check(each, what) for each in _once(value)] or None
            else:
                doc[name] = field.kind.check(value, what)
        return doc

    def known(self, state: State, key: str) -> Values:
        """Return a document; Refused where there is none."""
        found = state.docs(self.table).get(key)
        if found is None:
            raise Refused(f"there is no such {self.table} any more")
        return found

    # -- the two acts every record has

    def add(self, state: State, name: str, **values: Any) -> Draft:
        """Draft a new one; its first subject is it."""
        defaults = {f.name: f.default for f in self.fields if f.default is not None}
        doc = self.settle(state, {**defaults, **self.checked({"name": name, **values})}, {})
        kept = {each: value for each, value in doc.items() if value is not None}
        self.check_whole(kept)
        return Draft(f"add {self.table}", {f"{self.table}:{new_id()}": kept}, self.about(state, kept))

    def change(self, state: State, key: str, **values: Any) -> Draft:
        """Draft a change of one."""
        old = self.known(state, key)
        if not values:
            raise BadValue("nothing to change was given")
        new = self.settle(state, self.checked(values), old)
        whole = {**old, **new}
        self.check_whole(whole)
        return Draft(f"set {self.table}", {f"{self.table}:{key}": new}, self.about(state, whole))

    def acts(self, thing: Kind | None = None, noun: str = "") -> tuple[Act, Act]:
        """Return the acts every record has: add and set; `thing` is the kind of its key, `noun` its name."""
        called = noun or self.table
        return (
            Act(f"add {self.table}", f"added {called}", self.add, self.table, self.fields),
            Act(f"set {self.table}", f"changed {called}", self.change, self.table, self.fields, thing),
        )

    def check_whole(self, doc: Values) -> None:
        """Raise BadValue where a document lacks something."""
        unnamed = self.fields[0].name == "name" and not doc.get("name")
        problem = f"say what {self.noun} is called" if unnamed else self.lacks(doc)
        if problem:
            raise BadValue(problem)

    # -- its typed line

    def read(self, text: str, today: date) -> dict[str, Any]:
        """Read 'name, part, part' into values as typed; BadValue says which part cannot be read."""
        parts = [part.strip() for part in text.split(self.divider)]
        values: dict[str, Any] = {}
        for shape, part in zip_longest(self.lead, parts[: len(self.lead)], fillvalue=""):
            if not part:
                raise BadValue(f"{self.begins}: '{self.example}'")
            self._take(self._read_by((shape,), part, today), values, part)
        self._read_on(parts[len(self.lead) :], values, today)
        if not values:
            raise BadValue(f"as: {self.example}")
        return values

    def _read_on(self, parts: Iterable[str], values: dict[str, Any], today: date) -> None:
        for part in filter(None, parts):
            self._take(self.read_part(part, today), values, part)

    def read_new(self, text: str, today: date) -> dict[str, Any]:
        """Read the line of a new one; BadValue also where it needs more."""
        values = self.read(text, today)
        self.check_whole(values)
        return values

    def read_more(self, text: str, today: date) -> dict[str, Any]:
        """Read the parts of a line about one that is known."""
        values: dict[str, Any] = {}
        self._read_on([part.strip() for part in text.split(self.divider)], values, today)
        return values

    def read_fields(self, text: str, today: date, *names: str) -> dict[str, Any]:
        """Read fields typed one behind the other, divided by ';'."""
        parts = zip(names, text.split(";", len(names) - 1), strict=False)
        return {n: self.field(n).kind.read(part.strip(), today) for n, part in parts if part.strip()}

    def read_part(self, part: str, today: date) -> dict[str, Any]:
        """Read one part of a line by the first shape it has."""
        for shape, said in self.slips:
            if re.fullmatch(shape, part, re.I):
                raise BadValue(f"'{part}': {said}")
        return self._read_by(self.shapes, part, today)

    def _read_by(self, shapes: Iterable[str], part: str, today: date) -> dict[str, Any]:
        for shape in shapes:
            if found := re.fullmatch(shape, part, re.I):
                given = found.groupdict()
                return {n: self.field(n).kind.read(v or "", today) for n, v in given.items() if v is not None}
        raise BadValue(f"'{part}' cannot be read, as in: '{self.example}'")

    def _take(self, found: Values, values: dict[str, Any], part: str) -> None:
        for name, value in found.items():
            if self.field(name).many:
                values[name] = [*values.get(name, ()), value]
            elif name not in values:
                values[name] = value
            elif self.field(name).kind is TEXT:
                values[name] = f"{values[name]}, {value}"
            else:
                raise BadValue(f"'{part}' would be a second {name.replace('_', ' ')}")

    def rows(self, values: Values) -> dict[str, str]:
        """Return what each field's row of a form shows of values as typed; several are divided by ';'."""
        shown = {}
        for field in self.fields:
            value = values.get(field.name)
            each = [] if value is None else value if field.many else [value]
            shown[field.name] = "; ".join(field.kind.show(v) for v in each)
        return shown

    def parts(self, name: str, text: str) -> list[str]:
        """Return the values typed in a form's row; several are divided by ';'."""
        each = text.split(";") if self.field(name).many else [text]
        return [part.strip() for part in each if part.strip()]

    def read_rows(self, rows: Mapping[str, str], today: date) -> dict[str, Any]:
        """Read a form's rows into values as typed; an empty row says nothing. BadValue names the row."""
        values: dict[str, Any] = {}
        for name, text in rows.items():
            field = self.field(name)
            try:
                read = [field.kind.read(part, today) for part in self.parts(name, text)]
            except BadValue as problem:
                raise BadValue(f"{name.replace('_', ' ')}: {problem}") from None
            if read:
                values[name] = read if field.many else read[0]
        return values

    def understood(self, values: Values) -> str:
        """Say how a line was understood, what is not known and matters included."""
        said = []
        for field in self.fields:
            value = values.get(field.name)
            if value is None:
                said.append(field.unsaid)
            elif field.said:
                each = value if field.many else [value]
                said += [
                    field.said.format(*(v if isinstance(v, tuple) else (v,)), shown=field.kind.show(v))
                    for v in each
                ]
        return " · ".join(filter(None, said)).replace(" ·  ", " ")


class Known(dict[str, Any]):
    """A document for words with its fields in them: what is not known is left out."""

    def __missing__(self, name: str) -> str:
        return ""


class About(NamedTuple):
    """The record a question is about, and the day it is asked."""

    key: str
    doc: Values
    state: State
    today: date

    def say(self, words: str) -> str:
        """Return words with the record's fields in them."""
        return words.format_map(Known(self.doc))

    @property
    def day(self) -> str:
        """Today, as documents have it."""
        return self.today.isoformat()


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to say of a record: answered at once, or (with a `title`) by a line typed.

    `now` is what stands in that line before anything is typed: what is known already. `when` says of which
    records it is asked, `why` what wants a reason first ('' nothing does), `done` what is said then (else how
    the record stands). In the words '{name}' is a field of the record.
    """

    label: str
    answer: Callable[[About, str], Wanted]
    beside: str = ""
    title: str = ""
    example: str = ""
    now: Callable[[About], str] = lambda _it: ""
    when: Callable[[About], bool] = lambda _it: True
    why: Callable[[About, str], str] = lambda _it, _text: ""
    done: str = ""


def together(state: State, works: Iterable[Work]) -> Draft:
    """Return one draft of several, each judged on what the ones before it make of the state.

    The same kind several times is said once. Refused where one sets what another deletes.
    """
    first, *rest = works
    draft = first(state)
    for work in rest:
        ahead = state.copy()
        ahead.apply(draft.after, state.seq)
        draft = _joined(draft, work(ahead))
    return draft


def _joined(draft: Draft, more: Draft) -> Draft:
    after = {**draft.after}
    for subject, fields in more.after.items():
        known = after.get(subject)
        if subject in after and (fields is None or known is None):
            raise Refused(f"one of these acts would delete what another changes: {subject.partition(':')[0]}")
        after[subject] = fields if known is None or fields is None else {**known, **fields}
    kinds = dict.fromkeys((*draft.kind.split(" + "), more.kind))
    return Draft(" + ".join(kinds), after, (*draft.also, *more.also))


def _once(values: Iterable[Any]) -> list[Any]:
    """Return values in their order, each once; they need not be hashable."""
    found: list[Any] = []
    for each in values:
        if each not in found:
            found.append(each)
    return found
