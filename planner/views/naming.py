"""
How things are named in every report: swatches, sizes, colours, kinds, lengths, days.

A size is a pattern and a colour a colourway's ribbons, so that the same navy in three
widths is one row of a matrix.  Keys are what she would type.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import Any

from planner.errors import Refusal
from planner.ledgers.bows import UNNOTICED
from planner.ledgers.catalogue import Catalogue, Colourway, Pattern
from planner.ledgers.shop import shop
from planner.ledgers.state import Ledgers
from planner.values.daywords import format_day
from planner.values.money import format_amount
from planner.values.names import Candidate, find
from planner.values.units import NM_PER_INCH, format_length
from planner.views.common import Colour, Shop, Size, Swatch
from planner.views.common import swatch as make_swatch

UNSEEN = "?"
"""Key of the colour that wasn't noticed."""
_NO_HEX = "#808080"
_VULGAR = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝",
           "7/8": "⅞"}  # fmt: skip


def swatch(cat: Catalogue, colour_code: str) -> Swatch:
    """Give the strip of ribbon of one colour (grey when it was never named)."""
    known = cat.colours.get(colour_code)
    if known is None:
        return make_swatch(name=colour_code or "?", hex=_NO_HEX, family="grey")
    return make_swatch(name=known.name, hex=known.hex, family=known.family)


def swatches_of_kind(cat: Catalogue, kind: str) -> tuple[Swatch, ...]:
    """Give a kind's (or a set's) colours, the lead colour first, each once."""
    if kind in cat.sets:
        codes = [c for k, _ in cat.sets[kind].kinds for c in _colours_of_kind(cat, k)]
        return tuple(swatch(cat, c) for c in dict.fromkeys(codes))
    return tuple(swatch(cat, code) for code in _colours_of_kind(cat, kind))


def swatch_of_ribbon(cat: Catalogue, ribbon: str) -> Swatch:
    """Give the swatch of a ribbon."""
    known = cat.ribbons.get(ribbon)
    return swatch(cat, known.colour if known else ribbon)


def _colours_of_kind(cat: Catalogue, kind: str) -> tuple[str, ...]:
    way = cat.colourway_of(kind)
    return _colours_of(cat, way) if way else ()


def _colours_of(cat: Catalogue, way: Colourway) -> tuple[str, ...]:
    others = (
        cat.ribbons[ribbon].colour for _, ribbon in way.ribbons if ribbon in cat.ribbons
    )
    return tuple(dict.fromkeys((way.lead, *others)))


def size(cat: Catalogue, pattern_code: str) -> Size:
    """Give the column of a pattern: its size alone where no other has that size."""
    pattern = cat.patterns.get(pattern_code)
    if pattern is None:
        return Size(key=pattern_code, name=pattern_code, short=pattern_code)
    typed, shown = _size_typed(pattern.size), _size_shown(pattern.size)
    word = _style_word(cat, pattern)
    if word is None:
        return Size(key=pattern_code, name=pattern.name, short=pattern_code)
    return Size(
        key=f"{word} {typed}".strip(),
        name=pattern.name,
        short=f"{shown} {word}".strip(),
    )


def _style_word(cat: Catalogue, pattern: Pattern) -> str | None:
    """Give the words that tell a pattern from others of its size; None if none do."""
    same = [p for p in cat.patterns.values() if p.size == pattern.size]
    if len(same) == 1:
        return ""
    words = [_without_length(p.name) for p in same]
    own = _without_length(pattern.name)
    return own if own and words.count(own) == 1 else None


def _without_length(name: str) -> str:
    words = re.sub(r"[0-9½¼¾⅛⅜⅝⅞][0-9./ ½¼¾⅛⅜⅝⅞]*", " ", name.lower())
    words = re.sub(r"\b(in|inch|inches|cm|mm)\b", " ", words)
    return " ".join(words.replace(",", " ").split())


