"""
Geometry of the pictures, worked out here so that it can be tested; macros draw it.

All figures are in the picture's own units, one of which is at least 0.9 CSS pixels
when the page shows it; x grows to the right, y downwards.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from planner.views.common import TEXTURES, Texture

Tone = Literal["indigo", "madder", "moss", "ochre", "linen"]
"""Tones of thread; each has a token in the style sheet, light and dark."""

WIDTH = 720.0
"""Width of every picture."""
LETTER = 7.2
"""Room one letter of a label takes; wide letters take two."""

FREE = "free"
"""What `BenchSegment.order` says where nothing is planned."""


@dataclass(frozen=True, slots=True)
class Weave:
    """A tone and a texture: neither is ever the only sign."""

    tone: Tone
    texture: Texture

    @property
    def id(self) -> str:
        """Name of the fill in the page."""
        return f"w-{self.tone}-{self.texture}"


ACCOUNT_WEAVES: dict[str, Weave] = {
    "left": Weave("linen", "plain"),
    "ends": Weave("ochre", "dots"),
    "bundles": Weave("moss", "backslant"),
    "bows": Weave("indigo", "slant"),
    "trimmed": Weave("ochre", "upright"),
    "scrapped": Weave("madder", "cross"),
    "sent out": Weave("moss", "level"),
    "not yet explained": Weave("madder", "wave"),
    "opening": Weave("linen", "plain"),
    "several": Weave("linen", "dots"),
}
"""How each account of a spool is drawn; `several` are short pieces drawn as one."""

_ORDER_TONES: tuple[Tone, ...] = ("indigo", "ochre", "moss", "madder")
_ORDER_TEXTURES = TEXTURES[1:]


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the ruler."""

    x: float
    label: str


def room(label: str) -> float:
    """Give the width a label needs, a little air on either side included."""
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in label)
    return (len(label) + wide) * LETTER + 6


def ribbon(width: float, height: float, *, notch: float | None = None) -> str:
    """Give the path of a strip of ribbon, its ends cut in a notch."""
    deep = min(notch if notch is not None else height / 2, width / 3)
    points = (
        (0.0, 0.0),
        (width, 0.0),
        (width - deep, height / 2),
        (width, height),
        (0.0, height),
        (deep, height / 2),
    )
    return "M" + "L".join(f"{x:g},{y:g}" for x, y in points) + "Z"


def bookmark(width: float, height: float) -> str:
    """Give the path of a ribbon hanging from an edge, its lower end notched."""
    points = (
        (0.0, 0.0),
        (width, 0.0),
        (width, height),
        (width / 2, height - width / 2.4),
        (0.0, height),
    )
    return "M" + "L".join(f"{x:g},{round(y, 2):g}" for x, y in points) + "Z"


def luminance(hex: str) -> float:
    """
    Give the relative luminance of an `#rrggbb`, 0 for black to 1 for white.

    WCAG 2.2, "relative luminance".
    """
    channels = (int(hex[at : at + 2], 16) / 255 for at in (1, 3, 5))
    linear = [
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def hatching(hex: str) -> Literal["dark", "light"]:
    """Choose the ink that shows better on a colour."""
    light = luminance(hex)
    return "dark" if (light + 0.05) / 0.05 >= 1.05 / (light + 0.05) else "light"


def order_weaves(codes: Iterable[str]) -> dict[str, Weave]:
    """Give each order a weave; the first 28 all differ."""
    distinct = [code for code in dict.fromkeys(codes) if code != FREE]
    return {
        code: Weave(
            _ORDER_TONES[at % len(_ORDER_TONES)],
            _ORDER_TEXTURES[at % len(_ORDER_TEXTURES)],
        )
        for at, code in enumerate(distinct)
    }


_STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 75, 100)


def round_step(units: float) -> int:
    """Give the round number of units that is just not less."""
    for step in _STEPS:
        if step >= units:
            return step
    return 100 * math.ceil(units / 100)
