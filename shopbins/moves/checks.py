"""Every check of a move there is: this list is the registry (docs/moves.md names each)."""

from __future__ import annotations

from shopbins.moves.doorway import DOOR, SILL
from shopbins.moves.finding import Check
from shopbins.moves.fitted import BALANCE, HOLDS, SCOPE, UNDER
from shopbins.moves.floorload import AREA, POINT
from shopbins.moves.force import FORCE, RUNS
from shopbins.moves.headroom import HEADROOM
from shopbins.moves.supports import STANDS

CHECKS: tuple[Check, ...] = (
    UNDER,
    HOLDS,
    BALANCE,
    SCOPE,
    STANDS,
    FORCE,
    RUNS,
    AREA,
    POINT,
    DOOR,
    SILL,
    HEADROOM,
)
