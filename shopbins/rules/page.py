"""The page of all rules, made from the registry: `python -m shopbins.rules.page > docs/rules.md`."""

from __future__ import annotations

from shopbins.rules.registry import RULES
from shopbins.rules.rule import Rule

HEAD = """\
# Rules and their sources

Made from the rules themselves by `python -m shopbins.rules.page`; a test holds it to them.

Each finding has a grade: **stop** (needs an override to be recorded, and stays in every audit with its
reason), **correct** (put right soon) or **note** (good to know, or not checked). What is not known - a size,
a mass, a height - is said to be not checked, and never counts as zero or as good enough.

`rules: own | us | uk | eu` in the shop file chooses whose published limits apply. Under `own` they are
advice with their source; the shop file's own limits apply always. A finding whose answer flips within what
the shop was measured to says so and names what to measure again.

This is a help for the eye, not a survey: it compares what was written down and measured with the figures
named here. Local codes, and the people licensed to judge a building, an installation or a load, come first.

How well a source is known: *published* (read in the source or a page quoting it), *from memory* (to be
confirmed), *derived* (follows from geometry), *common practice, no source*, or *own* (a figure or judgement
of this program or of your shop file).
"""


def page() -> str:
    """Return docs/rules.md."""
    return HEAD + "".join(map(_section, RULES))


def _section(rule: Rule) -> str:
    looks = []
    if rule.judge is not None or rule.stand is not None:
        looks.append("when a thing is put down")
    if rule.audit is not None:
        looks.append("in the audit")
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
"""


if __name__ == "__main__":
    print(page(), end="")
