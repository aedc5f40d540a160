"""One season and its ledgers, made once for all these tests."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import pytest

from planner.events.base import Fact
from planner.ledgers.state import Ledgers
from planner.scenario import Season, season

from .seasons import LAST_DAY, ROOT, SEED, fold, numbered


@pytest.fixture(name="harbour", scope="session")
def _harbour() -> Mapping[str, Any]:
    return json.loads((ROOT / "scenarios" / "harbour.json").read_text("utf-8"))


@pytest.fixture(name="year", scope="session")
def _year(harbour: Mapping[str, Any]) -> Season:
    return season(harbour, last_day=LAST_DAY, seed=SEED)


@pytest.fixture(name="facts", scope="session")
def _facts(year: Season) -> list[tuple[int, Fact]]:
    return list(numbered(year.entries))


@pytest.fixture(name="led", scope="session")
def _led(year: Season, harbour: Mapping[str, Any]) -> Ledgers:
    return fold(year.entries, harbour["shop"]["zone"])


@pytest.fixture(name="full", scope="session")
def _full(year: Season, harbour: Mapping[str, Any]) -> Ledgers:
    """What the ledgers would say had she typed all that happened so far."""
    return fold(year.entries, harbour["shop"]["zone"], year.truth.untyped)
