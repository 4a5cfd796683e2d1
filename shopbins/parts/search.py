"""Find groups by any words, in any order, while they are typed.

A row matches when every typed word is part of it, anywhere; accents, capitals and punctuation around
words do not count. The order of what is found: first rows whose *name* has every typed word at the start
of a word, then rows that have every word at the start of a word somewhere, then the rest; among these by
where the first typed word stands (start of the name, name, elsewhere), then by the word it is the start
of, then by age. Only where nothing matches at all are typing errors forgiven.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal, NamedTuple

from shopbins.parts.near import Near
from shopbins.parts.vocabulary import Vocabulary, folded, tokens

__all__ = ["Hit", "Index", "Row", "find_once", "folded", "tokens"]

Stage = Literal[0, 1, 2]
"""How well a row's worst word matches: 0 starts a word of the name, 1 starts a word, 2 is inside one."""

_STAGES: tuple[Stage, ...] = (0, 1, 2)
_STAGE_OF_TIER = (0, 0, 1, 2, 2, 2)
"""Tiers of one word in one row: it starts the name, a further word of the name, a word elsewhere;
then the same three where it is inside a word."""

_FEW = 200
_GATHERED = 4_000
_KEPT = 24


@dataclass(frozen=True, slots=True)
class Row:
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

    def __init__(self, rows: Iterable[Row] = ()) -> None:
        self._first, self._named, self._elsewhere = Vocabulary(), Vocabulary(), Vocabulary()
        self._parts = (self._first, self._named, self._elsewhere)
        self._ids: list[str] = []
        self._texts: list[str] = []
        self._slot: dict[str, int] = {}
        self._near = Near(())
        self._known: dict[str, _Word] = {}
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

    def put(self, row: Row) -> None:
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

    def _append(self, row: Row, building: bool = True) -> None:
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

    def _word(self, text: str) -> _Word:
        known = self._known.get(text)
        if known is None:
            shorter = next((self._known[p] for p in _shortened(text) if p in self._known), None)
            if len(self._known) >= _KEPT:
                del self._known[next(iter(self._known))]
            known = self._known[text] = _Word(text, self._parts, self._near, shorter)
        return known

    def _attempts(self, words: Sequence[str], forgive: bool) -> Iterator[list[_Word]]:
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

    def _collect(self, words: Sequence[_Word], limit: int, allowed: set[int] | None) -> list[Hit]:
        ids, found = self._ids, dict[int, float]()
        forgiven = any(word.is_forgiven for word in words)
        for stage in _STAGES:
            if len(found) >= limit:
                break
            scores = _SCORES[forgiven][stage]
            new: Iterable[tuple[int, int]]
            if len(words) == 1 and allowed is None:
                new = _walk(words[0], stage, None, fresh=True)
            else:
                new = self._stage(words, stage, allowed)
            for slot, tier in new:
                if slot not in found:
                    found[slot] = scores[tier]
                    if len(found) >= limit:
                        break
        return [Hit(ids[slot], score) for slot, score in found.items()]

    def _stage(
        self, words: Sequence[_Word], stage: Stage, allowed: set[int] | None
    ) -> Iterable[tuple[int, int]]:
        """Go through the (slot, tier) of rows in which every word matches at the stage or better."""
        rare = [word.slots(stage) for word in words if word.is_rare(stage)]
        tests = [word.test(stage) for word in words if not word.is_rare(stage)]
        texts = self._texts
        if not rare and allowed is None:
            tests = [word.test(stage) for word in words[1:]]
            walk = _walk(words[0], stage, None)
            return (each for each in walk if all(test(texts[each[0]]) for test in tests))
        room = _common(rare if allowed is None else [*rare, allowed])
        for test in tests:
            room = {slot for slot in room if test(texts[slot])}
        if len(room) > _FEW:
            return _walk(words[0], stage, room)
        ranked = sorted((*words[0].rank(_split(texts[slot])), slot) for slot in room)
        return [(slot, tier) for tier, _, slot in ranked]

    def _count(self, words: Sequence[_Word], allowed: set[int] | None) -> int:
        rare = [word.slots(2) for word in words if word.is_rare(2)]
        tests = [word.test(2) for word in words if not word.is_rare(2)]
        texts = self._texts
        sets = rare if allowed is None else [*rare, allowed]
        kept: Collection[int] = _common(sets) if sets else range(len(texts))
        for test in tests:
            kept = [slot for slot in kept if test(texts[slot])]
        return len(kept)


_SCORES = [
    [[round(base * k - 0.02 * tier, 2) for tier in range(6)] for base in (1.0, 0.85, 0.7)] for k in (1.0, 0.4)
]
"""By whether errors were forgiven, stage and tier."""


