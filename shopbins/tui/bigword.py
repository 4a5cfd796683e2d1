"""A word in letters three lines high, to be read from the other end of the bench."""

from __future__ import annotations

from functools import lru_cache

# Five rows of each letter, '#' set. Wide enough to be told apart, narrow enough for ten in 80 columns.
LETTERS = {
    "A": (" ## ", "#  #", "####", "#  #", "#  #"),
    "B": ("### ", "#  #", "### ", "#  #", "### "),
    "C": (" ###", "#   ", "#   ", "#   ", " ###"),
    "D": ("### ", "#  #", "#  #", "#  #", "### "),
    "E": ("####", "#   ", "### ", "#   ", "####"),
    "F": ("####", "#   ", "### ", "#   ", "#   "),
    "G": (" ###", "#   ", "# ##", "#  #", " ###"),
    "H": ("#  #", "#  #", "####", "#  #", "#  #"),
    "I": ("###", " # ", " # ", " # ", "###"),
    "J": ("  ##", "   #", "   #", "#  #", " ## "),
    "K": ("#  #", "# # ", "##  ", "# # ", "#  #"),
    "L": ("#   ", "#   ", "#   ", "#   ", "####"),
    "M": ("#   #", "## ##", "# # #", "#   #", "#   #"),
    "N": ("#   #", "##  #", "# # #", "#  ##", "#   #"),
    "O": (" ## ", "#  #", "#  #", "#  #", " ## "),
    "P": ("### ", "#  #", "### ", "#   ", "#   "),
    "Q": (" ## ", "#  #", "#  #", "# ##", " ###"),
    "R": ("### ", "#  #", "### ", "# # ", "#  #"),
    "S": (" ###", "#   ", " ## ", "   #", "### "),
    "T": ("#####", "  #  ", "  #  ", "  #  ", "  #  "),
    "U": ("#  #", "#  #", "#  #", "#  #", " ## "),
    "V": ("#   #", "#   #", " # # ", " # # ", "  #  "),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
    "X": ("#   #", " # # ", "  #  ", " # # ", "#   #"),
    "Y": ("#   #", " # # ", "  #  ", "  #  ", "  #  "),
    "Z": ("####", "  # ", " #  ", "#   ", "####"),
    " ": ("   ", "   ", "   ", "   ", "   "),
}
CELLS = {("#", "#"): "█", ("#", " "): "▀", (" ", "#"): "▄", (" ", " "): " "}


@lru_cache(maxsize=64)
def big_word(text: str) -> str:
    """Return a word as three lines of blocks; what has no letter here is left out."""
    rows = [" ".join(LETTERS[each][row] for each in text.upper() if each in LETTERS) for row in range(5)]
    rows.append(" " * len(rows[0]))
    return "\n".join(
        "".join(CELLS[pair] for pair in zip(above, below, strict=True)).rstrip()
        for above, below in zip(rows[0::2], rows[1::2], strict=True)
    )
