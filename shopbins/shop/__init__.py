"""The shop as described: model, reading of the YAML, problems with line and column."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from shopbins.shop.problems import Problem, ShopProblems

if TYPE_CHECKING:
    from shopbins.shop.reader import check, parse, read

__all__ = ["Problem", "ShopProblems", "check", "parse", "read"]


def __getattr__(name: str) -> Any:
    """Load the reader, and with it the YAML library, when something is to be read."""
    if name in ("check", "parse", "read"):
        from shopbins.shop import reader

        return getattr(reader, name)
    raise AttributeError(name)
