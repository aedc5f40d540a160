"""The limits of a fair plan in words: used, left, and what more would bring."""

from __future__ import annotations

from collections.abc import Sequence

from planner.ledgers.catalogue import Catalogue
from planner.ledgers.state import Ledgers
from planner.plans.fair import Buy, Limit, More
from planner.values.money import minor_digits
from planner.views import naming
from planner.views.fair_plan import FairBuy, FairLimit

CLOSE = 0.6
"""A limit of which more than this share is needed is worth a line."""
NAMED = 3
"""How many kinds that more of a limit would bring are named."""


def worth_a_line(limits: Sequence[Limit]) -> list[Limit]:
    """Pick the bench, the table, what is asked about, and what is nearly used up."""
    always = ("bench", "table", "spend")
    close = [
        x
        for x in limits
        if x.what in always or x.binds or x.needed > CLOSE * max(x.available, 1)
    ]
    order = {"bench": 0, "spend": 1, "table": 2, "ribbon": 3, "supply": 4}
    return sorted(close, key=lambda x: (order[x.what], -(x.worth or 0), x.code))


def limit(led: Ledgers, cat: Catalogue, limit: Limit) -> FairLimit:
    """Show one limit: needed, available, and what more of it would bring."""
    name, unit = _named(cat, limit)
    return FairLimit(
        name=name, needed=_amount(led, limit, limit.needed),
        available=_amount(led, limit, limit.available), needed_amount=limit.needed,
        available_amount=limit.available, unit=unit, binds=limit.binds,
        worth=_worth(led, cat, limit),
    )  # fmt: skip


def _named(cat: Catalogue, limit: Limit) -> tuple[str, str]:
    match limit.what:
        case "bench":
            return "bench time before the fair", "minutes"
        case "ribbon":
            return cat.ribbon_name(limit.code), "nanometres"
        case "supply":
            return cat.supplies[limit.code].name, "bows"
        case "table":
            return "room on the table", "bows"
        case "spend":
            return "to spend on materials", "minor units"


def _amount(led: Ledgers, limit: Limit, amount: int) -> str:
    match limit.what:
        case "bench":
            return naming.minutes(amount)
        case "ribbon":
            return naming.length(led, amount)
        case "spend":
            return naming.money(led, amount)
        case _:
            return naming.bows(amount)


def _worth(led: Ledgers, cat: Catalogue, limit: Limit) -> str:
    """Say what more of a limit is worth, and what would be brought then."""
    if not limit.more:
        if limit.worth is None:
            return ""
        step = _step(led, limit, limit.step, None)
        return f"{step} would be worth about {about(led, limit.worth)}."
    return " ".join(_more(led, cat, limit, more) for more in limit.more)


def _more(led: Ledgers, cat: Catalogue, limit: Limit, more: More) -> str:
    said = _step(led, limit, more.step, more.price)
    if more.worth <= 0:
        return f"{said} alone would not be worth it."
    said += f" would be worth about {about(led, more.worth)}"
    up = sorted((row for row in more.bring if row[1] > 0), key=lambda row: -row[1])
    if not up:
        return f"{said}."
    named = ", ".join(f"{n} {naming.typed(cat, k)}" for k, n in up[:NAMED])
    rest = sum(n for _, n in up[NAMED:])
    named += f" and {naming.others(rest)}" if rest else ""
    return f"{said}: {named} on top."


def _step(led: Ledgers, limit: Limit, step: int, price: int | None) -> str:
    match limit.what:
        case "bench":
            return "One more hour" if step == 60 else f"{step // 60} more hours"
        case "ribbon":
            cost = f", about {about(led, price)}," if price else ""
            return f"One more spool ({naming.length(led, step)}{cost} if in time)"
        case "supply":
            return f"Enough for {step} more bows"
        case "table":
            return f"Room for {step} more bows"
        case "spend":
            return f"{naming.money(led, step)} more"


def about(led: Ledgers, minor: int) -> str:
    """Say an amount roughly: whole units of money from ten of them on."""
    currency = naming.shop_view(led).currency
    unit = 10 ** minor_digits(currency)
    if minor < 10 * unit:
        return naming.money(led, minor)
    whole = naming.money(led, round(minor / unit) * unit)
    return whole.removesuffix("." + "0" * minor_digits(currency))


def buy(led: Ledgers, cat: Catalogue, one: Buy) -> FairBuy:
    """Show spools of one ribbon to buy."""
    cost = one.spools * one.price
    return FairBuy(
        ribbon=cat.ribbon_name(one.ribbon),
        swatch=naming.swatch_of_ribbon(cat, one.ribbon), spools=one.spools,
        length_nm=one.length, length=naming.length(led, one.length), cost_minor=cost,
        cost=naming.money(led, cost), gain_minor=one.gain, gain=about(led, one.gain),
    )  # fmt: skip
