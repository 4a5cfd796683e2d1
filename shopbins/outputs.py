"""The one way a file is written for somebody: whole or not at all, and never over the shop file or a ledger.

It is written beside its place under a name nobody can have prepared, made durable, and renamed. A link of the
name asked for is replaced, not followed; a file that was there keeps its permissions; what a killed program
left of an earlier try is cleared. Everything that is refused or fails is an OSError with the name asked for.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

_LABELS = ".ledger.labels"
_MARK = rb"\S{1,64} [0-9]{12} [0-9a-f]{32} [0-9]{15} [0-9a-f]{16}\n"
_JOURNAL, _FIRST_LINE = "journal.log", b' {"format":"shopbins journal"'
_MADE_BY_SYSTEM = ("dev", "proc")
_kept: set[Path] = set()


def keep_off(*paths: Path) -> None:
    """Keep every output of this program off these files and out of these folders (a shop, its ledger)."""
    _kept.update(path.absolute() for path in paths if may_name(path))


def may_name(path: str | os.PathLike[str]) -> bool:
    """Tell whether the system could have a file of this name."""
    try:
        return b"\0" not in os.fsencode(path)
    except UnicodeEncodeError:
        return False


def write_output(path: str | os.PathLike[str], data: bytes) -> None:
    """Write a file; what is no ordinary file (a pipe, /dev/stdout) is written to as it is. Raises OSError."""
    asked = Path(path)
    try:
        check_output(asked)
        if asked.absolute().parts[1] in _MADE_BY_SYSTEM or (asked.exists() and not asked.is_file()):
            with asked.open("wb") as file:
                file.write(data)
        else:
            _write_beside(asked, data)
    except OSError as error:
        # The name that was asked for, not that of the file beside it.
        raise OSError(error.errno, error.strerror or str(error), str(asked)) from None


def check_output(path: str | os.PathLike[str]) -> None:
    """Raise OSError where `write_output` would refuse this name, before anything else is done."""
    asked = Path(path)
    if not asked.name or asked.is_dir():
        raise OSError(errno.EISDIR, "is a folder, not a file", str(asked))
    if not asked.absolute().parent.is_dir():
        raise OSError(errno.ENOENT, os.strerror(errno.ENOENT), str(asked))
    real = asked.resolve()
    by_name = asked.absolute().parent.resolve() / asked.name
    for place in {real, by_name}:
        for folder in place.parents:
            if _is_ledger(folder):
                raise OSError(
                    errno.EPERM, "is in a ledger, which only holds records (choose another place)", str(asked)
                )
    if real.exists() and any(_same(real, each) for each in _protected(real)):
        raise OSError(errno.EPERM, "is the shop file or the ledger's (choose another name)", str(asked))
    if any(each.name.lower().endswith(_LABELS) for each in (asked, real)) or _is_mark(real):
        why = "is where a ledger keeps the highest number on a label (choose another name)"
        raise OSError(errno.EPERM, why, str(asked))
    if real.is_file() and _begins_as_journal(real):
        raise OSError(errno.EPERM, "is a ledger's journal under another name (choose another)", str(asked))
    if real.suffix.lower() in (".yaml", ".yml") and real.exists():
        raise OSError(errno.EPERM, "is there and looks like a shop file (choose another name)", str(asked))


def check_room(path: str | os.PathLike[str]) -> None:
    """Raise OSError where `write_output` would be refused or the folder takes no new file just now."""
    asked = Path(path)
    check_output(asked)
    if asked.exists() and not asked.is_file():
        return
    beside = asked.with_name(f".{asked.name[:100]}.{os.urandom(6).hex()}.part")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0), 0o600)
    try:
        if os.write(handle, bytes(1 << 16)) < 1 << 16:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(asked))
        os.fsync(handle)
    finally:
        os.close(handle)
        beside.unlink()


def sync_folder(folder: str | os.PathLike[str]) -> None:
    """Return when the folder's names are on the disk (where a folder can be opened at all)."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def is_stdout(path: str) -> bool:
    """Tell whether a name is where this program's own words go: what is said after would fall upon it."""
    if path == "-":
        return True
    try:
        return os.path.samestat(os.stat(path), os.fstat(1))  # noqa: PTH116
    except (OSError, ValueError):
        return False


def _is_ledger(folder: Path) -> bool:
    """Tell whether a folder is a ledger: by what its journal begins with, or as this program has it open."""
    if any(_same(folder, each) for each in _kept if each.is_dir()):
        return True
    return _begins_as_journal(folder / _JOURNAL)


def _begins_as_journal(path: Path) -> bool:
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            return False
        with path.open("rb") as file:
            return file.read(32 + len(_FIRST_LINE))[32:] == _FIRST_LINE
    except OSError:
        return False


def _is_mark(path: Path) -> bool:
    """Tell whether this is a ledger's end mark, whatever its name."""
    try:
        if not path.is_file():
            return False
        with path.open("rb") as file:
            return re.fullmatch(_MARK, file.read(256)) is not None
    except OSError:
        return False


def _protected(real: Path) -> list[Path]:
    """Return the files an output must not be, under another name either; a ledger's only for a hard link."""
    files = [each for each in _kept if each.is_file()]
    if real.stat().st_nlink > 1:
        for each in _kept:
            files += [Path(top) / name for top, _, names in os.walk(each) for name in names]
    return files


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def _write_beside(target: Path, data: bytes) -> None:
    _clear_parts(target)
    beside = target.with_name(f".{target.name[:100]}.{os.urandom(6).hex()}.part")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(beside, flags, 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            if fcntl is not None:
                fcntl.flock(handle, fcntl.LOCK_EX)
            _as_before(handle, target)
            file.write(data)
            file.flush()
            os.fsync(handle)
            beside.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
        raise


def _as_before(handle: int, target: Path) -> None:
    """Give the new file the owner and permissions of the one it replaces."""
    with contextlib.suppress(OSError, AttributeError):
        old = target.lstat()
        if stat.S_ISREG(old.st_mode):
            os.fchmod(handle, stat.S_IMODE(old.st_mode) & 0o777)
            os.fchown(handle, old.st_uid, old.st_gid)


def _clear_parts(target: Path) -> None:
    """Remove what killed programs left of this file: nobody holds it any more."""
    if fcntl is None:
        return
    start = f".{target.name[:100]}."
    with contextlib.suppress(OSError):
        for each in target.parent.iterdir():
            if each.name.startswith(start) and each.name.endswith(".part") and not each.is_symlink():
                with contextlib.suppress(OSError), each.open("rb") as file:
                    fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
                    each.unlink()
