"""Saving a damaged ledger, telling whether one is sound, and copying one while others write there."""

from __future__ import annotations

import os
from collections.abc import Callable
from hashlib import sha256
from time import gmtime, strftime
from typing import NamedTuple

from shopbins.ledger import endmark, salvage
from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.endmark import End
from shopbins.ledger.events import Tables, fold, new_id
from shopbins.ledger.files import Files
from shopbins.ledger.journal import NAME, Journal, written
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import Damaged, LedgerProblem
from shopbins.ledger.salvage import Salvaged


class Rescued(NamedTuple):
    """What a rescue saved, and the name the damaged journal is kept by."""

    found: Salvaged
    kept: str


def damage(folder: str, prefix: str, files: Files | None = None) -> str:
    """Say what keeps a ledger from being opened, '' where nothing does."""
    try:
        with Ledger.open(
            folder, prefix=prefix, readonly=True, create=False, strict=True, files=files
        ) as ledger:
            return ledger.wrong_shape()
    except Damaged as problem:
        return f"{problem.where}: {problem.what}"


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


def rescue(folder: str, by: str, prefix: str, files: Files | None = None) -> Rescued:
    """Put what can be saved in the journal's place; what was there is kept beside. Raises LedgerProblem."""
    disk = files or Files()
    _check_ours(folder, disk)
    try:
        with disk.lock(f"{folder}/lock", f"{by} (rescue)", 10.0):
            found = salvage.salvage(folder, disk, prefix)
            kept = _keep(folder, disk)
            uuid, temporary = new_id(), f"{folder}/{NAME}.new-{new_id()[:8]}"
            data = found.journal(uuid, by, strftime("%Y-%m-%dT%H:%M:%S.000Z", gmtime()), kept)
            written(temporary, data, disk)
            disk.replace(temporary, f"{folder}/{NAME}")
            disk.sync_folder(folder)
            mark = endmark.EndMark(folder, disk)
            last = data[data.rfind(b"\n", 0, -1) + 1 :][:32].decode()
            mark.write(End(uuid, len(found.events) + 1, last, found.serial))
            mark.close()
            if disk.exists(f"{folder}/{snapshots.NAME}"):
                disk.remove(f"{folder}/{snapshots.NAME}")
    except OSError as error:
        raise LedgerProblem(f"{folder}: not saved: {error.strerror or error}") from None
    return Rescued(found, kept)


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
        tables: Tables = {}
        for event in ledger.events():
            fold(tables, event.after)
            tick()
        if _full(tables) != _full(ledger.state.tables):
            problems.append(f"{folder}/{snapshots.NAME}: is not what the journal comes to (remove it)")
        for key, doc in ledger.state.docs("photo").items():
            problems += _photo_problem(folder, key, doc)
            tick()
    snapshot = snapshots.load(folder, files)
    if snapshot is None and files.exists(f"{folder}/{snapshots.NAME}"):
        problems.append(f"{folder}/{snapshots.NAME}: is damaged; it is only a cache (remove it)")
    return problems


def _full(tables: Tables) -> Tables:
    return {name: docs for name, docs in tables.items() if docs}


def _photo_problem(folder: str, key: str, doc: object) -> list[str]:
    """Say what is wrong with a photograph: its name is the digest of its bytes."""
    from shopbins.ledger.photofile import photo_file

    path = photo_file(folder, key, doc)
    if path is None:
        return [f"{folder}: photograph {key[:12]}: its record names no file of this folder"]
    try:
        with open(path, "rb") as file:  # noqa: PTH123
            data = file.read()
    except OSError as error:
        return [f"{path}: {error.strerror or error}"]
    return [] if sha256(data).hexdigest() == key else [f"{path}: is damaged (not the bytes that were kept)"]


def backup(folder: str, target: str, prefix: str) -> int:
    """Copy a ledger into a new folder while others may write there; return the number of its last record.

    The copy holds every record that was there when it began, and verifies. Raises LedgerProblem.
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
            for doc in _photo_docs(ledger):
                _copy_photo(folder, target, doc)
            written(f"{target}/{NAME}", data, files)
            end = endmark.EndMark(target, files)
            end.write(End(uuid, mark.seq, mark.chain, serial))
            end.close()
            files.sync_folder(target)
        except OSError as error:
            raise LedgerProblem(f"{target}: not copied: {error.strerror or error}") from None
    wrong = verify(target, prefix)
    if wrong:
        raise LedgerProblem(f"{wrong[0]} (the copy does not verify)")
    return mark.seq


def _photo_docs(ledger: Ledger) -> list[tuple[str, object]]:
    return list(ledger.state.docs("photo").items())


def _copy_photo(folder: str, target: str, doc: tuple[str, object]) -> None:
    from shopbins.ledger.photofile import photo_file

    source = photo_file(folder, *doc)
    if source is None or not os.path.isfile(source):  # noqa: PTH113
        return
    place = os.path.join(target, os.path.relpath(source, folder))  # noqa: PTH118
    os.makedirs(os.path.dirname(place), exist_ok=True)  # noqa: PTH103, PTH120
    with open(source, "rb") as file:  # noqa: PTH123
        written(place, file.read(), Files())
