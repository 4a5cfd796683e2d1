"""One typed word: where it occurs, worked out only as far as it is asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from math import inf
from typing import Literal

from shopbins.search.misspelt import Near
from shopbins.search.vocabulary import Vocabulary

Stage = Literal[0, 1, 2]
"""How well a row's worst word matches: 0 starts a word of the name, 1 starts a word, 2 is inside one."""

STAGES: tuple[Stage, ...] = (0, 1, 2)
_STAGE_OF_TIER = (0, 0, 1, 2, 2, 2)
"""Tiers of one word in one row: it starts the name, a further word of the name, a word elsewhere;
then the same three where it is inside a word."""

_MANY = 1000


class Typed:
    """Where one typed word occurs, worked out only as far as it is asked for."""

    def __init__(
        self,
        text: str,
        parts: tuple[Vocabulary, Vocabulary, Vocabulary],
        near: Near,
        shorter: Typed | None = None,
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
        self._counts: dict[Stage, float] = {}
        self._forgiven: Typed | None = None

    @property
    def occurs(self) -> bool:
        """Tell whether the word is part of any row."""
        if any(next(part.first_starting(self.text), None) is not None for part in self.parts):
            return True
        return any(self.inside)

    @property
    def forgiven(self) -> Typed:
        """The words that may have been meant, instead of this one (this one first if it occurs)."""
        if self._forgiven is None:
            found = dict.fromkeys(word for part in self.inside for word in part)
            found.update(dict.fromkeys(self._near.words(self.text)))
            self._forgiven = Typed(self.text, self.parts, self._near, instead=tuple(found))
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

    def occurrences(self, stage: Stage) -> float:
        """Return about how many rows the word matches at the stage or better, at least as many as it does.

        Infinite where even that would take too long to find out: there are many such words.
        """
        found = self._counts.get(stage)
        if found is None:
            if self._has_many(stage):
                found = inf
            else:
                pairs = zip(self.parts, self._lists(stage), strict=False)
                found = sum(part.occurrences(words) for part, words in pairs)
            self._counts[stage] = found
        return found

    def _has_many(self, stage: Stage) -> bool:
        if self.is_forgiven:
            return False
        if stage == 2:
            return len(self.text) < 3 or sum(map(len, self.inside)) > _MANY
        return sum(part.width(self.text) for part in self.parts[: stage + 2]) > _MANY

    def is_gathered(self, stage: Stage) -> bool:
        """Tell whether `slots` costs nothing."""
        return stage in self._sets

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


def walk(word: Typed, stage: Stage, room: set[int] | None, fresh: bool = False) -> Iterator[tuple[int, int]]:
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
