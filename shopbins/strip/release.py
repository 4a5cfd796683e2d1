"""Release: may a part go back on? The fold of its own inspections, concessions and work; never a tick.

Sources: ISO 9001:2015, 8.7.1 (conformity is verified again when a nonconforming output was corrected) and
8.7.2 (what was wrong, what was done, the concession and who decided are kept); ISO 9000:2015, 'concession':
permission to use what does not conform, generally limited to given characteristics, limits, quantity or time.
The states and what leads from one to another are our own rule.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from shopbins.answer import Accepted
from shopbins.ledger.events import Change
from shopbins.ledger.lots import held
from shopbins.ledger.model import Doc
from shopbins.ledger.problems import BadValue
from shopbins.ledger.state import State
from shopbins.units import counted

Name = Literal["nothing asked", "to inspect", "within limits", "rejected", "in rework", "conceded", "used"]

REWORK = ("repair", "remachine")
"""Work that corrects a part: what was measured before it is to be measured again."""

OLD_DECISION = "decide what becomes of it"
"""A point of work older ledgers kept for a value beyond its limit; open, it says: rejected."""

VERIFY = "inspect "
"""What a point of work begins with that asks for one characteristic to be measured again."""

ROUND_MM = 1e-9


class Tests:
    """Every group's inspections and concessions by its id: follows a state (see `State.follower`)."""

    def __init__(self, state: State) -> None:
        self._state = state
        self._of: dict[str, dict[str, list[str]]] | None = None
        self._limits: dict[str, dict[str, Doc]] | None = None

    def update(self, changes: list[Change]) -> None:
        """Take one event's changes over."""
        if self._of is None:
            return
        if any(c.table in ("inspection", "concession") for c in changes):
            self._of = self._limits = None
        elif any(c.table == "group" and c.key in self._of["inspection"] for c in changes):
            self._limits = None

    def of(self, table: str, group_id: str) -> list[tuple[str, Doc]]:
        """Return a group's inspections or concessions with their ids, by day, then as recorded."""
        if self._of is None:
            self._of = {}
            for name in ("inspection", "concession"):
                found = self._of[name] = {}
                for key, doc in self._state.tables.get(name, {}).items():
                    found.setdefault(doc["group"], []).append(key)
        docs = self._state.tables.get(table, {})
        keys = self._of[table].get(group_id, ())
        return sorted(((key, docs[key]) for key in keys), key=lambda pair: pair[1].get("on") or "")

    def counting(self, group_id: str) -> dict[tuple[str, str], list[tuple[str, Doc]]]:
        """Return a group's values that count by characteristic (and the group they came with): see below."""
        group = self._state.tables.get("group", {}).get(group_id, {})
        found: dict[tuple[str, str], list[tuple[str, Doc]]] = {}
        for key, doc in self.of("inspection", group_id):
            those = found.setdefault((doc["what"].casefold(), doc.get("of", "")), [])
            if doc.get("anew") or among(doc, group) < 2:
                those.clear()
            those.append((key, doc))
        return found

    def limits(self, group_id: str) -> dict[str, Doc]:
        """Return by characteristic the limits in mm that a group's values are held to: those of its places.

        What was never measured there is held to its own limits as well, where those are narrower.
        """
        seats = _seats(group_id, self._state.tables.get("group", {}).get(group_id, {}))
        found = {what: narrowest(limit) for what, limit in self.known_at(seats).items()}
        elsewhere = {doc["what"].casefold() for _, doc in self.of("inspection", group_id)} - {
            doc["what"].casefold()
            for _, doc in self.of("inspection", group_id)
            if not {*seats}.isdisjoint(doc.get("at", seats))
        }
        for (what, _), those in self.counting(group_id).items():
            if what in elsewhere:
                found[what] = narrowest(found.get(what, {}), *(doc for _, doc in those))
        return found

    def known_at(self, seats: Iterable[str]) -> dict[str, Doc]:
        """Return by characteristic the narrowest limits any value at some places was held to.

        Also of what is there no more. Where they are no lengths: the last one's, as written.
        """
        if self._limits is None:
            self._limits = self._by_seat()
        found: dict[str, Doc] = {}
        for seat in seats:
            for what, limit in self._limits.get(seat, {}).items():
                found[what] = narrowest(found.get(what, {}), limit) or limit
        return found

    def _by_seat(self) -> dict[str, dict[str, Doc]]:
        table = self._state.tables.get("group", {})
        series: dict[tuple[str, str, str, str], list[Doc]] = {}
        for each in self.measured():
            group = table.get(each, {})
            now = _seats(each, group) if group else []  # older ledgers do not say where it was then
            for _, doc in self.of("inspection", each):
                for seat in doc.get("at", now):
                    those = series.setdefault((seat, doc["what"].casefold(), each, doc.get("of", "")), [])
                    if doc.get("anew") or among(doc, group) < 2:
                        those.clear()
                    those.append(doc)
        found: dict[str, dict[str, Doc]] = {}
        for (seat, what, _, _), those in series.items():
            at = found.setdefault(seat, {})
            at[what] = narrowest(at.get(what, {}), *those) or {
                side: those[-1].get(side, "") for side in ("low", "high")
            }
        return found

    def measured(self) -> set[str]:
        """Return the groups that have any inspection."""
        self.of("inspection", "")
        assert self._of is not None
        return {*self._of["inspection"]}

    def judged(self) -> set[str]:
        """Return the groups that have any."""
        self.of("inspection", "")
        assert self._of is not None
        return {*self._of["inspection"], *self._of["concession"]}


