"""Shelves and runs out of a cache are the dicts and lists they stand for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import CacheLost
from planner.ledgers.shelves import Run, Shelf, bucket_of, since, write_json

from .cells import Memory

BASE, BUCKETS = 40, 4
keys = st.sampled_from([f"{letter}{n}" for letter in "CS" for n in range(1, 9)])
stored = st.dictionaries(keys, st.integers(), max_size=10)
STEPS = st.one_of(
    st.tuples(st.just("set"), keys, st.integers()),
    st.tuples(st.just("setdefault"), keys, st.integers()),
    st.tuples(st.just("pop"), keys, st.integers()),
    st.tuples(st.just("get"), keys, st.integers()),
    st.tuples(st.just("in"), keys, st.just(0)),
    st.tuples(st.just("walk"), keys, st.just(0)),
    st.tuples(st.just("len"), keys, st.just(0)),
)


def _shelf(
    held: dict[str, int],
    *,
    live: Sequence[str] | None = None,
    memory: Memory | None = None,
) -> Shelf[int]:
    """Lay entries down in cells, in the order they have, and give their shelf."""
    rows: list[dict[str, Any]] = [{} for _ in range(BUCKETS)]
    for place, (key, value) in enumerate(held.items()):
        rows[bucket_of(key, BUCKETS)][key] = (place, value)
    cells = memory or Memory()
    cells.held.update({BASE + at: write_json(row) for at, row in enumerate(rows)})
    places = {key: place for place, key in enumerate(held)}
    newest: dict[str, int] = {}
    for key in held:
        newest[key[0]] = max(newest.get(key[0], 0), int(key[1:]))
    return Shelf(
        cells, base=BASE, buckets=BUCKETS, stored=len(held), places=len(held),
        newest=newest, read=lambda _, value: value,
        live=None if live is None else lambda: [(key, places[key]) for key in live],
    )  # fmt: skip


def _do(there: Any, step: tuple[str, str, int]) -> Any:
    what, key, value = step
    match what:
        case "set":
            there[key] = value
            return None
        case "setdefault":
            return there.setdefault(key, value)
        case "pop":
            return there.pop(key, value)
        case "get":
            return there.get(key), there.get(key, value)
        case "in":
            return key in there
        case "walk":
            return [*there], [*there.keys()], [*there.values()], [*there.items()]
    return len(there), bool(there)


@settings(deadline=None)
@given(stored, st.lists(STEPS, max_size=12))
def test_a_shelf_is_the_dict_it_stands_for(
    held: dict[str, int], steps: list[tuple[str, str, int]]
) -> None:
    """Whatever is asked and entered, in whatever order, nothing can tell."""
    shelf, plain = _shelf(held), dict(held)
    for step in steps:
        assert _do(shelf, step) == _do(plain, step), step

    assert len(shelf) == len(plain)
    assert list(shelf.items()) == list(plain.items())
    assert shelf == plain


@settings(deadline=None)
@given(stored, keys)
def test_one_entry_is_found_by_reading_one_cell(held: dict[str, int], key: str) -> None:
    """The other cells stay where they are, though the key isn't there."""
    memory = Memory()
    shelf = _shelf(held, memory=memory)
    own = BASE + bucket_of(key, BUCKETS)
    memory.held = {own: memory.held[own]}

    assert (key in shelf, shelf.get(key)) == (key in held, held.get(key))
    assert dict(shelf.at_hand()).keys() <= held.keys()
    if key not in held:
        with pytest.raises(KeyError):
            shelf[key]


@settings(deadline=None)
@given(stored, st.lists(keys, max_size=6))
def test_a_code_once_given_stays_the_newest(
    held: dict[str, int], more: list[str]
) -> None:
    """Though it is taken out again: its label may have been printed."""
    shelf = _shelf(held)
    for key in more:
        shelf[key] = 0
        shelf.pop(key)

    given_out = [*held, *more]
    for letter in "CSX":
        numbers = [int(key[1:]) for key in given_out if key[0] == letter]
        assert shelf.newest(letter) == max(numbers, default=0)


@settings(deadline=None)
@given(stored, st.data())
def test_those_in_use_are_the_ones_told_and_the_ones_touched(
    held: dict[str, int], data: st.DataObject
) -> None:
    """In the order they were first entered."""
    told = data.draw(st.lists(st.sampled_from([*held, ""]), unique=True))
    live = [key for key in told if key]
    shelf, order = _shelf(held, live=live), [*held]
    used = set(live)
    new, asked = data.draw(keys), data.draw(keys)
    shelf[new] = 1
    order += [new] if new not in order else []
    used |= {new} | ({asked} & {*order})

    assert shelf.live([asked]) == [key for key in order if key in used]
    assert _shelf(held, live=None).live() == [*held]


@pytest.mark.parametrize("data", [b"", b"[", b"[1]", b'{"S1": 3}', b'{"S1": [1]}'])
def test_a_cell_that_is_no_shelf_is_a_cache_lost(data: bytes) -> None:
    """And no error of ours: the log is folded again."""
    memory = Memory()
    shelf = _shelf({"S1": 1}, memory=memory)
    memory.held[BASE + bucket_of("S1", BUCKETS)] = data

    with pytest.raises(CacheLost):
        shelf.get("S1")


lists = st.lists(st.integers(), max_size=6)


def _run(parts: Sequence[list[int]], read: list[int]) -> Run[int]:
    def fetch(part: int) -> list[int]:
        read.append(part)
        return parts[part]

    return Run(range(len(parts)), sum(map(len, parts)), fetch)


@settings(deadline=None)
@given(st.lists(lists, max_size=3), lists, st.integers(0, 20))
def test_a_run_is_the_list_it_stands_for(
    parts: list[list[int]], more: list[int], length: int
) -> None:
    """Its beginning is fetched when something walks it, and only then."""
    plain, read = [one for part in parts for one in part], list[int]()
    run = _run(parts, read)
    for one in more:
        run.append(one)
    stored = len(plain)
    plain += more

    assert len(run) == len(plain)
    assert since(run, stored) == more
    assert read == []
    assert since(run, length) == plain[length:] == since(plain, length)
    assert list(run) == plain
    assert run == plain
    assert (7 in run, run[1:], run[:1]) == (7 in plain, plain[1:], plain[:1])
    assert len(read) <= len(parts)
    assert len(run) == len(plain)


def test_a_run_whose_beginning_lost_a_line_is_a_cache_lost() -> None:
    """It says how many there are of how many."""
    run = Run([0], 3, lambda _: [1, 2])

    with pytest.raises(CacheLost, match="2 of 3"):
        list(run)
