"""Trials of the ledger: programs that write are killed; lock, folder and journal are exchanged under them.

`tests/parts/test_exchanged.py` runs short ones, `tests/bench/trial_ledger.py` long ones.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from shopbins.ledger.events import fold
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import LedgerProblem

# A program that records one change after the other and says each, after `transact` returned, by one short
# write to a file of its own. What was exchanged under it, it says too, and opens anew.
WRITER = """
import os, sys, time
from shopbins.records import acts
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Exchanged, LedgerProblem, Refused

folder, said, name = sys.argv[1:]
said = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
def say(*words):
    os.write(said, (" ".join(map(str, words)) + "\\n").encode())
count = 0
while True:
    try:
        with Ledger.open(folder, by=name, prefix="RW", timeout_s=2) as ledger:
            while True:
                count += 1
                try:
                    if count % 5 == 0:
                        event, _ = ledger.undo()
                    elif count % 7 == 0:
                        event = ledger.transact(lambda s: acts.issue_blanks(s, 5))
                    else:
                        where = InZone("bench 2")
                        event = ledger.transact(lambda s: acts.take(s, f"part {count}", where=where))
                    say("did", event.seq, event.id)
                    if count % 40 == 0:
                        ledger.snapshot()
                except Exchanged as problem:
                    say("exchanged", problem)
                    break
                except Refused:
                    pass  # nothing of its own left to undo
                except LedgerProblem as problem:
                    say("not", problem)
                    if "opened again" in str(problem):
                        break
                    time.sleep(0.002)
    except LedgerProblem as problem:
        say("closed", problem)
        time.sleep(0.005)
    except BaseException as error:
        say("fault", repr(error))
        raise
"""


@dataclass
class Figures:
    """What a trial came to."""

    acknowledged: int = 0
    lost: int = 0
    told: int = 0
    unreadable: int = 0
    wrong_states: int = 0
    exchanges: dict[str, int] = field(default_factory=dict)
    killed: int = 0
    faults: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        return json.dumps(vars(self))


class Writers:
    """Programs that write to one ledger; `kill` kills one and starts another."""

    def __init__(self, folder: Path, notes: Path, count: int) -> None:
        self.folder, self.notes = folder, notes
        notes.mkdir(exist_ok=True)
        self.started = 0
        self.running = [self._start() for _ in range(count)]

    def _start(self) -> subprocess.Popen[bytes]:
        self.started += 1
        name = f"writer {self.started}"
        return subprocess.Popen([sys.executable, "-c", WRITER, self.folder, self.notes / name, name])

    def kill(self, which: int) -> None:
        """Kill a writer at once and start another in its place."""
        self.running[which].send_signal(signal.SIGKILL)
        self.running[which].wait()
        self.running[which] = self._start()

    def stop(self) -> None:
        """Kill them all."""
        for each in self.running:
            each.kill()
            each.wait()

    def said(self) -> dict[str, list[list[str]]]:
        """Return the words of each writer's lines."""
        return {
            each.name: [line.split(" ", 3) for line in each.read_text().splitlines()]
            for each in self.notes.iterdir()
        }

    def names(self) -> list[str]:
        """Return the names of all that ever wrote."""
        return [each.name for each in self.notes.iterdir()]

    def did(self, name: str = "", word: bytes = b"did ") -> int:
        """Return how often one writer, or all, acknowledged a change, or said another word."""
        return sum(
            (self.notes / each).read_bytes().count(word) for each in ([name] if name else self.names())
        )


def take_lock_away(folder: Path, _aside: Path) -> None:
    """Remove the lock file, as somebody does who finds a program 'locked'."""
    (folder / "lock").unlink(missing_ok=True)


def copy_back(folder: Path, aside: Path) -> None:
    """Rename the folder and copy it back under its name, keeping all times."""
    folder.rename(aside)
    subprocess.run(["cp", "-a", aside, folder], check=False, stderr=subprocess.DEVNULL)


def move_there_and_back(folder: Path, aside: Path) -> None:
    """Rename the folder and back."""
    folder.rename(aside)
    aside.rename(folder)


def put_journal_anew(folder: Path, aside: Path) -> None:
    """Move the journal out and copy it back in, as a program does that synchronises folders."""
    (folder / "journal.log").rename(aside)
    subprocess.run(["cp", "-a", aside, f"{aside}.copy"], check=True)
    Path(f"{aside}.copy").rename(folder / "journal.log")


EXCHANGES = (take_lock_away, copy_back, move_there_and_back, put_journal_anew)


