"""The shop as described: model, reading of the YAML, problems with line and column."""

from shopbins.shop.problems import Problem, ShopProblems
from shopbins.shop.reader import check, parse, read

__all__ = ["Problem", "ShopProblems", "check", "parse", "read"]
