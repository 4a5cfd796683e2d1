"""Commands that keep the ledger itself: is it sound, a copy of it, saving a damaged one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from shopbins.cli.arguments import Arguments
from shopbins.cli.command import Command, Parser

if TYPE_CHECKING:
    from shopbins.cli.context import Context


def _nothing(_parser: Parser) -> None:
    """Take no arguments of its own."""


def _rescue_arguments(parser: Parser) -> None:
    parser.add_argument("--yes", action="store_true", help="save it (without: only say what can be saved)")


def _rescue(context: Context, args: Arguments) -> int:
    from shopbins.desk.opened import whoever
    from shopbins.desk.problems import translated
    from shopbins.ledger import rescue

    folder, prefix = context.ledger()
    with translated():
        wrong = rescue.damage(folder, prefix)
        if not wrong:
            return _rescue_losses(context, args, folder, prefix)
        kept, elsewhere = "", False
        if args.yes:
            found, kept, elsewhere = rescue.rescue(folder, args.by or whoever(), prefix)
        else:
            found = rescue.look(folder, prefix)
    data = {
        "damaged": wrong,
        "records": len(found.events),
        "gone": [str(each) for each in found.gone],
        "from_snapshot": found.snapshot_seq,
        "next_number": found.serial + 1,
        "saved": bool(args.yes),
        "kept": kept or None,
        "open_elsewhere": elsewhere,
    }
    lines = [f"damaged: {wrong}", f"{len(found.events)} records verify"]
    if found.snapshot_seq:
        lines.append(f"the snapshot knows everything up to record {found.snapshot_seq}")
    lines += [f"gone: {each}" for each in found.gone] or ["nothing is gone"]
    lines.append(f"new labels are numbered from {found.serial + 1} on, above every number ever seen")
    if args.yes:
        lines.append(f"saved; what was there is kept as {kept or 'it was'} in {folder}")
        lines.append("look through what is gone and record it again; then make a copy (shopbins backup)")
        if elsewhere:
            lines.append("another program has this ledger open: it goes on with what was saved, and says so")
    else:
        lines.append("nothing is changed yet; 'shopbins rescue --yes' saves this and keeps the damaged file")
    context.answer(data, lines)
    return 0


def _rescue_losses(context: Context, args: Arguments, folder: str, prefix: str) -> int:
    """Say what is lost, or may be, of a ledger that is sound else; with --yes put that on record."""
    from shopbins.desk.opened import whoever
    from shopbins.ledger import rescue

    if args.yes:
        lost = rescue.record_losses(folder, args.by or whoever(), prefix)
    else:
        lost = rescue.losses(folder, prefix)
    data = {"damaged": None, "gone": lost, "saved": bool(args.yes and lost)}
    lines = [f"{folder}: nothing is damaged" if not lost else "every record verifies"]
    lines += [f"gone: {each}" for each in lost]
    if lost:
        lines.append(
            "that is on record; lost photographs are no longer listed"
            if args.yes
            else "look whether it is there, else put it back from a copy or record it again; then "
            "'shopbins rescue --yes' puts the loss on record"
        )
    context.answer(data, lines)
    return 0


def _verify(context: Context, _args: Arguments) -> int:
    from shopbins.desk.problems import translated
    from shopbins.ledger import rescue, unfinished
    from shopbins.ledger.files import Files

    folder, prefix = context.ledger()
    with translated():
        wrong = rescue.verify(folder, prefix)
        aside = unfinished.set_aside(folder, Files(), unsaid=True)
    if wrong:
        context.problem(*wrong, "'shopbins rescue' says what can be saved")
        return 74
    lines = [f"{folder}: every record, the snapshot and the photographs verify"]
    lines += [f"kept aside: {name}, an unfinished record nobody was told is recorded" for name in aside]
    context.answer({"damaged": [], "aside": aside}, lines)
    return 0


def _backup_arguments(parser: Parser) -> None:
    parser.add_argument("folder", metavar="DIR", help="the new folder for the copy")


def _backup(context: Context, args: Arguments) -> int:
    from shopbins.desk.problems import NotDone, translated
    from shopbins.ledger import rescue
    from shopbins.outputs import check_output, write_output

    shop = context.shop_path()
    folder, prefix = context.ledger()
    target = Path(args.folder)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise NotDone(f"{target}: is there already (name a new folder)")
    with translated():
        check_output(target.absolute().parent / f".{target.name}.backup")
        rescue.check_sound(folder, prefix)
        there = target.exists()
        target.mkdir(exist_ok=True)
        try:
            write_output(target / shop.name, shop.read_bytes())
            copied = rescue.backup(folder, str(target / Path(folder).name), prefix)
        except BaseException:
            _take_away(target, there)
            raise
    data = {
        "shop": str(target / shop.name),
        "ledger": str(target / Path(folder).name),
        "seq": copied.seq,
        "missing": list(copied.lost),
    }
    but = "all but what is named below" if copied.lost else "it verifies"
    context.answer(data, [f"{target}: a copy up to record {copied.seq}; {but}"])
    if copied.lost:
        context.problem(*copied.lost, "'shopbins rescue' puts the loss of photographs on record")
        return 74
    return 0


def _take_away(folder: Path, keep: bool) -> None:
    """Take away what there is of a copy that failed; the folder itself too where it was not there."""
    import shutil

    for each in list(folder.iterdir()):
        if each.is_dir() and not each.is_symlink():
            shutil.rmtree(each, ignore_errors=True)
        else:
            each.unlink(missing_ok=True)
    if not keep:
        folder.rmdir()


COMMANDS = (
    Command(
        "rescue",
        ("shopbins rescue", "shopbins rescue --yes"),
        _rescue_arguments,
        _rescue,
        "What was there is kept beside. See docs/trouble.md.",
    ),
    Command(
        "verify",
        ("shopbins verify",),
        _nothing,
        _verify,
        "Exit status: 0 everything verifies, 74 something is damaged.",
    ),
    Command(
        "backup",
        ("shopbins backup copy-of-the-shop",),
        _backup_arguments,
        _backup,
        "The copy is checked; it can be opened like the original.",
    ),
)
