"""How much of a change to the program its tests notice: random single mutations, each run against its tests.

    pip install coverage
    python tests/bench/mutants.py --seed 1 --most 40 --packages rules,ledger --maps /tmp/maps

Prints the share noticed by package and every survivor with its place; passes or fails nothing. A mutation
is one change of one expression: a comparison, a sum, a constant, 'and' for 'or', a condition turned round.

A package's tests run once without a change, under coverage: which of them run a line, and how long each
takes, is its map (--maps keeps it; files of tests that change later are run anew, but delete it when the
program has changed). A mutant then meets only the tests that run its line, the quickest first, up to the
first that fails, in a process forked where everything but the program itself is imported already: seconds,
not minutes. A test that takes several times what it did counts as noticing, and is told. What no test of the
package runs, and what the seconds of --limit are not enough for, counts as not noticed, and is told too. The
tree itself is never touched: every worker has a copy of its own.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib
import json
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Generator, Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
COPIED = ("shopbins", "tests", "docs", "pyproject.toml", "sample_shop.yaml", "README.md", "DEVELOPERS.md")
TESTS = {
    "ledger": ["tests/ledger", "--ignore=tests/ledger/test_faults.py", "tests/records", "tests/strip"],
    "records": ["tests/records", "tests/strip", "tests/desk",
                "tests/cli/test_cli_refit.py", "tests/cli/test_cli_list.py", "tests/cli/test_three_doors.py",
                "tests/cli/test_cli_refused.py", "tests/cli/test_cli_corrections.py",
                "tests/cli/test_cli_pieces.py"],
    "strip": ["tests/strip", "tests/records", "tests/lists", "tests/reports", "tests/cli/test_cli_refit.py",
              "tests/outside/test_critical_path.py", "tests/outside/test_thread_tables.py",
              "tests/outside/test_order_networkx.py"],
    "lists": ["tests/lists", "tests/reports", "tests/cli/test_cli_refit.py"],
    "geometry": ["tests/geometry", "tests/kernel"],
    "kernel": ["tests/kernel", "tests/cli/test_fits_scene.py", "tests/outside/test_corners_closed_form.py",
               "tests/outside/test_pinch_closed_forms.py", "tests/outside/test_doors_closed_form.py"],
    "packing": ["tests/packing", "tests/outside/test_pallets.py", "tests/outside/test_squared_rectangles.py"],
    "rules": ["tests/rules", "tests/outside/test_niosh.py", "tests/outside/test_floor_loads.py",
              "tests/outside/test_us_exit_rules.py", "tests/outside/test_real_place_garage.py",
              "tests/outside/test_supports.py", "tests/outside/test_published_limits.py",
              "tests/cli/test_cli_audit.py", "tests/cli/test_cli_first_steps.py", "tests/tags/test_due.py"],
    "scene": ["tests/scene", "tests/rules"],
    "placing": ["tests/rules", "tests/desk"],
    "moves": ["tests/moves", "tests/desk/test_moving.py", "tests/cli/test_cli_move_wall.py",
              "tests/reports/test_movepdf.py", "tests/outside/test_slopes_and_pushes.py",
              "tests/outside/test_supports.py", "tests/outside/test_floor_loads.py",
              "tests/outside/test_move_in_a_real_place.py"],
}  # fmt: skip
"""The tests of each package, the quickest first."""

COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip

HAIR = 1e-6
"""A tolerance no larger is never doubled, as no test can tell the two apart; 1 is added to it instead."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: in which file, where, from what to what."""

    package: str
    file: str
    line: int
    lines: tuple[int, int]
    """First and last line of the statement it is in."""
    start: int
    end: int
    before: str
    after: str

    def __str__(self) -> str:
        shown = [" ".join(text.split())[:70] for text in (self.before, self.after)]
        return f"{self.file}:{self.line}: {shown[0]}  ->  {shown[1]}"


