"""
Lengths as whole nanometres: reading what she types, writing what she reads.

One inch is 25.4 mm exactly and one yard 0.9144 m exactly (international yard and
pound agreement, 1959), so inches down to the 64th and every metric length she uses
are whole nanometres, and sums never drift.
"""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import pairwise
from typing import Final, NoReturn

from planner.errors import Absurd, Ambiguous, Unreadable
from planner.values.text import check_typed, quoted

NM_PER_MM: Final = 1_000_000
NM_PER_CM: Final = 10_000_000
NM_PER_M: Final = 1_000_000_000
NM_PER_64TH: Final = 396_875
NM_PER_INCH: Final = 25_400_000
NM_PER_FOOT: Final = 304_800_000
NM_PER_YARD: Final = 914_400_000
LONGEST_NM: Final = 2_000 * NM_PER_YARD
"""No ribbon comes longer than this; anything above is a slip of the finger."""

USUAL_PUT_UPS_YD: Final = (
    3, 4, 5, 6, 8, 9, 10, 12, 15, 20, 22, 25, 27, 30, 40, 50, 75, 100, 150, 200, 250,
    300, 500, 1000,
)  # fmt: skip

_LONGEST_TEXT = 60
_INSTEAD = 'Type a length such as "32in", "1 1/2 in", "3 yd 8 in" or "0.8 m".'

_UNIT_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "in": ("in", "inch", "inches", '"', "''"),
    "ft": ("ft", "foot", "feet", "'"),
    "yd": ("yd", "yds", "yard", "yards"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("m", "metre", "metres", "meter", "meters"),
}
_UNIT_OF = {word: unit for unit, words in _UNIT_WORDS.items() for word in words}
_NM_PER: Final[dict[str, int]] = {
    "in": NM_PER_INCH,
    "ft": NM_PER_FOOT,
    "yd": NM_PER_YARD,
    "mm": NM_PER_MM,
    "cm": NM_PER_CM,
    "m": NM_PER_M,
}
_METRIC = frozenset({"mm", "cm", "m"})

# Vulgar fractions are spaced off, so that "1½" is one and a half, not eleven halves.
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5",
    "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
_LOOKALIKES = str.maketrans(
    {
        "\u2044": "/",
        "\u2033": '"',
        "\u201c": '"',
        "\u201d": '"',
        "\u2032": "'",
        "\u2018": "'",
        "\u2019": "'",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
        "\u2010": "-",
        "\u2011": "-",
        "\u2012": "-",
        "\u2013": "-",
        "\u2212": "-",
        **{sign: f" {plain}" for sign, plain in _VULGAR.items()},
    }
)
_NUMBER = (
    r"(?P<whole>[0-9]+)(?: +| ?- ?)(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    r"|(?P<only_top>[0-9]+)/(?P<only_bottom>[0-9]+)"
    r"|(?P<decimal>[0-9]+(?:[.,][0-9]+)?|\.[0-9]+)"
)
_PART = rf" *(?:{_NUMBER}) *(?P<unit>(?:[a-z]+|\"|''?)\.?)?(?: *, +)?"


def parse_length(text: str, *, default: str | None = None) -> int:
    """
    Read a length such as ``3 yd 8 in``, ``1-1/2in``, ``½ in`` or ``0,8 m``.

    Returns whole nanometres.  A bare number is taken only when `default` names its
    unit (in, ft, yd, mm, cm, m).  Raises `Unreadable` for what isn't a length or
    isn't a whole nanometre, `Ambiguous` where two readings are possible (``11/2 in``,
    ``1,250 mm``), `Absurd` for zero, less, and more than 2,000 yd.
    """
    bare = check_typed(text, what="a length", longest=_LONGEST_TEXT, instead=_INSTEAD)
    plain = bare.translate(_LOOKALIKES).strip().lower()
    if plain.startswith("-"):
        raise Absurd(f"{quoted(bare)} is less than nothing.", instead=_INSTEAD)
    parts = _parts(plain, typed=bare, default=default)
    _check_units([unit for _, unit in parts], typed=bare)
    return _whole(sum(_NM_PER[unit] * number for number, unit in parts), typed=bare)


