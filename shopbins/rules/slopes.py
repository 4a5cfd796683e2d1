"""How steep a floor may be before a thing on good wheels rolls by itself."""

from __future__ import annotations

from typing import TypeGuard

from shopbins.shop.model import Slope

SLOPING = 1 / 50
"""On what is steeper a thing on good wheels rolls by itself: 2 % of rolling resistance (HSE L23), derived."""


def is_steep(slope: Slope | None) -> TypeGuard[Slope]:
    """Tell whether a floor falls so much that a thing on good wheels rolls by itself."""
    return slope is not None and slope.fall > SLOPING
