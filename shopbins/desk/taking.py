"""The desk's part about taking off: a new group, on a blank tag if there is one, laid down at once or not."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from shopbins.desk.opened import OpenDesk
from shopbins.desk.problems import NotDone
from shopbins.ledger.model import InZone

if TYPE_CHECKING:
    from datetime import date

    from shopbins.ledger.events import Draft
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.placing.recording import Laid, Reasons
    from shopbins.records.record import Wanted


class TakeDesk(OpenDesk):
    """What `Desk` can do about what comes off."""

    def take(self, name: str, *, blank: str | None = None, **fields: Any) -> Group:
        """Record what has just come off, on the blank tag with this code if given.

        `fields` are those of `acts.take`: origin, container, size, mass, qty, ordered, where and any other
        of a group's. Where a parts list has it, it becomes that position's, with its quantity unless one is
        given.
        """
        event = self.record(self._taking(name, blank, **fields))
        return self.state.group(event.subjects[0].partition(":")[2])

    def as_named(self, origin: Sequence[str]) -> tuple[str, ...]:
        """Return an origin as its machine and assemblies are written already, whatever its capitals."""
        from shopbins.strip.tree import as_known

        path = as_known(self.state, origin)
        known = {key.casefold(): key for key in self.shop.machines}
        return (known.get(path[0].casefold(), path[0]), *path[1:]) if path else ()

    def new_machine(self, origin: Sequence[str]) -> str:
        """Say that an origin makes a new machine called much like one there is; '' where it does not."""
        from shopbins.desk.names import hint

        path = self.as_named(origin)
        if not path:
            return ""
        known = self.names.machines()
        near = hint(path[0], sorted(known)) if path[0] not in known else ""
        return f"new machine '{path[0]}'{near}" if near else ""

    def recorded_as(self, name: str, origin: Sequence[str] = ()) -> list[Group]:
        """Return the groups that may be the same thing: of this name, and not known to be from elsewhere.

        None where a parts list has another of that name still to come off.
        """
        from shopbins.strip.tree import match

        wanted, path = " ".join(name.split()).casefold(), self.as_named(origin)
        if not wanted:
            return []
        position = match(self.state, name, path) if self._has_lists else None
        if position is not None and self._still_on(position):
            return []
        named = [g for g in self.state.groups() if " ".join(g.name.split()).casefold() == wanted]
        return [g for g in named if not path or not g.origin or g.origin == path]

    def listed_origin(self, name: str) -> tuple[str, ...]:
        """Return where the one listed part of this name belongs; () where there is none, or several."""
        from shopbins.strip.tree import listed, match

        position = match(self.state, name, ()) if self._has_lists and name.strip() else None
        return () if position is None else tuple(listed(self.state)[position]["origin"])

    @property
    def _has_lists(self) -> bool:
        return bool(self.state.docs("part") or self.state.docs("list"))

    def _still_on(self, position: str) -> bool:
        """Tell whether fewer pieces came off a listed position than belong there."""
        from shopbins.strip.book import Book

        look = self.state.follower(Book).look(position)
        return look.came < look.need

    def take_listed(self, position: str) -> Group:
        """Record that a listed part came off; its number is the list's until somebody counts it."""
        from shopbins.strip.tree import position_of

        place = position_of(self.state, position)
        if place is None:
            raise NotDone("there is no such place on the machine any more")
        more = {"counted": "assumed"} if (place.qty or 1) > 1 else {}
        return self.take(place.name, origin=place.origin, qty=place.qty, parts=(position,), **more)

    def heed_before_taking(self, name: str, origin: Sequence[str] = ()) -> list[str]:
        """Return what is known to be heeded where something of this name is about to come off."""
        from shopbins.strip.heed import heed_position
        from shopbins.strip.tree import match

        position = match(self.state, name, self.as_named(origin))
        return [] if position is None else heed_position(self.state, position)

    def take_and_put(
        self,
        name: str,
        zone: str,
        level: str = "",
        *,
        blank: str | None = None,
        override: Reasons = None,
        dry_run: bool = False,
        **fields: Any,
    ) -> Laid:
        """Record what has just come off and lay it down, judged, in one event: `take` and `put` in one.

        A stop without `override` leaves nothing recorded, the group neither.
        """
        from shopbins.desk.problems import translated
        from shopbins.placing.laying import lay_new

        taking = self._taking(name, blank, **fields)
        with translated():
            return lay_new(
                self.ledger, self.shop, taking, InZone(zone, level), override=override, dry_run=dry_run
            )

    def do_and_put(self, wanted: Wanted, zone: str, level: str = "", *, override: str | None = None) -> Laid:
        """Do an act that makes a group and lay that down, judged, in one event; a stop leaves nothing."""
        from shopbins.desk.problems import translated
        from shopbins.placing.laying import lay_new

        with translated():
            work = wanted.meant(self.names, date.today())
            return lay_new(self.ledger, self.shop, work, InZone(zone, level), override=override)

    def _taking(
        self,
        name: str,
        blank: str | None,
        *,
        origin: Sequence[str] = (),
        qty: int | None = None,
        ordered: bool = True,
        **more: Any,
    ) -> Callable[[State], Draft]:
        from shopbins.records import acts

        origin = self.as_named(origin)
        code = "" if blank is None else self._blank_code(blank)
        now = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime()) if ordered else None
        if ordered and self.day is not None:
            now = f"{self.day.isoformat()}T12:00:00Z"

        def work(state: State) -> Draft:
            listed = _listed(state, name, tuple(origin), qty)
            fields = {"origin": origin, "qty": 1 if qty is None else qty, **listed, **more}
            return acts.take(state, name, code=code, ordered=ordered, taken_at=now, **fields)

        return work

    def _blank_code(self, text: str) -> str:
        kind, subject = self.names.code(text)
        if kind != "blank":
            what = f"on {self.state.group(subject).shown}" if kind == "group" else f"the label of {subject}"
            raise NotDone(f"{text.strip()} is not a blank label: it is {what}")
        return subject


def _listed(state: State, name: str, origin: tuple[str, ...], qty: int | None) -> dict[str, Any]:
    """Return what a parts list says of a group that comes off: its position, origin and pieces."""
    if not state.docs("part") and not state.docs("list"):
        return {}
    from shopbins.strip.tree import listed, match, members

    position = match(state, name, origin)
    if position is None:
        return {}
    doc = listed(state)[position]
    found: dict[str, Any] = {"parts": (position,), "origin": tuple(doc["origin"])}
    if qty is None and doc.get("qty"):
        table = state.docs("group")
        off = sum(table[each].get("qty", 1) for each in members(state).get(position, ()))
        found["qty"] = max(1, doc["qty"] - off)
        if found["qty"] > 1:
            found["counted"] = "assumed"  # a number from a list, which nobody counted yet
    return found
