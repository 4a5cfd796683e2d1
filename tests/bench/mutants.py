"""How much of a change to the program its tests notice: random single mutations, each run against its tests.

    pip install coverage
    python tests/bench/mutants.py --seed 1 --most 40 --packages rules,ledger --maps /tmp/maps
    python tests/bench/mutants.py --only shopbins/rules/doors.py:170 --maps /tmp/maps

Prints the share noticed by package and every survivor with its place; passes or fails nothing. A mutation
is one change of one expression: a comparison, a sum, a constant, 'and' for 'or', a condition turned round.
Left out is what no test can mind: sentences for people, annotations, '<' or '<=' where a tolerance is added,
and the changes of mutants_equal.txt, which answer the same, looked at one by one. Its lines that begin with
'#' say why.

The tests run once without a change, under coverage: which of them run a line, and how long each takes, is the
map (--maps keeps it; only files of tests that are new or another are run anew, and lines that moved are found
again). Tests longer than --quick are left out. Then the tests are collected once; for each mutant that
process is forked, the code of the changed function put in place of the old one, and the tests that run its
line are run, the quickest of every file first, up to the first that fails. What runs only while a file is
imported (a table, a default) is changed before the import, in a process forked before any of it. A test that
takes several times what it did counts as noticing. What no test runs, and what --limit is not enough for,
counts as not noticed, and is told apart. How each ends is told at once on the standard error.
The tree itself is never touched: all runs in a copy.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import gc
import importlib
import importlib.machinery
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
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
COPIED = ("shopbins", "tests", "docs", "pyproject.toml", "sample_shop.yaml", "README.md", "DEVELOPERS.md")
EQUAL = Path(__file__).with_name("mutants_equal.txt")
TESTS = {
    "ledger": ["tests/ledger", "--ignore=tests/ledger/test_faults.py", "tests/records", "tests/strip",
               "tests/tags/test_due.py"],
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
              "tests/outside/test_slopes_and_pushes.py",
              "tests/cli/test_cli_audit.py", "tests/cli/test_cli_first_steps.py", "tests/tags/test_due.py"],
    "scene": ["tests/scene", "tests/rules"],
    "placing": ["tests/placing", "tests/rules", "tests/desk"],
    "moves": ["tests/moves", "tests/desk/test_moving.py", "tests/cli/test_cli_move_wall.py",
              "tests/reports/test_movepdf.py", "tests/outside/test_slopes_and_pushes.py",
              "tests/outside/test_supports.py", "tests/outside/test_floor_loads.py",
              "tests/outside/test_move_in_a_real_place.py"],
}  # fmt: skip
"""The tests of each package."""

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


def change(node: ast.expr, luck: random.Random) -> bool:
    """Change one thing in an expression, in place; False where there is nothing to change."""
    match node:
        case ast.BinOp(right=right) if is_hair(right):
            return False
        case ast.Compare():
            n = luck.randrange(len(node.ops))
            if isinstance(node.ops[n], ast.Lt | ast.LtE | ast.Gt | ast.GtE) and is_slack(node):
                return False
            node.ops[n] = COMPARED[type(node.ops[n])]()
        case ast.BoolOp():
            node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        case ast.BinOp() if type(node.op) in RECKONED:
            node.op = RECKONED[type(node.op)]()
        case ast.UnaryOp(op=ast.Not()):
            node.operand = ast.copy_location(ast.UnaryOp(ast.Not(), node.operand), node)
        case ast.UnaryOp(op=ast.USub()):
            node.op = ast.UAdd()
        case ast.IfExp():
            node.body, node.orelse = node.orelse, node.body
        case ast.Constant(value=bool()):
            node.value = not node.value
        case ast.Constant(value=int() | float()):
            added = luck.random() < 0.5 or node.value <= HAIR
            node.value = node.value + 1 if added else node.value * 2
        case _:
            return False
    return True


def is_hair(node: ast.expr) -> bool:
    """Tell whether an expression is a tolerance no test can tell from none: 1e-9, 1 + 1e-9, HAIR."""
    match node:
        case ast.Constant(value=float() as value):
            return 0 < value <= HAIR
        case ast.BinOp(left=ast.Constant(value=1), right=right):
            return is_hair(right)
        case ast.Name(id="HAIR" | "_HAIR" | "_TINY"):
            return True
    return False


def is_slack(node: ast.AST) -> bool:
    """Tell whether a comparison has a tolerance in it: nothing meets it to the last bit, < and <= are one."""
    return any(
        (isinstance(each, ast.expr) and is_hair(each))
        or (isinstance(each, ast.Name) and each.id in ("HAIR_MM", "TOLERANCE_MM"))
        for each in ast.walk(node)
    )


def passed_over(node: ast.AST) -> Iterator[ast.AST]:
    """Go through what below a node no test can mind: sentences, annotations, decorators, sizes of caches.

    Nor whether two lists are held to be equally long (`strict`), nor what runs only where a file is started
    as a script.
    """
    match node:
        case ast.JoinedStr() | ast.Raise() | ast.keyword(arg="maxsize" | "strict"):
            yield node
        case ast.Call(func=ast.Attribute(attr="reshape"), args=sizes):  # numpy reads -2 as it reads -1
            yield from (each.operand for each in sizes if isinstance(each, ast.UnaryOp))
        case ast.If() if {getattr(each, "id", "") for each in ast.walk(node.test)} & {
            "TYPE_CHECKING",
            "__name__",
        }:
            yield node
    for name in ("annotation", "returns"):
        if part := getattr(node, name, None):
            yield part
    yield from getattr(node, "decorator_list", ())


def statements(tree: ast.AST) -> dict[int, tuple[int, int]]:
    """Return, by the id of a node, the first and last line of its statement, less what that holds."""
    spans: dict[int, tuple[int, int]] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = max(node.lineno, body[0].lineno - 1) if body else node.end_lineno or node.lineno
            spans.update((id(each), (node.lineno, last)) for each in ast.walk(node))
    return spans


def standing_in(node: ast.expr, above: dict[int, ast.AST]) -> ast.AST:
    """Return what a change is said with: of a number the expression it stands in, but for tables."""
    found: ast.AST = node
    while isinstance(found, ast.Constant | ast.Slice | ast.keyword):
        found = above[id(found)]
        if not isinstance(found, ast.expr | ast.keyword) or isinstance(
            found, ast.Tuple | ast.List | ast.Dict
        ):
            return node
    return found


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: in which file, which of its nodes, by what luck, and what it is."""

    file: str
    node: int
    luck: int
    lines: tuple[tuple[int, int], tuple[int, int]]
    """First and last line of the expression, and of its statement."""
    said: str

    def __str__(self) -> str:
        return f"{self.file}:{self.lines[0][0]}: {self.said}"

    def code(self) -> tuple[CodeType, CodeType]:
        """Return the compiled file as it is and as changed."""
        path = Path.cwd() / self.file
        tree = ast.parse(path.read_text(encoding="utf-8"))
        was = compile(tree, path, "exec")
        node = list(ast.walk(tree))[self.node]
        assert isinstance(node, ast.expr)
        change(node, random.Random(self.luck))
        return was, compile(tree, path, "exec")