def _seats(key: str, doc: Doc) -> list[str]:
    seats = held(key, doc)
    return [seat for seat, n in seats.items() if n] or [*seats]


def narrowest(*docs: Doc) -> Doc:
    """Return the narrowest of some limits in mm, each side by itself: {low, low_mm, high, high_mm}."""
    found: dict[str, object] = {}
    for side, best in (("low", max), ("high", min)):
        known = [doc for doc in docs if doc.get(f"{side}_mm") is not None]
        if known:
            by = best(known, key=lambda doc: doc[f"{side}_mm"])
            found |= {side: by.get(side, ""), f"{side}_mm": by[f"{side}_mm"]}
    return found


@dataclass(frozen=True, slots=True)
class Characteristic:
    """The last value of one characteristic: is it within its limit, and under which concession if not?"""

    what: str
    key: str
    doc: Doc
    within: bool | None
    concession: Doc | None = None

    @property
    def said(self) -> str:
        """Say value and limit: 'd 9.00mm (at least 9.50mm)'."""
        limits = limits_said(self.doc.get("low", ""), self.doc.get("high", ""))
        return f"{self.what} {self.doc.get('measured', '')}" + (f" ({limits})" if limits else "")


@dataclass(frozen=True, slots=True)
class Release:
    """Whether a part may go back on. `nobody` can accept what stands against it, or a named person can.

    `why` says what stands against it, '' where nothing does; `asked` are the inspections asked for.
    """

    state: Name
    why: str = ""
    nobody: bool = False
    beyond: tuple[Characteristic, ...] = ()
    conceded: tuple[Characteristic, ...] = ()
    asked: tuple[str, ...] = ()

    @property
    def goes(self) -> bool:
        """Tell whether it may go on as it is."""
        return not self.why

    @property
    def still(self) -> str:
        """Say what stands against it even so, '' where nothing does."""
        return f"still {self.why}" if self.nobody else f"waits for {self.why}" if self.why else ""


WORDS: dict[Name, str] = {"conceded": "under concession", "used": "used once"}


def state_said(name: Name) -> str:
    """Say a state as people read it."""
    return WORDS.get(name, name)


def limits_said(low: str, high: str) -> str:
    """Say limits as written: 'at least 9.50mm', '9.50mm to 9.60mm', '' for none."""
    low, high = (low or "").strip(), (high or "").strip()
    if low and high:
        return f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}" if high else ""


