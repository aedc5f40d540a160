"""The hidden truth explains every difference from what she typed."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from math import exp, lgamma, log
from typing import Any

import pytest

from planner.events.base import Fact
from planner.ledgers.fairs import fairs
from planner.ledgers.ribbon import BUNDLE, ENDS, LEFT
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING, UNEXPLAINED
from planner.scenario import Season, season

from .seasons import LAST_DAY, ROOT, fold

SEEDS = (1, 2, 3, 4)


@pytest.fixture(name="years", scope="module")
def _years(harbour: Mapping[str, Any]) -> list[Season]:
    return [season(harbour, last_day=LAST_DAY, seed=seed) for seed in SEEDS]


def _typed_alone(led: Ledgers, spool: str) -> int:
    """What a spool would hold by its typed movements, readings put aside (nm)."""
    b = led.ribbon.balance(spool)
    told = sum(
        row.amount
        for row in led.ribbon.items[spool].rows()
        if row.source == OPENING and row.reading is None
    )
    fresh = -b[OPENING] - told
    held = b[LEFT] + b[ENDS] + b.total(BUNDLE)
    return held + b[UNEXPLAINED] - fresh


def test_every_inch_she_cannot_account_for_has_a_cause(
    year: Season, full: Ledgers
) -> None:
    """Per spool: what is really there = typed movements alone + the named causes."""
    really = {
        code: s.left + s.ends + s.in_bundles for code, s in year.truth.spools.items()
    }
    explained = {
        code: _typed_alone(full, code) + sum(s.causes.values())
        for code, s in year.truth.spools.items()
    }

    assert explained == really


def test_every_bow_she_cannot_account_for_has_a_cause(
    year: Season, full: Ledgers
) -> None:
    """Per kind: bows really at all places = book + unexplained + the named causes."""
    really: Counter[str] = Counter()
    for held in year.truth.bows.values():
        really.update(held)
    explained = {}
    for kind in full.bows.items:
        b = full.bows.balance(kind)
        causes = sum(year.truth.bow_causes.get(kind, {}).values())
        explained[kind] = b.total("at:") + b[UNEXPLAINED] + causes

    assert explained == {kind: really[kind] for kind in full.bows.items}


@pytest.mark.parametrize("at", range(len(SEEDS)))
def test_the_causes_add_up_in_other_seasons_too(
    years: list[Season], harbour: Mapping[str, Any], at: int
) -> None:
    """No seed hides an inch or a bow."""
    made = years[at]
    led = fold(made.entries, harbour["shop"]["zone"], made.truth.untyped)
    inches = {
        code: s.left + s.ends + s.in_bundles
        - _typed_alone(led, code) - sum(s.causes.values())
        for code, s in made.truth.spools.items()
    }  # fmt: skip

    assert {code: nm for code, nm in inches.items() if nm} == {}


def test_records_drift_from_the_truth_and_readings_show_it(
    year: Season, led: Ledgers
) -> None:
    """Most spools that were read show ribbon not yet explained."""
    read = set(led.keys("readings"))
    shown = [s for s in read if led.ribbon.balance(s)[UNEXPLAINED]]

    assert len(shown) >= 12
    assert len(shown) <= len(read)


def test_takings_exceed_the_typed_sales(year: Season) -> None:
    """At most fairs something was sold that nobody typed."""
    gaps = [
        sum(fair.sold.values()) - sum(fair.typed.values()) for fair in year.truth.fairs
    ]

    assert len(gaps) == 8
    assert sum(gap > 0 for gap in gaps) >= 6


def test_what_was_brought_is_sold_lost_or_came_back(year: Season, led: Ledgers) -> None:
    """The log's fairs agree with what really happened, kind by kind."""
    for truth in year.truth.fairs:
        fair = fairs(led)[truth.fair]
        gone = {
            kind: truth.sold.get(kind, 0) + truth.lost.get(kind, 0)
            for kind in truth.brought
        }
        back = {kind: n - gone[kind] for kind, n in truth.brought.items()}

        assert fair.packed == truth.brought
        assert fair.back == back


def test_unlogged_ranges_hold_what_was_sold_without_being_typed(
    year: Season, led: Ledgers
) -> None:
    """No kind's range is wider than its gap."""
    for truth in year.truth.fairs:
        fair = fairs(led)[truth.fair]
        for kind, least, most in fair.unlogged:
            gap = fair.packed[kind] - fair.back.get(kind, 0)
            assert 0 <= least <= most <= gap - truth.typed.get(kind, 0)


def test_kinds_are_sold_out_at_every_fair(year: Season, led: Ledgers) -> None:
    """Each fair has kinds of which nothing came back, and some she noted."""
    for fair in (fairs(led)[truth.fair] for truth in year.truth.fairs):
        assert sum(n > 0 and not fair.back.get(k) for k, n in fair.packed.items()) >= 5
        assert fair.sold_out
        # Between two days she tops up from home, so some may come back after all.
        if len(fair.days) == 1:
            assert all(not fair.back.get(kind) for kind, _, _ in fair.sold_out)


