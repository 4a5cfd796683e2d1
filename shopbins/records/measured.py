"""What was measured of pieces that part from others: it holds for each, or goes with those it is of."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from shopbins.ledger.docs import group_fields
from shopbins.ledger.events import new_id
from shopbins.ledger.model import Doc, Group, WorkPoint
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.strip.release import VERIFY, Tests, among, characteristics, is_within, narrowest
from shopbins.units import counted


def copied_tests(state: State, group_id: str, new: str, goes: int, stays: int) -> dict[str, Any]:
    """Return what was measured and conceded of a group, for the pieces split off it.

    A concession is shared out by their number: what was conceded for fewer pieces than there are stays. Of
    how many pieces a value was measured is kept with either: one of them does not clear the others.
    """
    after: dict[str, Any] = {}
    group = state.docs("group").get(group_id, {})
    tests = state.follower(Tests)
    for key, doc in tests.of("inspection", group_id):
        n = among(doc, group)
        kept = {"among": n} if n > 1 else {}
        after[f"inspection:{new_id()}"] = {**doc, "group": new, **kept}
        if kept and "among" not in doc:
            after[f"inspection:{key}"] = kept
    for key, doc in tests.of("concession", group_id):
        if doc.get("qty", goes + stays) >= goes + stays:
            after[f"concession:{key}"] = {"qty": stays}
            after[f"concession:{new_id()}"] = {**doc, "group": new, "qty": goes}
    return after


def held_to(state: State, group: Group, seats: Iterable[str]) -> dict[str, Any]:
    """Return what a group that goes to some places is to be inspected for: what else was measured there.

    Values of the same name in mm are held to the limits of the place by themselves (see `Tests.limits`).
    """
    tests = state.follower(Tests)
    mine = {what: those[-1][1] for (what, _), those in tests.counting(group.id).items()}
    again = {}
    for name, limit in tests.known_at(seats).items():
        own = mine.get(name, {})
        in_mm = own.get("measured_mm") is not None and bool(narrowest(limit))
        if not in_mm and any(own.get(side, "") != limit.get(side, "") for side in ("low", "high")):
            verify = f"{VERIFY}{name}"[:80]
            again[verify] = WorkPoint(verify)
    if not again:
        return {}
    points = {each.what: each for each in group.work} | again
    return {f"group:{group.id}": group_fields({"work": tuple(points.values())})}


class Beyond(NamedTuple):
    """What was measured of a group, parted: the values beyond their limit go with so many pieces.

    `values` are those that go and `rest` those that stay by characteristic, `others` what holds for all.
    `most`: of how many pieces the values beyond may be.
    """

    pieces: int
    most: int
    values: Mapping[str, Sequence[str]]
    rest: Mapping[str, Sequence[str]]
    others: Mapping[str, Doc]
    concessions: Mapping[str, int]

    def moved(self, new: str, pieces: int, left: int) -> dict[str, Any]:
        """Return what gives so many pieces split off their values, and what was conceded of those.

        The values that stay are from now on of the `left` pieces.
        """
        keys = [f"inspection:{key}" for those in self.values.values() for key in those]
        after: dict[str, Any] = {key: {"group": new} for key in keys}
        after |= {f"inspection:{key}": {"among": left} for those in self.rest.values() for key in those}
        for key, qty in self.concessions.items():
            after[f"concession:{key}"] = {"group": new, "qty": min(qty, pieces)}
        return after | {f"inspection:{new_id()}": {**doc, "group": new} for doc in self.others.values()}

    def lacks(self, pieces: int) -> list[str]:
        """Return the characteristics that are to be measured of each of so many pieces left.

        That is what fewer values within are known of, and all that was beyond where more pieces may be bad
        than went.
        """
        unsure = self.pieces < self.most
        return [what for what in self.values if unsure or len(self.rest.get(what, ())) < pieces]

    def again(self, pieces: int) -> list[WorkPoint]:
        """Return those as points of work."""
        return [WorkPoint(f"{VERIFY}{what}"[:80]) for what in self.lacks(pieces)]


def bad_pieces(state: State, group: Group) -> tuple[int, int]:
    """Return of how many pieces the values beyond their limit are: at least, at most; 0 where there are none.

    Two values of one characteristic are of two pieces; of two characteristics nobody said it.
    """
    numbers = [len(keys) for keys in beyond_in(state, group).values()]
    return max(numbers, default=0), min(sum(numbers), group.qty)


def beyond_in(state: State, group: Group) -> dict[str, list[str]]:
    """Return the inspections beyond their limit by characteristic."""
    found: dict[str, list[str]] = {}
    for each in characteristics(state, group.id, date.today()):
        if each.within is False:
            found.setdefault(each.what.casefold(), []).append(each.key)
    return found


def beyond_of(state: State, group: Group, qty: int | None) -> Beyond:
    """Part what was measured of a group by which value is beyond its limit, `qty` pieces or as many as sure.

    Refused where of how many pieces they are is not known and nobody says so.
    """
    tests = state.follower(Tests)
    gone = beyond_in(state, group)
    if not gone:
        raise Refused(f"{group.shown} has no value beyond its limit: split off so many (--qty)")
    what, least = max(((what, len(keys)) for what, keys in gone.items()), key=lambda pair: pair[1])
    if qty is not None and qty < least:
        raise Refused(
            f"{least} values of {what} are beyond their limit: "
            f"split off {counted(least, 'piece')}, or correct a value"
        )
    most = bad_pieces(state, group)[1]
    if qty is None and least < most:
        raise Refused(
            f"values of {', '.join(gone)} are beyond their limits: of {counted(least, 'piece')}, or of up to "
            f"{most}? say how many go (--qty); where fewer than {most} do, the rest is to be inspected"
        )
    rest: dict[str, list[str]] = {}
    others: dict[str, Doc] = {}
    for key, doc in tests.of("inspection", group.id):
        name = doc["what"].casefold()
        if name not in gone:
            others[key] = doc
        elif (
            key not in gone[name]
            and is_within(doc)
            and among(doc, state.docs("group")[group.id]) <= group.qty
        ):
            rest.setdefault(name, []).append(key)  # what was measured of more may be of those split off since
    conceded = {
        key: doc.get("qty", group.qty)
        for key, doc in tests.of("concession", group.id)
        if doc["what"].casefold() in gone
    }
    return Beyond(least if qty is None else qty, most, gone, rest, others, conceded)
