"""The second leg of a relaxed map: plain numbers, no call of the library that proposed it.

A map is sound when, whatever of it goes, no free place and no motion is left out. That is shown by:

* covers: a face counts as covered by a thing only where all its corners lie inside one convex piece of the
  thing grown by the body's core, for a body half as much smaller as the map took it (`Solids.hold`);
* tiling: the directed edges of all faces of a band cancel but for those that run along the edge of the region
  they are cut from (`tiles`); so each place of the region is in one face, and none was lost;
* joins: faces of one band with an edge in common are joined, and of two bands that follow each other all that
  are not shown to lie apart (`not_apart`);
* ends: every face is asked whether it holds the start or the goal (`holding`).

A proposal that fails the first or third only makes the map less strict; one that fails the second is refused.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from shopbins.kernel.goes_check import WITHIN_MM, Array

Pairs = Any  # whole numbers, (n, 2)
ALONG_MM = 1e-5
TOUCH_MM2 = 1e-7
SOME = 40_000


class Solids:
    """Convex pieces of things, and walls as lines: what each belongs to, a thing's place or -1."""

    def __init__(self, pieces: Sequence[Array], owner: Sequence[int]) -> None:
        """Take corners (m, 2) of each piece, two of a line."""
        self.owner = np.asarray(owner, dtype=np.int64)
        most = max(len(p) for p in pieces)
        self.corners = np.stack([np.concatenate((p, p[-1:].repeat(most - len(p), axis=0))) for p in pieces])
        along = np.roll(self.corners, -1, axis=1) - self.corners
        length = np.hypot(along[..., 0], along[..., 1])
        normals = np.stack((along[..., 1], -along[..., 0]), axis=-1) / np.maximum(length, 1e-300)[..., None]
        first = length.argmax(axis=1)  # a side that is there says nothing new where it is said again
        again = normals[np.arange(len(pieces)), first][:, None]
        self.normals = np.where((length > 1e-9)[..., None], normals, again)
        self.heights = np.einsum("nmj,nkj->nmk", self.normals, self.corners).max(axis=2)

    def planes(self, shape: Array) -> tuple[Array, Array]:
        """Return each piece grown by a mirrored convex shape, as half planes (n, k, 2) and (n, k)."""
        d = np.roll(shape, -1, axis=0) - shape
        n = -np.stack((d[:, 1], -d[:, 0]), axis=1) / np.hypot(d[:, 0], d[:, 1])[:, None]
        own = self.heights + (-self.normals @ shape.T).max(axis=2)
        other = (self.corners @ n.T).max(axis=1) + (-shape @ n.T).max(axis=0)
        normals = np.concatenate((self.normals, np.broadcast_to(n, (len(own), *n.shape))), axis=1)
        return normals, np.concatenate((own, other), axis=1)


