"""Keyboard-driven keeping of a machine's parts in a workshop too small for it."""

__version__ = "0.1.0"
