"""Commands about what a group is: taken off, changed, split, merged; and the machines it came off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from shopbins.cli.arguments import Arguments, UsageError
from shopbins.cli.command import Command, Parser
from shopbins.cli.options import add_options, values
from shopbins.ledger.whereabouts import whereabouts
from shopbins.records import machine
from shopbins.records.group import CHANGE, DESCRIBE, GROUP, MERGE, SPLIT
from shopbins.strip.told import introduce

if TYPE_CHECKING:
    from shopbins.cli.context import Context
    from shopbins.desk import Desk
    from shopbins.ledger.model import Group, Size
    from shopbins.records.moving import Moving
    from shopbins.records.record import Wanted


LATER = ("name", "elsewhere")
"""What is only set later, or no option of what comes off."""


def _fields(args: Arguments) -> dict[str, Any]:
    """Return what the options say of a group, only what was given."""
    from shopbins.ledger.details import checked_details

    fields = values(args, GROUP)
    for name, value in fields.items():
        if value is None and name not in ("size", "mass"):
            fields[name] = () if name == "origin" else ""
    if "details" in fields:
        fields["details"] = checked_details(dict(fields["details"]))
    if "cautions" in fields:
        fields["cautions"] = tuple(fields["cautions"])
    return fields


def _take_arguments(parser: Parser) -> None:
    parser.add_argument("name", metavar="NAME", help="what came off, in your words")
    add_options(parser, GROUP, *(each.name for each in GROUP.fields if each.name not in LATER))
    parser.add_argument("--code", metavar="BLANK", help="the code of a blank label now stuck on it")


def _take(context: Context, args: Arguments) -> int:
    fields = _fields(args)
    fields.pop("name", None)
    desk = context.desk()
    if fields.get("cautions"):
        from shopbins.rules.partcautions import first_steps, said

        context.before(
            said(first_steps(fields["cautions"], fields.get("details", {}).get("made"), desk.shop))
        )
    heed = desk.heed_before_taking(args.name, fields.get("origin", ()))
    context.lines(f"   {each}" for each in (() if context.json else heed))
    known = desk.recorded_as(args.name, fields.get("origin", ()))
    context.problem(*filter(None, [desk.new_machine(fields.get("origin", ()))]))
    group = desk.take(args.name, blank=args.code, **fields)
    context.problem(*recorded_before(desk, known))
    data = {"id": group.id, "code": group.code, "seq": desk.seq}
    context.answer(data, [f"{group.code}  {introduce(desk.state, group.id)}"])
    return 0


def recorded_before(desk: Desk, known: Sequence[Group]) -> list[str]:
    """Say which groups had the name already: the new record may be a second one of the same thing."""
    return [
        f"{each.shown} was recorded already: {each.code}, {whereabouts(desk.state, each.where)}"
        f" (if it is that one: shopbins undo, then shopbins put {each.code} PLACE)"
        for each in known[:3]
    ]


def _set_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part, by its code or name")
    add_options(parser, GROUP)
    parser.add_argument(
        "--moving",
        metavar="KEY=VALUE",
        action="append",
        help="what matters when it is moved (may be repeated)",
    )
    parser.add_argument(
        "--as", dest="became", metavar="WORD", default="", help="what became of other pieces (see correct)"
    )
    parser.add_argument(
        "--reason",
        metavar="WHY",
        default="",
        help="why, where a number, machine or part is corrected, or a decision or an order of work is left",
    )


def _set(context: Context, args: Arguments) -> int:
    fields = _fields(args)
    if not fields and not args.moving:
        raise UsageError("shopbins set: nothing to set was given (see shopbins set --help)")
    desk = context.desk()
    group = desk.names.group(args.group)
    if fields.get("origin"):
        context.problem(*filter(None, [desk.new_machine(fields["origin"])]))
        fields["origin"] = desk.as_named(fields["origin"])
    moving = _moving(desk, group, args.moving, fields.get("size", group.size)) if args.moving else None
    context.problem(*desk.change_warnings(group, fields))
    wanted = _corrections(desk, group, fields, args)
    wanted += [CHANGE(group.id, **fields)] if fields else []
    if moving is not None:
        wanted.append(DESCRIBE(group.id, moving=moving))
    seq = desk.do(*wanted).seq
    if moving is not None or "size" in fields or "mass" in fields:
        from shopbins.desk.moving import contradicted
        from shopbins.records.moving import moving_of

        context.problem(*filter(None, [contradicted(desk, group.id)]))
        doubt = moving_of(desk.state.group(group.id)).in_doubt
        context.problem(*(f"{', '.join(keys)} of {group.shown} {asked}" for keys, asked in doubt))
    context.answer({"seq": seq}, [f"{group.code}  {introduce(desk.state, group.id)}"])
    return 0


def _corrections(desk: Desk, group: Group, fields: dict[str, Any], args: Arguments) -> list[Wanted]:
    """Return what of `set` is a count or a correction, and take it out of the fields."""
    from shopbins.records import pieces
    from shopbins.records.acts import needs_reason, order_left

    if "counted" in fields and fields["counted"] == "" and group.counted in ("assumed", "later"):
        qty = fields.pop("qty", None)
        del fields["counted"]
        if qty is not None and qty != group.qty and not args.became:
            raise UsageError(
                f"shopbins set: {qty} counted where {group.qty} were: say with --as what became of the rest"
            )
        return [pieces.COUNT(group.id, qty=qty, became=args.became.strip().lower(), reason=args.reason)]
    why = needs_reason(group, fields)
    if why is None:
        if left := order_left(group, fields.get("disposition", group.disposition)):
            if not args.reason.strip():
                raise UsageError(f"shopbins set: {left} (--reason WHY)")
            fields["reason"] = args.reason
        return []
    if not args.reason.strip():
        raise UsageError(f"shopbins set: {why} (--reason WHY)")
    if len(fields) > 1:
        raise UsageError("shopbins set: what is corrected is set by itself")
    if "qty" in fields:
        if not args.became.strip():
            raise UsageError("shopbins set: say with --as what became of the pieces (see shopbins correct)")
        became = args.became.strip().lower()
        return [pieces.CORRECT(group.id, qty=fields.pop("qty"), became=became, reason=args.reason)]
    if "origin" in fields:
        path = desk.known_origin(fields.pop("origin"))
        return [pieces.ORIGIN(group.id, origin=path, reason=args.reason)]
    fields.clear()
    return [pieces.NO_PART(group.id, reason=args.reason)]


def _moving(desk: Desk, group: Group, texts: Sequence[str], size: Size | None) -> Moving:
    """Return what is known of a group for moving it, with what was typed, at the size it then has."""
    from shopbins.desk.movewords import told
    from shopbins.records.moving import checked_moving, moving_of, resized

    before = resized(moving_of(group), group.size, size)
    return checked_moving(told(before, texts, lambda text: desk.names.group(text).id))


def _split_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part, by its code or name")
    add_options(parser, SPLIT)


def _split(context: Context, args: Arguments) -> int:
    if (args.qty is None) == (args.into is None) and not args.beyond:
        raise UsageError("shopbins split: give either --qty or --into (see shopbins split --help)")
    desk = context.desk()
    group = desk.names.group(args.group)
    context.problem(*desk.set_warnings([group.id], "split"))
    event = desk.do(SPLIT(group.id, **values(args, SPLIT)))
    ids = [each.partition(":")[2] for each in event.after if each.startswith("group:")]
    new = [desk.state.group(each) for each in ids if each != group.id]
    lines = [f"{each.code}  {introduce(desk.state, each.id)}" for each in (desk.state.group(group.id), *new)]
    context.answer({"seq": event.seq, "codes": [each.code for each in new]}, lines)
    return 0


def _merge_arguments(parser: Parser) -> None:
    parser.add_argument("group", metavar="CODE|NAME", help="the part that stays")
    parser.add_argument("others", metavar="CODE|NAME", nargs="+", help="those that become part of it")
    add_options(parser, MERGE)


def _merge(context: Context, args: Arguments) -> int:
    desk = context.desk()
    ids = [desk.names.group(each).id for each in (args.group, *args.others)]
    seq = desk.do(MERGE(group_ids=ids, **values(args, MERGE))).seq
    kept = desk.state.group(ids[0])
    context.answer({"seq": seq, "code": kept.code}, [f"{kept.code}  {introduce(desk.state, kept.id)}"])
    return 0


def _machine_arguments(parser: Parser) -> None:
    parser.add_argument("key", metavar="KEY", nargs="?", help="the machine; without it all are listed")
    add_options(parser, machine.ADD)


def _machine(context: Context, args: Arguments) -> int:
    fields = values(args, machine.ADD)
    if args.key is None:
        if fields:
            raise UsageError("shopbins machine: KEY is missing (see shopbins machine --help)")
        return _machines(context)
    desk = context.desk()
    act = machine.SET if args.key in desk.state.machines() else machine.ADD
    event = desk.do(act(args.key, **fields))
    context.answer({"key": args.key, "seq": event.seq}, [f"{args.key}: recorded"])
    return 0


def _machines(context: Context) -> int:
    from shopbins.lists.groups import MACHINES, machines

    desk = context.desk(readonly=True)
    return context.listed(MACHINES, machines(desk.state, desk.shop))


COMMANDS = (
    Command(
        "take",
        (
            'shopbins take "valve guides" --origin "engine > top end > head 2" --container bag --qty 4',
            'shopbins take "engine bearer" --size 1600x120x110mm --mass "about 45 kg"',
            'shopbins take "oil gauge" --code ZRW0070U',
        ),
        _take_arguments,
        _take,
        "A name is enough: what is not known stays unknown.",
    ),
    Command(
        "set",
        (
            'shopbins set "flywheel" --mass 131.5kg --disposition remachine',
            'shopbins set "engine block" --moving opening=500mm --moving under=110mm --moving cg=20,0',
            "shopbins set ZRW01858 --size unknown",
        ),
        _set_arguments,
        _set,
    ),
    Command(
        "split",
        (
            'shopbins split "valve springs, inlet" --qty 1',
            'shopbins split "old impellers" --into "impeller, worn" --into "impeller, torn"',
        ),
        _split_arguments,
        _split,
    ),
    Command(
        "merge",
        ("shopbins merge ZRW01061 ZRW0108Y",),
        _merge_arguments,
        _merge,
    ),
    Command(
        "machine",
        ("shopbins machine", 'shopbins machine "engine" --owner "Harbour Trust" --job 2031'),
        _machine_arguments,
        _machine,
    ),
)
