"""Out of a cache and its tail come the ledgers of a full fold, whatever was typed."""

from __future__ import annotations

import os

from hypothesis import given, settings
from hypothesis import strategies as st

from .cells import (
    Memory,
    balances,
    bring_up,
    everything,
    laid_bare,
    lay_down,
    resume,
    today,
)  # fmt: skip
from .facts import ANYTHING, moments
from .telling import Telling

LONG = bool(os.environ.get("BOWS_LONG"))
ENTRIES = st.tuples(st.lists(ANYTHING, min_size=1, max_size=3), moments)
HISTORIES = st.lists(st.lists(ENTRIES, max_size=8), min_size=2, max_size=4)


@settings(max_examples=3000 if LONG else 150, deadline=None)
@given(
    history=HISTORIES,
    looks=st.lists(st.booleans(), min_size=4, max_size=4),
    undone=st.lists(st.integers(1, 30), max_size=2),
)
def test_a_cache_and_its_tail_are_a_full_fold(
    history: list[list[tuple[list[object], str]]],
    looks: list[bool],
    undone: list[int],
) -> None:
    """Brought up again and again, looked at in between or not, nothing differs."""
    telling, cells = Telling(), Memory()
    for events, happened in history[0]:
        telling.tell(events, happened)  # type: ignore[arg-type]
    for entry in undone:
        if entry <= telling.entries:
            telling.take_back(entry)
    lay_down(cells, telling.folded())
    for stretch, look in zip(history[1:], looks, strict=False):
        for events, happened in stretch:
            telling.tell(events, happened)  # type: ignore[arg-type]
        led = resume(cells, telling, upto=len(telling.rows))
        if look:
            balances(led)
        bring_up(cells, led)

    whole = telling.folded()
    assert everything(resume(cells, telling, upto=len(telling.rows))) == everything(
        whole
    )
    led = resume(cells, telling, upto=len(telling.rows))
    assert today(led) == today(whole)
    assert laid_bare(led) == laid_bare(whole)
