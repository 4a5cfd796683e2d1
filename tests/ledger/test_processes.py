"""Real processes: writers killed at any instant lose nothing; two that race never get round a stop."""

from __future__ import annotations

import os
import random
import select
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from shopbins.ledger.events import fold
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone, Mass
from shopbins.records import acts

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")

# One process that imports once and forks a writer for each folder it reads; the writer says each event on
# its output after `transact` returned, one short write a line, so that a line is there whole or not at all.
WRITERS = """
import os, sys
from shopbins.records import acts
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone

def work(folder):
    with Ledger.open(folder, by="writer", prefix="RW") as ledger:
        count = 0
        while True:
            count += 1
            if count % 5 == 0:
                event, _ = ledger.undo()
            elif count % 7 == 0:
                event = ledger.transact(lambda s: acts.issue_blanks(s, 40))
            else:
                event = ledger.transact(lambda s: acts.take(s, f"part {count}", where=InZone("bench 2")))
            os.write(1, f"{event.seq} {event.id}\\n".encode())
            if count % 6 == 0:
                ledger.snapshot()

for line in sys.stdin:
    child = os.fork()
    if child == 0:
        try:
            work(line.strip())
        except BaseException as error:
            os.write(1, f"error {error!r}\\n".encode())
        os._exit(1)
    os.write(1, f"pid {child}\\n".encode())
    os.waitpid(child, 0)
    os.write(1, b"gone\\n")
"""

FOLDERS, ROUNDS_EACH = 8, 30


@pytest.fixture
def writers() -> Iterator[subprocess.Popen[bytes]]:
    with subprocess.Popen(
        [sys.executable, "-c", WRITERS], stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0
    ) as process:
        yield process
        assert process.stdin
        process.stdin.close()


def lines_until_killed(
    writers: subprocess.Popen[bytes], folder: Path, after: str, delay_s: float
) -> list[str]:
    """Have a writer work on a folder, kill it `delay_s` after it began ("start") or after the first thing it
    acknowledged ("line"), return what it had acknowledged."""
    assert writers.stdin and writers.stdout
    writers.stdin.write(f"{folder}\n".encode())
    text, pid, deadline = b"", 0, 0.0
    while not text.endswith(b"gone\n"):
        wait = max(deadline - time.monotonic(), 0.0) if deadline else 30.0
        if select.select([writers.stdout], [], [], wait)[0]:
            text += writers.stdout.read(1 << 16) or b""
            whole = text.rpartition(b"\n")[0].splitlines()
            begun = [line for line in whole if line.startswith(b"pid ")]
            if not pid and begun and (after == "start" or len(whole) > 1):
                pid = int(begun[0].split()[1])
                deadline = time.monotonic() + delay_s
        if deadline and time.monotonic() >= deadline:
            os.kill(pid, signal.SIGKILL)
            deadline = 0.0
    return [line for line in text.decode().splitlines() if line[0] not in "pg"]


def test_a_writer_killed_at_any_instant_loses_nothing_acknowledged(tmp_path: Path, writers) -> None:
    luck = random.Random(20261125)
    killed_in_work = 0
    for number in range(FOLDERS):
        folder = tmp_path / f"{number}.ledger"
        acknowledged: dict[int, str] = {}
        for turn in range(ROUNDS_EACH):
            # Every other round waits for a first line: half are killed in their work, however slow.
            after = "line" if turn % 2 else "start"
            lines = lines_until_killed(writers, folder, after, luck.uniform(0.0, 0.03 if turn % 2 else 0.01))
            for line in lines:
                assert not line.startswith("error"), line
                seq, event_id = line.split()
                acknowledged[int(seq)] = event_id
            killed_in_work += bool(lines)
        with Ledger.open(folder, by="jan", prefix="RW") as ledger:
            events = ledger.events()
            found = {event.seq: event.id for event in events}
            assert acknowledged.items() <= found.items()
            assert len(found) <= len(acknowledged) + ROUNDS_EACH
            tables: dict = {}
            for event in events:
                fold(tables, event.after)
            assert {n: d for n, d in ledger.state.tables.items() if d} == {
                n: d for n, d in tables.items() if d
            }
    assert killed_in_work >= FOLDERS * ROUNDS_EACH // 2


FILLER = """
import resource, signal, sys
from shopbins.records import acts
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.problems import LedgerProblem

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
limit = int(sys.argv[2])
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
with Ledger.open(sys.argv[1], by="jan") as ledger:
    try:
        while True:
            print(ledger.transact(lambda s: acts.take(s, "part")).id, flush=True)
    except LedgerProblem as problem:
        print(problem, flush=True)
"""


