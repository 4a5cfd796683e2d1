"""Drawing steps on a real file: saved whole or not at all, merged with what others wrote, taken back to the byte."""

# ruff: noqa: E501
from __future__ import annotations

import errno
import os
import random
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from shopbins.shop.editing import save as saving
from shopbins.shop.editing.drawing import Drawing
from shopbins.shop.editing.merge import BothChanged, merged
from shopbins.shop.editing.save import ChangedMeanwhile, keep_copy, save, tidy
from shopbins.shop.editing.splice import Drop, Put, Rename

TEXT = (
    "# r\r\nshop: A\r\nrooms:\r\n  hall: {at: [0, 0], size: [9000, 6000]}\r\nzones:\r\n"
    "  b: {room: hall, kind: floor, at: [1, 1], size: [5, 5]}   # bee\r\n"
    "  c: {room: hall, kind: floor, at: [20, 1], size: [5, 5]}\r\n"
)
BOM = b"\xef\xbb\xbf"
MOVED = [Put(("zones", "b", "at"), "[7, 7]")]


@pytest.fixture
def drawing(tmp_path: Path) -> Drawing:
    real = tmp_path / "real.yaml"
    real.write_bytes(BOM + TEXT.encode())
    real.chmod(0o640)
    link = tmp_path / "shop.yaml"
    link.symlink_to(real)
    return Drawing(link)


def other_writes(drawing: Drawing, old: bytes, new: bytes) -> None:
    drawing.path.write_bytes(drawing.path.read_bytes().replace(old, new))


def test_saving_keeps_link_mode_and_mark(drawing: Drawing) -> None:
    drawing.do([Put(("zones", "b", "at", 0), "700")])
    assert drawing.unsaved
    drawing.save()
    assert not drawing.unsaved
    assert drawing.path.is_symlink()
    assert oct(drawing.path.stat().st_mode)[-3:] == "640"
    assert drawing.path.read_bytes() == BOM + TEXT.replace("[1, 1]", "[700, 1]").encode()
    assert sorted(each.name for each in drawing.path.parent.iterdir()) == ["real.yaml", "shop.yaml"]


def test_undo_and_redo_to_the_byte(drawing: Drawing) -> None:
    steps = [
        [Drop(("zones", "b"))],
        [Put(("zones", "n"), "{a: 1}")],
        [Rename(("rooms", "hall"), "big"), Put(("zones", "c", "room"), "big")],
    ]
    texts = [drawing.text]
    for step in steps:
        drawing.do(step)
        texts.append(drawing.text)
    for text in reversed(texts[:-1]):
        drawing.take_back()
        assert drawing.text == text
    assert not drawing.can_take_back
    for text in texts[1:]:
        drawing.do_again()
        assert drawing.text == text
    assert not drawing.can_do_again


def test_what_another_wrote_elsewhere_is_kept(drawing: Drawing) -> None:
    drawing.do(MOVED)
    other_writes(drawing, b"shop: A", b"shop: Bee   # theirs")
    with pytest.raises(ChangedMeanwhile):
        drawing.save()
    assert b"[1, 1]" in drawing.path.read_bytes()
    assert drawing.look_again()
    drawing.save()
    assert b"theirs" in drawing.path.read_bytes()
    assert b"[7, 7]" in drawing.path.read_bytes()
    drawing.take_back()
    drawing.save()
    assert drawing.path.read_bytes() == BOM + TEXT.replace("shop: A", "shop: Bee   # theirs").encode()


def test_the_same_line_changed_by_both_changes_nothing(drawing: Drawing) -> None:
    drawing.do(MOVED)
    other_writes(drawing, b"[1, 1]", b"[2, 2]")
    before = drawing.text
    with pytest.raises(BothChanged) as both:
        drawing.look_again()
    assert both.value.line == 6
    assert drawing.text == before
    assert b"[2, 2]" in drawing.path.read_bytes()


def test_the_same_change_by_both_is_one(drawing: Drawing) -> None:
    drawing.do(MOVED)
    other_writes(drawing, b"[1, 1]", b"[7, 7]")
    drawing.look_again()
    assert drawing.text.count("[7, 7]") == 1


