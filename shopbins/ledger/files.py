"""Everything the ledger asks of the disk, in one place, so that tests can make each call fail.

A handle is a file descriptor. Every method raises OSError as the call beneath it does.
"""

# This is the layer that deals in descriptors and the system's own calls.
# ruff: noqa: PTH102, PTH105, PTH108, PTH110, PTH112, PTH116, PTH120, PTH123
from __future__ import annotations

import os

from shopbins.ledger.locking import KernelLock

# What /proc/mounts calls file systems on another machine.
NETWORK_KINDS = frozenset(
    {
        *("nfs", "nfs3", "nfs4", "cifs", "smb", "smb2", "smb3", "smbfs", "afs", "ncpfs", "ceph", "glusterfs"),
        *("lustre", "gpfs", "davfs", "fuse.sshfs", "fuse.davfs2", "fuse.rclone", "fuse.glusterfs"),
    }
)


class Files:
    """The real disk."""

    def exists(self, path: str) -> bool:
        """Tell whether there is such a file or folder."""
        return os.path.lexists(path)

    def is_no_folder(self, path: str) -> bool:
        """Tell whether there is something that is not a folder."""
        return os.path.exists(path) and not os.path.isdir(path)

    def make_folder(self, path: str) -> None:
        """Make a folder and those above it, durably."""
        parent = os.path.dirname(path)
        if os.path.isdir(path):
            return
        if parent and not os.path.isdir(parent):
            self.make_folder(parent)
        os.mkdir(path)
        self.sync_folder(parent or ".")

    def open(self, path: str, *, write: bool) -> int:
        """Open an existing file, with `write` for changing too."""
        flags = os.O_RDWR if write else os.O_RDONLY
        return os.open(path, flags | getattr(os, "O_BINARY", 0))

    def create(self, path: str) -> int:
        """Create an empty file, or empty it."""
        return os.open(path, os.O_RDWR | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0), 0o666)

    def close(self, handle: int) -> None:
        """Close a handle."""
        os.close(handle)

    def size(self, handle: int) -> int:
        """Return the length of an open file in bytes.

        Not by stat: since Linux 6.13 a file whose times were asked for gets new, finer ones at its next
        write, and the flush after that takes a third longer.
        """
        return os.lseek(handle, 0, os.SEEK_END)

    def identity(self, path: str) -> tuple[int, int]:
        """Return what tells a file from another put in its place."""
        found = os.stat(path)
        return found.st_dev, found.st_ino

    def names_changed_ns(self, folder: str) -> int:
        """Return when a name in a folder was last made, replaced or removed, in ns of the system's clock."""
        return os.stat(folder).st_mtime_ns

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

    def remove(self, path: str) -> None:
        """Remove a file."""
        os.unlink(path)

    def sync_folder(self, path: str) -> None:
        """Return when the folder's names are on the disk (where a folder can be opened at all)."""
        if os.name == "nt":
            return
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

    def lock(self, path: str, holder: str, timeout_s: float) -> KernelLock:
        """Return a lock between processes, to be held by `with`."""
        return KernelLock(path, holder, timeout_s)

    def network_kind(self, path: str) -> str | None:
        """Return the kind of network file system a folder lies on, None if local or not to be known."""
        try:
            with open("/proc/mounts", encoding="utf-8", errors="replace") as mounts:
                return network_kind_in(mounts.read(), os.path.realpath(path))
        except OSError:
            return None


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
