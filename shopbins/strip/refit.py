"""Putting back: what can go back now, what waits for what, and the chain in front of a milestone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from shopbins.ledger.model import Group
from shopbins.ledger.state import State
from shopbins.strip.book import GONE, Book
from shopbins.strip.order import Order
from shopbins.strip.release import release
from shopbins.strip.waits import Wait, on_unreleased

AS_OFF = " (as it came off)"
HOME_NOT_KNOWN = " (only as it came off, home not known)"
"""How a wait is said that nobody told of: what has no home may not be of one machine at all."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the refit list: a group to go back, or (group None) pieces of a position still lacking.

    `waits` is what it waits for, a rejection first; `usual` those that only the recorded order puts first.
    """

    position: str
    name: str
    group: Group | None
    pieces: int
    waits: tuple[Wait, ...]
    usual: tuple[Wait, ...] = ()

    @property
    def ready(self) -> bool:
        """Tell whether nothing is waited for."""
        return not self.waits

    @property
    def free(self) -> bool:
        """Tell whether only the recorded order stands before it: it can go back if that is no matter."""
        return all(wait in self.usual for wait in self.waits)

    def heeded(self, hints: Sequence[str]) -> list[str]:
        """Return what to heed at it beside what it waits for, which says some of that already."""
        return [each for each in hints if all(each != wait.text for wait in self.waits)]


def refit(state: State, machine: str | None = None, milestone: str | None = None) -> list[Entry]:
    """Return everything still to go back, in refit order; only of one machine, or in front of a milestone."""
    order = state.follower(Order)
    wanted = None if milestone is None else set(chain(state, milestone))
    found = order.open()
    if wanted is not None:
        found = [each for each in found if each in wanted]
    return _entries(state, order, _of_machine(order, found, machine))


def next_back(state: State, machine: str | None = None) -> list[Entry]:
    """Return what can go back now: nothing is waited for. Costs as much as there is to say."""
    order = state.follower(Order)
    found = _entries(state, order, _of_machine(order, order.now(), machine))
    return [each for each in found if each.ready and each.group is not None]


def entry(state: State, position: str) -> list[Entry]:
    """Return the lines of one position; KeyError where there is none."""
    order = state.follower(Order)
    order.look(position)
    order.new_day()
    return _entries(state, order, [position])


def passed_over(state: State, group: Group) -> str:
    """Say what, by the order things came off in alone, goes on before a group and is not on yet: '' if none.

    The same before it is put on and after. Nobody told of that order, so it does not bind. What lies in the
    shop and what is lacking (to be renewed, lost) are named alike, six names at most.
    """
    order = state.follower(Order)
    graph, lying, lacking = order.graph, dict[str, int](), dict[str, tuple[str, int]]()
    for position in (each for each in group.positions if each in graph.number):
        certain = set(graph.after([position], usual=False))
        for other in graph.after([position]):
            look = order.look(other)
            if other not in certain and not look.done:
                lying |= {each: state.group(each).qty for each in look.lying if each != group.id}
                if look.lacking:
                    lacking[other] = graph.places[other].name, look.lacking
    left = [*((state.group(each).shown, n) for each, n in lying.items()), *lacking.values()]
    if not left:
        return ""
    names = [f"{name} x{n}" if n > 1 else name for name, n in left[:6]]
    more = f" and {len(left) - 6} more" if len(left) > 6 else ""
    verb = "is" if len(left) == 1 and left[0][1] == 1 else "are"
    said = f"{', '.join(names)}{more} came off after it and {verb} still off"
    return f"{said} (only the order they came off in)"


def chain(state: State, milestone: str, *, usual: bool = True) -> list[str]:
    """Return the positions a milestone needs, what goes on before them included, in refit order.

    Without `usual`, what only the recorded order puts before them is left out. KeyError where there is no
    such milestone.
    """
    graph = state.follower(Order).graph
    seen, todo, wanted = {milestone}, [milestone], set[str]()
    while todo:
        wanted |= members(state, todo.pop())
        wanted |= set(graph.after(wanted, usual=usual))
        for each in wanted:
            for earlier in graph.places[each].after:
                if earlier not in seen and earlier in state.docs("milestone"):
                    seen.add(earlier)
                    todo.append(earlier)
    return sorted(wanted, key=lambda each: graph.refit_key(graph.number[each]))


def members(state: State, milestone: str) -> set[str]:
    """Return the positions a milestone itself names: by themselves, or as all of an assembly."""
    graph = state.follower(Order).graph
    doc = state.docs("milestone")[milestone]
    found = {each for each in doc.get("positions", ()) if each in graph.number}
    for path in map(tuple, doc.get("paths", ())):
        found |= {key for key, each in graph.places.items() if each.path[: len(path)] == path}
    return found


def not_met(state: State, milestone: str, today: date) -> list[str]:
    """Name what a milestone needs that is off, or rejected though it is on: 'crank (off)'."""
    order, found = state.follower(Order), []
    for key in sorted(members(state, milestone), key=order.graph.number.__getitem__):
        place, look = order.graph.places[key], order.look(key)
        if not look.done:
            found.append(f"{place.name} (off)")
        elif held := next((g for g in look_groups(state, key) if release(state, g, today).nobody), None):
            found.append(f"{state.group(held).shown} (rejected)")
        elif held := next((g for g in look_groups(state, key) if on_unreleased(state, g, today)), None):
            found.append(f"{state.group(held).shown} (not released)")
    return found


def look_groups(state: State, position: str) -> list[str]:
    """Return the groups of a position that were not decided about."""
    book = state.follower(Book)
    return [each for each in book.groups(position) if book.account(each) not in GONE.values()]


def _of_machine(order: Order, found: Iterable[str], machine: str | None) -> list[str]:
    places = order.graph.places
    return [each for each in found if machine is None or places[each].origin[:1] == (machine,)]


def _entries(state: State, order: Order, found: Iterable[str]) -> list[Entry]:
    kept = order.lines
    entries: list[Entry] = []
    for each in found:
        lines = kept.get(each)
        if lines is None:
            lines = kept[each] = _lines_of(state, order, each)
        entries += lines
    return entries


def _lines_of(state: State, order: Order, position: str) -> list[Entry]:
    look, place = order.look(position), order.graph.places[position]
    others, usual = _part_waits(state, order, position) if order.is_held_up(position) else ((), ())
    lines = []
    for group_id in look.lying:
        group = state.group(group_id)
        own = order.waits_of(position, group_id)
        waits = tuple(sorted((*others, *own), key=lambda wait: wait.kind != "rejected"))
        lines.append(Entry(position, group.shown, group, group.qty, waits, usual))
    if look.lacking:
        waits = (*others, *(w for w in order.waits(position) if not w.subject.startswith("group:")))
        lines.append(Entry(position, place.name, None, look.lacking, waits, usual))
    return lines


def _part_waits(state: State, order: Order, position: str) -> tuple[tuple[Wait, ...], tuple[Wait, ...]]:
    """Return what goes on before a position and is not on yet, and which of that is only usual."""
    graph = order.graph
    waits, usual = [], []
    for each in order.held_up_by(position):
        place = graph.places[each]
        codes = " ".join(state.group(group).code for group in order.look(each).lying)
        soft = graph.sort_of(position, each) == "usual"
        ending = AS_OFF if soft and place.origin else HOME_NOT_KNOWN if soft else ""
        wait = Wait("part", f"{codes} {place.name}{ending}".strip(), f"part:{each}")
        waits.append(wait)
        if soft:
            usual.append(wait)
    return tuple(waits), tuple(usual)
