"""Putting one group into or onto another: judged by what it does to where the outer one lies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any, Literal

from shopbins.ledger.events import Draft
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InGroup, InZone
from shopbins.ledger.state import State
from shopbins.placing.judging import judged, placement
from shopbins.placing.recording import Drafted, Laid, Reasons, record
from shopbins.records import acts
from shopbins.records.acts import docs_after
from shopbins.rules.finding import Finding
from shopbins.scene.scene import Scene, build
from shopbins.shop.model import Shop


def put_into(
    ledger: Ledger,
    shop: Shop,
    who: str,
    other: str,
    how: Literal["in", "on"] = "in",
    *,
    override: Reasons = None,
    dry_run: bool = False,
    day: date | None = None,
) -> Laid:
    """Put a group (by id) into or onto another, judged like a laying-down: load, floor, height, hot work.

    Raises Refused where it makes no sense (into itself, into what lies in it), and what `Ledger.transact`
    raises.
    """

    def judge(state: State) -> tuple[Laid, Drafted, str]:
        plain = acts.put_into(state, who, other, how)  # refuses a circle before anything is judged
        findings = tuple(judge_into(build(shop, state), who, InGroup(other, how)))

        def draft(given: Mapping[str, Mapping[str, Any]]) -> Draft:
            return plain._replace(after={**plain.after, **docs_after(given)})

        return Laid(False, None, findings, state.seq, who), draft, f"group:{state.group(who).code}"

    return record(ledger, shop, judge, override=override, dry_run=dry_run, day=day)


def judge_into(scene: Scene, who: str, where: InGroup) -> list[Finding]:
    """Return what putting a group there would cause: findings about the outermost group that are new or
    not what they were. Nothing where that is away or unplaced.
    """
    after = scene.with_group_at(who, where)
    top = after.top_of(who)
    if top is None or not isinstance(top.where, InZone) or scene.zone(top.where.zone) is None:
        return []
    before = {f.id: f for f in judged(placement(scene, top.id, top.where))}
    found = []
    for each in judged(placement(after, top.id, top.where)):
        known = before.get(each.id)
        if known is None or known.text != each.text or known.grade != each.grade:
            found.append(replace(each, accepted=None))
    return found
