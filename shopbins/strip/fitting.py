"""What stands against putting a part back: what nobody may let through, what a named person may accept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from shopbins.answer import Answer, Part, Verdict, Words
from shopbins.ledger.model import OUT, Group, InGroup
from shopbins.ledger.state import State
from shopbins.strip import refit
from shopbins.strip.book import GONE, Book
from shopbins.strip.order import Order
from shopbins.strip.release import release
from shopbins.strip.sets import unmatched
from shopbins.strip.tree import is_tried
from shopbins.strip.waits import held_back, put_on_below

WORDS = Words("it can go back", "it does not go back", asked="it waits for")


@dataclass(frozen=True, slots=True)
class Against:
    """What stands against it: `nobody` can let through, `waits` a named person can, with a reason."""

    nobody: tuple[str, ...]
    waits: tuple[str, ...]

    @property
    def answer(self) -> Answer:
        """Return it as every question is answered."""
        parts = [Part(Verdict.NO, each) for each in self.nobody]
        parts += [Part(Verdict.ASKED, each) for each in self.waits]
        return Answer(WORDS, tuple(parts) or (Part(Verdict.YES, WORDS.yes),))


def against_fit(
    state: State, group: Group, today: date, to: str | None = None, *, contents: bool = False
) -> Against:
    """Return what stands against putting a group back for good, to another group (by id) or on its machine.

    The usual order is no reason to wait.
    """
    book = state.follower(Book)
    nobody = [text for _, text in _forbids(state, group, today)]
    nobody += _misplaced(state, book, group, to)
    waits: dict[str, None] = {}
    inner = map(state.group, state.descendants(group.id)) if contents else put_on_below(state, group.id)
    for inside in inner:
        nobody += [f"{inside.shown}, in it, {text}" for _, text in _forbids(state, inside, today)]
        nobody += _strange(state, book, inside, group)
        waits |= {f"{text} of {inside.shown}": None for text in held_back(state, inside.id, today).values()}
    waits |= dict.fromkeys(_waits(state, group))
    return Against(tuple(dict.fromkeys(nobody)), tuple(waits))


def against_trial(
    state: State, group: Group, today: date, to: str | None = None, *, contents: bool = False
) -> Against:
    """Return what stands against trying a group on; what is rejected or decided about may be let through."""
    book = state.follower(Book)
    own = list(_forbids(state, group, today))
    lets = [text for kind, text in own if kind == "kept"]
    nobody = [text for kind, text in own if kind == "never"]
    nobody += _misplaced(state, book, group, to)
    for each in state.descendants(group.id) if contents else ():
        inside = state.group(each)
        nobody += [f"{inside.shown}, in it, {text}" for _, text in _forbids(state, inside, today)]
    return Against(tuple(nobody), tuple(lets))


def _forbids(
    state: State, group: Group, today: date
) -> Iterable[tuple[Literal["never", "kept", "tried"], str]]:
    """Say what nobody may let through of one group itself; `kept`: a person may let it be tried.

    `tried`: it may be tried all the same.
    """
    if group.counted == "never":
        yield "never", "is no part of a machine"
        return
    if group.disposition in OUT:
        kind: Literal["kept", "tried"] = "tried" if group.disposition == "renew" else "kept"
        yield kind, f"is {_decided(group)}: say first that it goes back (disposition refit)"
    account = state.follower(Book).account(group.id)
    if account in ("away", "lent"):
        top, where = state.top_of(group.id)
        with_it = "" if top == group.id else f", with {state.group(top).shown}"
        yield "never", f"is not here: {account} at {getattr(where, 'to', '')}{with_it}"
    let = release(state, group.id, today)
    if let.nobody:
        yield "kept", f"is {let.why}"


def _decided(group: Group) -> str:
    return {"scrap": "to be scrapped", "renew": "to be renewed", "sell": "to be sold"}.get(
        group.disposition, f"to be reused elsewhere{f' ({group.elsewhere})' if group.elsewhere else ''}"
    )


def _misplaced(state: State, book: Book, group: Group, to: str | None) -> Iterable[str]:
    """Say where it would be on a machine its pieces do not belong to, or on what is no place for a part."""
    target = ""
    if to:
        host = state.group(to)
        target = book.on_which(to)
        if host.counted == "never":
            yield f"cannot go on {host.shown}: that is no part of a machine"
        elif host.disposition in OUT:
            yield f"cannot go on {host.shown}, which is {_decided(host)}"
    homes = {home: n for seat, n in group.seats.items() if n and (home := book.home(seat))}
    target = target or next(iter(homes), "")
    for home, n in homes.items():
        if home != target:
            own = f"{n} of it belong to {home}" if len(homes) > 1 else f"belongs to {home}"
            yield f"is of another machine: {own}, not to {target}"


def _strange(state: State, book: Book, inside: Group, group: Group) -> Iterable[str]:
    """Say what lies in a group, belongs neither to it nor below it, and was not let through to be there."""
    if inside.counted == "never" or book.account(inside.id) in GONE.values():
        return  # said already
    if (
        isinstance(inside.where, InGroup)
        and inside.where.how == "fitted"
        and any(
            doc.get("elsewhere") and doc.get("group") == inside.id for doc in state.docs("accepted").values()
        )
    ):
        return
    graph = state.follower(Order).graph
    path = next((graph.places[p].path for p in group.positions if p in graph.number), None)
    for seat, n in inside.seats.items():
        if not n or path is None or seat in group.positions:
            continue
        place = graph.places.get(seat)
        if place is None or place.path[: len(path)] != path:
            where = " > ".join(place.origin) if place is not None and place.origin else "origin not known"
            yield f"{inside.shown}, in it, belongs elsewhere ({where}): take it out"
            return


def _waits(state: State, group: Group) -> Iterable[str]:
    order = state.follower(Order)
    places = [each for each, n in group.seats.items() if each in order.graph.number and (n or group.qty == 0)]
    looks = [order.look(each) for each in places]
    filled = {
        f"part:{place}"
        for place, look in zip(places, looks, strict=True)
        if look.lying == (group.id,) and not look.lacking
    }
    for position in places:
        for line in refit.entry(state, position):
            if line.group is None or line.group.id != group.id:
                continue
            yield from (
                wait.text
                for wait in line.waits
                if wait not in line.usual and wait.kind != "rejected" and wait.subject not in filled
            )
    if looks and all(look.done and look.touched for look in looks):
        struck = any(look.struck for look in looks)
        yield "nothing: its place was struck out" if struck else "nothing: its place is filled"
    yield from unmatched(state, group)


def on_trial(state: State) -> list[Group]:
    """Return the groups that are on only to be tried, by themselves (not what was tried with them)."""
    table = state.docs("group")
    return [group for group in state.groups() if is_tried(table[group.id].get("where"))]
