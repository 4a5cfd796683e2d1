"""Bad values for every argument of every command: a clear line, never a traceback, nothing recorded unless 0.

    python tests/bench/trial_bad_inputs.py --count 20000 --seed 1

Lines are the commands' own examples and those of tests/cli/test_cli_refused.py, on the small job of that
file; in each, one value is replaced by a bad one, or an option is added with one. Prints the figures as JSON
and each line that did what it should not, and then exits with 1. `serve` is left out, as what it is given
may start it; `catchup` records line by line and says which could not be, `inspect` records a value and ends
with what it comes to, 1 where it is not within its limits.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import random
import shlex
import shutil
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2])]

from shopbins.cli import COMMANDS, command, main  # noqa: E402
from shopbins.cli.command import parser_for  # noqa: E402
from tests.cli.conftest import SHOP  # noqa: E402
from tests.cli.test_cli_refused import JOB, REFUSED  # noqa: E402

BAD = (
    "", " ", "-", "--", "-1", "0", "1e400", "nan", "inf", "9" * 400, "0x10", "1,5", "1;2", "3 furlongs",
    "-4 kg", "1e9 kg", "300x200", "0x0x0 mm", "x" * 300, "x" * 10_000, "a\x00b", "a\x07b",
    "\x1b]0;owned\x07", "evil\u202eexe", "half \ud800", "½ ² ٣", "弁 é", "=1+1", "@SUM(1)", "'; --",
    "%s{}{0}", "ZLB0001A", "ZLB00", "zz", "*", "**/*", "2026-02-30", "9999-99-99", "0000-01-01",
    "yesterday yesterday", "1-0", "20-10", "a=b=c", "=", "crank", "rack/9", "rack/", "/", ">",
    "engine > > top", "nosuch", "nosuch/dir/x.pdf", ".", "shop.yaml", "shop.ledger",
    "shop.ledger/journal.log", "shop.ledger.labels", "/dev/full", "/dev/null", "[]", "{", "null", "\n",
    "a\nb", "\t",
)  # fmt: skip
"""Nothing, numbers of no use, units, control and half characters, other signs, codes, days, names, files."""

LEFT_OUT, RECORDS_AND_SAYS_NO = ("serve",), ("catchup", "inspect")
FAULT, LONGEST_S, FRESH_EVERY = 70, 60, 400


def fresh(home: Path) -> Path:
    """Make the small job anew; return its journal."""
    shutil.rmtree(home, ignore_errors=True)
    home.mkdir()
    os.chdir(home)
    (home / "shop.yaml").write_text(SHOP, encoding="utf-8")
    (home / "bad.csv").write_text("Name,Assembly,Qty\noil jet,bottom,1\nsump,bottom,many\n", encoding="utf-8")
    for line in JOB:
        status, _, err = ran(line)
        assert status == 0, err
    return home / "shop.ledger" / "journal.log"


def ran(line: list[str]) -> tuple[int, str, str]:
    """Run a command in this process; return its status and what it said."""
    out, err = io.TextIOWrapper(io.BytesIO()), io.TextIOWrapper(io.BytesIO())
    stdin, sys.stdin = sys.stdin, io.TextIOWrapper(io.BytesIO(b""))
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = main(line)
            out.flush()
            err.flush()
    finally:
        sys.stdin = stdin
    texts = (each.buffer.getvalue().decode(errors="replace") for each in (out, err))  # type: ignore[attr-defined]
    return status, next(texts), next(texts)


def lines() -> list[list[str]]:
    """Return the lines to spoil: examples, and lines that are refused."""
    known = [name for name in COMMANDS if name not in LEFT_OUT]
    examples = [shlex.split(each)[1:] for name in known for each in command(name).examples]
    refused = [line for name in known for line in REFUSED.get(name, [])]
    return [line for line in (*examples, *refused) if line and line[0] in known]


def spoilt(line: list[str]) -> Iterator[list[str]]:
    """Give the line with each value in turn a bad one, and with each option added with a bad one."""
    places = [n for n, word in enumerate(line) if n and not word.startswith("-")]
    options = [
        action.option_strings[0]
        for action in parser_for(command(line[0]))._actions
        if action.option_strings and action.nargs is None and action.option_strings[0] not in line
    ]
    for bad in BAD:
        for n in places:
            yield [*line[:n], bad, *line[n + 1 :]]
        for option in options:
            yield [*line, option, bad]


def trial(count: int, seed: int, home: Path) -> tuple[Counter[str], list[str]]:
    """Run so many lines of all there are; return what they came to, and those that did wrong."""
    every = [each for line in lines() for each in spoilt(line)]
    luck = random.Random(seed)
    chosen = every if count >= len(every) else luck.sample(every, count)
    found: Counter[str] = Counter({"lines there are": len(every), "lines run": len(chosen)})
    wrong: list[str] = []
    journal = home / "shop.ledger" / "journal.log"
    for n, line in enumerate(chosen):
        if n % FRESH_EVERY == 0 or not journal.exists():
            journal = fresh(home)
        before = journal.read_bytes().rstrip(b"\0")
        signal.alarm(LONGEST_S)
        try:
            status, out, err = ran(line)
        except BaseException as problem:
            found["raised"] += 1
            wrong.append(f"{line!r:.300}: raised {type(problem).__name__}: {problem!s:.200}")
            continue
        finally:
            signal.alarm(0)
            os.chdir(home)
        found[f"exit {status}"] += 1
        recorded = journal.exists() and journal.read_bytes().rstrip(b"\0") != before
        if status == FAULT or "Traceback" in out + err:
            found["faults"] += 1
            wrong.append(f"{line!r:.300}: {err:.300}")
        elif status and recorded and line[0] not in RECORDS_AND_SAYS_NO:
            found["recorded though not 0"] += 1
            wrong.append(f"{line!r:.300}: {status}, yet recorded: {err:.200}")
        elif status and not (out + err).strip():
            found["said nothing"] += 1
            wrong.append(f"{line!r:.300}: {status} without a word")
    return found, wrong


def run() -> int:
    """Run it in a folder of its own; 1 where anything went wrong."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    home = Path(tempfile.mkdtemp(prefix="bad-inputs-"))
    for name in ("HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"):
        os.environ[name] = str(home)
    os.environ["EDITOR"] = os.environ["VISUAL"] = "true"
    try:
        found, wrong = trial(args.count, args.seed, home / "job")
    finally:
        os.chdir("/")
        shutil.rmtree(home, ignore_errors=True)
    print(json.dumps(found, indent=1), *wrong, sep="\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(run())
