"""Whatever she types after a command: an answer or a refusal, never a bug of ours."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from freezegun import freeze_time
from hypothesis import HealthCheck, given, settings

from tests.commands.conftest import DAY
from tests.fuzz.typing import EXAMPLES, SEEDED, must_hold, own_folder, type_line
from tests.fuzz.words import COMMANDS, argv

LONG = settings(
    max_examples=EXAMPLES, deadline=None, derandomize=SEEDED, database=None,
    suppress_health_check=list(HealthCheck),
)  # fmt: skip


@pytest.fixture(autouse=True, scope="module")
def _frozen() -> Iterator[None]:
    with freeze_time(DAY, tick=False, ignore=["hypothesis"]):
        yield


@pytest.mark.parametrize(("name", "target"), COMMANDS, ids=[n for n, _ in COMMANDS])
def test_a_command_answers_or_refuses_whatever_is_typed(name: str, target: str) -> None:
    """Exit code 0 or 2; a refusal leaves every byte of the shop file as it was."""

    @LONG
    @given(argv(name, target))
    def look(words: list[str]) -> None:
        with own_folder() as folder:
            must_hold(words, type_line(words, folder), folder)

    look()
