"""Find groups by any words, in any order, while they are typed.

A row matches when every typed word is part of it, anywhere; accents, capitals and punctuation around
words do not count. The order of what is found: first rows whose *name* has every typed word at the start
of a word, then rows that have every word at the start of a word somewhere, then the rest; among these by
where the first typed word stands (start of the name, name, elsewhere), then by the word it is the start
of, then by age. Only where nothing matches at all are typing errors forgiven.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import islice
from math import inf
from typing import NamedTuple

from shopbins.search.misspelt import Near
from shopbins.search.vocabulary import Vocabulary, tokens
from shopbins.search.word import STAGES, Stage, Typed, walk

_FEW = 200
_GATHERED = 30_000
_PLENTY = 20
_KEPT = 24


class Indexed(NamedTuple):
    """What is searched of one thing: its name and every other text."""

    id: str
    name: str
    other: str = ""


class Hit(NamedTuple):
    """One row found. `score` falls from 1 as matches get worse; below 0.4 a typing error was forgiven."""

    id: str
    score: float


class Index:
    """Search over rows that change one at a time."""

    def __init__(self, rows: Iterable[Indexed] = ()) -> None:
        self._first, self._named, self._elsewhere = Vocabulary(), Vocabulary(), Vocabulary()
        self._parts = (self._first, self._named, self._elsewhere)
        self._ids: list[str] = []
        self._texts: list[str] = []
        self._slot: dict[str, int] = {}
        self._near = Near(())
        self._known: dict[str, Typed] = {}
        for row in rows:
            if row.id in self._slot:
                self.put(row)
            else:
                self._append(row)
        for part in self._parts:
            part.settle()
        self._near = Near(self._parts)

    def __len__(self) -> int:
        return len(self._slot)

    def put(self, row: Indexed) -> None:
        """Add a row, or replace the one with its id, in its old place. Costs as much as the row is long."""
        self._known.clear()
        slot = self._slot.get(row.id)
        if slot is None:
            self._append(row, building=False)
            return
        before = _split(self._texts[slot])
        text = _text(row)
        self._texts[slot] = text
        for part, old, new in zip(self._parts, before, _split(text), strict=True):
            for word in set(old) - set(new):
                part.remove(word, slot)
            for word in set(new) - set(old):
                part.add(word, slot)
                self._near.add(word)

    def drop(self, row_id: str) -> None:
        """Forget a row; unknown ids are no error."""
        slot = self._slot.pop(row_id, None)
        if slot is None:
            return
        self._known.clear()
        for part, old in zip(self._parts, _split(self._texts[slot]), strict=True):
            for word in set(old):
                part.remove(word, slot)
        self._texts[slot] = ""

    def search(
        self, query: str, limit: int = 50, within: Collection[str] | None = None, forgive: bool = True
    ) -> list[Hit]:
        """Return the best rows for the typed words, best first; only of the ids `within` if given."""
        words = list(dict.fromkeys(tokens(query)))
        allowed = None if within is None else {self._slot[i] for i in within if i in self._slot}
        if not words:
            slots = self._slot.values() if allowed is None else sorted(allowed)
            return [Hit(self._ids[slot], 1.0) for slot in islice(slots, limit)]
        found: list[Hit] = []
        for attempt in self._attempts(words, forgive):
            found = self._collect(attempt, limit, allowed)
            if found:
                break
        return found

    def count(self, query: str, within: Collection[str] | None = None, forgive: bool = True) -> int:
        """Return how many rows `search` would find without a limit."""
        words = list(dict.fromkeys(tokens(query)))
        allowed = None if within is None else {self._slot[i] for i in within if i in self._slot}
        if not words:
            return len(self._slot if allowed is None else allowed)
        for attempt in self._attempts(words, forgive):
            total = self._count(attempt, allowed)
            if total:
                return total
        return 0

    def _append(self, row: Indexed, building: bool = True) -> None:
        slot = self._slot[row.id] = len(self._ids)
        text = _text(row)
        self._ids.append(row.id)
        self._texts.append(text)
        for part, words in zip(self._parts, _split(text), strict=True):
            if building:
                part.fill(words, slot)
            else:
                for word in words:
                    part.add(word, slot)
                    self._near.add(word)

    def _word(self, text: str) -> Typed:
        known = self._known.get(text)
        if known is None:
            shorter = next((self._known[p] for p in _shortened(text) if p in self._known), None)
            if len(self._known) >= _KEPT:
                del self._known[next(iter(self._known))]
            known = self._known[text] = Typed(text, self._parts, self._near, shorter)
        return known

    def _attempts(self, words: Sequence[str], forgive: bool) -> Iterator[list[Typed]]:
        """Give the words as typed; then, with errors forgiven, those that occur nowhere; then all."""
        typed = [self._word(word) for word in words]
        yield typed
        if not forgive:
            return
        strange = [not word.occurs for word in typed]
        if any(strange):
            yield [word.forgiven if odd else word for word, odd in zip(typed, strange, strict=True)]
        else:
            yield [word.forgiven for word in typed]

    def _collect(self, words: Sequence[Typed], limit: int, allowed: set[int] | None) -> list[Hit]:
        ids, found = self._ids, dict[int, float]()
        forgiven = any(word.is_forgiven for word in words)
        for stage in STAGES:
            if len(found) >= limit:
                break
            scores = _SCORES[forgiven][stage]
            new: Iterable[tuple[int, int]]
            if len(words) == 1 and allowed is None:
                new = walk(words[0], stage, None, fresh=True)
            else:
                new = self._stage(words, stage, allowed, limit)
            for slot, tier in new:
                if slot not in found:
                    found[slot] = scores[tier]
                    if len(found) >= limit:
                        break
        return [Hit(ids[slot], score) for slot, score in found.items()]

    def _stage(
        self, words: Sequence[Typed], stage: Stage, allowed: set[int] | None, limit: int
    ) -> Iterable[tuple[int, int]]:
        """Go through the (slot, tier) of rows in which every word matches at the stage or better."""
        texts, first = self._texts, words[0]
        counts = [word.occurrences(stage) for word in words]
        expected = float(len(texts))
        for count in counts:
            expected *= min(count / max(len(texts), 1), 1.0)
        if allowed is None and (expected > _PLENTY * limit or min(counts) > _GATHERED):
            tests = [word.test(stage) for word in words[1:]]
            going = walk(first, stage, None)
            return (each for each in going if all(test(texts[each[0]]) for test in tests))
        room = self._matching(words, stage, allowed)
        if len(room) > _FEW:
            return walk(first, stage, room)
        ranked = sorted((*first.rank(_split(texts[slot])), slot) for slot in room)
        return [(slot, tier) for tier, _, slot in ranked]

    def _matching(self, words: Sequence[Typed], stage: Stage, allowed: set[int] | None) -> set[int]:
        """Return the rows in which every word matches: from the rarest word on, gathering or testing."""
        texts = self._texts
        room: set[int] | None = allowed
        for word in sorted(words, key=lambda each: each.occurrences(stage)):
            count = word.occurrences(stage)
            if room is None:
                room = word.slots(stage) if count <= len(texts) else set(range(len(texts)))
                if count <= len(texts):
                    continue
            if word.is_forgiven or word.is_gathered(stage) or count < 3 * len(room):
                room = room & word.slots(stage)
            else:
                test = word.test(stage)
                room = {slot for slot in room if test(texts[slot])}
        return set() if room is None else room

    def _count(self, words: Sequence[Typed], allowed: set[int] | None) -> int:
        if allowed is None and all(word.occurrences(2) == inf for word in words):
            texts = self._texts
            for word in words:
                part = word.text
                texts = [text for text in texts if part in text]
            return len(texts)
        return len(self._matching(words, 2, allowed))


_SCORES = [
    [[round(base * k - 0.02 * tier, 2) for tier in range(6)] for base in (1.0, 0.85, 0.7)] for k in (1.0, 0.4)
]
"""By whether errors were forgiven, stage and tier."""


def find_once(rows: Iterable[Indexed], query: str, limit: int = 50) -> list[Hit]:
    """Search rows a single time: the same answer as `Index(rows).search`, without building it."""
    words = tokens(query)
    kept = list(rows)
    texts = [_text(row) for row in kept]
    matching = [row for row, text in zip(kept, texts, strict=True) if all(word in text for word in words)]
    return Index(matching or kept).search(query, limit)


def _text(row: Indexed) -> str:
    """Return a row's words, each with a space before it, those of the name in the first line."""
    name, other = tokens(row.name), tokens(row.other)
    return f"{' '.join(['', *name])}\n{' '.join(['', *other])}"


def _split(text: str) -> tuple[list[str], list[str], list[str]]:
    """Return the first word of the name, its other words, and all further words."""
    name, _, other = text.partition("\n")
    words = name.split()
    return words[:1], words[1:], other.split()


def _shortened(text: str) -> Iterator[str]:
    for length in range(min(len(text) - 1, 40), 0, -1):
        yield text[:length]
