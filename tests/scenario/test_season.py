"""What a season holds, and that it is a log she could have typed."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from planner.events import KINDS
from planner.events.base import Fact
from planner.ledgers.fairs import PLANNED, SETTLED, coming_fairs, fairs
from planner.ledgers.orders import orders
from planner.ledgers.restocks import on_the_way
from planner.ledgers.state import Ledgers
from planner.ledgers.stock import bundles_waiting
from planner.log.codec import decode, encode
from planner.log.people import check_sealed
from planner.log.stamps import is_happened
from planner.scenario import Season, season
from planner.values.days import day_of

from .seasons import LAST_DAY, ROOT, SEED, fold, numbered

DAYS = (
    date(2026, 1, 3),
    date(2026, 3, 9),
    date(2026, 7, 5),
    date(2026, 11, 25),
    date(2027, 2, 28),
    date(2028, 2, 29),
)


def _kinds(facts: list[tuple[int, Fact]]) -> Counter[str]:
    return Counter(fact.event.kind for _, fact in facts)


def test_the_same_parameters_day_and_seed_give_the_same_season(
    harbour: Mapping[str, Any], year: Season
) -> None:
    """Two runs are equal to the last word, salt and second."""
    again = season(harbour, last_day=LAST_DAY, seed=SEED)

    assert again == year


def test_another_process_gives_the_same_season(year: Season) -> None:
    """No order of a set or hash leaks into the season."""
    code = (
        "import json; from datetime import date; from hashlib import sha256\n"
        "from planner.scenario import season\n"
        "p = json.load(open('scenarios/harbour.json', encoding='utf-8'))\n"
        f"s = season(p, last_day=date.fromisoformat('{LAST_DAY}'), seed={SEED})\n"
        "print(sha256(repr(s).encode()).hexdigest())"
    )
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    prints = {
        subprocess.run(
            [sys.executable, "-c", code],
            cwd=ROOT,
            env={**env, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }

    assert len(prints) == 1


def test_another_seed_gives_another_season(
    harbour: Mapping[str, Any], year: Season
) -> None:
    """The seed matters."""
    assert season(harbour, last_day=LAST_DAY, seed=SEED + 1) != year


def test_the_catalogue_is_as_large_as_the_file_says(
    facts: list[tuple[int, Fact]], led: Ledgers
) -> None:
    """Twelve patterns, twenty colours, forty spools, sixty orders, eight past fairs."""
    kinds = _kinds(facts)
    patterns = {f.event.pattern for _, f in facts if f.event.kind == "pattern-revised"}
    past = [f for f in fairs(led).values() if f.state == SETTLED]
    assert (
        len(patterns),
        kinds["colour-named"],
        len(led.spools),
        len(orders(led)),
        len(past),
    ) == (12, 20, 40, 60, 8)


def test_a_season_is_a_few_thousand_events(facts: list[tuple[int, Fact]]) -> None:
    """Enough for a year, few enough for a demo."""
    assert 2_500 <= len(facts) <= 4_500


def test_all_that_a_year_brings_is_there(facts: list[tuple[int, Fact]]) -> None:
    """Two colours, pairs, spoilage, joins, corrections, gifts, statements and more."""
    kinds = _kinds(facts)
    words = (
        "colourway-named set-named bows-spoiled join-found entry-corrected bows-given "
        "boutique-statement stock-counted spool-read supply-used supply-counted "
        "price-set wage-set fees-set bench-hours-set trimmings-measured promise-made "
        "fair-plan-accepted fair-sold-out fair-called-off restock-ordered "
        "restock-cancelled batch-parts-told parts-counted parts-recut bows-reworked "
        "bows-taken-apart bows-written-off bows-found ribbon-sent ribbon-came-back "
        "spool-wound-in-two end-kept unlogged-sales-told order-called-off "
        "order-changed order-returned order-lost-in-post wholesale-sold person-noted"
    )

    assert [kind for kind in words.split() if not kinds[kind]] == []


def test_every_body_reads_back_as_it_was_written(
    facts: list[tuple[int, Fact]],
) -> None:
    """Each event is of a known kind, encodes, and decodes strictly to itself."""
    for _, fact in facts:
        event = fact.event
        assert type(event) is KINDS[event.kind]
        assert decode(event.kind, event.version, encode(event)) == event
        assert is_happened(fact.happened)


def test_private_texts_are_sealed_by_their_entry(year: Season) -> None:
    """Names and notes stand beside the log, sealed."""
    for told in year.entries:
        check_sealed(told.entry)

    assert sum(bool(told.entry.private) for told in year.entries) > 25


def test_no_name_of_a_person_stands_in_an_event(
    harbour: Mapping[str, Any], facts: list[tuple[int, Fact]]
) -> None:
    """Events name people by key alone."""
    names = [name.encode() for name in harbour["people"]]
    bodies = [encode(fact.event) for _, fact in facts]

    assert not any(name in body for body in bodies for name in names)


def test_entries_stand_in_order_of_recording_and_end_on_the_last_morning(
    year: Season, harbour: Mapping[str, Any]
) -> None:
    """The log ends on the last day, before eight o'clock there."""
    recorded = [told.recorded for told in year.entries]
    zone = ZoneInfo(harbour["shop"]["zone"])
    end = datetime(LAST_DAY.year, LAST_DAY.month, LAST_DAY.day, 8, tzinfo=zone)

    assert recorded == sorted(recorded)
    assert end - timedelta(hours=1) < recorded[-1] < end