def is_within(doc: Doc) -> bool | None:
    """Tell whether an inspection's value is within its limits, None where none was given; at it is within."""
    value, low, high = doc.get("measured_mm"), doc.get("low_mm"), doc.get("high_mm")
    if value is None or (low is None and high is None):
        verdict = doc.get("verdict")
        return None if verdict == "not judged" else verdict == "within"
    return not (low is not None and value < low - ROUND_MM) and not (
        high is not None and value > high + ROUND_MM
    )


def uncovered(concession: Doc, doc: Doc, today: date, pieces: int) -> str:
    """Say why a concession does not let the value of so many pieces through, '' where it does.

    It is in force, given for as many pieces and against no wider limit, and holds the value: by the limits it
    names, on a side it does not name by the limit itself; without any, the value it was given for and no
    other.
    """
    if concession.get("withdrawn"):
        return f"taken back: {concession['withdrawn']}"
    if (concession.get("until") or "9999") < today.isoformat():
        return f"ran out {concession['until']}"
    if pieces > concession.get("qty", pieces):
        return f"it was for {counted(concession['qty'], 'piece')}, and there are {pieces}"
    value, sides = doc.get("measured_mm"), ("low_mm", "high_mm")
    if "against" in concession and narrowest(doc, concession["against"]) != narrowest(concession["against"]):
        return f"it was for the limit {concession.get('limit', '')}"
    if value is None or all(concession.get(side) is None for side in sides):
        same = concession.get("value") == doc.get("measured")
    else:
        limits = [doc.get(side) if concession.get(side) is None else concession[side] for side in sides]
        same = is_within({"measured_mm": value, **dict(zip(sides, limits, strict=True))}) is True
    return "" if same else f"it is not for {doc['what']} {doc.get('measured', '')}"


def as_conceded(doc: Doc) -> str:
    """Say the limits that would let a value beyond its limit through and none worse: 'd >= 9.00mm'."""
    value, low = doc.get("measured_mm"), doc.get("low_mm")
    sign = "" if value is None else ">= " if low is not None and value < low else "<= "
    return f"{doc['what']} {sign}{doc.get('measured', '')}"


def terms(concession: Doc) -> str:
    """Say to what a concession is limited: 'd >= 8.95mm, 4 pieces, until 2027-10-31'."""
    many = counted(n, "piece") if (n := concession.get("qty", 1)) > 1 else ""
    until = f"until {concession['until']}" if concession.get("until") else ""
    return ", ".join(filter(None, (concession.get("limits", ""), many, until)))


def characteristics(state: State, group_id: str, today: date) -> list[Characteristic]:
    """Return the values of a group that count, by characteristic in the order each was first measured.

    Of one piece that is the last of each. Several pieces are measured one after the other: each value beyond
    its limit counts until the piece it is of is split off, or all were reworked and are measured anew.
    Values that came from a group merged into this one (`of`) stand by themselves: the worst counts. Each is
    held to the limits of its places (`Tests.limits`).
    """
    tests = state.follower(Tests)
    group = state.tables.get("group", {}).get(group_id, {})
    measured = tests.counting(group_id)
    if not measured:
        return []  # as nearly always
    limits = tests.limits(group_id)
    concessions = [doc for _, doc in tests.of("concession", group_id)]
    pieces = sum(held(group_id, group).values()) if group else 1
    found = []
    held_to = (
        [(key, _held_to(doc, limits.get(what, {}))) for key, doc in those]
        for (what, _), those in measured.items()
    )
    for key, doc in (each for those in held_to for each in _counting(those)):
        within = is_within(doc)
        own = [c for c in concessions if c["what"].casefold() == doc["what"].casefold()]
        own = own if within is False else []
        let = next((c for c in reversed(own) if not uncovered(c, doc, today, pieces)), None)
        found.append(Characteristic(doc["what"], key, doc, within, let))
    return found


