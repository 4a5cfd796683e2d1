"""Saving a damaged ledger, telling whether one is sound, and copying one while others write there."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Iterator
from hashlib import sha256
from time import gmtime, strftime
from typing import Any, NamedTuple

from shopbins.ledger import endmark, salvage, unfinished
from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.endmark import End
from shopbins.ledger.events import Draft, Event, Tables, new_id, split_subject
from shopbins.ledger.files import Files, read_plain
from shopbins.ledger.journal import NAME, Journal, written
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.locking import busy
from shopbins.ledger.photofile import MOST_BYTES, photo_file
from shopbins.ledger.problems import Damaged, LedgerProblem
from shopbins.ledger.salvage import Salvaged
from shopbins.ledger.state import State


class Rescued(NamedTuple):
    """What a rescue saved, the name the damaged journal is kept by, and whether others have it open."""

    found: Salvaged
    kept: str
    open_elsewhere: bool


def damage(folder: str, prefix: str, files: Files | None = None) -> str:
    """Say what is damaged in a ledger's journal, '' where nothing is."""
    disk = files or Files()
    try:
        with Ledger.open(
            folder, prefix=prefix, readonly=True, create=False, strict=True, files=disk
        ) as ledger:
            return ledger.wrong_shape() or _gone_over(ledger)[0] or ledger.unfinished
    except Damaged as problem:
        return f"{problem.where}: {problem.what}"


def _gone_over(ledger: Ledger, tick: Callable[[], None] = lambda: None) -> tuple[str, Tables]:
    """Fold every record anew: return what changes what was not there, and the documents.

    Those a rescue has saved are not asked: where others are gone they need not fit.
    """
    state, wrong = State(prefix=ledger.prefix), ""
    events = ledger.events()
    rescued = max((each.seq for each in events if each.kind == salvage.KIND), default=0)
    for event in events:
        if not wrong and event.seq > rescued:
            wrong = _unfitting(state.tables, event)
        state.apply(event.after, event.seq, event.kind)
        tick()
    return wrong and f"{ledger.folder}/{NAME}: {wrong}", state.tables


def _unfitting(tables: Tables, event: Event) -> str:
    """Say what of a record does not fit what was there before it, '' where all does."""
    where = f"record {event.seq} is damaged or forged: it"
    for subject, fields in event.before.items():
        table, key = split_subject(subject)
        there = tables.get(table, {}).get(key)
        if fields is None:
            if there is not None:
                return f"{where} makes {subject}, which is there"
        elif there is None:
            return f"{where} changes {subject}, which is not there"
        elif event.after.get(subject) is not None:
            for name, value in fields.items():
                if (now := there.get(name)) != value:
                    return f"{where} changes {name} of {subject} from {value!s:.40}, which is {now!s:.40}"
    return ""


def _lost_photos(ledger: Ledger, tick: Callable[[], None] = lambda: None) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, doc in ledger.state.docs("photo").items():
        if wrong := _photo_problem(ledger.folder, key, doc):
            found[key] = wrong
        tick()
    return found


def losses(folder: str, prefix: str) -> list[str]:
    """Say what a ledger that is sound else has lost, or may have: photographs, unfinished records."""
    with Ledger.open(folder, prefix=prefix, readonly=True, create=False, strict=True) as ledger:
        return [*_lost_photos(ledger).values(), *ledger.doubts]


def record_losses(folder: str, by: str, prefix: str) -> list[str]:
    """Put these losses on record; photographs are no longer listed. Raises LedgerProblem.

    What there is of a damaged photograph stays where it is; unfinished records are kept as `damaged-...`.
    """
    files = Files()
    with Ledger.open(folder, by=by, prefix=prefix, create=False) as ledger:
        photos = _lost_photos(ledger)
        lost = [*photos.values(), *ledger.doubts]
        told = {"serial": ledger.state.last_serial, "gone": lost[:1000]}
        after: dict[str, dict[str, object] | None] = {f"photo:{key}": None for key in photos}
        if lost:
            ledger.transact(lambda _: Draft(salvage.KIND, {**after, f"rescue:{new_id()}": told}))
        for name in unfinished.set_aside(folder, files, unsaid=False):
            files.replace(f"{folder}/{name}", f"{folder}/damaged-{name}")
    return lost