def exchanging(home: Path, *, writers: int, exchanges: int, seed: int, seconds: float = 600.0) -> Figures:
    """Let programs write and be killed while lock, folder and journal are exchanged under them."""
    luck = random.Random(seed)
    folder = home / "shop.ledger"
    figures = Figures()
    with Ledger.open(folder, prefix="RW"):
        pass
    programs = Writers(folder, home / "notes", writers)
    end = time.monotonic() + seconds
    try:
        for number in range(exchanges):
            wait_until(lambda n=number: programs.did() > n, 30)
            time.sleep(luck.uniform(0, 0.03))
            if time.monotonic() > end:
                break
            exchange = luck.choice(EXCHANGES)
            exchange(folder, home / f"aside-{number}")
            figures.exchanges[exchange.__name__] = figures.exchanges.get(exchange.__name__, 0) + 1
            if number > 2:
                drop(home / f"aside-{number - 2}")
            if luck.random() < 0.1:
                programs.kill(luck.randrange(writers))
                figures.killed += 1
        time.sleep(0.2)
    finally:
        programs.stop()
    reckon(folder, programs, figures)
    return figures


def restoring(home: Path, *, writers: int, rounds: int, seed: int) -> Figures:
    """Put an older copy in the folder's place while programs write: what it lacks, each must be told of."""
    luck = random.Random(seed)
    folder = home / "shop.ledger"
    figures = Figures()
    with Ledger.open(folder, prefix="RW"):
        pass
    programs = Writers(folder, home / "notes", writers)
    try:
        for number in range(rounds):
            wait_until(lambda: len(programs.names()) == writers, 30)  # one may be slow to start
            wait_until(lambda n=number: programs.did() > 20 * n, 30)
            older = home / f"older-{number}"
            subprocess.run(["cp", "-a", folder, older], check=True)
            for name in programs.names():
                before = programs.did(name)
                wait_until(lambda n=name, b=before: programs.did(n) > b + 1, 30)
            time.sleep(luck.uniform(0, 0.02))
            folder.rename(home / f"aside-{number}")
            older.rename(folder)
            figures.exchanges["restored"] = number + 1
            for name in programs.names():
                wait_until(lambda n=name, k=number: programs.did(n, b"exchanged the ") > k, 30)
            drop(home / f"aside-{number}")
    finally:
        programs.stop()
    reckon(folder, programs, figures)
    return figures


def killing(home: Path, *, writers: int, changes: int, seed: int, seconds: float = 600.0) -> Figures:
    """Let programs write to one ledger and kill one after the other until so much was acknowledged."""
    luck = random.Random(seed)
    folder = home / "shop.ledger"
    figures = Figures()
    with Ledger.open(folder, prefix="RW"):
        pass
    programs = Writers(folder, home / "notes", writers)
    end = time.monotonic() + seconds
    try:
        while programs.did() < changes and time.monotonic() < end:
            time.sleep(luck.uniform(0, 1.0))
            programs.kill(luck.randrange(writers))
            figures.killed += 1
    finally:
        programs.stop()
    reckon(folder, programs, figures)
    return figures


def reckon(folder: Path, programs: Writers, figures: Figures) -> None:
    """Open what is there, and look for everything that was acknowledged."""
    said = programs.said()
    try:
        with Ledger.open(folder, prefix="RW") as ledger:
            events = ledger.events()
            tables: dict = {}
            for event in events:
                fold(tables, event.after)
            kept = {name: docs for name, docs in ledger.state.tables.items() if docs}
            figures.wrong_states += kept != {name: docs for name, docs in tables.items() if docs}
    except LedgerProblem as problem:
        figures.unreadable += 1
        figures.faults.append(str(problem))
        return
    there = {event.id for event in events}
    for lines in said.values():
        waiting = []
        for words in lines:
            if words[0] == "did":
                figures.acknowledged += 1
                if words[2] not in there:
                    waiting.append(words[2])
            elif words[0] == "exchanged":
                figures.told += len(waiting)
                waiting = []
            elif words[0] == "fault":
                figures.faults.append(" ".join(words))
        figures.lost += len(waiting)


def wait_until(done, seconds: float) -> None:
    """Wait for something, no longer than so long."""
    end = time.monotonic() + seconds
    while not done() and time.monotonic() < end:
        time.sleep(0.002)


def drop(path: Path) -> None:
    """Remove what was set aside."""
    with contextlib.suppress(OSError):
        if path.is_dir():
            shutil.rmtree(path)
        else:
            os.unlink(path)  # noqa: PTH108
