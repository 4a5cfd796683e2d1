"""The desk's part about strip and refit: what comes off before what, what goes back, what is lacking.

Questions answer from `shopbins.strip`; changes are recorded as everywhere, judged under the lock.
Positions are meant by a group's code or name, or by the name of a listed part.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from shopbins.desk.problems import BadInput
from shopbins.desk.taking import TakeDesk

if TYPE_CHECKING:
    from shopbins.ledger.events import Draft
    from shopbins.ledger.model import Group
    from shopbins.ledger.state import State
    from shopbins.reports.amended import Amended
    from shopbins.strip.importing import Sheet
    from shopbins.strip.missing import LastSeen
    from shopbins.strip.tree import Position


class StripDesk(TakeDesk):
    """What `Desk` can do about strip and refit."""

    # -- which is meant

    def known_origin(self, origin: Sequence[str]) -> tuple[str, ...]:
        """Return an origin on a machine there is; NotDone where nobody knows the machine."""
        return (self.names.one("machine", origin[0]), *origin[1:]) if origin else ()

    def position(self, position: str) -> Position:
        """Return a position; KeyError where there is none."""
        from shopbins.strip.order import Order

        return self.state.follower(Order).graph.places[position]

    # -- asking

    def last_seen(self, group_id: str) -> LastSeen:
        """Return where a group was last known to be, and what was moved from there afterwards."""
        from shopbins.desk.problems import translated
        from shopbins.strip.missing import last_seen

        with translated():
            events = self.ledger.events()
        return last_seen(events, group_id)

    def hints(self, group: Group) -> list[str]:
        """Return what to heed when a group is handled: cautions, matched sets, how it came off."""
        from shopbins.rules.partcautions import lines_before
        from shopbins.strip.heed import heed

        return [*heed(self.state, group, self.today), *lines_before(group, self.shop)]

    def hints_at(self, position: str) -> list[str]:
        """Return what to heed at a place on the machine: of its parts, and of the place."""
        from shopbins.rules.partcautions import first_steps, lines_before, said
        from shopbins.strip.heed import heed_position
        from shopbins.strip.order import Order
        from shopbins.strip.tree import listed

        lines = heed_position(self.state, position, self.today)
        places = self.state.follower(Order).graph.places
        for each in places[position].groups if position in places else ():
            lines += lines_before(self.state.group(each), self.shop)
        cautions = listed(self.state).get(position, {}).get("cautions", ())
        lines += said(first_steps(cautions, None, self.shop))
        return list(dict.fromkeys(lines))

    def set_warnings(self, group_ids: Sequence[str], doing: str) -> list[str]:
        """Say what a matched set would lose by 'split' or 'gone' (scrapped, given away, renewed)."""
        from shopbins.strip import sets

        groups = [self.state.group(each) for each in group_ids]
        warn = sets.warn_split if doing == "split" else sets.warn_gone
        return [line for group in groups for line in warn(self.state, group)]

    def change_warnings(self, group: Group, fields: Mapping[str, Any]) -> list[str]:
        """Say what a matched set would lose by a change of a group: another seat, or a piece gone."""
        from shopbins.ledger.model import OUT
        from shopbins.strip.sets import warn_gone, warn_seat

        lines = warn_gone(self.state, group) if fields.get("disposition") in OUT else []
        return lines + warn_seat(self.state, group, tuple(fields.get("origin", group.origin)))

    # -- parts lists

    def read_parts(self, data: bytes, columns: dict[str, int] | None = None, machine: str = "") -> Sheet:
        """Read a parts list; columns as given, else as remembered for this heading, else guessed."""
        from shopbins.desk.problems import translated
        from shopbins.strip import importing

        with translated():
            known = columns or importing.remembered(self.state, importing.header_of(data))
            return importing.read(data, known, self.as_named((machine.strip(),))[0])

    def read_amended(self, data: bytes) -> Amended:
        """Compare an export that comes back from a spreadsheet with what is on record."""
        from shopbins.desk.problems import translated
        from shopbins.reports.amended import read_amended

        with translated():
            return read_amended(data, self.state)

    def amend(self, amended: Amended) -> int:
        """Record as one event what an export says anew."""
        from shopbins.ledger.events import Draft
        from shopbins.records.group import change

        def work(state: State) -> Draft:
            after: dict[str, Any] = {}
            for each in amended.changes:
                after |= change(state, each.group.id, **each.fields).after
            return Draft("change", after)

        return self.record(work).seq

    def import_parts(self, sheet: Sheet, title: str = "", *, skip_bad: bool = False, reason: str = "") -> int:
        """Import a list; with rows that cannot be read nothing is, unless `skip_bad` leaves those out.

        Another number for what came off is a correction and wants its `reason`.
        """
        from shopbins.records.pieces import correct_list
        from shopbins.strip.importing import import_parts

        if sheet.problems and not skip_bad:
            raise BadInput(*(f"{line}: {text}" for line, text in sheet.problems))

        def correct(state: State, position: str, number: int) -> Draft:
            return correct_list(state, position, number, reason, by=self.by, on=self.on)

        why = correct if reason.strip() else None
        return self.record(lambda state: import_parts(state, sheet, title, why)).seq
