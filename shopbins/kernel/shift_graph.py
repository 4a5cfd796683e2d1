"""A graph of covers: what must go to pass from its starts to its goals, and cuts of it.

A node is passed at no less than the things that cover it, given as bits of one whole number.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

import numpy as np

Pairs = Any  # whole numbers, (n, 2)

AT_ONCE = 8192


class Relaxed:
    """Nodes with covers (bits of things) and neighbours; floods and cuts."""

    def __init__(self, masks: list[int], edges: Pairs, starts: set[int], goals: set[int]) -> None:
        """Take nodes, each unlike those beside it."""
        self.masks = masks
        self.starts = starts
        self.goals = goals
        self.beside: list[list[int]] = [[] for _ in masks]
        nodes = list(range(len(masks)))  # one number each, however many hold it
        for low in range(0, len(edges), AT_ONCE):
            for i, j in edges[low : low + AT_ONCE].tolist():
                self.beside[i].append(nodes[j])
                self.beside[j].append(nodes[i])

    def join(self, masks: Sequence[int], beside: Sequence[set[int]]) -> None:
        """Join nodes in a row, stretches of a way from start to goal; `beside` is what lies at their ends."""
        first = len(self.masks)
        self.masks += masks
        self.beside += [[] for _ in masks]
        ends = [self.starts, *beside[1:-1], self.goals]
        for k, (before, after) in enumerate(itertools.pairwise(ends)):
            for other in {*before, *after, *([first + k - 1] if k else [])}:
                self.beside[first + k].append(other)
                self.beside[other].append(first + k)

    def cut(self, shifted: int, order: Sequence[int]) -> int | None:
        """Return bits of things of which at least one more must go, or None when the goal is reached.

        The set is made small: things are taken away in the given order as long as the goal stays out of
        reach. Bits are those of `masks`.
        """
        flood = _Flood(self, shifted)
        if flood.begin():
            return None
        for thing in order:
            if flood.holders.get(thing):
                flood.try_without(thing)
        missing = 0
        for blocks in flood.met.values():
            missing |= blocks
        return missing


class _Flood:
    """What is met from the start with some things gone: 0 where reached, else the bits that block it."""

    def __init__(self, graph: Relaxed, shifted: int) -> None:
        self.graph = graph
        self.shifted = shifted
        self.met: dict[int, int] = {}
        self.holders: dict[int, list[int]] = {}
        self.near_goal = set(graph.goals)

    def begin(self) -> bool:
        """Reach on from the start; True when the goal is reached."""
        stack: list[int] = []
        at_goal = False
        for node in self.graph.starts:
            at_goal |= self._meet(node, stack, [])
        if at_goal or self.spread(stack, []):
            return True
        self._reach_back()
        return False

    def _reach_back(self) -> None:
        """Note what leads to the goal as it is: to reach any of that later on is to reach the goal."""
        masks, shifted, near = self.graph.masks, self.shifted, self.near_goal
        stack = [n for n in near if not masks[n] & ~shifted]
        while stack:
            for node in self.graph.beside[stack.pop()]:
                if node not in near and not masks[node] & ~shifted:
                    near.add(node)
                    stack.append(node)

    def spread(self, stack: list[int], journal: list[int]) -> bool:
        """Reach on from nodes already reached, noting what is newly met; True when the goal is reached."""
        beside, met = self.graph.beside, self.met
        while stack:
            for node in beside[stack.pop()]:
                if node not in met and self._meet(node, stack, journal):
                    return True
        return False

    def _meet(self, node: int, stack: list[int], journal: list[int]) -> bool:
        """Note a node as reached (and stack it) or blocked; True when it is a goal reached."""
        journal.append(node)
        blocks = self.met[node] = _without(self.graph.masks[node], self.shifted)
        if blocks == 0:
            stack.append(node)
            return node in self.near_goal
        holders = self.holders
        while blocks:
            low = blocks & -blocks
            holders.setdefault(low.bit_length() - 1, []).append(node)
            blocks ^= low
        return False

    def try_without(self, thing: int) -> None:
        """Take a thing away too unless that opens the way."""
        bit, met = 1 << thing, self.met
        held = [n for n in dict.fromkeys(self.holders[thing]) if met.get(n, 0) & bit]
        opened = [n for n in held if met[n] == bit]
        self.shifted |= bit
        for node in opened:
            met[node] = 0
        journal: list[int] = []
        if opened and (any(n in self.graph.goals for n in opened) or self.spread(list(opened), journal)):
            self.shifted &= ~bit
            for node in journal:
                del met[node]
            for node in opened:
                met[node] = bit
            return
        for node in held:
            met[node] &= ~bit


def _without(mask: int, gone: int) -> int:
    """Return a mask without some bits, itself where it has none of them: many long numbers take much room."""
    return mask & ~gone if mask & gone else mask


def components(count: int, edges: Pairs) -> tuple[int, Any]:
    """Return how many connected parts there are, and the part of each."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ones = np.ones(len(edges), dtype=np.int8)
    graph = coo_array((ones, (edges[:, 0], edges[:, 1])), shape=(count, count))
    found: tuple[int, Any] = connected_components(graph, directed=False)
    return found
