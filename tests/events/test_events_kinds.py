"""What a new event kind must bring with it; what is missing is named."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

import pytest
from pydantic import ValidationError

import planner.events
from planner.errors import Absurd, Damaged
from planner.events import KINDS, kind_of
from planner.events.base import Event, Fact
from planner.events.fields import SAFE
from planner.fold import HANDLERS, fold_facts
from planner.ledgers import laws
from planner.ledgers.state import Ledgers
from planner.log.codec import decode, decode_many, encode

from .samples import NAVY, SAMPLES

DAY = "2026-11-25"

MAY_BE_NOTHING = {
    # what something cost or brought in
    "an_hour", "amount", "basis_points", "card", "cash", "commission", "discount",
    "earned", "fee", "fixed", "float_", "freight", "gross", "paid", "price", "refund",
    "refund_owed", "returned", "taken",
    # what was counted or measured, or is not kept at all
    "back", "count", "counts", "left", "short", "table",
    # what she plans or guesses
    "bring", "bows", "chance", "expected", "guess", "guess_total", "planned",
    "post_days", "seconds", "set_up", "setting", "sittings", "sold_spread", "spread",
    "unlogged",
}  # fmt: skip
"""Fields in which nothing at all is an answer; elsewhere zero is refused."""

SIGNED: set[tuple[str, str]] = set()
"""A plan's own forecasts, kept as the plan wrote them; all else is never negative."""

NEVER_NOTHING = {
    ("ribbon-cut", "count"), ("bows-finished", "count"), ("bows-sold", "bows"),
    ("bows-moved", "bows"), ("order-handed-over", "bows"), ("bows-opening", "bows"),
    ("cost-paid", "amount"), ("order-paid", "amount"), ("order-refunded", "amount"),
    ("fair-cost-paid", "amount"), ("parts-scrapped", "count"), ("bows-given", "bows"),
    ("bows-lost", "bows"), ("bows-found", "bows"), ("bows-written-off", "bows"),
    ("sitting-logged", "minutes"), ("spool-received", "length"),
}  # fmt: skip
"""Some of those names mean at least one in these kinds."""


def _classes() -> Iterator[type[Event]]:
    for module in iter_modules(planner.events.__path__):
        found = import_module(f"planner.events.{module.name}")
        for cls in vars(found).values():
            if inspect.isclass(cls) and issubclass(cls, Event) and cls is not Event:
                yield cls