def test_nothing_is_typed_before_it_happened(
    year: Season, harbour: Mapping[str, Any]
) -> None:
    """She types what was, on its day or later."""
    zone = ZoneInfo(harbour["shop"]["zone"])
    for told in year.entries:
        typed = told.recorded.astimezone(zone)
        for fact in told.entry.facts:
            if len(fact.happened) == 10:
                assert date.fromisoformat(fact.happened) <= typed.date(), fact
            else:
                assert datetime.fromisoformat(fact.happened) <= typed, fact


def test_some_entries_are_typed_days_late(
    year: Season, harbour: Mapping[str, Any]
) -> None:
    """Late is a habit, not an accident."""
    zone = ZoneInfo(harbour["shop"]["zone"])
    late = [
        (told.recorded.astimezone(zone).date() - day_of(fact.happened, zone)).days
        for told in year.entries
        for fact in told.entry.facts
    ]

    assert sum(days > 0 for days in late) > 60
    assert max(late) >= 4


def test_a_correction_names_entries_before_it(facts: list[tuple[int, Fact]]) -> None:
    """She takes back what is in the log already; once a correction itself."""
    taken = {
        (number, wrong)
        for number, fact in facts
        if fact.event.kind == "entry-corrected"
        for wrong in fact.event.entries
    }
    corrections = {number for number, _ in taken}

    assert all(wrong < number for number, wrong in taken)
    assert len(taken) >= 6
    assert any(wrong in corrections for _, wrong in taken)


def test_codes_are_given_once(facts: list[tuple[int, Fact]]) -> None:
    """No two spools, bundles, batches, orders or sittings share a code."""
    born = {
        "spool-received": "spool",
        "spool-found-part-used": "spool",
        "spool-wound-in-two": "onto",
        "ribbon-cut": "bundle",
        "parts-recut": "onto",
        "sitting-logged": "sitting",
        "restock-ordered": "restock",
    }
    codes = Counter(
        getattr(fact.event, born[fact.event.kind])
        for _, fact in facts
        if fact.event.kind in born
    )

    # A slip put right is typed anew, with its bundles and sitting as they were.
    assert [code for code, n in codes.items() if n > 1 and code[0] != "T"] == []


@pytest.mark.parametrize("last_day", DAYS, ids=str)
def test_a_season_ends_three_days_before_a_fair_not_yet_planned(
    harbour: Mapping[str, Any], last_day: date
) -> None:
    """Whatever day it is made, the season ends as the demo needs it."""
    made = season(harbour, last_day=last_day, seed=SEED)
    led = fold(made.entries, harbour["shop"]["zone"])
    ahead = coming_fairs(led, last_day.isoformat())
    states = Counter(order.state for order in orders(led).values())
    waiting = [o for o in orders(led).values() if o.state in ("open", "ready")]
    rush = [o for o in waiting if o.rush]
    asked = [
        o for o in orders(led).values()
        if o.state == "asked" and (o.expires or "") >= last_day.isoformat()
    ]  # fmt: skip

    assert [f.first_day for f in ahead] == [(last_day + timedelta(3)).isoformat()]
    assert ahead[0].state != PLANNED
    assert ahead[0].plan is None
    assert states["ready"] == 1
    assert 5 <= len(waiting) <= 9
    assert len(rush) == 2
    assert all((o.due or "") <= (last_day + timedelta(3)).isoformat() for o in rush)
    assert len(asked) == 1
    assert len(led.spools) == 40
    assert len(orders(led)) == 60
    assert 2_500 <= len(list(numbered(made.entries))) <= 4_500


def test_one_order_waits_for_ribbon_on_the_way(led: Ledgers) -> None:
    """Its ribbon is in no spool, and is expected before the order is due."""
    awaited = {item.what: item for item in on_the_way(led) if item.ribbon}
    held = {spool.ribbon for spool in led.spools.values()}
    stuck = [
        order for order in orders(led).values()
        if any(kind.partition(":")[2] in awaited for kind in order.outstanding)
    ]  # fmt: skip

    assert list(awaited) == ["sky-2.25in"]
    assert "sky-2.25in" not in held
    assert [order.state for order in stuck] == ["open"]
    assert awaited["sky-2.25in"].expected < (stuck[0].due or "")


def test_what_is_left_is_modest_and_lumpy(led: Ledgers) -> None:
    """Some kinds are out, some lie about, and some bundles wait."""
    held = [led.bows.balance(kind)["at:home"] for kind in led.bows.items]

    assert 60 <= sum(held) <= 190
    assert sum(n == 0 for n in held) >= 15
    assert max(held) >= 5
    assert bundles_waiting(led)


def test_importing_the_generator_loads_nothing_heavy() -> None:
    """It stands on the standard library and the events alone."""
    code = (
        "import sys; before = set(sys.modules); import planner.scenario\n"
        "heavy = {'numpy', 'scipy', 'jinja2', 'sqlite_utils'}\n"
        "print(sorted(heavy & (set(sys.modules) - before)))"
    )
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=env,
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.strip() == "[]"
