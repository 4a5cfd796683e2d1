"""How a name may be written where there is little room: by whole words, never by a piece of one."""

from __future__ import annotations

from collections.abc import Iterator

PREPOSITIONS = frozenset(("of", "in", "on", "from", "for", "with", "at", "to", "and"))


def ways_to_write(name: str) -> Iterator[list[str]]:
    """Go through the ways, the best first: whole, on two lines, then both without its tail."""
    words = name.split()
    head = head_of(words)
    for each in (words, head) if head != words else (words,):
        yield [" ".join(each)]
        yield from two_lines(each)


def head_of(words: list[str]) -> list[str]:
    """Return the words before the first preposition: of 'Crate of cooling pipes' the crate."""
    return words[: next((k for k, w in enumerate(words) if k and w.casefold() in PREPOSITIONS), len(words))]


def two_lines(words: list[str]) -> Iterator[list[str]]:
    """Go through the ways to divide words on two lines, the evenest first."""
    ways = [[" ".join(words[:k]), " ".join(words[k:])] for k in range(1, len(words))]
    yield from sorted(ways, key=lambda lines: max(map(len, lines)))
