"""Straight to a printer through the system's own print command, where there is one (`lp`, else `lpr`)."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from shopbins.tags import NotWritten, TagError
from shopbins.tags.layout import MM_PER_INCH, Layout

PATIENCE_S = 20.0
PAPERS = {(210, 297): "A4", (297, 210): "A4", (216, 279): "Letter", (279, 216): "Letter", (210, 148): "A5"}


def print_command() -> str | None:
    """Return the print command there is: 'lp', 'lpr', or None."""
    return next((name for name in ("lp", "lpr") if shutil.which(name)), None)


def printers() -> tuple[list[str], str]:
    """Return the printers' names, the default first, and what is wrong where they cannot be listed."""
    if print_command() is None:
        return [], "there is no print command (lp or lpr) on this computer; print the PDF instead"
    if shutil.which("lpstat") is None:
        return [], "the printers cannot be listed (no lpstat); the system's own choice is used"
    status, listed = _ran(["lpstat", "-e"])
    if status:
        return [], f"the printers cannot be listed: {listed or 'lpstat failed'}"
    names = [line.split()[0] for line in listed.splitlines() if line.split()]
    status, said = _ran(["lpstat", "-d"])
    usual = said.rpartition(":")[2].strip() if not status and ":" in said else ""
    names.sort(key=lambda name: name != usual)
    return names, "" if names else "there are no printers on this computer"


def send(data: bytes, layout: Layout, printer: str = "") -> str:
    """Send a PDF to a printer ('' the system's own choice) at its true size; return what the command said."""
    command = print_command()
    if command is None:
        raise TagError("there is no print command (lp or lpr) on this computer; print the PDF instead")
    if printer.startswith("-") or not printer.isprintable():
        raise TagError(f"{printer!r} is no printer's name")
    known, _ = printers()
    if printer and known and printer not in known:
        raise TagError(f"no printer called {printer!r} (there are {', '.join(known)})")
    with tempfile.TemporaryDirectory(prefix="shopbins-") as folder:
        path = Path(folder) / "tags.pdf"
        try:
            path.write_bytes(data)
        except OSError as error:
            raise NotWritten(f"{path}: not written: {error.strerror or error}") from None
        status, said = _ran([*_words(command, layout, printer), str(path)])
    if status:
        raise NotWritten(f"not printed: {said or command + ' failed'}")
    return said


def _words(command: str, layout: Layout, printer: str) -> list[str]:
    """Return the command's words: nothing scaled, and the paper named where its size has a name."""
    words = [command]
    if printer:
        words += ["-d" if command == "lp" else "-P", printer]
    for option in ("print-scaling=none", f"media={_paper(layout)}"):
        words += ["-o", option]
    return words


def _paper(layout: Layout) -> str:
    width, height = (round(each) for each in layout.sheet_mm)
    named = PAPERS.get((width, height))
    if named is not None:
        return named
    points = [f"{each / MM_PER_INCH * 72:.1f}" for each in layout.sheet_mm]
    return f"Custom.{points[0]}x{points[1]}"


def _ran(words: Sequence[str]) -> tuple[int, str]:
    """Run a command without a shell; return its status and the first line of what it said."""
    try:
        done = subprocess.run(
            list(words), capture_output=True, text=True, errors="replace", timeout=PATIENCE_S, check=False,
            stdin=subprocess.DEVNULL,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return 1, f"{words[0]} did not answer within {PATIENCE_S:g} s"
    except OSError as error:
        return 1, f"{words[0]}: {error.strerror or error}"
    if done.returncode:
        return done.returncode, " ".join((done.stderr or done.stdout).split())[:300]
    return 0, done.stdout.strip()
