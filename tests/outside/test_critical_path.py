"""The critical path method against worked examples printed in handbooks.

1, 2: B. W. Taylor, Introduction to Management Science, chapter 8 'Project Management', two tables of activity
times in the solutions to the problems (activity i-j goes from event i to event j; read in a copy).
3: F. S. Hillier, G. J. Lieberman, Introduction to Operations Research, the prototype example of the chapter
on PERT/CPM, a plant built in 44 weeks [from memory].
"""

from __future__ import annotations

import random
from collections.abc import Hashable, Mapping
from itertools import pairwise

import networkx as nx
import pytest

from shopbins.strip.path import Times, schedule

# activity: days, earliest start and finish, latest start and finish, slack
SEVEN = {
    (1, 2): (7, 0, 7, 2, 9, 2),
    (1, 3): (10, 0, 10, 0, 10, 0),
    (2, 4): (6, 7, 13, 9, 15, 2),
    (3, 4): (5, 10, 15, 10, 15, 0),
    (3, 5): (4, 10, 14, 14, 18, 4),
    (4, 5): (3, 15, 18, 15, 18, 0),
    (5, 6): (2, 18, 20, 18, 20, 0),
}
THIRTEEN = {
    (1, 2): (8, 0, 8, 1, 9, 1),
    (1, 3): (10, 0, 10, 0, 10, 0),
    (1, 4): (9, 0, 9, 6, 15, 6),
    (2, 5): (6, 8, 14, 9, 15, 1),
    (2, 6): (4, 8, 12, 16, 20, 8),
    (3, 5): (5, 10, 15, 10, 15, 0),
    (4, 5): (0, 9, 9, 15, 15, 6),
    (4, 7): (7, 9, 16, 20, 27, 11),
    (5, 7): (12, 15, 27, 15, 27, 0),
    (5, 8): (15, 15, 30, 16, 31, 1),
    (6, 9): (18, 12, 30, 20, 38, 8),
    (7, 8): (4, 27, 31, 27, 31, 0),
    (8, 9): (7, 31, 38, 31, 38, 0),
}


def without_slack(times: Mapping[Hashable, Times]) -> list[Hashable]:
    """The critical path: the steps without slack, by their start."""
    none = [each for each, time in times.items() if abs(time.slack) < 1e-9]
    return sorted(none, key=lambda each: times[each].earliest_start)


@pytest.mark.parametrize(
    ("table", "path"), [(SEVEN, [1, 3, 4, 5, 6]), (THIRTEEN, [1, 3, 5, 7, 8, 9])], ids=["seven", "thirteen"]
)
def test_taylor_tables(table: dict[tuple[int, int], tuple[int, ...]], path: list[int]) -> None:
    days = {activity: float(row[0]) for activity, row in table.items()}
    waits = {(i, j): [other for other in table if other[1] == i] for i, j in table}
    times = schedule(days, waits)
    for activity, row in table.items():
        found = times[activity]
        assert (
            found.earliest_start, found.earliest_finish, found.latest_start, found.latest_finish, found.slack
        ) == row[1:]  # fmt: skip
    assert without_slack(times) == list(pairwise(path))


WEEKS = {"A": 2, "B": 4, "C": 10, "D": 6, "E": 4, "F": 5, "G": 7, "H": 9, "I": 7, "J": 8}
WEEKS |= {"K": 4, "L": 5, "M": 2, "N": 6}
AFTER = {"A": "", "B": "A", "C": "B", "D": "C", "E": "C", "F": "E", "G": "D", "H": "EG", "I": "C", "J": "FI"}
AFTER |= {"K": "J", "L": "J", "M": "H", "N": "KL"}


def test_hillier_and_lieberman_plant() -> None:
    weeks = {key: float(n) for key, n in WEEKS.items()}
    times = schedule(weeks, {key: list(each) for key, each in AFTER.items()})
    assert max(each.earliest_finish for each in times.values()) == 44
    assert without_slack(times) == list("ABCEFJLN")
    slack = {key: each.slack for key, each in times.items() if each.slack}
    assert slack == {"D": 4, "G": 4, "H": 4, "I": 2, "K": 1, "M": 4}


def test_longest_ways_against_networkx() -> None:
    luck = random.Random(7)
    for size in (1, 2, 5, 30, 120):
        days = {n: float(luck.randint(0, 9)) for n in range(size)}
        waits = {n: [k for k in range(n) if luck.random() < 3 / size] for n in range(size)}
        times = schedule(days, waits)
        graph = nx.DiGraph()
        graph.add_nodes_from(range(size))
        # a step's days lie on the edges out of it, so the longest way to n is its earliest start
        graph.add_weighted_edges_from((k, n, days[k]) for n, before in waits.items() for k in before)
        graph.add_node("end")
        graph.add_weighted_edges_from((n, "end", days[n]) for n in range(size))
        assert max(t.earliest_finish for t in times.values()) == nx.dag_longest_path_length(graph)
        for n in range(size):
            inside = graph.subgraph(nx.ancestors(graph, n) | {n})
            assert times[n].earliest_start == nx.dag_longest_path_length(inside)


def test_due_days_and_ready_days() -> None:
    times = schedule({"a": 2.0, "b": 3.0, "c": 1.0}, {"b": ["a"]}, ready={"a": 4.0}, due={"b": 20.0})
    assert (times["b"].earliest_start, times["a"].latest_start) == (6, 15)
    assert times["c"].latest_finish == float("inf")
    with pytest.raises(ValueError, match="circle"):
        schedule({"a": 1.0, "b": 1.0}, {"a": ["b"], "b": ["a"]})