def changed(node: ast.expr, luck: random.Random) -> ast.expr | None:
    """Return an expression with one thing in it changed, None where there is nothing to change."""
    if isinstance(node, ast.Compare):
        n = luck.randrange(len(node.ops))
        ops = [COMPARED[type(op)]() if i == n else op for i, op in enumerate(node.ops)]
        return ast.Compare(node.left, ops, node.comparators)
    if isinstance(node, ast.BoolOp):
        return ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    if isinstance(node, ast.BinOp) and type(node.op) in RECKONED:
        return ast.BinOp(node.left, RECKONED[type(node.op)](), node.right)
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        return node.operand
    if isinstance(node, ast.IfExp):
        return ast.IfExp(node.test, node.orelse, node.body)
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        return ast.Constant(not node.value)
    if isinstance(node, ast.Constant) and isinstance(node.value, (int, float)):
        added = luck.random() < 0.5 or node.value <= HAIR
        return ast.Constant(node.value + 1 if added else node.value * 2)
    return None


def expressions(tree: ast.AST) -> Iterator[ast.expr]:
    """Go through what may be changed: no annotations, texts with values, decorators, or sizes of caches.

    How large a cache is changes no answer, and what runs only as a script no test imports.
    """
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg == "maxsize":
            skipped.update(map(id, ast.walk(node)))
        for name in ("annotation", "returns"):
            if (part := getattr(node, name, None)) is not None:
                skipped.update(map(id, ast.walk(part)))
        for each in getattr(node, "decorator_list", ()):
            skipped.update(map(id, ast.walk(each)))
        if isinstance(node, ast.JoinedStr) or (
            isinstance(node, ast.If)
            and any(getattr(each, "id", "") in ("TYPE_CHECKING", "__name__") for each in ast.walk(node.test))
        ):
            skipped.update(map(id, ast.walk(node)))
    yield from (each for each in ast.walk(tree) if isinstance(each, ast.expr) and id(each) not in skipped)


