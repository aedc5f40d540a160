"""Sets of several kinds at a fair: what is asked for, and what a plan brings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, stats

from planner.engines.fair import plan_fair
from planner.engines.fair_forecast import Forecast, forecast
from planner.engines.fair_sets import GUESS_SURE, SHARE, SURE, with_sets
from planner.events.base import Fact
from planner.events.bows import BowsOpening
from planner.events.catalogue import SetNamed
from planner.events.selling import BowsSold
from planner.events.shop import PriceSet
from planner.ledgers.bows import stall
from planner.ledgers.catalogue import catalogue
from planner.ledgers.state import Ledgers
from planner.plans.fair import FairPlan
from tests.engines.fair_toys import TODAY, ahead, fair, past, set_up, told

NAVY, RED = "4in:navy", "4in:red"
KINDS = (NAVY, RED)
DUO = "duo"
BOTH = {NAVY: 12, RED: 12}
DAYS = ("2026-05-02", "2026-06-06", "2026-08-01", "2026-10-03")


def named(price: int | None = 2_000, code: str = DUO, **bows: int) -> list[Fact]:
    """Name a set of one navy and one red, and its price."""
    kinds = tuple((f"4in:{c}", n) for c, n in (bows or {"navy": 1, "red": 1}).items())
    facts = [Fact(SetNamed(set=code, name=f"The {code}", kinds=kinds), "2026-01-02")]
    if price:
        priced = PriceSet(what=code, channel="fair", price=price)
        facts.append(Fact(priced, "2026-01-02"))
    return facts


def in_sets(code: str, day: str, count: int, what: str | None = DUO) -> Fact:
    """Sell so many sets of one navy and one red at a fair, typed as sets or not."""
    sold = BowsSold(
        bows=((NAVY, count), (RED, count)), taken=2_000 * count, place=stall(code),
        fair=code, what=what,
    )  # fmt: skip
    return Fact(sold, day)


def season(singly: int, sets: int, what: str | None = DUO) -> list[object]:
    """Four fairs, each with so many of both colours sold singly, and so many sets."""
    facts: list[object] = []
    for n, day in enumerate(DAYS, start=1):
        left = dict.fromkeys(KINDS, 12 - singly - sets)
        facts += past(f"F{n}", day, BOTH, dict.fromkeys(KINDS, singly), back=left)
        facts += [in_sets(f"F{n}", day, sets, what)] if sets else []
    return facts


def shop(*facts: object, sizes: tuple[str, ...] = ("4in",)) -> Ledgers:
    """Open a shop that sells 4in bows in navy and red."""
    return told(set_up(sizes), *facts, fair())


def cast(led: Ledgers, *sets: str, alone: tuple[str, ...] = ()) -> Forecast:
    """Forecast the kinds and some sets."""
    units = [catalogue(led).sets[code] for code in sets]
    found = forecast(led, ahead(led), KINDS, price=800)
    return with_sets(led, found, ahead(led), units, alone)


def plan(led: Ledgers, **asked: object) -> FairPlan:
    """Plan the fair ahead."""
    return plan_fair(led, ahead(led), today=TODAY, **asked)  # type: ignore[arg-type]


def test_how_it_was_typed_changes_no_bow_that_is_asked_for() -> None:
    """Three single ones and two in sets are five wished for, of each kind."""
    typed, untyped = (shop(named(), season(3, 2, what=w)) for w in (DUO, None))
    sets, plain = cast(typed, DUO), cast(untyped)
    for kind in KINDS:
        parted = sets.law(kind).mean + sets.law(DUO).mean
        assert parted == pytest.approx(plain.law(kind).mean, rel=1e-6)
    # Two in five wanted the set, less what the stated guess still says.
    assert 0.3 < sets.law(DUO).mean / plain.law(NAVY).mean < 0.4


def test_the_share_that_asks_for_a_set_is_the_posterior_mean() -> None:
    """By quadrature over the share, with the prior and the sales of four fairs."""
    found = cast(shop(named(), season(3, 2)), DUO)
    rate = sum(found.law(k).mean for k in (NAVY, DUO))
    times = sum(one.weight for one in found.told)

    def weight(share: float) -> float:
        prior = stats.beta(SURE, SURE / SHARE - SURE).pdf(share)
        return float(prior * share ** (2 * times) * (1 - share) ** (3 * times))

    whole = integrate.quad(weight, 0, 1, limit=200)[0]
    mean, square = (
        integrate.quad(lambda s, n=n: s**n * weight(s), 0, 1, limit=200)[0] / whole
        for n in (1, 2)
    )
    assert found.law(DUO).mean == pytest.approx(mean * rate, rel=1e-4)
    plain = forecast(shop(named(), season(3, 2)), ahead(shop()), KINDS, price=800)
    spreads = [1 / float(plain.pooled.a[0]), square / mean**2 - 1]
    own = 1 / float(found.pooled.a[found.kinds.index(DUO)])
    assert own == pytest.approx(sum(spreads) + spreads[0] * spreads[1], rel=1e-3)
    assert found.seen[DUO].sold == 8
    assert found.seen[DUO].brought == 4
    assert 0.4 < found.own(DUO) < 1


def test_two_sets_never_ask_for_more_than_is_asked_for() -> None:
    """Both sold well at fairs where little else did: they give way, none below 0."""
    other = named(code="trio", red=2)
    led = shop(named(), other, season(0, 4))
    found, plain = cast(led, DUO, "trio"), cast(led)
    red = found.law(RED).mean + found.law(DUO).mean + 2 * found.law("trio").mean

    assert all(found.law(k).mean > 0 for k in (*KINDS, DUO, "trio"))
    assert red == pytest.approx(plain.law(RED).mean, rel=1e-6)


def test_a_guess_of_sets_is_of_more_bows_than_the_record_shows() -> None:
    """What is asked for singly stays, as long as no set was sold."""
    late = [replace(one, happened="2026-11-01") for one in named()]
    facts = set_up(("4in",)), late, season(3, 0)
    led = told(*facts, fair(guess=((DUO, 5),)))

    assert cast(led, DUO).law(NAVY).mean == pytest.approx(cast(led).law(NAVY).mean)


def test_sets_are_made_up_only_where_that_beats_single_bows() -> None:
    """At the sum of its bows' prices a set's being named makes no plan worse."""
    facts = season(1, 3)
    sets, none = (plan(shop(named(1_600 if n else None), facts)) for n in (1, 0))

    assert sum(k.bring for k in sets.kinds) >= sum(k.bring for k in none.kinds) - 1
    assert sets.takings >= 0.97 * none.takings


def test_where_no_set_was_sold_the_stated_share_of_the_scarcest_is_asked() -> None:
    """A set named after the last fair could not be had at any."""
    late = [replace(one, happened="2026-11-01") for one in named()]
    led, old = shop(late, season(3, 0)), shop(named(), season(3, 0))
    fresh, seen = cast(led, DUO), cast(old, DUO)

    scarcest = min(fresh.law(k).mean for k in KINDS) + fresh.law(DUO).mean
    assert fresh.law(DUO).mean == pytest.approx(SHARE * scarcest)
    assert (fresh.seen[DUO].brought, fresh.own(DUO)) == (0, 0)
    # Four fairs at which it could be had and none was sold tell against it.
    assert seen.law(DUO).mean < 0.6 * fresh.law(DUO).mean
    assert seen.seen[DUO].brought == 4


def test_other_sets_lend_their_share_to_one_that_never_was() -> None:
    """A set that sold well makes a new one likelier to sell."""
    other = [replace(one, happened="2026-11-01") for one in named(code="trio", red=2)]
    sold = cast(shop(named(), other, season(3, 2)), DUO, "trio")
    none = cast(shop(named(), other, season(3, 0)), DUO, "trio")

    assert sold.law("trio").mean > 2 * none.law("trio").mean


def test_her_guess_of_a_set_counts_and_none_leaves_it_at_home() -> None:
    """Two sold sets' worth of sureness; where it never was, the guess stands."""
    late = [replace(one, happened="2026-11-01") for one in named()]
    facts = set_up(("4in",)), late, season(3, 0)
    guessed, none = (told(*facts, fair(guess=((DUO, n),))) for n in (5, 0))

    assert GUESS_SURE == 2
    assert cast(guessed, DUO).law(DUO).mean == pytest.approx(5)
    assert plan(none).sets == ()


