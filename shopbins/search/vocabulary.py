"""The words that occur in a field, each with the rows it occurs in: what makes search quick.

Rows are slots (small integers). A workshop's words repeat, so all different words together are a tenth
of the text: looking through them replaces looking through the rows.
"""

from __future__ import annotations

import unicodedata
from array import array
from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator

_EDGES = "()[]{}<>,.;:!?'\"`„“”‚‘’·"
_MANY = 500


def folded(text: str) -> str:
    """Return the text in lower case without accents: 'Öl-Kühler' and 'ol-kuhler' are one."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in apart if not unicodedata.combining(c))


def tokens(text: str) -> list[str]:
    """Split a text into folded words, without the punctuation around them."""
    return [word for word in (part.strip(_EDGES) for part in folded(text).split()) if word]


class Vocabulary:
    """Words in alphabetical order and, for each, the slots it occurs in (ascending)."""

    __slots__ = ("_joined", "_slots", "_sorted")

    def __init__(self) -> None:
        self._slots: dict[str, int | array[int]] = {}
        self._sorted: list[str] | None = []
        self._joined: str | None = ""

    def __len__(self) -> int:
        return len(self._slots)

    def fill(self, words: Iterable[str], slot: int) -> None:
        """Add the words of a slot higher than any before: quick, for building."""
        slots = self._slots
        for word in words:
            held = slots.get(word)
            if held is None:
                slots[word] = slot
            elif isinstance(held, int):
                if held != slot:
                    slots[word] = array("I", (held, slot))
            elif held[-1] != slot:
                held.append(slot)
        self._sorted = self._joined = None

    def add(self, word: str, slot: int) -> None:
        """Add one word of any slot, keeping everything in order."""
        held = self._slots.get(word)
        if held is None:
            if self._sorted is not None:
                insort(self._sorted, word)
            self._joined = None
            self._slots[word] = slot
            return
        many = array("I", (held,)) if isinstance(held, int) else held
        place = bisect_left(many, slot)
        if place == len(many) or many[place] != slot:
            many.insert(place, slot)
            self._slots[word] = many

    def remove(self, word: str, slot: int) -> None:
        """Take one word of a slot out; a word left without slots is forgotten."""
        held = self._slots.get(word)
        if held is None:
            return
        if not isinstance(held, int):
            place = bisect_left(held, slot)
            if place < len(held) and held[place] == slot:
                del held[place]
            if held:
                return
        elif held != slot:
            return
        del self._slots[word]
        if self._sorted is not None:
            del self._sorted[bisect_left(self._sorted, word)]
        self._joined = None

    def slots(self, word: str) -> Iterable[int]:
        """Return the slots of a word, ascending."""
        held = self._slots.get(word, ())
        return (held,) if isinstance(held, int) else held

    def knows(self, word: str) -> bool:
        """Tell whether the word occurs."""
        return word in self._slots

    def occurrences(self, words: Iterable[str]) -> int:
        """Return how many slots the words have together, counted double where they share one."""
        get = self._slots.__getitem__
        return sum(1 if isinstance(held, int) else len(held) for held in map(get, words))

    def gather_into(self, found: set[int], words: Iterable[str]) -> None:
        """Add the slots in which any of the words occurs."""
        singles: list[int] = []
        get = self._slots.__getitem__
        for held in map(get, words):
            if isinstance(held, int):
                singles.append(held)
            else:
                found.update(held)
        found.update(singles)

    @property
    def words(self) -> list[str]:
        """Every word, in alphabetical order. Not to be changed by the caller."""
        if self._sorted is None:
            self._sorted = sorted(self._slots)
        return self._sorted

    def settle(self) -> None:
        """Put the words in order now rather than at the first search."""
        self._joined = "\n".join(["", *self.words, ""])

    def starting(self, start: str) -> list[str]:
        """Return the words that start so, in alphabetical order (the word itself comes first)."""
        words = self.words
        first = bisect_left(words, start)
        return words[first : bisect_left(words, after(start), first)]

    def width(self, start: str) -> int:
        """Return how many words start so."""
        first = bisect_left(self.words, start)
        return bisect_left(self.words, after(start), first) - first

    def first_starting(self, start: str) -> Iterator[str]:
        """Go through the words that start so, without knowing how many there are."""
        words = self.words
        for place in range(bisect_left(words, start), len(words)):
            word = words[place]
            if not word.startswith(start):
                return
            yield word

    def containing(self, part: str) -> list[str]:
        """Return the words with this part anywhere in them, in alphabetical order."""
        if self._joined is None:
            self.settle()
        text, found, at = self._joined or "", [], 0
        while (at := text.find(part, at)) >= 0:
            end = text.find("\n", at)
            found.append(text[text.rfind("\n", 0, at) + 1 : end])
            if len(found) > _MANY:  # a word at a time is quicker from here on
                return [word for word in self.words if part in word]
            at = end
        return found


def after(start: str) -> str:
    """Return the least text that sorts behind everything with this start."""
    last = ord(start[-1])
    return start[:-1] + chr(last + 1) if last < 0x10FFFF else start + chr(last)