def statements(tree: ast.AST) -> dict[int, tuple[int, int]]:
    """Return, by the id of a node, the first and last line of its statement, less what that holds."""
    spans: dict[int, tuple[int, int]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = max(node.lineno, body[0].lineno - 1) if body else node.end_lineno or node.lineno
            spans.update((id(each), (node.lineno, last)) for each in ast.walk(node))
    return spans


def mutants(package: str, luck: random.Random) -> list[Mutant]:
    """Return every place of a package where something can be changed, each with one change, shuffled."""
    found = []
    for path in sorted((ROOT / "shopbins" / package).rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        starts = [0]
        for line in source.encode().splitlines(keepends=True):
            starts.append(starts[-1] + len(line))
        spans = statements(tree := ast.parse(source))
        for node in expressions(tree):
            new = changed(node, luck)
            if new is None or node.end_lineno is None or node.end_col_offset is None:
                continue
            start = starts[node.lineno - 1] + node.col_offset
            end = starts[node.end_lineno - 1] + node.end_col_offset
            before = source.encode()[start:end].decode()
            after = f"({ast.unparse(ast.fix_missing_locations(new))})"
            name = str(path.relative_to(ROOT))
            found.append(Mutant(package, name, node.lineno, spans[id(node)], start, end, before, after))
    luck.shuffle(found)
    return found


class Watch:
    """What stands by at a run: says whose lines run now, measures each test, and has it end in good time."""

    def __init__(self, tests: dict[str, float] | None = None, coverage: Any = None) -> None:
        self.tests = tests
        self.coverage = coverage
        self.took_s: dict[str, float] = {}
        self.failed: list[str] = []

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Keep the tests wanted, the quickest first."""
        if (tests := self.tests) is not None:
            items[:] = sorted(
                (each for each in items if each.nodeid in tests), key=lambda it: tests[it.nodeid]
            )

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        """Measure one test, or have it end where it takes several times what it did."""
        if self.coverage is not None:
            self.coverage.switch_context(item.nodeid)
        if self.tests is not None:
            signal.setitimer(signal.ITIMER_PROF, 3 + 5 * self.tests[item.nodeid])
        began = time.monotonic()
        try:
            return (yield)
        finally:
            self.took_s[item.nodeid] = time.monotonic() - began

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keep the names of those that fail."""
        if report.failed:
            self.failed.append(report.nodeid)


def pytested(copy: Path, watch: Watch, *arguments: str) -> int:
    """Run tests of a copy in this process, which was forked for it; return pytest's status."""
    os.chdir(copy)
    sys.path.insert(0, str(copy))
    os.environ["PYTHONPATH"] = str(copy)
    import hypothesis

    hypothesis.settings.register_profile(
        "mutants", derandomize=True, database=None, deadline=None,
        phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate])  # fmt: skip
    hypothesis.settings.load_profile("mutants")
    options = ["-q", "--no-header", "--tb=no", "--assert=plain", "-p", "no:xdist"]
    return int(pytest.main([*options, *arguments], plugins=[watch]))


def forked(work: Any, *arguments: Any) -> int:
    """Begin a process that does the work in silence and ends with what it returns; return its number."""
    if pid := os.fork():
        return pid
    status = 70
    try:
        os.setsid()
        nothing = os.open(os.devnull, os.O_RDWR)
        for each in (0, 1):
            os.dup2(nothing, each)
        status = work(*arguments)
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(status)


def files_of(copy: Path, package: str) -> dict[str, str]:
    """Return the files of a package's tests, each with the digest of what is in it."""
    given = TESTS[package]
    out = {each.removeprefix("--ignore=") for each in given if each.startswith("-")}
    found = [copy / each for each in given if not each.startswith("-")]
    paths = [
        path for each in found for path in (sorted(each.rglob("test_*.py")) if each.is_dir() else [each])
    ]
    names = {str(path.relative_to(copy)): path for path in paths if path.exists()}
    return {name: sha256(path.read_bytes()).hexdigest() for name, path in names.items() if name not in out}


def make_map(copy: Path, package: str, kept: Path) -> int:
    """Run a package's tests without a change, keep which runs which lines, and how long; 0 if that went.

    Only the files of tests that are new or another since they were kept are run.
    """
    import coverage

    files = files_of(copy, package)
    known: dict[str, Any] = {"files": {}, "took_s": {}, "lines": {}, "modules": []}
    if kept.exists():
        known = json.loads(kept.read_text(encoding="utf-8"))
    stays = {name for name, digest in files.items() if known["files"].get(name) == digest}
    if not (again := [name for name in files if name not in stays]):
        return 0
    watched = coverage.Coverage(data_file=None, include=[f"{copy}/shopbins/{package}/*"], config_file=False)
    watch = Watch(coverage=watched)
    watched.start()
    status = pytested(copy, watch, *again)
    watched.stop()
    if status > 1:
        return status
    if watch.failed:
        print("fail without any change, and are left out:", *watch.failed, file=sys.stderr)
    took_s = {name: took for name, took in watch.took_s.items() if name not in watch.failed}
    took_s |= {name: took for name, took in known["took_s"].items() if name.partition("::")[0] in stays}
    lines: dict[str, dict[str, list[str]]] = {}
    data = watched.get_data()
    for file in data.measured_files():
        for line, tests in data.contexts_by_lineno(file).items():
            lines.setdefault(str(Path(file).relative_to(copy)), {})[str(line)] = tests
    for name, runs in known["lines"].items():
        for line, tests in runs.items():
            there = lines.setdefault(name, {})
            there[line] = sorted({*there.get(line, ()), *(each for each in tests if each in took_s)})
    ready = [
        name
        for name, module in list(sys.modules.items())
        if (file := getattr(module, "__file__", None)) and not file.startswith(f"{copy}/")
    ]
    lines = {name: {line: [each for each in tests if each in took_s] for line, tests in runs.items()}
             for name, runs in lines.items()}  # fmt: skip
    whole = {"files": files, "took_s": took_s, "lines": lines, "modules": ready}
    kept.write_text(json.dumps(whole), encoding="utf-8")
    return 0


def meeting(mutant: Mutant, found: dict[str, Any]) -> dict[str, float]:
    """Return the tests a mutant meets, with the seconds each took.

    What runs only while the file is imported (a table, a default) meets every test that runs the file, and
    where nothing else is in the file every test of the package.
    """
    lines: dict[str, list[str]] = found["lines"].get(mutant.file, {})
    took_s: dict[str, float] = found["took_s"]
    for first, last in ((mutant.line, mutant.line + mutant.before.count("\n")), mutant.lines):
        span = [lines[str(n)] for n in range(first, last + 1) if str(n) in lines]
        if tests := {each for some in span for each in some}:
            return {each: took_s[each] for each in tests}
        if span:
            whole = {each for some in lines.values() for each in some} or set(took_s)
            return {each: took_s[each] for each in whole}
    return {}


def tested(copy: Path, tests: dict[str, float], limit_s: int) -> int:
    """Run the given tests in a copy, forked for it."""
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    signal.alarm(limit_s)
    resource.setrlimit(resource.RLIMIT_DATA, (1 << 32, 1 << 32))
    files = sorted({each.partition("::")[0] for each in tests})
    return pytested(copy, Watch(tests), "-x", *files)


def copied(folder: Path) -> Path:
    """Make a copy of the tree."""
    for name in COPIED:
        if (source := ROOT / name).is_dir():
            shutil.copytree(source, folder / name)
        else:
            shutil.copy2(source, folder / name)
    return folder


def run(
    chosen: list[Mutant], maps: dict[str, Any], copies: list[Path], limit_s: int
) -> Iterator[tuple[Mutant, str]]:
    """Run every mutant in one of the copies; give each with how it ended, in the order they end."""
    running: dict[int, tuple[Mutant, Path, bytes, os.stat_result]] = {}
    waiting = list(reversed(chosen))
    while waiting or running:
        if waiting and copies:
            mutant = waiting.pop()
            tests = meeting(mutant, maps[mutant.package])
            if not tests:
                yield mutant, "unrun"
                continue
            path = (copy := copies.pop()) / mutant.file
            whole, was = path.read_bytes(), path.stat()
            path.write_bytes(whole[: mutant.start] + mutant.after.encode() + whole[mutant.end :])
            running[forked(tested, copy, tests, limit_s)] = mutant, copy, whole, was
            continue
        pid, status = os.wait()
        with contextlib.suppress(ProcessLookupError):
            os.killpg(pid, signal.SIGKILL)
        mutant, copy, whole, was = running.pop(pid)
        (copy / mutant.file).write_bytes(whole)
        os.utime(copy / mutant.file, ns=(was.st_atime_ns, was.st_mtime_ns))
        copies.append(copy)
        signalled = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
        if signalled == signal.SIGALRM:
            yield mutant, "late"
        else:
            yield mutant, "slow" if signalled else "killed" if os.WEXITSTATUS(status) else "alive"


def main() -> None:
    """Mutate, run, and print what was noticed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--most", type=int, default=10, help="mutants a package")
    parser.add_argument("--first", type=int, default=0, help="leave out so many of them, run before")
    parser.add_argument("--packages", default="ledger,records,kernel,rules,moves")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--limit", type=int, default=300, help="seconds a mutant")
    parser.add_argument("--maps", type=Path, help="a folder that keeps the maps for the next run")
    args = parser.parse_args()
    packages = args.packages.split(",")
    chosen = [
        each
        for package in packages
        for each in mutants(package, random.Random(f"{args.seed} {package}"))[args.first : args.most]
    ]
    began = time.monotonic()
    results: list[tuple[Mutant, str]] = []
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copies = [copied(Path(folder) / str(n)) for n in range(args.jobs)]
        where = args.maps or Path(folder)
        where.mkdir(exist_ok=True)
        maps = {}
        for package in packages:
            kept = where / f"{package}.json"
            if os.waitpid(forked(make_map, copies[0], package, kept), 0)[1]:
                sys.exit(f"the tests of {package} fail without any change")
            maps[package] = json.loads(kept.read_text(encoding="utf-8"))
        for name in dict.fromkeys(each for found in maps.values() for each in found["modules"]):
            with contextlib.suppress(Exception):
                importlib.import_module(name)
        for mutant, result in run(chosen, maps, copies, args.limit):
            results.append((mutant, result))
            print(f"{result:6}  {mutant}", flush=True)
    print(f"\nseed {args.seed}, {len(results)} mutants, {time.monotonic() - began:.0f} s")
    for package in packages:
        own = [result for mutant, result in results if mutant.package == package]
        noticed = own.count("killed") + own.count("slow")
        share = 100 * noticed / max(1, len(own))
        print(f"{package:10} {noticed:3} of {len(own):3} noticed, {share:3.0f} %", end="")
        print(f" ({own.count('slow')} by taking too long); not noticed {own.count('alive')},", end="")
        print(f" run by no test {own.count('unrun')}, given up after {args.limit} s {own.count('late')}")


if __name__ == "__main__":
    main()
