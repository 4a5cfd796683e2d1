"""Two people changed one text: both changes, or the line where they meet."""

from __future__ import annotations

import difflib


class BothChanged(Exception):  # noqa: N818 - it is an answer
    """Both changed the same line; `line` counts from 1 in what both began with."""

    def __init__(self, line: int) -> None:
        super().__init__(f"line {line} was changed by somebody else too")
        self.line = line


Hunk = tuple[int, int, list[str]]


def merged(base: str, ours: str, theirs: str) -> str:
    """Return `theirs` with what changed from `base` to `ours`; raises BothChanged."""
    if theirs == base or ours == theirs:
        return ours
    if ours == base:
        return theirs
    lines = base.splitlines(keepends=True)
    hunks = [
        (start, end, who, new)
        for who, text in enumerate((ours, theirs))
        for start, end, new in _hunks(lines, text.splitlines(keepends=True))
    ]
    out: list[str] = []
    at, last_end, last_who = 0, -1, -1
    last: Hunk = (-1, -1, [])
    for start, end, who, new in sorted(hunks):
        if who != last_who and start <= last_end:  # the same line, or both put something at one place
            if (start, end, new) == last:
                continue
            raise BothChanged(start + 1)
        out += [*lines[at:start], *new]
        at, last_end, last_who, last = end, end, who, (start, end, new)
    return "".join([*out, *lines[at:]])


def _hunks(old: list[str], new: list[str]) -> list[Hunk]:
    """Return what changed as (from, to, new lines); all that is the same at both ends is cut off first."""
    head, most = 0, min(len(old), len(new))
    while head < most and old[head] == new[head]:
        head += 1
    foot = 0
    while foot < most - head and old[-1 - foot] == new[-1 - foot]:
        foot += 1
    a, b = old[head : len(old) - foot], new[head : len(new) - foot]
    found = difflib.SequenceMatcher(None, a, b, autojunk=len(a) > 2000).get_opcodes()
    return [(head + i, head + j, b[k:m]) for tag, i, j, k, m in found if tag != "equal"]
