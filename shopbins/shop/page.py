"""The tables of docs/shop-file.md, made from the table of keys."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shopbins.shop import keys
from shopbins.shop.keys import NAME, NOTE, WAS, Key, Keys

_TABLE = re.compile(r"(<!-- made from shop/keys\.py: (\w+) -->\n)(?:\|.*\n)*")
_EVERYWHERE = (NAME, NOTE, WAS)


def with_tables(page: str) -> str:
    """Return the page with the table below every mark made anew."""
    return _TABLE.sub(lambda found: found[1] + "\n".join(_rows(getattr(keys, found[2]))) + "\n", page)


def _rows(table: Keys) -> Iterator[str]:
    yield "| key | meaning | example |"
    yield "| --- | --- | --- |"
    own = [key for key in table if key not in _EVERYWHERE or len(table) < len(_EVERYWHERE) + 2]
    for key in own:
        example = f"`{key.example}`" if key.example else ""
        yield f"| `{key.name}` | {_meaning(key)} | {example} |"
    everywhere = [f"`{key.name}`" for key in table if key not in own]
    if everywhere:
        yield f"| {', '.join(everywhere)} | as everywhere | |"


def _meaning(key: Key) -> str:
    said = f"{key.meaning} (needed)" if key.needed else key.meaning
    return f"{said}. Of: {', '.join(key.of)}" if key.of else said
