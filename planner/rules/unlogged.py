"""
Which of a fair's missing bows may have been sold without being typed.

A bow is missing when it was brought and neither came back, was given, nor was typed as
sold.  Sales typed without their colour explain some of a pattern's missing bows; what
the counted takings exceed the typed sales by limits the rest.  Exact: no rounding and
no sampling, sums of money are walked as bits of one whole number.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import gcd
from typing import NamedTuple


class Range(NamedTuple):
    """The least and the most of a kind that may have been sold without being typed."""

    least: int
    most: int


class _Pool(NamedTuple):
    """Missing bows of one pattern at one price: any of them serves as well."""

    price: int | None
    missing: int


def unlogged_ranges(
    *, missing: Mapping[str, int], unnoticed: Mapping[str, int],
    prices: Mapping[str, int | None], difference: int | None, tolerance: int = 0,
) -> dict[str, Range]:  # fmt: skip
    """
    Bound the sales not typed, by kind.

    `missing` counts bows by kind; `unnoticed` sales without a colour by pattern (they
    were typed, so their money is none of the difference); `prices` are minor units by
    kind, None where not known; `difference` is what the takings exceed the typed sales
    by, None where they were not counted.

    A choice of sales is possible when its money is no more than the difference and,
    where every missing bow has a price, no further below it than the best choice is
    (but for `tolerance`).  Each range is the least and most of a kind over all
    possible choices.
    """
    kinds = {kind: count for kind, count in missing.items() if count > 0}
    groups = _groups(kinds, prices)
    caps = {p: _cap(pools, unnoticed.get(p, 0)) for p, pools in groups.items()}
    if difference is None:
        return {k: Range(0, min(n, caps[_pattern(k)])) for k, n in kinds.items()}
    if difference <= 0:
        return dict.fromkeys(kinds, Range(0, 0))
    sold = _sold(groups, caps, difference, tolerance)
    found = {}
    for kind, count in kinds.items():
        pattern, price = _pattern(kind), _price(prices, kind)
        pool = next(x for x in groups[pattern] if x.price == price)
        least, most = sold[pattern, price]
        found[kind] = Range(max(least - (pool.missing - count), 0), min(most, count))
    return found


def _pattern(kind: str) -> str:
    return kind.partition(":")[0]


def _price(prices: Mapping[str, int | None], kind: str) -> int | None:
    # A bow given for nothing says no more about money than one of unknown price.
    return prices.get(kind) or None


def _groups(
    kinds: Mapping[str, int], prices: Mapping[str, int | None]
) -> dict[str, list[_Pool]]:
    sums: dict[str, dict[int | None, int]] = {}
    for kind, count in kinds.items():
        pools = sums.setdefault(_pattern(kind), {})
        price = _price(prices, kind)
        pools[price] = pools.get(price, 0) + count
    return {p: [_Pool(*item) for item in pools.items()] for p, pools in sums.items()}


def _cap(pools: Iterable[_Pool], unnoticed: int) -> int:
    total = sum(pool.missing for pool in pools)
    return max(total - max(unnoticed, 0), 0)


def _copies(bits: int, step: int, count: int, mask: int) -> int:
    """Add none to `count` times `step` to every sum held as a bit."""
    block = 1
    while count > 0:
        take = min(block, count)
        bits |= (bits << (take * step)) & mask
        count -= take
        block *= 2
    return bits


class _Money(NamedTuple):
    """Sums of money as bits: bit n is n `unit`s; `mask` are those within the limit."""

    unit: int
    mask: int

    def step(self, pool: _Pool) -> int:
        """Give a pool's price in units."""
        return (pool.price or 0) // self.unit

    def any_number(self, bits: int, pools: Iterable[_Pool]) -> int:
        """Give the sums reachable from `bits` with any number of the pools' bows."""
        for pool in pools:
            bits = _copies(bits, self.step(pool), pool.missing, self.mask)
        return bits

    def at_most(self, bits: int, pools: Sequence[_Pool], cap: int) -> list[int]:
        """Give the sums reachable with at most 0, 1, ... `cap` of the pools' bows."""
        layers = [bits] + [0] * cap
        for pool in pools:
            layers = self._taken_from(layers, pool)
        for at in range(1, len(layers)):
            layers[at] |= layers[at - 1]
        return layers

    def _taken_from(self, layers: Sequence[int], pool: _Pool) -> list[int]:
        more, step = [0] * len(layers), self.step(pool)
        for have, held in enumerate(layers):
            if held:
                for take in range(min(pool.missing, len(layers) - 1 - have) + 1):
                    more[have + take] |= (held << (take * step)) & self.mask
        return more


Groups = Mapping[str, list[_Pool]]


def _sold(
    groups: Groups, caps: Mapping[str, int], difference: int, tolerance: int
) -> dict[tuple[str, int | None], tuple[int, int]]:
    """Give the least and most sold of each pool, over all sums that fit."""
    pools = [pool for group in groups.values() for pool in group]
    unit = gcd(*(pool.price or 0 for pool in pools)) or 1
    most = sum((pool.price or 0) * pool.missing for pool in pools)
    limit = min(difference, most) // unit
    money = _Money(unit, (1 << (limit + 1)) - 1)
    fits = money.mask
    if all(pool.price is not None for pool in pools):
        best = _sums(money, groups, caps).bit_length() - 1
        least = max(-((tolerance - best * unit) // unit), 0)
        fits = fits >> least << least
    return {
        (pattern, pool.price): _least_and_most(money, groups, caps, pattern, pool, fits)
        for pattern, group in groups.items()
        for pool in group
    }


def _sums(
    money: _Money, groups: Groups, caps: Mapping[str, int], *, without: str = ""
) -> int:
    """Give every sum within the limit, perhaps with one pattern left out."""
    bits = 1
    for pattern, pools in groups.items():
        if pattern == without:
            continue
        if sum(pool.missing for pool in pools) <= caps[pattern]:
            bits = money.any_number(bits, pools)
        else:
            bits = money.at_most(bits, pools, caps[pattern])[-1]
    return bits


def _least_and_most(
    money: _Money, groups: Groups, caps: Mapping[str, int], pattern: str,
    pool: _Pool, fits: int,
) -> tuple[int, int]:  # fmt: skip
    rest, cap = _sums(money, groups, caps, without=pattern), caps[pattern]
    others = [other for other in groups[pattern] if other is not pool]
    free = sum(other.missing for other in others)
    if free + pool.missing <= cap:
        reach = [money.any_number(rest, others)]
    else:
        reach = money.at_most(rest, others, min(cap, free))
    found = [
        count for count in range(min(pool.missing, cap) + 1)
        if reach[min(cap - count, len(reach) - 1)] << (count * money.step(pool)) & fits
    ]  # fmt: skip
    return min(found), max(found)
