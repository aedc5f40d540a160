"""
Command groups that import a command only when it is called.

Building all commands at every start would cost more than writing an entry does.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

import typer
from typer.core import TyperGroup
from typer.main import get_command

SETTINGS = {"help_option_names": ["-h", "--help"]}


def lazy_group(where: Mapping[str, Any]) -> type[TyperGroup]:
    """
    Make a group class over a table of commands.

    `where` maps a command's name to ``module:function`` in planner.commands, or to
    such a table of its own with the group's help under ``""``.
    """

    class LazyGroup(TyperGroup):
        """A group whose commands are made when they are called."""

        def list_commands(self, ctx: Any) -> list[str]:
            return [name for name in where if name]

        def get_command(self, ctx: Any, cmd_name: str) -> Any:
            target = where.get(cmd_name)
            if not cmd_name or target is None:
                return None
            if isinstance(target, Mapping):
                return make_group(cmd_name, target)
            return make_command(cmd_name, target)

    return LazyGroup


def make_command(name: str, target: str) -> Any:
    """Import ``module:function`` and make its command."""
    module, _, function = target.partition(":")
    call: Callable[..., Any] = getattr(
        import_module(f"planner.commands.{module}"), function
    )
    single = typer.Typer(add_completion=False)
    single.command(name, context_settings={**SETTINGS, **_extra(call)})(call)
    return get_command(single)


def _extra(call: Callable[..., Any]) -> dict[str, Any]:
    return getattr(call, "context_settings", {})


def make_group(name: str, where: Mapping[str, Any]) -> Any:
    """Make a group of commands."""
    app = typer.Typer(
        name=name, cls=lazy_group(where), add_completion=False, help=where.get("", ""),
        no_args_is_help=True, context_settings=SETTINGS,
    )  # fmt: skip

    @app.callback()
    def group() -> None:
        pass

    made = get_command(app)
    made.help = where.get("", "")
    return made
