"""The arguments of one call, as argparse read them."""

from argparse import Namespace as Arguments

__all__ = ["Arguments"]