def test_sets_and_kinds_come_on_the_same_good_or_bad_day() -> None:
    """Draws of a set rise and fall with those of its kinds, and have its mean."""
    found = cast(shop(named(), season(3, 2)), DUO)
    drawn = found.draws((NAVY, DUO), size=60_000, seed=4)

    assert drawn[:, 1].mean() == pytest.approx(found.law(DUO).mean, rel=0.03)
    assert np.corrcoef(drawn.T)[0, 1] > 0.03


def test_a_plan_counts_each_bow_once_and_keeps_within_the_bench() -> None:
    """Bows of sets are among those of the kinds; all are made within the minutes."""
    at_home = Fact(BowsOpening(bows=((NAVY, 1), (RED, 9))), "2026-11-20")
    from planner.events.bows import StockCounted

    gone = Fact(StockCounted(place="home", counts=(), whole=True), "2026-11-10")
    led = shop(named(), season(3, 2), gone, at_home)
    found = plan(led, hours_minutes=60)
    (duo,) = found.sets
    bows = {k.kind: k for k in found.kinds}

    assert duo.bring > 0
    assert {k.kind: k.in_sets for k in found.kinds} == dict.fromkeys(KINDS, duo.bring)
    assert all(k.bring == k.have + k.make for k in found.kinds)
    assert (bows[NAVY].have, bows[RED].have) == (1, min(9, bows[RED].bring))
    assert all(k.sold + k.left == pytest.approx(k.bring) for k in found.kinds)
    bench = next(x for x in found.limits if x.what == "bench")
    assert bench.needed == round(sum(k.make * k.minutes for k in found.kinds))
    assert bench.needed <= bench.available == 60
    assert sum(turn.count for turn in found.turns) == found.make
    singly = sum(k.takings for k in found.kinds)
    assert found.takings == pytest.approx(singly + duo.sold * 2_000, abs=1)
    assert found.sold == pytest.approx(sum(k.sold for k in found.kinds))
    assert found.sold_low <= found.sold <= found.sold_high


