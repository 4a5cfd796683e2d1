"""What can be saved of a damaged ledger: what verifies, and what snapshot and later records know.

A record verifies if its digits are those of its text and of the digits of the record before, as they stand
there: so records behind the damage verify too. Digits that are damaged themselves are proved by the record
after. What is not proved is not taken; it is told by what it says. Where records are missing, the fields that
later ones name as they were `before` tell what the missing ones had made of them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from shopbins.ledger import endmark
from shopbins.ledger import snapshot as snapshots
from shopbins.ledger.codes import check_holds, serial_of
from shopbins.ledger.endmark import End
from shopbins.ledger.events import (
    VERSION,
    Changes,
    Event,
    Tables,
    before_of,
    decode,
    encode,
    fold,
    new_id,
    split_subject,
)
from shopbins.ledger.files import Files
from shopbins.ledger.journal import FORMAT, NAME, digits, header
from shopbins.ledger.shapes import STUMBLES, wrong_documents, wrong_record
from shopbins.ledger.snapshot import Snapshot
from shopbins.ledger.state import State
from shopbins.ledger.unfinished import TORN, says

KIND = "rescue"
_START = re.compile(rb'[0-9a-f]{32} \{"v":')
_HEX = re.compile(rb"[0-9a-f]{32}")
_CODE = re.compile(rb'"(Z[A-Z0-9]{0,2}[A-Z][0-9]{4,12}[0-9A-Z])"')
_CODE_BYTES = 8  # a code in a record takes more


ANOTHER_PAST = "as it was recorded here; another stands in its place, and perhaps in that of earlier ones"


class Gone(NamedTuple):
    """Records that cannot be taken: their numbers (0 where not known), and what can be read of them."""

    first: int
    last: int
    says: str

    def __str__(self) -> str:
        many = self.last > self.first
        number = f" {self.first}" if self.first else ""
        return f"records {self.first} to {self.last}: {self.says}" if many else f"record{number}: {self.says}"


@dataclass(frozen=True, slots=True)
class Salvaged:
    """What was found: the records that verify, those that are gone, and the documents as far as known.

    `repair` is what the documents have beyond the fold of these records; `serial` the highest ever seen;
    `snapshot_seq` the record the snapshot that was used was made at, 0 for none.
    """

    uuid: str
    events: tuple[Event, ...]
    gone: tuple[Gone, ...]
    tables: Tables
    repair: Changes
    serial: int
    snapshot_seq: int

    def journal(self, uuid: str, by: str, at: str, kept: str = "") -> bytes:
        """Return a whole journal of what was saved, the rescue itself its last record."""
        first = header(uuid, rescued=self.uuid)
        lines, chain, tables = [first], first[:32], Tables()
        renumbered = [each._replace(seq=number) for number, each in enumerate(self.events, 1)]
        for each in renumbered:
            fold(tables, each.after)
        told: dict[str, Any] = {"serial": self.serial, "gone": [str(each) for each in self.gone[:1000]]}
        after = {**self.repair, f"rescue:{new_id()}": {**told, "kept": kept} if kept else told}
        last = Event(
            VERSION,
            len(renumbered) + 1,
            new_id(),
            at,
            by,
            KIND,
            tuple(after),
            before_of(tables, after),
            after,
        )
        for each in (*renumbered, last):
            payload = encode(each)
            chain = digits(chain, payload)
            lines.append(b"%b %b\n" % (chain, payload))
        return b"".join(lines)


def raw(folder: str, name: str, files: Files) -> bytes:
    """Return a file's bytes, none where there is no such file."""
    try:
        handle = files.open(f"{folder}/{name}", write=False)
    except FileNotFoundError:
        return b""
    try:
        return files.read(handle, 0, files.size(handle))
    finally:
        files.close(handle)


