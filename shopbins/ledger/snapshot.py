"""The snapshot: the fold written out, so that opening need not go through the whole journal.

A cache: it may be deleted at any time, is made anew when needed, and is used only while the journal up to
where it was made is byte for byte the same. Written beside, flushed, then put in place at once. It needs no
lock: should two programs write it at the same time, its sums tell whether what came of it is whole.
"""

from __future__ import annotations

import contextlib
import errno
import gc
import json
from collections.abc import Callable, Iterator
from typing import NamedTuple
from zlib import crc32

from shopbins.ledger.events import Tables
from shopbins.ledger.files import Files, write_all
from shopbins.ledger.journal import ReadMark, digits

NAME = "snapshot.json"
_MANY_OBJECTS = 50_000
FOLD = 2  # raise it when the same events come to fold to other documents


class Snapshot(NamedTuple):
    """A fold and the place in the journal it was made at."""

    uuid: str
    mark: ReadMark
    serial: int
    tables: Tables
    body_size: int = 0


@contextlib.contextmanager
def collector_off() -> Iterator[None]:
    """Keep the garbage collector from walking 100,000 new documents again and again as they are made.

    Afterwards they are set apart from it for good (`gc.freeze`): documents hold no circles, and walking them
    now and then would hold up the keys. When they are dropped they go as everything else does.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            if gc.get_count()[0] > _MANY_OBJECTS:
                gc.freeze()
            gc.enable()


def load(folder: str, files: Files) -> Snapshot | None:
    """Read the snapshot, None where there is none or it is not whole."""
    try:
        handle = files.open(f"{folder}/{NAME}", write=False)
        try:
            data = files.read(handle, 0, files.size(handle))
        finally:
            files.close(handle)
    except OSError:
        return None
    try:
        return _parse(data)
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def _parse(data: bytes) -> Snapshot | None:
    end = data.find(b"\n")
    payload = data[33:end]
    if end < 0 or data[:32] != digits(b"", payload):
        return None
    head = json.loads(payload)
    body = memoryview(data)[end + 1 :]
    if head["fold"] != FOLD or len(body) != head["body_size"] or crc32(body) != head["body_crc"]:
        return None
    with collector_off():
        tables = json.loads(str(body, "utf-8"))
    mark = ReadMark(head["seq"], head["size"], head["lines"], head["last"], head["chain"], head["crc"])
    return Snapshot(head["uuid"], mark, head["serial"], tables, len(body))


def save(folder: str, files: Files, snapshot: Snapshot, beside: Callable[[], bool] = lambda: True) -> int:
    """Write the snapshot durably in place of the last one and return its size; raises OSError.

    `beside` tells whether the journal it was made from is still in the folder of that name.
    """
    if not beside():
        raise FileNotFoundError(errno.ENOENT, "the journal is not in its place", folder)
    with collector_off():
        body = json.dumps(snapshot.tables, ensure_ascii=False, separators=(",", ":")).encode()
    mark = snapshot.mark
    head = {
        "format": "shopbins snapshot",
        "fold": FOLD,
        "uuid": snapshot.uuid,
        "seq": mark.seq,
        "size": mark.size,
        "lines": mark.lines,
        "last": mark.last,
        "chain": mark.chain,
        "crc": mark.crc,
        "serial": snapshot.serial,
        "body_size": len(body),
        "body_crc": crc32(body),
    }
    payload = json.dumps(head, separators=(",", ":")).encode()
    temporary = f"{folder}/{NAME}.new"
    handle = files.create(temporary)
    try:
        first_line = b"%b %b\n" % (digits(b"", payload), payload)
        write_all(files, handle, first_line)
        write_all(files, handle, body, len(first_line))
        files.sync(handle)
    finally:
        files.close(handle)
    if not beside():
        files.remove(temporary)
        raise FileNotFoundError(errno.ENOENT, "the journal is not in its place", folder)
    files.replace(temporary, f"{folder}/{NAME}")
    files.sync_folder(folder)
    return len(body)