def test_merging_loses_no_line() -> None:
    chance = random.Random(5)
    met = 0
    for _ in range(1500):
        base = [f"l{n}\n" for n in range(8)]

        def changed(who: str, base: list[str] = base) -> list[str]:
            lines = list(base)
            for n, kind in sorted(
                {(chance.randrange(8), chance.choice("rdi")) for _ in range(chance.randint(0, 2))},
                reverse=True,
            ):
                if kind == "r":
                    lines[n : n + 1] = [f"{who}{n}\n"]
                elif kind == "d":
                    lines[n : n + 1] = []
                else:
                    lines[n:n] = [f"{who}+{n}\n"]
            return lines

        ours, theirs = changed("o"), changed("t")
        try:
            both = merged("".join(base), "".join(ours), "".join(theirs)).splitlines(keepends=True)
        except BothChanged:
            met += 1
            continue
        gone = (set(base) - set(ours)) | (set(base) - set(theirs))
        assert all(line in both for line in ours + theirs if line[0] in "ot")
        assert not gone & set(both)
        assert set(base) - gone <= set(both)
    assert 0 < met < 1000


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_disk_that_refuses_leaves_the_file_as_it_was(
    drawing: Drawing, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    def full(*_: Any) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    drawing.do(MOVED)
    if call == "fsync":
        monkeypatch.setattr(saving.os, "fsync", full)
    else:
        monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space left"):
        drawing.save()
    assert drawing.unsaved
    assert drawing.path.read_bytes() == BOM + TEXT.encode()
    assert len(list(drawing.path.parent.iterdir())) == 2


def test_a_really_full_disk(tmp_path: Path) -> None:
    """`ulimit -f` stands for it: the kernel refuses the write halfway."""
    path = tmp_path / "s.yaml"
    path.write_text("shop: A\n")
    code = (
        "import resource, signal, sys\nfrom pathlib import Path\nfrom shopbins.shop.editing.save import save\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\nresource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
        f"try: save(Path({str(path)!r}), 'x' * 100000, 'shop: A\\n')\nexcept OSError as e: print(e.strerror)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "too large" in done.stdout
    assert path.read_text() == "shop: A\n"
    assert [each.name for each in tmp_path.iterdir()] == ["s.yaml"]


def test_killed_at_any_moment_the_file_is_the_old_or_the_new(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    old = "shop: A\nrooms:\n" + "".join(f"  r{n}: {{at: [{n * 10}, 0], size: [5, 5]}}\n" for n in range(3000))
    new = old.replace("[0, 0]", "[1, 0]")
    path.write_text(old)
    code = (
        "from pathlib import Path\nfrom shopbins.shop.editing.save import load, save\n"
        f"path = Path({str(path)!r})\nprint('go', flush=True)\n"
        "while True:\n  a = load(path)\n  b = a.replace('[0, 0]', '[1, 0]', 1)\n"
        "  save(path, a.replace('[1, 0]', '[0, 0]', 1) if a == b else b, a)\n"
    )
    for number in range(6):
        process = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE)
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(0.01 + 0.013 * number)
        process.kill()
        process.wait()
        process.stdout.close()
        assert path.read_text() in (old, new)
        tidy(path)
        assert [each.name for each in tmp_path.iterdir()] == ["s.yaml"]


def test_what_a_living_process_is_writing_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    path.write_text("shop: A\n")
    part = tmp_path / f".s.yaml.{os.getpid()}.part"
    part.write_text("half")
    tidy(path)
    assert part.exists()


def test_a_new_file_is_not_written_over_another(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    save(path, "shop: A\n", None)
    with pytest.raises(ChangedMeanwhile):
        save(path, "shop: B\n", None)
    assert path.read_text() == "shop: A\n"


def test_the_last_twenty_copies_are_kept(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    for number in range(25):
        path.write_text(f"shop: {number}\n")
        keep_copy(path, tmp_path / "before", f"{number:03d}")
    kept = sorted((tmp_path / "before").iterdir())
    assert [kept[0].read_text(), len(kept), kept[-1].read_text()] == ["shop: 5\n", 20, "shop: 24\n"]


def test_a_drawing_is_read_with_its_problems(drawing: Drawing) -> None:
    shop, problems = drawing.read()
    assert shop is not None
    assert not problems
    drawing.do([Put(("zones", "b", "size"), "[40, 5]")])
    shop, problems = drawing.read()
    assert shop is not None, "what overlaps can be drawn all the same"
    assert shop.zones["b"].size_mm == (40, 5)
    assert "'c'" in problems[0].what
    drawing.do([Put(("zones", "b", "size"), "[forty, 5]")])
    assert drawing.read()[0] is None
    assert drawing.waiting == 2
    drawing.take_back()
    assert drawing.waiting == 1
