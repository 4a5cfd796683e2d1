"""Segments that cross at so small an angle that their float cross product is zero."""

from __future__ import annotations

from shopbins.geometry.segments import meet


def test_a_crossing_at_a_vanishing_angle_is_found_on_both() -> None:
    """Found by turning a whole shop: a box's side along a walkway's edge divided by zero."""
    p0, p1 = (-4647.652298758184, -13376.529701881918), (-4871.5745862379645, -12608.507039996333)
    q0, q1 = (-3360.099145749442, -17792.660007724044), (-6159.127739246706, -8192.376734154208)
    at = meet(p0, p1, q0, q1)
    assert at is not None
    assert p1[0] <= at[0] <= p0[0]
    assert p0[1] <= at[1] <= p1[1]