def _parts(
    plain: str, *, typed: str, default: str | None
) -> list[tuple[Fraction, str]]:
    parts: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(plain):
        found = re.match(_PART, plain[at:])
        if found is None or (not found["unit"] and at + len(found[0]) < len(plain)):
            _refuse(typed)
        parts.append((_number(found, typed=typed), _unit(found, typed, parts, default)))
        at += found.end()
    return parts


def _refuse(typed: str) -> NoReturn:
    raise Unreadable(f"{quoted(typed)} can't be read as a length.", instead=_INSTEAD)


def _unit(
    found: re.Match[str],
    typed: str,
    before: list[tuple[Fraction, str]],
    default: str | None,
) -> str:
    if found["unit"]:
        return _known_unit(found["unit"].rstrip("."), typed=typed)
    if before:
        raise Ambiguous(
            f"The last number in {quoted(typed)} has no unit.",
            instead='Put the unit after each number, as in "2 ft 3 in".',
        )
    if default is None:
        raise Ambiguous(
            f"{quoted(typed)} has no unit: it could be inches, yards or metres.",
            instead=f'Put the unit after it, as in "{typed} in" or "{typed} yd".',
        )
    return _UNIT_OF[default]


def _known_unit(word: str, *, typed: str) -> str:
    if word not in _UNIT_OF:
        _refuse(typed)
    return _UNIT_OF[word]


def _number(found: re.Match[str], *, typed: str) -> Fraction:
    if found["decimal"]:
        return Fraction(_with_point(found["decimal"], typed=typed))
    top = int(found["top"] or found["only_top"])
    bottom = int(found["bottom"] or found["only_bottom"])
    if bottom == 0:
        _refuse(typed)
    if top >= bottom:
        _refuse_top_heavy(top, bottom, typed=typed)
    return int(found["whole"] or 0) + Fraction(top, bottom)


def _refuse_top_heavy(top: int, bottom: int, *, typed: str) -> NoReturn:
    # "11/2 in" is as likely a lost space (1 1/2) as eleven halves.
    whole, rest = divmod(top, bottom)
    meant = f"{whole} {rest}/{bottom}" if rest else f"{whole}"
    raise Ambiguous(
        f"{top}/{bottom} in {quoted(typed)} is more than one whole: "
        "perhaps a space is missing.",
        instead=f'Type "{meant}" with its unit, or put the space in, as in "1 1/2 in".',
    )


def _with_point(digits: str, *, typed: str) -> str:
    left, comma, right = digits.partition(",")
    if not comma:
        return digits
    if len(right) == 3 and len(left) <= 3 and not left.startswith("0"):
        raise Ambiguous(
            f"The comma in {quoted(typed)} could mark thousands or a decimal.",
            instead=f'Type "{left}{right}" or "{left}.{right}" with the unit.',
        )
    return f"{left}.{right}"


def _check_units(units: list[str], *, typed: str) -> None:
    if len({unit in _METRIC for unit in units}) > 1:
        raise Unreadable(
            f"{quoted(typed)} mixes inches or yards with metres.",
            instead='Type it in one or the other, as in "3 yd 8 in" or "2.9 m".',
        )
    sizes = [_NM_PER[unit] for unit in units]
    if any(later >= earlier for earlier, later in pairwise(sizes)):
        raise Unreadable(
            f"The units in {quoted(typed)} don't go from large to small.",
            instead='Type the larger unit first and each unit once: "3 yd 8 in".',
        )


def _whole(exact: Fraction | int, *, typed: str) -> int:
    if exact == 0:
        raise Absurd(f"{quoted(typed)} is no length at all.", instead=_INSTEAD)
    if exact > LONGEST_NM:
        raise Absurd(
            f"{quoted(typed)} is longer than any ribbon (2,000 yd at most).",
            instead=_INSTEAD,
        )
    if exact.denominator != 1:
        near = format_length(max(1, round(exact / NM_PER_64TH)) * NM_PER_64TH)
        raise Unreadable(
            f"{quoted(typed)} is finer than can be kept (not a whole nanometre).",
            instead=f'Type the nearest 64th of an inch ("{near}") or millimetres.',
        )
    return int(exact)


