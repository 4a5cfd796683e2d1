"""Every byte is written, however little the disk takes at a time; and which disk is a network's."""

from __future__ import annotations

import pytest

from shopbins.ledger.files import Files, network_kind_in, write_all


class Slow(Files):
    """A disk that takes a few bytes at a time, then no more."""

    def __init__(self, step: int, room: int) -> None:
        self.kept, self.step, self.room = bytearray(20), step, room
        self.writes = 0

    def write(self, handle: int, data: bytes, start: int = 0) -> int:
        taken = min(self.step, len(data), max(0, self.room - start))
        self.kept[start : start + taken] = data[:taken]
        self.writes += 1
        assert self.writes < 50
        return taken


@pytest.mark.parametrize(("step", "writes"), [(1, 10), (3, 4), (5, 2), (10, 1), (99, 1)])
@pytest.mark.parametrize("start", [0, 7])
def test_all_is_written_and_nothing_asked_for_once_more(step: int, writes: int, start: int) -> None:
    disk = Slow(step, 20)
    write_all(disk, 3, b"0123456789", start)
    assert disk.kept[start : start + 10] == b"0123456789" and disk.writes == writes
    write_all(disk, 3, b"", start)
    assert disk.writes == writes + 1


@pytest.mark.parametrize("room", [0, 4, 9])
def test_a_disk_that_takes_no_more_is_a_problem(room: int) -> None:
    with pytest.raises(OSError, match="no more"):
        write_all(Slow(2, room), 3, b"0123456789")


MOUNTS = """\
/dev/sda1 / ext4 rw 0 0
server:/home /mnt/the\\040shop nfs4 rw 0 0
broken
/dev/sdb1 /mnt/the\\040shop/local ext4 rw 0 0
//pc/share /mnt/share cifs rw 0 0
/dev/sdc1 /mnt/share ext4 rw 0 0
"""


@pytest.mark.parametrize(("path", "kind"), [
    ("/home/x", None), ("/mnt/the shop", "nfs4"), ("/mnt/the shop/a", "nfs4"), ("/mnt/the shopping", None),
    ("/mnt/the shop/local/b", None), ("/mnt/share/c", None),
])  # fmt: skip
def test_the_innermost_and_last_mount_says_whether_a_path_is_on_a_network(
    path: str, kind: str | None
) -> None:
    assert network_kind_in(MOUNTS, path) == kind
