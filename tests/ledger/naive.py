"""A second reader of a journal, as plain as can be, to hold the real one against."""

from __future__ import annotations

import hashlib
import json


def read(data: bytes) -> tuple[list[dict], str]:
    """Return the records of a journal and how it ends: 'whole', 'torn' or 'damaged'.

    Written from the description in docs/inside.md, without a look at the program: a line is 32 hex digits, a
    space, JSON; the digits are BLAKE2b-128 over the digits above, a space, the JSON; numbers go up by one.
    """
    text = data.rstrip(b"\0")
    if len(data) - len(text) > 2 * 65536:
        return [], "damaged"
    lines = text.split(b"\n")
    unfinished = lines.pop()
    above, records = b"", []
    for number, line in enumerate(lines):
        digits, payload = line[:32], line[33:]
        right = hashlib.blake2b(above + b" " + payload, digest_size=16).hexdigest().encode()
        if digits != right or line[32:33] != b" ":
            last = number == len(lines) - 1 and not unfinished
            return records, "torn" if last and number and b"\0" in line else "damaged"
        doc = json.loads(payload)
        if number and doc["seq"] != number:
            return records, "damaged"
        if number:
            records.append(doc)
        above = digits
    if not lines:
        return [], "damaged"
    return records, "torn" if unfinished else "whole"


def documents(records: list[dict]) -> dict:
    """Fold records into documents."""
    tables: dict = {}
    for record in records:
        for subject, fields in record["after"].items():
            table, _, key = subject.partition(":")
            docs = tables.setdefault(table, {})
            if fields is None:
                docs.pop(key, None)
            else:
                docs[key] = {n: v for n, v in {**docs.get(key, {}), **fields}.items() if v is not None}
    return {name: docs for name, docs in tables.items() if docs}
