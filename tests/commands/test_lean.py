"""What is left out to start quickly, and that nothing else is missed for it."""

from __future__ import annotations

import sys

import pytest

from planner.commands.lean import LOADER, NoPlugins


def test_there_are_no_plugins() -> None:
    """None of pydantic's plugins has anything to do with bows."""
    assert NoPlugins(LOADER).get_plugins() == ()


def test_for_anything_else_the_real_module_makes_its_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Another pydantic may ask it for more."""
    stand_in = NoPlugins(LOADER)
    monkeypatch.setitem(sys.modules, LOADER, stand_in)

    assert stand_in.PYDANTIC_ENTRY_POINT_GROUP == "pydantic"
    assert sys.modules[LOADER] is not stand_in


def test_a_name_that_nobody_has_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """As of any module."""
    monkeypatch.setitem(sys.modules, LOADER, NoPlugins(LOADER))

    with pytest.raises(AttributeError):
        _ = NoPlugins(LOADER).no_such_name
