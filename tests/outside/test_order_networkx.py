"""Order and reachability against networkx, an independent implementation of graphs."""

from __future__ import annotations

import random
from itertools import pairwise

import networkx as nx
import pytest

from shopbins.ledger.state import State
from shopbins.strip.graph import Graph, told_way
from shopbins.strip.order import Order
from shopbins.strip.reach import reach
from shopbins.strip.refit import next_back, refit
from shopbins.strip.tree import Position


def job(luck: random.Random, size: int, relations: int) -> tuple[State, nx.DiGraph]:
    """A stripped machine with relations that follow some hidden order, not always the recorded one."""
    hidden = luck.sample(range(size), size)
    docs, graph = {}, nx.DiGraph()
    for n in range(size):
        fitted = luck.random() < 0.4
        docs[f"g{n}"] = {
            "code": f"Z{n}",
            "name": f"part {n}",
            "origin": ["m", f"a{luck.randrange(4)}"],
            "order": n + 1,
            "where": {"fitted": True} if fitted else {"zone": "bench"},
        }
        graph.add_node(f"g{n}")
    told = {}
    for _ in range(relations):
        a, b = sorted(luck.sample(range(size), 2), key=hidden.__getitem__)
        told[f"g{a}|g{b}"] = {"a": f"g{a}", "b": f"g{b}"}
        graph.add_edge(f"g{a}", f"g{b}")
    return State({"group": docs, "before": told}), graph


@pytest.mark.parametrize("seed", range(12))
def test_certain_reachability_is_that_of_the_relations(seed: int) -> None:
    luck = random.Random(seed)
    state, graph = job(luck, 3 + seed * 7, seed * 12)
    ours = state.follower(Order).graph
    assert not ours.circles
    for each in graph:
        assert set(ours.before(each, usual=False)) == nx.ancestors(graph, each)
        assert set(ours.after([each], usual=False)) == nx.descendants(graph, each)


@pytest.mark.parametrize("seed", range(12))
def test_with_the_usual_order_it_is_still_without_circles_and_in_order(seed: int) -> None:
    luck = random.Random(100 + seed)
    state, graph = job(luck, 3 + seed * 7, seed * 9)
    ours = state.follower(Order).graph
    whole = nx.DiGraph(graph)
    for a, b in ours.held:
        whole.add_edge(ours.ids[a], ours.ids[b])
    assert nx.is_directed_acyclic_graph(whole)
    for each in graph:
        steps = [step.position for step in reach(state, each)]
        assert set(steps) == nx.ancestors(whole, each)
        place = {key: n for n, key in enumerate(steps)}
        assert all(place[a] < place[b] for a, b in whole.edges if a in place and b in place)
    line = [entry.position for entry in refit(state)]
    place = {key: n for n, key in enumerate(line)}
    assert all(place[b] < place[a] for a, b in whole.edges if a in place and b in place)
    # what can go back now: off, and everything that goes on before it is on
    off = {each for each in graph if "zone" in state.docs("group")[each]["where"]}
    free = {each for each in off if not off & set(whole.successors(each))}
    assert {entry.position for entry in next_back(state)} == free


@pytest.mark.parametrize("seed", range(8))
def test_circles_are_found_where_networkx_finds_them(seed: int) -> None:
    luck = random.Random(seed)
    names = [f"p{n}" for n in range(12)]
    graph = nx.DiGraph()
    graph.add_nodes_from(names)
    told: list[dict[str, str]] = []
    for _ in range(60):
        a, b = luck.sample(names, 2)
        way = told_way(told, b, a)
        assert (way is not None) == nx.has_path(graph, b, a)
        if way is None:
            told.append({"a": a, "b": b})
            graph.add_edge(a, b)
        else:
            assert way[0] == b and way[-1] == a and len(way) - 1 == nx.shortest_path_length(graph, b, a)
            assert all(graph.has_edge(x, y) for x, y in pairwise(way))
    assert nx.is_directed_acyclic_graph(graph)


def test_a_graph_with_circles_is_borne_and_names_them() -> None:
    places = {key: Position(key, key, ("m", key), groups=(key,), order=n) for n, key in enumerate("abcde")}
    edges = [("a", "b"), ("b", "c"), ("c", "a"), ("c", "d"), ("e", "a")]
    graph = Graph(places, [{"a": a, "b": b} for a, b in edges])
    ring = nx.DiGraph(edges)
    in_rings = set().union(*(each for each in nx.strongly_connected_components(ring) if len(each) > 1))
    behind = set().union(*(nx.descendants(ring, each) for each in in_rings))
    assert set(graph.circles) == in_rings | behind
    kept = nx.DiGraph((graph.ids[a], graph.ids[b]) for a, b in graph.held)
    assert nx.is_directed_acyclic_graph(kept)
