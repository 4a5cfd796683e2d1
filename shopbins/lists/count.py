"""The count as text, JSON and CSV: the balance, what keeps it from being clean, what stands beside it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from shopbins.ledger.whereabouts import whereabouts
from shopbins.reports.export import csv_table
from shopbins.reports.plain import columns, counted
from shopbins.strip.count import KINDS

if TYPE_CHECKING:
    from shopbins.ledger.state import State
    from shopbins.strip.book import Balance
    from shopbins.strip.count import Count, CountLine, Stands

SAID = {
    "on": "on", "trial": "on trial", "off": "off still", "assumed": "off, not counted", "inside": "in others",
    "joined": "on what is off", "away": "away", "lent": "lent", "renew": "to renew", "scrapped": "scrapped",
    "sold": "to sell", "elsewhere": "for elsewhere", "lost": "lost", "consumed": "used up",
    "given": "given to another machine", "never": "never there", "difference": "changed, no reason",
}  # fmt: skip
"""The accounts as people read them, in the order of the balance."""

FEW = 5
"""At most so many parts still to go back are named by themselves; more are one summed line."""


def count_json(state: State, count: Count) -> dict[str, Any]:
    """Return the count; pieces null where they were not counted."""
    lists: dict[str, Any] = {kind: [_line_json(state, each) for each in count.of(kind)] for kind in KINDS}
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
        "stands": [_stands_json(each) for each in count.stands],
    }


def _stands_json(stands: Stands) -> dict[str, Any]:
    who = None if stands.accepted is None else stands.accepted.as_json()
    return {"kind": stands.kind, "text": stands.text, "accepted": who}


def stands_said(stands: Stands) -> str:
    """Say what stands beside the count, with its reason, name and day."""
    who = stands.accepted
    since = "" if who is None or who.since is None else who.since.isoformat()
    what = f"{stands.kind}: " if stands.kind in ("accepted", "conceded", "corrected") else ""
    return ", ".join(filter(None, (f"{what}{stands.text}", "" if who is None else who.said, since)))


def _line_json(state: State, line: CountLine) -> dict[str, Any]:
    return {
        "code": line.code,
        "name": line.name,
        "pieces": line.pieces,
        "place": line_place(state, line),
        "why": line.why,
        "act": line.act,
    }


def line_place(state: State, line: CountLine) -> str:
    """Say where what a line is about lies, '' where it lies nowhere."""
    table, _, key = line.subject.partition(":")
    return whereabouts(state, state.group(key).where) if table == "group" and state.has_group(key) else ""


def balance_said(balance: Balance) -> str:
    """Say the trial balance in one line: '8 off and 1 brought = 8 on + 1 lost'."""
    came = [f"{balance['came']} off"]
    came += [
        f"{n} {what}" for what, n in (("brought", balance["supplied"]), ("found", balance["found"])) if n
    ]
    gone = [f"{balance[name]} {said}" for name, said in SAID.items() if balance[name] or name == "on"]
    return f"{' and '.join(came)} = {' + '.join(gone)}"


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
        rows = [_row(state, each) for each in found if each not in summed] if summed else [
            _row(state, each) for each in found
        ]  # fmt: skip
        lines += columns(rows)
        if summed:
            pieces = sum(each.pieces or 0 for each in summed)
            lines.append(
                f"  still to go back: {counted(pieces, 'piece')} in {counted(len(summed), 'part')}"
                " (--all lists them)"
            )
    lines += ["", count.headline]
    lines += [f"  {stands_said(each)}" for each in count.stands]
    return lines


def _row(state: State, line: CountLine) -> tuple[str, ...]:
    pieces = ("not counted" if line.code else "") if line.pieces is None else counted(line.pieces, "piece")
    why = f"{line.why} · {line.act}"
    return "  " + (line.code or ""), line.name, pieces, line_place(state, line), why


def count_rows(count: Count) -> Sequence[tuple[str, list[CountLine]]]:
    """Return the lines under the heads people read, by gravity; without those that are empty."""
    return [(head[0].upper() + head[1:], found) for kind, head in KINDS.items() if (found := count.of(kind))]


def count_csv(state: State, count: Count) -> bytes:
    """Return every line as a file, and what stands beside them."""
    rows = [
        (
            KINDS[each.kind],
            each.code,
            each.name,
            each.pieces,
            line_place(state, each),
            each.why,
            each.act,
        )
        for each in count.lines
    ]
    rows += [(each.kind, "", "", None, "", stands_said(each), "") for each in count.stands]
    return csv_table(("what", "code", "name", "pieces", "place", "why", "what closes it"), rows)
