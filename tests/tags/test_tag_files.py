"""The PDF is written as a whole or not at all."""

import os
from pathlib import Path

import pytest

from shopbins.tags import TagError
from shopbins.tags.draw import render
from shopbins.tags.labels import Label
from shopbins.tags.layouts import layout

SHEET = layout("a4-3x7")
LABEL = Label("ZRW0002H", "Cylinder head 2")


def pages(path):
    import pypdfium2

    document = pypdfium2.PdfDocument(path)
    count = len(document)
    document.close()
    return count


@pytest.mark.parametrize(
    ("labels", "start", "sheets"), [(1, 1, 1), (21, 1, 1), (22, 1, 2), (21, 2, 2), (1, 21, 1)]
)
def test_pages_are_counted_from_the_start(tmp_path, labels, start, sheets):
    path = tmp_path / "t.pdf"
    done = render([LABEL] * labels, SHEET, path, start=start)
    assert (done.labels, done.pages) == (labels, sheets)
    assert pages(path) == sheets


def test_start_leaves_the_first_places_white(tmp_path):
    import pypdfium2

    path = tmp_path / "t.pdf"
    render([LABEL], SHEET, path, start=5)
    document = pypdfium2.PdfDocument(path)
    picture = (
        document[0].render(scale=100 / 72, grayscale=True).to_pil().point(lambda g: 255 if g < 128 else 0)
    )
    document.close()
    left, top, right, bottom = (each * 25.4 / 100 for each in picture.getbbox())
    # Place 5 is the middle of the second row: 73.2 to 136.7 mm across, 53.25 to 91.35 mm down.
    assert left > 73.2 and right < 136.7 and top > 53.25 and bottom < 91.35


def test_the_same_labels_give_the_same_bytes(tmp_path):
    render([LABEL], SHEET, tmp_path / "a.pdf")
    render([LABEL], SHEET, tmp_path / "b.pdf")
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_a_folder_that_is_not_there_is_one_clear_line(tmp_path):
    with pytest.raises(TagError, match=r"t\.pdf: not written: No such file"):
        render([LABEL], SHEET, tmp_path / "none" / "t.pdf")


@pytest.mark.parametrize("name", ["", ".", "..", "/"])
def test_a_folder_instead_of_a_file_is_one_clear_line(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(TagError, match="not written"):
        render([LABEL], SHEET, Path(name))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_failing_disk_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch, call):
    path = tmp_path / "t.pdf"
    path.write_bytes(b"old")

    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, call, full)
    if call == "replace":
        monkeypatch.setattr("pathlib.Path.replace", full)
    with pytest.raises(TagError, match="No space left"):
        render([LABEL], SHEET, path)
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_what_cannot_be_printed_changes_no_file(tmp_path):
    path = tmp_path / "t.pdf"
    path.write_bytes(b"old")
    with pytest.raises(TagError):
        render([Label("", "no code")], SHEET, path)
    assert path.read_bytes() == b"old"


def test_nothing_heavy_is_loaded_before_something_is_printed():
    import subprocess
    import sys

    asked = "import sys, shopbins.tags.draw, shopbins.tags.labels, shopbins.tags.layouts as l; l.layouts();"
    told = "print([m for m in ('reportlab', 'barcode', 'numpy', 'PIL') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", asked + told], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