def test_a_set_that_earns_enough_is_made_up() -> None:
    """One that costs too little isn't: what sold of it was asked of single bows."""
    facts = season(3, 2)
    dear, cheap, none = (shop(named(price), facts) for price in (2_400, 40, None))

    assert plan(dear).sets[0].bring > 0
    assert (plan(cheap).sets, plan(cheap).basis.sets_left) == ((), 1)
    assert plan(cheap).bring == plan(none).bring
    assert plan(cheap).sold == pytest.approx(plan(none).sold)


def test_kinds_sold_in_no_other_way_come_in_whole_sets() -> None:
    """No single price: every bow brought is in a set, and all who asked ask for it."""
    unpriced = [e for e in set_up(("4in",)) if e.kind != "price-set"]
    led = told(unpriced, named(), season(0, 4), fair())
    found = plan(led, hours_minutes=2_000)
    (duo,) = found.sets

    assert {k.kind: k.bring for k in found.kinds} == dict.fromkeys(KINDS, duo.bring)
    assert found.basis.unpriced == ()
    assert duo.wanted == pytest.approx(4, rel=0.3)
    assert found.takings == round(duo.sold * 2_000)


def test_a_set_without_a_price_or_of_a_kind_not_thought_of_is_left_out() -> None:
    """Neither stands in the plan; the kinds are planned as ever."""
    plain = plan(shop(season(3, 0)))
    unpriced = plan(shop(named(None), season(3, 0)))
    unknown = plan(shop(named(green=1, navy=1), season(3, 0)))

    assert unpriced.sets == unknown.sets == ()
    assert unpriced.bring == unknown.bring == plain.bring
