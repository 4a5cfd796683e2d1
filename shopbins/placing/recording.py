"""Judged, then recorded, in one go: what laying down, putting into and shifting have in common."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shopbins.answer import Accepted, Answer
from shopbins.ledger.events import Draft
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused
from shopbins.ledger.state import State
from shopbins.rules.finding import LAID, Finding
from shopbins.rules.overrides import FOR_NOW


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


def record(
    ledger: Ledger,
    judge: Callable[[State], tuple[Laid, Callable[[Mapping[str, str]], Draft], str]],
    *,
    override: str | None = None,
    dry_run: bool = False,
    expected_seq: int | None = None,
) -> Laid:
    """Judge the fresh state under the lock and record what comes of it, unless a stop is left or it is dry.

    `judge` returns what was found, how to draft the change given the overrides (reasons by finding id), and
    the tag of what is laid ('group:<code>'). With `override` each open stop is let through for that reason.
    """
    kept: list[Laid] = []

    def work(state: State) -> Draft:
        laid, drafted, tag = judge(state)
        findings = _let_through(laid.findings, override)
        laid = replace(laid, findings=findings, done=not any(map(open_stop, findings)))
        given = {
            f.id: override
            for f in findings
            if override is not None and f.accepted and f.accepted.why == override
        }
        draft = _with_measures(state, drafted(given), tag, findings)
        if dry_run or not laid.done:
            raise _NotLaid(laid)
        kept.append(laid)
        return draft

    try:
        if dry_run:
            ledger.poll()
            work(ledger.state)
        event = ledger.transact(work, expected_seq)
    except _NotLaid as refused:
        return refused.laid
    laid = kept[-1]
    if laid.group is None and laid.where is not None:
        laid = replace(laid, group=event.subjects[0].partition(":")[2])
    return replace(laid, seq=event.seq)


def _let_through(findings: Iterable[Finding], override: str | None) -> tuple[Finding, ...]:
    if override is None:
        return tuple(findings)
    let = Accepted("", override, for_now=override.strip().lower() == FOR_NOW)
    return tuple(replace(f, accepted=let) if open_stop(f) else f for f in findings)


def _with_measures(state: State, draft: Draft, tag: str, findings: Sequence[Finding]) -> Draft:
    """Keep with each override what was measured, and drop the thing's overrides that no longer apply."""
    after = dict(draft.after)
    found = {f.id: f for f in findings}
    for subject, fields in draft.after.items():
        table, _, key = subject.partition(":")
        if table == "override" and fields is not None:
            after[subject] = {**fields, "measured": found[key].measured}
    for key in state.docs("override"):
        if key not in found and tag in key.partition("/")[2].split("+"):
            after[f"override:{key}"] = None
    return replace(draft, after=after)
