"""The house keeps its order: who may import whom, and who may touch the world."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from statistics import median, quantiles

import pydantic
import pytest
import typer

import planner

HOUSE = Path(planner.__file__).parent
ROOT = Path(__file__).resolve().parents[1]

RANKS = {
    "errors": 0, "values": 1, "events": 2, "log": 3, "ledgers": 3, "fold": 4,
    "plans": 5, "rules": 6, "engines": 6, "scenario": 6, "views": 7, "pages": 8,
    "commands": 9,
}  # fmt: skip
"""A part of the house imports itself and what has a lower rank."""

FROM_THE_LOG = {
    ("rules", "planner.log.codec"),  # to read the bodies that a correction names
    ("rules", "planner.log.ids"),  # to give a row taken in its own id
    ("rules", "planner.log.people"),  # to seal words about a person
    ("scenario", "planner.log.people"),
    ("views", "planner.log.chain"),  # the head, printed at the foot of every report
}
"""The log is for the commands; these alone look at parts of it, all of them pure."""

OUTSIDE = {
    "typer": {"commands"}, "jinja2": {"pages"}, "markupsafe": {"pages"},
    "sqlite3": {"commands", "log"}, "sqlite_utils": {"commands", "log"},
    "platformdirs": {"commands"}, "numpy": {"engines"}, "scipy": {"engines"},
    "pydantic_core": {"log"},
    "pydantic": {"events", "log", "scenario", "views"},
}  # fmt: skip
"""Packages that only these parts of the house may use."""

SHELL = {
    "log/store.py", "log/people.py", "log/cache.py", "log/backup.py", "log/export.py",
    "log/files.py", "log/opening.py", "log/rescue.py", "log/upgrade.py", "pages.py",
}  # fmt: skip
"""Besides commands/, the modules that may touch files; all else is pure."""

TOUCHING = {
    "open", "input", "print", "read_text", "read_bytes", "write_text", "write_bytes",
    "mkdir", "unlink", "touch", "rename", "iterdir", "glob", "rglob", "exists",
    "is_file", "is_dir", "getenv", "urandom", "now", "utcnow", "today", "time_ns",
    "perf_counter", "monotonic", "process_time", "sleep", "token_bytes", "token_hex",
    "randbelow", "uuid1", "uuid4", "Popen", "system", "mkstemp", "mkdtemp",
}  # fmt: skip
"""Calls by these names read a file, the clock, the surroundings or chance."""

WORLD = {"os.environ", "sys.argv", "sys.stdin", "sys.stdout", "sys.stderr"}
BARRED = {
    "socket", "subprocess", "urllib", "http", "requests", "secrets", "tempfile",
    "shutil", "sqlite_utils", "time",
}  # fmt: skip
"""Modules no pure module has any use for."""

HEAVY = ("numpy", "scipy", "jinja2", "sqlite_utils")
LONGEST = 400
MODULES = sorted(HOUSE.rglob("*.py"))


def _name(path: Path) -> str:
    return path.relative_to(HOUSE).as_posix()


def _part(path: Path) -> str:
    """Give the part of the house a module belongs to."""
    return path.relative_to(HOUSE).parts[0].removesuffix(".py")


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def _imported(tree: ast.Module) -> Iterator[str]:
    """Name every module imported anywhere in one, inside functions and types too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: import by the full name"
            assert node.module is not None
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def _wrong_way(part: str, module: str) -> bool:
    other = module.split(".")[1]
    if other not in RANKS or part == other or part == "__init__":
        return False
    if other == "log" and part != "commands":
        return ".".join(module.split(".")[:3]) not in {
            "planner.log",
            *(allowed for who, allowed in FROM_THE_LOG if who == part),
        }
    return RANKS[other] >= RANKS[part]


def test_every_part_of_the_house_has_its_place() -> None:
    """A new folder has to say where it stands before anything imports it."""
    assert {_part(path) for path in MODULES} - {"__init__", *RANKS} == set()


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_imports_run_one_way(path: Path) -> None:
    """Values know no events, ledgers no rules, rules no pages; none look back."""
    inside = {name for name in _imported(_tree(path)) if name.startswith("planner.")}

    assert {name for name in inside if _wrong_way(_part(path), name)} == set()


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_packages_stay_where_they_belong(path: Path) -> None:
    """Only the pages know jinja2, only the commands typer, only the log SQLite."""
    tops = {name.split(".")[0] for name in _imported(_tree(path))}

    astray = {top for top in tops if _part(path) not in OUTSIDE.get(top, RANKS)}
    assert astray == set() or _part(path) == "__init__"


