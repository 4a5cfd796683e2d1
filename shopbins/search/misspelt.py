"""Words a mistyped one may have been meant for: one wrong, missing, doubled or swapped letter, two in
long words; the word may be unfinished, as it is while somebody types."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import chain

from shopbins.search.vocabulary import Vocabulary, after

_MOST = 200
_LONGEST = 60


class Near:
    """Measures mistyped words against every word spelt without digits; words no longer used may linger."""

    def __init__(self, parts: Sequence[Vocabulary]) -> None:
        self._parts = parts
        kept = sorted(word for part in parts for word in part.words if _is_spelt(word))
        self._spelt = list(dict.fromkeys(kept))

    def add(self, word: str) -> None:
        """Take one more word into account."""
        place = bisect_left(self._spelt, word)
        if _is_spelt(word) and self._spelt[place : place + 1] != [word]:
            self._spelt.insert(place, word)

    def words(self, word: str) -> list[str]:
        """Return the words near a typed one, nearest first. rapidfuzz is loaded here and nowhere else.

        Words shorter than four letters are never forgiven. Words with digits in them are codes and
        sizes: one wrong digit or letter, nothing missing. Of the others, those are measured that begin
        with one of the first two letters typed; where the first letter is wrong, all others must be
        right. So no keystroke waits for the whole vocabulary.
        """
        if not 4 <= len(word) <= _LONGEST:
            return []
        if any(c.isdigit() for c in word):
            return self._codes(word)
        rest = word[1:]
        tails = {w: 1.5 for part in self._parts for w in part.containing(rest) if w.find(rest) <= 1}
        best = self._measure(word) | tails
        return sorted(best, key=lambda w: (best[w], w))[:_MOST]

    def _measure(self, word: str) -> dict[str, float]:
        off = 1 if len(word) < 8 else 2
        lengths = range(max(len(word) - off, 3), len(word) + off + 1)
        begun = [w for letter in dict.fromkeys(word[:2]) for w in _starting(self._spelt, letter)]
        starts = dict.fromkeys(w[:length] for length in lengths for w in begun if len(w) >= length)
        best: dict[str, float] = {}
        for start, distance in _extract(word, list(starts), off):
            for found in _starting(self._spelt, start):
                best[found] = min(distance + (found != start) * 0.5, best.get(found, 9.0))
        return best

    def _codes(self, word: str) -> list[str]:
        half, length = len(word) // 2, len(word)  # one error leaves one half right
        begun = (w for part in self._parts for w in part.starting(word[:half]))
        ended = (w for part in self._parts for w in part.containing(word[half:]))
        near = dict.fromkeys(w for w in chain(begun, ended) if len(w) == length)
        return [found for found, _ in _extract(word, list(near), 1)]


def _extract(word: str, choices: Sequence[str], off: int) -> list[tuple[str, float]]:
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract

    near = extract(word, choices, scorer=OSA.distance, processor=None, score_cutoff=off, limit=_MOST)
    return [(found, distance) for found, distance, _ in near]


def _starting(words: list[str], start: str) -> list[str]:
    first = bisect_left(words, start)
    return words[first : bisect_left(words, after(start), first)]


def _is_spelt(word: str) -> bool:
    return word.isalpha() or ("-" in word and word.replace("-", "").isalpha())
