"""What each group holds for which place on the machine, and that no piece comes or goes unexplained.

A group holds *shares*: so many pieces for each of its positions (`parts`; its own id where there are none).
Pieces enter a group when it is taken off or brought, move between groups by split and merge, and leave only
by a *posting*: a document of the table `posting` {kind, seat, n, why, by, on, group, name, ...}.

kind        the pieces
`lost`      are not to be found (`found` takes that back)
`consumed`  were used up
`given`     went to another machine: from `seat` to `to`
`bound`     turned out to belong to the position `to`
`never`     were never there: counted wrongly, or (`listed`) listed wrongly, which moves nothing
`difference` changed in number with no reason on record (old ledgers only; see `complete`)
`found`     turned up though nobody took them off
`taken`     came off as well: counted too few

The law, for each position and event: what its groups lose is posted, and what they gain comes from a posting
or a new group. `unbalanced` judges a draft by it; `complete` keeps what an old event left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from shopbins.ledger.events import Change, Changes, Doc, Tables, split_subject

Seats = dict[str, int]

SOURCES = ("found", "taken")
_PIECES = ("qty", "parts", "shares", "counted")


def shares(key: str, doc: Doc) -> Seats:
    """Return how many pieces a group holds for each position; none for what is no part."""
    if doc.get("counted") == "never":
        return {}
    return held(key, doc)


def held(key: str, doc: Doc) -> Seats:
    """Return a group's shares, whether it counts as a part or not."""
    parts, qty = doc.get("parts"), doc.get("qty", 1)
    if not parts:
        return {key: qty}
    if len(parts) == 1:
        return {parts[0]: qty}
    numbers = doc.get("shares")
    if numbers is None or len(numbers) != len(parts) or sum(numbers) != qty:
        numbers = [qty, *([0] * (len(parts) - 1))]
    return dict(zip(parts, numbers, strict=True))


def share_fields(seats: Mapping[str, int], own: str) -> dict[str, Any]:
    """Return the fields of a group's document that say its shares."""
    parts, qty = list(seats), sum(seats.values())
    return {
        "qty": None if qty == 1 else qty,
        "parts": None if parts == [own] else parts,
        "shares": list(seats.values()) if len(parts) > 1 else None,
    }


def split_off(seats: Mapping[str, int], pieces: int, first: Iterable[str] = ()) -> tuple[Seats, Seats]:
    """Return the shares that go and those that stay when so many pieces are split off.

    Pieces are taken from the positions named, else from the first. A position that never had any share (the
    group's own, where a list names it otherwise) stays.
    """
    goes: Seats = {}
    stays = dict(seats)
    for seat in dict.fromkeys((*first, *seats)):
        if not pieces:
            break
        n = min(pieces, stays.get(seat, 0))
        if n:
            goes[seat] = n
            stays[seat] -= n
            pieces -= n
    return goes, {seat: n for seat, n in stays.items() if n or not seats[seat]}


def lost_ones(postings: Mapping[str, Doc], text: str) -> list[str]:
    """Return the postings of what is lost, by its code or name."""
    wanted = text.strip().casefold()
    return [
        key
        for key, doc in postings.items()
        if doc["kind"] == "lost"
        and wanted in (doc.get("code", "").casefold(), doc.get("name", "").casefold())
    ]


def effects(doc: Doc) -> list[tuple[str, int]]:
    """Return what a posting explains: (position, pieces that left its groups; less than 0: came to them)."""
    kind, n = doc.get("kind"), doc.get("n", 0)
    if not doc or doc.get("listed"):
        return []
    if kind in SOURCES:
        return [(doc["seat"], -n)]
    return [(doc["seat"], n), *([(doc["to"], -n)] if doc.get("to") else [])]


def unbalanced(tables: Mapping[str, Mapping[str, Doc]], after: Changes) -> str | None:
    """Return the position (as 'part:<id>') at which a draft breaks the law, None where it keeps it."""
    gained: Seats = {}
    new: Seats = {}
    touched: set[str] = set()
    for subject, fields in after.items():
        table, key = split_subject(subject)
        if table not in ("group", "posting"):
            continue
        old = tables.get(table, {}).get(key)
        now = _after(old, fields)
        if table == "posting":
            _add(gained, effects(now or {}), 1)
            _add(gained, effects(old or {}), -1)
        elif old is None:
            _add(new, shares(key, now or {}).items(), 1)
        elif now is None or _differ(old, now):
            touched |= {*shares(key, old), *(shares(key, now) if now is not None else ())}
            _add(gained, shares(key, old).items(), -1)
            _add(gained, shares(key, now).items() if now is not None else (), 1)
    for seat in {*gained, *new}:
        sum_of = gained.get(seat, 0)
        if sum_of + new.get(seat, 0) and (seat in touched or sum_of):
            return f"part:{seat}"
    return None


def _after(old: Doc | None, fields: Mapping[str, Any] | None) -> Doc | None:
    if fields is None:
        return None
    return {name: value for name, value in {**(old or {}), **fields}.items() if value is not None}


def _add(into: Seats, pairs: Iterable[tuple[str, int]], sign: int) -> None:
    for seat, n in pairs:
        into[seat] = into.get(seat, 0) + sign * n


