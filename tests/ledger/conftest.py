"""A disk in memory that forgets, when it crashes, what was never flushed."""

from __future__ import annotations

import contextlib
import random
from typing import Any

import pytest

from shopbins.ledger.files import Files


class Crash(BaseException):
    """The power went; not an Exception, as no program hears of it."""


class Node:
    """A file: what programs see, what is flushed, and the steps between the two."""

    def __init__(self, number: int, data: bytes = b"") -> None:
        self.number = number
        self.data = bytearray(data)
        self.flushed = bytes(data)
        self.steps: list[tuple[str, Any]] = []

    def do(self, step: tuple[str, Any]) -> None:
        """Take one step, not flushed yet."""
        self.steps.append(step)
        apply(self.data, step)


def apply(data: bytearray, step: tuple[str, Any]) -> None:
    """Carry a step out on some bytes."""
    if step[0] == "write":
        start, written = step[1]
        data.extend(bytes(max(start - len(data), 0)))
        data[start : start + len(written)] = written
    else:
        del data[step[1] :]


def _holed(step: tuple[str, Any], luck: random.Random, kind: str) -> tuple[str, Any]:
    """Return a write with zeros where the disk did not get to."""
    if step[0] != "write" or kind == "most":
        return step
    start, written = step[1]
    first, last = sorted(luck.choices(range(len(written) + 1), k=2)) if kind == "holes" else (0, len(written))
    return "write", (start, written[:first] + bytes(last - first) + written[last:])


class NoLock(contextlib.nullcontext[None]):
    """A lock nobody else asks for."""

    beside = ""

    def close(self) -> None:
        """Let nothing go."""


class MemoryDisk(Files):
    """Files in memory. `crash_at` is the number of the changing call at which the power goes."""

    def __init__(self, crash_at: int | None = None) -> None:
        self.crash_at = crash_at
        self.calls = 0
        self.nodes = 0
        self.names: dict[str, Node] = {}
        self.flushed_names: dict[str, Node] = {}
        self.name_steps: list[tuple[str, Node | None]] = []
        self.handles: dict[int, Node] = {}

    def _count(self) -> None:
        self.calls += 1
        if self.crash_at is not None and self.calls >= self.crash_at:
            raise Crash

    def put(self, path: str, data: bytes) -> None:
        """Have a file on the disk, flushed."""
        self.nodes += 1
        self.names[path] = self.flushed_names[path] = Node(self.nodes, data)

    def get(self, path: str) -> bytes:
        """Return a file's bytes."""
        return bytes(self.names[path].data)

    def after_crash(self, luck: random.Random, kind: str) -> MemoryDisk:
        """Return the disk as found after the crash.

        `kind`: 'least' (only what was flushed), 'most' (everything), 'some' (up to some step, the last write
        perhaps in part), 'zeros' (lengths are kept, bytes not flushed are zero), 'holes' (each write not
        flushed has a piece of zeros in it).
        """
        found = MemoryDisk()
        names = dict(self.flushed_names)
        keep = {"least": 0, "some": luck.randint(0, len(self.name_steps))}.get(kind, len(self.name_steps))
        for name, node in self.name_steps[:keep]:
            if node is None:
                names.pop(name, None)
            else:
                names[name] = node
        for name, node in names.items():
            found.put(name, self._survived(node, luck, kind))
        return found

    def _survived(self, node: Node, luck: random.Random, kind: str) -> bytes:
        data = bytearray(node.flushed)
        if kind in ("most", "zeros", "holes"):
            for step in node.steps:
                apply(data, _holed(step, luck, kind))
        elif kind == "some":
            keep = luck.randint(0, len(node.steps))
            for step in node.steps[:keep]:
                apply(data, step)
            if keep < len(node.steps) and node.steps[keep][0] == "write":
                start, written = node.steps[keep][1]
                apply(data, ("write", (start, written[: luck.randint(0, len(written))])))
        return bytes(data)

    # -- what the ledger calls

    def exists(self, path: str) -> bool:
        return path in self.names or any(name.startswith(f"{path}/") for name in self.names)

    def is_no_folder(self, path: str) -> bool:
        return path in self.names

    def make_folder(self, path: str) -> None:
        pass

    def open(self, path: str, *, write: bool) -> int:
        if path not in self.names:
            raise FileNotFoundError(2, "No such file or directory")
        return self._handle(self.names[path])

    def create(self, path: str) -> int:
        self._count()
        self.nodes += 1
        node = self.names[path] = Node(self.nodes)
        self.name_steps.append((path, node))
        return self._handle(node)

    def _handle(self, node: Node) -> int:
        handle = len(self.handles) + 1
        self.handles[handle] = node
        return handle

    def close(self, handle: int) -> None:
        pass

    def size(self, handle: int) -> int:
        return len(self.handles[handle].data)

    def one_name(self, handle: int) -> bool:
        return True

    def identity(self, path: str) -> tuple[int, int]:
        if path not in self.names:
            raise FileNotFoundError(2, "No such file or directory")
        return 0, self.names[path].number

    def identity_of(self, handle: int) -> tuple[int, int]:
        return 0, self.handles[handle].number

    def names_changed(self, folder: str) -> tuple[int, ...]:
        return (sum(node.number for node in self.names.values()),)

    def stamp(self, path: str) -> tuple[int, ...] | None:
        node = self.names.get(path)
        return None if node is None else (node.number, len(node.data))

    def listed(self, folder: str) -> list[str]:
        return [name.removeprefix(f"{folder}/") for name in self.names if name.startswith(f"{folder}/")]

    def wait(self, seconds: float) -> None:
        pass

    def hold(self, handle: int, timeout_s: float) -> bool:
        return True

    def let_go(self, handle: int) -> None:
        pass

    def put_new(self, source: str, target: str) -> None:
        if target in self.names:
            raise FileExistsError(17, "File exists")
        self.replace(source, target)

    def read(self, handle: int, start: int, length: int) -> bytes:
        return bytes(self.handles[handle].data[start : start + length])

    def write(self, handle: int, data: bytes, start: int) -> int:
        self._count()
        self.handles[handle].do(("write", (start, bytes(data))))
        return len(data)

    def truncate(self, handle: int, size: int) -> None:
        self._count()
        self.handles[handle].do(("cut", size))

    def sync(self, handle: int) -> None:
        self._count()
        node = self.handles[handle]
        node.flushed = bytes(node.data)
        node.steps.clear()

    def replace(self, source: str, target: str) -> None:
        self._count()
        node = self.names[target] = self.names.pop(source)
        self.name_steps += [(target, node), (source, None)]

    def remove(self, path: str) -> None:
        self._count()
        del self.names[path]
        self.name_steps.append((path, None))

    def sync_folder(self, path: str) -> None:
        self._count()
        self.flushed_names = dict(self.names)
        self.name_steps.clear()

    def lock(self, path: str, holder: str, timeout_s: float) -> NoLock:
        return NoLock()

    def network_kind(self, path: str) -> str | None:
        return None


@pytest.fixture(scope="session")
def memory_disk() -> type[MemoryDisk]:
    """The class of a disk in memory."""
    return MemoryDisk


@pytest.fixture(scope="session")
def crash() -> type[Crash]:
    """What a MemoryDisk raises when the power goes."""
    return Crash
