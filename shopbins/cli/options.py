"""Options of a command made from the fields of a record or an act, and the values they give."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import BadInput
from shopbins.ledger.problems import BadValue
from shopbins.records.kinds import YES, Kind
from shopbins.records.record import Field, Record

if TYPE_CHECKING:
    from shopbins.cli.arguments import Arguments
    from shopbins.cli.command import Parser
    from shopbins.records.record import Act


def add_options(parser: Parser, what: Record | Act, *names: str) -> None:
    """Add an option for each field that has one, once; only for those named, where any are."""
    done = {each for action in parser._actions for each in action.option_strings}
    for field in what.fields:
        if not field.option or field.option in done or (names and field.name not in names):
            continue
        done.add(field.option)
        if field.kind is YES:
            parser.add_argument(field.option, help=field.says, action="store_const", const="yes")
            continue
        many = field.many or len(_sharing(what.fields, field)) > 1
        parser.add_argument(
            field.option, help=field.says, metavar=field.metavar or field.kind.metavar,
            action="append" if many else "store",
        )  # fmt: skip


def values(args: Arguments, what: Record | Act) -> dict[str, Any]:
    """Return what the options say, as typed; an option of several fields is read as a part of the line.

    BadInput names the option that cannot be read.
    """
    found: dict[str, Any] = {}
    for field in what.fields:
        given = getattr(args, field.option.lstrip("-").replace("-", "_"), None)
        if not field.option or given is None:
            continue
        for text in given if isinstance(given, list) else [given]:
            if not text.strip():
                found[field.name] = [] if field.many else None  # an empty value takes it back
                continue
            try:
                read = _read(what, field, text)
            except BadValue as problem:
                raise BadInput(f"{field.option}: {problem}") from None
            for name, value in read.items():
                many = any(each.many for each in what.fields if each.name == name)
                found[name] = [*found.get(name, ()), value] if many else value
    return found


def typed(kind: Kind, text: str, what: str) -> Any:
    """Read a value of a kind that is no option of an act; BadInput says of what, and what is wrong."""
    try:
        return kind.read(text, date.today())
    except BadValue as problem:
        raise BadInput(f"{what}: {problem}") from None


def _sharing(fields: Sequence[Field], field: Field) -> list[Field]:
    return [each for each in fields if each.option == field.option]


def _read(what: Record | Act, field: Field, text: str) -> dict[str, Any]:
    names = [each.name for each in _sharing(what.fields, field)]
    if len(names) == 1:
        return {field.name: field.kind.read(text, date.today())}
    assert isinstance(what, Record)
    found = what.read_part(f"{field.option.lstrip('-')} {text}", date.today())
    if not found.keys() <= set(names):
        raise BadValue(f"'{text}' cannot be read ({field.says})")
    return found