def salvage(folder: str, files: Files, prefix: str) -> Salvaged:
    """Look through the journal, the snapshot and the end mark of a folder; raises OSError."""
    end = endmark.read(folder, files)
    snapshot = snapshots.load(folder, files)
    data = raw(folder, NAME, files)
    there = files.listed(folder) if files.exists(folder) else []
    rest = [raw(folder, name, files) for name in there if name.startswith((TORN, "damaged-"))]
    beside = endmark.read_beside(folder, files)
    found = sift(data, snapshot, end or (None if there else beside), prefix, rest)
    return replace(found, serial=max(found.serial, beside.serial if beside else 0))


def sift(
    data: bytes, snapshot: Snapshot | None, end: End | None, prefix: str, rest: list[bytes] | None = None
) -> Salvaged:
    """Take what verifies out of a journal's bytes; `rest` is looked through for codes only."""
    uuid = uuid_of(data) or (end.uuid if end else "") or (snapshot.uuid if snapshot else "")
    if end is not None and end.uuid != uuid:
        end = None
    if snapshot is not None and snapshot.uuid != uuid:
        snapshot = None
    events, strays = _verified(data)
    if snapshot is not None and _contradicts(snapshot.mark.seq, snapshot.mark.chain, data, events):
        snapshot = None
    another = end is not None and _contradicts(end.seq, end.chain, data, events)
    tables: Tables = {} if snapshot is None else snapshot.tables
    covered = 0 if snapshot is None else snapshot.mark.seq
    state = State(tables, covered, prefix, 0 if snapshot is None else snapshot.serial)
    plain: Tables = {}
    for event in events:
        fold(plain, event.after)
        if event.seq > covered:
            _restore_before(state, event)
            try:
                state.apply(event.after, event.seq, event.kind)
            except STUMBLES:
                strays.append(_Stray(event.seq - 1, encode(event)))
    wrong = list(wrong_documents(state.tables))
    state.apply({subject: None for subject, _ in wrong}, state.seq)
    highest = max(end.seq if end else 0, covered)
    gone = (*_gone(events, strays, highest), *(Gone(0, 0, what) for _, what in wrong))
    if end is not None and another:
        gone = (*gone, Gone(end.seq, end.seq, ANOTHER_PAST))
    serial = max(state.last_serial, end.serial if end else 0, _codes(data, *(rest or [])))
    if gone and end is None:
        serial += sum(len(each.text) for each in strays) // _CODE_BYTES
    return Salvaged(uuid, tuple(events), gone, state.tables, _beyond(plain, state.tables), serial, covered)


class _Stray(NamedTuple):
    """A piece that does not verify, and the number of the last record that did before it."""

    after: int
    text: bytes


def _pieces(data: bytes) -> Iterator[bytes]:
    """Part the bytes into what may be records: by line ends, and by how a record begins."""
    for line in data.split(b"\n"):
        text = line.strip(b"\0")
        starts = [found.start() for found in _START.finditer(text)]
        if text and (not starts or starts[0] > 0):
            starts.insert(0, 0)
        for start, stop in zip(starts, [*starts[1:], len(text)], strict=False):
            yield text[start:stop]


def _verified(data: bytes) -> tuple[list[Event], list[_Stray]]:
    """Return the records that verify, oldest first, and the pieces that do not."""
    events: list[Event] = []
    strays: list[_Stray] = []
    pieces = list(_pieces(data))
    above = [pieces.pop(0)[:32]] if pieces and uuid_of(data) else []  # the first line's digits
    doubtful: tuple[bytes, bytes] | None = None  # a record whose own digits may be what is damaged
    for piece in pieces:
        found, payload = piece[:32], piece[33:]
        proved = next((each for each in above if _holds(each, found, payload)), None)
        if doubtful is not None and proved is not None and proved == doubtful[0]:
            strays.pop()
            _take(events, strays, doubtful[1])
        doubtful = None
        if proved is not None:
            _take(events, strays, payload if digits(proved, payload) == found else payload[:-1])
            above = [found]
            continue
        strays.append(_Stray(events[-1].seq if events else 0, piece))
        true = above[0] if len(above) == 1 else None
        above = [found] if _HEX.fullmatch(found) else []
        if true is not None and payload[:1] == b"{":
            doubtful = digits(true, payload), payload
            above.append(doubtful[0])
    return events, strays