def _differ(old: Doc, new: Doc) -> bool:
    return any(old.get(name) != new.get(name) for name in _PIECES)


# -- old events


def complete(tables: Tables, changes: list[Change], kind: str = "") -> list[Change]:
    """Complete the documents one event left: shares of merged groups, and differences nobody explained.

    What a group's number lost without a posting is kept as a difference, until an event gives it back. Adds
    the further changes to `changes` and returns them too. Nothing is left to complete in events of today.
    """
    for table, _, old, new in changes:
        if table != "group" or new is None:
            continue
        if len(new.get("parts", ())) > 1 if old is None else _concerned(old, new):
            break
    else:  # as nearly always
        return []
    groups = [c for c in changes if c.table == "group"]
    created = [c for c in groups if c.old is None]
    gone = [c for c in groups if c.new is None]
    altered = [c for c in groups if c.old is not None and c.new is not None and _concerned(c.old, c.new)]
    more = [
        *_share_out(tables, altered, created, gone),
        *_differences(tables, changes, altered, created, gone),
        *(each for c in altered for each in _moved(tables, c, kind)),
    ]
    changes += more
    return more


def _concerned(old: Doc, new: Doc) -> bool:
    """Tell, by the very values, whether an event touched what a group holds or its machine."""
    get, was = new.get, old.get
    return (
        get("qty") is not was("qty")
        or get("parts") is not was("parts")
        or get("shares") is not was("shares")
        or get("counted") is not was("counted")
        or get("origin") is not was("origin")
    )


def _share_out(
    tables: Tables, altered: list[Change], created: list[Change], gone: list[Change]
) -> Iterable[Change]:
    """Give groups of several positions their shares where the event did not: from what was there before."""
    pool: Seats = {}
    for c in (*altered, *gone):
        _add(pool, held(c.key, c.old or {}).items(), 1)
    alone = len(altered) == 1 and not created and not gone
    for c in (*created, *altered):
        doc = c.new or {}
        parts, numbers = doc.get("parts", ()), doc.get("shares")
        qty = doc.get("qty", 1)
        if len(parts) < 2:
            if numbers is None:
                continue
            given: list[int] | None = None
        elif numbers is not None and len(numbers) == len(parts) and sum(numbers) == qty:
            _add(pool, zip(parts, numbers, strict=True), -1)
            continue
        elif alone and not set(parts) <= set(pool):  # bound to a listed position: all of it
            given = [qty, *([0] * (len(parts) - 1))]
        else:
            given, left = [], qty
            for seat in parts:
                n = min(left, max(0, pool.get(seat, 0)))
                given.append(n)
                pool[seat] = pool.get(seat, 0) - n
                left -= n
            given[0] += left
        new = {name: value for name, value in doc.items() if name != "shares"}
        if given is not None:
            new["shares"] = given
        tables["group"][c.key] = new
        yield Change("group", c.key, dict(doc), new)


def _pieces(doc: Doc | None) -> int:
    return 0 if doc is None or doc.get("counted") == "never" else int(doc.get("qty", 1))


def _differences(
    tables: Tables, changes: list[Change], altered: list[Change], created: list[Change], gone: list[Change]
) -> Iterable[Change]:
    found = [c for c in altered if _pieces(c.new) != _pieces(c.old)]
    if not found:
        return
    unexplained = sum(_pieces(c.new) - _pieces(c.old) for c in (*altered, *created, *gone))
    for c in changes:
        if c.table == "posting":
            unexplained += sum(n for _, n in effects(c.new or {})) - sum(n for _, n in effects(c.old or {}))
    if not unexplained:
        return
    c = found[0]
    key = f"number {c.key}"
    old = tables.get("posting", {}).get(key)
    n = (old["n"] if old else 0) - unexplained
    seat = old["seat"] if old else next(iter(held(c.key, c.old or {})))
    new = None
    if n:
        new = {"kind": "difference", "seat": seat, "n": n, "group": c.key}
        new |= {"was": old["was"] if old else _pieces(c.old), "now": _pieces(c.new)}
    yield _kept(tables, key, old, new)


def _moved(tables: Tables, c: Change, kind: str) -> Iterable[Change]:
    """Keep, for an old event, that a group was given to another machine with no reason."""
    was, now = tuple((c.old or {}).get("origin", ())), tuple((c.new or {}).get("origin", ()))
    key = f"machine {c.key}"
    old = tables.get("posting", {}).get(key)
    if old is not None and now[:1] == tuple(old["origin"][:1]):
        yield _kept(tables, key, old, None)
    elif old is None and kind in ("change", "edit") and was and now and was[0] != now[0]:
        seat = next(iter(held(c.key, c.old or {})))
        new = {"kind": "difference", "seat": seat, "n": 0, "group": c.key, "origin": list(was)}
        yield _kept(tables, key, None, new)


def _kept(tables: Tables, key: str, old: dict[str, Any] | None, new: dict[str, Any] | None) -> Change:
    table = tables.setdefault("posting", {})
    if new is None:
        table.pop(key, None)
    else:
        table[key] = new
    return Change("posting", key, old, new)
