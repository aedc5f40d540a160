"""Cut lengths: what bows needed, short ones counted; first guesses for new sizes."""

from __future__ import annotations

from random import Random
from statistics import NormalDist

import pytest

from planner.engines.cut_length import LEAST, guess, needs, recommend
from planner.engines.tolerance import bound
from planner.events.base import Event
from planner.events.bench import BowsFinished, TrimmingsMeasured
from planner.events.catalogue import Part, PatternRevised, RibbonNamed
from planner.events.fields import PartUse
from planner.events.restock import SpoolReceived
from planner.events.shop import ShopSetUp
from planner.ledgers.state import Ledgers
from tests.ledgers.telling import INCH, YARD, told

DAY = "2026-05-01"
NOW = 1_780_000_000_000_000


def shop(*events: Event) -> Ledgers:
    """A shop with one pattern, whose body is cut to 32 in."""
    body = Part(role="body", length=32 * INCH)
    opened: list[Event] = [
        ShopSetUp(name="Reed", zone="UTC", currency="USD", units="us", paper="letter"),
        RibbonNamed(ribbon="navy", colour="navy", width=38_100_000, material="satin"),
        PatternRevised(pattern="classic-4in", revision=1, name="Classic 4 in",
                       size=4 * INCH, width=38_100_000, parts=(body,)),
        SpoolReceived(spool="S1", ribbon="navy", length=100 * YARD, paid=3600,
                      lot="L1"),
    ]  # fmt: skip
    return told(*((event, DAY) for event in (*opened, *events)))


def batch(code: str, count: int = 10) -> BowsFinished:
    """A batch whose bodies were cut off the spool."""
    body = PartUse(role="body", length=32 * INCH, count=count, spool="S1")
    return BowsFinished(batch=code, made="classic-4in:navy", revision=1, count=count,
                        parts=(body,))  # fmt: skip


def trimmed(code: str, each: tuple[float, ...], short: int = 0) -> TrimmingsMeasured:
    """Trimmings of a batch, in inches."""
    whole = tuple(round(x * INCH) for x in each)
    return TrimmingsMeasured(spool="S1", role="body", length=sum(whole), batch=code,
                             each=whole, short=short)  # fmt: skip


EACH = (0.5, 0.75, 1.0, 0.5, 1.25, 0.75, 0.5, 1.0, 0.75)


def test_a_bow_needed_its_cut_less_what_was_trimmed_and_a_short_one_needed_more() -> (
    None
):
    led = shop(batch("B1"), trimmed("B1", EACH, short=1))
    (found,) = needs(led)

    assert (found.pattern, found.role) == ("classic-4in", "body")
    assert found.measured == tuple(32 * INCH - round(x * INCH) for x in EACH)
    assert found.short == (32 * INCH,)
    assert found.room == (32 * INCH,) * 10


def test_a_sum_of_several_trimmings_is_left_out_and_counted() -> None:
    together = TrimmingsMeasured(spool="S1", role="body", length=9 * INCH, batch="B1")
    (found,) = needs(shop(batch("B1"), together))

    assert (found.measured, found.left_out) == ((), 1)


def test_fewer_than_eight_bows_recommend_nothing() -> None:
    led = shop(batch("B1"), trimmed("B1", EACH[: LEAST - 1]))

    assert recommend(led, needs(led)[0], now=NOW) is None


def test_the_length_is_the_bound_rounded_up_with_what_it_saves_a_year() -> None:
    """100 yd for $36.00 is a cent an inch; ten bodies a year."""
    each = tuple(x + 3 for x in EACH)
    led = shop(batch("B1"), trimmed("B1", each))
    found = recommend(led, needs(led)[0], now=NOW)

    assert found is not None
    # By hand: mean 28.2222 in, sd 0.26352, k(9; 95/95) = 3.031 in printed tables
    # (from memory); so 29.021 in, 29 1/4 in on her tape, 2 3/4 in saved on each of 10.
    assert found.bound / INCH == pytest.approx(28.2222 + 3.031 * 0.26352, abs=2e-3)
    assert found.length == 29 * INCH + INCH // 4
    assert found.saved == 10 * (2 * INCH + 3 * INCH // 4)
    assert found.saved_money == 28
    assert (found.counted, found.least) == (None, 59)


def test_ignoring_the_short_ones_would_cut_too_short() -> None:
    led = shop(batch("B1", 12), trimmed("B1", EACH, short=3))
    found = recommend(led, needs(led)[0], now=NOW)

    assert found is not None
    assert found.bound > 32 * INCH > found.ignoring - INCH
    assert found.bound > found.ignoring


def test_the_bound_holds_as_often_as_it_says_with_short_bows_among_them() -> None:
    """Second method: drawn needs, 95 % of which must lie below the bound."""
    chance, dist = Random(11), NormalDist(31.0, 0.4)
    held = naive = 0
    for _ in range(60):
        drawn = [chance.gauss(31.0, 0.4) for _ in range(15)]
        seen = [x for x in drawn if x <= 31.6]
        short = [31.6] * (len(drawn) - len(seen))
        top, *_ = bound(seen, short, [31.6] * 15, coverage=0.95, confidence=0.9)
        low, *_ = bound(seen, (), (), coverage=0.95, confidence=0.9)
        held += dist.cdf(top) >= 0.95
        naive += dist.cdf(low) >= 0.95

    # 54 of 60 expected; 48 or fewer once in 100 tries.
    assert held >= 48
    assert naive < held


def test_the_first_guess_for_a_four_inch_bow_lies_within_common_practice() -> None:
    """A double-loop bow of 1 1/2 in ribbon: above 20 in, under the generous 32 in."""
    found = guess(size=4 * INCH, width=38_100_000)

    assert 20 * INCH < found.low < found.high < 32 * INCH
    assert found.low == sum(low for _, low, _ in found.why)
    assert found.high == sum(high for _, _, high in found.why)


def test_a_printed_recipe_for_six_inches_lies_within_its_guess() -> None:
    """3.5 + 4 x 6 + 3.5 = 31 in of body: a recipe read in print (2 1/4 in ribbon)."""
    found = guess(size=6 * INCH, width=9 * INCH // 4)

    assert found.low <= 31 * INCH <= found.high
