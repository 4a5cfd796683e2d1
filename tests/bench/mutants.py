"""How much of a change to the program its tests notice: random single mutations, each run against its tests.

    python tests/bench/mutants.py --seed 1 --most 20 --packages records,ledger --jobs 2

Prints the share noticed by package and every survivor with its place; passes or fails nothing. A mutation
is one change of one expression: a comparison, a sum, a constant, 'and' for 'or', a condition turned round. A
run that takes longer than the limit counts as noticed, and is told. The tree itself is never touched: every
worker has a copy of its own.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from queue import Queue

ROOT = Path(__file__).parents[2]
COPIED = ("shopbins", "tests", "docs", "pyproject.toml", "sample_shop.yaml", "README.md", "DEVELOPERS.md")
TESTS = {
    "ledger": ["tests/ledger", "--ignore=tests/ledger/test_faults.py"],
    "records": ["tests/records", "tests/strip", "tests/desk",
                "tests/cli/test_cli_refit.py", "tests/cli/test_cli_list.py", "tests/cli/test_three_doors.py",
                "tests/cli/test_cli_refused.py"],
    "strip": ["tests/strip", "tests/cli/test_cli_refit.py", "tests/outside/test_critical_path.py",
              "tests/outside/test_order_networkx.py"],
    "lists": ["tests/lists", "tests/reports", "tests/cli/test_cli_refit.py"],
    "geometry": ["tests/geometry", "tests/kernel"],
    "kernel": ["tests/kernel", "tests/cli/test_fits_scene.py", "tests/outside/test_corners_closed_form.py",
               "tests/outside/test_pinch_closed_forms.py", "tests/outside/test_doors_closed_form.py"],
    "packing": ["tests/packing", "tests/outside/test_pallets.py", "tests/outside/test_squared_rectangles.py"],
    "rules": ["tests/rules", "tests/outside"],
    "placing": ["tests/rules", "tests/desk"],
    "moves": ["tests/moves", "tests/outside/test_slopes_and_pushes.py", "tests/outside/test_supports.py"],
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


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: in which file, where, from what to what."""

    package: str
    file: str
    line: int
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
        return ast.Constant(node.value + 1 if luck.random() < 0.5 or not node.value else node.value * 2)
    return None


def expressions(tree: ast.AST) -> Iterator[ast.expr]:
    """Go through what may be changed: no annotations, no texts with values in them."""
    skipped: set[int] = set()
    for node in ast.walk(tree):
        for name in ("annotation", "returns"):
            if (part := getattr(node, name, None)) is not None:
                skipped.update(map(id, ast.walk(part)))
        if isinstance(node, ast.JoinedStr) or (
            isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        ):
            skipped.update(map(id, ast.walk(node)))
    yield from (each for each in ast.walk(tree) if isinstance(each, ast.expr) and id(each) not in skipped)


def mutants(package: str, luck: random.Random) -> list[Mutant]:
    """Return every place of a package where something can be changed, each with one change, shuffled."""
    found = []
    for path in sorted((ROOT / "shopbins" / package).rglob("*.py")):
        source = path.read_text(encoding="utf-8")
        starts = [0]
        for line in source.encode().splitlines(keepends=True):
            starts.append(starts[-1] + len(line))
        for node in expressions(ast.parse(source)):
            new = changed(node, luck)
            if new is None or node.end_lineno is None or node.end_col_offset is None:
                continue
            start = starts[node.lineno - 1] + node.col_offset
            end = starts[node.end_lineno - 1] + node.end_col_offset
            before = source.encode()[start:end].decode()
            after = f"({ast.unparse(ast.fix_missing_locations(new))})"
            name = str(path.relative_to(ROOT))
            found.append(Mutant(package, name, node.lineno, start, end, before, after))
    luck.shuffle(found)
    return found


@contextmanager
def mutated(copy: Path, mutant: Mutant) -> Iterator[None]:
    """Have a copy of the tree with the change in it."""
    path = copy / mutant.file
    whole = path.read_bytes()
    path.write_bytes(whole[: mutant.start] + mutant.after.encode() + whole[mutant.end :])
    try:
        yield
    finally:
        path.write_bytes(whole)


def tested(copy: Path, package: str, limit_s: float) -> str:
    """Run a package's tests in a copy: 'killed', 'alive' or 'slow'."""
    tests = [each for each in TESTS[package] if each.startswith("-") or (copy / each).exists()]
    command = [sys.executable, "-m", "pytest", "-x", "-q", "--no-header", *tests]
    env = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(command, cwd=copy, env=env, start_new_session=True, **quiet) as running:
        try:
            return "killed" if running.wait(limit_s) else "alive"
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)
            return "slow"


def main() -> None:
    """Mutate, run, and print what was noticed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--most", type=int, default=10, help="mutants a package")
    parser.add_argument("--packages", default="ledger,records,kernel,rules,moves")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--limit", type=float, default=300.0, help="seconds a run")
    args = parser.parse_args()
    chosen = [
        each
        for package in args.packages.split(",")
        for each in mutants(package, random.Random(f"{args.seed} {package}"))[: args.most]
    ]
    began = time.monotonic()
    results: list[tuple[Mutant, str]] = []
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copies: Queue[Path] = Queue()
        for n in range(args.jobs):
            copy = Path(folder) / str(n)
            for name in COPIED:
                source = ROOT / name
                if source.is_dir():
                    shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
                else:
                    shutil.copy2(source, copy / name)
            copies.put(copy)

        def run(mutant: Mutant) -> tuple[Mutant, str]:
            copy = copies.get()
            try:
                with mutated(copy, mutant):
                    return mutant, tested(copy, mutant.package, args.limit)
            finally:
                copies.put(copy)

        whole = copies.get()
        for package in args.packages.split(","):
            if tested(whole, package, args.limit * 2) != "alive":
                sys.exit(f"the tests of {package} fail, or take too long, without any change")
        copies.put(whole)
        with ThreadPoolExecutor(args.jobs) as pool:
            for mutant, result in pool.map(run, chosen):
                results.append((mutant, result))
                print(f"{result:6}  {mutant}", flush=True)
    print(f"\nseed {args.seed}, {len(results)} mutants, {time.monotonic() - began:.0f} s")
    for package in args.packages.split(","):
        own = [result for mutant, result in results if mutant.package == package]
        noticed = sum(1 for each in own if each != "alive")
        slow = own.count("slow")
        print(f"{package:10} {noticed:3} of {len(own):3} noticed, {100 * noticed / max(1, len(own)):3.0f} %"
              + (f" ({slow} by taking too long)" if slow else ""))  # fmt: skip


if __name__ == "__main__":
    main()
