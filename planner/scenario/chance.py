"""Draws from a seeded generator that the standard library lacks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from random import Random


def happens(rng: Random, share: float) -> bool:
    """Say yes with that chance."""
    return rng.random() < share


def poisson(rng: Random, mean: float) -> int:
    """
    Draw a Poisson count.

    Source: Knuth, The Art of Computer Programming, vol. 2, section 3.4.1, algorithm Q;
    big means are drawn in slices so that the product does not run out of digits.
    """
    count = 0
    while mean > 30:
        count += poisson(rng, 30.0)
        mean -= 30
    limit, product = math.exp(-mean), rng.random()
    while product > limit:
        count += 1
        product *= rng.random()
    return count


def binomial(rng: Random, trials: int, share: float) -> int:
    """Draw how many of a few trials succeed."""
    return sum(rng.random() < share for _ in range(trials))


def around_one(rng: Random, spread: float) -> float:
    """Draw a gamma factor of mean 1 and that standard deviation."""
    shape = 1 / spread**2
    return rng.gammavariate(shape, 1 / shape)


def times(rng: Random, spread: float) -> float:
    """Draw a lognormal factor of median 1; `spread` is the logarithm's deviation."""
    return math.exp(rng.gauss(0.0, spread))


def pick(rng: Random, weights: Mapping[str, float]) -> str:
    """Draw a key by weight."""
    return rng.choices(list(weights), list(weights.values()))[0]


def swapped(rng: Random, count: int) -> int:
    """Mistype a count: the digits change places, or it is one or two off."""
    if count > 12 and count % 11:
        return int(str(count)[::-1]) or count + 1
    return max(count + rng.choice((-2, -1, 1, 1, 2)), 1) if count > 1 else 2
