"""The count as text, JSON and CSV: the balance, what keeps it from being clean, what stands beside it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from shopbins.ledger.whereabouts import whereabouts
from shopbins.lists import show
from shopbins.lists.listing import Column, List
from shopbins.reports.plain import columns, counted
from shopbins.strip.count import KINDS, WORDS, Stands

if TYPE_CHECKING:
    from shopbins.ledger.state import State
    from shopbins.strip.book import Balance
    from shopbins.strip.count import Count, CountLine

SAID = {
    "on": "on", "trial": "on trial", "off": "still off", "assumed": "off, not counted", "inside": "in others",
    "joined": "on what is off", "away": "away", "lent": "lent", "renew": "to renew", "scrapped": "scrapped",
    "sold": "to sell", "elsewhere": "for elsewhere", "lost": "lost", "consumed": "used up",
    "given": "given to another machine", "never": "never there", "difference": "changed, no reason",
}  # fmt: skip
"""The accounts as people read them, in the order of the balance."""

FEW = 5
"""At most so many parts still to go back are named by themselves; more are one summed line."""


def count_json(state: State, count: Count) -> dict[str, Any]:
    """Return the count; pieces null where they were not counted."""
    lists: dict[str, Any] = {kind: show.json(COUNT, counted_rows(state, count.of(kind))) for kind in KINDS}
    balance = {name: count.balance.get(name, 0) for name in ("came", "supplied", "found", *SAID)}
    return {
        "off": balance["came"],
        "on": balance["on"],
        "missing": lists.pop("missing"),
        "left_over": lists.pop("left_over"),
        **lists,
        "balance": balance,
        **count.answer.as_json(),
        "headline": count.headline,
        "machine": count.machine,
        "stands": [_stands_json(each) for each in count.stands],
    }


def _stands_json(stands: Stands) -> dict[str, Any]:
    who = None if stands.accepted is None else stands.accepted.as_json()
    return {"kind": stands.kind, "text": stands.text, "accepted": who}


def stands_said(stands: Stands) -> str:
    """Say what stands beside the count, with its reason, name and day."""
    what = f"{stands.kind}: " if stands.kind in ("accepted", "conceded", "corrected") else ""
    return ", ".join(filter(None, (f"{what}{stands.text}", *_signed(stands))))


def _signed(stands: Stands) -> tuple[str, str]:
    """Return who let it stand, and why; and since which day."""
    who = stands.accepted
    if who is None:
        return "", ""
    return who.said, "" if who.since is None else who.since.isoformat()


class Counted(NamedTuple):
    """A line of the count, or what stands beside it: as read, and where it lies."""

    what: str
    code: str | None
    name: str
    pieces: int | None
    place: str
    why: str
    act: str
    look: str
    since: str = ""


def counted_rows(state: State, lines: Iterable[CountLine | Stands]) -> list[Counted]:
    """Return lines as they are listed."""
    return [_stood(each) if isinstance(each, Stands) else _counted(state, each) for each in lines]


def _counted(state: State, line: CountLine) -> Counted:
    look = "dim" if line.still else "stop" if line.kind in ("foreign", "rejected") else "correct"
    place = line_place(state, line)
    return Counted(KINDS[line.kind], line.code, line.name, line.pieces, place, line.why, line.act, look)


def _stood(stands: Stands) -> Counted:
    why, since = _signed(stands)
    return Counted(stands.kind, "", stands.text, None, "", why, "", "dim", since)


def _why(row: Counted) -> str:
    return ", ".join(filter(None, (row.why, row.since)))


def _pieces(row: Counted) -> str:
    return ("not counted" if row.code else "") if row.pieces is None else str(row.pieces)


COUNT: List[Counted] = List(
    "Count",
    WORDS.yes,
    "",
    (
        Column("", "what", lambda row: row.what, "", 12, grade=lambda row: row.look),
        Column("code", "code", lambda row: row.code, "code", paper=1.2),
        Column("name", "name", lambda row: row.name, "part", 28, 1.0, 2.6),
        Column("pieces", "pieces", lambda row: row.pieces, "pieces", 12, paper=1.0, text=_pieces),
        Column("place", "place", lambda row: row.place, "lies", paper=1.8),
        Column("why", "why", _why, "why", 30, 1.2, 3.0, text=lambda row: row.why),
        Column("act", "what closes it", lambda row: row.act),
        Column("", "", lambda row: row.code, "code", 12, grade=lambda _row: "dim"),
    ),
    None,
    boxed=True,
)


def line_place(state: State, line: CountLine) -> str:
    """Say where what a line is about lies, '' where it lies nowhere."""
    table, _, key = line.subject.partition(":")
    return whereabouts(state, state.group(key).where) if table == "group" and state.has_group(key) else ""


def balance_said(balance: Balance) -> str:
    """Say the trial balance in one line: '8 off and 1 brought: 8 on, 1 lost'."""
    came = [f"{balance['came']} off"]
    came += [
        f"{n} {what}" for what, n in (("brought", balance["supplied"]), ("found", balance["found"])) if n
    ]
    gone = [f"{balance[name]} {said}" for name, said in SAID.items() if balance[name] or name == "on"]
    return f"{' and '.join(came)}: {', '.join(gone)}"


def count_text(state: State, count: Count, *, all_of_them: bool = False) -> list[str]:
    """Say the count: the balance, each line by its kind and name, what closes it, and what stands beside."""
    lines = [balance_said(count.balance)]
    for kind, head in KINDS.items():
        found = count.of(kind)
        if not found:
            continue
        lines += ["", f"{head}:"]
        summed = [each for each in found if each.still] if not all_of_them else []
        if len(summed) <= FEW:
            summed = []
        named = [each for each in found if not (summed and each.still)]
        lines += columns(map(_in_line, counted_rows(state, named)))
        if summed:
            pieces = sum(each.pieces or 0 for each in summed)
            lines.append(
                f"  still to go back: {counted(pieces, 'piece')} in {counted(len(summed), 'part')}"
                " (--all lists them)"
            )
    lines += ["", count.headline]
    lines += [f"  {stands_said(each)}" for each in count.stands]
    return lines


def _in_line(row: Counted) -> tuple[str, ...]:
    pieces = _pieces(row) if row.pieces is None else counted(row.pieces, "piece")
    return "  " + (row.code or ""), row.name, pieces, row.place, f"{row.why} · {row.act}"


def count_csv(state: State, count: Count) -> bytes:
    """Return every line as a file, and what stands beside them."""
    return show.csv(COUNT, counted_rows(state, (*count.lines, *count.stands)))
