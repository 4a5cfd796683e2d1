"""What people expect of any program: completion, a version, something to choose where there is no shop."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pexpect
import pyte
import pytest
from packaging.requirements import Requirement

from shopbins.cli import COMMANDS, main

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_completion_names_every_command(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert all(name in script for name in COMMANDS)
    if shutil.which(shell):  # the shell itself says whether it can read it
        subprocess.run([shell, "-n"], input=script, text=True, check=True)


def test_bash_completes_a_command_and_an_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Run by bash itself, as pressing tab does."""
    assert main(["completion", "bash"]) == 0
    (tmp_path / "c.sh").write_text(capsys.readouterr().out)
    ask = 'source c.sh; COMP_WORDS=({words}); COMP_CWORD={at}; _shtab_shopbins; echo "${{COMPREPLY[@]}}"'
    for words, at, wanted in (("shopbins sho", 1, "show"), ("shopbins plan --sv", 2, "--svg")):
        done = subprocess.run(
            ["bash", "-c", ask.format(words=words, at=at)],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=True,
        )
        assert wanted in done.stdout.split(), done.stderr


def test_bash_offers_names_as_words_that_run_nothing(run, tmp_path: Path) -> None:
    """Run by bash itself; a part called as a command is a quoted word, and nothing is recorded by asking."""
    for name in ("pump body", "pump $(touch ran) `touch ran`; touch ran"):
        assert run("take", name).status == 0
    (tmp_path / "c.sh").write_text(run("completion", "bash").out)
    (tmp_path / "shopbins").write_text(f'#!/bin/sh\nexec {sys.executable} -m shopbins "$@"\n')
    (tmp_path / "shopbins").chmod(0o755)
    before = {each: each.stat().st_mtime_ns for each in tmp_path.rglob("journal*")}
    ask = (
        'PATH="$PWD:$PATH"; source c.sh; COMP_WORDS=(shopbins {words}); COMP_CWORD=2; _shtab_shopbins; '
        'printf "%s\\n" "${{COMPREPLY[@]}}"; eval "set -- ${{COMPREPLY[*]}}"; echo $#'
    )
    for words, wanted in (
        ("set pum", ["pump\\ \\$\\(touch\\ ran\\)\\ \\`touch\\ ran\\`\\;\\ touch\\ ran", "pump\\ body", "2"]),
        ("show ben", ["bench", "1"]),
        ("catchup ra", ["rack", "1"]),
    ):
        done = subprocess.run(
            ["bash", "-c", ask.format(words=words)], cwd=tmp_path, capture_output=True, text=True, check=True
        )
        assert done.stdout.split("\n")[:-1] == wanted, done.stderr
    assert not (tmp_path / "ran").exists()
    assert before == {each: each.stat().st_mtime_ns for each in tmp_path.rglob("journal*")}
    assert "a4-3x7" in run("completion", "--names", "sheets").out.split()
    assert run("completion").status == 64


ASKED = (
    ("shopbins audi", "audit"),
    ("shopbins plan --sv", "--svg"),
    ("shopbins import-", "import-plan"),
)


@pytest.mark.skipif(not shutil.which("fish"), reason="fish is not installed")
def test_fish_completes_commands_and_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", "fish"]) == 0
    (tmp_path / "c.fish").write_text(capsys.readouterr().out)
    for typed, wanted in ASKED:
        ask = f"source c.fish; complete -C '{typed}'"
        done = subprocess.run(
            ["fish", "--no-config", "-c", ask], cwd=tmp_path, capture_output=True, text=True, check=True
        )
        assert wanted in [line.split("\t")[0] for line in done.stdout.splitlines()], done.stderr


@pytest.mark.skipif(not shutil.which("zsh"), reason="zsh is not installed")
def test_zsh_completes_commands_and_options(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Typed at a zsh with the script in a folder of $fpath, as its help says."""
    assert main(["completion", "zsh"]) == 0
    (tmp_path / "_shopbins").write_text(capsys.readouterr().out)
    shell = pexpect.spawn("zsh", ["-f", "-i"], encoding="utf-8", timeout=30, dimensions=(40, 120))
    shell.sendline(f"fpath=({tmp_path} $fpath); autoload -Uz compinit; compinit -u -D; echo up''now")
    shell.expect_exact("upnow")
    screen = pyte.Screen(120, 40)
    shown = pyte.Stream(screen)
    for typed, wanted in ASKED:
        shell.send(f"{typed}\t")
        until = time.monotonic() + 30
        while wanted not in "".join(screen.display) and time.monotonic() < until:
            with contextlib.suppress(pexpect.TIMEOUT):
                shown.feed(shell.read_nonblocking(4096, 0.2))
        assert wanted in "".join(screen.display), [line for line in screen.display if line.strip()]
        shell.send("\x15")
    shell.close(force=True)


def test_nothing_in_a_completion_ends_a_quote_of_its_own() -> None:
    """What an argument is called stands unescaped between double quotes in the zsh script."""
    from shopbins.cli.completion import whole_parser

    every = [whole_parser()]
    every += every[0]._subparsers._group_actions[0].choices.values()  # type: ignore[union-attr]
    named = [str(action.metavar) for parser in every for action in parser._actions if action.metavar]
    assert len(named) > 100
    assert not [each for each in named if set(each) & set("\"`$:\\'")]


def test_the_version_tells_the_ledgers_format(capsys: pytest.CaptureFixture[str]) -> None:
    from shopbins import __version__
    from shopbins.ledger.journal import VERSION

    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"shopbins {__version__}, ledger format {VERSION}\n"


def test_where_there_is_no_shop_one_can_choose(tmp_path: Path) -> None:
    for choice, then in (("", pexpect.EOF), ("n", "called"), ("o", "which file")):
        child = pexpect.spawn(
            sys.executable, ["-m", "shopbins"], cwd=str(tmp_path), timeout=20, encoding="utf-8"
        )
        child.expect("no shop.yaml here")
        child.expect("n, d or o")
        child.sendline(choice)
        child.expect(then)
        child.close(force=True)
    assert list(tmp_path.iterdir()) == []


def test_without_a_terminal_it_is_said(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "shopbins"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
    )
    assert done.returncode == 65
    assert "shopbins new describes one" in done.stderr


def test_what_the_package_says_of_itself() -> None:
    """PyPI's classifiers; who wrote it, its licence and its home are the owner's to give."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert not {"license", "authors", "urls", "maintainers"} & project.keys()
    assert not any(each.startswith("License ::") for each in project["classifiers"])
    assert "Programming Language :: Python :: 3.11" in project["classifiers"]
    for each in project["dependencies"]:
        assert str(Requirement(each).specifier).startswith((">=", "<", "==")), each
