"""Codes as printed labels: layouts, symbols, drawing. Labels go in, a PDF comes out; nothing is recorded."""

from __future__ import annotations


class TagError(Exception):
    """What stands against printing, one problem a line; nothing was written."""

    def __init__(self, *problems: str) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems
