"""Everything the ledger asks of the disk, in one place, so that tests can make each call fail.

A handle is a file descriptor. Every method raises OSError as the call beneath it does.
"""

# This is the layer that deals in descriptors and the system's own calls.
# ruff: noqa: ARG002, PTH102, PTH103, PTH105, PTH108, PTH110, PTH112, PTH114, PTH116, PTH120, PTH123, PTH208
from __future__ import annotations

import contextlib
import errno
import os
import stat
import time

from shopbins.ledger.locking import KernelLock, hold, let_go, mode_in, share
from shopbins.outputs import sync_folder

# What /proc/mounts calls file systems on another machine.
NETWORK_KINDS = frozenset(
    {
        *("nfs", "nfs3", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "afs", "ncpfs", "ceph", "glusterfs"),
        *("lustre", "gpfs", "davfs", "fuse.sshfs", "fuse.davfs2", "fuse.rclone", "fuse.glusterfs"),
    }
)

BINARY = getattr(os, "O_BINARY", 0)
NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | BINARY
"""A link is not followed, and a pipe that lies there is not waited for."""

NO_HARD_LINKS = frozenset((errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EOPNOTSUPP, errno.EMLINK))


class Files:
    """The real disk."""

    def exists(self, path: str) -> bool:
        """Tell whether there is such a file or folder."""
        return os.path.lexists(path)

    def is_no_folder(self, path: str) -> bool:
        """Tell whether there is something that is not a folder."""
        return os.path.exists(path) and not os.path.isdir(path)

    def wait(self, seconds: float) -> None:
        """Let others go on for a while."""
        time.sleep(seconds)

    def listed(self, folder: str) -> list[str]:
        """Return the names in a folder."""
        return os.listdir(folder)

    def make_folder(self, path: str) -> None:
        """Make a folder for its owner and group, and those above it, durably."""
        parent = os.path.dirname(path)
        if os.path.isdir(path):
            return
        if parent and not os.path.isdir(parent):
            os.makedirs(parent)
        os.mkdir(path, 0o770)
        self.sync_folder(parent or ".")

    def open(self, path: str, *, write: bool) -> int:
        """Open an existing file, with `write` for changing too; a link or what is no file is refused."""
        if os.path.islink(path):
            raise OSError(errno.ELOOP, "is a link, not the file itself")
        handle = os.open(path, (os.O_RDWR if write else os.O_RDONLY) | NO_LINK)
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            os.close(handle)
            raise OSError(errno.EINVAL, "is no ordinary file")
        return handle

    def create(self, path: str) -> int:
        """Create an empty file in place of what has that name, readable as its folder is (`mode_in`)."""
        with contextlib.suppress(FileNotFoundError):
            os.unlink(path)
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | NO_LINK, 0o600)
        allow(handle, mode_in(os.path.dirname(path)))
        return handle

    def close(self, handle: int) -> None:
        """Close a handle."""
        os.close(handle)

    def size(self, handle: int) -> int:
        """Return the length of an open file in bytes.

        Not by stat: since Linux 6.13 a file whose times were asked for gets new, finer ones at its next
        write, and the flush after that takes a third longer.
        """
        return os.lseek(handle, 0, os.SEEK_END)

    def one_name(self, handle: int) -> bool:
        """Tell whether an open file has no other name: what is written to it lands nowhere else."""
        return os.fstat(handle).st_nlink <= 1

    def identity(self, path: str) -> tuple[int, int]:
        """Return what tells a file from another put in its place."""
        found = os.stat(path)
        return found.st_dev, found.st_ino

    def identity_of(self, handle: int) -> tuple[int, int]:
        """Return the same of an open file, whatever its name is by now."""
        found = os.fstat(handle)
        return found.st_dev, found.st_ino

    def stamp(self, path: str) -> tuple[int, ...] | None:
        """Return what differs once a file was exchanged or written to, None where there is none."""
        try:
            found = os.stat(path)
        except OSError:
            return None
        return found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns

    def names_changed(self, folder: str) -> tuple[int, ...]:
        """Return what differs once the folder is another, or a name in it was made, replaced or removed.

        The last is when that was, in ns of the system's clock; that cannot be set back, as copiers do to the
        time beside it.
        """
        found = os.stat(folder)
        return found.st_dev, found.st_ino, found.st_mtime_ns, found.st_ctime_ns

    def read(self, handle: int, start: int, length: int) -> bytes:
        """Read `length` bytes from `start`, fewer at the end of the file."""
        parts = []
        while length > 0:
            part: bytes = _pread(handle, min(length, 1 << 30), start)
            if not part:
                break
            parts.append(part)
            start += len(part)
            length -= len(part)
        return parts[0] if len(parts) == 1 else b"".join(parts)

    def write(self, handle: int, data: bytes, start: int) -> int:
        """Write some of `data` at `start`, return how many bytes were."""
        written: int = _pwrite(handle, data, start)
        return written

    def truncate(self, handle: int, size: int) -> None:
        """Cut a file to `size` bytes."""
        os.ftruncate(handle, size)

    def sync(self, handle: int) -> None:
        """Return when the file's data and length are on the disk."""
        getattr(os, "fdatasync", os.fsync)(handle)

    def replace(self, source: str, target: str) -> None:
        """Put a file in another's place, at once and whole."""
        os.replace(source, target)

    def put_new(self, source: str, target: str) -> None:
        """Give a file its name, FileExistsError where another has it, and take its old name away."""
        try:
            os.link(source, target)
        except OSError as error:
            if error.errno not in NO_HARD_LINKS:
                raise
            if os.path.lexists(target):
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), target) from None
            os.replace(source, target)
        else:
            os.unlink(source)

    def remove(self, path: str) -> None:
        """Remove a file."""
        os.unlink(path)

    def sync_folder(self, path: str) -> None:
        """Return when the folder's names are on the disk (where a folder can be opened at all)."""
        sync_folder(path)

    def lock(self, path: str, holder: str, timeout_s: float) -> KernelLock:
        """Return a lock between processes, to be held by `with`."""
        return KernelLock(path, holder, timeout_s)

    def hold(self, handle: int, timeout_s: float) -> bool:
        """Hold an open file for this program alone; False where another did not let go of it in time."""
        return hold(handle, timeout_s)

    def let_go(self, handle: int) -> None:
        """Let others hold an open file."""
        let_go(handle)

    def be_at(self, folder: str) -> int:
        """Let others see that this program has a folder open, until `leave`; -1 where that cannot be."""
        try:
            handle = os.open(folder, os.O_RDONLY)
        except OSError:
            return -1
        share(handle)
        return handle

    def leave(self, handle: int) -> None:
        """Take back what `be_at` gave."""
        if handle >= 0:
            os.close(handle)

    def others_at(self, folder: str) -> bool:
        """Tell whether another program has a folder open, as far as that can be seen here."""
        try:
            handle = os.open(folder, os.O_RDONLY)
        except OSError:
            return False
        try:
            return not hold(handle, 0)
        except OSError:
            return False
        finally:
            os.close(handle)

    def network_kind(self, path: str) -> str | None:
        """Return the kind of network file system a folder lies on, None if local or not to be known."""
        try:
            with open("/proc/mounts", encoding="utf-8", errors="replace") as mounts:
                return network_kind_in(mounts.read(), os.path.realpath(path))
        except OSError:
            return None


