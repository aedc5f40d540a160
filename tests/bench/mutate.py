"""
Mutation testing of values, fold, ledgers and rules: small faults, put in one at a time.

Run: ``python tests/bench/mutate.py [--sample N] [--seed S] [--only PART]`` (it needs
fork, so Linux or macOS, and coverage).  First the tests below run once under coverage,
to learn which test reaches which line; then so many mutants are drawn by the seed, and
for each the tests that reach its line are run against it, those that touch the fewest
modules first.  A mutant that they don't notice is printed with its line.  Nothing in
the checkout is changed: the mutant is put in as the module is imported.

``--line planner/ledgers/bows.py:77`` runs every mutant of a line against all tests that
reach it, ``--also TEST`` against some first that were not there yet when it was learnt.

A mutant turns a comparison, an operator, a condition or a truth round, moves a whole
number by one, or leaves out a call, a ``not`` or a ``continue``.  Words, annotations
and docstrings are left alone: what a message says is held by other tests.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib
import importlib.machinery
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
PARTS = {
    "values": "planner/values/*.py", "fold": "planner/fold.py",
    "ledgers": "planner/ledgers/*.py", "rules": "planner/rules/*.py",
}  # fmt: skip
TESTS = (
    "tests/values", "tests/ledgers", "tests/rules",
    *(f"tests/commands/test_{name}.py" for name in (
        "bad_inputs", "odd_facts", "undo_again", "fair_day", "take_in", "what_if",
        "evening_log", "slips_of_the_finger", "told_straight", "late_entries",
        "restocks", "stock", "items", "cutting_command", "help", "golden_views",
    )),
)  # fmt: skip
MOST_TESTS = 24
"""Test functions run against one mutant at most, those of its own part first."""
FIRST_TESTS = 6
"""So many of them are tried first; the others only if those notice nothing."""
SLOW = "test_what_cannot_be_meant"
"""Comes last: it types hundreds of lines."""
PATIENCE = 240
"""Seconds after which a mutant counts as noticed: it never comes to an end."""
LAST_SAID = "/tmp/bows-mutants.txt"
"""What pytest said of the last mutant."""

SWAPS: Mapping[type, type] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Add: ast.Sub, ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv, ast.FloorDiv: ast.Mult, ast.Div: ast.Mult,
    ast.Mod: ast.FloorDiv, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip


class Mutant(NamedTuple):
    """One small fault: the file, the line, what it is, and the module with it."""

    path: str
    line: int
    what: str
    tree: ast.Module


class _Finder(ast.NodeVisitor):
    """Collects how each node might be made wrong; words and types are passed over."""

    def __init__(self) -> None:
        self.found: list[tuple[ast.AST, str, Callable[[ast.AST], None]]] = []

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for part in (*node.body, *node.args.defaults, *node.args.kw_defaults):
            if part is not None:
                self.visit(part)

    def visit_If(self, node: ast.If) -> None:
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return
        self._note(node, "condition turned round", _negate)
        self.generic_visit(node)

    def visit_IfExp(self, node: ast.IfExp) -> None:
        self._note(node, "condition turned round", _negate)
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        for at, op in enumerate(node.ops):
            if type(op) in SWAPS:
                name = f"{type(op).__name__} -> {SWAPS[type(op)].__name__}"
                self._note(node, name, lambda n, at=at: _swap_op(n, at))
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        self._operator(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        self._operator(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        self._operator(node)

    def _operator(self, node: Any) -> None:
        words = any(isinstance(n, ast.JoinedStr) or _is_word(n) for n in ast.walk(node))
        if type(node.op) in SWAPS and not words:
            name = f"{type(node.op).__name__} -> {SWAPS[type(node.op)].__name__}"
            self._note(node, name, _swap)
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.Not | ast.USub):
            name = f"{type(node.op).__name__} left out"
            self._note(node, name, _drop)
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool):
            self._note(node, f"{node.value} turned round", _turn)
        elif isinstance(node.value, int):
            self._note(node, f"{node.value} -> {node.value + 1}", _one_more)

    def visit_Expr(self, node: ast.Expr) -> None:
        if isinstance(node.value, ast.Call):
            self._note(node, f"left out: {ast.unparse(node)[:50]}", _leave_out)
        if not isinstance(node.value, ast.Constant):
            self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        return

    def _note(self, node: ast.AST, what: str, change: Callable[[Any], None]) -> None:
        self.found.append((node, what, change))


def _is_word(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str | bytes)


def _not(node: ast.expr) -> ast.expr:
    return ast.UnaryOp(ast.Not(), node)


def _negate(node: Any) -> None:
    node.test = _not(node.test)


def _drop(node: Any) -> None:
    if isinstance(node.op, ast.USub):
        node.op = ast.UAdd()
    else:
        node.operand = _not(node.operand)


def _swap(node: Any) -> None:
    node.op = SWAPS[type(node.op)]()


def _swap_op(node: Any, at: int) -> None:
    node.ops[at] = SWAPS[type(node.ops[at])]()


def _turn(node: Any) -> None:
    node.value = not node.value


def _one_more(node: Any) -> None:
    node.value += 1


def _leave_out(node: Any) -> None:
    node.value = ast.Constant(None)


def mutants_of(path: Path) -> Iterator[Callable[[], Mutant]]:
    """Give every mutant of a module, each made when it is called for."""
    tree = ast.parse(path.read_text("utf-8"))
    finder = _Finder()
    finder.visit(tree)
    for number, (node, what, _) in enumerate(finder.found):
        yield lambda number=number, line=node.lineno, what=what: Mutant(
            str(path), line, what, _made(tree, number)
        )


def mutants_at(place: str) -> Iterator[Mutant]:
    """Make every mutant of a line, told as ``planner/fold.py:12``."""
    name, _, line = place.rpartition(":")
    made = (one() for one in mutants_of(ROOT / name))
    return (mutant for mutant in made if mutant.line == int(line))


def _made(tree: ast.Module, number: int) -> ast.Module:
    again = copy.deepcopy(tree)
    finder = _Finder()
    finder.visit(again)
    node, _, change = finder.found[number]
    change(node)
    return ast.fix_missing_locations(again)


# -- running ---------------------------------------------------------------------------


def learn(data: Path) -> None:
    """Run the tests once under coverage, noting which reach which line."""
    settings = data.with_suffix(".rc")
    settings.write_text(f"[run]\nsource = planner\ndata_file = {data}\n")
    command = [
        sys.executable, "-m", "coverage", "run", f"--rcfile={settings}", "-m", "pytest",
        "-q", "-p", "tests.bench.mutate", *TESTS,
    ]  # fmt: skip
    subprocess.run(command, cwd=ROOT, check=False, env=_env())


def pytest_runtest_logstart(nodeid: str) -> None:
    """Note what runs from here on as reached by this test, its fixtures too."""
    from coverage import Coverage

    if (running := Coverage.current()) is not None:
        running.switch_context(nodeid.partition("[")[0])


def _env() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT)}


def reaching(data: Path) -> Callable[[str, int], list[str]]:
    """Give a look-up of the tests that reach a line."""
    from coverage import CoverageData

    kept = CoverageData(str(data))
    kept.read()
    measured = {Path(name).relative_to(_root(name)).as_posix(): name
                for name in kept.measured_files()}  # fmt: skip
    by_line: dict[str, Mapping[int, list[str]]] = {}
    breadth = _breadth(data)

    def look(path: str, line: int) -> list[str]:
        name = Path(path).relative_to(ROOT).as_posix()
        if name not in measured:
            return []
        if name not in by_line:
            by_line[name] = kept.contexts_by_lineno(measured[name])
        lines = by_line[name]
        if _is_in_function(Path(path), line):
            tests = set(lines.get(line, []))
        else:  # run when it is imported, and meant for whatever uses the module
            tests = {one for some in lines.values() for one in some}
        here = f"tests/{name.split('/')[1].removesuffix('.py')}/"
        return sorted(
            tests - {""},
            key=lambda t: (
                SLOW in t,
                not t.startswith(here),
                breadth[t],
                t,
            ),
        )

    return look


def _is_in_function(path: Path, line: int) -> bool:
    tree = ast.parse(path.read_text("utf-8"))
    return any(
        node.body[0].lineno <= line <= (node.end_lineno or 0)
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
    )


def _breadth(data: Path) -> dict[str, int]:
    """Say how many modules each test touches: those of few are the quick ones."""
    count = (
        "SELECT context.context, count(*) FROM line_bits"
        " JOIN context ON context.id = context_id GROUP BY context_id"
    )
    with closing(sqlite3.connect(data)) as learnt:
        return dict(learnt.execute(count))


def _root(name: str) -> str:
    return name[: name.rindex("/planner/")]


def noticed(mutant: Mutant, tests: list[str]) -> bool:
    """Run tests against a mutant in a process of its own; say whether one fails."""
    child = os.fork()
    if child == 0:
        _become(mutant, tests)
    began = time.monotonic()
    while time.monotonic() - began < PATIENCE:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) != 0
        time.sleep(0.05)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


def _become(mutant: Mutant, tests: list[str]) -> None:
    import pytest
    from hypothesis import Phase, settings

    # A slow example is no fault found, one mutant's example is none of the next's, and
    # that there is one is enough: it needn't be made small.
    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("mutants", deadline=None, database=None, phases=phases)
    settings.load_profile("mutants")

    usual = importlib.machinery.SourceFileLoader.get_code

    def get_code(loader: Any, name: str) -> Any:
        if loader.path == mutant.path:
            return compile(mutant.tree, mutant.path, "exec")
        return usual(loader, name)

    importlib.machinery.SourceFileLoader.get_code = get_code
    silent = os.open(LAST_SAID, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    os.chdir(ROOT)
    calm = ("-W", "ignore::pytest.PytestAssertRewriteWarning")  # hypothesis is in
    code = pytest.main(["-q", "-x", "-p", "no:cacheprovider", *calm, *tests])
    # 0 all passed, 5 none found: nobody noticed; anything else is a test that failed.
    os._exit(0 if int(code) in (0, 5) else 1)


def main() -> None:
    """Draw mutants, run their tests, and print the score and the survivors."""
    words = argparse.ArgumentParser()
    words.add_argument("--sample", type=int, default=60, help="mutants a part")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--only", choices=PARTS, action="append")
    words.add_argument("--line", action="append", help="FILE:LINE, all its mutants")
    words.add_argument(
        "--also", action="append", default=[], help="run this test first"
    )
    words.add_argument("--data", type=Path, default=Path("/tmp/bows-mutants.data"))
    told = words.parse_args()
    sys.path.insert(0, str(ROOT))
    if not told.data.exists():
        learn(told.data)
    look = reaching(told.data)
    for name in ("pydantic", "pytest", "typer"):  # once, before any fork
        importlib.import_module(name)
    if told.line:
        chosen = [one for place in told.line for one in mutants_at(place)]
        score(
            "these", chosen, len(chosen), lambda *at: told.also + look(*at), most=None
        )
        return
    for part in told.only or PARTS:
        paths = sorted(ROOT.glob(PARTS[part]))
        every = [one for path in paths for one in mutants_of(path)]
        drawn = Random(told.seed).sample(every, min(told.sample, len(every)))
        score(part, [one() for one in drawn], len(every), look)


def _see_that_all_is_well(
    drawn: list[Mutant], look: Callable[[str, int], list[str]]
) -> None:
    """Without a mutant the tests must pass, or every mutant would seem noticed."""
    for mutant in drawn:
        tests = look(mutant.path, mutant.line)[:FIRST_TESTS]
        sound = mutant._replace(tree=ast.parse(Path(mutant.path).read_text("utf-8")))
        if tests and noticed(sound, tests):
            raise SystemExit(f"without any mutant one of these fails: {tests}")


def score(
    part: str, drawn: list[Mutant], of: int, look: Callable[[str, int], list[str]],
    *, most: int | None = MOST_TESTS,
) -> None:  # fmt: skip
    """Run one part's mutants and print what came of them."""
    _see_that_all_is_well(drawn[:2], look)
    left = []
    for mutant in drawn:
        tests = look(mutant.path, mutant.line)[:most]
        print(f"  {mutant.path.rpartition('/')[2]}:{mutant.line}", file=sys.stderr)
        tries = tests[:FIRST_TESTS], tests[FIRST_TESTS:]
        if not any(noticed(mutant, some) for some in tries if some):
            left.append(mutant)
            reach = f"{len(tests) or 'no'} tests of these reach it"
            name = Path(mutant.path).relative_to(ROOT)
            print(f"  {name}:{mutant.line}: {mutant.what} ({reach})", flush=True)
    killed = len(drawn) - len(left)
    print(f"{part}: {killed} of {len(drawn)} noticed, drawn from {of:,}", flush=True)


if __name__ == "__main__":
    main()
