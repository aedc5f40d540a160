"""Planted shops for the fair's engine: truth known, buyers drawn one by one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

HOURS = 6.0


@dataclass(frozen=True)
class Planted:
    """
    One shop's truth and its past fairs, arrays of shape (fairs, kinds).

    rates: bows an hour of each kind; effects: logs of the colours' factors (their sum
    is 0); gone: share of the fair until the last bow went, 1 where some came back.
    """

    rates: np.ndarray
    effects: np.ndarray
    size: np.ndarray
    colour: np.ndarray
    family: np.ndarray
    shock: float
    share: float
    brought: np.ndarray
    sold: np.ndarray
    gone: np.ndarray


def plant(
    rng: np.random.Generator,
    *,
    fairs: int = 10,
    sizes: int = 3,
    colours: int = 6,
    share: float = 0.3,
    shock: float = 8.0,
    kappa: float = 6.0,
    ample: bool = False,
    level: float = 0.6,
) -> Planted:
    """Draw a shop and play its fairs; `ample`: enough is brought of every kind."""
    size = np.repeat(np.arange(sizes), colours)
    colour = np.tile(np.arange(colours), sizes)
    effects = rng.normal(0, 0.5, colours)
    effects -= effects.mean()
    tall = rng.normal(0, 0.3, sizes)
    rates = level * np.exp(effects[colour] + tall[size])
    rates = rates * rng.gamma(kappa, 1 / kappa, size.size)
    # A family holds two colours, of the same size.
    family = size * colours + colour // 2
    brought = np.maximum(rng.poisson(0.9 * HOURS * rates, (fairs, rates.size)), 1)
    if ample:
        brought = brought * 0 + 10_000
    factors = rng.gamma(shock, 1 / shock, fairs)
    played = [
        play(rng, rates * g, n, family, share)
        for g, n in zip(factors, brought, strict=True)
    ]
    return Planted(
        rates=rates, effects=effects, size=size, colour=colour, family=family,
        shock=shock, share=share, brought=brought,
        sold=np.array([sold for sold, _ in played], float),
        gone=np.array([gone for _, gone in played], float),
    )  # fmt: skip


def play(
    rng: np.random.Generator, rates: np.ndarray, brought: np.ndarray,
    family: np.ndarray, share: float,
) -> tuple[np.ndarray, np.ndarray]:  # fmt: skip
    """Let buyers come one by one; one whose kind is gone may take its neighbour."""
    left, gone = brought.copy(), np.ones(rates.size)
    count = rng.poisson(rates.sum() * HOURS)
    wanted = rng.choice(rates.size, size=count, p=rates / rates.sum())
    times = np.sort(rng.random(count))
    for kind, time in zip(wanted, times, strict=True):
        took = kind
        if not left[kind]:
            near = np.flatnonzero((family == family[kind]) & (left > 0))
            if not near.size or rng.random() >= share:
                continue
            took = rng.choice(near)
        left[took] -= 1
        if not left[took]:
            gone[took] = time
    return brought - left, gone