def _calls(tree: ast.Module) -> Iterator[tuple[str, ast.Call]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.func.id, node
            elif isinstance(node.func, ast.Attribute):
                yield node.func.attr, node


def _of_module(call: ast.Call, *modules: str) -> bool:
    """Say whether a call goes to a module itself, as in `random.random()`."""
    func = call.func
    return isinstance(func, ast.Attribute) and ast.unparse(func.value) in modules


def _unseeded(name: str, call: ast.Call) -> bool:
    if name in ("Random", "default_rng"):
        return not (call.args or call.keywords)
    return _of_module(call, "random", "np.random", "numpy.random") and name not in (
        "Generator", "SeedSequence", "PCG64", "Philox",
    )  # fmt: skip


def _touches(tree: ast.Module) -> Iterator[str]:
    for called, call in _calls(tree):
        if called in TOUCHING or _unseeded(called, call) or _of_module(call, "os"):
            yield f"line {call.lineno}: {ast.unparse(call)[:60]}"
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and ast.unparse(node) in WORLD:
            yield f"line {node.lineno}: {ast.unparse(node)}"
    yield from BARRED & {module.split(".")[0] for module in _imported(tree)}


PURE = [p for p in MODULES if _part(p) != "commands" and _name(p) not in SHELL]


@pytest.mark.parametrize("path", PURE, ids=_name)
def test_what_is_pure_touches_no_file_no_clock_and_no_chance(path: Path) -> None:
    """Files, clock and chance are passed in; the shell alone fetches them."""
    assert list(_touches(_tree(path))) == []


@pytest.mark.parametrize(
    "impure",
    [
        "open('x')", "Path('x').read_text()", "datetime.now(UTC)", "date.today()",
        "os.environ['HOME']", "os.getenv('X')", "time.perf_counter()", "Random()",
        "random.random()", "np.random.default_rng()", "np.random.normal()",
        "import socket", "from secrets import choice", "print('x')", "uuid.uuid4()",
        "def f():\n    import shutil",
    ],
)  # fmt: skip
def test_the_look_out_for_the_impure_sees_it(impure: str) -> None:
    """A guard that sees nothing would always be content."""
    assert len(list(_touches(ast.parse(impure)))) >= 1


@pytest.mark.parametrize(
    "pure", ["rng.random()", "Random(7)", "np.random.default_rng(seed)", "log.rows()"]
)
def test_the_look_out_for_the_impure_lets_seeded_chance_pass(pure: str) -> None:
    """Chance that is passed in or seeded is the same every time."""
    assert list(_touches(ast.parse(pure))) == []


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_no_module_is_longer_than_it_may_be(path: Path) -> None:
    """A module of more than 400 lines holds two things."""
    lines = path.read_text(encoding="utf-8").count("\n")

    assert lines <= LONGEST, f"{_name(path)} has {lines} lines: split it"


def _lengths() -> list[int]:
    return [
        (node.end_lineno or 0) - node.lineno + 1
        for path in MODULES
        for node in ast.walk(_tree(path))
        if isinstance(node, ast.FunctionDef)
    ]


def test_how_long_functions_are_is_told(
    record_property: Callable[[str, object], None],
) -> None:
    """For information only: the house aims at about ten lines a function."""
    lengths = _lengths()
    record_property("lines of the median function", median(lengths))
    record_property("lines of nine in ten", quantiles(lengths, n=10)[-1])

    assert len(lengths) > len(MODULES)


def _loaded_by(imports: str) -> set[str]:
    """
    Say which heavy packages a bare interpreter has loaded after some imports.

    Without `site` (-S), since other packages' start-up files may preload some.
    """
    folders = {Path(m.__file__ or "").parents[1] for m in (planner, typer, pydantic)}
    script = (
        f"import sys; sys.path[:0] = {[str(f) for f in folders]!r}; {imports}; "
        f"print(*(name for name in {HEAVY!r} if name in sys.modules))"
    )
    command = [sys.executable, "-S", "-I", "-W", "ignore", "-c", script]
    done = subprocess.run(
        command, capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


WRITE_PATH = (
    "commands.main", "commands.session", "commands.say", "commands.bench",
    "commands.spools", "commands.stock", "commands.shop", "commands.catalogue",
    "commands.records", "log.store", "log.codec", "fold",
)  # fmt: skip


@pytest.mark.parametrize("modules", [WRITE_PATH[:4], WRITE_PATH], ids=["cut", "all"])
def test_writing_loads_nothing_heavy(modules: tuple[str, ...]) -> None:
    """An entry is typed with busy hands: no numpy, scipy, jinja2, sqlite_utils."""
    assert _loaded_by("; ".join(f"import planner.{one}" for one in modules)) == set()


def test_the_look_out_for_heavy_packages_sees_one() -> None:
    """The interpreter that is asked can load them."""
    assert _loaded_by("import numpy") == {"numpy"}


WRITTEN = ("planner", "reports", "scenarios", "tests", ".ci")
UNSAID = ("recorded " + "account", "issue" + " #", "/work/" + "shared", "brief" + ".md")
"""What belongs to how this was made and not to the thing itself."""


def _texts() -> Iterator[Path]:
    for folder in WRITTEN:
        yield from (ROOT / folder).rglob("*.*")
    yield from ROOT.glob("*.md")


def test_nothing_speaks_of_how_it_came_about() -> None:
    """The repository is about bows, ribbon and fairs."""
    kinds = {".py", ".md", ".j2", ".css", ".json", ".toml", ".txt", ".csv", ".jsonl"}
    said = [
        (path.relative_to(ROOT).as_posix(), words)
        for path in _texts()
        if path.suffix in kinds
        for words in UNSAID
        if words in path.read_text(encoding="utf-8").lower()
    ]

    assert said == []


def test_nothing_stands_at_the_top_but_what_belongs_there() -> None:
    """No page or folder that a command left behind was kept with the house."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("no git checkout, so nothing tells what is kept")
    top = {name.partition("/")[0] for name in listed.stdout.split("\0") if name}
    own = {"README.md", "DEVELOPERS.md", "pyproject.toml", "planner", "tests",
           "reports", "scenarios"}  # fmt: skip

    assert {name for name in top if not name.startswith(".")} == own
