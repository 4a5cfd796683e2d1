"""Search gives what a plain loop over the rows gives, in the same order, and forgives typing errors."""

from __future__ import annotations

import string
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopbins.search.search import Index, Indexed, find_once

EDGES = "()[]{}<>,.;:!?'\"`„“”‚‘’·"


def plain(rows: list[Indexed], query: str) -> list[str]:
    """The whole meaning of search without typing errors, written as a loop that knows no index."""

    def words_of(text: str) -> list[str]:
        text = "".join(
            c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c)
        )
        return [w for w in (part.strip(EDGES) for part in text.split()) if w]

    typed = words_of(query)
    ranked = []
    for age, row in enumerate(rows):
        name, other = words_of(row.name), words_of(row.other)
        if not all(any(w in token for token in name + other) for w in typed):
            continue
        stages = []
        for w in typed:
            if any(token.startswith(w) for token in name):
                stages.append(0)
            else:
                stages.append(1 if any(token.startswith(w) for token in other) else 2)
        key = (0, 0, "")
        if typed:
            fields = [name[:1], name[1:], other]
            places = [(t, w) for t, f in enumerate(fields) for w in f if w.startswith(typed[0])]
            places += [(t + 3, w) for t, f in enumerate(fields) for w in f if typed[0] in w]
            key = (max(stages), *min(places))
        ranked.append((*key, age, row.id))
    return [each[-1] for each in sorted(ranked)]


letters = st.text(alphabet="abcäé ,-1", max_size=12)
rows_strategy = st.lists(st.tuples(letters, letters), max_size=12).map(
    lambda pairs: [Indexed(str(n), name, other) for n, (name, other) in enumerate(pairs)]
)
query_strategy = st.lists(st.text(alphabet="abcäe1", min_size=1, max_size=3), max_size=3).map(" ".join)


@given(rows_strategy, st.lists(query_strategy, min_size=1, max_size=4))
def test_same_as_plain_loop(rows: list[Indexed], queries: list[str]) -> None:
    index = Index(rows)
    for query in queries:
        expected = plain(rows, query)
        assert [hit.id for hit in index.search(query, 1000)] == expected
        assert [hit.id for hit in index.search(query, 3)] == expected[:3]
        assert [hit.id for hit in find_once(rows, query, 1000)] == expected
        assert index.count(query) == len(expected)


@given(rows_strategy, st.text(alphabet="abcä1 ", min_size=1, max_size=8))
def test_typing_letter_by_letter_changes_nothing(rows: list[Indexed], query: str) -> None:
    typed = Index(rows)
    for length in range(1, len(query) + 1):
        expected = plain(rows, query[:length])
        assert [hit.id for hit in typed.search(query[:length], 100, forgive=False)] == expected
        assert typed.count(query[:length], forgive=False) == len(expected)


@given(
    rows_strategy,
    st.lists(st.tuples(st.integers(0, 11), letters, letters, st.booleans()), max_size=8),
    query_strategy,
)
def test_changed_rows_are_found_as_if_built_anew(
    rows: list[Indexed], changes: list[tuple[int, str, str, bool]], query: str
) -> None:
    index, now = Index(rows), {row.id: row for row in rows}
    for number, name, other, gone in changes:
        row = Indexed(str(number), name, other)
        index.search(query)
        if gone:
            index.drop(row.id)
            now.pop(row.id, None)
        else:
            index.put(row)
            now[row.id] = row
    assert [hit.id for hit in index.search(query, 1000)] == plain(list(now.values()), query)
    assert index.count(query) == len(plain(list(now.values()), query))
    assert len(index) == len(now)


@given(rows_strategy, st.sets(st.integers(0, 11)), query_strategy)
def test_within_narrows_and_nothing_else(rows: list[Indexed], chosen: set[int], query: str) -> None:
    index, within = Index(rows), {str(n) for n in chosen}
    expected = [row_id for row_id in plain(rows, query) if row_id in within]
    assert [hit.id for hit in index.search(query, 1000, within)] == expected
    assert [hit.id for hit in index.search(query, 2, within)] == expected[:2]
    assert index.count(query, within) == len(expected)


SHED = [
    Indexed("1", "Valve springs, inlet", "rack a/3 diesel > cylinder head 2 > valves bag"),
    Indexed("2", "Injector pipes", "tub diesel > fuel > high pressure tray"),
    Indexed("3", "Kühlwasserpumpe", "bench 2 diesel > cooling box"),
    Indexed("4", "Spring washers (M8)", "drawer valve gear bag"),
    Indexed("5", "Gudgeon pin", "SRW00123K rack b piston 1"),
]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("valve", "1"),
        ("vavle", "1"),  # swapped
        ("injctor", "2"),  # left out
        ("injecttor", "2"),  # doubled
        ("inkect", "2"),  # wrong, and unfinished
        ("kuhlwasser", "3"),
        ("KÜHLWASSERPUMPE", "3"),
        ("kulhwaserpumpe", "3"),  # two errors in a long word
        ("spring valve", "1"),
        ("washer m8", "4"),
        ("vavle spring inlet", "1"),
        ("srw00124k", "5"),  # one wrong character of a code
        ("a/3", "1"),
        ("balve sprins", "1"),
    ],
)
def test_finds_what_was_meant(typed: str, first: str) -> None:
    assert Index(SHED).search(typed)[0].id == first
    assert find_once(SHED, typed)[0].id == first


@pytest.mark.parametrize(
    "typed", ["zzzzzz", "pxn", "crankshaft", "injector zzzzzz", "xxlvexx", "m9", "srw99923k"]
)
def test_finds_nothing_where_nothing_is_near(typed: str) -> None:
    index = Index(SHED)
    assert index.search(typed) == []
    assert index.count(typed) == 0


def test_forgiven_scores_lower_than_any_true_match() -> None:
    index = Index(SHED)
    true = [hit.score for word in string.ascii_lowercase for hit in index.search(word)]
    forgiven = [
        hit.score
        for word in ("vavle", "injctor", "kulhwaserpumpe", "balve sprins")
        for hit in index.search(word)
    ]
    assert true and forgiven
    assert max(forgiven) < 0.4 < min(true)


def test_scores_fall_with_rank() -> None:
    scores = [hit.score for hit in Index(SHED).search("s")]
    assert scores == sorted(scores, reverse=True)
    assert len(set(scores)) > 1


def test_hostile_text_is_searched_like_any_other() -> None:
    rows = [
        Indexed("1", "\x1b[31mred\u202e", "\n\n\x00"),
        Indexed("2", "x" * 10_000),
        Indexed("3", ""),
        Indexed("4", "漢字 タンク"),
    ]
    index = Index(rows)
    assert index.search("red")[0].id == "1"
    assert index.search("x" * 9_000)[0].id == "2"
    assert index.search("タンク")[0].id == "4"
    assert {hit.id for hit in index.search("  , ")} == {"1", "2", "3", "4"}
    assert index.search("\U0010ffff") == []
    assert index.search("y" * 10_000) == []