def mutants(package: str, luck: random.Random) -> list[Mutant]:
    """Return every place of a package where something can be changed, each with one change, shuffled."""
    equal = EQUAL.read_text(encoding="utf-8").splitlines()
    found = []
    for path in sorted(Path("shopbins", package).rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        spans = statements(tree)
        above = {id(each): node for node in ast.walk(tree) for each in ast.iter_child_nodes(node)}
        skipped = {id(each) for node in ast.walk(tree) for top in passed_over(node) for each in ast.walk(top)}
        for n, node in enumerate(list(ast.walk(tree))):
            if not isinstance(node, ast.expr) or id(node) in skipped:
                continue
            seed, whole = luck.randrange(1 << 30), standing_in(node, above)
            copies: dict[int, Any] = {}
            changed = copy.deepcopy(whole, copies)
            if not change(copies[id(node)], random.Random(seed)):
                continue
            file, said = str(path), f"{ast.unparse(whole)}  ->  {ast.unparse(changed)}"
            if f"{file}: {said}" not in equal:
                lines = (node.lineno, node.end_lineno or node.lineno), spans[id(node)]
                found.append(Mutant(file, n, seed, lines, said))
    luck.shuffle(found)
    return found


class Watch:
    """What stands by at a run of pytest: measures each test, has it end in good time, keeps what failed."""

    def __init__(self, most_s: Callable[[str], float], coverage: Any = None) -> None:
        self.most_s = most_s
        self.coverage = coverage
        self.took_s: dict[str, float] = {}
        self.failed: set[str] = set()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        """Measure one test's processor time, or have it end where that is too much."""
        if self.coverage is not None:
            self.coverage.switch_context(item.nodeid)
        began = sum(os.times()[:4])
        signal.setitimer(signal.ITIMER_PROF, self.most_s(item.nodeid), 1)
        try:
            return (yield)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            self.took_s[item.nodeid] = sum(os.times()[:4]) - began

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keep the names of those that fail."""
        if report.failed:
            self.failed.add(report.nodeid)


class OneByOne(Watch):
    """Collects tests once; then runs those each mutant meets, in a process of its own."""

    def __init__(
        self, found: dict[str, Any], limit_s: float, jobs: list[tuple[Mutant | None, list[str]]]
    ) -> None:
        super().__init__(lambda test: 3 + 5 * found["took_s"][test])
        self.limit_s, self.jobs = limit_s, jobs
        self.ended: list[str] = []

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run every job in a process of its own."""
        items = {each.nodeid: each for each in session.items}
        gc.unfreeze()
        live: dict[CodeType, list[FunctionType]] = {}
        for each in gc.get_objects():
            if isinstance(each, FunctionType):
                live.setdefault(each.__code__, []).append(each)
        gc.freeze()
        for mutant, tests in self.jobs:
            self.ended.append(forked(self.run_one, mutant, [items[each] for each in tests], live))
            if mutant is not None:
                print(self.ended[-1], mutant, sep="  ", file=sys.stderr, flush=True)
        return True

    def run_one(
        self, mutant: Mutant | None, items: list[pytest.Item], live: dict[CodeType, list[FunctionType]]
    ) -> str:
        """Run one mutant's tests; return how it ended."""
        if mutant is not None and not swapped(*mutant.code(), live):
            return "import"
        limited(self.limit_s)
        began = time.process_time()
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.failed:
                return f"killed by {item.nodeid}"
            if time.process_time() - began > self.limit_s:
                return "late"
        return "alive"


def swapped(was: CodeType, new: CodeType, live: dict[CodeType, list[FunctionType]]) -> bool:
    """Put changed code in place of what live functions run; False where no function has it."""
    if was == new:
        return False
    done = False
    for function in live.get(was, ()):
        function.__code__ = new
        done = True
    inner = [
        swapped(a, b, live)
        for a, b in zip(was.co_consts, new.co_consts, strict=False)
        if isinstance(a, CodeType) and isinstance(b, CodeType)
    ]
    return done or any(inner)


def limited(limit_s: float) -> None:
    """Bound what this process may take, of the clock and of memory."""
    signal.alarm(int(10 * limit_s))
    resource.setrlimit(resource.RLIMIT_DATA, (1 << 32, 1 << 32))


def forked(work: Callable[..., Any], *arguments: Any) -> Any:
    """Do the work in silence, in a process of its own; return what it returns, 'slow' where it was ended."""
    reading, writing = os.pipe()
    if not (pid := os.fork()):
        try:
            os.setsid()
            os.dup2(os.open(os.devnull, os.O_RDWR), 1)
            signal.signal(signal.SIGPROF, signal.SIG_DFL)
            said = json.dumps(work(*arguments)).encode()
            with os.fdopen(writing, "wb") as pipe:
                pipe.write(said)
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        said = pipe.read()
    _, status = os.waitpid(pid, 0)
    with contextlib.suppress(ProcessLookupError):
        os.killpg(pid, signal.SIGKILL)
    if os.WIFSIGNALED(status):
        return "late" if os.WTERMSIG(status) == signal.SIGALRM else "slow"
    return json.loads(said) if said else None


def pytested(watch: Watch, *arguments: str) -> None:
    """Run tests of the copy, where this process is."""
    import hypothesis

    hypothesis.settings.register_profile(
        "mutants", derandomize=True, database=None, deadline=None,
        phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate])  # fmt: skip
    hypothesis.settings.load_profile("mutants")
    pytest.main(
        ["-q", "--no-header", "--tb=no", "--assert=plain", "-p", "no:xdist", "-s", *arguments],
        plugins=[watch],
    )