def _size_typed(nm: int) -> str:
    if nm % (NM_PER_INCH // 8) == 0:
        return f"{nm / NM_PER_INCH:g}in"
    return format_length(nm, style="auto-metric").replace(" ", "")


def _size_shown(nm: int) -> str:
    if nm % (NM_PER_INCH // 8):
        return _size_typed(nm)
    shown = format_length(nm, style="in").replace(" in", "")
    for plain, vulgar in _VULGAR.items():
        shown = re.sub(rf" ?\b{plain}$", vulgar, shown)
    return f"{shown}in"


def colour(cat: Catalogue, colourway_code: str) -> Colour:
    """Give the row of a colourway: its lead colour, then the colours beside it."""
    if colourway_code == UNNOTICED[1:]:
        return Colour(key=UNSEEN, name="colour not noticed", swatches=())
    way = cat.colourways.get(colourway_code)
    if way is None:
        return Colour(key=colourway_code, name=colourway_code, swatches=())
    codes = _colours_of(cat, way)
    key = colour_key(cat, way)
    plain = len(codes) == 1 and key == codes[0]
    name = cat.colour_name(codes[0]) if plain else _own_name(cat, way)
    return Colour(key=key, name=name, swatches=tuple(swatch(cat, c) for c in codes))


def _own_name(cat: Catalogue, way: Colourway) -> str:
    ribbon = cat.ribbons.get(way.code)
    return f"{way.name} ({ribbon.material})" if ribbon else way.name


def colour_key(cat: Catalogue, way: Colourway) -> str:
    """
    Give the key of a colourway's row.

    The colours' codes, lead first; the colourway's own code where another of the same
    colours and width would stand in the same cell (satin and grosgrain, say).
    """
    first = next(iter(_rows(cat)[_row(cat, way)]))
    return "-".join(_colours_of(cat, way)) if first == way.code else way.code


def _row(cat: Catalogue, way: Colourway) -> tuple[tuple[str, ...], int]:
    lead = cat.ribbons.get(way.ribbons[0][1])
    return _colours_of(cat, way), lead.width if lead else 0


def _rows(cat: Catalogue) -> dict[tuple[tuple[str, ...], int], list[str]]:
    kept: dict[tuple[tuple[str, ...], int], list[str]] = _kept(cat, "rows", {})
    if not kept:
        for way in cat.colourways.values():
            kept.setdefault(_row(cat, way), []).append(way.code)
    return kept


def _kept(cat: Catalogue, what: str, empty: Any) -> Any:
    """Keep what was worked out with the catalogue: names are asked for by the cell."""
    return cat.__dict__.setdefault("_naming", {}).setdefault(what, empty)


def cell_of(cat: Catalogue, kind: str) -> tuple[str, str]:
    """Give the keys of the size and the colour of a kind's cell."""
    pattern, way = cat.split(kind)
    return size(cat, pattern).key, colour(cat, way).key


def sizes_of(cat: Catalogue, kinds: Iterable[str]) -> tuple[Size, ...]:
    """Give the columns of some kinds, the smallest first."""
    codes = {cat.split(kind)[0] for kind in kinds}

    def place(code: str) -> tuple[int, int, str]:
        pattern = cat.patterns.get(code)
        return (pattern.size, pattern.width, code) if pattern else (0, 0, code)

    return tuple(size(cat, code) for code in sorted(codes, key=place))


def colours_of(cat: Catalogue, kinds: Iterable[str]) -> tuple[Colour, ...]:
    """Give the rows of some kinds: families together, two-coloured after plain."""
    codes = dict.fromkeys(cat.split(kind)[1] for kind in kinds)
    rows = {(made := colour(cat, code)).key: (made, code) for code in codes}
    families: dict[str, int] = {}
    for known in cat.colours.values():
        families.setdefault(known.family, len(families))
    order = {code: n for n, code in enumerate(cat.colours)}

    def place(row: tuple[Colour, str]) -> tuple[int, int, int, str]:
        way = cat.colourways.get(row[1])
        lead = cat.colours.get(way.lead) if way else None
        if lead is None:
            return len(families), 0, 0, row[0].key
        family = families[lead.family]
        return family, order[lead.code], len(row[0].swatches), row[0].key

    return tuple(made for made, _ in sorted(rows.values(), key=place))


def typed(cat: Catalogue, kind: str) -> str:
    """
    Say a kind as she would type it, in words that find it alone.

    One colour goes by its name, so that it has one name in every list; several beside
    each other by the short words of their codes.
    """
    kept: dict[str, str] = _kept(cat, "typed", {})
    if kind not in kept:
        kept[kind] = _typed(cat, kind)
    return kept[kind]


def _typed(cat: Catalogue, kind: str) -> str:
    if kind in cat.sets:
        return cat.sets[kind].name.lower()
    pattern, way = cat.split(kind)
    if kind.endswith(UNNOTICED):
        return f"{size(cat, pattern).key} not noticed"
    column, row = size(cat, pattern).key, colour(cat, way)
    name = row.name.lower()
    full = f"{_full_size(cat, pattern)} "
    said = (row.key, name) if len(row.swatches) > 1 else (name, row.key)
    tried = (
        *(before + words for words in said for before in (f"{column} ", full)),
        cat.kind_name(kind).lower(),
    )
    return next((words for words in tried if _finds(cat, words, kind)), kind)


def _full_size(cat: Catalogue, pattern_code: str) -> str:
    pattern = cat.patterns.get(pattern_code)
    if pattern is None:
        return pattern_code
    return f"{_without_length(pattern.name)} {_size_typed(pattern.size)}".strip()


def _finds(cat: Catalogue, words: str, kind: str) -> bool:
    try:
        return find(words, _candidates(cat), what="kind") == kind
    except Refusal:
        return False


def _candidates(cat: Catalogue) -> list[Candidate]:
    kept: list[Candidate] = _kept(cat, "kinds", [])
    if not kept:
        kept += [Candidate(k, cat.kind_name(k)) for k in cat.kinds()]
    return kept


def shop_view(led: Ledgers) -> Shop:
    """Say whose report it is."""
    kept = led.memo.get("shop view")
    if kept is None:
        known = shop(led)
        kept = led.memo["shop view"] = Shop(name=known.name, currency=known.currency)
    assert isinstance(kept, Shop)
    return kept


def length(led: Ledgers, nm: int) -> str:
    """Say a length (nm) in the shop's units."""
    page = led.page("shop", "")
    metric = bool(page) and page[0].event.units == "metric"
    return format_length(nm, style="auto-metric" if metric else "auto-us")


def money(led: Ledgers, minor: int) -> str:
    """Say an amount of minor units in the shop's currency."""
    return format_amount(minor, shop_view(led).currency)


def day(iso: str, today: date) -> str:
    """Say an ISO day in words, with how far off it is."""
    return format_day(date.fromisoformat(iso[:10]), today=today)


def minutes(count: float) -> str:
    """Say a stretch of minutes: `45 min`, `2 h`, `5 h 30 min`."""
    hours, rest = divmod(round(count), 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def others(number: int) -> str:
    """Say how many more there are that aren't named."""
    return "1 other" if number == 1 else f"{number:,} others"


def bows(count: int) -> str:
    """Say a number of bows."""
    return f"{count:,} {'bow' if count == 1 else 'bows'}"
