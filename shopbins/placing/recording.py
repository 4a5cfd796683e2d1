"""Judged, then recorded, in one go: what laying down, putting into and shifting have in common."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from shopbins.answer import Accepted, Answer
from shopbins.ledger.events import Draft
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.records.accepted import accepted_doc
from shopbins.rules.accepting import acceptable
from shopbins.rules.finding import LAID, Finding
from shopbins.shop.model import Shop


@dataclass(frozen=True, slots=True)
class Laid:
    """What came of it: done or not, where, what was found, the ledger's seq afterwards.

    `group` is its id (of a blank tag's or a new one: the new group's, None where nothing was recorded).
    `where` is None of what went into another group, and with `group` of a shifted thing of the shop.
    """

    done: bool
    where: InZone | None
    findings: tuple[Finding, ...]
    seq: int
    group: str | None = None
    was_blank: bool = False

    @property
    def pose(self) -> dict[str, float] | None:
        """The pose as the command line prints it, in the zone's own frame; None where it lies unposed."""
        where = self.where
        if where is None or where.x_mm is None or where.y_mm is None:
            return None
        return {"x_mm": where.x_mm, "y_mm": where.y_mm, "turn_deg": where.turn_deg}

    @property
    def answer(self) -> Answer:
        """What was found, as one answer."""
        return Answer(LAID, tuple(f.part for f in self.findings))

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The stops among the findings that nobody has accepted."""
        return tuple(filter(open_stop, self.findings))


class _NotLaid(Refused):
    """Judged and not recorded: a dry run, or a stop without an override."""

    def __init__(self, laid: Laid) -> None:
        super().__init__(laid.stops[0].text if laid.stops else "a dry run")
        self.laid = laid


def open_stop(found: Finding) -> bool:
    """Tell whether a finding is a stop that nobody has accepted."""
    return found.grade == "stop" and found.accepted is None


Reasons = str | Mapping[str, str] | None
"""Why stops are let through: one reason for every stop of the act, or one for each finding id."""

Drafted = Callable[[Mapping[str, Mapping[str, Any]]], Draft]
"""Drafts a change, given the documents of what is let through with it."""


Around = Callable[[State, Callable[[State], Draft]], Draft]
"""Records more in the same event: what is recorded of a state, given how the laying-down itself is judged."""


def alone(state: State, work: Callable[[State], Draft]) -> Draft:
    """Record nothing more."""
    return work(state)


def record(
    ledger: Ledger,
    shop: Shop,
    judge: Callable[[State], tuple[Laid, Drafted, str]],
    *,
    override: Reasons = None,
    dry_run: bool = False,
    day: date | None = None,
    around: Around = alone,
) -> Laid:
    """Judge the fresh state under the lock and record what comes of it, unless a stop is left or it is dry.

    `judge` returns what was found, how to draft the change given what is let through (documents by finding
    id), and the tag of what is laid ('group:<code>'). With `override` each open stop it covers is accepted
    by whoever works here, on `day` (today). `around` may record more with it.
    """
    kept: list[Laid] = []

    def work(state: State) -> Draft:
        laid, drafted, tag = judge(state)
        given = let_through(shop, laid.findings, override, ledger.by, day or date.today())
        findings = tuple(
            f if f.id not in given else replace(f, accepted=given[f.id][0]) for f in laid.findings
        )
        laid = replace(laid, findings=findings, done=not any(map(open_stop, findings)))
        draft = drafted({key: doc for key, (_, doc) in given.items()})
        draft = _without_gone(state, draft, tag, findings)
        if dry_run or not laid.done:
            raise _NotLaid(laid)
        kept.append(laid)
        return draft

    try:
        if dry_run:
            ledger.poll()
            around(ledger.state, work)
        event = ledger.transact(lambda state: around(state, work))
    except _NotLaid as refused:
        return refused.laid
    laid = kept[-1]
    if laid.group is None and laid.where is not None:
        laid = replace(laid, group=event.subjects[0].partition(":")[2])
    return replace(laid, seq=event.seq)


def let_through(
    shop: Shop, findings: Iterable[Finding], override: Reasons, by: str, day: date
) -> dict[str, tuple[Accepted, dict[str, Any]]]:
    """Return, for each open stop the reasons cover, who accepts it and the document that says so."""
    found: dict[str, tuple[Accepted, dict[str, Any]]] = {}
    for each in findings:
        why = override if override is None or isinstance(override, str) else override.get(each.id)
        if why is None or not open_stop(each):
            continue
        doc = accepted_doc(acceptable(shop, each), why, by=by, day=day)
        found[each.id] = Accepted(by, doc["why"], day, each.measured, bool(doc.get("for_now"))), doc
    return found


def _without_gone(state: State, draft: Draft, tag: str, findings: Sequence[Finding]) -> Draft:
    """Drop what was accepted of the thing and is no longer found."""
    after, found = dict(draft.after), {f.id for f in findings}
    for table in ("accepted", "override"):
        for key, doc in state.docs(table).items():
            about = key.partition("/")[2].split("+")
            if key not in found and tag in about and doc.get("kind") not in ("note", "condition"):
                after[f"{table}:{key}"] = None
    return draft._replace(after=after)
