"""Tags from the command line: to a PDF, pictures, a printer; what is due; layouts; a look in the terminal."""

import json
import sys
from pathlib import Path

import pytest

from shopbins.cli import main
from shopbins.demo import write_demo


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_demo(tmp_path_factory.mktemp("demo") / "shed")


@pytest.fixture
def run(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):
    """Run a command on a copy of the demo; return status, stdout, lines of stderr."""
    import shutil

    shutil.copytree(demo.parent, tmp_path / "shed")
    monkeypatch.chdir(tmp_path / "shed")

    def command(*words: str) -> tuple[int, str, list[str]]:
        status = main(list(words))
        said = capsys.readouterr()
        return status, said.out, said.err.splitlines()

    return command


def some_code(run) -> str:
    return json.loads(run("find", "cylinder head", "--json")[1])[0]["code"]


def test_what_is_due_is_listed_with_why_and_printed_in_one_command(run):
    status, out, _ = run("tags", "--untagged", "--json")
    before = json.loads(out)
    assert status == 0 and before and all(each["why"] == ["untagged"] for each in before)
    code = some_code(run)
    assert run("tags", code, "-o", "one.pdf")[0] == 0
    assert json.loads(run("tags", "--stale", "--json")[1]) == []
    assert run("set", code, "--mass", "77 kg")[0] == 0
    status, out, _ = run("tags", "--stale")
    assert status == 0 and f"{code}" in out and "changed since it was printed: mass" in out
    status, out, _ = run("tags", "--untagged", "--stale", "-o", "due.pdf", "--json")
    done = json.loads(out)
    assert status == 0 and code in done["codes"] and done["labels"] == len(before) + 1
    assert json.loads(run("tags", "--untagged", "--stale", "--json")[1]) == []


def test_pictures_one_a_label(run):
    status, out, _ = run("tags", some_code(run), "--png", "pictures", "--json")
    (code,) = json.loads(out)["codes"]
    assert status == 0 and [each.name for each in Path("pictures").iterdir()] == [f"{code}.png"]


def test_a_strip_for_a_place_and_a_refusal_for_a_group(run):
    assert run("tags", "rack a", "-o", "s.pdf", "--sheet", "strip-a4-5")[0] == 0
    status, _, err = run("tags", some_code(run), "-o", "g.pdf", "--sheet", "strip-a4-5")
    assert status == 65 and len(err) == 1 and "places and levels" in err[0]
    assert not Path("g.pdf").exists()


def test_blank_flags_are_two_labels_a_code(run):
    status, out, _ = run("tags", "--blank", "2", "-o", "b.pdf", "--sheet", "flag-a4-2x19", "--json")
    assert status == 0 and (json.loads(out)["labels"], len(json.loads(out)["codes"])) == (4, 2)


def test_a_look_in_the_terminal_can_be_scanned_and_changes_nothing(run):
    import zxingcpp
    from PIL import Image

    code = some_code(run)
    seq = json.loads(run("tags", code, "--show", "--json")[1]) and run("show", code, "--json")[1]
    status, out, _ = run("tags", code, "--show")
    rows = [line for line in out.splitlines() if line and set(line) <= set("█▀▄ ")]
    assert status == 0 and code in out
    image = Image.new("L", (len(rows[0]) * 4, len(rows) * 8), 0)
    for y, row in enumerate(rows):
        for x, char in enumerate(row):
            for half, on in ((0, char in "█▀"), (1, char in "█▄")):
                if on:
                    image.paste(255, (x * 4, y * 8 + half * 4, x * 4 + 4, y * 8 + half * 4 + 4))
    assert [each.text for each in zxingcpp.read_barcodes(image)] == [code]
    assert run("show", code, "--json")[1] == seq


def test_layouts_are_listed_and_a_broken_file_of_one_s_own_is_one_line(run):
    Path("layouts").mkdir()
    Path("layouts/mine.yaml").write_text(
        "mine:\n  sheet: [70, 40]\n  grid: [1, 1]\n  label: [70, 40]\n  first: [0, 0]\n"
    )
    Path("layouts/bad.yaml").write_text("bad:\n  sheet: 7\n")
    status, out, err = run("tags", "--sheets", "--json")
    names = [each["name"] for each in json.loads(out)]
    assert status == 0 and names[0] == "mine" and "a4-3x7" in names
    assert len(err) == 1 and err[0].startswith("layouts/bad.yaml:2:3: bad: ")
    status, _, err = run("tags", some_code(run), "-o", "m.pdf", "--sheet", "mine")
    assert status == 0 and len(err) == 1
    status, _, err = run("tags", some_code(run), "-o", "m.pdf", "--sheet", "minee")
    assert status == 65 and "did you mean mine?" in err[0]


def test_straight_to_the_printer_used_last(run, tmp_path, monkeypatch):
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))
    code = some_code(run)
    status, _, err = run("tags", code, "--print")
    assert status == 65 and "no print command" in err[0]
    assert run("tags", "--printers")[0] == 1
    for name, text in {
        "lp": f"open({str(tmp_path / 'log')!r}, 'a').write(' '.join(sys.argv[1:3]) + '\\n')",
        "lpstat": "print('laser\\nlabels' if sys.argv[1] == '-e' else 'system default destination: laser')",
    }.items():
        (folder / name).write_text(f"#!{sys.executable}\nimport sys\n{text}\n")
        (folder / name).chmod(0o755)
    assert run("tags", code, "--print", "labels", "--sheet", "roll-62x29")[0] == 0
    status, out, _ = run("tags", code, "--print")
    assert status == 0 and "labels: 1 label on 1 page of roll-62x29" in out
    assert (tmp_path / "log").read_text() == "-d labels\n" * 2
    assert json.loads(run("tags", "--printers", "--json")[1]) == {
        "printers": ["laser", "labels"],
        "last": "labels",
    }


@pytest.mark.parametrize(
    "words",
    [
        ("tags",),
        ("tags", "--all"),
        ("tags", "--all", "--zones", "-o", "x.pdf"),
        ("tags", "--all", "-o", "x.pdf", "--png", "d"),
        ("tags", "--stale", "--blank", "2", "-o", "x.pdf"),
        ("tags", "--all", "--show"),
    ],
)
def test_what_cannot_be_meant_is_usage(run, words):
    status, out, err = run(*words)
    assert (status, out) == (64, "") and len(err) == 1


def test_a_name_no_font_prints_is_named_before_the_file_is_written(run, monkeypatch: pytest.MonkeyPatch):
    """Said first, so that whoever prints a whole sheet can stop; no code is given out by looking."""
    import shopbins.desk.tagging as tagging

    assert run("take", "पंप")[0] == 0

    def stopped(*_: object, **__: object) -> object:
        raise OSError(28, "no room")

    monkeypatch.setattr(tagging, "_made", stopped)
    status, _, said = run("tags", "--untagged", "-o", "due.pdf")
    assert status != 0 and not Path("due.pdf").exists()
    assert said[0] == "no font here prints all of पंप: ◊ stands for what is lacking"


def test_looking_for_letters_gives_out_no_code(run):
    from shopbins.desk import Desk

    desk = Desk.open("shop.yaml", by="Ida")
    seq = desk.seq
    for which in ("due", "zones", "flags", "all", ["bench 1", "nowhere"]):
        assert desk.not_printable(which) == []
    assert desk.seq == seq
    desk.close()