class _Word:
    """Where one typed word occurs, worked out only as far as it is asked for."""

    def __init__(
        self,
        text: str,
        parts: tuple[Vocabulary, Vocabulary, Vocabulary],
        near: Near,
        shorter: _Word | None = None,
        instead: Sequence[str] | None = None,
    ) -> None:
        self.text = text
        self.is_forgiven = instead is not None
        self.parts = parts
        self._near = near
        self._shorter = shorter
        self._instead = None if instead is None else {word: n for n, word in enumerate(instead)}
        self._inside: list[list[str]] | None = None
        self._sets: dict[Stage, set[int]] = {}
        self._rare: dict[Stage, bool] = {}
        self._forgiven: _Word | None = None

    @property
    def occurs(self) -> bool:
        """Tell whether the word is part of any row."""
        if any(next(part.first_starting(self.text), None) is not None for part in self.parts):
            return True
        return any(self.inside)

    @property
    def forgiven(self) -> _Word:
        """The words that may have been meant, instead of this one (this one first if it occurs)."""
        if self._forgiven is None:
            found = dict.fromkeys(word for part in self.inside for word in part)
            found.update(dict.fromkeys(self._near.words(self.text)))
            self._forgiven = _Word(self.text, self.parts, self._near, instead=tuple(found))
        return self._forgiven

    @property
    def inside(self) -> list[list[str]]:
        """For each part, every word of it that has the typed one somewhere in it."""
        if self._inside is None:
            if self._instead is not None:
                self._inside = [[w for w in self._instead if part.knows(w)] for part in self.parts]
            elif self._shorter is not None and self._shorter._inside is not None:
                text = self.text
                self._inside = [[w for w in words if text in w] for words in self._shorter._inside]
            else:
                self._inside = [part.containing(self.text) for part in self.parts]
            self._shorter = None
        return self._inside

    def is_rare(self, stage: Stage) -> bool:
        """Tell whether the word's rows are few enough to gather; else each row is tested when met."""
        rare = self._rare.get(stage)
        if rare is None:
            if stage == 2 and len(self.text) < 3 and not self.is_forgiven:
                rare = False
            else:
                pairs = zip(self.parts, self._lists(stage), strict=False)
                rare = self.is_forgiven or sum(part.occurrences(words) for part, words in pairs) <= _GATHERED
            self._rare[stage] = rare
        return rare

    def test(self, stage: Stage) -> Callable[[str], bool]:
        """Return what tells whether the word matches in a row's text at the stage or better."""
        text, start = self.text, f" {self.text}"
        if stage == 0:
            return lambda row: row.find(start, 0, row.find("\n")) >= 0
        if stage == 1:
            return lambda row: start in row
        return lambda row: text in row

    def words(self, tier: int) -> Iterable[str]:
        """Go through the words that match at a tier, best first."""
        if tier >= 3:
            return self.inside[tier - 3]
        return () if self.is_forgiven else self.parts[tier].first_starting(self.text)

    def slots(self, stage: Stage) -> set[int]:
        """Return the rows the word matches at this stage or a better one. Not to be changed."""
        found = self._sets.get(stage)
        if found is None:
            found = self._sets[stage] = self._gather(stage)
        return found

    def _lists(self, stage: Stage) -> list[list[str]]:
        if stage == 2:
            return self.inside
        if self.is_forgiven:
            return []
        return [part.starting(self.text) for part in self.parts[: stage + 2]]

    def _gather(self, stage: Stage) -> set[int]:
        found: set[int] = set()
        for part, words in zip(self.parts, self._lists(stage), strict=False):
            part.gather_into(found, words)
        return found

    def rank(self, fields: tuple[list[str], list[str], list[str]]) -> tuple[int, str | int]:
        """Return the best tier of the word in a row's three fields, and what orders rows within it."""
        text, best = self.text, None
        if self._instead is not None:
            order = self._instead
            for tier, words in enumerate(fields, 3):
                places = [order[word] for word in words if word in order]
                if places:
                    return tier, min(places)
        for tier, words in enumerate(fields):
            best = min((word for word in words if word.startswith(text)), default=None)
            if best is not None:
                return tier, best
        for tier, words in enumerate(fields, 3):
            best = min((word for word in words if text in word), default=None)
            if best is not None:
                return tier, best
        return 6, ""


def find_once(rows: Iterable[Row], query: str, limit: int = 50) -> list[Hit]:
    """Search rows a single time: the same answer as `Index(rows).search`, without building it."""
    words = tokens(query)
    kept = list(rows)
    texts = [_text(row) for row in kept]
    matching = [row for row, text in zip(kept, texts, strict=True) if all(word in text for word in words)]
    return Index(matching or kept).search(query, limit)


def _walk(word: _Word, stage: Stage, room: set[int] | None, fresh: bool = False) -> Iterator[tuple[int, int]]:
    """Go through the rows of a word at a stage or better, best first; only in `room` if given.

    A row comes as often as the word matches in it. `fresh` leaves out what better stages have given.
    """
    for tier, of_stage in enumerate(_STAGE_OF_TIER):
        if of_stage > stage or (fresh and of_stage < stage):
            continue
        part = word.parts[tier % 3]
        for each in word.words(tier):
            for slot in part.slots(each):
                if room is None or slot in room:
                    yield slot, tier


def _common(sets: Sequence[set[int]]) -> set[int]:
    """Return a new set of what is in all of them, the smallest first."""
    ordered = sorted(sets, key=len)
    return set(ordered[0]).intersection(*ordered[1:])


def _text(row: Row) -> str:
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