def files_of(package: str) -> dict[str, str]:
    """Return the files of a package's tests, each with a digest of what is in it."""
    given = TESTS[package]
    out = {each.removeprefix("--ignore=") for each in given if each.startswith("-")}
    found = [Path(each) for each in given if not each.startswith("-")]
    paths = [
        path for each in found for path in (sorted(each.rglob("test_*.py")) if each.is_dir() else [each])
    ]
    return {
        str(path): sha256(path.read_bytes()).hexdigest()
        for path in paths
        if path.exists() and str(path) not in out
    }


def too_long(number: int, frame: Any) -> None:
    """End a test that runs too long for the map."""
    raise TimeoutError


def mapped(files: dict[str, str], known: dict[str, Any], quick_s: float) -> dict[str, Any]:
    """Run files of tests without a change; return which test runs which lines, and how long it takes.

    Only those that are new or another since the map known was made are run.
    """
    import coverage

    texts = {str(path): path.read_text(encoding="utf-8") for path in sorted(Path("shopbins").rglob("*.py"))}
    known = known or {"files": {}, "took_s": {}, "lines": {}, "modules": [], "texts": texts}
    if not (again := [name for name, is_now in files.items() if known["files"].get(name) != is_now]):
        return known
    took_s = {test: took for test, took in known["took_s"].items() if test.partition("::")[0] not in again}
    lines = {
        test: {
            name: moved(numbers, known["texts"][name], texts[name])
            for name, numbers in each.items()
            if name in texts
        }
        for test, each in known["lines"].items()
        if test.partition("::")[0] not in again
    }
    watched = coverage.Coverage(data_file=None, include=[f"{Path.cwd()}/shopbins/*"], config_file=False)
    watch = Watch(lambda test: 2 * quick_s, watched)
    signal.signal(signal.SIGPROF, too_long)
    watched.start()
    pytested(watch, *again)
    watched.stop()
    left_out = {test for test, took in watch.took_s.items() if took >= quick_s} | watch.failed
    print("fail or are too slow, and are left out:", *sorted(left_out), file=sys.stderr, sep="\n  ")
    took_s |= {test: took for test, took in watch.took_s.items() if test not in left_out}
    data = watched.get_data()
    for file in data.measured_files():
        name = str(Path(file).relative_to(Path.cwd()))
        for number, tests in data.contexts_by_lineno(file).items():
            for test in tests:
                lines.setdefault(test, {}).setdefault(name, []).append(number)
    third = {
        name for name, module in list(sys.modules.items())
        if (file := getattr(module, "__file__", None)) and not file.startswith(f"{Path.cwd()}/")
    }  # fmt: skip
    modules = sorted({*known["modules"], *third})
    return {
        "files": known["files"] | files,
        "texts": texts,
        "took_s": took_s,
        "lines": lines,
        "modules": modules,
    }