def check_sound(folder: str, prefix: str) -> None:
    """Raise LedgerProblem where a ledger cannot be opened as it is."""
    Ledger.open(folder, prefix=prefix, readonly=True, create=False, strict=True).close()


def look(folder: str, prefix: str, files: Files | None = None) -> Salvaged:
    """Say what of a ledger can be saved; nothing is written. Raises LedgerProblem."""
    disk = files or Files()
    _check_ours(folder, disk)
    try:
        return salvage.salvage(folder, disk, prefix)
    except OSError as error:
        raise LedgerProblem(f"{folder}: cannot be read: {error.strerror or error}") from None


def _check_ours(folder: str, files: Files) -> None:
    """Refuse to save one shop's ledger out of another's journal."""
    end = endmark.read(folder, files)
    try:
        uuid = salvage.uuid_of(salvage.raw(folder, NAME, files))
    except OSError as error:
        raise LedgerProblem(f"{folder}/{NAME}: {error.strerror or error}") from None
    if end is not None and uuid and end.uuid != uuid:
        raise LedgerProblem(
            f"{folder}/{NAME}: is another shop's; put the right one back, or, if this is the right one, "
            f"take {endmark.NAME} and {snapshots.NAME} out of the folder"
        )


def rescue(folder: str, by: str, prefix: str, files: Files | None = None, timeout_s: float = 10.0) -> Rescued:
    """Put what can be saved in the journal's place; what was there is kept beside.

    Raises LedgerProblem, and LedgerBusy where somebody goes on writing there.
    """
    disk = files or Files()
    _check_ours(folder, disk)
    try:
        disk.make_folder(folder)  # where all that is left is the mark beside it
        with disk.lock(f"{folder}/lock", f"{by} (rescue)", timeout_s), _held(folder, disk, timeout_s):
            found = salvage.salvage(folder, disk, prefix)
            kept = _keep(folder, disk)
            uuid, temporary = new_id(), f"{folder}/{NAME}.new-{new_id()[:8]}"
            data = found.journal(uuid, by, strftime("%Y-%m-%dT%H:%M:%S.000Z", gmtime()), kept)
            written(temporary, data, disk)
            disk.replace(temporary, f"{folder}/{NAME}")
            disk.sync_folder(folder)
            last = data[data.rfind(b"\n", 0, -1) + 1 :][:32].decode()
            end = End(uuid, len(found.events) + 1, last, found.serial)
            endmark.write(f"{folder}/{endmark.NAME}", disk, end)
            endmark.write(folder + endmark.BESIDE, disk, end)
            if disk.exists(f"{folder}/{snapshots.NAME}"):
                disk.remove(f"{folder}/{snapshots.NAME}")
    except OSError as error:
        raise LedgerProblem(f"{folder}: not saved: {error.strerror or error}") from None
    return Rescued(found, kept, disk.others_at(folder))


@contextlib.contextmanager
def _held(folder: str, files: Files, timeout_s: float) -> Iterator[None]:
    """Hold the journal, if there is one: a program whose lock file was taken away may be writing there."""
    try:
        handle = files.open(f"{folder}/{NAME}", write=False)
    except OSError:
        yield
        return
    try:
        if not files.hold(handle, timeout_s):
            raise busy("somebody whose lock was taken away")
        yield
    finally:
        files.close(handle)


def _keep(folder: str, files: Files) -> str:
    """Copy the damaged files beside, durably; return the journal's new name ('' where it is missing)."""
    stem, kept = f"damaged-{strftime('%Y%m%dT%H%M%SZ', gmtime())}-{new_id()[:4]}", ""
    for name, ending in ((NAME, ".log"), (snapshots.NAME, ".snapshot"), (endmark.NAME, ".end")):
        if files.exists(f"{folder}/{name}"):
            written(f"{folder}/{stem}{ending}", salvage.raw(folder, name, files), files)
            kept = kept or (stem + ending if name == NAME else "")
    files.sync_folder(folder)
    return kept


