"""The page of all rules, made from the registry."""

from __future__ import annotations

from shopbins.rules.coverage import NEVER
from shopbins.rules.hazards import WORDS
from shopbins.rules.limits import TABLE
from shopbins.rules.registry import RULES
from shopbins.rules.rule import Rule

HEAD = """\
# Rules and their sources

Made from the rules and their figures by `docs/make_pages.py`; a test holds it to them. To
correct a figure, change its row in `shopbins/rules/limits.py`.

Every check ends in one of four ways for each thing it is about: found, checked and within, not checked,
does not apply. A finding is a **stop** (accepted by name or not recorded, and it stays in every audit),
**to fix**, or a **note** (good to know, or not checked). What is not known - a size, a mass, a height - is
never taken as 0 or as good enough. `shopbins audit --json` has a note for each thing that was not checked,
and under `coverage` a row for every check; people see one line for each kind.

`rules: own | us | uk | eu` in the shop file chooses whose figures apply; `country: de` adds the German
technical rules to `eu`. Where a set has no figure that is said, with what others would say as advice: it
is never a stop. The shop file's own limits apply always. A finding whose answer flips within what the shop
was measured to says so and names what to measure again.

This is a help for the eye, not a survey: it compares what was written down and measured with the figures
named here. Local codes, and the people licensed to judge a building, an installation or a load, come
first.

How well a figure is known: **R** read in the text or in a page quoting it, **M** from memory, to be
confirmed, **C** common practice, no source, **O** own figure or reading, **D** derived. Never looked at:
{never}.

## Accepting

What is against a rule may be let through by a person, with a name and a reason: `shopbins accept`, or
`--override REASON` at `put`, `back` and `undo`. A stop or a to-fix is accepted until it is gone or worse
than it was by more than the measuring error. Too much for a floor, a way out shut or too narrow, and what
stands before switchgear or an extinguisher are only ever accepted for now: you are asked when you quit the
app. A note is dismissed until its missing figure comes or the rule's figure changes; it keeps its row in
the coverage. An accepted stop still gives the audit's status 2.

## Hazard words

Cautions are read as whole words, in any case; `non-`, `not`, `no` before and `-free`, `proof`, `retardant`
after a word cancel it. Words in no list are asked about once.

| class | written as |
| --- | --- |
{words}
"""


def page() -> str:
    """Return docs/rules.md."""
    words = "\n".join(f"| {kind} | {', '.join(each)} |" for kind, each in WORDS.items())
    head = HEAD.format(never=", ".join(NEVER), words=words)
    return head + "".join(map(_section, RULES))


def _figures(check: str) -> str:
    """Return the table of a check's figures, empty where it has none."""
    there = [row for row in TABLE if row.check == check]
    if not there:
        return ""
    lines = ["", "| set | of | figure | source | mark |", "| --- | --- | --- | --- | --- |"]
    for row in there:
        figure = "a duty, no figure" if row.given is None else f"{row.figure:.6g} {row.unit}".strip()
        if row.given == 0:
            figure = "as said above"
        upto = "" if row.upto is None else f" to {row.upto:g}"
        lines.append(f"| {row.set} | {row.of}{upto} | {figure} | {row.source} | {row.mark} |")
    return "\n".join(lines) + "\n"


def _section(rule: Rule) -> str:
    looks = []
    if rule.judge is not None or rule.stand is not None:
        looks.append("when a thing is put down")
    if rule.audit is not None or rule.look is not None:
        looks.append("in the audit")
    if rule.per == "move":
        looks.append("when something is moved")
    where = " and ".join(looks) or "where the program chooses or lists"
    return f"""
## {rule.title}

`{rule.key}` · looked at {where}

{rule.text}

| | |
| --- | --- |
| limit | {rule.limit} |
| source | {rule.source} ({rule.mark}) |
| remedy | {rule.remedy} |
{_figures(rule.key)}"""
