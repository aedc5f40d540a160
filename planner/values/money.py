"""
Amounts as whole minor units (cents, pence, fils) of one named currency.

Nothing here divides a coin: shares are handed out by largest remainder and fees
rounded once, half up.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final, NoReturn

from planner.errors import Absurd, Ambiguous, Unknown, Unreadable
from planner.values.text import check_typed, quoted

_NONE = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_TWO = """
AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN
BZD CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD
FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW
KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR
MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG
SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD
USN UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG
"""
_THREE = "BHD IQD JOD KWD LYD OMR TND"
_FOUR = "CLF UYW"

MINOR_DIGITS: Final[dict[str, int]] = {
    **dict.fromkeys(_NONE.split(), 0),
    **dict.fromkeys(_TWO.split(), 2),
    **dict.fromkeys(_THREE.split(), 3),
    **dict.fromkeys(_FOUR.split(), 4),
}
"""Digits after the point by currency code.  Source: ISO 4217, list one (memory)."""

MOST_MAJOR: Final = 10_000_000
"""An amount above this many whole units of money is a slip of the finger."""

_SYMBOL: Final[dict[str, str]] = {
    "USD": "$",
    "EUR": "€",
    "GBP": "£",
    "JPY": "¥",
    "INR": "₹",
    "KRW": "₩",
    "ILS": "₪",
    "UAH": "₴",
}
_DOLLARS = """
USD CAD AUD NZD SGD HKD TWD BBD BMD BND BSD BZD FJD GYD JMD KYD LRD NAD SBD SRD TTD XCD
ARS CLP COP MXN UYU DOP CUP
"""
_POUNDS = "GBP FKP GIP SHP EGP SDG SSP SYP LBP"
_MEANT_BY: Final[dict[str, frozenset[str]]] = {
    "$": frozenset(_DOLLARS.split()),
    "€": frozenset({"EUR"}),
    "£": frozenset(_POUNDS.split()),
    "¥": frozenset({"JPY", "CNY"}),
    "₹": frozenset({"INR"}),
    "₩": frozenset({"KRW", "KPW"}),
    "₪": frozenset({"ILS"}),
    "₴": frozenset({"UAH"}),
}
_SIGN = r"[A-Za-z]{3}|[$€£¥₹₩₪₴]"
_AMOUNT = (
    rf"(?P<before>{_SIGN})? ?(?P<minus>[-\u2212\u2013])? ?(?P<before2>{_SIGN})? ?"
    rf"(?P<digits>[0-9.,]+) ?(?P<after>{_SIGN})?"
)
_POINT = r"(?P<whole>[0-9]{1,3}(?:,[0-9]{3})+|[0-9]*)\.(?P<part>[0-9]+)"
_COMMA = r"(?P<whole>[0-9]{1,3}(?:\.[0-9]{3})+|[0-9]*),(?P<part>[0-9]+)"
_THOUSANDS = r"[1-9][0-9]{0,2}(?P<mark>[.,])[0-9]{3}(?:(?P=mark)[0-9]{3})*"


def minor_digits(currency: str) -> int:
    """
    Give the number of digits after the point of a currency code.

    Raises `Unknown` for a code that ISO 4217 doesn't list as money.
    """
    digits = MINOR_DIGITS.get(currency.strip().upper()) if len(currency) < 9 else None
    if digits is None:
        raise Unknown(
            f"There is no currency with the code {quoted(currency)}.",
            instead="Type a three-letter code such as USD, EUR, GBP or JPY.",
        )
    return digits


def parse_amount(text: str, currency: str, *, allow_zero: bool = False) -> int:
    """
    Read an amount such as ``4.50``, ``$4.50``, ``4,50``, ``1,234.50`` or ``12``.

    Returns whole minor units of `currency`.  Raises `Unreadable` for junk, another
    currency's sign and too many digits after the point, `Ambiguous` where a mark
    could be thousands or a decimal, `Absurd` below zero, at zero (unless
    `allow_zero`) and above ten million.
    """
    digits = minor_digits(currency)
    instead = f'Type an amount such as "{_example(digits)}".'
    bare = check_typed(text, what="an amount", longest=40, instead=instead)
    found = re.fullmatch(_AMOUNT, bare.replace("\u00a0", " "))
    if found is None:
        _refuse(bare, instead)
    _check_sign(found, currency.strip().upper(), typed=bare, instead=instead)
    if found["minus"]:
        raise Absurd(f"{quoted(bare)} is less than nothing.", instead=instead)
    minor = _minor(found["digits"], digits, typed=bare, instead=instead)
    return _within(minor, digits, typed=bare, allow_zero=allow_zero, instead=instead)


def _scale(digits: int) -> int:
    return int(10**digits)


def _example(digits: int) -> str:
    return f"4.5{'0' * (digits - 1)}" if digits else "450"


def _refuse(typed: str, instead: str) -> NoReturn:
    raise Unreadable(f"{quoted(typed)} can't be read as an amount.", instead=instead)


def _check_sign(
    found: re.Match[str], currency: str, *, typed: str, instead: str
) -> None:
    signs = [found[name] for name in ("before", "before2", "after") if found[name]]
    for sign in signs:
        known = _MEANT_BY.get(sign, frozenset({sign.upper()}))
        if currency not in known:
            raise Unreadable(
                f"{quoted(typed)} says {sign}, but the shop's money is {currency}.",
                instead=instead,
            )


def _minor(number: str, digits: int, *, typed: str, instead: str) -> int:
    if number.isdigit():
        return int(number) * _scale(digits)
    if re.fullmatch(_THOUSANDS, number):
        return _thousands(number, digits, typed=typed)
    found = re.fullmatch(_POINT, number) or re.fullmatch(_COMMA, number)
    if found is None:
        _refuse(typed, instead)
    if len(found["part"]) > digits:
        raise Unreadable(
            f"{quoted(typed)} has more than {digits} digits after the point.",
            instead=instead,
        )
    whole = int(re.sub("[.,]", "", found["whole"]) or 0)
    return whole * _scale(digits) + int(found["part"].ljust(digits, "0"))


def _thousands(number: str, digits: int, *, typed: str) -> int:
    plain = re.sub("[.,]", "", number)
    once = len(re.findall("[.,]", number)) == 1
    # One comma before three digits can only be thousands where money has fewer
    # decimals; a point there, or three decimals, leaves two readings.
    if once and digits == 3 and "." in number:
        return int(plain)
    if once and (digits >= 3 or "." in number):
        whole, part = re.split("[.,]", number)
        second = f' or "{whole}.{part[:digits]}"' if digits else ""
        raise Ambiguous(
            f"The mark in {quoted(typed)} could stand for thousands or a decimal.",
            instead=f'Type "{plain}"{second}.',
        )
    return int(plain) * _scale(digits)


def _within(
    minor: int, digits: int, *, typed: str, allow_zero: bool, instead: str
) -> int:
    if minor == 0 and not allow_zero:
        raise Absurd(f"{quoted(typed)} is no money at all.", instead=instead)
    if minor > MOST_MAJOR * _scale(digits):
        raise Absurd(f"{quoted(typed)} is more than ten million.", instead=instead)
    return minor


def format_amount(minor: int, currency: str) -> str:
    """
    Write minor units with the currency's sign where it is well known, else its code.

    Less than nothing gets a true minus sign in front.
    """
    code = currency.strip().upper()
    digits = minor_digits(code)
    whole, part = divmod(abs(minor), _scale(digits))
    number = f"{whole:,}.{part:0{digits}d}" if digits else f"{whole:,}"
    sign = _SYMBOL.get(code, f"{code} ")
    return f"{'−' if minor < 0 else ''}{sign}{number}"


def share_out(total: int, weights: Sequence[int]) -> tuple[int, ...]:
    """
    Share minor units by weight so that the shares sum to `total` exactly.

    Largest remainder (Hamilton's method); of equal remainders the earlier share
    gains; when all weights are zero the shares are as even as can be; a total below
    zero is shared as its mirror image.  Raises `ValueError` for a weight below zero
    or when there is nobody to share a total with.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("a weight below zero can't take a share")
    if not weights:
        if total:
            raise ValueError("there is nothing to share the total over")
        return ()
    if total < 0:
        return tuple(-share for share in share_out(-total, weights))
    return _largest_remainder(total, weights if any(weights) else [1] * len(weights))


def _largest_remainder(total: int, weights: Sequence[int]) -> tuple[int, ...]:
    whole = sum(weights)
    shares = [total * weight // whole for weight in weights]
    owed = sorted(range(len(weights)), key=lambda at: -(total * weights[at] % whole))
    for at in owed[: total - sum(shares)]:
        shares[at] += 1
    return tuple(shares)


def fee(amount: int, basis_points: int, fixed: int) -> int:
    """
    Give a card fee in minor units: a share in basis points (260 is 2.6 %) + `fixed`.

    Rounded once, half up.
    """
    return (amount * basis_points + fixed * 10_000 + 5_000) // 10_000
