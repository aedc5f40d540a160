"""Why a number of the fair plan is what it is, in words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.plans.fair import KindPlan, SetPlan
from planner.values.daywords import MONTHS

NEWEST = 2
"""How many sell-outs are named."""


def why(kind: KindPlan) -> str:
    """Say what a kind's forecast rests on: its own history against its neighbours'."""
    return "; ".join(_reasons(kind))


def _reasons(kind: KindPlan) -> Iterator[str]:
    seen = kind.seen
    if not seen.brought:
        yield f"{kind.wanted:.1f} wanted, as its size and colour say: never at a fair"
    else:
        own = round(100 * kind.own)
        sets = kind.wanted_in_sets
        part = f" ({sets:.1f} of them in sets)" if sets >= 0.05 else ""
        yield (
            f"{kind.wanted:.1f} wanted{part}: own sales count {own} %, its neighbours "
            f"(who say {kind.lent:.1f}) {100 - own} %"
        )
        fairs_told = f"{seen.brought} fair{'' if seen.brought == 1 else 's'}"
        yield f"sold {seen.sold:.0f} at {fairs_told}"
    if seen.outs:
        named = ", ".join(out_words(one) for one in seen.outs[:NEWEST])
        more = len(seen.outs) - NEWEST
        times = "once" if more == 1 else f"{more} times"
        also = f" and {times} before" if more > 0 else ""
        yield f"sold out {named}{also}"
    if seen.guessed is not None:
        yield f"you guessed {seen.guessed}"


def why_set(one: SetPlan) -> str:
    """Say what the number asked for of a set rests on."""
    seen, said = one.seen, f"{one.wanted:.1f} wanted"
    guessed = "" if seen.guessed is None else f"; you guessed {seen.guessed}"
    if not seen.brought:
        told = "its kinds and other sets say" if seen.guessed is None else "you guessed"
        return f"{said}, as {told}: it could be had at no fair yet"
    fairs = f"{seen.brought} fair{'' if seen.brought == 1 else 's'}"
    return (
        f"{said}; {seen.sold:.0f} sold at {fairs} where it could be had, which counts "
        f"{100 * one.own:.0f} %{guessed}"
    )


def out_words(out: tuple[str, str | None]) -> str:
    """Say when a kind sold out: the day, and the hour if it was noted."""
    day = date.fromisoformat(out[0])
    said = f"{day.day} {MONTHS[day.month - 1]} {day.year}"
    return f"{said} at {out[1]}" if out[1] else said