def moved(numbers: list[int], before: str, now: str) -> list[int]:
    """Return where lines of a text are in another version of it; those that are gone are left out."""
    if before == now:
        return numbers
    places = _places(before, now)
    return [places[n] for n in numbers if n in places]


@cache
def _places(before: str, now: str) -> dict[int, int]:
    blocks = SequenceMatcher(
        None, before.splitlines(), now.splitlines(), autojunk=False
    ).get_matching_blocks()
    return {a + n + 1: b + n + 1 for a, b, size in blocks for n in range(size)}


@dataclass(frozen=True, slots=True)
class Met:
    """The tests a mutant meets, in the order they are run, and whether its line runs only at the import."""

    tests: list[str]
    at_import: bool = False


def meeting(mutant: Mutant, files: dict[str, str], found: dict[str, Any]) -> Met:
    """Return what a mutant meets, the quickest of every file first.

    After those that run its line come the others of their files: they may share what was made in the first.
    What runs only at the import meets every test that runs its file, or one that imports from it.
    """
    took_s = {test: took for test, took in found["took_s"].items() if test.partition("::")[0] in files}
    now, before = Path(mutant.file).read_text(encoding="utf-8"), found["texts"].get(mutant.file, "")
    runs = {
        test: set(moved(each[mutant.file], before, now))
        for test, each in found["lines"].items()
        if mutant.file in each
    }
    imported = runs.pop("", set())
    known = set(_places(before, now).values())

    def quickest(tests: set[str]) -> list[str]:
        """Put the three quickest of every file first, then the next three: tests of one file look alike."""
        of_file: dict[str, int] = {}
        turn = {}
        for test in sorted(tests, key=lambda test: took_s[test]):
            file = test.partition("::")[0]
            turn[test] = of_file[file] = of_file.get(file, -1) + 1
        return sorted(tests, key=lambda test: (turn[test] // 3, took_s[test]))

    for first, last in mutant.lines:
        span = set(range(first, last + 1))
        while before != now and not span & known and first > 1:
            first -= 1  # new since the map: taken as run by what runs the nearest line above that is not
            span.add(first)
        if tests := {test for test, numbers in runs.items() if test in took_s and span & numbers}:
            shared = {test.partition("::")[0] for test in tests}
            beside = {test for test in took_s if test.partition("::")[0] in shared} - tests
            return Met(quickest(tests) + quickest(beside))
    if any(set(range(first, last + 1)) & imported for first, last in mutant.lines):
        users = {mutant.file, *importing(mutant.file)}
        tests = {test for test, each in found["lines"].items() if test in took_s and users & each.keys()}
        return Met(quickest(tests or set(took_s)), at_import=True)
    return Met([])


def importing(file: str) -> Iterator[str]:
    """Go through the files of the program that import from one: what a table is for runs in them."""
    name = file.removesuffix(".py").replace("/", ".")
    for path in Path("shopbins").rglob("*.py"):
        if f"from {name} import" in path.read_text(encoding="utf-8"):
            yield str(path)


def changed_before_import(mutant: Mutant, tests: list[str], found: dict[str, Any], limit_s: float) -> str:
    """Import the program with the change in it and run the tests; return how that ended."""
    _, new = mutant.code()
    path = str(Path.cwd() / mutant.file)
    kept = importlib.machinery.SourceFileLoader.get_code

    def get_code(self: Any, name: str) -> CodeType | None:
        return new if self.path == path else kept(self, name)

    importlib.machinery.SourceFileLoader.get_code = get_code  # type: ignore[method-assign]
    running = OneByOne(found, limit_s, [(None, tests)])
    pytested(running, *sorted({each.partition("::")[0] for each in tests}))
    return running.ended[0] if running.ended and running.ended[0] else "killed at the import"


def run(
    chosen: list[Mutant], files: dict[str, str], found: dict[str, Any], limit_s: float
) -> Iterator[tuple[Mutant, str]]:
    """Run every mutant; give each with how it ended."""
    met = {mutant: meeting(mutant, files, found) for mutant in chosen}
    placed = [mutant for mutant in chosen if met[mutant].tests and not met[mutant].at_import]

    def in_place() -> list[str]:
        running = OneByOne(found, limit_s, [(mutant, met[mutant].tests) for mutant in placed])
        pytested(running, *sorted({test.partition("::")[0] for each in placed for test in met[each].tests}))
        return running.ended

    ended = dict(zip(placed, forked(in_place) if placed else [], strict=True))
    for mutant in chosen:
        how = ended.get(mutant, "import" if met[mutant].tests else "unrun")
        if how == "import":
            how = forked(changed_before_import, mutant, met[mutant].tests, found, limit_s)
        yield mutant, how or "killed"


def main() -> None:
    """Mutate, run, and print what was noticed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--most", type=int, default=10, help="mutants a package")
    parser.add_argument("--first", type=int, default=0, help="leave out so many of them, run before")
    parser.add_argument("--packages", default="ledger,records,kernel,rules,moves")
    parser.add_argument(
        "--only", nargs="+", metavar="FILE:LINE", help="every change of these lines, and no other"
    )
    parser.add_argument("--quick", type=float, default=1, help="seconds the tests take at most, each")
    parser.add_argument("--limit", type=float, default=60, help="seconds of the processor a mutant")
    parser.add_argument("--maps", type=Path, help="a folder that keeps the maps for the next run")
    args = parser.parse_args()
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        kept = (args.maps or Path(folder)).absolute()
        kept.mkdir(exist_ok=True)
        place = Path(folder) / "copy"
        place.mkdir()
        for name in COPIED:
            (shutil.copytree if (ROOT / name).is_dir() else shutil.copy2)(ROOT / name, place / name)
        os.chdir(place)
        sys.path.insert(0, str(place))
        os.environ["PYTHONPATH"] = str(place)
        for package in (
            sorted({each.split("/")[1] for each in args.only}) if args.only else args.packages.split(",")
        ):
            chosen = mutants(package, random.Random(f"{args.seed} {package}"))
            if args.only:
                chosen = [each for each in chosen if f"{each.file}:{each.lines[0][0]}" in args.only]
            else:
                chosen = chosen[args.first : args.most]
            path, files = kept / "map.json", files_of(package)
            known = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
            if not isinstance(found := forked(mapped, files, known, args.quick), dict):
                sys.exit(f"the tests of {package} do not run without any change")
            path.write_text(json.dumps(found), encoding="utf-8")
            for name in found["modules"]:
                with contextlib.suppress(Exception):
                    importlib.import_module(name)
            told(package, args.seed, run(chosen, files, found, args.limit))


def told(package: str, seed: int, results: Iterator[tuple[Mutant, str]]) -> None:
    """Print how each ended, and the share."""
    ended = []
    for mutant, how in results:
        ended.append(how)
        print(f"{how}  {mutant}", flush=True)
    noticed = sum(how.startswith(("killed", "slow")) for how in ended)
    share = f"{100 * noticed / max(1, len(ended)):.0f} %"
    print(f"{package} seed {seed}: {noticed} of {len(ended)} noticed, {share};", end="")
    print(f" not noticed {ended.count('alive')}, run by no test {ended.count('unrun')},", end="")
    print(f" not decided {ended.count('late')}", flush=True)


if __name__ == "__main__":
    main()
