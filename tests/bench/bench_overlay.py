"""Where float overlays of the geometry library go wrong, and what a grid costs; no pass or fail.

    python tests/bench/bench_overlay.py

Six valid polygons (walls grown by a body laid along them) whose corners agree to 1e-12 mm: which modes and
orders keep the hole that no polygon covers. Then the same with corners stirred a little.
"""

from __future__ import annotations

import itertools
import json
import random
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import shapely

from shopbins.kernel.overlay import union

FILLED = Path(__file__).parents[1] / "kernel" / "data" / "filled_hole.json"

MODES: dict[str, Callable[[list[Any]], Any]] = {
    "whole numbers": union,
    "floats, union_all": lambda shapes: shapely.union_all(shapes),
    "floats, one by one": lambda shapes: _one_by_one(shapes),
    "grid of 1e-6 mm": lambda shapes: shapely.union_all(shapes, grid_size=1e-6),
    "grid of 1e-4 mm": lambda shapes: shapely.union_all(shapes, grid_size=1e-4),
}


def _one_by_one(shapes: list[Any]) -> Any:
    whole = shapes[0]
    for shape in shapes[1:]:
        whole = shapely.union(whole, shape)
    return whole


def holes_mm2(whole: Any) -> float:
    """Return the area of all holes of a union."""
    return sum(shapely.Polygon(r).area for p in shapely.get_parts(whole) for r in p.interiors)


def main() -> None:
    """Print which modes keep the hole."""
    rings = json.loads(FILLED.read_text(encoding="utf-8"))["polygons"]
    shapes = [shapely.Polygon(r) for r in rings]
    print(f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}")
    for name, together in MODES.items():
        print(f"{name:20} hole of {holes_mm2(together(shapes)):12.1f} mm2")
    orders = sum(holes_mm2(shapely.union_all(list(o))) < 1 for o in itertools.permutations(shapes))
    print(f"floats, union_all: the hole is filled in {orders} of 720 orders")
    rng = random.Random(1)
    print(f"{'corners stirred by':20}" + "".join(f"{name:>22}" for name in MODES))
    for by in (1e-13, 1e-12, 1e-11, 1e-9):
        filled, spent = dict.fromkeys(MODES, 0), dict.fromkeys(MODES, 0.0)
        for _ in range(300):
            stirred = [
                shapely.Polygon([(x + rng.uniform(-by, by), y + rng.uniform(-by, by)) for x, y in r[:-1]])
                for r in rings
            ]
            for name, together in MODES.items():
                began = time.perf_counter()
                whole = together(stirred)
                spent[name] += time.perf_counter() - began
                filled[name] += holes_mm2(whole) < 1
        cells = "".join(f"{filled[n]:>8} of 300, {spent[n] / 0.3:.2f} ms" for n in MODES)
        print(f"{by:<20g}{cells}")


if __name__ == "__main__":
    main()
