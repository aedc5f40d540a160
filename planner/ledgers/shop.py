"""The shop as it stands: name, zone, currency, units, hours, wage, fees, settings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from planner.errors import NoShop
from planner.ledgers.state import Ledgers

if TYPE_CHECKING:
    from planner.values.bench import BenchHours

DEFAULTS = {
    "a day late costs": "0",  # minor units, for each order
    "late day": "before",  # none of the due day's bench hours count
    "setting counts": "yes",
    "end worth keeping": "228600000",  # 9 in, nm
    "salvage share": "40",  # per cent of a bow's material cost it is worth unsold
    "bows a metre of table": "130",
    "bench sureness": "50",  # per cent: the bench minutes a fair plan may count on
    "place of making": "",  # stands on batch labels
    "short measure rule": "NIST HB 133: 1.5 % to 48 yd, 2 % above",
}
"""Settings nobody has changed."""


class Shop(NamedTuple):
    """What was set up; amounts in minor units of the currency."""

    name: str
    zone: str
    currency: str
    units: str
    paper: str
    wage: int
    fee_basis_points: int
    fee_fixed: int


def shop(led: Ledgers) -> Shop:
    """
    Give the shop's settings, the newest word on each.

    Raises:
        NoShop: when nothing was ever set up.
    """
    told = led.worked_out("shop", lambda: plain(led))["shop"]
    if told is None:
        raise NoShop("This shop was never set up.", instead="bows open")
    return Shop(*told)


def plain(led: Ledgers) -> dict[str, Any]:
    """Read the shop's pages into plain values, as JSON knows them."""
    return {"shop": _shop(led), "settings": _settings(led)}


def _shop(led: Ledgers) -> Shop | None:
    wage = basis = fixed = 0
    base = None
    for kept in led.all_kept("shop"):
        match kept.event.kind:
            case "shop-set-up":
                base = kept.event
            case "wage-set":
                wage = kept.event.an_hour
            case "fees-set":
                basis, fixed = kept.event.basis_points, kept.event.fixed
    if base is None:
        return None
    return Shop(
        base.name, base.zone, base.currency, base.units, base.paper, wage, basis, fixed
    )


def setting(led: Ledgers, name: str) -> str:
    """Give a setting's newest value, or its default."""
    told = led.worked_out("shop", lambda: plain(led))["settings"]
    return str(told.get(name, DEFAULTS.get(name, "")))


def _settings(led: Ledgers) -> dict[str, str]:
    events = (kept.event for kept in led.all_kept("shop"))
    return {e.name: e.value for e in events if e.kind == "setting-changed"}


def bench_hours(led: Ledgers) -> BenchHours:
    """Give the bench hours as last told; none at all if never told."""
    from datetime import date

    from planner.values.bench import BenchHours, BenchRule

    page = led.page("hours", "")
    if not page:
        return BenchHours(rules=(), off_days=(), extra=())
    e = page[-1].event
    return BenchHours(
        rules=tuple(
            BenchRule(
                rule=r.rule, start=r.start, end=r.end, first=date.fromisoformat(r.first)
            )
            for r in e.rules
        ),
        off_days=tuple(date.fromisoformat(day) for day in e.off),
        extra=tuple((date.fromisoformat(x.day), x.start, x.end) for x in e.extra),
    )
