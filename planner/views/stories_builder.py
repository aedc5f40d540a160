"""Build the view of all spools from their stories and what measuring tells."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date

from planner.engines.overcut import over_cut
from planner.engines.short_measure import LEAST, measured
from planner.ledgers.catalogue import Catalogue, catalogue
from planner.ledgers.state import Ledgers
from planner.ledgers.timeline import OPENING
from planner.plans.measure import (
    Bulk,
    Estimate,
    LotCheck,
    Measured,
    OverCut,
    SpoolCheck,
)
from planner.values.daywords import spoken
from planner.views import naming
from planner.views.common import Oddity
from planner.views.foot import foot
from planner.views.stories import (
    AccountSum,
    LotLine,
    OverCutLine,
    RibbonLoss,
    SpoolLoss,
    Stories,
)
from planner.views.story import Account
from planner.views.story_builder import EventOf, account_of

LOSSES: tuple[Account, ...] = ("trimmed", "scrapped", "not yet explained")
_ACCOUNTS: tuple[Account, ...] = (
    "bows", "bundles", "left", "ends", "trimmed", "scrapped", "sent out",
    "not yet explained",
)  # fmt: skip
_WHERE = {"trimmed": "trimmed off", "scrapped": "scrapped"}
Held = dict[Account, int]


def build(
    led: Ledgers, *, today: date, made: str, event_of: EventOf, as_of: str = "",
    known_on: str | None = None,
) -> Stories:  # fmt: skip
    """Say which ribbons lose most and where, ready to show."""
    held = {spool: _held(led, spool) for spool in led.spools}
    over = over_cut(led)
    labels = measured(led, {k: (e.low, e.high) for k, e in over.parts.items()})
    ribbons = tuple(_ribbons(led, held))
    checks = {check.spool: check for check in labels.spools}
    bulk = {b.spool: b for b in reversed(over.bulk)}
    return Stories(
        shop=naming.shop_view(led),
        foot=foot(led, as_of=as_of or today.isoformat(), known_on=known_on, made=made),
        short=_short(led, ribbons), ribbons=ribbons,
        spools=tuple(_spools(led, held, checks, bulk, event_of)),
        over_cut=tuple(_over_cut(led, over)), level_shown=f"{over.level:.0%}",
        over_cut_note=_over_note(over), rule=labels.rule,
        lots=tuple(_lots(led, over, labels)),
        lots_note=f"A lot is judged from {LEAST} spools read before their first cut; "
        "below that its errors are only shown.",
        odd=tuple(_odd(led, over, event_of)),
    )  # fmt: skip


def _held(led: Ledgers, spool: str) -> Held:
    """Give what a spool has in each account of the view (nm), the opening too."""
    found: Held = defaultdict(int)
    for name, nm in led.ribbon.balance(spool).accounts.items():
        found["opening" if name == OPENING else account_of(name)] += nm
    found["opening"] = -found["opening"]
    return found


def _lost(held: Mapping[Account, int]) -> int:
    return sum(held.get(account, 0) for account in LOSSES)


def _ribbons(led: Ledgers, held: Mapping[str, Held]) -> list[RibbonLoss]:
    cat, by = catalogue(led), defaultdict(list)
    for spool in held:
        by[led.spools[spool].ribbon].append(spool)
    rows = [_ribbon(led, cat, ribbon, spools, held) for ribbon, spools in by.items()]
    return sorted(rows, key=lambda row: -row.lost_nm)


def _ribbon(
    led: Ledgers, cat: Catalogue, ribbon: str, spools: list[str],
    held: Mapping[str, Held],
) -> RibbonLoss:  # fmt: skip
    sums: Held = defaultdict(int)
    for spool in spools:
        for account, nm in held[spool].items():
            sums[account] += nm
    used, lost = sums["opening"] - sums["left"], _lost(sums)
    share = lost / used if used else 0.0
    return RibbonLoss(
        ribbon=cat.ribbon_name(ribbon), swatch=naming.swatch_of_ribbon(cat, ribbon),
        spools=tuple(sorted(spools, key=lambda s: -_lost(held[s]))),
        opening_nm=sums["opening"], opening=_length(led, sums["opening"]),
        used_nm=used, used=_length(led, used), lost_nm=lost, lost=_length(led, lost),
        lost_share=share, lost_share_shown=f"{share * 100:.1f} %",
        accounts=tuple(
            AccountSum(account=a, length_nm=sums[a], length=_length(led, sums[a]))
            for a in _ACCOUNTS if sums[a]
        ),
        worst=_worst(sums),
    )  # fmt: skip


def _worst(sums: Mapping[Account, int]) -> str:
    most = max(LOSSES, key=lambda account: sums.get(account, 0))
    return _WHERE.get(most, most) if sums.get(most, 0) > 0 else ""


def _length(led: Ledgers, nm: int) -> str:
    return naming.length(led, nm) if nm else "nothing"


def _short(led: Ledgers, ribbons: tuple[RibbonLoss, ...]) -> str:
    used = sum(row.used_nm for row in ribbons)
    lost = sum(row.lost_nm for row in ribbons)
    if not used:
        return "Nothing has been cut yet."
    words = (
        f"Of {naming.length(led, used)} used, {_length(led, lost)} "
        f"({lost / used * 100:.1f} %) was trimmed, scrapped or is not yet explained"
    )
    worst = ribbons[0]
    if worst.lost_nm <= 0:
        return f"{words}."
    return f"{words}; most of {worst.ribbon}: {worst.lost}, mainly {worst.worst}."


def _spools(
    led: Ledgers, held: Mapping[str, Held], checks: Mapping[str, SpoolCheck],
    bulk: Mapping[str, Bulk], event_of: EventOf,
) -> Iterable[SpoolLoss]:  # fmt: skip
    cat = catalogue(led)
    for spool in sorted(held, key=lambda s: -_lost(held[s])):
        base, lost = led.spools[spool], _lost(held[spool])
        off = held[spool]["not yet explained"]
        yield SpoolLoss(
            code=spool, ribbon=cat.ribbon_name(base.ribbon), lot=base.lot,
            joins=len(led.page("joins", spool)), lost_nm=lost, lost=_length(led, lost),
            unexplained_nm=off, unexplained=_length(led, off),
            label_check=_label(led, checks.get(spool)),
            bulk=_bulk(led, bulk[spool], event_of) if spool in bulk else "",
        )  # fmt: skip


def _label(led: Ledgers, check: SpoolCheck | None) -> str:
    if check is None:
        return "can't be told"
    low, high = check.low - check.label, check.high - check.label
    if check.sure:
        verdict = "short beyond what is allowed" if check.short else "within it"
        return f"{_signed(led, low)}, {verdict}"
    return (
        f"between {_signed(led, low)} and {_signed(led, high)}, if every cut was "
        "entered"
    )


def _signed(led: Ledgers, nm: int) -> str:
    shown = _rounded(led, nm)
    return f"+{shown}" if nm > 0 else shown


def _rounded(led: Ledgers, nm: float) -> str:
    """Say a length that is not exact, to a quarter inch or a millimetre."""
    step = 1_000_000 if _metric(led) else 6_350_000
    return _length(led, round(nm / step) * step)


def _metric(led: Ledgers) -> bool:
    page = led.page("shop", "")
    return bool(page) and page[0].event.units == "metric"


def _bulk(led: Ledgers, found: Bulk, event_of: EventOf) -> str:
    days = [event_of(seq).happened[:10] for seq in (found.first, found.last)]
    first, last = (spoken(date.fromisoformat(day)) for day in days)
    return f"about {_rounded(led, found.length)} between {first} and {last}"


def _over_cut(led: Ledgers, over: OverCut) -> Iterable[OverCutLine]:
    if over.mean is not None:
        yield _over_line(led, "all parts", sum(over.counts.values()), over.mean)
    for role, estimate in over.parts.items():
        yield _over_line(led, role, over.counts[role], estimate)


def _over_line(led: Ledgers, role: str, parts: int, e: Estimate) -> OverCutLine:
    return OverCutLine(
        role=role, parts=parts, each_nm=round(e.value), each=_fine(led, e.value),
        low_nm=round(e.low), high_nm=round(e.high),
        interval=f"{_fine(led, e.low)} to {_fine(led, e.high)}",
    )  # fmt: skip


def _fine(led: Ledgers, nm: float) -> str:
    """Say a small length that was reckoned, with two digits."""
    shown = f"{nm / 1e6:.1f} mm" if _metric(led) else f"{nm / 25.4e6:.2f} in"
    return shown.replace("-", "−")


def _over_note(over: OverCut) -> str:
    if not over.parts:
        return f"Nothing can be said of over-cut: {over.why}."
    notes = [over.why] if over.why else []
    if not over.roles_apart:
        notes.append(
            "the parts are cut together so often that single parts can hardly be "
            "told from one another; all parts together are surer"
        )
    return "; ".join(notes).capitalize() + "." if notes else ""


def _lots(led: Ledgers, over: OverCut, labels: Measured) -> Iterable[LotLine]:
    """Tell every lot whose labels something is known of, as its spools came."""
    read = {(lot.lot, lot.ribbon): lot for lot in labels.lots}
    for lot, ribbon in dict.fromkeys((s.lot, s.ribbon) for s in led.spools.values()):
        check, error = read.get((lot, ribbon)), over.label.get(f"{lot} {ribbon}")
        if check is not None or error is not None:
            yield _lot(led, lot, ribbon, check, error)


def _lot(
    led: Ledgers, lot: str, ribbon: str, check: LotCheck | None, error: Estimate | None
) -> LotLine:
    mean = round(check.test.mean) if check else None
    return LotLine(
        lot=lot, ribbon=catalogue(led).ribbon_name(ribbon),
        spools=len(check.spools) if check else 0, mean_nm=mean,
        mean="" if mean is None else _signed(led, mean),
        verdict=check.test.verdict if check else "none read before its first cut",
        likely_share=error.value if error else None,
        low_share=error.low if error else None,
        high_share=error.high if error else None,
        likely=_off(error.value) if error else "",
        interval=f"{_off(error.low)} to {_off(error.high)}" if error else "",
    )  # fmt: skip


def _off(share: float) -> str:
    percent = round(share * 100, 1)
    return f"{percent:+.1f} %".replace("-", "−") if percent else "0.0 %"


def _odd(led: Ledgers, over: OverCut, event_of: EventOf) -> Iterable[Oddity]:
    for found in over.bulk:
        yield Oddity(
            about=found.spool,
            what=f"It lost {_bulk(led, found, event_of)} that over-cut and label "
            "don't account for: a cut may not have been entered.",
            instead=f"bows story {found.spool}",
        )
