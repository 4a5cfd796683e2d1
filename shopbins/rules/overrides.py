"""Stops that may stand: who let them through, why, and when that no longer covers what is found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from shopbins.answer import Accepted
from shopbins.ledger.state import State
from shopbins.rules.finding import Finding
from shopbins.rules.rule import Rule
from shopbins.rules.say import listed, plural

FOR_NOW = "for now"


def applied(state: State, findings: Iterable[Finding], slack_mm: float) -> list[Finding]:
    """Return the findings with the reason set on each stop that was let through.

    A stop that has become worse since by more than the slack (mm where that is its unit, else anything) is
    not covered: it is asked about anew.
    """
    docs = state.docs("override")
    if not docs:
        return list(findings)
    done = []
    for each in findings:
        doc = docs.get(each.id)
        if each.grade == "stop" and doc is not None and not _worse(each, doc.get("measured"), slack_mm):
            each = replace(each, accepted=_accepted(doc))
        done.append(each)
    return done


def _accepted(doc: Mapping[str, Any]) -> Accepted:
    since = doc.get("since")
    return Accepted(
        by=str(doc.get("by", "")),
        why=str(doc.get("reason", FOR_NOW)),
        since=date.fromisoformat(since) if isinstance(since, str) else None,
        measured=doc.get("measured"),
        for_now=bool(doc.get("for_now")),
    )


def _worse(found: Finding, before: object, slack_mm: float) -> bool:
    if not isinstance(before, (int, float)) or found.measured is None or found.limit is None:
        return False
    slack = slack_mm if found.unit == "mm" else 1e-6
    return abs(found.measured - found.limit) > abs(before - found.limit) + slack


def for_now(state: State, findings: Iterable[Finding]) -> Iterator[Finding]:
    """Count the stops that were let through for now and still stand."""
    docs = state.docs("override")
    still = [f for f in findings if f.accepted is not None and docs.get(f.id, {}).get("for_now")]
    if still:
        subjects = tuple(dict.fromkeys(s for f in still for s in f.subjects))[:12]
        yield ASK.found(
            "correct",
            subjects,
            f"{plural(len(still), 'stop')} let through for now: {listed((f.text for f in still), 1)}",
            measured=len(still),
            limit=0,
            unit="count",
        )


ASK = Rule(
    key="for-now",
    title="Let through for now",
    text="Stops that were let through 'for now' and still stand are counted, to be asked about at the end "
    "of the evening. To correct. The stop itself stays in the audit, with its reason.",
    limit="0",
    source="the ledger",
    mark="own",
    remedy="put it right, or give the reason why it may stay",
)

RULES = (ASK,)