def _holds(above: bytes, found: bytes, payload: bytes) -> bool:
    """Tell whether these are the digits, also with one byte too many where a line end was damaged."""
    return digits(above, payload) == found or digits(above, payload[:-1]) == found


def _take(events: list[Event], strays: list[_Stray], payload: bytes) -> None:
    last = events[-1].seq if events else 0
    try:
        event = decode(payload)
    except ValueError:
        strays.append(_Stray(last, b" " * 33 + payload))
        return
    if event.seq > last and not wrong_record(event):
        events.append(event)
    else:
        strays.append(_Stray(last, b" " * 33 + payload))


def uuid_of(data: bytes) -> str:
    """Return the UUID in a journal's first line, '' where that cannot be read."""
    try:
        doc = json.loads(data[: data.find(b"\n")][33:])
    except (ValueError, RecursionError):
        return ""
    return str(doc.get("uuid", "")) if isinstance(doc, dict) and doc.get("format") == FORMAT else ""


def _contradicts(seq: int, chain: str, data: bytes, events: list[Event]) -> bool:
    """Tell whether the journal shows that what knew a record is of another past: its digits are others."""
    there = any(event.seq == seq for event in events)
    return there and b"\n" + chain.encode() + b" " not in data


def _restore_before(state: State, event: Event) -> None:
    """Have the documents as this record found them: what a missing one did shows in its `before`."""
    restored: dict[str, dict[str, Any] | None] = {}
    for subject, fields in event.before.items():
        table, key = split_subject(subject)
        doc = state.tables.get(table, {}).get(key)
        if fields is None:
            if doc is not None:
                restored[subject] = None
        elif doc is None or any(doc.get(name) != value for name, value in fields.items()):
            restored[subject] = dict(fields)
    if restored:
        state.apply(restored, event.seq - 1)


def _beyond(plain: Tables, tables: Tables) -> Changes:
    """Return the change that makes one set of documents of another."""
    changes: dict[str, dict[str, Any] | None] = {}
    for table in {*plain, *tables}:
        olds, news = plain.get(table, {}), tables.get(table, {})
        for key in {*olds, *news}:
            old, new = olds.get(key), news.get(key)
            if new is None:
                changes[f"{table}:{key}"] = None
            elif old != new:
                gone = {name: None for name in old or {} if name not in new}
                different = {name: value for name, value in new.items() if (old or {}).get(name) != value}
                changes[f"{table}:{key}"] = {**different, **gone}
    return changes


def _gone(events: list[Event], strays: list[_Stray], highest: int) -> tuple[Gone, ...]:
    """Name the numbers that are missing, each with what can be read of it."""
    found: list[Gone] = []
    last = 0
    for seq in [*(event.seq for event in events), max(highest, events[-1].seq if events else 0) + 1]:
        here = [each for each in strays if each.after == last]
        missing = seq - last - 1
        if missing and missing == len(here):
            found += [Gone(last + 1 + n, last + 1 + n, says(each.text)) for n, each in enumerate(here)]
        elif missing:
            said = "; ".join(dict.fromkeys(says(each.text) for each in here)) or "nothing of it is left"
            found.append(Gone(last + 1, seq - 1, said[:500]))
        else:
            found += [Gone(0, 0, says(each.text)) for each in here]
        last = seq
    return tuple(found)


def _codes(*texts: bytes) -> int:
    """Return the highest serial of a code anywhere in these bytes, whole or not."""
    found = (each.decode() for text in texts for each in _CODE.findall(text))
    return max((serial_of(code) for code in found if check_holds(code)), default=0)
