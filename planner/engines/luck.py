"""
Chance that depends on what it is of: the same draws for the same thing in every plan.

Single precision throughout: 24 bits of chance are more than thousands of draws can
tell apart, and drawing is what a plan's odds cost most of.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

Singles = NDArray[np.float32]


def rng(seed: int, *what: str) -> np.random.Generator:
    """Give the chance of one thing, the same whatever else is drawn."""
    return np.random.default_rng([seed, crc32(" ".join(what).encode())])


def uniforms(seed: int, whats: Sequence[str], size: int) -> Singles:
    """Draw so many numbers of 0 to 1 (1 left out) for each thing, (things, size)."""
    drawn = np.empty((len(whats), size), dtype=np.float32)
    for row, what in zip(drawn, whats, strict=True):
        rng(seed, what).random(dtype=np.float32, out=row)
    return drawn


def normal(uniform: Singles) -> Singles:
    """
    Turn an even number of uniform numbers a row into as many standard normal ones.

    Source: Box & Muller 1958. None lies further off than 5.8, as none is less than
    2**-24.
    """
    half = uniform.shape[1] // 2
    far = np.sqrt(np.float32(-2) * np.log(np.float32(1) - uniform[:, :half]))
    turn = np.float32(2 * math.pi) * uniform[:, half:]
    return np.concatenate((far * np.cos(turn), far * np.sin(turn)), axis=1)
