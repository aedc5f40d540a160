"""Whatever goes wrong on purpose says what to type, or do, next."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from planner import errors

PLANNER = Path(errors.__file__).parent
TREE = {
    name for name, made in vars(errors).items()
    if isinstance(made, type) and issubclass(made, errors.Trouble)
}  # fmt: skip


def raised(path: Path) -> Iterator[ast.Call]:
    """Walk the troubles that a module makes."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
            continue
        if node.func.id in TREE:
            yield node


def test_every_trouble_says_what_to_do_about_it() -> None:
    """Each call of a class of the error tree gives `instead`."""
    calls = [(path, call) for path in PLANNER.rglob("*.py") for call in raised(path)]
    without = [
        f"{path.relative_to(PLANNER)}:{call.lineno}"
        for path, call in calls
        if not any(keyword.arg == "instead" for keyword in call.keywords)
    ]

    assert len(calls) > 100
    assert without == []
