"""A process of its own that works a move out, so that no key waits: python -m shopbins.desk.moveworker.

The question comes as one line of JSON on stdin. What it is busy with goes to stdout as lines that begin with
'+', the plan as a line that begins with '=' (pickled, base 64; one so far may come before it), a problem's
lines begin with '!'. Whoever asked may kill it at any time: it only reads.
"""

from __future__ import annotations

import base64
import json
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING

import shopbins
from shopbins.desk.problems import DeskError, NotDone

if TYPE_CHECKING:
    from shopbins.moves.plan import Plan


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: the shop and its ledger, the group's id, where to, on what, and how long it may take."""

    shop: str
    ledger: str
    group: str
    zone: str
    level: str = ""
    gear: str | None = None
    turn_deg: float | None = None
    as_: str = "tonight"
    base: bool = True
    at_most_s: float = 120.0


def isolated(module: str) -> list[str]:
    """Return the command that runs a module of ours by itself: nothing of the folder one is in, of a user's
    site or of the environment comes in, only what this program itself was loaded from.
    """
    home = str(Path(shopbins.__file__).parents[1])
    here = os.path.realpath(os.curdir)
    own = [p for p in sys.path if p and Path(p).is_absolute() and (p == home or os.path.realpath(p) != here)]
    start = (
        f"import sys; sys.path[:] = {own!a}; import runpy; runpy.run_module({module!r}, run_name='__main__')"
    )
    return [sys.executable, "-I", "-c", start]


AHEAD = "ahead"


def started(*words: str) -> subprocess.Popen[bytes]:
    """Return a process that waits for a question; `AHEAD` loads what any question needs while it waits."""
    return subprocess.Popen(
        [*isolated("shopbins.desk.moveworker"), *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )


class Asked:
    """A question being worked out. `answer` waits for it, `stop` ends it; both from any thread."""

    def __init__(self, question: Question, waiting: subprocess.Popen[bytes] | None = None) -> None:
        """Ask a process that waits for a question, or a new one."""
        self._process = started() if waiting is None else waiting
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(asdict(question)).encode() + b"\n")
        self._process.stdin.close()
        self.stopped = False

    def answer(
        self, say: Callable[[str], None], first: Callable[[Plan], None] = lambda _plan: None
    ) -> Plan | None:
        """Return the plan, None where it was stopped; `first` gets the one so far, if there is one.

        DeskError where the question makes no sense.
        """
        assert self._process.stdout is not None
        problems: list[str] = []
        found: Plan | None = None
        for raw in self._process.stdout:
            line = raw.rstrip(b"\n")
            if line[:1] == b"+":
                say(line[1:].decode(errors="replace"))
            elif line[:1] == b"!":
                problems.append(line[1:].decode(errors="replace"))
            elif line[:1] == b"=":
                found = pickle.loads(base64.b64decode(line[1:]))
                if found is not None and found.looking:
                    first(found)
        self._process.wait()
        self._process.stdout.close()
        if self.stopped:
            return None
        if problems:
            raise DeskError(*problems)
        if found is None:
            raise NotDone("working it out ended without an answer")
        return found

    def stop(self) -> None:
        """End it; `answer` then returns None."""
        self.stopped = True
        if self._process.poll() is None:
            self._process.kill()


def work(question: Question, out: IO[bytes]) -> None:
    """Work a question out and write what comes of it."""
    from shopbins.desk.desk import Desk
    from shopbins.desk.moving import plan_move
    from shopbins.shop.problems import ShopProblems

    def write(sign: bytes, text: bytes) -> None:
        out.write(sign + text.replace(b"\n", b" ") + b"\n")
        out.flush()

    def told(plan: Plan) -> None:
        write(b"=", base64.b64encode(pickle.dumps(plan)))

    try:
        with Desk.open(question.shop, question.ledger, readonly=True) as desk:
            plan = plan_move(
                desk,
                question.group,
                question.zone,
                question.level,
                gear=question.gear,
                turn_deg=question.turn_deg,
                as_=question.as_,
                base=question.base,
                at_most_s=question.at_most_s,
                say=lambda text: write(b"+", text.encode()),
                first=told,
            )
    except DeskError as problem:
        for line in problem.lines:
            write(b"!", line.encode())
        return
    except ShopProblems as wrong:
        for each in wrong.problems:
            write(b"!", str(each).encode())
        return
    except (ValueError, ArithmeticError, LookupError, TypeError) as fault:
        write(b"!", f"a fault in shopbins itself: {type(fault).__name__}: {fault}".encode())
        return
    told(plan)


def load_ahead() -> None:
    """Load what working a move out loads on its way."""
    import shopbins.desk.desk
    import shopbins.kernel.shift
    import shopbins.moves.pivot
    import shopbins.moves.planning
    import shopbins.moves.ways_out  # noqa: F401


if __name__ == "__main__":
    if AHEAD in sys.argv[1:]:
        load_ahead()
    asked = sys.stdin.buffer.readline()
    if asked:
        work(Question(**json.loads(asked)), sys.stdout.buffer)
