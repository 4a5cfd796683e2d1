"""The tables of docs/moves.md, made from the criteria and from our own figures."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shopbins.moves.criteria import CRITERIA
from shopbins.shop.figures import FIGURES

_TABLE = re.compile(r"(<!-- made from moves/(criteria|figures) -->\n)(?:\|.*\n)*")


def with_tables(page: str) -> str:
    """Return the page with the table below every mark made anew."""
    made = {"criteria": _criteria, "figures": _figures}
    return _TABLE.sub(lambda found: found[1] + "\n".join(made[found[2]]()) + "\n", page)


def _criteria() -> Iterator[str]:
    yield "| what is checked | how | asks for | source | mark |"
    yield "| --- | --- | --- | --- | --- |"
    for criterion in CRITERIA:
        how = " ".join((criterion.judge.__doc__ or "").partition("\n\n")[0].split())
        for check in criterion.checks:
            yield (
                f"| {check.title} (`{check.key}`) | {how} | {criterion.needs} "
                f"| {check.source} | {check.mark} |"
            )


def _figures() -> Iterator[str]:
    yield "| name | value | what for | mark |"
    yield "| --- | --- | --- | --- |"
    for each in FIGURES.values():
        yield f"| `{each.name}` | {f'{each.value:g} {each.unit}'.rstrip()} | {each.says} | own |"
