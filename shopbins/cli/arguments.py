"""The arguments of one call, as argparse read them; and the error that they cannot be understood."""

from argparse import Namespace as Arguments

__all__ = ["Arguments", "UsageError"]


class UsageError(Exception):
    """A command line that cannot be understood: exit status 64."""

    exit_status = 64
