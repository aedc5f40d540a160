"""
What keeps the start and the end of a command short.

pydantic looks for plugins when the first class is used, and for that reads about every
package installed: `PYDANTIC_DISABLE_PLUGINS` spares the reading, and a stand-in for the
module that would do it spares loading it, which takes as long as writing an entry.
"""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module
from types import ModuleType
from typing import Any

LOADER = "pydantic.plugin._loader"
SELDOM = 50_000, 20, 100
"""Objects made before cycles are looked for: a command lives too short for many."""


class NoPlugins(ModuleType):
    """Stands in for pydantic's loader of plugins; for anything else it makes way."""

    @staticmethod
    def get_plugins() -> tuple[()]:
        """Give no plugins at all."""
        return ()

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        sys.modules.pop(LOADER, None)
        return getattr(import_module(LOADER), name)


def begin() -> None:
    """Look for no plugins and seldom for cycles, in a process that ends soon."""
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    sys.modules.setdefault(LOADER, NoPlugins(LOADER))
    gc.set_threshold(*SELDOM)


def end() -> None:
    """Let the interpreter end without looking for cycles once more."""
    gc.freeze()