class Rings:
    """The faces of one band as rings of corners, outer and inner, all with the face to their left."""

    def __init__(self, xy: Array, ring: Any, face: Any, hole: Any) -> None:
        """Take closed rings: corners (n, 2), the ring of each; of each ring its face, and if it is a hole."""
        same = ring[1:] == ring[:-1]
        a, b = xy[:-1][same], xy[1:][same]
        own = ring[:-1][same]
        begins = np.searchsorted(own, np.arange(len(face)))
        u, v = a - a[begins][own], b - a[begins][own]
        double = np.bincount(own, weights=u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], minlength=len(face))
        turned = (double > 0) == hole
        back = turned[own]
        self.edges = np.stack((np.where(back[:, None], b, a), np.where(back[:, None], a, b)), axis=1)
        self.face = face[own]
        self.count = int(face.max()) + 1 if len(face) else 0
        self.first = np.searchsorted(self.face, np.arange(self.count + 1))
        self.boxes = np.full((self.count, 4), np.inf)
        self.boxes[:, 2:] = -np.inf
        np.minimum.at(self.boxes[:, :2], self.face, a)
        np.maximum.at(self.boxes[:, 2:], self.face, a)

    def edges_of(self, faces: Any) -> tuple[Any, Any]:
        """Return the places of all edges of the given faces, and for each which of those faces has it."""
        sizes = self.first[faces + 1] - self.first[faces]
        which = np.repeat(np.arange(len(faces)), sizes)
        offset = np.arange(len(which)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
        return self.first[faces][which] + offset, which

    def ring_of(self, face: int) -> Array:
        """Return the edges (n, 2, 2) of one face."""
        found: Array = self.edges[self.first[face] : self.first[face + 1]]
        return found


def hold(planes: tuple[Array, Array], rings: Rings, faces: Any, solids: Any) -> Any:
    """Tell for each pair of a face and a solid whether every corner of the face lies inside the solid."""
    normals, heights = planes
    found = np.ones(len(faces), dtype=bool)
    step = max(1, SOME // 8)
    for first in range(0, len(faces), step):
        part = slice(first, first + step)
        edge, which = rings.edges_of(faces[part])
        at = rings.edges[edge, 0]
        solid = solids[part][which]
        out = np.einsum("vmj,vj->vm", normals[solid], at) - heights[solid]
        bad = out.max(axis=1) > -WITHIN_MM
        found[first + which[bad]] = False
    return found


def tiles(rings: Rings, region: Array, near: Any) -> bool:
    """Tell whether faces are one cutting of the region to the left of directed edges (n, 2, 2).

    Every edge of a face is the edge of another one, the other way round, or runs along an edge of the region;
    and those cover each such edge from end to end. `near` proposes for each edge the region's edge it is on.
    """
    alone = rings.edges[_unmatched(rings.edges)]
    if len(alone) == 0 or len(region) == 0:
        return len(alone) == len(region)
    on = near(alone)
    a, d = region[on, 0], region[on, 1] - region[on, 0]
    length = np.hypot(d[:, 0], d[:, 1])
    unit = d / length[:, None]
    off, at = alone - a[:, None], []
    for k in (0, 1):
        across = np.abs(unit[:, 0] * off[:, k, 1] - unit[:, 1] * off[:, k, 0])
        if across.max() > ALONG_MM:
            return False
        at.append((unit * off[:, k]).sum(axis=1))
    low, high = at
    if np.any(high < low - ALONG_MM):
        return False
    order = np.lexsort((low, on))
    on, low, high, length = on[order], low[order], high[order], length[order]
    begins = np.append(True, on[1:] != on[:-1])
    ends = np.append(begins[1:], True)
    missed = np.ones(len(region), dtype=bool)
    missed[on] = False
    if np.any(_lengths(region)[missed] > ALONG_MM) or np.abs(low[begins]).max() > ALONG_MM:
        return False
    follows = low[1:][~begins[1:]] - high[:-1][~ends[:-1]]
    return bool(
        np.abs(high[ends] - length[ends]).max() <= ALONG_MM and np.abs(follows).max(initial=0) <= ALONG_MM
    )


def _lengths(edges: Array) -> Array:
    found: Array = np.hypot(*(edges[:, 1] - edges[:, 0]).T)
    return found


def _unmatched(edges: Array) -> Any:
    """Return the places of directed edges that have no counterpart the other way round, one for one."""
    order, key, turned = _lesser_end_first(edges)
    sign = np.where(turned, -1, 1)
    new = np.append(True, np.any(key[1:] != key[:-1], axis=1))
    group = np.cumsum(new) - 1
    total = np.bincount(group, weights=sign)
    size = np.bincount(group)
    # two of a kind cancel; anything else is left as it is, and will not run along the region's edge
    return np.sort(order[~((size == 2) & (total == 0))[group]])


def _lesser_end_first(edges: Array) -> tuple[Any, Array, Any]:
    """Sort directed edges by both ends, either way round: their places, the ends (n, 4), which are turned."""
    flat = edges.reshape(-1, 4)
    back = flat[:, [2, 3, 0, 1]]
    turned = (flat[:, 0] > flat[:, 2]) | ((flat[:, 0] == flat[:, 2]) & (flat[:, 1] > flat[:, 3]))
    key = np.where(turned[:, None], back, flat)
    order = np.lexsort(key.T)
    return order, key[order], turned[order]


def sharing(rings: Rings) -> Pairs:
    """Return pairs of faces of one noded cutting that share an edge."""
    order, key, _ = _lesser_end_first(rings.edges)
    own = rings.face[order]
    equal = np.all(key[1:] == key[:-1], axis=1)
    pairs = np.stack((own[:-1][equal], own[1:][equal]), axis=1)
    return pairs[pairs[:, 0] != pairs[:, 1]]


def residue(rings: Rings) -> Array:
    """Return the directed edges of faces that are no other face's: the edge of the region they make up."""
    found: Array = rings.edges[_unmatched(rings.edges)]
    return found


def not_apart(one: Rings, other: Rings, joined: Pairs) -> Pairs:
    """Return the pairs of faces of two bands that are joined, or that are not shown to lie apart.

    Two faces lie apart where no edges of theirs meet and neither holds a corner of the other.
    """
    if one.count == 0 or other.count == 0:
        return np.empty((0, 2), dtype=np.int64)
    pairs = _boxes_meet(one.boxes, other.boxes)
    known = joined[:, 0] * other.count + joined[:, 1]
    pairs = pairs[~np.isin(pairs[:, 0] * other.count + pairs[:, 1], known)]
    meets = np.zeros(len(pairs), dtype=bool)
    step = max(1, SOME // 40)
    for first in range(0, len(pairs), step):
        f, g = pairs[first : first + step].T
        meets[first : first + step] = _meet(one, other, f, g)
    return np.concatenate((joined, pairs[meets]))


def _meet(one: Rings, other: Rings, f: Any, g: Any) -> Any:
    """Tell for pairs of faces whether they may have a place in common."""
    every, which = one.edges_of(f)
    every2, which2 = other.edges_of(g)
    found = np.zeros(len(f), dtype=bool)
    # a corner of one within the other, by the ways out of it across the other's edges
    for mine, mine_of, edges, corner in (
        (every, which, one.edges, other.edges[other.first[g], 0]),
        (every2, which2, other.edges, one.edges[one.first[f], 0]),
    ):
        p, q, r = corner[mine_of], edges[mine, 0], edges[mine, 1]
        spans = (q[:, 1] > p[:, 1]) != (r[:, 1] > p[:, 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            x = q[:, 0] + (p[:, 1] - q[:, 1]) * (r[:, 0] - q[:, 0]) / (r[:, 1] - q[:, 1])
        found |= np.bincount(mine_of, weights=spans & (p[:, 0] < x), minlength=len(f)) % 2 == 1
    # their edges, of those that reach into the other's box
    edge, which = _reaching(one.edges, every, which, other.boxes[g])
    edge2, which2 = _reaching(other.edges, every2, which2, one.boxes[f])
    size2 = np.bincount(which2, minlength=len(g))
    start2 = np.cumsum(size2) - size2
    repeat = size2[which]
    row = np.repeat(np.arange(len(edge)), repeat)
    offset = np.arange(len(row)) - np.repeat(np.cumsum(repeat) - repeat, repeat)
    s, t = one.edges[edge[row]], other.edges[edge2[start2[which[row]] + offset]]
    pair = which[row]
    near = np.all(np.minimum(s[:, 0], s[:, 1]) <= np.maximum(t[:, 0], t[:, 1]), axis=1)
    near &= np.all(np.minimum(t[:, 0], t[:, 1]) <= np.maximum(s[:, 0], s[:, 1]), axis=1)
    s, t, near_pair = s[near], t[near], pair[near]
    u, v = s[:, 1] - s[:, 0], t[:, 1] - t[:, 0]
    a, b = _cross(u, t[:, 0] - s[:, 0]), _cross(u, t[:, 1] - s[:, 0])
    c, d = _cross(v, s[:, 0] - t[:, 0]), _cross(v, s[:, 1] - t[:, 0])
    split = (np.minimum(a, b) > TOUCH_MM2) | (np.maximum(a, b) < -TOUCH_MM2)
    split |= (np.minimum(c, d) > TOUCH_MM2) | (np.maximum(c, d) < -TOUCH_MM2)
    found[near_pair[~split]] = True
    return found


def _reaching(edges: Array, some: Any, of: Any, boxes: Array) -> tuple[Any, Any]:
    """Return those of some edges that reach into the box of the pair each is of."""
    e, box = edges[some], boxes[of]
    into = np.all(e.min(axis=1) <= box[:, 2:], axis=1) & np.all(e.max(axis=1) >= box[:, :2], axis=1)
    return some[into], of[into]


def holding(rings: Rings, place: Any) -> list[int]:
    """Return the faces that hold a place, or have it at their edge."""
    p = np.asarray(place, dtype=float)
    b = rings.boxes
    near = (b[:, :2] <= p + ALONG_MM).all(axis=1) & (b[:, 2:] >= p - ALONG_MM).all(axis=1)
    found = []
    for face in np.flatnonzero(near).tolist():
        edges = rings.ring_of(face)
        a, d = edges[:, 0], edges[:, 1] - edges[:, 0]
        t = np.clip(((p - a) * d).sum(axis=1) / np.maximum((d * d).sum(axis=1), 1e-300), 0.0, 1.0)
        away = np.hypot(*(a + t[:, None] * d - p).T).min()
        if away <= ALONG_MM or _odd(edges, p):
            found.append(face)
    return found


def _odd(edges: Array, p: Array) -> bool:
    """Tell whether a way out of a place crosses directed edges an odd number of times."""
    spans = (edges[:, 0, 1] > p[1]) != (edges[:, 1, 1] > p[1])
    a, b = edges[spans, 0], edges[spans, 1]
    x = a[:, 0] + (p[1] - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
    return bool((p[0] < x).sum() % 2)


def _boxes_meet(one: Array, other: Array) -> Pairs:
    found = []
    for first in range(0, len(one), 512):
        some = one[first : first + 512, None]
        meet = (some[..., 0] <= other[:, 2]) & (some[..., 2] >= other[:, 0])
        meet &= (some[..., 1] <= other[:, 3]) & (some[..., 3] >= other[:, 1])
        f, g = np.nonzero(meet)
        found.append(np.stack((f + first, g), axis=1))
    return np.concatenate(found)


def _cross(u: Array, v: Array) -> Array:
    found: Array = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    return found