def _whole_numbers(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Walk the places in a body that hold a whole number."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _whole_numbers(inner, (*path, key))
    elif isinstance(value, tuple):
        for index, inner in enumerate(value):
            yield from _whole_numbers(inner, (*path, index))
    elif isinstance(value, int) and not isinstance(value, bool):
        yield path


def _with(value: Any, path: tuple[Any, ...], number: int) -> Any:
    """Give the body with another number in one place."""
    if not path:
        return number
    inner = _with(value[path[0]], path[1:], number)
    if isinstance(value, dict):
        return {**value, path[0]: inner}
    return (*value[: path[0]], inner, *value[path[0] + 1 :])


def _field(path: tuple[Any, ...]) -> str:
    return [name for name in path if isinstance(name, str)][-1]


def _taken(kind: str, path: tuple[Any, ...], number: int) -> bool:
    """Say whether a sample with this number in this place could enter the log."""
    body = _with(SAMPLES[kind].model_dump(), path, number)
    try:
        encode(KINDS[kind].model_validate(body))
    except (ValidationError, Absurd):
        return False
    return True


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_sample(kind: str) -> None:
    """A new kind without a sample fails by its name."""
    assert kind in SAMPLES, f"add a sample of {kind!r} to tests/events/samples.py"
    assert type(SAMPLES[kind]) is KINDS[kind]


@pytest.mark.parametrize("kind", KINDS)
def test_every_sample_tells_every_field(kind: str) -> None:
    """A sample that leaves a field out would not show that it comes back."""
    told = SAMPLES[kind].model_fields_set | {"about"}

    assert set(type(SAMPLES[kind]).model_fields) == told


@pytest.mark.parametrize("kind", KINDS)
def test_every_sample_survives_being_written_and_read(kind: str) -> None:
    """Alone and among thirty of its kind, an event comes back as it was."""
    sample = SAMPLES[kind]
    body = encode(sample)
    row = (1, "", 1, kind, sample.version, DAY, "", body, b"", b"")

    assert decode(kind, sample.version, body) == sample
    assert decode_many([row] * 30) == [sample] * 30


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_named_after_its_class(kind: str) -> None:
    """Class, short name and the table of kinds agree; the version counts from 1."""
    cls = KINDS[kind]

    assert (kind_of(cls.__name__), cls.kind) == (kind, kind)
    assert cls.version >= 1
    assert "kind" in vars(cls), f"{cls.__name__} has to give its own short name"


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_documented_in_its_own_words(kind: str) -> None:
    """A docstring of its own, a sentence, stands at every kind."""
    words = vars(KINDS[kind]).get("__doc__") or ""

    assert words.strip().split("\n\n")[0].rstrip().endswith((".", ":"))


def test_no_class_of_event_is_left_out_of_the_table_of_kinds() -> None:
    """A class in planner/events that isn't listed could never be read back."""
    left_out = {cls.__name__ for cls in _classes() if cls.kind not in KINDS}

    assert left_out == set()
    assert {cls.kind for cls in _classes()} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_some_ledger_takes_every_kind(kind: str) -> None:
    """Folded alone, a sample leaves its trace, breaks no law and raises nothing."""
    assert HANDLERS.get(kind), f"no ledger takes {kind!r}: see planner/ledgers/paged.py"
    led = fold_facts([(1, Fact(SAMPLES[kind], DAY))], zone="America/New_York")

    assert _traces(led) != _traces(Ledgers("America/New_York"))
    assert laws.broken(led) == []


def _traces(led: Ledgers) -> list[object]:
    registries = (
        led.spools, led.bundles, led.batches, led.batch_parts, led.sittings, led.lots,
        led.spoiled, led.fair_sales, led.batch_out,
    )  # fmt: skip
    pages = {noun: dict(page) for noun, page in led.pages.items()}
    return [*(len(r) for r in registries), *(len(b.items) for b in led.books), pages]


def test_ledgers_take_no_kind_that_does_not_exist() -> None:
    """A handler under a misspelt name would never be called."""
    assert set(HANDLERS) - set(KINDS) == set()


@pytest.mark.parametrize("kind", KINDS)
def test_a_number_no_json_reader_keeps_is_refused(kind: str) -> None:
    """2^53 enters the log in no field, and nor does its negative (RFC 8259, 6)."""
    places = list(_whole_numbers(SAMPLES[kind].model_dump()))
    beyond = (SAFE + 1, -SAFE - 1, 10**30)

    assert [(p, n) for p in places for n in beyond if _taken(kind, p, n)] == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_number_below_nothing_is_refused(kind: str) -> None:
    """An event's kind says which way things went; no field does by its sign."""
    places = _whole_numbers(SAMPLES[kind].model_dump())
    negative = {_field(path) for path in places if _taken(kind, path, -1)}

    assert negative == {field for signed, field in SIGNED if signed == kind}


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_at_all_is_refused_where_something_must_be(kind: str) -> None:
    """Zero cuts, zero bows sold, a spool of no length: absurd, and refused."""
    places = _whole_numbers(SAMPLES[kind].model_dump())
    nothing = {_field(path) for path in places if _taken(kind, path, 0)}

    assert nothing - MAY_BE_NOTHING == set()
    assert nothing & {field for one, field in NEVER_NOTHING if one == kind} == set()


@pytest.mark.parametrize("kind", KINDS)
def test_a_field_nobody_knows_is_refused(kind: str) -> None:
    """A misspelt field is an error, not a fact silently lost."""
    body = {**SAMPLES[kind].model_dump(), "colour_of_the_sky": "grey"}

    with pytest.raises(ValidationError, match="colour_of_the_sky"):
        KINDS[kind].model_validate(body)


@pytest.mark.parametrize("kind", KINDS)
def test_an_event_can_not_be_changed_once_made(kind: str) -> None:
    """What happened has happened."""
    with pytest.raises(ValidationError, match="frozen"):
        SAMPLES[kind].about = None  # type: ignore[misc]


@pytest.mark.parametrize("number", ["true", "3.0", '"3"'])
def test_what_is_no_whole_number_is_refused_from_the_log(number: str) -> None:
    """Reading the log is strict: 3.0, "3" and true are no counts."""
    body = f'{{"count":{number},"made":"{NAVY}"}}'.encode()

    with pytest.raises(Damaged, match=r"display-kept can't be read: count"):
        decode("display-kept", 1, body)


def test_a_cutting_list_keeps_lengths_in_whole_nanometres() -> None:
    """A part of 27 in is 685,800,000 nm, and that must fit into a cutting list."""
    cut = ("S7", "body", 27 * 25_400_000, 12)

    KINDS["cutting-plan-accepted"].model_validate({"head": "", "cuts": (cut,)})


def test_every_module_of_events_is_read_by_somebody() -> None:
    """A module of events beside the table would be dead weight."""
    there = {path.stem for path in Path(planner.events.__path__[0]).glob("*.py")}
    used = {KINDS[kind].__module__.rpartition(".")[2] for kind in KINDS}

    assert there - used == {"__init__", "base", "fields", "shapes"}