@pytest.mark.parametrize("limit", [4096, 5000, 70_001])
def test_a_file_that_may_not_grow_further_keeps_what_was_acknowledged(tmp_path: Path, limit: int) -> None:
    # The system's own limit on a file's length: a write that passes it is cut short, the next one fails.
    pytest.importorskip("resource")
    folder = tmp_path / "shop.ledger"
    done = subprocess.run(
        [sys.executable, "-c", FILLER, str(folder), str(limit)], capture_output=True, text=True, check=True
    )
    *acknowledged, problem = done.stdout.splitlines()
    assert "File too large; this change was not recorded" in problem
    assert done.stderr == ""
    with Ledger.open(folder, by="jan") as ledger:
        assert [event.id for event in ledger.events()] == acknowledged
        assert ledger.notes == []
        ledger.transact(lambda s: acts.take(s, "goes on"))


RACER = """
import sys
from shopbins.records import acts
from shopbins.ledger.ledger import Ledger
from shopbins.ledger.model import InZone
from shopbins.ledger.problems import Refused

folder, name, rounds = sys.argv[1], sys.argv[2], int(sys.argv[3])

def laid(state, group_id, zone):
    load_kg = sum(state.group(each).mass.kg for each in state.in_zone(zone))
    if load_kg + state.group(group_id).mass.kg > 50:
        raise Refused("overloaded")
    return acts.lay(state, group_id, InZone(zone))

with Ledger.open(folder, by=name) as ledger:
    mine = [group.id for group in ledger.state.groups() if group.name == name]
    print("ready", flush=True)
    sys.stdin.readline()
    done = 0
    for turn in range(rounds):
        try:
            ledger.transact(lambda s: laid(s, mine[turn], f"shelf {turn}"))
            done += 1
        except Refused:
            pass
    print(done, flush=True)
"""


def test_two_that_lay_at_once_never_get_round_a_stop(tmp_path: Path) -> None:
    folder, rounds = tmp_path / "shop.ledger", 150
    with Ledger.open(folder) as ledger:
        for name in ("jan", "mia"):
            for _ in range(rounds):
                ledger.transact(lambda s, n=name: acts.take(s, n, mass=Mass(30)))
    racers = [
        subprocess.Popen(
            [sys.executable, "-c", RACER, str(folder), name, str(rounds)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in ("jan", "mia")
    ]
    for racer in racers:
        assert racer.stdout and racer.stdout.readline() == "ready\n"
    for racer in racers:
        assert racer.stdin
        racer.stdin.write("go\n")
        racer.stdin.flush()
    won = [int(racer.communicate()[0]) for racer in racers]
    assert sum(won) == rounds
    with Ledger.open(folder, readonly=True) as ledger:
        for turn in range(rounds):
            assert len(ledger.state.in_zone(f"shelf {turn}")) == 1, "two of 30 kg on a shelf that carries 50"
        assert InZone("shelf 0") in [group.where for group in ledger.state.groups()]


CROWD = """
import sys
from shopbins.records import acts
from shopbins.ledger.ledger import Ledger

folder, name, count, total = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
if count:
    with Ledger.open(folder, by=name) as ledger:
        for number in range(count):
            ledger.transact(lambda s: acts.take(s, f"{name} {number}", note="x" * 900))
            if number % 10 == 0:
                ledger.snapshot()
else:
    with Ledger.open(folder, readonly=True) as ledger:
        while ledger.seq < total:
            seen = [event.seq for event in ledger.poll()]
            assert seen == list(range(ledger.seq - len(seen) + 1, ledger.seq + 1))
            with Ledger.open(folder, readonly=True) as fresh:
                assert fresh.seq >= ledger.seq
                assert len(fresh.state.group_ids()) == fresh.seq
"""


def test_readers_among_writers_see_whole_states_in_order(tmp_path: Path) -> None:
    folder, each = tmp_path / "shop.ledger", 200
    Ledger.open(folder).close()
    crowd = [
        subprocess.Popen(
            [sys.executable, "-c", CROWD, str(folder), name, str(count), str(2 * each)],
            stderr=subprocess.PIPE,
        )
        for name, count in (("jan", each), ("mia", each), ("reader", 0), ("reader", 0))
    ]
    for process in crowd:
        assert process.communicate(timeout=120)[1] == b""
        assert process.returncode == 0
    with Ledger.open(folder, readonly=True) as ledger:
        assert sorted({group.name.split()[0] for group in ledger.state.groups()}) == ["jan", "mia"]
        assert len({group.code for group in ledger.state.groups()}) == 2 * each
