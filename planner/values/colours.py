"""Colour values: hex codes, how light they are, which text reads well on them."""

from __future__ import annotations

import re
from typing import Literal

from planner.errors import Unknown, Unreadable
from planner.values.css_names import CSS_NAMES as CSS_NAMES
from planner.values.text import check_typed, quoted

_HEX = r"#?(?:[0-9a-f]{6}|[0-9a-f]{3})"
_INSTEAD = 'Type six hex digits such as "#1f2a5c".'


def parse_hex(text: str) -> str:
    """
    Read ``#1F2A5C``, ``1f2a5c`` or the short ``#fc0`` as lower-case ``#rrggbb``.

    Raises `Unreadable` for anything else.
    """
    bare = check_typed(text, what="a colour value", longest=40, instead=_INSTEAD)
    if not re.fullmatch(_HEX, bare.lower()):
        raise Unreadable(
            f"{quoted(bare)} is not a colour value (hex digits).", instead=_INSTEAD
        )
    digits = bare.lower().removeprefix("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    return f"#{digits}"


def parse_colour(text: str) -> str:
    """
    Read a hex value or one of the CSS colour names as ``#rrggbb``.

    Raises `Unreadable` for junk, `Unknown` for a word that CSS doesn't know.
    """
    bare = check_typed(text, what="a colour value", longest=40, instead=_INSTEAD)
    name = re.sub(r"[\s-]", "", bare.lower())
    if name in CSS_NAMES:
        return CSS_NAMES[name]
    if name.isalpha() and not re.fullmatch(_HEX, name):
        raise Unknown(
            f"There is no standard colour called {quoted(bare)}.",
            instead=_near(name),
        )
    return parse_hex(bare)


def _near(name: str) -> str:
    import difflib

    near = difflib.get_close_matches(name, CSS_NAMES, n=3)
    return f"{_INSTEAD} Did you mean {' or '.join(near)}?" if near else _INSTEAD


def luminance(colour: str) -> float:
    """
    Give the relative luminance (0 black to 1 white) of a hex value.

    Source: WCAG 2.2, definition of relative luminance.
    """
    digits = parse_hex(colour)
    red, green, blue = (_linear(int(digits[at : at + 2], 16)) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: int) -> float:
    share = channel / 255
    if share <= 0.04045:
        return share / 12.92
    return float(((share + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """
    Give the contrast ratio (1 to 21) of two hex values; never round it up to pass.

    Source: WCAG 2.2, definition of contrast ratio.
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def text_on(colour: str) -> Literal["#000000", "#ffffff"]:
    """Give the one of black and white that reads better on a hex value."""
    if contrast("#000000", colour) >= contrast("#ffffff", colour):
        return "#000000"
    return "#ffffff"