def format_length(nm: int, *, style: str = "in") -> str:
    """
    Write a length given in nanometres as she would.

    Styles: ``in``, ``yd`` (yards and inches), ``m``, ``mm``, ``auto-us`` (inches below
    2 yd, else yards and inches), ``auto-metric`` (mm below 10 cm, cm below 2 m, else
    m).  A length that can't be written exactly gets "≈"; less than nothing gets a
    true minus sign.  Raises `ValueError` for an unknown style.
    """
    if nm < 0:
        return f"−{format_length(-nm, style=style)}".replace("−≈ ", "≈ −")
    if style == "auto-us":
        style = "in" if nm < 2 * NM_PER_YARD else "yd"
    if style == "auto-metric":
        style = "mm" if nm < 10 * NM_PER_CM else "cm" if nm < 2 * NM_PER_M else "m"
    if style == "in":
        return _in_inches(nm)
    if style == "yd":
        return _in_yards(nm)
    if style not in _DECIMALS:
        raise ValueError(f"there is no length style {style!r}")
    return _in_metric(nm, style)


_DECIMALS: Final[dict[str, tuple[int, int]]] = {"m": (4, 3), "cm": (2, 1), "mm": (3, 2)}
"""How many decimals are written when exact, and how many when only about right."""


def _in_inches(nm: int) -> str:
    if nm % NM_PER_64TH == 0:
        return f"{_in_64ths(nm // NM_PER_64TH)} in"
    exact = Fraction(nm, NM_PER_INCH)
    if (exact * 1000).denominator == 1:
        return f"{_decimal(exact, 3)} in"
    return f"≈ {_decimal(exact, 2)} in"


def _in_64ths(sixty_fourths: int) -> str:
    whole, rest = divmod(sixty_fourths, 64)
    if rest == 0:
        return str(whole)
    part = Fraction(rest, 64)
    return f"{whole} {part}" if whole else str(part)


def _in_yards(nm: int) -> str:
    yards, rest = divmod(nm, NM_PER_YARD)
    inches = _in_inches(rest)
    if inches == "≈ 36 in":
        return f"≈ {yards + 1} yd"
    if yards == 0:
        return inches
    if rest == 0:
        return f"{yards} yd"
    about = "≈ " if inches.startswith("≈") else ""
    return f"{about}{yards} yd {inches.removeprefix('≈ ')}"


def _in_metric(nm: int, unit: str) -> str:
    exact = Fraction(nm, _NM_PER[unit])
    most, rough = _DECIMALS[unit]
    if (exact * 10**most).denominator == 1:
        return f"{_decimal(exact, most)} {unit}"
    return f"≈ {_decimal(exact, rough)} {unit}"


def _decimal(exact: Fraction, places: int) -> str:
    # Half up and in whole numbers, so that a long float never shows.
    scaled = (exact * 10**places * 2 + 1) // 2
    whole, rest = divmod(int(scaled), 10**places)
    digits = f"{rest:0{places}d}".rstrip("0")
    return f"{whole}.{digits}" if digits else str(whole)


def approximate_yards(nm: int) -> float:
    """Give nanometres as yards for a chart or an estimate; never post it."""
    return nm / NM_PER_YARD


def odd_put_up(nm: int) -> str | None:
    """
    Warn when a labelled length (nanometres) is not one that spools usually come in.

    25 m, say, is 27.34 yd: a "25" on the label may mean yards or metres.
    """
    yards, rest = divmod(nm, NM_PER_YARD)
    if rest == 0 and yards in USUAL_PUT_UPS_YD:
        return None
    metres, odd = divmod(nm, NM_PER_M)
    if odd == 0:
        return (
            f"{metres} m is {approximate_yards(nm):.2f} yd, not {metres} yd: "
            f'if the label says yards, type "{metres} yd".'
        )
    near = min(USUAL_PUT_UPS_YD, key=lambda usual: abs(usual * NM_PER_YARD - nm))
    return (
        f"{format_length(nm, style='yd')} is not a length spools usually come in "
        f"(the nearest is {near} yd): check the label."
    )