def verify(folder: str, prefix: str, tick: Callable[[], None] = lambda: None) -> list[str]:
    """Check everything a ledger's folder holds; return what is damaged, one line each."""
    files = Files()
    wrong = damage(folder, prefix, files)
    if wrong:
        found = look(folder, prefix, files)
        return [wrong, *(str(each) for each in found.gone)]
    problems = []
    with Ledger.open(folder, prefix=prefix, readonly=True, create=False, strict=True) as ledger:
        if ledger.from_snapshot and _full(_gone_over(ledger, tick)[1]) != _full(ledger.state.tables):
            problems.append(f"{folder}/{snapshots.NAME}: is not what the journal comes to (remove it)")
        problems += [*_lost_photos(ledger, tick).values(), *ledger.doubts]
        problems += filter(None, [endmark.beside_problem(folder, files)])
        if ledger.seq and endmark.read(folder, files) is None:
            problems.append(
                f"{folder}/{endmark.NAME}: is missing, so nobody can tell whether the journal lost its end "
                "(recording anything makes it anew)"
            )
    snapshot = snapshots.load(folder, files)
    if snapshot is None and files.exists(f"{folder}/{snapshots.NAME}"):
        problems.append(f"{folder}/{snapshots.NAME}: is damaged; it is only a cache (remove it)")
    return problems


def _full(tables: Tables) -> Tables:
    return {name: docs for name, docs in tables.items() if docs}


def _photo_problem(folder: str, key: str, doc: Any) -> str:
    """Say what is wrong with a photograph, '' where nothing is: its name is the digest of its bytes."""
    path = photo_file(folder, key, doc)
    name = str(doc.get("name", ""))[:80] or key[:12]
    if path is None:
        return f"photograph '{name}': its record names no file of this folder"
    try:
        data = read_plain(path, MOST_BYTES)
    except FileNotFoundError:
        return f"photograph '{name}' is missing: {path}"
    except OSError as error:
        return f"photograph '{name}' cannot be read: {path}: {error.strerror or error}"
    if sha256(data).hexdigest() == key:
        return ""
    return f"photograph '{name}' is damaged (not the bytes that were kept): {path}"


class Copied(NamedTuple):
    """A copy: the number of its last record, and what is wrong with photographs that could not be copied."""

    seq: int
    lost: tuple[str, ...]


def backup(folder: str, target: str, prefix: str) -> Copied:
    """Copy a ledger into a new folder while others may write there.

    The copy holds every record that was there when it began, and verifies but for the photographs that are
    missing or damaged here. Raises LedgerProblem.
    """
    files = Files()
    if files.exists(target):
        raise LedgerProblem(f"{target}: is there already")
    with Ledger.open(folder, prefix=prefix, readonly=True, create=False, strict=True) as ledger:
        journal = Journal(folder, files, write=False)
        try:
            journal.read_new(locked=False)
            data, mark, uuid = journal.up_to_mark(), journal.mark, journal.uuid
        finally:
            journal.close()
        serial = ledger.state.last_serial
        try:
            files.make_folder(target)
            lost = _lost_photos(ledger)
            for key, doc in ledger.state.docs("photo").items():
                if key not in lost:
                    _copy_photo(folder, target, key, doc)
            written(f"{target}/{NAME}", data, files)
            endmark.write(f"{target}/{endmark.NAME}", files, End(uuid, mark.seq, mark.chain, serial))
            files.sync_folder(target)
        except OSError as error:
            raise LedgerProblem(f"{target}: not copied: {error.strerror or error}") from None
    wrong = verify(target, prefix)
    if len(wrong) > len(lost):
        raise LedgerProblem(f"{wrong[0]} (the copy does not verify)")
    return Copied(mark.seq, tuple(lost.values()))


def _copy_photo(folder: str, target: str, key: str, doc: object) -> None:
    source = photo_file(folder, key, doc)
    assert source is not None  # or it would be among those lost
    place = os.path.join(target, os.path.relpath(source, folder))  # noqa: PTH118
    os.makedirs(os.path.dirname(place), exist_ok=True)  # noqa: PTH103, PTH120
    written(place, read_plain(source, MOST_BYTES), Files())
