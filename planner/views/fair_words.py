"""The words under a fair plan: what it rests on, how sure it is, what would change."""

from __future__ import annotations

from collections.abc import Iterator, Sized

from planner.engines.fair_sets import SHARE
from planner.ledgers.catalogue import catalogue
from planner.ledgers.fairs import Fair
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.plans.fair import FairPlan
from planner.views import naming

MISSED = 5
"""How many kinds that will be missed are named."""
OUTSTANDING = 3
"""How many colours asked for more, and how many asked for less, are named."""
CROWDS = {1: "quiet", 2: "thin", 3: "usual", 4: "busy", 5: "packed"}
"""The words for a crowd, as she types them."""
USUAL = 3
OTHER_TRAITS = {
    "hours": "An hour of a fair of this length",
    "outdoor": "A fair outdoors",
    "christmas": "A fair in November or December",
}


def rests_on(led: Ledgers, plan: FairPlan, fair: Fair) -> tuple[str, ...]:
    """Say it in sentences, the weightiest first."""
    return (
        *_days_over(led, plan, fair),
        *_level(led, plan, fair),
        *_sureness(led, plan),
        *_records(plan),
        *_sets(plan),
        *_crowd(plan, fair),
        *_colours(led, plan),
        *_bench(led, plan),
        *_spoiled(led, plan),
        *_season(plan),
        *_untold(led, plan),
        *_missed(led, plan),
        "It knows nothing of the weather or the other stalls.",
    )


def _days_over(led: Ledgers, plan: FairPlan, fair: Fair) -> Iterator[str]:
    """Say what the days that are over did to the plan for those left."""
    over = plan.basis.days_over
    if not over:
        return
    yield (
        f"{_count(over, 'day')} of {len(fair.days)} "
        f"{'is' if over == 1 else 'are'} over and read like a fair of its own; half of "
        "its good or bad luck is taken to hold for the rest. The fee is not taken off "
        "again."
    )
    if plan.basis.untyped >= 1:
        yield (
            f"By the takings about {plan.basis.untyped:.0f} bows went that were not "
            "typed: the records still have them on the stall. Count it for a better "
            f'plan: bows count 3 4in navy --whole --at "{fair.code} stall".'
        )


def _level(led: Ledgers, plan: FairPlan, fair: Fair) -> Iterator[str]:
    basis = plan.basis
    guessed = f"{basis.guessed_total or 0:.0f}"
    if basis.fairs and basis.sold:
        said = f"{_count(basis.fairs, 'past fair')} with {basis.sold:,.0f} bows sold"
        yield f"{said}; a fair {basis.half_life} days back counts half."
    if basis.source == "history and guess":
        yield f"Your guess of {guessed} for this one counts a little as well."
    if basis.source == "guess":
        yield (
            f"No fair has been settled yet: it all rests on your guess of {guessed}, "
            "which is taken to be right within a factor of two, two times in three."
        )
    if basis.source == "rule of thumb":
        yield _thumb(led, fair, guessed)


def _thumb(led: Ledgers, fair: Fair, guessed: str) -> str:
    by = (
        f"4½ times the fee of {naming.money(led, fair.fee)}"
        if fair.fee
        else "its hours"
    )
    return (
        f"No fair has been settled and there is no guess of yours: {guessed} bows are "
        f"taken from {by}, a rule of thumb that is often two or three times off. "
        f"Your own guess would help most: bows fair change {fair.code} --guess 40."
    )