def _held_to(doc: Doc, limit: Doc) -> Doc:
    """Return an inspection with the limits its value is held to now."""
    if doc.get("measured_mm") is None or not limit:
        return doc
    return {**{name: value for name, value in doc.items() if name not in LIMITS}, **limit}


LIMITS = ("low", "low_mm", "high", "high_mm")


def _counting(those: list[tuple[str, Doc]]) -> list[tuple[str, Doc]]:
    """Return of the values of one characteristic those beyond their limit, else the last; it too if open."""
    beyond = [each for each in those if is_within(each[1]) is False]
    return beyond if beyond and is_within(those[-1][1]) is not None else [*beyond, those[-1]]


def among(doc: Doc, group: Doc) -> int:
    """Return of how many pieces a group was when a value of it was measured.

    Where an older ledger does not say: of as many as now, but of each by itself where they were reworked.
    """
    known: int | None = doc.get("among")
    if known is not None:
        return known
    return 1 if any(what in REWORK and done for what, done in points(group)) else group.get("qty", 1)


def points(doc: Doc) -> list[tuple[str, bool]]:
    """Return a group's short list as its document has it: what, and whether it was done."""
    return [(each[0], len(each) > 1 and bool(each[1])) for each in doc.get("work", ())]


def is_used(doc: Doc) -> bool:
    """Tell whether a group is of one use, and that use is over: it came off."""
    return bool(doc.get("one_use")) and (not doc.get("brought") or bool(doc.get("used")))


def release(state: State, group_id: str, today: date) -> Release:
    """Return whether a group may go back on, by what was measured, conceded and asked; KeyError for no group.

    Where it is, what else it waits for, and what lies in it are judged elsewhere (`strip.fitting`).
    """
    doc = state.tables["group"][group_id]
    measured = characteristics(state, group_id, today)
    work = points(doc)
    beyond = tuple(c for c in measured if c.within is False and c.concession is None)
    conceded = tuple(c for c in measured if c.concession is not None)
    if beyond or (any(what == OLD_DECISION and not done for what, done in work) and not conceded):
        return _rejected(doc, work, beyond, conceded)
    if asked := _asked(doc, work, measured):
        return Release("to inspect", ", ".join(asked.values()), conceded=conceded, asked=tuple(asked))
    if is_used(doc):
        return Release("used", "a new one: it is of one use, and was on", conceded=conceded)
    if conceded:
        return Release("conceded", conceded=conceded)
    return Release("within limits" if measured else "nothing asked")


def rejected(state: State, group_id: str, today: date) -> str:
    """Say why nobody may let a group go back on, '' where that is not so; KeyError for no group."""
    doc = state.tables["group"][group_id]
    if not doc.get("work") and not state.follower(Tests).of("inspection", group_id):
        return ""  # as nearly always
    let = release(state, group_id, today)
    return let.why if let.nobody else ""


def _rejected(
    doc: Doc,
    work: list[tuple[str, bool]],
    beyond: tuple[Characteristic, ...],
    conceded: tuple[Characteristic, ...],
) -> Release:
    said = ", ".join(c.said for c in beyond) or "a value beyond its limit"
    verb = doc.get("disposition", "")
    if verb in REWORK and (verb, True) not in work:
        return Release("in rework", f"rejected, in rework: {said}", True, beyond, conceded)
    again = any(what in REWORK and done for what, done in work)
    then = ": measure it again" if again else ""
    return Release("rejected", f"rejected: {said}{then}", True, beyond, conceded)


def _asked(doc: Doc, work: list[tuple[str, bool]], measured: list[Characteristic]) -> dict[str, str]:
    """Return what is still to be inspected, by its point of work or characteristic, and how it is said."""
    found = [what for what, done in work if not done and (what == "inspect" or what.startswith(VERIFY))]
    if doc.get("disposition") == "inspect" and all(what != "inspect" for what, _ in work):
        found.append("inspect")
    named = {
        what: "inspection" if what == "inspect" else f"inspection of {what.removeprefix(VERIFY)}"
        for what in found
    }
    return named | {
        f"limit of {c.what}": f"inspection of {c.what} (no limit given)" for c in measured if c.within is None
    }


