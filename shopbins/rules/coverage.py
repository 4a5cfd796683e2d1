"""What was and was not looked at: one row a check, in the order of the registry; never silent.

A row says how many things there are, how many were judged, and why not all. `judged` means that every thing
had its inputs and a figure of the shop's own set; advice judges nothing; a finding never removes a row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from shopbins.rules import limits
from shopbins.rules.finding import Finding
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Rule
from shopbins.rules.say import listed
from shopbins.rules.sources import cited
from shopbins.rules.things import RECORDED, count_waiting, walk
from shopbins.scene.scene import Scene
from shopbins.shop.model import Shop
from shopbins.units import counted

Looked = Literal["judged", "partly", "not judged", "not applicable"]
NEVER = (
    "locks on exits", "lighting", "signs", "fire resistance", "ventilation", "wiring", "training",
    "the cranes' own inspection", "eyewash and showers", "noise", "dust",
)  # fmt: skip
"""Never looked at, always listed."""

OWN_FIGURES = frozenset(("level-load", "floor-load", "point-load"))
"""Checks whose figure is the shop file's: where it has none it is not told, whatever the set."""

LAST_LINE = (
    "Checked against the figures named here only: local codes and the people licensed to judge come first."
)


@dataclass(frozen=True, slots=True)
class CoverageRow:
    """What came of one check: its state, how many things of its kind, how many judged, why not all."""

    check: str
    state: Looked
    things: int
    judged: int
    why: str = ""
    set: str = ""
    advice_set: str = ""
    source: str = ""
    no_figure: bool = False

    def as_json(self) -> dict[str, Any]:
        """Return the row as `audit --json` has it."""
        return {
            "check": self.check,
            "state": self.state,
            "things": self.things,
            "judged": self.judged,
            "why": self.why,
            "set": self.set,
            "advice_set": self.advice_set,
            "source": self.source,
        }


def coverage(scene: Scene, findings: Iterable[Finding]) -> list[CoverageRow]:
    """Return a row for every check of the registry that looks at the shop, each once."""
    open_of: dict[str, dict[str, Finding]] = {}
    dismissed: dict[str, Finding] = {}
    broken: dict[str, set[str]] = {}
    for each in findings:
        if not each.judged:
            for subject in each.subjects[:1] if each.rule != "hazard-words" else each.subjects:
                open_of.setdefault(each.rule, {}).setdefault(subject, each)
            if each.accepted is not None:
                dismissed[each.rule] = each
        elif each.grade != "note":
            broken.setdefault(each.rule, set()).add(each.subjects[0])
    rows = []
    for rule in RULES:
        if rule.each:
            rows.append(
                _row(
                    scene,
                    rule,
                    open_of.get(rule.key, {}),
                    dismissed.get(rule.key),
                    len(broken.get(rule.key, ())),
                )
            )
    return rows


def _subjects(scene: Scene, kind: str) -> list[str]:
    """Return the subjects of a kind, gone through once a scene."""
    found: list[str] | None = scene.memo.get(("subjects", kind))
    if found is None:
        found = scene.memo[("subjects", kind)] = list(
            dict.fromkeys(subject for subject, _ in walk(scene, kind))
        )
    return found


