"""The journal: an append-only file of events, each line checksummed together with the line before.

    <32 hex digits> <compact JSON>\\n

The digits are BLAKE2b (16 bytes) over the digits of the line before, a space, and the JSON. The first line is
a header with the ledger's UUID. A record counts once its line is whole and on the disk; what a crash leaves
of an unfinished last line is set aside in a file of its own, never deleted. Anything else that does not add
up is damage: it is named by file and line, and nothing is written.

A program that goes on writing makes room ahead, filled with zeros, and cuts it off again when it ends: the
flush of a record then need not make the file's new length durable as well, a third of its time.
"""

from __future__ import annotations

import contextlib
import errno
import json
from collections.abc import Iterator
from time import gmtime, strftime, time_ns
from typing import NamedTuple
from zlib import crc32

from shopbins.ledger import endmark
from shopbins.ledger.events import Event, decode, encode, new_id
from shopbins.ledger.files import Files, write_all
from shopbins.ledger.locking import busy
from shopbins.ledger.problems import Damaged, LedgerProblem
from shopbins.ledger.unfinished import TORN, UNSAID, in_doubt

try:
    from _blake2 import blake2b  # hashlib's own, without waiting 4 ms for OpenSSL at every command
except ImportError:
    from hashlib import blake2b

NAME = "journal.log"
FORMAT = "shopbins journal"
VERSION = 1
_CHUNK, _PEEK = 1 << 16, 1 << 12
_CLOCK_STEP_NS = 100_000_000  # more than the steps in which file systems count time
_COARSE_STEP_NS = 2_100_000_000  # those that count whole seconds, or two
_ROOM, _ROOM_AFTER = 1 << 16, 8  # bytes, and records written before any room is made
_MOST_ZEROS = 2 * _ROOM  # at the end: room, and a record the disk kept the length of but not the bytes
_STILL_COPYING_S = 0.05
_STRETCH = 1 << 20  # how much is looked over at a time of what was read before
FULL = frozenset((errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC), errno.EFBIG))
UNTIL = "nothing more is written until the ledger is opened again"


class ReadMark(NamedTuple):
    """How far a journal was read: events, bytes, lines, the last line's length and digits, CRC-32 of all."""

    seq: int
    size: int
    lines: int
    last: int
    chain: str
    crc: int


class Moved(Exception):  # noqa: N818 - a turn of events, dealt with by reading anew
    """The journal is no longer the one that was being followed: shorter, replaced or rewritten."""


def digits(chain: bytes, payload: bytes) -> bytes:
    """Return the checksum of a line that follows one with the digits `chain`."""
    return blake2b(b"%b %b" % (chain, payload), digest_size=16).hexdigest().encode()


def header(uuid: str, **more: str) -> bytes:
    """Return the first line of a journal."""
    payload = json.dumps(
        {"format": FORMAT, "v": VERSION, "uuid": uuid, **more}, separators=(",", ":")
    ).encode()
    return b"%b %b\n" % (digits(b"", payload), payload)


def written(path: str, data: bytes, files: Files) -> None:
    """Write a new file, durably; what a full disk took of it is taken away again."""
    handle = files.create(path)
    try:
        write_all(files, handle, data)
        files.sync(handle)
    except OSError:
        with contextlib.suppress(OSError):
            files.remove(path)
        raise
    finally:
        files.close(handle)