def test_wishes_follow_the_true_means(years: list[Season]) -> None:
    """Over many fairs what is wanted is what the process says, within 5 %."""
    every = [fair for made in years for fair in made.truth.fairs]
    wanted = sum(sum(fair.wanted.values()) for fair in every)
    means = sum(sum(fair.means.values()) for fair in every)

    assert wanted == pytest.approx(means, rel=0.05)


def test_sales_in_the_log_fit_the_true_means(
    years: list[Season], harbour: Mapping[str, Any]
) -> None:
    """
    The log's fairs, sold-out kinds censored, are likeliest near the true means.

    The second method: one factor on all means, by maximum likelihood of censored
    Poisson counts.  Buyers who substitute and buy twos push it a little above one.
    """
    seen = [
        (fair.packed[k] - fair.back.get(k, 0), truth.means[k], not fair.back.get(k))
        for made in years
        for led in (fold(made.entries, harbour["shop"]["zone"]),)
        for truth in made.truth.fairs
        for fair in (fairs(led)[truth.fair],)
        for k in fair.packed
    ]
    grid = [factor / 100 for factor in range(50, 200, 2)]
    likeliest = max(grid, key=lambda factor: _log_likelihood(factor, seen))

    assert len(seen) > 1_500
    assert 0.95 <= likeliest <= 1.15


def _log_likelihood(factor: float, seen: list[tuple[int, float, bool]]) -> float:
    return sum(
        log(_at_least(n, factor * mean)) if out else _log_poisson(n, factor * mean)
        for n, mean, out in seen
    )


def _log_poisson(n: int, mean: float) -> float:
    return n * log(mean) - mean - lgamma(n + 1)


def _at_least(n: int, mean: float) -> float:
    return max(1 - sum(exp(_log_poisson(i, mean)) for i in range(n)), 1e-12)


def test_popular_colours_sell_more(year: Season, led: Ledgers) -> None:
    """The truth is in the records: navy outsells slate in the same pattern."""
    sold: Counter[str] = Counter()
    for fair in fairs(led).values():
        for kind, n in fair.packed.items():
            sold[kind] += n - fair.back.get(kind, 0)

    assert sold["classic-4in:navy-1.5in"] > sold["classic-4in:slate-1.5in"]


def test_parts_are_over_cut_as_the_process_says(years: list[Season]) -> None:
    """Ribbon used beyond the book is the mean over-cut times the parts cut."""
    expected, really = 0.0, 0
    for made in years:
        cuts = [
            fact.event
            for told in made.entries
            for fact in told.entry.facts
            if fact.event.kind == "ribbon-cut"
        ]
        expected += sum(made.truth.over_cut[e.role] * e.count for e in cuts)
        really -= sum(s.causes.get("over-cut", 0) for s in made.truth.spools.values())

    # Cuts that were never typed are over-cut too: about one in twenty.
    assert really == pytest.approx(expected * 1.05, rel=0.06)


def test_minutes_follow_the_true_medians(
    years: list[Season], harbour: Mapping[str, Any]
) -> None:
    """
    Sittings take what their batches take: set-up once a batch, true minutes a bow.

    Breaks, the way down the learning curve and the spread's mean come on top.
    """
    set_up = {p["pattern"]: p["set_up"] for p in harbour["patterns"]}
    really, expected = 0, 0.0
    for made in years:
        for e in (f.event for told in made.entries for f in told.entry.facts):
            if e.kind == "sitting-logged":
                really += e.minutes
            elif e.kind in ("bows-finished", "bows-spoiled"):
                pattern = e.made.partition(":")[0]
                expected += e.count * made.truth.minutes[pattern]
                expected += set_up[pattern] if e.kind == "bows-finished" else 0

    assert 1.0 < really / expected < 1.25


def test_logged_sittings_are_the_true_ones_rounded(year: Season) -> None:
    """She notes her sittings to five minutes, or by the batch."""
    for told in year.entries:
        for e in (fact.event for fact in told.entry.facts):
            if e.kind == "sitting-logged":
                assert abs(e.minutes - year.truth.sitting_minutes[e.sitting]) <= 5


def test_nothing_that_answers_her_questions_reads_the_generator() -> None:
    """Engines, rules and ledgers never import what knows the truth."""
    layers = (
        "values",
        "events",
        "log",
        "ledgers",
        "plans",
        "rules",
        "engines",
        "views",
    )
    paths = [p for name in layers for p in (ROOT / "planner" / name).rglob("*.py")]
    paths += [ROOT / "planner" / "fold.py"]

    assert [str(p) for p in paths if _imports_scenario(p.read_text("utf-8"))] == []


def _imports_scenario(source: str) -> bool:
    told = r"^\s*(from|import) planner(\.scenario| import .*\bscenario)"
    return re.search(told, source, re.MULTILINE) is not None


def test_the_file_says_that_it_is_invented(harbour: Mapping[str, Any]) -> None:
    """Nobody can take these names for real ones."""
    assert "invented" in harbour["invented"]
    assert (ROOT / "scenarios" / "README.md").exists()


def test_facts_not_yet_typed_are_known_to_the_truth(
    year: Season, facts: list[tuple[int, Fact]]
) -> None:
    """What she puts off past the last morning isn't in the log."""
    typed = [fact for _, fact in facts]

    assert [fact for fact in year.truth.untyped if fact in typed] == []
