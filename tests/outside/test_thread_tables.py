"""The coarse pitches of threads, against published tables of what follows from them.

A table of pitches copied twice agrees with its own slip; the stress area of a bolt and the core diameter of a
thread are other tables, and say the pitch by a formula. All figures are from memory.
"""

from __future__ import annotations

import math

import pytest

from shopbins.strip.threads import MM_PER_IN, parse_thread

METRIC = {
    "M1.6": 1.27, "M2": 2.07, "M2.5": 3.39, "M3": 5.03, "M4": 8.78, "M5": 14.2, "M6": 20.1, "M8": 36.6,
    "M10": 58.0, "M12": 84.3, "M14": 115, "M16": 157, "M18": 192, "M20": 245, "M22": 303, "M24": 353,
    "M27": 459, "M30": 561, "M33": 694, "M36": 817, "M39": 976, "M42": 1120, "M48": 1470, "M56": 2030,
    "M64": 2680,
}  # fmt: skip
"""ISO 898-1, nominal stress area in mm2 = pi/4 (d - 0.9382 P)^2; the same in Shigley, Table 8-1."""

UNIFIED = {
    "UNC": {"1/4": 0.0318, "5/16": 0.0524, "3/8": 0.0775, "7/16": 0.1063, "1/2": 0.1419, "9/16": 0.182,
            "5/8": 0.226, "3/4": 0.334, "7/8": 0.462, "1": 0.606},
    "UNF": {"1/4": 0.0364, "5/16": 0.0580, "3/8": 0.0878, "7/16": 0.1187, "1/2": 0.1599, "9/16": 0.203,
            "5/8": 0.256, "3/4": 0.373, "7/8": 0.509, "1": 0.663},
}  # fmt: skip
"""ASME B1.1, tensile stress area in in2 = pi/4 (D - 0.9743/n)^2; the same in Shigley, Table 8-2."""

WHITWORTH = {
    "BSW": {"1/8": 0.0930, "3/16": 0.1341, "1/4": 0.1860, "5/16": 0.2414, "3/8": 0.2950, "7/16": 0.3460,
            "1/2": 0.3933, "9/16": 0.4558, "5/8": 0.5086, "3/4": 0.6219, "7/8": 0.7327, "1": 0.8399},
    "BSF": {"3/16": 0.1475, "1/4": 0.2008, "5/16": 0.2543, "3/8": 0.3110, "7/16": 0.3664, "1/2": 0.4200,
            "9/16": 0.4825, "5/8": 0.5336, "3/4": 0.6433, "7/8": 0.7586, "1": 0.8720},
}  # fmt: skip
"""BS 84, core diameter in inches = D - 1.280654/n."""

PIPE = {
    "G 1/8": (9.728, 8.566), "G 1/4": (13.157, 11.445), "G 3/8": (16.662, 14.950), "G 1/2": (20.955, 18.631),
    "G 3/4": (26.441, 24.117), "G 1": (33.249, 30.291),
}  # fmt: skip
"""ISO 228-1, major and minor diameter in mm: they differ by 1.280654 P."""


@pytest.mark.parametrize("size", METRIC)
def test_coarse_metric(size: str) -> None:
    found = parse_thread(size)
    area = math.pi / 4 * (float(found.size_mm) - 0.9382 * float(found.pitch_mm)) ** 2
    assert float(f"{area:.3g}") == pytest.approx(METRIC[size], rel=0.004)


@pytest.mark.parametrize(("family", "size"), [(f, size) for f, table in UNIFIED.items() for size in table])
def test_unified(family: str, size: str) -> None:
    found = parse_thread(f"{size} {family}")
    major, pitch = (float(each / MM_PER_IN) for each in (found.size_mm, found.pitch_mm))
    assert math.pi / 4 * (major - 0.9743 * pitch) ** 2 == pytest.approx(UNIFIED[family][size], rel=0.004)


@pytest.mark.parametrize(("family", "size"), [(f, size) for f, table in WHITWORTH.items() for size in table])
def test_whitworth(family: str, size: str) -> None:
    found = parse_thread(f"{size} {family}")
    major, pitch = (float(each / MM_PER_IN) for each in (found.size_mm, found.pitch_mm))
    assert major - 1.280654 * pitch == pytest.approx(WHITWORTH[family][size], abs=0.00012)


@pytest.mark.parametrize("size", PIPE)
def test_pipe(size: str) -> None:
    major, minor = PIPE[size]
    assert float(parse_thread(size).pitch_mm) * 1.280654 == pytest.approx(major - minor, abs=0.0015)