class Saved(Files):
    """One file in memory, to be read: what could be saved of a damaged one."""

    def __init__(self, data: bytes) -> None:
        self._data = data

    def exists(self, path: str) -> bool:
        """Tell that there is just the one."""
        return path.endswith("/journal.log")

    def open(self, path: str, *, write: bool) -> int:
        """Open it; a change of it is refused."""
        if write or not self.exists(path):
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), path)
        return 0

    def close(self, handle: int) -> None:
        """Close nothing."""

    def size(self, handle: int) -> int:
        """Return its length."""
        return len(self._data)

    def identity(self, path: str) -> tuple[int, int]:
        """Return the same always."""
        return 0, 0

    def identity_of(self, handle: int) -> tuple[int, int]:
        """Return the same always."""
        return 0, 0

    def names_changed(self, folder: str) -> tuple[int, ...]:
        """Return the same always."""
        return (0,)

    def read(self, handle: int, start: int, length: int) -> bytes:
        """Read from memory."""
        return self._data[start : start + length]


def read_plain(path: str | os.PathLike[str], most: int) -> bytes:
    """Return the bytes of an ordinary file; OSError for a link, a pipe, a device, more than `most`."""
    files = Files()
    handle = files.open(os.fspath(path), write=False)
    try:
        if files.size(handle) > most:
            raise OSError(errno.EFBIG, f"is larger than {most} bytes")
        return files.read(handle, 0, most)
    finally:
        files.close(handle)


def write_cache(path: str, data: bytes) -> None:
    """Put a small file in its place, whole but not durably, where the disk takes it."""
    files = Files()
    beside = f"{os.path.dirname(path)}/.{os.path.basename(path)}.{os.getpid()}"  # noqa: PTH119
    with contextlib.suppress(OSError):
        try:
            handle = files.create(beside)
            try:
                write_all(files, handle, data)
            finally:
                files.close(handle)
            files.replace(beside, path)
        except OSError:
            files.remove(beside)


def allow(handle: int, mode: int) -> None:
    """Set how an open file may be read, where the disk knows of that."""
    if hasattr(os, "fchmod"):
        with contextlib.suppress(OSError):
            os.fchmod(handle, mode)


def network_kind_in(mounts: str, path: str) -> str | None:
    """Return the kind of network file system, by a text like /proc/mounts, that a real path lies on."""
    kind, longest = "", -1
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        point = fields[1].replace("\\040", " ").rstrip("/")
        if len(point) >= longest and (path + "/").startswith(point + "/"):
            kind, longest = fields[2], len(point)
    return kind if kind in NETWORK_KINDS else None


def _seek_and_read(handle: int, length: int, start: int) -> bytes:
    os.lseek(handle, start, os.SEEK_SET)
    return os.read(handle, length)


def _seek_and_write(handle: int, data: bytes, start: int) -> int:
    os.lseek(handle, start, os.SEEK_SET)
    return os.write(handle, data)


_pread = getattr(os, "pread", _seek_and_read)
_pwrite = getattr(os, "pwrite", _seek_and_write)


def write_all(files: Files, handle: int, data: bytes, start: int = 0) -> None:
    """Write all of `data` at `start`, however little the system takes at a time."""
    written = files.write(handle, data, start)
    while written < len(data):
        step = files.write(handle, data[written:], start + written)
        if step <= 0:
            raise OSError("the disk takes no more")
        written += step
