"""Codes as printed labels: layouts, symbols, drawing. Labels go in, files come out; nothing is recorded."""

from __future__ import annotations


class TagError(Exception):
    """What stands against printing, one problem a line; nothing was written."""

    def __init__(self, *problems: str) -> None:
        super().__init__(*problems)
        self.problems = problems

    def __str__(self) -> str:
        """Return the problems, one a line."""
        return "\n".join(self.problems)


class NotWritten(TagError):  # noqa: N818  (it is about a file, not the program)
    """The file could not be written or the printer did not take it: a matter of the disk, not of the tags."""
