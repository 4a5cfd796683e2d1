"""Reading a shop file of many zones, beside PyYAML's own C loader on the same text.

Run: python tests/bench/bench_shop_read.py [zones ...]. The peer only makes dicts and lists; ours also types
every value, keeps line and column, and checks the geometry. Prints medians and ratios of one run, and how
ours grows with the number of zones.
"""

from __future__ import annotations

import gc
import statistics
import sys
import time
from collections.abc import Callable

import yaml

from shopbins.shop import parse

ROUNDS = 9


def shop_text(zones: int) -> str:
    """Return a shop of racks with three levels each, 100 to a hall, a door and a walkway to every hall."""
    lines = ["shop: Big shed", "rooms:"]
    halls = -(-zones // 100)
    for hall in range(halls):
        lines.append(f"  hall {hall}: {{at: [{hall * 20_300}, 0], size: [20000, 20000], headroom: 4 m}}")
    lines.append("doors:")
    for hall in range(halls):
        jambs = f"[[{hall * 20_300 + 500}, 0], [{hall * 20_300 + 1500}, 0]]"
        lines.append(f"  door {hall}: {{room: hall {hall}, to: outside, jambs: {jambs}, opens: sliding}}")
    lines.append("walkways:")
    for hall in range(halls):
        x = hall * 20_300 + 1000
        lines.append(f"  way {hall}: {{line: [[{x}, -500], [{x}, 19500]], width: 800 mm}}")
    lines.append("zones:")
    for n in range(zones):
        hall, place = divmod(n, 100)
        x, y = hall * 20_300 + 100 + place % 10 * 1950, 100 + place // 10 * 1950
        lines += [
            f"  rack {n}:",
            f"    room: hall {hall}",
            "    kind: shelf",
            f"    at: [{x}, {y}]",
            "    size: [1800, 500]",
            "    load: 600 kg",
            "    levels:",
            "      1: {height: 100, headroom: 500, load: 150 kg}",
            "      2: {height: 700, headroom: 500, load: 150 kg}",
            "      3: {height: 1300, headroom: 500, load: 100 kg}",
        ]
    return "\n".join(lines) + "\n"


def median_ms(work: Callable[[], object]) -> float:
    """Return the median time of a few rounds, garbage collected in between."""
    taken = []
    for _ in range(ROUNDS):
        gc.collect()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken) * 1000


def main() -> None:
    """Print one line a size."""
    sizes = [int(each) for each in sys.argv[1:]] or [125, 250, 500, 1000]
    print(f"{'zones':>6} {'kB':>6} {'ours ms':>9} {'C loader ms':>12} {'ratio':>6} {'us a zone':>10}")
    for zones in sizes:
        text = shop_text(zones)
        assert len(parse(text).zones) == zones
        assert len(yaml.load(text, Loader=yaml.CSafeLoader)["zones"]) == zones
        ours = median_ms(lambda text=text: parse(text))  # type: ignore[misc]
        peer = median_ms(lambda text=text: yaml.load(text, Loader=yaml.CSafeLoader))  # type: ignore[misc]
        kb, each = len(text) / 1000, ours * 1000 / zones
        print(f"{zones:>6} {kb:>6.0f} {ours:>9.1f} {peer:>12.1f} {ours / peer:>6.2f} {each:>10.0f}")


if __name__ == "__main__":
    main()
