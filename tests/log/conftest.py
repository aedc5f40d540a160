from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# The helpers beside these tests are found in every import mode of pytest.
sys.path.insert(0, str(Path(__file__).parent))

from log_toys import TOYS

from planner.log.store import Log


@pytest.fixture(name="shop")
def _shop(tmp_path: Path) -> Path:
    return tmp_path / "shop.bows"


@pytest.fixture(name="log")
def _log(shop: Path) -> Iterator[Log]:
    with Log.create(shop, using=TOYS) as log:
        yield log
