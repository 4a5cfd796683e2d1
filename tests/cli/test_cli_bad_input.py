"""Whatever is typed, piped or broken: a clear line each, the right exit status, nothing lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from shopbins.cli import COMMANDS

Run = Callable[..., Any]


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["chekc", "shop.yaml"], "did you mean check?"),
        (["find", "--zoen", "bench", "x"], "did you mean --zone?"),
        (["find"], "WORDS"),
        (["take"], "NAME"),
        (["take", "a", "b"], "quotes"),
        (["put", "pump"], "PLACE"),
        (["put", "pump", "bench", "--in", "tub"], "one of"),
        (["away", "pump", "the grinder"], "--until"),
        (["set", "pump"], "nothing to set"),
        (["tags", "-o", "x.pdf"], "--all"),
        (["export", "-o", "x"], "--format"),
        (["find", "x", "--limit"], "--limit"),
        (["undo", "everything"], "everything"),
        (["--json"], "--json"),
        (["--nonsense"], "--nonsense"),
    ],
)
def test_usage_is_64(run: Run, args: list[str], said: str) -> None:
    answer = run(*args)
    assert answer.status == 64
    assert answer.out == ""
    assert len(answer.err.splitlines()) == 1 and said in answer.err


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["take", "pump", "--size", "300x200"], "height"),
        (["take", "pump", "--size", "banana"], "size"),
        (["take", "pump", "--size", "0x10x10mm"], "0"),
        (["take", "pump", "--size", "-3x2x1m"], "negative"),
        (["take", "pump", "--size", "9999999x1x1m"], "1000 m"),
        (["take", "pump", "--size", "nanx1x1"], "nan"),
        (["take", "pump", "--mass", "1e400kg"], "exponent"),
        (["take", "pump", "--mass", "inf"], "number"),
        (["take", "pump", "--mass", "-4kg"], "negative"),
        (["take", "pump", "--mass", "4 mm"], "mass"),
        (["take", "pump", "--qty", "0"], "quantity"),
        (["take", "pump", "--qty", "many"], "--qty"),
        (["take", "pump", "--qty", "9" * 500], "--qty"),
        (["take", "pump", "--container", "bucket"], "container"),
        (["take", "pump", "--disposition", "burn"], "disposition"),
        (["take", "pump", "--origin", "diesel >> head"], "--origin"),
        (["take", ""], "name"),
        (["take", "x" * 10_000], "10000"),
        (["take", "a\x07b"], "U+0007"),
        (["take", "\x1b]0;owned\x07"], "U+001B"),
        (["take", "evil\u202eexe"], "U+202E"),
        (["take", "half \ud800"], "U+D800"),
        (["take", "pump", "--code", "ZLB0001A"], "ZLB0001A"),
        (["take", "pump", "--by", "\x1b[2J"], "U+001B"),
        (["put", "known", "bench", "--at", "here"], "point"),
        (["put", "known", "bench", "--turn", "left"], "angle"),
        (["put", "twin", "bench"], "any of 2"),
        (["away", "known", "the grinder", "--until", "tomorrow"], "2026-12-24"),
        (["away", "known", "", "--until", "2026-12-24"], "whom"),
        (["find", "x", "--limit", "lots"], "--limit"),
        (["find", "x", "--limit", "0"], "not at least 1"),
        (["show", "ZLB0001A"], "ZLB0001A"),
        (["tags", "--blank", "0", "-o", "x.pdf"], "--blank"),
        (["tags", "--all", "-o", "x.pdf", "--start", "99"], "99"),
        (["find", "x", "-s", "no such.yaml"], "no such.yaml"),
        (["take", "x", "--ledger", "a\x00b"], "no file can be called so"),
        (["list", "--csv", "half \ud800"], "no file can be called so"),
        (["find", "x", "-s", "half \ud800"], "no file can be called so"),
    ],
)
def test_bad_input_is_65_and_changes_nothing(run: Run, args: list[str], said: str) -> None:
    for name in ("known", "twin", "twin"):
        run("take", name)
    answer = run(*args)
    assert answer.status == 65, answer
    assert said in answer.err
    assert answer.out == ""
    assert all(line.isprintable() for line in answer.err.splitlines())
    assert run("take", "after", "--json").data["seq"] == 4


@pytest.mark.parametrize(
    "args",
    [
        ["put", "nobody", "bench"],
        ["put", "known", "no such bench"],
        ["put", "known", "rack/7"],
        ["show", "nobody"],
        ["find", "nobody"],
        ["find", "known", "--zone", "attic"],
        ["back", "known"],
        ["merge", "known", "nobody"],
        ["split", "known", "--qty", "1"],
        ["put", "known", "--in", "known"],
    ],
)
def test_refused_or_not_found_is_1(run: Run, args: list[str]) -> None:
    run("take", "known")
    answer = run(*args)
    assert answer.status == 1
    assert answer.err
    assert run("take", "after", "--json").data["seq"] == 2


def test_ambiguous_name_shows_candidates_and_where_to_go_on(run: Run) -> None:
    codes = [run("take", "valve springs", "--json").data["code"] for _ in range(3)]
    answer = run("put", "valve springs", "bench")
    assert answer.status == 65
    for code in codes:
        assert code in answer.err


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00\x01\x02" * 500,
        b"rooms: [",
        "shop: é".encode("latin-1"),
        b"- " * 5_000,
        b"{" * 5_000,
        b"a: &a [1]\n"
        + b"".join(b"%c: &%c [%s]\n" % (n + 1, n + 1, b",".join([b"*%c" % n] * 9)) for n in range(97, 110)),
        b"just a sentence\n",
        b"shop: x\nshop: y\nrooms: .nan\n",
    ],
)
def test_a_wrong_shop_file_is_named_with_its_place(run: Run, shop: Path, content: bytes) -> None:
    run("take", "known")
    shop.write_bytes(content)
    for args in (["find", "known"], ["put", "known", "bench"], ["audit"]):
        answer = run(*args)
        assert answer.status == 65
        assert answer.err.startswith("shop.yaml:") and answer.out == ""
    assert run("check", "shop.yaml").status == 1


def test_a_shop_file_changed_after_it_was_noted_as_good_is_read_again(run: Run, shop: Path) -> None:
    long_ago = time.time() - 3600
    os.utime(shop, (long_ago, long_ago))
    assert run("take", "known").status == 0
    assert (shop.parent / "shop.ledger" / "shop-was-read").exists()
    assert run("find", "known").status == 0
    text = shop.read_text()
    shop.write_text(text.replace("kind: bench", "kind: bunch"))
    os.utime(shop, (long_ago, long_ago + 1))
    assert run("find", "known").status == 65


def test_a_damaged_ledger_is_74(run: Run, shop: Path) -> None:
    for name in ("one", "two", "three"):
        run("take", name)
    (journal,) = [p for p in (shop.parent / "shop.ledger").iterdir() if p.stat().st_size > 500]
    data = bytearray(journal.read_bytes())
    data[len(data) // 2] ^= 0x20
    journal.write_bytes(data)
    for args in (["find", "one"], ["take", "four"]):
        answer = run(*args)
        assert answer.status == 74
        first, *lost = answer.err.splitlines()
        assert "journal.log:" in first and all("not to be saved" in line for line in lost)
        assert len(lost) <= 1


def test_a_ledger_that_is_a_file_is_74(run: Run, shop: Path) -> None:
    (shop.parent / "shop.ledger").write_text("no folder")
    assert run("take", "known").status == 74


def test_a_ledger_that_is_a_file_is_not_taken_for_an_empty_one(run: Run, shop: Path) -> None:
    (shop.parent / "notes.txt").write_text("no ledger", encoding="utf-8")
    for words in (["audit"], ["find", "pump"], ["show", "bench"]):
        answer = run(*words, "--ledger", "notes.txt")
        assert (answer.status, answer.out) == (74, "")
        assert "notes.txt: is no folder" in answer.err


def test_a_folder_that_is_not_there_is_named_as_it_was_typed(run: Run) -> None:
    answer = run("export", "--format", "json", "-o", "nowhere/x.json")
    assert (answer.status, answer.err) == (74, "nowhere/x.json: No such file or directory\n")


def test_a_load_a_hair_over_its_limit_looks_different_from_it(run: Run) -> None:
    run("take", "anvil", "--mass", "300.001kg", "--container", "bare")
    answer = run("put", "anvil", "bench")
    assert answer.status == 1
    assert "bench carries 300.001 kg (limit 300.000 kg)" in answer.err


def test_hostile_names_in_the_shop_file_cannot_steer_the_terminal(run: Run, shop: Path) -> None:
    shop.write_text(shop.read_text().replace("  bench: {", '  "be\\e[31mnch": {'))
    answer = run("show", "bench")
    assert "\x1b" not in answer.out + answer.err


def test_wide_and_joined_characters_are_kept(run: Run) -> None:
    name = "バルブスプリング 👩‍🔧 größer"
    code = run("take", name, "--json").data["code"]
    assert run("find", "バルブ", "--json").data[0]["code"] == code
    assert run("find", "grosser", "--json").data[0]["code"] == code
    assert name in run("show", code).out


# -- what only a process of its own shows


def process(*args: str, **more: Any) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "shopbins", *args], stderr=subprocess.PIPE, timeout=60, **more
    )


def test_a_terminal_that_shows_only_ascii(run: Run) -> None:
    run("take", "pump, größer", "--origin", "diesel > Kühlung")
    env = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = process("find", "pump", env=env, stdout=subprocess.PIPE)
    assert done.returncode == 0 and done.stderr == b""
    assert b"pump, gr\\xf6\\xdfer - 1st off" in done.stdout


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
def test_a_full_disk_under_stdout_is_74(run: Run) -> None:
    run("take", "pump")
    with Path("/dev/full").open("wb") as full:
        done = process("find", "pump", stdout=full)
    assert done.returncode == 74
    assert done.stderr.count(b"\n") == 1 and b"No space left" in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="streams are closed by the shell")
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams_do_not_keep_a_change_from_being_made(run: Run, closed: str) -> None:
    run("take", "bolt")
    words = f'"{sys.executable}" -m shopbins take "pump {len(closed)}" {closed}'
    done = subprocess.run(["sh", "-c", words], capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
    assert len(run("find", "pump", "--json").data) == 1


def test_a_reader_that_has_seen_enough_is_no_problem(run: Run) -> None:
    run("take", "pump")
    read, write = os.pipe()
    os.close(read)
    done = process("find", "pump", stdout=write)
    os.close(write)
    assert done.returncode == 0 and done.stderr == b""


def test_the_app_asks_for_a_terminal(run: Run) -> None:
    done = process("shop.yaml", stdin=subprocess.DEVNULL, stdout=subprocess.PIPE)
    assert done.returncode == 64
    assert b"terminal" in done.stderr and done.stderr.count(b"\n") == 1


def test_stopped_by_the_user_says_so(run: Run, shop: Path) -> None:
    run("take", "bolt")
    typing = subprocess.Popen(
        [sys.executable, "-u", "-m", "shopbins", "catchup", "bench"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert typing.stdin is not None and typing.stdout is not None
    typing.stdin.write(b"water pump\n")
    typing.stdin.flush()
    assert b"water pump" in typing.stdout.readline()
    typing.send_signal(signal.SIGINT)
    _, err = typing.communicate(timeout=30)
    assert typing.returncode == 130 and err == b"stopped\n"
    assert run("find", "water pump").status == 0


HEAVY = ("shapely", "numpy", "scipy", "reportlab", "barcode", "rapidfuzz", "textual", "rich")


@pytest.mark.parametrize(
    "args",
    [
        ["check", "shop.yaml"],
        ["find", "pump"],
        ["show", "pump"],
        ["show", "rack"],
        ["take", "another"],
        ["set", "pump", "--note", "oily"],
        ["put", "pump", "bench"],
        ["put", "pump", "corner"],
        ["undo"],
        ["audit"],
        ["export", "--format", "csv", "-o", "x.csv"],
        ["--help"],
    ],
)
def test_no_heavy_module_is_loaded(run: Run, args: list[str]) -> None:
    run("take", "pump", "--size", "300x200x200mm", "--mass", "4kg")
    run("set", "pump", "--note", "spare", "--by", "me")
    code = (
        "import sys; from shopbins.cli import main; s = main(sys.argv[1:]); "
        f"print([m for m in {HEAVY!r} if m in sys.modules], file=sys.stderr); sys.exit(s)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *args, *(() if args == ["--help"] else ("--by", "me"))],
        capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    assert done.stderr.splitlines()[-1] == "[]"


def test_importing_the_command_line_loads_no_command(shop: Path) -> None:
    code = "import sys, shopbins.cli; print({'yaml', 'tinydb', 'shopbins.desk'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.stdout == "set()\n"
    assert "find" in COMMANDS