class Journal:
    """A journal that is open for reading, or for writing too (then under the caller's lock)."""

    def __init__(self, folder: str, files: Files, *, write: bool, hold_s: float | None = None) -> None:
        """Open it; with `hold_s` hold it too, LedgerBusy if another does not let go of it in that time."""
        self.folder = folder
        self.path = f"{folder}/{NAME}"
        self.files = files
        self.broken: str | None = None
        self.notes: list[str] = []
        self.torn = b""
        """The unfinished last record that stands beyond the mark, as far as it was read."""
        self.rescued = ""
        self.looks = 0
        """How often it was looked whether it is in its place: the folder's names had changed."""
        self._written = 0
        self._length = 0
        self._names: tuple[int, ...] | None = None
        try:
            self._handle = self._opened(write, hold_s)
            self._identity = files.identity_of(self._handle)
        except OSError as error:
            raise LedgerProblem(f"{self.path}: {_reason(error)}") from None
        try:
            self.uuid, self.start, self._first = self._read_header()
        except BaseException:
            self.close()
            raise
        self.begin()

    def _opened(self, write: bool, hold_s: float | None) -> int:
        """Open the file of that name and, if asked to, hold it; anew if it was exchanged while waiting."""
        while True:
            handle = self.files.open(self.path, write=write)
            try:
                if hold_s is not None and not self.files.hold(handle, hold_s):
                    raise busy("somebody whose lock was taken away")
                if self.files.identity(self.path) == self.files.identity_of(handle):
                    return handle
            except BaseException:
                self.files.close(handle)
                raise
            self.files.close(handle)

    def hold(self, timeout_s: float) -> None:
        """Hold it for this program alone; LedgerBusy if another does not let go of it in time.

        The lock beside it keeps the others out; this keeps out those who came upon another lock, as the one
        that was there had been taken away.
        """
        try:
            held = self.files.hold(self._handle, timeout_s)
        except OSError as error:
            raise LedgerProblem(f"{self.path}: cannot be locked: {_reason(error)}") from None
        if not held:
            raise busy("somebody whose lock was taken away")

    def let_go(self) -> None:
        """Let others hold it."""
        with contextlib.suppress(OSError):
            self.files.let_go(self._handle)

    @staticmethod
    def create(folder: str, files: Files) -> bool:
        """Make an empty journal with a new UUID, durably; it appears whole or not at all.

        False where another was quicker: theirs stays.
        """
        temporary = f"{folder}/{NAME}.new-{new_id()[:8]}"
        written(temporary, header(new_id()), files)
        try:
            files.put_new(temporary, f"{folder}/{NAME}")
        except FileExistsError:
            files.remove(temporary)
            return False
        files.sync_folder(folder)
        return True

    def close(self) -> None:
        """Let the file go."""
        self.files.close(self._handle)

    def begin(self) -> None:
        """Go back to the start: the first line is all that was read."""
        self.mark, self._held, self._looked_over = self.start, self._first, (0, 0)

    def _read_header(self) -> tuple[str, ReadMark, bytes]:
        """Read the first line; raises LedgerProblem for a file that is no journal."""
        line, newline, _ = self._read(0, 4096).partition(b"\n")
        if not line and not newline:
            raise Damaged(f"{self.path}:1", "is empty, not a ledger")
        chain, _, payload = line.partition(b" ")
        try:
            doc = json.loads(payload) if newline and chain == digits(b"", payload) else {}
        except ValueError:
            doc = {}
        if not isinstance(doc, dict) or doc.get("format") != FORMAT:
            raise Damaged(f"{self.path}:1", "is not a ledger's journal, or its first line is damaged")
        if doc.get("v") != VERSION:
            raise LedgerProblem(f"{self.path}:1: was written by a later shopbins (format {doc.get('v')!r})")
        size = len(line) + 1
        self.rescued = str(doc.get("rescued", ""))
        line += b"\n"
        return str(doc.get("uuid")), ReadMark(0, size, 1, size, chain.decode(), crc32(line)), line

    def _read(self, start: int, length: int) -> bytes:
        try:
            return self.files.read(self._handle, start, length)
        except OSError as error:
            raise LedgerProblem(f"{self.path}: cannot be read: {_reason(error)}") from None

    def _size(self) -> int:
        try:
            return self.files.size(self._handle)
        except OSError as error:
            raise LedgerProblem(f"{self.path}: cannot be read: {_reason(error)}") from None

    # -- following

    def grown(self, *, whole: bool) -> bool:
        """Tell, cheaply, whether there is more to read; raises Moved if this is another file by now.

        The last record read is looked at again, its digits or the whole: what was cut back and written again,
        or written over in place, is not gone on from.
        """
        mark, before = self.mark, self._length
        self._length = self._size()
        if self._length < mark.size or not self.in_place():
            raise Moved
        start = mark.size - mark.last
        if whole or mark.last < _PEEK:
            end = self._read(start, mark.last + 1)
            if end[: mark.last] != self._held:
                raise Moved
            end = end[mark.last :]
        else:
            if self._read(start, 32) != self._held[:32]:
                raise Moved
            end = self._read(mark.size, 1)
        if end == b"\0" and self._length != before:  # room another program made, or something behind it
            return bool(self._read(mark.size, self._length - mark.size).strip(b"\0"))
        return end not in (b"", b"\0")

    def look_over(self) -> None:
        """Read another stretch of what was read before; raises Moved once it is not what it was.

        Called now and then by a program that stays open, it goes through the whole journal again and again:
        bytes changed in place, which neither length nor names nor the last record show, do not stay unseen.
        """
        position, crc = self._looked_over
        data = self._read(position, min(_STRETCH, self.mark.size - position))
        position, crc = position + len(data), crc32(data, crc)
        if position < self.mark.size and data:
            self._looked_over = position, crc
            return
        self._looked_over = 0, 0
        if crc != self.mark.crc:
            raise Moved

    def in_place(self) -> bool:
        """Tell whether the open file is still the one of that name; asks only after a name has changed."""
        try:
            now_ns = time_ns()  # first: who is held up below must not take a fresh change for an old one
            names = self.files.names_changed(self.folder)
            if names == self._names:
                return True
            self.looks += 1
            same = self.files.identity(self.path) == self._identity
        except FileNotFoundError:
            return False
        except OSError as error:
            raise LedgerProblem(f"{self.path}: cannot be read: {_reason(error)}") from None
        # A change just now may be followed by another with the same time: ask again next time.
        step_ns = _CLOCK_STEP_NS if names[-1] % 1_000_000_000 else _COARSE_STEP_NS
        self._names = names if same and now_ns - names[-1] > step_ns else None
        return same

    def go_to(self, mark: ReadMark) -> bool:
        """Go to a mark if the journal up to there is byte for byte what it was when the mark was made."""
        if mark.size > self._size():
            return False
        data = self._read(0, mark.size)
        if len(data) != mark.size or crc32(data) != mark.crc:
            return False
        self.mark, self._held = mark, data[len(data) - mark.last :]
        return True

    def read_new(self, *, locked: bool) -> list[Event]:
        """Read, check and return the events beyond the mark, and move the mark.

        With `locked` (nobody else can be writing) an unfinished last line is set aside; without it is left
        for later. Raises LedgerProblem for damage, Moved if the journal was changed before the mark.
        """
        try:
            return self._read_new(locked)
        except LedgerProblem:
            if locked:
                raise
            return self._read_new(locked)  # it may have been written just as it was read: look once more

    def _read_new(self, locked: bool) -> list[Event]:
        before = self.mark
        whole = self._read(before.size, self._size() - before.size)
        data = whole.rstrip(b"\0")
        events = []
        chain, position, seq, lines = before.chain.encode(), 0, before.seq, before.lines
        last = before.last
        while (end := data.find(b"\n", position)) >= 0:
            payload = data[position + 33 : end]
            found = data[position : position + 32]
            if data[position + 32 : position + 33] != b" " or digits(chain, payload) != found:
                if end + 1 == len(data) and b"\0" in data[position:]:
                    break  # the disk kept the length of a write but not its bytes
                if position == 0 and before is not self.start:
                    raise Moved
                raise self._damage(lines + 1, "is damaged or was changed after it was written")
            event = self._decode(payload, lines + 1)
            if event.seq != seq + 1:
                raise self._damage(lines + 1, f"has number {event.seq} where {seq + 1} comes next")
            events.append(event)
            last = end + 1 - position
            chain, position, seq, lines = found, end + 1, seq + 1, lines + 1
        if len(whole) - len(data) > _MOST_ZEROS:
            raise self._damage(lines + 1, f"and all after it are zeros ({len(whole) - len(data)} bytes)")
        if locked and position < len(data) and self._goes_on(before.size + len(whole)):
            return self._read_new(locked)
        crc = crc32(memoryview(data)[:position], before.crc)
        self.mark = ReadMark(seq, before.size + position, lines, last, chain.decode(), crc)
        if position:
            self._held = data[position - last : position]
        self.torn = data[position:]
        if locked and self.torn:
            self._set_aside(self.torn)
        return events

    def back_to(self, place: tuple[ReadMark, bytes]) -> None:
        """Go back to a `place`: what was read since could not be taken up."""
        self.mark, self._held = place
        self._looked_over = 0, 0

    @property
    def place(self) -> tuple[ReadMark, bytes]:
        """How far it was read, to go back there."""
        return self.mark, self._held

    def _decode(self, payload: bytes, line: int) -> Event:
        try:
            return decode(payload)
        except ValueError as error:
            raise self._damage(line, f"cannot be read: {error}") from None

    def _damage(self, line: int, what: str) -> Damaged:
        return Damaged(
            f"{self.path}:{line}", f"this record {what}; the {max(line - 2, 0)} before it are good"
        )

    def _goes_on(self, size: int) -> bool:
        """Wait a moment and tell whether the file grew: it is being copied here, and its end is to come."""
        self.files.wait(_STILL_COPYING_S)
        return self._size() > size

    def _set_aside(self, tail: bytes) -> None:
        """Keep an unfinished last line in a file of its own and cut it off the journal.

        Its name tells whether it can have been recorded: not where the end mark is of the record before it.
        """
        unsaid = self.ends_here()
        when = strftime("%Y%m%dT%H%M%SZ", gmtime())
        name = f"{UNSAID if unsaid else TORN}{when}-at-{self.mark.size}-{new_id()[:4]}"
        try:
            written(f"{self.folder}/{name}", tail, self.files)
            self.files.sync_folder(self.folder)
            self.files.truncate(self._handle, self.mark.size)
            self.files.sync(self._handle)
            self._length = self.mark.size
        except OSError as error:
            why = f"{self.path}: an unfinished record could not be set aside: {_reason(error)}"
            raise LedgerProblem(why) from None
        self.torn = b""
        kept = f"an unfinished last record ({len(tail)} bytes) was set aside in {name}"
        self.notes.append(kept if unsaid else in_doubt(f"{self.folder}/{name}", tail))

    def ends_here(self) -> bool:
        """Tell whether the end mark, as it is now, has the last record read for the last ever recorded."""
        end = endmark.read(self.folder, self.files)
        return end is not None and (end.uuid, end.seq, end.chain) == (
            self.uuid,
            self.mark.seq,
            self.mark.chain,
        )

    # -- writing

    def append(self, event: Event) -> None:
        """Write one event; it is on the disk when this returns.

        Raises ValueError for what JSON cannot hold (nothing was written), LedgerProblem if the disk fails:
        then the line is taken back as far as possible. After a write that was refused (a full disk) the next
        may be tried; after a flush that failed nobody knows what the disk holds, and nothing more is written
        by this object.
        """
        if self.broken is not None:
            raise LedgerProblem(self.broken)
        payload = encode(event)
        chain = digits(self.mark.chain.encode(), payload)
        line = b"%b %b\n" % (chain, payload)
        mark = self.mark
        flushing = False
        try:
            self._write(line, mark.size)
            flushing = True
            self.files.sync(self._handle)
        except BaseException as error:
            self._cut_off()
            why = f"{self.path}: cannot be written: {_reason(error)}"
            if flushing or not isinstance(error, OSError):
                self.broken = f"{why}; {UNTIL}"
            if not isinstance(error, OSError):
                raise
            if flushing:
                raise LedgerProblem(f"{why}; this change may be recorded: look first ({UNTIL})") from None
            room = "; make room and do it again" if error.errno in FULL else ""
            raise LedgerProblem(f"{why}; this change was not recorded{room}") from None
        self._written += 1
        size = mark.size + len(line)
        self.mark = ReadMark(
            event.seq, size, mark.lines + 1, len(line), chain.decode(), crc32(line, mark.crc)
        )
        self._held = line

    def _write(self, line: bytes, start: int) -> None:
        """Write a line, with room behind it if it is time for some and the disk has it."""
        written = 0
        roomy = self._written >= _ROOM_AFTER and len(line) <= _ROOM
        if roomy and start + len(line) > self._length:
            with contextlib.suppress(OSError):
                written = self.files.write(self._handle, line + bytes(_ROOM), start)
        if written < len(line):
            write_all(self.files, self._handle, line[written:], start + written)
        self._length = max(self._length, start + max(written, len(line)))

    @property
    def made_room(self) -> bool:
        """Tell whether this object may have left room at the end."""
        return self._written > _ROOM_AFTER and self.broken is None

    def trim(self) -> None:
        """Cut off the room at the end; under the lock, with everything read."""
        if self._size() > self.mark.size:
            with contextlib.suppress(OSError):
                self.files.truncate(self._handle, self.mark.size)

    def _cut_off(self) -> None:
        """Cut off what a failed write may have left; a cut that fails too is for the next to write."""
        self._length = self.mark.size
        try:
            self.files.truncate(self._handle, self.mark.size)
            self.files.sync(self._handle)
        except OSError:
            pass

    # -- looking back

    def lines_back(self) -> Iterator[tuple[int, bytes]]:
        """Go through the payloads up to the mark, newest first, each checked, with its line number."""
        line, below = self.mark.lines, b""
        for text in self._texts_back():
            if below:
                yield line, self._checked(text, below, line)
                line -= 1
            below = text

    def digits_at(self, seq: int) -> str | None:
        """Return the digits of record `seq` (0: of the first line), None where it does not go so far."""
        if seq > self.mark.seq:
            return None
        if seq == self.mark.seq:
            return self.mark.chain
        line = self.mark.lines
        for text in self._texts_back():
            if line - 1 == seq:
                return text[:32].decode(errors="replace")
            line -= 1
        return None

    def _texts_back(self) -> Iterator[bytes]:
        """Go through the lines up to the mark as they stand, newest first, the header last."""
        start, rest = self.mark.size - 1, b""
        while start > 0:
            step = min(max(_CHUNK, len(rest)), start)
            start -= step
            rest, *lines = (self._read(start, step) + rest).split(b"\n")
            yield from reversed(lines)
        yield rest

    def _checked(self, above: bytes, text: bytes, line: int) -> bytes:
        """Return the payload of a line after checking it against the line above."""
        payload = text[33:]
        if digits(above[:32], payload) != text[:32]:
            raise self._damage(line, "is damaged or was changed after it was written")
        return payload

    def events_back(self) -> Iterator[Event]:
        """Go through the events up to the mark, newest first."""
        return (self._decode(payload, line) for line, payload in self.lines_back())

    def up_to_mark(self) -> bytes:
        """Return the journal's bytes up to the mark."""
        return self._read(0, self.mark.size)

    def find(self, needle: bytes) -> list[Event]:
        """Return the events whose text holds `needle`, oldest first; only those are decoded."""
        data = self.up_to_mark()
        events = []
        position = data.find(needle)
        while position >= 0:
            start = data.rfind(b"\n", 0, position) + 1
            end = data.find(b"\n", position)
            if start:
                above = data.rfind(b"\n", 0, start - 1) + 1
                line = data.count(b"\n", 0, start) + 1
                payload = self._checked(data[above : start - 1], data[start:end], line)
                events.append(self._decode(payload, line))
            position = data.find(needle, end)
        return events


def _reason(error: BaseException) -> str:
    """Return the system's words for an error."""
    return error.strerror or str(error) if isinstance(error, OSError) else "interrupted"