def accepted(concession: Doc) -> Accepted:
    """Return who conceded what, and why."""
    since = concession.get("on")
    return Accepted(
        concession.get("by", ""),
        concession["reason"],
        None if since is None else date.fromisoformat(since),
        concession.get("value_mm"),
    )


def record_lines(state: State, group_id: str) -> list[str]:
    """Say what was measured, conceded, let through and corrected about a group, a line each."""
    tests = state.follower(Tests)
    lines = []
    for _, doc in tests.of("inspection", group_id):
        limits = limits_said(doc.get("low", ""), doc.get("high", ""))
        told = [doc.get("measured", ""), f"({limits})" if limits else "", doc["verdict"]]
        who = [
            f"with {doc['instrument']}" if doc.get("instrument") else "",
            doc.get("by", ""),
            doc.get("on", ""),
        ]
        lines.append(f"{doc['what']}: {' '.join(filter(None, told))}, {', '.join(filter(None, who))}")
    for _, doc in tests.of("concession", group_id):
        back = f", taken back: {doc['withdrawn']}" if doc.get("withdrawn") else ""
        signed = f"{doc.get('by', '')} {doc.get('on', '')}"
        lines.append(f"conceded by {signed}: {terms(doc)}, {doc['reason']}{back}")
    for doc in state.docs("accepted").values():
        if doc.get("group") == group_id:
            waited = "; ".join(doc.get("waited_for", ()))
            if waited:
                verb = "" if doc.get("kind") in ("swap", "give") else "it waited for "
                waited = f", though {verb}{waited}"
            lines.append(f"accepted by {doc.get('by', '')} {doc.get('since', '')}: {doc['why']}{waited}")
    positions = state.group(group_id).positions if state.has_group(group_id) else ()
    for doc in state.docs("correction").values():
        about = doc.get("table"), doc.get("key")
        if doc.get("group") == group_id or about in {("group", group_id), *(("part", p) for p in positions)}:
            lines.append(_corrected(doc))
    return lines


def correction_lines(state: State, table: str, key: str) -> list[str]:
    """Say what was corrected of one document, the old value first, a line each."""
    docs = state.docs("correction").values()
    return [_corrected(doc) for doc in docs if (doc.get("table"), doc.get("key")) == (table, key)]


def _corrected(doc: Doc) -> str:
    who = " ".join(filter(None, (doc.get("by", ""), doc.get("on", ""))))
    return f"{doc.get('text', '')}{f' by {who}' if who else ''}: {doc['why']}"


_LIMIT = re.compile(r"(?P<what>.*?)\s*(?P<sign>[<>]=?|=[<>])\s*(?P<value>.+)")
_IN_WORDS = re.compile(
    r"(?P<what>.*?)\s*(?<![a-z])(?P<sign>at least|at most|(?:min|max)(?:imum|\.)?)(?![a-z])\s*(?P<value>.+)",
    re.I,
)
"""Only where there is no sign: a 'minor diameter >= 9mm' and a 'max run-out < 0.02mm' are names."""


def read_limits(text: str) -> list[tuple[str, str, str]]:
    """Read 'd >= 8.95' or 'd >= 8.95mm, d <= 9.1mm' as (characteristic, '>=' or '<=', value as written)."""
    found = []
    for part in re.split(r"[;,]|\band\b", text):
        if not part.strip():
            continue
        match = _LIMIT.fullmatch(part.strip()) or _IN_WORDS.fullmatch(part.strip())
        if match is None:
            raise BadValue(f"--limits '{part.strip()[:40]}' cannot be read (write it as 'd >= 8.95mm')")
        sign = "<=" if match["sign"].lower().startswith(("<", "=<", "at most", "max")) else ">="
        found.append((match["what"].strip(), sign, match["value"].strip()))
    if not found:
        raise BadValue("a concession is limited: say to what, as 'd >= 8.95mm'")
    return found