def _row(
    scene: Scene, rule: Rule, unjudged: dict[str, Finding], dismissed: Finding | None, broken: int
) -> CoverageRow:
    """Return the row of a check; `broken`: of how many things it found something that is to be mended."""
    shop, check = scene.shop, rule.figures or rule.key
    things = _subjects(scene, rule.each)
    of, advice = limits.set_for(shop, check), ", ".join(limits.advisers(shop, check))
    figures = any(row.check == check for row in limits.TABLE)
    own = not figures or check in OWN_FIGURES or _own(shop, check)
    name = of or ("own" if own else limits.sets_of(shop)[0])
    law = limits.law(shop, check)
    source = cited(shop, rule.key, _source(rule, of, figures) or (law.source if law is not None else ""))
    said = partial(CoverageRow, rule.key, set=name, advice_set=advice, source=source)
    first = next(iter(unjudged.values()), None)
    if not things:
        if first is not None:
            return said("not judged", 0, 0, first.text)
        waits = count_waiting(scene, rule.each)
        if waits:
            why = f"{counted(waits, 'part')} of this kind {'waits' if waits == 1 else 'wait'} to be put down"
            return said("not judged", waits, 0, why)
        where = "recorded" if rule.each in RECORDED else "in the shop file"
        why = f"no {rule.each} {where}"
        return said("not applicable", 0, 0, why)
    if rule.audit is None and rule.look is None and (rule.judge is not None or rule.per == "move"):
        act = "moved (shopbins move)" if rule.per == "move" else "put down"
        why = f"looked at when something is {act}, not in the audit"
        return said("not judged", len(things), 0, why)
    if figures and of is None and not rule.in_every_set and not _own(shop, check):
        why = f"no figure for {limits.set_name(shop)}" if first is None else first.text
        judged = min(broken, len(things))  # by what no set allows
        state: Looked = "partly" if judged else "not judged"
        return said(state, len(things), judged, why, no_figure=not judged)
    if first is None and (waits := count_waiting(scene, rule.each)):
        why = f"{counted(waits, 'part')} more of this kind {'waits' if waits == 1 else 'wait'} to be put down"
        return said("partly", len(things) + waits, len(things), why)
    if first is None:
        return said("judged", len(things), len(things), "")
    gaps = [subject for subject in things if subject in unjudged]
    left_out = [each for each in unjudged.values() if each.unit == "count"]
    judged = len(things) - len(gaps) - sum(int(each.measured or 0) for each in left_out)
    if not gaps and len(unjudged) > len(left_out):  # of something else: a part near the thing, a word
        judged -= 1
    judged = max(0, judged)
    why = first.text
    if dismissed is not None and dismissed.accepted is not None:
        since = dismissed.accepted.since
        day = "" if since is None else f", {since.isoformat()}"
        why = f"dismissed by {dismissed.accepted.by}{day}: {dismissed.accepted.why}"
    none = all(each.gap in ("breaks", "keeps") for each in unjudged.values())
    state = "partly" if judged else "not judged"
    no_figure = none and of is None and figures and check not in OWN_FIGURES
    return said(state, len(things), judged, why, no_figure=no_figure)


def _own(shop: Shop, check: str) -> bool:
    """Tell whether the shop file has a limit of its own for a check."""
    own = shop.limits
    return {
        "exit-width": own.exit_mm is not None,
        "exit-height": own.headroom_mm is not None,
        "low-head": own.headroom_mm is not None,
        "liquids-open": own.liquids_l is not None,
    }.get(check, False)


def _source(rule: Rule, of: str | None, figures: bool) -> str:
    if of is not None:
        rows = limits.rows(rule.figures or rule.key, of)
        return next((row.source for row in rows if row.given is not None), "")
    return "" if figures and not rule.in_every_set else rule.source


# --- in words ---------------------------------------------------------------------------------------------


def groups_of(rows: Sequence[CoverageRow]) -> dict[str, list[CoverageRow]]:
    """Sort rows by what is told of them: checked, partly, without a figure, not told, does not apply."""
    found: dict[str, list[CoverageRow]] = {
        "checked": [],
        "partly": [],
        "no figure": [],
        "not told": [],
        "none": [],
    }
    for row in rows:
        if row.state == "judged":
            found["checked"].append(row)
        elif row.state == "partly":
            found["partly"].append(row)
        elif row.state == "not applicable":
            found["none"].append(row)
        else:
            found["no figure" if row.no_figure else "not told"].append(row)
    return found


def one_line(rows: Sequence[CoverageRow], shop: Shop) -> str:
    """Say the counts: '14 checked, 3 partly, 9 without a figure for eu, 6 not told, 12 do not apply'."""
    told = groups_of(rows)
    words = {
        "checked": "checked",
        "partly": "partly",
        "no figure": f"without a figure for {limits.set_name(shop)}",
        "not told": "not told",
        "none": "do not apply",
    }
    return ", ".join(
        f"{len(told[key])} {word}" for key, word in words.items() if told[key] or key == "checked"
    )


def lines(rows: Sequence[CoverageRow], shop: Shop) -> list[str]:
    """Say the list behind the counts: each group with its checks, and why."""
    told = groups_of(rows)
    said = [f"Looked at: {one_line(rows, shop)}."]
    if told["checked"]:
        said.append("  checked: " + ", ".join(f"{row.check} ({row.things})" for row in told["checked"]))
    for key, word in (("partly", "partly"), ("no figure", "no figure"), ("not told", "not told")):
        said += [f"  {word}: {row.check}, {row.judged} of {row.things}: {row.why}" for row in told[key]]
    if told["none"]:
        said.append("  does not apply: " + ", ".join(f"{row.check} ({row.why})" for row in told["none"]))
    said.append(f"  never looked at: {listed(NEVER, len(NEVER))}")
    return said