def _sureness(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    coming = [k for k in plan.kinds if k.bring]
    if not coming:
        return
    low, high = (naming.money(led, x) for x in (plan.takings_low, plan.takings_high))
    yield (
        f"Nine times out of ten {plan.sold_low:,} to {plan.sold_high:,} are sold for "
        f"{low} to {high}: a good or a bad day moves all kinds together."
    )
    own = sum(k.own for k in coming) / len(coming)
    if plan.basis.fairs:
        yield (
            f"For a single kind its own sales count for {100 * own:.0f} %, those of "
            "its size and colour for the rest."
        )


def _records(plan: FairPlan) -> Iterator[str]:
    basis = plan.basis
    if basis.sold_out:
        yield (
            f"{_count(basis.sold_out, 'time')} a kind sold out: more was wanted than "
            "sold, and that is reckoned in."
        )
    if basis.turn:
        yield (
            f"Of those whose colour is gone {100 * basis.turn:.0f} % or more take "
            "another of its family; so many are reckoned with."
        )
    if basis.unlogged >= 0.5:
        yield (
            f"About {basis.unlogged:.0f} of those bows sold may have been sold without "
            "being typed, or with the colour not noticed: that is the middle of what "
            "counts and takings allow."
        )
    if basis.never_brought:
        kinds = _count(basis.never_brought, "kind")
        yield f"{kinds} of {basis.kinds} thought of had never been at a fair."


def _sets(plan: FairPlan) -> Iterator[str]:
    """Say what the demand for sets rests on."""
    left = plan.basis.sets_left
    if left:
        yield (
            f"{_count(left, 'set')} with a price {'is' if left == 1 else 'are'} better "
            "not made up beforehand: at the stall they can be put together from single "
            "bows, and what sold so counts for those."
        )
    if not plan.sets:
        return
    sold = sum(one.seen.sold for one in plan.sets)
    if sold:
        yield (
            f"{_count(round(sold), 'set')} sold at past fairs, typed as such, "
            f"{'says' if round(sold) == 1 else 'say'} how many of those who want its "
            "kinds want a set; the others want single bows."
        )
    elif not all(one.seen.guessed for one in plan.sets):
        yield (
            f"None of these sets was sold at a fair yet: {100 * SHARE:.0f} % of those "
            "who want the scarcest of its kinds are taken to want the set, a stated "
            'guess. Your own helps: bows fair change --guess "3 pair of navy".'
        )


def _crowd(plan: FairPlan, fair: Fair) -> Iterator[str]:
    times = dict(plan.basis.factors)
    crowd = fair.crowd_told or fair.crowd
    if plan.basis.fairs and crowd != USUAL and "crowd" in times:
        yield (
            f"A {CROWDS[crowd]} crowd is taken to ask for {times['crowd']:.2f} times "
            "what a usual one does."
        )
    if plan.basis.crowd_untold:
        yield (
            "None of your fairs says how large its crowd was, so good and bad days "
            "are taken to reach further. A word on it narrows the range: "
            f"bows fair crowd {plan.basis.crowd_untold} busy."
        )
    for trait, said in OTHER_TRAITS.items():
        if abs(times.get(trait, 1.0) - 1) >= 0.03:
            yield f"{said} is taken to ask for {times[trait]:.2f} times the usual."


def _colours(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    """Name the colours of which past fairs surely tell that they stand out."""
    cat = catalogue(led)
    sure = sorted(plan.basis.colours, key=lambda c: -c.times)
    more = [c for c in sure if round(c.low, 1) > 1][:OUTSTANDING]
    less = [c for c in sure if round(c.high, 1) < 1][-OUTSTANDING:]
    named = [
        f"{cat.colour_name(c.colour)} {c.times:.1f} times ({c.low:.1f} to {c.high:.1f})"
        for c in (*more, *less)
    ]
    if named:
        yield (
            f"Asked for so many times as often as the usual colour: {', '.join(named)};"
            " the brackets hold it nine times out of ten. Whether the other colours "
            "differ your fairs don't tell yet."
        )


def _bench(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    basis = plan.basis
    time, bench = naming.minutes(basis.planned_minutes), _bench_limit(plan)
    if bench == basis.planned_minutes:
        yield f"{time} of bench time are left for this fair."
        return
    said = f"{time} of bench time are planned before the fair"
    if basis.sure_minutes != basis.planned_minutes:
        said += (
            f"; the chance that {naming.minutes(basis.sure_minutes)} or more of it are "
            f"worked is {100 * basis.sure:.0f} %, {_whence(led.sittings)}"
        )
    if basis.order_minutes:
        orders = naming.minutes(basis.order_minutes)
        said += f"; open orders can't be ready in time without {orders} of that"
    yield f"{said}."


def _whence(record: Sized) -> str:
    """Say whether a chance rests on her record or on what was guessed before any."""
    return "by your record" if record else "by a first guess, without a record yet"


def _spoiled(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    """Say what is reckoned with that comes to nothing."""
    if plan.spoiled >= 0.05:
        yield (
            f"While {_count(plan.make, 'bow')} are made about {plan.spoiled:.1f} more "
            f"are likely to be spoiled, {_whence(led.batches)}: their ribbon, supplies "
            "and minutes are in the plan, and in that chance of working enough."
        )


def _bench_limit(plan: FairPlan) -> int:
    return next(x for x in plan.limits if x.what == "bench").available


def _season(plan: FairPlan) -> Iterator[str]:
    """Say where bows left over may still sell, and what is awaited."""
    basis, later = plan.basis, plan.basis.later
    if later < 0.5:
        yield (
            "No fair is expected in the three months after: bows left over are worth "
            "little."
        )
    else:
        yield (
            f"About {_count(round(later), 'fair')} in the three months after may still "
            "sell what is left over, the first bow of a kind more likely than the next."
        )
    if basis.awaited:
        yield f"It counts on {', '.join(basis.awaited)} being in by then."


def _untold(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    untold = plan.basis.untold
    if wage := shop(led).wage:
        yield f"Your time is counted at {naming.money(led, wage)} an hour."
    else:
        yield (
            "The work in a bow is counted at a quarter of its price until you say "
            "what an hour should earn: bows wage 15.00."
        )
    if "bench hours" in untold:
        yield (
            "No bench hours are told: two hours a day are taken. Say when you work: "
            'bows hours "mon-thu 20:00-22:00".'
        )
    if "spools" in untold:
        yield "No spool is told, so ribbon sets no limit here."
    if "table" in untold and not any(x.what == "table" for x in plan.limits):
        yield "The table's length isn't told, so room on it sets no limit."
    if plan.basis.cost_guessed:
        kinds = _count(plan.basis.cost_guessed, "kind")
        yield f"Materials of {kinds} have no price: 15 % of the fair's price is taken."
    yield from _gap(led, plan)


def _gap(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    """Say how far from the best the choice can be, and what that is proved for."""
    gap = naming.money(led, plan.basis.gap)
    if plan.basis.drawn:
        said = f"At most {gap}" if plan.basis.gap else "Nothing"
        yield (
            f"{said} could be gained by another choice within these limits. That is "
            f"proved for {plan.basis.drawn:,} fairs drawn by chance, with those who "
            "take another colour, which stand in for the one ahead; it can't be proved "
            "for the fair itself."
        )
    elif plan.basis.gap:
        yield f"Some other choice could be better, but by {gap} at most."


def _missed(led: Ledgers, plan: FairPlan) -> Iterator[str]:
    """Name what will be asked for most and isn't there, for want of time or ribbon."""
    cat = catalogue(led)
    short = sorted(plan.kinds, key=lambda k: k.bring - k.wanted)[:MISSED]
    named = [
        f"{naming.typed(cat, k.kind)} ({k.wanted:.0f} wanted, {k.bring} there)"
        for k in short
        if k.wanted - k.sold >= 1 and k.wanted > k.bring
    ]
    if named:
        yield f"Likely to be asked for beyond what you bring: {', '.join(named)}."


def _count(number: int, one: str) -> str:
    return f"{number:,} {one if number == 1 else one + 's'}"
