"""A user's own layouts, what was chosen last, and the system's print command (scripts in its place)."""

import os
import sys

import pytest

from shopbins.tags import NotWritten, TagError, spool
from shopbins.tags.layouts import layout
from shopbins.tags.settings import Last, all_layouts, last, remember, user_folder

MINE = """
bin-3x9:
  sheet: [210, 297]
  grid: [3, 9]
  label: [64, 30]
  first: [9, 13.5]
  source: measured
"""


@pytest.fixture
def shop_path(tmp_path):
    return tmp_path / "shop" / "shop.yaml"


def put(folder, text, name="mine.yaml"):
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text)


def test_layouts_beside_the_shop_file_and_in_the_user_s_settings_are_found(shop_path):
    put(shop_path.parent / "layouts", MINE)
    put(user_folder() / "layouts", MINE.replace("bin-3x9", "my-roll"))
    known, problems = all_layouts(shop_path)
    assert problems == [] and {"bin-3x9", "my-roll", "a4-3x7"} <= set(known)
    assert list(known)[:2] == ["bin-3x9", "my-roll"], "a user's own come first"


def test_the_shop_s_own_goes_before_the_user_s_and_both_before_ours(shop_path):
    put(shop_path.parent / "layouts", MINE.replace("bin-3x9", "a4-3x7").replace("[9, 13.5]", "[8, 13.5]"))
    put(user_folder() / "layouts", MINE.replace("bin-3x9", "a4-3x7"))
    known, _ = all_layouts(shop_path)
    assert known["a4-3x7"].first_mm == (8, 13.5) and known["a4-3x7"].file.endswith("layouts/mine.yaml")


def test_problems_of_a_file_are_one_line_each_and_the_rest_is_used(shop_path):
    put(shop_path.parent / "layouts", "broken:\n  sheet: [210]\n", "a.yaml")
    put(shop_path.parent / "layouts", MINE, "b.yaml")
    put(shop_path.parent / "layouts", "nothing to see", "notes.txt")
    known, problems = all_layouts(shop_path)
    assert "bin-3x9" in known
    assert len(problems) == 1 and "a.yaml:2:3: broken: grid, label, first missing" in problems[0]


def test_what_was_chosen_last_is_kept(shop_path):
    assert last() == Last()
    assert remember(Last("laser", "a4-3x7")) is None
    assert last() == Last("laser", "a4-3x7")


@pytest.mark.parametrize("text", ["", "{", "[]", '{"printer": 7}', "\x00", "[" * 5000])
def test_a_damaged_file_of_choices_is_as_none(text):
    put(user_folder(), text, "printing.json")
    assert last() == Last()


def test_choices_that_cannot_be_kept_are_said_not_raised(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("x")
    monkeypatch.setenv("SHOPBINS_CONFIG", str(tmp_path / "file" / "keys.toml"))
    problem = remember(Last("laser"))
    assert problem is not None and "\n" not in problem


# -- printing


@pytest.fixture
def commands(tmp_path, monkeypatch):
    """A function that puts commands on the PATH, nothing else on it."""
    folder = tmp_path / "bin"
    folder.mkdir()
    monkeypatch.setenv("PATH", str(folder))

    def add(**scripts):
        for name, text in scripts.items():
            (folder / name).write_text(f"#!{sys.executable}\nimport sys\n{text}")
            (folder / name).chmod(0o755)

    return add


LIST = 'print("laser\\nlabels" if sys.argv[1] == "-e" else "system default destination: labels")'


def test_without_a_print_command_it_is_said_what_to_do_instead(commands):
    names, problem = spool.printers()
    assert names == [] and "print the PDF instead" in problem
    with pytest.raises(TagError, match="no print command"):
        spool.send(b"%PDF", layout("a4-3x7"))


def test_printers_are_listed_the_usual_one_first(commands):
    commands(lp="", lpstat=LIST)
    assert spool.printers() == (["labels", "laser"], "")


@pytest.mark.parametrize(("name", "flag"), [("lp", "-d"), ("lpr", "-P")])
def test_the_job_goes_unscaled_on_its_paper_to_the_printer_meant(commands, tmp_path, name, flag):
    log = tmp_path / "log"
    script = f"open({str(log)!r}, 'w').write('|'.join(sys.argv[1:-1]) + '|' + open(sys.argv[-1]).read())"
    commands(**{name: script, "lpstat": LIST})
    spool.send(b"%PDF-x", layout("a4-3x7"), "laser")
    assert log.read_text() == f"{flag}|laser|-o|print-scaling=none|-o|media=A4|%PDF-x"
    spool.send(b"%PDF-x", layout("roll-62x29"))
    # 62 x 29 mm in points of 1/72 inch.
    assert log.read_text() == "-o|print-scaling=none|-o|media=Custom.175.7x82.2|%PDF-x"


@pytest.mark.parametrize("printer", ["-o raw", "nobody", "a\nb"])
def test_a_printer_that_is_none_is_refused_before_anything_is_sent(commands, tmp_path, printer):
    commands(lp=f"open({str(tmp_path / 'sent')!r}, 'w')", lpstat=LIST)
    with pytest.raises(TagError, match="printer"):
        spool.send(b"%PDF", layout("a4-3x7"), printer)
    assert not (tmp_path / "sent").exists()


def test_what_the_command_says_against_it_is_told_in_one_line(commands):
    commands(lp="sys.stderr.write('lp: The printer\\nis not accepting jobs.'); sys.exit(1)", lpstat=LIST)
    with pytest.raises(NotWritten, match=r"^not printed: lp: The printer is not accepting jobs\.$"):
        spool.send(b"%PDF", layout("a4-3x7"), "laser")


def test_a_command_that_hangs_is_given_up(commands, monkeypatch):
    monkeypatch.setattr(spool, "PATIENCE_S", 0.3)
    commands(lp="import time; time.sleep(20)")
    with pytest.raises(NotWritten, match="did not answer"):
        spool.send(b"%PDF", layout("a4-3x7"))
    assert os.environ["PATH"]
